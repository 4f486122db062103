from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from estimator.buying.cans import CanChoice, FinishPurchase, buy_finish, choice_of_cans
from estimator.errors import Findings
from estimator.finish_words import decision_sentences
from estimator.reading.order import Order, read_order
from estimator.reading.trade_units import SpreadRange, parse_container
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.take_off import take_off

USUAL = (("1 qt", "24.90"), ("1 gal", "78.50"))


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def need_of(least_gal: float, most_gal: float, cover: str = "low") -> FinishNeed:
    """A need of so much at the high and at the low rate."""
    (oil,) = take_off(stands(), Findings()).order.finish
    coat = replace(
        oil.coats[0],
        area=replace(oil.coats[0].area, faces_ft2=100.0, edges_ft2=0.0, ends_ft2=0.0),
        spread=SpreadRange(low_ft2_per_gal=Fraction(100 / most_gal), high_ft2_per_gal=Fraction(100 / least_gal)),
        loss_percent=Decimal(0),
    )
    return replace(oil, coats=(coat,), cover=cover)


def bought(need: FinishNeed, *offers: tuple[str, str], quantity: int = 2) -> tuple[Order, FinishPurchase, CanChoice]:
    row = stands().prices.finishes[0]
    rows = tuple(
        replace(row, container=container, content_gal=parse_container(container), price=Decimal(price))
        for container, price in offers
    )
    order = replace(
        stands(),
        prices=replace(stands().prices, finishes=rows),
        items=(replace(stands().items[0], quantity=quantity),),
    )
    purchase = buy_finish(need, order, Findings())
    assert purchase is not None
    return order, purchase, choice_of_cans(purchase, order)


def sentences(need: FinishNeed, *offers: tuple[str, str], quantity: int = 2) -> list[str]:
    return decision_sentences(*bought(need, *offers, quantity=quantity))


def test_cans_that_cover_the_low_rate_are_enough() -> None:
    # A quart, 0.25 gal, for 0.16 to 0.21: 0.25 / 0.21 = 1.19. Nothing is cheaper than one quart.
    # 0.04 gal are left, and a stand takes 0.105.
    assert sentences(need_of(0.16, 0.21), *USUAL) == ["1 qt is enough, with 19 % to spare."]


def test_cans_for_the_high_rate_say_what_they_risk_and_what_the_safe_ones_cost() -> None:
    # A quart for 0.20 to 0.30 gal: at the low rate 0.05 of 0.30 are missing, 16.7 percent, and half of the range is
    # covered. Two quarts cost 24.90 more; with a gallon the cheapest is still two quarts.
    (said,) = sentences(need_of(0.2, 0.3, cover="high"), *USUAL)
    assert said == (
        "1 qt is enough only where the product goes far: at the low rate it falls short by 17 %; 2 cans of 1 qt cost "
        "$24.90 more. The chance that it is enough is 50 %, if the need is evenly spread between both ends."
    )


def test_the_chance_of_the_cheaper_cans_by_hand() -> None:
    # 0.60 to 1.00 gal: the gallon, 78.50. Of what costs less, three quarts (74.70) hold most, 0.75 gal:
    # (0.75 - 0.60) / (1.00 - 0.60) = 0.375.
    _, purchase, choice = bought(need_of(0.6, 1.0), *USUAL)
    assert (purchase.amount, choice.chance, choice.safe) == (Decimal("78.50"), 1, None)
    assert choice.cheaper is not None
    assert (choice.cheaper.amount, choice.cheaper.content_gal) == (Decimal("74.70"), Fraction(3, 4))
    assert choice.cheaper_chance == pytest.approx(0.375)
    enough, cheaper = sentences(need_of(0.6, 1.0), *USUAL)
    assert enough == "1 gal is enough, with nothing to spare."
    assert cheaper == (
        "3 cans of 1 qt for $74.70 would save $3.80, and may be too little. The chance that they are enough is 38 %, "
        "if the need is evenly spread between both ends."
    )


def test_several_cans_are_poured_together() -> None:
    said = sentences(need_of(0.3, 0.4), *USUAL)
    assert said[0] == "2 cans of 1 qt are enough, with 25 % to spare."
    assert said[-1].startswith("Box the cans (pour them together)")


def test_what_is_left_would_do_for_more_units_of_an_only_build() -> None:
    # 4 stands take 0.40 gal, one 0.10; a gallon leaves 0.60, six more. In an order of two builds nobody knows of which.
    order, purchase, choice = bought(need_of(0.4, 0.4), ("1 gal", "78.50"), quantity=4)
    assert choice.more_units == 6
    assert "What is left over would do for 6 more of Plant stand." in decision_sentences(order, purchase, choice)
    assert choice_of_cans(purchase, replace(order, items=order.items * 2)).more_units is None


def test_a_rate_without_a_range_leaves_nothing_to_chance() -> None:
    _, _, choice = bought(need_of(0.7, 0.7), *USUAL)
    assert (choice.chance, choice.cheaper, choice.safe) == (1, None, None)


def test_a_coat_on_no_area_still_takes_a_can() -> None:
    need = need_of(0.2, 0.3)
    (coat,) = need.coats
    nothing = replace(need, coats=(replace(coat, area=replace(coat.area, faces_ft2=0.0)),))
    assert sentences(nothing, *USUAL) == ["1 qt is enough."]


def all_ways(offers: tuple[tuple[str, int], ...], most_gal: float) -> Iterator[tuple[int, Fraction]]:
    """Yield price and content of every number of every can up to what is needed at most."""
    contents = [parse_container(container) for container, _ in offers]
    ranges = [range(int(most_gal / float(content)) + 2) for content in contents]
    for counts in product(*ranges):
        price = sum(count * cents for count, (_, cents) in zip(counts, offers, strict=True))
        yield price, sum((count * content for count, content in zip(counts, contents, strict=True)), Fraction(0))


@settings(max_examples=120, deadline=None)
@given(
    least=st.integers(1, 300),
    more=st.integers(0, 150),
    cover=st.sampled_from(["low", "middle", "high"]),
    containers=st.lists(st.sampled_from(["1 pt", "1 qt", "1 gal", "2 gal"]), min_size=1, max_size=3, unique=True),
    prices=st.lists(st.integers(100, 9000), min_size=3, max_size=3),
)
def test_the_cans_are_those_of_a_search_through_all_ways(
    least: int, more: int, cover: str, containers: list[str], prices: list[int]
) -> None:
    least_gal, most_gal = least / 100 + 0.001, (least + more) / 100 + 0.001  # no need that fills a can to the drop
    need = need_of(least_gal, most_gal, cover)
    assume(need.need_gal > 0)
    offers = tuple(zip(containers, prices, strict=False))
    _, purchase, choice = bought(need, *((container, str(Decimal(cents) / 100)) for container, cents in offers))
    ways = list(all_ways(offers, most_gal))
    cheapest = min(price for price, content in ways if content >= need.need_gal)
    assert purchase.amount * 100 == cheapest
    assert float(purchase.content_gal) >= need.need_gal
    if choice.safe is None:
        assert float(purchase.content_gal) >= most_gal * (1 - 1e-9)
    else:
        assert choice.safe.amount * 100 == min(price for price, content in ways if content >= most_gal)
    partly = [(content, -price) for price, content in ways if price < cheapest and content > least_gal]
    if choice.cheaper is None:
        assert partly == []
    else:
        assert (choice.cheaper.content_gal, -int(choice.cheaper.amount * 100)) == max(partly)
        assert 0 < choice.cheaper_chance < 1
