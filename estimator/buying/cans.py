"""Finish: the cheapest cans that hold a need, how sure they are to be enough, and what to think of beside them."""

from dataclasses import dataclass
from fractions import Fraction
from math import floor

from estimator.buying.can_offers import TOUCH, Cans, Offers, single_cans
from estimator.buying.missing_rows import can_row
from estimator.buying.purchase import BuyLine, Purchase, shares
from estimator.buying.sets import two_part_offers
from estimator.errors import Findings, Origin
from estimator.reading.fields import name_key, nearest
from estimator.reading.finish_products import Mixture
from estimator.reading.order import Order
from estimator.reading.sold import FinishPrice
from estimator.takeoff.auxiliaries import AuxiliaryNeed
from estimator.takeoff.finish import FinishNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class Component:
    """What is in the cans of a purchase: the product itself, or the base or the hardener of a two-part one."""

    product: str
    need_gal: float
    content_gal: Fraction

    @property
    def left_over_gal(self) -> float:
        """Gallons bought beyond the need."""
        return float(self.content_gal) - self.need_gal

    @property
    def used_share(self) -> Fraction:
        """The part of it that goes into the work."""
        return min(Fraction(1), Fraction(self.need_gal) / self.content_gal)


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishPurchase(Purchase):
    """Cans of one product, with all that it is sold in; of a two-part product `content_gal` is the mixture."""

    need: FinishNeed
    content_gal: Fraction
    components: tuple[Component, ...]
    offers: Offers

    @property
    def left_over_gal(self) -> float:
        """Gallons bought beyond the need that was covered."""
        return float(self.content_gal) - self.need.need_gal


@dataclass(frozen=True, kw_only=True, slots=True)
class AuxiliaryPurchase(Purchase):
    """Cans of one thinner or cleaner."""

    need: AuxiliaryNeed
    content_gal: Fraction

    @property
    def left_over_gal(self) -> float:
        """Gallons bought beyond the need."""
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
    mixture = mixture_of(need)
    offers: Offers | None
    if mixture is None:
        offers = single_cans(need.product, order, findings)
        if offers is None:
            _fault_missing(need.product, order, findings, need.coats[0].step.origin, "product")
    else:
        offers = two_part_offers(need, mixture, order, findings)
    if offers is None:
        return None
    cans = offers.cheapest(need.need_gal)
    by_build: dict[str, Fraction] = {}
    for coat in need.coats:
        by_build[coat.build] = by_build.get(coat.build, Fraction(0)) + Fraction(coat.need_at_low_rate_gal)
    components = _components(cans, need, mixture)
    return FinishPurchase(
        kind="finish",
        title=need.product,
        lines=cans.lines,
        used_share=_used_share(cans, need, components),
        by_build=shares(by_build),
        need=need,
        content_gal=cans.content_gal,
        components=components,
        offers=offers,
    )


def mixture_of(need: FinishNeed) -> Mixture | None:
    """Return what a product is mixed with, None where it is used as it comes."""
    return need.label.mixture if need.label else None


def buy_auxiliary(need: AuxiliaryNeed, order: Order, findings: Findings) -> AuxiliaryPurchase | None:
    """Return the cheapest cans of a thinner or cleaner, or None with a fault where the table has none."""
    offers = single_cans(need.product, order, findings)
    if offers is None:
        use = need.uses[0]
        _fault_missing(need.product, order, findings, use.label.origin, use.auxiliary.role)
        return None
    cans = offers.cheapest(need.need_gal)
    return AuxiliaryPurchase(
        kind="finish",
        title=need.product,
        lines=cans.lines,
        used_share=min(Fraction(1), Fraction(need.need_gal) / cans.content_gal),
        by_build=shares(need.by_build),
        need=need,
        content_gal=cans.content_gal,
    )


def _fault_missing(product: str, order: Order, findings: Findings, origin: Origin, column: str) -> None:
    known = {row.product for row in order.prices.finishes}
    hint = nearest(product, known)
    row = can_row(product, origin, order.shop.price_tables, hint)
    findings.fault(origin, f'finishes.csv has no price for "{product}"{hint}; add a row', column, rows=(row,))


def _components(cans: Cans, need: FinishNeed, mixture: Mixture | None) -> tuple[Component, ...]:
    if mixture is None:
        return (Component(product=need.product, need_gal=need.need_gal, content_gal=cans.content_gal),)
    base_gal, hardener_gal = (need.need_gal * float(part) for part in (mixture.base_share, mixture.hardener_share))
    return (
        Component(product=need.product, need_gal=base_gal, content_gal=cans.base_gal),
        Component(product=mixture.hardener, need_gal=hardener_gal, content_gal=cans.hardener_gal),
    )


def _used_share(cans: Cans, need: FinishNeed, components: tuple[Component, ...]) -> Fraction:
    """Return the part of the money that goes into the work: of sets by their mixture, of cans by what they hold."""
    by_name = {name_key(one.product): one.used_share for one in components}
    of_mixture = min(Fraction(1), Fraction(need.need_gal) / cans.content_gal)

    def share_of(line: BuyLine) -> Fraction:
        a_set = isinstance(line.row, FinishPrice) and line.row.hardener_gal > 0
        return of_mixture if a_set else by_name[name_key(line.item)]

    used = sum((Fraction(line.amount) * share_of(line) for line in cans.lines), Fraction(0))
    return used / Fraction(cans.amount)


def choice_of_cans(purchase: FinishPurchase, order: Order) -> CanChoice:
    """Return what speaks for the cans of a purchase, with the dearer ones that are safe and the cheaper ones."""
    need, offers = purchase.need, purchase.offers
    most_gal, chance = need.need_at_low_rate_gal, chance_enough(purchase.content_gal, need)
    cheaper = _cheaper(purchase)
    return CanChoice(
        spare_share=float(purchase.content_gal) / most_gal - 1 if most_gal else None,
        chance=chance,
        safe=None if chance == 1 else offers.cheapest(most_gal),
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
    need = purchase.need
    cans = purchase.offers.most_for_less(need.need_gal)
    return cans if cans and float(cans.content_gal) > need.need_at_high_rate_gal * (1 + TOUCH) else None


def _more_units(purchase: FinishPurchase, order: Order) -> int | None:
    """Return how many more units of the only build what is left over would do, by the need that the cans cover."""
    if len(order.items) != 1 or not purchase.need.need_gal:
        return None
    per_unit_gal = purchase.need.need_gal / order.items[0].quantity
    return max(0, floor(purchase.left_over_gal / per_unit_gal + TOUCH))
