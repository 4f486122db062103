"""Two-part finish: sets or cans apart, against a search through all ways; thinner and cleaner up to the quote."""

import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import product
from math import ceil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.cans import CanChoice, FinishPurchase, buy_auxiliary, buy_finish, choice_of_cans
from estimator.errors import Findings, Origin
from estimator.estimate import estimate
from estimator.finish_words import cans_text, decision_sentences, finish_sums, mixture_text
from estimator.reading.finish_products import Auxiliary, DryTimes, FinishProduct, Mixture, parse_cans, parse_ratio
from estimator.reading.order import Order, read_order
from estimator.reading.sold import FinishPrice
from estimator.reading.trade_units import SpreadRange
from estimator.takeoff.auxiliaries import auxiliary_needs
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.take_off import take_off

TESTS = Path(__file__).parents[1]
BASE, HARDENER = "Tarn coat", "Tarn hardener"
Offer = tuple[str, str, str]  # product, container, price


@cache
def stands() -> Order:
    return read_order(TESTS / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def label(ratio: str, *auxiliaries: Auxiliary) -> FinishProduct:
    base, hardener = parse_ratio(ratio)
    return FinishProduct(
        origin=Origin(file="finish_products.csv", line=2),
        product=BASE,
        kinds=("two-part",),
        mixture=Mixture(hardener=HARDENER, base_parts=base, hardener_parts=hardener),
        auxiliaries=auxiliaries,
        dry_times=DryTimes(),
        source="can label",
    )


def need_of(least_gal: float, most_gal: float, ratio: str, *auxiliaries: Auxiliary) -> FinishNeed:
    """A need of so much mixture at the high and at the low rate."""
    (oil,) = take_off(stands(), Findings()).order.finish
    (first, *_) = oil.coats
    coat = replace(
        first,
        step=replace(first.step, product=BASE),
        area=replace(first.area, faces_ft2=100.0, edges_ft2=0.0, ends_ft2=0.0),
        spread=SpreadRange(low_ft2_per_gal=Fraction(100 / most_gal), high_ft2_per_gal=Fraction(100 / least_gal)),
        loss_percent=Decimal(0),
    )
    return replace(oil, product=BASE, coats=(coat,), label=label(ratio, *auxiliaries))


def order_with(*offers: Offer) -> Order:
    row = stands().prices.finishes[0]
    rows = tuple(_row(row, line, *offer) for line, offer in enumerate(offers, start=2))
    return replace(stands(), prices=replace(stands().prices, finishes=rows))


def _row(row: FinishPrice, line: int, name: str, container: str, price: str) -> FinishPrice:
    content_gal, hardener_gal = parse_cans(container)
    return replace(
        row,
        origin=Origin(file="finishes.csv", line=line),
        product=name,
        container=container,
        content_gal=content_gal,
        hardener_gal=hardener_gal,
        price=Decimal(price),
    )


def bought(need: FinishNeed, *offers: Offer) -> tuple[Order, FinishPurchase, CanChoice]:
    order, findings = order_with(*offers), Findings()
    purchase = buy_finish(need, order, findings)
    assert purchase is not None
    assert findings.faults == []
    return order, purchase, choice_of_cans(purchase, order)


def test_base_and_hardener_together_fill_the_rate() -> None:
    # 1.00 gal of mixture at 4:1 is 0.80 of base and 0.20 of hardener.
    _, purchase, _ = bought(need_of(1, 1, "4:1"), (BASE, "1 gal + 1 qt", "96.00"))
    base, hardener = purchase.components
    assert (base.product, hardener.product) == (BASE, HARDENER)
    assert (base.need_gal, hardener.need_gal) == pytest.approx((0.8, 0.2))
    # One set holds 1.25 gal of mixture, 0.20 of base and 0.05 of hardener more than needed; 80 percent is used.
    assert purchase.content_gal == Fraction(5, 4)
    assert (base.left_over_gal, hardener.left_over_gal) == pytest.approx((0.2, 0.05))
    assert float(purchase.used_share) == pytest.approx(0.8)


def test_sets_alone_or_cans_apart_alone_whichever_is_cheaper() -> None:
    sets, base, hardener = (BASE, "1 gal + 1 qt", "96.00"), (BASE, "1 gal", "70.00"), (HARDENER, "1 qt", "24.00")
    _, purchase, _ = bought(need_of(1, 1, "4:1"), sets, base, hardener)
    assert cans_text(purchase) == "1 can of 1 gal (Tarn coat) and 1 can of 1 qt (Tarn hardener)"
    assert purchase.amount == Decimal("94.00")
    _, purchase, _ = bought(need_of(1, 1, "4:1"), sets, base, (HARDENER, "1 qt", "26.00"))
    assert cans_text(purchase) == "1 set of 1 gal + 1 qt"  # both cost 96.00, and a set leaves nothing that has no match


def test_cans_apart_share_their_money_by_what_each_is_used() -> None:
    # 0.80 of one gallon for 70.00, and 0.20 of half a gallon for 48.00: 56.00 and 19.20 of 118.00.
    _, purchase, _ = bought(need_of(1, 1, "4:1"), (BASE, "1 gal", "70.00"), (HARDENER, "2 qt", "48.00"))
    assert float(purchase.used_share) == pytest.approx((70 * 0.8 + 48 * 0.4) / 118)


def test_a_set_that_does_not_match_counts_for_its_scarcer_part() -> None:
    # At 4:1 a pint of hardener, 0.125 gal, goes with half a gallon of base: 0.625 gal of mixture, half a gallon left.
    order, findings = order_with((BASE, "1 gal + 1 pt", "80.00")), Findings()
    purchase = buy_finish(need_of(1, 1, "4:1"), order, findings)
    assert purchase is not None
    assert cans_text(purchase) == "2 sets of 1 gal + 1 pt"
    assert purchase.content_gal == Fraction(5, 4)
    (notice,) = findings.notices
    assert str(notice) == (
        'finishes.csv:2: the set of "1 gal + 1 pt" does not hold 4:1 of base and hardener; it counts for the 0.62 gal '
        "that can be mixed of it, and 0.50 gal of base are left"
    )


def test_a_matching_set_gets_no_notice() -> None:
    findings = Findings()
    buy_finish(need_of(1, 1, "4:1"), order_with((BASE, "4 L + 1 L", "80.00")), findings)
    assert findings.notices == []


@pytest.mark.parametrize("offers", [[], [(BASE, "1 gal", "70.00")], [(HARDENER, "1 qt", "24.00")]])
def test_a_missing_price_names_both_ways(offers: list[Offer]) -> None:
    findings = Findings()
    assert buy_finish(need_of(1, 1, "4:1"), order_with(*offers, ("Other", "1 qt", "1.00")), findings) is None
    missing = HARDENER if offers and offers[0][0] == BASE else BASE
    (fault,) = findings.faults
    assert fault.message == (
        f'finishes.csv has no price for "{missing}" in a can, nor for "Tarn coat" in a set of base and hardener; add '
        'rows for cans of "Tarn coat" and of "Tarn hardener", or for sets, with a container like 1 gal + 1 qt'
    )


def test_a_set_of_a_product_that_nothing_says_is_mixed_is_a_fault() -> None:
    findings = Findings()
    buy_finish(replace(need_of(1, 1, "4:1"), label=None), order_with((BASE, "1 gal + 1 qt", "96.00")), findings)
    (fault,) = findings.faults
    assert str(fault) == (
        'finishes.csv:2: container: "1 gal + 1 qt" is a set of two parts, and finish_products.csv gives "Tarn coat" no '
        "mix_ratio; write mixed_with and mix_ratio there, or the content of one can here"
    )


def test_what_is_said_of_a_mixture() -> None:
    order, purchase, choice = bought(need_of(0.8, 1, "4:1"), (BASE, "1 gal + 1 qt", "96.00"))
    assert decision_sentences(order, purchase, choice)[0] == "1 set of 1 gal + 1 qt is enough, with 25 % to spare."
    assert mixture_text(order, purchase) == (
        "Mix 4:1 by volume, only what you use at once: 0.80 gal of Tarn coat with 0.20 gal of Tarn hardener fill the "
        "rate. Left over: 0.20 gal and 0.05 gal."
    )
    assert "The cans make 1.25 gal and cover the low end" in finish_sums(order, purchase)
    order, purchase, choice = bought(need_of(3, 3, "4:1"), (BASE, "1 gal + 1 qt", "96.00"))
    assert "base and hardener each by itself," in decision_sentences(order, purchase, choice)[-1]
    order, purchase, choice = bought(need_of(1, 1, "4:1"), (BASE, "1 gal", "70.00"), (HARDENER, "1 qt", "24.00"))
    assert not any("Box the cans" in said for said in decision_sentences(order, purchase, choice))


Way = tuple[int, Fraction]  # cents, gallons of mixture


def all_sets(offers: list[tuple[str, int]], mixture: Mixture, most_gal: float) -> Iterator[Way]:
    """Yield price and mixture of every number of every set that a need can ask for."""
    made = [min(base / mixture.base_share, hard / mixture.hardener_share) for base, hard in _contents(offers)]
    for counts in product(*(range(ceil(most_gal / float(one)) + 1) for one in made)):
        cents = sum(count * price for count, (_, price) in zip(counts, offers, strict=True))
        yield cents, sum((count * one for count, one in zip(counts, made, strict=True)), Fraction(0))


def all_apart(
    base: list[tuple[str, int]], hardener: list[tuple[str, int]], mixture: Mixture, most_gal: float
) -> Iterator[Way]:
    """Yield price and mixture of every number of every can of base with every number of every can of hardener."""
    ways = [
        list(_all_cans(offers, most_gal * float(share)))
        for offers, share in ((base, mixture.base_share), (hardener, mixture.hardener_share))
    ]
    for (base_cents, base_gal), (hard_cents, hard_gal) in product(*ways):
        yield base_cents + hard_cents, min(base_gal / mixture.base_share, hard_gal / mixture.hardener_share)


def _all_cans(offers: list[tuple[str, int]], most_gal: float) -> Iterator[Way]:
    contents = [content for content, _ in _contents(offers)]
    for counts in product(*(range(ceil(most_gal / float(one)) + 1) for one in contents)):
        cents = sum(count * price for count, (_, price) in zip(counts, offers, strict=True))
        yield cents, sum((count * one for count, one in zip(counts, contents, strict=True)), Fraction(0))


def _contents(offers: list[tuple[str, int]]) -> list[tuple[Fraction, Fraction]]:
    return [parse_cans(container) for container, _ in offers]


def offered(containers: list[str]) -> st.SearchStrategy[list[tuple[str, int]]]:
    """Draw up to two containers with their prices in cents."""
    priced = st.tuples(st.sampled_from(containers), st.integers(100, 9000))
    return st.lists(priced, max_size=2, unique_by=lambda one: one[0])


@settings(max_examples=150, deadline=None)
@given(
    least=st.integers(10, 200),
    more=st.integers(0, 100),
    ratio=st.sampled_from(["4:1", "2:1", "1:1", "10:1"]),
    sets=offered(["1 gal + 1 qt", "1 qt + 1 pt", "1 gal + 1 pt", "2 qt + 2 qt"]),
    base=offered(["1 qt", "1 gal", "2 gal"]),
    hardener=offered(["1 pt", "1 qt", "1 gal"]),
)
def test_the_cans_are_those_of_a_search_through_all_ways(
    least: int,
    more: int,
    ratio: str,
    sets: list[tuple[str, int]],
    base: list[tuple[str, int]],
    hardener: list[tuple[str, int]],
) -> None:
    least_gal, most_gal = least / 100 + 0.001, (least + more) / 100 + 0.001  # no need that fills a can to the drop
    if not sets and not (base and hardener):
        return
    need = need_of(least_gal, most_gal, ratio)
    names = [(BASE, sets), (BASE, base), (HARDENER, hardener)]
    offers = [(name, container, str(Decimal(cents) / 100)) for name, rows in names for container, cents in rows]
    _, purchase, choice = bought(need, *offers)
    assert need.label is not None
    assert need.label.mixture is not None
    mixture = need.label.mixture
    ways = list(all_sets(sets, mixture, most_gal)) if sets else []
    ways += list(all_apart(base, hardener, mixture, most_gal)) if base and hardener else []
    cheapest = min(cents for cents, made in ways if made >= need.need_gal)
    assert purchase.amount * 100 == cheapest
    assert float(purchase.content_gal) >= need.need_gal
    assert all(one.left_over_gal >= -1e-9 for one in purchase.components)
    partly = [(made, -cents) for cents, made in ways if cents < cheapest and made > least_gal]
    if choice.cheaper is None:
        assert partly == []
    else:
        assert (choice.cheaper.content_gal, -int(choice.cheaper.amount * 100)) == max(partly)


def test_thinner_is_bought_in_the_cheapest_cans() -> None:
    # 10 percent of 3 gal are 0.30 gal: two quarts for 19.60 beat the gallon for 21.50.
    need = need_of(3, 3, "4:1", Auxiliary(role="thinner", product="Tarn thinner", percent=Decimal(10)))
    order = order_with(("Tarn thinner", "1 qt", "9.80"), ("Tarn thinner", "1 gal", "21.50"))
    (wanted,) = auxiliary_needs((need,))
    purchase = buy_auxiliary(wanted, order, Findings())
    assert purchase is not None
    assert (cans_text(purchase), purchase.amount) == ("2 cans of 1 qt", Decimal("19.60"))
    assert purchase.left_over_gal == pytest.approx(0.2)
    assert float(purchase.used_share) == pytest.approx(0.6)


def test_thinner_without_a_price_is_a_fault_where_it_is_named() -> None:
    need = need_of(3, 3, "4:1", Auxiliary(role="cleaner", product="Tarn thiner", percent=Decimal(10)))
    (wanted,) = auxiliary_needs((need,))
    findings = Findings()
    assert buy_auxiliary(wanted, order_with(("Tarn thinner", "1 qt", "9.80")), findings) is None
    (fault,) = findings.faults
    assert str(fault) == (
        'finish_products.csv:2: cleaner: finishes.csv has no price for "Tarn thiner" (did you mean "Tarn thinner"?); '
        "add a row"
    )


@pytest.fixture
def two_part_tearoom(tmp_path: Path) -> Callable[[], Order]:
    """The tearoom with its stain in two parts, a thinner and a cleaner."""
    for name in ("examples", "price_tables"):
        shutil.copytree(TESTS.parent / name, tmp_path / name)
    tables = tmp_path / "price_tables" / "inch_usd"
    (tables / "finish_products.csv").write_text(
        "product,mixed_with,mix_ratio,thinner,thinner_percent,cleaner,cleaner_percent\n"
        '"Millrace oil stain, driftwood",Millrace hardener,4:1,Millrace thinner,10,Millrace wash,5\n',
        encoding="utf-8",
    )
    with (tables / "finishes.csv").open("a", encoding="utf-8") as file:
        file.write(
            "Bramble Lane Hardware,Millrace hardener,1 qt,31.00,2026-09-15,\n"
            "Bramble Lane Hardware,Millrace thinner,1 qt,9.80,2026-09-15,\n"
            "Bramble Lane Hardware,Millrace wash,1 pt,4.35,2026-09-15,\n"
        )
    return lambda: read_order(tmp_path / "examples" / "riverside_tearoom", today=date(2026, 11, 24))


def test_what_goes_with_a_finish_is_paid_for_and_shared_to_the_cent(two_part_tearoom: Callable[[], Order]) -> None:
    result = estimate(two_part_tearoom())
    lines = [line for line in result.bill if line.kind == "finish"]
    assert {line.bought.item for line in lines} == {
        "Millrace oil stain, driftwood",
        "Millrace hardener",
        "Millrace thinner",
        "Millrace wash",
    }
    for line in lines:
        assert sum(line.shares) == 1
        assert sum(line.by_build) == line.charged
    of_builds = sum(cost.by_kind["finish"] for cost in result.quote.costs)
    assert of_builds == sum(line.charged for line in lines)
    assert sum(purchase.amount for purchase in result.buy_sheet.purchases) == result.buy_sheet.amount
