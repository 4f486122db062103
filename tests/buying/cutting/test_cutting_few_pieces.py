"""Boards that hold at most four pieces: priced by pairs, and plans evened out by trading pieces."""

from collections import Counter
from itertools import combinations_with_replacement
from math import ceil
from random import Random

import pytest

from estimator.buying.cutting import master
from estimator.buying.cutting.bound import Weighing, weights_bound
from estimator.buying.cutting.evening_out import evened_out
from estimator.buying.cutting.job import CuttingJob, Piece, Stock
from estimator.buying.cutting.master import Column, Master, Setting
from estimator.buying.cutting.oracles.few_pieces import MOST_PIECES, FewPiecesOracle, holds_few
from estimator.buying.cutting.plan import plan_cuts
from estimator.buying.cutting.problem import Pattern, Problem
from tests.benchmarks.recipes import PUBLISHED

CAPACITY = 100


def drawn(seed: int) -> tuple[list[int], list[int], list[int]]:
    """Return sizes, of which at most four lie on a board, with a demand and weights."""
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    sizes = sorted(random.sample(range(21, 60), 7), reverse=True)
    return sizes, [random.randint(0, 3) for _ in sizes], [random.randint(0, 50) for _ in sizes]


def carried(pattern: Pattern, weights: list[int]) -> int:
    return sum(count * weight for count, weight in zip(pattern, weights, strict=True))


def fillings(sizes: list[int], capacity: int) -> list[Pattern]:
    """Return every pattern of up to four pieces that fits, whatever is demanded."""
    parts = range(len(sizes))
    return [
        tuple(pieces.count(part) for part in parts)
        for number in range(MOST_PIECES + 1)
        for pieces in combinations_with_replacement(parts, number)
        if sum(sizes[part] for part in pieces) <= capacity
    ]


@pytest.mark.parametrize("seed", range(30))
def test_a_value_is_what_the_best_two_pairs_carry(seed: int) -> None:
    # By looking at every filling: one whose pieces can be told apart into two pairs, each within the demand.
    sizes, demand, weights = drawn(seed)
    priced = FewPiecesOracle(sizes, [CAPACITY, 70]).within(demand).price(weights)
    for stock, capacity in enumerate((CAPACITY, 70)):
        two_pairs = [
            pattern
            for pattern in fillings(sizes, capacity)
            # Two pairs hold up to twice what is wanted once; a part wanted twice or more may fill them.
            if all(count <= (4 if wanted > 1 else 2 * wanted) for count, wanted in zip(pattern, demand, strict=True))
        ]
        assert priced.values[stock] == max(carried(pattern, weights) for pattern in two_pairs)
        assert carried(priced.pattern(stock), weights) == priced.values[stock]
        assert FewPiecesOracle(sizes, [CAPACITY, 70]).fits(priced.pattern(stock), stock)


@pytest.mark.parametrize("seed", range(30))
def test_no_pattern_within_the_demand_carries_more_than_the_value(seed: int) -> None:
    sizes, demand, weights = drawn(seed)
    (value,) = FewPiecesOracle(sizes, [CAPACITY]).within(demand).price(weights).values
    for pattern in fillings(sizes, CAPACITY):
        if all(count <= wanted for count, wanted in zip(pattern, demand, strict=True)):
            assert carried(pattern, weights) <= value


@pytest.mark.parametrize("seed", range(10))
def test_patterns_made_together_share_no_part_and_all_carry_enough(seed: int) -> None:
    sizes, demand, weights = drawn(seed)
    priced = FewPiecesOracle(sizes, [CAPACITY]).within(demand).price(weights)
    above = priced.values[0] // 2
    patterns = priced.patterns(0, above)
    assert all(carried(pattern, weights) > above for pattern in patterns)
    assert patterns == [] or carried(patterns[0], weights) == priced.values[0]
    held = Counter(part for pattern in patterns for part, count in enumerate(pattern) if count)
    assert all(times == 1 for times in held.values())
    assert priced.patterns(0, priced.values[0]) == []


def many_parts(seed: int) -> tuple[Setting, FewPiecesOracle, list[Column]]:
    """Return a programme over 60 lengths with boards of two prices, the dearer ones few, and columns to start from."""
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    sizes = sorted(random.sample(range(2_001, 3_500), 60), reverse=True)
    setting = Setting(
        demand=tuple(random.randint(1, 3) for _ in sizes),
        prices=(10, 7),
        limits=(None, 12),
        shortage_prices=(None,) * len(sizes),
    )
    alone = [(0, tuple(int(part == other) for other in range(len(sizes)))) for part in range(len(sizes))]
    return setting, FewPiecesOracle(sizes, [10_000, 8_000]), alone


@pytest.mark.parametrize("seed", range(5))
def test_smoothed_duals_end_at_the_same_cost(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    setting, oracle, columns = many_parts(seed)
    smoothed = Master(setting, columns).relax(oracle.within(setting.demand))
    monkeypatch.setattr(master, "MANY_PARTS", 61)
    plain = Master(setting, columns).relax(oracle.within(setting.demand))
    assert smoothed.cost == pytest.approx(plain.cost, rel=1e-6)


def test_no_weighing_of_smoothed_duals_proves_more_than_the_fractional_plan_costs() -> None:
    setting, oracle, columns = many_parts(seed=0)
    problem = Problem(sizes=tuple(oracle.sizes), demand=setting.demand, prices=setting.prices, limits=setting.limits)
    relaxed = Master(setting, columns).relax(oracle.within(setting.demand))
    bounds = [weights_bound(problem, weighing) for weighing in relaxed.weighings]
    assert max(bounds) == ceil(relaxed.cost - 1e-6)


def test_pricing_ends_with_the_first_weighing_that_is_enough() -> None:
    setting, oracle, columns = many_parts(seed=0)
    seen: list[Weighing] = []

    def is_enough(weighing: Weighing) -> bool:
        seen.append(weighing)
        return len(seen) == 5

    relaxed = Master(setting, columns).relax(oracle.within(setting.demand), is_enough=is_enough)
    assert relaxed.weighings == tuple(seen)
    assert len(seen) == 5
    carried_of = [
        sum(pattern[part] * boards for (_, pattern), boards in relaxed.boards.items())
        for part in range(len(setting.demand))
    ]
    assert all(got >= wanted - 1e-6 for got, wanted in zip(carried_of, setting.demand, strict=True))


def test_only_boards_that_hold_few_pieces_at_a_fine_unit_are_priced_by_pairs() -> None:
    lengths = list(range(20_001, 20_201))
    assert holds_few(lengths, [100_000], kerf=0)
    assert not holds_few([20_000, *lengths], [100_000], kerf=0)  # five pieces
    assert not holds_few([21, 22], [100], kerf=0)  # a knapsack is quick


def cut_from(boards: list[int], seed: int, waste: int) -> list[int]:
    """Return pieces of at least 2,001 that boards of up to 10,000 were cut into, each with a little waste."""
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    pieces: list[int] = []
    for board in boards:
        shares = [random.randint(75, 100) for _ in range(board // 2400)]
        length = board - random.randint(0, waste)
        pieces += [length * share // sum(shares) for share in shares]
    return pieces


@pytest.mark.parametrize("seed", range(8))
def test_pieces_cut_from_boards_of_two_lengths_go_back_onto_them(seed: int) -> None:
    pieces = cut_from([10_000] * 15 + [8_000] * 10, seed, waste=30)
    assert min(pieces) > 2_000
    sizes = tuple(sorted(set(pieces), reverse=True))
    demand = tuple(pieces.count(size) for size in sizes)
    oracle = FewPiecesOracle(sizes, [10_000, 8_000])
    problem = Problem(sizes=sizes, demand=demand, prices=(10, 8), limits=(None, None))
    runs = evened_out(problem, oracle, (15, 10))
    assert runs
    assert all(oracle.fits(run.pattern, run.stock) for run in runs)
    assert [sum(run.pattern[part] for run in runs) for part in range(len(sizes))] == list(demand)
    assert Counter(run.stock for run in runs)[0] <= 15
    assert Counter(run.stock for run in runs)[1] <= 10
    assert runs == evened_out(problem, oracle, (15, 10))


def test_where_pieces_cannot_all_lie_on_the_boards_no_plan_is_made() -> None:
    oracle = FewPiecesOracle([60], [100])
    problem = Problem(sizes=(60,), demand=(3,), prices=(1,), limits=(None,))
    assert evened_out(problem, oracle, (2,)) == []
    assert evened_out(problem, oracle, (0,)) == []
    assert [run.pattern for run in evened_out(problem, oracle, (4,))] == [(1,), (1,), (1,)]


@pytest.mark.parametrize("seed", [0, 2])
def test_200_pieces_three_or_four_to_a_board_are_planned_on_the_fewest_boards(seed: int) -> None:
    plan = plan_cuts(PUBLISHED["Scholl 3"](seed).job)
    assert plan.proved


@pytest.mark.parametrize("units", [1, 6, 100])
def test_long_parts_from_boards_of_several_lengths_are_planned_near_their_bound(units: int) -> None:
    random = Random(units)  # noqa: S311 - jobs that come out the same each time
    pieces = tuple(
        Piece(length=random.randint(20_001, 45_000), demand=units * random.choice((1, 2, 4))) for _ in range(60)
    )
    lengths = ((100_000, 1_000, None), (80_000, 830, None), (60_000, 600, None), (70_000, 300, 3))
    stocks = tuple(Stock(length=length, price=price, limit=limit) for length, price, limit in lengths)
    plan = plan_cuts(CuttingJob(stocks=stocks, pieces=pieces, kerf=30))
    assert plan.cost - plan.lower_bound <= 600  # the cheapest board
