"""Lumber: prices a board foot far from those of the same wood.

By the board foot, since that is what one wood costs much the same by in every section and length.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from statistics import median

from estimator.buying.offers import board_feet_of, units_in_board
from estimator.keeping.checking.doubts import (
    FEWEST,
    Reading,
    Suspect,
    grouped,
    misfit,
    money,
    moved_points,
    near_readings,
    place_of,
    slip_text,
    times_off,
)
from estimator.keeping.price_measures import PRICED_PER
from estimator.reading.fields import name_key
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.reading.suppliers import Supplier
from estimator.reading.trade_units import factor, parse_per
from estimator.units import board_length_text

LUMBER_FACTOR = 2  # times the middle price of one wood a board foot; common practice, no source
SUPPLIERS_FACTOR = 4  # between what two suppliers ask for one wood; common practice, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class _Rated:
    """A price row and its net price in the shop's money for a board foot."""

    row: LumberPrice
    rate: float


def far_lumber(lumber: Sequence[LumberPrice], shop: Shop) -> list[Suspect]:
    """Return the prices a board foot that are far from the middle one of their species and grade.

    A supplier with enough prices of a wood is measured by these, and all of them by what the others ask.
    """
    suspects: list[Suspect] = []
    for wood in grouped(_rated(lumber), lambda one: (name_key(one.row.species), name_key(one.row.grade))):
        by_supplier = grouped(wood, lambda one: name_key(one.row.supplier))
        for own in by_supplier:
            suspects += _far_from_middle(own if len(own) >= FEWEST else wood, own, by_supplier, shop)
        suspects += _far_suppliers([own for own in by_supplier if len(own) >= FEWEST], shop)
        if len(wood) < FEWEST:
            suspects += _far_apart(wood, shop)
    return suspects


def _rated(lumber: Iterable[LumberPrice]) -> list[_Rated]:
    """Return rows with their rates; long lists hold few sections, lengths and units, so each is worked out once."""
    board_feet: dict[tuple[str, Fraction | None, str], float] = {}
    rated = []
    for row in lumber:
        key = row.section.text, row.length_in, row.per
        if key not in board_feet:
            board_feet[key] = float(_board_feet_priced(row))
        price = row.net_price if row.is_changed else row.price  # the same, and quicker where it is the shop's money
        rated.append(_Rated(row=row, rate=float(price) / board_feet[key]))
    return rated


def _board_feet_priced(row: LumberPrice) -> Fraction:
    """Return how many board feet, by nominal measure, the unit is that a row's price is per."""
    if row.pricing.basis == "board foot":
        return row.pricing.units
    if row.pricing.basis == "cubic foot":
        return row.pricing.units * factor("foot ** 3", "board_foot")
    return board_feet_of(row) / units_in_board(row)


def _far_from_middle(
    measured_by: Sequence[_Rated], own: Sequence[_Rated], by_supplier: Sequence[Sequence[_Rated]], shop: Shop
) -> list[Suspect]:
    if len(measured_by) < FEWEST:
        return []
    middle = median(one.rate for one in measured_by)
    others = [one.rate for supplier in by_supplier if supplier is not own for one in supplier]
    return [
        Suspect(
            origin=one.row.origin,
            weight=times_off(one.rate, middle),
            tell=partial(_tell_far, one, middle, measured_by, others if measured_by is own else (), shop),
        )
        for one in own
        if times_off(one.rate, middle) > LUMBER_FACTOR
    ]


def _far_suppliers(by_supplier: Sequence[Sequence[_Rated]], shop: Shop) -> list[Suspect]:
    """Return the suppliers whose prices of one wood are all far from those of the others, each once."""
    middles = [median(one.rate for one in own) for own in by_supplier]
    far = []
    for place, own in enumerate(by_supplier):
        rest = [middle for other, middle in enumerate(middles) if other != place]
        if rest and times_off(middles[place], median(rest)) > SUPPLIERS_FACTOR:
            far.append((own, middles[place], median(rest)))
    if len(by_supplier) == 2:  # either may be wrong: the one that a slip explains better, else the dearer one
        far.sort(key=lambda one: (misfit(_readings_of(_middle_row(one[0]), one[2]), one[2]), -one[1]))
        far = far[:1]
    return [
        Suspect(
            origin=own[0].row.origin,
            weight=times_off(middle, of_others),
            tell=partial(_tell_supplier, own, of_others, shop),
        )
        for own, middle, of_others in far
    ]


def _far_apart(wood: Sequence[_Rated], shop: Shop) -> list[Suspect]:
    """Return which of the only two prices of a wood is wrong where they are far apart."""
    if len(wood) != 2 or times_off(wood[0].rate, wood[1].rate) <= SUPPLIERS_FACTOR:
        return []
    both = ((wood[0], wood[1]), (wood[1], wood[0]))
    blamed, other = min(
        both, key=lambda pair: (misfit(_readings_of(pair[0], pair[1].rate), pair[1].rate), -pair[0].rate)
    )
    weight = times_off(blamed.rate, other.rate)
    return [Suspect(origin=blamed.row.origin, weight=weight, tell=partial(_tell_two, blamed, other, shop))]


def _middle_row(own: Sequence[_Rated]) -> _Rated:
    return sorted(own, key=lambda one: one.rate)[len(own) // 2]


def _readings_of(one: _Rated, middle: float) -> list[Reading]:
    """Return the units, and the places of the decimal point, that bring a price near the middle one."""
    row, readings = one.row, []
    for per in PRICED_PER:
        pricing = parse_per(per)
        by_volume = pricing.basis in ("board foot", "cubic foot")
        if pricing != row.pricing and (by_volume or row.length_in is not None):
            rate = float(row.net_price / _board_feet_priced(replace(row, per=per, pricing=pricing)))
            readings.append(Reading(words=f"as a price {per if per == 'each' else f'per {per}'}", rate=rate))
    return near_readings([*readings, *moved_points(float(row.price), one.rate)], middle)


def _tell_far(one: _Rated, middle: float, measured_by: Sequence[_Rated], others: Sequence[float], shop: Shop) -> str:
    wood = wood_text(one.row)
    near_to = _middle_of_section(one, measured_by) or middle
    elsewhere = f" ({_figure(median(others), shop)} at other suppliers)" if others else ""
    return (
        f"{_title(one.row, shop)} costs {_rate_text(one.rate, shop)}, and the middle price of {wood} is "
        f"{_figure(middle, shop)}{elsewhere}{_slip(one, near_to, shop)}"
    )


def _middle_of_section(one: _Rated, measured_by: Sequence[_Rated]) -> float | None:
    """Return the middle price of the same wood in the same section, itself left out; None where it has no other."""
    rates = [other.rate for other in measured_by if other is not one and other.row.section.text == one.row.section.text]
    return median(rates) if rates else None


def _tell_supplier(own: Sequence[_Rated], of_others: float, shop: Shop) -> str:
    typical = _middle_row(own)
    return (
        f"the {len(own):,} prices of {wood_text(own[0].row)} of {own[0].row.supplier} come to "
        f"{_rate_text(typical.rate, shop)}, and those of other suppliers to {_figure(of_others, shop)}"
        f"{_terms_text(own[0].row.seller) or _slip(typical, of_others, shop)}"
    )


def _terms_text(seller: Supplier | None) -> str:
    """Return the end of a sentence that names what changes all prices of a supplier; empty where nothing does."""
    terms = {
        "rate": seller.rate if seller and seller.rate_day else None,
        "tax_included_percent": seller.tax_included_percent if seller else None,
        "discount_percent": seller.discount_percent if seller else None,
    }
    named = [f"{name} = {value} in {seller.at(name)}" for name, value in terms.items() if seller and value]
    return f"; look first at {' and '.join(named)}" if named else ""


def _tell_two(blamed: _Rated, other: _Rated, shop: Shop) -> str:
    return (
        f"{_title(blamed.row, shop)} costs {_rate_text(blamed.rate, shop)}, and the only other price of "
        f"{wood_text(blamed.row)}, {place_of(other.row.origin, blamed.row.origin)}, is {_figure(other.rate, shop)}"
        f"{_slip(blamed, other.rate, shop)}"
    )


def _slip(one: _Rated, middle: float, shop: Shop) -> str:
    return slip_text(_readings_of(one, middle), lambda rate: _rate_text(rate, shop))


def wood_text(row: LumberPrice) -> str:
    """Return a wood with its grade."""
    return " ".join(filter(None, (row.species, row.grade)))


def _title(row: LumberPrice, shop: Shop) -> str:
    length = "random lengths" if row.length_in is None else board_length_text(row.length_in, shop.unit)
    return f"{wood_text(row)} {row.section.text}, {length}"


def _rate_text(rate: float, shop: Shop) -> str:
    """Return a price a board foot with the measure that the shop buys wood by."""
    return f"{_figure(rate, shop)} a {'board foot' if shop.unit == 'in' else 'm3'}"


def _figure(rate: float, shop: Shop) -> str:
    """Return a price a board foot as a figure for that measure."""
    return money(rate if shop.unit == "in" else rate * float(factor("meter ** 3", "board_foot")), shop.currency)
