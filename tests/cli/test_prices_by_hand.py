"""What `estimator prices check` says of prices changed by hand, and what it enters of them."""

import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

LUMBER = """supplier,species,grade,section,length,price,per,date
Fernhill Sawmill Yard,oak,,2x4,8 ft,10.00,each,2026-10-02
Fernhill Sawmill Yard,oak,,2x4,10 ft,12.50,each,2026-10-02
Fernhill Sawmill Yard,oak,,2x6,8 ft,20.00,each,2026-10-02
"""
CHANGED = LUMBER.replace("10.00,each,2026-10-02", "11.00,each,2026-11-20").replace(
    "20.00,each,2026-10", "30,each,2026-11"
)


class Tables:
    """The price tables of the bench order's shop."""

    def __init__(self, order: Path) -> None:
        self.folder = order.parents[1] / "price_tables" / "metric_eur"
        self.history = self.folder / "price_history.csv"
        self.write(LUMBER)

    def write(self, lumber: str) -> None:
        (self.folder / "lumber.csv").write_text(lumber, encoding="utf-8")

    def entries(self) -> list[str]:
        return self.history.read_text(encoding="utf-8-sig").splitlines()[1:]


@pytest.fixture
def tables(bench_order: Path) -> Tables:
    return Tables(bench_order)


def answer(monkeypatch: pytest.MonkeyPatch, typed: str) -> list[str]:
    """Let a person sit at the terminal and type; return what is asked."""
    asked: list[str] = []

    def confirm(question: str) -> bool:
        asked.append(question)
        return typed == "y"

    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr("typer.confirm", confirm)
    return asked


def test_the_first_time_prices_are_counted_and_entered(estimator: Estimator, bench_order: Path, tables: Tables) -> None:
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 0, run.stderr
    count = len(tables.entries())
    assert f"Kept by hand: {count} prices, entered in price_history.csv." in run.stdout
    assert "oak" not in run.stdout.partition("To look at again")[0]
    again = estimator("prices", "check", bench_order)
    assert "Changed by hand since the last check: nothing.\n" in again.stdout
    assert len(tables.entries()) == count


def test_without_a_terminal_jumps_are_shown_each_time_and_not_entered(
    estimator: Estimator, bench_order: Path, tables: Tables
) -> None:
    estimator("prices", "check", bench_order)
    count = len(tables.entries())
    tables.write(CHANGED)
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 0, run.stderr
    lines = [line.split() for line in run.stdout.splitlines()]
    item = ["oak", "2x4,", "2.438", "m"]
    assert [*item, "lumber.csv:2", "€10.00", "€11.00", "each", "+10.0", "%"] in lines
    assert "Look twice: prices that jump, changed by hand: 1\n" in run.stdout
    assert "Not entered in price_history.csv: the price that jumps." in run.stdout
    assert len(tables.entries()) == count + 1
    again = estimator("prices", "check", bench_order)
    assert "Look twice: prices that jump, changed by hand: 1\n" in again.stdout
    assert "Changed by hand since the last check: " not in again.stdout
    assert len(tables.entries()) == count + 1


@pytest.mark.parametrize(("typed", "entered"), [("y", 2), ("n", 1)])
def test_at_a_terminal_jumps_are_asked_about(
    typed: str,
    entered: int,
    estimator: Estimator,
    bench_order: Path,
    tables: Tables,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    estimator("prices", "check", bench_order)
    count = len(tables.entries())
    tables.write(CHANGED)
    asked = answer(monkeypatch, typed)
    assert estimator("prices", "check", bench_order).returncode == 0
    assert asked == ["Is the price that jumps right?"]
    assert len(tables.entries()) == count + entered
    asked.clear()
    again = estimator("prices", "check", bench_order)
    assert len(asked) == 2 - entered
    assert ("Look twice" in again.stdout) is (typed == "n")


def test_new_and_gone_rows_are_named(estimator: Estimator, bench_order: Path, tables: Tables) -> None:
    estimator("prices", "check", bench_order)
    tables.write(LUMBER.replace("2x6,8 ft", "2x8,8 ft"))
    run = estimator("prices", "check", bench_order)
    lines = [line.split() for line in run.stdout.splitlines()]
    assert ["oak", "2x8,", "2.438", "m", "lumber.csv:4", "€20.00", "each", "new"] in lines
    assert ["oak", "2x6,", "2.438", "m", "lumber.csv", "€20.00", "each", "gone"] in lines


def test_where_the_history_cannot_be_written_all_is_shown_and_it_says_so(
    estimator: Estimator, bench_order: Path, tables: Tables, monkeypatch: pytest.MonkeyPatch
) -> None:
    estimator("prices", "check", bench_order)
    before = tables.history.read_bytes()
    tables.write(CHANGED)

    def refused(path: Path, _: bytes) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr("estimator.whole_files._write_durably", refused)
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 0
    assert "Changed by hand since the last check: 1\n" in run.stdout
    assert "Look twice" in run.stdout
    assert "To look at again:" in run.stdout
    assert "price_history.csv: what changed by hand could not be kept: this file cannot be written;" in run.stderr
    assert tables.history.read_bytes() == before


def test_many_changes_are_cut_short_on_the_screen_and_entered_in_full(
    estimator: Estimator, bench_order: Path, tables: Tables
) -> None:
    more = "".join(f"Fernhill Sawmill Yard,ash,,2x4,{feet} ft,8.00,each,2026-10-02\n" for feet in range(6, 31))
    tables.write(LUMBER + more)
    estimator("prices", "check", bench_order)
    count = len(tables.entries())
    tables.write(LUMBER + more.replace("8.00,each,2026-10-02", "8.40,each,2026-11-02"))
    run = estimator("prices", "check", bench_order)
    assert "Changed by hand since the last check: 25\n" in run.stdout
    assert "\nand 5 more\n" in run.stdout
    assert len(tables.entries()) == count + 25


def test_a_history_that_cannot_be_read_is_a_fault_like_any_other(
    estimator: Estimator, bench_order: Path, tables: Tables
) -> None:
    tables.history.write_text("day\n", encoding="utf-8")
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 1
    assert 'price_history.csv:1: the column "item" is missing' in run.stderr
    assert run.stdout == ""
