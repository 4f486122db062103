from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path

from estimator.costing.compare import CAUSES, Comparison
from estimator.costing.quote import COST_KINDS
from estimator.estimate import compare_quantities, estimate
from estimator.reading.order import Order, only_build, read_order


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


@cache
def compared() -> Comparison:
    (found,) = compare_quantities(stands(), (2, 12, 5))
    return found


def test_one_unit_is_always_compared_with() -> None:
    assert [column.quantity for column in compared().quantities] == [1, 2, 5, 12]
    (by_shop,) = compare_quantities(stands())
    assert [column.quantity for column in by_shop.quantities] == [1, 2]


def test_the_kinds_add_up_to_the_unit_cost() -> None:
    for column in compared().quantities:
        assert set(column.by_kind) == set(COST_KINDS)
        assert sum(column.by_kind.values()) == column.unit_cost


def test_what_labour_saves_is_set_up_and_practice() -> None:
    alone, *others = compared().quantities
    for column in others:
        assert set(column.saved) == set(CAUSES)
        assert column.saved["set-up"] == alone.set_up - column.set_up
        assert column.saved["set-up"] + column.saved["work"] == alone.by_kind["labour"] - column.by_kind["labour"]


def test_one_made_alone_saves_nothing() -> None:
    alone, *others = compared().quantities
    assert set(alone.saved.values()) == {Decimal(0)}
    for column in others:
        assert column.saved_in_all == alone.unit_cost - column.unit_cost


def test_each_quantity_is_planned_anew() -> None:
    # Two stands by hand cost 178.43 (see the hand-worked order); one alone is not half of that: it has its own boards,
    # packs and can, and all of the set-up.
    by_quantity = {column.quantity: column for column in compared().quantities}
    assert by_quantity[2].unit_cost == Decimal("89.22")
    for quantity, column in by_quantity.items():
        (cost,) = estimate(only_build(stands(), stands().items[0], quantity)).quote.costs
        assert (column.unit_cost, column.unit_price) == (cost.unit_cost, cost.unit_price)


def test_set_up_is_spread_over_the_batch() -> None:
    # 12 minutes at 36.00 are 7.20, and fetching the lumber is 30 minutes at 22.50, 11.25, whatever the number: together
    # 18.45. One bears it all, two 9.225 each, five 3.69, twelve 1.5375.
    assert [column.set_up for column in compared().quantities] == [
        Decimal("18.45"),
        Decimal("9.23"),
        Decimal("3.69"),
        Decimal("1.54"),
    ]


def test_other_builds_of_the_order_do_not_help() -> None:
    (item,) = stands().items
    crowd = replace(item, build=replace(item.build, name="Crowd"), quantity=50)
    first, _ = compare_quantities(replace(stands(), items=(item, crowd)), (2,))
    assert first.quantities == compare_quantities(stands(), (2,))[0].quantities
