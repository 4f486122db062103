"""Packs and cans: prices a piece, gallon or other unit that are far from the rest, and packs that do not agree.

Goods are compared within one item, over its packs and suppliers. A row that is far off by itself is left out when packs
are compared, so that it is told once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from statistics import median

from estimator.keeping.changes import item_words
from estimator.keeping.checking.doubts import FEWEST, Suspect, grouped, misfit, money, place_of, times_off
from estimator.keeping.checking.packed import Packed, packed, rate_text, readings_of, slip_of
from estimator.keeping.checking.series import out_of_series
from estimator.money import Currency
from estimator.reading.fields import name_key
from estimator.reading.prices import PriceTables
from estimator.reading.shop import Shop

PACKS_FACTOR = 4  # times the middle price a piece of one item; common practice, no source
MOST_PACKS = 30  # of one item and supplier that each pack is held against; common sense, no source


@dataclass(frozen=True, kw_only=True, slots=True)
class PackDoubts:
    """Prices far from the rest, and packs of one supplier that do not agree with one another."""

    far: tuple[Suspect, ...]
    odd: tuple[Suspect, ...]


def pack_doubts(tables: PriceTables, shop: Shop) -> PackDoubts:
    """Return what looks wrong in the tables of hardware, finishes and consumables."""
    hardware = packed(tables.hardware)
    far = out_of_series(hardware, shop)
    told = {id(one) for one, _ in far}
    suspects = [suspect for _, suspect in far]
    odd: list[Suspect] = []
    goods = (*(one for one in hardware if id(one) not in told), *packed(tables.finishes), *packed(tables.consumables))
    for item in grouped(goods, lambda one: (type(one.row), one.item)):
        if len(item) > 1:
            far_off = _far_from_middle(item)
            suspects += (_far_suspect(one, middle, item, shop) for one, middle in far_off)
            left_out = {id(one) for one, _ in far_off}
            odd += _odd_packs([one for one in item if id(one) not in left_out], shop)
    return PackDoubts(far=tuple(suspects), odd=tuple(odd))


def _far_from_middle(item: Sequence[Packed]) -> list[tuple[Packed, float]]:
    """Return the prices that are far from the middle one of their item, with it.

    Of only two that are far apart it is the one that a slip explains better, or else the larger pack.
    """
    if len(item) >= FEWEST:
        middle = median([one.each for one in item])
        return [(one, middle) for one in item if times_off(one.each, middle) > PACKS_FACTOR]
    first, second = item
    if times_off(first.each, second.each) <= PACKS_FACTOR:
        return []
    both = ((first, second.each), (second, first.each))
    return [
        min(both, key=lambda pair: (misfit(readings_of(pair[0], pair[1], item), pair[1]), -pair[0].size, -pair[0].each))
    ]


def _far_suspect(one: Packed, middle: float, item: Sequence[Packed], shop: Shop) -> Suspect:
    return Suspect(
        origin=one.row.origin,
        weight=times_off(one.each, middle),
        tell=partial(_tell_far, one, middle, item, shop),
    )


def _tell_far(one: Packed, middle: float, item: Sequence[Packed], shop: Shop) -> str:
    others = "the middle price of it" if len(item) >= FEWEST else "the only other price of it"
    return (
        f"{item_words(one.row, shop.unit)} comes to {rate_text(one.each, one, shop)}, and {others} to "
        f"{rate_text(middle, one, shop)}{slip_of(one, middle, item, shop)}"
    )


def _odd_packs(item: Sequence[Packed], shop: Shop) -> list[Suspect]:
    """Return the packs of one item that do not agree with the most of their supplier's that do.

    A larger pack costs no less than a smaller one, and no more a piece. Prices that hold from so many packs on are for
    a quantity of their own, so they are left out.
    """
    single = [one for one in item if one.row.from_quantity == 1]
    suspects: list[Suspect] = []
    for packs in grouped(single, lambda one: name_key(one.row.supplier)):
        by_size = sorted(packs, key=lambda one: one.size)
        if not all(_agree(smaller, larger, shop.currency) for smaller, larger in pairwise(by_size)):
            middle = median([one.each for one in single])
            suspects += _quarrels(by_size, _most_agreeing(by_size, middle, shop.currency), shop)
    return suspects


def _agree(smaller: Packed, larger: Packed, currency: Currency) -> bool:
    if smaller.size == larger.size:
        return True
    if larger.price < smaller.price or larger.each <= smaller.each:
        return larger.price >= smaller.price
    highest_each = (smaller.price + _half_a_coin(smaller, currency)) / smaller.size
    lowest_each = (larger.price - _half_a_coin(larger, currency)) / larger.size
    return lowest_each <= highest_each


def _half_a_coin(one: Packed, own: Currency) -> float:
    """Return how much of a price, in the shop's money, may come from rounding it to the coin."""
    seller = one.row.seller
    return float(seller.currency.cent) * float(seller.factor) / 2 if seller else float(own.cent) / 2


def _most_agreeing(by_size: Sequence[Packed], middle: float, currency: Currency) -> frozenset[int]:
    """Return the places of the most packs that agree; of as many, those nearest to the item's middle price."""
    best: list[tuple[int, float, tuple[int, ...]]] = []
    for place, one in enumerate(by_size):
        before = [best[n] for n in range(max(0, place - MOST_PACKS), place) if _agree(by_size[n], one, currency)]
        count, nearness, kept = max(before, key=lambda found: found[:2], default=(0, 0.0, ()))
        best.append((count + 1, nearness - times_off(one.each, middle), (*kept, place)))
    return frozenset(max(best, key=lambda found: found[:2])[2])


def _quarrels(by_size: Sequence[Packed], kept: frozenset[int], shop: Shop) -> list[Suspect]:
    """Return each pack that is not among those that agree, with the next one of these that it does not agree with."""
    suspects = []
    for place, one in enumerate(by_size):
        if place in kept:
            continue
        smaller = next((by_size[n] for n in range(place - 1, -1, -1) if n in kept), None)
        larger = next((by_size[n] for n in range(place + 1, len(by_size)) if n in kept), None)
        if smaller and not _agree(smaller, one, shop.currency):
            suspects.append(_quarrel(one, smaller, "smaller", shop, is_cheaper=one.price < smaller.price))
        elif larger and not _agree(one, larger, shop.currency):
            suspects.append(_quarrel(one, larger, "larger", shop, is_cheaper=one.price <= larger.price))
    return suspects


def _quarrel(one: Packed, other: Packed, size: str, shop: Shop, *, is_cheaper: bool) -> Suspect:
    """Return a pack that does not agree with a smaller or a larger one: by its price, or else by that of a piece."""
    by_price = is_cheaper == (size == "smaller")
    less = "less" if is_cheaper else "more"
    if by_price:
        weight = times_off(one.price, other.price)
        figures = f"costs {money(one.price, shop.currency)}, {less} than", money(other.price, shop.currency)
    else:
        weight = times_off(one.each, other.each)
        figures = f"comes to {rate_text(one.each, one, shop)}, {less} than", rate_text(other.each, other, shop)
    place = place_of(other.row.origin, one.row.origin)
    return Suspect(
        origin=one.row.origin,
        weight=weight,
        tell=lambda: f"{item_words(one.row, shop.unit)} {figures[0]} the {size} one, {place}: {figures[1]}",
    )
