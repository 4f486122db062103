from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.buy import buy
from estimator.buying.cans import FinishPurchase, buy_finish
from estimator.buying.packed import (
    ConsumablePurchase,
    HardwarePurchase,
    buy_consumable,
    buy_hardware,
    with_shop_uses,
)
from estimator.errors import Findings
from estimator.reading.order import Order, read_order
from estimator.reading.sold import ConsumablePrice, FinishPrice, HardwarePrice
from estimator.reading.trade_units import parse_container
from estimator.takeoff.take_off import take_off


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def screws(need: int, *offers: tuple[int, str, str], spares: int = 0) -> HardwarePurchase:
    """Buy so many screws from offers of pack, price and supplier."""
    row = stands().prices.hardware[0]
    rows: tuple[HardwarePrice, ...] = tuple(
        replace(row, pack=pack, price=Decimal(price), supplier=supplier) for pack, price, supplier in offers
    )
    wanted = take_off(stands(), Findings()).order.hardware[0]
    wanted = replace(wanted, uses=(replace(wanted.uses[0], quantity=need),), spares=spares)
    findings = Findings()
    order = replace(stands(), prices=replace(stands().prices, hardware=rows))
    bought = buy_hardware(wanted, order, findings)
    assert bought is not None
    assert findings.faults == []
    return bought


def oil(need_gal: float, *offers: tuple[str, str]) -> FinishPurchase:
    """Buy so much oil from offers of container and price."""
    row = stands().prices.finishes[0]
    rows: tuple[FinishPrice, ...] = tuple(
        replace(row, container=container, content_gal=parse_container(container), price=Decimal(price))
        for container, price in offers
    )
    wanted = take_off(stands(), Findings()).order.finish[0]
    (first, *_) = wanted.coats
    # 180 ft2/gal reach the wood at the low rate, so this area takes what is asked for.
    area = replace(first.area, faces_ft2=need_gal * 180, edges_ft2=0.0, ends_ft2=0.0)
    wanted = replace(wanted, coats=(replace(first, area=area),))
    assert wanted.need_gal == pytest.approx(need_gal)
    bought = buy_finish(wanted, replace(stands(), prices=replace(stands().prices, finishes=rows)), Findings())
    assert bought is not None
    return bought


def discs(need: str, *offers: tuple[str, str]) -> ConsumablePurchase:
    row = stands().prices.consumables[0]
    rows: tuple[ConsumablePrice, ...] = tuple(
        replace(row, pack=Decimal(pack), price=Decimal(price)) for pack, price in offers
    )
    wanted = take_off(stands(), Findings()).order.consumables[0]
    wanted = replace(wanted, by_build=(("Plant stand", Decimal(need)),))
    bought = buy_consumable(wanted, replace(stands(), prices=replace(stands().prices, consumables=rows)), Findings())
    assert bought is not None
    return bought


def test_the_cheaper_supplier_gets_the_order_pack_by_pack() -> None:
    bought = screws(
        130, (25, "3.60", "Corner"), (100, "11.00", "Corner"), (100, "10.40", "Harbour"), (25, "3.75", "Harbour")
    )
    # 130 = 100 and two of 25: 10.40 + 2 x 3.60.
    assert [(line.row.supplier, line.quantity, line.amount) for line in bought.lines] == [
        ("Corner", Decimal(2), Decimal("7.20")),
        ("Harbour", Decimal(1), Decimal("10.40")),
    ]
    assert bought.amount == Decimal("17.60")


def test_spares_are_bought_but_not_used() -> None:
    bought = screws(40, (50, "6.00", "Corner"), spares=4)
    assert (bought.pieces, bought.left_over) == (50, 6)
    assert bought.used_share == Fraction(40, 50)


def test_a_price_below_a_cent_is_rounded_on_the_line_and_not_on_the_piece() -> None:
    # 1000 loose nails at 0.0045 are 4.50; a nail at a whole cent would make it 10.00, at no cent nothing.
    bought = screws(1000, (1, "0.0045", "Corner"))
    (line,) = bought.lines
    assert (line.unit_price, line.amount) == (Decimal("0.0045"), Decimal("4.50"))
    # 200 at 0.035 are 7.00 loose, so a pack of 200 for 7.50 is the dearer one.
    assert screws(200, (1, "0.035", "Corner"), (200, "7.50", "Corner")).amount == Decimal("7.00")


def test_cans_are_combined() -> None:
    # 1.2 gal: a gallon and a quart (78.50 + 24.90 = 103.40) rather than five quarts (124.50) or two gallons (157.00).
    bought = oil(1.2, ("1 qt", "24.90"), ("1 gal", "78.50"), ("5 gal", "345.00"))
    assert bought.amount == Decimal("103.40")
    assert bought.content_gal == Fraction(5, 4)
    assert bought.left_over_gal == pytest.approx(0.05)
    assert float(bought.used_share) == pytest.approx(1.2 / 1.25)


def test_a_need_that_fills_a_can_exactly_takes_one_can() -> None:
    assert oil(1.0, ("1 gal", "78.50")).content_gal == 1
    assert oil(1.0001, ("1 gal", "78.50")).content_gal == 2


def test_litres_and_gallons_are_compared_by_what_they_hold() -> None:
    # 2.5 L are 0.66 gal and 0.75 L 0.198 gal: 0.8 gal takes one of each, 57.00, against a gallon for 60.00.
    bought = oil(0.8, ("2.5 L", "42.00"), ("0.75 L", "15.00"), ("1 gal", "60.00"))
    assert bought.amount == Decimal("57.00")
    # And 0.9 gal takes the gallon: two more cans of 0.75 L would make 72.00.
    assert oil(0.9, ("2.5 L", "42.00"), ("0.75 L", "15.00"), ("1 gal", "60.00")).amount == Decimal("60.00")


@settings(max_examples=60, deadline=None)
@given(
    need_ml=st.integers(1, 400_000),
    containers=st.lists(
        st.sampled_from(["1 pt", "1 qt", "1 gal", "5 gal", "0.75 L", "2.5 L", "5 L"]),
        min_size=1,
        max_size=4,
        unique=True,
    ),
    prices=st.lists(st.integers(500, 40_000), min_size=4, max_size=4),
)
def test_cans_always_hold_the_need(need_ml: int, containers: list[str], prices: list[int]) -> None:
    need_gal = need_ml / 3785.411784
    bought = oil(need_gal, *((name, str(price / 100)) for name, price in zip(containers, prices, strict=False)))
    assert float(bought.content_gal) >= need_gal * (1 - 1e-6)
    assert 0 < bought.used_share <= 1
    assert bought.amount == sum(line.quantity * line.unit_price for line in bought.lines)
    # No can is there for nothing: without any one of them the need is not met.
    smallest = min(parse_container(line.row.container) for line in bought.lines if isinstance(line.row, FinishPrice))
    assert float(bought.content_gal - smallest) < need_gal + 1e-3


def test_consumables_come_in_whole_packs_of_any_content() -> None:
    # 13 discs: packs of 10 at 7.80 and of 2.5 at 2.10: 10 + 2 x 2.5 = 15 for 12.00, against 15.60 for two of 10.
    bought = discs("13", ("10", "7.80"), ("2.5", "2.10"))
    assert (bought.amount, bought.content, bought.left_over) == (Decimal("12.00"), Decimal("15.0"), Decimal("2.0"))


def test_packs_counted_in_different_units_are_refused() -> None:
    row = stands().prices.consumables[0]
    rows = (row, replace(row, unit="box", pack=Decimal(1)))
    wanted = take_off(stands(), Findings()).order.consumables[0]
    findings = Findings()
    order = replace(stands(), prices=replace(stands().prices, consumables=rows))
    assert buy_consumable(wanted, order, findings) is None
    (fault,) = findings.faults
    assert "counted in disc and box; use one unit" in str(fault)


@given(
    quantities=st.lists(st.integers(1, 500), min_size=1, max_size=4),
    spares=st.integers(0, 20),
    pack=st.integers(1, 120),
)
def test_each_build_bears_its_share_of_the_screws(quantities: list[int], spares: int, pack: int) -> None:
    wanted = take_off(stands(), Findings()).order.hardware[0]
    uses = tuple(
        replace(wanted.uses[0], build=f"Build {place}", quantity=quantity) for place, quantity in enumerate(quantities)
    )
    row = replace(stands().prices.hardware[0], pack=pack)
    order = replace(stands(), prices=replace(stands().prices, hardware=(row,)))
    bought = buy_hardware(replace(wanted, uses=uses, spares=spares), order, Findings())
    assert bought is not None
    assert bought.pieces >= sum(quantities) + spares
    assert dict(bought.by_build) == {
        f"Build {place}": Fraction(quantity, sum(quantities)) for place, quantity in enumerate(quantities)
    }


def test_what_the_shop_uses_is_bought_with_what_the_builds_use() -> None:
    # Two plant stands take two boards of 2x2 and two of 1x4 (see the hand-worked order), so two discs for the
    # order, and 5.5 for the 22 pieces: 7.5 of ten.
    use = stands().items[0].build.consumables[0]
    uses = (replace(use, item="sanding-disc", per="board", amount=Decimal("0.5")),)
    found = buy(
        replace(stands(), shop=replace(stands().shop, consumables=uses)), take_off(stands(), Findings()), Findings()
    )
    (discs,) = found.consumables
    assert (discs.need.quantity, discs.need.shop_amount, discs.content) == (
        Decimal("7.50"),
        Decimal("2.0"),
        Decimal(10),
    )
    assert discs.by_build == (("Plant stand", Fraction(55, 75)),)


def test_what_the_shop_does_not_use_is_not_bought() -> None:
    use = replace(stands().items[0].build.consumables[0], item="Drill bit", per="rip")
    assert with_shop_uses((), (use,), {"rip": Decimal(0)}) == ()
