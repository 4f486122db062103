import zipfile
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

ORDER = "examples/orchard_bench"


@pytest.fixture(params=["quote", "buy"])
def writing_command(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def sheets(path: Path) -> int:
    with zipfile.ZipFile(path) as book:
        return sum(name.startswith("xl/worksheets/sheet") for name in book.namelist())


def test_out_writes_a_workbook_beside_the_answer(estimator: Estimator, writing_command: str, tmp_path: Path) -> None:
    out = tmp_path / "bench.xlsx"
    run = estimator(writing_command, ORDER, "--out", out)
    assert run.returncode == 0, run.stderr
    assert run.stdout == f"{estimator(writing_command, ORDER).stdout}\nWrote {out}\n"
    assert sheets(out) > 0
    assert list(tmp_path.iterdir()) == [out]


def test_out_adds_nothing_to_a_json_document(estimator: Estimator, writing_command: str, tmp_path: Path) -> None:
    out = tmp_path / "bench.xlsx"
    run = estimator(writing_command, ORDER, "--json", "--out", out)
    assert run.returncode == 0, run.stderr
    assert run.stdout == estimator(writing_command, ORDER, "--json").stdout
    assert sheets(out) > 0


def test_out_leaves_an_existing_file_as_it_was(estimator: Estimator, writing_command: str, tmp_path: Path) -> None:
    out = tmp_path / "bench.xlsx"
    out.write_bytes(b"last week's quote")
    run = estimator(writing_command, ORDER, "--out", out)
    assert run.returncode == 1
    assert run.stdout == ""
    assert str(out) in run.stderr
    assert "replace" in run.stderr
    assert out.read_bytes() == b"last week's quote"
    assert list(tmp_path.iterdir()) == [out]


def test_replace_puts_the_new_workbook_in_its_place(estimator: Estimator, writing_command: str, tmp_path: Path) -> None:
    out = tmp_path / "bench.xlsx"
    out.write_bytes(b"last week's quote")
    run = estimator(writing_command, ORDER, "--out", out, "--replace")
    assert run.returncode == 0, run.stderr
    assert sheets(out) > 0
    assert list(tmp_path.iterdir()) == [out]


def test_a_faulty_order_replaces_nothing(
    estimator: Estimator, writing_command: str, bench_order: Path, tmp_path: Path
) -> None:
    parts = bench_order / "garden_bench" / "parts.csv"
    parts.write_text(parts.read_text(encoding="utf-8").replace(";905;", ";9o5;"), encoding="utf-8")
    out = tmp_path / "bench.xlsx"
    out.write_bytes(b"last week's quote")
    assert estimator(writing_command, bench_order, "--out", out, "--replace").returncode == 1
    assert out.read_bytes() == b"last week's quote"


def test_a_folder_that_is_not_there_is_a_fault(estimator: Estimator, writing_command: str, tmp_path: Path) -> None:
    run = estimator(writing_command, ORDER, "--out", tmp_path / "quotes" / "bench.xlsx")
    assert run.returncode == 1
    assert run.stdout == ""
    assert "quotes" in run.stderr
    assert "Traceback" not in run.stderr
