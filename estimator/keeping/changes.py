"""What changes in a table when a new list is taken over: new, gone, dearer and cheaper goods, with jumps marked."""

from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.offers import units_in_board
from estimator.keeping.written_numbers import PRICE_PLACES
from estimator.money import rounded
from estimator.reading.sold import ConsumablePrice, FinishPrice, HardwarePrice, LumberPrice, SoldPrice
from estimator.takeoff.hardware import hardware_title
from estimator.units import board_length_text, decimal_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """What happens to the price of one item; a side without a price is None, and `percent` then too.

    Both prices are per the same: where the list changed what it prices by, the old one is worked out anew.
    """

    key: Hashable
    item: str
    per: str
    old_price: Decimal | None = None
    new_price: Decimal | None = None
    percent: Decimal | None = None
    jump: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Changes:
    """All changes of one list, each kind in the order of the list; what is gone in that of the old one."""

    new: tuple[Change, ...] = ()
    gone: tuple[Change, ...] = ()
    up: tuple[Change, ...] = ()
    down: tuple[Change, ...] = ()
    same: tuple[Change, ...] = ()

    @property
    def jumps(self) -> tuple[Change, ...]:
        """Prices that change by more than the shop is used to, the largest change first."""
        jumps = (one for one in (*self.up, *self.down) if one.jump)
        return tuple(sorted(jumps, key=lambda one: -abs(one.percent or Decimal(0))))


def price_key(row: SoldPrice) -> Hashable:
    """Return what tells one price of a supplier from another; how much it is makes no part of that."""
    return row.item_key, row.from_quantity


def compared(old: Iterable[SoldPrice], new: Iterable[SoldPrice], *, unit: str, jump_percent: Decimal) -> Changes:
    """Return the changes from one table to another; in each, no two prices have one key."""
    before = {price_key(row): row for row in old}
    after = {price_key(row): row for row in new}
    changes = [_change(before.get(key), row, key, unit, jump_percent) for key, row in after.items()]
    gone = [
        Change(key=key, item=item_words(row, unit), per=sold_per(row), old_price=row.price)
        for key, row in before.items()
        if key not in after
    ]
    return Changes(
        new=tuple(one for one in changes if one.percent is None),
        gone=tuple(gone),
        up=tuple(one for one in changes if one.percent is not None and rise(one) > 0),
        down=tuple(one for one in changes if one.percent is not None and rise(one) < 0),
        same=tuple(one for one in changes if one.percent is not None and rise(one) == 0),
    )


def rise(change: Change) -> Decimal:
    """Return by how much a price rose, both sides of it being there."""
    return (change.new_price or Decimal(0)) - (change.old_price or Decimal(0))


def _change(old: SoldPrice | None, new: SoldPrice, key: Hashable, unit: str, jump_percent: Decimal) -> Change:
    item, per = item_words(new, unit), sold_per(new)
    if old is None:
        return Change(key=key, item=item, per=per, new_price=new.price)
    before = Fraction(old.price) * units_ratio(old, new)
    percent = (Fraction(new.price) / before - 1) * 100 if new.price != before else Fraction(0)
    return Change(
        key=key,
        item=item,
        per=per,
        old_price=old.price if before == old.price else rounded(before, PRICE_PLACES).normalize(),
        new_price=new.price,
        percent=rounded(percent, 1),
        jump=abs(percent) > Fraction(jump_percent),
    )


def units_ratio(old: SoldPrice, new: SoldPrice) -> Fraction | int:
    """Return how many times the unit of the new price goes into that of the old one, for one and the same item."""
    if not (isinstance(old, LumberPrice) and isinstance(new, LumberPrice)) or old.pricing == new.pricing:
        return 1
    if new.length_in is None:
        return new.pricing.units / old.pricing.units
    return units_in_board(old) / units_in_board(new)


def item_words(row: SoldPrice, unit: str) -> str:
    """Return the name of an item with what it comes in, and from how many on the price holds."""
    match row:
        case LumberPrice():
            length = board_length_text(row.length_in, unit) if row.length_in is not None else "random length"
            words = f"{' '.join(filter(None, [row.species, row.grade, row.section.text]))}, {length}"
        case HardwarePrice():
            title = hardware_title(row.kind, row.size, row.length_in, row.material, unit)
            words = f"{title}, {'each' if row.pack == 1 else f'pack of {row.pack}'}"
        case FinishPrice():
            words = f"{row.product}, can of {row.container}"
        case ConsumablePrice():
            words = f"{row.item}, pack of {decimal_text(row.pack, 3)} {row.unit}"
    return words if row.from_quantity == 1 else f"{words}, from {row.from_quantity} on"


def sold_per(row: SoldPrice) -> str:
    """Return what the price of an item is per, in the words of the history."""
    match row:
        case LumberPrice():
            return row.per
        case HardwarePrice():
            return "each" if row.pack == 1 else "pack"
        case FinishPrice():
            return "can"
        case ConsumablePrice():
            return "pack"
