"""Quote: the one sheet that goes to the client, with nothing on it that is the shop's own business."""

from dataclasses import replace

from estimator.costing.quote import BuildCost
from estimator.workbook.cells import ROW_HEIGHT_PT, Sheet
from estimator.workbook.costing_sheet import CostingPlaces
from estimator.workbook.leaf import Setting
from estimator.workbook.page import set_up_page
from estimator.workbook.styles import SECTION, SUBTITLE, TEXT, TITLE, WHOLE, WRAPPED, Style, aligned, as_total
from estimator.workbook.table import Column, PlacedTable, write_table

LETTERHEAD = replace(TITLE, name="Letterhead", wrap=True)
ADDRESS = replace(SUBTITLE, name="Letterhead, address", wrap=True)
LINE = Style(name="Letter paragraph", wrap=True)
STRONG = replace(LINE, name="Letter paragraph, strong", bold=True)
SIGNATURE = replace(SUBTITLE, name="Line to sign on", border="below")
WIDTHS = (24, 38, 10, 14, 15)
LAST_COLUMN = len(WIDTHS)
PAGE_TEXT = "Page &P"  # without the number of pages: that would count the sheets the client never sees


def write_quote(sheet: Sheet, setting: Setting, costing: CostingPlaces) -> None:
    """Write the client's page: who, what, how many, at what price, until when, on what terms."""
    order, quote = setting.estimate.order, setting.estimate.quote
    set_up_page(
        sheet, paper=setting.paper, landscape=False, footer=f"{order.shop.name}  ·  {order.title}", page_text=PAGE_TEXT
    )
    for number, width in enumerate(WIDTHS, start=1):
        sheet.widen(number, width)
    row = _write_letterhead(sheet, setting)
    table = write_table(sheet, _columns(setting, costing), tuple(enumerate(quote.costs)), row=row)
    row = _write_sums(sheet, setting, costing, table)
    row = _write_terms(sheet, setting, row + 1)
    sheet.set_height(row + 2, 2 * ROW_HEIGHT_PT)
    sheet.put_text_across(row + 2, 1, LAST_COLUMN, "Accepted (date, signature)", SIGNATURE)


def _write_letterhead(sheet: Sheet, setting: Setting) -> int:
    order, quote = setting.estimate.order, setting.estimate.quote
    sheet.put_text_across(1, 1, LAST_COLUMN, order.shop.name, LETTERHEAD)
    address = "  ·  ".join(filter(None, [*order.shop.address, order.shop.contact]))
    sheet.put_text_across(2, 1, LAST_COLUMN, address, ADDRESS)
    sheet.put_text(4, 1, "Quote", SECTION)
    facts = [
        ("For", order.client),
        *(("", line) for line in order.client_address),
        ("Subject", order.title),
        ("Reference", order.reference),
        ("Date", str(quote.day)),
        ("Price good until", str(quote.valid_until)),
    ]
    row = 5
    for label, fact in facts:
        if fact:
            sheet.put_text(row, 1, label, LINE)
            sheet.put_text_across(row, 2, LAST_COLUMN, fact, STRONG if label in ("For", "Price good until") else LINE)
            row += 1
    return row + 1


def _columns(setting: Setting, costing: CostingPlaces) -> tuple[Column[tuple[int, BuildCost]], ...]:
    return (
        Column(name="name", heading="Piece", width=24, style=WRAPPED, value=lambda line: line[1].build.name),
        Column(
            name="description",
            heading="Description",
            width=38,
            style=WRAPPED,
            value=lambda line: line[1].build.description,
        ),
        Column(name="quantity", heading="Quantity", width=10, style=WHOLE, value=lambda line: line[1].quantity),
        Column(
            name="price",
            heading="Each",
            width=14,
            style=setting.money,
            value=lambda line: line[1].unit_price,
            formula=lambda line, _: f"={costing.unit_prices[line[0]].full_ref}",
        ),
        Column(
            name="amount",
            heading="Amount",
            width=15,
            style=setting.money,
            value=lambda line: line[1].amount,
            formula=lambda _, at: f"={at['quantity']}*{at['price']}",
        ),
    )


def _write_sums(sheet: Sheet, setting: Setting, costing: CostingPlaces, table: PlacedTable) -> int:
    order, quote = setting.estimate.order, setting.estimate.quote
    row, digits = table.next_row, order.shop.currency.digits
    amounts = table.column("amount").ref
    subtotal, tax, total = (sheet.place(row + offset, 5) for offset in range(3))
    each_line = costing.line_taxes is not None
    tax_formula = (
        f"=SUM({costing.line_taxes.full_ref})"
        if costing.line_taxes
        else f"=ROUND({subtotal.ref}*{costing.tax.full_ref},{digits})"
    )
    rounding = ", rounded on each line" if each_line else ""  # else one could not reckon it from the subtotal
    lines = [
        ("Subtotal", f"=SUM({amounts})", quote.subtotal, False),
        (f"{order.shop.tax.name}, {order.shop.tax.percent} %{rounding}", tax_formula, quote.tax, False),
        ("Total", f"={subtotal.ref}+{tax.ref}", quote.total, True),
    ]
    if quote.deposit:
        title = f"Deposit with the order, {order.shop.deposit_percent} %"
        lines.append((title, f"=ROUND({total.ref}*{costing.deposit.full_ref},{digits})", quote.deposit, False))
    for title, formula, value, strong in lines:
        label = aligned(as_total(TEXT) if strong else TEXT, "right")
        sheet.put_text_across(row, 1, 4, title, label)
        sheet.put_formula(row, 5, formula, value, as_total(setting.money) if strong else setting.money)
        row += 1
    return row


def _write_terms(sheet: Sheet, setting: Setting, row: int) -> int:
    order, quote = setting.estimate.order, setting.estimate.quote
    sheet.put_text(row, 1, "Terms", SECTION)
    row += 1
    until = f"This price holds until {quote.valid_until}. After that day materials are priced anew."
    for term in (until, *order.shop.terms):
        sheet.put_text_across(row, 1, LAST_COLUMN, term, LINE)
        row += 1
    return row
