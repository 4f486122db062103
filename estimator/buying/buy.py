"""The buy sheet: everything an order takes, bought at the least cost from the price tables.

A price that is missing is a fault, never a zero, and all of them are reported together. A price older than the shop's
limit is noticed wherever it is used.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.cans import AuxiliaryPurchase, FinishPurchase
from estimator.buying.delivery import DeliveryPurchase, delivery
from estimator.buying.packed import ConsumablePurchase, HardwarePurchase
from estimator.buying.purchase import Purchase
from estimator.buying.shopping import boards_in, buy_need, consumables_of, needs_of
from estimator.buying.supplier_choice import buy_where_it_pays
from estimator.buying.supplier_plan import SupplierPlan
from estimator.buying.volume import VolumePurchase
from estimator.errors import Findings, Origin
from estimator.reading.fields import name_key
from estimator.reading.order import Order
from estimator.takeoff.take_off import TakeOff


@dataclass(frozen=True, kw_only=True, slots=True)
class BuySheet:
    """All purchases of an order."""

    boards: tuple[BoardPurchase, ...]
    volumes: tuple[VolumePurchase, ...]
    hardware: tuple[HardwarePurchase, ...]
    finish: tuple[FinishPurchase, ...]
    consumables: tuple[ConsumablePurchase, ...]
    auxiliaries: tuple[AuxiliaryPurchase, ...] = ()
    deliveries: tuple[DeliveryPurchase, ...] = ()
    supplier_plan: SupplierPlan | None = None  # None where there is nothing to choose among

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """All of them, in the order of the buy sheet."""
        return (
            *self.boards,
            *self.volumes,
            *self.hardware,
            *self.finish,
            *self.auxiliaries,
            *self.consumables,
            *self.deliveries,
        )

    @property
    def delivery_amount(self) -> Decimal:
        """What of it is paid for visits and to reach minimum orders."""
        return sum((purchase.amount for purchase in self.deliveries), Decimal(0))

    @property
    def amount(self) -> Decimal:
        """What everything costs at the till."""
        return sum((purchase.amount for purchase in self.purchases), Decimal(0))


def buy(order: Order, takeoff: TakeOff, findings: Findings) -> BuySheet:
    """Return the cheapest purchases found for a take-off; missing prices are noted in `findings` as faults.

    Where it costs something to visit suppliers, the cheapest set of them is sought; else all are open.
    """
    where = buy_where_it_pays(order, takeoff, findings)
    if where is None:
        return _finished(_sheet_of(_buy_from_all(order, takeoff, findings)), order, findings)
    sheet = _sheet_of(where.purchases)
    sheet = replace(sheet, supplier_plan=where.plan, deliveries=_deliveries(order, sheet, where.plan))
    return _finished(sheet, order, findings)


def _buy_from_all(order: Order, takeoff: TakeOff, findings: Findings) -> list[Purchase]:
    found = [buy_need(need, order, findings) for need in needs_of(takeoff)]
    bought = [one for one in found if one is not None]
    # Where the lumber cannot be bought there are no boards, and what goes by boards would not be asked for as yet.
    unknown = any(one is None for one in found[: len(takeoff.order.lumber)])
    consumables = consumables_of(order, takeoff, max(boards_in(bought), int(unknown)))
    late = [buy_need(need, order, findings) for need in consumables]
    return [*bought, *(one for one in late if one is not None)]


def _sheet_of(purchases: Sequence[Purchase]) -> BuySheet:
    return BuySheet(
        boards=tuple(one for one in purchases if isinstance(one, BoardPurchase)),
        volumes=tuple(one for one in purchases if isinstance(one, VolumePurchase)),
        hardware=tuple(one for one in purchases if isinstance(one, HardwarePurchase)),
        finish=tuple(one for one in purchases if isinstance(one, FinishPurchase)),
        auxiliaries=tuple(one for one in purchases if isinstance(one, AuxiliaryPurchase)),
        consumables=tuple(one for one in purchases if isinstance(one, ConsumablePurchase)),
    )


def _deliveries(order: Order, sheet: BuySheet, plan: SupplierPlan) -> tuple[DeliveryPurchase, ...]:
    visited = {name_key(name) for name in plan.names}
    found = (
        delivery(
            supplier,
            plan.top_ups.get(name_key(supplier.name), Decimal(0)),
            sheet.purchases,
            order.day,
            order.shop.currency,
        )
        for supplier in order.prices.suppliers
        if name_key(supplier.name) in visited
    )
    return tuple(one for one in found if one is not None)


def _finished(sheet: BuySheet, order: Order, findings: Findings) -> BuySheet:
    """Return the sheet, old prices and old rates noticed."""
    for line in (line for purchase in sheet.purchases for line in purchase.lines):
        notice_if_stale(line.row.origin, line.row.day, order, findings, item=line.item)
        seller = line.row.seller
        if seller and seller.rate_day is not None:
            notice_if_stale(seller.at("rate_date"), seller.rate_day, order, findings, item=f"1 {seller.currency.code}")
    return sheet


def is_stale(row_age_days: int, order: Order) -> bool:
    """Whether a price so many days old is older than the shop's limit."""
    return row_age_days > order.shop.stale_after_days


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
