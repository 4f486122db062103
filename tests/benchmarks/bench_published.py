"""Proofs and times of the cutting engine on published classes; run by hand: python tests/benchmarks/bench_published.py

Instances are drawn by the recipes in recipes.py. "open at most" is the widest gap between cost and bound, in boards of
the cheapest kind; seconds are the processor's. Where the optimum is known by construction, "optimal" counts the plans
that reach it; a bound above it, or a cost below it, is an error and ends the run.
"""

import argparse
import sys
from statistics import median
from time import process_time
from typing import NamedTuple

from estimator.buying.cutting.plan import plan_cuts
from tests.benchmarks.recipes import PUBLISHED, Instance


class Result(NamedTuple):
    """What an instance cost and was proved to cost, in cheapest boards where it is a gap."""

    seconds: float
    gap_boards: float
    is_optimal: bool | None


def solve(instance: Instance) -> Result:
    """Plan one instance and hold it against its optimum, where that is known."""
    start = process_time()
    plan = plan_cuts(instance.job)
    seconds = process_time() - start
    optimum = instance.optimum
    if optimum is not None and not plan.lower_bound <= optimum <= plan.cost:
        sys.exit(f"cost {plan.cost} and bound {plan.lower_bound} do not agree with the known optimum {optimum}")
    gap = (plan.cost - plan.lower_bound) / min(stock.price for stock in instance.job.stocks if stock.price)
    return Result(seconds, gap, None if optimum is None else plan.cost == optimum)


def line(name: str, results: list[Result]) -> str:
    """Return the line of a class as a row of a Markdown table."""
    proved = sum(result.gap_boards == 0 for result in results)
    known = [result.is_optimal for result in results if result.is_optimal is not None]
    optimal = f"{sum(known)}/{len(known)}" if known else "not known"
    seconds = [result.seconds for result in results]
    widest = max(result.gap_boards for result in results)
    return (
        f"| {name} | {proved}/{len(results)} | {optimal} | {widest:.3g} | {median(seconds):.2f} | {max(seconds):.2f} |"
    )


def main() -> None:
    """Print a line for each class."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--classes", nargs="+", choices=PUBLISHED, default=list(PUBLISHED))
    parser.add_argument("--instances", type=int, default=10)
    options = parser.parse_args()
    print("| class | proved | optimal | open at most | median s | max s |\n|---|---|---|---|---|---|")
    for name in options.classes:
        print(line(name, [solve(PUBLISHED[name](seed)) for seed in range(options.instances)]), flush=True)


if __name__ == "__main__":
    main()
