"""The buy sheet: everything an order takes, bought at the least cost from the price tables.

A price that is missing is a fault, never a zero, and all of them are reported together. A price older than the shop's
limit is noticed wherever it is used.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from estimator.buying.boards import BoardPurchase, buy_boards
from estimator.buying.cans import FinishPurchase, buy_finish
from estimator.buying.offers import offers_on_hand
from estimator.buying.packed import ConsumablePurchase, HardwarePurchase, buy_consumable, buy_hardware
from estimator.buying.purchase import Purchase
from estimator.buying.volume import VolumePurchase, buy_volume
from estimator.errors import Findings, Origin
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.takeoff.lumber import LumberNeed
from estimator.takeoff.take_off import TakeOff
from estimator.units import length_text


@dataclass(frozen=True, kw_only=True, slots=True)
class BuySheet:
    """All purchases of an order."""

    boards: tuple[BoardPurchase, ...]
    volumes: tuple[VolumePurchase, ...]
    hardware: tuple[HardwarePurchase, ...]
    finish: tuple[FinishPurchase, ...]
    consumables: tuple[ConsumablePurchase, ...]

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """All of them, in the order of the buy sheet."""
        return (*self.boards, *self.volumes, *self.hardware, *self.finish, *self.consumables)

    @property
    def amount(self) -> Decimal:
        """What everything costs at the till."""
        return sum((purchase.amount for purchase in self.purchases), Decimal(0))


def buy(order: Order, takeoff: TakeOff, findings: Findings) -> BuySheet:
    """Return the cheapest purchases found for a take-off; missing prices are noted in `findings` as faults."""
    needs = takeoff.order
    lumber = [_buy_lumber(need, order, findings) for need in needs.lumber]
    hardware = [buy_hardware(need, order, findings) for need in needs.hardware]
    finish = [buy_finish(need, order, findings) for need in needs.finish]
    consumables = [buy_consumable(need, order, findings) for need in needs.consumables]
    sheet = BuySheet(
        boards=tuple(one for one in lumber if isinstance(one, BoardPurchase)),
        volumes=tuple(one for one in lumber if isinstance(one, VolumePurchase)),
        hardware=tuple(one for one in hardware if one is not None),
        finish=tuple(one for one in finish if one is not None),
        consumables=tuple(one for one in consumables if one is not None),
    )
    _notice_stale(sheet, order, findings)
    return sheet


def is_stale(row_age_days: int, order: Order) -> bool:
    """Whether a price so many days old is older than the shop's limit."""
    return row_age_days > order.shop.stale_after_days


def _notice_stale(sheet: BuySheet, order: Order, findings: Findings) -> None:
    for line in (line for purchase in sheet.purchases for line in purchase.lines):
        notice_if_stale(line.row.origin, line.row.day, order, findings, item=line.item)


def notice_if_stale(origin: Origin, day: date, order: Order, findings: Findings, *, item: str) -> None:
    """Note a price or a rate that is older on the day of the quote than the shop's limit."""
    age = (order.day - day).days
    if age < 0:
        findings.notice(
            origin, f"the price of {item} is of {day}, after the quote's {order.day}; mend whichever is wrong"
        )
    if is_stale(age, order):
        findings.notice(
            origin,
            f"the price of {item} is of {day}, {age} days before the quote; the shop's limit is "
            f"{order.shop.stale_after_days} days",
        )


def _buy_lumber(need: LumberNeed, order: Order, findings: Findings) -> BoardPurchase | VolumePurchase | None:
    rows = [
        row
        for row in order.prices.lumber
        if name_key(row.species) == name_key(need.species) and row.section.text == need.section.text
    ]
    of_grade = [row for row in rows if not need.grade or name_key(row.grade) == name_key(need.grade)]
    origin = need.pieces[0].part.origin
    grades = {name_key(row.grade): row.grade for row in of_grade}
    if len(grades) > 1:
        named = ", ".join(grade or "none named" for grade in grades.values())
        findings.fault(origin, f"{need.title} is sold in several grades ({named}); name one", "grade")
        return None
    on_hand = offers_on_hand(need, tuple(of_grade), order, findings)
    if not of_grade and not on_hand:
        others = [" ".join(filter(None, [row.species, row.grade, row.section.text])) for row in order.prices.lumber]
        findings.fault(origin, f"lumber.csv has no price for {need.title}{nearest(need.title, others)}; add a row")
        return None
    if not _can_be_milled(need, order, findings):
        return None
    fixed = tuple(row for row in of_grade if row.length_in is not None)
    if fixed or not of_grade:
        return buy_boards(need, fixed, order.shop, findings, on_hand)
    return buy_volume(need, tuple(of_grade), order.shop, findings)


def _can_be_milled(need: LumberNeed, order: Order, findings: Findings) -> bool:
    """Whether rough boards are thick and wide enough for every part with what milling takes; notes what is not."""
    section, shop = need.section, order.shop
    if not section.rough:
        return True
    faults_before = len(findings.faults)
    for piece in need.pieces:
        wanted = {
            "thickness": (piece.part.shape.thickness_in + shop.rough_lumber.extra_thickness_in, section.thickness_in),
            "width": (piece.blank_width_in, section.width_in),
        }
        for name, (takes_in, has_in) in wanted.items():
            if has_in is not None and takes_in > has_in:
                findings.fault(
                    piece.part.origin,
                    f'"{piece.part.name}" takes {length_text(takes_in, shop.unit)} of {name} with what milling takes '
                    f"off, and {section.text} has {length_text(has_in, shop.unit)}; take a larger section, or less "
                    "under [rough_lumber] in the shop settings",
                    name,
                )
    return len(findings.faults) == faults_before
