"""How many boards of each stock any plan needs: a small whole-number programme whose least cost bounds every plan.

For any weights of the parts, a board of stock i carries at most values[i] of weight, and the plan has to carry all of
the demand's: sum values[i] n[i] >= needed. The least cost of whole n under many such rows is a lower bound, and where
prices differ a far better one than the linear programme's, since boards are bought whole. (Surrogate reasoning on
dual-feasible functions; our own derivation, no source.)
"""

from collections.abc import Collection, Sequence
from heapq import heappop, heappush
from itertools import combinations, islice
from math import floor, gcd
from operator import mul
from typing import NamedTuple

from estimator.buying.cutting.bound import next_attainable
from estimator.buying.cutting.count_lines import CountLines
from estimator.buying.cutting.count_table import HIGHEST_COST, MOST_CHOICES, CountTable, choices_between
from estimator.buying.cutting.counts import Counts, LeastCounts
from estimator.buying.cutting.linear import ENDLESS, LinearProgram
from estimator.buying.cutting.rounding import Row, sharper_rows

# Multipliers of rows as whole numbers: fine enough beside row coefficients of up to 60 bits.
FINENESS = 1 << 128

# Branches looked at for one proposal of counts before the bound is left as it is; most need a few dozen.
MOST_BRANCHES = 1000

# Branches of one cost after which counts of just this cost are looked for directly.
PATIENCE = 4

# Stocks that make up the bulk of them, and among how many these are sought; counts that are then held against the rows.
BULK = 2
LIKELY = 3
MOST_ON_LINES = 2000

# Rounds of sharpening the rows at the root.
SHARPENINGS = 3

# A count this near to a whole one is taken for it.
NEARLY_WHOLE = 1e-6


class Branch(NamedTuple):
    """Counts between two bounds: what they cost at least, and where the linear programme would have them.

    Ordered by cost; among equals the newest comes first, since it is the deepest and closest to whole counts.
    """

    bound: int
    newest_first: int
    lower: Counts
    upper: Counts
    point: tuple[float, ...]
    rows: int


class Root(NamedTuple):
    """What is left of the counts under a cutoff.

    With it come the fractional counts of least cost and, in 1 / FINENESS of money, what a board of each stock costs
    beyond what it carries, the least cost that is proved and what may be spent beyond it.
    """

    lower: Counts
    upper: Counts
    point: list[float]
    rests: list[int]
    proved: int
    spare: int


class BoardCounts:
    """A branch-and-bound tree over the counts; its branches stay when rows are added, since rows only forbid more."""

    def __init__(self, *, prices: Counts, step: int, ceilings: Counts, cutoff: int, rows: Sequence[Row]) -> None:
        """Start the tree; `ceilings` are the most boards of each stock, costs from `cutoff` up do not matter."""
        self._prices = prices
        self._step = step
        self._ceilings = ceilings
        self._cutoff = cutoff
        self._rows: list[Row] = []
        self._scales: list[int] = []  # of the rows, each scaled to 1 for the solver and kept as it is for the proof
        self._columns: list[list[int]] = [[] for _ in prices]  # the values of the rows, stock by stock
        self._programme = LinearProgram(row_lower=[], row_upper=[])
        # The last column stands in for boards where there are too few: a branch without a solution then shows as dear.
        self._programme.add_columns(
            costs=[*map(float, prices), 2.0 * cutoff + 1],
            upper=[ENDLESS] * (len(prices) + 1),
            entries=[()] * (len(prices) + 1),
        )
        for row in rows:
            self.add(row)
        self._opened = 0
        self._queue: list[Branch] = []
        self._open((0,) * len(prices), ceilings)

    @property
    def bound(self) -> int:
        """A cost that no counts left in the tree are under."""
        return self._queue[0].bound if self._queue else self._cutoff

    def add(self, row: Row) -> None:
        """Take up a row."""
        if row.needed <= 0 or row in self._rows:
            return
        scale = max(*row.values, 1)
        self._rows.append(row)
        self._scales.append(scale)
        for column, value in zip(self._columns, row.values, strict=True):
            column.append(value)
        # With one of the stand-in a row is met.
        coefficients = [*(value / scale for value in row.values), row.needed / scale]
        self._programme.add_row(lower=row.needed / scale, coefficients=coefficients)

    def sharpen(self) -> None:
        """Add rows that follow for whole counts, as far as they tell at the root."""
        for _ in range(SHARPENINGS):
            point, duals = self._solve((0,) * len(self._prices), self._ceilings)
            active = [row for row, dual in zip(self._rows, duals, strict=True) if dual > 0]
            sharper = [new for row in active for new in sharper_rows(row, point, self._ceilings)]
            if not sharper:
                break
            for row in sharper:
                self.add(row)

    def table(self) -> CountTable | CountLines | None:
        """Return the counts under the cutoff as a table, or on lines: quicker; None where they are too many."""
        root = self._root()
        if root is None or self._cutoff > HIGHEST_COST:
            return None
        if choices_between(root.lower, root.upper) <= MOST_CHOICES:
            dearer = [max(0, rest) / max(1, root.spare) for rest in root.rests]
            return CountTable(prices=self._prices, lower=root.lower, upper=root.upper, rows=self._rows, dearer=dearer)
        spans = [high - low for low, high in zip(root.lower, root.upper, strict=True)]
        widest = sorted((stock for stock, price in enumerate(self._prices) if price), key=lambda n: (-spans[n], n))
        if len(widest) < BULK:
            return None
        lines = self._lines(root, (widest[0], widest[1]))
        return lines if lines.is_complete else None

    def _root(self) -> "Root | None":
        """Return what is left of the counts under the cutoff, if anything."""
        lower, upper = (0,) * len(self._prices), self._ceilings
        point, duals = self._solve(lower, upper)
        proved, rests = self._weigh(duals, lower, upper)
        spare = FINENESS * (self._cutoff - self._step) - proved
        if spare < 0:
            return None
        return Root(*narrowed(lower, upper, rests, spare), point, rests, proved, spare)

    def _lines(self, root: "Root", bulk: tuple[int, int]) -> CountLines:
        return CountLines(
            prices=self._prices,
            step=self._step,
            lower=root.lower,
            upper=root.upper,
            rows=self._rows,
            least=root.proved / FINENESS,
            spare=root.spare / FINENESS,
            dearer=[rest / FINENESS for rest in root.rests],
            bulk=bulk,
            near=root.point,
        )

    def cheapest(self, *, cutoff: int, tried: Collection[Counts] = ()) -> LeastCounts:
        """Return the cheapest counts under all rows but those `tried`; costs from `cutoff` up do not matter.

        Claims the bound. The linear programme only proposes where to branch and how to weigh the rows; what a branch
        costs at least is worked out from those weights in whole numbers.
        """
        self._cutoff = min(cutoff, self._cutoff)
        cost, branches_of_cost = 0, 0
        for _ in range(MOST_BRANCHES):
            if self.bound >= self._cutoff:
                return LeastCounts(bound=self._cutoff, counts=None)
            branches_of_cost = branches_of_cost + 1 if cost == self.bound else 1
            cost = self.bound
            counts = self._of_cost(cost, tried) if branches_of_cost == PATIENCE else self._look(tried)
            if counts:
                return LeastCounts(bound=cost, counts=counts)
        return LeastCounts(bound=self.bound, counts=None)

    def _look(self, tried: Collection[Counts]) -> Counts | None:
        """Return counts of no more than the first branch's cost, if its point is close to some; else split it."""
        branch = heappop(self._queue)
        counts = tuple(map(round, branch.point))
        if counts not in tried and self._costs(counts) <= branch.bound and self._meets_rows(counts):
            heappush(self._queue, branch)
            return counts
        if branch.rows < len(self._rows):
            self._open(branch.lower, branch.upper)
        else:
            halves = split(branch)
            for lower, upper in halves:
                self._open(lower, upper)
            if not halves:
                self._requeue(branch, tried)
        return None

    def _requeue(self, branch: Branch, tried: Collection[Counts]) -> None:
        """Queue a branch of a single point anew at what the point costs, which its proved bound may have missed."""
        cost = self._costs(branch.lower)
        if branch.bound < cost < self._cutoff and branch.lower not in tried and self._meets_rows(branch.lower):
            heappush(self._queue, branch._replace(bound=cost, point=tuple(map(float, branch.lower))))

    def _of_cost(self, cost: int, tried: Collection[Counts]) -> Counts | None:
        """Return counts of exactly a cost that meet every row, if some are found among the likely ones."""
        root = self._root()
        if root is None or cost > HIGHEST_COST:
            return None
        likely = sorted(
            (stock for stock, price in enumerate(self._prices) if price),
            key=lambda stock: (root.point[stock] < NEARLY_WHOLE, root.rests[stock], stock),
        )
        for first, second in combinations(likely[:LIKELY], BULK):
            for counts in islice(self._lines(root, (first, second)).of_cost(cost), MOST_ON_LINES):
                if counts not in tried and self._meets_rows(counts):
                    return counts
        return None

    def _costs(self, counts: Counts) -> int:
        """Return what so many boards of each stock cost."""
        return sum(price * count for price, count in zip(self._prices, counts, strict=True))

    def _meets_rows(self, counts: Counts) -> bool:
        """Whether counts meet every row."""
        return all(row.met_by(counts) for row in self._rows)

    def _solve(self, lower: Counts, upper: Counts) -> tuple[list[float], list[float]]:
        """Return the fractional counts between two bounds and the duals of the rows."""
        self._programme.set_column_bounds(lower=list(map(float, lower)), upper=list(map(float, upper)))
        point, duals = self._programme.solve()
        return point[:-1], duals

    def _open(self, lower: Counts, upper: Counts) -> None:
        """Queue a branch, unless nothing in it is under the cutoff."""
        point, duals = self._solve(lower, upper)
        proved, rests = self._weigh(duals, lower, upper)
        spare = FINENESS * (self._cutoff - self._step) - proved
        if spare < 0:
            return
        lower, upper = narrowed(lower, upper, rests, spare)
        bound = self._attainable(-(-proved // FINENESS), lower, upper)
        if bound < self._cutoff:
            self._opened += 1
            heappush(self._queue, Branch(bound, -self._opened, lower, upper, tuple(point), len(self._rows)))

    def _attainable(self, cost: int, lower: Counts, upper: Counts) -> int:
        """Return a cost, no less than this one, that no counts between two bounds are under.

        Where a count is certain, its boards are paid for, and only the other prices can make up the rest.
        """
        if any(low > high for low, high in zip(lower, upper, strict=True)):
            return self._cutoff
        paid = self._costs(lower)
        step = gcd(*(price for price, low, high in zip(self._prices, lower, upper, strict=True) if low < high))
        rest = -(-max(0, cost - paid) // step) * step if step else 0
        return max(paid + rest, next_attainable(self._prices, self._step, cost))

    def _weigh(self, duals: Sequence[float], lower: Counts, upper: Counts) -> tuple[int, list[int]]:
        """Return the least cost between two bounds that weighing the rows proves (Lagrange), in 1 / FINENESS of money.

        With it comes what a board of each stock costs beyond what it carries.
        """
        weights = [max(0, int(dual * (FINENESS // scale))) for dual, scale in zip(duals, self._scales, strict=True)]
        proved = sum(weight * row.needed for weight, row in zip(weights, self._rows, strict=True))
        rests = [
            FINENESS * price - sum(map(mul, weights, column))
            for price, column in zip(self._prices, self._columns, strict=True)
        ]
        for rest, low, high in zip(rests, lower, upper, strict=True):
            proved += rest * (low if rest >= 0 else high)
        return proved, rests


def narrowed(lower: Counts, upper: Counts, rests: Sequence[int], spare: int) -> tuple[Counts, Counts]:
    """Bounds without the counts that by themselves cost more than there is to spare over the branch's least cost."""
    sides = list(zip(lower, upper, rests, strict=True))
    return (
        tuple(max(low, high - spare // -rest) if rest < 0 else low for low, high, rest in sides),
        tuple(min(high, low + spare // rest) if rest > 0 else high for low, high, rest in sides),
    )


def split(branch: Branch) -> list[tuple[Counts, Counts]]:
    """Two halves of a branch, cut where its point is furthest from whole counts; none when it is a single point."""
    wide = [stock for stock, (low, high) in enumerate(zip(branch.lower, branch.upper, strict=True)) if low < high]
    if not wide:
        return []
    stock = max(wide, key=lambda stock: abs(branch.point[stock] - round(branch.point[stock])))
    low, high = branch.lower[stock], branch.upper[stock]
    below = min(max(floor(branch.point[stock] + NEARLY_WHOLE), low), high - 1)
    return [
        (branch.lower, (*branch.upper[:stock], below, *branch.upper[stock + 1 :])),
        ((*branch.lower[:stock], below + 1, *branch.lower[stock + 1 :]), branch.upper),
    ]
