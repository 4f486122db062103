"""The cheapest boards for a need and how to cut them, price breaks and boards on hand counted in."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from estimator.buying.cutting.job import CuttingError, CuttingPlan, NotEnoughStock
from estimator.buying.layouts import CutLayout
from estimator.buying.offers import Offer, board_price
from estimator.buying.price_breaks import Solved, Terms, cheapest_answer, cost_of, settled_terms
from estimator.buying.sold_items import SoldItem, sold_items
from estimator.buying.whole_numbers import cut_layout, cutting_job, grids, on_hand_first
from estimator.money import Currency
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.takeoff.lumber import LumberNeed

# Plans that are made to choose among price breaks; what is open then counts by its bound.
MOST_PLANS = 24

BoardItem = SoldItem[LumberPrice]
Placed = tuple[CutLayout, int | None]  # a layout, and the place of the item its boards are of; None for those on hand


@dataclass(frozen=True, kw_only=True, slots=True)
class BoardPlan:
    """Layouts, how many boards of each item they use, what those cost, and a cost that no plan is under; in coins.

    Under a price break more may be paid for than are used. `unnested_cost` is that of the best plan without nesting.
    """

    placed: tuple[Placed, ...]
    used: tuple[int, ...]
    cost: int
    bound: int
    unnested_cost: int


@dataclass(frozen=True, kw_only=True, slots=True)
class _Answer:
    """A plan under terms: its layouts, and what the best plan without nesting costs under them."""

    placed: tuple[Placed, ...]
    unnested_cost: int


def board_items(rows: Sequence[LumberPrice], currency: Currency) -> list[BoardItem]:
    """Return the boards that are for sale, their prices in coins."""
    coins = 10**currency.digits
    return sold_items(rows, lambda row: int(board_price(row, currency) * coins))


def plan_boards(need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop) -> BoardPlan:
    """Return the cheapest plan found. Raises PieceTooLong and NotEnoughStock."""
    planner = _Planner(need, items, on_hand, shop)
    if all(len(item.tiers) == 1 for item in items):
        return planner.settled(tuple(Terms(0, item.tiers[0].price) for item in items))
    without_preferences = replace(shop, saw=replace(shop.saw, prefer=()))
    quick = _Planner(need, items, on_hand, without_preferences)
    best = cheapest_answer([item.tiers for item in items], quick.under_terms, MOST_PLANS)
    if best is None:
        raise AssertionError("the first terms are open to all that is for sale")
    bound = best.bound if quick.all_proved else quick.first_bound or 0
    terms = tuple(settled_terms(item.tiers, used) for item, used in zip(items, best.counts, strict=True))
    nicest = planner.settled(terms)
    if nicest.cost <= best.cost:
        return replace(nicest, bound=min(bound, nicest.cost))
    return BoardPlan(
        placed=best.answer.placed,
        used=best.counts,
        cost=best.cost,
        bound=bound,
        unnested_cost=max(best.cost, best.answer.unnested_cost),
    )


class _Planner:
    """Plans for one need under whatever terms; the first refusal is the need's own, a later one that of its terms."""

    def __init__(self, need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop) -> None:
        self.need = need
        self.items = items
        self.on_hand = on_hand
        self.shop = shop
        self.first_bound: int | None = None
        self.all_proved = True  # whether no terms were given up for want of a plan that may exist

    def settled(self, terms: tuple[Terms, ...]) -> BoardPlan:
        """Return the plan under the terms of one tier of each item."""
        solved = self._solved(terms)
        constant = sum(one.constant for one in terms)
        cost = solved.cost
        for item, one, used in zip(self.items, terms, solved.counts, strict=True):
            cost += cost_of(item.tiers, used) - max(0, used - one.paid) * (one.price or 0)
        return BoardPlan(
            placed=solved.answer.placed,
            used=solved.counts,
            cost=cost,
            bound=min(cost, solved.bound + constant),
            unnested_cost=solved.answer.unnested_cost + cost - solved.cost,
        )

    def under_terms(self, terms: tuple[Terms, ...]) -> Solved[_Answer] | None:
        """Return the plan under terms, None where there is none; that of the first terms must be there."""
        if not self._offered(terms):
            return None
        try:
            solved = self._solved(terms)
        except CuttingError as refusal:
            if self.first_bound is None:
                raise
            self.all_proved &= not isinstance(refusal, NotEnoughStock) or refusal.proved
            return None
        if self.first_bound is None:
            self.first_bound = solved.bound + sum(one.constant for one in terms)
        return solved

    def _solved(self, terms: tuple[Terms, ...]) -> Solved[_Answer]:
        offered = self._offered(terms)
        plan, layouts, bound = _plan(self.need, tuple(offer for offer, _ in offered), self.shop)
        item_of = {id(offer): place for offer, place in offered}
        placed = tuple((layout, item_of[id(layout.offer)]) for layout in layouts)
        used = [0] * len(self.items)
        for layout, place in placed:
            if place is not None:
                used[place] += layout.boards
        answer = _Answer(placed=placed, unnested_cost=plan.unnested_cost)
        return Solved(answer=answer, counts=tuple(used), cost=plan.cost, bound=bound)

    def _offered(self, terms: tuple[Terms, ...]) -> list[tuple[Offer, int | None]]:
        """Return what there is under terms, boards on hand first, each with the place of the item it is of."""
        found: list[tuple[Offer, int | None]] = [(offer, None) for offer in self.on_hand]
        for place, (item, one) in enumerate(zip(self.items, terms, strict=True)):
            if one.paid:
                found.append((Offer(row=item.first, unit_price=Decimal(0), paid=one.paid), place))
            if one.price is not None:
                price = Decimal(one.price).scaleb(-self.shop.currency.digits)
                found.append((Offer(row=item.first, unit_price=price), place))
        return found


def _plan(need: LumberNeed, offers: tuple[Offer, ...], shop: Shop) -> tuple[CuttingPlan, tuple[CutLayout, ...], int]:
    """Return a plan, its layouts and a cost that no plan for the exact lengths is under, in coins.

    Where measures are rounded: first so that everything fits more easily than it does. The bound of that holds for the
    exact measures, and so does its plan where it fits them. Where it does not, they are rounded the safe way.
    """
    from estimator.buying.cutting.plan import plan_cuts  # noqa: PLC0415 - numpy and HiGHS load with the first plan

    bounds: list[int] = []
    for grid in grids(need, offers, shop.saw):
        plan = plan_cuts(cutting_job(need, offers, shop.saw, shop.currency, grid))
        bounds.append(plan.lower_bound)
        layouts = [cut_layout(layout, need, offers, shop.saw, grid) for layout in plan.layouts]
        fitting = [layout for layout in layouts if layout is not None]
        if len(fitting) == len(layouts):
            # What a price break has paid for is free only while the plan is sought; it gives way to nothing.
            paid = tuple(layout for layout in fitting if layout.offer.paid is not None)
            others = tuple(layout for layout in fitting if layout.offer.paid is None)
            return plan, (*paid, *on_hand_first(others, offers, shop.saw)), min(plan.cost, bounds[0])
    raise AssertionError("what was rounded the safe way does not fit")
