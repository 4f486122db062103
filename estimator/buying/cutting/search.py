"""The state of a search for a cheapest plan, and what its steps work with.

The best plan is a bound from above and `bound` one from below; `steps` narrows them until they meet or the work
allotted is done.
"""

from collections.abc import Iterable, Sequence
from time import thread_time

from estimator.buying.cutting.board_counts import BoardCounts
from estimator.buying.cutting.bound import Weighing, next_attainable
from estimator.buying.cutting.greedy import shrunk
from estimator.buying.cutting.master import Column, Relaxed, Setting
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Problem, Run
from estimator.buying.cutting.rounding import Row

# Rounds of pricing and of dives. Of 158 jobs of the benchmarks (bench_cutting, bench_published, bench_nesting,
# bench_ripping) the longest that was proved took 2,269, so one that goes on for longer will hardly prove anything.
MOST_ROUNDS = 5_000

# The safety net under the work limits, for jobs far beyond a workshop's; of work, so a busy machine plans no worse.
MOST_SECONDS = 20.0


class Search:
    """The best plan and the best bound so far, and what one step leaves for the next."""

    def __init__(self, problem: Problem, oracle: Oracle) -> None:
        self.problem = problem
        self.oracle = oracle
        self.pricer = oracle.within(problem.demand)
        self.runs: tuple[Run, ...] = ()
        self.cost = dearer_than_any_plan(problem)
        self.left = problem.demand  # the least left uncut so far, by length
        self.short = False  # whether the stock is known to be too little for any plan
        self.bound = 0
        self.columns: dict[Column, None] = {}
        self.relaxed = Relaxed(boards={}, cost=0.0, weighings=())
        self.rows: list[Row] = []
        self.cost_at_counts = 0  # the best plan's cost when board counts were settled last
        self._rounds = 0
        self._deadline = thread_time() + MOST_SECONDS

    @property
    def settled(self) -> bool:
        """Whether the best plan is known to be a cheapest one."""
        return bool(self.runs) and self.cost <= self.bound

    def is_worked_out(self) -> bool:
        """Whether another round would go beyond the work allotted, or the safety net under it; asked once a round."""
        self._rounds += 1
        return self._rounds > MOST_ROUNDS or thread_time() > self._deadline

    def offer(self, runs: Iterable[Run], left: Sequence[int]) -> None:
        """Keep a plan if it cuts everything and is cheaper than the best so far, no board longer than it has to be."""
        if material(self.problem, left) < material(self.problem, self.left):
            self.left = tuple(left)
        if any(left):
            return
        smaller = shrunk(self.problem, self.oracle, runs)
        cost = sum(self.problem.prices[run.stock] * run.boards for run in smaller)
        if not self.runs or cost < self.cost:
            self.runs, self.cost = tuple(smaller), cost

    def prove(self, bound: int) -> None:
        """Take up a cost no plan is under."""
        problem = self.problem
        self.bound = max(self.bound, next_attainable(problem.prices, problem.price_step, bound))


def dearer_than_any_plan(problem: Problem) -> int:
    """Return more than the dearest plan without an empty board can cost, by one step of the prices."""
    pieces = sum(problem.demand)
    stocks = zip(problem.prices, problem.limits, strict=True)
    return problem.price_step + sum(price * (pieces if limit is None else limit) for price, limit in stocks)


def material(problem: Problem, counts: Sequence[int]) -> int:
    """Return the length of so many of each part."""
    return sum(size * count for size, count in zip(problem.sizes, counts, strict=True))


def cheapest_setting(problem: Problem, oracle: Oracle) -> Setting:
    """Return the programme for least cost.

    A part that only limited stock holds may be missing in it, at more than any plan costs.
    """
    parts = len(problem.sizes)
    alone = [tuple(int(part == other) for other in range(parts)) for part in range(parts)]
    endless = [stock for stock, limit in enumerate(problem.limits) if limit is None]
    missing = dearer_than_any_plan(problem)
    return Setting(
        demand=problem.demand,
        prices=problem.prices,
        limits=problem.limits,
        shortage_prices=tuple(
            None if any(oracle.fits(pattern, stock) for stock in endless) else missing for pattern in alone
        ),
    )


def bare_setting(problem: Problem) -> Setting:
    """Return the programme for least shortage by length, with no boards at all until limits are put in."""
    nothing = (0,) * len(problem.prices)
    return Setting(demand=problem.demand, prices=nothing, limits=nothing, shortage_prices=problem.sizes)


def row_of(problem: Problem, weights: Sequence[int], values: Sequence[int]) -> Row:
    """Return what the boards of any plan have to carry under these weights."""
    needed = sum(weight * wanted for weight, wanted in zip(weights, problem.demand, strict=True))
    return Row(values=tuple(values), needed=needed)


def row_of_weighing(problem: Problem, weighing: Weighing) -> Row:
    """Return the same for a round of pricing."""
    return row_of(problem, weighing.weights, weighing.values)


def falls_short(problem: Problem, weighing: Weighing) -> bool:
    """Whether all the boards there are cannot carry the demand, which is exact; never so of endless stock."""
    row = row_of_weighing(problem, weighing)
    if any(value for value, limit in zip(row.values, problem.limits, strict=True) if limit is None):
        return False
    return not row.met_by([limit or 0 for limit in problem.limits])


def counts_so_far(search: Search) -> BoardCounts:
    """Return the programme of board counts under the rows known so far, its root solved."""
    problem = search.problem
    pieces = sum(problem.demand)
    ceilings = []
    for price, limit in zip(problem.prices, problem.limits, strict=True):
        affordable = min(pieces, (search.cost - 1) // price) if price else pieces
        ceilings.append(affordable if limit is None else min(limit, affordable))
    return BoardCounts(
        prices=problem.prices,
        step=problem.price_step,
        ceilings=tuple(ceilings),
        cutoff=search.cost,
        rows=search.rows,
    )
