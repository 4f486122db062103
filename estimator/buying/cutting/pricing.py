"""What the search asks of whatever knows how parts fit on a board.

The search above works with any oracle: parts in a row with a kerf between them (`knapsack`), and as well parts that
nest at their mitres or strips ripped before they are crosscut, as long as these four questions are answered exactly.
"""

from collections.abc import Sequence
from typing import Protocol

from estimator.buying.cutting.problem import Pattern


class Priced(Protocol):
    """The best patterns under one set of weights."""

    @property
    def values(self) -> Sequence[int]:
        """The greatest weight on one board of each stock; exact."""

    def pattern(self, stock: int) -> Pattern:
        """Return a pattern that reaches the value of a stock."""


class Pricer(Protocol):
    """Prices patterns that hold no part more often than a given demand."""

    def price(self, weights: Sequence[int]) -> Priced:
        """Return the best patterns when a part is worth its weight, a whole number from 0 up."""


class Oracle(Protocol):
    """Knows what fits on a board of each stock."""

    def within(self, demand: Sequence[int]) -> Pricer:
        """Return a pricer for patterns within a demand."""

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether a board of a stock holds a pattern."""
