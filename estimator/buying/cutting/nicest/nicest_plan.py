"""Among the cheapest plans the one a sawyer would choose: the job's preferences, the first first, the cost held.

Exact where few layouts can be part of a plan at the cost: then a whole-number programme over all of them settles every
preference. Else heuristics, each a step from one plan to a nicer one.
"""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import NamedTuple

from estimator.buying.cutting.affordable import Allowance, all_fitting, all_rows, allowance
from estimator.buying.cutting.job import CuttingJob
from estimator.buying.cutting.linear import SolverGaveUpError
from estimator.buying.cutting.master import Column, Master
from estimator.buying.cutting.nicest.built_in import BuiltIn
from estimator.buying.cutting.nicest.bundles import with_kit
from estimator.buying.cutting.nicest.choosing import choose
from estimator.buying.cutting.nicest.few_boards import with_few_boards
from estimator.buying.cutting.nicest.few_set_ups import plans_with_few_set_ups
from estimator.buying.cutting.nicest.left_over import with_left_over
from estimator.buying.cutting.nicest.merits import Merits, Standing
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Merged, Run, limit_within
from estimator.buying.cutting.search import Search, cheapest_setting

# Layouts up to which all are given to one programme, which then takes some hundredths of a second; where it takes many
# boards, set-ups are far harder.
MOST_LAYOUTS = 100
MOST_LAYOUTS_OF_MANY = 40
MANY_BOARDS = 20

# Patterns looked at, where parts do not lie in a row, to find them all.
MOST_LOOKS = 500

# Nodes of the programme's branch and bound for one preference: of all layouts, and of some where they are too many.
NODES = 200
NODES_FOR_SOME = 10


class Nicest(NamedTuple):
    """Boards of a plan, what they and their oracle call the stocks, and whether no plan of the cost stands better."""

    merged: Merged
    oracle: Oracle
    runs: tuple[Run, ...]
    settled: bool


def nicest_plan(job: CuttingJob, merged: Merged, oracle: Oracle, search: Search) -> Nicest:
    """Return the nicest plan found that costs no more than the search's.

    It never stands worse than the search's own.
    """
    in_rows = isinstance(oracle, KnapsackOracle)
    if in_rows and "longest left-over" in job.prefer:
        merged, oracle = at_full_length(job, merged)
    choice = Choice(job, merged, oracle, search)
    with suppress(SolverGaveUpError):  # what was found so far holds
        choice.look(in_rows=in_rows)
    return Nicest(merged, oracle, choice.runs, choice.settled)


def at_full_length(job: CuttingJob, merged: Merged) -> tuple[Merged, Oracle]:
    """Return a problem of parts in a row with boards as long as they are, and with stocks that leave more over.

    For cost alone a board counts no longer than its parts can fill, and of two that are equal in this one is enough.
    """
    pieces = sum(merged.problem.demand)
    more = [
        place
        for place, stock in enumerate(job.stocks)
        if stock.limit != 0 and place not in merged.stock_places and not is_beaten(job, place, merged.stock_places)
    ]
    places = (*merged.stock_places, *more)
    problem = replace(
        merged.problem,
        prices=tuple(job.stocks[place].price for place in places),
        limits=tuple(limit_within(pieces, job.stocks[place].limit) for place in places),
    )
    lengths = tuple(job.stocks[place].length for place in places)
    merged = replace(merged, problem=problem, stock_places=places, lengths=lengths)
    return merged, KnapsackOracle([part.length for part in merged.parts], lengths, job.kerf)


def is_beaten(job: CuttingJob, place: int, others: Iterable[int]) -> bool:
    """Whether a stock that never runs out is no shorter and no dearer."""
    stock = job.stocks[place]
    return any(
        job.stocks[other].limit is None
        and job.stocks[other].length >= stock.length
        and job.stocks[other].price <= stock.price
        for other in others
    )


class Choice:
    """The nicest plan so far."""

    def __init__(self, job: CuttingJob, merged: Merged, oracle: Oracle, search: Search) -> None:
        self._job = job
        self._problem = merged.problem
        self._merged = merged
        self._oracle = oracle
        self.merits = Merits(job, merged, oracle)
        self._columns = tuple(dict.fromkeys([*search.columns, *((run.stock, run.pattern) for run in search.runs)]))
        # Rows say what every stock carries, so they serve while there are no stocks but the search's.
        self._rows = search.rows if len(merged.problem.prices) == len(search.problem.prices) else []
        self.runs = as_few_runs(search.runs)
        self.cost = search.cost
        self.settled = False

    def look(self, *, in_rows: bool) -> None:
        """Look for nicer plans."""
        columns = self._every_column(in_rows=in_rows)
        if columns is None and in_rows:
            self._build_in()
            return
        known = [(run.stock, run.pattern) for run in self.runs]
        pool = list(dict.fromkeys([*(columns or self._columns[:MOST_LAYOUTS]), *known]))
        nodes = NODES_FOR_SOME if columns is None else NODES
        chosen = choose(self._problem, self.merits, pool, self.cost, self.runs, nodes)
        self._offer(chosen.runs)
        self.settled = chosen.settled and columns is not None and self._oracle.exact

    def _every_column(self, *, in_rows: bool) -> list[Column] | None:
        """Return every column that a plan of the cost may use; None for too many."""
        master = Master(cheapest_setting(self._problem, self._oracle), self._columns)
        weighing = master.relax(self._oracle.within(self._problem.demand)).weighings[-1]
        allowed = allowance(self._problem, weighing, self.cost)
        if in_rows:
            return self._all_rows(allowed)
        found = all_fitting(self._problem, self._oracle, allowed, MOST_LOOKS)
        return found if found is not None and len(found) <= self._most_layouts() else None

    def _all_rows(self, allowed: Allowance) -> list[Column] | None:
        asked = self._asked()
        return all_rows(self._problem, asked.problem.sizes, asked.capacities, allowed, self._most_layouts())

    def _most_layouts(self) -> int:
        many = sum(run.boards for run in self.runs) > MANY_BOARDS
        return min(MOST_LAYOUTS, MOST_LAYOUTS_OF_MANY) if many else MOST_LAYOUTS

    def _asked(self) -> BuiltIn:
        """Return the problem with nothing built in but the kerf."""
        kerf = self._job.kerf
        parts = len(self._merged.parts)
        return BuiltIn(
            problem=replace(self._problem, sizes=tuple(part.length + kerf for part in self._merged.parts)),
            capacities=tuple(length + kerf for length in self._merged.lengths),
            parts=tuple(tuple(int(part == other) for other in range(parts)) for part in range(parts)),
            columns=self._columns,
            cost=self.cost,
            runs=self.runs,
        )

    def _build_in(self) -> None:
        """Take one preference after the other and keep what it reached for the next."""
        asked = self._asked()
        for preference in self._job.prefer:
            if preference == "fewest set-ups":
                self._offer_all(plans_with_few_set_ups(asked, self.merits))
                break  # what comes after it cannot be had without other layouts
            if preference == "fewest boards":
                asked = with_few_boards(asked, self._rows)
            elif preference == "longest left-over":
                asked = with_left_over(asked)
            else:
                for kit in self.merits.kits:
                    asked = with_kit(asked, kit)
            self._offer(asked.plain(asked.runs))

    def _offer_all(self, plans: Iterable[Sequence[Run]]) -> None:
        for runs in plans:
            self._offer(runs)

    def _offer(self, runs: Sequence[Run]) -> None:
        """Keep a plan if it stands better and costs no more."""
        runs = as_few_runs(runs)
        if self._standing(runs) < self._standing(self.runs):
            self.runs = runs
            self.cost = self._standing(runs)[0]

    def _standing(self, runs: Sequence[Run]) -> Standing:
        cost = sum(self._problem.prices[run.stock] * run.boards for run in runs)
        return (cost, *self.merits.standing(runs))


def as_few_runs(runs: Iterable[Run]) -> tuple[Run, ...]:
    """Return the same boards with one run for each layout, in a fixed order."""
    boards: dict[Column, int] = {}
    for run in runs:
        column = run.stock, run.pattern
        boards[column] = boards.get(column, 0) + run.boards
    return tuple(Run(stock=stock, pattern=pattern, boards=boards[stock, pattern]) for stock, pattern in sorted(boards))
