"""Among the cheapest plans the nicest: against a search through all of them, and by hand."""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from operator import mul
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.cutting import affordable
from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.job import (
    CuttingJob,
    CuttingPlan,
    End,
    Kit,
    NotEnoughStock,
    Piece,
    PieceTooLong,
    Preference,
    Ripping,
    Stock,
)
from estimator.buying.cutting.nicest import nicest_plan as nicest
from estimator.buying.cutting.plan import plan_cuts
from estimator.buying.cutting.problem import Problem

Board = tuple[int, tuple[int, ...]]  # stock and how many of each piece
Boards = tuple[Board, ...]

FIRST: tuple[Preference, ...] = (
    "fewest set-ups",
    "one board for matching parts",
    "longest left-over",
    "fewest boards",
)
ORDERS = [(*FIRST[n:], *FIRST[:n]) for n in range(len(FIRST))]


# ---- What plans are worth, by definition and board by board ----------------------------------------------------------


def boards_of(plan: CuttingPlan) -> Boards:
    return tuple((layout.stock, layout.counts) for layout in plan.layouts for _ in range(layout.boards))


def set_ups(job: CuttingJob, boards: Boards) -> int:
    layouts = set()
    for stock, counts in boards:
        lengths: Counter[int] = Counter()
        for piece, count in zip(job.pieces, counts, strict=True):
            lengths[piece.length] += count
        layouts.add((stock, frozenset((length, count) for length, count in lengths.items() if count)))
    return sum(1 + len(lengths) for _, lengths in layouts)


def longest_left_over(job: CuttingJob, boards: Boards) -> int:
    def left(stock: int, counts: tuple[int, ...]) -> int:
        lengths = sum(piece.length * count for piece, count in zip(job.pieces, counts, strict=True))
        return job.stocks[stock].length - lengths - job.kerf * (sum(counts) - 1)

    return max(left(stock, counts) for stock, counts in boards)


def whole_kits(job: CuttingJob, boards: Boards) -> int:
    return sum(
        min(
            kit.units,
            sum(
                min(n // wanted for n, wanted in zip(counts, kit.counts, strict=True) if wanted) for _, counts in boards
            ),
        )
        for kit in job.kits
    )


def standing(job: CuttingJob, boards: Boards) -> tuple[int, ...]:
    merits = {
        "fewest set-ups": lambda: set_ups(job, boards),
        "fewest boards": lambda: len(boards),
        "longest left-over": lambda: -longest_left_over(job, boards),
        "one board for matching parts": lambda: -whole_kits(job, boards),
    }
    return tuple(merits[preference]() for preference in job.prefer)


# ---- All cheapest plans of a small job -------------------------------------------------------------------------------


def cheapest_plans(job: CuttingJob) -> Iterator[Boards]:
    """Every way to cut the job at the least cost, as boards in a fixed order; no bounds but the least cost itself."""
    fitting = [
        (stock, counts)
        for stock in range(len(job.stocks))
        for counts in product(*(range(piece.demand + 1) for piece in job.pieces))
        if any(counts)
        and sum(piece.length * count for piece, count in zip(job.pieces, counts, strict=True))
        + job.kerf * (sum(counts) - 1)
        <= job.stocks[stock].length
    ]

    @cache
    def cost(left: tuple[int, ...], available: tuple[int, ...], first: int) -> float:
        if not any(left):
            return 0
        return min(
            (job.stocks[fitting[n][0]].price + cost(*after, n) for n, after in choices(left, available, first)),
            default=float("inf"),
        )

    def choices(
        left: tuple[int, ...], available: tuple[int, ...], first: int
    ) -> Iterator[tuple[int, tuple[tuple[int, ...], tuple[int, ...]]]]:
        for n in range(first, len(fitting)):
            stock, counts = fitting[n]
            still = tuple(a - b for a, b in zip(left, counts, strict=True))
            if available[stock] and min(still) >= 0:
                yield n, (still, (*available[:stock], available[stock] - 1, *available[stock + 1 :]))

    def plans(left: tuple[int, ...], available: tuple[int, ...], first: int) -> Iterator[Boards]:
        if not any(left):
            yield ()
        for n, after in choices(left, available, first):
            if job.stocks[fitting[n][0]].price + cost(*after, n) == cost(left, available, first):
                for rest in plans(*after, n):
                    yield (fitting[n], *rest)

    pieces = sum(piece.demand for piece in job.pieces)
    start = (
        tuple(piece.demand for piece in job.pieces),
        tuple(pieces if stock.limit is None else stock.limit for stock in job.stocks),
    )
    if cost(*start, 0) < float("inf"):
        yield from plans(*start, 0)


def random_job(random: Random) -> CuttingJob:
    top = random.randint(15, 40)
    stocks = tuple(
        Stock(
            length=length,
            # Prices near one rate, so that many plans cost the same.
            price=max(0, length // 4 + random.choice([0, 0, 0, 1, -1])),
            limit=random.randint(1, 4) if random.random() < 0.3 else None,
        )
        for length in random.sample(range(10, top + 1), random.randint(1, 3))
    )
    pieces = tuple(
        Piece(length=random.randint(3, top // random.choice([1, 2, 3])), demand=random.randint(1, 3))
        for _ in range(random.randint(2, 3))
    )
    if random.random() < 0.3:
        pieces = (*pieces, replace(pieces[0], demand=random.randint(1, 2)))  # of the same length as another
    kits: tuple[Kit, ...] = ()
    counts = tuple(random.randint(0, piece.demand) for piece in pieces)
    if any(counts):
        units = min(piece.demand // count for piece, count in zip(pieces, counts, strict=True) if count)
        kits = (Kit(counts=counts, units=random.randint(1, units)),)
    return CuttingJob(stocks=stocks, pieces=pieces, kerf=random.randint(0, 2), kits=kits)


def small_jobs(count: int, seed: int) -> Iterator[tuple[CuttingJob, list[Boards]]]:
    random = Random(seed)  # noqa: S311 - not for secrets
    found = 0
    while found < count:
        job = random_job(random)
        plans = list(cheapest_plans(job))
        if plans:
            found += 1
            yield job, plans


@pytest.fixture(scope="module")
def jobs_with_plans() -> list[tuple[CuttingJob, list[Boards]]]:
    return list(small_jobs(500, seed=1))


@pytest.mark.parametrize("prefer", ORDERS, ids=lambda order: f"{order[0]} first")
def test_small_jobs_get_the_nicest_of_all_cheapest_plans(
    prefer: tuple[Preference, ...], jobs_with_plans: list[tuple[CuttingJob, list[Boards]]]
) -> None:
    for job, plans in jobs_with_plans:
        asked = replace(job, prefer=prefer)
        plan = plan_cuts(asked)
        assert plan.cost == sum(job.stocks[stock].price for stock, _ in plans[0])
        assert standing(asked, boards_of(plan)) == min(standing(asked, boards) for boards in plans)


@pytest.mark.parametrize("prefer", ORDERS, ids=lambda order: f"{order[0]} first")
def test_without_the_proof_for_small_jobs_most_still_get_the_best_of_the_first_preference(
    prefer: tuple[Preference, ...],
    jobs_with_plans: list[tuple[CuttingJob, list[Boards]]],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # What larger jobs have to do with. Measured: 97 % for set-ups, 100 % for the others.
    monkeypatch.setattr(nicest, "MOST_LAYOUTS", 0)
    reached = 0
    for job, plans in jobs_with_plans:
        asked = replace(job, prefer=prefer)
        plan, found = plan_cuts(asked), plan_cuts(job)
        assert plan.cost == found.cost
        assert standing(asked, boards_of(plan)) <= standing(asked, boards_of(found))
        reached += standing(asked, boards_of(plan))[0] == min(standing(asked, boards)[0] for boards in plans)
    assert reached >= 0.95 * len(jobs_with_plans)


# ---- By hand ---------------------------------------------------------------------------------------------------------


def job_of(
    stocks: list[tuple[int, int]],
    pieces: list[tuple[int, int]],
    *prefer: Preference,
    kerf: int = 0,
    kits: tuple[Kit, ...] = (),
) -> CuttingJob:
    return CuttingJob(
        stocks=tuple(Stock(length=length, price=price) for length, price in stocks),
        pieces=tuple(Piece(length=length, demand=demand) for length, demand in pieces),
        kerf=kerf,
        prefer=prefer,
        kits=kits,
    )


def test_fewest_set_ups() -> None:
    # 60 of length at 1 for 10: two boards of 30, each a 20 and a 10, are one layout of two lengths, 3 set-ups. Two
    # boards of 20 with a 20 and one with two 10s cost the same: two layouts of one length, 4 set-ups.
    job = job_of([(30, 3), (20, 2)], [(20, 2), (10, 2)], "fewest set-ups")
    plan = plan_cuts(job)
    assert (plan.cost, set_ups(job, boards_of(plan))) == (6, 3)


def test_fewest_boards() -> None:
    # Four pieces of 50 from two boards of 100 or from four of 50, at the same rate.
    plan = plan_cuts(job_of([(50, 5), (100, 10)], [(50, 4)], "fewest boards"))
    assert (plan.cost, len(boards_of(plan))) == (20, 2)


def test_longest_left_over() -> None:
    # Two boards of 104 whatever is done. 50 + 30 + 20 with two kerfs of 2 fill one, so that the 60 leaves 44 of the
    # other; 60 + 30 beside 50 + 20 leave 12 and 32.
    job = job_of([(104, 1)], [(60, 1), (50, 1), (30, 1), (20, 1)], "longest left-over", kerf=2)
    plan = plan_cuts(job)
    assert (plan.cost, longest_left_over(job, boards_of(plan))) == (2, 44)


def test_of_boards_that_cost_the_same_the_one_that_leaves_more_is_bought() -> None:
    # For two pieces of 45 either board will do; the longer one leaves 20, the shorter 10.
    job = job_of([(100, 5), (110, 5)], [(45, 2)], "longest left-over")
    assert longest_left_over(job, boards_of(plan_cuts(job))) == 20


def test_one_board_for_matching_parts() -> None:
    # Of 40 and 30 two each make a kit; 60s take the rest. Both kits whole would leave each 60 a board of its own, four
    # in all. With one whole (40 + 30, 60 + 40, 60 + 30) three do, as they do with none (60 + 40 twice, 30 + 30).
    kits = (Kit(counts=(0, 1, 1), units=2),)
    job = job_of([(100, 1)], [(60, 2), (40, 2), (30, 2)], "one board for matching parts", kits=kits)
    plan = plan_cuts(job)
    assert (plan.cost, whole_kits(job, boards_of(plan))) == (3, 1)


def test_kits_of_parts_alike_are_handed_out_kit_by_kit() -> None:
    # Fronts and backs are of one length: in the job's order one board would get both fronts and no kit be whole.
    kits = (Kit(counts=(1, 1), units=2),)
    job = job_of([(100, 1)], [(50, 2), (50, 2)], "one board for matching parts", kits=kits)
    plan = plan_cuts(job)
    assert [layout.counts for layout in plan.layouts] == [(1, 1)]
    assert whole_kits(job, boards_of(plan)) == 2


def test_two_products_kits_do_not_share_a_piece() -> None:
    # A chair's kit is two of the first, a stool's two of the second, all of one length, three to a board.
    kits = (Kit(counts=(2, 0), units=2), Kit(counts=(0, 2), units=1))
    job = job_of([(90, 1)], [(30, 4), (30, 2)], "one board for matching parts", kits=kits)
    plan = plan_cuts(job)
    # Two boards hold a kit each and a piece more; the third kit would need four of one board.
    assert (plan.cost, whole_kits(job, boards_of(plan))) == (2, 2)


def test_what_comes_first_comes_first() -> None:
    stocks, pieces = [(100, 10), (50, 5)], [(50, 2), (25, 4)]
    # 50 + 50 and four 25s: 2 layouts of one length, 4 set-ups, 2 boards. 50s and pairs of 25 from boards of 50: as many
    # set-ups, 4 boards. 50 + 25 + 25 twice: one layout of two lengths, 3 set-ups, 2 boards.
    job = job_of(stocks, pieces, "fewest set-ups", "fewest boards")
    plan = plan_cuts(job)
    assert standing(job, boards_of(plan)) == (3, 2)


# ---- Larger jobs -----------------------------------------------------------------------------------------------------


def chairs(random: Random, types: int, chairs: int) -> CuttingJob:
    lengths = (71, 95, 119, 143, 191)
    rate = random.choice([(310, 325, 340, 365, 410), (350,) * 5, (410, 370, 350, 340, 330)])
    pieces = tuple(
        Piece(length=random.randint(5 * 16, 60 * 16), demand=random.choice((1, 2, 4)) * chairs) for _ in range(types)
    )
    kit = tuple(piece.demand // chairs if place < 2 else 0 for place, piece in enumerate(pieces))
    return CuttingJob(
        stocks=tuple(
            Stock(length=16 * length, price=cents * (length + 1) // 12)
            for length, cents in zip(lengths, rate, strict=True)
        ),
        pieces=pieces,
        kerf=2,
        kits=(Kit(counts=kit, units=chairs),),
    )


@pytest.mark.parametrize("prefer", [*ORDERS, ()], ids=lambda order: f"{order[0]} first" if order else "none")
@pytest.mark.parametrize("units", [1, 12, 1200])
def test_larger_jobs_keep_the_cost_and_never_stand_worse(units: int, prefer: tuple[Preference, ...]) -> None:
    random = Random(units)  # noqa: S311 - not for secrets
    for _ in range(3):
        job = chairs(random, types=random.randint(6, 14), chairs=units)
        asked = replace(job, prefer=prefer)
        plan, found = plan_cuts(asked), plan_cuts(job)
        assert plan.cost == found.cost
        assert plan_faults(asked, plan) == []
        assert by_layout(asked, plan) <= by_layout(asked, found)
        assert plan_cuts(asked) == plan


def by_layout(job: CuttingJob, plan: CuttingPlan) -> tuple[int, ...]:
    """Where a plan of thousands of boards stands, layout by layout."""
    once = tuple((layout.stock, layout.counts) for layout in plan.layouts)
    kits = sum(
        min(
            kit.units,
            sum(
                one.boards * min(n // k for n, k in zip(one.counts, kit.counts, strict=True) if k)
                for one in plan.layouts
            ),
        )
        for kit in job.kits
    )
    merits = {
        "fewest set-ups": set_ups(job, once),
        "fewest boards": sum(layout.boards for layout in plan.layouts),
        "longest left-over": -longest_left_over(job, once),
        "one board for matching parts": -kits,
    }
    return tuple(merits[preference] for preference in job.prefer)


LEANS = st.sampled_from([0, 0, 4, -4, 7])


@settings(deadline=None, max_examples=150)
@given(st.data())
def test_plans_of_any_job_are_sound_and_cost_what_they_cost_without_preferences(data: st.DataObject) -> None:
    ripped = data.draw(st.booleans())
    width = st.sampled_from([None, 30, 45]) if ripped else st.none()
    pieces = []
    for _ in range(data.draw(st.integers(1, 4))):
        ends = (End(data.draw(LEANS)), End(data.draw(LEANS)))
        ways = tuple(dict.fromkeys([ends, ends[::-1]]))
        piece = Piece(
            length=data.draw(st.integers(20, 60)),
            demand=data.draw(st.integers(0, 5)),
            width=data.draw(width),
            ends=ways,
        )
        pieces.append(piece)
    counts = tuple(data.draw(st.integers(0, min(2, piece.demand))) for piece in pieces)
    job = CuttingJob(
        stocks=tuple(
            Stock(length=data.draw(st.integers(50, 140)), price=data.draw(st.integers(0, 12)), limit=limit)
            for limit in data.draw(st.lists(st.sampled_from([None, None, 2, 4]), min_size=1, max_size=3))
        ),
        pieces=tuple(pieces),
        kerf=data.draw(st.integers(0, 3)),
        ripping=Ripping(width=100, kerf=2) if ripped else None,
        kits=(Kit(counts=counts, units=1),) if any(counts) else (),
    )
    asked = replace(job, prefer=tuple(data.draw(st.permutations(FIRST)))[: data.draw(st.integers(1, 4))])
    try:
        found = plan_cuts(job)
    except (NotEnoughStock, PieceTooLong):
        return
    plan = plan_cuts(asked)
    assert plan_faults(asked, plan) == []
    assert (plan.cost, plan.lower_bound, plan.unnested_cost) == (found.cost, found.lower_bound, found.unnested_cost)


# ---- The layouts a plan of a cost may use ----------------------------------------------------------------------------


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 3), st.integers(0, 20)), min_size=1, max_size=3),
    st.integers(5, 25),
    st.integers(0, 60),
)
def test_rows_worth_what_is_due_are_all_there_are(parts: list[tuple[int, int, int]], capacity: int, due: int) -> None:
    sizes, demand, weights = (tuple(part[n] for part in parts) for n in range(3))
    problem = Problem(sizes=sizes, demand=demand, prices=(1,), limits=(None,))
    best = affordable.best_of_the_last(problem, sizes, (capacity,), weights)
    found = list(affordable.rows_worth(demand, sizes, weights, best, capacity, due))
    every = {
        counts
        for counts in product(*(range(wanted + 1) for wanted in demand))
        if sum(map(mul, sizes, counts)) <= capacity and sum(map(mul, weights, counts)) >= due
    }
    assert len(found) == len(every)
    assert set(found) == every


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: Kit(counts=(0, 0), units=1),
        lambda: Kit(counts=(1, -1), units=1),
        lambda: Kit(counts=(1,), units=-1),
        lambda: job_of([(9, 1)], [(5, 1)], kits=(Kit(counts=(1, 1), units=1),)),
        lambda: job_of([(9, 1)], [(5, 3)], kits=(Kit(counts=(2,), units=2),)),
        lambda: job_of([(9, 1)], [(5, 3)], "fewest boards", "fewest boards"),
    ],
)
def test_kits_and_preferences_that_make_no_sense_are_refused(wrong: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=r"kit|preference"):
        wrong()
