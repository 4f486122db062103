"""One against a dozen: what one unit costs at each quantity, and through what a larger batch saves."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from estimator.buying.delivery import DELIVERY
from estimator.costing.quote import BuildCost, kinds_of
from estimator.money import Currency, rounded

# Through what a larger batch saves on each kind of cost; labour is set-up and the work itself.
CAUSES = {
    "lumber": "boards shared",
    "hardware": "packs filled",
    "finish": "cans filled",
    "consumables": "packs filled",
    "set-up": "set-up spread",
    "work": "practice",
    "overhead": "less labour to bear",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class QuantityCost:
    """What one unit costs and sells for when so many are made together, planned anew for that quantity."""

    quantity: int
    by_kind: dict[str, Decimal]
    set_up: Decimal  # the part of a unit's labour that is set-up
    unit_cost: Decimal
    unit_price: Decimal
    minutes: Decimal
    saved: dict[str, Decimal]  # a unit against one made alone, as in CAUSES; less than 0 where it costs more

    @property
    def saved_in_all(self) -> Decimal:
        """What a unit costs less than one made alone."""
        return sum(self.saved.values(), Decimal(0))


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """The quantities of one build side by side, made on its own."""

    build: str
    quantities: tuple[QuantityCost, ...]

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of cost, in their order."""
        return tuple(self.quantities[0].by_kind)

    @property
    def causes(self) -> dict[str, str]:
        """Through what a larger batch saves on each kind of cost there is."""
        return _causes(self.kinds)


def compare(build: str, costs: Sequence[BuildCost], currency: Currency) -> Comparison:
    """Return the comparison of costs for rising quantities, the first of which is one unit."""
    kinds = kinds_of(costs)
    columns = [_quantity_cost(cost, kinds, currency) for cost in costs]
    return Comparison(
        build=build,
        quantities=tuple(replace(column, saved=_saved(columns[0], column)) for column in columns),
    )


def _causes(kinds: Sequence[str]) -> dict[str, str]:
    known = {**CAUSES, DELIVERY: "visits shared"}
    order = (*(kind for kind in kinds if kind not in ("labour", "overhead")), "set-up", "work", "overhead")
    return {kind: known[kind] for kind in order}


def _saved(alone: QuantityCost, column: QuantityCost) -> dict[str, Decimal]:
    """Return what a unit costs less than one made alone; the amounts add up to the difference of the unit costs."""
    less = {kind: amount - column.by_kind[kind] for kind, amount in alone.by_kind.items()}
    set_up = alone.set_up - column.set_up
    parts = {**less, "set-up": set_up, "work": less["labour"] - set_up}
    return {kind: parts[kind] for kind in _causes(tuple(alone.by_kind))}


def _unit_parts(cost: BuildCost, kinds: Sequence[str], currency: Currency) -> dict[str, Decimal]:
    """Return a unit's cost by kind to the cent; the largest takes the rounding so that they add up."""
    parts = {kind: currency.rounded(cost.by_kind.get(kind, Decimal(0)) / cost.quantity) for kind in kinds}
    largest = max(parts, key=lambda kind: parts[kind])
    parts[largest] += cost.unit_cost - sum(parts.values(), Decimal(0))
    return parts


def _quantity_cost(cost: BuildCost, kinds: Sequence[str], currency: Currency) -> QuantityCost:
    return QuantityCost(
        quantity=cost.quantity,
        by_kind=_unit_parts(cost, kinds, currency),
        set_up=currency.rounded(cost.labour_setup / cost.quantity),
        unit_cost=cost.unit_cost,
        unit_price=cost.unit_price,
        minutes=rounded(cost.minutes / cost.quantity, 2),
        saved={},
    )
