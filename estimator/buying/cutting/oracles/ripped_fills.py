"""The best boards ripped first and crosscut first, for every board length at once.

One strip or one section keeps to what is wanted; all of a board's together may hold more, so what they are worth is a
bound for boards that keep to it. A strip is as wide as its widest piece and a section as long as its longest, so there
are no more of one width, or of one length, than pieces that have it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from estimator.buying.cutting.job import SQUARE_ENDS, Ends, Placed, Section, Strip
from estimator.buying.cutting.oracles.bounded_rows import BoundedRows
from estimator.buying.cutting.oracles.nesting import leans
from estimator.buying.cutting.oracles.ripped_boards import Measures
from estimator.buying.cutting.oracles.row_filling import FilledRows, Item, fill_rows


class RipFirst:
    """Boards ripped into strips that each hold the best row of parts no wider."""

    def __init__(self, measures: Measures, longest: int, demand: Sequence[int]) -> None:
        self._measures = measures
        self._longest = longest
        self._demand = demand
        self._parts = sorted(
            (part for part, wanted in enumerate(demand) if wanted), key=lambda part: (measures.width(part), part)
        )
        widths = [measures.width(part) for part in self._parts]
        self._widths = sorted(set(widths))
        self._first = [sum(width <= of_strip for width in widths) for of_strip in self._widths]
        self._nested = [
            any(measures.width(part) == width and leans(measures.parts[part].ends) for part in self._parts)
            for width in self._widths
        ]
        self._rows = self._bounded_rows(demand)
        self._leaning_rows: list[FilledRows | None] = []
        sizes = [width + measures.ripping.kerf for width in self._widths]
        copies = [sum(demand[part] for part in self._parts if measures.width(part) == width) for width in self._widths]
        self._strips = BoundedRows(sizes, copies, max(0, measures.room))
        self._weights: Sequence[int] = ()

    def fill(self, weights: Sequence[int]) -> None:
        """Fill all strips anew with parts of these weights."""
        self._weights = weights
        self._rows.fill([weights[part] for part in self._parts])
        self._leaning_rows = [
            self._leaning_row(width, weights) if nested else None
            for width, nested in zip(self._widths, self._nested, strict=True)
        ]

    def best(self, length: int) -> tuple[int, list[int]]:
        """Return what the best board of a length is worth, and its strips by the places of their widths."""
        values = [self._value(place, length) for place in range(len(self._widths))]
        single = max(range(len(values)), key=values.__getitem__)
        self._strips.fill(values)
        worth = int(self._strips.values(len(values))[-1])
        if worth <= values[single]:
            return values[single], [single]
        return worth, self._strips.trace(len(values), max(0, self._measures.room))

    def board(self, length: int, places: Sequence[int]) -> tuple[Strip, ...]:
        """Return the strips of a board, each with its best row."""
        strips = (self._strip(place, length) for place in places)
        return tuple(strip for strip in strips if strip.sections)

    def refilled(self, length: int, places: Sequence[int]) -> tuple[Strip, ...]:
        """Return a board with the same strips that together hold no more than is wanted. A heuristic."""
        left = list(self._demand)
        strips = []
        for place in sorted(places, reverse=True):
            rows = self._bounded_rows(left)
            rows.fill([self._weights[part] for part in self._parts])
            items = rows.trace(self._first[place], length + self._measures.kerf)
            for item in items:
                left[self._parts[item]] -= 1
            if items:
                strips.append(self._laid([self._parts[item] for item in items], self._widths[place]))
        return tuple(strips)

    def _bounded_rows(self, demand: Sequence[int]) -> BoundedRows:
        kerf = self._measures.kerf
        sizes = [self._measures.parts[part].length + kerf for part in self._parts]
        return BoundedRows(sizes, [demand[part] for part in self._parts], self._longest + kerf)

    def _leaning_row(self, width: int, weights: Sequence[int]) -> FilledRows:
        parts = self._measures.parts
        items = [
            Item(
                weights[part] if self._demand[part] and self._measures.width(part) <= width else 0,
                piece.length,
                self._measures.ways(part, width),
            )
            for part, piece in enumerate(parts)
        ]
        return fill_rows(items, self._longest, self._measures.kerf)

    def _value(self, place: int, length: int) -> int:
        leaning = self._leaning_rows[place]
        if leaning is not None:
            return int(leaning.values[length])
        return int(self._rows.values(self._first[place])[length + self._measures.kerf])

    def _strip(self, place: int, length: int) -> Strip:
        width, leaning = self._widths[place], self._leaning_rows[place]
        if leaning is None:
            row = self._rows.trace(self._first[place], length + self._measures.kerf)
            return self._laid([self._parts[item] for item in row], width)
        laid = (self._measures.as_drawn(Placed(part, ends), width) for part, ends in leaning.trace(length))
        return self._measures.narrowed(Strip(width, tuple(self._measures.section(one) for one in laid)))

    def _laid(self, parts: Sequence[int], width: int) -> Strip:
        drawn = (Placed(part, self._measures.parts[part].ends[0]) for part in parts)
        return self._measures.narrowed(Strip(width, tuple(self._measures.section(one) for one in drawn)))


@dataclass(frozen=True, kw_only=True, slots=True)
class Abreast:
    """Parts side by side in one section, and what they are worth."""

    value: int
    parts: tuple[int, ...]


class CrosscutFirst:
    """Boards crosscut into sections that each hold the best parts side by side, none longer than the section."""

    def __init__(self, measures: Measures, longest: int, demand: Sequence[int]) -> None:
        self._measures = measures
        self._longest = longest
        self._demand = demand
        self._parts = sorted(
            (part for part, wanted in enumerate(demand) if wanted),
            key=lambda part: (measures.parts[part].length, part),
        )
        lengths = [measures.parts[part].length for part in self._parts]
        self._lengths = sorted(set(lengths))
        self._first = [sum(length <= of_section for length in lengths) for of_section in self._lengths]
        self._whole = [
            part
            for part in self._parts
            if measures.width(part) == measures.ripping.width and leans(measures.parts[part].ends)
        ]
        self._abreast = self._side_by_side(demand)
        copies = [
            sum(demand[part] for part in self._parts if measures.parts[part].length == length)
            for length in self._lengths
        ]
        self._rows = BoundedRows([length + measures.kerf for length in self._lengths], copies, longest + measures.kerf)
        self._groups: list[Abreast] = []
        self._leaning_rows: FilledRows | None = None
        self._weights: Sequence[int] = ()

    def fill(self, weights: Sequence[int]) -> None:
        """Fill all sections anew with parts of these weights."""
        self._weights = weights
        self._abreast.fill([weights[part] for part in self._parts])
        self._groups = [self._best_abreast(self._abreast, first, self._demand) for first in self._first]
        values = [group.value for group in self._groups]
        if not self._whole:
            self._rows.fill(values)
            return
        parts = self._measures.parts
        items = [Item(value, length) for value, length in zip(values, self._lengths, strict=True)]
        items += [Item(weights[part], parts[part].length, parts[part].ends) for part in self._whole]
        self._leaning_rows = fill_rows(items, self._longest, self._measures.kerf)

    def value(self, length: int) -> int:
        """Return what the best board of a length is worth."""
        if self._leaning_rows is not None:
            return int(self._leaning_rows.values[length])
        return int(self._rows.values(len(self._lengths))[length + self._measures.kerf])

    def board(self, length: int) -> tuple[Strip, ...]:
        """Return the best board of a length."""
        parts = self._measures.parts
        sections = []
        for kind, ends in self._row(length):
            if kind < len(self._groups):
                group = self._groups[kind].parts
                if group:
                    laid = tuple(Placed(part, parts[part].ends[0]) for part in group)
                    sections.append(Section(max(parts[part].length for part in group), laid))
            else:
                sections.append(self._measures.section(Placed(self._whole[kind - len(self._groups)], ends)))
        return (Strip(None, tuple(sections)),) if sections else ()

    def refilled(self, length: int) -> tuple[Strip, ...]:
        """Return a board with the same sections that together hold no more than is wanted. A heuristic.

        Nested pieces stay in their order; what fits, fits with one of them left out.
        """
        left = list(self._demand)
        parts = self._measures.parts
        sections = []
        for kind, ends in self._row(length):
            if kind >= len(self._groups):
                part = self._whole[kind - len(self._groups)]
                if left[part]:
                    left[part] -= 1
                    sections.append(self._measures.section(Placed(part, ends)))
                continue
            abreast = self._side_by_side(left)
            abreast.fill([self._weights[part] for part in self._parts])
            group = self._best_abreast(abreast, self._first[kind], left).parts
            for part in group:
                left[part] -= 1
            if group:
                laid = tuple(Placed(part, parts[part].ends[0]) for part in group)
                sections.append(Section(max(parts[part].length for part in group), laid))
        return (Strip(None, tuple(sections)),) if sections else ()

    def _row(self, length: int) -> list[tuple[int, Ends]]:
        if self._leaning_rows is not None:
            return list(self._leaning_rows.trace(length))
        long_first = self._rows.trace(len(self._lengths), length + self._measures.kerf)[::-1]
        return [(kind, SQUARE_ENDS) for kind in long_first]

    def _side_by_side(self, demand: Sequence[int]) -> BoundedRows:
        """Return the parts side by side on the width, as several strips are."""
        measures = self._measures
        sizes = [measures.width(part) + measures.ripping.kerf for part in self._parts]
        return BoundedRows(sizes, [demand[part] for part in self._parts], max(0, measures.room))

    def _best_abreast(self, abreast: BoundedRows, first: int, left: Sequence[int]) -> Abreast:
        """Return the parts worth most that lie side by side in a section: one, or several less an edge."""
        value = int(abreast.values(first)[-1])
        single = max(self._parts[:first], key=lambda part: self._weights[part] if left[part] else -1)
        if value <= self._weights[single] or not left[single]:
            return Abreast(value=self._weights[single], parts=(single,) if left[single] else ())
        items = abreast.trace(first, max(0, self._measures.room))
        return Abreast(value=value, parts=tuple(self._parts[item] for item in items))
