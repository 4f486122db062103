from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

Estimator = Callable[..., CompletedProcess[str]]

HISTORY = """day,table,supplier,item,old_price,new_price,per,source
2026-01-05,lumber,Fernhill,"larch 2x4, 8 ft",,8.00,each,winter.csv
2026-03-01,lumber,Fernhill,"larch 2x4, 8 ft",8.00,10.00,each,spring.csv
2026-06-01,lumber,Fernhill,"larch 2x4, 8 ft",10.00,,each,summer.csv
"""


def test_prices_are_drawn_day_by_day(estimator: Estimator, bench_order: Path) -> None:
    tables = bench_order.parents[1] / "price_tables" / "metric_eur"
    (tables / "price_history.csv").write_text(HISTORY, encoding="utf-8")
    run = estimator("prices", "history", "larch 2x4", bench_order)
    assert run.returncode == 0
    lines = [line.split() for line in run.stdout.splitlines()]
    assert ["2026-01-05", "=" * 24, "8.00", "winter.csv"] in lines
    assert ["2026-03-01", "=" * 30, "10.00", "+25.0", "%", "spring.csv"] in lines
    assert ["2026-06-01", "no", "more", "on", "the", "list", "summer.csv"] in lines


def test_without_a_history_it_says_so(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "history", "larch", bench_order)
    assert run.returncode == 0
    assert "No list has been taken over so far" in run.stdout


def test_an_item_without_a_history_is_a_fault(estimator: Estimator, bench_order: Path) -> None:
    tables = bench_order.parents[1] / "price_tables" / "metric_eur"
    (tables / "price_history.csv").write_text(HISTORY, encoding="utf-8")
    run = estimator("prices", "history", "oak", bench_order)
    assert run.returncode == 1
    assert 'knows no item with "oak" in its name' in run.stderr
