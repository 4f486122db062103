"""Boards that hold at most four pieces: priced by pairs, and plans evened out by trading pieces."""

from collections import Counter
from itertools import combinations_with_replacement
from random import Random

import pytest

from estimator.buying.cutting.evening_out import evened_out
from estimator.buying.cutting.few_pieces import MOST_PIECES, FewPiecesOracle, holds_few
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
