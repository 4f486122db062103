"""The cheapest packs that hold at least so much: an exact small integer problem."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import gcd


@dataclass(frozen=True, kw_only=True, slots=True)
class Pack:
    """A pack by its content and its price, in any whole units."""

    size: int
    price: int


def cheapest_packs(need: int, packs: tuple[Pack, ...]) -> tuple[int, ...]:
    """Return how many of each pack to buy so that they hold at least `need` at the least cost.

    Among equal costs the fewest packs, then the first in the list. Exact: a table of the least cost for every amount
    up to the need. Large needs are first shortened by packs that some cheapest choice holds, so the work does not grow
    with the need.
    """
    unit = gcd(*(pack.size for pack in packs))
    sizes = [pack.size // unit for pack in packs]
    wanted = -(-need // unit)
    best = min(range(len(packs)), key=lambda i: (Fraction(packs[i].price, sizes[i]), -sizes[i]))
    prices = [pack.price for pack in packs]
    certain = max(0, (wanted - _most_in_other_packs(sizes, prices, best)) // sizes[best])
    counts = _least_cost(wanted - certain * sizes[best], sizes, prices)
    counts[best] += certain
    return tuple(counts)


def most_for_less(price: int, packs: tuple[Pack, ...], *, below: int) -> tuple[int, ...]:
    """Return how many of each pack hold the most for less than a price; all that such a price buys holds under `below`.

    Among equal contents the cheapest, then the fewest packs. Exact: pack by pack, only those ways are kept that no
    cheaper way holds as much as, for whatever is added to the one can be added to the other.
    """
    ways: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]  # price, content, counts
    for pack in packs:
        grown = [
            (paid + count * pack.price, held + count * pack.size, (*counts, count))
            for paid, held, counts in ways
            for count in range(min((price - 1 - paid) // pack.price, (below - held) // pack.size) + 1)
        ]
        grown.sort(key=lambda way: (way[0], -way[1], sum(way[2])))
        ways, most = [], -1
        for way in grown:
            if way[1] > most:
                ways.append(way)
                most = way[1]
    return ways[-1][2]


def _most_in_other_packs(sizes: list[int], prices: list[int], best: int) -> int:
    """Return how much some cheapest choice holds at most in packs other than the one with the best rate.

    Among any `sizes[best]` other packs some hold together a multiple of sizes[best] (pigeonhole on the running sums),
    and the best pack gives that content for no more: so one other pack fewer than that will do. And best packs alone
    give at most sizes[best] - 1 too much, so all others together cost no more beyond the best rate than that much does.
    """
    others = [place for place in range(len(sizes)) if place != best]
    by_number = (sizes[best] - 1) * max((sizes[place] for place in others), default=0)
    # What one costs beyond the best rate, times sizes[best] to keep it whole.
    beyond = [prices[place] * sizes[best] - prices[best] * sizes[place] for place in others]
    if not all(beyond):
        return by_number
    spare = prices[best] * (sizes[best] - 1)
    by_money = max((sizes[place] * spare // more for place, more in zip(others, beyond, strict=True)), default=0)
    return min(by_number, by_money)


def _least_cost(wanted: int, sizes: list[int], prices: list[int]) -> list[int]:
    """Return the cheapest counts for an amount, by the table over all smaller amounts."""
    cost = [(0, 0)] + [(0, 0)] * wanted  # money, then packs
    choice = [0] * (wanted + 1)
    for amount in range(1, wanted + 1):
        options = (
            (cost[max(0, amount - size)][0] + price, cost[max(0, amount - size)][1] + 1, place)
            for place, (size, price) in enumerate(zip(sizes, prices, strict=True))
        )
        money, packs, choice[amount] = min(options)
        cost[amount] = money, packs
    counts, left = [0] * len(sizes), wanted
    while left > 0:
        counts[choice[left]] += 1
        left -= sizes[choice[left]]
    return counts


def cheapest_of_each_size(offers: Iterable[tuple[Fraction, Decimal]]) -> list[int]:
    """Return the places of the offers (size, price) worth a look: the cheapest of each size, the first where equal."""
    best: dict[Fraction, tuple[Decimal, int]] = {}
    for place, (size, price) in enumerate(offers):
        if size not in best or price < best[size][0]:
            best[size] = price, place
    return sorted(place for _, place in best.values())
