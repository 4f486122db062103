import csv
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.costing.labour import LabourLine
from estimator.costing.quote import Quote, asked_price, make_quote, overhead_of, planned_profit
from estimator.estimate import Estimate, estimate
from estimator.money import Currency
from estimator.reading.asking import Overhead, Profit, Tax
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.reading.shop import KINDS, Shop

TESTS = Path(__file__).parents[1]


def published(row_id: str) -> Decimal:
    with (TESTS / "reference" / "costing.csv").open(encoding="utf-8", newline="") as file:
        (row,) = [row for row in csv.DictReader(file) if row["id"] == row_id and row["status"] == "verified"]
    return Decimal(row["expected_value"])


@cache
def stands() -> Order:
    return read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


@cache
def two_builds() -> Estimate:
    order = stands()
    (item,) = order.items
    other = OrderedBuild(build=replace(item.build, name="Tall plant stand"), quantity=3)
    return estimate(replace(order, items=(item, other)))


def shop_with(*, margin: str | None = None, markup: str | None = None, currency: str = "USD") -> Shop:
    return replace(
        stands().shop,
        currency=Currency(code=currency),
        profit=Profit(
            margin_percent=None if margin is None else Decimal(margin),
            markup_percent=None if markup is None else Decimal(markup),
        ),
    )


def plain_quote(*prices: str, tax_percent: str = "6.25", rounded_per: str = "invoice") -> Quote:
    """A quote of builds that cost labour alone and are sold at cost, one of each."""
    order = stands()
    shop = replace(
        shop_with(margin="0"),
        overhead=Overhead(percent_of_labour=Decimal(0), per_labour_hour=None),
        round_up_to=Decimal("0.01"),
        tax=Tax(name="Tax", percent=Decimal(tax_percent), rounded_per=rounded_per),
    )
    build = order.items[0].build
    items = tuple(OrderedBuild(build=replace(build, name=f"Stand {place}"), quantity=1) for place in range(len(prices)))
    amounts = tuple(map(Decimal, prices))
    share = Decimal(1) / len(prices)
    labour = LabourLine(
        scope="whole order",
        operation=build.labour[0],
        count=Decimal(1),
        learning_factor=Decimal(1),
        minutes=Decimal(0),
        rate=order.prices.labour_rates[0],
        amount=sum(amounts, Decimal(0)),
        setup_amount=Decimal(0),
        shares=(share,) * len(prices),
        by_build=amounts,
    )
    return make_quote(replace(order, shop=shop, items=items), (), (labour,))


def test_the_same_price_comes_of_the_margin_and_of_its_markup() -> None:
    # themathsguide.ie, "Converting between margin and markup": 20 percent of the price is 25 percent of the cost.
    margin = Decimal(100) * published("margin_from_markup_25")
    markup = Decimal(100) * published("markup_from_margin_20")
    by_margin, by_markup = shop_with(margin=str(margin)), shop_with(markup=str(markup))
    # 80 + a quarter of it is 100, of which the 20 are a fifth.
    assert asked_price(Decimal(80), by_margin) == asked_price(Decimal(80), by_markup) == 100
    assert planned_profit(by_margin) == planned_profit(by_markup) == (Decimal("0.2"), Decimal("0.25"))


def test_a_price_is_rounded_half_up_once() -> None:
    # 10.05 with a mark-up of 50 percent is 15.075; 0.07 at a margin of 30 percent 0.10.
    assert asked_price(Decimal("10.05"), shop_with(markup="50")) == Decimal("15.08")
    assert asked_price(Decimal("0.07"), shop_with(margin="30")) == Decimal("0.10")
    assert asked_price(Decimal(1000), shop_with(markup="33.35", currency="JPY")) == Decimal(1334)


def test_overhead_on_labour_is_what_the_job_cost_exercise_prints() -> None:
    # Pinnacle Inc., job 454 (wizedu.com): 446,546 of overhead on 250,000 of labour, so 178.6184 percent; material
    # 10,750 and labour 384 make 11,819.89.
    percent = Decimal(446_546) / Decimal(250_000) * 100
    shop = replace(stands().shop, overhead=Overhead(percent_of_labour=percent, per_labour_hour=None))
    assert 10_750 + 384 + overhead_of(Decimal(384), Decimal(600), shop) == published("job_454")


def test_overhead_by_the_hour_goes_by_the_minutes() -> None:
    shop = replace(stands().shop, overhead=Overhead(percent_of_labour=None, per_labour_hour=Decimal("14.50")))
    assert overhead_of(Decimal(999), Decimal(90), shop) == Decimal("21.75")
    # 3.8 minutes at 34.50 are 2.185, half a cent up.
    shop = replace(stands().shop, overhead=Overhead(percent_of_labour=None, per_labour_hour=Decimal("34.50")))
    assert overhead_of(Decimal(0), Decimal("3.8"), shop) == Decimal("2.19")


def test_tax_by_line_and_by_invoice_may_differ_by_a_cent() -> None:
    # Streamlined Sales and Use Tax Agreement, section 324: the seller may round on the item or on the invoice, half
    # up. Three lines of 0.56 at 6.25 percent: 0.035 each, 0.04 x 3 = 0.12; on 1.68 it is 0.105, 0.11.
    by_line = plain_quote("0.56", "0.56", "0.56", rounded_per="line")
    by_invoice = plain_quote("0.56", "0.56", "0.56", rounded_per="invoice")
    assert (by_line.subtotal, by_line.tax, by_line.total) == (Decimal("1.68"), Decimal("0.12"), Decimal("1.80"))
    assert (by_invoice.subtotal, by_invoice.tax, by_invoice.total) == (
        Decimal("1.68"),
        Decimal("0.11"),
        Decimal("1.79"),
    )


@pytest.mark.parametrize(("percent", "tax"), [("7.449", "0.74"), ("7.450", "0.75"), ("7.451", "0.75")])
def test_tax_is_rounded_up_from_half_a_cent(percent: str, tax: str) -> None:
    # The same agreement: up when the third decimal is greater than four. On 10.00 the raw tax is 0.7449 and so on.
    assert plain_quote("10.00", tax_percent=percent).tax == Decimal(tax)


def test_a_quote_holds_for_the_days_the_shop_says() -> None:
    shop = replace(stands().shop, valid_days=45)
    quote = estimate(replace(stands(), shop=shop, day=date(2028, 1, 20))).quote
    # 2028 has a 29 February: 11 days to the end of January, 29, and 5 in March.
    assert (quote.day, quote.valid_until) == (date(2028, 1, 20), date(2028, 3, 5))


def test_nothing_is_counted_twice_and_nothing_forgotten() -> None:
    found = two_builds()
    for kind in KINDS:
        assert sum(cost.by_kind[kind] for cost in found.quote.costs) == sum(
            line.charged for line in found.bill if line.kind == kind
        )
    assert sum(cost.by_kind["labour"] for cost in found.quote.costs) == sum(line.amount for line in found.labour)
    assert sum(cost.minutes for cost in found.quote.costs) == sum(line.minutes for line in found.labour)
    assert found.quote.cost == sum(sum(cost.by_kind.values()) for cost in found.quote.costs)
    assert [line.bought for line in found.bill] == [
        line for purchase in found.buy_sheet.purchases for line in purchase.lines
    ]


def test_a_client_who_pays_what_is_bought_pays_the_till_receipt() -> None:
    order = replace(stands(), shop=replace(stands().shop, client_pays_bought=dict.fromkeys(KINDS, True)))
    found = estimate(order)
    (cost,) = found.quote.costs
    assert sum(cost.by_kind[kind] for kind in KINDS) == found.buy_sheet.amount


@pytest.mark.parametrize("step", ["0.01", "0.50", "5", "25"])
def test_a_price_is_rounded_up_to_the_step_and_by_less_than_one(step: str) -> None:
    found = estimate(replace(stands(), shop=replace(stands().shop, round_up_to=Decimal(step))))
    (cost,) = found.quote.costs
    assert cost.unit_price % Decimal(step) == 0
    assert 0 <= cost.unit_price - cost.price_before_rounding < Decimal(step)


@given(margin=st.integers(0, 95), cents=st.integers(1, 10_000_000))
def test_the_profit_of_an_unrounded_price_is_the_margin_asked(margin: int, cents: int) -> None:
    cost = Decimal(cents) / 100
    price = asked_price(cost, shop_with(margin=str(margin)))
    assert abs(Fraction(price) * (100 - margin) / 100 - Fraction(cost)) <= Fraction(1, 200)


def test_the_margin_that_is_kept_is_never_under_the_margin_planned_by_more_than_the_cents() -> None:
    # Prices are only rounded up, so the kept margin is no less; costs are rounded to the cent before.
    quote = two_builds().quote
    assert quote.margin >= quote.planned_margin - Decimal("0.0001")
    assert quote.profit == quote.subtotal - quote.cost
