"""What is said at the saw, in words that the terminal and the workbook share: pieces, ends, strips, marks, settings."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, groupby, pairwise, repeat
from string import ascii_letters

from estimator.buying.layouts import Blank, CutLayout, CutStrip
from estimator.buying.saw_cuts import (
    SQUARE_CUT,
    crosscut_leans,
    crosscuts,
    ends_come_later,
    shares_cut,
    stop_lengths,
    takes_whole_width,
)
from estimator.buying.ways_to_lie import Lean, Turn, leans_of
from estimator.piece_words import (
    ends_text,
    leaning_words,
    milled_words,
    ripped_words,
    setting_text,
    unbroken,
    whole_length,
)
from estimator.solid import ends_square
from estimator.units import board_length_text

MARKS_TEXT = (
    "The squared end of the board lies at the left, and ends lean as they are written: / or \\. A mark is where a "
    "piece ends; at a leaning end, its furthest point. Cut each piece to its own length with a stop: the marks show "
    'where it lies. What a piece "takes" holds the wider cut of a leaning end, and what rough wood loses.'
)
NESTED_TEXT = (
    "Where neighbours lean alike, the second begins before the mark of the first, and at equal angles one cut serves "
    "both."
)

# A shorter blank gives fence and hands too little to hold; common practice, no source.
SHORTEST_RIP_IN = Fraction(12)
SHORT_RIP = "caution, too short to rip safely at a table saw: use a band saw, a sled with clamps or a hand saw"

_TURNED: dict[Turn, str] = {
    "as drawn": "as drawn",
    "end for end": "turned end for end",
    "over lengthwise": "turned over",
    "over end for end": "turned over end for end",
}


_LETTERS = ascii_letters[26:] + ascii_letters[:26]

Letters = dict[tuple[str, ...], str]  # by the names of the pieces that a blank becomes


@dataclass(frozen=True, kw_only=True, slots=True)
class CutRun:
    """Blanks of one kind one after the other: their letter, how many, what they are, the marks of their far ends."""

    letter: str
    count: int
    what: str
    marks: str


@dataclass(frozen=True, kw_only=True, slots=True)
class StripWords:
    """A strip of a board, or several alike, with the runs that are cut from each; no title for a whole board."""

    title: str
    runs: tuple[CutRun, ...]


def board_text(layout: CutLayout, unit: str) -> str:
    """Say what is cut so: `3 boards of 8 ft`, or `2 boards of 4 ft from stock: rack 2`."""
    boards = f"{layout.boards} board{'s' * (layout.boards > 1)} of {board_length_text(layout.board_length_in, unit)}"
    on_hand = layout.offer.on_hand
    if on_hand is None:
        return boards
    return f"{boards} from stock: {on_hand.place}" if on_hand.place else f"{boards} from stock"


def left_over_text(layout: CutLayout, unit: str, *, keep: bool) -> str:
    """Say what is left: `nothing left`, `7 3/8 in left of each`, `31 in left, keep it`."""
    if not layout.left_over_in:
        return "nothing left"
    left = f"{whole_length(layout.left_over_in, unit)} left{' of each' * (layout.boards > 1)}"
    return f"{left}, keep it" if keep else left


def ripping_text(layout: CutLayout, unit: str, *, keep: bool) -> str:
    """Say what is done to a board before it is crosscut; nothing where it is not ripped first."""
    if not layout.rip_first:
        return ""
    widths = [mark_text(strip.width_in or Fraction(0), unit) for strip in layout.strips]
    strips = f"a strip of {widths[0]}" if len(widths) == 1 else f"strips of {_listed(widths)}"
    if not keep:
        return f"Rip it into {strips} {unit} first."
    place = mark_text(max(strip.end_in for strip in layout.strips), unit)
    return f"Cut the left-over off first, at {place} {unit}; then rip the rest into {strips} {unit}."


def _listed(words: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def settings_text(layout: CutLayout, unit: str, kerf_in: Fraction) -> str:
    """Say what the stop block and the saw are set to for one board: `Stop block: 3 at 24 in. Saw cuts: 4 square.`"""
    stops = [unbroken(f"{count} at {whole_length(length_in, unit)}") for length_in, count in stop_lengths(layout)]
    cuts = [cut.lean for strip in layout.strips for cut in crosscuts(strip, kerf_in)]
    return f"Stop block: {', '.join(stops)}. Saw cuts: {', '.join(_saw_settings(cuts))}."


def _saw_settings(cuts: Sequence[Lean]) -> list[str]:
    """Say how many cuts are made each time the saw is set anew; where two settings take turns, both together."""
    settings, place = [], 0
    while place < len(cuts):
        same, turns = _run_of(cuts[place:], 1), _run_of(cuts[place:], 2)
        if turns > max(3, same):
            one, other = (setting_text(lean) for lean in cuts[place : place + 2])
            settings.append(f"{unbroken(f'{turns} by turns')} {one} and {other}")
            place += turns
        else:
            at = "" if cuts[place].is_square else "at "
            settings.append(f"{unbroken(f'{same} {at}')}{setting_text(cuts[place])}")
            place += same
    return settings


def _run_of(cuts: Sequence[Lean], period: int) -> int:
    """Return how many cuts from the first on repeat after so many."""
    return next((n for n in range(period, len(cuts)) if cuts[n] != cuts[n - period]), len(cuts))


def letters_of(layouts: tuple[CutLayout, ...]) -> Letters:
    """Return the letters that blanks are named by in the drawings of a section, `#` when there are no more."""
    kinds = dict.fromkeys(_kind(blank) for layout in layouts for blank in layout.blanks)
    return dict(zip(kinds, chain(_LETTERS, repeat("#")), strict=False))


def letter_of(blank: Blank, letters: Letters) -> str:
    """Return the letter of a blank."""
    return letters[_kind(blank)]


def _kind(blank: Blank) -> tuple[str, ...]:
    return tuple(lying.piece.name for lying in blank.pieces)


def strip_words(layout: CutLayout, letters: Letters, unit: str, kerf_in: Fraction) -> tuple[StripWords, ...]:
    """Return what is cut from each strip of a board, neighbours that are alike together."""
    words = []
    for strip, alike in groupby(layout.strips):
        count = len(list(alike))
        width = "" if strip.width_in is None else whole_length(strip.width_in, unit)
        title = f"{count} strips of {width}, each cut into" if count > 1 else f"Strip of {width}, cut into"
        words.append(StripWords(title=title if width else "", runs=cut_runs(strip, letters, unit, kerf_in)))
    return tuple(words)


def cut_runs(strip: CutStrip, letters: Letters, unit: str, kerf_in: Fraction) -> tuple[CutRun, ...]:
    """Return each run of equal blanks along a strip; those turned by turns are one run."""
    runs: list[CutRun] = []
    before: Blank | None = None
    for blanks in _runs(strip):
        marks = ", ".join(mark_text(blank.end_in, unit) for blank in blanks)
        what = ", ".join([_what(blanks, strip, unit), *_sharing(before, blanks, strip, kerf_in)])
        runs.append(CutRun(letter=letter_of(blanks[0], letters), count=len(blanks), what=what, marks=marks))
        before = blanks[-1]
    return tuple(runs)


def _runs(strip: CutStrip) -> list[list[Blank]]:
    runs: list[list[Blank]] = []
    for _, group in groupby(strip.blanks, key=lambda blank: [lying.piece for lying in blank.pieces]):
        same = list(group)
        if all(one.pieces != two.pieces for one, two in pairwise(same)) and len({blank.pieces for blank in same}) == 2:
            runs.append(same)
        else:
            runs += [list(equal) for _, equal in groupby(same, key=lambda blank: blank.pieces)]
    return runs


def _what(blanks: list[Blank], strip: CutStrip, unit: str) -> str:
    """Say what becomes of each blank of a run: one piece, or several that are ripped from it side by side."""
    first = blanks[0]
    if len(first.pieces) > 1:
        long = whole_length(first.end_in - first.start_in, unit)
        ripped = f"{long} long, rip it into {len(first.pieces)}: {_side_by_side(first, unit)}"
        return ", ".join([ripped, *_caution(first, strip)])
    lying = first.pieces[0]
    words = [whole_length(lying.piece.part.shape.length_in, unit)]
    if ends_come_later(lying, strip):
        words = [*words, f"cut square at {whole_length(lying.piece.blank_length_in, unit)}"]
    else:
        words += [*leaning_words(lying.piece, unit, lying), *_turned([blank.pieces[0].way.turn for blank in blanks])]
    words += [] if takes_whole_width(lying, strip) else ripped_words(lying.piece, unit)
    words += milled_words(lying.piece, unit)
    words += [f"then {ends_text(*leans_of(lying.piece.part.shape))}"] if ends_come_later(lying, strip) else []
    return f"{lying.piece.name}, {', '.join([*words, *_caution(first, strip)])}"


def _caution(blank: Blank, strip: CutStrip) -> list[str]:
    """Say that a blank is too short to be ripped the usual way, where it is crosscut first and ripped then."""
    is_ripped = len(blank.pieces) > 1 or not takes_whole_width(blank.pieces[0], strip)
    return [SHORT_RIP] if is_ripped and blank.end_in - blank.start_in < SHORTEST_RIP_IN else []


def _side_by_side(blank: Blank, unit: str) -> str:
    """Say what pieces are ripped from one blank: `2 x Table: Rail, 1 1/2 in wide, then cut to 18 in`."""
    texts = []
    for piece, alike in groupby(lying.piece for lying in blank.pieces):
        words = [f"{len(list(alike))} x {piece.name}", f"{whole_length(piece.blank_width_in, unit)} wide"]
        words += milled_words(piece, unit)
        shape = piece.part.shape
        finish = [whole_length(shape.length_in, unit)] if shape.length_in != blank.end_in - blank.start_in else []
        finish += [] if ends_square(shape) else [ends_text(*leans_of(shape))]
        words += [f"then cut to {', '.join(finish)}"] if finish else []
        texts.append(", ".join(words))
    return " + ".join(texts)


def _turned(turns: list[Turn]) -> list[str]:
    """Say how pieces are turned; both ways where they take turns, but that the first lies as drawn need not be said."""
    first, *others = (_TURNED[turn] for turn in dict.fromkeys(turns))
    if not others:
        return [first] if turns[0] != "as drawn" else []
    return [f"{others[0]} by turns"] if turns[0] == "as drawn" else [f"{first} and {others[0]} by turns"]


def _sharing(before: Blank | None, blanks: list[Blank], strip: CutStrip, kerf_in: Fraction) -> list[str]:
    """Say where one cut serves two ends that lean; that square ones share theirs goes without saying."""

    def share(one: Blank, other: Blank) -> bool:
        return shares_cut(one, other, strip, kerf_in) and crosscut_leans(one, strip)[1] != SQUARE_CUT

    with_former = before is not None and share(before, blanks[0])
    among = any(share(one, other) for one, other in pairwise(blanks))
    return [
        *(["the first cut serves the piece before too"] if with_former else []),
        *(["one cut serves both neighbours"] if among else []),
    ]


def mark_text(place_in: Fraction, unit: str) -> str:
    """Write a mark: a length without its unit, which no line ends within."""
    return whole_length(place_in, unit).removesuffix(unbroken(f" {unit}"))


def has_nests(layouts: tuple[CutLayout, ...]) -> bool:
    """Whether anywhere a piece begins before its neighbour has ended."""
    strips = [strip for layout in layouts for strip in layout.strips]
    return any(other.start_in < one.end_in for strip in strips for one, other in pairwise(strip.blanks))
