"""The whole take-off: an order in, what it needs of everything out."""

from dataclasses import dataclass
from decimal import Decimal

from estimator.errors import Findings
from estimator.reading.order import Order, OrderedBuild
from estimator.reading.shop import Spares
from estimator.takeoff.finish import FinishNeed, finish_needs
from estimator.takeoff.hardware import HardwareNeed, hardware_needs
from estimator.takeoff.lumber import LumberNeed, lumber_needs, weight_of
from estimator.takeoff.sanding import SandedArea, disc_needs, sanded_areas
from estimator.takeoff.work import ConsumableNeed, Counts, consumable_needs, order_counts, pooled, work_counts

NO_SPARES = Spares(percent=Decimal(0), at_least=0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Needs:
    """What a set of builds needs; `weight_lb` leaves out species of `unweighed`."""

    lumber: tuple[LumberNeed, ...]
    hardware: tuple[HardwareNeed, ...]
    finish: tuple[FinishNeed, ...]
    consumables: tuple[ConsumableNeed, ...]
    sanded: tuple[SandedArea, ...]
    weight_lb: float
    unweighed: tuple[str, ...]
    counts: Counts


@dataclass(frozen=True, kw_only=True, slots=True)
class BuildNeeds:
    """What all units of one build need, bought for itself; spares are per order and so not in here."""

    item: OrderedBuild
    needs: Needs


@dataclass(frozen=True, kw_only=True, slots=True)
class TakeOff:
    """The needs of each build, and of the order with everything pooled."""

    builds: tuple[BuildNeeds, ...]
    order: Needs


def take_off(order: Order, findings: Findings) -> TakeOff:
    """Return how much of what an order takes; what is missing for it is noted in `findings`."""
    builds = tuple(BuildNeeds(item=item, needs=_needs((item,), order, NO_SPARES, Findings())) for item in order.items)
    pooled = _needs(order.items, order, order.shop.spares, findings)
    for species in pooled.unweighed:
        origin = next(p.origin for i in order.items for p in i.build.parts if p.species == species)
        findings.notice(origin, f'no published density for "{species}"; its weight is left out')
    return TakeOff(builds=builds, order=pooled)


def _needs(items: tuple[OrderedBuild, ...], order: Order, spares: Spares, findings: Findings) -> Needs:
    counts = tuple(work_counts(item) for item in items)
    weight_lb, unweighed = weight_of(items)
    sanded = sanded_areas(items, order.shop, findings)
    return Needs(
        lumber=lumber_needs(items, order),
        hardware=hardware_needs(items, spares),
        finish=finish_needs(items, order, findings),
        consumables=pooled((*consumable_needs(items, counts), *disc_needs(sanded))),
        sanded=sanded,
        weight_lb=weight_lb,
        unweighed=unweighed,
        counts=order_counts(counts),
    )
