"""Pieces moved between two boards of a plan: the same boards, so the same cost. For parts in a row."""

from collections.abc import Sequence
from itertools import combinations
from typing import NamedTuple

from estimator.buying.cutting.problem import Pattern, Run, binary_split

# Boards that are emptied, each in turn, for the longest left-over: those with the most left to begin with.
MOST_EMPTIED = 8

# Pairs of layouts looked at for fewer settings, and ways to share out one part of two beyond which they are left alone.
MOST_PAIRS = 2000
MOST_WAYS = 1000

Column = tuple[int, Pattern]
Plan = dict[Column, int]


class Filling(NamedTuple):
    """What a board is filled with, and how much longer that is than what was on it."""

    pattern: Pattern
    gain: int


def lengthened(runs: Sequence[Run], sizes: Sequence[int], capacities: Sequence[int]) -> tuple[Run, list[Run]]:
    """Return one board with a long left-over, and the runs of all the others. A heuristic.

    A board is emptied into the others: again and again the board is found that, given the pieces of both, can be filled
    up the furthest, until none can be filled further.
    """
    plan = as_plan(runs)

    def left_over(stock: int, pattern: Pattern) -> int:
        return capacities[stock] - length_of(pattern, sizes)

    best: tuple[int, Run, Plan] | None = None
    for stock, pattern in sorted(plan, key=lambda column: (-left_over(*column), column))[:MOST_EMPTIED]:
        others = dict(plan)
        others[stock, pattern] -= 1
        emptied = emptied_into(pattern, others, sizes, capacities)
        longest = left_over(stock, emptied)
        if any(emptied) and (best is None or longest > best[0]):
            best = longest, Run(stock=stock, pattern=emptied, boards=1), others
    if best is None:
        raise ValueError("a plan has boards")
    return best[1], as_runs(best[2])


def emptied_into(pattern: Pattern, others: Plan, sizes: Sequence[int], capacities: Sequence[int]) -> Pattern:
    """Return what stays on a board when the others, changed in place, are filled up from it."""
    while True:
        best: tuple[int, Column, Pattern] | None = None
        for (stock, other), boards in others.items():
            if boards and length_of(other, sizes) < capacities[stock]:
                pieces = tuple(map(sum, zip(pattern, other, strict=True)))
                filling = fullest(pieces, sizes, capacities[stock], length_of(other, sizes))
                if filling.gain > 0 and (best is None or filling.gain > best[0]):
                    best = filling.gain, (stock, other), filling.pattern
        if best is None:
            return pattern
        _, (stock, other), filled = best
        others[stock, other] -= 1
        others[stock, filled] = others.get((stock, filled), 0) + 1
        pattern = tuple(mine + theirs - taken for mine, theirs, taken in zip(pattern, other, filled, strict=True))


def fullest(pieces: Pattern, sizes: Sequence[int], capacity: int, length: int) -> Filling:
    """Return the pieces that fill a board the furthest, and how far above a length that is.

    Bit n of a sum is set where some of the pieces take n; exact.
    """
    within = (1 << (capacity + 1)) - 1
    bundles = [(part, copies) for part, count in enumerate(pieces) for copies in binary_split(count)]
    sums = [1]
    for part, copies in bundles:
        sums.append(sums[-1] | ((sums[-1] << (copies * sizes[part])) & within))
    furthest = sums[-1].bit_length() - 1
    if furthest <= length:
        return Filling(pieces, 0)
    taken = [0] * len(pieces)
    rest = furthest
    for (part, copies), before in zip(reversed(bundles), reversed(sums[:-1]), strict=True):
        if not before >> rest & 1:
            taken[part] += copies
            rest -= copies * sizes[part]
    return Filling(tuple(taken), furthest - length)


def length_of(pattern: Pattern, sizes: Sequence[int]) -> int:
    """Return what the parts of a pattern take."""
    return sum(size * count for size, count in zip(sizes, pattern, strict=True))


def simplified(
    runs: Sequence[Run], sizes: Sequence[int], capacities: Sequence[int], settings: Sequence[int]
) -> list[Run]:
    """Return the same boards with fewer settings of the stop, of which each part in a layout takes so many.

    Two layouts that share a part have their pieces shared out anew, each cut from as many boards as before, until no
    two gain by it. A heuristic.
    """
    plan = as_plan(runs)
    tried: set[tuple[Column, int, Column, int]] = set()
    waiting = [(one, other) for one, other in combinations(sorted(plan), 2)]
    while waiting and len(tried) < MOST_PAIRS:
        one, other = waiting.pop(0)
        if one not in plan or other not in plan or (one, plan[one], other, plan[other]) in tried:
            continue
        if not any(map(min, one[1], other[1])):
            continue  # no part is in both, so none is set twice
        tried.add((one, plan[one], other, plan[other]))
        new = shared_out_anew(one, plan[one], other, plan[other], sizes, capacities, settings)
        if new is None:
            continue
        boards = plan.pop(one), plan.pop(other)
        for (stock, _), pattern, count in zip((one, other), new, boards, strict=True):
            if any(pattern):
                changed = stock, pattern
                plan[changed] = plan.get(changed, 0) + count
                waiting += [(min(changed, third), max(changed, third)) for third in sorted(plan) if third != changed]
    return as_runs(plan)


def shared_out_anew(
    one: Column,
    boards: int,
    other: Column,
    other_boards: int,
    sizes: Sequence[int],
    capacities: Sequence[int],
    settings: Sequence[int],
) -> tuple[Pattern, Pattern] | None:
    """Return two patterns with fewer settings for the same boards and pieces, or None where there are none.

    Exact but for its limit: for each length the first can have, the fewest settings are kept, part by part.
    """
    now = settings_of(one[1], settings) + settings_of(other[1], settings)
    pieces = [boards * mine + other_boards * theirs for mine, theirs in zip(one[1], other[1], strict=True)]
    total = length_of(tuple(pieces), sizes)
    shortest = -(-(total - other_boards * capacities[other[0]]) // boards)
    fewest: dict[int, tuple[int, tuple[tuple[int, int], ...]]] = {0: (0, ())}
    coming = settings_of(tuple(pieces), settings)  # settings that the parts still to be shared out take at least
    for size, count, each in zip(sizes, pieces, settings, strict=True):
        ways = ways_to_share(count, boards, other_boards)
        if len(ways) * len(fewest) > MOST_WAYS:
            return None
        longer: dict[int, tuple[int, tuple[tuple[int, int], ...]]] = {}
        coming -= each * (count > 0)
        for length, (used, shares) in fewest.items():
            for mine, theirs in ways:
                reached = length + mine * size
                more = used + each * ((mine > 0) + (theirs > 0))
                if reached <= capacities[one[0]] and more < longer.get(reached, (now - coming, ()))[0]:
                    longer[reached] = more, (*shares, (mine, theirs))
        fewest = longer
    good = [found for length, found in fewest.items() if length >= shortest]
    if not good:
        return None
    shares = min(good)[1]
    return tuple(mine for mine, _ in shares), tuple(theirs for _, theirs in shares)


def ways_to_share(count: int, boards: int, other_boards: int) -> list[tuple[int, int]]:
    """Return how many pieces of a part each board may have: of so many boards, and of so many others."""
    return [
        (mine, (count - mine * boards) // other_boards)
        for mine in range(count // boards + 1)
        if (count - mine * boards) % other_boards == 0
    ]


def settings_of(pattern: Pattern, settings: Sequence[int]) -> int:
    """How many settings of the stop a pattern takes."""
    return sum(each for count, each in zip(pattern, settings, strict=True) if count)


def as_plan(runs: Sequence[Run]) -> Plan:
    """Return the boards of each layout."""
    plan: Plan = {}
    for run in runs:
        plan[run.stock, run.pattern] = plan.get((run.stock, run.pattern), 0) + run.boards
    return plan


def as_runs(plan: Plan) -> list[Run]:
    """Return the boards of layouts as runs, in a fixed order."""
    return [
        Run(stock=stock, pattern=pattern, boards=plan[stock, pattern])
        for stock, pattern in sorted(plan)
        if plan[stock, pattern]
    ]
