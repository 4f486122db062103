"""Rows filled from the parts as far as they are wanted, for every length and for each choice of the first parts.

A bounded knapsack whose sweeps are all kept: with the parts in the order of their widths one filling gives the best
rows for strips of every width, and in the order of their lengths the best parts side by side for sections of every
length.
"""

from collections.abc import Sequence
from itertools import accumulate

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.problem import binary_split


class BoundedRows:
    """Items of given sizes, each no more often than a number of copies, in rows up to a capacity."""

    def __init__(self, sizes: Sequence[int], copies: Sequence[int], capacity: int) -> None:
        split = [binary_split(min(count, capacity // size)) for size, count in zip(sizes, copies, strict=True)]
        self._bundles = [
            (item, bundle, bundle * size)
            for item, (size, bundles) in enumerate(zip(sizes, split, strict=True))
            for bundle in bundles
        ]
        # How many sweeps make the rows of the first so many items.
        self._first = [0, *accumulate(map(len, split))]
        self._best = np.zeros((len(self._bundles) + 1, capacity + 1), dtype=np.int64)
        self._sweeps = [
            (below[:size], row[:size], below[size:], below[: capacity + 1 - size], row[size:])
            for below, row, (_, _, size) in zip(self._best, self._best[1:], self._bundles, strict=False)
        ]

    def fill(self, values: Sequence[int]) -> None:
        """Fill all rows anew with items of these values."""
        for (item, bundle, _), (short, short_row, without, shorter, row) in zip(
            self._bundles, self._sweeps, strict=True
        ):
            short_row[:] = short
            np.add(shorter, values[item] * bundle, out=row)
            np.maximum(row, without, out=row)

    def values(self, items: int) -> npt.NDArray[np.int64]:
        """Return what the best rows of the first so many items are worth, by capacity."""
        values: npt.NDArray[np.int64] = self._best[self._first[items]]
        return values

    def trace(self, items: int, capacity: int) -> list[int]:
        """Return the items of the best row of the first so many, each as often as it lies there."""
        found: list[int] = []
        for row in range(self._first[items], 0, -1):
            if self._best[row, capacity] != self._best[row - 1, capacity]:
                item, bundle, size = self._bundles[row - 1]
                found += [item] * bundle
                capacity -= size
        return found[::-1]
