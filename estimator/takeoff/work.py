"""Work: counts of what drives minutes of labour and amounts of consumables."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from estimator.errors import Origin
from estimator.reading.build import Build, ConsumableUse, HardwareUse
from estimator.reading.fields import name_key
from estimator.reading.order import OrderedBuild
from estimator.reading.parts import Part
from estimator.solid import Shape
from estimator.takeoff.areas import coated_area
from estimator.takeoff.hidden import glued_ft2
from estimator.units import M2_PER_FT2

Counts = dict[str, Decimal]

# These go on with the bolt they belong to; driving the bolt is the work.
NOT_DRIVEN = {"nut", "nuts", "washer", "washers"}


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumableNeed:
    """An amount of one item, by the builds that use it, in the unit its packs are counted in.

    `shop_amount` is what the shop uses on the order as a whole, which no build has to itself.
    """

    origin: Origin
    item: str
    by_build: tuple[tuple[str, Decimal], ...]
    shop_amount: Decimal = Decimal(0)

    @property
    def quantity(self) -> Decimal:
        """The amount for the whole order."""
        return sum((amount for _, amount in self.by_build), self.shop_amount)


def work_counts(item: OrderedBuild) -> Counts:
    """Return how many batches, units, pieces, cuts, rips, joints, fasteners and areas of coat one build makes.

    A cut is a finished end, and one more for each clipped or rounded corner. A rip is a piece narrower than its board,
    and one more for each side that is tapered.
    """
    build, units = item.build, item.quantity
    area_ft2 = sum(_coat_area_ft2(build, index) for index in range(len(build.finish)))
    glue_ft2 = glued_ft2(build)
    joints = {name_key(use.joint): use.joints for use in build.hardware}
    joints |= {name_key(one.joint): one.joints for one in build.joints}
    per_unit = {
        "piece": sum(part.quantity for part in build.parts),
        "cut": sum(part.quantity * _cuts(part.shape) for part in build.parts),
        "rip": sum(part.quantity * _rips(part) for part in build.parts),
        "joint": sum(joints.values()),
        "fastener": sum(use.joints * use.each for use in build.hardware if _is_driven(use)),
    }
    return {
        "batch": Decimal(1),
        "unit": Decimal(units),
        **{driver: Decimal(units * count) for driver, count in per_unit.items()},
        "ft2 coat": units * _decimal(area_ft2),
        "m2 coat": units * _decimal(area_ft2 * float(M2_PER_FT2)),
        "ft2 glue": units * _decimal(glue_ft2),
        "m2 glue": units * _decimal(glue_ft2 * float(M2_PER_FT2)),
        "coat": Decimal(sum(step.coats for step in build.finish)),  # put on all units one after the other
    }


def _cuts(shape: Shape) -> int:
    return 2 + len(shape.clips) + len(shape.rounded_corners)


def _rips(part: Part) -> int:
    return int(part.shape.width_in != part.section.width_in) + len(part.shape.tapers)


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


def pooled(needs: Iterable[ConsumableNeed]) -> tuple[ConsumableNeed, ...]:
    """Return one need of each item, in the order in which they first come: packs are bought for all of it."""
    groups: dict[str, list[ConsumableNeed]] = {}
    for need in needs:
        groups.setdefault(name_key(need.item), []).append(need)
    return tuple(_together(group) for group in groups.values())


def _together(needs: Sequence[ConsumableNeed]) -> ConsumableNeed:
    by_build: dict[str, Decimal] = {}
    for build, amount in (one for need in needs for one in need.by_build):
        by_build[build] = by_build.get(build, Decimal(0)) + amount
    return ConsumableNeed(
        origin=needs[0].origin,
        item=needs[0].item,
        by_build=tuple(by_build.items()),
        shop_amount=sum((need.shop_amount for need in needs), Decimal(0)),
    )


def _coat_area_ft2(build: Build, index: int) -> float:
    step = build.finish[index]
    area = coated_area(build, step, 1)
    return step.coats * (area.faces_ft2 + area.edges_ft2 + area.ends_ft2)


def _decimal(value: float) -> Decimal:
    """Return a measured area to the nearest ten-thousandth, so that minutes made from it add up in decimals."""
    return Decimal(round(value * 10_000)).scaleb(-4)
