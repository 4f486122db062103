"""Board counts of exactly one cost: what the tree of board counts would find only after a long walk.

With two prices a and b, the counts that cost T lie b / gcd apart, so a tree that steps through them one by one passes
a hundred wrong ones for each right one. Here they are written down at once.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations, combinations_with_replacement
from math import gcd

import numpy as np
import numpy.typing as npt

# Most boards of the stocks beside the two that make up the bulk.
MOST_BESIDE = 3

# Stocks of which two at a time make up the bulk.
MAIN_STOCKS = 3


def counts_costing(
    cost: int, prices: Sequence[int], preferred: Sequence[int], ceilings: Sequence[int]
) -> Iterator[npt.NDArray[np.int64]]:
    """Yield arrays of counts, one a row, that cost just so much: two preferred stocks in bulk, a few boards beside.

    Not all there are; `preferred` names every stock once, the likeliest first.
    """
    for bulk in combinations([stock for stock in preferred if prices[stock]][:MAIN_STOCKS], 2):
        beside = [stock for stock in range(len(prices)) if stock not in bulk]
        for boards in range(MOST_BESIDE + 1):
            for extra in combinations_with_replacement(beside, boards):
                rest = cost - sum(prices[stock] for stock in extra)
                first, second = pairs_costing(rest, prices[bulk[0]], prices[bulk[1]])
                counts = np.zeros((len(first), len(prices)), dtype=np.int64)
                counts[:, bulk[0]] = first
                counts[:, bulk[1]] = second
                for stock in extra:
                    counts[:, stock] += 1
                yield counts[(counts <= ceilings).all(axis=1)]


def pairs_costing(cost: int, price: int, other: int) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Return all pairs of counts of two prices above 0 that cost just so much."""
    common = gcd(price, other)
    if cost < 0 or cost % common:
        return np.empty(0, dtype=np.int64), np.empty(0, dtype=np.int64)
    cost, price, other = cost // common, price // common, other // common
    start = cost * pow(price, -1, other) % other
    first = np.arange(start, cost // price + 1, other, dtype=np.int64)
    return first, (cost - price * first) // other
