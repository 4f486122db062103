"""The cheapest packs that hold at least so much: an exact small integer problem."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import gcd


@dataclass(frozen=True, kw_only=True, slots=True)
class Pack:
    """A pack by its content (in any whole unit) and its price in the smallest coin."""

    size: int
    price: int


def cheapest_packs(need: int, packs: tuple[Pack, ...]) -> tuple[int, ...]:
    """Return how many of each pack to buy so that they hold at least `need` at the least cost.

    Among equal costs the fewest packs, then the first in the list. Exact: a table of the least cost for every amount
    up to the need. Large needs are first shortened by packs that some cheapest choice must hold, so the work does not
    grow with the need.
    """
    unit = gcd(*(pack.size for pack in packs))
    sizes = [pack.size // unit for pack in packs]
    wanted = -(-need // unit)
    best = min(range(len(packs)), key=lambda i: (Fraction(packs[i].price, sizes[i]), -sizes[i]))
    certain = _certain_packs(wanted, sizes, best)
    counts = _least_cost(wanted - certain * sizes[best], sizes, [pack.price for pack in packs])
    counts[best] += certain
    return tuple(counts)


def _certain_packs(wanted: int, sizes: list[int], best: int) -> int:
    """Return how many of the pack with the best rate some cheapest choice holds.

    Among any `sizes[best]` other packs some hold together a multiple of sizes[best] (pigeonhole on the running sums),
    and the best pack gives that content for no more. So a cheapest choice exists with fewer other packs than that, and
    all beyond what they can hold comes in best packs.
    """
    others = [size for place, size in enumerate(sizes) if place != best]
    most_in_others = (sizes[best] - 1) * max(others, default=0)
    return max(0, (wanted - most_in_others) // sizes[best])


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


def cheapest_of_each_size(offers: Iterable[tuple[Fraction, int]]) -> list[int]:
    """Return the places of the offers (size, price) worth a look: the cheapest of each size, the first where equal."""
    best: dict[Fraction, tuple[int, int]] = {}
    for place, (size, price) in enumerate(offers):
        if size not in best or price < best[size][0]:
            best[size] = price, place
    return sorted(place for _, place in best.values())
