"""Boards to be had: from the price tables as many as wanted, or on hand so many."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.missing_rows import lumber_row
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice
from estimator.reading.stock import StockRow
from estimator.reading.trade_units import parse_per
from estimator.standards.board_measure import board_feet
from estimator.takeoff.lumber import LumberNeed
from estimator.units import IN3_PER_FT3

# Who boards on hand are listed under.
ON_HAND = "On hand"


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """Boards of one length at one price; those `on_hand` only as many as there are.

    While a plan is sought for a price break, `paid` are the boards that are paid for by it: there are so many for
    nothing.
    """

    row: LumberPrice
    unit_price: Decimal
    on_hand: StockRow | None = None
    paid: int | None = None

    @property
    def length_in(self) -> Fraction:
        """How long the boards are."""
        return self.row.length_in or Fraction(0)

    @property
    def limit(self) -> int | None:
        """How many there are, or None for as many as wanted."""
        return self.on_hand.quantity if self.on_hand else self.paid


def board_price(row: LumberPrice, currency: Currency) -> Decimal:
    """Return what one board costs, rounded to the cent: the price times how many of its units the board holds."""
    return currency.rounded(row.net_price * units_in_board(row))


def units_in_board(row: LumberPrice) -> Fraction:
    """Return how many of the units its price is per one board holds: feet, metres, board feet, cubic metres, or 1."""
    length_in = row.length_in or Fraction(0)
    measure = {
        "each": Fraction(1),
        "foot": length_in / 12,
        "board foot": board_feet_of(row),
        "cubic foot": cubic_feet_of(row),
    }[row.pricing.basis]
    return measure / row.pricing.units


def board_feet_of(row: LumberPrice) -> Fraction:
    """Return the board feet of one board, by nominal measure."""
    section = row.section
    return board_feet(
        thickness_in=section.nominal_thickness_in,
        width_in=section.nominal_width_in or 0,
        length_ft=(row.length_in or Fraction(0)) / 12,
    )


def cubic_feet_of(row: LumberPrice) -> Fraction:
    """Return the cubic feet of one board, by nominal size."""
    section = row.section
    length_in = row.length_in or Fraction(0)
    return section.nominal_thickness_in * (section.nominal_width_in or 0) * length_in / IN3_PER_FT3


def offers_on_hand(
    need: LumberNeed, rows: tuple[LumberPrice, ...], order: Order, findings: Findings
) -> tuple[Offer, ...]:
    """Return what the shop has of a need's wood, at what it counts there; a fault where its price cannot be known."""
    offers = []
    for stock in stock_of(need, order):
        value = _value(stock, rows, order)
        if value is None:
            message = (
                f"{need.title} on hand is to count at cost, and lumber.csv has no price for it; add a row, or "
                'choose stock_value = "free"'
            )
            row = lumber_row(need, order.shop)
            findings.fault(stock.origin, message, "section", rows=(row,))
            continue
        offers.append(Offer(row=_row_of(stock, value, order), unit_price=value, on_hand=stock))
    return tuple(offers)


def stock_of(need: LumberNeed, order: Order) -> list[StockRow]:
    """Return the boards on hand of a need's wood."""
    return [
        stock
        for stock in order.stock
        if stock.quantity and stock.is_of(species=need.species, grade=need.grade, section=need.section)
    ]


def _value(stock: StockRow, rows: tuple[LumberPrice, ...], order: Order) -> Decimal | None:
    """Return what one board on hand counts by the shop's rule: nothing, its share of the cheapest price, its own."""
    currency = order.shop.currency
    if order.shop.saw.stock_value == "set":
        return stock.value
    if order.shop.saw.stock_value == "free":
        return Decimal(0)
    single = [row for row in rows if row.from_quantity == 1] or rows
    rates = [Fraction(board_price(row, currency)) / row.length_in for row in single if row.length_in]
    return currency.rounded(min(rates) * stock.length_in) if rates else None


def _row_of(stock: StockRow, value: Decimal, order: Order) -> LumberPrice:
    """Return a price row for boards on hand, so that they are listed like those from a yard."""
    return LumberPrice(
        origin=stock.origin,
        supplier=ON_HAND,
        price=value,
        day=order.day,
        species=stock.species,
        grade=stock.grade,
        section=stock.section,
        length_in=stock.length_in,
        per="each",
        pricing=parse_per("each"),
    )
