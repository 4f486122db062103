"""Rows sharpened for whole counts.

Mixed-integer rounding (Nemhauser, Wolsey 1990, Mathematical Programming 46, from memory): from sum a n >= b with whole
n >= 0 follows sum (floor(a) + min(1, frac(a) / frac(b))) n >= ceil(b). A row may be divided by any base before. Stock
that the cheapest counts use up is counted by the boards that stay on the rack, u - n >= 0: else a row would say little
about offcuts, which are worth far more than they cost.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

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


def sharper_rows(row: Row, point: Sequence[float], ceilings: Sequence[int]) -> list[Row]:
    """Return rows that follow from a row for whole counts up to their ceilings and that a fractional point breaks.

    Which bases are worth dividing by is found in floats; the rows are then made in whole numbers.
    """
    used_up = tuple(2 * count > ceiling for count, ceiling in zip(point, ceilings, strict=True))
    turned, place = turned_over(row, used_up, ceilings), turned_point(point, used_up, ceilings)
    bases = [value for value in row.values if value > 0]
    shares = np.outer(1 / np.array(bases, dtype=float), np.arange(1, PARTS + 1)).ravel()
    values = np.outer(shares, np.array(turned.values, dtype=float))
    needed = shares * turned.needed
    rest = needed - np.floor(needed)
    roundable = rest > NEARLY_WHOLE
    rest[~roundable] = 1.0
    whole = np.floor(values)
    reached = (whole + np.minimum(1.0, (values - whole) / rest[:, None])) @ place
    lacking = np.where(roundable, (np.floor(needed) + 1 - reached) / np.maximum(1.0, np.abs(needed)), 0.0)
    rows = []
    for choice in np.argsort(-lacking, kind="stable")[:MOST_FROM_A_ROW].tolist():
        base = bases[choice // PARTS] // (choice % PARTS + 1)
        if lacking[choice] > BROKEN_BY and base > 0 and turned.needed % base:
            rows.append(turned_over(rounded(turned, base), used_up, ceilings))
    return rows


def turned_over(row: Row, which: Sequence[bool], ceilings: Sequence[int]) -> Row:
    """Return the same row with some counts taken as what they leave of their ceilings; twice gives the row again."""
    over = [value * ceiling * turn for value, ceiling, turn in zip(row.values, ceilings, which, strict=True)]
    values = tuple(-value if turn else value for value, turn in zip(row.values, which, strict=True))
    return Row(values=values, needed=row.needed - sum(over))


def turned_point(point: Sequence[float], which: Sequence[bool], ceilings: Sequence[int]) -> npt.NDArray[np.float64]:
    """Return fractional counts, some of them as what they leave of their ceilings."""
    return np.where(which, np.array(ceilings, dtype=float) - np.array(point), np.array(point))


def rounded(row: Row, base: int) -> Row:
    """Return a row divided by a base and rounded, multiplied through so that it is whole; exact."""
    rest = row.needed % base
    return Row(
        values=tuple(value // base * rest + min(rest, value % base) for value in row.values),
        needed=(row.needed // base + 1) * rest,
    )
