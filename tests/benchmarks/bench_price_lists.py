"""Seconds and peak memory of long price lists; run by hand: python -m tests.benchmarks.bench_price_lists

A list of 100,000 lumber prices is read as a supplier sends it (CSV and .xlsx), taken over, read again as a table of the
shop, and quoted from. Each line is a process of its own, so that its memory is its own; the list is the same every
time. Asserts nothing: times belong to the machine. Bars we hold ourselves to: 100,000 rows of CSV in seconds, and a
quote from them in 5 s.
"""

import random
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

import pytest
from openpyxl import Workbook

from estimator.cli.main import run
from estimator.errors import Findings
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import read_supplier_map
from estimator.keeping.take_over import take_over
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import read_shop

ROOT = Path(__file__).parents[2]
ROWS = 100_000
DAY = date(2026, 11, 24)
MAP = """supplier = "Long List Yard"
table = "lumber"
[columns]
species = "Timber"
grade = "Grade"
section = "Size"
length = "Length"
price = "List price"
per = "Sold by"
note = "SKU"
"""
HEADINGS = ["Timber", "Grade", "Size", "Length", "List price", "Sold by", "SKU"]


def rows() -> Iterator[list[str | float]]:
    """Yield the headings and invented prices, no two of one item."""
    yield [*HEADINGS]
    chance = random.Random(1)  # noqa: S311 - invented prices are no secret
    sections = ["1x4", "2x2", "2x4", "2x6", "5/4x4", "5/4x6", "8/4x6", "4x4", "1x6", "2x8"]
    grades = ["Select", "No. 1", "No. 2", "FAS", "A"]
    lengths = ["6 ft", "8 ft", "10 ft", "12 ft", "14 ft", "16 ft", "18 ft", "20 ft"]
    kinds = [(section, grade, length) for section in sections for grade in grades for length in lengths]
    for place in range(ROWS):
        section, grade, length = kinds[place % len(kinds)]
        price = chance.randint(400, 9000) / 100
        yield [f"wood {place // len(kinds)}", grade, section, length, price, "each", f"S{place}"]


def make(folder: Path) -> None:
    """Write the list as CSV and as a workbook, and a shop with its map."""
    for name in ("examples", "price_tables"):
        shutil.copytree(ROOT / name, folder / name)
    (folder / "examples/riverside_tearoom/long.map.toml").write_text(MAP, encoding="utf-8")
    lines = [",".join(map(str, row)) for row in rows()]
    (folder / "long.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    workbook = Workbook(write_only=True)
    sheet = workbook.create_sheet("Prices")
    for row in rows():
        sheet.append(row)
    workbook.save(folder / "long.xlsx")


def read_sheet(folder: Path, name: str) -> None:
    """Read every row of a list and keep none."""
    findings = Findings()
    sheet = open_sheet((folder / name).read_bytes(), name, findings)
    assert sheet is not None
    assert sum(1 for _ in sheet.rows) == ROWS + 1
    findings.raise_faults()


def take(folder: Path, name: str) -> None:
    """Read a list through its map, check it, compare it with the table before, and write it."""
    findings = Findings()
    order = folder / "examples/riverside_tearoom"
    shop = read_shop(order / "shop.toml", findings)
    map_ = read_supplier_map(order / "long.map.toml", findings)
    taken = take_over((folder / name).read_bytes(), name, DAY, map_, shop.price_tables, shop, findings)
    findings.raise_faults()
    taken.write()


def read_tables(folder: Path) -> None:
    """Read and check the price tables of the shop."""
    findings = Findings()
    shop = read_shop(folder / "examples/riverside_tearoom/shop.toml", findings)
    tables = read_price_tables(shop, findings)
    findings.raise_faults()
    assert len(tables.lumber) > ROWS


def of_tearoom(folder: Path, *command: str) -> None:
    """Run a command on the tearoom, as from the command line."""
    sys.argv = ["estimator", *command, str(folder / "examples/riverside_tearoom")]
    with pytest.raises(SystemExit) as stop:
        run()
    assert not stop.value.code


STAGES: dict[str, Callable[[Path], None]] = {
    "rows of the CSV": lambda folder: read_sheet(folder, "long.csv"),
    "rows of the workbook": lambda folder: read_sheet(folder, "long.xlsx"),
    "CSV taken over for the first time": lambda folder: take(folder, "long.csv"),
    "CSV taken over and compared with the table before": lambda folder: take(folder, "long.csv"),
    "workbook taken over and compared": lambda folder: take(folder, "long.xlsx"),
    "price tables of the shop read and checked": read_tables,
    "quote of the tearoom with these tables": lambda folder: of_tearoom(folder, "quote"),
    "prices check of these tables, half of them far off": lambda folder: of_tearoom(folder, "prices", "check"),
}


def measured(stage: str, folder: Path) -> None:
    """Print the seconds and the peak memory of a stage, in this process."""
    start = perf_counter()
    STAGES[stage](folder)
    seconds = perf_counter() - start
    peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024  # kilobytes on Linux
    print(f"{stage:52} {seconds:7.2f} s {peak_mb:6.0f} MB", file=sys.stderr, flush=True)


def main() -> None:
    """Print every stage."""
    with TemporaryDirectory() as name:
        make(Path(name))
        for stage in STAGES:
            command = [sys.executable, "-m", "tests.benchmarks.bench_price_lists", stage, name]
            subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL, check=True)


if __name__ == "__main__":
    if len(sys.argv) == 3:
        measured(sys.argv[1], Path(sys.argv[2]))
    else:
        main()
