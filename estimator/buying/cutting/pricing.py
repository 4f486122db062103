"""What the search asks of whatever knows how parts fit on a board.

The search works with any oracle: parts in a row with a kerf between them (`knapsack`), parts that nest at their leaning
ends (`nesting`), strips ripped before or after they are crosscut (`ripping`).
"""

from collections.abc import Sequence
from typing import Protocol

from estimator.buying.cutting.job import Strip
from estimator.buying.cutting.problem import Pattern

# Boards once laid out, by how many of each part they hold: how long they are and what lies where.
KnownBoards = dict[Pattern, tuple[int, tuple[Strip, ...]]]


class Priced(Protocol):
    """The best patterns under one set of weights."""

    @property
    def values(self) -> Sequence[int]:
        """A weight that no pattern within the demand is above on one board of each stock; exact."""

    def pattern(self, stock: int) -> Pattern:
        """Return a good pattern; it may carry less than the value, or hold more of a part than is demanded."""

    def patterns(self, stock: int, above: int) -> Sequence[Pattern]:
        """Return patterns that carry more than so much, the best first; where they come cheap, more than one."""


class Pricer(Protocol):
    """Prices patterns within a demand, or a wider choice that is easier to search."""

    def price(self, weights: Sequence[int]) -> Priced:
        """Return the best patterns when a part is worth its weight, a whole number from 0 up."""


class Oracle(Protocol):
    """Knows what fits on a board of each stock. Whatever fits, fits with any of its parts left out."""

    @property
    def exact(self) -> bool:
        """Whether it finds a way to lay every pattern within the whole demand that fits."""

    def within(self, demand: Sequence[int]) -> Pricer:
        """Return a pricer for patterns within a demand."""

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether a board of a stock is known to hold a pattern."""

    def arrange(self, pattern: Pattern, stock: int) -> tuple[Strip, ...]:
        """Return where the parts of a pattern that fits lie on a board, parts named by their places in the problem."""
