"""Buy sheet: what to fetch from which supplier, with a box to tick, and what will be left over."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from itertools import groupby

from estimator.buying.offers import ON_HAND
from estimator.costing.bill import BillLine
from estimator.estimate import Estimate
from estimator.supplier_words import supplier_sentences
from estimator.wording import allowance_text, bought_item, left_over_rows, listed_price, plan_text
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, quantity_style
from estimator.workbook.page import start_new_page
from estimator.workbook.prices_sheet import PricePlaces
from estimator.workbook.styles import HEADING, NOTE, SECTION, TEXT, WRAPPED, Style, aligned, as_total, price
from estimator.workbook.table import Column, PlacedTable, write_table

BOX = Style(name="Box to tick", border="box", horizontal="center")
PARAGRAPH = Style(name="Paragraph", wrap=True)

IndexedLine = tuple[int, BillLine]


def write_buy_sheet(sheet: Sheet, setting: Setting, prices: PricePlaces) -> None:
    """Write everything to buy, a page for each supplier, and on a page for the shop the sums and the left-overs."""
    lines = sorted(enumerate(setting.estimate.bill), key=_supplier)
    blocks = [(name, tuple(some)) for name, some in groupby(lines, key=_supplier)]
    begin_sheet(
        sheet,
        setting,
        title="Buy sheet",
        subtitle="To take along: whole boards, packs and cans for the whole order.",
        landscape=False,
        heading_row=FIRST_ROW + 1 if len(blocks) == 1 else None,  # else it would stand above every other heading
    )
    columns, row = _columns(setting, prices), FIRST_ROW
    tables: list[PlacedTable] = []
    for name, some in blocks:
        if tables:
            start_new_page(sheet, row)
        sheet.put_text(row, 1, name, SECTION)
        tables.append(write_table(sheet, columns, some, row=row + 1, total_label=_to_pay(name)))
        row = tables[-1].next_row + 1
    if tables:
        start_new_page(sheet, row)
        row = _write_sums(sheet, setting, dict(blocks), tables, row)
    else:
        sheet.put_text(row, 1, "Nothing has to be bought.", NOTE)
    chosen = supplier_sentences(setting.estimate.order, setting.estimate.buy_sheet)
    if chosen:
        row = _write_texts(sheet, "Where it is bought", chosen, row + 1, len(columns))
    row = _write_claims(sheet, setting, row + 1, len(columns))
    _write_left_overs(sheet, setting, row + 1)


def _supplier(line: IndexedLine) -> str:
    return line[1].bought.row.supplier


def _to_pay(supplier: str) -> str:
    return "It counts" if supplier == ON_HAND else "To pay"


def _write_sums(
    sheet: Sheet,
    setting: Setting,
    blocks: Mapping[str, Sequence[IndexedLine]],
    tables: Sequence[PlacedTable],
    row: int,
) -> int:
    """Write what is paid to each supplier and in all; return the row behind them."""
    sheet.put_text(row, 1, "To pay", SECTION)
    places = []
    for (name, some), table in zip(blocks.items(), tables, strict=True):
        row += 1
        title = f"{ON_HAND}, at what it counts" if name == ON_HAND else name
        amount = sum((line.bought.amount for _, line in some), Decimal(0))
        total = table.total("amount")
        _write_title(sheet, row, total.column, title, TEXT)
        places.append(sheet.put_formula(row, total.column, f"={total.ref}", amount, setting.money))
    row += 1
    formula = f"=SUM({places[0].ref}:{places[-1].ref})"
    _write_title(sheet, row, places[0].column, "Total", as_total(TEXT))
    sheet.put_formula(row, places[0].column, formula, setting.estimate.buy_sheet.amount, as_total(setting.money))
    return row + 1


def _write_title(sheet: Sheet, row: int, behind: int, title: str, style: Style) -> None:
    """Write what a sum is of, across the columns before it."""
    sheet.put_text_across(row, 1, 2, title, style)
    for between in range(3, behind):
        sheet.put_blank(row, between, style)


def _columns(setting: Setting, prices: PricePlaces) -> tuple[Column[IndexedLine], ...]:
    currency = setting.estimate.order.shop.currency
    return (
        Column(name="box", heading="Got it", width=7, style=BOX, value=lambda _: None),
        Column(
            name="item",
            heading="Item",
            width=50,
            style=WRAPPED,
            value=lambda line: bought_item(setting.estimate.order, line[1].bought),
        ),
        Column(
            name="quantity",
            heading="How many",
            width=10,
            style=lambda line: quantity_style(line[1].bought.quantity),
            value=lambda line: line[1].bought.quantity,
        ),
        Column(name="unit", heading="Unit", width=18, style=TEXT, value=lambda line: line[1].bought.unit),
        *_listed_columns(setting.estimate),
        Column(
            name="price",
            heading="Each",
            width=11,
            style=lambda line: price(currency, line[1].bought.unit_price),
            value=lambda line: line[1].bought.exact_price,
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


def _listed_columns(estimate: Estimate) -> tuple[Column[IndexedLine], ...]:
    """Return the column of the prices that stand on a supplier's own list, where some are not those paid."""
    if not any(listed_price(estimate.order, line.bought) for line in estimate.bill):
        return ()
    return (
        Column(
            name="listed",
            heading="On their list",
            width=19,
            style=aligned(TEXT, "right"),
            value=lambda line: listed_price(estimate.order, line[1].bought) or None,
        ),
    )


def _write_claims(sheet: Sheet, setting: Setting, row: int, columns: int) -> int:
    """Write for each section how good its boards are, and for lumber by volume that it is an allowance."""
    order, bought = setting.estimate.order, setting.estimate.buy_sheet
    texts = [f"{one.title}: {plan_text(order, one)}" for one in bought.boards]
    texts += [f"{one.title}: {allowance_text(one)}." for one in bought.volumes]
    return _write_texts(sheet, "The lumber, and how good the plan is", texts, row, columns)


def _write_texts(sheet: Sheet, title: str, texts: list[str], row: int, columns: int) -> int:
    """Write a heading with a paragraph for each text, nothing where there are none; return the row behind them."""
    if not texts:
        return row
    sheet.put_text(row, 1, title, SECTION)
    for text in texts:
        row += 1
        sheet.put_text_across(row, 1, columns, text, PARAGRAPH)
    return row + 1


def _write_left_overs(sheet: Sheet, setting: Setting, row: int) -> None:
    rows = left_over_rows(setting.estimate.order, setting.estimate.buy_sheet)
    sheet.put_text(row, 1, "Left over when the job is done", SECTION)
    if not rows:
        sheet.put_text_across(row + 1, 1, 3, "Nothing worth keeping.", NOTE)
        return
    row += 1
    sheet.put_text_across(row, 1, 2, "What", HEADING)
    sheet.put_text_across(row, 3, 4, "How much", aligned(HEADING, "right"))
    for what, amount in rows:
        row += 1
        sheet.put_text_across(row, 1, 2, what, TEXT)
        sheet.put_text_across(row, 3, 4, amount, aligned(TEXT, "right"))
