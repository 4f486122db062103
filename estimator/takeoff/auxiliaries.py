"""Auxiliaries: the thinner and the cleaner that go with finish products, pooled over all products they serve."""

from dataclasses import dataclass
from fractions import Fraction

from estimator.reading.fields import name_key
from estimator.reading.finish_products import Auxiliary, FinishProduct
from estimator.takeoff.finish import FinishNeed

# Comes from the tap, so that it is named and never bought.
WATER = ("water", "tap water", "clean water")


@dataclass(frozen=True, kw_only=True, slots=True)
class AuxiliaryUse:
    """A thinner or cleaner beside the need for one product."""

    auxiliary: Auxiliary
    label: FinishProduct
    need: FinishNeed

    @property
    def need_gal(self) -> float:
        """Gallons: the named share of the product's need.

        That thinner does not make a product go further is an assumption, on the safe side; common practice, no source.
        """
        return self.need.need_gal * float(self.auxiliary.percent) / 100


@dataclass(frozen=True, kw_only=True, slots=True)
class AuxiliaryNeed:
    """All that is used of one thinner or cleaner."""

    product: str
    uses: tuple[AuxiliaryUse, ...]

    @property
    def need_gal(self) -> float:
        """Gallons for all products that it serves."""
        return sum(use.need_gal for use in self.uses)

    @property
    def by_build(self) -> dict[str, Fraction]:
        """How much of it each build takes, in step with what each takes of the products at the low rate."""
        weights: dict[str, Fraction] = {}
        for use in self.uses:
            for coat in use.need.coats:
                weight = Fraction(use.auxiliary.percent) * Fraction(coat.need_at_low_rate_gal)
                weights[coat.build] = weights.get(coat.build, Fraction(0)) + weight
        return weights


def auxiliary_uses(need: FinishNeed) -> tuple[AuxiliaryUse, ...]:
    """Return the thinner and the cleaner that go with a product, water included."""
    label = need.label
    if label is None:
        return ()
    return tuple(AuxiliaryUse(auxiliary=one, label=label, need=need) for one in label.auxiliaries)


def is_water(product: str) -> bool:
    """Whether a thinner or cleaner comes from the tap."""
    return name_key(product) in WATER


def auxiliary_needs(needs: tuple[FinishNeed, ...]) -> tuple[AuxiliaryNeed, ...]:
    """Return what is to be bought of each thinner and cleaner, in the order of the products."""
    groups: dict[str, list[AuxiliaryUse]] = {}
    for use in (use for need in needs for use in auxiliary_uses(need)):
        if use.auxiliary.percent and not is_water(use.auxiliary.product):
            groups.setdefault(name_key(use.auxiliary.product), []).append(use)
    return tuple(AuxiliaryNeed(product=uses[0].auxiliary.product, uses=tuple(uses)) for uses in groups.values())
