from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from estimator.estimate import Estimate, compare_quantities, estimate
from estimator.reading.order import ORDER_FILE, Order, only_build, read_order
from estimator.reading.shop import KINDS

EXAMPLES = sorted(path.parent for path in (Path(__file__).parents[1] / "examples").glob(f"*/{ORDER_FILE}"))
DAY = date(2026, 11, 24)

examples = pytest.mark.parametrize("folder", EXAMPLES, ids=lambda folder: folder.name)


@cache
def order_in(folder: Path) -> Order:
    return read_order(folder, today=DAY)


@cache
def estimate_of(folder: Path) -> Estimate:
    return estimate(order_in(folder))


def test_there_are_examples() -> None:
    assert "riverside_tearoom" in [folder.name for folder in EXAMPLES]


@examples
def test_an_example_adds_up_from_the_boards_to_the_total(folder: Path) -> None:
    found = estimate_of(folder)
    quote, currency = found.quote, found.order.shop.currency
    for purchase in found.buy_sheet.boards:
        assert purchase.amount == sum(layout.boards * layout.unit_price for layout in purchase.layouts)
        cut = {
            piece.name: sum(
                layout.boards * sum(lying.piece == piece for lying in layout.pieces()) for layout in purchase.layouts
            )
            for piece in purchase.need.pieces
        }
        assert cut == {piece.name: piece.quantity for piece in purchase.need.pieces}
    for kind in KINDS:
        assert sum(cost.by_kind[kind] for cost in quote.costs) == sum(
            line.charged for line in found.bill if line.kind == kind
        )
    assert sum(cost.by_kind["labour"] for cost in quote.costs) == sum(line.amount for line in found.labour)
    for cost in quote.costs:
        assert cost.cost == sum(cost.by_kind.values())
        assert cost.unit_cost == currency.rounded(cost.cost / cost.quantity)
        assert cost.price_before_rounding <= cost.unit_price < cost.price_before_rounding + found.order.shop.round_up_to
    assert quote.subtotal == sum(cost.quantity * cost.unit_price for cost in quote.costs)
    assert quote.total == quote.subtotal + quote.tax
    assert quote.profit == quote.subtotal - quote.cost


@examples
def test_an_example_has_boards_proved_or_the_gap_stated(folder: Path) -> None:
    for purchase in estimate_of(folder).buy_sheet.boards:
        assert 0 < purchase.bound <= purchase.amount
        assert purchase.proved == (purchase.gap == 0)


@examples
def test_the_same_files_give_the_same_estimate(folder: Path) -> None:
    assert estimate(read_order(folder, today=DAY)) == estimate_of(folder)


@examples
def test_quantities_are_compared_with_one(folder: Path) -> None:
    order = order_in(folder)
    compared = compare_quantities(order, (6,))
    assert [comparison.build for comparison in compared] == [item.build.name for item in order.items]
    for comparison in compared:
        alone, six = comparison.quantities
        assert (alone.quantity, six.quantity) == (1, 6)
        assert six.unit_cost <= alone.unit_cost
        assert six.saved["set-up"] > 0


def test_a_hundred_times_the_chairs_cost_no_more_lumber_each() -> None:
    # A hundred batches of twelve are one way to make twelve hundred, so the best way is no dearer.
    order = order_in(EXAMPLES[[folder.name for folder in EXAMPLES].index("riverside_tearoom")])
    chairs = order.items[0]
    amounts = {}
    for quantity in (12, 1200):
        sheet = estimate(only_build(order, chairs, quantity)).buy_sheet
        amounts[quantity] = sum((purchase.amount for purchase in sheet.boards), Decimal(0))
    assert amounts[1200] <= 100 * amounts[12]


def test_today_counts_only_where_the_order_has_no_date(tmp_path: Path) -> None:
    stands = Path(__file__).parent / "hand_worked" / "plant_stands"
    for file in stands.rglob("*"):
        target = tmp_path / file.relative_to(stands)
        if file.is_dir():
            target.mkdir(parents=True, exist_ok=True)
        else:
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(file.read_bytes())
    dated = tmp_path / ORDER_FILE
    assert read_order(tmp_path, today=DAY).day == date(2026, 3, 2)
    dated.write_text("".join(line for line in dated.read_text().splitlines(keepends=True) if "date" not in line))
    assert read_order(tmp_path, today=DAY).day == DAY
