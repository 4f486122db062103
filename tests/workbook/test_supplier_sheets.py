"""A workbook of an order that is bought from several suppliers, one of them in another currency."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.estimate import Estimate
from estimator.workbook.book import quote_workbook

Sheets = dict[str, dict[str, object]]
WriteOrder = Callable[[Mapping[str, str | None]], Path]

FILES = {
    "price_tables/suppliers.toml": """
[[suppliers]]
name = "Mill Yard"
visit_cost = 4.00

[[suppliers]]
name = "Strand Yard"
visit_cost = 9.00

[[suppliers]]
name = "Corner Shop"
minimum_order = 90.00

[[suppliers]]
name = "Haven Hardware"
currency = "EUR"
rate = 1.08
rate_date = 2026-11-01
tax_included_percent = 20
discount_percent = 5
""",
    "price_tables/lumber.csv": (
        "supplier,species,grade,section,length,price,per,date,from_quantity\n"
        "Mill Yard,western larch,,2x4,8 ft,14.88,each,2026-10-02,\n"
        "Mill Yard,western larch,,2x4,8 ft,11.00,each,2026-10-02,4\n"
        "Strand Yard,western larch,,2x4,8 ft,13.10,each,2026-10-02,\n"
    ),
    "price_tables/hardware.csv": (
        "supplier,kind,size,length,material,pack,price,date\nHaven Hardware,screw,#8,2,steel,1,€0.07,2026-09-15\n"
    ),
}


@pytest.fixture
def made(small_order: WriteOrder, estimated: Callable[[Path], Estimate], tmp_path: Path) -> tuple[Estimate, Path]:
    """Return the estimate of the order, and its workbook."""
    estimate = estimated(small_order(FILES))
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(estimate))
    return estimate, path


def test_every_formula_of_it_recalculates(
    made: tuple[Estimate, Path], assert_recalculates: Callable[[Path], None]
) -> None:
    assert_recalculates(made[1])


def test_delivery_is_a_kind_of_cost_that_the_builds_bear(
    made: tuple[Estimate, Path],
    stored: Callable[[Path], Sheets],
    beside: Callable[[dict[str, object], str, str], object],
) -> None:
    estimate, path = made
    sheet = estimate.buy_sheet
    assert sheet.delivery_amount > 0
    assert [line.kind for line in estimate.bill].count("delivery") == len(sheet.deliveries)
    (cost,) = estimate.quote.costs
    assert cost.by_kind["delivery"] == sheet.delivery_amount
    assert cost.cost == sum(cost.by_kind.values())
    costing = stored(path)["Costing"]
    assert beside(costing, "Delivery", "B") == float(sheet.delivery_amount)
    assert beside(costing, "Cost of all", "B") == float(cost.cost)
    assert beside(costing, "Price of one, rounded up", "B") == float(cost.unit_price)


def test_the_buy_sheet_has_each_supplier_and_says_how_good_the_choice_is(
    made: tuple[Estimate, Path], stored: Callable[[Path], Sheets]
) -> None:
    # Three boards: Mill Yard four at 11.00 and 4.00 for the visit, 48.00; Strand Yard three at 13.10 and 9.00, 48.30.
    texts = list(stored(made[1])["Buy sheet"].values())
    assert {"Mill Yard", "Corner Shop", "Haven Hardware", "Delivery or visit: Mill Yard"} <= set(texts)
    assert "Strand Yard" not in texts
    place = texts.index("Where it is bought")
    assert str(texts[place + 1]).startswith("Buy from Corner Shop, Haven Hardware and Mill Yard: $")
    assert "of it $" in str(texts[place + 1])
    assert [int(line.quantity) for line in made[0].buy_sheet.boards[0].lines] == [4]


def test_a_price_of_another_currency_stands_as_it_is_written_beside_what_it_comes_to(
    made: tuple[Estimate, Path],
    stored: Callable[[Path], Sheets],
    beside: Callable[[dict[str, object], str, str], object],
) -> None:
    # 0.07 x 1.08 / 1.2 x 0.95 = 0.05985; 26 of them 1.5561.
    estimate, path = made
    line = estimate.buy_sheet.hardware[0].lines[0]
    assert [line.quantity, line.unit_price, line.amount] == [Decimal(26), Decimal("0.0599"), Decimal("1.56")]
    prices = stored(path)["Prices used"]
    assert beside(prices, line.item, "C") == 0.07
    assert beside(prices, line.item, "F") == pytest.approx(0.05985)
    assert beside(prices, line.item, "J") == pytest.approx(0.855)


def test_the_comparison_has_a_column_for_delivery(
    made: tuple[Estimate, Path], stored: Callable[[Path], Sheets]
) -> None:
    texts = set(stored(made[1])["Comparison"].values())
    assert {"Delivery", "Delivery:\nvisits shared"} <= texts
