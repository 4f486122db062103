"""The workbooks: which sheets there are, in which order they stand, and in which order they are written."""

from pathlib import Path

from estimator.estimate import Estimate, compare_quantities
from estimator.whole_files import write_whole
from estimator.workbook.bill_sheet import write_bill
from estimator.workbook.buy_sheet import write_buy_sheet
from estimator.workbook.cells import Book
from estimator.workbook.comparison_sheet import write_comparison
from estimator.workbook.costing_sheet import write_costing
from estimator.workbook.cutting_sheet import write_cutting
from estimator.workbook.finish_sheet import write_finish
from estimator.workbook.hardware_sheet import write_hardware
from estimator.workbook.labour_sheet import write_labour
from estimator.workbook.leaf import setting_for
from estimator.workbook.notes_sheet import write_notes
from estimator.workbook.prices_sheet import write_prices
from estimator.workbook.quote_sheet import write_quote
from estimator.workbook.sanding_sheet import write_sanding
from estimator.workbook.save import workbook_bytes

QUOTE_SHEETS = (
    "Quote",
    "Costing",
    "Bill of materials",
    "Buy sheet",
    "Cutting list",
    "Finish",
    "Sanding",  # only where there is sanding
    "Hardware",
    "Labour",
    "Comparison",
    "Prices used",
    "Notes and cautions",
)
BUY_SHEETS = ("Buy sheet", "Cutting list", "Prices used")


def sheet_titles(estimate: Estimate) -> tuple[str, ...]:
    """Return the titles of the sheets that an estimate has, in their order."""
    return tuple(title for title in QUOTE_SHEETS if title != "Sanding" or estimate.takeoff.order.sanded)


def write_quote_workbook(estimate: Estimate, path: Path, *, replace: bool) -> None:
    """Write the whole quote workbook, or nothing. Raises EstimatorError where the file may not be written."""
    write_whole(path, quote_workbook(estimate), replace=replace)


def write_buy_workbook(estimate: Estimate, path: Path, *, replace: bool) -> None:
    """Write a workbook for the yard and the saw, or nothing. Raises EstimatorError where it may not be written."""
    write_whole(path, buy_workbook(estimate), replace=replace)


def quote_workbook(estimate: Estimate) -> bytes:
    """Return the file: the sheets stand in the order a reader wants them and are written after what they refer to."""
    book, setting = Book(), setting_for(estimate)
    sheets = {title: book.add_sheet(title) for title in sheet_titles(estimate)}
    prices = write_prices(sheets["Prices used"], setting)
    bill = write_bill(sheets["Bill of materials"], setting, prices)
    sanding = write_sanding(sheets["Sanding"], setting) if "Sanding" in sheets else None
    labour = write_labour(sheets["Labour"], setting, prices, sanding)
    costing = write_costing(sheets["Costing"], setting, bill, labour)
    write_quote(sheets["Quote"], setting, costing)
    write_buy_sheet(sheets["Buy sheet"], setting, prices)
    write_cutting(sheets["Cutting list"], setting)
    write_finish(sheets["Finish"], setting)
    write_hardware(sheets["Hardware"], setting)
    write_comparison(sheets["Comparison"], setting, compare_quantities(estimate.order))
    write_notes(sheets["Notes and cautions"], setting)
    return workbook_bytes(book, on=estimate.order.day, title=estimate.order.title)


def buy_workbook(estimate: Estimate) -> bytes:
    """Return the file with the buy sheet, the cutting list and the prices behind them."""
    book, setting = Book(), setting_for(estimate)
    sheets = {title: book.add_sheet(title) for title in BUY_SHEETS}
    prices = write_prices(sheets["Prices used"], setting)
    write_buy_sheet(sheets["Buy sheet"], setting, prices)
    write_cutting(sheets["Cutting list"], setting)
    return workbook_bytes(book, on=estimate.order.day, title=f"{estimate.order.title}: buy sheet")
