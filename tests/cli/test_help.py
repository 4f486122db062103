import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

# Each takes from a twentieth to a third of a second to load.
SLOW_TO_LOAD = {
    "highspy",
    "hypothesis",
    "numpy",
    "openpyxl",
    "pandas",
    "pint",
    "requests",
    "requests_cache",
    "rich",
    "shapely",
}
ROOMS = {f"estimator.{room}" for room in ("reading", "takeoff", "buying", "costing", "workbook", "estimate")}


def run_as_a_process(*arguments: str) -> CompletedProcess[str]:
    return subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, timeout=60)


@pytest.mark.parametrize("command_line", [["--help"], ["quote", "--help"]])
def test_help_loads_nothing_that_it_does_not_show(command_line: list[str]) -> None:
    run = run_as_a_process("-X", "importtime", "-m", "estimator", *command_line)
    loaded = {line.rpartition("|")[2].strip() for line in run.stderr.splitlines() if line.startswith("import time:")}
    assert "typer" in loaded, "the list of modules was not understood"
    assert not {name for name in loaded if name.partition(".")[0] in SLOW_TO_LOAD}
    assert not loaded & ROOMS


def test_python_m_estimator_is_the_same_as_estimator() -> None:
    installed = Path(sys.executable).parent / "estimator"
    as_command = subprocess.run([installed, "--help"], capture_output=True, text=True, check=False, timeout=60)
    as_module = run_as_a_process("-m", "estimator", "--help")
    assert as_module.returncode == as_command.returncode == 0
    assert as_module.stdout.replace("python -m estimator", "estimator") == as_command.stdout


def test_help_names_every_command_in_a_whole_sentence_within_80_columns(estimator: Estimator, command: str) -> None:
    lines = estimator("--help").stdout.splitlines()
    sentence = next(line for line in lines if line.startswith(f"  {command} "))
    assert sentence.endswith(".")
    assert not sentence.endswith("...")
    assert max(map(len, lines)) <= 80


def test_every_command_has_help_within_80_columns(estimator: Estimator, command: str) -> None:
    run = estimator(command, "--help")
    assert run.returncode == 0
    assert "ORDER" in run.stdout
    assert "--json" in run.stdout
    assert max(map(len, run.stdout.splitlines())) <= 80


def test_without_arguments_the_help_is_shown_as_a_usage_error(estimator: Estimator) -> None:
    run = estimator()
    assert run.returncode == 2
    assert "Usage: estimator" in run.stdout + run.stderr
