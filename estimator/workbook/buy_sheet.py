"""Buy sheet: what to fetch from which supplier, with a box to tick, and what will be left over."""

from estimator.costing.bill import BillLine
from estimator.wording import allowance_text, left_over_rows, plan_text
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, quantity_style
from estimator.workbook.prices_sheet import PricePlaces
from estimator.workbook.styles import HEADING, NOTE, SECTION, TEXT, WRAPPED, Style, aligned, as_total, price
from estimator.workbook.table import Column, write_table

BOX = Style(name="Box to tick", border="box", horizontal="center")
COLUMNS = 7


def write_buy_sheet(sheet: Sheet, setting: Setting, prices: PricePlaces) -> None:
    """Write everything to buy, by supplier, how good the lumber plan is, and the left-overs."""
    begin_sheet(
        sheet,
        setting,
        title="Buy sheet",
        subtitle="To take along: whole boards, packs and cans for the whole order.",
        landscape=False,
    )
    lines = sorted(enumerate(setting.estimate.bill), key=lambda line: line[1].bought.row.supplier)
    table = write_table(sheet, _columns(setting, prices), lines, row=FIRST_ROW)
    row = _write_claims(sheet, setting, table.next_row + 1)
    _write_left_overs(sheet, setting, row + 1)


def _columns(setting: Setting, prices: PricePlaces) -> tuple[Column[tuple[int, BillLine]], ...]:
    currency = setting.estimate.order.shop.currency
    return (
        Column(name="box", heading="Got it", width=7, style=BOX, value=lambda _: None),
        Column(
            name="supplier", heading="Supplier", width=26, style=WRAPPED, value=lambda line: line[1].bought.row.supplier
        ),
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
            heading="Each",
            width=11,
            style=lambda line: price(currency, line[1].bought.unit_price),
            value=lambda line: line[1].bought.unit_price,
            formula=lambda line, _: f"={prices.of_line[line[0]].full_ref}",
        ),
        Column(
            name="amount",
            heading="Together",
            width=12,
            style=setting.money,
            value=lambda line: line[1].bought.amount,
            formula=lambda _, at: f"=ROUND({at['quantity']}*{at['price']},{currency.digits})",
            total=as_total(setting.money),
        ),
    )


def _write_claims(sheet: Sheet, setting: Setting, row: int) -> int:
    """Write for each section how good its boards are, and for lumber by volume that it is an allowance."""
    order, bought = setting.estimate.order, setting.estimate.buy_sheet
    texts = [f"{one.title}: {plan_text(order, one)}" for one in bought.boards]
    texts += [f"{one.title}: {allowance_text(one)}." for one in bought.volumes]
    if not texts:
        return row
    sheet.put_text(row, 1, "The lumber, and how good the plan is", SECTION)
    for text in texts:
        row += 1
        sheet.put_text_across(row, 1, COLUMNS, text, PARAGRAPH)
    return row + 1


PARAGRAPH = Style(name="Paragraph", wrap=True)


def _write_left_overs(sheet: Sheet, setting: Setting, row: int) -> None:
    rows = left_over_rows(setting.estimate.order, setting.estimate.buy_sheet)
    sheet.put_text(row, 1, "Left over when the job is done", SECTION)
    if not rows:
        sheet.put_text_across(row + 1, 1, COLUMNS, "Nothing worth keeping.", NOTE)
        return
    row += 1
    sheet.put_text_across(row, 1, 3, "What", HEADING)
    sheet.put_text_across(row, 4, 5, "How much", aligned(HEADING, "right"))
    for what, amount in rows:
        row += 1
        sheet.put_text_across(row, 1, 3, what, TEXT)
        sheet.put_text_across(row, 4, 5, amount, aligned(TEXT, "right"))
