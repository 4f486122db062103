"""One against a dozen: what one unit costs at each quantity, and through what a larger batch saves."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimator.costing.quote import COST_KINDS, BuildCost
from estimator.money import Currency, rounded

# Through what a larger batch saves on each kind of cost.
CAUSES = {
    "lumber": "boards shared",
    "hardware": "packs filled",
    "finish": "cans filled",
    "consumables": "packs filled",
    "labour": "set-up spread, practice",
    "overhead": "follows labour",
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
    saved: dict[str, Decimal]  # a unit against one made alone, by kind; less than 0 where it costs more

    @property
    def saved_in_all(self) -> Decimal:
        """What a unit costs less than one made alone."""
        return sum(self.saved.values(), Decimal(0))


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """The quantities of one build side by side, made on its own."""

    build: str
    quantities: tuple[QuantityCost, ...]


def compare(build: str, costs: Sequence[BuildCost], currency: Currency) -> Comparison:
    """Return the comparison of costs for rising quantities, the first of which is one unit."""
    parts = [_unit_parts(cost, currency) for cost in costs]
    return Comparison(
        build=build,
        quantities=tuple(
            _quantity_cost(cost, part, parts[0], currency) for cost, part in zip(costs, parts, strict=True)
        ),
    )


def _unit_parts(cost: BuildCost, currency: Currency) -> dict[str, Decimal]:
    """Return a unit's cost by kind to the cent; the largest takes the rounding so that they add up."""
    parts = {kind: currency.rounded(cost.by_kind[kind] / cost.quantity) for kind in COST_KINDS}
    largest = max(parts, key=lambda kind: parts[kind])
    parts[largest] += cost.unit_cost - sum(parts.values(), Decimal(0))
    return parts


def _quantity_cost(
    cost: BuildCost, parts: dict[str, Decimal], alone: dict[str, Decimal], currency: Currency
) -> QuantityCost:
    return QuantityCost(
        quantity=cost.quantity,
        by_kind=parts,
        set_up=currency.rounded(cost.labour_setup / cost.quantity),
        unit_cost=cost.unit_cost,
        unit_price=cost.unit_price,
        minutes=rounded(cost.minutes / cost.quantity, 2),
        saved={kind: alone[kind] - parts[kind] for kind in COST_KINDS},
    )
