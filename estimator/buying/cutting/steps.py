"""The steps of the search for a cheapest plan, each a function of the search so far, with its claim.

`STEPS` is their order, from cheap to dear.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from math import inf

from estimator.buying.cutting.affordable import all_rows, allowance
from estimator.buying.cutting.bound import Weighing, weights_bound
from estimator.buying.cutting.dive import dive, fix_whole_boards, manners, whole_columns
from estimator.buying.cutting.evening_out import evened_out
from estimator.buying.cutting.greedy import boards_by_worth, greedy_runs, longest_first_runs, without_surplus
from estimator.buying.cutting.layout_tree import LayoutTree
from estimator.buying.cutting.linear import SolverGaveUpError
from estimator.buying.cutting.master import Master, Relaxed
from estimator.buying.cutting.oracles.few_pieces import FewPiecesOracle
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Problem, Run
from estimator.buying.cutting.search import (
    Search,
    bare_setting,
    cheapest_setting,
    counts_so_far,
    falls_short,
    row_of,
    row_of_weighing,
)
from estimator.buying.cutting.small_jobs import cheapest_of_all
from estimator.buying.cutting.topping_up import topped_up

# Work limits: they, not the clock, end a search, so that the same job gives the same plan on every machine.
MOST_COUNTS = 60  # proposals of board counts looked at
MOST_COUNTS_TRIED = 8  # of them, those that a fractional plan can keep to
DIVES_ON_COUNTS = 6  # for each of these
MOST_DIVES = 8
ROUNDINGS = 6
MOST_COUNTS_EVENED = 8  # proposals of board counts tried for boards that hold few pieces,
MOST_BOARDS_EVENED = 200  # of no more boards: every board is held against every other
MOST_LAYOUTS = 2_000  # that a better plan may use, up to which all are looked at
BRANCHES_OF_LAYOUTS = 300
DUALS_KEPT = 6  # rounds of pricing, the last ones, whose weights become rows of the board counts


def best_plan(problem: Problem, oracle: Oracle, first: Sequence[Run] = ()) -> Search:
    """Return the search when its steps are done; without runs when no plan within the limits of the stock was found.

    `first` is a plan to be beaten.
    """
    search = Search(problem, oracle)
    if first:
        search.offer(first, (0,) * len(problem.demand))
    for step in STEPS:
        with suppress(SolverGaveUpError):  # what was found and proved so far holds, and the next step may get further
            step(search)
        if search.settled or search.short:
            break
    return search


def fill_greedily(search: Search) -> None:
    """Offer a first plan, board by board. A heuristic."""
    for fill in (greedy_runs, longest_first_runs):
        left, available = list(search.problem.demand), list(search.problem.limits)
        runs = fill(search.problem, search.oracle, left, available)
        search.offer(runs, left)


def weigh_simply(search: Search) -> None:
    """Prove bounds by each part alone and by material; the patterns of a single part are the first columns."""
    problem = search.problem
    parts = len(problem.sizes)
    for part in range(parts):
        weights = [int(part == other) for other in range(parts)]
        priced = search.pricer.price(weights)
        search.rows.append(row_of(problem, weights, priced.values))
        search.columns.update(
            ((stock, priced.pattern(stock)), None) for stock, most in enumerate(priced.values) if most
        )
    search.rows.append(row_of(problem, problem.sizes, search.pricer.price(problem.sizes).values))
    search.prove(counts_so_far(search).bound)


def fill_fewest_boards(search: Search) -> None:
    """Fill the fewest boards of one length, one after the other; what is left over makes them be filled anew.

    A heuristic for parts in a row; a plan on these boards is a cheapest one.
    """
    counts, oracle = fewest_boards(search), of_rows(search.oracle)
    if counts and oracle:
        left, available = list(search.problem.demand), list[int | None](counts)
        runs = longest_first_runs(search.problem, oracle, left, available)
        offer_topped_up(search, oracle, runs, left, counts)


def of_rows(oracle: Oracle) -> KnapsackOracle | None:
    """Return an oracle of parts in a row, whose length is all that counts: only there can boards be topped up."""
    return oracle if isinstance(oracle, KnapsackOracle) else None


def fewest_boards(search: Search) -> tuple[int, ...]:
    """Return how many boards are certainly needed where there is but one stock; nothing where there are more.

    With more of them, most proposals of counts turn out to be too little, and filling them would be in vain.
    """
    problem = search.problem
    if len(problem.prices) > 1 or not problem.prices[0]:
        return ()
    boards, limit = search.bound // problem.prices[0], problem.limits[0]
    return (boards,) if limit is None or boards <= limit else ()


def offer_topped_up(
    search: Search, oracle: KnapsackOracle, runs: Sequence[Run], left: Sequence[int], counts: Sequence[int]
) -> None:
    """Offer a plan on so many boards of each stock; if it leaves something uncut, with its boards filled anew."""
    search.offer(runs, left)
    if not any(left):
        return
    boards = [*runs, *unused(runs, counts, len(left))]
    topped = topped_up(boards, left, oracle.sizes, oracle.capacities)
    if topped:
        search.offer([run for run in topped if any(run.pattern)], (0,) * len(left))


def unused(runs: Sequence[Run], counts: Sequence[int], parts: int) -> list[Run]:
    """Return the boards, of so many of each stock, that runs do not use: empty ones."""
    empty = (0,) * parts
    used = [sum(run.boards for run in runs if run.stock == stock) for stock in range(len(counts))]
    return [
        Run(stock=stock, pattern=empty, boards=count - used[stock])
        for stock, count in enumerate(counts)
        if count > used[stock]
    ]


def even_out(search: Search) -> None:
    """Offer plans with the fewest boards that no row forbids, where they hold few pieces. A heuristic."""
    oracle, problem = search.oracle, search.problem
    if not isinstance(oracle, FewPiecesOracle):
        return
    tree = counts_so_far(search)
    tried: list[tuple[int, ...]] = []
    for _ in range(MOST_COUNTS_EVENED):
        counts = tree.cheapest(cutoff=search.cost, tried=tried).counts
        if counts is None or sum(counts) > MOST_BOARDS_EVENED:
            break
        runs = evened_out(problem, oracle, counts)
        if runs:
            search.offer(runs, (0,) * len(problem.demand))
            search.columns.update(((run.stock, run.pattern), None) for run in search.runs)
            break
        tried.append(counts)


def relax(search: Search) -> None:
    """Solve the linear programme and take up the bounds that its duals prove."""
    problem = search.problem
    master = Master(cheapest_setting(problem, search.oracle), search.columns)

    def is_enough(weighing: Weighing) -> bool:
        search.prove(weights_bound(problem, weighing))
        return search.settled or search.is_worked_out()

    search.relaxed = master.relax(search.pricer, is_enough=is_enough)
    search.columns = master.columns
    search.rows += [row_of_weighing(problem, weighing) for weighing in search.relaxed.weighings[-DUALS_KEPT:]]


def complete_fractions(search: Search) -> None:
    """Offer the whole boards of the fractional plan, the rest filled board by board. A heuristic."""
    left, available = list(search.problem.demand), list(search.problem.limits)
    runs = fix_whole_boards(search.relaxed, left, available)
    runs += greedy_runs(search.problem, search.oracle, left, available)
    search.offer(runs, left)


def round_to_fewest_boards(search: Search) -> None:
    """Round the fractional plan to the fewest boards of one length; what is left over makes them be filled anew.

    A heuristic for parts in a row; a plan on these boards is a cheapest one.
    """
    counts, oracle = fewest_boards(search), of_rows(search.oracle)
    if not counts or not oracle:
        return
    problem, weights = search.problem, search.relaxed.weighings[-1].weights
    for manner in manners(ROUNDINGS):
        left, available = list(problem.demand), list[int | None](counts)
        runs = fix_whole_boards(search.relaxed, left, available, left_open=manner.left_open)
        runs += whole_columns(search.relaxed, left, available, manner)
        runs += boards_by_worth(problem, oracle, left, available, lambda _: weights)
        offer_topped_up(search, oracle, runs, left, counts)
        if search.settled or search.is_worked_out():
            break


def try_every_way(search: Search) -> None:
    """Settle a small job by looking at every way to cut it. A proof."""
    cheapest = cheapest_of_all(search.problem, search.oracle)
    if cheapest is None:
        return
    search.short = not cheapest.runs
    if cheapest.runs:
        search.offer(cheapest.runs, (0,) * len(search.problem.demand))
        search.prove(cheapest.cost)


def look_for_shortage(search: Search) -> None:
    """Look, where no plan was found so far, for a proof that there is none, and for one by a dive."""
    if search.runs:
        return
    problem = search.problem
    setting = replace(bare_setting(problem), limits=problem.limits)
    master = Master(setting, search.columns)
    relaxed = master.relax(search.pricer, is_enough=lambda _: search.is_worked_out())
    search.short = any(falls_short(problem, weighing) for weighing in relaxed.weighings)
    for manner in manners(MOST_DIVES):
        dived = dive(search.oracle, setting, relaxed, master.columns, manner, give_up=search.is_worked_out)
        search.offer(dived.runs, dived.left)
        if search.runs or search.short:
            break


def settle_counts(search: Search) -> None:
    """Test board counts that no row forbids, cheapest first, by a linear programme with just these boards.

    Where that programme falls short, its duals forbid the counts, and the bound may rise (Benders). Where it does not,
    a dive tries to keep to the counts: a plan that does is a cheapest one.
    """
    search.cost_at_counts = search.cost
    tree = counts_so_far(search)
    tree.sharpen()
    counts = tree.table() or tree
    setting = bare_setting(search.problem)
    master = Master(setting, search.columns)
    tried: list[tuple[int, ...]] = []
    for _ in range(MOST_COUNTS):
        least = counts.cheapest(cutoff=search.cost, tried=tried)
        if not tried:
            search.prove(least.bound)
        if least.counts is None or search.is_worked_out():
            break
        if tried or not keeps_to(search.relaxed, least.counts):
            master.set_limits(least.counts)
            relaxed = master.relax(search.pricer, is_enough=lambda _: search.is_worked_out())
        else:
            relaxed = search.relaxed  # on a single stock length it always does
        rows = [row_of_weighing(search.problem, weighing) for weighing in relaxed.weighings]
        broken = [row for row in rows if not row.met_by(least.counts)]
        search.rows += broken
        for row in broken:
            counts.add(row)
        if not broken:
            exact = replace(setting, limits=least.counts)
            oracle = of_rows(search.oracle)
            stop = inf if oracle else 0.0  # what falls short of the counts may be topped up
            for manner in manners(dives_worth_while(search.oracle, DIVES_ON_COUNTS)):
                dived = dive(
                    search.oracle, exact, relaxed, master.columns, manner, stop=stop, give_up=search.is_worked_out
                )
                if oracle:
                    offer_topped_up(search, oracle, dived.runs, dived.left, least.counts)
                else:
                    search.offer(dived.runs, dived.left)
                if search.settled:
                    break
            tried.append(least.counts)
        if search.settled or len(tried) == MOST_COUNTS_TRIED:
            break


def keeps_to(relaxed: Relaxed, counts: Sequence[int]) -> bool:
    """Whether a fractional plan takes no more boards of each stock than there are."""
    taken = [0.0] * len(counts)
    for (stock, _), boards in relaxed.boards.items():
        taken[stock] += boards
    return all(boards <= count for boards, count in zip(taken, counts, strict=True))


def dive_for_better(search: Search) -> None:
    """Offer dives from the fractional plan, with any boards. A heuristic.

    A better plan leaves fewer board counts open, which may raise the bound to it.
    """
    setting = cheapest_setting(search.problem, search.oracle)
    for manner in manners(dives_worth_while(search.oracle, MOST_DIVES)):
        best = search.cost
        stop = best - search.problem.price_step
        dived = dive(
            search.oracle, setting, search.relaxed, search.columns, manner, stop=stop, give_up=search.is_worked_out
        )
        search.offer(dived.runs, dived.left)
        if search.cost < best and not search.settled:
            tree = counts_so_far(search)
            tree.sharpen()
            search.prove((tree.table() or tree).cheapest(cutoff=search.cost).bound)
        if search.settled or search.is_worked_out():
            break


def settle_counts_again(search: Search) -> None:
    """Test board counts once more where a dive found a better plan, which leaves fewer counts open."""
    if search.cost < search.cost_at_counts:
        settle_counts(search)


def look_at_every_layout(search: Search) -> None:
    """Search the plans from every layout that one cheaper than the best can use, where they are few. A proof.

    Where they are many, plans are sought that cost no more than the bound: if there are none, it rises. For parts in a
    row.
    """
    problem, oracle = search.problem, of_rows(search.oracle)
    if not oracle or not search.runs or not search.relaxed.weighings:
        return
    for most in dict.fromkeys((search.cost - problem.price_step, search.bound)):
        allowed = allowance(problem, search.relaxed.weighings[-1], most)
        columns = all_rows(problem, oracle.sizes, oracle.capacities, allowed, MOST_LAYOUTS)
        if columns is not None:
            tree = LayoutTree(problem, columns, most + problem.price_step)
            for runs in tree.look(BRANCHES_OF_LAYOUTS, give_up=search.is_worked_out):
                search.offer(*without_surplus(runs, problem.demand))
            search.prove(tree.bound)
            break


def dives_worth_while(oracle: Oracle, most: int) -> int:
    """Return how many dives to make of at most so many: half of them where the oracle may miss a way to lay parts.

    There a dive takes ten times as long, and the later ones hardly ever found a cheaper plan (30 ripped jobs).
    """
    return most if oracle.exact else most // 2


STEPS = (
    fill_greedily,
    weigh_simply,
    even_out,
    fill_fewest_boards,
    relax,
    complete_fractions,
    round_to_fewest_boards,
    try_every_way,
    look_for_shortage,
    settle_counts,
    dive_for_better,
    settle_counts_again,
    look_at_every_layout,
)
