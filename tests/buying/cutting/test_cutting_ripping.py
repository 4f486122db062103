"""Ripping against every way to part the pieces into boards, strips and sections."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import pairwise, product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.cutting import small_jobs
from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import CuttingJob, End, Piece, Ripping, Stock
from estimator.buying.cutting.oracles import every_board
from estimator.buying.cutting.oracles.bounded_rows import BoundedRows
from estimator.buying.cutting.oracles.ripping import RippingOracle
from estimator.buying.cutting.plan import plan_cuts
from estimator.buying.cutting.problem import merge

Sizes = tuple[tuple[int, int], ...]  # length and width of each piece


def partitions(pieces: Sizes) -> Iterator[list[Sizes]]:
    """Every way to part pieces into groups."""
    if not pieces:
        yield []
        return
    first, rest = pieces[0], pieces[1:]
    for bits in range(1 << len(rest)):
        group = (first, *(one for n, one in enumerate(rest) if bits >> n & 1))
        others = tuple(one for n, one in enumerate(rest) if not bits >> n & 1)
        for parted in partitions(others):
            yield [group, *parted]


def abreast(widths: Sequence[int], ripping: Ripping) -> bool:
    """Whether strips lie side by side on a board: one as it is, several with kerfs and an edge."""
    more = len(widths) - 1
    return sum(widths) + (more * ripping.kerf + ripping.edge if more else 0) <= ripping.width


def in_a_row(lengths: Sequence[int], kerf: int, board: int) -> bool:
    return sum(lengths) + (len(lengths) - 1) * kerf <= board


def fits(pieces: Sizes, board: int, job: CuttingJob) -> bool:
    """Whether a board holds pieces, ripped first or crosscut first."""
    assert job.ripping is not None
    for groups in partitions(pieces):
        widest = [max(width for _, width in group) for group in groups]
        longest = [max(length for length, _ in group) for group in groups]
        if abreast(widest, job.ripping) and all(
            in_a_row([length for length, _ in group], job.kerf, board) for group in groups
        ):
            return True
        if in_a_row(longest, job.kerf, board) and all(
            abreast([width for _, width in group], job.ripping) for group in groups
        ):
            return True
    return False


def least_cost(job: CuttingJob) -> int:
    pieces = tuple(sorted((piece.length, job.width_of(piece)) for piece in job.pieces for _ in range(piece.demand)))

    @cache
    def board(group: Sizes) -> int | None:
        return min((stock.price for stock in job.stocks if fits(group, stock.length, job)), default=None)

    costs = []
    for groups in partitions(pieces):
        prices = [board(group) for group in groups]
        if None not in prices:
            costs.append(sum(price for price in prices if price is not None))
    return min(costs)


def random_job(random: Random) -> CuttingJob:
    ripping = Ripping(width=random.randint(6, 16), kerf=random.randint(0, 2), edge=random.choice((0, 0, 1, 2)))
    pieces = [
        Piece(
            length=random.randint(4, 20),
            demand=random.randint(1, 2),
            width=random.choice((None, *range(1, ripping.width))),
        )
        for _ in range(random.randint(1, 4))
    ]
    while sum(piece.demand for piece in pieces) > 5:
        pieces.pop()
    longest = max(piece.length for piece in pieces)
    stocks = tuple(
        Stock(length=longest + random.randint(0, 25), price=random.randint(1, 30)) for _ in range(random.randint(1, 2))
    )
    return CuttingJob(stocks=stocks, pieces=tuple(pieces), kerf=random.randint(0, 2), ripping=ripping)


@pytest.mark.parametrize("every_way", [True, False])
def test_small_jobs_cost_what_an_exhaustive_search_says(monkeypatch: pytest.MonkeyPatch, every_way: bool) -> None:  # noqa: FBT001 - pytest's way
    if not every_way:
        monkeypatch.setattr(small_jobs, "MOST_POINTS", 0)
        monkeypatch.setattr(every_board, "MOST_POINTS", 0)
    random = Random(11)  # noqa: S311 - not for secrets
    dearer = 0
    for _ in range(2000 if every_way else 300):
        job = random_job(random)
        best = least_cost(job)
        plan = plan_cuts(job)
        assert plan.lower_bound <= best <= plan.cost
        dearer += plan.cost > best
        if every_way:
            assert plan.cost == plan.lower_bound == best
    assert dearer <= 30  # of 300: patterns that hold more than is wanted leave the other steps a gap


def of_strips(length: int, demand: int, width: int) -> Piece:
    return Piece(length=length, demand=demand, width=width)


def test_rip_first_wins_where_lengths_differ_and_widths_are_alike() -> None:
    # A board 100 x 10 with kerfs of 1: two strips of 4, each 60 + 1 + 39. Crosscut first, the 60 takes sections of 60
    # with two of them abreast, and 39 + 1 + 60 = 100 holds two more of 39: the same here; with 60, 60, 39, 20, 18 rip
    # first fills 60 + 39 and 60 + 20 + 18 (100), while sections of 60, 39 (39 beside 20) and 18 are 119 long.
    pieces = (of_strips(60, 2, 4), of_strips(39, 1, 4), of_strips(20, 1, 4), of_strips(18, 1, 4))
    job = CuttingJob(stocks=(Stock(length=100, price=1),), pieces=pieces, kerf=1, ripping=Ripping(width=10, kerf=1))
    plan = plan_cuts(job)
    assert plan.cost == 1
    assert [strip.width for strip in plan.layouts[0].strips] == [4, 4]


def test_crosscut_first_wins_where_widths_differ_and_lengths_are_alike() -> None:
    # A board 101 x 10: sections of 50 hold 6 + 3 and 5 + 4. In strips of 6 and 3 the 5 and the 4 find no place.
    pieces = (of_strips(50, 1, 6), of_strips(50, 1, 3), of_strips(50, 1, 5), of_strips(50, 1, 4))
    job = CuttingJob(stocks=(Stock(length=101, price=1),), pieces=pieces, kerf=1, ripping=Ripping(width=10, kerf=1))
    plan = plan_cuts(job)
    assert plan.cost == 1
    (strip,) = plan.layouts[0].strips
    assert strip.width is None
    assert [len(section.pieces) for section in strip.sections] == [2, 2]


def test_legs_as_wide_as_the_board_nest_beside_slats_that_are_ripped() -> None:
    # Two legs of 40 that lean by 6 take 40 + 2 + 40 - 6 = 76, and a section of 20 for two slats makes 98.
    leg = Piece(length=40, demand=2, ends=((End(6), End(6)),))
    job = CuttingJob(
        stocks=(Stock(length=98, price=5), Stock(length=104, price=6)),
        pieces=(leg, of_strips(20, 2, 4)),
        kerf=2,
        ripping=Ripping(width=10, kerf=1),
    )
    plan = plan_cuts(job)
    assert (plan.cost, plan.lower_bound, plan.unnested_cost) == (5, 5, 6)


def test_a_single_strip_needs_no_edge() -> None:
    # Two legs of 9 that lean by 6 take 40 + 2 + 40 - 6 = 76 of one strip of 9; the edge of 2 is for several strips.
    leg = Piece(length=40, demand=2, width=9, ends=((End(6), End(6)),))
    ripping = Ripping(width=10, kerf=0, edge=2)
    job = CuttingJob(stocks=(Stock(length=76, price=1),), pieces=(leg,), kerf=2, ripping=ripping)
    plan = plan_cuts(job)
    assert (plan.cost, plan.lower_bound, plan.unnested_cost) == (1, 1, 2)


@pytest.mark.parametrize("seed", range(40))
def test_no_board_within_the_demand_is_worth_more_than_its_price_says(seed: int) -> None:
    random = Random(seed)  # noqa: S311 - not for secrets
    job = random_job(random)
    leaning = tuple(
        replace(piece, ends=((End(random.randint(-2, 2)), End(random.randint(-2, 2))),)) for piece in job.pieces
    )
    job = replace(job, pieces=leaning)
    merged = merge(job)
    assert job.ripping is not None
    oracle = RippingOracle(merged.parts, merged.lengths, job.kerf, job.ripping, {})
    demand = merged.problem.demand
    pricer = oracle.within(demand)
    for _ in range(5):
        weights = [random.randint(0, 2**50) for _ in demand]
        priced = pricer.price(weights)
        for stock, value in enumerate(priced.values):
            best = max(
                sum(weight * count for weight, count in zip(weights, pattern, strict=True))
                for pattern in product(*(range(wanted + 1) for wanted in demand))
                if oracle.fits(pattern, stock)
            )
            assert value >= best
            assert oracle.fits(tuple(map(min, priced.pattern(stock), demand)), stock)


def parted(random: Random, whole: int, kerf: int, pieces: int) -> list[int]:
    """Cut a length at random into pieces with a kerf between each two, nothing left over."""
    cuts = sorted(random.sample(range(1, whole - (pieces - 1) * kerf), pieces - 1))
    ends = [0, *cuts, whole - (pieces - 1) * kerf]
    return [end - start for start, end in pairwise(ends)]


def cut_up(random: Random, length: int, kerf: int, ripping: Ripping) -> Iterator[tuple[int, int]]:
    """Cut a board into two strips, or two sections, and each of them into one or two; return lengths and widths."""
    if random.random() < 0.5:
        for width in parted(random, ripping.width - ripping.edge, ripping.kerf, 2):
            for piece in parted(random, length, kerf, random.randint(1, 2)):
                yield piece, width
        return
    for section in parted(random, length, kerf, 2):
        strips = random.randint(1, 2)
        for width in parted(random, ripping.width - ripping.edge * (strips - 1), ripping.kerf, strips):
            yield section, width


@pytest.mark.parametrize("seed", range(30))
def test_boards_that_were_cut_up_without_waste_are_found_again(seed: int) -> None:
    # Three boards of 1000 x 100; kerfs and edges take less than 5 % of each, so that two boards hold too little.
    random = Random(seed)  # noqa: S311 - not for secrets
    ripping = Ripping(width=100, kerf=random.randint(0, 2), edge=random.randint(0, 2))
    kerf = random.randint(0, 3)
    sizes = [size for _ in range(3) for size in cut_up(random, 1000, kerf, ripping)]
    pieces = tuple(Piece(length=length, width=width, demand=1) for length, width in sizes)
    plan = plan_cuts(CuttingJob(stocks=(Stock(length=1000, price=1),), pieces=pieces, kerf=kerf, ripping=ripping))
    assert (plan.cost, plan.lower_bound) == (3, 3)


def test_one_filling_serves_every_width() -> None:
    # Items of 3 (at most two) and 5 (one) in a row of 11: two 3 alone are worth 8, with the 5 they just fit.
    rows = BoundedRows([3, 5], [2, 1], 11)
    rows.fill([4, 7])
    assert [int(rows.values(items)[11]) for items in range(3)] == [0, 8, 15]
    assert rows.trace(1, 11) == [0, 0]
    assert rows.trace(2, 11) == [0, 0, 1]
    assert rows.trace(2, 8) == [0, 1]


def strips_of_one_part(job: CuttingJob) -> CuttingJob:
    """The simple way: each length of board cut off first, and ripped into as many of one part as it gives."""
    assert job.ripping is not None
    pieces = []
    for piece in job.pieces:
        width = job.width_of(piece)
        strips = max(1, (job.ripping.width + job.ripping.kerf - job.ripping.edge) // (width + job.ripping.kerf))
        pieces.append(Piece(length=piece.length, demand=-(-piece.demand // strips)))
    return CuttingJob(stocks=job.stocks, pieces=tuple(pieces), kerf=job.kerf)


@settings(max_examples=80, deadline=None)
@given(seed=st.integers(0, 10**6), copies=st.sampled_from([1, 3, 12, 40]))
def test_a_ripped_plan_is_sound_and_no_dearer_than_the_simple_way(seed: int, copies: int) -> None:
    job = random_job(Random(seed))  # noqa: S311 - not for secrets
    job = replace(job, pieces=tuple(replace(piece, demand=piece.demand * copies) for piece in job.pieces))
    plan = plan_cuts(job)
    assert plan_faults(job, plan) == []
    assert plan.lower_bound <= plan.cost
    assert plan.cost <= plan_cuts(strips_of_one_part(job)).cost
