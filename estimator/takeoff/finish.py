"""Finish: the area each coat covers, and how much of each product that takes at both ends of its spreading rate."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.errors import Findings, Origin
from estimator.reading.build import Build, FinishStep
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order, OrderedBuild
from estimator.reading.parts import Coated, Part
from estimator.reading.trade_units import SpreadRange
from estimator.solid import Surfaces, surfaces
from estimator.standards.coating import practical_rate


@dataclass(frozen=True, kw_only=True, slots=True)
class Coat:
    """One coat on all units of one build: its area by surface, its rate with the place it comes from, its loss."""

    build: str
    step: FinishStep
    number: int
    area: Surfaces
    spread: SpreadRange
    rate_origin: Origin
    loss_percent: Decimal

    @property
    def area_ft2(self) -> float:
        """Square feet this coat covers."""
        return self.area.faces_ft2 + self.area.edges_ft2 + self.area.ends_ft2

    @property
    def need_at_low_rate_gal(self) -> float:
        """Gallons where the product goes least far: the larger need."""
        return self._need_gal(self.spread.low_ft2_per_gal)

    @property
    def need_at_high_rate_gal(self) -> float:
        """Gallons where the product goes furthest: the smaller need."""
        return self._need_gal(self.spread.high_ft2_per_gal)

    def _need_gal(self, rate_ft2_per_gal: Fraction) -> float:
        """Return area / practical rate: the loss is the share of the product that never reaches the wood."""
        return self.area_ft2 / practical_rate(float(rate_ft2_per_gal), float(self.loss_percent))


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishNeed:
    """All coats of one product."""

    product: str
    coats: tuple[Coat, ...]
    cover: str

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
        coated: set[tuple[str, str]] = set()  # a product with a surface that has its first coat of it
        for step in item.build.finish:
            product = name_key(step.product)
            named = {(product, surface) for surface in _surfaces_of(step.coated)}
            groups.setdefault(product, []).extend(
                _coat(item, step, number, order, findings, first=number == 1 and not named <= coated)
                for number in range(1, step.coats + 1)
            )
            coated |= named
    return tuple(
        FinishNeed(product=coats[0].step.product, coats=tuple(coats), cover=order.shop.finish.cover)
        for coats in groups.values()
    )


def _surfaces_of(coated: Coated) -> tuple[str, ...]:
    named = {"faces": coated.faces, "edges": coated.edges, "ends": coated.ends}
    return tuple(surface for surface, wanted in named.items() if wanted)


def _coat(item: OrderedBuild, step: FinishStep, number: int, order: Order, findings: Findings, *, first: bool) -> Coat:
    spread, origin = _spread(step, order, findings, first=first)
    loss = order.shop.finish.loss_percent.get(step.method)
    if loss is None:
        findings.fault(
            step.origin, f'the shop settings give no loss for "{step.method}"; write it under [loss_percent]', "method"
        )
    return Coat(
        build=item.build.name,
        step=step,
        number=number,
        area=coated_area(item.build, step.coated, item.quantity),
        spread=spread,
        rate_origin=origin,
        loss_percent=loss if loss is not None else Decimal(0),
    )


def _spread(step: FinishStep, order: Order, findings: Findings, *, first: bool) -> tuple[SpreadRange, Origin]:
    """Return the step's own rate, else the table's, where a product's first coat on a surface may have its own."""
    if step.rate is not None:
        return step.rate, step.origin
    wanted = "first" if first else "further"
    rows = [
        row
        for row in order.prices.spread_rates
        if name_key(row.product) == name_key(step.product)
        and row.texture == step.texture
        and row.coat in (wanted, "any")
    ]
    if not rows:
        products = {row.product for row in order.prices.spread_rates}
        findings.fault(
            step.origin,
            f'spread_rates.csv has no rate for "{step.product}" on {step.texture} wood, {wanted} coat'
            f'{nearest(step.product, products)}; add a row, or write the label\'s rate under "rate"',
            "product",
        )
        return SpreadRange(low_ft2_per_gal=Fraction(1), high_ft2_per_gal=Fraction(1)), step.origin
    exact = [row for row in rows if row.coat == wanted] or rows
    if len(exact) > 1:
        findings.fault(
            exact[1].origin, f'gives "{step.product}" a second rate; keep one of it and line {exact[0].origin.line}'
        )
    return exact[0].spread, exact[0].origin


def coated_area(build: Build, coated: Coated, units: int) -> Surfaces:
    """Return the area in square feet that a step covers on so many units of a build.

    A surface counts where both the part and the step name it. What joints hide is taken off when the finish goes on
    after assembly.
    """
    pieces = [_piece_area(part, coated, hide=build.finish_after_assembly) for part in build.parts]
    return Surfaces(
        faces_ft2=units * sum(area.faces_ft2 for area in pieces),
        edges_ft2=units * sum(area.edges_ft2 for area in pieces),
        ends_ft2=units * sum(area.ends_ft2 for area in pieces),
    )


def _piece_area(part: Part, coated: Coated, *, hide: bool) -> Surfaces:
    """Return the coated area of all pieces of a part in one unit; hidden area counts in step with coated faces."""
    area = surfaces(part.shape)
    faces = min(part.coated.faces, coated.faces) / 2
    shares = {
        "faces": faces,
        "edges": float(part.coated.edges and coated.edges),
        "ends": float(part.coated.ends and coated.ends),
    }
    whole = {"faces": area.faces_ft2, "edges": area.edges_ft2, "ends": area.ends_ft2}
    left = {
        surface: max(
            0.0,
            part.quantity
            * shares[surface]
            * (
                whole[surface]
                - (sum(float(h.area_in2) for h in part.hidden if h.surface == surface) / 144 if hide else 0)
            ),
        )
        for surface in whole
    }
    return Surfaces(faces_ft2=left["faces"], edges_ft2=left["edges"], ends_ft2=left["ends"])
