from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Origin
from estimator.estimate import estimate
from estimator.reading.finish_products import Auxiliary, DryTimes, FinishProduct, Mixture
from estimator.reading.order import Order, read_order
from estimator.takeoff.cautions import corrosion_notices, finish_cautions, is_sanded, job_cautions

EXAMPLES = Path(__file__).parents[2] / "examples"


@cache
def tearoom() -> Order:
    return read_order(EXAMPLES / "riverside_tearoom", today=date(2026, 11, 24))


def with_parts(order: Order, **changes: str) -> Order:
    """Return the order with every part of its first build changed."""
    first, *others = order.items
    parts = tuple(replace(part, **changes) for part in first.build.parts)  # type: ignore[arg-type] # texts only
    return replace(order, items=(replace(first, build=replace(first.build, parts=parts)), *others))


def topics(order: Order) -> set[str]:
    return {caution.topic for caution in job_cautions(order)}


def test_a_chair_that_is_ripped_and_oiled_calls_for_its_cautions() -> None:
    expected = {"wood_dust", "noise", "ripping", "sanding", "oily_rags", "solvent", "seating"}
    assert topics(tearoom()) == expected


STAIN = "Millrace oil stain, driftwood"


def label(product: str, *kinds: str, hardener: str = "", thinner: str = "") -> FinishProduct:
    return FinishProduct(
        origin=Origin(file="finish_products.csv", line=2),
        product=product,
        kinds=kinds,
        mixture=Mixture(hardener=hardener, base_parts=Fraction(4), hardener_parts=Fraction(1)) if hardener else None,
        auxiliaries=(Auxiliary(role="thinner", product=thinner, percent=Decimal(5)),) if thinner else (),
        dry_times=DryTimes(),
        source="can label",
    )


def finish_topics(*labels: FinishProduct) -> set[str]:
    """The topics on finish of the tearoom's stain, with what is known of products."""
    order = replace(tearoom(), prices=replace(tearoom().prices, finish_products=labels))
    return topics(order) & {"oily_rags", "solvent", "two_part"}


@pytest.mark.parametrize(
    ("labels", "expected"),
    [
        ((), {"oily_rags", "solvent"}),
        (
            (
                label(
                    "Another",
                ),
            ),
            {"oily_rags", "solvent"},
        ),
        ((label(STAIN),), {"oily_rags", "solvent"}),
        ((label(STAIN, "water-borne"),), set()),
        ((label(STAIN, "drying oil"),), {"oily_rags"}),
        ((label(STAIN, "solvent-borne"),), {"solvent"}),
        ((label(STAIN, "drying oil", "water-borne"),), {"oily_rags"}),
        ((label(STAIN, "water-borne", "two-part"),), {"two_part"}),
        ((label(STAIN, "water-borne", hardener="Millrace hardener"),), {"two_part"}),
        (
            (label(STAIN, "water-borne", hardener="Hardener B"), label("Hardener B", "solvent-borne")),
            {"two_part", "solvent"},
        ),
        ((label(STAIN, "water-borne", thinner="Brook spirit"),), {"solvent"}),
        ((label(STAIN, "water-borne", thinner="Water"),), set()),
        ((label(STAIN, "water-borne", thinner="Brook wash"), label("Brook wash", "water-borne")), set()),
    ],
)
def test_the_kinds_of_the_products_choose_the_cautions(labels: tuple[FinishProduct, ...], expected: set[str]) -> None:
    assert finish_topics(*labels) == expected


def test_sensitising_woods_are_named_and_get_the_finer_respirator() -> None:
    order = with_parts(tearoom(), species="western redcedar")
    (dust,) = [one for one in job_cautions(order) if one.topic == "sensitising_dust"]
    assert dust.text.startswith("Dust of western redcedar can cause asthma or allergy: respirator N100 or P100 (US)")
    assert "from memory" in dust.source
    first, second = with_parts(tearoom(), species="western redcedar"), with_parts(tearoom(), species="Teak")
    both = replace(tearoom(), items=(first.items[0], replace(second.items[0], quantity=1)))
    assert "Dust of western redcedar and Teak can" in " ".join(one.text for one in job_cautions(both))


def test_who_finishes_is_told_of_dust_only_where_there_is_sanding() -> None:
    bare = [replace(item, build=replace(item.build, labour=(), consumables=(), sanding=())) for item in tearoom().items]
    unsanded = replace(tearoom(), items=tuple(bare))
    assert is_sanded(tearoom())
    assert not is_sanded(unsanded)
    assert {one.topic for one in finish_cautions(unsanded)} == {"oily_rags", "solvent"}
    assert {one.topic for one in finish_cautions(tearoom())} == {"wood_dust", "sanding", "oily_rags", "solvent"}
    cedar = with_parts(tearoom(), species="western redcedar", note="reclaimed deck")
    assert {"sensitising_dust", "old_paint"} <= {one.topic for one in finish_cautions(cedar)}


def test_woods_and_notes_call_for_theirs() -> None:
    # Western redcedar dust: Haz-Map agent 949; treated wood: EPA precautions; lead: Wood Handbook GTR-190 ch. 16.
    assert "sensitising_dust" in topics(with_parts(tearoom(), species="western redcedar"))
    assert "treated_wood" in topics(with_parts(tearoom(), species="treated southern pine"))
    assert "old_paint" in topics(with_parts(tearoom(), note="reclaimed sash"))


def test_plain_steel_on_oak_is_noticed_before_the_quote_goes_out() -> None:
    # Tannins react with iron and stain blue-black: USDA FPL Lab Notes quoting the Wood Handbook.
    assert corrosion_notices(tearoom()) == ()
    first, *others = with_parts(tearoom(), species="white oak").items
    steel = tuple(replace(use, material="plain steel") for use in first.build.hardware)
    order = replace(tearoom(), items=(replace(first, build=replace(first.build, hardware=steel)), *others))
    (notice,) = corrosion_notices(order)
    assert "white oak" in notice.message
    assert "plain steel" in notice.message
    assert notice.origin.file.endswith("terrace_chair/hardware.csv")


def test_the_estimate_carries_the_notice() -> None:
    first, *others = tearoom().items
    galvanised = tuple(replace(row, material="aluminum") for row in tearoom().prices.hardware)
    prices = replace(tearoom().prices, hardware=(*tearoom().prices.hardware, *galvanised))
    uses = tuple(replace(use, material="aluminum") for use in first.build.hardware)
    treated = tuple(replace(part, species="treated larch") for part in first.build.parts)
    lumber = tuple(replace(row, species="treated larch") for row in prices.lumber if row.species == "western larch")
    order = replace(
        tearoom(),
        prices=replace(prices, lumber=(*prices.lumber, *lumber)),
        items=(replace(first, build=replace(first.build, parts=treated, hardware=uses)), *others),
    )
    messages = [notice.message for notice in estimate(order).notices]
    assert any("aluminum" in message for message in messages)
