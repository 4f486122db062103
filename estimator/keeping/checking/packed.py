"""Goods in packs and cans: what a piece, a gallon or another unit of them costs, and other ways to read a price."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass

from estimator.keeping.checking.doubts import NEAR_IN_PACKS, Reading, money, moved_points, near_readings, slip_text
from estimator.measures import measures
from estimator.reading.fields import name_key
from estimator.reading.shop import Shop
from estimator.reading.sold import ConsumablePrice, FinishPrice, HardwarePrice
from estimator.takeoff.hardware import hardware_key
from estimator.units import decimal_text

PackedPrice = HardwarePrice | FinishPrice | ConsumablePrice


@dataclass(frozen=True, kw_only=True, slots=True)
class Packed:
    """A price row with how much it is for, in pieces, gallons or its own unit; `price` is net, in the shop's money.

    `item` is what all packs of the same goods share; sets of base and hardener are goods of their own.
    """

    row: PackedPrice
    item: Hashable
    size: float
    price: float

    @property
    def each(self) -> float:
        """What a piece, a gallon or another unit costs."""
        return self.price / self.size


def packed(rows: Iterable[PackedPrice]) -> list[Packed]:
    """Return price rows with how much they are for."""
    return [Packed(row=row, item=_item(row), size=_size(row), price=float(row.net_price)) for row in rows]


def _item(row: PackedPrice) -> Hashable:
    match row:
        case HardwarePrice():
            return hardware_key(row.kind, row.size, row.length_in, row.material)
        case FinishPrice():
            return name_key(row.product), row.hardener_gal > 0
        case ConsumablePrice():
            return name_key(row.item), name_key(row.unit)


def _size(row: PackedPrice) -> float:
    match row:
        case FinishPrice():
            return float(row.content_gal + row.hardener_gal)
        case _:
            return float(row.pack)


def readings_of(one: Packed, middle: float, like_it: Iterable[Packed]) -> list[Reading]:
    """Return what brings a price near the middle one: another pack of the goods, one piece, or the decimal point."""
    sizes = {other.size: _comes_in(other.row) for other in like_it}
    if not isinstance(one.row, FinishPrice):
        sizes[1.0] = f"one {_unit_of(one.row)}"
    others = [
        Reading(words=f"as the price of {words}", rate=one.price / size)
        for size, words in sizes.items()
        if size != one.size
    ]
    return near_readings([*others, *moved_points(float(one.row.price), one.each)], middle, NEAR_IN_PACKS)


def slip_of(one: Packed, middle: float, like_it: Iterable[Packed], shop: Shop) -> str:
    """Return the end of a sentence that says how a price would come near the others."""
    return slip_text(readings_of(one, middle, like_it), lambda each: rate_text(each, one, shop))


def rate_text(each: float, one: Packed, shop: Shop) -> str:
    """Return a price for each of what goods are compared by: `$0.12 a piece`, `$24.90 a gal`."""
    if isinstance(one.row, FinishPrice):
        shown = measures(shop.unit)
        return f"{money(each / shown.per_gal, shop.currency)} a {shown.liquid}"
    return f"{money(each, shop.currency)} a {_unit_of(one.row)}"


def _comes_in(row: PackedPrice) -> str:
    match row:
        case HardwarePrice():
            return "one piece" if row.pack == 1 else f"a pack of {row.pack}"
        case FinishPrice():
            return row.container
        case ConsumablePrice():
            return f"{decimal_text(row.pack, 3)} {row.unit}"


def _unit_of(row: PackedPrice) -> str:
    return row.unit.removesuffix("s") if isinstance(row, ConsumablePrice) else "piece"
