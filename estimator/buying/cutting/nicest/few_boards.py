"""The fewest boards, built into a problem as a charge for each far below one step of the prices. For parts in a row."""

from collections.abc import Sequence
from dataclasses import replace

from estimator.buying.cutting.board_counts import BoardCounts
from estimator.buying.cutting.bound import Weighing
from estimator.buying.cutting.master import Master
from estimator.buying.cutting.nicest.built_in import BuiltIn, Seen, dived, relaxed_within
from estimator.buying.cutting.problem import Problem
from estimator.buying.cutting.rounding import Row
from estimator.buying.cutting.search import bare_setting

# Work limits, in place of the clock's.
MOST_COUNTS = 12  # board counts proposed
MOST_COUNTS_TRIED = 2  # of them, those that a fractional plan can keep to, with one dive for each
ROUNDS_KEPT = 6  # rounds of pricing whose weights become rows of the board counts


def with_few_boards(asked: BuiltIn, rows: Sequence[Row]) -> BuiltIn:
    """Return the problem where each board counts, with a plan of fewer boards if one was found.

    Board counts are tried as in the search, fewest first, among those that cost no more and meet rows that hold of
    every plan. Proved where no counts are left, or the first that a fractional plan can keep to are kept to.
    """
    boards = sum(run.boards for run in asked.runs)
    prices = tuple(price * (boards + 1) + 1 for price in asked.problem.prices)
    charged = replace(
        asked,
        problem=replace(asked.problem, prices=prices),
        cost=asked.cost * (boards + 1) + boards,
        boards=boards,
    )
    seen = relaxed_within(charged)
    if seen is None:
        return charged
    charged = seen.problem
    rows = [*rows, *(row_of(charged.problem, weighing) for weighing in seen.relaxed.weighings[-ROUNDS_KEPT:])]
    fewer = fewest_boards(charged, rows)
    if fewer is None:
        return charged
    cost = sum(prices[run.stock] * run.boards for run in fewer.runs)
    return replace(fewer, cost=cost, boards=sum(run.boards for run in fewer.runs))


def fewest_boards(charged: BuiltIn, rows: Sequence[Row]) -> BuiltIn | None:
    """Return a problem with a plan that costs less than its cost, or None where none was found."""
    problem = charged.problem
    ceilings = tuple(
        min(sum(problem.demand), charged.cost // price, *([] if limit is None else [limit]))
        for price, limit in zip(problem.prices, problem.limits, strict=True)
    )
    tree = BoardCounts(prices=problem.prices, step=1, ceilings=ceilings, cutoff=charged.cost, rows=rows)
    tree.sharpen()
    counts = tree.table()
    if counts is None:  # branching takes long where so many counts differ by a board or two alone
        return None
    setting = bare_setting(problem)
    master = Master(setting, charged.columns)
    pricer = charged.oracle.within(problem.demand)
    tried: list[tuple[int, ...]] = []
    for _ in range(MOST_COUNTS):
        least = counts.cheapest(cutoff=charged.cost, tried=tried)
        if least.counts is None or len(tried) == MOST_COUNTS_TRIED:
            break
        master.set_limits(least.counts)
        relaxed = master.relax(pricer)
        broken = [row for row in (row_of(problem, one) for one in relaxed.weighings) if not row.met_by(least.counts)]
        for row in broken:
            counts.add(row)
        if broken:
            continue
        seen = Seen(replace(charged, columns=tuple(master.columns)), relaxed)
        found = dived(seen, replace(setting, limits=least.counts), 0)
        if found is not None:
            return found
        tried.append(least.counts)
    return None


def row_of(problem: Problem, weighing: Weighing) -> Row:
    """Return what the boards of any plan have to carry under these weights."""
    needed = sum(weight * wanted for weight, wanted in zip(weighing.weights, problem.demand, strict=True))
    return Row(values=weighing.values, needed=needed)
