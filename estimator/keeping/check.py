"""What looks wrong in the price tables: old prices, prices out by a factor, lengths missing in a series.

Doubts, no faults: whatever cannot be read, and two prices of one item, is a fault of the tables' reader already.
"""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise
from statistics import median

from estimator.buying.offers import board_feet_of, units_in_board
from estimator.errors import Notice
from estimator.reading.fields import name_key
from estimator.reading.prices import PriceTables
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice, PriceRow
from estimator.units import board_length_text

FACTOR = 2  # from the middle price of the same wood a board foot; common practice, no source
FEWEST = 3  # prices that have a middle, and lengths that make a series
BOARD_FEET_PER_FT3 = 12


def price_doubts(tables: PriceTables, shop: Shop, today: date) -> tuple[Notice, ...]:
    """Return what to look at again, table by table."""
    rows: tuple[Sequence[PriceRow], ...] = (tables.lumber, tables.hardware, tables.finishes, tables.consumables)
    old = [notice for table in rows for notice in _old_prices(table, shop, today)]
    return (*old, *_out_by_a_factor(tables.lumber), *_missing_lengths(tables.lumber, shop))


def _old_prices(rows: Iterable[PriceRow], shop: Shop, today: date) -> list[Notice]:
    """Return a notice for each file with prices older than the shop's limit, at the oldest."""
    by_file: dict[str, list[PriceRow]] = {}
    for row in rows:
        if (today - row.day).days > shop.stale_after_days:
            by_file.setdefault(row.origin.file, []).append(row)
    notices = []
    for old in by_file.values():
        oldest = min(old, key=lambda row: row.day)
        many = f"{len(old)} prices are" if len(old) > 1 else "1 price is"
        message = f"{many} older than {shop.stale_after_days} days; the oldest is this one, of {oldest.day}"
        notices.append(Notice(origin=oldest.origin, message=message))
    return notices


def _out_by_a_factor(lumber: Iterable[LumberPrice]) -> list[Notice]:
    """Return a notice for each price a board foot that is far from the middle one of its species and grade."""
    notices = []
    for rows in _grouped(lumber, lambda row: (name_key(row.species), name_key(row.grade))):
        rates = [_price_of_a_board_foot(row) for row in rows]
        middle = median(rates)
        for row, rate in zip(rows, rates, strict=True):
            if len(rows) >= FEWEST and not middle / FACTOR <= rate <= middle * FACTOR:
                message = (
                    f"{_wood(row)} costs {float(rate):.2f} a board foot, and the middle price of {row.species} is "
                    f"{float(middle):.2f}; is what it is per right, and the decimal point?"
                )
                notices.append(Notice(origin=row.origin, message=message))
    return notices


def _price_of_a_board_foot(row: LumberPrice) -> Fraction:
    """Return the price of a board foot by nominal measure."""
    price = Fraction(row.price)
    if row.pricing.basis == "board foot":
        return price / row.pricing.units
    if row.pricing.basis == "cubic foot":
        return price / row.pricing.units / BOARD_FEET_PER_FT3
    return price * units_in_board(row) / board_feet_of(row)


def _missing_lengths(lumber: Iterable[LumberPrice], shop: Shop) -> list[Notice]:
    """Return a notice for each series of lengths with even steps that some are missing in."""
    notices = []
    for rows in _grouped(
        (row for row in lumber if row.length_in is not None),
        lambda row: (name_key(row.supplier), name_key(row.species), name_key(row.grade), row.section.text),
    ):
        lengths_in = sorted({row.length_in for row in rows if row.length_in is not None})
        missing = _gaps(lengths_in)
        if missing:
            named = ", ".join(board_length_text(length_in, shop.unit) for length_in in missing)
            message = f"{_wood(rows[0])} of {rows[0].supplier} is listed in even steps, but not in {named}"
            notices.append(Notice(origin=rows[0].origin, message=message))
    return notices


def _gaps(lengths_in: Sequence[Fraction]) -> list[Fraction]:
    """Return the lengths missing between the first and the last; nothing where the steps are not even."""
    if len(lengths_in) < FEWEST:
        return []
    step_in = min(after - before for before, after in pairwise(lengths_in))
    steps = (lengths_in[-1] - lengths_in[0]) / step_in
    if any(((length_in - lengths_in[0]) / step_in).denominator > 1 for length_in in lengths_in):
        return []
    series = [lengths_in[0] + n * step_in for n in range(int(steps) + 1)]
    missing = [length_in for length_in in series if length_in not in lengths_in]
    return missing if len(missing) < len(lengths_in) else []


def _wood(row: LumberPrice) -> str:
    return " ".join(filter(None, (row.species, row.grade, row.section.text)))


def _grouped(
    rows: Iterable[LumberPrice], key: Callable[[LumberPrice], tuple[str, ...]]
) -> tuple[list[LumberPrice], ...]:
    groups: dict[tuple[str, ...], list[LumberPrice]] = {}
    for row in rows:
        groups.setdefault(key(row), []).append(row)
    return tuple(groups.values())
