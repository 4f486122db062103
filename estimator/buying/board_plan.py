"""The cheapest boards for a need and how to cut them, price breaks and boards on hand counted in."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace

from estimator.buying.board_search import BoardItem, BoardSearch, Placed, first_fitting, offered, placed_on, used_of
from estimator.buying.cutting.job import CuttingError, CuttingPlan
from estimator.buying.layouts import CutLayout
from estimator.buying.offers import Offer
from estimator.buying.price_breaks import Solved, Terms, settled_terms, true_cost
from estimator.buying.whole_numbers import Grid, cutting_job, grids
from estimator.reading.shop import Shop
from estimator.takeoff.lumber import LumberNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class BoardPlan:
    """Layouts, how many boards of each item they use, what those cost, and a cost that no plan is under; in coins.

    Under a price break more may be paid for than are used. `unnested_cost` is that of the best plan without nesting,
    the cost itself where that was not asked.
    """

    placed: Placed
    used: tuple[int, ...]
    cost: int
    bound: int
    unnested_cost: int


Planner = Callable[[LumberNeed, Sequence[BoardItem], Sequence[Offer], Shop], BoardPlan]


def plan_boards(need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop) -> BoardPlan:
    """Return the cheapest plan found, of those of one cost the nicest. Raises PieceTooLong and NotEnoughStock."""
    if all(len(item.tiers) == 1 for item in items):
        return _settled(need, items, on_hand, shop, tuple(Terms(0, item.tiers[0].price) for item in items))
    return nicest_boards(BoardSearch(), need, items, on_hand, shop)


def cheapest_boards(
    search: BoardSearch, need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop
) -> BoardPlan:
    """Return the cheapest plan found, any of those of one cost; what nesting saves is left open."""
    best = search.cheapest(need, items, on_hand, shop)
    return BoardPlan(
        placed=best.answer, used=best.counts, cost=best.cost, bound=min(best.bound, best.cost), unnested_cost=best.cost
    )


def nicest_boards(
    search: BoardSearch, need: LumberNeed, items: Sequence[BoardItem], on_hand: Sequence[Offer], shop: Shop
) -> BoardPlan:
    """Return the cheapest plan found, planned anew under its price breaks to be the nicest of its cost."""
    best = cheapest_boards(search, need, items, on_hand, shop)
    settled = [settled_terms(item.tiers, used) for item, used in zip(items, best.used, strict=True)]
    # At the prices alone there are fewer boards to tell apart, and most plans earn those prices.
    for terms in dict.fromkeys((tuple(Terms(0, one.price) for one in settled), tuple(settled))):
        with suppress(CuttingError):  # boards on hand that were enough may be cut so that they are not
            nicest = _settled(need, items, on_hand, shop, terms)
            if nicest.cost <= best.cost:
                return replace(nicest, bound=min(best.bound, nicest.cost))
    return best


def _settled(
    need: LumberNeed,
    items: Sequence[BoardItem],
    on_hand: Sequence[Offer],
    shop: Shop,
    terms: tuple[Terms, ...],
) -> BoardPlan:
    """Return the plan under the terms of one tier of each item."""
    found = offered(items, terms, on_hand, shop.currency)
    plan, layouts, bound = _plan(need, tuple(offer for offer, _ in found), shop)
    placed = placed_on(layouts, found)
    solved = Solved(answer=placed, counts=used_of(placed, len(items)), cost=plan.cost, bound=bound)
    cost = true_cost([item.tiers for item in items], terms, solved)
    return BoardPlan(
        placed=placed,
        used=solved.counts,
        cost=cost,
        bound=min(cost, bound + sum(one.constant for one in terms)),
        unnested_cost=plan.unnested_cost + cost - plan.cost,
    )


def _plan(need: LumberNeed, offers: tuple[Offer, ...], shop: Shop) -> tuple[CuttingPlan, tuple[CutLayout, ...], int]:
    """Return a plan, its layouts and a cost that no plan is under, in coins; see `first_fitting`."""
    from estimator.buying.cutting.plan import plan_cuts  # noqa: PLC0415 - numpy and HiGHS load with the first plan

    def planned(grid: Grid) -> CuttingPlan:
        return plan_cuts(cutting_job(need, offers, shop.saw, shop.currency, grid))

    return first_fitting(planned, grids(need, offers, shop.saw), need, offers, shop.saw)
