"""The ways a piece may lie on its board, and how its ends then lean.

Turned end for end on the bench, its face stays up; turned over, the other face comes up. For an end plane
x = x0 + y tan(mitre) + z tan(bevel), with y across the face and z through the thickness, turning half round about

- the upright axis takes (x, y, z) to (-x, -y, z): the ends change places, mitres lean as before, bevels the other way;
- the long axis takes it to (x, -y, -z): both lean the other way;
- the short axis does both: the ends change places, mitres lean the other way, bevels as before.
"""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from estimator.reading.parts import Part
from estimator.solid import Shape

Turn = Literal["as drawn", "end for end", "over lengthwise", "over end for end"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Lean:
    """One end's degrees off square, seen on the face and through the thickness."""

    mitre: Fraction
    bevel: Fraction

    def turned(self, *, mitre: int = 1, bevel: int = 1) -> "Lean":
        """Return it with signs kept (1) or changed (-1)."""
        return replace(self, mitre=mitre * self.mitre, bevel=bevel * self.bevel)

    @property
    def is_square(self) -> bool:
        """Whether it is cut square both ways."""
        return not self.mitre and not self.bevel

    @property
    def is_compound(self) -> bool:
        """Whether it leans both ways at once."""
        return bool(self.mitre and self.bevel)


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """How a piece lies: how it was turned, and how its end at the datum and its far end lean then."""

    turn: Turn
    near: Lean
    far: Lean


def ways_to_lie(part: Part) -> tuple[Way, ...]:
    """Return the ways that differ, as drawn first; a part with a face that must show is not turned over."""
    left, right = leans_of(part.shape)
    ways = [
        Way(turn="as drawn", near=left, far=right),
        Way(turn="end for end", near=right.turned(bevel=-1), far=left.turned(bevel=-1)),
    ]
    if not part.show_face:
        ways += [
            Way(turn="over lengthwise", near=left.turned(mitre=-1, bevel=-1), far=right.turned(mitre=-1, bevel=-1)),
            Way(turn="over end for end", near=right.turned(mitre=-1), far=left.turned(mitre=-1)),
        ]
    different: dict[tuple[Lean, Lean], Way] = {}
    for way in ways:
        different.setdefault((way.near, way.far), way)
    return tuple(different.values())


def leans_of(shape: Shape) -> tuple[Lean, Lean]:
    """Return how the left and the right end lean as drawn."""
    return (
        Lean(mitre=shape.left_degrees, bevel=shape.left_bevel_degrees),
        Lean(mitre=shape.right_degrees, bevel=shape.right_bevel_degrees),
    )
