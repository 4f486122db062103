"""Finish: the cheapest cans that hold a need, how sure they are to be enough, and what to think of beside them."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from estimator.buying.packs import Pack, cheapest_of_each_size, cheapest_packs, most_for_less
from estimator.buying.purchase import BuyLine, Purchase, pack_lines, shares, whole_prices
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.prices import FinishPrice
from estimator.takeoff.finish import FinishNeed
from estimator.units import L_PER_GAL, common_step

# Cans of both systems share no step that is not absurdly fine; their contents are then counted in millilitres.
MOST_CAN_UNITS = 10_000
TOUCH = 1e-9  # a need that only floating point puts above a content


@dataclass(frozen=True, kw_only=True, slots=True)
class Cans:
    """Some cans of one product."""

    lines: tuple[BuyLine, ...]
    content_gal: Fraction

    @property
    def amount(self) -> Decimal:
        """What they cost."""
        return sum((line.amount for line in self.lines), Decimal(0))


@dataclass(frozen=True, kw_only=True, slots=True)
class CanOffers:
    """The cans a product is sold in, the cheapest of each content, which `packs` count in whole steps."""

    rows: tuple[FinishPrice, ...]
    packs: tuple[Pack, ...]
    step_gal: Fraction
    currency: Currency

    def steps(self, need_gal: float) -> int:
        """Return how many steps hold a need; one on no area still opens a can."""
        return max(1, ceil(need_gal / float(self.step_gal) - TOUCH))

    def cheapest(self, steps: int) -> Cans:
        """Return the cheapest cans that hold so many steps."""
        return self._cans(cheapest_packs(steps, self.packs))

    def most_for_less(self, steps: int) -> Cans:
        """Return, of all cans that cost less than the cheapest for so many steps, those that hold most."""
        counts = cheapest_packs(steps, self.packs)
        price = sum(count * pack.price for count, pack in zip(counts, self.packs, strict=True))
        return self._cans(most_for_less(price, self.packs, below=steps))

    def _cans(self, counts: tuple[int, ...]) -> Cans:
        names = [(row.product, f"can of {row.container}") for row in self.rows]
        content_gal = sum((count * row.content_gal for count, row in zip(counts, self.rows, strict=True)), Fraction(0))
        return Cans(lines=pack_lines(self.rows, counts, names, self.currency), content_gal=content_gal)


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishPurchase(Purchase):
    """Cans of one product, with all that it is sold in."""

    need: FinishNeed
    content_gal: Fraction
    offers: CanOffers

    @property
    def left_over_gal(self) -> float:
        """Gallons bought beyond the need that was covered."""
        return float(self.content_gal) - self.need.need_gal


@dataclass(frozen=True, kw_only=True, slots=True)
class CanChoice:
    """How sure the cans of a purchase are to be enough, and what to think of beside them.

    `spare_share` is what they hold beyond the need at the low rate, as a share of it: below zero where they fall short,
    None where nothing is needed. `safe` are the cheapest cans that do hold it, None where those bought do. `cheaper`
    are, of all cans that cost less, those that hold most; None where they cannot be enough. `more_units` is how many
    more units what is left over would do, None where the order has several builds.
    """

    spare_share: float | None
    chance: float
    safe: Cans | None
    cheaper: Cans | None
    cheaper_chance: float
    more_units: int | None


def buy_finish(need: FinishNeed, order: Order, findings: Findings) -> FinishPurchase | None:
    """Return the cheapest cans for a need, or None with a fault where the table has none."""
    rows = [row for row in order.prices.finishes if name_key(row.product) == name_key(need.product)]
    if not rows:
        known = {row.product for row in order.prices.finishes}
        findings.fault(
            need.coats[0].step.origin,
            f'finishes.csv has no price for "{need.product}"{nearest(need.product, known)}; add a row',
            "product",
        )
        return None
    offers = _offers(rows, order.shop.currency)
    cans = offers.cheapest(offers.steps(need.need_gal))
    by_build: dict[str, Fraction] = {}
    for coat in need.coats:
        by_build[coat.build] = by_build.get(coat.build, Fraction(0)) + Fraction(coat.need_at_low_rate_gal)
    return FinishPurchase(
        kind="finish",
        title=need.product,
        lines=cans.lines,
        used_share=min(Fraction(1), Fraction(need.need_gal) / cans.content_gal),
        by_build=shares(by_build),
        need=need,
        content_gal=cans.content_gal,
        offers=offers,
    )


def _offers(rows: list[FinishPrice], currency: Currency) -> CanOffers:
    rows = [rows[place] for place in cheapest_of_each_size((row.content_gal, row.price) for row in rows)]
    step_gal = common_step(tuple(row.content_gal for row in rows))
    if max(row.content_gal for row in rows) / step_gal > MOST_CAN_UNITS:
        step_gal = 1 / L_PER_GAL / 1000
    packs = tuple(
        Pack(size=floor(row.content_gal / step_gal), price=price)
        for row, price in zip(rows, whole_prices(rows), strict=True)
    )
    return CanOffers(rows=tuple(rows), packs=packs, step_gal=step_gal, currency=currency)


def choice_of_cans(purchase: FinishPurchase, order: Order) -> CanChoice:
    """Return what speaks for the cans of a purchase, with the dearer ones that are safe and the cheaper ones."""
    need, offers = purchase.need, purchase.offers
    most_gal, chance = need.need_at_low_rate_gal, chance_enough(purchase.content_gal, need)
    cheaper = _cheaper(purchase)
    return CanChoice(
        spare_share=float(purchase.content_gal) / most_gal - 1 if most_gal else None,
        chance=chance,
        safe=None if chance == 1 else offers.cheapest(offers.steps(most_gal)),
        cheaper=cheaper,
        cheaper_chance=chance_enough(cheaper.content_gal, need) if cheaper else 0.0,
        more_units=_more_units(purchase, order),
    )


def chance_enough(content_gal: Fraction, need: FinishNeed) -> float:
    """Return the chance, 0 to 1, that a content is enough, the need taken as evenly spread between both its ends.

    That no end of a label's range is likelier than the other is an assumption; common practice, no source.
    """
    least_gal, most_gal, content = need.need_at_high_rate_gal, need.need_at_low_rate_gal, float(content_gal)
    if content >= most_gal * (1 - TOUCH):
        return 1.0
    return max(0.0, (content - least_gal) / (most_gal - least_gal))


def _cheaper(purchase: FinishPurchase) -> Cans | None:
    """Return, of all cans that cost less than those bought, those that hold most, if they may be enough."""
    need, offers = purchase.need, purchase.offers
    cans = offers.most_for_less(offers.steps(need.need_gal))
    return cans if float(cans.content_gal) > need.need_at_high_rate_gal * (1 + TOUCH) else None


def _more_units(purchase: FinishPurchase, order: Order) -> int | None:
    """Return how many more units of the only build what is left over would do, by the need that the cans cover."""
    if len(order.items) != 1 or not purchase.need.need_gal:
        return None
    per_unit_gal = purchase.need.need_gal / order.items[0].quantity
    return max(0, floor(purchase.left_over_gal / per_unit_gal + TOUCH))
