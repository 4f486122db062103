"""The oracle for parts narrower than their boards: ripped first or crosscut first, whichever holds more.

Gilmore, Gomory 1965, Operations Research 13 (two-stage cutting, from memory): rip first, each strip is worth its best
row, and the board's width is filled with strips; crosscut first, each section is worth its best parts side by side, and
the board's length is filled with sections.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.buying.cutting.every_board import EveryBoard, is_small
from estimator.buying.cutting.job import Piece, Placed, Ripping, Section, Strip
from estimator.buying.cutting.knapsack import BoundedKnapsack
from estimator.buying.cutting.nesting import LeaningRows
from estimator.buying.cutting.pricing import KnownBoards
from estimator.buying.cutting.problem import Pattern
from estimator.buying.cutting.ripped_boards import Measures, RememberedBoards, relaid
from estimator.buying.cutting.row_filling import FilledRows, Item, fill_rows, shifted


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
        self._every = EveryBoard(self._measures, lengths) if is_small(demand) else None
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
        self._measures = measures
        self._lengths = lengths
        self._remembered = remembered
        self._wanted = [part for part, count in enumerate(demand) if count]
        self._demand = demand
        self._widths = sorted({measures.width(part) for part in self._wanted})
        self._short = sorted({measures.parts[part].length for part in self._wanted})
        sizes = [width + measures.ripping.kerf for width in self._widths]
        room = max(0, measures.room)
        self._strips = BoundedKnapsack(sizes, [room], [room // size for size in sizes])
        self._abreast = {length: self._side_by_side(length) for length in self._short}

    def _side_by_side(self, length: int) -> tuple[list[int], BoundedKnapsack]:
        """Return the parts no longer than a section, and the knapsack that lays them side by side."""
        measures = self._measures
        parts = [part for part in self._wanted if measures.parts[part].length <= length]
        sizes = [measures.width(part) + measures.ripping.kerf for part in parts]
        return parts, BoundedKnapsack(sizes, [max(0, measures.room)], [self._demand[part] for part in parts])

    def price(self, weights: Sequence[int]) -> "PricedRips":
        """Return the best boards when a part is worth its weight, bounds for all that keep to the demand."""
        measures = self._measures
        narrowest = min(self._widths) + measures.ripping.kerf
        most = (max(self._lengths) // min(self._short) + 1) * (measures.ripping.width // narrowest + 1)
        scaled, shift = shifted(weights, most)
        return PricedRips(
            measures=measures,
            lengths=self._lengths,
            remembered=self._remembered,
            rip_first=self._rip_first(scaled),
            crosscut_first=self._crosscut_first(scaled),
            shift=shift,
        )

    def _rip_first(self, weights: Sequence[int]) -> "RipFirst":
        rows = [self._row(width, weights) for width in self._widths]
        fills = {}
        for length in dict.fromkeys(self._lengths):
            filled = self._strips.price([int(row.values[length]) for row in rows])
            fills[length] = filled.values[0], filled.pattern(0)
        return RipFirst(widths=self._widths, rows=rows, fills=fills)

    def _crosscut_first(self, weights: Sequence[int]) -> "CrosscutFirst":
        groups = [self._best_abreast(length, weights) for length in self._short]
        items = [
            Item(sum(weights[part] for part in group), length)
            for group, length in zip(groups, self._short, strict=True)
        ]
        whole = [part for part in self._wanted if self._measures.width(part) == self._measures.ripping.width]
        items += [
            Item(weights[part], self._measures.parts[part].length, self._measures.parts[part].ends) for part in whole
        ]
        groups += [[part] for part in whole]
        return CrosscutFirst(groups=groups, rows=fill_rows(items, max(self._lengths), self._measures.kerf))

    def _best_abreast(self, length: int, weights: Sequence[int]) -> list[int]:
        """Return the parts worth most that lie side by side in a section: one, or several less an edge."""
        parts, knapsack = self._abreast[length]
        filled = knapsack.price([weights[part] for part in parts])
        single = max(parts, key=lambda part: weights[part])
        if filled.values[0] <= weights[single]:
            return [single]
        return [part for part, count in zip(parts, filled.pattern(0), strict=True) for _ in range(count)]

    def _row(self, width: int, weights: Sequence[int]) -> FilledRows:
        """Return the best rows of parts no wider than a strip."""
        measures = self._measures
        items = [
            Item(
                weights[part] if part in self._wanted and measures.width(part) <= width else 0,
                piece.length,
                measures.ways(part, width),
            )
            for part, piece in enumerate(measures.parts)
        ]
        return fill_rows(items, max(self._lengths), measures.kerf)


@dataclass(frozen=True, kw_only=True, slots=True)
class RipFirst:
    """The best row of each strip width, and for each board length its worth and how many strips of each width."""

    widths: Sequence[int]
    rows: Sequence[FilledRows]
    fills: dict[int, tuple[int, Pattern]]


@dataclass(frozen=True, kw_only=True, slots=True)
class CrosscutFirst:
    """The best sections in a row, and the parts that lie side by side in each kind of section."""

    groups: Sequence[list[int]]
    rows: FilledRows


@dataclass(frozen=True, kw_only=True, slots=True)
class PricedRips:
    """The better order of each stock."""

    measures: Measures
    lengths: Sequence[int]
    remembered: RememberedBoards
    rip_first: RipFirst
    crosscut_first: CrosscutFirst
    shift: int

    @property
    def values(self) -> list[int]:
        """The greatest weight on one board of each stock."""
        return [max(self._ripped(length), self._crosscut(length)) << self.shift for length in self.lengths]

    def patterns(self, stock: int, above: int) -> tuple[Pattern]:  # noqa: ARG002 - one is at hand
        """Return the pattern of a stock."""
        return (self.pattern(stock),)

    def pattern(self, stock: int) -> Pattern:
        """Return the parts of the best board of a stock."""
        length = self.lengths[stock]
        if self._ripped(length) > self._crosscut(length):
            return self.remembered.remember(self._strips(length))
        return self.remembered.remember(self._sections(length))

    def _ripped(self, length: int) -> int:
        return self.rip_first.fills[length][0]

    def _crosscut(self, length: int) -> int:
        return int(self.crosscut_first.rows.values[length])

    def _strips(self, length: int) -> tuple[Strip, ...]:
        strips = []
        for width, row, count in zip(
            self.rip_first.widths, self.rip_first.rows, self.rip_first.fills[length][1], strict=True
        ):
            laid = (Placed(part, ends) for part, ends in row.trace(length))
            sections = tuple(self.measures.section(self.measures.as_drawn(placed, width)) for placed in laid)
            strips += [Strip(width, sections)] * (count if sections else 0)
        return self.measures.without(strips, self.measures.counts(strips))

    def _sections(self, length: int) -> tuple[Strip, ...]:
        parts = self.measures.parts
        sections = []
        for kind, ends in self.crosscut_first.rows.trace(length):
            group = self.crosscut_first.groups[kind]
            whole = len(group) == 1 and self.measures.width(group[0]) == self.measures.ripping.width
            laid = [Placed(part, ends if whole else parts[part].ends[0]) for part in group]
            sections.append(Section(max(parts[part].length for part in group), tuple(laid)))
        return (Strip(None, tuple(sections)),) if sections else ()
