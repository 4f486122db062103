from collections.abc import Callable
from fractions import Fraction

import pytest

from estimator.buying.layouts import CutLayout, Lying
from estimator.cutting_words import (
    board_text,
    has_nests,
    left_over_text,
    letters_of,
    ripping_text,
    settings_text,
    strip_words,
)

MakeLying = Callable[..., Lying]
MakeLayout = Callable[..., CutLayout]
KERF = Fraction(1, 8)


def plain(text: str) -> str:
    return text.replace("\N{NO-BREAK SPACE}", " ")


def rows(layout: CutLayout, unit: str = "in") -> list[tuple[str, int, str, str]]:
    """Return the letter, the count, the words and the marks of each run of the layout's strips."""
    words = strip_words(layout, letters_of((layout,)), unit, KERF)
    return [(run.letter, run.count, plain(run.what), plain(run.marks)) for strip in words for run in strip.runs]


def test_equal_pieces_are_one_row_with_a_mark_each(lying: MakeLying, layout: MakeLayout) -> None:
    rail, stub = lying("Rail", 20), lying("Stub", 9.5)
    board = layout([(0, 20, [rail]), (20.125, 40.125, [rail]), (40.25, 49.75, [stub])])
    assert rows(board) == [("A", 2, "Stool: Rail, 20 in", "20, 40 1/8"), ("B", 1, "Stool: Stub, 9 1/2 in", "49 3/4")]


def test_thirty_short_pieces_are_one_row(lying: MakeLying, layout: MakeLayout) -> None:
    peg = lying("Peg", 2)
    ((letter, count, what, marks),) = rows(layout([(2.125 * n, 2.125 * n + 2, [peg]) for n in range(30)]))
    assert (letter, count, what) == ("A", 30, "Stool: Peg, 2 in")
    assert marks.split(", ")[:3] == ["2", "4 1/8", "6 1/4"]
    assert len(marks.split(", ")) == 30


def test_nested_trapezoids_are_turned_by_turns_and_one_cut_serves_both(lying: MakeLying, layout: MakeLayout) -> None:
    # At 45 degrees 3 1/2 in of width lean 3 1/2 in: each begins 3 1/2 less 1/8 before the former's mark.
    one = lying("Side", 20, left=(45, 0), right=(-45, 0))
    other = lying("Side", 20, left=(45, 0), right=(-45, 0), turn="end for end")
    board = layout([(0, 20, [one]), (16.625, 36.625, [other]), (33.25, 53.25, [one]), (49.875, 69.875, [other])])
    ((_, count, what, marks),) = rows(board)
    assert (count, marks) == (4, "20, 36 5/8, 53 1/4, 69 7/8")
    assert what == (
        "Stool: Side, 20 in, ends 45 deg / and 45 deg \\, turned end for end by turns, one cut serves both neighbours"
    )
    assert has_nests((board,))
    said = "Stop block: 4 at 20 in. Saw cuts: 5 by turns 45 deg / and 45 deg \\."
    assert plain(settings_text(board, "in", KERF)) == said


def test_a_row_of_turned_pieces_names_both_ways(lying: MakeLying, layout: MakeLayout) -> None:
    one = lying("Side", 20, left=(45, 0), right=(-45, 0), turn="end for end")
    other = lying("Side", 20, left=(45, 0), right=(-45, 0))
    ((_, _, what, _),) = rows(layout([(0, 20, [one]), (16.625, 36.625, [other])]))
    assert "ends 45 deg \\ and 45 deg /, turned end for end and as drawn by turns" in what


def test_a_cut_shared_with_another_part_is_told_there(lying: MakeLying, layout: MakeLayout) -> None:
    leg = lying("Leg", 20, left=(0, 0), right=(15, 0), takes=20.25)
    rail = lying("Rail", 18, left=(0, 0), right=(15, 0), takes=18.25, turn="end for end")
    first, second = rows(layout([(0, 20.25, [leg]), (19.4375, 37.6875, [rail])]))
    assert first[2] == "Stool: Leg, 20 in, ends square and 15 deg /, takes 20 1/4 in"
    assert second[2] == (
        "Stool: Rail, 18 in, ends 15 deg / and square, takes 18 1/4 in, turned end for end, the first cut serves the "
        "piece before too"
    )


def test_square_cuts_are_not_said_to_serve_both(lying: MakeLying, layout: MakeLayout) -> None:
    rail = lying("Rail", 20)
    assert "serves" not in rows(layout([(0, 20, [rail]), (20.125, 40.125, [rail])]))[0][2]


@pytest.mark.parametrize(
    ("left", "right", "turn", "said"),
    [
        ((0, 10), (0, -10), "as drawn", "ends bevel 10 deg / and bevel 10 deg \\"),
        ((15, 0), (15, 0), "over lengthwise", "both ends 15 deg \\, turned over"),
        ((15, 0), (0, 0), "over end for end", "ends square and 15 deg \\, turned over end for end"),
        ((15, 10), (0, 0), "as drawn", "ends 15 deg / with bevel 10 deg / and square"),
    ],
)
def test_ends_are_told_as_they_lie(
    lying: MakeLying, layout: MakeLayout, left: tuple[int, int], right: tuple[int, int], turn: str, said: str
) -> None:
    board = layout([(0, 9, [lying("Side", 9, left=left, right=right, turn=turn)])])
    assert rows(board)[0][2] == f"Stool: Side, 9 in, {said}"


def test_the_tilt_of_the_blade_for_a_compound_end_is_told_with_the_saw(lying: MakeLying, layout: MakeLayout) -> None:
    # By hand: tan(tilt) = tan 45 x cos 45 = 0.7071, so 35.26 degrees.
    side = lying("Side", 20, left=(45, 45), right=(0, 0), takes=20.25)
    said = plain(settings_text(layout([(0, 20.25, [side])]), "in", KERF))
    assert said.endswith("Saw cuts: 1 at 45 deg / with bevel 45 deg / (blade tilted 35.3 deg), 1 square.")


def test_several_from_one_blank_are_ripped_and_then_cut_shorter(lying: MakeLying, layout: MakeLayout) -> None:
    rail = lying("Rail", 18, width=1.5)
    strip = lying("Strip", 20, width=Fraction(5, 4))
    ((_, _, what, marks),) = rows(layout([(0, 20, [strip, rail, rail])]))
    assert marks == "20"
    assert what == (
        "20 in long, rip it into 3: 1 x Stool: Strip, 1 1/4 in wide + 2 x Stool: Rail, 1 1/2 in wide, then cut to 18 in"
    )


def test_a_blank_too_short_to_be_ripped_safely_says_so(lying: MakeLying, layout: MakeLayout) -> None:
    plug, wedge = lying("Plug", 11.5, width=1.5), lying("Wedge", 12, width=1.5)
    said = [what for _, _, what, _ in rows(layout([(0, 11.5, [plug, plug]), (12, 24, [wedge]), (24.5, 36, [plug])]))]
    assert ["caution" in what for what in said] == [True, False, True]
    ripped_first = layout([(0, 11.5, [plug])], [(0, 12, [wedge])], widths=[1.5, 1.5])
    assert not any("caution" in what for _, _, what, _ in rows(ripped_first))


def test_leaning_ends_of_ripped_pieces_come_last(lying: MakeLying, layout: MakeLayout) -> None:
    leg = lying("Leg", 16, left=(3, 0), right=(3, 0), takes=Fraction(16 * 64 + 9, 64), width=2.5)
    alone = layout([(0, Fraction(16 * 64 + 9, 64), [leg])])
    assert rows(alone)[0][2] == ("Stool: Leg, 16 in, cut square at 16 9/64 in, rip to 2 1/2 in, then both ends 3 deg /")
    slim = lying("Slim leg", 16, left=(3, 0), right=(3, 0), takes=17, width=1.5)
    assert rows(layout([(0, 17, [slim, slim])]))[0][2] == (
        "17 in long, rip it into 2: 2 x Stool: Slim leg, 1 1/2 in wide, then cut to 16 in, both ends 3 deg /"
    )


def test_rough_wood_is_ripped_and_milled(lying: MakeLying, layout: MakeLayout) -> None:
    rail = lying("Rail", 40, section="8/4x6 rough", width=5, rips_to=5.25, thickness=1.5, takes=41)
    assert rows(layout([(0, 41, [rail])]))[0][2] == (
        "Stool: Rail, 40 in, takes 41 in, rip to 5 1/4 in, mill to 5 in x 1 1/2 in"
    )


def test_four_strips_are_told_one_by_one_unless_alike(lying: MakeLying, layout: MakeLayout) -> None:
    slat, long, last = (lying(name, 20, width=0.75) for name in ("Slat", "Long", "Last"))
    first = [(0, 20, [slat]), (20.125, 40.125, [slat])]
    board = layout(first, first, [(0, 20, [long])], [(0, 20, [last])], widths=[0.75, 0.75, 0.75, 0.625])
    words = strip_words(board, letters_of((board,)), "in", KERF)
    assert [plain(strip.title) for strip in words] == [
        "2 strips of 3/4 in, each cut into",
        "Strip of 3/4 in, cut into",
        "Strip of 5/8 in, cut into",
    ]
    assert [run.count for strip in words for run in strip.runs] == [2, 1, 1]
    assert plain(ripping_text(board, "in", keep=False)) == "Rip it into strips of 3/4, 3/4, 3/4 and 5/8 in first."
    assert plain(settings_text(board, "in", KERF)) == "Stop block: 6 at 20 in. Saw cuts: 6 square."


def test_a_left_over_worth_keeping_is_cut_off_before_ripping(lying: MakeLying, layout: MakeLayout) -> None:
    slat = lying("Slat", 20.5, width=1.5)
    board = layout([(0, 20.5, [slat])], [(0, 20.5, [slat])], widths=[1.5, 1.5], left_over=30)
    assert plain(ripping_text(board, "in", keep=True)) == (
        "Cut the left-over off first, at 20 1/2 in; then rip the rest into strips of 1 1/2 and 1 1/2 in."
    )
    crosscut = layout([(0, 20.5, [slat])], left_over=30)
    assert ripping_text(crosscut, "in", keep=True) == ""


def test_boards_are_told_with_where_they_come_from(lying: MakeLying, layout: MakeLayout) -> None:
    strip = [(0, 20, [lying("Rail", 20)])]
    assert board_text(layout(strip, boards=3), "in") == "3 boards of 8 ft"
    assert board_text(layout(strip, length=47, place="rack 2"), "in") == "1 board of 3 ft 11 in from stock: rack 2"
    assert board_text(layout(strip, length=47, place=""), "in") == "1 board of 3 ft 11 in from stock"


@pytest.mark.parametrize(
    ("left_over", "boards", "keep", "said"),
    [
        (0, 4, False, "nothing left"),
        (3.5, 1, False, "3 1/2 in left"),
        (3.5, 2, False, "3 1/2 in left of each"),
        (40, 2, True, "40 in left of each, keep it"),
    ],
)
def test_what_is_left_is_told(
    lying: MakeLying, layout: MakeLayout, left_over: float, boards: int, said: str, *, keep: bool
) -> None:
    board = layout([(0, 20, [lying("Rail", 20)])], boards=boards, left_over=left_over)
    assert plain(left_over_text(board, "in", keep=keep)) == said


def test_the_saw_is_named_only_where_it_is_set_anew(lying: MakeLying, layout: MakeLayout) -> None:
    rail, leg = lying("Rail", 20), lying("Leg", 10, left=(0, 0), right=(15, 0), takes=10.25)
    board = layout([(0, 20, [rail]), (20.125, 40.125, [rail]), (40.25, 50.5, [leg])])
    said = "Stop block: 2 at 20 in, 1 at 10 in. Saw cuts: 2 square, 1 at 15 deg /."
    assert plain(settings_text(board, "in", KERF)) == said


def test_letters_stand_for_the_same_part_all_through_a_section(lying: MakeLying, layout: MakeLayout) -> None:
    parts = [lying(f"Part {n}", 1) for n in range(60)]
    boards = (layout([(0, 1, [parts[0]])]), layout([(n, n + 1, [part]) for n, part in enumerate(parts)]))
    letters = letters_of(boards)
    assert letters["Stool: Part 0",] == "A"
    assert letters["Stool: Part 25",] == "Z"
    assert letters["Stool: Part 51",] == "z"
    assert letters["Stool: Part 59",] == "#"


def test_marks_are_told_in_millimetres(lying: MakeLying, layout: MakeLayout) -> None:
    rail = lying("Rail", Fraction(4200, 254))
    end = Fraction(4200, 254)
    ((_, _, what, marks),) = rows(layout([(0, end, [rail])]), "mm")
    assert (what, marks) == ("Stool: Rail, 420 mm", "420")


def test_no_line_ends_within_a_length_or_an_angle(lying: MakeLying, layout: MakeLayout) -> None:
    leg = lying("Leg", 20.5, left=(15, 0), right=(15, 0), takes=21.5)
    board = layout([(0, 21.5, [leg])])
    (strip,) = strip_words(board, letters_of((board,)), "in", KERF)
    assert "20\N{NO-BREAK SPACE}1/2\N{NO-BREAK SPACE}in" in strip.runs[0].what
    assert "15\N{NO-BREAK SPACE}deg\N{NO-BREAK SPACE}/" in strip.runs[0].what
