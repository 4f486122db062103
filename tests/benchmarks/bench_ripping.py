"""Ripped jobs: how near the cost comes to its bound, and how long it takes; run by hand.

python tests/benchmarks/bench_ripping.py

12 part types of 6 widths, 1, 2 or 4 of each to a chair, from boards of 9 1/4 in (a dressed 2x10) in three lengths.
"""

import argparse
from random import Random
from statistics import median
from time import perf_counter

from estimator.buying.cutting.job import CuttingJob, Piece, Ripping, Stock
from estimator.buying.cutting.plan import plan_cuts

BOARDS = ((96, 2400), (120, 3050), (144, 3700))  # inches and cents
WIDTHS = (20, 28, 36, 44, 56, 74)  # in 1/8 in, from 2 1/2 to 9 1/4


def ripped_job(*, types: int, widths: int, chairs: int, seed: int) -> CuttingJob:
    """Parts of 8 to 50 in at 1/8 in; kerf and rip kerf 1/8, half an inch trimmed off each end of a board."""
    random = Random(seed)  # noqa: S311 - jobs that come out the same each time
    chosen = WIDTHS[-widths:]
    pieces = tuple(
        Piece(
            length=random.randint(8 * 8, 50 * 8),
            demand=random.choice((1, 2, 4)) * chairs,
            width=None if (width := chosen[place % len(chosen)]) == WIDTHS[-1] else width,
        )
        for place in range(types)
    )
    stocks = tuple(Stock(length=(length - 1) * 8, price=price) for length, price in BOARDS)
    return CuttingJob(stocks=stocks, pieces=pieces, kerf=1, ripping=Ripping(width=WIDTHS[-1], kerf=1))


def main() -> None:
    """Print a line for each number of part types and of chairs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--types", type=int, nargs="+", default=[4, 12])
    parser.add_argument("--chairs", type=int, nargs="+", default=[1, 6, 12, 100])
    parser.add_argument("--seeds", type=int, default=10)
    options = parser.parse_args()
    print("types chairs proved  gap % mean   max   median s   max s")
    for types in options.types:
        for chairs in options.chairs:
            gaps, seconds = [], []
            for seed in range(options.seeds):
                job = ripped_job(types=types, widths=min(types, 6), chairs=chairs, seed=seed)
                start = perf_counter()
                plan = plan_cuts(job)
                seconds.append(perf_counter() - start)
                gaps.append(100 * (plan.cost - plan.lower_bound) / plan.lower_bound)
            print(
                f"{types:5} {chairs:6} {sum(not gap for gap in gaps):3}/{len(gaps)} {sum(gaps) / len(gaps):11.2f} "
                f"{max(gaps):5.2f} {median(seconds):10.2f} {max(seconds):7.2f}",
                flush=True,
            )


if __name__ == "__main__":
    main()
