import os
import shutil
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

MAP = """
supplier = "Fernhill Sawmill Yard"
table = "lumber"
[columns]
species = "Timber"
section = "Size"
length = "Length"
price = "Price"
per = "Per"
"""
FIRST = "Timber,Size,Length,Price,Per\noak,2x4,8 ft,10.00,each\noak,2x4,10 ft,12.50,each\noak,2x6,8 ft,20.00,each\n"
SECOND = FIRST.replace("10.00", "11.00").replace("20.00", "30.00") + "elm,2x4,8 ft,7,each\n"


class Shop:
    """The bench order's shop with a map and a list of its yard."""

    def __init__(self, order: Path) -> None:
        self.tables = order.parents[1] / "price_tables" / "metric_eur"
        self.table = self.tables / "lumber-fernhill.csv"
        self.map_path = order / "fernhill.map.toml"
        self.map_path.write_text(MAP, encoding="utf-8")
        self.list = order / "yard.csv"
        self.list.write_text(FIRST, encoding="utf-8")

    def files(self) -> dict[str, bytes]:
        return {path.name: path.read_bytes() for path in self.tables.iterdir()}


@pytest.fixture
def shop(bench_order: Path) -> Shop:
    return Shop(bench_order)


def answer(monkeypatch: pytest.MonkeyPatch, *answers: str) -> list[str]:
    """Let a person sit at the terminal and type; return what is asked."""
    asked: list[str] = []
    left = list(answers)

    def typed(question: str) -> bool:
        asked.append(question)
        return left.pop(0) == "y"

    monkeypatch.setattr(sys.stdin, "isatty", lambda: True)
    monkeypatch.setattr("typer.confirm", typed)
    return asked


def test_without_a_terminal_and_without_yes_it_is_shown_and_not_written(estimator: Estimator, shop: Shop) -> None:
    before = shop.files()
    run = estimator("prices", "take", shop.list, shop.map_path)
    assert run.returncode == 0, run.stderr
    assert "yard.csv: 3 rows of Fernhill Sawmill Yard, dated " in run.stdout
    assert "\nNew: 3\n" in run.stdout
    assert run.stdout.endswith(f"\nNot written: {shop.table}\nWith --yes it is.\n")
    assert shop.files() == before


def test_the_first_list_is_taken_over_and_a_quote_reads_it(estimator: Estimator, shop: Shop) -> None:
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    assert run.returncode == 0, run.stderr
    assert f"\nWrote {shop.table}\nWhat changed is entered in price_history.csv.\n" in run.stdout
    assert "oak,2x4,8 ft,10.00,each," in shop.table.read_text(encoding="utf-8")
    assert estimator("check", shop.map_path.parent).returncode == 0


def test_yes_takes_all_but_jumps_and_jumps_takes_them_too(estimator: Estimator, shop: Shop) -> None:
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    shop.list.write_text(SECOND, encoding="utf-8")
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    assert run.returncode == 0, run.stderr
    for heading in ("Look twice: prices that jump: 1", "Dearer: 1", "New: 1"):
        assert f"\n{heading}\n" in run.stdout
    assert "1 price as before." in run.stdout
    (jump,) = [line for line in run.stdout.splitlines() if "+50.0 %" in line]
    assert jump.split()[-5:] == ["each", "€20.00", "€30.00", "+50.0", "%"]
    ending = " ".join(run.stdout.partition("Wrote ")[2].split())
    assert "The price that jumps is kept as before; --yes --jumps takes over all." in ending
    assert "The former table is lumber-fernhill.csv.before." in ending
    text = shop.table.read_text(encoding="utf-8")
    assert ",20.00," in text
    assert ",11.00," in text
    estimator("prices", "take", shop.list, shop.map_path, "--yes", "--jumps")
    assert ",30.00," in shop.table.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("answers", "written"),
    [(("n",), ("10.00", "20.00")), (("y", "n"), ("11.00", "20.00")), (("y", "y"), ("11.00", "30.00"))],
)
def test_jumps_are_asked_about_on_their_own(
    answers: tuple[str, ...],
    written: tuple[str, ...],
    estimator: Estimator,
    shop: Shop,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    shop.list.write_text(SECOND, encoding="utf-8")
    asked = answer(monkeypatch, *answers)
    run = estimator("prices", "take", shop.list, shop.map_path)
    assert run.returncode == 0
    assert asked == ["Take over all but the price that jumps?", "And the price that jumps?"][: len(answers)]
    text = shop.table.read_text(encoding="utf-8")
    assert all(f",{price}," in text for price in written)


def test_where_no_price_jumps_one_question_is_enough(
    estimator: Estimator, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = answer(monkeypatch, "y")
    assert estimator("prices", "take", shop.list, shop.map_path).returncode == 0
    assert asked == ["Take it over?"]
    assert shop.table.exists()


def test_a_list_taken_over_again_writes_nothing(estimator: Estimator, shop: Shop) -> None:
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    shop.list.write_text(FIRST.replace("10.00", "11.00"), encoding="utf-8")
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    before = shop.files()
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes", "--jumps")
    assert run.stdout.endswith(f"\nNothing to write: {shop.table} is just this list already.\n")
    assert shop.files() == before


def test_where_only_a_jump_stands_out_the_kept_table_stays(estimator: Estimator, shop: Shop) -> None:
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    shop.list.write_text(SECOND, encoding="utf-8")
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    before = shop.files()
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    said = " ".join(run.stdout.split())
    assert "Nothing but the price that jumps would change: " in said
    assert said.endswith("stays as it is. --yes --jumps takes over all.")
    assert shop.files() == before


def test_a_list_of_a_day_to_come_is_said(estimator: Estimator, shop: Shop) -> None:
    shop.map_path.write_text(MAP.replace("[columns]", "date = 2099-01-02\n[columns]"), encoding="utf-8")
    run = estimator("prices", "take", shop.list, shop.map_path)
    assert run.returncode == 0
    remedy = "mend date in fernhill.map.toml if that is no day to come"
    assert f"note: yard.csv: has a price dated 2099-01-02, after today; {remedy}" in run.stderr


def test_a_refusal_names_every_fault_and_leaves_the_tables(estimator: Estimator, shop: Shop) -> None:
    estimator("prices", "take", shop.list, shop.map_path, "--yes")
    shop.list.write_text(SECOND.replace("11.00", "call").replace("2x6", "2x7"), encoding="utf-8")
    before = shop.files()
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes", "--jumps")
    assert run.returncode == 1
    assert run.stdout == ""
    price, size, blank, count = run.stderr.splitlines()
    assert price.startswith('yard.csv:2: Price: "call" is not a price; ')
    assert size.startswith('yard.csv:4: Size: "2x7" is no size')
    assert (blank, count) == ("", "2 faults to mend; nothing was written.")
    assert shop.files() == before


def test_rows_without_a_date_take_the_files_day(estimator: Estimator, shop: Shop) -> None:
    day = datetime(2026, 10, 5, 12).timestamp()  # noqa: DTZ001 - the day on the user's own calendar
    os.utime(shop.list, (day, day))
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    assert "dated 2026-10-05 where it gives no date" in " ".join(run.stdout.split())
    assert ",2026-10-05," in shop.table.read_text(encoding="utf-8")


def test_a_long_list_is_shown_in_part(estimator: Estimator, shop: Shop) -> None:
    rows = "".join(f"wood {place},2x4,8 ft,9,each\n" for place in range(1500))
    shop.list.write_text(FIRST.splitlines()[0] + "\n" + rows, encoding="utf-8")
    run = estimator("prices", "take", shop.list, shop.map_path)
    assert "\nNew: 1,500\n" in run.stdout
    assert "\nand 1,480 more\n" in run.stdout
    assert max(map(len, run.stdout.splitlines()[:-2])) <= 80


@pytest.mark.parametrize(
    ("arguments", "code", "complaint"),
    [
        (["take"], 2, "FILE"),
        (["take", "yard.csv"], 2, "MAP"),
        (["take", "yard.csv", "fernhill.map.toml", "--jumps"], 2, "it goes with --yes"),
        (["give"], 2, "give"),
        (["take", "nowhere.csv", "fernhill.map.toml"], 1, "nowhere.csv: cannot be read"),
        (["take", "yard.csv", "nowhere.map.toml"], 1, "nowhere.map.toml: cannot be read"),
    ],
)
def test_a_command_that_makes_no_sense_is_told_so(
    arguments: list[str], code: int, complaint: str, estimator: Estimator, shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = shop.files()
    monkeypatch.chdir(shop.list.parent)
    monkeypatch.setattr(sys, "argv", ["estimator", "prices", *arguments])
    run = estimator("prices", *[str(shop.list.parent / one) if "." in one else one for one in arguments])
    assert run.returncode == code
    assert complaint in run.stderr
    assert "Traceback" not in run.stderr
    assert shop.files() == before


def test_a_map_outside_of_every_shop_is_refused(estimator: Estimator, shop: Shop, tmp_path: Path) -> None:
    lone = tmp_path / "lone.map.toml"
    shutil.copy(shop.map_path, lone)
    run = estimator("prices", "take", shop.list, lone)
    assert run.returncode == 1
    assert "lone.map.toml: has no shop.toml above it; put the map into your shop" in run.stderr


@pytest.mark.parametrize("command", ["map", "take"])
def test_help_is_one_sentence_within_80_columns(command: str, estimator: Estimator) -> None:
    lines = estimator("prices", "--help").stdout.splitlines()
    assert next(line for line in lines if line.startswith(f"  {command} ")).endswith(".")
    run = estimator("prices", command, "--help")
    assert run.returncode == 0
    assert max(map(len, [*lines, *run.stdout.splitlines()])) <= 80


def test_a_list_with_dates_is_titled_by_its_newest_and_thousands_are_grouped(estimator: Estimator, shop: Shop) -> None:
    shop.map_path.write_text(f'{MAP}date = "Date"\n', encoding="utf-8")
    rows = "".join(f"oak {place},2x4,8 ft,9.00,each,2026-10-{place % 20 + 1:02}\n" for place in range(1_200))
    shop.list.write_text(f"Timber,Size,Length,Price,Per,Date\n{rows}", encoding="utf-8")
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    title = "yard.csv: 1,200 rows of Fernhill Sawmill Yard, the newest dated 2026-10-20"
    assert " ".join(run.stdout.split()).startswith(title)
    run = estimator("prices", "take", shop.list, shop.map_path, "--yes")
    assert "\n1,200 prices as before.\n" in run.stdout
