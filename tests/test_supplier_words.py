from dataclasses import replace
from decimal import Decimal

import pytest

from estimator.buying.supplier_plan import AnotherSupplier, FewerSuppliers, SupplierPlan, WithoutRule
from estimator.errors import Origin
from estimator.estimate import Estimate, estimate
from estimator.reading.order import Order
from estimator.reading.suppliers import SupplierChoice
from estimator.supplier_words import is_split, lines_by_supplier, supplier_sentences


@pytest.fixture(scope="module")
def tearoom(inch_order: Order) -> Estimate:
    return estimate(inch_order)


def sentences(
    tearoom: Estimate,
    *,
    rule: str = "cheapest",
    gap: str = "0",
    more: str | None = "14.20",
    unvisited: int = 0,
    another: AnotherSupplier | None = None,
    free: int = 0,
    all_fewer_tried: bool = True,
    preferred: str = "Alder",
    without_rule: WithoutRule | None = None,
) -> list[str]:
    plan = SupplierPlan(
        rule=rule,
        names=("Alder", "Birch", "Cedar"),
        top_ups={},
        gap=Decimal(gap),
        asking=2,
        fewer=None if more is None else FewerSuppliers(names=("Alder", "Birch"), costs_more=Decimal(more)),
        unvisited=unvisited,
        more=another,
        free=free,
        all_fewer_tried=all_fewer_tried,
        without_rule=without_rule,
    )
    choice = SupplierChoice(
        origin=Origin(file="shop.toml"), choose=rule, preferred=preferred if rule == "prefer" else ""
    )
    order = replace(tearoom.order, shop=replace(tearoom.order.shop, supplier_choice=choice))
    return supplier_sentences(order, replace(tearoom.buy_sheet, supplier_plan=plan))


def test_nothing_is_said_where_there_was_nothing_to_choose(tearoom: Estimate) -> None:
    assert supplier_sentences(tearoom.order, tearoom.buy_sheet) == []
    assert not is_split(tearoom.buy_sheet)


def test_it_is_said_who_is_visited_how_good_that_is_and_whether_one_fewer_would_do(tearoom: Estimate) -> None:
    total = tearoom.order.shop.currency.text(tearoom.buy_sheet.amount)
    assert sentences(tearoom) == [
        f"Buy from Alder, Birch and Cedar: {total}.",
        "No choice of suppliers is cheaper.",
        "With one supplier fewer, the best is Alder and Birch: it would cost $14.20 more.",
    ]


@pytest.mark.parametrize(
    ("said", "more"),
    [
        ("With one supplier fewer not all of it can be had.", None),
        ("With one supplier fewer, the best is Alder and Birch: it costs the same.", "0"),
        ("With one supplier fewer, the best is Alder and Birch: it would save $3.10.", "-3.10"),
    ],
)
def test_one_supplier_fewer_may_be_impossible_or_save(tearoom: Estimate, said: str, more: str | None) -> None:
    assert sentences(tearoom, more=more)[-1] == said


def test_those_that_cost_nothing_to_visit_are_not_counted(tearoom: Estimate) -> None:
    among = "With one fewer of the suppliers that charge for a visit or have a minimum order"
    assert sentences(tearoom, free=1)[-1] == f"{among}, the best is Alder and Birch: it would cost $14.20 more."
    assert sentences(tearoom, free=1, more=None)[-1] == f"{among} not all of it can be had."


def test_where_not_all_with_one_fewer_were_tried_none_is_called_the_best(tearoom: Estimate) -> None:
    best = "With one supplier fewer, the best found is Alder and Birch: it would cost $14.20 more."
    assert sentences(tearoom, all_fewer_tried=False)[-1] == best
    assert sentences(tearoom, all_fewer_tried=False, more=None)[-1] == "No choice of suppliers is cheaper."


@pytest.mark.parametrize(
    ("said", "beside", "less"),
    [
        (
            "would cost $12.40 more in all: $18.00 more for visits, $5.60 less for the goods",
            18,
            "5.60",
        ),
        ("costs the same in all: $5.60 more for visits, $5.60 less for the goods", "5.60", "5.60"),
        ("would cost $7.00 more in all", "6.00", "-1.00"),
    ],
)
def test_it_is_said_what_a_visit_to_one_more_would_do(tearoom: Estimate, said: str, beside: str, less: str) -> None:
    another = AnotherSupplier(name="Dogwood", beside_more=Decimal(beside), goods_less=Decimal(less))
    assert sentences(tearoom, unvisited=1, another=another)[-1] == f"A visit to Dogwood as well {said}."


def test_what_was_not_proved_of_one_more_is_at_most_so_much(tearoom: Estimate) -> None:
    another = AnotherSupplier(name="Dogwood", beside_more=Decimal(9), goods_less=Decimal(-1), proved=False)
    said = sentences(tearoom, unvisited=1, another=another)[-1]
    assert said == "A visit to Dogwood as well would cost at most $10.00 more in all."


def test_it_is_said_where_nothing_is_cheaper_at_others(tearoom: Estimate) -> None:
    assert sentences(tearoom, unvisited=2)[-1] == "A visit to another supplier as well would make nothing cheaper."
    assert sentences(tearoom, unvisited=2, rule="one stop")[1:] == ["No single supplier is cheaper."]


def test_a_choice_that_is_not_proved_says_by_how_much_it_may_be_missed(tearoom: Estimate) -> None:
    assert "That is at most $2.50 above the cheapest choice of suppliers." in sentences(tearoom, gap="2.50")


def test_the_shops_rule_is_in_the_words(tearoom: Estimate) -> None:
    assert sentences(tearoom, rule="one stop")[1:] == ["No single supplier is cheaper."]
    assert sentences(tearoom, rule="prefer")[1:] == [
        "What Alder has is bought there, as the shop settings ask. No choice for the rest is cheaper.",
        "With one supplier fewer for the rest, the best is Alder and Birch: it would cost $14.20 more.",
    ]
    assert sentences(tearoom, rule="prefer", more=None)[-1] == "With one supplier fewer not all of the rest can be had."
    assert sentences(tearoom, rule="prefer", preferred="Dogwood")[1] == (
        "Dogwood has nothing that this order needs. No choice of suppliers is cheaper."
    )
    assert sentences(tearoom, rule="fewest stops")[1:] == [
        "Fewer than 3 suppliers do not have everything. No choice of 3 suppliers is cheaper."
    ]


@pytest.mark.parametrize(
    ("less", "at_most", "said"),
    [
        ("229.80", "229.80", "it would cost $2,282.45, $229.80 less, from Birch and Cedar."),
        ("0", "1.10", "it would cost at most $1.10 less."),
        ("0", "0", "it would cost no less."),
    ],
)
def test_it_is_said_what_the_rule_costs(tearoom: Estimate, less: str, at_most: str, said: str) -> None:
    without = WithoutRule(
        names=("Birch", "Cedar"),
        total=Decimal("2282.45"),
        costs_less=Decimal(less),
        at_most_less=Decimal(at_most),
    )
    assert sentences(tearoom, rule="prefer", without_rule=without)[2] == f"Without the preference {said}"
    assert sentences(tearoom, rule="one stop", without_rule=without)[2] == f"From any number of suppliers {said}"


def test_lines_stand_under_their_supplier(tearoom: Estimate) -> None:
    found = lines_by_supplier(tearoom.buy_sheet)
    assert list(found) == ["Bramble Lane Hardware", "Fernhill Sawmill Yard"]
    lines = [line for purchase in tearoom.buy_sheet.purchases for line in purchase.lines]
    assert sorted(map(id, lines)) == sorted(id(line) for some in found.values() for line in some)
