"""Matching parts on one board: kits built into a problem as one long part each. For parts in a row."""

from bisect import bisect_left

from estimator.buying.cutting.kits import PartKit, kits_held
from estimator.buying.cutting.nicest.built_in import BuiltIn, furthest, probe, relaxed_within
from estimator.buying.cutting.nicest.exchange import length_of

# Numbers of kits tried, each with one dive.
MOST_TRIES = 3


def with_kit(asked: BuiltIn, kit: PartKit) -> BuiltIn:
    """Return the problem with as many of a kit in one piece as a plan was found for, if more than its plan has.

    A heuristic, but that no plan has more kits than are tried first.
    """
    plain = asked.plain(asked.runs)
    whole = min(kit.units, sum(run.boards * kits_held(run.pattern, kit.pattern) for run in plain))
    padded = (*kit.pattern, *(0 for _ in asked.problem.sizes[len(kit.pattern) :]))
    size = length_of(padded, asked.problem.sizes)
    if size > max(asked.capacities):
        return asked

    def bundled(units: int) -> BuiltIn:
        rest = [wanted - units * count for wanted, count in zip(asked.problem.demand, padded, strict=True)]
        return asked.with_part(size, (*rest, units), kit.pattern)

    demanded = [wanted // count for wanted, count in zip(asked.problem.demand, padded, strict=True) if count]
    open_units = range(whole + 1, min(kit.units, *demanded) + 1)
    # More kits only cost more, so halving finds the most that the bounds allow.
    most = whole + bisect_left(open_units, x=True, key=lambda units: relaxed_within(bundled(units)) is None)
    return furthest(whole, most, most, MOST_TRIES, lambda units: probe(bundled(units))) or asked
