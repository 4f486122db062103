"""What is said at the saw, in words that the terminal and the workbook share: pieces, ends, strips and marks."""

from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, pairwise

from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying
from estimator.buying.ways_to_lie import Lean, Turn, leans_of
from estimator.solid import ends_square
from estimator.takeoff.lumber import PieceNeed
from estimator.units import board_length_text, decimal_text, length_text

MARKS_TEXT = (
    "A mark is where a piece ends; at a leaning end, its furthest point. Cut each piece to its own length with a stop: "
    'the marks show where it lies. What a piece "takes" holds the wider cut of a leaning end. Ends lean as they lie, '
    "the squared end of the board at the left."
)
NESTED_TEXT = (
    "Where two neighbours lean alike, the second begins before the mark of the first, and at equal angles one cut "
    "serves both."
)

_TURNED: dict[Turn, str] = {
    "as drawn": "",
    "end for end": "turned end for end",
    "over lengthwise": "turned over",
    "over end for end": "turned over end for end",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class CutRun:
    """Equal blanks one after the other: how many, what they are, and the marks of their far ends."""

    count: int
    what: str
    marks: str


@dataclass(frozen=True, kw_only=True, slots=True)
class StripWords:
    """A strip of a board, or several alike, with the runs that are cut from each; no title for a whole board."""

    title: str
    runs: tuple[CutRun, ...]


def lean_text(lean: Lean) -> str:
    """Say how an end is cut: `square`, `15 deg /`, `bevel 10 deg /`, or both."""
    if lean.is_square:
        return "square"
    mitre = [_degrees_text(lean.mitre)] if lean.mitre else []
    bevel = [f"bevel {_degrees_text(lean.bevel)}"] if lean.bevel else []
    return " with ".join(mitre + bevel)


def _degrees_text(degrees: Fraction) -> str:
    return f"{decimal_text(abs(degrees), 1)} deg {'/' if degrees > 0 else chr(92)}"


def cut_text(piece: PieceNeed, unit: str) -> str:
    """Say how a piece is cut, as drawn: `19 in`, or `31 1/4 in, ends 15 deg / and square, takes 32 13/64 in`."""
    near, far = leans_of(piece.part.shape)
    return ", ".join([*_length_and_ends(piece, near, far, unit), *_sawn(piece, unit)])


def lying_text(lying: Lying, unit: str) -> str:
    """Say how a piece is cut as it lies on its board, and how it is turned."""
    turned = [_TURNED[lying.way.turn]] if lying.way.turn != "as drawn" else []
    words = [*_length_and_ends(lying.piece, lying.way.near, lying.way.far, unit), *turned, *_sawn(lying.piece, unit)]
    return f"{lying.piece.name}, {', '.join(words)}"


def _length_and_ends(piece: PieceNeed, near: Lean, far: Lean, unit: str) -> list[str]:
    words = [length_text(piece.part.shape.length_in, unit)]
    if not ends_square(piece.part.shape):
        words.append(f"ends {lean_text(near)} and {lean_text(far)}")
    if piece.blank_length_in != piece.part.shape.length_in:
        words.append(f"takes {length_text(piece.blank_length_in, unit)}")
    return words


def _sawn(piece: PieceNeed, unit: str) -> list[str]:
    """Say what is done to a piece besides its ends: ripped to its width, planed to its thickness, corners clipped."""
    shape, section, steps = piece.part.shape, piece.part.section, []
    if section.width_in is not None and shape.width_in != section.width_in:
        steps.append(f"rip to {length_text(piece.blank_width_in, unit)}")
    if piece.blank_width_in != shape.width_in:
        steps.append(f"mill to {length_text(shape.width_in, unit)} x {length_text(shape.thickness_in, unit)}")
    elif shape.thickness_in != section.thickness_in:
        steps.append(f"plane to {length_text(shape.thickness_in, unit)}")
    if shape.clips:
        clip = shape.clips[0]
        size = f"{length_text(clip.along_in, unit)} x {length_text(clip.across_in, unit)}"
        steps.append(f"clip {size} at {' and '.join(one.corner for one in shape.clips)}")
    return steps


def board_text(layout: CutLayout, unit: str) -> str:
    """Say what is cut so: `3 boards of 8 ft`, or `2 boards of 47 in on hand (rack 2)`."""
    boards = f"{layout.boards} board{'s' * (layout.boards > 1)} of {board_length_text(layout.board_length_in, unit)}"
    on_hand = layout.offer.on_hand
    if on_hand is None:
        return boards
    return f"{boards} on hand ({on_hand.place})" if on_hand.place else f"{boards} on hand"


def left_over_text(layout: CutLayout, unit: str, *, keep: bool) -> str:
    """Say what is left of a board: `nothing left`, `7 3/8 in left`, `31 in left, keep it`."""
    if not layout.left_over_in:
        return "nothing left"
    left = f"{length_text(layout.left_over_in, unit)} left"
    if not keep:
        return left
    return f"{left}, cut it off first and keep it" if layout.rip_first else f"{left}, keep it"


def strip_words(layout: CutLayout, unit: str) -> tuple[StripWords, ...]:
    """Return what is cut from each strip of a board, strips that are alike together."""
    words = []
    for strip, alike in groupby(layout.strips, key=lambda one: (one.width_in, one.blanks)):
        width_in, blanks = strip
        count = len(list(alike))
        title = "" if width_in is None else f"{count} strip{'s' * (count > 1)} of {length_text(width_in, unit)}"
        words.append(StripWords(title=title, runs=tuple(cut_runs(blanks, unit))))
    return tuple(words)


def cut_runs(blanks: tuple[Blank, ...], unit: str) -> list[CutRun]:
    """Return each run of equal blanks, also of those turned by turns."""
    runs: list[CutRun] = []
    for _, group in groupby(blanks, key=lambda blank: tuple(lying.piece.name for lying in blank.pieces)):
        same = list(group)
        if len({blank.pieces for blank in same}) == 2 and all(one.pieces != two.pieces for one, two in pairwise(same)):
            runs.append(_run(same, f"{blank_text(same[0], unit)}, the next {_turned_against(same[0], same[1])}", unit))
        else:
            equal = (list(one) for _, one in groupby(same, key=lambda blank: blank.pieces))
            runs += [_run(run, blank_text(run[0], unit), unit) for run in equal]
    return runs


def _run(blanks: list[Blank], what: str, unit: str) -> CutRun:
    """Return a run. A mark is written `118-15/16`, so that no line ends within it."""
    marks = ", ".join(mark_text(blank.end_in, unit) for blank in blanks)
    return CutRun(count=len(blanks), what=what, marks=marks)


def _turned_against(one: Blank, other: Blank) -> str:
    """Say how every other piece is turned, and so by turns."""
    turn = _TURNED[other.pieces[0].way.turn] or f"as drawn, not {_TURNED[one.pieces[0].way.turn]}"
    return f"{turn}, and so on"


def mark_text(place_in: Fraction, unit: str) -> str:
    """Write a mark: a length without its unit, its fraction behind a hyphen."""
    return length_text(place_in, unit).removesuffix(f" {unit}").replace(" ", "-")


def blank_text(blank: Blank, unit: str) -> str:
    """Say what becomes of a length cut off: one piece, or several that are ripped from it side by side."""
    texts = [(lying_text(lying, unit), len(list(alike))) for lying, alike in groupby(blank.pieces)]
    if len(blank.pieces) == 1:
        return texts[0][0]
    length = length_text(blank.end_in - blank.start_in, unit)
    return f"{length} long, ripped into {' + '.join(f'{count} x {text}' for text, count in texts)}"


def has_nests(layouts: tuple[CutLayout, ...]) -> bool:
    """Whether anywhere a piece begins before its neighbour has ended."""
    strips = [strip for layout in layouts for strip in layout.strips]
    return any(other.start_in < one.end_in for strip in strips for one, other in pairwise(strip.blanks))


def stop_settings(layout: CutLayout, unit: str) -> str:
    """List the settings of the stop block for a layout, in the order they are met: `24 1/2 in (3), 21 in (1)`."""
    counts: dict[Fraction, int] = {}
    for blank in layout.blanks:
        for lying in blank.pieces:
            length_in = lying.piece.part.shape.length_in
            counts[length_in] = counts.get(length_in, 0) + 1
    return ", ".join(f"{length_text(length_in, unit)} ({count})" for length_in, count in counts.items())


def saw_settings(strip: CutStrip) -> tuple[Lean, ...]:
    """Return how the saw is set along a strip, each time it is set anew."""
    cuts = [lean for blank in strip.blanks for lean in (blank.pieces[0].way.near, blank.pieces[0].way.far)]
    return tuple(lean for lean, _ in groupby(cuts))
