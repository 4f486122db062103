"""The oracle for parts whose leaning ends nest: where neighbours lean alike, one reaches into the other's slope.

Garraffa et al. 2016, International Transactions in Operational Research 23, and Lewis, Song, Dowsland, Thompson 2011,
European Journal of Operational Research 213 (both from memory) treat such rows; the programmes here are our own.
"""

from collections.abc import Iterable, Sequence
from heapq import heappop, heappush
from itertools import pairwise
from typing import NamedTuple

from estimator.buying.cutting.job import SQUARE, End, Ends, Piece, Placed, Section, Strip, overlap
from estimator.buying.cutting.oracles.most_overlap import Pieces, Ways, is_reached, most_overlap
from estimator.buying.cutting.oracles.nested_boards import NestedBoards
from estimator.buying.cutting.problem import Pattern


class NestingOracle:
    """Parts that may lie in given ways on boards of given lengths, a kerf between each two."""

    def __init__(self, parts: Sequence[Piece], lengths: Sequence[int], kerf: int) -> None:
        self._parts = parts
        self._lengths = lengths
        self._kerf = kerf
        self._rows = LeaningRows()
        self._ways = [part.ends for part in parts]
        self._known: dict[Pattern, tuple[int, bool]] = {}
        self.exact = True

    def within(self, demand: Sequence[int]) -> NestedBoards:
        """Return a pricer for patterns within a demand, or beyond it."""
        return NestedBoards(self, self._parts, self._lengths, self._kerf, demand)

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether some row of the pattern's parts is no longer than a board; exact."""
        if pattern not in self._known:
            pieces = leaning(pattern, self._ways)
            self._known[pattern] = self._apart(pattern) - most_overlap(pieces), is_reached(pieces)
        at_least, reached = self._known[pattern]
        if at_least > self._lengths[stock] or reached:
            return at_least <= self._lengths[stock]
        return self._apart(pattern) - self._rows.most_overlap(leaning(pattern, self._ways)) <= self._lengths[stock]

    def arrange(self, pattern: Pattern, stock: int) -> tuple[Strip, ...]:  # noqa: ARG002 - the shortest on every stock
        """Return the shortest row of a pattern's parts; among equals, few settings of the saw and long parts first."""
        lengths = [part.length for part in self._parts]
        placed = nested_row(self._rows, pattern, self._ways, lengths)
        return (Strip(None, tuple(Section(lengths[one.piece], (one,)) for one in placed)),)

    def _apart(self, pattern: Pattern) -> int:
        """Return what a pattern's parts take with a kerf between each two, when nothing nests."""
        return (
            sum(count * (part.length + self._kerf) for count, part in zip(pattern, self._parts, strict=True))
            - self._kerf
        )


class LeaningRows:
    """Rows of leaning pieces: what they save depends on how they may lie, not on how long they are.

    So pieces with the same ways are alike here. What was found is kept: the same mixtures come up again and again.
    """

    def __init__(self) -> None:
        self._known: dict[Pieces, list[tuple[Ways, Ends]]] = {}

    def most_overlap(self, pieces: Pieces) -> int:
        """Return the most that the pieces of one row can overlap together."""
        if is_reached(pieces):
            return most_overlap(pieces)
        return sum(overlap(one[1], other[0]) for (_, one), (_, other) in pairwise(self.row(pieces)))

    def row(self, pieces: Pieces) -> list[tuple[Ways, Ends]]:
        """Return the pieces in an order and in ways that overlap most."""
        if pieces not in self._known:
            self._known[pieces] = fullest_row(pieces)
        return self._known[pieces]


class Begun(NamedTuple):
    """A row as far as it is laid, with what it can come to; the least one is the first to be looked at.

    The most overlap first, then the row that is laid furthest, then the one with the fewest settings of the saw.
    """

    overlaps_at_most: int  # less than nothing
    pieces_left: int
    settings: int
    place: int  # in the order the rows were begun
    overlaps: int
    left: Pieces
    laid: tuple[tuple[Ways, Ends], ...]

    @property
    def last(self) -> End:
        """The end at which the row stops."""
        return self.laid[-1][1][1] if self.laid else SQUARE


def fullest_row(pieces: Pieces) -> list[tuple[Ways, Ends]]:
    """Return the pieces in an order and in ways that overlap most; of those, few settings of the saw.

    The row that may still come to most goes on first, so the first one that is whole is best (A*, Hart, Nilsson,
    Raphael 1968, from memory). Of two rows with the same left to lay behind the same end the better one comes first.
    """
    waiting = [Begun(0, sum(count for _, count in pieces), 0, 0, 0, pieces, ())]
    seen: set[tuple[Pieces, End]] = set()
    begun = 0
    while True:
        row = heappop(waiting)
        if not row.left:
            return list(row.laid)
        if (row.left, row.last) in seen:
            continue
        seen.add((row.left, row.last))
        for ways, ends, left in choices(row.left):
            begun += 1
            overlaps = row.overlaps + overlap(row.last, ends[0])
            settings = row.settings + sum(one != other for one, other in pairwise((row.last, *ends)))
            most = overlaps + most_overlap(left, ends[1])
            laid = (*row.laid, (ways, ends))
            heappush(waiting, Begun(-most, row.pieces_left - 1, settings, begun, overlaps, left, laid))


def leaning(pattern: Pattern, ways: Sequence[tuple[Ends, ...]]) -> Pieces:
    """Return how many leaning parts there are of each set of ways to lie, in a fixed order."""
    found: dict[Ways, int] = {}
    for count, of_part in zip(pattern, ways, strict=True):
        if count and leans(of_part):
            found[frozenset(of_part)] = found.get(frozenset(of_part), 0) + count
    return tuple(sorted(found.items(), key=lambda one: sorted(one[0])))


def nested_row(
    rows: LeaningRows, pattern: Pattern, ways: Sequence[tuple[Ends, ...]], lengths: Sequence[int]
) -> list[Placed]:
    """Return the shortest row of a pattern's parts: square ones together, leaning ones nested, long ones first.

    What leans stays together, for the blade's sake, even where a square piece is longer than some of it.
    """
    by_length = sorted(range(len(pattern)), key=lambda part: (-lengths[part], part))
    parts = [part for part in by_length for _ in range(pattern[part])]
    square = [Placed(part, ways[part][0]) for part in parts if not leans(ways[part])]
    waiting = [part for part in parts if leans(ways[part])]
    nested = []
    for kind, ends in rows.row(leaning(pattern, ways)):
        part = next(one for one in waiting if frozenset(ways[one]) == kind)
        waiting.remove(part)
        nested.append(Placed(part, ends))
    nested = long_first(turned_least(nested, ways), lengths)
    both = sorted([square, nested], key=lambda row: -max((lengths[one.piece] for one in row), default=0))
    return [*both[0], *both[1]]


def long_first(row: list[Placed], lengths: Sequence[int]) -> list[Placed]:
    """Return a row with what nests left together and the longest first, unless that takes more settings of the saw."""
    chains: list[list[Placed]] = []
    for placed in row:
        if chains and overlap(chains[-1][-1].ends[1], placed.ends[0]):
            chains[-1].append(placed)
        else:
            chains.append([placed])
    chains.sort(key=lambda chain: -max(lengths[placed.piece] for placed in chain))
    sorted_row = [placed for chain in chains for placed in chain]
    return min(row, sorted_row, key=lambda one: (changes(one), one is row))


def changes(row: Sequence[Placed]) -> int:
    """Return how often the saw is set anew along a row, from a square end to a square end."""
    ends = [end for placed in row for end in placed.ends]
    return sum(one != other for one, other in pairwise((SQUARE, *ends, SQUARE)))


def choices(pieces: Pieces) -> list[tuple[Ways, Ends, Pieces]]:
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
