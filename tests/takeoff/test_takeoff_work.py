from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import Origin
from estimator.reading.joints import Joint
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.takeoff.work import Counts, consumable_needs, order_counts, work_counts


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def counts_of(quantity: int) -> Counts:
    return work_counts(OrderedBuild(build=stands().items[0].build, quantity=quantity))


def test_work_is_counted_from_the_lists() -> None:
    # One stand: legs 4, slat 1, edge slats 2, aprons 4 pieces. Each has two ends; the edge slats two clips as well.
    # Only the aprons are narrower than their board. Joints 6 and 8, with 2 screws and 1 screw each.
    counts = counts_of(3)
    assert {driver: counts[driver] for driver in ("batch", "unit", "piece", "cut", "rip", "joint", "fastener")} == {
        "batch": 1,
        "unit": 3,
        "piece": 3 * 11,
        "cut": 3 * (9 * 2 + 2 * 4),
        "rip": 3 * 4,
        "joint": 3 * 14,
        "fastener": 3 * (6 * 2 + 8),
    }


def test_area_of_coats_counts_every_coat() -> None:
    # Area of a stand by hand: 955.39900 in2 (see the hand-worked order) = 6.634715 ft2, twice 13.269430; a square
    # foot is 0.3048^2 = 0.09290304 m2.
    counts = counts_of(10)
    assert float(counts["ft2 coat"]) == pytest.approx(132.69430, abs=0.001)
    assert float(counts["m2 coat"]) == pytest.approx(132.69430 * 0.09290304, abs=0.001)


def test_a_joint_with_several_pieces_of_hardware_is_one_joint() -> None:
    first = stands().items[0].build.hardware[0]
    uses = (
        replace(first, kind="carriage bolt", joint="leg to rail", joints=4, each=2),
        replace(first, kind="Nut", joint="leg to rail", joints=4, each=2),
        replace(first, kind="washer", joint="leg to rail", joints=4, each=4),
        replace(first, joint="slat to rail", joints=5, each=2),
    )
    counts = work_counts(OrderedBuild(build=replace(stands().items[0].build, hardware=uses), quantity=1))
    assert counts["joint"] == 4 + 5
    # A nut and a washer go on with their bolt: 8 bolts and 10 screws are driven.
    assert counts["fastener"] == 8 + 10


def rail_to_leg() -> Joint:
    """Four glued joints of 36 in2, a quarter of a square foot."""
    return Joint(
        origin=Origin(file="joints.csv", line=2),
        joint="rail to leg",
        part="Leg",
        surface="face",
        on_part="Apron",
        on_surface="end",
        joints=4,
        degrees=Fraction(0),
        area_in2=36.0,
        glued=True,
        note="",
    )


def test_a_joint_in_both_lists_is_one_joint() -> None:
    # Hardware: 4 and 5 joints. Of the joints one has hardware; another touches twice, not glued there.
    first = stands().items[0].build.hardware[0]
    uses = (replace(first, joint="Leg-to-rail", joints=4), replace(first, joint="slat to rail", joints=5))
    joints = (
        replace(rail_to_leg(), joint="leg to rail"),
        replace(rail_to_leg(), joint="brace", joints=2),
        replace(rail_to_leg(), joint="Brace", joints=2, glued=False),
    )
    build = replace(stands().items[0].build, hardware=uses, joints=joints)
    counts = work_counts(OrderedBuild(build=build, quantity=3))
    assert counts["joint"] == 3 * (4 + 5 + 2)
    # Glued: 4 and 2 joints of a quarter of a square foot, three units; a square foot is 0.09290304 m2.
    assert counts["ft2 glue"] == Decimal("4.5")
    assert counts["m2 glue"] == 3 * Decimal("0.1394")


def test_glue_is_counted_by_the_glued_area() -> None:
    use = replace(stands().items[0].build.consumables[0], item="Glue", per="ft2 glue", amount=Decimal("0.5"))
    build = replace(stands().items[0].build, joints=(rail_to_leg(),), consumables=(use,))
    item = OrderedBuild(build=build, quantity=6)
    (glue,) = consumable_needs((item,), (work_counts(item),))
    assert glue.quantity == 6 * Decimal("0.5")
    nothing_glued = replace(item, build=replace(build, joints=()))
    assert consumable_needs((nothing_glued,), (work_counts(nothing_glued),)) == ()


def test_an_order_has_the_work_of_all_its_builds() -> None:
    total = order_counts((counts_of(2), counts_of(5)))
    assert {driver: total[driver] for driver in ("order", "batch", "unit", "joint")} == {
        "order": 1,
        "batch": 2,
        "unit": 7,
        "joint": 7 * 14,
    }


def test_consumables_are_counted_by_what_drives_them() -> None:
    use = stands().items[0].build.consumables[0]
    uses = (
        replace(use, item="Sanding disc", per="piece", amount=Decimal("0.25")),
        replace(use, item="Brush", per="batch", amount=Decimal(2)),
        replace(use, item="sanding-disc", per="unit", amount=Decimal("0.5")),
    )
    item = OrderedBuild(build=replace(stands().items[0].build, consumables=uses), quantity=4)
    discs, brushes = consumable_needs((item,), (work_counts(item),))
    # 44 pieces x 0.25 + 4 units x 0.5 = 13 discs; two brushes for the batch.
    assert (discs.item, discs.quantity) == ("Sanding disc", Decimal(13))
    assert (brushes.item, brushes.quantity) == ("Brush", Decimal(2))


def test_what_nothing_calls_for_is_not_needed() -> None:
    # Glue for each joint, and no joints: no bottle is opened.
    use = replace(stands().items[0].build.consumables[0], item="Glue", per="joint", amount=Decimal("0.1"))
    item = OrderedBuild(build=replace(stands().items[0].build, hardware=(), consumables=(use,)), quantity=4)
    assert consumable_needs((item,), (work_counts(item),)) == ()


def test_a_planed_or_full_width_piece_is_not_ripped() -> None:
    slat = stands().items[0].build.parts[1]
    planed = replace(slat, shape=replace(slat.shape, thickness_in=Fraction(1, 2)))
    counts = work_counts(OrderedBuild(build=replace(stands().items[0].build, parts=(slat, planed)), quantity=1))
    assert counts["rip"] == 0


@given(quantity=st.integers(1, 5000), more=st.integers(0, 5000))
def test_a_larger_batch_is_never_less_work(quantity: int, more: int) -> None:
    small, large = counts_of(quantity), counts_of(quantity + more)
    assert all(small[driver] <= large[driver] for driver in small)
