from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Findings, Origin
from estimator.reading.finish_products import Auxiliary, DryTimes, FinishProduct
from estimator.reading.order import Order, read_order
from estimator.takeoff.auxiliaries import auxiliary_needs, auxiliary_uses
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.take_off import take_off


@cache
def tearoom() -> Order:
    path = Path(__file__).parents[2] / "examples" / "riverside_tearoom"
    return read_order(path, today=date(2026, 11, 24))


def need_of(product: str, *auxiliaries: tuple[str, str, str]) -> FinishNeed:
    """The tearoom's stain by another name, with role, product and percent of what goes with it."""
    label = FinishProduct(
        origin=Origin(file="finish_products.csv", line=2),
        product=product,
        kinds=(),
        mixture=None,
        auxiliaries=tuple(
            Auxiliary(role=role, product=name, percent=Decimal(percent)) for role, name, percent in auxiliaries
        ),
        dry_times=DryTimes(),
        source="can label",
    )
    (need,) = take_off(tearoom(), Findings()).order.finish
    return replace(need, product=product, label=label)


def test_a_need_is_a_share_of_the_product() -> None:
    need = need_of("Stain", ("thinner", "Spirit", "10"))
    (found,) = auxiliary_needs((need,))
    assert found.need_gal == pytest.approx(need.need_gal / 10)


def test_thinner_and_cleaner_of_one_name_are_bought_together_for_all_products() -> None:
    stain = need_of("Stain", ("thinner", "Spirit", "10"), ("cleaner", "spirit", "5"))
    varnish = need_of("Varnish", ("cleaner", "Spirit", "2.5"), ("thinner", "Reducer", "8"))
    spirit, reducer = auxiliary_needs((stain, varnish))
    assert (spirit.product, reducer.product) == ("Spirit", "Reducer")
    assert [use.auxiliary.role for use in spirit.uses] == ["thinner", "cleaner", "cleaner"]
    assert spirit.need_gal == pytest.approx(stain.need_gal * 0.175)


def test_builds_take_of_it_as_they_take_of_the_product() -> None:
    # Both are coated twice alike, so the shares are those of the areas.
    need = need_of("Stain", ("thinner", "Spirit", "10"))
    (found,) = auxiliary_needs((need,))
    chairs, tables = found.by_build["Terrace chair"], found.by_build["Side table"]
    areas = {coat.build: coat.counted_ft2 for coat in need.coats}
    assert float(chairs / tables) == pytest.approx(areas["Terrace chair"] / areas["Side table"])
    assert isinstance(chairs, Fraction)


def test_water_and_what_is_used_as_needed_are_named_and_not_bought() -> None:
    need = need_of("Stain", ("thinner", "Water", "10"), ("cleaner", "Spirit", "0"))
    assert auxiliary_needs((need,)) == ()
    assert [use.auxiliary.product for use in auxiliary_uses(need)] == ["Water", "Spirit"]


def test_without_a_label_nothing_goes_with_a_product() -> None:
    assert auxiliary_needs((replace(need_of("Stain"), label=None),)) == ()
