"""Broken orders as users hand them in, each with the messages they must get: `NN_what_is_wrong/expected.txt`.

A case folder holds only the files that differ from the sound order in `_good`; `removed.txt` names files to take away.
Where another command than those that read an order must find the faults, `command.txt` holds it. `rows.txt` holds what
is said behind the faults where rows of price tables are missing, with TODAY for the day that is proposed for them.
"""

import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from estimator.cli.main import run
from estimator.errors import EstimatorError
from estimator.estimate import estimate
from estimator.reading.order import read_order

HERE = Path(__file__).parent
ABOUT_IT = ("expected.txt", "removed.txt", "command.txt", "rows.txt")
CASES = sorted(path for path in HERE.iterdir() if path.name[:2].isdigit())
DAY = date(2026, 11, 24)
ORDERS = [case for case in CASES if not (case / "command.txt").exists()]
each_case = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
each_order = pytest.mark.parametrize("case", ORDERS, ids=lambda case: case.name)


def commands(case: Path) -> list[str]:
    """Return the command lines that must tell of the faults."""
    if case in ORDERS:
        return ["check .", "quote . --out quote.xlsx"]
    return (case / "command.txt").read_text(encoding="utf-8").splitlines()


each_command = pytest.mark.parametrize(
    ("case", "command"),
    [pytest.param(case, command, id=f"{case.name}-{command}") for case in CASES for command in commands(case)],
)


@pytest.fixture
def order(case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return the folder of a broken order, which is the one stood in."""
    folder = tmp_path / "order"
    shutil.copytree(HERE / "_good", folder)
    shutil.copytree(case, folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns(*ABOUT_IT))
    if (case / "removed.txt").exists():
        for name in (case / "removed.txt").read_text(encoding="utf-8").splitlines():
            (folder / name).unlink()
    monkeypatch.chdir(folder)
    return folder


def expected(case: Path) -> list[str]:
    return (case / "expected.txt").read_text(encoding="utf-8").splitlines()


def contents(folder: Path) -> dict[Path, bytes]:
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_sound_order_has_no_faults(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(HERE / "_good")
    assert estimate(read_order(Path(), today=DAY)).notices == ()


def test_there_are_many_cases_and_none_without_a_message() -> None:
    assert len(CASES) >= 30
    assert all(expected(case) for case in CASES)


@each_order
def test_every_fault_of_a_broken_order_is_reported_in_one_run(case: Path, order: Path) -> None:
    with pytest.raises(EstimatorError) as caught:
        estimate(read_order(Path(), today=DAY))
    assert [str(fault) for fault in caught.value.faults] == expected(case)
    assert order.is_dir()


@each_case
def test_every_message_is_one_line_with_its_place_and_a_remedy(case: Path) -> None:
    for line in expected(case):
        place, _, message = line.partition(": ")
        assert place.partition(":")[0].endswith((".csv", ".toml", "."))
        assert "; " in message or "did you mean" in message or "write either" in message


@each_command
def test_the_command_line_says_the_same_and_writes_nothing(
    case: Path, order: Path, command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = contents(order)
    monkeypatch.setattr(sys, "argv", ["estimator", *command.split()])
    with pytest.raises(SystemExit) as ended:
        run()
    printed = capsys.readouterr()
    assert ended.value.code == 1
    assert printed.err.splitlines()[: len(expected(case))] == expected(case)
    assert printed.out == ""
    assert contents(order) == before
    if (case / "rows.txt").exists():
        rows = (case / "rows.txt").read_text(encoding="utf-8").replace("TODAY", str(date.today()))  # noqa: DTZ011
        assert printed.err.partition("nothing was written.\n")[2] == rows


@pytest.mark.parametrize("case", [ORDERS[0], ORDERS[-1]], ids=lambda case: case.name)
def test_run_as_a_program_it_prints_messages_and_no_traceback(case: Path, order: Path) -> None:
    project = HERE.parent.parent
    command = [sys.executable, "-m", "estimator", "check", str(order)]
    ended = subprocess.run(command, cwd=project, capture_output=True, text=True, timeout=60, check=False)
    assert ended.returncode == 1
    assert "Traceback" not in ended.stderr
    for line in expected(case):
        assert line in ended.stderr  # the file is named by its whole path here, which ends in the short one
