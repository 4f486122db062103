"""What one plan teaches the next of the same pieces: never a wrong bound, and no worse a plan than one made afresh."""

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.cutting.job import CuttingJob, End, NotEnoughStock, Piece, PieceTooLong, Ripping, Stock
from estimator.buying.cutting.plan import plan_cuts
from estimator.buying.cutting.repricing import KnownCuts, least_counts, replan

Boards = tuple[tuple[int, int, int | None], ...]  # length, price and limit of each stock


def job(pieces: Sequence[Piece], boards: Boards, ripping: Ripping | None = None) -> CuttingJob:
    stocks = tuple(Stock(length=length, price=price, limit=limit) for length, price, limit in boards)
    return CuttingJob(stocks=stocks, pieces=tuple(pieces), kerf=1, ripping=ripping)


def plain(*pieces: tuple[int, int]) -> list[Piece]:
    return [Piece(length=length, demand=demand) for length, demand in pieces]


def test_nothing_is_said_of_board_counts_before_anything_is_known() -> None:
    assert least_counts(job(plain((40, 3)), ((96, 10, None),)), KnownCuts(), None) is None


def test_what_a_plan_proved_at_one_price_holds_at_another() -> None:
    # Five pieces of 40 and their kerfs: two to a board of 96, so three boards; at 10 each 30, at 7 each 21.
    pieces, known = plain((40, 5)), KnownCuts()
    assert replan(job(pieces, ((96, 10, None),)), known).lower_bound == 30
    least = least_counts(job(pieces, ((96, 7, None),)), known, None)
    assert least is not None
    assert (least.bound, least.counts) == (21, (3,))


def test_costs_from_a_cutoff_up_do_not_matter() -> None:
    pieces, known = plain((40, 5)), KnownCuts()
    replan(job(pieces, ((96, 10, None),)), known)
    for cutoff in (21, 20, 3):  # no whole number of boards at 7
        least = least_counts(job(pieces, ((96, 7, None),)), known, cutoff)
        assert least is not None
        assert (least.bound >= cutoff, least.counts) == (True, None)
    under = least_counts(job(pieces, ((96, 7, None),)), known, 22)
    assert under is not None
    assert (under.bound, under.counts) == (21, (3,))


def test_it_is_refused_what_no_plan_can_answer() -> None:
    known = KnownCuts()
    replan(job(plain((40, 3)), ((96, 10, None),)), known)
    with pytest.raises(PieceTooLong):
        replan(job(plain((40, 3)), ((30, 10, None),)), known)
    with pytest.raises(NotEnoughStock):
        replan(job(plain((40, 3)), ((96, 10, 1),)), known)
    with pytest.raises(NotEnoughStock):
        replan(job(plain((40, 3)), ((96, 10, 0),)), known)


a_piece = st.tuples(st.integers(8, 60), st.integers(1, 6))
a_board = st.tuples(st.sampled_from((60, 72, 96)), st.integers(1, 40), st.sampled_from((None, None, None, 1, 3)))
price_lists = st.lists(st.lists(a_board, min_size=1, max_size=4), min_size=2, max_size=5)


@settings(max_examples=150, deadline=None)
@given(pieces=st.lists(a_piece, min_size=1, max_size=4), lists=price_lists)
def test_at_ever_other_prices_the_plan_is_as_cheap_as_one_made_afresh(
    pieces: list[tuple[int, int]], lists: list[list[tuple[int, int, int | None]]]
) -> None:
    known = KnownCuts()
    for boards in lists:
        asked = job(plain(*pieces), ((60, 41, None), *boards))
        afresh = plan_cuts(asked)
        guess = least_counts(asked, known, None)
        plan = replan(asked, known)
        assert guess is None or guess.bound <= afresh.cost
        assert plan.lower_bound <= afresh.cost
        assert afresh.lower_bound <= plan.cost
        if afresh.proved and plan.proved:
            assert plan.cost == afresh.cost


@settings(max_examples=25, deadline=None)
@given(
    demands=st.tuples(*[st.integers(1, 4)] * 3),
    lists=st.lists(st.lists(st.integers(20, 60), min_size=2, max_size=2), min_size=2, max_size=4),
)
def test_so_are_plans_of_pieces_that_are_ripped_and_lean(demands: tuple[int, ...], lists: list[list[int]]) -> None:
    leaning = ((End(6), End(6)), (End(-6), End(-6)))
    pieces = [
        Piece(length=30, demand=demands[0], ends=leaning),
        Piece(length=22, demand=demands[1], width=4),
        Piece(length=41, demand=demands[2]),
    ]
    known = KnownCuts()
    for short, long in lists:
        asked = job(pieces, ((96, short, None), (144, long + 20, None)), Ripping(width=9, kerf=1))
        afresh, guess, plan = plan_cuts(asked), least_counts(asked, known, None), replan(asked, known)
        assert guess is None or guess.bound <= afresh.cost
        assert max(plan.lower_bound, afresh.lower_bound) <= min(plan.cost, afresh.cost)


def test_what_is_known_saves_the_search(monkeypatch: pytest.MonkeyPatch) -> None:
    # At prices in the same proportion the known plan is a cheapest one, and the known rows prove it.
    def no_step(_: object) -> None:
        raise AssertionError("a step of the search was taken")

    asked = job(plain((40, 7), (31, 5), (17, 9)), ((96, 100, None), (144, 140, None)))
    known = KnownCuts()
    first = replan(asked, known)
    monkeypatch.setattr("estimator.buying.cutting.repricing.STEPS", (no_step,))
    dearer = replace(asked, stocks=tuple(replace(stock, price=2 * stock.price) for stock in asked.stocks))
    assert replan(dearer, known).cost == 2 * first.cost
