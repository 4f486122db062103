"""The oracle for parts whose leaning ends nest: where neighbours lean alike, one reaches into the other's slope.

Garraffa et al. 2016, International Transactions in Operational Research 23, and Lewis, Song, Dowsland, Thompson 2011,
European Journal of Operational Research 213 (both from memory) treat such rows; the programmes here are our own.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from estimator.buying.cutting.job import SQUARE, End, Ends, Piece, Placed, Section, Strip, overlap
from estimator.buying.cutting.knapsack import BoundedKnapsack, FilledBoards
from estimator.buying.cutting.problem import Pattern
from estimator.buying.cutting.row_filling import FilledRows, Item, fill_rows, shifted

Ways = frozenset[Ends]
Counts = tuple[int, ...]

# What a row of leaning pieces reaches: the overlaps together, and how often the saw is set anew, counted downwards.
Reached = tuple[int, int]


class NestingOracle:
    """Parts that may lie in given ways on boards of given lengths, a kerf between each two."""

    def __init__(self, parts: Sequence[Piece], lengths: Sequence[int], kerf: int) -> None:
        self._parts = parts
        self._lengths = lengths
        self._kerf = kerf
        self._rows = LeaningRows()
        self._ways = [part.ends for part in parts]
        self.exact = True

    def within(self, demand: Sequence[int]) -> "NestedBoards":
        """Return a pricer for patterns within a demand."""
        return NestedBoards(self, self._parts, self._lengths, self._kerf, demand)

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether some row of the pattern's parts is no longer than a board; exact."""
        room = self._lengths[stock] + self._kerf - self._apart(pattern)
        if room >= 0:
            return True
        if 2 * room + sum(count * most_saved(part) for count, part in zip(pattern, self._parts, strict=True)) < 0:
            return False
        return room + self._rows.most_overlap(leaning(pattern, self._ways)) >= 0

    def arrange(self, pattern: Pattern, stock: int) -> tuple[Strip, ...]:  # noqa: ARG002 - the shortest on every stock
        """Return the shortest row of a pattern's parts; among equals, few settings of the saw and long parts first."""
        lengths = [part.length for part in self._parts]
        placed = nested_row(self._rows, pattern, self._ways, lengths)
        return (Strip(None, tuple(Section(lengths[one.piece], (one,)) for one in placed)),)

    def _apart(self, pattern: Pattern) -> int:
        """Return what a pattern's parts and a kerf for each take when nothing nests."""
        return sum(count * (part.length + self._kerf) for count, part in zip(pattern, self._parts, strict=True))


class LeaningRows:
    """Rows of leaning pieces: what they save depends on how they may lie, not on how long they are.

    So pieces with the same ways are alike here, and a programme over how many of each are left and the last end finds
    the most overlap. What was found is kept, since the same few mixtures come up again and again.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[tuple[tuple[Ways, int], ...], End], Reached] = {}

    def most_overlap(self, pieces: tuple[tuple[Ways, int], ...]) -> int:
        """Return the most that the pieces of one row can overlap together."""
        return self._reach(pieces, SQUARE)[0]

    def row(self, pieces: tuple[tuple[Ways, int], ...]) -> list[tuple[Ways, Ends]]:
        """Return the pieces in the order and the ways that overlap most."""
        laid, last = [], SQUARE
        while pieces:
            best = self._reach(pieces, last)
            ways, ends, pieces = next(one for one in choices(pieces) if self._through(last, *one) == best)
            laid.append((ways, ends))
            last = ends[1]
        return laid

    def _reach(self, pieces: tuple[tuple[Ways, int], ...], last: End) -> Reached:
        if not pieces:
            return 0, 0
        key = pieces, last
        if key not in self._known:
            self._known[key] = max(self._through(last, *choice) for choice in choices(pieces))
        return self._known[key]

    def _through(self, last: End, _: Ways, ends: Ends, left: tuple[tuple[Ways, int], ...]) -> Reached:
        """Return what a row reaches that goes on, after an end, with a piece that lies so."""
        overlaps, settings = self._reach(left, ends[1])
        anew = sum(one != other for one, other in pairwise((last, *ends)))
        return overlaps + overlap(last, ends[0]), settings - anew


def leaning(pattern: Pattern, ways: Sequence[tuple[Ends, ...]]) -> tuple[tuple[Ways, int], ...]:
    """Return how many leaning parts there are of each set of ways to lie, in a fixed order."""
    found: dict[Ways, int] = {}
    for count, of_part in zip(pattern, ways, strict=True):
        if count and leans(of_part):
            found[frozenset(of_part)] = found.get(frozenset(of_part), 0) + count
    return tuple(sorted(found.items(), key=lambda one: sorted(one[0])))


def nested_row(
    rows: LeaningRows, pattern: Pattern, ways: Sequence[tuple[Ends, ...]], lengths: Sequence[int]
) -> list[Placed]:
    """Return the shortest row of a pattern's parts: square ones together, leaning ones nested, long ones first."""
    by_length = sorted(range(len(pattern)), key=lambda part: (-lengths[part], part))
    parts = [part for part in by_length for _ in range(pattern[part])]
    square = [Placed(part, ways[part][0]) for part in parts if not leans(ways[part])]
    waiting = [part for part in parts if leans(ways[part])]
    nested = []
    for kind, ends in rows.row(leaning(pattern, ways)):
        part = next(one for one in waiting if frozenset(ways[one]) == kind)
        waiting.remove(part)
        nested.append(Placed(part, ends))
    nested = turned_least(nested, ways)
    both = sorted([square, nested], key=lambda row: -max((lengths[one.piece] for one in row), default=0))
    return [*both[0], *both[1]]


def choices(pieces: tuple[tuple[Ways, int], ...]) -> list[tuple[Ways, Ends, tuple[tuple[Ways, int], ...]]]:
    """Return each way to lay the next piece, with the pieces that are left."""
    found = []
    for place, (ways, count) in enumerate(pieces):
        rest = ((ways, count - 1),) if count > 1 else ()
        left = (*pieces[:place], *rest, *pieces[place + 1 :])
        found += [(ways, ends, left) for ends in sorted(ways)]
    return found


def turned_least(row: list[Placed], ways: Sequence[tuple[Ends, ...]]) -> list[Placed]:
    """Return a row, or the same row turned as a whole, with the most pieces lying as drawn."""

    def allowed(turned: list[Placed]) -> bool:
        return all(one.ends in ways[one.piece] for one in turned)

    over = [Placed(one.piece, (mirrored(one.ends[0]), mirrored(one.ends[1]))) for one in row]
    around = [[Placed(one.piece, one.ends[::-1]) for one in reversed(turned)] for turned in (row, over)]
    turned_rows = [row, *filter(allowed, (over, *around))]
    return max(turned_rows, key=lambda turned: sum(one.ends == ways[one.piece][0] for one in turned))


def mirrored(end: End) -> End:
    """Return an end that leans the other way."""
    return End(-end.offset, end.plane)


def leans(ways: Iterable[Ends]) -> bool:
    """Whether a piece has an end that leans."""
    return any(map(leans_ends, ways))


def leans_ends(ends: Ends) -> bool:
    """Whether one of two ends leans."""
    return any(end.offset for end in ends)


def most_saved(part: Piece) -> int:
    """Return twice what a part can save at both ends: an overlap is no more than half of the two slopes together."""
    return max(abs(left.offset) + abs(right.offset) for left, right in part.ends)


class NestedBoards:
    """Prices nested rows from two sides, each a bound; a pattern comes from the one that is reached.

    A row without a count of its pieces may hold more than is wanted, and nests truly. A knapsack that keeps to the
    demand, and takes every end for nested with half its slope, may promise more overlap than there is.
    """

    def __init__(
        self, oracle: NestingOracle, parts: Sequence[Piece], lengths: Sequence[int], kerf: int, demand: Sequence[int]
    ) -> None:
        self._oracle = oracle
        self._parts = parts
        self._lengths = lengths
        self._kerf = kerf
        self._wanted = demand
        self._halves = BoundedKnapsack(
            [2 * (part.length + kerf) - most_saved(part) for part in parts],
            [2 * (length + kerf) for length in lengths],
            demand,
        )

    def price(self, weights: Sequence[int]) -> "PricedNests":
        """Return the best patterns; valid until the next call."""
        scaled, shift = shifted(weights, max(self._lengths) // min(part.length for part in self._parts) + 1)
        items = [
            Item(weight if wanted else 0, part.length, part.ends)
            for weight, wanted, part in zip(scaled, self._wanted, self._parts, strict=True)
        ]
        rows = fill_rows(items, max(self._lengths), self._kerf)
        return PricedNests(self._oracle, self._halves.price(weights), rows, self._lengths, len(weights), shift)


class PricedNests:
    """The lesser of both bounds for each stock."""

    def __init__(
        self,
        oracle: NestingOracle,
        halves: FilledBoards,
        rows: FilledRows,
        lengths: Sequence[int],
        parts: int,
        shift: int,
    ) -> None:
        self._oracle = oracle
        self._halves = halves
        self._rows = rows
        self._lengths = lengths
        self._parts = parts
        self.values = [
            min(half, int(rows.values[length]) << shift) for half, length in zip(halves.values, lengths, strict=True)
        ]

    def pattern(self, stock: int) -> Pattern:
        """Return a pattern that fits a stock: one within the demand where the knapsack's nests, else the best row."""
        bounded = self._halves.pattern(stock)
        if self._oracle.fits(bounded, stock):
            return bounded
        counts = [0] * self._parts
        for item, _ in self._rows.trace(self._lengths[stock]):
            counts[item] += 1
        return tuple(counts)
