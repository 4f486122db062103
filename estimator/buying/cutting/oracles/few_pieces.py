"""Pricing where no board holds more than four pieces: two pairs side by side, instead of a knapsack over the length.

However fine the unit of length, there are only so many pairs. They are sorted by length once; for each pair the best
one that still fits beside it is found by its place. Nothing keeps the two pairs from sharing a piece that is wanted
once, so a value may be more than any pattern within the demand carries: a bound holds all the more.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Pattern

# Pieces that two pairs hold.
MOST_PIECES = 4

# Steps of length times parts up to which the knapsack is quick; it keeps to the demand and so proves more.
MOST_CELLS = 2_000_000

# Pairs looked at, the best first, for patterns that share no part.
LOOKED_AT = 200


class PairPricer:
    """Prices boards that hold at most four pieces."""

    def __init__(self, sizes: Sequence[int], capacities: Sequence[int], demand: Sequence[int]) -> None:
        self._parts = len(sizes)
        wanted = [part for part, count in enumerate(demand) if count]
        # A place of its own for no piece at all: a pair may be a single piece, or nothing.
        nothing = self._parts
        lengths = np.array([*sizes, 0], dtype=np.int64)
        members = np.array([*wanted, nothing])
        first, second = (members[index] for index in np.triu_indices(len(members)))
        twice = np.array([*(count > 1 for count in demand), True])
        possible = (first != second) | twice[first]
        first, second = first[possible], second[possible]
        order = np.argsort(lengths[first] + lengths[second], kind="stable")
        self._first, self._second = first[order], second[order]
        together = lengths[self._first] + lengths[self._second]
        self._beside = [np.searchsorted(together, capacity - together, side="right") - 1 for capacity in capacities]

    def price(self, weights: Sequence[int]) -> "PricedPairs":
        """Return the best two pairs of every board."""
        worth = np.array([*weights, 0], dtype=np.int64)
        return PricedPairs(
            worth[self._first] + worth[self._second], self._first, self._second, self._beside, self._parts
        )


class PricedPairs:
    """Pairs under one set of weights."""

    def __init__(
        self,
        worth: npt.NDArray[np.int64],
        first: npt.NDArray[np.int64],
        second: npt.NDArray[np.int64],
        beside: Sequence[npt.NDArray[np.int64]],
        parts: int,
    ) -> None:
        self._first, self._second, self._beside, self._parts = first, second, beside, parts
        best_up_to = np.maximum.accumulate(worth)
        risen = np.concatenate(([True], worth[1:] > best_up_to[:-1]))
        self._best_place = np.maximum.accumulate(np.where(risen, np.arange(len(worth)), 0))
        self._totals: list[tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]] = []
        for places in beside:
            fitting = np.flatnonzero(places >= 0)
            self._totals.append((fitting, worth[fitting] + best_up_to[places[fitting]]))
        self.values: list[int] = [int(totals.max()) for _, totals in self._totals]

    def pattern(self, stock: int) -> Pattern:
        """Return the pattern of a stock's best two pairs."""
        fitting, totals = self._totals[stock]
        return self._pattern(stock, int(fitting[int(totals.argmax())]))

    def patterns(self, stock: int, above: int) -> list[Pattern]:
        """Return patterns that carry more than so much and share no part, the best of all first."""
        fitting, totals = self._totals[stock]
        paying = np.flatnonzero(totals > above)
        best_first = fitting[paying[np.argsort(-totals[paying], kind="stable")[:LOOKED_AT]]]
        chosen: list[Pattern] = []
        covered: set[int] = set()
        for pair in best_first.tolist():
            parts = self._parts_of(stock, pair)
            if covered.isdisjoint(parts):
                chosen.append(self._pattern(stock, pair))
                covered.update(parts)
        return chosen

    def _parts_of(self, stock: int, pair: int) -> tuple[int, ...]:
        """Return the parts of a pair and of the best one beside it."""
        last = int(self._best_place[self._beside[stock][pair]])
        four = (self._first[pair], self._second[pair], self._first[last], self._second[last])
        return tuple(part for part in map(int, four) if part < self._parts)

    def _pattern(self, stock: int, pair: int) -> Pattern:
        """Return a pair with the best one beside it."""
        counts = [0] * self._parts
        for part in self._parts_of(stock, pair):
            counts[part] += 1
        return tuple(counts)


class FewPiecesOracle(KnapsackOracle):
    """Parts of which a board holds at most four."""

    def within(self, demand: Sequence[int]) -> PairPricer:  # type: ignore[override]  # the same questions
        """Return a pricer for patterns within a demand, or beyond it."""
        return PairPricer(self.sizes, self.capacities, demand)


def holds_few(lengths: Sequence[int], boards: Sequence[int], kerf: int) -> bool:
    """Whether no board holds more than four pieces, and a knapsack over the length would be slow."""
    longest = max(boards) + kerf
    return longest // (min(lengths) + kerf) <= MOST_PIECES and longest * len(lengths) > MOST_CELLS
