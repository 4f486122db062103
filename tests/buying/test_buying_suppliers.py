"""Which suppliers to visit, with toy needs that each cost so much from each supplier: all ways to buy can be tried."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.buying.market import Market
from estimator.buying.purchase import Purchase
from estimator.buying.suppliers import cheapest_trip, fewest_stops, lacking, one_stop
from estimator.buying.trips import Bought, Names, Terms, Want

Prices = Mapping[str, int]


def purchase_of(amount: int) -> Purchase:
    class Costing(Purchase):
        @property
        def amount(self) -> Decimal:
            return Decimal(amount)

    return Costing(kind="lumber", title="toy", lines=(), used_share=Fraction(1), by_build=())


class Need:
    """A need that each supplier meets at a price; `slack` is how far its bound is below, as of a plan not proved."""

    def __init__(self, prices: Prices, slack: int = 0, spares: int = 0) -> None:
        self.prices = prices
        self.slack = slack
        self.spares = spares
        self.asked: list[Names] = []

    def buy(self, names: Names) -> Bought | None:
        self.asked.append(names)
        offered = [(self.prices[name], name) for name in sorted(names)]
        if not offered:
            return None
        price, name = min(offered)
        paid = price + self.spares
        return Bought(
            purchase=purchase_of(paid),
            spent={name: Decimal(paid)},
            bound=Decimal(max(0, price - self.slack)),
            aside=Decimal(self.spares),
        )


def market(needs: list[Need], terms: Mapping[str, tuple[int, int]]) -> Market:
    wants = [
        Want(title=f"need {place}", sellers=frozenset(need.prices), buy=need.buy) for place, need in enumerate(needs)
    ]
    return Market(
        wants,
        {
            name: Terms(visit_cost=Decimal(visit), minimum_order=Decimal(least))
            for name, (visit, least) in terms.items()
        },
    )


def coins(*amounts: Decimal | None) -> list[int | None]:
    return [None if amount is None else int(amount) for amount in amounts]


def paid(needs: list[Need], sellers: tuple[str, ...], terms: Mapping[str, tuple[int, int]]) -> int:
    """What it costs to meet each need from one of the sellers."""
    spent: dict[str, int] = {}
    for need, name in zip(needs, sellers, strict=True):
        spent[name] = spent.get(name, 0) + need.prices[name] + need.spares
    return sum(max(amount, terms.get(name, (0, 0))[1]) + terms.get(name, (0, 0))[0] for name, amount in spent.items())


def ways(needs: list[Need], terms: Mapping[str, tuple[int, int]]) -> list[tuple[int, int]]:
    """What every way to buy costs, and from how many suppliers that cost anything to visit."""
    asking = {name for name, (visit, least) in terms.items() if visit or least}
    return [
        (paid(needs, sellers, terms), len(asking.intersection(sellers)))
        for sellers in product(*(need.prices for need in needs))
    ]


def test_a_second_yard_is_visited_where_it_saves_more_than_the_trip() -> None:
    # Oak is 100 at Alder's and 130 at Birch's, ash 80 and 60, so both yards come to 160 and one to 180 or 190. With
    # visits of 12 each both are 184, Alder's alone 192: the second yard saves 8. With visits of 25: 210 against 205.
    needs = [Need({"alder": 100, "birch": 130}), Need({"alder": 80, "birch": 60})]
    near = cheapest_trip(market(needs, {"alder": (12, 0), "birch": (12, 0)}))
    far = cheapest_trip(market(needs, {"alder": (25, 0), "birch": (25, 0)}))
    assert near is not None
    assert near.fewer is not None
    assert coins(near.trip.total, near.bound, near.fewer.total) == [184, 184, 192]
    assert near.trip.visited == {"alder", "birch"}
    assert near.fewer.visited == {"alder"}
    assert far is not None
    assert coins(far.trip.total, far.bound) == [205, 205]
    assert far.trip.visited == {"alder"}
    assert far.fewer is None  # with none of them nothing can be had


def test_a_minimum_order_is_charged_and_counts_in_the_bound() -> None:
    # Glue is 9 at Birch's, who sells for 20 at the least, and 14 at Alder's: 14 with no visits. Screws only Birch has,
    # for 8: then glue from there too makes 17, and 20 are paid; glue from Alder's would make 14 + 20.
    terms = {"birch": (0, 20)}
    glue = Need({"alder": 14, "birch": 9})
    alone = cheapest_trip(market([glue], terms))
    both = cheapest_trip(market([glue, Need({"birch": 8})], terms))
    assert alone is not None
    assert coins(alone.trip.total, alone.bound) == [14, 14]
    assert alone.trip.visited == {"alder"}
    assert both is not None
    assert coins(both.trip.total, both.bound, both.trip.top_ups["birch"]) == [20, 20, 3]


def test_a_need_is_moved_to_where_a_minimum_order_is_not_reached() -> None:
    # Screws only Birch has, for 30, and sells for 50 at the least; boards are 40 at Alder's and 45 at Birch's. Each at
    # its cheapest: 40 + 30 and 20 to reach the minimum, 90; all at Birch's 75.
    needs = [Need({"birch": 30}), Need({"alder": 40, "birch": 45})]
    chosen = cheapest_trip(market(needs, {"birch": (0, 50)}))
    assert chosen is not None
    assert coins(chosen.trip.total) == [75]
    assert chosen.trip.visited == {"birch"}
    assert not chosen.trip.top_ups


def test_spares_may_reach_a_minimum_order_so_that_no_bound_counts_on_it() -> None:
    # One board for 15 and a spare one for 5 reach the minimum of 20; a bound without spares is 15.
    toy = market([Need({"birch": 15}, spares=5)], {"birch": (0, 20)})
    toy.leaves_aside = True
    chosen = cheapest_trip(toy)
    assert chosen is not None
    assert coins(chosen.trip.total, chosen.trip.aside, chosen.bound) == [20, 5, 15]


def test_a_second_yard_that_is_not_worth_the_trip_says_what_it_would_save() -> None:
    # At Alder's alone 100 + 80, at Birch's 130 + 60, Cedar's 99 + 99. Visits of 25: Alder's 205. Birch's as well saves
    # 20 for 25 more, Cedar's 1 for 25.
    prices: list[Prices] = [{"alder": 100, "birch": 130, "cedar": 99}, {"alder": 80, "birch": 60, "cedar": 99}]
    chosen = cheapest_trip(market([Need(one) for one in prices], dict.fromkeys(("alder", "birch", "cedar"), (25, 0))))
    assert chosen is not None
    assert chosen.more is not None
    assert (chosen.more.name, *coins(chosen.trip.total, chosen.more.trip.total, chosen.more.trip.beside)) == (
        "birch",
        205,
        210,
        50,
    )


def test_a_yard_that_would_take_the_place_of_another_is_still_visited_as_well() -> None:
    # Everything is cheaper at Birch's, 150 against 160, but the visit costs 30 and not 10.
    needs = [Need({"alder": 160, "birch": 150})]
    chosen = cheapest_trip(market(needs, {"alder": (10, 0), "birch": (30, 0)}))
    assert chosen is not None
    assert chosen.more is not None
    assert coins(chosen.trip.total, chosen.more.trip.total) == [170, 190]


def test_where_nothing_is_cheaper_elsewhere_no_other_yard_is_named() -> None:
    chosen = cheapest_trip(market([Need({"alder": 10, "birch": 11})], {"alder": (1, 0), "birch": (1, 0)}))
    assert chosen is not None
    assert chosen.more is None


def test_few_plans_are_made() -> None:
    # Each need is bought at one yard of all; the others' sets are ruled out by what everything costs there and visits.
    needs = [Need({"alder": 100 + place, "birch": 300, "cedar": 300}) for place in range(5)]
    chosen = cheapest_trip(market(needs, dict.fromkeys(("alder", "birch", "cedar"), (20, 0))))
    assert chosen is not None
    assert chosen.trip.visited == {"alder"}
    assert chosen.bound == chosen.trip.total
    assert all(len(need.asked) <= 2 for need in needs)  # with all open, and with none for one supplier fewer


def test_spares_follow_from_a_plan_and_no_bound_counts_them() -> None:
    needs = [Need({"alder": 100}, spares=30)]
    chosen = cheapest_trip(market(needs, {"alder": (10, 0)}))
    assert chosen is not None
    assert coins(chosen.trip.total, chosen.trip.aside, chosen.bound) == [140, 30, 110]


def test_one_stop_is_the_cheapest_that_has_everything() -> None:
    needs = [Need({"alder": 10, "birch": 20, "cedar": 5}), Need({"alder": 30, "birch": 15})]
    chosen = one_stop(market(needs, {"birch": (7, 0)}))
    assert chosen is not None
    assert coins(chosen.trip.total, chosen.bound) == [40, 40]
    assert chosen.trip.visited == {"alder"}
    assert chosen.fewer is None


def test_where_nobody_has_everything_it_can_be_said_who_lacks_what() -> None:
    toy = market([Need({"alder": 10}), Need({"birch": 15, "cedar": 9})], {})
    assert one_stop(toy) is None
    assert lacking(toy) == {"alder": ["need 1"], "birch": ["need 0"], "cedar": ["need 0"]}


NAMES = ("alder", "birch", "cedar")
price_lists = st.dictionaries(st.sampled_from(NAMES), st.integers(1, 40), min_size=1)
any_terms = st.fixed_dictionaries({name: st.tuples(st.integers(0, 25), st.integers(0, 60)) for name in NAMES})
visits_only = st.fixed_dictionaries({name: st.tuples(st.integers(0, 25), st.just(0)) for name in NAMES})


@settings(max_examples=400, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4), terms=visits_only)
def test_without_minimum_orders_the_choice_is_the_best_there_is(
    prices: list[Prices], terms: Mapping[str, tuple[int, int]]
) -> None:
    needs = [Need(one) for one in prices]
    chosen = cheapest_trip(market(needs, terms))
    assert chosen is not None
    every = ways(needs, terms)
    assert chosen.trip.total == chosen.bound == min(cost for cost, _ in every)
    visits = sum(1 for name in chosen.trip.visited if terms[name][0])
    with_fewer = [cost for cost, asking in every if asking < visits]
    assert (chosen.fewer.total if chosen.fewer else None) == min(with_fewer, default=None)


@settings(max_examples=400, deadline=None)
@given(
    prices=st.lists(price_lists, min_size=1, max_size=4),
    slacks=st.lists(st.integers(0, 6), min_size=4, max_size=4),
    terms=any_terms,
)
def test_what_is_not_proved_is_missed_by_no_more_than_is_said(
    prices: list[Prices], slacks: list[int], terms: Mapping[str, tuple[int, int]]
) -> None:
    needs = [Need(one, slack) for one, slack in zip(prices, slacks, strict=False)]
    chosen = cheapest_trip(market(needs, terms))
    assert chosen is not None
    least = min(cost for cost, _ in ways(needs, terms))
    assert chosen.bound <= least <= chosen.trip.total
    if chosen.bound == chosen.trip.total:
        assert chosen.trip.total == least


@settings(max_examples=400, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4), terms=any_terms)
def test_with_minimum_orders_the_choice_is_the_best_there_is(
    prices: list[Prices], terms: Mapping[str, tuple[int, int]]
) -> None:
    # Not always proved. Of 7,500 orders of 1 to 5 needs and 3 or 4 suppliers, half of them with a minimum order, all
    # were bought at the least cost and 92 % proved; without needs moved to reach a minimum it was 93 %, and 60 % proved
    # with bounds that leave minimum orders out.
    needs = [Need(one) for one in prices]
    chosen = cheapest_trip(market(needs, terms))
    assert chosen is not None
    assert chosen.bound <= chosen.trip.total == min(cost for cost, _ in ways(needs, terms))


@settings(max_examples=400, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4), terms=visits_only)
def test_what_another_supplier_would_cost_is_the_best_there_is(
    prices: list[Prices], terms: Mapping[str, tuple[int, int]]
) -> None:
    chosen = cheapest_trip(market([Need(one) for one in prices], terms))
    assert chosen is not None
    near = chosen.trip.visited | {name for name in NAMES if not terms[name][0]}

    def goods(open_to: Names) -> int:
        return sum(min(price for name, price in one.items() if name in open_to) for one in prices)

    saved = {name: goods(near) - goods(near | {name}) for name in NAMES if name not in near}
    as_well = [int(chosen.trip.total) + terms[name][0] - less for name, less in saved.items() if less > 0]
    assert (chosen.more.trip.total if chosen.more else None) == min(as_well, default=None)


@settings(max_examples=200, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4), terms=any_terms, more=st.sampled_from(NAMES))
def test_one_supplier_more_is_never_dearer(
    prices: list[Prices], terms: Mapping[str, tuple[int, int]], more: str
) -> None:
    without = [{name: price for name, price in one.items() if name != more} for one in prices]
    fewer = cheapest_trip(market([Need(one) for one in without], terms)) if all(without) else None
    every = cheapest_trip(market([Need(one) for one in prices], terms))
    assert every is not None
    assert fewer is None or every.trip.total <= fewer.trip.total


@settings(max_examples=400, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4), terms=any_terms)
def test_the_fewest_stops_are_the_fewest_there_are_and_the_cheapest_of_those(
    prices: list[Prices], terms: Mapping[str, tuple[int, int]]
) -> None:
    needs = [Need(one) for one in prices]
    chosen = fewest_stops(market(needs, terms))
    every = [(len(set(sellers)), paid(needs, sellers, terms)) for sellers in product(*prices)]
    assert chosen is not None
    assert (len(chosen.trip.visited), int(chosen.trip.total)) == min(every)
    assert chosen.bound <= chosen.trip.total
    if not any(least for _, least in terms.values()):
        assert chosen.bound == chosen.trip.total


def test_two_that_are_short_of_boards_each_may_be_the_fewest_together() -> None:
    # Alder and Birch sell long and short boards, and the job takes both; Cedar has screws alone, so has Alder.
    class Both(Need):
        def buy(self, names: Names) -> Bought | None:
            found = super().buy(frozenset(["birch"])) if len(names) == 2 else None
            return found and replace(found, spent={"alder": Decimal(5), "birch": Decimal(15)})

    needs = [Both({"alder": 30, "birch": 20}), Need({"alder": 9, "cedar": 2})]
    chosen = fewest_stops(market(needs, {"cedar": (1, 0)}))
    assert chosen is not None
    assert coins(chosen.trip.total) == [29]


def test_dozens_of_suppliers_are_few_stops_within_the_limit_of_sets() -> None:
    # Each of five needs is sold by eight yards that sell nothing else: 8^5 sets of five yards, past the limit.
    needs = [Need({f"yard {5 * n + place}": 20 + (7 * n + place) % 11 for n in range(8)}) for place in range(5)]
    chosen = fewest_stops(market(needs, {f"yard {n}": (n % 3, 0) for n in range(40)}))
    assert chosen is not None
    assert len(chosen.trip.visited) == 5
    assert sum(min(need.prices.values()) for need in needs) <= chosen.bound <= chosen.trip.total


@settings(max_examples=100, deadline=None)
@given(prices=st.lists(price_lists, min_size=1, max_size=4))
def test_where_nobody_takes_anything_for_a_visit_each_need_is_bought_at_its_cheapest(prices: list[Prices]) -> None:
    chosen = cheapest_trip(market([Need(one) for one in prices], {}))
    assert chosen is not None
    assert chosen.trip.total == chosen.bound == sum(min(one.values()) for one in prices)
    assert chosen.trip.beside == 0
    assert chosen.fewer is None


def test_dozens_of_suppliers_are_looked_at_within_the_limit_of_sets() -> None:
    # Forty yards with minimum orders: 2^40 sets, of which 4096 are looked at. The bound still holds.
    names = [f"yard {place}" for place in range(40)]
    needs = [Need({name: 50 + (7 * n + 3 * place) % 11 for n, name in enumerate(names)}) for place in range(3)]
    chosen = cheapest_trip(market(needs, dict.fromkeys(names, (1, 60))))
    assert chosen is not None
    assert chosen.bound <= chosen.trip.total
    assert sum(min(need.prices.values()) for need in needs) <= chosen.bound


def test_what_follows_from_the_plans_is_bought_from_those_who_are_open() -> None:
    rope = Need({"alder": 8, "birch": 3})
    toy = market([Need({"alder": 40, "birch": 60})], {"birch": (10, 0)})

    def late(open_to: Names, _: object) -> tuple[Bought, ...] | None:
        found = rope.buy(open_to & frozenset(rope.prices))
        return None if found is None else (replace(found, bound=Decimal(0), aside=found.amount),)

    toy.late = late
    chosen = cheapest_trip(toy)
    assert chosen is not None
    assert coins(chosen.trip.total, chosen.trip.aside, chosen.bound) == [48, 8, 40]
