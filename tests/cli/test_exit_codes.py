from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

ORDER = "examples/orchard_bench"
BUILD = "examples/orchard_bench/garden_bench"


def spoil(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize(
    ("arguments", "complaint"),
    [
        (["quote"], "ORDER"),
        (["mend", ORDER], "mend"),
        (["quote", ORDER, "--wrong"], "--wrong"),
        (["quote", ORDER, ORDER], "unexpected extra argument"),
        (["quote", ORDER, "--quantity", "4"], "--quantity"),
        (["check", f"{ORDER}/order.toml", "--quantity", "4"], "--quantity"),
        (["takeoff", BUILD, "--quantity", "0"], "--quantity"),
        (["takeoff", BUILD, "--quantity", "10001"], "--quantity"),
        (["takeoff", BUILD, "--quantity", "2.5"], "--quantity"),
        (["compare", ORDER, "--quantities", "four"], '"four"'),
        (["compare", ORDER, "--quantities", "1,,4"], '"1,,4"'),
        (["compare", ORDER, "--quantities", ","], '","'),
        (["compare", ORDER, "--quantities", "0,4"], '"0,4"'),
        (["compare", ORDER, "--quantities", "4,20000"], '"4,20000"'),
        (["compare", ORDER, "--quantities", "1,²"], '"1,²"'),
        (["compare", ORDER, "--quantities", "1.5"], '"1.5"'),
        (["compare", ORDER, "--quantities", "-4"], '"-4"'),
        (["compare", ORDER, "--quantity", "4"], "--quantity"),
        (["finish", ORDER, "--out", "finish.xlsx"], "--out"),
    ],
)
def test_a_command_that_makes_no_sense_ends_with_2(estimator: Estimator, arguments: list[str], complaint: str) -> None:
    run = estimator(*arguments)
    assert run.returncode == 2
    assert run.stdout == ""
    assert complaint in run.stderr
    assert "Traceback" not in run.stderr


def test_every_fault_is_named_and_the_command_ends_with_1(
    estimator: Estimator, command: str, bench_order: Path
) -> None:
    spoil(bench_order / "garden_bench" / "parts.csv", ";905;", ";9o5;")
    spoil(bench_order / "garden_bench" / "hardware.csv", "screw;5 mm;70;", "screw;5 mm;seventy;")
    run = estimator(command, bench_order)
    assert run.returncode == 1
    assert run.stdout == ""
    part, screw, blank, count = run.stderr.splitlines()
    assert "parts.csv:3: " in part
    assert "9o5" in part
    assert "hardware.csv:4: " in screw
    assert "seventy" in screw
    assert (blank, count) == ("", "2 faults to mend; nothing was written.")


def test_a_missing_price_is_a_fault_and_never_a_zero(estimator: Estimator, bench_order: Path) -> None:
    spoil(
        bench_order.parents[1] / "price_tables" / "metric_eur" / "finishes.csv", "Haselbach hardwood oil", "Other oil"
    )
    for command in ("finish", "quote", "compare", "buy", "check"):
        run = estimator(command, bench_order)
        assert run.returncode == 1
        assert run.stdout == ""
        assert "Haselbach hardwood oil" in run.stderr


@pytest.mark.parametrize("path", ["nowhere", "examples", "README.md", "examples/orchard_bench/shop.toml", ""])
def test_a_path_that_holds_no_order_ends_with_1(estimator: Estimator, path: str) -> None:
    run = estimator("check", path)
    assert run.returncode == 1
    assert run.stdout == ""
    assert ("is not there" if path == "nowhere" else "order.toml") in run.stderr
    assert run.stderr.endswith("1 fault to mend; nothing was written.\n")


@pytest.mark.parametrize("path", [BUILD, f"{BUILD}/build.toml"])
def test_one_build_is_priced_in_any_quantity(estimator: Estimator, path: str) -> None:
    run = estimator("takeoff", path, "--quantity", "7")
    assert run.returncode == 0
    (row,) = (line for line in run.stdout.splitlines() if line.startswith("Garden bench  "))
    assert row.split()[2] == "7"
    assert estimator("takeoff", path).stdout == estimator("takeoff", path, "--quantity", "1").stdout


def test_an_order_may_be_named_by_its_folder_or_its_file(estimator: Estimator, command: str) -> None:
    assert estimator(command, ORDER).stdout == estimator(command, f"{ORDER}/order.toml").stdout


@pytest.mark.parametrize("command", ["quote", "buy"])
def test_a_workbook_is_not_written_under_the_name_of_something_else(estimator: Estimator, command: str) -> None:
    run = estimator(command, "examples/orchard_bench", "--out", "bench.pdf")
    assert run.returncode == 2
    assert ".xlsx" in run.stderr
    assert not Path("bench.pdf").exists()
