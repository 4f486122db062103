from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Origin
from estimator.reading.finish_products import DryTimes, FinishProduct, parse_duration
from estimator.reading.finish_steps import FinishStep, parse_surfaces
from estimator.reading.order import Order, read_order
from estimator.reading.parts import parse_coated
from estimator.takeoff.drying import Waiting, least_waiting


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def step(product: str, coats: int, surfaces: str = "all", parts: tuple[str, ...] = ()) -> FinishStep:
    (found,) = stands().items[0].build.finish
    return replace(found, product=product, coats=coats, coated=parse_surfaces(surfaces), parts=parts)


def label(product: str, recoat_after: str) -> FinishProduct:
    return FinishProduct(
        origin=Origin(file="finish_products.csv", line=2),
        product=product,
        kinds=(),
        mixture=None,
        auxiliaries=(),
        dry_times=DryTimes(recoat_after=parse_duration(recoat_after) if recoat_after else None),
        source="can label",
    )


LABELS = (label("Sealer", "2 h"), label("Varnish", "6 - 8 h"), label("Wax", ""))


def waiting(*steps: FinishStep, coated: str = "all") -> tuple[Waiting, ...]:
    (item,) = stands().items
    first, *others = item.build.parts
    parts = tuple(replace(part, coated=parse_coated(coated)) for part in (replace(first, name="Top"), *others))
    order = replace(
        stands(),
        items=(replace(item, build=replace(item.build, parts=parts, finish=steps)),),
        prices=replace(stands().prices, finish_products=LABELS),
    )
    return least_waiting(order)


def hours(*steps: FinishStep, coated: str = "all") -> Fraction:
    found = waiting(*steps, coated=coated)
    return found[0].hours if found else Fraction(0)


def test_the_last_coat_waits_for_nothing() -> None:
    # Three coats of varnish wait twice, 6 h each at least; one coat waits for none.
    assert hours(step("Varnish", 3)) == 12
    assert waiting(step("Varnish", 1)) == ()


def test_a_coat_waits_for_whatever_product_is_below_it() -> None:
    # Sealer 2 h, varnish 6 h, and the last coat of varnish.
    assert hours(step("Sealer", 1), step("varnish", 2)) == 8


def test_coats_on_other_surfaces_or_parts_do_not_wait_for_each_other() -> None:
    assert waiting(step("Varnish", 1, "faces"), step("Varnish", 1, "edges, ends")) == ()
    assert waiting(step("Varnish", 1, parts=("top",)), step("Varnish", 1, parts=("shelf",))) == ()
    # The end grain gets a coat of sealer below its two of varnish: the longest wait counts.
    assert hours(step("Sealer", 1, "end grain"), step("Varnish", 2)) == 8
    assert hours(step("Varnish", 2, "faces"), step("Varnish", 3, "edges")) == 12


def test_a_surface_that_is_not_coated_does_not_wait() -> None:
    assert hours(step("Sealer", 1, "end grain"), step("Varnish", 2), coated="faces") == 6


@pytest.mark.parametrize("below", ["Wax", "Oil"])
def test_what_no_label_says_is_named_and_not_counted(below: str) -> None:
    (found,) = waiting(step(below, 1), step("Varnish", 2))
    assert (found.hours, found.untold) == (Fraction(6), (below,))


def test_where_no_label_says_anything_nothing_is_said() -> None:
    assert waiting(step("Wax", 3)) == ()
