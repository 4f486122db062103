from dataclasses import replace
from decimal import Decimal

import pytest

from estimator.buying.supplier_choice import AnotherSupplier, FewerSuppliers, SupplierPlan
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
    )
    choice = SupplierChoice(origin=Origin(file="shop.toml"), choose=rule, preferred="Alder" if rule == "prefer" else "")
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


def test_it_is_said_where_nothing_is_cheaper_at_others(tearoom: Estimate) -> None:
    assert sentences(tearoom, unvisited=2)[-1] == "A visit to another supplier as well would make nothing cheaper."
    assert sentences(tearoom, unvisited=2, rule="one stop")[1:] == ["No single supplier is cheaper."]


def test_a_choice_that_is_not_proved_says_by_how_much_it_may_be_missed(tearoom: Estimate) -> None:
    assert "That is at most $2.50 above the cheapest choice of suppliers." in sentences(tearoom, gap="2.50")


def test_the_shops_rule_is_in_the_words(tearoom: Estimate) -> None:
    assert sentences(tearoom, rule="one stop")[1:] == ["No single supplier is cheaper."]
    assert sentences(tearoom, rule="prefer")[1] == (
        "What Alder has is bought there, as the shop settings ask. No choice for the rest is cheaper."
    )


def test_lines_stand_under_their_supplier(tearoom: Estimate) -> None:
    found = lines_by_supplier(tearoom.buy_sheet)
    assert list(found) == ["Bramble Lane Hardware", "Fernhill Sawmill Yard"]
    lines = [line for purchase in tearoom.buy_sheet.purchases for line in purchase.lines]
    assert sorted(map(id, lines)) == sorted(id(line) for some in found.values() for line in some)
