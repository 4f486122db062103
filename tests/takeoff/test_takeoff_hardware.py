from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from math import ceil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.reading.build import HardwareUse
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.reading.shop import Spares
from estimator.takeoff.hardware import HardwareNeed, hardware_needs


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def use(
    *, kind: str = "screw", size: str = "#8", length_in: Fraction | None = Fraction(2), joints: int = 1, each: int = 1
) -> HardwareUse:
    first = stands().items[0].build.hardware[0]
    return replace(first, kind=kind, size=size, length_in=length_in, joints=joints, each=each)


def item_of(*uses: HardwareUse, quantity: int = 1, name: str = "Box") -> OrderedBuild:
    return OrderedBuild(build=replace(stands().items[0].build, name=name, hardware=uses), quantity=quantity)


def need_of(quantity: int, *, percent: str, at_least: int) -> HardwareNeed:
    (need,) = hardware_needs((item_of(use(), quantity=quantity),), Spares(percent=Decimal(percent), at_least=at_least))
    return need


@pytest.mark.parametrize(
    ("quantity", "percent", "at_least", "spares"),
    [
        (100, "5", 2, 5),
        (101, "5", 2, 6),  # 5.05 is rounded up
        (20, "5", 2, 2),  # one would be 5 percent, two is the least
        (1000, "0", 0, 0),
        (1, "0", 4, 4),
        (40, "2.5", 0, 1),  # exactly one
    ],
)
def test_spares_are_a_share_rounded_up_and_never_under_the_least(
    quantity: int, percent: str, at_least: int, spares: int
) -> None:
    assert need_of(quantity, percent=percent, at_least=at_least).spares == spares


def test_one_need_holds_all_uses_of_one_screw_in_the_order() -> None:
    # 4 joints x 2 in each of 3 benches, 6 x 1 in each of 5 tables: 24 + 30.
    items = (
        item_of(use(joints=4, each=2), quantity=3, name="Bench"),
        item_of(use(kind="Screw", joints=6), use(length_in=Fraction(3)), quantity=5, name="Table"),
    )
    long, longer = sorted(hardware_needs(items, Spares(percent=Decimal(0), at_least=0)), key=lambda n: n.length_in or 0)
    assert (long.quantity, [count.quantity for count in long.uses]) == (54, [24, 30])
    assert longer.quantity == 5


def test_hardware_without_a_length_is_named_without_one() -> None:
    (need,) = hardware_needs((item_of(use(kind="glide", size="1 in", length_in=None)),), stands().shop.spares)
    assert need.title("in") == "glide 1 in, stainless"
    (screw,) = hardware_needs((item_of(use(length_in=Fraction(5, 2))),), stands().shop.spares)
    assert screw.title("in") == "screw #8 x 2 1/2 in, stainless"


@given(
    quantity=st.integers(1, 10_000),
    more=st.integers(0, 10_000),
    percent=st.decimals(0, 100, places=2),
    at_least=st.integers(0, 20),
)
def test_a_larger_batch_never_takes_fewer(quantity: int, more: int, percent: Decimal, at_least: int) -> None:
    small = need_of(quantity, percent=str(percent), at_least=at_least)
    large = need_of(quantity + more, percent=str(percent), at_least=at_least)
    assert small.spares == max(at_least, ceil(quantity * Fraction(percent) / 100))
    assert small.quantity + small.spares <= large.quantity + large.spares
