from collections.abc import Callable
from fractions import Fraction

from estimator.buying.layouts import CutLayout, Lying
from estimator.cli.cutting_list import layout_lines
from estimator.cutting_words import letters_of
from estimator.reading.order import Order

MakeLying = Callable[..., Lying]
MakeLayout = Callable[..., CutLayout]


def lines(layout: CutLayout, order: Order) -> list[str]:
    return layout_lines(layout, Fraction(96), order, letters_of((layout,)))


def test_a_layout_is_told_from_its_boards_to_the_settings(
    lying: MakeLying, layout: MakeLayout, inch_order: Order
) -> None:
    rail, leg = lying("Rail", 40), lying("Leg", 20, left=(15, 0), right=(15, 0), takes=21)
    board = layout([(0, 40, [rail]), (40.125, 61.125, [leg])], boards=3, left_over=33.75)
    assert lines(board, inch_order) == [
        "3 boards of 8 ft, 33 3/4 in left of each, keep it:",
        "  [A-----------------------------|/B--------------/..........................]",
        "       cut                                            marks from the squared end",
        "A   1  Stool: Rail, 40 in                                                     40",
        "B   1  Stool: Leg, 20 in, both ends 15 deg /, takes                       61 1/8",
        "       21 in",
        "  Stop block: 1 at 40 in, 1 at 20 in. Saw cuts: 1 square, 2 at 15 deg /.",
    ]


def test_strips_have_a_heading_each(lying: MakeLying, layout: MakeLayout, inch_order: Order) -> None:
    slat, rail = lying("Slat", 60, width=1.5), lying("Rail", 40, width=1.75)
    board = layout([(0, 60, [slat])], [(0, 40, [rail])], widths=[1.5, 1.75], left_over=34.875, place="rack 2")
    told = lines(board, inch_order)
    assert told[0] == "1 board of 8 ft from stock: rack 2, 34 7/8 in left, keep it:"
    assert told[3:6] == [
        "  Cut the left-over off first, at 60 in; then rip the rest into strips of 1 1/2",
        "  and 1 3/4 in.",
        "       cut                                            marks from the squared end",
    ]
    assert [line for line in told if line.startswith("  Strip")] == [
        "  Strip of 1 1/2 in, cut into:",
        "  Strip of 1 3/4 in, cut into:",
    ]


def test_long_names_and_many_marks_stay_within_80_columns(
    lying: MakeLying, layout: MakeLayout, inch_order: Order
) -> None:
    peg = lying("Peg of a name that goes on and on, for the rail under the seat-" + "x" * 90, 2)
    board = layout([(2.125 * n, 2.125 * n + 2, [peg]) for n in range(40)], boards=120, place="the rack " * 12)
    told = lines(board, inch_order)
    assert [line for line in told if len(line) > 80] == []
    assert all(line.isascii() for line in told)


def test_marks_are_not_broken_where_they_stand_below_each_other(
    lying: MakeLying, layout: MakeLayout, inch_order: Order
) -> None:
    peg = lying("Peg", 2)
    told = lines(layout([(2.125 * n, 2.125 * n + 2, [peg]) for n in range(30)]), inch_order)
    marks = [line[40:].strip() for line in told[3:-1]]
    assert all(line.endswith(",") for line in marks[:-1])
    assert ", ".join(line.rstrip(",") for line in marks).split(", ")[-1] == "63 5/8"
