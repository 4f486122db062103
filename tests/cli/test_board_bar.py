from collections.abc import Callable
from fractions import Fraction

import pytest

from estimator.buying.layouts import CutLayout, Lying
from estimator.cli.board_bar import WIDTH, board_bars
from estimator.cutting_words import letters_of
from estimator.reading.order import Order

MakeLying = Callable[..., Lying]
MakeLayout = Callable[..., CutLayout]
Bars = Callable[..., list[str]]


@pytest.fixture
def bars(inch_order: Order) -> Bars:
    """Draw a layout to the scale of 96 in."""

    def draw(layout: CutLayout, longest: int = 96) -> list[str]:
        return board_bars(layout, Fraction(longest), inch_order.shop.saw, letters_of((layout,)))

    return draw


def test_a_board_fills_the_width_and_pieces_are_to_scale(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    rail, stub = lying("Rail", 40), lying("Stub", 19)
    (bar,) = bars(layout([(0, 40, [rail]), (40.125, 80.125, [rail]), (80.25, 94.25, [stub])]))
    assert len(bar) == WIDTH
    # The usable 95 in are 74 characters: 40 in end at 31.2, 80 1/8 at 62.4, 94 1/4 at 73.4.
    assert (bar[31], bar[62], bar[73]) == ("|", "|", "|")
    assert bar == "[A" + "-" * 29 + "|A" + "-" * 29 + "|B" + "-" * 9 + "| ]"


def test_a_shorter_board_is_shorter(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    board = layout([(0, 47, [lying("Rail", 47)])], length=48)
    (bar,) = bars(board)
    assert len(bar) == 1 + round((WIDTH - 1) / 2)
    assert bar.endswith("-|]")


def test_what_is_left_is_dotted(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    (bar,) = bars(layout([(0, 20, [lying("Rail", 20)])], left_over=74.875))
    assert bar.startswith("[A--------------|....")
    assert bar.endswith("....]")


def test_nested_pieces_share_a_sign_and_others_have_two(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    side = lying("Side", 30, left=(45, 0), right=(-45, 0))
    turned = lying("Side", 30, left=(45, 0), right=(-45, 0), turn="end for end")
    (nested,) = bars(layout([(0, 30, [side]), (26.625, 56.625, [turned])]))
    assert [sign for sign in nested if sign in "[]|/\\A"] == ["[", "/", "A", "\\", "A", "/", "]"]
    (apart,) = bars(layout([(0, 30, [side]), (30.125, 60.125, [side])]))
    assert [sign for sign in apart if sign in "[]|/\\A"] == ["[", "/", "A", "\\", "/", "A", "\\", "]"]


def test_bevels_are_drawn_as_mitres_are(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    (bar,) = bars(layout([(0, 9, [lying("Side", 9, left=(0, 10), right=(0, -10))])]))
    assert bar.startswith("[/A")
    assert "\\" in bar


def test_ends_that_are_cut_later_are_drawn_square(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    leg = lying("Leg", 30, left=(15, 0), right=(15, 0), takes=31, width=2)
    (bar,) = bars(layout([(0, 31, [leg])]))
    assert "/" not in bar


def test_four_strips_are_four_lines_to_one_scale(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    slats = [[(0, length, [lying(f"Slat {length}", length, width=0.75)])] for length in (90, 60, 40, 20)]
    lines = bars(layout(*slats, widths=[0.75] * 4, left_over=4.875))
    assert [len(line) for line in lines] == [WIDTH] * 4
    assert [line[1] for line in lines] == ["A", "B", "C", "D"]
    assert not any("." in line for line in lines)  # it falls away strip by strip
    assert [line.index("|") for line in lines] == [round(length * 74 / 95) for length in (90, 60, 40, 20)]


def test_a_left_over_to_keep_is_cut_off_all_strips_at_one_place(
    lying: MakeLying, layout: MakeLayout, bars: Bars
) -> None:
    slats = [[(0, length, [lying(f"Slat {length}", length, width=1.5)])] for length in (60, 40)]
    long, short = bars(layout(*slats, widths=[1.5] * 2, left_over=34.875))
    # The cut at 60 in, by 74 / 95 of an inch a character.
    assert long[47:] == short[47:] == "|" + "." * 27 + "]"
    assert long.count("|") == 1
    assert short.count("|") == 2
    assert " " in short


def test_thirty_short_pieces_are_drawn_one_by_one(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    peg = lying("Peg", 2)
    (bar,) = bars(layout([(2.125 * n, 2.125 * n + 2, [peg]) for n in range(30)], left_over=31.125))
    assert bar.count("A|") == 30
    assert len(bar) == WIDTH


def test_more_than_fit_are_drawn_together(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    peg, rail = lying("Peg", 1), lying("Rail", 20)
    board = layout([(0, 20, [rail]), *((20.125 + 1.125 * n, 21.125 + 1.125 * n, [peg]) for n in range(60))])
    (bar,) = bars(board)
    assert len(bar) == WIDTH
    assert bar.startswith("[A--------------|60 B-----")


def test_what_cannot_be_drawn_at_all_is_left_to_the_words(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    pegs = [lying(f"Peg {n}", 1) for n in range(60)]
    assert bars(layout([(1.125 * n, 1.125 * n + 1, [peg]) for n, peg in enumerate(pegs)])) == []


def test_a_board_without_trim_may_be_used_to_its_end(lying: MakeLying, layout: MakeLayout, bars: Bars) -> None:
    (bar,) = bars(layout([(0, 96, [lying("Rail", 96)])]))
    assert bar == f"[A{'-' * (WIDTH - 4)}|]"
