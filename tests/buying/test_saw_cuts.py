"""Which cuts a layout takes, worked out by hand for a kerf of 1/8 in."""

from collections.abc import Callable
from fractions import Fraction

import pytest

from estimator.buying.layouts import CutLayout, Lying
from estimator.buying.saw_cuts import crosscut_leans, crosscuts, ends_come_later, shares_cut, stop_lengths
from estimator.buying.ways_to_lie import Lean

MakeLying = Callable[..., Lying]
MakeLayout = Callable[..., CutLayout]
KERF = Fraction(1, 8)


def lean(mitre: int, bevel: int = 0) -> Lean:
    return Lean(mitre=Fraction(mitre), bevel=Fraction(bevel))


def cuts(layout: CutLayout) -> list[tuple[Lean, bool]]:
    return [(cut.lean, cut.serves_both) for cut in crosscuts(layout.strips[0], KERF)]


def test_n_square_pieces_take_n_cuts_from_the_squared_end_on(lying: MakeLying, layout: MakeLayout) -> None:
    rail = lying("Rail", 20)
    board = layout([(0, 20, [rail]), (20.125, 40.125, [rail]), (40.25, 60.25, [rail])])
    assert cuts(board) == [(lean(0), True), (lean(0), True), (lean(0), False)]


def test_a_row_of_nested_legs_takes_one_cut_between_two(lying: MakeLying, layout: MakeLayout) -> None:
    # At 15 degrees 3 1/2 in of width lean 0.9378 in: each leg begins that much less a kerf before the former's mark.
    leg = lying("Leg", 20, left=(15, 0), right=(15, 0), takes=21)
    board = layout([(0, 21, [leg]), (Fraction("20.1875"), Fraction("41.1875"), [leg])])
    assert cuts(board) == [(lean(15), False), (lean(15), True), (lean(15), False)]
    assert shares_cut(board.blanks[0], board.blanks[1], board.strips[0], KERF)


def test_trapezoids_that_do_not_nest_take_two_cuts_each(lying: MakeLying, layout: MakeLayout) -> None:
    side = lying("Side", 20, left=(45, 0), right=(-45, 0))
    board = layout([(0, 20, [side]), (20.125, 40.125, [side])])
    assert cuts(board) == [(lean(45), False), (lean(-45), False), (lean(45), False), (lean(-45), False)]


def test_a_square_end_beside_a_leaning_one_takes_two_cuts(lying: MakeLying, layout: MakeLayout) -> None:
    rail, leg = lying("Rail", 20), lying("Leg", 20, left=(0, 10), right=(0, 10), takes=20.5)
    board = layout([(0, 20, [rail]), (20.125, 40.625, [leg])])
    assert cuts(board) == [(lean(0), False), (lean(0, 10), False), (lean(0, 10), False)]


def test_equal_compound_ends_that_the_plan_keeps_apart_are_cut_one_by_one(lying: MakeLying, layout: MakeLayout) -> None:
    leg = lying("Leg", 17, left=(5, 5), right=(5, 5), takes=17.25)
    board = layout([(0, 17.25, [leg]), (17.375, 34.625, [leg])])
    assert not shares_cut(board.blanks[0], board.blanks[1], board.strips[0], KERF)


@pytest.mark.parametrize(
    "narrower",
    [
        {"width": 2},  # ripped from 3 1/2
        {"section": "8/4x6 rough", "width": 5, "rips_to": 5.25},  # milled to 5
    ],
)
def test_a_mitre_of_a_piece_that_gets_narrower_waits(
    lying: MakeLying, layout: MakeLayout, narrower: dict[str, object]
) -> None:
    leg = lying("Leg", 16, left=(15, 0), right=(15, 0), takes=17, **narrower)
    board = layout([(0, 17, [leg])])
    assert ends_come_later(leg, board.strips[0])
    assert crosscut_leans(board.blanks[0], board.strips[0]) == (lean(0), lean(0))
    assert stop_lengths(board) == ((Fraction(17), 1),)


def test_a_bevel_waits_for_planing_and_a_mitre_does_not(lying: MakeLying, layout: MakeLayout) -> None:
    bevelled = lying("Side", 9, left=(0, 10), right=(0, -10), thickness=1)
    mitred = lying("Pad", 9, left=(10, 0), right=(-10, 0), thickness=1)
    strip = layout([(0, 9, [bevelled]), (9.125, 18.125, [mitred])]).strips[0]
    assert ends_come_later(bevelled, strip)
    assert not ends_come_later(mitred, strip)


def test_a_mitre_as_wide_as_its_strip_is_cut_from_the_strip(lying: MakeLying, layout: MakeLayout) -> None:
    batten = lying("Batten", 16, left=(15, 0), right=(15, 0), takes=17, width=1.5)
    board = layout([(0, 17, [batten])], [(0, 17, [batten])], widths=[1.5, 1.75])
    assert not ends_come_later(batten, board.strips[0])
    assert ends_come_later(batten, board.strips[1])


def test_the_stop_is_set_in_the_order_of_the_cuts_over_all_strips(lying: MakeLying, layout: MakeLayout) -> None:
    short, long = lying("Short", 10, width=1.5), lying("Long", 30, width=1.5)
    leaning = lying("Leg", 20, left=(15, 0), right=(15, 0), takes=21, width=1.5)
    first = [(0, 10, [short]), (10.125, 40.125, [long])]
    board = layout(first, [(0, 30, [long]), (30.125, 51.125, [leaning])], widths=[1.5, 1.5])
    assert stop_lengths(board) == ((Fraction(10), 1), (Fraction(30), 2), (Fraction(20), 1))


def test_a_blank_for_several_pieces_is_cut_square_at_its_own_length(lying: MakeLying, layout: MakeLayout) -> None:
    leg, rail = lying("Leg", 16, left=(15, 0), right=(15, 0), takes=17, width=1.5), lying("Rail", 12, width=1.5)
    board = layout([(0, 17, [leg, rail])])
    assert cuts(board) == [(lean(0), False)]
    assert stop_lengths(board) == ((Fraction(17), 1),)
