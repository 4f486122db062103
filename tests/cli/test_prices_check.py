import shutil
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]
EXAMPLES = ("riverside_tearoom", "orchard_bench")


def table_of(bench_order: Path, name: str) -> Path:
    return bench_order.parents[1] / "price_tables" / "metric_eur" / name


def one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("shop", EXAMPLES)
def test_no_price_of_the_examples_is_out_of_line(shop: str, estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "check", bench_order.parent / shop)
    assert run.returncode == 0
    assert "all can be read" in run.stdout
    for heading in ("Asked for", "Not read", "far from", "do not agree"):
        assert heading not in run.stdout


def test_doubts_stand_in_groups_each_with_its_place_and_stop_nothing(estimator: Estimator, bench_order: Path) -> None:
    hardware, lumber = table_of(bench_order, "hardware.csv"), table_of(bench_order, "lumber.csv")
    hardware.write_text(hardware.read_text(encoding="utf-8").replace("25.50", "12.50"), encoding="utf-8")
    lumber.write_text(lumber.read_text(encoding="utf-8").replace("3600,4.55", "3600,45.50"), encoding="utf-8")
    with (bench_order / "garden_bench/hardware.csv").open("a", encoding="utf-8") as uses:
        uses.write("screw;5 mm;80;stainless A2;cleat;2;2\n")
    run = estimator("prices", "check", bench_order)
    said = one_line(run.stdout)
    assert run.returncode == 0
    assert all(len(line) <= 80 for line in run.stdout.splitlines() if "/" not in line)  # a path may be longer
    assert "To look at again: 4." in said
    order = (
        "Asked for and not found",
        "Lumber far from",
        "Packs that do not agree",
        "Old prices and odd",
        "In no build",
    )
    assert sorted(order, key=said.index) == list(order)
    assert "hardware.csv has no price for screw 5 mm x 80 mm, stainless A2" in said
    assert "lumber.csv:6: black locust planed 30 x 45 mm, 3.6 m costs" in said
    assert "written 4.55 it would be" in said
    assert "hardware.csv:3: screw 5 mm x 50 mm, stainless A2, pack of 200 costs €12.50, less than" in said


def test_a_shop_without_builds_is_told_so(estimator: Estimator, bench_order: Path) -> None:
    shutil.rmtree(bench_order / "garden_bench")
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 0
    assert "There is no build in" in run.stdout
    assert "In no build" not in run.stdout


def test_builds_that_cannot_be_read_are_named_with_what_to_do(estimator: Estimator, bench_order: Path) -> None:
    parts = bench_order / "garden_bench/parts.csv"
    parts.write_text(parts.read_text(encoding="utf-8").replace(";all;", ";some;"), encoding="utf-8")
    run = estimator("prices", "check", bench_order)
    said = one_line(run.stdout)
    assert run.returncode == 0
    assert "No build in" in said
    # Without its spaces, for a long path is broken wherever the line ends.
    told = f"garden_bench: 10 faults; run estimator check {bench_order / 'garden_bench'} to see them"
    assert told.replace(" ", "") in said.replace(" ", "")
    assert "In no build" not in said


def test_more_doubts_than_can_be_looked_at_are_counted(estimator: Estimator, bench_order: Path) -> None:
    with table_of(bench_order, "consumables.csv").open("a", encoding="utf-8") as table:
        for item in range(30):
            for pack, price in ((1, "1.00"), (10, "9.00"), (20, "200.00"), (40, "16.00")):
                table.write(f"Eisenwaren Brunner Gasse,Item {item},{pack},piece,{price},2026-10-05,\n")
    run = estimator("prices", "check", bench_order)
    assert run.stdout.count("Item ") > 20
    assert "... and 10 more." in run.stdout
    assert "30 of 34 are in no build: Item 0 (line 6)" in one_line(run.stdout)


def test_a_folder_below_the_shop_may_be_named(estimator: Estimator, bench_order: Path) -> None:
    estimator("prices", "check", bench_order)  # enters the prices kept by hand into the history
    whole, below = estimator("prices", "check", bench_order), estimator("prices", "check", bench_order / "garden_bench")
    assert whole.stdout == below.stdout


def test_what_cannot_be_read_is_a_fault(estimator: Estimator, bench_order: Path) -> None:
    table = table_of(bench_order, "consumables.csv")
    table.write_text("supplier,item,pack,unit,price,date\nYard,Cloth,10,cloths,soon,2026-01-01\n", encoding="utf-8")
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 1
    assert "consumables.csv:2: price" in run.stderr
