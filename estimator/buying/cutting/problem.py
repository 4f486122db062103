"""The job as the search sees it: equal lengths merged, useless stock dropped, kerf hidden in the sizes.

n pieces and n - 1 kerfs within L is the same as n pieces of length + kerf within L + kerf, so sizes and capacities
carry one kerf more and the kerf is gone.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

from estimator.buying.cutting.job import CuttingJob, Layout, PieceTooLong

Pattern = tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Run:
    """Boards of one stock that are all cut by one pattern."""

    stock: int
    pattern: Pattern
    boards: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """Parts by falling size with their demands, stocks with prices and limits; an oracle knows what fits on a board."""

    sizes: tuple[int, ...]
    demand: tuple[int, ...]
    prices: tuple[int, ...]
    limits: tuple[int | None, ...]

    @property
    def price_step(self) -> int:
        """The largest amount that every sum of prices is a multiple of."""
        return gcd(*self.prices) or 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Merged:
    """A problem, the capacity of each of its stocks, and the places in the job its stocks and parts come from."""

    problem: Problem
    capacities: tuple[int, ...]
    stock_places: tuple[int, ...]
    piece_places: tuple[tuple[int, ...], ...]


def merge(job: CuttingJob) -> Merged:
    """Return the problem behind a job; pieces longer than every stock are refused."""
    longest = max((stock.length for stock in job.stocks), default=-1)
    too_long = tuple(n for n, piece in enumerate(job.pieces) if piece.demand and piece.length > longest)
    if too_long:
        raise PieceTooLong(too_long)
    lengths = sorted({piece.length for piece in job.pieces if piece.demand}, reverse=True)
    piece_places = tuple(tuple(n for n, p in enumerate(job.pieces) if p.demand and p.length == ln) for ln in lengths)
    sizes = tuple(length + job.kerf for length in lengths)
    demand = tuple(sum(job.pieces[place].demand for place in places) for places in piece_places)
    useful = useful_stocks(job, sizes, demand)
    places = tuple(sorted(useful))
    total = sum(demand)
    return Merged(
        problem=Problem(
            sizes=sizes,
            demand=demand,
            prices=tuple(job.stocks[place].price for place in places),
            limits=tuple(limit_within(total, job.stocks[place].limit) for place in places),
        ),
        capacities=tuple(useful[place] for place in places),
        stock_places=places,
        piece_places=piece_places,
    )


def useful_stocks(job: CuttingJob, sizes: Sequence[int], demand: Sequence[int]) -> dict[int, int]:
    """Return the filled capacity, by place in the job, of the stocks a cheapest plan may need.

    A stock counts no longer than the longest row of pieces that fits on it, so two boards that hold the same pieces
    show as equals. A stock beaten in capacity and price by one that never runs out is dropped.
    """
    sums = reachable_sums(sizes, demand, max((stock.length for stock in job.stocks), default=0) + job.kerf)
    filled = {
        place: (sums & ((1 << (stock.length + job.kerf + 1)) - 1)).bit_length() - 1
        for place, stock in enumerate(job.stocks)
        if stock.limit != 0
    }
    total = sum(demand)
    kept: dict[int, int] = {}
    # Endless stock first among equals: it beats the limited one of the same length and price.
    for place in sorted(
        filled, key=lambda n: (-filled[n], job.stocks[n].price, limit_within(total, job.stocks[n].limit) is not None, n)
    ):
        stock = job.stocks[place]
        beaten = any(
            limit_within(total, job.stocks[other].limit) is None and job.stocks[other].price <= stock.price
            for other in kept
        )
        if filled[place] > 0 and not beaten:
            kept[place] = filled[place]
    return kept


def limit_within(total: int, limit: int | None) -> int | None:
    """Return a limit that can be felt where `total` pieces are cut, each board holding at least one; else None."""
    return None if limit is None or limit >= total else limit


def reachable_sums(sizes: Sequence[int], demand: Sequence[int], most: int) -> int:
    """Bits of the sums, up to `most`, of pieces of these sizes, none more often than its demand."""
    within = (1 << (most + 1)) - 1
    sums = 1
    for size, wanted in zip(sizes, demand, strict=True):
        for copies in binary_split(min(wanted, most // size)):
            sums |= (sums << (copies * size)) & within
    return sums


def binary_split(count: int) -> list[int]:
    """Bundles 1, 2, 4, ... and a rest that make every number from 0 to `count` and none above."""
    bundles = []
    bundle = 1
    while count > 0:
        bundles.append(min(bundle, count))
        count -= bundle
        bundle *= 2
    return bundles


def as_layouts(job: CuttingJob, merged: Merged, runs: Sequence[Run]) -> tuple[Layout, ...]:
    """Return the layouts behind runs of merged parts: parts of one length go to their pieces in the job's order."""
    waiting = [[job.pieces[place].demand for place in places] for places in merged.piece_places]
    boards: dict[tuple[int, tuple[int, ...]], int] = {}
    for run in runs:
        left = run.boards
        while left:
            counts, repeats = next_counts(len(job.pieces), merged.piece_places, waiting, run.pattern)
            repeats = min(repeats, left)
            for part, places in enumerate(merged.piece_places):
                for n, place in enumerate(places):
                    waiting[part][n] -= counts[place] * repeats
            key = (merged.stock_places[run.stock], counts)
            boards[key] = boards.get(key, 0) + repeats
            left -= repeats
    ordered = sorted(boards, key=lambda key: (key[0], [-count for count in key[1]]))
    return tuple(Layout(stock=stock, counts=counts, boards=boards[stock, counts]) for stock, counts in ordered)


def as_shortages(job: CuttingJob, merged: Merged, left: Sequence[int]) -> tuple[int, ...]:
    """How many of each piece of the job stay uncut: of pieces of one length, the last in the job's order go short."""
    shortages = [0] * len(job.pieces)
    for places, uncut in zip(merged.piece_places, left, strict=True):
        still = uncut
        for place in reversed(places):
            shortages[place] = min(still, job.pieces[place].demand)
            still -= shortages[place]
    return tuple(shortages)


def next_counts(
    pieces: int, piece_places: Sequence[Sequence[int]], waiting: Sequence[Sequence[int]], pattern: Pattern
) -> tuple[tuple[int, ...], int]:
    """Which pieces the next board of a pattern serves, and how many boards in a row can serve just these."""
    counts = [0] * pieces
    repeats = None
    for places, left, wanted in zip(piece_places, waiting, pattern, strict=True):
        open_count = wanted
        for place, still in zip(places, left, strict=True):
            taken = min(open_count, still)
            if taken:
                counts[place] = taken
                open_count -= taken
                repeats = still // taken if repeats is None else min(repeats, still // taken)
    return tuple(counts), repeats or 0
