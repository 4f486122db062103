"""The longest left-over, built into a problem as one part more. For parts in a row."""

from dataclasses import replace

from estimator.buying.cutting.affordable import allowance, best_of_the_last
from estimator.buying.cutting.nicest.built_in import BuiltIn, Seen, furthest, probe, relaxed_within, three_quarters
from estimator.buying.cutting.nicest.exchange import length_of, lengthened
from estimator.buying.cutting.problem import Run

# Lengths tried beyond the one that moving parts gives, each with one dive.
MOST_TRIES = 2


def with_left_over(asked: BuiltIn) -> BuiltIn:
    """Return the problem with the longest left-over that was found held in it as a part, and a plan that has it.

    Parts are moved between boards first; then longer ones are tried, up to the longest that the cost may allow. A
    heuristic.
    """
    board, runs = lengthened(asked.runs, asked.problem.sizes, asked.capacities)
    longest = asked.capacities[board.stock] - length_of(board.pattern, asked.problem.sizes)
    demand = (*asked.problem.demand, 1)
    nothing = (0,) * len(asked.parts[0])

    def reach(left_over: int) -> BuiltIn | None:
        return probe(asked.with_part(left_over, demand, nothing))

    seen = relaxed_within(asked)
    affordable = longest_affordable(seen) if seen else longest
    found = furthest(longest, affordable, three_quarters(longest, affordable), MOST_TRIES, reach)
    if found is not None:
        return found
    held = [Run(stock=run.stock, pattern=(*run.pattern, 0), boards=run.boards) for run in runs]
    held.append(Run(stock=board.stock, pattern=(*board.pattern, 1), boards=1))
    return replace(asked.with_part(max(1, longest), demand, nothing), runs=tuple(held))


def longest_affordable(seen: Seen) -> int:
    """Return a length that no left-over of a plan at the problem's cost is above; exact."""
    asked = seen.problem
    allowed = allowance(asked.problem, seen.relaxed.weighings[-1], asked.cost)
    best = best_of_the_last(asked.problem, asked.problem.sizes, asked.capacities, allowed.weights)[0]
    longest = 0
    for paid, capacity in zip(allowed.paid, asked.capacities, strict=True):
        enough = best[: capacity + 1] >= max(1, paid - allowed.spare)
        if enough.any():
            longest = max(longest, capacity - int(enough.argmax()))
    return longest
