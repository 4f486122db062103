"""Plans with few set-ups: layouts of one or two lengths, each cut from as many boards as the cost and the demand allow.

A linear programme charges a board its share of its layout's set-ups, as if the layout were cut as often as it can be;
the layout that it cuts most boards of is fixed, and what is left is solved again (a dive, as in `dive`, with another
aim). What short layouts cannot finish at the cost, the search's own dive does. A heuristic.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.affordable import allowance, short_rows
from estimator.buying.cutting.dive import clipped
from estimator.buying.cutting.linear import ENDLESS, LinearProgram, SolverGaveUpError
from estimator.buying.cutting.master import Column
from estimator.buying.cutting.nicest.built_in import BuiltIn, Seen, probe, relaxed_within
from estimator.buying.cutting.nicest.exchange import simplified
from estimator.buying.cutting.nicest.merits import Merits
from estimator.buying.cutting.problem import Pattern, Run

Counts = npt.NDArray[np.int64]

# Short layouts looked at, those that waste least: more gave no fewer set-ups for jobs of a dozen lengths.
MOST_LAYOUTS = 200

# Dives, by how often the first charge is told anew; the first that ends at the cost serves.
DIVES = (1, 0)

# A layout that is in use costs no new set-up; this share of one, only so that ties fall the same way.
IN_USE = 0.01

NEARLY_WHOLE = 1e-6


@dataclass(frozen=True, kw_only=True, slots=True)
class Layouts:
    """Layouts to choose from, what each holds of the parts, what it costs, and the set-ups it takes."""

    columns: tuple[Column, ...]
    held: Counts
    prices: Counts
    set_ups: npt.NDArray[np.float64]

    def most(self, left: Counts) -> Counts:
        """How many boards of each layout what is left of the parts allows."""
        times = np.where(self.held > 0, left // np.maximum(self.held, 1), np.iinfo(np.int64).max)
        most: Counts = times.min(axis=1)
        return most


def plans_with_few_set_ups(asked: BuiltIn, merits: Merits) -> Iterator[tuple[Run, ...]]:
    """Yield plans for a problem at its cost, told in the job's parts: its own plan simplified, and one of a dive."""
    settings = [merits.set_ups((0, asked.plain_pattern(alone))) - 1 for alone in each_alone(len(asked.parts))]
    yield asked.plain(simplified(asked.runs, asked.problem.sizes, asked.capacities, settings))
    seen = relaxed_within(asked)
    if seen is None:
        return
    layouts = short_layouts(seen, merits)
    for again in DIVES:
        steps = boards_by_step(seen.problem, layouts, again)
        runs = finished(seen.problem, layouts, steps[-1]) if steps else None
        if runs is not None:
            yield asked.plain(simplified(runs, asked.problem.sizes, asked.capacities, settings))
            return


def each_alone(parts: int) -> list[Pattern]:
    """Return the pattern of one of each part."""
    return [tuple(int(part == other) for other in range(parts)) for part in range(parts)]


def short_layouts(seen: Seen, merits: Merits) -> Layouts:
    """Return layouts of one or two parts that the cost allows, and those of the search's columns that it allows."""
    asked = seen.problem
    problem = asked.problem
    allowed = allowance(problem, seen.relaxed.weighings[-1], asked.cost)
    known = [
        (stock, pattern)
        for stock, pattern in clipped(asked.columns, problem.demand, problem.limits)
        if allowed.waste((stock, pattern)) <= allowed.spare
    ]
    short = short_rows(problem, problem.sizes, asked.capacities, allowed, MOST_LAYOUTS)
    columns = tuple(dict.fromkeys([*short, *known]))
    return Layouts(
        columns=columns,
        held=np.array([pattern for _, pattern in columns], dtype=np.int64).reshape(len(columns), len(problem.sizes)),
        prices=np.array([problem.prices[stock] for stock, _ in columns], dtype=np.int64),
        set_ups=np.array([merits.set_ups((stock, asked.plain_pattern(p))) for stock, p in columns], dtype=float),
    )


def boards_by_step(asked: BuiltIn, layouts: Layouts, again: int) -> list[Counts]:
    """Return the boards of each layout after each step of a dive, the last step last.

    `again` is how often the first charge is told anew from the boards that the programme gave each layout.
    """
    programme = programme_of(asked, layouts)
    left = np.array(asked.problem.demand, dtype=np.int64)
    boards = np.zeros(len(layouts.columns), dtype=np.int64)
    steps: list[Counts] = []
    while left.any() and len(layouts.columns):
        most = layouts.most(left)
        programme.set_column_bounds(lower=boards.astype(float).tolist(), upper=(boards + most).astype(float).tolist())
        charges = layouts.set_ups / np.maximum(most, 1)
        charges[boards > 0] *= IN_USE
        try:
            values = charged(programme, charges)
            for _ in range(0 if steps else again):
                used = values > NEARLY_WHOLE
                charges[used] = layouts.set_ups[used] / np.clip(values[used], 1 / 3, most[used])
                values = charged(programme, charges)
        except SolverGaveUpError:  # nothing short finishes what is left: the last step went too far
            return steps[:-1]
        step = next_step(values - boards, most, boards)
        if step is None:
            break
        layout, count = step
        boards[layout] += count
        left = left - count * layouts.held[layout]
        steps.append(boards.copy())
    return steps


def next_step(open_boards: npt.NDArray[np.float64], most: Counts, boards: Counts) -> tuple[int, int] | None:
    """Return the layout with the most whole boards to be fixed, else one to round up, those in use first."""
    whole = np.minimum(np.floor(open_boards + NEARLY_WHOLE), most)
    layout = int(whole.argmax())
    if whole[layout] > 0:
        return layout, int(whole[layout])
    wish = np.where((most > 0) & (open_boards > NEARLY_WHOLE), open_boards + 0.5 * (boards > 0), -1.0)
    layout = int(wish.argmax())
    return (layout, 1) if wish[layout] > 0 else None


def programme_of(asked: BuiltIn, layouts: Layouts) -> LinearProgram:
    """Return the programme: every part exactly as often as demanded, no cost above the problem's, limits kept."""
    problem = asked.problem
    parts = [float(wanted) for wanted in problem.demand]
    limited = [(stock, limit) for stock, limit in enumerate(problem.limits) if limit is not None]
    # Costs in what the dearest board costs, so that rows are of one size.
    unit = float(max(1, *problem.prices))
    most = [asked.cost / unit, ENDLESS if asked.boards is None else float(asked.boards)]
    most += [float(limit) for _, limit in limited]
    programme = LinearProgram(
        row_lower=[*parts, *[-ENDLESS] * len(most)],
        row_upper=[*parts, *most],
    )
    first = len(parts)
    entries = []
    for (stock, pattern), price in zip(layouts.columns, layouts.prices.tolist(), strict=True):
        held = [(part, float(count)) for part, count in enumerate(pattern) if count]
        rows = [(first + 2 + n, 1.0) for n, (one, _) in enumerate(limited) if one == stock]
        entries.append([*held, (first, price / unit), (first + 1, 1.0), *rows])
    upper = layouts.most(np.array(problem.demand, dtype=np.int64)).astype(float).tolist()
    programme.add_columns(costs=[0.0] * len(entries), upper=upper, entries=entries)
    return programme


def charged(programme: LinearProgram, charges: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Solve under charges and return the boards of each layout."""
    programme.set_costs(charges.tolist())
    return np.array(programme.solve()[0])


def finished(asked: BuiltIn, layouts: Layouts, boards: Counts) -> tuple[Run, ...] | None:
    """Return a plan with these boards, the rest found by the search's own dive, or None where that fails."""
    problem = asked.problem
    runs = [
        Run(stock=layouts.columns[n][0], pattern=layouts.columns[n][1], boards=int(boards[n]))
        for n in np.flatnonzero(boards).tolist()
    ]
    left = np.array(problem.demand, dtype=np.int64) - boards @ layouts.held
    if not left.any():
        return tuple(runs)
    limits = tuple(
        None if limit is None else limit - sum(run.boards for run in runs if run.stock == stock)
        for stock, limit in enumerate(problem.limits)
    )
    rest = replace(
        asked,
        problem=replace(problem, demand=tuple(left.tolist()), limits=limits),
        columns=tuple(clipped(asked.columns, left.tolist(), limits)),
        cost=asked.cost - int(boards @ layouts.prices),
    )
    found = probe(rest)
    return None if found is None else (*runs, *found.runs)
