"""Runs the command line inside the tests: `estimator("quote", "examples/orchard_bench", "--json")`."""

import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from estimator.cli.main import run

ROOT = Path(__file__).parents[2]

Estimator = Callable[..., CompletedProcess[str]]


@pytest.fixture
def estimator(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Estimator:
    """Run a command in the project's folder and return its exit code and what stood on both streams.

    Both are read as the operating system sees them, so what the solver writes past Python would be there too.
    """
    monkeypatch.chdir(ROOT)
    monkeypatch.setenv("COLUMNS", "80")

    def estimator(*arguments: str | Path) -> CompletedProcess[str]:
        words = ["estimator", *map(str, arguments)]
        monkeypatch.setattr(sys, "argv", words)
        capfd.readouterr()
        with pytest.raises(SystemExit) as stop:
            run()
        output = capfd.readouterr()
        code = stop.value.code
        assert isinstance(code, int)
        return CompletedProcess(words, code, output.out, output.err)

    return estimator


@pytest.fixture(params=["check", "takeoff", "buy", "stock", "finish", "quote", "compare"])
def command(request: pytest.FixtureRequest) -> str:
    """Each command in turn."""
    return str(request.param)


@pytest.fixture(params=["riverside_tearoom", "orchard_bench"])
def example(request: pytest.FixtureRequest) -> str:
    """Each example in turn, as a reader of the README names it."""
    return f"examples/{request.param}"


@pytest.fixture
def bench_order(tmp_path: Path) -> Path:
    """Return the folder of a copy of the bench order, for a test to spoil."""
    for folder in ("examples", "price_tables"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    return tmp_path / "examples" / "orchard_bench"


@pytest.fixture
def broken_order(tmp_path: Path) -> Callable[[str], Path]:
    """Copy a broken order by the number of its case and return its folder."""
    cases = ROOT / "tests" / "broken"

    def broken_order(number: str) -> Path:
        (case,) = cases.glob(f"{number}_*")
        order = tmp_path / "order"
        shutil.copytree(cases / "_good", order)
        shutil.copytree(case, order, dirs_exist_ok=True)
        if (case / "removed.txt").exists():
            for name in (case / "removed.txt").read_text(encoding="utf-8").splitlines():
                (order / name).unlink()
        return order

    return broken_order
