from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

from estimator.estimate import estimate
from estimator.reading.order import Order, read_order
from estimator.takeoff.cautions import corrosion_notices, job_cautions

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
    assert topics(tearoom()) == {"wood_dust", "noise", "ripping", "oily_rags", "solvent", "seating"}


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
