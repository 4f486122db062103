from dataclasses import replace

import pytest

from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import (
    SQUARE,
    SQUARE_ENDS,
    CuttingJob,
    CuttingPlan,
    End,
    Layout,
    Piece,
    Placed,
    Ripping,
    Section,
    Stock,
    Strip,
)

# Two boards of 96 give 30 + 30 + 30 with two kerfs of 3, which is flush; one of 60 gives the last 30 and a 27.
JOB = CuttingJob(
    stocks=(Stock(length=96, price=10), Stock(length=60, price=7, limit=1)),
    pieces=(Piece(length=30, demand=7), Piece(length=27, demand=1)),
    kerf=3,
)


def laid(stock: int, boards: int, *places: int) -> Layout:
    """So many boards with the pieces at these places in the job one after the other."""
    sections = tuple(Section(JOB.pieces[place].length, (Placed(place),)) for place in places)
    counts = tuple(places.count(place) for place in range(2))
    return Layout(stock=stock, counts=counts, boards=boards, strips=(Strip(None, sections),))


THREE, TWO, ONE, OTHER = laid(0, 2, 0, 0, 0), laid(1, 1, 0, 1), laid(1, 1, 0), laid(1, 1, 1)
PLAN = CuttingPlan(layouts=(THREE, TWO), cost=27, lower_bound=26, unnested_cost=27)


def test_a_sound_plan_has_no_faults() -> None:
    assert plan_faults(JOB, PLAN) == []


@pytest.mark.parametrize(
    ("spoiled", "fault"),
    [
        (replace(PLAN, layouts=(THREE,), cost=20), "piece 0 is cut 6 times instead of 7"),
        (replace(PLAN, layouts=(THREE, laid(1, 1, 0, 0))), "longer than its board"),  # 30 + 3 + 30 = 63
        (replace(PLAN, layouts=(laid(0, 2, 0, 0, 0, 1), TWO)), "longer than its board"),
        (replace(PLAN, layouts=(replace(THREE, boards=3), TWO)), "piece 0 is cut 10 times instead of 7"),
        (replace(PLAN, layouts=(replace(THREE, boards=0), TWO)), "cuts nothing"),
        (replace(PLAN, layouts=(THREE, TWO, laid(1, 1))), "cuts nothing"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(2, -1)))), "less than nothing"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(1, 0)))), "does not lay the pieces it counts"),
        (replace(PLAN, layouts=(THREE, replace(TWO, stock=2))), "no stock of the job"),
        (replace(PLAN, layouts=(THREE, replace(TWO, counts=(1,)))), "does not count every piece"),
        (replace(PLAN, layouts=(THREE, ONE, OTHER)), "stock 1 is used 2 times, more than its limit 1"),
        (replace(PLAN, cost=26), "the boards cost 27, not 26"),
        (replace(PLAN, lower_bound=28), "the bound 28 is above the cost 27"),
        (replace(PLAN, unnested_cost=26), "without nesting the boards cost 26, less than 27"),
    ],
)
def test_a_spoiled_plan_is_told_what_is_wrong(spoiled: CuttingPlan, fault: str) -> None:
    assert any(fault in found for found in plan_faults(JOB, spoiled))


# Two of 40 whose ends lean by 5 and 4: side by side they take 40 + 40 + 3 - 4 = 79.
ALIKE = (End(5), End(4))
LEANING = CuttingJob(
    stocks=(Stock(length=79, price=1),), pieces=(Piece(length=40, demand=2, ends=(ALIKE, ALIKE[::-1])),), kerf=3
)


@pytest.mark.parametrize(
    ("first", "second", "length", "faults"),
    [
        (ALIKE, ALIKE, 79, 0),
        (ALIKE, ALIKE, 78, 1),  # one too long
        (ALIKE[::-1], ALIKE[::-1], 79, 0),
        (ALIKE, ALIKE[::-1], 79, 0),  # 4 beside 4
        (ALIKE[::-1], ALIKE, 78, 0),  # 5 beside 5
        (ALIKE, SQUARE_ENDS, 79, 1),  # no way it may lie
    ],
)
def test_neighbours_that_lean_alike_lie_closer(
    first: tuple[End, End], second: tuple[End, End], length: int, faults: int
) -> None:
    job = replace(LEANING, stocks=(Stock(length=length, price=1),))
    strip = Strip(None, (Section(40, (Placed(0, first),)), Section(40, (Placed(0, second),))))
    layout = Layout(stock=0, counts=(2,), boards=1, strips=(strip,))
    plan = CuttingPlan(layouts=(layout,), cost=1, lower_bound=1, unnested_cost=1)
    assert bool(plan_faults(job, plan)) == bool(faults)


@pytest.mark.parametrize(("right", "left"), [(End(5), End(-5)), (End(5), SQUARE), (End(5, 0), End(5, 1))])
def test_ends_that_lean_apart_or_in_two_planes_do_not_nest(right: End, left: End) -> None:
    pieces = (Piece(length=40, demand=1, ends=((SQUARE, right),)), Piece(length=40, demand=1, ends=((left, SQUARE),)))
    strip = Strip(None, (Section(40, (Placed(0, (SQUARE, right)),)), Section(40, (Placed(1, (left, SQUARE)),))))
    layout = Layout(stock=0, counts=(1, 1), boards=1, strips=(strip,))
    plan = CuttingPlan(layouts=(layout,), cost=1, lower_bound=1, unnested_cost=1)
    assert not plan_faults(CuttingJob(stocks=(Stock(length=83, price=1),), pieces=pieces, kerf=3), plan)
    assert plan_faults(CuttingJob(stocks=(Stock(length=82, price=1),), pieces=pieces, kerf=3), plan)


# A board 10 wide gives 4 + 1 + 4 with an edge of 1 taken off, or one strip of 10 without.
RIPPED = CuttingJob(
    stocks=(Stock(length=50, price=1),),
    pieces=(Piece(length=20, demand=2, width=4), Piece(length=30, demand=1, width=4)),
    kerf=1,
    ripping=Ripping(width=10, kerf=1, edge=1),
)
SHORT, LONG = Placed(0), Placed(1)
RIP_FIRST = (Strip(4, (Section(30, (LONG,)),)), Strip(4, (Section(20, (SHORT,)), Section(20, (SHORT,)))))
CROSSCUT_FIRST = (Strip(None, (Section(30, (LONG, SHORT)), Section(19, (SHORT,)))),)


@pytest.mark.parametrize(
    ("strips", "length", "edge", "fault"),
    [
        (RIP_FIRST, 50, 1, None),
        (RIP_FIRST, 41, 1, None),
        (RIP_FIRST, 40, 1, "longer than its board"),
        (RIP_FIRST, 50, 2, "wider than its board"),
        (CROSSCUT_FIRST, 50, 1, "shorter than a piece in it"),
        ((Strip(None, (Section(30, (LONG, SHORT)), Section(20, (SHORT,)))),), 51, 1, None),
        ((Strip(None, (Section(30, (LONG, SHORT)), Section(20, (SHORT,)))),), 51, 2, "wider than its strip"),
        ((Strip(3, RIP_FIRST[0].sections), RIP_FIRST[1]), 50, 1, "wider than its strip"),
        ((Strip(9, (Section(30, (LONG, SHORT)), Section(20, (SHORT,)))),), 51, 0, "ripped a second time"),
    ],
)
def test_strips_stay_within_their_board_both_ways(
    strips: tuple[Strip, ...], length: int, edge: int, fault: str | None
) -> None:
    job = replace(RIPPED, stocks=(Stock(length=length, price=1),), ripping=Ripping(width=10, kerf=1, edge=edge))
    layout = Layout(stock=0, counts=(2, 1), boards=1, strips=strips)
    faults = plan_faults(job, CuttingPlan(layouts=(layout,), cost=1, lower_bound=1, unnested_cost=1))
    assert not faults if fault is None else any(fault in found for found in faults)
