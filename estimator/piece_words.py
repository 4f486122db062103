"""What is said of one piece at the saw: its length, how its ends lean, what is ripped, milled, tapered and clipped."""

from collections.abc import Sequence
from fractions import Fraction
from math import atan, cos, degrees, radians, tan

from estimator.buying.layouts import Lying
from estimator.buying.ways_to_lie import Lean, leans_of
from estimator.solid import SIDES, Shape, Side
from estimator.takeoff.lumber import PieceNeed
from estimator.units import decimal_text, length_text


def lean_text(lean: Lean) -> str:
    """Say how an end is cut: `square`, `15 deg /`, `bevel 10 deg /`, or both."""
    if lean.is_square:
        return "square"
    mitre = [_degrees_text(lean.mitre)] if lean.mitre else []
    bevel = [f"bevel {_degrees_text(lean.bevel)}"] if lean.bevel else []
    return " with ".join(mitre + bevel)


def _degrees_text(angle: Fraction) -> str:
    return unbroken(f"{decimal_text(abs(angle), 2)} deg {'/' if angle > 0 else chr(92)}")


def setting_text(lean: Lean) -> str:
    """Say how the saw is set for an end; for a compound one also how far the blade is tilted.

    The blade of a saw that is set to the mitre stands off square by less than the bevel on the piece's own edge:
    tan(tilt) = tan(bevel) x cos(mitre), from the end plane x = y tan(mitre) + z tan(bevel).
    """
    if not lean.is_compound:
        return lean_text(lean)
    tilt = degrees(atan(abs(tan(radians(float(lean.bevel)))) * cos(radians(float(lean.mitre)))))
    return f"{lean_text(lean)} ({unbroken(f'blade tilted {decimal_text(tilt, 1)} deg')})"


def ends_text(near: Lean, far: Lean) -> str:
    """Say how both ends are cut: `ends 15 deg / and square`, or `both ends 15 deg /`."""
    return f"both ends {lean_text(near)}" if near == far else f"ends {lean_text(near)} and {lean_text(far)}"


def cut_text(piece: PieceNeed, unit: str) -> str:
    """Say how a piece is cut, as drawn: `19 in`, or `31 1/4 in, ends 15 deg / and square, takes 32 13/64 in`."""
    words = [whole_length(piece.part.shape.length_in, unit), *leaning_words(piece, unit)]
    return ", ".join([*words, *ripped_words(piece, unit), *milled_words(piece, unit)])


def part_text(piece: PieceNeed, unit: str) -> str:
    """Say how a piece is cut, as drawn, how wide where its boards are of any width, what shows and what matches."""
    part = piece.part
    wide = [f"{whole_length(part.shape.width_in, unit)} wide"] if part.section.random_width else []
    face = ["one face shows: not turned over"] if part.show_face else []
    match = [f'matches "{part.match}"'] if part.match else []
    return ", ".join([cut_text(piece, unit), *wide, *face, *match])


def leaning_words(piece: PieceNeed, unit: str, lying: Lying | None = None) -> list[str]:
    """Say how the ends lean, as drawn or as the piece lies, and what length of board it takes beyond its own."""
    near, far = (lying.way.near, lying.way.far) if lying else leans_of(piece.part.shape)
    words = [] if near.is_square and far.is_square else [ends_text(near, far)]
    if piece.blank_length_in != piece.part.shape.length_in:
        words.append(f"takes {whole_length(piece.blank_length_in, unit)}")
    return words


def ripped_words(piece: PieceNeed, unit: str) -> list[str]:
    """Say how wide a piece is ripped that is narrower than its boards."""
    section = piece.part.section
    if section.width_in is None or piece.blank_width_in == section.width_in:
        return []
    return [f"rip to {whole_length(piece.blank_width_in, unit)}"]


def milled_words(piece: PieceNeed, unit: str) -> list[str]:
    """Say what is done to a piece besides its ends and its width: milled, planed, tapered, corners clipped, rounded."""
    shape, section, steps = piece.part.shape, piece.part.section, []
    if piece.blank_width_in != shape.width_in:
        steps.append(f"mill to {whole_length(shape.width_in, unit)} x {whole_length(shape.thickness_in, unit)}")
    elif shape.thickness_in != section.thickness_in:
        steps.append(f"plane to {whole_length(shape.thickness_in, unit)}")
    return [*steps, *_taper_words(shape, unit), *_corner_words(shape, unit)]


def _taper_words(shape: Shape, unit: str) -> list[str]:
    """Say which sides run in, to what, from where: `taper bottom edge to 2 1/4 in over 12 in from the right end`.

    All tapers of a part run to one end, over one length.
    """
    if not shape.tapers:
        return []
    left = []  # of the width, of the thickness
    for kind, whole_in in (("edge", shape.width_in), ("face", shape.thickness_in)):
        depths_in = [taper.depth_in for taper in shape.tapers if taper.side.endswith(kind)]
        left += [whole_length(whole_in - sum(depths_in), unit)] if depths_in else []
    size = f"{left[0]} square" if len(left) == 2 and left[0] == left[1] else " x ".join(left)
    sides, taper = _sides_text([taper.side for taper in shape.tapers]), shape.tapers[0]
    return [f"taper {sides} to {size} over {whole_length(taper.length_in, unit)} from the {taper.end} end"]


def _sides_text(sides: Sequence[Side]) -> str:
    """Name sides as one would: `top edge`, `both edges and upper face`, `all sides`."""
    if len(sides) == len(SIDES):
        return "all sides"
    named: list[str] = []
    for kind in ("edge", "face"):
        some = [side for side in sides if side.endswith(kind)]
        named += [f"both {kind}s"] if len(some) == 2 else some
    return " and ".join(named)


def _corner_words(shape: Shape, unit: str) -> list[str]:
    steps = []
    if shape.clips:
        clip = shape.clips[0]
        size = f"{whole_length(clip.along_in, unit)} x {whole_length(clip.across_in, unit)}"
        steps.append(f"clip {size} at {' and '.join(one.corner for one in shape.clips)}")
    if shape.rounded_corners:
        corners = " and ".join(one.corner for one in shape.rounded_corners)
        steps.append(f"round {whole_length(shape.rounded_corners[0].radius_in, unit)} at {corners}")
    return steps


def unbroken(text: str) -> str:
    """Return a text that no line ends within."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")


def whole_length(length_in: Fraction, unit: str) -> str:
    """Return a length that no line ends within: `17` on one line and `7/8 in` on the next would be misread."""
    return unbroken(length_text(length_in, unit))
