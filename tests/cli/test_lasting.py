"""What a service is made of is not gone through for what could be thrown away. In processes of their own, for it is all of a process."""

import json
import subprocess
import sys

import pytest

INSIDE = """
import gc, json
from orchardmap.cli.lasting import lasting

class Ring:
    gone = 0
    def __init__(self): self.me = self
    def __del__(self): Ring.gone += 1

kept = []
gc.collect()
if not {was_on}: gc.disable()
try:
    with lasting():
        inside = gc.isenabled()
        kept.append([[] for _ in range(1000)])
        {wrong}
except ValueError:
    pass
after, gone_through = gc.isenabled(), len(gc.get_objects())
Ring()
gc.collect()
print(json.dumps([inside, after, gone_through < 1000, gc.get_freeze_count() > 1000, Ring.gone]))
"""


@pytest.mark.parametrize("was_on", [True, False])
@pytest.mark.parametrize("wrong", ["", "raise ValueError"])
def test_the_collector_is_as_before_and_leaves_alone_what_was_made(was_on, wrong):
    """It goes on with what comes after: a ring of objects that nobody holds is thrown away."""
    told = subprocess.check_output([sys.executable, "-c", INSIDE.format(was_on=was_on, wrong=wrong)])
    assert json.loads(told) == [False, was_on, True, True, 1]


SERVICE = """
import gc, json, sys
from orchardmap.cli.listening import Listening
from orchardmap.cli.main import app
def run(self, sockets=None):
    print(json.dumps([gc.isenabled(), gc.get_freeze_count(), len(gc.get_objects())]))
Listening.run = run
app(["serve", "--port", "0", "--database", "sqlite:///" + sys.argv[1]])
"""


def test_a_service_answers_without_going_through_its_own_code(tmp_path):
    """Before, the first overview waited for the collector to go through some 300,000 objects that stay until the end."""
    told = subprocess.check_output([sys.executable, "-c", SERVICE, str(tmp_path / "farm.sqlite")])
    is_on, left_alone, gone_through = json.loads(told.splitlines()[-1])
    assert is_on
    assert left_alone > 100_000
    assert gone_through < left_alone / 10
