"""Everything that ripped boards can hold of a small demand, looked at once: exact, for each of their lengths.

What a board holds is a point of the lattice from nothing to the whole demand. Rip first, the least width that a point
takes in strips of one length follows from the points below it; crosscut first, so does the least length that it takes
in sections of one width. (Gilmore, Gomory 1965, Operations Research 13, two-stage cutting, from memory; the lattice is
our own.)
"""

from collections.abc import Callable, Iterator, Sequence
from math import prod

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.job import Placed, Section, Strip
from estimator.buying.cutting.oracles.nesting import LeaningRows, leaning, nested_row
from estimator.buying.cutting.oracles.ripped_boards import Measures
from estimator.buying.cutting.problem import Pattern
from estimator.buying.cutting.small_jobs import place_values, sweep

# Points of the lattice up to which every board is looked at.
MOST_POINTS = 2_000


def is_small(demand: Sequence[int]) -> bool:
    """Whether a demand has few enough points to look at every board."""
    return prod(wanted + 1 for wanted in demand) <= MOST_POINTS


class EveryBoard:
    """What boards of each length hold of a small demand."""

    def __init__(self, measures: Measures, lengths: Sequence[int], demand: Sequence[int]) -> None:
        self._measures = measures
        self._lengths = lengths
        self._demand = demand
        self._places = place_values(self._demand)
        self._rows = LeaningRows()
        self._ripped = {length: self._rip_first(length) for length in dict.fromkeys(lengths)}
        self._crosscut = self._crosscut_first()

    def find(self, pattern: Pattern, stock: int) -> tuple[Strip, ...] | None:
        """Return where a pattern within the demand lies on a board, or None where no board of the stock holds it."""
        length = self._lengths[stock]
        if self._crosscut_length(pattern) <= length:
            return self._sections(pattern)
        if self._is_one_strip(pattern, length):
            return (self._strip(pattern),)
        ripped = self._ripped[length]
        if ripped.cost(pattern) <= self._measures.room:
            return self._strips(ripped, pattern)
        return None

    def holds(self, pattern: Pattern, stock: int) -> bool:
        """Whether a board of a stock holds a pattern within the demand; exact."""
        length = self._lengths[stock]
        return (
            self._crosscut_length(pattern) <= length
            or self._is_one_strip(pattern, length)
            or self._ripped[length].cost(pattern) <= self._measures.room
        )

    def _rip_first(self, length: int) -> "Lattice":
        """Return the least width, a rip kerf with each strip, that each point takes in strips of one length."""
        measures = self._measures
        strips: list[tuple[int, Pattern]] = []
        for width in sorted({measures.width(part) for part in range(len(self._demand))}):
            narrow = [part for part in range(len(self._demand)) if measures.width(part) <= width]

            def is_row(pattern: Pattern, width: int = width) -> bool:
                return self._row_length(pattern, width) <= length

            strips += [(width + measures.ripping.kerf, found) for found in largest(self._demand, narrow, is_row)]
        return Lattice(self._demand, self._places, strips)

    def _crosscut_first(self) -> "Lattice":
        """Return the least length, a kerf with each section, that each point takes; whole-width parts left aside."""
        measures, parts = self._measures, range(len(self._demand))
        sections: list[tuple[int, Pattern]] = []
        narrow = [part for part in parts if measures.width(part) < measures.ripping.width]
        for length in sorted({measures.parts[part].length for part in narrow}):
            short = [part for part in narrow if measures.parts[part].length <= length]
            sections += [(length + measures.kerf, found) for found in largest(self._demand, short, self._is_abreast)]
        return Lattice(self._demand, self._places, sections)

    def _is_one_strip(self, pattern: Pattern, length: int) -> bool:
        """Whether a single strip, which needs no edge, holds a pattern."""
        return self._row_length(pattern, self._widest(pattern)) <= length

    def _widest(self, pattern: Pattern) -> int:
        return max((self._measures.width(part) for part, count in enumerate(pattern) if count), default=0)

    def _is_abreast(self, pattern: Pattern) -> bool:
        """Whether a board's width holds parts side by side."""
        measures = self._measures
        taken = sum(count * (measures.width(part) + measures.ripping.kerf) for part, count in enumerate(pattern))
        return sum(pattern) == 1 or taken <= measures.room

    def _row_length(self, pattern: Pattern, width: int) -> int:
        """Return the least length that parts take one after the other in a strip so wide."""
        measures = self._measures
        apart = sum(count * (measures.parts[part].length + measures.kerf) for part, count in enumerate(pattern))
        ways = [measures.ways(part, width) for part in range(len(pattern))]
        return apart - measures.kerf - self._rows.most_overlap(leaning(pattern, ways))

    def _split(self, pattern: Pattern) -> tuple[Pattern, Pattern]:
        """Return the parts as wide as the board, and the narrower ones."""
        whole = [self._measures.width(part) == self._measures.ripping.width for part in range(len(pattern))]
        return (
            tuple(count if is_whole else 0 for count, is_whole in zip(pattern, whole, strict=True)),
            tuple(0 if is_whole else count for count, is_whole in zip(pattern, whole, strict=True)),
        )

    def _crosscut_length(self, pattern: Pattern) -> int:
        wide, narrow = self._split(pattern)
        in_a_row = self._row_length(wide, self._measures.ripping.width) + self._measures.kerf
        return in_a_row + self._crosscut.cost(narrow) - self._measures.kerf

    def _sections(self, pattern: Pattern) -> tuple[Strip, ...]:
        """Return the parts crosscut first: a section for each as wide as the board, the others side by side."""
        wide, narrow = self._split(pattern)
        sections = list(self._row(wide, self._measures.ripping.width))
        for group in self._crosscut.groups(narrow):
            abreast = [part for part, count in enumerate(group) for _ in range(count)]
            length = max(self._measures.parts[part].length for part in abreast)
            sections.append(
                Section(length, tuple(Placed(part, self._measures.parts[part].ends[0]) for part in abreast))
            )
        return (Strip(None, tuple(sections)),)

    def _strips(self, ripped: "Lattice", pattern: Pattern) -> tuple[Strip, ...]:
        return tuple(self._strip(group) for group in ripped.groups(pattern))

    def _strip(self, pattern: Pattern) -> Strip:
        width = self._widest(pattern)
        return Strip(width, self._row(pattern, width))

    def _row(self, pattern: Pattern, width: int) -> tuple[Section, ...]:
        parts = self._measures.parts
        ways = [self._measures.ways(part, width) for part in range(len(pattern))]
        row = nested_row(self._rows, pattern, ways, [part.length for part in parts])
        return tuple(self._measures.section(self._measures.as_drawn(one, width)) for one in row)


class Lattice:
    """The least cost of each point when groups of parts are taken from it, each group at its price."""

    def __init__(
        self, demand: Sequence[int], places: npt.NDArray[np.int64], groups: Sequence[tuple[int, Pattern]]
    ) -> None:
        self._places = places
        self._moves = np.array([group for _, group in groups], dtype=np.int64).reshape(len(groups), len(demand))
        prices = np.array([price for price, _ in groups], dtype=np.int64)
        self._costs, self._choice = sweep(demand, len(demand), self._moves, prices)

    def cost(self, pattern: Pattern) -> int:
        """Return the least cost of a pattern within the demand; NO_PLAN where no groups make it."""
        return int(self._costs[int(np.dot(self._places, pattern))])

    def groups(self, pattern: Pattern) -> Iterator[Pattern]:
        """Yield the groups that make a pattern at the least cost."""
        left = np.array(pattern, dtype=np.int64)
        while left.any():
            taken = np.minimum(self._moves[self._choice[int(left @ self._places)]], left)
            left -= taken
            yield tuple(taken.tolist())


def largest(demand: Sequence[int], parts: Sequence[int], holds: Callable[[Pattern], bool]) -> list[Pattern]:
    """Return the patterns of some parts, within the demand, that hold no more of any of them."""
    fitting: set[Pattern] = set()
    waiting = [((0,) * len(demand), 0)]
    while waiting:
        pattern, first = waiting.pop()
        for place in range(first, len(parts)):
            more = one_more(pattern, parts[place])
            if more[parts[place]] <= demand[parts[place]] and holds(more):
                fitting.add(more)
                waiting.append((more, place))
    return sorted(one for one in fitting if not any(one_more(one, part) in fitting for part in parts))


def one_more(pattern: Pattern, part: int) -> Pattern:
    """Return a pattern with one of a part more."""
    return (*pattern[:part], pattern[part] + 1, *pattern[part + 1 :])
