"""Finish: the area each coat covers, and how much of each product that takes at both ends of its spreading rate."""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from estimator.errors import Findings, Origin, RowToFill
from estimator.reading.build import Build
from estimator.reading.fields import name_key, nearest
from estimator.reading.finish_products import FinishProduct, product_named
from estimator.reading.finish_steps import FinishStep
from estimator.reading.order import Order, OrderedBuild
from estimator.reading.trade_units import SpreadRange
from estimator.solid import Surfaces
from estimator.standards.coating import practical_rate
from estimator.takeoff.areas import coated_area


@dataclass(frozen=True, kw_only=True, slots=True)
class Coat:
    """One coat on all units of one build: its area by surface, its rate and its loss with where they come from."""

    build: str
    step: FinishStep
    number: int
    area: Surfaces
    spread: SpreadRange
    rate_origin: Origin
    rate_source: str
    loss_percent: Decimal
    loss_source: str
    end_grain_factor: Decimal = Decimal(1)

    @property
    def area_ft2(self) -> float:
        """Square feet this coat covers."""
        return self.area.faces_ft2 + self.area.edges_ft2 + self.area.ends_ft2

    @property
    def counted_ft2(self) -> float:
        """Square feet of face that would take as much as this coat does: end grain drinks more than its area."""
        return self.area.faces_ft2 + self.area.edges_ft2 + float(self.end_grain_factor) * self.area.ends_ft2

    @property
    def need_at_low_rate_gal(self) -> float:
        """Gallons where the product goes least far: the larger need."""
        return self._need_gal(self.spread.low_ft2_per_gal)

    @property
    def need_at_high_rate_gal(self) -> float:
        """Gallons where the product goes furthest: the smaller need."""
        return self._need_gal(self.spread.high_ft2_per_gal)

    def _need_gal(self, rate_ft2_per_gal: Fraction) -> float:
        """Return counted area / practical rate: the loss is the share of the product that never reaches the wood."""
        return self.counted_ft2 / practical_rate(float(rate_ft2_per_gal), float(self.loss_percent))


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishNeed:
    """All coats of one product, with what its label says; of a two-part product gallons are of the mixture."""

    product: str
    coats: tuple[Coat, ...]
    cover: str
    label: FinishProduct | None = None

    @property
    def need_at_low_rate_gal(self) -> float:
        """Gallons where the product goes least far."""
        return sum(coat.need_at_low_rate_gal for coat in self.coats)

    @property
    def need_at_high_rate_gal(self) -> float:
        """Gallons where the product goes furthest."""
        return sum(coat.need_at_high_rate_gal for coat in self.coats)

    @property
    def need_gal(self) -> float:
        """Gallons that the cans must hold: the side of the range that the shop chose."""
        low, high = self.need_at_low_rate_gal, self.need_at_high_rate_gal
        return {"low": low, "middle": (low + high) / 2, "high": high}[self.cover]


def finish_needs(items: tuple[OrderedBuild, ...], order: Order, findings: Findings) -> tuple[FinishNeed, ...]:
    """Return what is needed of each product, in the order of the lists; a rate that is missing is a fault."""
    groups: dict[str, list[Coat]] = {}
    for item in items:
        coated: set[tuple[str, str, str]] = set()  # a product, with a surface of a part that has a coat of it
        for step in item.build.finish:
            product = name_key(step.product)
            named = {(product, *surface) for surface in _surfaces_of(step, item.build)}
            groups.setdefault(product, []).extend(
                _coat(item, step, number, order, findings, first=number == 1 and not named <= coated)
                for number in range(1, step.coats + 1)
            )
            coated |= named
    return tuple(
        FinishNeed(
            product=coats[0].step.product,
            coats=tuple(coats),
            cover=order.shop.finish.cover,
            label=product_named(coats[0].step.product, order.prices.finish_products),
        )
        for coats in groups.values()
    )


def coats_by_step(need: FinishNeed) -> tuple[tuple[Coat, ...], ...]:
    """Return the coats of each step of each build, in the order of the lists."""
    steps: dict[tuple[str, Origin], list[Coat]] = {}
    for coat in need.coats:
        steps.setdefault((coat.build, coat.step.origin), []).append(coat)
    return tuple(map(tuple, steps.values()))


def next_coat(coat: Coat, order: Order) -> Coat | None:
    """Return what one more coat of the same step would be, at the rate of further coats; None where none is known."""
    findings = Findings()
    spread, origin, source = _spread(coat.step, order, findings, first=False)
    if findings.faults:
        return None
    return replace(coat, number=coat.number + 1, spread=spread, rate_origin=origin, rate_source=source)


def _surfaces_of(step: FinishStep, build: Build) -> tuple[tuple[str, str], ...]:
    """Return each part that a step covers, by its key, with each surface that the step names."""
    named = {"faces": step.coated.faces, "edges": step.coated.edges, "ends": step.coated.ends}
    surfaces_named = [surface for surface, wanted in named.items() if wanted]
    parts = [name_key(part.name) for part in build.parts if step.covers(part)]
    return tuple((part, surface) for part in parts for surface in surfaces_named)


def _coat(item: OrderedBuild, step: FinishStep, number: int, order: Order, findings: Findings, *, first: bool) -> Coat:
    spread, origin, source = _spread(step, order, findings, first=first)
    settings = order.shop.finish
    loss = settings.loss_percent.get(step.method)
    if loss is None:
        findings.fault(
            step.origin, f'the shop settings give no loss for "{step.method}"; write it under [loss_percent]', "method"
        )
    return Coat(
        build=item.build.name,
        step=step,
        number=number,
        area=coated_area(item.build, step, item.quantity),
        spread=spread,
        rate_origin=origin,
        rate_source=source,
        loss_percent=loss if loss is not None else Decimal(0),
        loss_source=settings.loss_source.get(step.method, "shop setting"),
        end_grain_factor=settings.end_grain_factor,
    )


def _spread(step: FinishStep, order: Order, findings: Findings, *, first: bool) -> tuple[SpreadRange, Origin, str]:
    """Return the step's own rate, else the table's, where a product's first coat on a surface may have its own.

    With it come the place it stands in and the source it names.
    """
    if step.rate is not None:
        return step.rate, step.origin, "written in the finish list"
    wanted = "first" if first else "further"
    rows = [
        row
        for row in order.prices.spread_rates
        if name_key(row.product) == name_key(step.product)
        and row.texture == step.texture
        and row.coat in (wanted, "any")
    ]
    if not rows:
        hint = nearest(step.product, {row.product for row in order.prices.spread_rates})
        findings.fault(
            step.origin,
            f'spread_rates.csv has no rate for "{step.product}" on {step.texture} wood, {wanted} coat{hint}'
            '; add a row, or write the label\'s rate under "rate"',
            "product",
            rows=(_missing_rate(step, order, wanted, hint),),
        )
        return SpreadRange(low_ft2_per_gal=Fraction(1), high_ft2_per_gal=Fraction(1)), step.origin, ""
    exact = [row for row in rows if row.coat == wanted] or rows
    if len(exact) > 1:
        findings.fault(
            exact[1].origin, f'gives "{step.product}" a second rate; keep one of it and line {exact[0].origin.line}'
        )
    return exact[0].spread, exact[0].origin, exact[0].source


def _missing_rate(step: FinishStep, order: Order, wanted: str, hint: str) -> RowToFill:
    """Return the row that the table lacks; one for all coats where it has none for this product and texture."""
    others = any(
        name_key(row.product) == name_key(step.product) and row.texture == step.texture
        for row in order.prices.spread_rates
    )
    return RowToFill(
        table=order.shop.price_tables / "spread_rates.csv",
        item=f"{step.product} on {step.texture} wood{f', {wanted} coat' if others else ''}",
        origin=step.origin,
        known=(("product", step.product), ("texture", step.texture)),
        proposed=(("coat", wanted if others else "any"),),
        hint=hint,
    )
