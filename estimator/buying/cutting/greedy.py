"""Filling boards one after the other: quick, often good, never a proof."""

from collections.abc import Callable, Iterable, Sequence

from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Pattern, Problem, Run

# Long parts are worth a little more than their length, since they are the hard ones to place later.
LONG_FIRST = 1.02


def greedy_runs(problem: Problem, oracle: Oracle, left: list[int], available: list[int | None]) -> list[Run]:
    """Boards for what is left, the fullest for their price first. Takes from both lists what it uses.

    A heuristic. What stays in `left` found no board.
    """
    worth = [int(1000 * size**LONG_FIRST) for size in problem.sizes]
    return boards_by_worth(problem, oracle, left, available, lambda _: worth)


def longest_first_runs(problem: Problem, oracle: Oracle, left: list[int], available: list[int | None]) -> list[Run]:
    """Boards for what is left, each around the longest part left and filled as well as that allows.

    A heuristic (Gupta, Ho 1999, Production Planning and Control 10, "minimum bin slack", from memory). What stays in
    `left` found no board.
    """
    all_together = sum(size * wanted for size, wanted in zip(problem.sizes, left, strict=True))

    def worth(still: Sequence[int]) -> list[int]:
        longest = next(part for part, wanted in enumerate(still) if wanted)
        return [size + all_together * (part == longest) for part, size in enumerate(problem.sizes)]

    return boards_by_worth(problem, oracle, left, available, worth)


def boards_by_worth(
    problem: Problem,
    oracle: Oracle,
    left: list[int],
    available: list[int | None],
    worth: Callable[[Sequence[int]], Sequence[int]],
) -> list[Run]:
    """Boards for what is left, those with the most worth for their price first; what a part is worth may change."""
    runs = []
    while any(left):
        priced = oracle.within(left).price(worth(left))
        open_stocks = [stock for stock, value in enumerate(priced.values) if value and available[stock] != 0]
        if not open_stocks:
            break
        best = min(open_stocks, key=lambda stock: (problem.prices[stock] / priced.values[stock], stock))
        pattern = tuple(map(min, priced.pattern(best), left))
        stock = cheapest_stock(problem, oracle, pattern, available)
        boards = most_boards(pattern, left, available[stock])
        runs.append(take(stock, pattern, boards, left, available))
    return runs


def cheapest_stock(problem: Problem, oracle: Oracle, pattern: Pattern, available: Sequence[int | None]) -> int:
    """Return the cheapest stock still to be had that holds a pattern."""
    holding = (stock for stock, boards in enumerate(available) if boards != 0 and oracle.fits(pattern, stock))
    return min(holding, key=lambda stock: (problem.prices[stock], stock))


def most_boards(pattern: Pattern, left: Sequence[int], available: int | None) -> int:
    """How many boards can be cut by a pattern before a part or the stock runs out."""
    most = min(wanted // count for count, wanted in zip(pattern, left, strict=True) if count)
    return most if available is None else min(most, available)


def take(stock: int, pattern: Pattern, boards: int, left: list[int], available: list[int | None]) -> Run:
    """Return a run of boards, with its parts and boards taken off the two lists."""
    for part, count in enumerate(pattern):
        left[part] -= count * boards
    draw(stock, boards, available)
    return Run(stock=stock, pattern=pattern, boards=boards)


def draw(stock: int, boards: int, available: list[int | None]) -> None:
    """Take boards off a stock, or with a number below 0 give them back; endless stock stays so."""
    still = available[stock]
    if still is not None:
        available[stock] = still - boards


def shrunk(problem: Problem, oracle: Oracle, runs: Iterable[Run]) -> list[Run]:
    """Return the same boards, each moved to the cheapest stock that holds its pattern and is not used up."""
    waiting = list(runs)
    available = list(problem.limits)
    for run in waiting:
        draw(run.stock, run.boards, available)
    moved = []
    while waiting:
        run = waiting.pop()
        draw(run.stock, -run.boards, available)  # its own boards are there for it to stay on
        stock = cheapest_stock(problem, oracle, run.pattern, available)
        free = available[stock]
        boards = run.boards if free is None else min(run.boards, free)
        draw(stock, boards, available)
        moved.append(Run(stock=stock, pattern=run.pattern, boards=boards))
        if boards < run.boards:
            draw(run.stock, run.boards - boards, available)
            waiting.append(Run(stock=run.stock, pattern=run.pattern, boards=run.boards - boards))
    return moved


def without_surplus(runs: Iterable[Run], demand: Sequence[int]) -> tuple[list[Run], tuple[int, ...]]:
    """Return the same boards without the parts that are cut too often, and what is left uncut."""
    left = list(demand)
    kept = []
    for run in runs:
        boards = run.boards
        while boards and any(pattern := tuple(map(min, run.pattern, left))):
            alike = most_boards(pattern, left, boards)
            kept.append(Run(stock=run.stock, pattern=pattern, boards=alike))
            left = [still - alike * count for still, count in zip(left, pattern, strict=True)]
            boards -= alike
    return kept, tuple(left)
