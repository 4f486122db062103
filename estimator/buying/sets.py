"""Two-part finish: base and hardener in sets, or in cans of their own, whichever holds a need at the least cost."""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from estimator.buying.can_offers import CanOffers, Cans, can_offers, rows_of
from estimator.buying.missing_rows import can_row
from estimator.errors import Findings
from estimator.measures import measures
from estimator.reading.finish_products import Mixture
from estimator.reading.order import Order
from estimator.reading.sold import FinishPrice
from estimator.takeoff.finish import FinishNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class CansApart:
    """Base and hardener in cans of their own."""

    base: CanOffers
    hardener: CanOffers
    mixture: Mixture

    def cheapest(self, need_gal: float) -> Cans:
        """Return the cheapest cans of either for its share of so much mixture."""
        base = self.base.cheapest(need_gal * float(self.mixture.base_share))
        hardener = self.hardener.cheapest(need_gal * float(self.mixture.hardener_share))
        return Cans(
            lines=(*base.lines, *hardener.lines),
            content_gal=self.mixture.made_of(base.base_gal, hardener.base_gal),
            base_gal=base.base_gal,
            hardener_gal=hardener.base_gal,
        )

    def most_under(self, cost: Fraction, need_gal: float) -> Cans | None:
        """Return, of all cans under a cost, those that give most mixture; the cost must buy none that give the need.

        The most mixture is as many whole steps of the scarcer part, and what it costs never falls as it grows: for
        either part the last number of steps under the cost is found by halving.
        """
        found = [
            self.cheapest(float(steps * part.step_gal / share))
            for part, share in ((self.base, self.mixture.base_share), (self.hardener, self.mixture.hardener_share))
            if (steps := self._last_under(cost, part, share, part.steps(need_gal * float(share)))) > 0
        ]
        return max(found, key=lambda cans: (cans.content_gal, -cans.cost), default=None)

    def _last_under(self, cost: Fraction, part: CanOffers, share: Fraction, steps: int) -> int:
        """Return the last number of steps of a part, 1 to `steps`, whose mixture costs less; 0 where none does."""
        return bisect_left(
            range(1, steps + 1), cost, key=lambda count: self.cheapest(float(count * part.step_gal / share)).cost
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class TwoPartOffers:
    """Sets, cans apart or both; sets beside cans apart are not looked at, nor is what several sets have too much of.

    Each set counts for the mixture that its scarcer part allows. So sets alone and cans apart alone are the cheapest of
    their kind, while a set with one more can of hardener may cost less than both.
    """

    ways: tuple[CanOffers | CansApart, ...]

    def cheapest(self, need_gal: float) -> Cans:
        """Return the cheaper of the cheapest sets and the cheapest cans apart; sets where both cost the same."""
        return min((way.cheapest(need_gal) for way in self.ways), key=lambda cans: cans.cost)

    def most_for_less(self, need_gal: float) -> Cans | None:
        """Return, of all sets and of all cans apart that cost less, those that give most mixture."""
        cost = self.cheapest(need_gal).cost
        found = [cans for way in self.ways if (cans := way.most_under(cost, need_gal))]
        return max(found, key=lambda cans: (cans.content_gal, -cans.cost), default=None)


def two_part_offers(need: FinishNeed, mixture: Mixture, order: Order, findings: Findings) -> TwoPartOffers | None:
    """Return what a two-part product is sold in, or None with a fault where neither of the two ways is whole."""
    rows = rows_of(need.product, order)
    sets = [row for row in rows if row.hardener_gal]
    base = [row for row in rows if not row.hardener_gal]
    hardener = [row for row in rows_of(mixture.hardener, order) if not row.hardener_gal]
    ways: list[CanOffers | CansApart] = []
    if sets:
        made = [mixture.made_of(row.content_gal, row.hardener_gal) for row in sets]
        _notice_odd_sets(sets, made, mixture, order, findings)
        ways.append(can_offers(sets, made, order.shop.currency))
    if base and hardener:
        ways.append(CansApart(base=_cans(base, order), hardener=_cans(hardener, order), mixture=mixture))
    if not ways:
        missing = [product for product, rows in ((need.product, base), (mixture.hardener, hardener)) if not rows]
        _fault_missing(need, mixture, order, findings, missing=missing)
        return None
    return TwoPartOffers(ways=tuple(ways))


def _cans(rows: list[FinishPrice], order: Order) -> CanOffers:
    return can_offers(rows, [row.content_gal for row in rows], order.shop.currency)


def _fault_missing(
    need: FinishNeed, mixture: Mixture, order: Order, findings: Findings, *, missing: Sequence[str]
) -> None:
    origin = need.coats[0].step.origin
    findings.fault(
        origin,
        f'finishes.csv has no price for "{missing[0]}" in a can, nor for "{need.product}" in a set of base and '
        f'hardener; add rows for cans of "{need.product}" and of "{mixture.hardener}", or for sets, with a container '
        "like 1 gal + 1 qt",
        "product",
        rows=tuple(can_row(product, origin, order.shop.price_tables) for product in missing),
    )


def _notice_odd_sets(
    sets: list[FinishPrice], made: list[Fraction], mixture: Mixture, order: Order, findings: Findings
) -> None:
    """Note each set that does not hold both parts in the ratio of the mixture."""
    shown = measures(order.shop.unit)
    for row, mixture_gal in zip(sets, made, strict=True):
        over_gal = row.content_gal + row.hardener_gal - mixture_gal
        if over_gal:
            odd = "hardener" if row.hardener_gal > mixture_gal * mixture.hardener_share else "base"
            findings.notice(
                row.origin,
                f'the set of "{row.container}" does not hold {mixture.text} of base and hardener; it counts for the '
                f"{shown.liquid_of(mixture_gal):.2f} {shown.liquid} that can be mixed of it, and "
                f"{shown.liquid_of(over_gal):.2f} {shown.liquid} of {odd} are left",
            )
