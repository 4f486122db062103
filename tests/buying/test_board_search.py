"""Boards for one need from ever other offers: what was planned once is not planned again."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from estimator.buying.board_plan import cheapest_boards, nicest_boards, plan_boards
from estimator.buying.board_search import BoardItem, BoardSearch, board_items
from estimator.buying.cutting import repricing
from estimator.buying.cutting.job import CuttingJob, CuttingPlan, PieceTooLong
from estimator.buying.cutting.repricing import KnownCuts
from estimator.errors import Findings
from estimator.reading.order import Order
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import take_off


@pytest.fixture
def planned(monkeypatch: pytest.MonkeyPatch) -> list[CuttingJob]:
    """The jobs that were planned while boards were sought."""
    jobs: list[CuttingJob] = []
    replan = repricing.replan

    def noted(job: CuttingJob, known: KnownCuts) -> CuttingPlan:
        jobs.append(job)
        return replan(job, known)

    monkeypatch.setattr(repricing, "replan", noted)
    return jobs


def need_of(order: Order, section: str) -> LumberNeed:
    needs = take_off(order, Findings()).order.lumber
    return next(need for need in needs if need.section.text == section)


def sold(order: Order, supplier: str, prices: Mapping[int, Sequence[tuple[int, str]]]) -> list[BoardItem]:
    """Boards by their feet, each at prices from so many on."""
    row = next(row for row in order.prices.lumber if row.section.text == "1x4")
    return board_items(
        [
            replace(row, supplier=supplier, length_in=Fraction(12 * feet), price=Decimal(price), from_quantity=least)
            for feet, tiers in prices.items()
            for least, price in tiers
        ],
        order.shop.currency,
    )


NEAR = {
    8: [(1, "10.56"), (10, "10.03")],
    10: [(1, "13.60"), (10, "12.92")],
    12: [(1, "16.63"), (10, "15.80")],
}
DEARER = {feet: [(least, str(Decimal(price) + feet)) for least, price in tiers] for feet, tiers in NEAR.items()}


def test_dearer_boards_of_the_same_lengths_need_no_plan(inch_order: Order, planned: list[CuttingJob]) -> None:
    need, search, shop = need_of(inch_order, "1x4"), BoardSearch(), inch_order.shop
    alder, birch = sold(inch_order, "Alder", NEAR), sold(inch_order, "Birch", DEARER)
    alone = cheapest_boards(search, need, alder, (), shop)
    made = len(planned)
    both = cheapest_boards(search, need, [*alder, *birch], (), shop)
    assert len(planned) == made
    assert (both.cost, both.bound, both.used) == (alone.cost, alone.cost, (*alone.used, 0, 0, 0))


@pytest.mark.parametrize("section", ["1x4", "2x4", "2x2"])
def test_what_was_learnt_elsewhere_changes_no_cost(inch_order: Order, section: str) -> None:
    need, shop = need_of(inch_order, section), inch_order.shop
    lists = [
        sold(inch_order, "Alder", NEAR),
        sold(inch_order, "Birch", DEARER),
        sold(inch_order, "Cedar", {8: NEAR[8]}),
    ]
    search = BoardSearch()
    for items in ([*lists[0], *lists[1]], lists[2], lists[1], [*lists[1], *lists[2]]):
        known, afresh = nicest_boards(search, need, items, (), shop), plan_boards(need, items, (), shop)
        assert known.cost == afresh.cost == known.bound == afresh.bound
        assert known.unnested_cost >= known.cost


def test_boards_too_short_are_refused_whatever_is_known(inch_order: Order) -> None:
    need, search = need_of(inch_order, "1x4"), BoardSearch()
    cheapest_boards(search, need, sold(inch_order, "Alder", NEAR), (), inch_order.shop)
    with pytest.raises(PieceTooLong):
        cheapest_boards(search, need, sold(inch_order, "Birch", {1: [(1, "1.00")]}), (), inch_order.shop)


def test_boards_sold_from_many_on_are_no_offer_where_fewer_do(inch_order: Order) -> None:
    # Birch sells no fewer than 500, so that all of them cost more than what is known.
    need, search = need_of(inch_order, "1x4"), BoardSearch()
    alder = sold(inch_order, "Alder", NEAR)
    alone = cheapest_boards(search, need, alder, (), inch_order.shop)
    birch = sold(inch_order, "Birch", {12: [(500, "9.00")]})
    assert cheapest_boards(search, need, [*alder, *birch], (), inch_order.shop).cost == alone.cost
    assert cheapest_boards(search, need, birch, (), inch_order.shop).cost == 500 * 900
