"""Small jobs settled by looking at every way to cut them.

What is still wanted is a point of a lattice, from nothing to the whole demand; a board moves it towards nothing. The
least cost of each point follows from those below it, so one sweep over the lattice finds a cheapest plan (dynamic
programming). It serves any oracle and needs no bound, which for few pieces would be weak.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Pattern, Problem, Run

# Points of the lattice, and patterns, up to which every way is looked at: a few tenths of a second.
MOST_POINTS = 10_000
MOST_PATTERNS = 4_000

# More than any plan costs, and far from the end of 64 bits.
NO_PLAN = 1 << 61


@dataclass(frozen=True, kw_only=True, slots=True)
class Cheapest:
    """The least cost of all plans with the boards of one that costs it; no boards where the stock is too little."""

    cost: int
    runs: tuple[Run, ...]


def cheapest_of_all(problem: Problem, oracle: Oracle) -> Cheapest | None:
    """Return a cheapest plan of all there are, or None where the job is too large to look at every way.

    Claims the proof: whatever fits on a board, fits with parts left out, so the largest patterns are all that matter.
    """
    limited = [stock for stock, limit in enumerate(problem.limits) if limit is not None]
    extents = [*problem.demand, *(problem.limits[stock] or 0 for stock in limited)]
    if (
        not oracle.exact
        or prod(extent + 1 for extent in extents) > MOST_POINTS
        or sum(problem.prices) * sum(problem.demand) >= NO_PLAN
    ):
        return None
    patterns = largest_patterns(problem, oracle)
    if patterns is None:
        return None
    moves = np.array(
        [(*pattern, *(int(stock == other) for other in limited)) for stock, pattern in patterns], dtype=np.int64
    ).reshape(len(patterns), len(extents))
    prices = np.array([problem.prices[stock] for stock, _ in patterns], dtype=np.int64)
    costs, choice = sweep(extents, len(problem.demand), moves, prices)
    cost = int(costs[-1])
    if cost >= NO_PLAN:
        return Cheapest(cost=cost, runs=())
    return Cheapest(cost=cost, runs=tuple(trace(extents, len(problem.demand), moves, choice, patterns)))


def largest_patterns(problem: Problem, oracle: Oracle) -> list[tuple[int, Pattern]] | None:
    """Return for each stock the patterns within the demand that hold no more of any part, or None for too many."""
    found: list[tuple[int, Pattern]] = []
    looked_at = 0
    for stock in range(len(problem.prices)):
        fitting: set[Pattern] = set()
        for pattern in growing(problem.demand, oracle, stock):
            fitting.add(pattern)
            looked_at += 1
            if looked_at > MOST_PATTERNS:
                return None
        found += [(stock, pattern) for pattern in sorted(fitting) if not any(map(fitting.__contains__, more(pattern)))]
    return found


def more(pattern: Pattern) -> Iterator[Pattern]:
    """Yield the patterns with one part more."""
    for part, count in enumerate(pattern):
        yield (*pattern[:part], count + 1, *pattern[part + 1 :])


def growing(demand: Sequence[int], oracle: Oracle, stock: int) -> Iterator[Pattern]:
    """Yield every pattern within a demand that a stock holds, each once: parts are added in their order."""
    waiting = [((0,) * len(demand), 0)]
    while waiting:
        pattern, first = waiting.pop()
        for part in range(first, len(demand)):
            larger = (*pattern[:part], pattern[part] + 1, *pattern[part + 1 :])
            if larger[part] <= demand[part] and oracle.fits(larger, stock):
                yield larger
                waiting.append((larger, part))


def sweep(
    extents: Sequence[int], parts: int, moves: npt.NDArray[np.int64], prices: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return the least cost of each point of a lattice, and the move that it begins with.

    The first `parts` coordinates are what is wanted, and a move takes what there is; the others are boards of limited
    stock, and a move that needs one is not open without it.
    """
    places = place_values(extents)
    points = prod(extent + 1 for extent in extents)
    cost = np.full(points, NO_PLAN, dtype=np.int64)
    choice = np.full(points, -1, dtype=np.int64)
    for index, point in enumerate(np.ndindex(*(extent + 1 for extent in extents))):
        wanted = np.array(point, dtype=np.int64)
        if not wanted[:parts].any():
            cost[index] = 0
            continue
        taken = np.minimum(moves, wanted)
        is_open = taken[:, :parts].any(axis=1) & (taken[:, parts:] == moves[:, parts:]).all(axis=1)
        costs = np.where(is_open, cost[index - taken @ places] + prices, NO_PLAN)
        best = int(costs.argmin()) if len(costs) else -1
        if best >= 0 and costs[best] < NO_PLAN:
            cost[index], choice[index] = costs[best], best
    return cost, choice


def place_values(extents: Sequence[int]) -> npt.NDArray[np.int64]:
    """Return how far apart neighbouring points lie in the order of the sweep, coordinate by coordinate."""
    return np.array([prod(extent + 1 for extent in extents[n + 1 :]) for n in range(len(extents))], dtype=np.int64)


def trace(
    extents: Sequence[int],
    parts: int,
    moves: npt.NDArray[np.int64],
    choice: npt.NDArray[np.int64],
    patterns: Sequence[tuple[int, Pattern]],
) -> Iterator[Run]:
    """Yield the boards of the cheapest plan: from the last point down, each with what it takes of the parts."""
    places, wanted = place_values(extents), np.array(extents, dtype=np.int64)
    while wanted[:parts].any():
        best = int(choice[int(wanted @ places)])
        taken = np.minimum(moves[best], wanted)
        wanted -= taken
        yield Run(stock=patterns[best][0], pattern=tuple(taken[:parts].tolist()), boards=1)
