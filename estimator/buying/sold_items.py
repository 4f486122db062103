"""What the price tables offer of one thing: the items of each supplier, each with its price breaks."""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass
from math import lcm
from typing import Generic, TypeVar

from estimator.buying.price_breaks import Tier, Tiers, paid_for, tiers_of
from estimator.reading.fields import name_key
from estimator.reading.sold import PriceRow

Row = TypeVar("Row", bound=PriceRow)


@dataclass(frozen=True, kw_only=True, slots=True)
class SoldItem(Generic[Row]):
    """One item of one supplier, with its prices in whole units of some fraction of a coin.

    `tiers` are its prices by the quantity they hold from, and `rows` the price row behind each of them.
    """

    rows: tuple[Row, ...]
    tiers: Tiers

    @property
    def first(self) -> Row:
        """A row of it, for what all of them have in common."""
        return self.rows[0]

    def bought(self, needed: int) -> tuple[Row, int]:
        """Return the price row under which so many cost least, and how many are paid for under it."""
        place, pieces = paid_for(self.tiers, needed)
        return self.rows[place], pieces


def sold_items(rows: Iterable[Row], price_of: Callable[[Row], int]) -> list[SoldItem[Row]]:
    """Return the items of some price rows, in the order of their first rows."""
    groups: dict[Hashable, list[Row]] = {}
    for row in rows:
        groups.setdefault((name_key(row.supplier), row.item_key), []).append(row)
    return [_sold_item(group, price_of) for group in groups.values()]


def in_whole_units(rows: Iterable[Row]) -> Callable[[Row], int]:
    """Return what gives the price of each row in whole numbers of the largest part that all of them are made of."""
    scale = lcm(*(row.net_price.denominator for row in rows))
    return lambda row: int(row.net_price * scale)


def _sold_item(rows: list[Row], price_of: Callable[[Row], int]) -> SoldItem[Row]:
    by_price: dict[tuple[int, int], Row] = {}
    for row in rows:
        by_price.setdefault((row.from_quantity, price_of(row)), row)
    tiers = tiers_of(list(by_price))
    return SoldItem(rows=tuple(_row_of(tier, rows[0], by_price) for tier in tiers), tiers=tiers)


def _row_of(tier: Tier, first: Row, by_price: dict[tuple[int, int], Row]) -> Row:
    """Return the row a tier comes from; where so few are not sold, any."""
    return by_price.get((max(1, tier.least), tier.price or 0), first)
