"""Costing: what each build bears of every line, and from there to its price; for the shop, not for the client."""

from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from estimator.costing.bill import BillLine
from estimator.costing.labour import LabourLine
from estimator.reading.shop import KINDS
from estimator.workbook.cells import FormulaValue, Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.page import start_new_page
from estimator.workbook.places import Area, Place
from estimator.workbook.styles import (
    HEADING,
    NOTE,
    PERCENT,
    SECTION,
    TEXT,
    WHOLE,
    WRAPPED,
    Style,
    aligned,
    as_input,
    as_total,
    decimals,
)
from estimator.workbook.table import Column, PlacedTable, Refs, write_table

SHARE = decimals(4)
LABEL_WIDTH = 34
SETTINGS_ROW = FIRST_ROW
CALCULATION_ROW = SETTINGS_ROW + 9
SPLIT_ROW = CALCULATION_ROW + 20


@dataclass(frozen=True, kw_only=True, slots=True)
class CostingPlaces:
    """The cells the quote refers to: the price of one of each build, the tax and deposit shares."""

    unit_prices: tuple[Place, ...]
    tax: Place
    deposit: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class _Settings:
    margin: Place
    markup: Place
    step: Place
    overhead: Place
    tax: Place
    deposit: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class _Split:
    """Where the two tables of shares landed; None where there is nothing to share out."""

    materials: PlacedTable | None
    labour: PlacedTable | None


def write_costing(sheet: Sheet, setting: Setting, bill: PlacedTable, labour: PlacedTable | None) -> CostingPlaces:
    """Write the settings, the calculation and the shares, and return the cells the quote refers to."""
    begin_sheet(
        sheet,
        setting,
        title="Costing",
        subtitle="For the shop, not for the client. Change a framed cell and the quote follows.",
        landscape=True,
        heading_row=None,
    )
    sheet.widen(1, LABEL_WIDTH)
    split = _write_shares(sheet, setting, bill, labour)
    settings = _write_settings(sheet, setting)
    unit_prices = _write_calculation(sheet, setting, settings, split)
    return CostingPlaces(unit_prices=unit_prices, tax=settings.tax, deposit=settings.deposit)


def _write_settings(sheet: Sheet, setting: Setting) -> _Settings:
    shop, quote = setting.estimate.order.shop, setting.estimate.quote
    row = SETTINGS_ROW
    sheet.put_text(row, 1, "Shop settings", SECTION)
    by_margin = shop.profit.margin_percent is not None
    margin, markup = sheet.place(row + 1, 2), sheet.place(row + 2, 2)
    sheet.put_text(row + 1, 1, "Margin, share of the price", TEXT)
    sheet.put_text(row + 2, 1, "Markup, share of the cost", TEXT)
    if by_margin:
        sheet.put_number(row + 1, 2, quote.planned_margin, as_input(PERCENT))
        sheet.put_formula(row + 2, 2, f"={margin.ref}/(1-{margin.ref})", quote.planned_markup, PERCENT)
    else:
        sheet.put_formula(row + 1, 2, f"={markup.ref}/(1+{markup.ref})", quote.planned_margin, PERCENT)
        sheet.put_number(row + 2, 2, quote.planned_markup, as_input(PERCENT))
    sheet.put_text(row + 3, 1, "Price of one rounded up to", TEXT)
    step = sheet.put_number(row + 3, 2, shop.round_up_to, as_input(setting.money))
    if shop.overhead.percent_of_labour is not None:
        sheet.put_text(row + 4, 1, "Overhead, share of labour", TEXT)
        overhead = sheet.put_number(row + 4, 2, shop.overhead.percent_of_labour / 100, as_input(PERCENT))
    else:
        sheet.put_text(row + 4, 1, "Overhead, an hour of labour", TEXT)
        hourly = shop.overhead.per_labour_hour or Decimal(0)
        overhead = sheet.put_number(row + 4, 2, hourly, as_input(setting.money))
    sheet.put_text(row + 5, 1, f"{shop.tax.name}, share of the price", TEXT)
    tax = sheet.put_number(row + 5, 2, shop.tax.percent / 100, as_input(_fine_percent()))
    sheet.put_text(row + 6, 1, "Deposit, share of the total", TEXT)
    deposit = sheet.put_number(row + 6, 2, shop.deposit_percent / 100, as_input(PERCENT))
    return _Settings(margin=margin, markup=markup, step=step, overhead=overhead, tax=tax, deposit=deposit)


def _fine_percent() -> Style:
    return Style(name="Percentage, two decimals", number_format="0.00%", border="below", horizontal="right", indent=1)


def _write_calculation(sheet: Sheet, setting: Setting, settings: _Settings, split: _Split) -> tuple[Place, ...]:
    """Write a column for each build from its costs down to its price, and a column of sums; return the unit prices."""
    quote = setting.estimate.quote
    row = CALCULATION_ROW
    sheet.put_text(row, 1, "From cost to price", SECTION)
    titles = [
        *(f"{kind.capitalize()}" for kind in KINDS),
        "Labour",
        "Overhead",
        "Cost of all",
        "Units",
        "Cost of one",
        "Price of one with profit",
        "Price of one, rounded up",
        "Price of all",
        "Margin reached",
        "Markup reached",
        "Minutes of labour",
    ]
    sheet.put_text(row + 1, 1, "", HEADING)
    for offset, title in enumerate(titles):
        style = as_total(TEXT) if title in ("Cost of all", "Price of one, rounded up", "Price of all") else TEXT
        sheet.put_text(row + 2 + offset, 1, title, style)
    for place in range(len(quote.costs)):
        _write_build_column(sheet, setting, settings, split, place)
    _write_sum_column(sheet, setting, len(quote.costs) + 2)
    price_row = row + 2 + titles.index("Price of one, rounded up")
    return tuple(sheet.place(price_row, 2 + place) for place in range(len(quote.costs)))


def _write_build_column(sheet: Sheet, setting: Setting, settings: _Settings, split: _Split, place: int) -> None:
    cost, shop = setting.estimate.quote.costs[place], setting.estimate.order.shop
    column, row, digits = 2 + place, CALCULATION_ROW + 2, shop.currency.digits
    sheet.widen(column, 15)
    sheet.put_text(row - 1, column, cost.build.name, aligned(HEADING, "right"))

    def at(offset: int) -> str:
        return sheet.place(row + offset, column).ref

    def put(offset: int, formula: str, value: FormulaValue, style: Style) -> None:
        sheet.put_formula(row + offset, column, formula, value, style)

    for offset, kind in enumerate(KINDS):
        put(offset, _kind_sum(split.materials, kind, place), cost.by_kind[kind], setting.money)
    put(4, _sum_of(split.labour, f"amount {place}"), cost.by_kind["labour"], setting.money)
    minutes = at(14)
    base = at(4) if shop.overhead.percent_of_labour is not None else f"{minutes}/60"
    put(5, f"=ROUND({base}*{settings.overhead.ref},{digits})", cost.by_kind["overhead"], setting.money)
    put(6, f"=SUM({at(0)}:{at(5)})", cost.cost, as_total(setting.money))
    sheet.put_number(row + 7, column, cost.quantity, WHOLE)
    put(8, f"=ROUND({at(6)}/{at(7)},{digits})", cost.unit_cost, setting.money)
    with_profit = (
        f"{at(8)}/(1-{settings.margin.ref})"
        if shop.profit.margin_percent is not None
        else f"{at(8)}*(1+{settings.markup.ref})"
    )
    put(9, f"=ROUND({with_profit},{digits})", cost.price_before_rounding, setting.money)
    put(10, f"=CEILING({at(9)},{settings.step.ref})", cost.unit_price, as_total(setting.money))
    put(11, f"={at(7)}*{at(10)}", cost.amount, as_total(setting.money))
    put(12, f"=({at(11)}-{at(6)})/{at(11)}", (cost.amount - cost.cost) / cost.amount, PERCENT)
    put(13, f"=({at(11)}-{at(6)})/{at(6)}", (cost.amount - cost.cost) / cost.cost, PERCENT)
    put(14, _minutes_sum(split.labour, place), cost.minutes, decimals(1))


def _write_sum_column(sheet: Sheet, setting: Setting, column: int) -> None:
    quote, row = setting.estimate.quote, CALCULATION_ROW + 2
    sheet.widen(column, 15)
    sheet.put_text(row - 1, column, "Together", aligned(HEADING, "right"))

    def at(offset: int) -> str:
        return sheet.place(row + offset, column).ref

    def put_sum(offset: int, value: FormulaValue, style: Style) -> None:
        line = Area(
            sheet=sheet.title,
            first_row=row + offset,
            first_column=2,
            last_row=row + offset,
            last_column=column - 1,
        )
        sheet.put_formula(row + offset, column, f"=SUM({line.ref})", value, style)

    for offset, kind in enumerate((*KINDS, "labour", "overhead")):
        put_sum(offset, sum((cost.by_kind[kind] for cost in quote.costs), Decimal(0)), setting.money)
    put_sum(6, quote.cost, as_total(setting.money))
    put_sum(7, sum(cost.quantity for cost in quote.costs), WHOLE)
    for offset in (8, 9):
        sheet.put_blank(row + offset, column, TEXT)
    sheet.put_blank(row + 10, column, as_total(TEXT))
    put_sum(11, quote.subtotal, as_total(setting.money))
    sheet.put_formula(row + 12, column, f"=({at(11)}-{at(6)})/{at(11)}", quote.margin, PERCENT)
    sheet.put_formula(row + 13, column, f"=({at(11)}-{at(6)})/{at(6)}", quote.markup, PERCENT)
    put_sum(14, sum((cost.minutes for cost in quote.costs), Decimal(0)), decimals(1))


def _kind_sum(table: PlacedTable | None, kind: str, place: int) -> str:
    if table is None:
        return "=0"
    return f'=SUMIF({table.column("kind").ref},"{kind}",{table.column(f"amount {place}").ref})'


def _sum_of(table: PlacedTable | None, column: str) -> str:
    return "=0" if table is None else f"=SUM({table.column(column).ref})"


def _minutes_sum(table: PlacedTable | None, place: int) -> str:
    if table is None:
        return "=0"
    return f"=SUMPRODUCT({table.column('minutes').ref},{table.column(f'share {place}').ref})"


SharedLine = TypeVar("SharedLine", BillLine, LabourLine)


def _write_shares(sheet: Sheet, setting: Setting, bill: PlacedTable, labour: PlacedTable | None) -> _Split:
    estimate = setting.estimate
    row = SPLIT_ROW
    start_new_page(sheet, row)
    sheet.put_text(row, 1, "What each build bears", SECTION)
    sheet.put_text(
        row + 1,
        1,
        "Boards by the length each build's parts take, packs by pieces, cans by need, order-wide labour by minutes; "
        "the last build takes the odd cent.",
        NOTE_LINE,
    )
    materials = None
    row += 2
    if estimate.bill:
        lines = tuple(enumerate(estimate.bill))
        materials = write_table(sheet, _material_columns(setting, bill), lines, row=row)
        row = materials.next_row + 1
    hours = None
    if labour is not None:
        operations = tuple(enumerate(estimate.labour))
        hours = write_table(sheet, _labour_columns(setting, labour), operations, row=row)
    return _Split(materials=materials, labour=hours)


NOTE_LINE = Style(name="Remark, one line", size_pt=NOTE.size_pt, italic=True, colour=NOTE.colour)


def _material_columns(setting: Setting, bill: PlacedTable) -> tuple[Column[tuple[int, BillLine]], ...]:
    return (
        Column(name="item", heading="Line", width=LABEL_WIDTH, style=WRAPPED, value=lambda line: line[1].bought.item),
        Column(name="kind", heading="Kind", width=15, style=TEXT, value=lambda line: line[1].kind),
        Column(
            name="whole",
            heading="Charged",
            width=15,
            style=setting.money,
            value=lambda line: line[1].charged,
            formula=lambda line, _: f"={bill.cell('charged', line[0]).full_ref}",
            total=as_total(setting.money),
        ),
        *_share_columns(setting, BillLine),
    )


def _labour_columns(setting: Setting, labour: PlacedTable) -> tuple[Column[tuple[int, LabourLine]], ...]:
    return (
        Column(
            name="item",
            heading="Operation",
            width=LABEL_WIDTH,
            style=WRAPPED,
            value=lambda line: f"{line[1].operation.name} ({line[1].scope})",
        ),
        Column(
            name="minutes",
            heading="Minutes",
            width=15,
            style=decimals(2),
            value=lambda line: line[1].minutes,
            formula=lambda line, _: f"={labour.cell('minutes', line[0]).full_ref}",
            total=as_total(decimals(2)),
        ),
        Column(
            name="whole",
            heading="Amount",
            width=15,
            style=setting.money,
            value=lambda line: line[1].amount,
            formula=lambda line, _: f"={labour.cell('amount', line[0]).full_ref}",
            total=as_total(setting.money),
        ),
        *_share_columns(setting, LabourLine),
    )


def _share_columns(setting: Setting, kind: type[SharedLine]) -> list[Column[tuple[int, SharedLine]]]:
    """Return for each build its share of a line and its amount; the last build takes what the others leave."""
    order = setting.estimate.order
    columns: list[Column[tuple[int, SharedLine]]] = []
    for place, item in enumerate(order.items):
        columns += [
            _share_column(item.build.name, place, kind),
            _amount_column(setting, item.build.name, place, kind),
        ]
    return columns


def _share_column(name: str, place: int, _: type[SharedLine]) -> Column[tuple[int, SharedLine]]:
    return Column(
        name=f"share {place}",
        heading=f"Share of {name}",
        width=15,
        style=SHARE,
        value=lambda line: line[1].shares[place],
    )


def _amount_column(setting: Setting, name: str, place: int, _: type[SharedLine]) -> Column[tuple[int, SharedLine]]:
    digits, last = setting.estimate.order.shop.currency.digits, len(setting.estimate.order.items) - 1

    def formula(at: Refs) -> str:
        if place < last:
            return f"=ROUND({at['whole']}*{at[f'share {place}']},{digits})"
        return "=" + "-".join([at["whole"], *(at[f"amount {other}"] for other in range(place))])

    return Column(
        name=f"amount {place}",
        heading=name,
        width=15,
        style=setting.money,
        value=lambda line: line[1].by_build[place],
        formula=lambda _, at: formula(at),
        total=as_total(setting.money),
    )
