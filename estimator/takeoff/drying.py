"""Drying: the least waiting between a build's first coat and its last."""

from dataclasses import dataclass
from fractions import Fraction

from estimator.reading.build import Build
from estimator.reading.fields import name_key
from estimator.reading.finish_products import FinishProduct, product_named
from estimator.reading.finish_steps import FinishStep
from estimator.reading.order import Order
from estimator.reading.parts import Part


@dataclass(frozen=True, kw_only=True, slots=True)
class Waiting:
    """The least waiting for one build in hours; `untold` are products whose label says nothing of it."""

    build: str
    hours: Fraction
    untold: tuple[str, ...]


def least_waiting(order: Order) -> tuple[Waiting, ...]:
    """Return the least waiting for each build that has coats on coats, where the label of a product says any.

    A coat waits for the one below it on the same surface of the same part, as long as that one's label says at least:
    the sum of `recoat_after` over all coats but the last, on the surface where it is longest. Temperature and damp
    lengthen it. Common practice, no source; the times themselves are the labels'.
    """
    found = [_waiting_of(item.build, order.prices.finish_products) for item in order.items]
    return tuple(one for one in found if one.hours)


def _waiting_of(build: Build, labels: tuple[FinishProduct, ...]) -> Waiting:
    waits = {name_key(step.product): _wait_hours(product_named(step.product, labels)) for step in build.finish}
    chains = [
        [step.product for step in build.finish if _covers(step, part, surface) for _ in range(step.coats)][:-1]
        for part in build.parts
        for surface in ("faces", "edges", "ends")
    ]
    hours = [sum((waits[name_key(name)] or Fraction(0) for name in chain), Fraction(0)) for chain in chains]
    untold = dict.fromkeys(name for chain in chains for name in chain if waits[name_key(name)] is None)
    return Waiting(build=build.name, hours=max(hours, default=Fraction(0)), untold=tuple(untold))


def _wait_hours(label: FinishProduct | None) -> Fraction | None:
    """Return how long the next coat waits at least, None where the label does not say."""
    after = label.dry_times.recoat_after if label else None
    return after.low_hours if after else None


def _covers(step: FinishStep, part: Part, surface: str) -> bool:
    """Whether a step goes on a surface of a part."""
    named = {
        "faces": min(step.coated.faces, part.coated.faces) > 0,
        "edges": step.coated.edges and part.coated.edges,
        "ends": step.coated.ends and part.coated.ends,
    }
    return step.covers(part) and named[surface]
