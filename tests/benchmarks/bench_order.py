"""Times of whole orders, from the command line and inside; run by hand: python tests/benchmarks/bench_order.py

The project must be installed in the environment of that python, and nothing else should be busy. Prints wall times and
asserts nothing: they belong to the machine. Bars we hold ourselves to: help in 0.3 s, a quote with its workbook in 2 s,
and planning that does not grow with the number of chairs, since the solver works on part types and not on pieces.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from estimator.buying.buy import buy
from estimator.errors import Findings
from estimator.estimate import compare_quantities
from estimator.reading.order import read_order
from estimator.takeoff.take_off import take_off

ROOT = Path(__file__).parents[2]
ORDER = ROOT / "examples" / "riverside_tearoom"
CHAIR = ORDER / "terrace_chair"
DAY = date(2026, 11, 24)


def median_seconds(work: Callable[[], object], runs: int) -> float:
    """Median wall time of the runs, after one that is not counted: it loads libraries and fills the disk's cache."""
    work()
    seconds = []
    for _ in range(runs):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return median(seconds)


def process(*words: str | Path) -> Callable[[], object]:
    """Return a run of a command that fails where the command does."""
    # Where byte code is not kept, every start would compile every module anew.
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return lambda: subprocess.run(words, env=environment, cwd=ROOT, stdout=subprocess.DEVNULL, check=True)


def planning(chairs: int) -> Callable[[], object]:
    """Return what is bought for so many chairs, read and taken off beforehand."""
    order = read_order(CHAIR, today=DAY, quantity=chairs)
    takeoff = take_off(order, Findings())

    def plan() -> object:
        findings = Findings()
        sheet = buy(order, takeoff, findings)
        findings.raise_faults()
        return sheet

    return plan


def show(what: str, seconds: float) -> None:
    """Print one line."""
    print(f"{what:58} {seconds:7.3f} s", flush=True)


def main() -> None:
    """Print every time."""
    estimator = Path(sys.executable).parent / "estimator"
    show("estimator --help", median_seconds(process(estimator, "--help"), 9))
    show("python -m estimator --help", median_seconds(process(sys.executable, "-m", "estimator", "--help"), 9))
    with TemporaryDirectory() as folder:
        out = Path(folder) / "quote.xlsx"
        quote = process(estimator, "quote", ORDER, "--out", out, "--replace")
        show("estimator quote, 12 chairs and 4 tables, with workbook", median_seconds(quote, 5))
    show("estimator quote, the same without", median_seconds(process(estimator, "quote", ORDER), 5))

    dozen, hundred_dozen = (median_seconds(planning(chairs), 5) for chairs in (12, 1200))
    show("plan what to buy for 12 chairs", dozen)
    show("plan what to buy for 1,200 chairs", hundred_dozen)
    print(f"{'  a hundred times the chairs take':58} {hundred_dozen / dozen:7.2f} times as long")

    order = read_order(ORDER, today=DAY)
    show("compare the shop's quantities for both builds", median_seconds(lambda: compare_quantities(order), 5))


if __name__ == "__main__":
    main()
