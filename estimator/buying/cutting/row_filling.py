"""The best row of pieces along a board, for every length at once; neighbours whose ends lean alike lie closer.

A dynamic programme over the length and the lean of the last end: appending a piece that lies one way moves the row's
end by its length, a kerf, and less by what the two ends overlap. No piece is counted, so a row may hold any of them
more often than it is wanted; a bound from these values holds all the more.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.job import SQUARE_ENDS, Ends, overlap

# Less than any row is worth, and far from the end of 64 bits.
NO_ROW = -(1 << 62)


class Item(NamedTuple):
    """What one piece is worth, how long it is and the ways it may lie."""

    value: int
    length: int
    ways: tuple[Ends, ...] = (SQUARE_ENDS,)


class Step(NamedTuple):
    """A piece laid one way behind a row that ends with one lean: how far the row's end moves, and its lean after."""

    item: int
    ends: Ends
    before: int
    after: int
    length: int
    value: int


class FilledRows:
    """The best rows for every length: `values[length]` is what the best one is worth."""

    def __init__(self, best: npt.NDArray[np.int64], firsts: Sequence[Step], steps: Sequence[Step]) -> None:
        self._best = best
        self._firsts = firsts
        self._steps = steps
        self.values: npt.NDArray[np.int64] = np.maximum(best.max(axis=0), 0) if len(best) else best.sum(axis=0)

    def trace(self, length: int) -> tuple[tuple[int, Ends], ...]:
        """Return a row of the best value for a length: the items in their order and how each lies."""
        return tuple(self._backwards(length))[::-1]

    def _backwards(self, length: int) -> Iterator[tuple[int, Ends]]:
        if not self.values[length]:
            return
        lean = int(self._best[:, length].argmax())
        while True:
            value = self._best[lean, length]
            length = int(np.searchsorted(self._best[lean], value))  # no longer than it has to be
            first = next(
                (one for one in self._firsts if (one.after, one.length, one.value) == (lean, length, value)), None
            )
            if first is not None:
                yield first.item, first.ends
                return
            step = next(one for one in self._steps if one.after == lean and self._is_last(one, length, value))
            yield step.item, step.ends
            lean, length = step.before, length - step.length

    def _is_last(self, step: Step, length: int, value: int) -> bool:
        return step.length <= length and self._best[step.before, length - step.length] + step.value == value


def fill_rows(items: Sequence[Item], longest: int, kerf: int) -> FilledRows:
    """Return the best rows of items worth something, for every length from 0 to the longest."""
    useful = [(place, item) for place, item in enumerate(items) if item.value > 0 and item.length <= longest]
    leans = sorted({ends[1] for _, item in useful for ends in item.ways})
    firsts = [
        Step(place, ends, -1, leans.index(ends[1]), item.length, item.value)
        for place, item in useful
        for ends in item.ways
    ]
    steps = shortest_steps(
        Step(one.item, one.ends, before, one.after, one.length + kerf - overlap(lean, one.ends[0]), one.value)
        for one in firsts
        for before, lean in enumerate(leans)
    )
    best = np.full((len(leans), longest + 1), NO_ROW, dtype=np.int64)
    for one in firsts:
        best[one.after, one.length] = max(best[one.after, one.length], one.value)
    np.maximum.accumulate(best, axis=1, out=best)
    if steps:
        extend(best, steps)
    return FilledRows(best, firsts, steps)


def shortest_steps(steps: Iterator[Step]) -> list[Step]:
    """Return the steps, of those that lay the same item behind the same lean to the same effect only the shortest."""
    kept: dict[tuple[int, int, int], Step] = {}
    for step in steps:
        key = step.item, step.before, step.after
        if key not in kept or step.length < kept[key].length:
            kept[key] = step
    return list(kept.values())


def extend(best: npt.NDArray[np.int64], steps: Sequence[Step]) -> None:
    """Lay steps behind the rows in `best`, in blocks no longer than the shortest step, so that each block is whole."""
    longest = best.shape[1] - 1
    block = max(1, min(step.length for step in steps))
    for start in range(block, longest + 1, block):
        end = min(start + block, longest + 1)
        for step in steps:
            if step.length < end:
                low = max(start, step.length)
                reached = best[step.before, low - step.length : end - step.length] + step.value
                np.maximum(best[step.after, low:end], reached, out=best[step.after, low:end])
        # What fits in a length fits in a longer one.
        best[:, start:end] = np.maximum(np.maximum.accumulate(best[:, start:end], axis=1), best[:, start - 1, None])


def shifted(weights: Sequence[int], most_pieces: int) -> tuple[list[int], int]:
    """Return weights that so many pieces cannot carry beyond 64 bits, rounded up, and by how many bits they shrank."""
    shift = max(0, (max(weights, default=0) * most_pieces).bit_length() - 60)
    return [-(-weight >> shift) for weight in weights], shift
