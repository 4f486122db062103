"""Goals built into a problem, so that the search for a cheapest plan reaches them: for parts in a row.

A left-over is one part more, matching parts are one long part, and few boards are a charge for each board far below one
step of the prices. What one goal has reached stays in the problem for the next, which is how the first is kept.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from estimator.buying.cutting.bound import weights_bound
from estimator.buying.cutting.dive import dive, manners
from estimator.buying.cutting.master import Column, Master, Relaxed, Setting
from estimator.buying.cutting.oracles.knapsack import KnapsackOracle
from estimator.buying.cutting.problem import Pattern, Problem, Run
from estimator.buying.cutting.search import cheapest_setting


@dataclass(frozen=True, kw_only=True, slots=True)
class BuiltIn:
    """A problem with goals built in: what each part takes of a board, and which parts of the job it stands for.

    `runs` are a plan for it. One that costs no more than `cost` is, told in the parts of the job, one for the job at
    the job's cost. Where boards count it has at most `boards`, which the cost says too, but so finely that floats may
    miss it.
    """

    problem: Problem
    capacities: tuple[int, ...]
    parts: tuple[Pattern, ...]
    columns: tuple[Column, ...]
    cost: int
    runs: tuple[Run, ...]
    boards: int | None = None

    @property
    def oracle(self) -> KnapsackOracle:
        """The oracle of its parts in a row; the kerf is in the sizes."""
        return KnapsackOracle(self.problem.sizes, self.capacities)

    def plain(self, runs: Iterable[Run]) -> tuple[Run, ...]:
        """Return runs told in the parts of the job; boards that are left over whole are not bought."""
        told = [Run(stock=run.stock, pattern=self.plain_pattern(run.pattern), boards=run.boards) for run in runs]
        return tuple(run for run in told if any(run.pattern))

    def plain_pattern(self, pattern: Pattern) -> Pattern:
        """Return what a pattern holds of the job's parts."""
        own = len(self.parts[0])  # the first parts are the job's own
        told = list(pattern[:own])
        for count, part in zip(pattern[own:], self.parts[own:], strict=True):
            if count:
                told = [held + count * more for held, more in zip(told, part, strict=True)]
        return tuple(told)

    def with_part(self, size: int, demand: Sequence[int], part: Pattern) -> "BuiltIn":
        """Return the problem with one part more, the last, under a new demand for all of them, and no plan yet."""
        problem = replace(self.problem, sizes=(*self.problem.sizes, size), demand=tuple(demand))
        alone = (*(0 for _ in self.parts), 1)
        columns = [(stock, (*pattern, 0)) for stock, pattern in self.columns]
        columns += [(stock, alone) for stock, capacity in enumerate(self.capacities) if capacity >= size]
        return replace(self, problem=problem, parts=(*self.parts, part), columns=tuple(columns), runs=())


class Seen(NamedTuple):
    """A problem with the columns of its fractional plan."""

    problem: BuiltIn
    relaxed: Relaxed


def relaxed_within(asked: BuiltIn) -> Seen | None:
    """Return the fractional plan of a problem, or None where no plan is as cheap as it should be; None is proved."""
    master = Master(cheapest_setting(asked.problem, asked.oracle), asked.columns)
    relaxed = master.relax(asked.oracle.within(asked.problem.demand))
    if any(weights_bound(asked.problem, weighing) > asked.cost for weighing in relaxed.weighings):
        return None
    return Seen(replace(asked, columns=tuple(master.columns)), relaxed)


def probe(asked: BuiltIn) -> BuiltIn | None:
    """Return a problem with a plan at its cost, or None where none was found. A heuristic."""
    seen = relaxed_within(asked)
    return None if seen is None else dived(seen, cheapest_setting(asked.problem, asked.oracle), asked.cost)


def dived(seen: Seen, setting: Setting, stop: int) -> BuiltIn | None:
    """Return the problem with a plan near its fractional one at its cost, or None where one dive finds none.

    `stop` is what a plan may cost in the setting of the dive.
    """
    asked = seen.problem
    found = dive(asked.oracle, setting, seen.relaxed, asked.columns, next(manners(1)), stop=stop)
    cost = sum(asked.problem.prices[run.stock] * run.boards for run in found.runs)
    return None if any(found.left) or cost > asked.cost else replace(asked, runs=found.runs)


def furthest(
    lowest: int, highest: int, first: int, tries: int, reach: Callable[[int], BuiltIn | None]
) -> BuiltIn | None:
    """Return what is reached at the highest number above `lowest` that so many tries find in reach, or None.

    Each try after the first is three quarters of the way up: of the shares measured the one that gained the most.
    """
    best = None
    number = first
    for _ in range(tries):
        if number <= lowest or number > highest:
            break
        found = reach(number)
        if found is None:
            highest = number - 1
        else:
            best, lowest = found, number
        number = three_quarters(lowest, highest)
    return best


def three_quarters(lowest: int, highest: int) -> int:
    """Return a number three quarters of the way up, above the lowest."""
    return lowest + max(1, (highest - lowest) * 3 // 4)
