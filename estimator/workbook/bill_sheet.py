"""Bill of materials: every line bought, priced, with what the client pays of it and the price row behind it."""

from estimator.costing.bill import BillLine
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, price_origin, quantity_style
from estimator.workbook.prices_sheet import PricePlaces
from estimator.workbook.styles import DATE, OLD_DATE, PERCENT, TEXT, WRAPPED, as_total, price
from estimator.workbook.table import Column, PlacedTable, write_table


def write_bill(sheet: Sheet, setting: Setting, prices: PricePlaces) -> PlacedTable:
    """Write the bill of materials and return where its lines stand."""
    begin_sheet(
        sheet,
        setting,
        title="Bill of materials",
        subtitle='Whole boards, packs and cans at the prices of the sheet "Prices used".',
        landscape=True,
    )
    lines = tuple(enumerate(setting.estimate.bill))
    return write_table(sheet, _columns(setting, prices), lines, row=FIRST_ROW)


IndexedLine = tuple[int, BillLine]


def _columns(setting: Setting, prices: PricePlaces) -> tuple[Column[IndexedLine], ...]:
    currency = setting.estimate.order.shop.currency
    return (
        Column(name="kind", heading="Kind", width=13, style=TEXT, value=lambda line: line[1].kind),
        Column(name="item", heading="Item", width=42, style=WRAPPED, value=lambda line: line[1].bought.item),
        Column(
            name="quantity",
            heading="How many",
            width=10,
            style=lambda line: quantity_style(line[1].bought.quantity),
            value=lambda line: line[1].bought.quantity,
        ),
        Column(name="unit", heading="Unit", width=18, style=TEXT, value=lambda line: line[1].bought.unit),
        Column(
            name="price",
            heading="Price of one",
            width=11,
            style=lambda line: price(currency, line[1].bought.unit_price),
            value=lambda line: line[1].bought.exact_price,
            formula=lambda line, _: f"={prices.of_line[line[0]].full_ref}",
        ),
        Column(
            name="amount",
            heading="Amount",
            width=12,
            style=setting.money,
            value=lambda line: line[1].bought.amount,
            formula=lambda _, at: f"=ROUND({at['quantity']}*{at['price']},{currency.digits})",
            total=as_total(setting.money),
        ),
        Column(name="share", heading="Client pays", width=9, style=PERCENT, value=lambda line: line[1].charged_share),
        Column(
            name="charged",
            heading="Charged",
            width=12,
            style=setting.money,
            value=lambda line: line[1].charged,
            formula=lambda _, at: f"=ROUND({at['amount']}*{at['share']},{currency.digits})",
            total=as_total(setting.money),
        ),
        Column(
            name="from",
            heading="Price from",
            width=28,
            style=WRAPPED,
            value=lambda line: price_origin(line[1].bought.row.origin, stale=line[1].stale),
        ),
        Column(
            name="day",
            heading="Price date",
            width=12,
            style=lambda line: OLD_DATE if line[1].stale else DATE,
            value=lambda line: line[1].bought.row.day,
        ),
    )
