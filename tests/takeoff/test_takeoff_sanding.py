from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.reading.build import Build
from estimator.reading.order import Order, OrderedBuild, read_order
from estimator.reading.parts import parse_coated
from estimator.reading.sanding import SandingPass
from estimator.takeoff.sanding import SandedArea, by_grit, disc_needs, sanded_areas
from estimator.takeoff.take_off import take_off
from estimator.units import M2_PER_FT2

HAND_WORKED = Path(__file__).parents[1] / "hand_worked"


@cache
def benches() -> Order:
    """Three benches and a shelf; their areas are worked out by hand in tests/hand_worked/test_sanded_benches.py."""
    return read_order(HAND_WORKED / "sanded_benches", today=date(2026, 3, 2))


def bench() -> Build:
    return benches().items[0].build


def a_pass(*, when: str = "before finish", grits: tuple[int, ...] = (120,), surfaces: str = "all") -> SandingPass:
    return replace(bench().sanding[0], when=when, grits=grits, surfaces=parse_coated(surfaces))


def sanded(build: Build, units: int = 1, order: Order | None = None) -> tuple[SandedArea, ...]:
    findings = Findings()
    found = sanded_areas((OrderedBuild(build=build, quantity=units),), (order or benches()).shop, findings)
    assert findings.faults == []
    return found


def area_of(build: Build, *passes: SandingPass) -> Decimal:
    return sum((one.area for one in sanded(replace(build, sanding=passes))), Decimal(0))


def test_a_pass_sands_the_surfaces_and_the_parts_that_it_names() -> None:
    # The ends of the seat, 33.75 in2 = 0.234375 ft2; one face of all parts, half of 1740 in2 = 6.041667 ft2.
    ends_of_seat = replace(a_pass(surfaces="ends"), parts=("seat",))
    assert area_of(bench(), ends_of_seat) == Decimal("0.2344")
    assert area_of(bench(), a_pass(surfaces="one face")) == Decimal("6.0417")


def test_before_the_finish_it_makes_no_difference_what_is_coated_or_hidden() -> None:
    bare = tuple(replace(part, coated=parse_coated("none"), hidden=()) for part in bench().parts)
    assert area_of(replace(bench(), parts=bare), a_pass()) == area_of(bench(), a_pass()) == Decimal("14.9010")


def test_between_coats_of_one_coat_nothing_is_sanded_and_that_is_said() -> None:
    thin = replace(bench(), finish=(replace(bench().finish[0], coats=1),), sanding=(a_pass(when="between coats"),))
    findings = Findings()
    assert sanded_areas((OrderedBuild(build=thin, quantity=2),), benches().shop, findings) == ()
    (notice,) = findings.notices
    assert "sands nothing, for no surface that it names has a second coat" in str(notice)


def test_coats_of_two_products_count_together() -> None:
    # Two coats of one and two of another: three times between them, a third of it for each of the three.
    oil = replace(bench().finish[0], coats=2)
    build = replace(bench(), finish=(oil, replace(oil, product="Marsh varnish")))
    once = area_of(replace(bench(), finish=(oil,)), a_pass(when="between coats"))
    assert area_of(build, a_pass(when="between coats")) == pytest.approx(3 * once, abs=Decimal("0.001"))


def test_what_joints_hide_is_sanded_between_coats_where_the_finish_goes_on_first() -> None:
    build = replace(bench(), finish=(replace(bench().finish[0], coats=2),), finish_after_assembly=False)
    assert area_of(build, a_pass(when="between coats")) == area_of(build, a_pass())


def test_a_surface_that_takes_no_finish_is_not_sanded_between_its_coats() -> None:
    faces_only = tuple(replace(part, coated=parse_coated("one face")) for part in bench().parts)
    build = replace(bench(), parts=faces_only, finish=(replace(bench().finish[0], coats=2),))
    # One face of each, less half of what joints hide: (1740 - 33.75 - 2 x 5.25) / 2 = 847.875 in2 = 5.888021 ft2.
    assert area_of(build, a_pass(when="between coats")) == Decimal("5.8880")


def test_a_grit_without_a_setting_is_a_fault_that_says_what_to_add() -> None:
    findings = Findings()
    build = replace(bench(), sanding=(a_pass(grits=(120, 400)),))
    assert [one.grit.grit for one in sanded_areas((OrderedBuild(build=build, quantity=1),), benches().shop, findings)]
    (fault,) = findings.faults
    assert fault.column == "grits"
    assert str(fault.origin).endswith("bench/sanding.csv:2")
    assert "[[sanding.grits]]" in fault.message
    assert "grit = 400" in fault.message
    assert "shop.toml" in fault.message


def test_without_a_sanding_list_nothing_is_sanded() -> None:
    order = read_order(HAND_WORKED / "plant_stands", today=date(2026, 3, 2))
    found = take_off(order, Findings())
    assert found.order.sanded == ()
    assert [(need.item, need.quantity) for need in found.order.consumables] == [("Sanding disc", Decimal("5.50"))]


def test_a_metric_shop_counts_in_square_metres() -> None:
    order = replace(benches(), shop=replace(benches().shop, unit="mm"))
    (one,) = sanded(replace(bench(), sanding=(a_pass(),)), order=order)
    # 14.900955 ft2 x 0.09290304 = 1.384344 m2: faces 1.122578, edges 0.189677, ends 0.072097 in four decimals each.
    assert (one.area_unit, one.faces, one.edges, one.ends) == (
        "m2",
        Decimal("1.1226"),
        Decimal("0.1897"),
        Decimal("0.0721"),
    )
    # 0.4 minutes a ft2 / 0.09290304 = 4.305564 a m2; a disc of 8 ft2 sands 0.743224 m2.
    assert one.minutes_each == Decimal("4.305564")
    assert one.area_per_piece == 8 * M2_PER_FT2


def test_thirds_of_a_disc_add_up_to_whole_discs() -> None:
    # 2/3 of a disc for each of three builds: rounded one by one they would come to 2.0001, and a third disc.
    (one,) = sanded(replace(bench(), sanding=(a_pass(),)))
    third = [
        replace(one, build=name, faces=Decimal(2), edges=Decimal(0), ends=Decimal(0), area_per_piece=Fraction(3))
        for name in ("Bench", "Stool", "Table")
    ]
    (need,) = disc_needs(third)
    assert need.quantity == 2
    assert [name for name, _ in need.by_build] == ["Bench", "Stool", "Table"]


passes = st.builds(
    a_pass,
    when=st.sampled_from(["before finish", "between coats"]),
    grits=st.sets(st.sampled_from([80, 120, 220]), min_size=1).map(lambda grits: tuple(sorted(grits))),
    surfaces=st.sampled_from(["all", "faces", "one face", "edges, ends"]),
)


@given(units=st.integers(1, 3000), rows=st.lists(passes, max_size=4))
def test_twice_the_units_are_twice_the_area_and_twice_the_discs(units: int, rows: list[SandingPass]) -> None:
    build = replace(bench(), sanding=tuple(rows))
    some, twice = sanded(build, units), sanded(build, 2 * units)
    assert [2 * one.area for one in some] == [one.area for one in twice]
    assert [2 * one.counted for one in some] == [one.counted for one in twice]
    assert [2 * one.pieces for one in some] == [one.pieces for one in twice]


@given(units=st.lists(st.integers(1, 500), min_size=1, max_size=5), rows=st.lists(passes, min_size=1, max_size=3))
def test_the_discs_of_an_order_are_those_of_its_builds(units: list[int], rows: list[SandingPass]) -> None:
    items = tuple(
        OrderedBuild(build=replace(bench(), name=f"Bench {place}", sanding=tuple(rows)), quantity=count)
        for place, count in enumerate(units)
    )
    whole = sanded_areas(items, benches().shop, Findings())
    parts = [one for item in items for one in sanded_areas((item,), benches().shop, Findings())]
    assert list(whole) == parts
    for need in disc_needs(whole):
        exact = sum(one.pieces for one in whole if one.grit.item == need.item)
        assert abs(Fraction(need.quantity) - exact) <= Fraction(1, 20_000)
        assert sum(amount for _, amount in need.by_build) == need.quantity
    assert sum(one.pieces for one in by_grit(whole)) == sum(one.pieces for one in whole)


@given(rows=st.lists(passes, min_size=1, max_size=4))
def test_more_coats_are_never_less_sanding(rows: list[SandingPass]) -> None:
    oil = bench().finish[0]
    few, many = (area_of(replace(bench(), finish=(replace(oil, coats=coats),)), *rows) for coats in (2, 3))
    assert few <= many
