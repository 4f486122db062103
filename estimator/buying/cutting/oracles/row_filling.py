"""The best row of pieces along a board, for every length at once; neighbours whose ends lean alike lie closer.

A dynamic programme over the length and the lean of the last end: appending a piece that lies one way moves the row's
end by its length, a kerf, and less by what the two ends overlap. No piece is counted, so a row may hold any of them
more often than it is wanted; a bound from these values holds all the more.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.job import SQUARE_ENDS, End, Ends, overlap

Worths = npt.NDArray[np.int64]

# Less than any row is worth, and far from the end of 64 bits.
NO_ROW = -(1 << 62)


class Item(NamedTuple):
    """What one piece is worth, how long it is and the ways it may lie."""

    value: int
    length: int
    ways: tuple[Ends, ...] = (SQUARE_ENDS,)


class Laid(NamedTuple):
    """An item laid one way: what it is worth and how long it is, and the place of its right end among all leans."""

    item: int
    ends: Ends
    lean: int
    length: int
    value: int


@dataclass(frozen=True, kw_only=True, slots=True)
class FilledRows:
    """The best rows for every length: `values[length]` is what the best one is worth."""

    values: Worths
    best: Worths  # by the lean of the last end and by length
    leans: Sequence[End]
    laid: Sequence[Laid]
    kerf: int

    def trace(self, length: int) -> tuple[tuple[int, Ends], ...]:
        """Return a row of the best value for a length: the items in their order and how each lies."""
        return tuple(self._backwards(length))[::-1]

    def _backwards(self, length: int) -> Iterator[tuple[int, Ends]]:
        if not self.values[length]:
            return
        lean, left = int(self.best[:, length].argmax()), length
        while True:
            value = self.best[lean, left]
            left = int(np.searchsorted(self.best[lean], value))  # no longer than it has to be
            last, before, left = next(self._ways_to(lean, left, value))
            yield last.item, last.ends
            if before is None:
                return
            lean = before

    def _ways_to(self, lean: int, length: int, value: int) -> Iterator[tuple[Laid, int | None, int]]:
        """Yield the last item of a row so long and worth so much, and the lean and the length of the row before."""
        last_ones = [one for one in self.laid if one.lean == lean]
        yield from ((one, None, 0) for one in last_ones if (one.length, one.value) == (length, value))
        for one in last_ones:
            for before, end in enumerate(self.leans):
                left = length - one.length - self.kerf + overlap(end, one.ends[0])
                if left >= 0 and self.best[before, left] + one.value == value:
                    yield one, before, left


def fill_rows(items: Sequence[Item], longest: int, kerf: int) -> FilledRows:
    """Return the best rows of items worth something, for every length from 0 to the longest."""
    useful = [(place, item) for place, item in enumerate(items) if item.value > 0 and item.length <= longest]
    leans = sorted({right for _, item in useful for _, right in item.ways})
    laid = [
        Laid(place, ends, leans.index(ends[1]), item.length, item.value)
        for place, item in useful
        for ends in dict.fromkeys(item.ways)
    ]
    best = np.full((len(leans), longest + 1), NO_ROW, dtype=np.int64)
    for one in laid:
        best[one.lean, one.length] = max(best[one.lean, one.length], one.value)
    np.maximum.accumulate(best, axis=1, out=best)
    if laid:
        extend(best, leans, laid, kerf)
    values = np.maximum(best.max(axis=0), 0) if laid else np.zeros(longest + 1, dtype=np.int64)
    return FilledRows(values=values, best=best, leans=leans, laid=laid, kerf=kerf)


def extend(best: Worths, leans: Sequence[End], laid: Sequence[Laid], kerf: int) -> None:
    """Lay items behind the rows in `best`, in blocks no longer than the shortest step, so that each block is whole."""
    behind = RowsBehind(best, leans)
    steps = [(rows, one.length + kerf - nearer, one) for one in laid for rows, nearer in behind.rows_for(one.ends[0])]
    longest = best.shape[1] - 1
    block = max(1, min(one.length + kerf - behind.most_overlap(one.ends[0]) for one in laid))
    behind.take_up(0, block)
    for start in range(block, longest + 1, block):
        end = min(start + block, longest + 1)
        for rows, step, one in steps:
            low = max(start, step)
            if low < end:
                reached = rows[low - step : end - step] + one.value
                np.maximum(best[one.lean, low:end], reached, out=best[one.lean, low:end])
        # What fits in a length fits in a longer one.
        best[:, start:end] = np.maximum(np.maximum.accumulate(best[:, start:end], axis=1), best[:, start - 1, None])
        behind.take_up(start, end)


class RowsBehind:
    """Rows put together by what a next piece can do behind them, so that it need not try every lean by itself.

    Behind rows that lean alike and further than the next piece does, it moves up by its own slope; these rows are the
    best of all of them, by length. Behind rows that lean alike and no further, it moves up by theirs; the rows are the
    best of them by length less slope. Behind any row it can be laid without moving up.
    """

    def __init__(self, best: Worths, leans: Sequence[End]) -> None:
        self._best = best
        self._leans = leans
        self._any = np.full(best.shape[1], NO_ROW, dtype=np.int64)
        # The leans of each side of each plane, by how far they go, and the rows that lean no further and as far.
        self._rays: dict[tuple[int, bool], list[tuple[int, int, Worths, Worths]]] = {}
        for place, lean in sorted(enumerate(leans), key=lambda one: abs(one[1].offset)):
            if lean.offset:
                ray = self._rays.setdefault((lean.plane, lean.offset > 0), [])
                ray.append((abs(lean.offset), place, np.full_like(self._any, NO_ROW), np.full_like(self._any, NO_ROW)))

    def most_overlap(self, left: End) -> int:
        """Return how far a next piece moves up at most."""
        return max(overlap(lean, left) for lean in self._leans)

    def rows_for(self, left: End) -> Iterator[tuple[Worths, int]]:
        """Yield the rows behind which a next piece with such a left end can be laid, and how far it moves up."""
        yield self._any, 0
        slope = abs(left.offset)
        ray = self._rays.get((left.plane, left.offset > 0), []) if slope else []
        yield from [(lesser, 0) for out, _, lesser, _ in ray if out <= slope][-1:]
        yield from [(greater, slope) for out, _, _, greater in ray if out > slope][:1]

    def take_up(self, start: int, end: int) -> None:
        """Take up the best rows of the lengths from a start up to an end."""
        self._best[:, start:end].max(axis=0, out=self._any[start:end])
        for ray in self._rays.values():
            for (out, place, lesser, _), (_, _, less, _) in zip(ray, [ray[0], *ray], strict=False):
                low = max(start, out)
                if low < end:
                    np.maximum(
                        less[low - out : end - out], self._best[place, low:end], out=lesser[low - out : end - out]
                    )
            for (_, place, _, greater), (_, _, _, more) in zip(ray[::-1], [ray[-1], *ray[::-1]], strict=False):
                np.maximum(more[start:end], self._best[place, start:end], out=greater[start:end])


def shifted(weights: Sequence[int], most_pieces: int) -> tuple[list[int], int]:
    """Return weights that so many pieces cannot carry beyond 64 bits, rounded up, and by how many bits they shrank."""
    shift = max(0, (max(weights, default=0) * most_pieces).bit_length() - 60)
    return [-(-weight >> shift) for weight in weights], shift
