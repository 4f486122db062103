"""What preferences gain among plans of one cost, and what they take; run by hand.

python -m tests.benchmarks.bench_nicest

A line for each number of part types and of chairs and each preference, wanted alone: its mean before and after, in how
many jobs it got better, in how many the programme over all layouts settled it, and milliseconds beyond the search's.
The kit is of the two lengths a third of the way up from the shortest, and counts one for a chair. The last line of each
block wants all four.
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import mean, median
from time import process_time

from estimator.buying.cutting.job import CuttingJob, Kit, Preference
from estimator.buying.cutting.nicest.merits import Standing
from estimator.buying.cutting.nicest.nicest_plan import Choice, as_few_runs, nicest_plan
from estimator.buying.cutting.plan import oracle_for
from estimator.buying.cutting.problem import merge
from estimator.buying.cutting.steps import best_plan
from tests.benchmarks.recipes import CENTS_PER_FT, chairs_job

PREFERENCES: tuple[Preference, ...] = (
    "fewest set-ups",
    "one board for matching parts",
    "longest left-over",
    "fewest boards",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Gain:
    """One job: where the search's plan and the nicest one stand, and how long the step between them took."""

    before: Standing
    after: Standing
    settled: bool
    ms: float


def gain(job: CuttingJob) -> Gain:
    """Choose among the cheapest plans of a job."""
    merged = merge(job)
    oracle = oracle_for(job, merged, {}, nested=True)
    search = best_plan(merged.problem, oracle)
    start = process_time()
    nicest = nicest_plan(job, merged, oracle, search)
    ms = 1000 * (process_time() - start)
    judge = Choice(job, nicest.merged, nicest.oracle, search).merits
    return Gain(
        before=judge.standing(as_few_runs(search.runs)),
        after=judge.standing(nicest.runs),
        settled=nicest.settled,
        ms=ms,
    )


def with_kit(job: CuttingJob, chairs: int) -> CuttingJob:
    """Return the job with a kit of two of its lengths."""
    by_length = sorted(range(len(job.pieces)), key=lambda place: job.pieces[place].length)
    third = len(by_length) // 3
    places = by_length[third : third + 2]
    counts = tuple(piece.demand // chairs if place in places else 0 for place, piece in enumerate(job.pieces))
    return replace(job, kits=(Kit(counts=counts, units=chairs),))


def bench(types: int, chairs: int, seeds: int, prefer: Sequence[Preference]) -> None:
    """Print one line."""
    jobs = [
        replace(
            with_kit(chairs_job(types=types, chairs=chairs, prices=prices, seed=seed), chairs), prefer=tuple(prefer)
        )
        for prices in CENTS_PER_FT
        for seed in range(seeds)
    ]
    gains = [gain(job) for job in jobs]
    before = " ".join(f"{mean(abs(one.before[n]) for one in gains):.1f}" for n in range(len(prefer)))
    after = " ".join(f"{mean(abs(one.after[n]) for one in gains):.1f}" for n in range(len(prefer)))
    better, settled = sum(one.after < one.before for one in gains), sum(one.settled for one in gains)
    ms = [one.ms for one in gains]
    print(
        f"{types:5} {chairs:6} {prefer[0] if len(prefer) == 1 else 'all four':29} {before:>26} {after:>26}"
        f" {better:4}/{len(gains)} {settled:4} {median(ms):7.0f} {max(ms):6.0f}",
        flush=True,
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--types", type=int, nargs="+", default=[5, 14])
    parser.add_argument("--chairs", type=int, nargs="+", default=[1, 12, 120])
    parser.add_argument("--seeds", type=int, default=5)
    options = parser.parse_args()
    print(f"types chairs {'preference':29} {'before':>26} {'after':>26} better settled  ms median  max")
    for types in options.types:
        for chairs in options.chairs:
            for prefer in (*((one,) for one in PREFERENCES), PREFERENCES):
                bench(types, chairs, options.seeds, prefer)


if __name__ == "__main__":
    main()
