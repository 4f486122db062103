"""How a sheet prints and what stays in view while one scrolls."""

from typing import Literal

from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.pagebreak import Break
from openpyxl.worksheet.properties import PageSetupProperties

from estimator.workbook.cells import Sheet, clean_text
from estimator.workbook.styles import FONT, STONE

Paper = Literal["letter", "A4"]
# ECMA-376 part 1, 18.3.1.63 pageSetup, attribute paperSize.
_PAPER_NUMBERS = {"letter": 1, "A4": 9}
_LONGEST_FOOTER = 160  # a file may hold 255 characters for all three parts together, their codes included


def set_up_page(
    sheet: Sheet,
    *,
    paper: Paper,
    landscape: bool,
    footer: str,
    page_text: str = "Page &P of &N",
    heading_row: int | None = None,
    fixed_columns: int = 0,
) -> None:
    """Fit the sheet to one page's width, with the footer text at the left and the page number at the right.

    With heading_row, that row is repeated on every page, and the rows down to it stay in view on the screen.
    """
    worksheet = sheet.worksheet
    setup = worksheet.page_setup
    setup.orientation = "landscape" if landscape else "portrait"
    setup.paperSize = _PAPER_NUMBERS[paper]
    worksheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    setup.fitToWidth, setup.fitToHeight = 1, 0
    worksheet.page_margins = PageMargins(left=0.6, right=0.6, top=0.6, bottom=0.75, header=0.3, footer=0.35)
    worksheet.print_options.horizontalCentered = True
    worksheet.sheet_view.showGridLines = False
    if heading_row is not None:
        repeat_heading(sheet, heading_row)
        worksheet.freeze_panes = sheet.place(heading_row + 1, fixed_columns + 1).ref
    # No &D here: that is the day of printing and not of the quote.
    _write_footer(sheet, footer, page_text)


def repeat_heading(sheet: Sheet, row: int) -> None:
    """Let every page after the one with this row begin with it in print."""
    sheet.worksheet.print_title_rows = f"{row}:{row}"


def start_new_page(sheet: Sheet, row: int) -> None:
    """Let the row begin a new page in print."""
    if row > 1:
        sheet.worksheet.row_breaks.append(Break(id=row - 1))


def _write_footer(sheet: Sheet, footer: str, page_text: str) -> None:
    text = " ".join(clean_text(footer).split())[:_LONGEST_FOOTER]
    parts = HeaderFooterItem()
    while len(text) + text.count("&") > _LONGEST_FOOTER:
        text = text[:-1]
    parts.left.text = text.replace("&", "&&")  # a single one begins a code
    parts.right.text = page_text
    for part in (parts.left, parts.right):
        part.font, part.size, part.color = f"{FONT},Regular", 8, STONE
    sheet.worksheet.HeaderFooter.oddFooter = parts
