"""What README.md tells a reader to type does what README.md says."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from datetime import date
from decimal import Decimal
from difflib import unified_diff
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import pytest

from estimator.errors import Findings
from estimator.keeping.mapped import mapped_rows
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import read_supplier_map
from estimator.money import Currency
from estimator.reading.finish_products import FINISH_PRODUCT_COLUMNS
from estimator.reading.prices import LABOUR_RATE_COLUMNS
from estimator.reading.sold import SOLD, LumberPrice
from estimator.reading.spread_rates import SPREAD_COLUMNS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")

TRY_IT = (
    "python3 -m venv .venv && .venv/bin/pip install -q -e . && "
    ".venv/bin/estimator quote examples/riverside_tearoom --out tearoom_quote.xlsx"
)
RUN_THE_TESTS = "python3 -m venv .venv && .venv/bin/pip install -q -e '.[dev]' && .venv/bin/pytest -q"

ANY_LINES = "..."


class Shown(NamedTuple):
    """A command as the README shows it, with what it prints; `...` stands for any lines."""

    command: str
    output: tuple[str, ...]


def fenced_blocks(text: str) -> list[tuple[str, list[str]]]:
    """Return each fenced block as the word after its fence and its lines."""
    blocks = re.findall(r"^```([a-z]*)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [(word, body.splitlines()) for word, body in blocks]


def under_heading(heading: str) -> list[str]:
    """Return the lines of the first fenced block under a heading. The build checks run the same lines."""
    section = README.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    blocks = fenced_blocks(section)
    assert blocks, f'README.md has no fenced block under "## {heading}"'
    return blocks[0][1]


def shown_commands() -> list[Shown]:
    """Return each `$ estimator ...` of the console blocks with the lines that follow it."""
    shown: list[Shown] = []
    for word, lines in fenced_blocks(README):
        if word != "console" or not lines or not lines[0].startswith("$ estimator"):
            continue
        starts = [place for place, line in enumerate(lines) if line.startswith("$ ")]
        for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
            shown.append(Shown(lines[start].removeprefix("$ "), tuple(lines[start + 1 : end])))
    return shown


def matches(shown: tuple[str, ...], printed: list[str]) -> bool:
    """Tell whether the lines shown are those printed. Blanks at the end of a line, which nobody sees, do not count."""
    lines = (re.escape(line.rstrip()) if line.strip() != ANY_LINES else r"[^\n]*(\n[^\n]*)*" for line in shown)
    return re.fullmatch("\n".join(lines), "\n".join(line.rstrip() for line in printed)) is not None


def test_the_line_to_try_it_is_the_one_the_build_checks_run() -> None:
    assert under_heading("Try it") == [TRY_IT]


def test_the_line_to_run_the_tests_is_the_one_the_build_checks_run() -> None:
    assert under_heading("Run the tests") == [RUN_THE_TESTS]


def test_the_readme_shows_what_the_program_prints() -> None:
    assert shown_commands()


@pytest.mark.parametrize("shown", shown_commands(), ids=lambda shown: shown.command)
def test_a_command_prints_what_the_readme_shows(shown: Shown, tmp_path: Path) -> None:
    for folder in ("examples", "price_tables"):  # a copy, so that workbooks are not written into the project
        shutil.copytree(ROOT / folder, tmp_path / folder)
    words = shlex.split(shown.command)
    run = subprocess.run(
        [sys.executable, "-m", *words],
        cwd=tmp_path,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1", "COLUMNS": "80"},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,  # as a terminal shows both
        encoding="utf-8",
        check=False,
        timeout=60,
    )
    printed = run.stdout.replace("Usage: python -m estimator", "Usage: estimator").splitlines()
    difference = "\n".join(unified_diff(shown.output, printed, "README.md", "printed", lineterm=""))
    assert matches(shown.output, printed), difference


@pytest.mark.parametrize(
    ("shown", "same"),
    [
        (("a", "b", "c"), True),
        (("a", "...", "c"), True),
        (("...", "c"), True),
        (("a", "..."), True),
        (("a", "b"), False),
        (("a", "...", "d"), False),
        (("a", "b", "c", "..."), False),
        (("a.", "b", "c"), False),
    ],
)
def test_dots_stand_for_one_or_more_lines(shown: tuple[str, ...], *, same: bool) -> None:
    assert matches(shown, ["a", "b ", "c"]) is same


def test_the_map_that_the_readme_shows_takes_a_list_over(tmp_path: Path) -> None:
    shown = [lines for word, lines in fenced_blocks(README) if word == "toml" and lines[0].startswith("supplier =")]
    assert len(shown) == 1
    (tmp_path / "fernhill.map.toml").write_text("\n".join(shown[0]), encoding="utf-8")
    findings = Findings()
    map_ = read_supplier_map(tmp_path / "fernhill.map.toml", findings)
    sheet = open_sheet(
        b"Timber,Grade,Thick,Wide,Length (ft),List price,U/M\nwestern larch,Select,5/4,4,10,1.98,LF\n",
        "list.csv",
        findings,
    )
    assert sheet is not None
    rows = tuple(mapped_rows(sheet, map_, findings, day=date(2026, 11, 2), unit="in", currency=Currency(code="USD")))
    findings.raise_faults()
    row = rows[0].sold
    assert isinstance(row, LumberPrice)
    assert (row.section.text, row.length_in) == ("5/4x4", Fraction(120))
    assert (row.price, row.per, row.day) == (Decimal("1.98"), "ft", date(2026, 11, 1))


PRICE_TABLES = {
    **SOLD,
    "labour_rates": LABOUR_RATE_COLUMNS,
    "spread_rates": SPREAD_COLUMNS,
    "finish_products": FINISH_PRODUCT_COLUMNS,
}


def rows_of_price_tables() -> dict[str, list[list[str]]]:
    """Return the rows of the README's tables of columns by price table; under "" those that several have."""
    tables: dict[str, list[list[str]]] = {"": []}
    table = ""
    for line in README.partition("**Price tables.**")[2].partition("**`suppliers.toml`**")[0].splitlines():
        if named := re.match(r"`(\w+)\.csv`", line):
            table = named[1]
        if line.startswith("|") and not re.match(r"\|(---| column )", line):
            tables.setdefault(table, []).append([cell.strip() for cell in line.strip("|").split("|")])
    return tables


@pytest.mark.parametrize("table", PRICE_TABLES)
def test_the_readme_tells_of_every_column_of_a_price_table_with_an_example(table: str) -> None:
    """What may be left out stands in italics."""
    tables = rows_of_price_tables()
    told: dict[str, bool] = {}
    for names, explained, example in [*tables[""], *tables[table]] if table in SOLD else tables[table]:
        assert explained
        assert example.count("`") == 2 * max(1, example.count("`, `") + 1), names
        told |= {name.strip("*"): not name.startswith("*") for name in names.split(", ")}
    columns = PRICE_TABLES[table]
    assert told == {column.name: column.required for column in columns}
