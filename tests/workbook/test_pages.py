"""How the sheets print: width, paper, headings, footers, and no text or number that does not fit its cell."""

from collections.abc import Callable
from io import BytesIO
from itertools import pairwise

import pytest
from openpyxl import Workbook, load_workbook

from estimator.estimate import Estimate
from estimator.workbook.book import buy_workbook, quote_workbook
from estimator.workbook.letters import number_digits

# ECMA-376 part 1, 18.3.1.63 pageSetup, paperSize: 1 is Letter, 9 is A4.
PAPERS = {"riverside_tearoom": 1, "orchard_bench": 9}
HEADINGS = {
    "Costing": "Line",
    "Bill of materials": "Kind",
    "Hardware": "Piece",
    "Labour": "For",
    "Prices used": "Supplier",
}


@pytest.fixture(scope="module", params=PAPERS)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module", params=[quote_workbook, buy_workbook])
def content(name: str, request: pytest.FixtureRequest, estimated: Callable[[str], Estimate]) -> bytes:
    return bytes(request.param(estimated(name)))


@pytest.fixture(scope="module")
def book(content: bytes) -> Workbook:
    return load_workbook(BytesIO(content))


def test_every_sheet_fits_the_width_of_the_paper_of_its_country(name: str, book: Workbook) -> None:
    for sheet in book.worksheets:
        assert sheet.page_setup.paperSize == PAPERS[name]
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 0)
        assert sheet.sheet_properties.pageSetUpPr is not None
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert not sheet.sheet_view.showGridLines


def test_long_tables_repeat_their_heading_on_every_page(book: Workbook) -> None:
    for sheet in book.worksheets:
        if sheet.title in HEADINGS:
            row = int(str(sheet.print_title_rows).partition(":")[0].strip("$"))
            assert sheet.cell(row, 1).value == HEADINGS[sheet.title]


def test_each_supplier_has_a_page_of_the_buy_sheet_with_what_to_pay_there(
    name: str, book: Workbook, estimated: Callable[[str], Estimate]
) -> None:
    sheet = book["Buy sheet"]
    starts = [4, *(page_break.id + 1 for page_break in sheet.row_breaks.brk)]
    suppliers = sorted({line.bought.row.supplier for line in estimated(name).bill})
    assert [sheet.cell(row, 1).value for row in starts] == [*suppliers, "To pay"]
    assert not sheet.print_title_rows  # it would stand above the headings of all pages but the first
    for start, end in pairwise(starts):
        assert (sheet.cell(start + 1, 1).value, sheet.cell(end - 2, 1).value) == ("Got it", "To pay")


def test_footers_name_the_shop_and_the_order(name: str, book: Workbook, estimated: Callable[[str], Estimate]) -> None:
    order = estimated(name).order
    for sheet in book.worksheets:
        assert sheet.oddFooter is not None
        assert order.shop.name in str(sheet.oddFooter.left.text)
        assert order.title in str(sheet.oddFooter.left.text)
        assert str(sheet.oddFooter.right.text).startswith("Page &P")


def test_no_number_is_wider_than_its_column(content: bytes) -> None:
    for sheet in load_workbook(BytesIO(content), data_only=True).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, int | float):
                    needed = number_digits(cell.value, cell.number_format, bold=bool(cell.font.b))
                    assert sheet.column_dimensions[cell.column_letter].width >= needed, f"{sheet.title} {cell}"


def test_a_layout_is_not_torn_from_its_heading_by_the_end_of_a_page(book: Workbook) -> None:
    sheet = book["Cutting list"]
    for page_break in sheet.row_breaks.brk:
        assert sheet.cell(page_break.id + 1, 1).font.b  # the first row of the new page is a heading
