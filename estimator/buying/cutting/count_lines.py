"""Board counts cost by cost: for each choice of most stocks, the counts of two others that make up a cost in bulk.

With two prices a and b, the counts that cost T lie b / gcd apart on a line, and the rows leave a stretch of it. So
thousands of counts are looked at in one step, where a tree that walks through them would pass a hundred wrong ones for
each right one.
"""

from collections.abc import Collection, Iterator, Sequence
from math import gcd

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.count_table import CLOSE, HIGHEST_COST
from estimator.buying.cutting.counts import Counts, LeastCounts
from estimator.buying.cutting.rounding import Row

# Choices of the other stocks up to which all are looked at, and how many of them for a cost when they are more.
MOST_CHOICES = 20_000

# Prices of the two bulk stocks up to which products of them stay within 64 bits; dearer ones are left to the tree.
HIGHEST_PRICE = 2**31

# Costs looked at for one proposal of counts.
MOST_COSTS = 2_000

Numbers = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]


class CountLines:
    """The counts between two bounds under rows, the cheapest first; rows may be added."""

    def __init__(
        self,
        *,
        prices: Counts,
        step: int,
        lower: Counts,
        upper: Counts,
        rows: Sequence[Row],
        least: float,
        spare: float,
        dearer: Sequence[float],
        bulk: tuple[int, int],
        near: Sequence[float],
    ) -> None:
        """Make the choices; any counts cost at least `least`, and more by `dearer` for each board off a bound.

        A number above 0 counts from the lower bound, one below from the upper. Only counts that cost no more than
        `spare` above the least matter. `bulk` names the two stocks, not free ones, that make up the bulk; of
        more choices than can be looked at, those `near` some fractional counts are.
        """
        self._prices, self._step = prices, step
        self._lower, self._upper = lower, upper
        self._least = least
        self._first, self._second = bulk
        self._rows: list[Row] = []
        self.is_complete = max(prices[stock] for stock in bulk) < HIGHEST_PRICE
        self._choose(dearer, spare, near)
        self.cost = -(-max(0, int(least * (1 - CLOSE))) // step) * step
        for row in rows:
            self.add(row)

    def _choose(self, dearer: Sequence[float], spare: float, near: Sequence[float]) -> None:
        """Make every choice of the other stocks, the narrow ranges first, with its cost and how much dearer it is."""
        others = [stock for stock in range(len(self._prices)) if stock not in (self._first, self._second)]
        others.sort(key=lambda stock: self._upper[stock] - self._lower[stock])
        self._choices = np.zeros((len(self._prices), 1), dtype=np.int64)
        self._dearer = np.zeros(1)
        for stock in others:
            counts = np.arange(self._lower[stock], self._upper[stock] + 1, dtype=np.int64)
            rest = dearer[stock]
            more = rest * (counts - self._lower[stock]) if rest >= 0 else -rest * (self._upper[stock] - counts)
            most = max(1, MOST_CHOICES // max(1, len(self._dearer)))
            nearest = np.argsort(np.abs(counts - near[stock]), kind="stable")[:most]
            self.is_complete &= len(nearest) == len(counts)
            counts, more = counts[nearest], more[nearest]
            together = (self._dearer[:, None] + more[None, :]).ravel()
            kept = np.flatnonzero(together <= spare * (1 + CLOSE))
            self._choices = np.repeat(self._choices, len(counts), axis=1)
            self._choices[stock] = np.tile(counts, len(self._dearer))
            self._choices, self._dearer = self._choices[:, kept], together[kept]
        order = np.argsort(np.round(self._dearer, 3), kind="stable")
        # What is dearer by less than that keeps its place, near ones first.
        self._choices, self._dearer = self._choices[:, order], self._dearer[order]
        self._cost_of_choices: Numbers = np.array(self._prices, dtype=np.int64) @ self._choices
        self._floats = self._choices.astype(float)

    def add(self, row: Row) -> None:
        """Take up a row."""
        if row.needed > 0 and row not in self._rows:
            self._rows.append(row)

    def cheapest(self, *, cutoff: int, tried: Collection[Counts] = ()) -> LeastCounts:
        """Return the cheapest counts under all rows but those `tried`; costs from `cutoff` up do not matter.

        Claims the bound where the choices are complete: what a line leaves out misses a row by more than floats can be
        off, and what it offers is checked in whole numbers.
        """
        for _ in range(MOST_COSTS):
            if self.cost >= cutoff:
                return LeastCounts(bound=cutoff, counts=None)
            for counts in self.of_cost(self.cost):
                if counts not in tried and all(row.met_by(counts) for row in self._rows):
                    return LeastCounts(bound=self.cost, counts=counts)
            if not self.is_complete:
                break
            self.cost += self._step
        return LeastCounts(bound=self.cost, counts=None)

    def of_cost(self, cost: int) -> Iterator[Counts]:
        """Yield counts of just this cost that may meet the rows, those with most to spare first."""
        spare = cost - self._least
        choices = int(np.searchsorted(self._dearer, spare + CLOSE * cost, side="right"))
        rest = cost - self._cost_of_choices[:choices]
        price, other = self._prices[self._first], self._prices[self._second]
        common = gcd(price, other)
        if not choices or not common or max(price, other) >= HIGHEST_PRICE:
            return
        places = np.flatnonzero((rest >= 0) & (rest % common == 0))
        rest = rest[places] // common
        price, other = price // common, other // common
        start = rest % other * pow(price, -1, other) % other
        low, high = self._stretch(rest, price, other, self._floats[:, places])
        low += (start - low) % other
        for place in np.flatnonzero(low <= high).tolist():
            counts = self._choices[:, places[place]].tolist()
            on_line = range(int(low[place]), int(high[place]) + 1, other)
            for first in from_the_middle(on_line):
                counts[self._first] = first
                counts[self._second] = (int(rest[place]) - price * first) // other
                yield tuple(counts)

    def _stretch(self, rest: Numbers, price: int, other: int, choices: Floats) -> tuple[Numbers, Numbers]:
        """Return, for each choice, from which to which count of the first stock bounds and rows leave its line."""
        first, second = self._first, self._second
        low = np.maximum(self._lower[first], -((self._upper[second] * other - rest) // price))
        high = np.minimum(self._upper[first], (rest - self._lower[second] * other) // price)
        for row in self._rows:
            scale = max(*row.values, row.needed)
            values = np.array([value / scale for value in row.values])
            needed = row.needed / scale * (1 - CLOSE) - values @ choices - values[second] / other * rest
            slope = values[first] - values[second] * price / other
            if abs(slope) > CLOSE * values[first]:
                end = np.clip(needed / slope, -HIGHEST_COST, HIGHEST_COST)
                if slope > 0:
                    low = np.maximum(low, np.ceil(end - CLOSE * np.abs(end)).astype(np.int64))
                else:
                    high = np.minimum(high, np.floor(end + CLOSE * np.abs(end)).astype(np.int64))
        return low, high


def from_the_middle(line: range) -> list[int]:
    """Return numbers of a line, those in the middle first: furthest from any row."""
    middle = (len(line) - 1) / 2
    return [line[n] for n in sorted(range(len(line)), key=lambda n: (abs(n - middle), n))]
