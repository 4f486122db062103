r"""A board drawn to scale in plain characters: `[A-------/B-------|..]`.

Square brackets are the board's ends, the squared one at the left. Every other sign is a cut as it leans: one between
two pieces where one cut serves both, else two. Pieces are named by letters, dots are what is left, and blanks in a
strip are what falls away beside its neighbours.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from estimator.buying.layouts import CutLayout, CutStrip, is_usable
from estimator.buying.saw_cuts import crosscut_leans, shares_cut
from estimator.buying.ways_to_lie import Lean
from estimator.cutting_words import Letters, letter_of
from estimator.reading.cutting_settings import SawSettings

DRAWING_TEXT = (
    "In the drawings [ and ] are the ends of the board and each sign between them a cut as it leans; one sign between "
    "two pieces is one cut for both. Dots are left over, blanks fall away."
)
WIDTH = 76


@dataclass(frozen=True, kw_only=True, slots=True)
class _Span:
    """What is drawn as one piece: its text, the place where it ends, its signs; no near one where that is shared."""

    text: str
    end_in: Fraction
    near: str
    far: str


def board_bars(layout: CutLayout, longest_in: Fraction, saw: SawSettings, letters: Letters) -> list[str]:
    """Return a line for each strip of a board, so that the longest board fills WIDTH; none where there is no room."""
    bars = [_bar(layout, strip, longest_in, saw, letters) for strip in layout.strips]
    return bars if all(len(bar) <= WIDTH for bar in bars) else []


def _bar(layout: CutLayout, strip: CutStrip, longest_in: Fraction, saw: SawSettings, letters: Letters) -> str:
    """Return the drawing of a strip: piece by piece, or where that is too long equal neighbours together."""
    cells = round((WIDTH - 1) * layout.board_length_in / longest_in)
    end_in = max(one.end_in for one in layout.strips)
    usable_in = max(layout.board_length_in - 2 * saw.end_trim_in, end_in)
    bar = _drawn(_spans(strip, saw.kerf_in, letters), cells, usable_in)
    if len(bar) >= WIDTH:
        bar = _drawn(_spans_together(strip, letters), cells, usable_in)
    if layout.rip_first and is_usable(layout, saw):
        cut = _cell(end_in, cells, usable_in)
        bar = bar if len(bar) > cut else f"{bar.ljust(cut)}|"
        return f"{bar.ljust(cells, '.')}]"
    left = round(layout.left_over_in * cells / usable_in) if not layout.rip_first else 0
    return f"{bar.ljust(cells, '.' if left else ' ')}]"


def _drawn(spans: list[_Span], cells: int, usable_in: Fraction) -> str:
    """Return the bar from the squared end to the last cut: each piece ends at its place, or where its text ends."""
    bar = "["
    for span in spans:
        bar += span.near + span.text
        bar += "-" * (_cell(span.end_in, cells, usable_in) - len(bar)) + span.far
    return bar


def _cell(place_in: Fraction, cells: int, usable_in: Fraction) -> int:
    return round(place_in * (cells - 1) / usable_in)


def _spans(strip: CutStrip, kerf_in: Fraction, letters: Letters) -> list[_Span]:
    spans: list[_Span] = []
    for place, blank in enumerate(strip.blanks):
        near, far = crosscut_leans(blank, strip)
        shared = shares_cut(strip.blanks[place - 1], blank, strip, kerf_in) if place else near.is_square
        text = letter_of(blank, letters)
        spans.append(_Span(text=text, end_in=blank.end_in, near="" if shared else _sign(near), far=_sign(far)))
    return spans


def _spans_together(strip: CutStrip, letters: Letters) -> list[_Span]:
    """Return equal neighbours as one: `30 A`."""
    spans = []
    for letter, group in groupby(strip.blanks, key=lambda blank: letter_of(blank, letters)):
        blanks = list(group)
        text, far = f"{len(blanks)} {letter}" if len(blanks) > 1 else letter, crosscut_leans(blanks[-1], strip)[1]
        spans.append(_Span(text=text, end_in=blanks[-1].end_in, near="", far=_sign(far)))
    return spans


def _sign(lean: Lean) -> str:
    degrees = lean.mitre or lean.bevel
    return "/" if degrees > 0 else "\\" if degrees < 0 else "|"
