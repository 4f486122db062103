from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.takeoff.take_off import TakeOff, take_off


@cache
def two_builds() -> Order:
    """Two plant stands, and three more under another name."""
    order = read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))
    (item,) = order.items
    return replace(order, items=(item, OrderedBuild(build=replace(item.build, name="Tall plant stand"), quantity=3)))


def taken_off() -> TakeOff:
    findings = Findings()
    found = take_off(two_builds(), findings)
    assert findings.faults == []
    return found


def test_the_order_is_the_sum_of_its_builds() -> None:
    found = taken_off()
    for whole, parts in zip(
        found.order.lumber, zip(*(build.needs.lumber for build in found.builds), strict=True), strict=True
    ):
        assert whole.net_volume_ft3 == pytest.approx(sum(part.net_volume_ft3 for part in parts))
        assert whole.board_feet == sum(part.board_feet for part in parts)
    for screw, uses in zip(
        found.order.hardware, zip(*(build.needs.hardware for build in found.builds), strict=True), strict=True
    ):
        assert screw.quantity == sum(use.quantity for use in uses)
    assert found.order.weight_lb == pytest.approx(sum(build.needs.weight_lb for build in found.builds))
    for driver in ("unit", "piece", "cut", "rip", "joint", "fastener", "ft2 coat"):
        assert found.order.counts[driver] == sum(build.needs.counts[driver] for build in found.builds)


def test_spares_belong_to_the_order_and_to_no_build() -> None:
    found = taken_off()
    assert [need.spares for build in found.builds for need in build.needs.hardware] == [0, 0, 0, 0]
    # 5 stands x 12 short screws = 60, 5 percent 3; x 8 long screws = 40, 5 percent 2.
    assert [need.spares for need in found.order.hardware] == [3, 2]


def test_a_species_without_a_density_is_noticed_at_its_first_part() -> None:
    (first, second) = two_builds().items
    parts = (first.build.parts[0], *(replace(part, species="moonwood") for part in first.build.parts[1:]))
    order = replace(two_builds(), items=(replace(first, build=replace(first.build, parts=parts)), second))
    findings = Findings()
    assert take_off(order, findings).order.unweighed == ("moonwood",)
    (notice,) = findings.notices
    assert notice.origin == parts[1].origin
    assert 'no published density for "moonwood"' in notice.message
