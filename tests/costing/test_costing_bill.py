from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.buying.buy import buy
from estimator.costing.bill import BillLine, bill_of_materials, stated_shares
from estimator.errors import Findings
from estimator.money import apportion
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.reading.shop import KINDS
from estimator.takeoff.take_off import take_off


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def order_of(*quantities: int) -> Order:
    """So many plant stands, under a name of their own for each quantity."""
    build = stands().items[0].build
    items = (
        OrderedBuild(build=replace(build, name=f"Stand {place}"), quantity=quantity)
        for place, quantity in enumerate(quantities)
    )
    return replace(stands(), items=tuple(items))


def billed(order: Order, work_shares: tuple[Fraction, ...] = ()) -> tuple[BillLine, ...]:
    shares = work_shares or tuple(Fraction(1, len(order.items)) for _ in order.items)
    return bill_of_materials(order, buy(order, take_off(order, Findings()), Findings()), shares)


def paying(what: str) -> Order:
    order = order_of(2, 3)
    return replace(order, shop=replace(order.shop, client_pays_bought=dict.fromkeys(KINDS, what == "bought")))


@st.composite
def share_lists(draw: st.DrawFn) -> tuple[Fraction, ...]:
    weights = draw(st.lists(st.integers(0, 1000), min_size=1, max_size=7).filter(any))
    return tuple(Fraction(weight, sum(weights)) for weight in weights)


@given(shares=share_lists(), cents=st.integers(0, 1_000_000), digits=st.sampled_from([0, 2, 3]))
def test_parts_add_up_and_are_fair_to_the_coin(shares: tuple[Fraction, ...], cents: int, digits: int) -> None:
    total = Decimal(cents).scaleb(-digits)
    parts = apportion(total, shares, digits)
    assert sum(parts) == total
    for part, share in zip(parts, shares, strict=True):
        assert part >= 0
        assert abs(Fraction(part) - Fraction(total) * share) < Fraction(1, 10**digits)
        if not share:
            assert part == 0


@given(shares=share_lists())
def test_stated_shares_add_up_to_one(shares: tuple[Fraction, ...]) -> None:
    stated = stated_shares(shares)
    assert sum(stated) == 1
    for said, share in zip(stated, shares, strict=True):
        assert said >= 0
        assert abs(Fraction(said) - share) < Fraction(1, 10**6)


def test_a_build_without_bolts_pays_for_none() -> None:
    # 10.01 for two builds in equal parts and a third without: two halves of 5.005 rounded up would leave -0.01 to it.
    assert apportion(Decimal("10.01"), (Fraction(1, 2), Fraction(1, 2), Fraction(0)), 2) == (
        Decimal("5.01"),
        Decimal("5.00"),
        Decimal("0.00"),
    )
    # 10.00 in three thirds would leave 0.01.
    third = Fraction(1, 3)
    assert apportion(Decimal("10.00"), (third, third, third, Fraction(0)), 2)[3] == 0


def test_each_line_is_paid_as_bought_or_as_used() -> None:
    bought, used = billed(paying("bought")), billed(paying("used"))
    assert [line.charged for line in bought] == [line.bought.amount for line in bought]
    assert {line.charged_share for line in bought} == {Decimal(1)}
    for line in used:
        assert 0 < line.charged <= line.bought.amount
    # Screws for 5 stands by hand: 60 short ones and 3 spare take three packs of 25 at 3.60, 10.80, against 11.00 for
    # 100; 60 of 75 go in: 0.8, 8.64.
    short = next(line for line in used if line.kind == "hardware")
    assert (short.bought.amount, short.charged_share, short.charged) == (
        Decimal("10.80"),
        Decimal("0.8"),
        Decimal("8.64"),
    )


def test_what_is_bought_on_several_lines_is_used_in_one_share() -> None:
    # 9 stands: 108 short screws and 6 spare, 114: a pack of 100 and one of 25, 14.60. 108 of 125 are used, 0.864:
    # 3.1104 and 9.504.
    order = replace(order_of(9), shop=paying("used").shop)
    lines = [line for line in billed(order) if line.bought.item.startswith("screw #8 x 1 1/4")]
    assert [(line.bought.amount, line.charged) for line in lines] == [
        (Decimal("3.60"), Decimal("3.11")),
        (Decimal("11.00"), Decimal("9.50")),
    ]


@pytest.mark.parametrize("quantities", [(1,), (2, 3), (7, 1, 4), (1, 1, 1, 1, 1)])
def test_the_builds_together_bear_the_whole_bill(quantities: tuple[int, ...]) -> None:
    bill = billed(order_of(*quantities))
    for line in bill:
        assert sum(line.by_build) == line.charged
        assert sum(line.shares) == 1
        # The same stand under several names: shares go by the number ordered, to a millionth and to a cent.
        for share, part, quantity in zip(line.shares, line.by_build, quantities, strict=True):
            assert float(share) == pytest.approx(quantity / sum(quantities), abs=0.02)
            assert abs(part - line.charged * share) < Decimal("0.01")


def test_a_line_says_whether_its_price_is_stale() -> None:
    order = replace(order_of(1), day=date(2026, 7, 20))  # hardware of 15 January is 186 days old, lumber 160
    assert {line.kind: line.stale for line in billed(order)} == {
        "lumber": False,
        "hardware": True,
        "finish": True,
        "consumables": True,
    }


@given(weights=st.lists(st.integers(0, 1000), min_size=3, max_size=3).filter(any), gloves=st.integers(1, 400))
def test_what_the_shop_uses_is_borne_to_the_cent_as_the_work_is(weights: list[int], gloves: int) -> None:
    # Discs of the builds' own, and as many again and more that the shop uses on the order.
    order = order_of(2, 3, 1)
    own = order.items[0].build.consumables[0]
    shop = replace(order.shop, consumables=(replace(own, per="order", amount=Decimal(gloves)),))
    work = tuple(Fraction(weight, sum(weights)) for weight in weights)
    (line,) = [one for one in billed(replace(order, shop=shop), work) if one.kind == "consumables"]
    builds = [Decimal(11 * quantity) / 4 for quantity in (2, 3, 1)]  # a quarter of a disc for each of 11 pieces
    for share, mine, of_work in zip(line.shares, builds, work, strict=True):
        whole = Fraction(sum(builds) + gloves)
        assert abs(Fraction(share) - (Fraction(mine) + gloves * of_work) / whole) < Fraction(1, 10**6)
    assert line.common_share == Fraction(gloves) / Fraction(sum(builds) + gloves)
    assert sum(line.by_build) == line.charged
    assert all(part >= 0 for part in line.by_build)


def test_what_only_the_shop_uses_is_borne_by_the_work_alone() -> None:
    order = order_of(2, 3)
    own = order.items[0].build.consumables[0]
    items = tuple(replace(item, build=replace(item.build, consumables=())) for item in order.items)
    shop = replace(order.shop, consumables=(replace(own, per="coat", amount=Decimal("1.5")),))
    work = (Fraction(1, 4), Fraction(3, 4))
    (line,) = [one for one in billed(replace(order, items=items, shop=shop), work) if one.kind == "consumables"]
    # Two coats on each of two builds, 6 discs: two packs of five at 4.50; 6 of 10 are used and paid for, 5.40.
    assert (line.bought.amount, line.charged, line.by_build) == (
        Decimal("9.00"),
        Decimal("5.40"),
        (Decimal("1.35"), Decimal("4.05")),
    )
