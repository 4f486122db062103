"""Seconds of an order bought from five suppliers; run by hand: python -m tests.benchmarks.bench_suppliers

The tearoom's order with lumber from three yards, every length at three price breaks, hardware and finish from two
shops, visits that cost something and two minimum orders. Prices are the example's, each yard a few per cent dearer or
cheaper by section and length. Each time is the least of several, and a multiple of that of the plain example. Asserts
nothing: times belong to the machine. Bars we hold ourselves to: the purchases in 1.5 s, the comparison in twice the
time of the plain example.
"""

import csv
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

from estimator.buying.buy import BuySheet, buy
from estimator.buying.cutting import repricing
from estimator.errors import Findings
from estimator.estimate import compare_quantities
from estimator.reading.order import read_order
from estimator.takeoff.take_off import take_off

ROOT = Path(__file__).parents[2]
TABLES = ROOT / "price_tables" / "inch_usd"
DAY = date(2026, 11, 24)
RUNS = 5

# Per cent of the example's prices, by section; other sections as they are.
YARDS: dict[str, dict[str, int]] = {
    "Fernhill Sawmill Yard": {},
    "Alder Gate Timber": {"1x4": 93, "2x4": 104, "2x2": 102, "5/4x4": 103, "5/4x6": 94},
    "Kestrel Wharf Lumber": {"1x4": 103, "2x4": 95, "2x2": 97, "2x6": 105, "5/4x4": 96, "5/4x6": 105},
}
BREAKS = ((1, 100), (10, 95), (25, 90))
SHOPS = ("Bramble Lane Hardware", "Quayside Fixings")
TERMS = {
    "Fernhill Sawmill Yard": (25, 0),
    "Alder Gate Timber": (18, 0),
    "Kestrel Wharf Lumber": (22, 250),
    "Bramble Lane Hardware": (8, 0),
    "Quayside Fixings": (6, 60),
}

Row = dict[str, str]


def rows_of(name: str) -> list[Row]:
    """Return the rows of one of the example's price tables."""
    with (TABLES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def priced(row: Row, supplier: str, *per_cent: int) -> Row:
    """Return a row of another supplier at a share of its price."""
    price = Decimal(row["price"])
    for share in per_cent:
        price *= Decimal(share) / 100
    return {**row, "supplier": supplier, "price": f"{price:.2f}"}


def lumber() -> Iterator[Row]:
    """Yield every board at every yard and price break; odd per cents, so that no yard has the best of all lengths."""
    for yard, (name, by_section) in enumerate(YARDS.items()):
        for place, row in enumerate(rows_of("lumber.csv")):
            odd = 100 + (7 * place + 3 * yard) % 5 - 2 if yard else 100
            for least, share in BREAKS[:1] if row["length"] == "random" else BREAKS:
                found = priced(row, name, by_section.get(row["section"], 100), odd, share)
                yield {**found, "from_quantity": str(least)}


def elsewhere(name: str) -> Iterator[Row]:
    """Yield the rows of a table of the hardware shop, and of a second one."""
    for shop, supplier in enumerate(SHOPS):
        for place, row in enumerate(rows_of(name)):
            yield priced(row, supplier, 100 + shop * 2 * ((5 * place) % 7 - 3))


def write(path: Path, rows: list[Row]) -> None:
    """Write a price table."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, list(rows[0]))
        table.writeheader()
        table.writerows(rows)


def make(folder: Path) -> Path:
    """Write the order and its price tables, and return its folder."""
    for name in ("examples", "price_tables"):
        shutil.copytree(ROOT / name, folder / name)
    tables = folder / "price_tables" / "inch_usd"
    write(tables / "lumber.csv", list(lumber()))
    for name in ("hardware.csv", "consumables.csv", "finishes.csv"):
        write(tables / name, list(elsewhere(name)))
    terms = (
        f'[[suppliers]]\nname = "{name}"\nvisit_cost = {visit}\nminimum_order = {least}\n'
        for name, (visit, least) in TERMS.items()
    )
    (tables / "suppliers.toml").write_text("\n".join(terms), encoding="utf-8")
    return folder / "examples" / "riverside_tearoom"


def least_seconds(work: Callable[[], object], runs: int) -> float:
    """Least wall time of the runs, after one that is not counted."""
    work()
    seconds = []
    for _ in range(runs):
        start = perf_counter()
        work()
        seconds.append(perf_counter() - start)
    return min(seconds)


def purchases(folder: Path) -> Callable[[], BuySheet]:
    """Return the purchases of an order, read and taken off beforehand."""
    order = read_order(folder, today=DAY)
    takeoff = take_off(order, Findings())
    return lambda: buy(order, takeoff, Findings())


def comparison(folder: Path) -> Callable[[], object]:
    """Return the comparison of the shop's quantities."""
    order = read_order(folder, today=DAY)
    return lambda: compare_quantities(order)


def count_plans(work: Callable[[], BuySheet]) -> tuple[BuySheet, int]:
    """Return the purchases, and how many cutting plans were made while suppliers and breaks were looked through."""
    asked = 0
    replan = repricing.replan

    def counted(*given: object) -> object:
        nonlocal asked
        asked += 1
        return replan(*given)  # type: ignore[arg-type]

    repricing.replan = counted  # type: ignore[assignment]
    sheet = work()
    repricing.replan = replan
    return sheet, asked


def main() -> None:
    """Print every time."""
    plain = ROOT / "examples" / "riverside_tearoom"
    with TemporaryDirectory() as name:
        folder = make(Path(name))
        sheet, plans = count_plans(purchases(folder))
        works = {"purchases": (purchases, RUNS), "six quantities of both builds": (comparison, 2)}
        for what, (work, runs) in works.items():
            without, seconds = least_seconds(work(plain), runs), least_seconds(work(folder), runs)
            print(
                f"{what:32} {seconds:6.2f} s, {seconds / without:.2f} times the {without:.2f} s of the plain example",
                flush=True,
            )
    plan = sheet.supplier_plan
    if plan is not None:
        print(f"{sheet.amount} from {', '.join(plan.names)}; {plans} plans to choose them, gap {plan.gap}")


if __name__ == "__main__":
    main()
