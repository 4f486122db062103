"""Whole boards from a fixed choice of layouts, at least cost: a branch and bound of our own.

The linear programme only proposes how to weigh parts and branches; what a branch costs at least is worked out from
those weights in whole numbers (Lagrange). A branch says of some set of layouts how many boards are cut by them: all of
one stock, all that hold a part so often, all that hold two parts together, or a single layout. (Vanderbeck 2000,
Operations Research 48, branches on such sets; from memory.)
"""

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import combinations
from math import ceil, floor
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.bound import next_attainable, whole_weights
from estimator.buying.cutting.linear import ENDLESS, LinearProgram
from estimator.buying.cutting.master import Column
from estimator.buying.cutting.problem import Problem, Run

# A number this near to a whole one is taken for it.
NEARLY_WHOLE = 1e-6

# What a missing piece, or a board too many in a branch, costs: so many times the cutoff.
MISSING = 1000

Limits = tuple[tuple[int, float, float], ...]  # of the rows of a branch: place, least, most


class Branch(NamedTuple):
    """Limits on sets of layouts, what a plan within them costs at least, and the fractional plan.

    Ordered by cost; among equals the newest comes first, since it is the deepest and closest to a plan.
    """

    bound: int
    newest_first: int
    limits: Limits
    boards: list[float]


class LayoutTree:
    """The plans that are made of given layouts and cost less than a cutoff."""

    def __init__(self, problem: Problem, columns: Sequence[Column], cutoff: int) -> None:
        self._problem, self._columns, self._cutoff = problem, columns, cutoff
        self._counts = np.array([pattern for _, pattern in columns], dtype=np.int64).reshape(
            len(columns), len(problem.demand)
        )
        self._stocks = np.array([stock for stock, _ in columns], dtype=np.int64)
        self._most = [
            min(wanted // count for count, wanted in zip(pattern, problem.demand, strict=True) if count)
            for _, pattern in columns
        ]
        self._parts = len(problem.demand)
        self._programme = LinearProgram(row_lower=list(map(float, problem.demand)), row_upper=[ENDLESS] * self._parts)
        self._programme.add_columns(
            costs=[float(problem.prices[stock]) for stock, _ in columns],
            upper=list(map(float, self._most)),
            entries=[[(part, float(count)) for part, count in enumerate(pattern) if count] for _, pattern in columns],
        )
        self._add_missing([[(part, 1.0)] for part in range(self._parts)])
        self._sets: list[npt.NDArray[np.bool_]] = []  # of the rows after the parts'
        limits = []
        for stock, limit in enumerate(problem.limits):
            if limit is not None:
                limits.append((self._row_of(self._stocks == stock), -ENDLESS, float(limit)))
        self._opened = 0
        self._queue: list[Branch] = []
        if columns:
            self._open(tuple(limits))

    @property
    def bound(self) -> int:
        """A cost that no plan from the layouts is under, or the cutoff where that is less."""
        return min(self._queue[0].bound, self._cutoff) if self._queue else self._cutoff

    def look(self, branches: int, give_up: Callable[[], bool] = lambda: False) -> Iterator[list[Run]]:
        """Yield plans, each cheaper than the last, until so many branches were looked at or none is left.

        Whole plans are read off the fractional ones and are to be checked by whoever takes them.
        """
        for _ in range(branches):
            if self.bound >= self._cutoff or give_up():
                break
            branch = heappop(self._queue)
            fractional = self._most_fractional_set(branch.boards)
            if fractional is None:
                runs = self._runs(branch.boards)
                cost = sum(self._problem.prices[run.stock] * run.boards for run in runs)
                if not self._covers(runs) or cost >= self._cutoff:
                    heappush(self._queue, branch)  # floats had the better of it: the bound stays where it is
                    break
                self._cutoff = cost
                yield runs
                continue
            row = self._row_of(fractional)
            boards = float(np.array(branch.boards)[fractional].sum())
            for low, high in ((-ENDLESS, float(floor(boards))), (float(ceil(boards)), ENDLESS)):
                self._open((*branch.limits, (row, low, high)))

    def _runs(self, boards: Sequence[float]) -> list[Run]:
        """Return the boards of a plan that is whole but for floats."""
        whole = zip(self._columns, map(round, boards), strict=True)
        return [Run(stock=stock, pattern=pattern, boards=count) for (stock, pattern), count in whole if count]

    def _covers(self, runs: Sequence[Run]) -> bool:
        """Whether boards hold all that is wanted."""
        held = [sum(run.pattern[part] * run.boards for run in runs) for part in range(self._parts)]
        return all(there >= wanted for there, wanted in zip(held, self._problem.demand, strict=True))

    def _add_missing(self, entries: Sequence[Sequence[tuple[int, float]]]) -> None:
        """Add columns that stand in where rows cannot be met; a branch without a plan then shows as dear."""
        dear = float(MISSING * self._cutoff + 1)
        self._programme.add_columns(costs=[dear] * len(entries), upper=[ENDLESS] * len(entries), entries=entries)

    def _row_of(self, members: npt.NDArray[np.bool_]) -> int:
        """Return the place of the row that counts the boards of a set of layouts."""
        for place, known in enumerate(self._sets):
            if (known == members).all():
                return place
        self._sets.append(members)
        self._programme.add_row(lower=-ENDLESS, coefficients=list(map(float, members)))
        row = self._parts + len(self._sets) - 1
        self._add_missing([[(row, 1.0)], [(row, -1.0)]])
        return len(self._sets) - 1

    def _open(self, limits: Limits) -> None:
        """Queue a branch, unless nothing in it is under the cutoff."""
        low, high = [-ENDLESS] * len(self._sets), [ENDLESS] * len(self._sets)
        for place, least, most in limits:
            low[place], high[place] = max(low[place], least), min(high[place], most)
        if any(least > most for least, most in zip(low, high, strict=True)):
            return
        self._programme.set_row_bounds(first=self._parts, lower=low, upper=high)
        values, duals = self._programme.solve()
        problem = self._problem
        bound = next_attainable(problem.prices, problem.price_step, self._proved(duals, low, high))
        if bound < self._cutoff:
            self._opened += 1
            heappush(self._queue, Branch(bound, -self._opened, limits, list(values[: len(self._columns)])))

    def _proved(self, duals: Sequence[float], low: Sequence[float], high: Sequence[float]) -> int:
        """Return the least cost within limits that weighing parts and sets of layouts proves, in whole numbers.

        Every plan is one that cuts no piece too many, so no layout is used more often than its parts are wanted.
        """
        demand = self._problem.demand
        weights, scale = whole_weights(duals[: self._parts], sum(demand))
        proved = sum(weight * wanted for weight, wanted in zip(weights, demand, strict=True))
        charges = [0] * len(self._sets)
        for place, dual in enumerate(duals[self._parts :]):
            end = low[place] if dual > 0 else high[place]
            if abs(end) < ENDLESS:
                charges[place] = int(dual * scale)
                proved += charges[place] * int(end)
        dues = [scale * price for price in self._problem.prices]
        charged = np.zeros(len(self._columns), dtype=object)
        for members, charge in zip(self._sets, charges, strict=True):
            if charge:
                charged[members] += charge
        carried = self._counts @ np.array(weights, dtype=np.int64)
        gained = np.array([dues[stock] for stock in self._stocks], dtype=object) - charged - carried
        for place in np.flatnonzero(gained < 0).tolist():
            proved += int(gained[place]) * self._most[place]
        return max(0, -(-proved // scale))

    def _most_fractional_set(self, boards: Sequence[float]) -> npt.NDArray[np.bool_] | None:
        """Return the set of layouts whose boards are furthest from a whole number; none where every layout is whole.

        Sets that say most come first: stocks, then parts, then pairs of parts, then single layouts.
        """
        amounts = np.array(boards)
        used = np.flatnonzero(np.abs(amounts - np.round(amounts)) > NEARLY_WHOLE)
        if not len(used):
            return None
        for sets in (self._stock_sets(), self._part_sets(), self._pair_sets(used), self._single_sets(used)):
            best, furthest = None, NEARLY_WHOLE
            for members in sets:
                total = float(amounts[members].sum())
                if abs(total - round(total)) > furthest + NEARLY_WHOLE:
                    best, furthest = members, abs(total - round(total))
            if best is not None:
                return best
        return None

    def _stock_sets(self) -> Iterator[npt.NDArray[np.bool_]]:
        for stock in range(len(self._problem.prices)):
            yield self._stocks == stock

    def _part_sets(self) -> Iterator[npt.NDArray[np.bool_]]:
        for part in range(self._parts):
            for count in range(1, int(self._counts[:, part].max()) + 1):
                yield self._counts[:, part] >= count

    def _pair_sets(self, used: npt.NDArray[np.int64]) -> Iterator[npt.NDArray[np.bool_]]:
        held = np.flatnonzero(self._counts[used].any(axis=0)).tolist()
        for part, other in combinations(held, 2):
            yield (self._counts[:, part] > 0) & (self._counts[:, other] > 0)

    def _single_sets(self, used: npt.NDArray[np.int64]) -> Iterator[npt.NDArray[np.bool_]]:
        for place in used.tolist():
            yield np.arange(len(self._columns)) == place
