"""Rows sharpened for whole counts.

Mixed-integer rounding (Nemhauser, Wolsey 1990, Mathematical Programming 46, from memory): from sum a n >= b with whole
n >= 0 follows sum (floor(a) + min(1, frac(a) / frac(b))) n >= ceil(b). A row may be divided by any base before.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

# A row is divided by each of its values, and by a half, a third, ... of it, down to this part.
PARTS = 30

# Sharper rows taken from one row at a time, the most telling ones.
MOST_FROM_A_ROW = 2

# How much a point has to break a row by, measured in the row, before it counts as broken; floats are no finer.
BROKEN_BY = 1e-9
NEARLY_WHOLE = 1e-6


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """sum values[i] n[i] >= needed, true of the board counts n of every plan."""

    values: tuple[int, ...]
    needed: int

    def met_by(self, counts: Sequence[int]) -> bool:
        """Whether these boards can carry what the row needs."""
        return sum(value * count for value, count in zip(self.values, counts, strict=True)) >= self.needed


def sharper_rows(row: Row, point: Sequence[float]) -> list[Row]:
    """Return rows that follow from a row for whole counts and that a fractional point breaks.

    Which bases are worth dividing by is found in floats; the rows are then made in whole numbers.
    """
    bases = [value for value in row.values if value > 0]
    shares = np.outer(1 / np.array(bases, dtype=float), np.arange(1, PARTS + 1)).ravel()
    values = np.outer(shares, np.array(row.values, dtype=float))
    needed = shares * row.needed
    rest = needed - np.floor(needed)
    roundable = rest > NEARLY_WHOLE
    rest[~roundable] = 1.0
    whole = np.floor(values)
    reached = (whole + np.minimum(1.0, (values - whole) / rest[:, None])) @ np.array(point)
    lacking = np.where(roundable, 1 - reached / (np.floor(needed) + 1), 0.0)
    rows = []
    for choice in np.argsort(-lacking, kind="stable")[:MOST_FROM_A_ROW].tolist():
        base = bases[choice // PARTS] // (choice % PARTS + 1)
        if lacking[choice] > BROKEN_BY and base > 0 and row.needed % base:
            rows.append(rounded(row, base))
    return rows


def rounded(row: Row, base: int) -> Row:
    """Return a row divided by a base and rounded, multiplied through so that it is whole; exact."""
    rest = row.needed % base
    return Row(
        values=tuple(value // base * rest + min(rest, value % base) for value in row.values),
        needed=(row.needed // base + 1) * rest,
    )
