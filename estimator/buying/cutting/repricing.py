"""Plans for the same pieces at ever other prices: what one of them taught serves the next.

What fits on a board does not depend on what it costs. So the patterns, the plans and the rows that the board counts of
every plan meet are kept by the length of the boards; only what they come to is worked out anew.
"""

from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import NamedTuple

from estimator.buying.cutting.board_counts import BoardCounts
from estimator.buying.cutting.check import plan_faults
from estimator.buying.cutting.counts import LeastCounts
from estimator.buying.cutting.greedy import cheapest_stock, most_boards, take
from estimator.buying.cutting.job import CuttingJob, CuttingPlan, NotEnoughStock
from estimator.buying.cutting.layouts import as_layouts, as_shortages
from estimator.buying.cutting.linear import SolverGaveUpError
from estimator.buying.cutting.plan import first_plan, oracle_for
from estimator.buying.cutting.pricing import KnownBoards, Oracle
from estimator.buying.cutting.problem import Merged, Pattern, Problem, Run, merge
from estimator.buying.cutting.rounding import Row
from estimator.buying.cutting.search import Search, counts_so_far, dearer_than_any_plan
from estimator.buying.cutting.steps import STEPS, fill_greedily, weigh_simply

# Rows kept, the newest ones: each is one more line of every programme of board counts.
MOST_ROWS = 60


class KnownRow(NamedTuple):
    """What a board of each length carries at the most under some weights of the parts, and what all of them weigh."""

    values: tuple[tuple[int, int], ...]  # length and value, by rising length
    needed: int


class KnownCuts:
    """What is known of how some pieces are cut, whatever boards cost."""

    def __init__(self) -> None:
        self.boards: KnownBoards = {}
        self.plans: dict[tuple[tuple[Pattern, int], ...], None] = {}  # patterns, and how many boards of each
        self._patterns: dict[int, dict[Pattern, None]] = {}  # by the length of their boards
        self._rows: dict[KnownRow, None] = {}

    def learn(self, merged: Merged, search: Search) -> None:
        """Take up what a search has found."""
        for stock, pattern in search.columns:
            self._patterns.setdefault(merged.lengths[stock], {})[pattern] = None
        if search.runs:
            self.plans[tuple((run.pattern, run.boards) for run in search.runs)] = None
        taught = set(self.rows(merged))
        for row in (*search.rows, *_proved_cost(merged.problem, search)):
            if row in taught:
                continue
            values = dict(zip(merged.lengths, row.values, strict=True))
            self._rows[KnownRow(values=tuple(sorted(values.items())), needed=row.needed)] = None
        self._rows = dict.fromkeys(list(self._rows)[-MOST_ROWS:])

    def rows(self, merged: Merged) -> list[Row]:
        """Return the rows that are known for all boards of a problem; a shorter board carries no more than a longer."""
        found = []
        for values, needed in self._rows:
            if values[-1][0] >= max(merged.lengths):
                at = [next(value for length, value in values if length >= wanted) for wanted in merged.lengths]
                found.append(Row(values=tuple(at), needed=needed))
        return found

    def columns(self, merged: Merged) -> Iterator[tuple[int, Pattern]]:
        """Yield the patterns that are known for the boards of a problem."""
        for stock, length in enumerate(merged.lengths):
            yield from ((stock, pattern) for pattern in self._patterns.get(length, ()))


def _proved_cost(problem: Problem, search: Search) -> tuple[Row, ...]:
    """Return what a search has proved as a row: what the boards of any plan come to at its prices.

    Not where boards were limited: without the limits a plan may come to less.
    """
    is_endless = all(limit is None for limit in problem.limits)
    return (Row(values=problem.prices, needed=search.bound),) if is_endless and search.bound else ()


def replan(job: CuttingJob, known: KnownCuts) -> CuttingPlan:
    """Return a plan of least cost, or the cheapest one found with a bound, and add to what is known.

    Neither is it the nicest of its cost, nor is it said what it costs without nesting. All jobs that share what is
    known have the same pieces. Raises PieceTooLong and NotEnoughStock.
    """
    merged = merge(job)
    if not merged.problem.prices:
        raise NotEnoughStock(tuple(piece.demand for piece in job.pieces), proved=True)
    oracle = oracle_for(job, merged, known.boards, nested=True)
    search = _searched(job, merged, oracle, known)
    known.learn(merged, search)
    if not search.runs:
        raise NotEnoughStock(as_shortages(job, merged, search.left), proved=search.short)
    layouts = as_layouts(job, merged, oracle, search.runs)
    plan = CuttingPlan(layouts=layouts, cost=search.cost, lower_bound=search.bound, unnested_cost=search.cost)
    faults = plan_faults(job, plan)
    if faults:
        raise AssertionError("; ".join(faults))
    return plan


def least_counts(job: CuttingJob, known: KnownCuts, cutoff: int | None) -> LeastCounts | None:
    """Return a cost that no plan is under, and counts of each of the job's boards that might do for it.

    None where nothing is known yet. Costs from `cutoff` up do not matter. Raises PieceTooLong.
    """
    merged = merge(job)
    rows = known.rows(merged) if merged.problem.prices else []
    if not rows:
        return None
    try:
        least = _cheapest_counts(
            merged.problem, rows, dearer_than_any_plan(merged.problem) if cutoff is None else cutoff
        )
    except SolverGaveUpError:
        return None
    if least.counts is None:
        return least
    counts = dict(zip(merged.stock_places, least.counts, strict=True))
    return LeastCounts(bound=least.bound, counts=tuple(counts.get(place, 0) for place in range(len(job.stocks))))


def _cheapest_counts(problem: Problem, rows: list[Row], cutoff: int) -> LeastCounts:
    below = -(-cutoff // problem.price_step) * problem.price_step  # no cost lies between
    pieces = sum(problem.demand)
    ceilings = tuple(
        min(pieces if limit is None else limit, (below - 1) // price if price else pieces)
        for price, limit in zip(problem.prices, problem.limits, strict=True)
    )
    tree = BoardCounts(prices=problem.prices, step=problem.price_step, ceilings=ceilings, cutoff=below, rows=rows)
    return (tree.table() or tree).cheapest(cutoff=below)


def _searched(job: CuttingJob, merged: Merged, oracle: Oracle, known: KnownCuts) -> Search:
    """Return the search when its steps are done, begun from what is known."""
    search = Search(merged.problem, oracle)
    search.columns.update(dict.fromkeys(known.columns(merged)))
    search.rows += known.rows(merged)
    for runs in _first_plans(job, merged, oracle, known):
        search.offer(runs, (0,) * len(merged.problem.demand))
    is_known = bool(search.rows and search.columns and search.runs)
    if is_known:
        with suppress(SolverGaveUpError):
            search.prove(counts_so_far(search).bound)
    for step in STEPS:
        if search.settled or search.short:
            break
        if is_known and step in (fill_greedily, weigh_simply):
            continue  # what they are for is there already
        with suppress(SolverGaveUpError):
            step(search)
    return search


def _first_plans(job: CuttingJob, merged: Merged, oracle: Oracle, known: KnownCuts) -> Iterator[tuple[Run, ...]]:
    if not known.plans:
        yield from filter(None, [first_plan(job, merged, known.boards)])
    for plan in known.plans:
        runs = _on_cheapest_boards(merged.problem, oracle, plan)
        if runs:
            yield runs


def _on_cheapest_boards(
    problem: Problem, oracle: Oracle, plan: Iterable[tuple[Pattern, int]]
) -> tuple[Run, ...] | None:
    """Return a plan with each pattern on the cheapest boards left that hold it, None where there are too few."""
    left, available = list(problem.demand), list(problem.limits)
    runs = []
    for pattern, boards in plan:
        missing = boards
        while missing:
            try:
                stock = cheapest_stock(problem, oracle, pattern, available)
            except ValueError:  # no board left holds it
                return None
            alike = min(missing, most_boards(pattern, left, available[stock]))
            runs.append(take(stock, pattern, alike, left, available))
            missing -= alike
    return tuple(runs)
