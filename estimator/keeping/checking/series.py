"""Screws and bolts in a series of lengths: prices a piece that fall out of those of the next lengths."""

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial
from statistics import mean

from estimator.keeping.changes import item_words
from estimator.keeping.checking.doubts import FEWEST, Suspect, grouped, place_of, times_off
from estimator.keeping.checking.packed import Packed, rate_text, slip_of
from estimator.reading.fields import name_key
from estimator.reading.shop import Shop
from estimator.reading.sold import HardwarePrice

SERIES_FACTOR = 3  # times what the next lengths make likely; common practice, no source
IN_SERIES = {"screw", "screws", "bolt", "bolts"}


@dataclass(frozen=True, kw_only=True, slots=True)
class _Length:
    """One length of a series, with its prices."""

    length_in: float
    rows: Sequence[Packed]


def out_of_series(hardware: Iterable[Packed], shop: Shop) -> list[tuple[Packed, Suspect]]:
    """Return the prices of screws and bolts that are far from what the next lengths of their kind make likely."""
    found: list[tuple[Packed, Suspect]] = []
    for series in grouped(hardware, _series_key):
        if _series_key(series[0]):
            lengths = _lengths(series)
            for place, length in enumerate(lengths if len(lengths) >= FEWEST else ()):
                next_lengths = [lengths[other] for other in _next_to(place, len(lengths))]
                found += (far for one in length.rows if (far := _far_from_next(one, length, next_lengths, shop)))
    return found


def _series_key(one: Packed) -> Hashable:
    """Return what a series has in common; nothing for what comes in no lengths, or is neither screw nor bolt."""
    row = one.row
    if not isinstance(row, HardwarePrice) or row.length_in is None or IN_SERIES.isdisjoint(name_key(row.kind).split()):
        return ()
    return name_key(row.kind), name_key(row.size), name_key(row.material)


def _lengths(series: Iterable[Packed]) -> list[_Length]:
    """Return the lengths of a series, the shortest first."""
    lengths = [
        _Length(length_in=float(row.length_in), rows=rows)
        for rows in grouped(series, lambda one: one.item)
        if isinstance(row := rows[0].row, HardwarePrice) and row.length_in is not None
    ]
    return sorted(lengths, key=lambda one: one.length_in)


def _next_to(place: int, count: int) -> tuple[int, int]:
    """Return the places of the lengths before and after one; at an end of the series those of the two nearest."""
    if place == 0:
        return 1, 2
    return (place - 1, place + 1) if place < count - 1 else (place - 1, place - 2)


def _far_from_next(
    one: Packed, length: _Length, next_lengths: Sequence[_Length], shop: Shop
) -> tuple[Packed, Suspect] | None:
    """Return a price that is far from both next lengths, each in the pack that is nearest in size."""
    times = float("inf")
    nearest: list[Packed] = []
    for other in next_lengths:
        nearest.append(min(other.rows, key=lambda row: times_off(row.size, one.size)))
        times = min(times, _times_out(one.each, nearest[-1].each, length.length_in / other.length_in))
        if times <= SERIES_FACTOR:
            return None
    return one, Suspect(origin=one.row.origin, weight=times, tell=partial(_tell, one, nearest, shop))


def _times_out(each: float, of_other: float, times_as_long: float) -> float:
    """Return how many times a price is below or above what another length makes likely.

    That is the other's price, or as many times it as the piece is as long, and all between.
    """
    low, high = sorted((of_other, of_other * times_as_long))
    return max(low / each, each / high)


def _tell(one: Packed, nearest: Sequence[Packed], shop: Shop) -> str:
    figures = (
        f"{rate_text(other.each, other, shop)} ({place_of(other.row.origin, one.row.origin)})" for other in nearest
    )
    likely = mean(other.each for other in nearest)
    return (
        f"{item_words(one.row, shop.unit)} comes to {rate_text(one.each, one, shop)}, and the next lengths to "
        f"{' and '.join(figures)}{slip_of(one, likely, nearest, shop)}"
    )
