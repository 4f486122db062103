"""All board counts worth a look in one table: quicker than branching where few of them are left.

One stock, the one with the most counts open, is left out of the table: for each choice of the others it needs as many
boards as the hardest row asks for. So a table of the others holds the cheapest counts of every choice.
"""

from collections.abc import Collection, Sequence
from math import prod

import numpy as np

from estimator.buying.cutting.counts import Counts, LeastCounts
from estimator.buying.cutting.rounding import Row

# Choices up to which the table is made; beyond, branching is quicker.
MOST_CHOICES = 500_000

# Costs up to which a float holds every whole number.
HIGHEST_COST = 2**53

# Rows are weighed as floats, off by some 1e-12 of what they need. Whatever misses a row by less than this much of it is
# kept and looked at in whole numbers.
CLOSE = 1e-9


class CountTable:
    """The counts between two bounds under rows, the cheapest first; rows may be added."""

    def __init__(
        self, *, prices: Counts, lower: Counts, upper: Counts, rows: Sequence[Row], dearer: Sequence[float] = ()
    ) -> None:
        """Make the table; `dearer` is what a board of each stock takes of all there is to spare, 1 being all of it."""
        self._filled = widest(lower, upper)
        self._prices = prices
        self._most = upper[self._filled]
        spans = [
            range(low, high + 1) if stock != self._filled else range(1)
            for stock, (low, high) in enumerate(zip(lower, upper, strict=True))
        ]
        # Whole numbers as floats, which multiply many times faster and are exact up to HIGHEST_COST.
        axes = [np.array(span, dtype=float) for span in spans]
        others = np.stack([axis.ravel() for axis in np.meshgrid(*axes, indexing="ij", copy=False)])
        self._others = others[:, np.array(dearer) @ others <= 1 + CLOSE] if len(dearer) else others
        self._boards = np.full(self._others.shape[1], float(lower[self._filled]))
        self._possible = np.ones(self._others.shape[1], dtype=bool)
        self._rows: list[Row] = []
        for row in rows:
            self.add(row)

    def add(self, row: Row) -> None:
        """Take up a row: every choice gets the boards of the stock left out that the row asks for."""
        if row.needed <= 0 or row in self._rows:
            return
        self._rows.append(row)
        scale = max(*row.values, row.needed)
        values = np.array([value / scale for value in row.values])
        missing = row.needed / scale * (1 - CLOSE) - values @ self._others
        if row.values[self._filled]:
            np.maximum(self._boards, np.ceil(missing / values[self._filled]), out=self._boards)
        else:
            self._possible &= missing <= 0

    def cheapest(self, *, cutoff: int, tried: Collection[Counts] = ()) -> LeastCounts:
        """Return the cheapest counts under all rows but those `tried`; costs from `cutoff` up do not matter.

        Claims the bound: what the table leaves out misses a row by more than floats can be off, and what it offers is
        checked in whole numbers, cheapest first.
        """
        price, boards = self._prices[self._filled], self._boards.copy()
        costs = np.array(self._prices, dtype=float) @ self._others + price * boards
        costs[~self._possible | (boards > self._most)] = cutoff
        while boards.size:
            place = int(costs.argmin())
            cost = int(costs[place])
            if cost >= cutoff:
                break
            others = [int(count) for count in self._others[:, place]]
            counts = (*others[: self._filled], int(boards[place]), *others[self._filled + 1 :])
            if counts not in tried and all(row.met_by(counts) for row in self._rows):
                return LeastCounts(bound=cost, counts=counts)
            boards[place] += 1  # the next best of this choice
            costs[place] = cost + price if boards[place] <= self._most else cutoff
        return LeastCounts(bound=cutoff, counts=None)


def widest(lower: Counts, upper: Counts) -> int:
    """Return the stock with the most counts between the bounds."""
    return max(range(len(lower)), key=lambda stock: upper[stock] - lower[stock])


def choices_between(lower: Counts, upper: Counts) -> int:
    """Return how many choices a table between two bounds would hold."""
    left_out = widest(lower, upper)
    return prod(high - low + 1 for stock, (low, high) in enumerate(zip(lower, upper, strict=True)) if stock != left_out)
