"""The cheapest boards for a need from changing offers, as long as only their cost matters.

Which boards can be cut into the need's pieces does not depend on who sells them nor at what price. So one search is
kept for a need while suppliers and price breaks are looked through: what was found out with some offers serves the
others, and most of them need no plan.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING

from estimator.buying.cutting.job import CuttingError, CuttingJob, CuttingPlan, NotEnoughStock, PieceTooLong
from estimator.buying.layouts import CutLayout
from estimator.buying.offers import Offer, board_price
from estimator.buying.price_breaks import Cheapest, Guess, Solved, Terms, cheapest_answer, cost_of
from estimator.buying.sold_items import SoldItem, sold_items
from estimator.buying.whole_numbers import Grid, cut_layout, cutting_job, grids, laid_on, on_hand_first, stocks_of
from estimator.money import Currency
from estimator.reading.cutting_settings import SawSettings
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.takeoff.lumber import LumberNeed

if TYPE_CHECKING:
    from estimator.buying.cutting.repricing import KnownCuts

# Plans that are made to choose among price breaks; what is open then counts by its bound.
MOST_PLANS = 24

BoardItem = SoldItem[LumberPrice]
Offered = tuple[tuple[Offer, int | None], ...]  # each with the place of the item it is of; None for boards on hand
Placed = tuple[tuple[CutLayout, int | None], ...]  # layouts, each with the place of the item its boards are of


def board_items(rows: Sequence[LumberPrice], currency: Currency) -> list[BoardItem]:
    """Return the boards that are for sale, their prices in coins."""
    coins = 10**currency.digits
    return sold_items(rows, lambda row: int(board_price(row, currency) * coins))


def offered(
    items: Sequence[BoardItem], terms: Sequence[Terms], on_hand: Sequence[Offer], currency: Currency
) -> Offered:
    """Return what there is under terms, boards on hand first."""
    found: list[tuple[Offer, int | None]] = [(offer, None) for offer in on_hand]
    for place, (item, one) in enumerate(zip(items, terms, strict=True)):
        if one.paid:
            found.append((Offer(row=item.first, unit_price=Decimal(0), paid=one.paid), place))
        if one.price is not None:
            price = Decimal(one.price).scaleb(-currency.digits)
            found.append((Offer(row=item.first, unit_price=price), place))
    return tuple(found)


def placed_on(layouts: Sequence[CutLayout], offers: Offered) -> Placed:
    """Return layouts, each with the place of the item whose boards it cuts."""
    item_of = {id(offer): place for offer, place in offers}
    return tuple((layout, item_of[id(layout.offer)]) for layout in layouts)


def used_of(placed: Placed, items: int) -> tuple[int, ...]:
    """Return how many boards of each item layouts use."""
    used = [0] * items
    for layout, place in placed:
        if place is not None:
            used[place] += layout.boards
    return tuple(used)


class BoardSearch:
    """What was found out about the boards for a need, whoever sells them; all else stays the same."""

    def __init__(self) -> None:
        self.plans: dict[tuple[CutLayout, ...], None] = {}
        self._jobs: dict[Grid, CuttingJob] = {}
        self._known: dict[Grid, KnownCuts] = {}
        self._grids: dict[tuple[Fraction, ...], tuple[Grid, ...]] = {}

    def cheapest(
        self, need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop
    ) -> Cheapest[Placed]:
        """Return the cheapest boards found. Raises PieceTooLong and NotEnoughStock."""
        market = _Market(self, need, items, on_hand, shop)
        known = [one for layouts in self.plans if (one := market.known_plan(layouts))]
        market.may_refuse = not known
        tiers = [item.tiers for item in items]
        best = cheapest_answer(tiers, market.under_terms, MOST_PLANS, guess=market.guess, known=known)
        if best is None:
            raise AssertionError("the first terms are open to all that is for sale")
        return best if market.all_proved else replace(best, bound=min(best.bound, market.first_bound or 0))

    def grids(self, need: LumberNeed, offers: tuple[Offer, ...], saw: SawSettings) -> tuple[Grid, ...]:
        """Return the grids for offers of these lengths."""
        lengths_in = tuple(offer.length_in for offer in offers)
        if lengths_in not in self._grids:
            self._grids[lengths_in] = grids(need, offers, saw)
        return self._grids[lengths_in]

    def job(self, need: LumberNeed, offers: tuple[Offer, ...], shop: Shop, grid: Grid) -> CuttingJob:
        """Return the need in whole steps and coins; the pieces are reckoned once for each grid."""
        if grid not in self._jobs:
            job = cutting_job(need, offers, shop.saw, shop.currency, grid)
            self._jobs[grid] = replace(job, prefer=(), kits=())
        return replace(self._jobs[grid], stocks=stocks_of(offers, shop.saw, shop.currency, grid))

    def cuts(self, grid: Grid) -> "KnownCuts":
        """Return what is known of the cuts on a grid."""
        from estimator.buying.cutting.repricing import KnownCuts  # noqa: PLC0415 - numpy and HiGHS load with it

        return self._known.setdefault(grid, KnownCuts())


class _Market:
    """Some offers for a need: guesses, plans and known plans at their prices."""

    def __init__(
        self, search: BoardSearch, need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop
    ) -> None:
        self.search = search
        self.need = need
        self.items = items
        self.on_hand = on_hand
        self.shop = shop
        self.first_bound: int | None = None
        self.may_refuse = True  # that there is no plan under the first terms; later refusals are those of their terms
        self.all_proved = True  # whether no terms were given up for want of a plan that may exist

    def guess(self, terms: tuple[Terms, ...], cutoff: int | None) -> Guess | None:
        """Return a bound by the board counts that are known to be too few; None where none are known."""
        from estimator.buying.cutting.repricing import least_counts  # noqa: PLC0415 - see above

        found = offered(self.items, terms, self.on_hand, self.shop.currency)
        if not found:
            return None
        offers = tuple(offer for offer, _ in found)
        grid, *_ = self.search.grids(self.need, offers, self.shop.saw)
        try:
            least = least_counts(self.search.job(self.need, offers, self.shop, grid), self.search.cuts(grid), cutoff)
        except PieceTooLong:
            return None  # a plan will tell
        if least is None:
            return None
        self._note_first(least.bound, terms)
        return Guess(least.bound, least.counts and self._by_item(found, least.counts))

    def under_terms(self, terms: tuple[Terms, ...]) -> Solved[Placed] | None:
        """Return the plan under terms, None where there is none; that of the first terms must be there."""
        found = offered(self.items, terms, self.on_hand, self.shop.currency)
        if not found:
            return None
        try:
            solved = self._solved(found)
        except CuttingError as refusal:
            if self.may_refuse:
                raise
            self.all_proved &= not isinstance(refusal, NotEnoughStock) or refusal.proved
            return None
        self._note_first(solved.bound, terms)
        self.may_refuse = False
        return solved

    def known_plan(self, layouts: Sequence[CutLayout]) -> Cheapest[Placed] | None:
        """Return a known plan on the boards of these items, each length on those that are cheapest for all of it.

        None where they are too short.
        """
        counts: dict[Fraction, int] = {}
        for layout in layouts:
            if not layout.offer.on_hand:
                counts[layout.board_length_in] = counts.get(layout.board_length_in, 0) + layout.boards
        chosen = {length_in: self._cheapest_item(length_in, boards) for length_in, boards in counts.items()}
        if None in chosen.values():
            return None
        placed = tuple(self._moved(layout, chosen.get(layout.board_length_in)) for layout in layouts)
        used = used_of(placed, len(self.items))
        cost = sum(cost_of(item.tiers, boards) for item, boards in zip(self.items, used, strict=True))
        coins = 10**self.shop.currency.digits
        cost += sum(layout.boards * int(layout.unit_price * coins) for layout, place in placed if place is None)
        return Cheapest(answer=placed, counts=used, cost=cost, bound=0)

    def _cheapest_item(self, length_in: Fraction, boards: int) -> int | None:
        """Return the item that is cheapest for so many boards no shorter than this."""
        fitting = [place for place, item in enumerate(self.items) if (item.first.length_in or 0) >= length_in]
        return min(fitting, key=lambda place: cost_of(self.items[place].tiers, boards), default=None)

    def _moved(self, layout: CutLayout, place: int | None) -> tuple[CutLayout, int | None]:
        """Return a layout on a board of an item; as it is where its own is on hand."""
        if layout.offer.on_hand or place is None:
            return layout, None
        offer = Offer(row=self.items[place].first, unit_price=Decimal(0))
        return laid_on(offer, layout.boards, layout.strips, self.shop.saw), place

    def _by_item(self, found: Offered, counts: Sequence[int]) -> tuple[int, ...]:
        used = [0] * len(self.items)
        for (_, place), boards in zip(found, counts, strict=True):
            if place is not None:
                used[place] += boards
        return tuple(used)

    def _note_first(self, bound: int, terms: Sequence[Terms]) -> None:
        if self.first_bound is None:
            self.first_bound = bound + sum(one.constant for one in terms)

    def _solved(self, found: Offered) -> Solved[Placed]:
        """Return a plan under some terms, its cost and bound without what they have paid for."""
        from estimator.buying.cutting.repricing import replan  # noqa: PLC0415 - see above

        offers, saw = tuple(offer for offer, _ in found), self.shop.saw

        def planned(grid: Grid) -> CuttingPlan:
            return replan(self.search.job(self.need, offers, self.shop, grid), self.search.cuts(grid))

        plan, layouts, bound = first_fitting(planned, self.search.grids(self.need, offers, saw), self.need, offers, saw)
        self.search.plans[layouts] = None
        placed = placed_on(layouts, found)
        return Solved(answer=placed, counts=used_of(placed, len(self.items)), cost=plan.cost, bound=bound)


def first_fitting(
    planned: Callable[[Grid], CuttingPlan],
    on_grids: Sequence[Grid],
    need: LumberNeed,
    offers: tuple[Offer, ...],
    saw: SawSettings,
) -> tuple[CuttingPlan, tuple[CutLayout, ...], int]:
    """Return the first plan that fits in exact measures, its layouts and a cost that no plan is under, in coins.

    Where measures are rounded: first so that everything fits more easily than it does. The bound of that holds for the
    exact measures, and so does its plan where it fits them. Where it does not, they are rounded the safe way.
    """
    bounds: list[int] = []
    for grid in on_grids:
        plan = planned(grid)
        bounds.append(plan.lower_bound)
        layouts = [cut_layout(layout, need, offers, saw, grid) for layout in plan.layouts]
        fitting = [layout for layout in layouts if layout is not None]
        if len(fitting) == len(layouts):
            # What a price break has paid for is free only while the plan is sought; it gives way to nothing.
            paid = tuple(layout for layout in fitting if layout.offer.paid is not None)
            others = tuple(layout for layout in fitting if layout.offer.paid is None)
            return plan, (*paid, *on_hand_first(others, offers, saw)), min(plan.cost, bounds[0])
    raise AssertionError("what was rounded the safe way does not fit")
