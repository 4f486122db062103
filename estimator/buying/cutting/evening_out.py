"""Plans for boards that hold few pieces: so many boards, some overfull at first, evened out by trading pieces.

Filled one after the other such boards end badly: the fullest ones use up the short pieces, and long ones are left to
lie two to a board. With all boards in sight there are so many ways to deal the pieces of two boards anew that a good
plan is near. (Our own; local search by pairs of boards is common practice, no source.)
"""

from collections.abc import Iterator, Sequence
from itertools import combinations
from random import Random

import numpy as np
import numpy.typing as npt

from estimator.buying.cutting.oracles.few_pieces import MOST_PIECES, FewPiecesOracle
from estimator.buying.cutting.problem import Problem, Run

# Every way to deal the pieces of two boards, as the places that go to the first; an empty place may go too.
PLACES = range(2 * MOST_PIECES)
DEALS = np.array([[place in chosen for place in PLACES] for chosen in combinations(PLACES, MOST_PIECES)])

# How often, where no deal helps any more, some are done by chance, and how many.
MOST_SHAKES = 100
SHAKEN = 3

# What all boards together may be overfull by for this to be worth while, as a part of the longest: a near miss.
NEAR_MISS = 100

# A fixed start for chance, so that the same job gives the same plan.
SEED = 1

WholeNumbers = npt.NDArray[np.int64]


def evened_out(problem: Problem, oracle: FewPiecesOracle, counts: Sequence[int]) -> list[Run]:
    """Return a plan with so many boards of each stock, or no boards where none was found, which proves nothing.

    A heuristic.
    """
    stocks = [stock for stock, boards in enumerate(counts) for _ in range(boards)]
    parts = [part for part, wanted in enumerate(problem.demand) for _ in range(wanted)]
    if len(parts) > MOST_PIECES * len(stocks):
        return []
    boards = Boards([oracle.sizes[part] for part in parts], [oracle.capacities[stock] for stock in stocks])
    if not boards.even_out():
        return []
    runs = []
    for stock, pieces in zip(stocks, boards.pieces(), strict=True):
        pattern = [0] * len(problem.demand)
        for piece in pieces:
            pattern[parts[piece]] += 1
        if pieces:
            runs.append(Run(stock=stock, pattern=tuple(pattern), boards=1))
    return runs


class Boards:
    """All boards with the pieces they hold, more than fits on some."""

    def __init__(self, sizes: Sequence[int], capacities: Sequence[int]) -> None:
        """Deal the pieces out, the longest first, each to the board with the most room."""
        self._sizes = np.array([*sizes, 0], dtype=np.int64)  # the last one is no piece at all
        self._capacities = np.array(capacities, dtype=np.int64)
        self._held = np.full((len(capacities), MOST_PIECES), len(sizes), dtype=np.int64)
        room, filled = list(capacities), [0] * len(capacities)
        for piece in sorted(range(len(sizes)), key=lambda piece: (-sizes[piece], piece)):
            open_boards = (board for board, pieces in enumerate(filled) if pieces < MOST_PIECES)
            board = max(open_boards, key=lambda board: (room[board], -board))
            self._held[board, filled[board]] = piece
            filled[board] += 1
            room[board] -= sizes[piece]

    def pieces(self) -> Iterator[list[int]]:
        """Yield the pieces of each board."""
        for board in self._held.tolist():
            yield [piece for piece in board if piece < len(self._sizes) - 1]

    def even_out(self) -> bool:
        """Deal until no board is overfull, or nothing helps; whether none is."""
        random = Random(SEED)  # noqa: S311 - variety, not secrecy
        boards = range(len(self._held))
        for shakes in range(MOST_SHAKES):
            while self._deal_best():
                pass
            overfull = int(self._overfull().sum())
            if not overfull:
                return True
            if not shakes and overfull * NEAR_MISS > self._capacities.max():
                return False
            for _ in range(SHAKEN if len(boards) > 1 else 0):
                one, other = random.sample(boards, 2)
                self._deal(one, other, random.randrange(len(DEALS)))
        return False

    def _overfull(self) -> WholeNumbers:
        """Return by how much each board is overfull."""
        overfull: WholeNumbers = np.maximum(self._sizes[self._held].sum(axis=1) - self._capacities, 0)
        return overfull

    def _deal_best(self) -> bool:
        """Deal the pieces of an overfull board, the worst that can be helped, and of another anew; whether one could.

        The measure is the squares of what boards are overfull by: better several a little than one by much.
        """
        overfull = self._overfull()
        worst_first = np.argsort(-overfull, kind="stable").tolist()
        for board in worst_first[: np.count_nonzero(overfull)]:
            gains = self._gains(board, overfull)
            other, way = divmod(int(gains.argmax()), len(DEALS))
            if gains[other, way] > 0:
                self._deal(board, other, way)
                return True
        return False

    def _gains(self, board: int, overfull: WholeNumbers) -> WholeNumbers:
        """Return what there is to gain from dealing a board's pieces and each other's in every way."""
        lengths = self._sizes[np.hstack([np.broadcast_to(self._held[board], self._held.shape), self._held])]
        first = lengths @ DEALS.T
        second = lengths.sum(axis=1)[:, None] - first
        then = np.maximum(first - self._capacities[board], 0) ** 2
        then += np.maximum(second - self._capacities[:, None], 0) ** 2
        gains: WholeNumbers = (overfull[board] ** 2 + overfull**2)[:, None] - then
        gains[board] = 0
        return gains

    def _deal(self, one: int, other: int, way: int) -> None:
        """Give some pieces of two boards to the one and the rest to the other."""
        both = np.concatenate([self._held[one], self._held[other]])
        self._held[one], self._held[other] = both[DEALS[way]], both[~DEALS[way]]
