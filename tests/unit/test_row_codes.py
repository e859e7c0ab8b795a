"""Row-end codes: what they say is found again, whatever the block's code is made of."""

import re
from urllib.parse import unquote, urlsplit

import pytest
import segno
from hypothesis import given
from hypothesis import strategies as st

from orchardmap.errors import InputError
from orchardmap.model.row_code import code_key, matching, read_origin, read_row_list, row_address

# ISO/IEC 18004, table 5: the characters of the alphanumeric mode
ALPHANUMERIC = re.compile(r"[0-9A-Z $%*+\-./:]+")
CODES = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=30).map(
    lambda text: " ".join(text.split())
).filter(lambda text: text.strip("."))  # fmt: skip


@given(CODES, st.integers(1, 100_000))
def test_any_code_fits_the_small_mode_and_is_found_again(code, row):
    """By the standard library's own reading of addresses (RFC 3986), not by ours."""
    address = row_address("https://orchard.lan:8420", code, row)
    assert ALPHANUMERIC.fullmatch(address)
    assert segno.make_qr(address).mode == "alphanumeric"
    parts = urlsplit(address)
    assert (parts.scheme, parts.hostname, parts.port) == ("https", "orchard.lan", 8420)
    _, kind, said, number = parts.path.split("/")
    assert (kind, int(number)) == ("R", row)
    assert matching(unquote(said), ["another", code]) == [code]
    assert matching(unquote(said.lower()), [code]) == [code], "case does not matter"


@given(st.lists(CODES, min_size=2, max_size=5, unique=True), st.integers(1, 99))
def test_codes_that_differ_by_case_alone_keep_apart(codes, row):
    for code in codes:
        said = unquote(row_address("https://a.lan", code, row, others=codes).split("/")[4])
        assert matching(said, codes) == [code]


def test_a_code_by_hand():
    """`ß` in capitals is `SS`; an odd character is its UTF-8 bytes (RFC 3986, 2.1)."""
    assert row_address("http://A.lan", "Großes Feld/2_b", 7) == "HTTP://A.LAN/R/GROSSES%20FELD%2F2%5FB/7"
    assert code_key("große") == code_key("GROSSE")
    assert row_address("https://a.lan", "h6", 1, others=["H6", "h6"]) == "HTTPS://A.LAN/R/h6/1"
    assert row_address("https://[fd00::20]:8420", "H6", 1) == "HTTPS://[FD00::20]:8420/R/H6/1"


def test_dots_alone_would_be_a_step_up_in_an_address():
    for code in (".", "..", "..."):
        with pytest.raises(InputError, match="dots alone"):
            row_address("https://a.lan", code, 1)


@pytest.mark.parametrize(
    ("text", "rows"), [("1-3", [1, 2, 3]), ("7", [7]), (" 9, 2 - 3,2", [2, 3, 9]), ("100000", [100_000])]
)
def test_row_lists(text, rows):
    assert read_row_list(text) == rows


@pytest.mark.parametrize("text", ["", "0", "3-1", "1-", "a", "1;2", "1-1000000", "٣", "-1", "1,,2", "100001"])
def test_no_row_lists(text):
    with pytest.raises(InputError, match="no list of rows"):
        read_row_list(text)


@pytest.mark.parametrize(
    "text", ["https://a.lan", "http://127.0.0.1:8420/", "https://[fd00::1]:1", "HTTPS://A"]
)
def test_origins(text):
    assert read_origin(f" {text} ") == text.rstrip("/")


@pytest.mark.parametrize(
    "text",
    [
        "",
        "orchard.lan",
        "ftp://a.lan",
        "https://a.lan/x",
        "https://",
        "https://a b",
        "https://u@a.lan",
        "https://a.lan:x",
    ],
)
def test_no_origins(text):
    with pytest.raises(InputError, match="no address of a service"):
        read_origin(text)
