"""Boards in a series of lengths: lengths that are missing, and a shorter board that costs more than a longer one."""

from collections.abc import Collection, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache, partial
from itertools import pairwise

from estimator.errors import Origin
from estimator.keeping.changes import item_words
from estimator.keeping.checking.doubts import FEWEST, Suspect, grouped, money, place_of, times_off
from estimator.keeping.checking.lumber import wood_text
from estimator.reading.fields import name_key
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.units import board_length_text


@dataclass(frozen=True, kw_only=True, slots=True)
class LengthDoubts:
    """Prices of lengths that do not agree, and series with even steps that some lengths are missing in."""

    odd: tuple[Suspect, ...]
    missing: tuple[Suspect, ...]


def length_doubts(lumber: Iterable[LumberPrice], told: Collection[Origin], shop: Shop) -> LengthDoubts:
    """Return what looks wrong in each series of lengths: one supplier's boards of one wood and section.

    Prices already `told` of are held against nothing, for a wrong price falls out of its series too.
    """
    odd: list[Suspect] = []
    missing: list[Suspect] = []
    for rows in grouped((row for row in lumber if row.length_in is not None), _series_key):
        odd += _dearer_and_shorter([row for row in rows if row.origin not in told], shop)
        if len(rows) >= FEWEST:
            gaps = _gaps(tuple(row.length_in for row in rows if row.length_in is not None))
            if gaps:
                missing.append(Suspect(origin=rows[0].origin, tell=partial(_tell_missing, rows[0], gaps, shop)))
    return LengthDoubts(odd=tuple(odd), missing=tuple(missing))


def _series_key(row: LumberPrice) -> Hashable:
    return name_key(row.supplier), name_key(row.species), name_key(row.grade), row.section.text


def _dearer_and_shorter(series: Iterable[LumberPrice], shop: Shop) -> Iterator[Suspect]:
    """Yield the boards sold each that cost more than the next longer one of as many."""
    each = sorted((row for row in series if row.pricing.basis == "each"), key=_by_length)
    for short, long in pairwise(each):
        alike = short.from_quantity == long.from_quantity and short.per == long.per
        if alike and short.price > long.price and short.length_in != long.length_in:
            weight = times_off(float(short.price), float(long.price))
            yield Suspect(origin=short.origin, weight=weight, tell=partial(_tell_dearer, short, long, shop))


def _by_length(row: LumberPrice) -> tuple[int, str, float]:
    return row.from_quantity, row.per, float(row.length_in or 0)


def _tell_dearer(short: LumberPrice, long: LumberPrice, shop: Shop) -> str:
    prices = [money(float(row.net_price), shop.currency) for row in (short, long)]
    longer = f"{board_length_text(long.length_in or Fraction(0), shop.unit)} for {prices[1]}"
    place = place_of(long.origin, short.origin)
    return f"{item_words(short, shop.unit)} costs {prices[0]}, more than the longer one, {place}: {longer}"


def _tell_missing(row: LumberPrice, missing: Sequence[Fraction], shop: Shop) -> str:
    named = ", ".join(board_length_text(length_in, shop.unit) for length_in in missing)
    return f"{wood_text(row)} {row.section.text} of {row.supplier} is listed in even steps, but not in {named}"


@lru_cache(maxsize=1024)  # a long list has the same few lengths of every wood
def _gaps(lengths_in: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """Return the lengths missing between the first and the last; nothing where the steps are not even."""
    listed = sorted(set(lengths_in))
    if len(listed) < FEWEST:
        return ()
    step_in = min(after - before for before, after in pairwise(listed))
    if any(((length_in - listed[0]) / step_in).denominator > 1 for length_in in listed):
        return ()
    steps = int((listed[-1] - listed[0]) / step_in)
    if steps + 1 >= 2 * len(listed):  # more missing than there: no series
        return ()
    return tuple(length_in for n in range(steps + 1) if (length_in := listed[0] + n * step_in) not in listed)
