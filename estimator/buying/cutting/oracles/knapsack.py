"""The oracle for parts cut square from a board, one after the other: a bounded knapsack over the board's length.

Gilmore, Gomory 1961, Operations Research 9 (from memory): the pattern that pays best is a knapsack filled by
the duals of the parts.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.job import Placed, Section, Strip
from estimator.buying.cutting.problem import Pattern, binary_split


class FilledBoards:
    """Every board length filled as well as possible under one set of weights."""

    def __init__(
        self, best: npt.NDArray[np.int64], parts: int, bundles: Sequence[tuple[int, int, int]], ends: Sequence[int]
    ) -> None:
        self._best = best
        self._parts = parts
        self._bundles = bundles
        self._ends = ends
        self.values: list[int] = best[-1, ends].tolist()

    def patterns(self, stock: int, above: int) -> tuple[Pattern]:  # noqa: ARG002 - one is at hand
        """Return the pattern of a stock."""
        return (self.pattern(stock),)

    def pattern(self, stock: int) -> Pattern:
        """Trace back which bundles made the value of a stock."""
        counts = [0] * self._parts
        end = self._ends[stock]
        for row in range(len(self._bundles), 0, -1):
            if self._best[row, end] != self._best[row - 1, end]:
                part, copies, length = self._bundles[row - 1]
                counts[part] += copies
                end -= length
        return tuple(counts)


class BoundedKnapsack:
    """Fills all board lengths at once, each part at most as often as a demand.

    A part wanted b times comes in bundles of 1, 2, 4, ... copies; a bundle is one sweep over the length axis. Row k
    holds the best value at every length with the first k bundles. All numbers are whole, so values are exact.
    """

    def __init__(self, sizes: Sequence[int], capacities: Sequence[int], demand: Sequence[int]) -> None:
        longest = min(max(capacities), sum(size * wanted for size, wanted in zip(sizes, demand, strict=True)))
        self._parts = len(sizes)
        self._ends = [min(capacity, longest) for capacity in capacities]
        self._bundles = [
            (part, copies, copies * size)
            for part, (size, wanted) in enumerate(zip(sizes, demand, strict=True))
            for copies in binary_split(min(wanted, longest // size))
        ]
        self._best = np.zeros((len(self._bundles) + 1, longest + 1), dtype=np.int64)
        self._sweeps = [
            (below[:length], row[:length], below[length:], below[: longest + 1 - length], row[length:])
            for below, row, (_, _, length) in zip(self._best, self._best[1:], self._bundles, strict=False)
        ]

    def price(self, weights: Sequence[int]) -> FilledBoards:
        """Return the best fill of every board; valid until the next call."""
        for (part, copies, _), (short, short_row, without, shorter, row) in zip(
            self._bundles, self._sweeps, strict=True
        ):
            short_row[:] = short
            np.add(shorter, weights[part] * copies, out=row)
            np.maximum(row, without, out=row)
        return FilledBoards(self._best, self._parts, self._bundles, self._ends)


class KnapsackOracle:
    """Parts of given lengths on boards of given lengths; sizes and capacities carry a kerf more, which hides it."""

    def __init__(self, lengths: Sequence[int], boards: Sequence[int], kerf: int = 0) -> None:
        self._lengths = lengths
        self.sizes = [length + kerf for length in lengths]
        self.capacities = [length + kerf for length in boards]
        self.exact = True

    def within(self, demand: Sequence[int]) -> BoundedKnapsack:
        """Return a pricer for patterns within a demand."""
        return BoundedKnapsack(self.sizes, self.capacities, demand)

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether the sizes of a pattern sum to no more than the capacity of a stock."""
        lengths = sum(size * count for size, count in zip(self.sizes, pattern, strict=True))
        return lengths <= self.capacities[stock]

    def arrange(self, pattern: Pattern, stock: int) -> tuple[Strip, ...]:  # noqa: ARG002 - the same on every stock
        """Return the parts one after the other, long ones first: a bad board is found while it can still serve."""
        by_length = sorted(range(len(pattern)), key=lambda part: (-self._lengths[part], part))
        sections = [Section(self._lengths[part], (Placed(part),)) for part in by_length for _ in range(pattern[part])]
        return (Strip(None, tuple(sections)),)
