"""From a fractional plan to whole boards: fix what is whole, solve for the rest, again and again.

Diving with new patterns at every depth: Sadykov and others 2019, INFORMS Journal on Computing 31 (from memory).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import inf
from random import Random

from estimator.buying.cutting.greedy import most_boards, take
from estimator.buying.cutting.master import Column, Master, Relaxed, Setting
from estimator.buying.cutting.pricing import Oracle
from estimator.buying.cutting.problem import Pattern, Run

# A fraction this near to the next whole number is taken for it.
NEARLY_WHOLE = 1e-6

# Of the largest fractions, those among which a dive by chance picks the one to round up.
TO_CHOOSE_FROM = 4

# Boards of each pattern that a dive by chance leaves open although the fractional plan has them whole.
LEFT_OPEN = 2

# A fixed start for chance, so that the same job gives the same plan.
SEED = 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Manner:
    """How a dive decides: which column to round up, from columns by falling fraction, and how much to leave open."""

    choose: Callable[[Sequence[Column]], Column]
    left_open: int


def manners(count: int) -> Iterator[Manner]:
    """Yield so many manners: straight for the largest fraction first, then by chance among the largest."""
    yield Manner(choose=lambda columns: columns[0], left_open=0)
    for n in range(1, count):
        random = Random(SEED + n)  # noqa: S311 - variety, not secrecy
        yield Manner(choose=partial(one_of_the_first, random), left_open=LEFT_OPEN)


def one_of_the_first(random: Random, columns: Sequence[Column]) -> Column:
    """Return one of the columns with the largest fractions."""
    return random.choice(columns[:TO_CHOOSE_FROM])


@dataclass(frozen=True, kw_only=True, slots=True)
class Dived:
    """The boards a dive settled on, and what it left uncut."""

    runs: tuple[Run, ...]
    left: tuple[int, ...]


def dive(
    oracle: Oracle,
    setting: Setting,
    relaxed: Relaxed,
    columns: Iterable[Column],
    manner: Manner,
    *,
    stop: float = inf,
    give_up: Callable[[], bool] = lambda: False,
) -> Dived:
    """Return whole boards near a fractional plan; with parts left uncut where they would cost more than `stop`.

    Parts are left uncut too once `give_up` says so.

    A heuristic.
    """
    left, available = list(setting.demand), list(setting.limits)
    runs: list[Run] = []
    while True:
        fixed = fix_whole_boards(relaxed, left, available, left_open=manner.left_open)
        fixed = fixed or round_one_up(relaxed, left, available, manner)
        runs += fixed
        cost = sum(setting.prices[run.stock] * run.boards for run in runs)
        if not fixed or not any(left) or give_up():
            return Dived(runs=tuple(runs), left=tuple(left))
        setting = replace(setting, demand=tuple(left), limits=tuple(available))
        master = Master(setting, clipped(columns, left, available))
        relaxed = master.relax(oracle.within(left), is_enough=lambda _: give_up())
        columns = master.columns
        if cost + relaxed.cost > stop + NEARLY_WHOLE:
            return Dived(runs=tuple(runs), left=tuple(left))


def fix_whole_boards(
    relaxed: Relaxed, left: list[int], available: list[int | None], *, left_open: int = 0
) -> list[Run]:
    """Return the whole boards of a fractional plan but some left open, as far as no part gets cut too often."""
    runs = []
    for (stock, pattern), boards in sorted(relaxed.boards.items(), key=lambda item: (-item[1], item[0])):
        whole = min(int(boards + NEARLY_WHOLE) - left_open, most_boards(pattern, left, available[stock]))
        if whole > 0:
            runs.append(take(stock, pattern, whole, left, available))
    return runs


def whole_columns(relaxed: Relaxed, left: list[int], available: list[int | None], manner: Manner) -> list[Run]:
    """One board of each column that is wanted whole, chosen one after the other."""
    runs = []
    waiting = [column for column, _ in sorted(relaxed.boards.items(), key=lambda item: (-(item[1] % 1), item[0]))]
    while waiting:
        column = manner.choose(waiting)
        waiting.remove(column)
        stock, pattern = column
        if available[stock] != 0 and all(count <= wanted for count, wanted in zip(pattern, left, strict=True)):
            runs.append(take(stock, pattern, 1, left, available))
    return runs


def round_one_up(relaxed: Relaxed, left: list[int], available: list[int | None], manner: Manner) -> list[Run]:
    """One board of a chosen column, less the parts that are not wanted any more."""
    usable = [column for column, _ in sorted(relaxed.boards.items(), key=lambda item: (-item[1], item[0]))]
    usable = clipped(usable, left, available)
    if not usable:
        return []
    stock, pattern = manner.choose(usable)
    return [take(stock, pattern, 1, left, available)]


def clipped(columns: Iterable[Column], left: Sequence[int], available: Sequence[int | None]) -> list[Column]:
    """Columns with no part more often than it is left, for stock there still is; those that turn out empty dropped."""
    kept: dict[tuple[int, Pattern], None] = {}
    for stock, pattern in columns:
        if available[stock] != 0:
            smaller = tuple(map(min, pattern, left))
            if any(smaller):
                kept[stock, smaller] = None
    return list(kept)
