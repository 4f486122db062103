"""The cheapest packs that hold at least so much: an exact small integer problem."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd

from estimator.buying.price_breaks import Solved, Terms, Tier, Tiers, cheapest_answer, cost_of, paid_for

LONGEST_TABLE = 200_000  # amounts; cans of both systems share a step so fine that a table would have no end


@dataclass(frozen=True, kw_only=True, slots=True)
class Pack:
    """A pack by its content and its price, in any whole units; its price breaks, where it has any, as tiers."""

    size: int
    price: int = 0
    breaks: Tiers = ()

    @property
    def tiers(self) -> Tiers:
        """What it costs from how many on."""
        return self.breaks or (Tier(0, self.price),)


def cheapest_packs(need: int, packs: tuple[Pack, ...]) -> tuple[int, ...]:
    """Return how many of each pack to buy so that they hold at least `need` at the least cost.

    Among equal costs the fewest packs, then the first in the list; any of the cheapest where prices break, or where
    contents share only a step too fine for a table. Exact.
    """
    best = cheapest_answer([pack.tiers for pack in packs], lambda terms: _under_terms(need, packs, terms))
    if best is None:
        raise AssertionError("packs are sold in some number or other")
    return tuple(paid_for(pack.tiers, needed)[1] for pack, needed in zip(packs, best.counts, strict=True))


def _under_terms(need: int, packs: tuple[Pack, ...], terms: tuple[Terms, ...]) -> Solved[None] | None:
    """Return the cheapest packs beside those paid for, None where no more are sold and they are too few."""
    left = need - sum(pack.size * one.paid for pack, one in zip(packs, terms, strict=True))
    sold = [place for place, one in enumerate(terms) if one.price is not None]
    if left > 0 and not sold:
        return None
    counts = [one.paid for one in terms]
    prices = [terms[place].price or 0 for place in sold]
    more = _cheapest_counts(max(0, left), [packs[place].size for place in sold], prices) if sold else []
    for place, number in zip(sold, more, strict=True):
        counts[place] += number
    cost = sum(number * price for number, price in zip(more, prices, strict=True))
    return Solved(answer=None, counts=tuple(counts), cost=cost, bound=cost)


def _cheapest_counts(need: int, contents: list[int], prices: list[int]) -> list[int]:
    """Return the cheapest counts of packs of one price each.

    By a table of the least cost for every amount, or where that would be too long, pack by pack. Large needs are first
    shortened by packs that some cheapest choice holds, so the work does not grow with the need.
    """
    unit = gcd(*contents)
    sizes = [content // unit for content in contents]
    wanted = -(-need // unit)
    best = min(range(len(sizes)), key=lambda i: (Fraction(prices[i], sizes[i]), -sizes[i]))
    certain = max(0, (wanted - _most_in_other_packs(sizes, prices, best)) // sizes[best])
    left = wanted - certain * sizes[best]
    counts = _least_cost(left, sizes, prices) if left <= LONGEST_TABLE else _least_by_ways(left, sizes, prices)
    counts[best] += certain
    return counts


def most_for_less(price: int, packs: tuple[Pack, ...], *, below: int) -> tuple[int, ...]:
    """Return how many of each pack hold the most for less than a price; all that such a price buys holds under `below`.

    Among equal contents the cheapest, then the fewest packs. Exact: pack by pack, only those ways are kept that no
    cheaper way holds as much as, for whatever is added to the one can be added to the other.
    """
    ways: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]  # price, content, counts
    for pack in packs:
        grown = [
            (paid + cost, held + count * pack.size, (*counts, count))
            for paid, held, counts in ways
            for count, cost in _affordable(pack, price - paid, below - held)
        ]
        ways = _undominated(grown)
    return ways[-1][2]


def _affordable(pack: Pack, price: int, below: int) -> Iterator[tuple[int, int]]:
    """Yield each number of a pack that costs less than a price and holds no more than `below`, with its cost.

    Only numbers that are bought as they are: those for which more would cost no more are left out.
    """
    for count in range(below // pack.size + 1):
        cost = cost_of(pack.tiers, count)
        if cost >= price:
            return
        if paid_for(pack.tiers, count)[1] == count:
            yield count, cost


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


def _least_by_ways(wanted: int, sizes: list[int], prices: list[int]) -> list[int]:
    """Return cheapest counts for an amount, pack by pack, those of the best rate first.

    Kept are only those ways that no cheaper one holds as much as, and that may still cost less than the best so far:
    what is lacking costs no less than the best rate of the packs to come.
    """
    order = sorted(range(len(sizes)), key=lambda place: (Fraction(prices[place], sizes[place]), -sizes[place]))
    best: tuple[int, tuple[int, ...]] | None = None
    ways: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]  # price, content, counts in this order
    for step, place in enumerate(order):
        size, price = sizes[place], prices[place]
        grown: list[tuple[int, int, tuple[int, ...]]] = []
        for paid, held, counts in ways:
            enough = -(-(wanted - held) // size)
            if best is None or paid + enough * price < best[0]:
                best = paid + enough * price, (*counts, enough)
            grown += ((paid + n * price, held + n * size, (*counts, n)) for n in range(enough))
        if step + 1 < len(order) and best is not None:
            rate = Fraction(prices[order[step + 1]], sizes[order[step + 1]])
            ways = [way for way in _undominated(grown) if way[0] + (wanted - way[1]) * rate < best[0]]
    counts_of = dict(zip(order, best[1] if best else (), strict=False))
    return [counts_of.get(place, 0) for place in range(len(sizes))]


def _undominated(ways: list[tuple[int, int, tuple[int, ...]]]) -> list[tuple[int, int, tuple[int, ...]]]:
    """Return the ways (price, content, counts) that no cheaper one holds as much as, by rising price."""
    kept, most = [], -1
    for way in sorted(ways, key=lambda one: (one[0], -one[1], sum(one[2]))):
        if way[1] > most:
            kept.append(way)
            most = way[1]
    return kept


def worth_a_look(offers: Sequence[tuple[Fraction, Tiers]]) -> list[int]:
    """Return the places of the offers (size, tiers) that some cheapest choice may need.

    Not needed is one for which another of the same size is never dearer; the first where two are equal.
    """
    return [
        place
        for place, (size, tiers) in enumerate(offers)
        if not any(
            other_size == size
            and _never_dearer(other_tiers, tiers)
            and (other < place or not _never_dearer(tiers, other_tiers))
            for other, (other_size, other_tiers) in enumerate(offers)
            if other != place
        )
    ]


def _never_dearer(one: Tiers, other: Tiers) -> bool:
    """Whether a single piece of one costs no more than the cheapest of the other, however many are bought."""
    single, cheapest = one[0].price, other[-1].price
    return single is not None and cheapest is not None and single <= cheapest
