"""The solid that a row of parts.csv describes: its measures, its end cuts, tapers, and clipped or rounded corners.

A taper takes the columns `tapered_sides` (which edges run in to the width that is left, which faces to the thickness),
`taper_end` (the thin end), `taper_to` (what is left there) and `taper_length` (how far from that end it begins).
"""

import re
from fractions import Fraction
from typing import get_args

from estimator.reading.fields import Fields
from estimator.solid import (
    CORNERS,
    SIDES,
    CannotBeCutError,
    Clip,
    Corner,
    End,
    RoundedCorner,
    Shape,
    Side,
    Surfaces,
    Taper,
    surfaces,
)
from estimator.standards.sections import Section
from estimator.units import length_text, parse_length, plain

_EDGES, _FACES = SIDES[:2], SIDES[2:]
_SIDE_WORDS: dict[str, tuple[Side, ...]] = {
    "all": SIDES,
    "both edges": _EDGES,
    "edges": _EDGES,
    "both faces": _FACES,
    "faces": _FACES,
    **{side: (side,) for side in SIDES},
}


def read_shape(row: Fields, section: Section, unit: str) -> Shape:
    """Return the finished measures that a row describes; what cannot be read is noted as a fault."""
    length_in = row.length("length", unit=unit)
    width_in = _sawn_measure(row, "width", section.width_in, unit, rough=section.rough)
    thickness_in = _sawn_measure(row, "thickness", section.thickness_in, unit, rough=section.rough)
    return Shape(
        length_in=length_in,
        width_in=width_in,
        thickness_in=thickness_in,
        left_degrees=row.degrees("left_end"),
        right_degrees=row.degrees("right_end"),
        left_bevel_degrees=row.degrees("left_bevel"),
        right_bevel_degrees=row.degrees("right_bevel"),
        clips=_clips(row, unit),
        rounded_corners=_rounded_corners(row, unit),
        tapers=_tapers(row, unit, length_in=length_in, width_in=width_in, thickness_in=thickness_in),
    )


def checked_surfaces(row: Fields, shape: Shape, unit: str) -> Surfaces | None:
    """Return the areas of a part that can be made; otherwise note why it cannot, and return nothing."""
    if not _tapers_fit(row, shape, unit):
        return None
    try:
        return surfaces(shape)
    except CannotBeCutError as reason:
        columns = {"clips": "clipped_corners", "rounded corners": "rounded_corners", "tapers": "tapered_sides"}
        row.fault(columns.get(reason.about, _steepest_cut(shape)), str(reason))
        return None


def parse_corners(text: str) -> tuple[Corner, ...]:
    """Return the corners that words name: `all`, or some of `top left`, `bottom right` ..., joined by commas or +."""
    words = _named(text)
    if words == ["all"]:
        return CORNERS
    found = tuple(corner for corner in CORNERS if corner in words)
    if len(found) != len(words) or not found:
        raise ValueError(f'"{text}" names no corners; write all, or some of {", ".join(get_args(Corner))}')
    return found


def parse_sides(text: str) -> tuple[Side, ...]:
    """Return the sides that words name: `all`, `both edges`, `both faces`, or single ones, joined by commas or +."""
    words = _named(text)
    if not words or not all(word in _SIDE_WORDS for word in words):
        raise ValueError(f'"{text}" names no sides; write all, both edges, both faces, or some of {", ".join(SIDES)}')
    named = [side for word in words for side in _SIDE_WORDS[word]]
    if len(set(named)) != len(named):
        raise ValueError(f'"{text}" names a side twice; name each side once')
    return tuple(side for side in SIDES if side in named)


def _named(text: str) -> list[str]:
    return [word.strip() for word in re.split(r"[,;+&]|\band\b", plain(text).lower()) if word.strip()]


def parse_taper_to(text: str, *, unit: str, decimal_comma: bool) -> tuple[Fraction, ...]:
    """Return what is left at the thin end, in inches: `7/8`, or where they differ the width x the thickness.

    A unit behind the second counts for both: `30 x 20 mm`.
    """
    sides = [side.strip() for side in plain(text).lower().split("x")]
    if len(sides) > 2 or not all(sides):
        raise ValueError(f'"{text}" is no measure; write one like 7/8, or width x thickness like 1 1/4 x 7/8')
    first, second = (re.search(r"(?:[a-z]+\.?|''|[\"'])$", side) for side in (sides[0], sides[-1]))
    if second and not first:
        sides[0] = f"{sides[0]} {second[0]}"
    return tuple(parse_length(side, unit=unit, decimal_comma=decimal_comma) for side in sides)


def _sawn_measure(row: Fields, name: str, stock_in: Fraction | None, unit: str, *, rough: bool) -> Fraction:
    """Return the finished width or thickness: the board's own where none is written, never more than the board has."""
    if stock_in is None:
        if not row.has(name):
            row.fault(name, f'is missing; "{row.texts["section"]}" comes in random widths, so write the part\'s own')
            return Fraction(1)
        return row.length(name, unit=unit)
    if rough and not row.has(name):
        row.fault(name, f'is missing; "{row.texts["section"]}" is planed in your shop, so write what it measures then')
        return stock_in
    measure_in = row.length(name, unit=unit, blank=stock_in)
    if measure_in > stock_in:
        row.fault(
            name,
            f'"{row.texts[name]}" is more than the {length_text(stock_in, unit)} that "{row.texts["section"]}" has '
            "once dressed; mend the measure or take a larger section",
        )
        return stock_in
    return measure_in


def _clips(row: Fields, unit: str) -> tuple[Clip, ...]:
    if not row.has("clipped_corners"):
        measured = next(filter(row.has, ("clip_along", "clip_across")), None)
        if measured:
            row.fault(measured, 'stands without corners; name them under "clipped_corners", like top left + top right')
        return ()
    named = row.read("clipped_corners", parse_corners, CORNERS)
    along_in, across_in = row.length("clip_along", unit=unit), row.length("clip_across", unit=unit)
    return tuple(Clip(corner=corner, along_in=along_in, across_in=across_in) for corner in named)


def _rounded_corners(row: Fields, unit: str) -> tuple[RoundedCorner, ...]:
    if not row.has("rounded_corners"):
        if row.has("corner_radius"):
            row.fault(
                "corner_radius",
                'stands without corners; name them under "rounded_corners", like top left + top right',
            )
        return ()
    named = row.read("rounded_corners", parse_corners, CORNERS)
    radius_in = row.length("corner_radius", unit=unit)
    return tuple(RoundedCorner(corner=corner, radius_in=radius_in) for corner in named)


def _tapers(
    row: Fields, unit: str, *, length_in: Fraction, width_in: Fraction, thickness_in: Fraction
) -> tuple[Taper, ...]:
    """Return a taper for each side; where both edges or both faces run in, each takes half."""
    if not row.has("tapered_sides"):
        measured = next(filter(row.has, ("taper_end", "taper_to", "taper_length")), None)
        if measured:
            row.fault(measured, 'stands without sides; name them under "tapered_sides", like top edge + upper face')
        return ()
    sides = row.read("tapered_sides", parse_sides, SIDES)
    end: End = "left" if row.choice("taper_end", ("left", "right")) == "left" else "right"
    stand_in: tuple[Fraction, ...] = (Fraction(1),)
    left_in = row.read(
        "taper_to", lambda text: parse_taper_to(text, unit=unit, decimal_comma=row.decimal_comma), stand_in
    )
    begins_in = row.length("taper_length", unit=unit, blank=length_in)
    if len(left_in) == 2 and len({side.split()[1] for side in sides}) == 1:
        row.fault(
            "taper_to",
            f'"{row.texts["taper_to"]}" is a width and a thickness, and "{row.texts["tapered_sides"]}" takes from one '
            "of them; write one measure, or name edges and faces",
        )
    depths_in = {
        "edge": (width_in - left_in[0]) / max(1, sum(side in _EDGES for side in sides)),
        "face": (thickness_in - left_in[-1]) / max(1, sum(side in _FACES for side in sides)),
    }
    return tuple(Taper(end=end, side=side, depth_in=depths_in[side.split()[1]], length_in=begins_in) for side in sides)


def _tapers_fit(row: Fields, shape: Shape, unit: str) -> bool:
    """Whether every taper takes something off and begins on the part; faults are noted."""
    idle = next((taper for taper in shape.tapers if taper.depth_in <= 0), None)
    long = next((taper for taper in shape.tapers if taper.length_in > shape.length_in), None)
    if idle:
        edge = idle.side in _EDGES
        whole = length_text(shape.width_in if edge else shape.thickness_in, unit)
        row.fault(
            "taper_to",
            f'"{row.texts["taper_to"]}" is not less than the {"width" if edge else "thickness"} of {whole}; write what '
            f"is left of it at the {idle.end} end",
        )
    if long:
        row.fault(
            "taper_length",
            f'"{row.texts["taper_length"]}" is longer than the part, which has {length_text(shape.length_in, unit)}; '
            "mend it, or leave it blank for the whole length",
        )
    return not (idle or long)


def _steepest_cut(shape: Shape) -> str:
    """Return the column of the end cut that leans most, the first of several."""
    degrees = {
        "left_end": shape.left_degrees,
        "right_end": shape.right_degrees,
        "left_bevel": shape.left_bevel_degrees,
        "right_bevel": shape.right_bevel_degrees,
    }
    return max(degrees, key=lambda column: abs(degrees[column]))
