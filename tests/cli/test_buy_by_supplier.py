import json
import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

SUPPLIERS = """
[[suppliers]]
name = "Werkholz Aach"
visit_cost = 3.00

[[suppliers]]
name = "Eisenwaren Brunner Gasse"
minimum_order = 400.00
"""


@pytest.fixture
def two_yards(bench_order: Path) -> Path:
    """Return the bench order with a second yard, which sells one section for less, and with terms of suppliers."""
    folder = bench_order.parents[1] / "price_tables" / "metric_eur"
    heading, *rows = (folder / "lumber.csv").read_text(encoding="utf-8").splitlines()
    cheaper = [row.replace("Sägewerk Auental", "Werkholz Aach").replace("1480.00", "1180.00") for row in rows]
    both = [heading, *rows, *(new for new, row in zip(cheaper, rows, strict=True) if "1480.00" in row)]
    (folder / "lumber.csv").write_text("\n".join(both), encoding="utf-8")
    (folder / "suppliers.toml").write_text(SUPPLIERS, encoding="utf-8")
    return bench_order


def test_what_to_fetch_is_listed_by_supplier(estimator: Estimator, two_yards: Path) -> None:
    run = estimator("buy", two_yards)
    assert run.returncode == 0, run.stderr
    assert (
        "of material and delivery\nBuy from Eisenwaren Brunner Gasse, Sägewerk Auental and Werkholz Aach:" in run.stdout
    )
    headings = [f"\n{name}\n----" for name in ("Eisenwaren Brunner Gasse", "Sägewerk Auental", "Werkholz Aach")]
    assert all(heading in run.stdout for heading in headings)
    assert "Delivery or visit: Werkholz Aach" in run.stdout
    assert "\nLumber\n" not in run.stdout
    assert max(map(len, run.stdout.splitlines())) <= 80


def test_the_document_says_where_it_is_bought_and_how_good_that_is(estimator: Estimator, two_yards: Path) -> None:
    document = json.loads(estimator("buy", two_yards, "--json").stdout)
    suppliers = document["suppliers"]
    assert set(suppliers["to_pay"]) == {"Eisenwaren Brunner Gasse", "Sägewerk Auental", "Werkholz Aach"}
    assert suppliers["visit"] == list(suppliers["to_pay"])
    assert suppliers["choose"] == "cheapest"
    assert [one["lines"][0]["item"] for one in suppliers["delivery"]][:1] == ["Delivery or visit: Werkholz Aach"]
    assert len(suppliers["sentences"]) == 3


def test_fewest_stops_says_what_the_rule_costs(estimator: Estimator, two_yards: Path) -> None:
    with (two_yards / "shop.toml").open("a", encoding="utf-8") as file:
        file.write('\n[suppliers]\nchoose = "fewest stops"\n')
    suppliers = json.loads(estimator("buy", two_yards, "--json").stdout)["suppliers"]
    assert suppliers["visit"] == ["Eisenwaren Brunner Gasse", "Sägewerk Auental"]  # the other sells one section alone
    assert suppliers["sentences"][1] == "No single supplier has everything. No choice of 2 suppliers is cheaper."
    best = suppliers["without_the_rule"]
    assert best["visit"] == ["Eisenwaren Brunner Gasse", "Sägewerk Auental", "Werkholz Aach"]
    assert f"€{best['costs_less']} less" in suppliers["sentences"][2]


def test_the_quote_bears_the_delivery(estimator: Estimator, two_yards: Path) -> None:
    document = json.loads(estimator("quote", two_yards, "--json").stdout)
    (build,) = document["builds"]
    assert list(build["cost_by_kind"])[4] == "delivery"
    assert "\nDelivery " in estimator("quote", two_yards).stdout
    assert "\nDelivery " in estimator("compare", two_yards, "--quantities", "1,2").stdout


def test_without_terms_lines_are_listed_by_kind(estimator: Estimator, bench_order: Path) -> None:
    run = estimator("buy", bench_order)
    assert "\nLumber\n" in run.stdout
    assert "\nTo pay\n------\nSupplier" in run.stdout
    document = json.loads(estimator("buy", bench_order, "--json").stdout)
    assert list(document["suppliers"]) == ["to_pay", "delivery"]
    lines = run.stdout.partition("\nTo pay\n------\n")[2].partition("\n\n")[0].splitlines()[1:]
    paid = {name: f"€{Decimal(amount):,}" for name, amount in document["suppliers"]["to_pay"].items()}
    assert dict(re.split(r"  +", line.strip()) for line in lines) == paid
    assert len(paid) > 1


def test_the_price_of_their_own_list_stands_beside_ours(estimator: Estimator, two_yards: Path) -> None:
    path = two_yards.parents[1] / "price_tables" / "metric_eur" / "suppliers.toml"
    with path.open("a", encoding="utf-8") as file:
        file.write("tax_included_percent = 19\n")
    shown = estimator("buy", two_yards).stdout
    assert "on their list" in shown
    assert re.search(r"€[\d,.]+ with tax +€", shown)
    assert max(map(len, shown.splitlines())) <= 80
