"""Boards of a plan that leaves a few pieces uncut, filled anew until those find room too. For parts in a row.

What stays uncut is put with the pieces of one board, the heap. Again and again another board is emptied on the heap and
filled from it as far as it goes, so that waste gathers at the heap, until what is on it fits on its own board. (After
Fleszar, Hindi 2002, New heuristics for the one-dimensional bin-packing problem, Computers & Operations Research 29,
from memory.)
"""

from collections.abc import Iterator, Sequence
from operator import add, sub
from random import Random

from estimator.buying.cutting.problem import Pattern, Run, binary_split

# Boards filled anew before pieces are left uncut: so often each, and in all.
FILLINGS_PER_BOARD = 40
MOST_FILLINGS = 3000

# A fixed start for chance, so that the same job gives the same plan.
SEED = 1

Boards = dict[tuple[int, Pattern], int]  # how many of each stock and pattern


def topped_up(
    runs: Sequence[Run], left: Sequence[int], sizes: Sequence[int], capacities: Sequence[int]
) -> list[Run] | None:
    """Return just as many boards of each stock that hold what is left too, or None where none are found. A heuristic.

    Boards that hold nothing yet are part of the plan.
    """
    free = sum((capacities[run.stock] - length_of(run.pattern, sizes)) * run.boards for run in runs)
    if free < length_of(left, sizes) or not runs:
        return None
    boards: Boards = {}
    for run in runs:
        put(boards, run.stock, run.pattern, run.boards)
    stock, pattern = max(boards, key=lambda column: (capacities[column[0]] - length_of(column[1], sizes), column))
    put(boards, stock, pattern, -1)
    heap = tuple(map(add, left, pattern))
    random = Random(SEED)  # noqa: S311 - variety, not secrecy
    for column in in_turn(boards, random):
        pieces = tuple(map(add, heap, column[1]))
        filled = filled_up(pieces, sizes, capacities[column[0]], random)
        put(boards, *column, -1)
        put(boards, column[0], filled)
        heap = tuple(map(sub, pieces, filled))
        if length_of(heap, sizes) <= capacities[stock]:
            put(boards, stock, heap)
            return [Run(stock=stock, pattern=pattern, boards=boards[stock, pattern]) for stock, pattern in boards]
    return None


def put(boards: Boards, stock: int, pattern: Pattern, count: int = 1) -> None:
    """Add boards, or with a number below 0 take some away."""
    count += boards.pop((stock, pattern), 0)
    if count:
        boards[stock, pattern] = count


def in_turn(boards: Boards, random: Random) -> Iterator[tuple[int, Pattern]]:
    """Yield the boards there are, round after round, in an order by chance, until there were enough."""
    fillings = min(MOST_FILLINGS, FILLINGS_PER_BOARD * len(boards))
    while boards and fillings > 0:
        columns = list(boards)
        random.shuffle(columns)
        for column in columns:
            if column in boards:
                yield column
                fillings -= 1


def filled_up(pieces: Pattern, sizes: Sequence[int], capacity: int, random: Random) -> Pattern:
    """Return pieces that fill a board as far as any do, by chance one choice of those that do.

    Bit n of a sum is set where some of the pieces take n.
    """
    within = (1 << (capacity + 1)) - 1
    bundles = [
        (part, copies, copies * sizes[part])
        for part, count in enumerate(pieces)
        if count
        for copies in binary_split(min(count, capacity // sizes[part]))
    ]
    random.shuffle(bundles)
    sums = [1]
    for _, _, length in bundles:
        sums.append(sums[-1] | ((sums[-1] << length) & within))
    taken = [0] * len(pieces)
    rest = sums[-1].bit_length() - 1
    for (part, copies, length), before in zip(reversed(bundles), reversed(sums[:-1]), strict=True):
        if not before >> rest & 1:
            taken[part] += copies
            rest -= length
    return tuple(taken)


def length_of(counts: Sequence[int], sizes: Sequence[int]) -> int:
    """Return what so many of each part take."""
    return sum(size * count for size, count in zip(sizes, counts, strict=True))
