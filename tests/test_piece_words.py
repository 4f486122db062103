from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from estimator.buying.layouts import Lying
from estimator.buying.ways_to_lie import Lean
from estimator.piece_words import cut_text, lean_text, part_text, setting_text
from estimator.solid import SIDES, Clip, End, RoundedCorner, Side, Taper
from estimator.takeoff.lumber import PieceNeed

MakeLying = Callable[..., Lying]


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def lean(mitre: float, bevel: float) -> Lean:
    return Lean(mitre=Fraction(mitre), bevel=Fraction(bevel))


@pytest.mark.parametrize(
    ("end", "said"),
    [
        (lean(0, 0), "square"),
        (lean(15, 0), "15 deg /"),
        (lean(-7.5, 0), "7.5 deg \\"),
        (lean(0, 10), "bevel 10 deg /"),
        (lean(45, -22.5), "45 deg / with bevel 22.5 deg \\"),
    ],
)
def test_an_end_is_told_as_it_leans(end: Lean, said: str) -> None:
    assert plain(lean_text(end)) == said


def test_a_blade_is_tilted_less_than_a_compound_end_is_bevelled() -> None:
    # By hand: tan 30 x cos 60 = 0.5774 x 0.5 = 0.2887, the tangent of 16.1 degrees.
    assert plain(setting_text(lean(60, -30))) == "60 deg / with bevel 30 deg \\ (blade tilted 16.1 deg)"
    assert plain(setting_text(lean(0, 30))) == "bevel 30 deg /"


CORNER = Clip(corner="top left", along_in=Fraction(1), across_in=Fraction(3, 4))


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ({}, "16 1/2 in"),
        ({"width": 2.5}, "16 1/2 in, rip to 2 1/2 in"),
        ({"thickness": 1.25}, "16 1/2 in, plane to 1 1/4 in"),
        ({"clips": (CORNER,)}, "16 1/2 in, clip 1 in x 3/4 in at top left"),
        (
            {"left": (3, 0), "right": (3, 0), "takes": 17, "width": 2.5},
            "16 1/2 in, both ends 3 deg /, takes 17 in, rip to 2 1/2 in",
        ),
        ({"left": (0, 0), "right": (0, 10), "takes": 17}, "16 1/2 in, ends square and bevel 10 deg /, takes 17 in"),
        (
            {"section": "8/4x6 rough", "width": 5, "rips_to": 5.25, "thickness": 1.5, "takes": 17.5},
            "16 1/2 in, takes 17 1/2 in, rip to 5 1/4 in, mill to 5 in x 1 1/2 in",
        ),
    ],
)
def test_the_saw_is_told_all_that_is_done_to_a_piece(lying: MakeLying, size: dict[str, object], said: str) -> None:
    assert plain(cut_text(lying("Leg", 16.5, **size).piece, "in")) == said


def test_millimetres_are_told_without_fractions(lying: MakeLying) -> None:
    slat = lying("Slat", Fraction(14900, 254), section="27 x 120 mm", width=Fraction(1000, 254))
    assert plain(cut_text(slat.piece, "mm")) == "1490 mm, rip to 100 mm"


def test_a_part_is_told_with_what_shows_and_what_it_matches(lying: MakeLying) -> None:
    leg = lying("Leg", 16.5, section="52 mm", width=3, show_face=True, match="legs")
    assert plain(part_text(leg.piece, "in")) == (
        '16 1/2 in, 3 in wide, one face shows: not turned over, matches "legs"'
    )


def tapers(*sides: Side, edges: float = 0, faces: float = 0, end: End = "right") -> tuple[Taper, ...]:
    depths = {"edge": Fraction(edges), "face": Fraction(faces)}
    return tuple(Taper(end=end, side=side, depth_in=depths[side.split()[1]], length_in=Fraction(12)) for side in sides)


@pytest.mark.parametrize(
    ("cuts", "said"),
    [
        ({"tapers": tapers("bottom edge", edges=1.25)}, "taper bottom edge to 2 1/4 in over 12 in from the right end"),
        (
            {"tapers": tapers("bottom edge", "top edge", edges=0.5, end="left")},
            "taper both edges to 2 1/2 in over 12 in from the left end",
        ),
        ({"tapers": tapers("upper face", faces=0.75)}, "taper upper face to 3/4 in over 12 in from the right end"),
        (
            {"tapers": tapers("top edge", "lower face", "upper face", edges=2.5, faces=0.25)},
            "taper top edge and both faces to 1 in square over 12 in from the right end",
        ),
        (
            {"tapers": tapers(*SIDES, edges=1, faces=0.25)},
            "taper all sides to 1 1/2 in x 1 in over 12 in from the right end",
        ),
        (
            {
                "rounded_corners": (
                    RoundedCorner(corner="top right", radius_in=Fraction(3, 2)),
                    RoundedCorner(corner="top left", radius_in=Fraction(3, 2)),
                )
            },
            "round 1 1/2 in at top right and top left",
        ),
    ],
)
def test_tapers_and_rounded_corners_are_told(lying: MakeLying, cuts: dict[str, Any], said: str) -> None:
    assert plain(cut_text(cut_piece(lying, **cuts), "in")) == f"16 1/2 in, {said}"


def cut_piece(
    lying: MakeLying,
    *,
    tapers: tuple[Taper, ...] = (),
    clips: tuple[Clip, ...] = (),
    rounded_corners: tuple[RoundedCorner, ...] = (),
) -> PieceNeed:
    """A piece of 2x4, 3 1/2 x 1 1/2 in once dressed."""
    piece = lying("Leg", 16.5).piece
    shape = replace(piece.part.shape, tapers=tapers, clips=clips, rounded_corners=rounded_corners)
    return replace(piece, part=replace(piece.part, shape=shape))


def test_a_piece_is_tapered_before_its_corners_are_cut(lying: MakeLying) -> None:
    rounding = RoundedCorner(corner="top right", radius_in=Fraction(1))
    leg = cut_piece(lying, tapers=tapers("top edge", edges=1), clips=(CORNER,), rounded_corners=(rounding,))
    assert plain(cut_text(leg, "in")) == (
        "16 1/2 in, taper top edge to 2 1/2 in over 12 in from the right end, clip 1 in x 3/4 in at top left, "
        "round 1 in at top right"
    )
