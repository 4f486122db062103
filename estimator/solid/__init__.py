r"""The solid a part is: a board with its end cuts, tapers, and clipped or rounded corners, and what it measures.

The part lies face up, its left end to the left. An end cut of 0 degrees is square; a positive one leans like `/`, a
negative one like `\`. So the same sign at both ends makes the ends parallel and opposite signs make a trapezoid.
A mitre leans like that seen on the face; a bevel leans through the thickness, seen on the long edge nearest to the
reader. With y across the face from that edge and z up through the thickness, an end lies at
x = x0 + y tan(mitre) + z tan(bevel).
Both angles are what a bevel gauge shows that is held to a long edge. Where an end has both, the blade that cuts it is
tilted less than its bevel: tan(tilt) = tan(bevel) x cos(mitre).
The length is that of the longest of the four long edges, the way a tape is hooked on it.

Tapers are laid out on the blank before anything else is cut: from the furthest point of an end. Clips and rounded
corners are measured on the tapered piece: from the corner that the end and the flank then make.

| module | holds |
|---|---|
| `shape` | the finished measures, and what follows from the angles of an end |
| `half_spaces` | what straight cuts leave of a body: the face on each of them, areas, volume |
| `planes` | corners and reach of the blank with its ends cut; the planes of its sides and tapers |
| `outline` | what is clipped and rounded off its corners, seen on the face, and whether it fits |
| `surfaces` | areas of faces, edges and ends, and the volume |
"""

from estimator.solid.outline import outline
from estimator.solid.planes import Point, corners, reach_in
from estimator.solid.shape import (
    CORNERS,
    SIDES,
    CannotBeCutError,
    Clip,
    Corner,
    End,
    RoundedCorner,
    Shape,
    Side,
    Taper,
    end_offset_in,
    ends_square,
    kerf_along,
)
from estimator.solid.surfaces import Surfaces, face_area_in2, surfaces, volume_in3

__all__ = [
    "CORNERS",
    "SIDES",
    "CannotBeCutError",
    "Clip",
    "Corner",
    "End",
    "Point",
    "RoundedCorner",
    "Shape",
    "Side",
    "Surfaces",
    "Taper",
    "corners",
    "end_offset_in",
    "ends_square",
    "face_area_in2",
    "kerf_along",
    "outline",
    "reach_in",
    "surfaces",
    "volume_in3",
]
