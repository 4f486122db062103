"""Buy sheet: what to fetch from which supplier, with a box to tick, and what will be left over."""

from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from estimator.costing.bill import BillLine
from estimator.supplier_words import supplier_sentences
from estimator.wording import allowance_text, bought_item, left_over_rows, plan_text
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, quantity_style
from estimator.workbook.page import start_new_page
from estimator.workbook.prices_sheet import PricePlaces
from estimator.workbook.styles import HEADING, NOTE, SECTION, TEXT, WRAPPED, Style, aligned, as_total, price
from estimator.workbook.table import Column, PlacedTable, write_table

BOX = Style(name="Box to tick", border="box", horizontal="center")
COLUMNS = 7


def write_buy_sheet(sheet: Sheet, setting: Setting, prices: PricePlaces) -> None:
    """Write everything to buy, a page for each supplier, and on a page for the shop the sums and the left-overs."""
    begin_sheet(
        sheet,
        setting,
        title="Buy sheet",
        subtitle="To take along: whole boards, packs and cans for the whole order.",
        landscape=False,
    )
    lines = sorted(enumerate(setting.estimate.bill), key=lambda line: line[1].bought.row.supplier)
    table = write_table(sheet, _columns(setting, prices), lines, row=FIRST_ROW)
    blocks = [_Block(supplier=name, lines=tuple(group)) for name, group in groupby(enumerate(lines), key=_supplier)]
    for block in blocks[1:]:
        start_new_page(sheet, table.first_row + block.lines[0][0])
    start_new_page(sheet, table.next_row + 1)
    row = _write_suppliers(sheet, setting, table, blocks, table.next_row + 1)
    chosen = supplier_sentences(setting.estimate.order, setting.estimate.buy_sheet)
    if chosen:
        row = _write_texts(sheet, "Where it is bought", chosen, row + 1)
    row = _write_claims(sheet, setting, row + 1)
    _write_left_overs(sheet, setting, row + 1)


IndexedLine = tuple[int, BillLine]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Block:
    """The lines of one supplier, each with its place in the table."""

    supplier: str
    lines: tuple[tuple[int, IndexedLine], ...]

    @property
    def amount(self) -> Decimal:
        """What is paid there."""
        return sum((line.bought.amount for _, (_, line) in self.lines), Decimal(0))


def _supplier(placed: tuple[int, IndexedLine]) -> str:
    return placed[1][1].bought.row.supplier


def _write_suppliers(sheet: Sheet, setting: Setting, table: PlacedTable, blocks: list[_Block], row: int) -> int:
    """Write what is paid to each supplier."""
    sheet.put_text(row, 1, "To pay", SECTION)
    for block in blocks:
        row += 1
        first, last = (table.cell("amount", block.lines[end][0]).ref for end in (0, -1))
        sheet.put_text_across(row, 1, 3, block.supplier, TEXT)
        sheet.put_formula(row, COLUMNS, f"=SUM({first}:{last})", block.amount, setting.money)
        for column in range(4, COLUMNS):
            sheet.put_blank(row, column, TEXT)
    return row + 1


def _columns(setting: Setting, prices: PricePlaces) -> tuple[Column[IndexedLine], ...]:
    currency = setting.estimate.order.shop.currency
    return (
        Column(name="box", heading="Got it", width=7, style=BOX, value=lambda _: None),
        Column(
            name="supplier", heading="Supplier", width=26, style=WRAPPED, value=lambda line: line[1].bought.row.supplier
        ),
        Column(
            name="item",
            heading="Item",
            width=42,
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


def _write_claims(sheet: Sheet, setting: Setting, row: int) -> int:
    """Write for each section how good its boards are, and for lumber by volume that it is an allowance."""
    order, bought = setting.estimate.order, setting.estimate.buy_sheet
    texts = [f"{one.title}: {plan_text(order, one)}" for one in bought.boards]
    texts += [f"{one.title}: {allowance_text(one)}." for one in bought.volumes]
    return _write_texts(sheet, "The lumber, and how good the plan is", texts, row)


def _write_texts(sheet: Sheet, title: str, texts: list[str], row: int) -> int:
    """Write a heading with a paragraph for each text, nothing where there are none; return the row behind them."""
    if not texts:
        return row
    sheet.put_text(row, 1, title, SECTION)
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
