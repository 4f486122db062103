"""Times and proofs of the cutting engine on a workshop's jobs; run by hand: python tests/benchmarks/bench_cutting.py

One line for each resolution, number of part types and of chairs, over all price lists and seeds; every other seed has
offcuts on the rack. How many plans were proved cheapest, how long they took, and the widest gap between cost and bound
where they were not, in cheapest boards. Times are the processor's, so that others on the machine blur them less. At the
end the jobs left open, and each bar with its figure.
"""

import argparse
from collections.abc import Callable, Iterable, Sequence
from itertools import product
from math import floor
from statistics import median
from time import process_time
from typing import NamedTuple

from estimator.buying.cutting.job import CuttingJob, CuttingPlan
from estimator.buying.cutting.plan import plan_cuts
from tests.benchmarks.recipes import PRICE_LISTS, chairs_job

FEW_CHAIRS, MANY_CHAIRS = 12, 10_000  # whose times are set against each other


class Solve(NamedTuple):
    """What one job took, and how far its cost stands above its bound, in cheapest boards."""

    per_inch: int
    types: int
    chairs: int
    prices: str
    seed: int
    seconds: float
    gap_boards: float


def gap_in_boards(job: CuttingJob, plan: CuttingPlan) -> float:
    """How far the cost stands above the bound, in the cheapest boards that there are enough of."""
    return (plan.cost - plan.lower_bound) / min(stock.price for stock in job.stocks if stock.limit is None)


def solve(*, per_inch: int, types: int, chairs: int, prices: str, seed: int) -> Solve:
    """Plan one job."""
    job = chairs_job(types=types, chairs=chairs, prices=prices, seed=seed, per_inch=per_inch, offcuts=seed % 2 == 1)
    start = process_time()
    plan = plan_cuts(job)
    seconds = process_time() - start
    return Solve(per_inch, types, chairs, prices, seed, seconds, gap_in_boards(job, plan))


def proved(solves: Sequence[Solve]) -> int:
    """How many were proved."""
    return sum(one.gap_boards == 0 for one in solves)


def median_s(solves: Iterable[Solve]) -> float:
    """Return the median of their seconds."""
    return median(one.seconds for one in solves)


def print_line(solves: Sequence[Solve]) -> None:
    """Print the line of solves that have resolution, part types and chairs in common."""
    first = solves[0]
    milliseconds = sorted(1000 * one.seconds for one in solves)
    print(
        f"{'1/' + str(first.per_inch):>6} {first.types:5} {first.chairs:7} {proved(solves):4}/{len(solves)}"
        f" {median(milliseconds):9.1f} {milliseconds[floor(0.9 * len(solves))]:8.1f} {milliseconds[-1]:8.1f}"
        f" {max(one.gap_boards for one in solves):10.3f}",
        flush=True,
    )


def growth(solves: Sequence[Solve]) -> float:
    """How many times as long many chairs take as few, by medians; of all resolutions and numbers of types the worst."""
    ratios = []
    for per_inch, types in sorted({(one.per_inch, one.types) for one in solves}):
        alike = [one for one in solves if (one.per_inch, one.types) == (per_inch, types)]
        many, few = ([one for one in alike if one.chairs == chairs] for chairs in (MANY_CHAIRS, FEW_CHAIRS))
        if many and few:
            ratios.append(median_s(many) / median_s(few))
    return max(ratios, default=0.0)


def print_open(solves: Sequence[Solve]) -> None:
    """Print the jobs whose plans were not proved, so that each can be looked at alone."""
    for one in solves:
        if one.gap_boards:
            print(
                f"open: 1/{one.per_inch} in, {one.types} types, {one.chairs} chairs, {one.prices}, seed {one.seed}:"
                f" {one.gap_boards:.3f} boards after {one.seconds:.1f} s"
            )


def print_bars(solves: Sequence[Solve]) -> None:
    """Print what is asked of the engine, and whether it was met."""
    fourteen = [one for one in solves if one.types == 14] or solves
    bars: tuple[tuple[str, float, str, Callable[[float], bool]], ...] = (
        ("widest gap, in cheapest boards: at most 1", max(one.gap_boards for one in solves), "", lambda n: n <= 1),
        ("proved cheapest: at least 99 %", 100 * proved(solves) / len(solves), " %", lambda n: n >= 99),
        ("median at 14 part types: at most 0.15 s", median_s(fourteen), " s", lambda n: n <= 0.15),
        ("10,000 chairs against 12: at most 3 times as long", growth(solves), "", lambda n: n <= 3),
    )
    print(f"\n{len(solves)} plans, {proved(solves)} proved, {sum(one.seconds for one in solves):.0f} s")
    for bar, figure, unit, meets in bars:
        print(f"{'met   ' if meets(figure) else 'MISSED'} {bar:52} {figure:.3f}{unit}")


def main() -> None:
    """Print the table and the bars."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--per-inch", type=int, nargs="+", default=[16, 64])
    parser.add_argument("--types", type=int, nargs="+", default=[5, 14, 30])
    parser.add_argument("--chairs", type=int, nargs="+", default=[1, 6, FEW_CHAIRS, 100, 1000, MANY_CHAIRS])
    parser.add_argument("--seeds", type=int, default=8)
    options = parser.parse_args()
    print("  unit types  chairs  proved median ms   p90 ms   max ms gap boards")
    solves: list[Solve] = []
    for per_inch, types, chairs in product(options.per_inch, options.types, options.chairs):
        line = [
            solve(per_inch=per_inch, types=types, chairs=chairs, prices=prices, seed=seed)
            for prices, seed in product(PRICE_LISTS, range(options.seeds))
        ]
        print_line(line)
        solves += line
    print_open(solves)
    print_bars(solves)


if __name__ == "__main__":
    main()
