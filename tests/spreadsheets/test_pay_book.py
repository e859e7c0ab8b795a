"""The workbook of pay as others read it: openpyxl and the XML itself. No formula in it, sums as on the sheets."""

import re
import zipfile
from datetime import datetime
from decimal import Decimal
from io import BytesIO

import openpyxl
import pytest
from openpyxl.utils.escape import unescape

from orchardmap.errors import InputError
from orchardmap.locale.catalogue import languages, translated
from orchardmap.pay.money import Currency
from orchardmap.pay.sheet import SheetContent, SheetHead
from orchardmap.pay.words import LAW
from orchardmap.spreadsheets.pay_book import pay_book
from orchardmap.spreadsheets.workbook import Sheet, workbook
from paid_season import FORMULA, HEAD, MONDAY, paid_week

DANGEROUS = [
    "=1+1",
    "+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    " =1",
    "\N{NO-BREAK SPACE}=1",
    "http://example.org",
    "0123",
    "{=1}",
    "{1}",
]


def opened(content: bytes) -> openpyxl.Workbook:
    return openpyxl.load_workbook(BytesIO(content))


@pytest.mark.parametrize("language", languages())
def test_nothing_in_it_is_a_formula(language):
    """Names begin with = + - and @: they are text in it, and quoted, so that they stay text when they are edited."""
    made = pay_book(paid_week(), HEAD, language=language)
    with zipfile.ZipFile(BytesIO(made)) as archive:
        parts = {name: archive.read(name).decode() for name in archive.namelist() if name.endswith(".xml")}
    sheets = [text for name, text in parts.items() if name.startswith("xl/worksheets/sheet")]
    assert len(sheets) == 4
    assert not [text for text in sheets if re.search(r"<f[ >/]|<hyperlink", text)]
    cells = [cell for table in opened(made) for row in table.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d", "inlineStr"}
    named = [cell for cell in cells if cell.value == FORMULA]
    assert len(named) > 2
    assert all(cell.quotePrefix for cell in named)


def test_text_stays_the_text_it_was():
    """Whatever it begins with, tabs and returns too; nothing turns into a number or a link."""
    table = opened(
        workbook([Sheet("x", ("h",), tuple((one,) for one in DANGEROUS))], notes=["n"], minor_digits=2)
    )["x"]
    assert [unescape(str(table.cell(4 + i, 1).value)) for i in range(len(DANGEROUS))] == DANGEROUS
    assert [table.cell(4 + i, 1).quotePrefix for i in range(len(DANGEROUS))] == [True] * 9 + [False] * 4
    assert {table.cell(4 + i, 1).data_type for i in range(len(DANGEROUS))} == {"s"}


@pytest.mark.parametrize("language", languages())
def test_every_sheet_says_that_local_law_decides(language):
    for table in opened(pay_book(paid_week(), HEAD, language=language)):
        assert table.cell(1, 1).value == translated(LAW, language)
        assert translated(LAW, language) in str(table.oddFooter.left.text)


def test_lines_people_and_crews_have_the_same_sum():
    """Read back as numbers: the amounts of all lines and corrections are those of the people, and of the crews."""
    book, content = opened(pay_book(paid_week(), HEAD)), paid_week()

    def column(name: str) -> Decimal:
        last = book[name].max_column
        values = [book[name].cell(row, last).value for row in range(5, book[name].max_row + 1)]
        return sum((Decimal(str(value)) for value in values), Decimal(0))

    assert [cell.value for cell in book["Corrections"][5]][-3:] == [10, 1244.5, 1234.5]
    assert column("Lines") + column("Corrections") == column("People") == column("Crews") == content.amount


def test_days_are_days_and_amounts_have_the_decimals_of_the_currency():
    book = opened(pay_book(paid_week(), HEAD))
    first = {cell.value: cell.column for cell in book["Lines"][4]}
    assert book["Lines"].cell(5, first["Day"]).value == datetime(MONDAY.year, MONDAY.month, MONDAY.day)  # noqa: DTZ001 - as the library tells a day
    assert book["Lines"].cell(5, first["Amount"]).number_format == "#,##0.00"
    yen = SheetHead("Long Meadow", MONDAY, MONDAY, Currency("JPY", 0))
    assert opened(pay_book(paid_week(), yen))["Lines"].cell(5, first["Amount"]).number_format == "#,##0"


def test_a_book_of_nobody_opens_and_unknown_languages_are_refused():
    assert opened(pay_book(SheetContent([]), HEAD)).sheetnames == ["People", "Crews", "Lines"]
    with pytest.raises(InputError, match=r"Take one of: en, es\."):
        pay_book(paid_week(), HEAD, language="xx")
