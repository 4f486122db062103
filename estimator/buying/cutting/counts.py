"""Board counts: how many boards of each stock, and what is found out about the cheapest of them."""

from dataclasses import dataclass

Counts = tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LeastCounts:
    """A cost no plan can be under, and counts of that cost if some meet every row."""

    bound: int
    counts: Counts | None
