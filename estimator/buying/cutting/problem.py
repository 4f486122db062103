"""The job as the search sees it: pieces that can take each other's place merged, useless stock dropped."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import gcd

from estimator.buying.cutting.job import CuttingJob, Ends, Piece, PieceTooLong

Pattern = tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Run:
    """Boards of one stock that are all cut by one pattern."""

    stock: int
    pattern: Pattern
    boards: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """Parts by falling length with their demands, stocks with prices and limits; an oracle knows what fits on a board.

    A size is how much material a part takes; it serves to weigh parts against each other.
    """

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
    """A problem, its parts, the length of each of its stocks, and where in the job stocks and parts come from."""

    problem: Problem
    parts: tuple[Piece, ...]
    lengths: tuple[int, ...]
    stock_places: tuple[int, ...]
    piece_places: tuple[tuple[int, ...], ...]


def merge(job: CuttingJob) -> Merged:
    """Return the problem behind a job; pieces longer than every stock are refused."""
    longest = max((stock.length for stock in job.stocks), default=-1)
    too_long = tuple(n for n, piece in enumerate(job.pieces) if piece.demand and piece.length > longest)
    if too_long:
        raise PieceTooLong(too_long)
    alike: dict[tuple[int, int, tuple[Ends, ...]], list[int]] = {}
    for place, piece in enumerate(job.pieces):
        if piece.demand:
            alike.setdefault(likeness(job, piece), []).append(place)
    piece_places = tuple(tuple(alike[key]) for key in sorted(alike, reverse=True))
    parts = tuple(
        replace(job.pieces[places[0]], demand=sum(job.pieces[place].demand for place in places))
        for places in piece_places
    )
    useful = useful_stocks(job, parts)
    places = tuple(sorted(useful))
    demand = tuple(part.demand for part in parts)
    return Merged(
        problem=Problem(
            sizes=tuple(material_size(job, part) for part in parts),
            demand=demand,
            prices=tuple(job.stocks[place].price for place in places),
            limits=tuple(limit_within(sum(demand), job.stocks[place].limit) for place in places),
        ),
        parts=parts,
        lengths=tuple(useful[place] for place in places),
        stock_places=places,
        piece_places=piece_places,
    )


def likeness(job: CuttingJob, piece: Piece) -> tuple[int, int, tuple[Ends, ...]]:
    """Return what pieces that can take each other's place have in common; longer and wider ones sort higher."""
    return piece.length, job.width_of(piece), tuple(sorted(set(piece.ends)))


def material_size(job: CuttingJob, piece: Piece) -> int:
    """Return how much material a piece takes with a kerf: its length, or its area where pieces are ripped."""
    if job.ripping is None or not job.is_ripped:
        return piece.length + job.kerf
    return (piece.length + job.kerf) * (job.width_of(piece) + job.ripping.kerf)


def useful_stocks(job: CuttingJob, parts: Sequence[Piece]) -> dict[int, int]:
    """Return the length that counts, by place in the job, of the stocks a cheapest plan may need.

    A stock beaten in length and price by one that never runs out is dropped. Where parts lie square in a row a stock
    counts no longer than the longest row of them that fits on it, so two boards that hold the same show as equals.
    """
    lengths = {place: stock.length for place, stock in enumerate(job.stocks) if stock.limit != 0}
    if not job.is_ripped and not job.is_nested:
        lengths = filled_lengths(job, parts, lengths)
    total = sum(part.demand for part in parts)
    shortest = min(part.length for part in parts) if parts else 0
    kept: dict[int, int] = {}
    # Endless stock first among equals: it beats the limited one of the same length and price.
    limits = {place: limit_within(total, job.stocks[place].limit) for place in lengths}
    for place in sorted(lengths, key=lambda n: (-lengths[n], job.stocks[n].price, limits[n] is not None, n)):
        stock = job.stocks[place]
        beaten = any(limits[other] is None and job.stocks[other].price <= stock.price for other in kept)
        if lengths[place] >= shortest and not beaten:
            kept[place] = lengths[place]
    return kept


def filled_lengths(job: CuttingJob, parts: Sequence[Piece], lengths: dict[int, int]) -> dict[int, int]:
    """Return the lengths of stocks less what no row of the parts can fill."""
    sizes = [part.length + job.kerf for part in parts]
    sums = reachable_sums(sizes, [part.demand for part in parts], max(lengths.values(), default=0) + job.kerf)
    return {
        place: (sums & ((1 << (length + job.kerf + 1)) - 1)).bit_length() - 1 - job.kerf
        for place, length in lengths.items()
    }


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
