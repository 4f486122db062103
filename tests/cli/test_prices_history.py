from collections.abc import Callable
from datetime import date
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

HISTORY = """day,table,supplier,item,old_price,new_price,per,source
2026-01-05,lumber,Fernhill,"larch 2x4, 8 ft",,8.00,each,winter.csv
2026-03-01,lumber,Fernhill,"larch 2x4, 8 ft",8.00,10.00,each,spring.csv
2026-06-01,lumber,Fernhill,"larch 2x4, 8 ft",10.00,,each,summer.csv
"""


@pytest.fixture
def tables(bench_order: Path) -> Path:
    """Return the folder of a shop's tables with a history in it."""
    folder = bench_order.parents[1] / "price_tables" / "metric_eur"
    (folder / "price_history.csv").write_text(HISTORY, encoding="utf-8")
    return folder


@pytest.mark.usefixtures("tables")
def test_prices_are_drawn_and_told_day_by_day(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "history", "larch 2x4", bench_order)
    assert run.returncode == 0
    lines = [line.split() for line in run.stdout.splitlines()]
    # From 5 January to 1 March are 26 + 28 + 1 = 55 days, from there to 1 June 31 + 30 + 31 = 92.
    assert ["2026-01-05", "winter.csv", "€8.00", "55"] in lines
    assert ["2026-03-01", "spring.csv", "€10.00", "+25.0", "%", "92"] in lines
    assert any(line[:3] == ["2026-06-01", "summer.csv", "gone"] for line in lines)
    (top,) = [line for line in run.stdout.splitlines() if line.startswith("€10.00 |")]
    (foot,) = [line for line in run.stdout.splitlines() if line.startswith(" €8.00 |")]
    assert 0 < foot.count("=") < top.count("=")
    assert max(map(len, run.stdout.splitlines())) <= 80


def test_without_a_history_the_tables_answer(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "history", "larch", bench_order)
    assert run.returncode == 0
    assert ": one price so far" in run.stdout
    assert "lumber.csv:" in run.stdout
    assert max(map(len, run.stdout.splitlines())) <= 80


@pytest.mark.usefixtures("tables")
def test_an_item_that_is_nowhere_is_a_fault(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "history", "balsa", bench_order)
    assert run.returncode == 1
    assert 'knows no item with "balsa" in its name' in run.stderr
    assert run.stdout == ""


@pytest.mark.usefixtures("tables")
def test_out_writes_a_workbook_beside_the_answer(estimator: Estimator, bench_order: Path, tmp_path: Path) -> None:
    out = tmp_path / "larch.xlsx"
    run = estimator("prices", "history", "larch 2x4", bench_order, "--out", out)
    assert run.returncode == 0, run.stderr
    assert run.stdout == f"{estimator('prices', 'history', 'larch 2x4', bench_order).stdout}\nWrote {out}\n"
    first = out.read_bytes()
    assert first.startswith(b"PK")
    assert estimator("prices", "history", "larch 2x4", bench_order, "--out", out).returncode == 1
    assert out.read_bytes() == first
    assert estimator("prices", "history", "larch 2x4", bench_order, "--out", out, "--replace").returncode == 0
    assert out.read_bytes() == first


@pytest.mark.parametrize("options", [("--out", "larch.csv"), ("--replace",)])
def test_other_names_and_replace_alone_are_usage_errors(
    options: tuple[str, ...], estimator: Estimator, bench_order: Path
) -> None:
    assert estimator("prices", "history", "larch", bench_order, *options).returncode == 2


def test_a_history_that_cannot_be_read_writes_no_workbook(
    estimator: Estimator, bench_order: Path, tables: Path, tmp_path: Path
) -> None:
    (tables / "price_history.csv").write_text(HISTORY.replace("10.00", "dear"), encoding="utf-8")
    out = tmp_path / "larch.xlsx"
    run = estimator("prices", "history", "larch", bench_order, "--out", out)
    assert run.returncode == 1
    assert "price_history.csv:3: new_price" in run.stderr
    assert not out.exists()


def test_prices_entered_per_another_measure_are_worked_out_and_it_says_so(
    estimator: Estimator, bench_order: Path, tables: Path
) -> None:
    lumber = "supplier,species,section,length,price,per,date\nFernhill,larch,2x4,8 ft,1.5,ft,2026-07-01\n"
    (tables / "lumber.csv").write_text(lumber, encoding="utf-8")
    entered = HISTORY.replace("8 ft", "2.438 m")
    (tables / "price_history.csv").write_text(entered, encoding="utf-8")
    run = estimator("prices", "history", "larch 2x4", bench_order)
    lines = [line.split() for line in run.stdout.splitlines()]
    # 8 ft at 8.00 and at 10.00 each are 1.00 and 1.25 a foot.
    assert ["2026-01-05", "winter.csv", "€1.00", "55"] in lines
    assert ["2026-03-01", "spring.csv", "€1.25", "+25.0", "%", "92"] in lines
    said = " ".join(run.stdout.split())
    assert "Fernhill, per ft" in said
    assert "Worked out per ft from €8.00 each on 2026-01-05, €10.00 each on 2026-03-01." in said


@pytest.mark.usefixtures("tables")
def test_a_price_each_is_headed_each(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "history", "larch 2x4", bench_order)
    assert "\nFernhill, each\n" in run.stdout


def test_other_measures_are_named_in_words(estimator: Estimator, bench_order: Path, tables: Path) -> None:
    lumber = "supplier,species,section,length,price,per,date\nFernhill,larch,2x4,8 ft,11.40,each,2026-07-01\n"
    (tables / "lumber.csv").write_text(lumber, encoding="utf-8")
    entered = HISTORY.replace("8 ft", "2.438 m").replace("each,winter", "LF,winter").replace("8.00", "1.25")
    (tables / "price_history.csv").write_text(entered, encoding="utf-8")
    said = " ".join(estimator("prices", "history", "larch 2x4", bench_order).stdout.split())
    assert "Worked out each from €1.25 per ft on 2026-01-05." in said


def test_what_was_only_ever_gone_is_told_and_not_drawn(estimator: Estimator, bench_order: Path, tables: Path) -> None:
    day = "2026-06-01,lumber,Fernhill,elm,9.00,,each,summer.csv\n"
    (tables / "price_history.csv").write_text(HISTORY + day + day.replace("06", "07"), encoding="utf-8")
    run = estimator("prices", "history", "elm", bench_order)
    assert run.returncode == 0, run.stderr
    assert run.stdout.count("gone") == 2
    assert "|" not in run.stdout


def test_labour_rates_are_found_and_a_price_of_today_has_been_held_for_no_days(
    estimator: Estimator, bench_order: Path, tables: Path
) -> None:
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar
    (tables / "labour_rates.csv").write_text(f"rate,per_hour,date\nHelper,1500,{today}\n", encoding="utf-8")
    (tables / "price_history.csv").write_text(
        f"{HISTORY.splitlines()[0]}\n2026-01-05,labour_rates,Shop,labour rate Helper,,1200,hour,labour_rates.csv:2\n",
        encoding="utf-8",
    )
    run = estimator("prices", "history", "helper", bench_order)
    lines = [line.split() for line in run.stdout.splitlines()]
    assert [str(today), "labour_rates.csv:2", "€1,500.00", "+25.0", "%"] in lines
