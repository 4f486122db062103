"""What an order costs where it is bought: needs, what they come to at some suppliers, and trips to those.

Names of suppliers are keys here, see `name_key`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from estimator.buying.purchase import Purchase

Names = frozenset[str]
NOTHING = Decimal(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Terms:
    """What a supplier takes beside its prices: for each visit, and at least in all."""

    visit_cost: Decimal = NOTHING
    minimum_order: Decimal = NOTHING

    @property
    def is_free(self) -> bool:
        """Whether nothing is lost by having it among those that may be visited."""
        return not self.visit_cost and not self.minimum_order


NO_TERMS = Terms()


class Weighed(NamedTuple):
    """Suppliers to buy from where the prices of one of them count at a weight."""

    names: Names
    name: str
    weight: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Bought:
    """What a need costs from some suppliers: the money for each, and a bound on it, `aside` not counted.

    `aside` is for what follows from a plan and is no part of it, such as spare boards. Where it is split so as to leave
    more money with one of them, it is the cheapest as `weighed` says, and no bound is known.
    """

    purchase: Purchase
    spent: Mapping[str, Decimal]
    bound: Decimal
    aside: Decimal = NOTHING
    weighed: Weighed | None = None

    @property
    def amount(self) -> Decimal:
        """What it costs at the till, boards on hand at what they count."""
        return self.purchase.amount


@dataclass(frozen=True, kw_only=True, slots=True)
class Want:
    """One need: who sells something for it, and what it costs from those of them that are open, None for too few.

    `split` says what is bought from some of them where the prices of one count at a weight.
    """

    title: str
    sellers: Names
    buy: Callable[[Names], Bought | None]
    split: Callable[[Names, str, Decimal], Bought | None] = lambda *_: None


@dataclass(frozen=True, kw_only=True, slots=True)
class Trip:
    """Everything bought from the suppliers of a set, with what those of them cost that are visited for it.

    `top_ups` are paid to reach minimum orders.
    """

    bought: tuple[Bought, ...]
    visit_costs: Mapping[str, Decimal]
    top_ups: Mapping[str, Decimal]

    @property
    def visited(self) -> Names:
        """Who is visited."""
        return frozenset(self.visit_costs)

    @property
    def goods(self) -> Decimal:
        """What is paid for the goods themselves."""
        return sum((one.amount for one in self.bought), NOTHING)

    @property
    def topped_up(self) -> Decimal:
        """What is paid to reach minimum orders."""
        return sum(self.top_ups.values(), NOTHING)

    @property
    def beside(self) -> Decimal:
        """What is paid beside the prices."""
        return sum(self.visit_costs.values(), self.topped_up)

    @property
    def total(self) -> Decimal:
        """What everything costs."""
        return self.goods + self.beside

    @property
    def aside(self) -> Decimal:
        """What of it no bound counts."""
        return sum((one.aside for one in self.bought), NOTHING)

    @property
    def rank(self) -> tuple[Decimal, int, tuple[str, ...]]:
        """By what one of two trips is chosen: its cost, then fewer visits, then names."""
        return self.total, len(self.visited), tuple(sorted(self.visited))


@dataclass(frozen=True, kw_only=True, slots=True)
class OneMore:
    """Another supplier visited as well, and the trip to all of them, with who would sell nothing then.

    `proved` where no way to buy is cheaper when all of them are visited.
    """

    name: str
    trip: Trip
    proved: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Chosen:
    """The cheapest trip found, and a cost that no other is under, what is left aside not counted.

    `fewer` is the best trip found with one supplier fewer of those that cost anything to visit or have a minimum order,
    and `fewer_proved` says whether none is better; None where there is none, or none was found though not all were
    tried. `more` is one of those visited as well, the one that costs least so; None where no goods would cost less.
    """

    trip: Trip
    bound: Decimal
    fewer: Trip | None = None
    fewer_proved: bool = True
    all_fewer_tried: bool = True
    more: OneMore | None = None
