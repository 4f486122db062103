"""The oracle for parts narrower than their boards: ripped first or crosscut first, whichever holds more.

Gilmore, Gomory 1965, Operations Research 13 (two-stage cutting, from memory): rip first, each strip is worth its best
row, and the board's width is filled with strips; crosscut first, each section is worth its best parts side by side, and
the board's length is filled with sections.
"""

from collections.abc import Sequence

from estimator.buying.cutting.job import Piece, Placed, Ripping, Strip
from estimator.buying.cutting.oracles.every_board import EveryBoard, is_small
from estimator.buying.cutting.oracles.nesting import LeaningRows
from estimator.buying.cutting.oracles.ripped_boards import Measures, RememberedBoards, relaid
from estimator.buying.cutting.oracles.ripped_fills import CrosscutFirst, RipFirst
from estimator.buying.cutting.oracles.row_filling import shifted
from estimator.buying.cutting.pricing import KnownBoards
from estimator.buying.cutting.problem import Pattern


class RippingOracle:
    """Parts of given lengths and widths on boards of one width."""

    def __init__(
        self, parts: Sequence[Piece], lengths: Sequence[int], kerf: int, ripping: Ripping, known: KnownBoards
    ) -> None:
        self._measures = Measures(parts=tuple(parts), kerf=kerf, ripping=ripping)
        self._lengths = lengths
        self._remembered = RememberedBoards(self._measures, known)
        self._rows = LeaningRows()
        demand = [part.demand for part in parts]
        self._every = EveryBoard(self._measures, lengths, demand) if is_small(demand) else None
        self.exact = self._every is not None

    def within(self, demand: Sequence[int]) -> "RippedBoards":
        """Return a pricer for patterns within a demand, or beyond it."""
        return RippedBoards(self._measures, self._lengths, self._remembered, demand)

    def fits(self, pattern: Pattern, stock: int) -> bool:
        """Whether a board holds a pattern: exact where the demand is small, else it may miss a way to lay the parts."""
        if self._every is not None and self._is_wanted(pattern):
            return self._every.holds(pattern, stock)
        return self._remembered.find(pattern, self._lengths[stock]) is not None or self._is_single(pattern, stock)

    def arrange(self, pattern: Pattern, stock: int) -> tuple[Strip, ...]:
        """Return where the parts of a pattern that fits lie on a board."""
        if self._every is not None and self._is_wanted(pattern):
            found = self._every.find(pattern, stock)
        else:
            found = self._remembered.find(pattern, self._lengths[stock])
        if found is None:
            part = pattern.index(1)
            found = (Strip(None, (self._measures.section(Placed(part, self._measures.parts[part].ends[0])),)),)
        return tuple(relaid(self._measures, self._rows, strip) for strip in found)

    def _is_wanted(self, pattern: Pattern) -> bool:
        return all(count <= part.demand for count, part in zip(pattern, self._measures.parts, strict=True))

    def _is_single(self, pattern: Pattern, stock: int) -> bool:
        return sum(pattern) == 1 and self._measures.parts[pattern.index(1)].length <= self._lengths[stock]


class RippedBoards:
    """Prices boards ripped first and crosscut first."""

    def __init__(
        self, measures: Measures, lengths: Sequence[int], remembered: RememberedBoards, demand: Sequence[int]
    ) -> None:
        wanted = [part for part, count in enumerate(demand) if count]
        shortest = min(measures.parts[part].length for part in wanted)
        narrowest = min(measures.width(part) for part in wanted) + measures.ripping.kerf
        # What one board holds at most, since 64 bits have to hold what it is worth.
        self._most = (max(lengths) // shortest + 1) * (measures.ripping.width // narrowest + 1)
        self.measures = measures
        self.lengths = lengths
        self.remembered = remembered
        self.demand = demand
        self.rip_first = RipFirst(measures, max(lengths), demand)
        self.crosscut_first = CrosscutFirst(measures, max(lengths), demand)

    def price(self, weights: Sequence[int]) -> "PricedRips":
        """Return the best boards when a part is worth its weight; valid until the next call."""
        scaled, shift = shifted(weights, self._most)
        self.rip_first.fill(scaled)
        self.crosscut_first.fill(scaled)
        return PricedRips(self, scaled, shift)


class PricedRips:
    """The better order of each stock."""

    def __init__(self, boards: RippedBoards, weights: Sequence[int], shift: int) -> None:
        self._boards = boards
        self._weights = weights
        self._shift = shift
        self._ripped = {length: boards.rip_first.best(length) for length in dict.fromkeys(boards.lengths)}
        self._crosscut = {length: boards.crosscut_first.value(length) for length in self._ripped}
        self._everything = self._worth(boards.demand)
        self.values = [min(self._everything, self._best(length)) << shift for length in boards.lengths]

    def pattern(self, stock: int) -> Pattern:
        """Return the parts of the best board of a stock; where it holds more than is wanted, of the best one within."""
        within = self._within(self._boards.lengths[stock])
        return self._boards.remembered.remember(within[0])

    def patterns(self, stock: int, above: int) -> tuple[Pattern, ...]:
        """Return the parts of boards that carry more than so much, within the demand; beyond it where there is none."""
        length, boards = self._boards.lengths[stock], self._boards
        paying = [strips for strips in self._within(length) if self._carried(strips) << self._shift > above]
        return tuple(boards.remembered.remember(strips) for strips in paying or [self._strips(length)])

    def _within(self, length: int) -> list[tuple[Strip, ...]]:
        """Return good boards within the demand, the best first; the best of all if it is one."""
        boards, best = self._boards, self._strips(length)
        counts = boards.measures.counts(best)
        if all(count <= wanted for count, wanted in zip(counts, boards.demand, strict=True)):
            return [best]
        _, widths = self._ripped[length]
        fewer = boards.measures.without(best, tuple(boards.demand))
        refilled = [boards.rip_first.refilled(length, widths), boards.crosscut_first.refilled(length)]
        return sorted([*refilled, fewer], key=self._carried, reverse=True)

    def _carried(self, strips: tuple[Strip, ...]) -> int:
        """Return what a board's parts are worth, in the weights that 64 bits hold."""
        return self._worth(self._boards.measures.counts(strips))

    def _worth(self, counts: Sequence[int]) -> int:
        return sum(weight * count for weight, count in zip(self._weights, counts, strict=True))

    def _best(self, length: int) -> int:
        return max(self._ripped[length][0], self._crosscut[length])

    def _strips(self, length: int) -> tuple[Strip, ...]:
        """Return the best board of a length."""
        worth, widths = self._ripped[length]
        if worth > self._crosscut[length]:
            return self._boards.rip_first.board(length, widths)
        return self._boards.crosscut_first.board(length)
