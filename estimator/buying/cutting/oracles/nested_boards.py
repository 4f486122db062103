"""Prices rows of parts that nest, from two sides: a knapsack that keeps to the demand, and rows that nest truly.

The knapsack takes every end for nested with half its slope, since no two ends overlap by more than half of both slopes
together. Where its pattern fits, none is worth more; else it promises more overlap than there is. There the best row is
a bound too, which may hold more than is wanted; so both are at hand, it and a pattern of the knapsack that does fit.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from operator import mul

from estimator.buying.cutting.job import Piece
from estimator.buying.cutting.oracles.knapsack import BoundedKnapsack, FilledBoards
from estimator.buying.cutting.oracles.most_overlap import most_leaning
from estimator.buying.cutting.oracles.row_filling import FilledRows, Item, fill_rows, shifted
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Pattern

# Where the knapsack's pattern does not fit a board, those for lengths shorter by quarters of the steepest slopes may.
SHORTER_BY_QUARTERS = range(8)


class NestedBoards:
    """Prices rows within a demand, or beyond it."""

    def __init__(
        self, oracle: Oracle, parts: Sequence[Piece], lengths: Sequence[int], kerf: int, demand: Sequence[int]
    ) -> None:
        self._oracle = oracle
        self._parts = parts
        self._lengths = lengths
        self._kerf = kerf
        self._demand = demand
        # All twice, so that half a slope is whole. A kerf more on the board hides that of the last part.
        slopes = [most_leaning(part.ends) for part in parts]
        sizes = [2 * (part.length + kerf) - slope for part, slope in zip(parts, slopes, strict=True)]
        capacities = [2 * (length + kerf) for length in lengths]
        self._halves = BoundedKnapsack(
            sizes,
            [max(0, most - max(slopes) * n // 4) for most in capacities for n in SHORTER_BY_QUARTERS],
            demand,
        )
        self._most_pieces = max(capacities) // min(sizes)

    def price(self, weights: Sequence[int]) -> "PricedNests":
        """Return the best patterns."""
        halves = self._halves.price(weights)
        most = halves.values[:: len(SHORTER_BY_QUARTERS)]
        bounded = [self._fitting(halves, stock) for stock in range(len(self._lengths))]
        worth = [worth_of(pattern, weights) for pattern in bounded]
        unsettled = [length for length, *both in zip(self._lengths, worth, most, strict=True) if both[0] < both[1]]
        scaled, shift = shifted(weights, self._most_pieces)
        items = [
            Item(weight if wanted else 0, part.length, part.ends)
            for weight, wanted, part in zip(scaled, self._demand, self._parts, strict=True)
        ]
        rows = fill_rows(items, max(unsettled, default=0), self._kerf)
        return PricedNests(
            values=[
                min(half, int(rows.values[length]) << shift) if length in unsettled else half
                for half, length in zip(most, self._lengths, strict=True)
            ],
            bounded=bounded,
            worth=worth,
            weights=weights,
            demand=self._demand,
            rows=rows,
            lengths=self._lengths,
        )

    def _fitting(self, halves: FilledBoards, stock: int) -> Pattern:
        """Return the knapsack's pattern for a stock, or for a shorter length, that fits; nothing where none does."""
        for n in SHORTER_BY_QUARTERS:
            pattern = halves.pattern(stock * len(SHORTER_BY_QUARTERS) + n)
            if self._oracle.fits(pattern, stock):
                return pattern
        return (0,) * len(self._parts)


@dataclass(frozen=True, kw_only=True, slots=True)
class PricedNests:
    """Bounds for each stock, a pattern within the demand with its worth, and the best rows of all."""

    values: list[int]
    bounded: Sequence[Pattern]
    worth: Sequence[int]
    weights: Sequence[int]
    demand: Sequence[int]
    rows: FilledRows
    lengths: Sequence[int]

    def patterns(self, stock: int, above: int) -> list[Pattern]:
        """Return the best pattern of a stock, and the one within the demand where it is another and carries enough."""
        best, bounded = self._best(stock), self.bounded[stock]
        return [best, bounded] if bounded != best and self.worth[stock] > above else [best]

    def pattern(self, stock: int) -> Pattern:
        """Return a pattern that fits a stock, of two the one that is worth more less what is not wanted."""
        best = self._best(stock)
        wanted = tuple(map(min, best, self.demand))
        return best if worth_of(wanted, self.weights) > self.worth[stock] else self.bounded[stock]

    def _best(self, stock: int) -> Pattern:
        if self.worth[stock] == self.values[stock]:
            return self.bounded[stock]
        laid = [item for item, _ in self.rows.trace(self.lengths[stock])]
        return tuple(map(laid.count, range(len(self.weights))))


def worth_of(pattern: Pattern, weights: Sequence[int]) -> int:
    """Return what the parts of a pattern are worth together."""
    return sum(map(mul, pattern, weights))
