"""Work: counts of what drives minutes of labour and amounts of consumables."""

from dataclasses import dataclass
from decimal import Decimal

from estimator.errors import Origin
from estimator.reading.build import Build, ConsumableUse, HardwareUse
from estimator.reading.fields import name_key
from estimator.reading.order import OrderedBuild
from estimator.takeoff.areas import coated_area
from estimator.units import M2_PER_FT2

Counts = dict[str, Decimal]

# These go on with the bolt they belong to; driving the bolt is the work.
NOT_DRIVEN = {"nut", "nuts", "washer", "washers"}


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumableNeed:
    """An amount of one item, by the builds that use it, in the unit its packs are counted in."""

    origin: Origin
    item: str
    by_build: tuple[tuple[str, Decimal], ...]

    @property
    def quantity(self) -> Decimal:
        """The amount for the whole order."""
        return sum((amount for _, amount in self.by_build), Decimal(0))


def work_counts(item: OrderedBuild) -> Counts:
    """Return how many batches, units, pieces, cuts, rips, joints, fasteners and areas of coat one build makes."""
    build, units = item.build, item.quantity
    area_ft2 = sum(_coat_area_ft2(build, index) for index in range(len(build.finish)))
    joints = {name_key(use.joint): use.joints for use in build.hardware}
    per_unit = {
        "piece": sum(part.quantity for part in build.parts),
        "cut": sum(part.quantity * (2 + len(part.shape.clips)) for part in build.parts),
        "rip": sum(part.quantity for part in build.parts if part.shape.width_in != part.section.width_in),
        "joint": sum(joints.values()),
        "fastener": sum(use.joints * use.each for use in build.hardware if _is_driven(use)),
    }
    return {
        "batch": Decimal(1),
        "unit": Decimal(units),
        **{driver: Decimal(units * count) for driver, count in per_unit.items()},
        "ft2 coat": units * _decimal(area_ft2),
        "m2 coat": units * _decimal(area_ft2 * float(M2_PER_FT2)),
    }


def _is_driven(use: HardwareUse) -> bool:
    return not NOT_DRIVEN & set(name_key(use.kind).split())


def order_counts(builds: tuple[Counts, ...]) -> Counts:
    """Return the counts of all builds together; boards are known once they are bought."""
    drivers = dict.fromkeys(driver for counts in builds for driver in counts)
    total = {driver: sum((counts[driver] for counts in builds), Decimal(0)) for driver in drivers}
    return {**total, "order": Decimal(1)}


def consumable_needs(items: tuple[OrderedBuild, ...], counts: tuple[Counts, ...]) -> tuple[ConsumableNeed, ...]:
    """Return the amount of each item that is needed, in the order of the lists; no rips take no rip blade."""
    amounts: dict[str, dict[str, Decimal]] = {}
    first: dict[str, ConsumableUse] = {}
    for item, count in zip(items, counts, strict=True):
        for use in item.build.consumables:
            key = name_key(use.item)
            first.setdefault(key, use)
            by_build = amounts.setdefault(key, {})
            by_build[item.build.name] = by_build.get(item.build.name, Decimal(0)) + use.amount * count[use.per]
    return tuple(
        ConsumableNeed(origin=first[key].origin, item=first[key].item, by_build=tuple(by_build.items()))
        for key, by_build in amounts.items()
        if any(by_build.values())
    )


def _coat_area_ft2(build: Build, index: int) -> float:
    step = build.finish[index]
    area = coated_area(build, step, 1)
    return step.coats * (area.faces_ft2 + area.edges_ft2 + area.ends_ft2)


def _decimal(value: float) -> Decimal:
    """Return a measured area to the nearest ten-thousandth, so that minutes made from it add up in decimals."""
    return Decimal(round(value * 10_000)).scaleb(-4)
