"""Which layouts a plan of a given cost can use at all.

Under weights of the parts no board carries more than its price pays for, so what a board carries less is waste, and the
cost of the plan says how much waste there may be in all (reduced costs; Baldacci, Christofides, Mingozzi 2008,
Mathematical Programming 115, from memory). In whole numbers throughout.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.bound import Weighing
from estimator.buying.cutting.master import Column
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Pattern, Problem, binary_split


@dataclass(frozen=True, kw_only=True, slots=True)
class Allowance:
    """Weights of the parts, what the price of each stock pays for, and the most that one board may waste."""

    weights: tuple[int, ...]
    paid: tuple[int, ...]
    spare: int

    def waste(self, column: Column) -> int:
        """How much weight less a board carries than its price pays for."""
        stock, pattern = column
        return self.paid[stock] - sum(weight * count for weight, count in zip(self.weights, pattern, strict=True))


def allowance(problem: Problem, weighing: Weighing, cost: int) -> Allowance:
    """Return what a board may waste in a plan of a cost; exact.

    Where a board can carry more than its price pays for, every board there may be is taken to do so.
    """
    pieces = sum(problem.demand)
    paid = tuple(weighing.scale * price for price in problem.prices)
    carried = sum(weight * wanted for weight, wanted in zip(weighing.weights, problem.demand, strict=True))
    gained = 0
    for amount, price, limit, value in zip(paid, problem.prices, problem.limits, weighing.values, strict=True):
        boards = min(pieces, cost // price) if price else pieces
        gained += max(0, value - amount) * (boards if limit is None else min(limit, boards))
    return Allowance(weights=weighing.weights, paid=paid, spare=weighing.scale * cost - carried + gained)


def all_rows(
    problem: Problem, sizes: Sequence[int], capacities: Sequence[int], allowed: Allowance, most: int
) -> list[Column] | None:
    """Return every column of parts in a row that wastes no more than is allowed, or None for more than `most`.

    No column left out is part of a plan within the demand at the cost of the allowance.
    """
    best = best_of_the_last(problem, sizes, capacities, allowed.weights)
    found: list[Column] = []
    for stock, capacity in enumerate(capacities):
        due = allowed.paid[stock] - allowed.spare
        for pattern in rows_worth(problem.demand, sizes, allowed.weights, best, capacity, due):
            if any(pattern):
                found.append((stock, pattern))
            if len(found) > most:
                return None
    return found


def best_of_the_last(
    problem: Problem, sizes: Sequence[int], capacities: Sequence[int], weights: Sequence[int]
) -> list[npt.NDArray[np.int64]]:
    """Return for each part the most weight, at every length, of it and the parts after it within the demand."""
    row = np.zeros(max(capacities) + 1, dtype=np.int64)
    rows = [row]
    for size, wanted, weight in reversed(list(zip(sizes, problem.demand, weights, strict=True))):
        row = row.copy()
        for copies in binary_split(min(wanted, (len(row) - 1) // size)):
            length = copies * size
            row[length:] = np.maximum(row[length:], row[:-length] + copies * weight)
        rows.append(row)
    return rows[::-1]


def rows_worth(
    demand: Sequence[int],
    sizes: Sequence[int],
    weights: Sequence[int],
    best: Sequence[npt.NDArray[np.int64]],
    capacity: int,
    due: int,
) -> Iterator[Pattern]:
    """Yield every pattern within a capacity that weighs at least what is due, without a step in vain."""
    parts = len(sizes)
    waiting: list[tuple[Pattern, int, int]] = [((), capacity, due)]
    while waiting:
        pattern, room, still = waiting.pop()
        part = len(pattern)
        if part == parts:
            yield pattern
            continue
        for count in range(min(demand[part], room // sizes[part]) + 1):
            left = room - count * sizes[part]
            after = still - count * weights[part]
            if best[part + 1][left] >= after:
                waiting.append(((*pattern, count), left, after))


def all_fitting(problem: Problem, oracle: Oracle, allowed: Allowance, most: int) -> list[Column] | None:
    """Return every column within the demand that an oracle lays and the allowance allows, or None for too many looks.

    It looks at every pattern that fits, so it serves small jobs alone.
    """
    found: list[Column] = []
    looks = 0
    for stock in range(len(problem.prices)):
        waiting = [((0,) * len(problem.demand), 0)]
        while waiting:
            pattern, first = waiting.pop()
            for part in range(first, len(pattern)):
                larger = (*pattern[:part], pattern[part] + 1, *pattern[part + 1 :])
                if larger[part] > problem.demand[part]:
                    continue
                looks += 1
                if looks > most:
                    return None
                if oracle.fits(larger, stock):
                    waiting.append((larger, part))
                    if allowed.waste((stock, larger)) <= allowed.spare:
                        found.append((stock, larger))
    return found


def short_rows(
    problem: Problem, sizes: Sequence[int], capacities: Sequence[int], allowed: Allowance, most: int
) -> list[Column]:
    """Return the columns of one or two parts that the allowance allows, at most so many: those that waste least."""
    bundles = [
        (part, count)
        for part, (size, wanted) in enumerate(zip(sizes, problem.demand, strict=True))
        for count in range(1, min(wanted, max(capacities) // size) + 1)
    ]
    part = np.array([0, *(part for part, _ in bundles)])
    count = np.array([0, *(count for _, count in bundles)])
    length = np.array([0, *(count * sizes[part] for part, count in bundles)])
    weight = np.array([0, *(count * allowed.weights[part] for part, count in bundles)], dtype=np.int64)
    other = np.arange(len(part))
    one_of_each = (part[:, None] < part[None, :]) | ((other[:, None] == 0) & (other[None, :] > 0))
    together, carried = length[:, None] + length[None, :], weight[:, None] + weight[None, :]
    wasted: list[tuple[int, int, int, int]] = []
    for stock, capacity in enumerate(capacities):
        good = one_of_each & (together <= capacity) & (carried >= allowed.paid[stock] - allowed.spare)
        wasted += [
            (allowed.paid[stock] - int(carried[first, second]), stock, first, second)
            for first, second in np.argwhere(good).tolist()
        ]
    columns = []
    for _, stock, first, second in sorted(wasted)[:most]:
        pattern = [0] * len(sizes)
        pattern[part[second]] += int(count[second])
        pattern[part[first]] += int(count[first])
        columns.append((stock, tuple(pattern)))
    return columns
