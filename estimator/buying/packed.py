"""Hardware and consumables: the cheapest packs that cover each need, and what is left of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimator.buying.missing_rows import consumable_row, hardware_row
from estimator.buying.packs import Pack, cheapest_packs, worth_a_look
from estimator.buying.purchase import Purchase, pack_lines, shares
from estimator.buying.sold_items import Row, SoldItem, in_whole_units, sold_items
from estimator.errors import Findings
from estimator.reading.build import ConsumableUse
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.sold import ConsumablePrice, HardwarePrice
from estimator.takeoff.hardware import HardwareNeed, hardware_key, hardware_title
from estimator.takeoff.work import ConsumableNeed, Counts, pooled
from estimator.units import common_step, decimal_text


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
class ConsumablePurchase(Purchase):
    """Packs of one consumable."""

    need: ConsumableNeed
    content: Decimal
    unit: str

    @property
    def left_over(self) -> Decimal:
        """What is bought beyond the need."""
        return self.content - self.need.quantity


def rows_of_hardware(need: HardwareNeed, order: Order) -> list[HardwarePrice]:
    """Return the price rows of a piece of hardware, whatever the spelling."""
    return [
        row
        for row in order.prices.hardware
        if hardware_key(row.kind, row.size, row.length_in, row.material) == need.key
    ]


def rows_of_consumable(need: ConsumableNeed, order: Order) -> list[ConsumablePrice]:
    """Return the price rows of a consumable, whatever the spelling."""
    return [row for row in order.prices.consumables if name_key(row.item) == name_key(need.item)]


def buy_hardware(need: HardwareNeed, order: Order, findings: Findings) -> HardwarePurchase | None:
    """Return the cheapest packs for need and spares, or None with a fault where the table has none."""
    rows = rows_of_hardware(need, order)
    title = need.title(order.shop.unit)
    if not rows:
        known = [
            hardware_title(row.kind, row.size, row.length_in, row.material, order.shop.unit)
            for row in order.prices.hardware
        ]
        hint = nearest(title, known)
        row = hardware_row(need, order.shop, hint)
        findings.fault(need.uses[0].origin, f"hardware.csv has no price for {title}{hint}; add a row", rows=(row,))
        return None
    currency = order.shop.currency
    items = _items(rows, lambda row: Fraction(row.pack))
    packs = tuple(Pack(size=item.first.pack, breaks=item.tiers) for item in items)
    counts = cheapest_packs(need.quantity + need.spares, packs)
    pieces = sum(count * pack.size for count, pack in zip(counts, packs, strict=True))
    by_build: dict[str, Fraction] = {}
    for use in need.uses:
        by_build[use.build] = by_build.get(use.build, Fraction(0)) + use.quantity
    return HardwarePurchase(
        kind="hardware",
        title=title,
        lines=pack_lines(items, counts, [(title, _pack_name(item.first.pack)) for item in items], currency),
        used_share=Fraction(need.quantity, pieces),
        by_build=shares(by_build),
        need=need,
        pieces=pieces,
    )


def _items(rows: Sequence[Row], size_of: Callable[[Row], Fraction]) -> list[SoldItem[Row]]:
    """Return the items of some rows that the cheapest packs may need."""
    items = sold_items(rows, in_whole_units(rows))
    return [items[place] for place in worth_a_look([(size_of(item.first), item.tiers) for item in items])]


def _pack_name(pieces: int) -> str:
    return "each" if pieces == 1 else f"pack of {pieces}"


def with_shop_uses(
    needs: tuple[ConsumableNeed, ...], uses: tuple[ConsumableUse, ...], counts: Counts
) -> tuple[ConsumableNeed, ...]:
    """Return the needs of the builds with what the shop uses on the order; its boards are known only once bought."""
    of_shop = (
        ConsumableNeed(origin=use.origin, item=use.item, by_build=(), shop_amount=use.amount * counts[use.per])
        for use in uses
    )
    return pooled((*needs, *(need for need in of_shop if need.quantity)))


def buy_consumable(need: ConsumableNeed, order: Order, findings: Findings) -> ConsumablePurchase | None:
    """Return the cheapest packs for a need, or None with a fault where the table has none."""
    rows = rows_of_consumable(need, order)
    if not rows:
        known = {row.item for row in order.prices.consumables}
        hint = nearest(need.item, known)
        message = f'consumables.csv has no price for "{need.item}"{hint}; add a row'
        row = consumable_row(need.item, need.origin, order.shop.price_tables, hint)
        findings.fault(need.origin, message, "item", rows=(row,))
        return None
    units = dict.fromkeys(row.unit for row in rows)
    if len(units) > 1:
        findings.fault(rows[0].origin, f'"{need.item}" is counted in {" and ".join(units)}; use one unit for all packs')
        return None
    currency = order.shop.currency
    items = _items(rows, lambda row: Fraction(row.pack))
    step = common_step(tuple(Fraction(item.first.pack) for item in items))
    packs = tuple(Pack(size=int(Fraction(item.first.pack) / step), breaks=item.tiers) for item in items)
    counts = cheapest_packs(max(1, ceil(Fraction(need.quantity) / step)), packs)
    content = sum((count * item.first.pack for count, item in zip(counts, items, strict=True)), Decimal(0))
    names = [
        (need.item, row.unit if row.pack == 1 else f"pack of {decimal_text(row.pack, 3)} {row.unit}")
        for row in (item.first for item in items)
    ]
    return ConsumablePurchase(
        kind="consumables",
        title=need.item,
        lines=pack_lines(items, counts, names, currency),
        used_share=min(Fraction(1), Fraction(need.quantity) / Fraction(content)),
        by_build=_shares_of_builds(need),
        need=need,
        content=content,
        unit=rows[0].unit,
    )


def _shares_of_builds(need: ConsumableNeed) -> tuple[tuple[str, Fraction], ...]:
    """Return which share of a need each build has to itself; the rest is the shop's."""
    amounts = {build: Fraction(amount) for build, amount in need.by_build}
    if not need.shop_amount:
        return shares(amounts)
    return tuple((build, amount / Fraction(need.quantity)) for build, amount in amounts.items())
