"""A board drawn to scale in plain characters: pieces named by letters, slopes as they lie, dots for what is left."""

from fractions import Fraction
from string import ascii_uppercase

from estimator.buying.layouts import Blank, CutLayout, CutStrip
from estimator.buying.ways_to_lie import Lean

WIDTH = 74

Letters = dict[tuple[str, ...], str]  # of what a blank becomes, by the names of its pieces


def board_bars(layout: CutLayout, longest_in: Fraction, letters: Letters) -> list[str]:
    """Return a line for each strip of a board, the longest board being WIDTH characters wide."""
    return [strip_bar(strip, layout.board_length_in, longest_in, letters) for strip in layout.strips]


def letter_of(blank: Blank, letters: Letters) -> str:
    """Return the letter of what a blank becomes, a new one where it has none yet; `*` when letters run out."""
    key = tuple(lying.piece.name for lying in blank.pieces)
    if key not in letters:
        letters[key] = ascii_uppercase[len(letters)] if len(letters) < len(ascii_uppercase) else "*"
    return letters[key]


def strip_bar(strip: CutStrip, board_in: Fraction, longest_in: Fraction, letters: Letters) -> str:
    """Return the drawing of one strip: `|A------|A------/B----/.....|`."""
    scale = Fraction(WIDTH - 1) / longest_in
    cells = ["."] * (int(board_in * scale) + 1)
    cells[0] = cells[-1] = "|"
    for blank in strip.blanks:
        start, end = int(blank.start_in * scale), min(int(blank.end_in * scale), len(cells) - 1)
        cells[start + 1 : end] = "-" * max(0, end - start - 1)
        cells[start] = _edge(cells[start] if start else "", blank.pieces[0].way.near)
        cells[end] = _edge("", blank.pieces[0].way.far)
        if end - start > 1:
            cells[start + 1] = letter_of(blank, letters)
    return "".join(cells)


def _edge(before: str, lean: Lean) -> str:
    """Return the sign of a cut; where two cuts fall into one place and differ, an upright."""
    degrees = lean.mitre or lean.bevel
    sign = "/" if degrees > 0 else "\\" if degrees < 0 else "|"
    return sign if before in {"", ".", "-", sign} else "|"
