"""Hardware: fasteners and fittings of each kind, size, length and material, with the shop's spares."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from estimator.errors import Origin
from estimator.reading.fields import name_key
from estimator.reading.order import OrderedBuild
from estimator.reading.shop import Spares
from estimator.units import length_text

HardwareKey = tuple[str, str, Fraction | None, str]


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwareUseCount:
    """How many one joint of one build takes in the whole order."""

    origin: Origin
    build: str
    joint: str
    quantity: int


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwareNeed:
    """All pieces of one kind, size, length and material."""

    kind: str
    size: str
    length_in: Fraction | None
    material: str
    uses: tuple[HardwareUseCount, ...]
    spares: int

    @property
    def quantity(self) -> int:
        """Pieces that go into the work, without spares."""
        return sum(use.quantity for use in self.uses)

    @property
    def key(self) -> HardwareKey:
        """What a price row must agree in."""
        return hardware_key(self.kind, self.size, self.length_in, self.material)

    def title(self, unit: str) -> str:
        """Return what one asks for at the counter: `screw #8 x 2 1/2 in, stainless`."""
        return hardware_title(self.kind, self.size, self.length_in, self.material, unit)


def hardware_key(kind: str, size: str, length_in: Fraction | None, material: str) -> HardwareKey:
    """Return what tells one piece of hardware from another."""
    return name_key(kind), name_key(size), length_in, name_key(material)


def hardware_title(kind: str, size: str, length_in: Fraction | None, material: str, unit: str) -> str:
    """Return the name of a piece of hardware as one asks for it."""
    long = f" x {length_text(length_in, unit)}" if length_in is not None else ""
    return f"{kind} {size}{long}, {material}"


def hardware_needs(items: tuple[OrderedBuild, ...], spares: Spares) -> tuple[HardwareNeed, ...]:
    """Return what is needed of each piece of hardware, in the order of the lists.

    Spares are a share of the need, rounded up, and never fewer than the shop's least number.
    """
    groups: dict[HardwareKey, list[HardwareUseCount]] = {}
    first: dict[HardwareKey, tuple[str, str, Fraction | None, str]] = {}
    for item in items:
        for use in item.build.hardware:
            key = hardware_key(use.kind, use.size, use.length_in, use.material)
            first.setdefault(key, (use.kind, use.size, use.length_in, use.material))
            groups.setdefault(key, []).append(
                HardwareUseCount(
                    origin=use.origin,
                    build=item.build.name,
                    joint=use.joint,
                    quantity=use.joints * use.each * item.quantity,
                )
            )
    return tuple(_need(first[key], tuple(uses), spares) for key, uses in groups.items())


def _need(
    wanted: tuple[str, str, Fraction | None, str], uses: tuple[HardwareUseCount, ...], spares: Spares
) -> HardwareNeed:
    quantity = sum(use.quantity for use in uses)
    share = ceil(Fraction(spares.percent) * quantity / 100)
    kind, size, length_in, material = wanted
    return HardwareNeed(
        kind=kind, size=size, length_in=length_in, material=material, uses=uses, spares=max(share, spares.at_least)
    )
