"""`orchardmap labels`: a PDF in a file, with the address that was given or set."""

import pytest

from orchardmap.store.session import open_store
from pdf_pages import codes, pictures
from small_farm import small_farm

DATABASE = ("--database", "sqlite:///farm.sqlite")


@pytest.fixture
def made(tmp_path, orchardmap):
    store = open_store(f"sqlite:///{tmp_path / 'farm.sqlite'}")
    farm = small_farm(store)
    store.close()
    return farm


def test_labels_are_written_with_the_address_given_or_set(orchardmap, made, tmp_path, monkeypatch):
    said = orchardmap(
        "labels", "--block", "k1", "--rows", "2", "--ends", "far", "--address", "https://a.lan", *DATABASE
    )
    assert said.code == 0, said.err
    assert said.out.startswith("Wrote labels.pdf")
    assert codes(pictures((tmp_path / "labels.pdf").read_bytes())[0]) == ["HTTPS://A.LAN/R/K1/2"]
    refused = orchardmap("labels", "--block", "K1", "--rows", "2", *DATABASE)
    assert (refused.code, "Give --address" in refused.err) == (1, True)
    monkeypatch.setenv("ORCHARDMAP_PUBLIC_ADDRESS", "https://set.lan:8420")
    assert orchardmap("labels", "--block", "K2", "--rows", "3", "--out", "b.pdf", *DATABASE).code == 0
    assert set(codes(pictures((tmp_path / "b.pdf").read_bytes())[0])) == {"HTTPS://SET.LAN:8420/R/K2/3"}


def test_what_cannot_be_written_is_one_sentence(orchardmap, made):
    for options, says in (
        (("--block", "Z9"), "no such block"),
        (("--block", "K1", "--out", "nowhere/l.pdf", "--rows", "1"), "cannot be written"),
    ):
        said = orchardmap("labels", *options, "--address", "https://a.lan", *DATABASE)
        assert (said.code, said.out) == (1, "")
        assert says in said.err
