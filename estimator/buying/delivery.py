"""Delivery: what fetching from a supplier costs beside its prices, borne by the builds that it is fetched for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from estimator.buying.purchase import BuyLine, Purchase, shares
from estimator.money import Currency
from estimator.reading.fields import name_key
from estimator.reading.sold import PriceRow
from estimator.reading.suppliers import Supplier

DELIVERY = "delivery"


@dataclass(frozen=True, kw_only=True, slots=True)
class DeliveryPurchase(Purchase):
    """A visit to one supplier, and what is paid to reach its minimum order."""

    supplier: Supplier


@dataclass(frozen=True, kw_only=True, slots=True)
class TopUpRow(PriceRow):
    """What is paid to reach a minimum order, as a price, and that minimum."""

    minimum_order: Decimal


def delivery(
    supplier: Supplier, top_up: Decimal, purchases: Iterable[Purchase], day: date, currency: Currency
) -> DeliveryPurchase | None:
    """Return what a visit costs, None where it costs nothing; the builds share it by the value of what is fetched."""
    lines = []
    if supplier.visit_cost:
        row = PriceRow(origin=supplier.at("visit_cost"), supplier=supplier.name, price=supplier.visit_cost, day=day)
        lines.append(_line(row, f"Delivery or visit: {supplier.name}"))
    if top_up:
        least = currency.text(supplier.minimum_order)
        topped_up = TopUpRow(
            origin=supplier.at("minimum_order"),
            supplier=supplier.name,
            price=top_up,
            day=day,
            minimum_order=supplier.minimum_order,
        )
        lines.append(_line(topped_up, f"Up to the minimum order of {least}: {supplier.name}"))
    if not lines:
        return None
    return DeliveryPurchase(
        kind=DELIVERY,
        title=f"Delivery: {supplier.name}",
        lines=tuple(lines),
        used_share=Fraction(1),
        by_build=_by_value(supplier, list(purchases)),
        supplier=supplier,
    )


def _line(row: PriceRow, item: str) -> BuyLine:
    return BuyLine(item=item, quantity=Decimal(1), unit="order", unit_price=row.price, amount=row.price, row=row)


def _by_value(supplier: Supplier, purchases: Sequence[Purchase]) -> tuple[tuple[str, Fraction], ...]:
    """Return each build's share of what is fetched; what the shop fetches for itself on the order is nobody's."""
    fetched = [
        (Fraction(line.amount), purchase)
        for purchase in purchases
        for line in purchase.lines
        if name_key(line.row.supplier) == name_key(supplier.name)
    ]
    weights: dict[str, Fraction] = {}
    for amount, purchase in fetched:
        for build, share in purchase.by_build:
            weights[build] = weights.get(build, Fraction(0)) + amount * share
    total = sum((amount for amount, _ in fetched), Fraction(0))
    return tuple((build, weight / total) for build, weight in weights.items()) if total else shares(weights)
