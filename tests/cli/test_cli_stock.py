import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess
from typing import Any

import pytest

Estimator = Callable[..., CompletedProcess[str]]

STOCK = (
    "Note;Checked;Quantity;Length;Section;Species;Place\r\n"
    "from June;yes;4;1,25 m;30 x 45 mm;black locust;rack 3\r\n"
    "\r\n"
    "short;no;2;300;30 x 45 mm;black locust;box\r\n"
)


@pytest.fixture
def stock(bench_order: Path) -> Path:
    """Return the list of stock of the bench order's shop: four boards that the job takes and two bits it cannot use."""
    path = bench_order / "stock.csv"
    path.write_bytes(STOCK.encode())
    return path


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_the_change_is_shown_and_nothing_is_written(estimator: Estimator, stock: Path) -> None:
    before = files(stock.parent)
    run = estimator("stock", stock.parent)
    assert run.returncode == 0, run.stderr
    (row,) = [line for line in run.stdout.splitlines() if "planed 30 x 45 mm, 1250 mm (rack 3)" in line]
    assert row.split()[-4:] == ["4", "4", "0", "0"]
    assert "1 other row stays as it is" in run.stdout
    assert run.stdout.endswith(f"\nNot written: {stock}\nWith --take it is rewritten.\n")
    assert files(stock.parent) == before


def test_take_writes_the_list_and_keeps_the_former_one(estimator: Estimator, stock: Path) -> None:
    shown = estimator("stock", stock.parent)
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 0, run.stderr
    assert run.stdout.partition("\nWrote ")[0] == shown.stdout.partition("\nNot written")[0]
    assert f"\nWrote {stock}\nThe former list is kept as stock.csv.before. " in run.stdout
    text = stock.read_bytes().decode()
    assert text.startswith("Note;Checked;Quantity;Length;Section;Species;Place")
    assert "rack 3" not in text
    assert "\r\n\r\nshort;no;2;300;30 x 45 mm;black locust;box\r\n" in text
    assert (stock.parent / "stock.csv.before").read_bytes() == STOCK.encode()


def test_a_job_is_not_taken_twice(estimator: Estimator, stock: Path) -> None:
    assert estimator("stock", stock.parent, "--take").returncode == 0
    stock.write_bytes(STOCK.encode())  # more of the same has come
    before = files(stock.parent)
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 1
    assert run.stdout == ""
    assert "stock_taken.csv:2: this job was taken out of stock on " in run.stderr
    assert "2 Garden bench" in run.stderr
    assert files(stock.parent) == before

    shown = estimator("stock", stock.parent)
    assert shown.returncode == 0
    assert "stock_taken.csv:2: this job was taken out of stock on " in shown.stderr


def test_another_quantity_is_the_same_job_and_another_folder_is_not(estimator: Estimator, stock: Path) -> None:
    assert estimator("stock", stock.parent, "--take").returncode == 0
    stock.write_bytes(STOCK.encode())
    build = stock.parent / "garden_bench"
    assert estimator("stock", build, "--quantity", "1", "--take").returncode == 0
    stock.write_bytes(STOCK.encode())
    assert estimator("stock", build, "--quantity", "2", "--take").returncode == 1
    jobs = (stock.parent / "stock_taken.csv").read_text(encoding="utf-8-sig").splitlines()
    assert [row.split(",")[1] for row in jobs] == ["folder", ".", "garden_bench"]


def test_a_job_whose_row_is_deleted_can_be_taken_once_more(estimator: Estimator, stock: Path) -> None:
    assert estimator("stock", stock.parent, "--take").returncode == 0
    stock.write_bytes(STOCK.encode())
    jobs = stock.parent / "stock_taken.csv"
    jobs.write_text(jobs.read_text(encoding="utf-8").splitlines()[0] + "\n", encoding="utf-8")
    assert estimator("stock", stock.parent, "--take").returncode == 0
    assert len(jobs.read_text(encoding="utf-8").splitlines()) == 2


def test_without_a_list_one_is_made_of_the_left_overs(estimator: Estimator, bench_order: Path) -> None:
    shop = bench_order / "shop.toml"
    shop.write_text(
        shop.read_text(encoding="utf-8").replace("usable_offcut = 400", "usable_offcut = 10"), encoding="utf-8"
    )
    run = estimator("stock", bench_order, "--take", "--json")
    assert run.returncode == 0, run.stderr
    document = json.loads(run.stdout)
    assert document["written"] is True
    assert document["changes"]
    heading, *rows = (bench_order / "stock.csv").read_text(encoding="utf-8-sig").splitlines()
    assert heading == "species,section,length,quantity,grade,value,place,note"
    assert rows == [
        f"black locust,{one['section']},{one['length_mm']:g} mm,{one['after']},{one['grade']},,,"
        for one in document["changes"]
    ]
    assert not (bench_order / "stock.csv.before").exists()


def test_where_nothing_changes_nothing_is_written(estimator: Estimator, bench_order: Path) -> None:
    # The bench's only left-over of a board is shorter than its shop keeps.
    before = files(bench_order)
    run = estimator("stock", bench_order, "--take")
    assert run.returncode == 0
    assert "It takes none and leaves nothing worth keeping; the stock stays as it is." in run.stdout
    assert files(bench_order) == before


def test_a_list_of_jobs_that_cannot_be_read_stops_the_taking(estimator: Estimator, stock: Path) -> None:
    (stock.parent / "stock_taken.csv").write_text("date,folder,job\n3/4/2026,stool,x\n", encoding="utf-8")
    before = files(stock.parent)
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 1
    assert "stock_taken.csv:2: date: " in run.stderr
    assert files(stock.parent) == before


def test_new_rows_need_a_value_where_the_shop_counts_by_it(estimator: Estimator, stock: Path) -> None:
    shop = stock.parent / "shop.toml"
    text = shop.read_text(encoding="utf-8").replace('stock_value = "free"', 'stock_value = "set"')
    text = text.replace("usable_offcut = 400", "usable_offcut = 10")
    shop.write_text(text, encoding="utf-8")
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 1
    assert "stock.csv:2: value: is missing; " in run.stderr
    stock.write_text("species,section,length,quantity,value\nblack locust,30 x 45 mm,1250,4,2.50\n", encoding="utf-8")
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 0, run.stderr
    assert "Write what one piece counts (value) into the new rows." in " ".join(run.stdout.split())


def test_a_list_that_another_program_holds_is_left(
    estimator: Estimator, stock: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = Path.open

    def held(path: Path, mode: str = "r", **options: Any) -> Any:  # noqa: ANN401 - whatever open takes and gives
        if path == stock and "+" in mode:
            raise PermissionError(13, "Permission denied")
        return opened(path, mode, **options)

    monkeypatch.setattr(Path, "open", held)
    before = files(stock.parent)
    run = estimator("stock", stock.parent, "--take")
    assert run.returncode == 1
    assert "stock.csv: cannot be written (Permission denied); close it in your spreadsheet program" in run.stderr
    assert files(stock.parent) == before


# Ends the program, as a power cut does, when a file of the given number is about to take its name.
CRASH = """
import os, sys
from pathlib import Path
from estimator.cli.main import run

left, replace = int(sys.argv.pop(1)), Path.replace

def replace_or_die(self, target):
    global left
    if left == 0:
        os._exit(9)
    left -= 1
    return replace(self, target)

Path.replace = replace_or_die
run()
"""


@pytest.mark.parametrize("files_before", [0, 1, 2])
def test_a_crash_in_the_middle_leaves_the_list_as_it_was(stock: Path, files_before: int, estimator: Estimator) -> None:
    command = [sys.executable, "-c", CRASH, str(files_before), "stock", str(stock.parent), "--take"]
    ended = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    assert ended.returncode == 9, ended.stderr
    assert stock.read_bytes() == STOCK.encode()
    again = estimator("stock", stock.parent, "--take")
    if files_before < 2:
        assert again.returncode == 0, again.stderr
    else:  # the job is entered, the stock is not yet taken: that is asked about, and never taken twice unasked
        assert again.returncode == 1
        assert "where the stock does not show it, delete this row" in again.stderr
