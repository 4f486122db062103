"""Lumber of random length or width: bought by volume with an allowance for waste, not by a cutting plan.

The pieces' exact widths and lengths are added up and not the surface measure of boards, whole square feet each: which
boards the yard will hand over is not known yet.
"""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimator.buying.purchase import BuyLine, Purchase, shares, unit_price
from estimator.errors import Findings
from estimator.reading.cutting_settings import RandomLumber
from estimator.reading.fields import name_key
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.standards.board_measure import board_feet
from estimator.standards.grade_yield import find_grade
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import IN3_PER_FT3


@dataclass(frozen=True, kw_only=True, slots=True)
class VolumePurchase(Purchase):
    """Lumber bought by volume: an allowance by grade yield, in the unit the price is per."""

    need: LumberNeed
    row: LumberPrice
    rough_measure: Fraction  # of the pieces with their extra length and width, in the unit the price is per
    yield_percent: Fraction
    yield_source: str


def buy_volume(
    need: LumberNeed, rows: tuple[LumberPrice, ...], shop: Shop, findings: Findings
) -> VolumePurchase | None:
    """Return the cheapest volume that a need takes, or None with a fault where no yield is known for the grade.

    Volume = pieces with their extra length and width / yield, rounded up to a whole board foot or a thousandth of a
    larger unit, the way it is tallied; more of it where a price that holds from so much on makes that cheaper.
    """
    found = grade_yield(need.grade or rows[0].grade, shop.random_lumber)
    if found is None:
        findings.fault(
            need.pieces[0].part.origin,
            f"no yield is known for {need.title}; write the grade's yield under [yield_percent] in the shop settings",
            "grade",
        )
        return None
    percent, source = found
    offers = [(_offer(need, row, percent, shop), row) for row in rows]
    best, row = min(offers, key=lambda offer: (offer[0].amount, offer[0].quantity))
    return VolumePurchase(
        kind="lumber",
        title=need.title,
        lines=(best,),
        used_share=Fraction(_tallied(need, row, percent, shop)) / Fraction(best.quantity),
        by_build=shares(_by_build(need, row, shop.random_lumber)),
        need=need,
        row=row,
        rough_measure=rough_measure(need, row, shop.random_lumber),
        yield_percent=percent,
        yield_source=source,
    )


def grade_yield(grade: str, settings: RandomLumber) -> tuple[Fraction, str] | None:
    """Return a grade's yield in percent and its source: the shop's own, else the least that NHLA grading promises."""
    own = settings.yield_percent.get(name_key(grade))
    if own is not None:
        return Fraction(own), "shop setting"
    published = find_grade(grade)
    if published is None:
        return None
    return published.minimum_clear_yield * 100, f"NHLA {published.name}, least clear-face yield"


def rough_measure(need: LumberNeed, row: LumberPrice, settings: RandomLumber) -> Fraction:
    """Return the measure of all pieces with their extra length and width, in the unit the price is per."""
    return sum(_by_build(need, row, settings).values(), Fraction(0))


def _by_build(need: LumberNeed, row: LumberPrice, settings: RandomLumber) -> dict[str, Fraction]:
    used: dict[str, Fraction] = {}
    for piece in need.pieces:
        used[piece.build] = used.get(piece.build, Fraction(0)) + _piece_measure(need, piece, row, settings)
    return used


def _piece_measure(need: LumberNeed, piece: PieceNeed, row: LumberPrice, settings: RandomLumber) -> Fraction:
    # The blanks of rough lumber have their own extra already.
    extra_length_in, extra_width_in = (
        (0, 0) if need.section.rough else (settings.extra_length_in, settings.extra_width_in)
    )
    length_in = piece.blank_length_in + extra_length_in
    width_in = need.section.nominal_width_in or piece.blank_width_in + extra_width_in
    thickness_in = need.section.nominal_thickness_in
    if row.pricing.basis == "board foot":
        measure = board_feet(
            thickness_in=thickness_in, width_in=width_in, length_ft=length_in / 12, pieces=piece.blanks
        )
    else:
        measure = thickness_in * width_in * length_in * piece.blanks / IN3_PER_FT3
    return measure / row.pricing.units


def _offer(need: LumberNeed, row: LumberPrice, percent: Fraction, shop: Shop) -> BuyLine:
    least = row.from_quantity if row.from_quantity > 1 else 0
    quantity = max(_tallied(need, row, percent, shop), Decimal(least))
    return BuyLine(
        item=f"{need.title}, random lengths",
        quantity=quantity,
        unit=row.per,
        unit_price=unit_price(row, shop.currency),
        amount=shop.currency.rounded(row.net_price * Fraction(quantity)),
        row=row,
    )


def _tallied(need: LumberNeed, row: LumberPrice, percent: Fraction, shop: Shop) -> Decimal:
    """Return the volume that a need takes, in the unit the price is per."""
    wanted = rough_measure(need, row, shop.random_lumber) / (percent / 100)
    whole = row.pricing.basis == "board foot" and row.pricing.units == 1
    return Decimal(ceil(wanted)) if whole else Decimal(ceil(wanted * 1000)).scaleb(-3)
