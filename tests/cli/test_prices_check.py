from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

Estimator = Callable[..., CompletedProcess[str]]


def test_tables_in_order_are_counted(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 0
    assert "all can be read" in run.stdout
    assert "To look at again:" in run.stdout


def test_what_cannot_be_read_is_a_fault(estimator: Estimator, bench_order: Path) -> None:
    table = bench_order.parents[1] / "price_tables" / "metric_eur" / "consumables.csv"
    table.write_text("supplier,item,pack,unit,price,date\nYard,Cloth,10,cloths,soon,2026-01-01\n", encoding="utf-8")
    run = estimator("prices", "check", bench_order)
    assert run.returncode == 1
    assert "consumables.csv:2: price" in run.stderr
