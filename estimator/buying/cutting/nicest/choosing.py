"""The nicest plan that can be put together from given columns: one whole-number programme, a goal at a time.

What a goal has reached becomes a row before the next one is sought, so that later goals never cost an earlier one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import highspy

from estimator.buying.cutting.job import Preference
from estimator.buying.cutting.kits import kits_held
from estimator.buying.cutting.linear import ENDLESS, new_solver, swallow_banner
from estimator.buying.cutting.master import Column
from estimator.buying.cutting.nicest.merits import Merits
from estimator.buying.cutting.problem import Problem, Run

Entries = list[tuple[int, float]]

# The safety net under the nodes allowed for one goal: far above what the programmes given to it take.
MOST_SECONDS = 10.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Chosen:
    """The boards of a plan, and whether no plan from the same columns stands better."""

    runs: tuple[Run, ...]
    settled: bool


class Sought(NamedTuple):
    """A plan, if one was found, and a number that the goal is not under in any plan, if that is known."""

    runs: tuple[Run, ...]
    goal: int | None


def choose(
    problem: Problem, merits: Merits, columns: Sequence[Column], cost: int, first: Sequence[Run], nodes: int
) -> Chosen:
    """Return the nicest plan of a cost from columns, among which are those of a first plan.

    `nodes` of the branch and bound are looked at for each goal at most. A proof where it says settled, as far as floats
    on small whole numbers are: every goal is a whole number.
    """
    programme = Programme(problem, merits, columns, cost, nodes)
    best, settled = tuple(first), True
    for place, preference in enumerate(merits.prefer):
        sought = programme.seek(preference, best)
        if sought.runs and merits.standing(sought.runs) < merits.standing(best):
            best = sought.runs
        settled &= sought.goal is not None and sought.goal >= merits.standing(best)[place]
        programme.hold(preference, best)
    return Chosen(runs=best, settled=settled)


class Programme:
    """Boards of each column, cutting the demand exactly at a cost; columns for the goals are added as they come."""

    def __init__(self, problem: Problem, merits: Merits, columns: Sequence[Column], cost: int, nodes: int) -> None:
        swallow_banner()
        self._solver = new_solver()
        self._solver.setOptionValue("presolve", "on")
        self._solver.setOptionValue("mip_rel_gap", 0.0)
        self._solver.setOptionValue("mip_abs_gap", 0.9)  # goals are whole numbers
        self._solver.setOptionValue("mip_max_nodes", nodes)
        self._solver.setOptionValue("time_limit", MOST_SECONDS)
        self._columns = columns
        self._merits = merits
        self._demand = problem.demand
        self._most = [
            min(wanted // count for count, wanted in zip(pattern, problem.demand, strict=True) if count)
            for _, pattern in columns
        ]
        self._size = 0  # columns of the programme so far
        self._goal: Entries = []
        for most in self._most:
            self._add_column(float(most), whole=True)
        for part, wanted in enumerate(problem.demand):
            entries = [(n, float(pattern[part])) for n, (_, pattern) in enumerate(columns) if pattern[part]]
            self._add_row(float(wanted), float(wanted), entries)
        step = problem.price_step
        prices = [(n, float(problem.prices[stock] // step)) for n, (stock, _) in enumerate(columns)]
        self._add_row(-ENDLESS, float(cost // step), prices)
        for stock, limit in enumerate(problem.limits):
            if limit is not None:
                self._add_row(-ENDLESS, float(limit), [(n, 1.0) for n, one in enumerate(columns) if one[0] == stock])

    def seek(self, preference: Preference, best: Sequence[Run]) -> Sought:
        """Solve for one goal; a left-over only if it is longer than the best plan's.

        The solver is given no plan to begin with: HiGHS 1.16 then counts some goals wrong.
        """
        for column, _ in self._goal:
            self._solver.changeColCost(column, 0.0)
        if preference == "fewest set-ups":
            self._goal = self._set_ups()
        elif preference == "fewest boards":
            self._goal = [(n, 1.0) for n in range(len(self._columns))]
        elif preference == "longest left-over":
            longest = self._merits.longest_left_over(best)
            self._goal = self._left_over(longest)
            if not self._goal:
                return Sought((), -longest)
        else:
            self._goal = self._kits()
        for column, worth in self._goal:
            self._solver.changeColCost(column, worth)
        self._solver.run()
        info = self._solver.getInfo()
        optimal = self._solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
        solved = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
        goal = round(info.objective_function_value) if optimal else None
        return Sought(self._runs() if solved else (), goal)

    def _runs(self) -> tuple[Run, ...]:
        """Return the plan that was found, counted again in whole numbers; nothing where floats have it wrong."""
        boards = [round(value) for value in self._solver.getSolution().col_value[: len(self._columns)]]
        cut = [
            sum(count * pattern[part] for count, (_, pattern) in zip(boards, self._columns, strict=True))
            for part in range(len(self._demand))
        ]
        if cut != list(self._demand):
            return ()
        return tuple(
            Run(stock=stock, pattern=pattern, boards=count)
            for count, (stock, pattern) in zip(boards, self._columns, strict=True)
            if count > 0
        )

    def hold(self, preference: Preference, best: Sequence[Run]) -> None:
        """Add a row that keeps a goal where the best plan has it."""
        if preference == "longest left-over":
            longest = self._merits.longest_left_over(best)
            long = [(n, 1.0) for n, column in enumerate(self._columns) if self._merits.left_over(column) >= longest]
            self._add_row(1.0, ENDLESS, long)
        else:
            place = self._merits.prefer.index(preference)
            self._add_row(-ENDLESS, float(self._merits.standing(best)[place]), self._goal)

    def _set_ups(self) -> Entries:
        """Each layout that is used costs its set-ups; a column of its own says whether it is."""
        goal = []
        for n, (column, most) in enumerate(zip(self._columns, self._most, strict=True)):
            used = self._add_column(1.0, whole=True)
            self._add_row(-ENDLESS, 0.0, [(n, 1.0), (used, -float(most))])
            goal.append((used, float(self._merits.set_ups(column))))
        return goal

    def _left_over(self, longest: int) -> Entries:
        """One board, of a layout that is used, counts with its left-over; and that of the best plan, with none."""
        goal = []
        for n, column in enumerate(self._columns):
            if self._merits.left_over(column) > longest:
                counted = self._add_column(1.0, whole=False)
                self._add_row(-ENDLESS, 0.0, [(counted, 1.0), (n, -1.0)])
                goal.append((counted, -float(self._merits.left_over(column))))
        if goal:
            known = self._add_column(1.0, whole=False)
            goal.append((known, -float(longest)))
            self._add_row(1.0, 1.0, [(counted, 1.0) for counted, _ in goal])
        return goal

    def _kits(self) -> Entries:
        """Of each kit as many count as are wanted and the boards hold; what a board holds twice over is not shared."""
        goal = []
        for kit in self._merits.kits:
            whole = self._add_column(float(kit.units), whole=False)
            held = [(n, -float(kits_held(pattern, kit.pattern))) for n, (_, pattern) in enumerate(self._columns)]
            self._add_row(-ENDLESS, 0.0, [(whole, 1.0), *(entry for entry in held if entry[1])])
            goal.append((whole, -1.0))
        return goal

    def _add_column(self, upper: float, *, whole: bool) -> int:
        self._solver.addCol(0.0, 0.0, upper, 0, [], [])
        if whole:
            self._solver.changeColIntegrality(self._size, highspy.HighsVarType.kInteger)
        self._size += 1
        return self._size - 1

    def _add_row(self, lower: float, upper: float, entries: Entries) -> None:
        places, values = [place for place, _ in entries], [value for _, value in entries]
        self._solver.addRow(lower, upper, len(entries), places, values)
