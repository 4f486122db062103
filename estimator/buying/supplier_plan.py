"""Who is visited for an order, how good that choice is, and what another one would cost."""

from dataclasses import dataclass
from decimal import Decimal


def listed(names: tuple[str, ...]) -> str:
    """Return names of suppliers as they stand in a sentence: `Alder, Birch and Cedar`."""
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


@dataclass(frozen=True, kw_only=True, slots=True)
class FewerSuppliers:
    """The best way to buy with one supplier fewer, and what it costs more; below 0 it would save."""

    names: tuple[str, ...]
    costs_more: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class AnotherSupplier:
    """Whom to visit as well at the least cost: how much more that is for visits and minimum orders, less for goods.

    `proved` where that is the least of all ways to buy then.
    """

    name: str
    beside_more: Decimal
    goods_less: Decimal
    proved: bool = True

    @property
    def costs_more(self) -> Decimal:
        """How much more everything would cost; below 0 it would save."""
        return self.beside_more - self.goods_less


@dataclass(frozen=True, kw_only=True, slots=True)
class WithoutRule:
    """The cheapest way to buy found over all suppliers, and how much less it costs than by the shop's rule.

    `at_most_less` is what any way could cost less; spares left aside.
    """

    names: tuple[str, ...]
    total: Decimal
    costs_less: Decimal
    at_most_less: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class SupplierPlan:
    """Who is visited, and by how much a cheaper way to buy may be missed at the most, by the shop's rule.

    What follows from the plans, such as spare boards, is left aside in `gap`. `top_ups` are paid to reach minimum
    orders. `asking` is how many of those visited take something beside their prices and `free` how many do not, a
    preferred one not counted; `fewer` is None where it cannot be one less, or where none was found though not all were
    tried. `unvisited` is how many others there are; `more` is None where a visit to one makes no goods cheaper.
    `without_rule` is None where the rule is to buy at the least cost. `fewer_proved` where none with one supplier fewer
    is better than `fewer`. `is_rounded` where packs or cans have prices of parts of a coin: they are chosen by those,
    so a plan may be missed that costs less only by the rounding of its lines.
    """

    rule: str
    names: tuple[str, ...]
    top_ups: dict[str, Decimal]
    gap: Decimal
    asking: int
    fewer: FewerSuppliers | None
    unvisited: int = 0
    more: AnotherSupplier | None = None
    free: int = 0
    all_fewer_tried: bool = True
    fewer_proved: bool = True
    is_rounded: bool = False
    without_rule: WithoutRule | None = None

    @property
    def proved(self) -> bool:
        """Whether no cheaper way exists."""
        return not self.gap and not self.is_rounded
