"""What nesting leaning ends saves, whether it is proved, and how long it takes; run by hand.

python tests/benchmarks/bench_nesting.py

Each cell is what the plan saves against the best one found without nesting, in percent; `*` says that it is proved
cheapest, and else the most that a cheaper one could save beyond it stands behind it; then the seconds for both plans.
"""

import argparse
from collections.abc import Sequence
from math import ceil, cos, floor, radians, tan
from statistics import median
from time import perf_counter
from typing import NamedTuple

from estimator.buying.cutting.job import CuttingJob, End, Ends, Piece, Stock
from estimator.buying.cutting.plan import plan_cuts
from tests.benchmarks.recipes import CENTS_PER_FT, LENGTHS_IN

KERF_IN = 1 / 8
TRIM_IN = 1 / 2  # off each end of a board


class Sawn(NamedTuple):
    """Pieces of one kind: their length halfway across, their width, degrees off square, and how many to a chair."""

    centre_in: float
    width_in: float
    left: float
    right: float
    each: int


PART_SETS: dict[str, tuple[Sawn, ...]] = {
    "legs 18 in, 15 deg parallel, 2.5 wide": (Sawn(18, 2.5, 15, 15, 4),),
    "front 17.25 and back 31.5 legs, 15 deg": (Sawn(17.25, 2.5, 15, 15, 2), Sawn(31.5, 2.5, 15, 15, 2)),
    "trapezoid stretchers 10 deg, 1.75 wide": (Sawn(14.5, 1.75, 10, -10, 2), Sawn(16.25, 1.75, 10, -10, 2)),
    "one end square, one 15 deg": (Sawn(18, 2.5, 0, 15, 2), Sawn(30.5, 2.5, 0, 15, 2)),
    "frames 45 deg, 2.5 wide": (Sawn(17.5, 2.5, 45, -45, 2), Sawn(21.5, 2.5, 45, -45, 2)),
    "mixed chair": (
        Sawn(17.25, 2.5, 15, 15, 2),
        Sawn(33, 2.5, 8, 8, 2),
        Sawn(14.5, 2.5, 10, -10, 2),
        Sawn(16.75, 2.5, 8, -8, 1),
        Sawn(18, 2.5, 0, 0, 2),
        Sawn(11.5, 2.5, 0, 0, 2),
    ),
    "legs 15 and braces 30 deg, 3.5 wide": (Sawn(28.5, 3.5, 15, 15, 4), Sawn(13, 3.5, 30, -30, 4)),
}


def piece_of(sawn: Sawn, chairs: int, per_inch: int) -> Piece:
    """Return pieces in whole steps, on the safe side: what they take rounded up, their slopes rounded down."""
    slopes_in = [sawn.width_in * tan(radians(abs(degrees))) for degrees in (sawn.left, sawn.right)]
    steepest = max(abs(sawn.left), abs(sawn.right))
    reach_in = sawn.centre_in + sum(slopes_in) / 2 + KERF_IN * (1 / cos(radians(steepest)) - 1)
    left, right = (
        End(floor(slope_in * per_inch) * (1 if degrees >= 0 else -1))
        for slope_in, degrees in zip(slopes_in, (sawn.left, sawn.right), strict=True)
    )
    turned: tuple[Ends, ...] = tuple(dict.fromkeys(((left, right), (right, left))))
    return Piece(length=ceil(reach_in * per_inch), demand=sawn.each * chairs, ends=turned)


def nested_job(parts: Sequence[Sawn], *, prices: str, chairs: int, per_inch: int) -> CuttingJob:
    """Return so many chairs' parts, that may be turned end for end, from boards at one of the price lists."""
    return CuttingJob(
        stocks=tuple(
            Stock(length=floor((length - 2 * TRIM_IN) * per_inch), price=cents * length // 12)
            for length, cents in zip(LENGTHS_IN, CENTS_PER_FT[prices], strict=True)
        ),
        pieces=tuple(piece_of(part, chairs, per_inch) for part in parts),
        kerf=ceil(KERF_IN * per_inch),
    )


def main() -> None:
    """Print a line for each set of parts and price list."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--prices", nargs="+", choices=tuple(CENTS_PER_FT), default=["flat", "rise"])
    parser.add_argument("--chairs", type=int, nargs="+", default=[1, 6, 12, 100])
    parser.add_argument("--per-inch", type=int, default=16)
    options = parser.parse_args()
    print(f"{'parts':39} prices " + "".join(f"x{chairs}: %, open %, s".rjust(22) for chairs in options.chairs))
    seconds, proved = [], 0
    for name, parts in PART_SETS.items():
        for prices in options.prices:
            cells = []
            for chairs in options.chairs:
                job = nested_job(parts, prices=prices, chairs=chairs, per_inch=options.per_inch)
                start = perf_counter()
                plan = plan_cuts(job)
                seconds.append(perf_counter() - start)
                proved += plan.proved
                saved, left_open = (
                    100 * amount / plan.unnested_cost
                    for amount in (plan.unnested_cost - plan.cost, plan.cost - plan.lower_bound)
                )
                mark = "*" if plan.proved else f"+{left_open:.2f}"
                cells.append(f"{saved:.1f}{mark} {seconds[-1]:6.2f}".rjust(22))
            print(f"{name:39} {prices:6} " + "".join(cells), flush=True)
    print(f"proved {proved} of {len(seconds)}; median {median(seconds):.2f} s, longest {max(seconds):.2f} s")


if __name__ == "__main__":
    main()
