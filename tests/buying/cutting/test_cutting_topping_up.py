"""Boards filled anew until nothing is left uncut."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.cutting.problem import Run
from estimator.buying.cutting.topping_up import filled_up, length_of, topped_up


def test_a_piece_finds_room_once_waste_is_gathered_on_one_board() -> None:
    # 6 + 3 and 5 + 4 waste 1 each on boards of 10; 2 is left. 6 + 4 fills a board, 5 + 3 + 2 the other.
    runs = [Run(stock=0, pattern=(1, 0, 0, 1, 0), boards=1), Run(stock=0, pattern=(0, 1, 1, 0, 0), boards=1)]
    topped = topped_up(runs, (0, 0, 0, 0, 1), sizes=(6, 5, 4, 3, 2), capacities=(10,))
    assert topped is not None
    assert sorted(run.pattern for run in topped) == [(0, 1, 0, 1, 1), (1, 0, 1, 0, 0)]


def test_boards_of_many_alike_are_filled_anew_one_at_a_time() -> None:
    # Each of 100 boards of 10 holds 5 + 4; three pieces of 5 and one of 4 are left, and two boards are empty.
    runs = [Run(stock=0, pattern=(1, 1), boards=100), Run(stock=0, pattern=(0, 0), boards=2)]
    topped = topped_up(runs, (3, 1), sizes=(5, 4), capacities=(10,))
    assert topped is not None
    assert sum(run.boards for run in topped) == 102
    assert [sum(run.pattern[part] * run.boards for run in topped) for part in (0, 1)] == [103, 101]
    assert all(length_of(run.pattern, (5, 4)) <= 10 for run in topped)


def test_what_is_longer_than_all_the_waste_is_not_tried() -> None:
    assert topped_up([Run(stock=0, pattern=(2,), boards=3)], (1,), sizes=(4,), capacities=(11,)) is None


def test_what_fits_no_board_beside_the_others_stays_uncut() -> None:
    # Two boards of 10 have 8 to spare together, and each piece takes 6.
    assert topped_up([Run(stock=0, pattern=(1,), boards=2)], (1,), sizes=(6,), capacities=(10,)) is None


@given(st.lists(st.tuples(st.integers(1, 20), st.integers(0, 3)), min_size=1, max_size=4), st.integers(0, 60))
def test_a_board_is_filled_as_far_as_any_pieces_go(parts: list[tuple[int, int]], capacity: int) -> None:
    sizes, pieces = tuple(size for size, _ in parts), tuple(count for _, count in parts)
    filled = filled_up(pieces, sizes, capacity, Random(7))  # noqa: S311 - variety, not secrecy
    reachable = {0}
    for size, count in parts:
        reachable = {length + size * n for length in reachable for n in range(count + 1)}
    assert length_of(filled, sizes) == max(length for length in reachable if length <= capacity)
    assert all(count <= there for count, there in zip(filled, pieces, strict=True))
