"""A workbook of an order that is bought from several suppliers, one of them in another currency."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.buying.delivery import TopUpRow
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
    buy_sheet = stored(path)["Buy sheet"]
    assert buy_sheet["E5"] == "On their list"
    assert beside(buy_sheet, line.item, "E") == "0.07 EUR with tax"


def test_without_a_price_of_another_kind_the_buy_sheet_has_no_column_for_it(
    small_order: WriteOrder, estimated: Callable[[Path], Estimate], tmp_path: Path, stored: Callable[[Path], Sheets]
) -> None:
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(estimated(small_order({}))))
    assert "On their list" not in stored(path)["Buy sheet"].values()


def test_a_price_with_many_decimals_is_shown_to_the_cent_and_reckoned_exactly(
    small_order: WriteOrder,
    estimated: Callable[[Path], Estimate],
    tmp_path: Path,
    assert_recalculates: Callable[[Path], None],
) -> None:
    # A list with 19 % tax in its prices, which was taken off when the list was taken over: 69.00 / 1.19 = 57.983193.
    hardware = (
        "supplier,kind,size,length,material,pack,price,date\nHaven Hardware,screw,#8,2,steel,10,57.983193,2026-09-15\n"
    )
    estimate = estimated(small_order({"price_tables/hardware.csv": hardware}))
    line = estimate.buy_sheet.hardware[0].lines[0]
    assert [line.quantity, line.unit_price, line.amount] == [Decimal(3), Decimal("57.98"), Decimal("173.95")]
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(estimate))
    assert_recalculates(path)
    shown = [row for row in load_workbook(path)["Buy sheet"].iter_rows() if row[1].value == line.item]
    assert [(row[4].number_format, row[5].number_format) for row in shown] == [('"$"#,##0.00', '"$"#,##0.00')]


def test_the_comparison_has_a_column_for_delivery(
    made: tuple[Estimate, Path], stored: Callable[[Path], Sheets]
) -> None:
    texts = set(stored(made[1])["Comparison"].values())
    assert {"Delivery", "Delivery:\nvisits shared"} <= texts


def test_what_tops_up_a_minimum_order_follows_from_a_changed_price_and_from_a_changed_minimum(
    made: tuple[Estimate, Path],
    recalculate: Callable[[Path], Sheets],
    beside: Callable[[dict[str, object], str, str], object],
) -> None:
    # The Corner Shop's goods come to less than its minimum of 90.00; at ten times the price of one they come to more.
    estimate, path = made
    goods = [line for line in estimate.bill if line.bought.row.supplier == "Corner Shop" and line.kind != "delivery"]
    (top_up,) = [line.bought for line in estimate.bill if isinstance(line.bought.row, TopUpRow)]
    assert top_up.amount == Decimal("90.00") - sum(line.bought.amount for line in goods)
    assert beside(recalculate(path)["Prices used"], top_up.item, "C") == 90
    first = goods[0].bought
    for item, price, paid in (
        (first.item, first.row.price + 1, top_up.amount - first.quantity),
        (top_up.item, Decimal(100), top_up.amount - first.quantity + 10),
        (first.item, Decimal(200), Decimal(0)),
    ):
        change_price(path, item, price)
        found = recalculate(path)
        assert beside(found["Prices used"], top_up.item, "F") == pytest.approx(float(paid), abs=0.001)
        assert beside(found["Bill of materials"], top_up.item, "F") == pytest.approx(float(paid), abs=0.001)


def change_price(path: Path, item: str, price: Decimal) -> None:
    book = load_workbook(path)
    (cell,) = [row[2] for row in book["Prices used"].iter_rows() if row[1].value == item]
    cell.value = float(price)
    book.save(path)


def test_a_minimum_order_that_is_reached_is_named_beside_the_prices(
    small_order: WriteOrder, estimated: Callable[[Path], Estimate], tmp_path: Path, stored: Callable[[Path], Sheets]
) -> None:
    # Goods of more than 1.00 are bought at the Corner Shop.
    files = {**FILES, "price_tables/suppliers.toml": FILES["price_tables/suppliers.toml"].replace("90.00", "1.00")}
    path = tmp_path / "quote.xlsx"
    path.write_bytes(quote_workbook(estimated(small_order(files))))
    said = "The minimum order of Corner Shop, $1.00, is reached; at lower prices what is left of it would be paid too."
    assert said in stored(path)["Prices used"].values()
