"""Times and proofs of the cutting engine on made-up jobs; run by hand: python tests/benchmarks/bench_cutting.py

One line for each number of part types and of chairs: how many plans were proved cheapest, how long they took, and the
widest gap between cost and bound where they were not, in cheapest boards.
"""

import argparse
from random import Random
from statistics import median
from time import perf_counter

from estimator.buying.cutting.job import CuttingJob, CuttingPlan, Piece, Stock
from estimator.buying.cutting.plan import plan_cuts

LENGTHS_IN = (72, 96, 120, 144, 192)
# Cents a foot at each of the five lengths: long boards dearer, all the same, long boards cheaper.
CENTS_PER_FT = {
    "rise": (310, 325, 340, 365, 410),
    "flat": (350, 350, 350, 350, 350),
    "fall": (410, 370, 350, 340, 330),
}


def chairs_job(*, types: int, chairs: int, prices: str, seed: int, per_inch: int) -> CuttingJob:
    """Parts of 5 to 60 in, 1, 2 or 4 to a chair; kerf 1/8 in, half an inch trimmed off each end of a board."""
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    stocks = tuple(
        Stock(length=(length - 1) * per_inch, price=cents * length // 12)
        for length, cents in zip(LENGTHS_IN, CENTS_PER_FT[prices], strict=True)
    )
    pieces = tuple(
        Piece(length=random.randint(5 * per_inch, 60 * per_inch), demand=random.choice((1, 2, 4)) * chairs)
        for _ in range(types)
    )
    return CuttingJob(stocks=stocks, pieces=pieces, kerf=per_inch // 8)


def gap_in_boards(job: CuttingJob, plan: CuttingPlan) -> float:
    """How far the cost stands above the bound, in cheapest boards."""
    return (plan.cost - plan.lower_bound) / min(stock.price for stock in job.stocks)


def bench(*, types: int, chairs: int, seeds: int, per_inch: int) -> None:
    """Solve the jobs of one line and print it."""
    seconds = []
    gaps = []
    for prices in CENTS_PER_FT:
        for seed in range(seeds):
            job = chairs_job(types=types, chairs=chairs, prices=prices, seed=seed, per_inch=per_inch)
            start = perf_counter()
            plan = plan_cuts(job)
            seconds.append(perf_counter() - start)
            gaps.append(gap_in_boards(job, plan))
    proved = sum(gap == 0 for gap in gaps)
    print(
        f"{types:5} {chairs:7} {proved:4}/{len(gaps)} {1000 * median(seconds):9.1f} {1000 * max(seconds):9.1f}"
        f" {max(gaps):9.3f}",
        flush=True,
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--types", type=int, nargs="+", default=[5, 14])
    parser.add_argument("--chairs", type=int, nargs="+", default=[1, 6, 12, 100, 1200])
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--per-inch", type=int, default=16)
    options = parser.parse_args()
    print("types  chairs  proved median ms    max ms gap boards")
    for types in options.types:
        for chairs in options.chairs:
            bench(types=types, chairs=chairs, seeds=options.seeds, per_inch=options.per_inch)


if __name__ == "__main__":
    main()
