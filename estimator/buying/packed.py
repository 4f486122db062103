"""Hardware, finish and consumables: the cheapest packs and cans that cover each need, and what is left of them."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from estimator.buying.packs import Pack, cheapest_of_each_size, cheapest_packs
from estimator.buying.purchase import BuyLine, Purchase, shares
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.prices import ConsumablePrice, FinishPrice, HardwarePrice
from estimator.takeoff.finish import FinishNeed
from estimator.takeoff.hardware import HardwareNeed, hardware_key, hardware_title
from estimator.takeoff.work import ConsumableNeed
from estimator.units import L_PER_GAL, common_step, decimal_text

# Cans of both systems share no step that is not absurdly fine; their contents are then counted in millilitres.
MOST_CAN_UNITS = 10_000


@dataclass(frozen=True, kw_only=True, slots=True)
class HardwarePurchase(Purchase):
    """Packs of one piece of hardware."""

    need: HardwareNeed
    pieces: int

    @property
    def left_over(self) -> int:
        """Pieces bought beyond need and spares."""
        return self.pieces - self.need.quantity - self.need.spares


@dataclass(frozen=True, kw_only=True, slots=True)
class FinishPurchase(Purchase):
    """Cans of one product."""

    need: FinishNeed
    content_gal: Fraction

    @property
    def left_over_gal(self) -> float:
        """Gallons bought beyond the need that was covered."""
        return float(self.content_gal) - self.need.need_gal


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsumablePurchase(Purchase):
    """Packs of one consumable."""

    need: ConsumableNeed
    content: Decimal
    unit: str

    @property
    def left_over(self) -> Decimal:
        """What is bought beyond the need."""
        return self.content - self.need.quantity


def _whole_prices(rows: list[HardwarePrice] | list[FinishPrice] | list[ConsumablePrice]) -> list[int]:
    """Return the prices in whole numbers of the finest part that one of them is written in."""
    digits = max(0, *(-int(row.price.as_tuple().exponent) for row in rows))
    return [int(row.price.scaleb(digits)) for row in rows]


def _pack_lines(
    rows: list[HardwarePrice] | list[FinishPrice] | list[ConsumablePrice],
    counts: tuple[int, ...],
    names: list[tuple[str, str]],
    currency: Currency,
) -> tuple[BuyLine, ...]:
    """Return a line for each pack that is bought; `names` holds the item and the unit of each row."""
    return tuple(
        BuyLine(
            item=item,
            quantity=Decimal(count),
            unit=unit,
            unit_price=currency.unit_price(row.price),
            amount=currency.rounded(count * row.price),
            row=row,
        )
        for row, count, (item, unit) in zip(rows, counts, names, strict=True)
        if count
    )


def buy_hardware(need: HardwareNeed, order: Order, findings: Findings) -> HardwarePurchase | None:
    """Return the cheapest packs for need and spares, or None with a fault where the table has none."""
    rows = [
        row
        for row in order.prices.hardware
        if hardware_key(row.kind, row.size, row.length_in, row.material) == need.key
    ]
    title = need.title(order.shop.unit)
    if not rows:
        known = [
            hardware_title(row.kind, row.size, row.length_in, row.material, order.shop.unit)
            for row in order.prices.hardware
        ]
        findings.fault(need.uses[0].origin, f"hardware.csv has no price for {title}{nearest(title, known)}; add a row")
        return None
    currency = order.shop.currency
    places = cheapest_of_each_size((Fraction(row.pack), row.price) for row in rows)
    rows = [rows[place] for place in places]
    packs = tuple(Pack(size=row.pack, price=price) for row, price in zip(rows, _whole_prices(rows), strict=True))
    counts = cheapest_packs(need.quantity + need.spares, packs)
    pieces = sum(count * pack.size for count, pack in zip(counts, packs, strict=True))
    by_build: dict[str, Fraction] = {}
    for use in need.uses:
        by_build[use.build] = by_build.get(use.build, Fraction(0)) + use.quantity
    return HardwarePurchase(
        kind="hardware",
        title=title,
        lines=_pack_lines(rows, counts, [(title, _pack_name(row.pack)) for row in rows], currency),
        used_share=Fraction(need.quantity, pieces),
        by_build=shares(by_build),
        need=need,
        pieces=pieces,
    )


def _pack_name(pieces: int) -> str:
    return "each" if pieces == 1 else f"pack of {pieces}"


def buy_finish(need: FinishNeed, order: Order, findings: Findings) -> FinishPurchase | None:
    """Return the cheapest cans for a need, or None with a fault where the table has none."""
    rows = [row for row in order.prices.finishes if name_key(row.product) == name_key(need.product)]
    if not rows:
        known = {row.product for row in order.prices.finishes}
        findings.fault(
            need.coats[0].step.origin,
            f'finishes.csv has no price for "{need.product}"{nearest(need.product, known)}; add a row',
            "product",
        )
        return None
    currency = order.shop.currency
    places = cheapest_of_each_size((row.content_gal, row.price) for row in rows)
    rows = [rows[place] for place in places]
    step_gal = common_step(tuple(row.content_gal for row in rows))
    if max(row.content_gal for row in rows) / step_gal > MOST_CAN_UNITS:
        step_gal = 1 / L_PER_GAL / 1000
    packs = tuple(
        Pack(size=floor(row.content_gal / step_gal), price=price)
        for row, price in zip(rows, _whole_prices(rows), strict=True)
    )
    wanted = max(1, ceil(need.need_gal / float(step_gal) - 1e-9))  # a coat on no area still opens one can
    counts = cheapest_packs(wanted, packs)
    content_gal = sum((count * row.content_gal for count, row in zip(counts, rows, strict=True)), Fraction(0))
    by_build: dict[str, Fraction] = {}
    for coat in need.coats:
        by_build[coat.build] = by_build.get(coat.build, Fraction(0)) + Fraction(coat.need_at_low_rate_gal)
    return FinishPurchase(
        kind="finish",
        title=need.product,
        lines=_pack_lines(rows, counts, [(need.product, f"can of {row.container}") for row in rows], currency),
        used_share=min(Fraction(1), Fraction(need.need_gal) / content_gal),
        by_build=shares(by_build),
        need=need,
        content_gal=content_gal,
    )


def buy_consumable(need: ConsumableNeed, order: Order, findings: Findings) -> ConsumablePurchase | None:
    """Return the cheapest packs for a need, or None with a fault where the table has none."""
    rows = [row for row in order.prices.consumables if name_key(row.item) == name_key(need.item)]
    if not rows:
        known = {row.item for row in order.prices.consumables}
        findings.fault(
            need.origin, f'consumables.csv has no price for "{need.item}"{nearest(need.item, known)}; add a row', "item"
        )
        return None
    units = dict.fromkeys(row.unit for row in rows)
    if len(units) > 1:
        findings.fault(rows[0].origin, f'"{need.item}" is counted in {" and ".join(units)}; use one unit for all packs')
        return None
    currency = order.shop.currency
    places = cheapest_of_each_size((Fraction(row.pack), row.price) for row in rows)
    rows = [rows[place] for place in places]
    step = common_step(tuple(Fraction(row.pack) for row in rows))
    packs = tuple(
        Pack(size=int(Fraction(row.pack) / step), price=price)
        for row, price in zip(rows, _whole_prices(rows), strict=True)
    )
    counts = cheapest_packs(max(1, ceil(Fraction(need.quantity) / step)), packs)
    content = sum((count * row.pack for count, row in zip(counts, rows, strict=True)), Decimal(0))
    names = [
        (need.item, row.unit if row.pack == 1 else f"pack of {decimal_text(row.pack, 3)} {row.unit}") for row in rows
    ]
    return ConsumablePurchase(
        kind="consumables",
        title=need.item,
        lines=_pack_lines(rows, counts, names, currency),
        used_share=min(Fraction(1), Fraction(need.quantity) / Fraction(content)),
        by_build=shares({build: Fraction(amount) for build, amount in need.by_build}),
        need=need,
        content=content,
        unit=rows[0].unit,
    )
