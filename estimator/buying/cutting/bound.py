"""Costs that no plan can be under, in exact whole numbers: a float may suggest the weights, never the answer."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from estimator.buying.cutting.problem import Problem

# A longer table of attainable sums is not worth its making: up there nearly every multiple of the step is attainable.
MOST_STEPS = 1 << 20


@dataclass(frozen=True, kw_only=True, slots=True)
class Weighing:
    """Whole weights of the parts, what one board of each stock carries of them, and the scale from money to weight."""

    weights: tuple[int, ...]
    values: tuple[int, ...]
    scale: int


def whole_weights(duals: Sequence[float], pieces: int) -> tuple[list[int], int]:
    """Return duals as whole numbers and their scale; so many pieces together weigh no more than 2**58."""
    heaviest = (1 << 58) // pieces
    scale = 1 << max(0, int(heaviest / max(1.0, *duals)).bit_length() - 1)
    return [min(max(0, int(dual * scale)), heaviest) for dual in duals], scale


def weights_bound(problem: Problem, weighing: Weighing) -> int:
    """Return the least cost that weights prove (Farley 1990, Operations Research 38, from memory).

    Every board of stock i carries at most values[i] of weight, and the plan has to carry all of the demand's. Where an
    endless stock carries more than scale times its price, all weights shrink by the worst such ratio; a limited stock
    may carry more, at the charge of what its boards carry beyond their price.
    """
    weights, values, scale = weighing.weights, weighing.values, weighing.scale
    shrink, by = 1, 1  # weights count shrink / by of what they are
    for price, limit, value in zip(problem.prices, problem.limits, values, strict=True):
        if limit is None and value * shrink > scale * price * by:
            shrink, by = scale * price, value
    carried = shrink * sum(weight * wanted for weight, wanted in zip(weights, problem.demand, strict=True))
    for price, limit, value in zip(problem.prices, problem.limits, values, strict=True):
        if limit is not None:
            carried -= limit * max(0, shrink * value - by * scale * price)
    return max(0, -(-carried // (by * scale)))


def next_attainable(prices: Sequence[int], step: int, cost: int) -> int:
    """Return the least sum of prices, all multiples of a step, that is no less than a cost; limits are left aside."""
    steps = -(-cost // step)
    if steps > MOST_STEPS:
        return steps * step
    # Tables of doubling length, so that one serves many costs.
    above = attainable_sums(tuple(price // step for price in prices), 1 << steps.bit_length()) >> steps
    return (steps + (above & -above).bit_length() - 1) * step


@lru_cache(maxsize=16)
def attainable_sums(prices: tuple[int, ...], most: int) -> int:
    """Bits of the sums of prices, each taken as often as wanted, up to the first sum after `most` and maybe further."""
    highest = most + max(prices)
    within = (1 << (highest + 1)) - 1
    sums = 1
    for price in prices:
        shift = price
        while 0 < shift <= highest:
            sums |= (sums << shift) & within
            shift *= 2
    return sums
