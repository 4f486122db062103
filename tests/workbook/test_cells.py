import re
import zipfile
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from openpyxl.cell.cell import Cell

from estimator.workbook.cells import HIGHEST_ROW_PT, LONGEST_TEXT, Book, clean_text
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import DATE, NUMBER, TEXT, TITLE, WRAPPED, as_total

# The characters OWASP names under CSV injection, and the codes a spreadsheet takes for errors.
DANGEROUS = [
    '=HYPERLINK("http://example.com","click")',
    "=cmd|' /C calc'!A0",
    "=",
    "+1+1",
    "-1+1",
    "@SUM(1,1)",
    "\t=1+1",
    "\r=1+1",
    "\n=1+1",
    "\uff1d1+1",
    "#REF!",
    "#N/A",
    "#DIV/0!",
]
anything = st.text(st.characters(exclude_categories=()))  # lone surrogates and control characters too


def saved(book: Book) -> bytes:
    return workbook_bytes(book, on=date(2026, 3, 4), title="Quote")


def written(texts: list[str]) -> bytes:
    book = Book()
    sheet = book.add_sheet("Texts")
    for row, text in enumerate(texts, start=1):
        sheet.put_text(row, 1, text, TEXT)
    return saved(book)


def read_cells(content: bytes, count: int) -> list[Cell]:
    sheet = load_workbook(BytesIO(content)).worksheets[0]
    cells = [sheet.cell(row, 1) for row in range(1, count + 1)]
    assert all(isinstance(cell, Cell) for cell in cells)
    return [cell for cell in cells if isinstance(cell, Cell)]


def sheet_xml(content: bytes) -> str:
    with zipfile.ZipFile(BytesIO(content)) as parts:
        return parts.read("xl/worksheets/sheet1.xml").decode()


def test_text_that_looks_like_a_formula_or_an_error_is_read_back_as_text() -> None:
    content = written(DANGEROUS)
    for text, cell in zip(DANGEROUS, read_cells(content, len(DANGEROUS)), strict=True):
        assert cell.value == text.replace("\r", "\n")
        assert cell.data_type == "s"
        assert cell.quotePrefix, "editing the cell would make a formula of it"
        assert cell.hyperlink is None
    assert "<f" not in sheet_xml(content)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.one_of(anything, st.builds(str.__add__, st.sampled_from("=+-@\t\r\n#<"), anything)), min_size=1))
def test_any_text_comes_back_as_text_without_what_xml_cannot_hold(texts: list[str]) -> None:
    content = written(texts)
    for text, cell in zip(texts, read_cells(content, len(texts)), strict=True):
        assert (cell.value or "") == clean_text(text)
        assert cell.data_type != "f"
    assert "<f" not in sheet_xml(content)


def test_only_formulas_put_as_formulas_are_formulas_in_the_file() -> None:
    book = Book()
    sheet = book.add_sheet("Mixed")
    sheet.put_text(1, 1, "<f>1+1</f><v></v>", TEXT)
    sheet.put_text(2, 1, '</t></is></c><c r="B9"><f>1+1</f><v /></c>', TEXT)
    sheet.put_formula(3, 1, "=1+1", 2, NUMBER)
    assert re.findall(r"<f>(.*?)</f>", sheet_xml(saved(book))) == ["1+1"]


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("leg\x00\x08\x0b\x1f", "leg"),
        ("leg\ud800", "leg"),
        ("leg\ufffe\uffff", "leg"),
        ("two\r\nlines\rmore", "two\nlines\nmore"),
        ("½ × 3″ \U0001fa91", "½ × 3″ \U0001fa91"),
    ],
)
def test_characters_no_workbook_can_hold_are_left_out(text: str, held: str) -> None:
    assert clean_text(text) == held


@pytest.mark.parametrize("letter", ["x", "\U0001fa91"])
def test_text_longer_than_a_cell_is_cut_and_says_so(letter: str) -> None:
    assert clean_text(letter * 8 + "." * (LONGEST_TEXT - 16)).endswith(".")
    cut = clean_text(letter * 40_000)
    assert len(cut.encode("utf-16-le")) / 2 <= LONGEST_TEXT
    assert cut.endswith(letter + "…")
    assert read_cells(written([letter * 40_000]), 1)[0].value == cut


@pytest.mark.parametrize(
    "formula",
    [
        "1+1",
        "=[other.xlsx]Sheet1!A1",
        "=cmd|' /C calc'!A0",
        '=HYPERLINK("http://example.com")',
        '=WEBSERVICE("http://example.com")',
        "=XLOOKUP(A1,B1:B9,C1:C9)",
        "=_xlfn.IFS(A1>1,2)",
        "=SUM(prices[amount])",
        '=IF(A1="open,1,2)',
    ],
)
def test_a_formula_that_reaches_outside_or_that_some_program_does_not_know_is_refused(formula: str) -> None:
    with pytest.raises(ValueError, match=re.escape(formula)):
        Book().add_sheet("Quote").put_formula(1, 1, formula, 1, NUMBER)


def test_a_sheet_title_that_holds_a_function_name_is_no_function() -> None:
    book = Book()
    place = book.add_sheet("Bench (LET(x) & 1)").put_number(1, 1, 5, NUMBER)
    book.add_sheet("Quote").put_formula(1, 1, f"=ROUND({place.full_ref},2)", 5, NUMBER)
    assert (
        "<f>ROUND('Bench (LET(x) &amp; 1)'!$A$1,2)</f><v>5</v>"
        in zipfile.ZipFile(BytesIO(saved(book))).read("xl/worksheets/sheet2.xml").decode()
    )


@pytest.mark.parametrize("value", [Decimal("NaN"), Decimal("Infinity"), float("inf"), float("nan")])
def test_what_is_no_number_is_refused(value: Decimal | float) -> None:
    sheet = Book().add_sheet("Quote")
    with pytest.raises(ValueError, match="no number"):
        sheet.put_number(1, 1, value, NUMBER)
    with pytest.raises(ValueError, match="no number"):
        sheet.put_formula(1, 1, "=1+1", value, NUMBER)


def test_numbers_and_days_are_read_back_as_they_were_put() -> None:
    book = Book()
    sheet = book.add_sheet("Numbers")
    sheet.put_number(1, 1, Decimal("1234.56"), NUMBER)
    sheet.put_number(2, 1, Fraction(357, 16), NUMBER)
    sheet.put_number(3, 1, 12, NUMBER)
    sheet.put_date(4, 1, date(2026, 3, 4), DATE)
    values = [cell.value for cell in read_cells(saved(book), 4)]
    assert values[:3] == [1234.56, 22.3125, 12]  # 22 5/16 in
    assert str(values[3]) == "2026-03-04 00:00:00"


def test_no_cell_is_written_twice() -> None:
    sheet = Book().add_sheet("Quote")
    sheet.put_text(1, 1, "Total", TEXT)
    sheet.put_text_across(2, 1, 3, "a note", TEXT)
    for row, column in ((1, 1), (2, 1), (2, 2)):
        with pytest.raises(ValueError, match="written twice"):
            sheet.put_number(row, column, 5, NUMBER)
    with pytest.raises(ValueError, match="written twice"):
        sheet.merge(1, 1, 2, TEXT)


def test_two_styles_of_one_name_are_refused() -> None:
    sheet = Book().add_sheet("Quote")
    sheet.put_number(1, 1, 1, as_total(NUMBER))
    sheet.put_number(2, 1, 1, as_total(NUMBER))
    with pytest.raises(ValueError, match="two styles"):
        sheet.put_text(3, 1, "x", type(TEXT)(name=as_total(NUMBER).name))


def test_a_row_grows_with_wrapped_text_and_never_shrinks() -> None:
    sheet = Book().add_sheet("Notes")
    sheet.widen(1, 20)

    def height_pt() -> float:
        return sheet.worksheet.row_dimensions[1].height or 0

    sheet.put_text(1, 1, "ask the yard before ordering " * 4, WRAPPED)
    four_lines_pt = height_pt()
    assert four_lines_pt >= 4 * 10
    sheet.put_text(1, 2, "short", TITLE)
    assert height_pt() == four_lines_pt
    sheet.put_text(1, 3, "endless " * 4000, WRAPPED)
    assert height_pt() == HIGHEST_ROW_PT


def test_tables_that_share_a_column_get_the_wider_width() -> None:
    sheet = Book().add_sheet("Notes")
    for width in (12, 30, 8):
        sheet.widen(2, width)
    assert sheet.worksheet.column_dimensions["B"].width == 30
