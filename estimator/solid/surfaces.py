"""What can be measured on a piece: the areas of its faces, edges and ends, and its volume."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import sin

from estimator.solid.half_spaces import HalfSpace, area_in2, face_on, half_space, volume_of
from estimator.solid.outline import CLIPPED, OutlineSide, outline_sides
from estimator.solid.planes import heights_in, side_cuts, size_in, taper_cuts
from estimator.solid.shape import CannotBeCutError, Shape
from estimator.units import IN2_PER_FT2

_NO_AREA_IN2 = 1e-9


@dataclass(frozen=True, kw_only=True, slots=True)
class Surfaces:
    """Areas of one piece in square feet: both faces, both long edges, the ends with what corners cut off lay open.

    A taper's flank is edge where it takes from the width, and face where it takes from the thickness.
    """

    faces_ft2: float
    edges_ft2: float
    ends_ft2: float


@dataclass(frozen=True, kw_only=True, slots=True)
class _Measured:
    surfaces: Surfaces
    volume_in3: float


def surfaces(shape: Shape) -> Surfaces:
    """Return the areas of one piece.

    Raises CannotBeCutError where end cuts meet, where corner cuts do not fit, or where a taper takes nothing off.
    """
    return _measured(shape).surfaces


def volume_in3(shape: Shape) -> float:
    """Return the volume of one piece in cubic inches."""
    return _measured(shape).volume_in3


def face_area_in2(shape: Shape) -> float:
    """Return the area in square inches that one piece takes of a board's face, the mean through its thickness.

    Tapers of the edges are off it; tapers of the faces are not, since they make the piece thinner and not smaller.
    """
    tapers = tuple(taper for taper in shape.tapers if taper.side.endswith("edge"))
    return volume_in3(replace(shape, tapers=tapers)) / float(shape.thickness_in)


# A part is measured about ten times in an estimate: 0.15 to 0.5 ms the first time, 3 us afterwards, against 20 to 75 us
# each time without this.
@lru_cache(maxsize=4096)
def _measured(shape: Shape) -> _Measured:
    """Return areas and volume of the body that all straight cuts leave, with what arcs leave standing beyond that."""
    corner_cuts, tapers, thickness_in = _corner_cuts(shape), taper_cuts(shape), float(shape.thickness_in)
    cuts = (*side_cuts(shape), *tapers, *(_chord(cut) for cut in corner_cuts))
    size = size_in(shape)
    areas = [(cut, area_in2(face_on(cut, cuts, size))) for cut in cuts]
    _check_tapers(tapers, areas)
    faces_in2, edges_in2, ends_in2 = (
        sum(area for cut, area in areas if cut.label.endswith(kind)) for kind in ("face", "edge", ("end", CLIPPED))
    )
    segments_in2 = sum(cut.radius_in**2 * (cut.turn - sin(cut.turn)) / 2 for cut in corner_cuts)
    longer_in = sum(cut.radius_in * (cut.turn - 2 * sin(cut.turn / 2)) for cut in corner_cuts)
    return _Measured(
        surfaces=Surfaces(
            faces_ft2=(faces_in2 + 2 * segments_in2) / IN2_PER_FT2,
            edges_ft2=edges_in2 / IN2_PER_FT2,
            ends_ft2=(ends_in2 + longer_in * thickness_in) / IN2_PER_FT2,
        ),
        volume_in3=volume_of(areas) + segments_in2 * thickness_in,
    )


def _corner_cuts(shape: Shape) -> tuple[OutlineSide, ...]:
    """Return where clips and arcs begin and end; they must fit the lower face and the upper one."""
    if not shape.clips and not shape.rounded_corners:
        return ()
    lower, _ = (
        tuple(side for side in outline_sides(shape, height) if side.name == CLIPPED) for height in heights_in(shape)
    )
    return lower


def _chord(cut: OutlineSide) -> HalfSpace:
    """Return the plane through the ends of a clip or of an arc, straight through the thickness."""
    (ax, ay), (bx, by) = cut.start, cut.end
    return half_space(CLIPPED, (by - ay, ax - bx, 0.0), (ax, ay, 0.0))


def _check_tapers(tapers: tuple[HalfSpace, ...], areas: list[tuple[HalfSpace, float]]) -> None:
    """Raise CannotBeCutError for a taper that passes the piece by."""
    for cut, area in areas:
        if cut in tapers and area < _NO_AREA_IN2:
            raise CannotBeCutError(
                f"the taper of the {cut.label} takes nothing off, since the end is cut away there; make it longer or "
                "leave it out",
                about="tapers",
            )
