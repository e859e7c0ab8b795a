"""Answers kept in the process: the same until something of the farm changes, of one database only, and never more than so many."""

from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from shutil import copyfile
from threading import Barrier, Event
from time import sleep

import pytest

from orchardmap.store.remembered import Remembered
from orchardmap.store.session import open_store, sqlite_url
from orchardmap.usecases import recording
from small_farm import NOW, small_farm


def asker(remembered):
    """`ask(store, farm, asked)` returns how many answers had been worked out when this one was."""
    worked_out = []

    def ask(store, farm, asked=None):
        def work_out():
            worked_out.append(asked)
            return len(worked_out)

        with store.read() as conn:
            return remembered.answer(conn, farm.farm.id, asked, work_out)

    return ask


def test_an_answer_is_kept_until_the_farm_changes(store):
    farm, other, ask = small_farm(store), small_farm(store, "Other"), asker(Remembered(10))
    assert [ask(store, farm), ask(store, farm), ask(store, other), ask(store, farm, "else")] == [1, 1, 2, 3]
    recording.record_checks(store, farm_id=farm.farm.id, checks=[farm.check()], sent_at=NOW, now=NOW)
    assert [ask(store, farm), ask(store, other)] == [4, 2]


def test_the_oldest_answers_go(store):
    farm, ask = small_farm(store), asker(Remembered(2))
    assert [ask(store, farm, at) for at in "abca"] == [1, 2, 3, 4]
    assert ask(store, farm, "c") == 3


def test_a_copy_of_a_database_has_answers_of_its_own(tmp_path):
    ask = asker(Remembered(10))
    with closing(open_store(sqlite_url(tmp_path / "one.sqlite"))) as one:
        farm = small_farm(one)
        assert ask(one, farm) == 1
    copyfile(tmp_path / "one.sqlite", tmp_path / "two.sqlite")
    with closing(open_store(sqlite_url(tmp_path / "two.sqlite"))) as two:
        assert ask(two, farm) == 2


def test_who_asks_while_an_answer_is_worked_out_waits_for_it(store):
    """Ten pages that ask at once cost one answer; where working it out fails the next one tries."""
    farm, remembered = small_farm(store), Remembered[int](10)
    worked_out: list[None] = []
    begun, go_on = Barrier(2), Event()

    def work_out():
        worked_out.append(None)
        if len(worked_out) == 1:
            raise ZeroDivisionError
        begun.wait(5)
        go_on.wait(5)
        return len(worked_out)

    def ask():
        with store.read() as conn:
            return remembered.answer(conn, farm.farm.id, "one", work_out)

    with pytest.raises(ZeroDivisionError):
        ask()
    with ThreadPoolExecutor(10) as pool:
        first = pool.submit(ask)
        begun.wait(5)
        others = [pool.submit(ask) for _ in range(9)]
        go_on.set()
        assert [one.result(5) for one in (first, *others)] == [2] * 10


def test_answers_are_worked_out_one_at_a_time_also_where_one_rests_on_another(store):
    """Asked in either order by many at once, all get theirs: who works on what rests on another never waits for who waits for it."""
    farm, whole, part = small_farm(store), Remembered[int](10), Remembered[int](10)
    at_work, most = [0], [0]

    def work(n):
        at_work[0] += 1
        most[0] = max(most[0], at_work[0])
        sleep(0.005)
        at_work[0] -= 1
        return n

    def ask_part(conn, n):
        return part.answer(conn, farm.farm.id, n, lambda: work(n))

    def ask(n):
        with store.read() as conn:
            if n % 2:
                return ask_part(conn, n // 4)
            rests = whole.answer(conn, farm.farm.id, n // 4, lambda: ask_part(conn, n // 4) + work(0))
            return int(rests)

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(ask, range(40), timeout=20)) == [n // 4 for n in range(40)]
    assert most == [1]


def test_a_short_answer_waits_for_nobody_who_works_out_a_long_one(store):
    farm, long, short = small_farm(store), Remembered[int](10), Remembered[int](10, at_once=True)
    begun, go_on = Event(), Event()

    def work_out() -> int:
        begun.set()
        assert go_on.wait(30)
        return 1

    def ask(remembered, how):
        with store.read() as conn:
            return remembered.answer(conn, farm.farm.id, None, how)

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(ask, long, work_out)
        assert begun.wait(30)
        assert pool.submit(ask, short, lambda: 2).result(timeout=30) == 2
        assert not first.done()
        go_on.set()
        assert first.result(timeout=30) == 1
