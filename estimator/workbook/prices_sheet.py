"""Prices used: every price the estimate rests on, with its place and date; a price changed here carries through."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import TypeGuard

from estimator.buying.buy import is_stale
from estimator.buying.delivery import DELIVERY, TopUpRow
from estimator.buying.offers import units_in_board
from estimator.costing.bill import BillLine
from estimator.estimate import Estimate
from estimator.money import Currency
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.reading.prices import LabourRate
from estimator.reading.sold import LumberPrice, PriceRow
from estimator.reading.suppliers import Supplier
from estimator.workbook.cells import Sheet
from estimator.workbook.leaf import FIRST_ROW, Setting, begin_sheet, price_origin
from estimator.workbook.page import start_new_page
from estimator.workbook.places import Place
from estimator.workbook.styles import (
    DATE,
    NOTE,
    SECTION,
    TEXT,
    WARNING,
    WHOLE,
    WRAPPED,
    aligned,
    as_input,
    decimals,
    price,
)
from estimator.workbook.table import Column, Refs, write_table

LINES_ON_A_PAGE = 34  # of this sheet in print where none wraps, counted on letter paper


@dataclass(frozen=True, kw_only=True, slots=True)
class PricePlaces:
    """The cells that hold the price of one of each line of the bill, and the rate of each kind of labour."""

    of_line: tuple[Place, ...]
    of_rate: dict[str, Place]


def write_prices(sheet: Sheet, setting: Setting) -> PricePlaces:
    """Write the price rows behind the bill of materials and the labour, and return where the prices stand."""
    estimate = setting.estimate
    begin_sheet(
        sheet,
        setting,
        title="Prices used",
        subtitle="Change a framed price and every amount follows; which boards and packs are bought stays as planned.",
        landscape=True,
    )
    table = write_table(sheet, _columns(setting), estimate.bill, row=FIRST_ROW)
    rates = tuple({line.rate.name: line.rate for line in estimate.labour}.values())
    row = table.next_row + 1
    of_rate: dict[str, Place] = {}
    if rates:
        if len(estimate.bill) % LINES_ON_A_PAGE > LINES_ON_A_PAGE * 2 // 3:
            start_new_page(sheet, row)  # else the heading might stand alone at the foot of the page
        sheet.put_text(row, 1, "Labour rates", SECTION)
        placed = write_table(sheet, _rate_columns(setting), rates, row=row + 1)
        of_rate = {rate.name: placed.cell("price", index) for index, rate in enumerate(rates)}
        row = placed.next_row + 1
    limit = estimate.order.shop.stale_after_days
    sheet.put_text_across(row, 1, 9, f"A price older than {limit} days on the day of the quote is marked old.", NOTE)
    for text in _reached_minimums(estimate):
        row += 1
        sheet.put_text_across(row, 1, 9, text, NOTE)
    return PricePlaces(
        of_line=tuple(table.cell("price_of_one", index) for index in range(len(estimate.bill))), of_rate=of_rate
    )


def _reached_minimums(estimate: Estimate) -> list[str]:
    """Say which minimum orders are reached: no line tops them up, so none would follow a price that falls."""
    order, plan = estimate.order, estimate.buy_sheet.supplier_plan
    visited = {name_key(name) for name in plan.names} - plan.top_ups.keys() if plan else set()
    return [
        f"The minimum order of {one.name}, {order.shop.currency.text(one.minimum_order)}, is reached; at lower prices "
        "what is left of it would be paid too."
        for one in order.prices.suppliers
        if one.minimum_order and name_key(one.name) in visited
    ]


def _columns(setting: Setting) -> tuple[Column[BillLine], ...]:
    order = setting.estimate.order
    return (
        Column(name="supplier", heading="Supplier", width=24, style=TEXT, value=lambda line: line.bought.row.supplier),
        Column(name="item", heading="Item", width=40, style=WRAPPED, value=lambda line: line.bought.item),
        Column(
            name="price",
            heading="Price in the table",
            width=12,
            style=lambda line: as_input(price(_currency_of(line, order), line.bought.row.price)),
            value=lambda line: _listed(line.bought.row),
        ),
        Column(name="per", heading="Priced per", width=18, style=TEXT, value=_per),
        Column(name="units", heading="Of these in one", width=11, style=decimals(3), value=_units_in_one),
        Column(
            name="price_of_one",
            heading="Price of one bought",
            width=13,
            style=lambda line: price(order.shop.currency, line.bought.unit_price),
            value=lambda line: line.bought.exact_price,
            formula=lambda line, at: _price_of_one(line, at, setting.estimate),
        ),
        Column(name="day", heading="Date", width=12, style=DATE, value=lambda line: line.bought.row.day),
        Column(
            name="age",
            heading="Days old",
            width=9,
            style=lambda line: aligned(WARNING, "right") if line.stale else WHOLE,
            value=lambda line: (order.day - line.bought.row.day).days,
        ),
        Column(
            name="from",
            heading="File and line",
            width=28,
            style=lambda line: WARNING if line.stale else WRAPPED,
            value=lambda line: price_origin(line.bought.row.origin, stale=line.stale),
        ),
        *([_factor_column()] if any(line.bought.row.is_changed for line in setting.estimate.bill) else []),
    )


def _factor_column() -> Column[BillLine]:
    """Return what a price of 1 comes to in the shop's money: by the supplier's rate, its tax and its discount."""
    return Column(
        name="factor",
        heading="In our money: rate / (1 + tax) x (1 - discount)",
        width=18,
        style=decimals(6),
        value=lambda line: line.bought.row.seller.factor if line.bought.row.seller else Fraction(1),
        formula=lambda line, _: _factor_formula(line.bought.row.seller),
    )


def _factor_formula(seller: Supplier | None) -> str | None:
    if seller is None or seller.factor == 1:
        return None
    return f"={seller.rate}/(1+{seller.tax_included_percent}/100)*(1-{seller.discount_percent}/100)"


def _currency_of(line: BillLine, order: Order) -> Currency:
    """Return the currency that the price of a line is written in."""
    seller = line.bought.row.seller
    return seller.currency if seller else order.shop.currency


def _listed(row: PriceRow) -> Decimal:
    """Return the price that a row of a table says; for what tops up a minimum order, that minimum."""
    return row.minimum_order if isinstance(row, TopUpRow) else row.price


def _price_of_one(line: BillLine, at: Refs, estimate: Estimate) -> str:
    """Return the formula: a board costs whole coins, and what is not counted in boards costs what the table says.

    What tops up a minimum order is what the goods of that supplier leave of it.
    """
    digits = estimate.order.shop.currency.digits
    if isinstance(line.bought.row, TopUpRow):
        return f"=MAX(0,{at['price']}-{_goods_of(line.bought.row.supplier, at, estimate)})"
    factor = f"*{at['factor']}" if line.bought.row.is_changed else ""
    if _is_board(line.bought.row):
        return f"=ROUND({at['price']}*{at['units']}{factor},{digits})"
    return f"={at['price']}{factor}"


def _goods_of(supplier: str, at: Refs, estimate: Estimate) -> str:
    """Return the sum of what is bought from a supplier, in the rows of the same table; visits are none of it."""
    column, here = at["price_of_one"].rstrip("0123456789"), at["price_of_one"]
    place = next(
        n for n, line in enumerate(estimate.bill) if isinstance(line.bought.row, TopUpRow) and _sells(line, supplier)
    )
    first = int(here.removeprefix(column)) - place
    digits = estimate.order.shop.currency.digits
    amounts = (
        f"ROUND({line.bought.quantity}*{column}{first + n},{digits})"
        for n, line in enumerate(estimate.bill)
        if line.kind != DELIVERY and _sells(line, supplier)
    )
    return f"SUM({','.join(amounts)})"


def _sells(line: BillLine, supplier: str) -> bool:
    return name_key(line.bought.row.supplier) == name_key(supplier)


def _is_board(row: PriceRow) -> TypeGuard[LumberPrice]:
    return isinstance(row, LumberPrice) and row.length_in is not None


def _per(line: BillLine) -> str:
    row = line.bought.row
    return row.per if isinstance(row, LumberPrice) else line.bought.unit


def _units_in_one(line: BillLine) -> Fraction:
    row = line.bought.row
    return units_in_board(row) if _is_board(row) else Fraction(1)


def _is_old(rate: LabourRate, order: Order) -> bool:
    return is_stale((order.day - rate.day).days, order)


def _rate_columns(setting: Setting) -> tuple[Column[LabourRate], ...]:
    order = setting.estimate.order
    return (
        Column(name="supplier", heading="Who", width=24, style=TEXT, value=lambda _: order.shop.name),
        Column(name="item", heading="Kind of work", width=40, style=TEXT, value=lambda rate: rate.name),
        Column(
            name="price", heading="An hour", width=11, style=as_input(setting.money), value=lambda rate: rate.per_hour
        ),
        Column(name="per", heading="per", width=14, style=TEXT, value=lambda _: "hour"),
        Column(name="units", heading="", width=11, style=TEXT, value=lambda _: None),
        Column(name="price_of_one", heading="", width=13, style=TEXT, value=lambda _: None),
        Column(name="day", heading="Date", width=12, style=DATE, value=lambda rate: rate.day),
        Column(
            name="age",
            heading="Days old",
            width=9,
            style=lambda rate: aligned(WARNING, "right") if _is_old(rate, order) else WHOLE,
            value=lambda rate: (order.day - rate.day).days,
        ),
        Column(
            name="from",
            heading="File and line",
            width=28,
            style=lambda rate: WARNING if _is_old(rate, order) else WRAPPED,
            value=lambda rate: price_origin(rate.origin, stale=_is_old(rate, order)),
        ),
    )
