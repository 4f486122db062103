import zipfile
from datetime import date
from io import BytesIO

from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from estimator.workbook.cells import Book, Sheet
from estimator.workbook.page import Paper, set_up_page, start_new_page
from estimator.workbook.save import workbook_bytes
from estimator.workbook.styles import TEXT


def sheet_with_page(*, paper: Paper = "letter", footer: str = "Quote 14", heading_row: int | None = 4) -> Sheet:
    sheet = Book().add_sheet("Quote")
    sheet.put_text(4, 1, "Item", TEXT)
    set_up_page(sheet, paper=paper, landscape=True, footer=footer, heading_row=heading_row, fixed_columns=1)
    return sheet


def content(sheet: Sheet) -> bytes:
    return workbook_bytes(sheet.book, on=date(2026, 3, 4), title="Quote")


def read(sheet: Sheet) -> Worksheet:
    return load_workbook(BytesIO(content(sheet))).worksheets[0]


def footer_text(footer: str) -> str:
    with zipfile.ZipFile(BytesIO(content(sheet_with_page(footer=footer)))) as parts:
        xml = parts.read("xl/worksheets/sheet1.xml").decode()
    return xml.partition("<oddFooter>")[2].partition("</oddFooter>")[0].replace("&amp;", "&")


def test_a_sheet_prints_as_wide_as_the_page_and_as_long_as_it_is() -> None:
    sheet = read(sheet_with_page())
    assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
    assert sheet.sheet_properties.pageSetUpPr is not None
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.page_setup.orientation == "landscape"
    assert not sheet.sheet_view.showGridLines


def test_the_paper_is_letter_or_a4() -> None:
    # ECMA-376 part 1, 18.3.1.63 pageSetup, paperSize: 1 is Letter, 9 is A4.
    assert read(sheet_with_page(paper="letter")).page_setup.paperSize == 1
    assert read(sheet_with_page(paper="A4")).page_setup.paperSize == 9


def test_the_heading_row_stays_in_view_and_is_repeated_on_every_page() -> None:
    sheet = read(sheet_with_page())
    assert sheet.freeze_panes == "B5"
    assert sheet.print_title_rows == "$4:$4"


def test_a_sheet_without_a_heading_row_scrolls_freely() -> None:
    sheet = read(sheet_with_page(heading_row=None))
    assert sheet.freeze_panes is None
    assert not sheet.print_title_rows


def test_the_footer_holds_the_given_text_and_the_page_and_no_day_of_printing() -> None:
    text = footer_text("Quote 14")
    assert "Quote 14" in text
    assert text.endswith("Page &P of &N")
    assert "&D" not in text


def test_a_footer_cannot_smuggle_in_codes() -> None:
    # ECMA-376 part 1, 18.3.1.46: a doubled ampersand prints one, &D prints the date.
    text = footer_text("Oak &D Ash & Sons\x00\n&L")
    assert "Oak &&D Ash && Sons &&L&R" in text


def test_a_footer_keeps_within_what_a_file_may_hold() -> None:
    # 255 characters for the whole footer, the limit of Excel.
    assert len(footer_text("&" * 400)) <= 255


def test_a_new_page_starts_above_the_row() -> None:
    sheet = sheet_with_page()
    start_new_page(sheet, 20)
    start_new_page(sheet, 1)
    assert [page_break.id for page_break in read(sheet).row_breaks.brk] == [19]
