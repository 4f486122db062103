"""Costing: what each build bears of every line, and from there to its price; for the shop, not for the client."""

from dataclasses import dataclass, replace
from decimal import Decimal

from estimator.costing.quote import COST_KINDS, kinds_of
from estimator.reading.shop import KINDS
from estimator.workbook.cells import FormulaValue, Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet
from estimator.workbook.places import Area, Place
from estimator.workbook.shares_table import kind_sum, minutes_sum, write_shares
from estimator.workbook.styles import (
    HEADING,
    PERCENT,
    SECTION,
    TEXT,
    WHOLE,
    Style,
    aligned,
    as_input,
    as_total,
    decimals,
    price,
)
from estimator.workbook.table import PlacedTable

SETTINGS_ROW = FIRST_ROW
CALCULATION_ROW = SETTINGS_ROW + 9
SHARES_ROW = CALCULATION_ROW + 20
# A price over its step, so rounded, has lost the dust of binary fractions: 4.35 / 0.05 must not count as more than 87.
STEP_DIGITS = 7


@dataclass(frozen=True, kw_only=True, slots=True)
class CostingPlaces:
    """The cells the quote refers to: the price of one of each build, the tax and deposit shares.

    `line_taxes` are the taxes of the builds where the shop rounds on each line.
    """

    unit_prices: tuple[Place, ...]
    line_taxes: Area | None
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


def write_costing(sheet: Sheet, setting: Setting, bill: PlacedTable, labour: PlacedTable | None) -> CostingPlaces:
    """Write the settings, the calculation and the shares, and return the cells the quote refers to."""
    begin_sheet(
        sheet,
        setting,
        title="Costing",
        subtitle="For the shop; the client gets the first sheet alone. Change a framed cell and the quote follows.",
        landscape=True,
        heading_row=None,
    )
    shares = write_shares(sheet, setting, bill, labour, row=SHARES_ROW)
    settings = _write_settings(sheet, setting)
    _write_calculation(sheet, setting, settings, shares)
    builds = len(setting.estimate.quote.costs)
    return CostingPlaces(
        unit_prices=tuple(sheet.place(_row_at(setting, 10), 2 + place) for place in range(builds)),
        line_taxes=_in_line(sheet, _row_at(setting, 15), builds) if _is_taxed_by_line(setting) else None,
        tax=settings.tax,
        deposit=settings.deposit,
    )


def _row_at(setting: Setting, offset: int) -> int:
    """Return the row of a line of the calculation: the kinds of material, from the fifth line on labour and so on.

    Where something is paid for delivery, it is one more kind before the labour.
    """
    more = len(kinds_of(setting.estimate.quote.costs)) - len(COST_KINDS) if offset >= len(KINDS) else 0
    return CALCULATION_ROW + 2 + offset + more


def _is_taxed_by_line(setting: Setting) -> bool:
    return setting.estimate.order.shop.tax.rounded_per == "line"


def _in_line(sheet: Sheet, row: int, builds: int) -> Area:
    """Return the cells of all builds in a row of the calculation."""
    return Area(sheet=sheet.title, first_row=row, first_column=2, last_row=row, last_column=1 + builds)


def _write_settings(sheet: Sheet, setting: Setting) -> _Settings:
    shop, quote = setting.estimate.order.shop, setting.estimate.quote
    row = SETTINGS_ROW
    sheet.put_text(row, 1, "Shop settings", SECTION)
    by_margin = shop.profit.margin_percent is not None
    margin, markup = sheet.place(row + 1, 2), sheet.place(row + 2, 2)
    sheet.put_text(row + 1, 1, "Margin, share of the price", TEXT)
    sheet.put_text(row + 2, 1, "Markup, share of the cost", TEXT)
    if by_margin:
        sheet.put_number(row + 1, 2, quote.planned_margin, _percent_input(quote.planned_margin))
        sheet.put_formula(row + 2, 2, f"={margin.ref}/(1-{margin.ref})", quote.planned_markup, PERCENT)
    else:
        sheet.put_formula(row + 1, 2, f"={markup.ref}/(1+{markup.ref})", quote.planned_margin, PERCENT)
        sheet.put_number(row + 2, 2, quote.planned_markup, _percent_input(quote.planned_markup))
    sheet.put_text(row + 3, 1, "Price of one rounded up to", TEXT)
    step = sheet.put_number(row + 3, 2, shop.round_up_to, as_input(price(shop.currency, shop.round_up_to)))
    if shop.overhead.percent_of_labour is not None:
        sheet.put_text(row + 4, 1, "Overhead, share of labour", TEXT)
        share = shop.overhead.percent_of_labour / 100
        overhead = sheet.put_number(row + 4, 2, share, _percent_input(share))
    else:
        sheet.put_text(row + 4, 1, "Overhead, an hour of labour", TEXT)
        hourly = shop.overhead.per_labour_hour or Decimal(0)
        overhead = sheet.put_number(row + 4, 2, hourly, as_input(price(shop.currency, hourly)))
    tax_share, deposit_share = shop.tax.percent / 100, shop.deposit_percent / 100
    sheet.put_text(row + 5, 1, f"{shop.tax.name}, share of the price", TEXT)
    tax = sheet.put_number(row + 5, 2, tax_share, _percent_input(tax_share))
    sheet.put_text(row + 6, 1, "Deposit, share of the total", TEXT)
    deposit = sheet.put_number(row + 6, 2, deposit_share, _percent_input(deposit_share))
    return _Settings(margin=margin, markup=markup, step=step, overhead=overhead, tax=tax, deposit=deposit)


def _percent_input(share: Decimal) -> Style:
    """Return the style of a percentage one may change, with as many decimals as it is written with, at least one."""
    places = max(1, -2 - int(share.normalize().as_tuple().exponent))
    return as_input(replace(PERCENT, name=f"Percentage, {places} decimals", number_format=f"0.{'0' * places}%"))


def _write_calculation(sheet: Sheet, setting: Setting, settings: _Settings, shares: PlacedTable) -> None:
    """Write a column for each build from its costs down to its price, and a column of sums."""
    quote = setting.estimate.quote
    row = CALCULATION_ROW
    sheet.put_text(row, 1, "From cost to price", SECTION)
    titles = [
        *(f"{kind.capitalize()}" for kind in kinds_of(quote.costs)),
        "Cost of all",
        "Units",
        "Cost of one",
        "Price of one with profit",
        "Price of one, rounded up",
        "Price of all",
        "Margin reached",
        "Markup reached",
        "Minutes of labour",
        *([f"{setting.estimate.order.shop.tax.name} on it, rounded"] if _is_taxed_by_line(setting) else []),
    ]
    sheet.put_blank(row + 1, 1, HEADING)
    for offset, title in enumerate(titles):
        style = as_total(TEXT) if title in ("Cost of all", "Price of one, rounded up", "Price of all") else TEXT
        sheet.put_text(row + 2 + offset, 1, title, style)
    for place in range(len(quote.costs)):
        _write_build_column(sheet, setting, settings, shares, place)
    _write_sum_column(sheet, setting, len(quote.costs) + 2)


def _write_build_column(sheet: Sheet, setting: Setting, settings: _Settings, shares: PlacedTable, place: int) -> None:
    cost, shop = setting.estimate.quote.costs[place], setting.estimate.order.shop
    column, first, digits = 2 + place, CALCULATION_ROW + 2, shop.currency.digits
    sheet.widen(column, 15)
    sheet.put_text(first - 1, column, cost.build.name, aligned(HEADING, "right"))

    def at(offset: int) -> str:
        return sheet.place(_row_at(setting, offset), column).ref

    def put(offset: int, formula: str, value: FormulaValue, style: Style) -> None:
        sheet.put_formula(_row_at(setting, offset), column, formula, value, style)

    for row, kind in enumerate(kinds_of(setting.estimate.quote.costs)[:-1], start=first):
        sheet.put_formula(row, column, kind_sum(shares, kind, place), cost.by_kind[kind], setting.money)
    overhead = (
        f"{at(4)}*{settings.overhead.ref}"
        if shop.overhead.percent_of_labour is not None
        else f"{at(14)}*{settings.overhead.ref}/60"
    )
    put(5, f"=ROUND({overhead},{digits})", cost.by_kind["overhead"], setting.money)
    put(6, f"=SUM({at(0)}:{at(5)})", cost.cost, as_total(setting.money))
    sheet.put_number(_row_at(setting, 7), column, cost.quantity, WHOLE)
    put(8, f"=ROUND({at(6)}/{at(7)},{digits})", cost.unit_cost, setting.money)
    with_profit = (
        f"{at(8)}/(1-{settings.margin.ref})"
        if shop.profit.margin_percent is not None
        else f"{at(8)}*(1+{settings.markup.ref})"
    )
    put(9, f"=ROUND({with_profit},{digits})", cost.price_before_rounding, setting.money)
    step = settings.step.ref
    put(10, f"=ROUNDUP(ROUND({at(9)}/{step},{STEP_DIGITS}),0)*{step}", cost.unit_price, as_total(setting.money))
    put(11, f"={at(7)}*{at(10)}", cost.amount, as_total(setting.money))
    put(12, _profit_share(at(11), at(6), at(11)), _over(cost.amount - cost.cost, cost.amount), PERCENT)
    put(13, _profit_share(at(11), at(6), at(6)), _over(cost.amount - cost.cost, cost.cost), PERCENT)
    minutes = minutes_sum(shares, place) if setting.estimate.labour else "=0"
    put(14, minutes, cost.minutes, decimals(1))
    if _is_taxed_by_line(setting):
        tax = shop.currency.rounded(cost.amount * shop.tax.percent / 100)
        put(15, f"=ROUND({at(11)}*{settings.tax.ref},{digits})", tax, setting.money)


def _write_sum_column(sheet: Sheet, setting: Setting, column: int) -> None:
    quote, first = setting.estimate.quote, CALCULATION_ROW + 2
    sheet.widen(column, 15)
    sheet.put_text(first - 1, column, "Together", aligned(HEADING, "right"))

    def at(offset: int) -> str:
        return sheet.place(_row_at(setting, offset), column).ref

    def put_sum_in(row: int, value: FormulaValue, style: Style) -> None:
        sheet.put_formula(row, column, f"=SUM({_in_line(sheet, row, column - 2).ref})", value, style)

    def put_sum(offset: int, value: FormulaValue, style: Style) -> None:
        put_sum_in(_row_at(setting, offset), value, style)

    for row, kind in enumerate(kinds_of(quote.costs), start=first):
        put_sum_in(row, sum((cost.by_kind[kind] for cost in quote.costs), Decimal(0)), setting.money)
    put_sum(6, quote.cost, as_total(setting.money))
    put_sum(7, sum(cost.quantity for cost in quote.costs), WHOLE)
    for offset in (8, 9):
        sheet.put_blank(_row_at(setting, offset), column, TEXT)
    sheet.put_blank(_row_at(setting, 10), column, as_total(TEXT))
    put_sum(11, quote.subtotal, as_total(setting.money))
    sheet.put_formula(_row_at(setting, 12), column, _profit_share(at(11), at(6), at(11)), quote.margin, PERCENT)
    sheet.put_formula(_row_at(setting, 13), column, _profit_share(at(11), at(6), at(6)), quote.markup, PERCENT)
    put_sum(14, sum((cost.minutes for cost in quote.costs), Decimal(0)), decimals(1))
    if _is_taxed_by_line(setting):
        put_sum(15, quote.tax, setting.money)


def _profit_share(price: str, cost: str, whole: str) -> str:
    """Return the formula of the profit as a share; 0 where a build bears nothing at all."""
    return f"=IF({whole}=0,0,({price}-{cost})/{whole})"


def _over(part: Decimal, whole: Decimal) -> Decimal:
    return part / whole if whole else Decimal(0)
