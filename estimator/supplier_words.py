"""Sentences about where things are bought, and the lines for each supplier; terminal and workbook say the same."""

from decimal import Decimal

from estimator.buying.buy import BuySheet
from estimator.buying.offers import ON_HAND
from estimator.buying.purchase import BuyLine
from estimator.buying.supplier_choice import SupplierPlan
from estimator.reading.order import Order


def supplier_sentences(order: Order, sheet: BuySheet) -> list[str]:
    """Say who is visited and what that costs, how good the choice is, and what one supplier fewer or more would do."""
    plan = sheet.supplier_plan
    if plan is None:
        return []
    return [
        _visits_sentence(order, sheet, plan),
        _claim_sentence(order, plan),
        *_fewer_sentences(order, plan),
        *_more_sentences(order, plan),
    ]


def _visits_sentence(order: Order, sheet: BuySheet, plan: SupplierPlan) -> str:
    money = order.shop.currency.text
    beside = f", of it {money(sheet.delivery_amount)} for deliveries and visits" if sheet.delivery_amount else ""
    return f"Buy from {_listed(plan.names)}: {money(sheet.amount)}{beside}."


def _claim_sentence(order: Order, plan: SupplierPlan) -> str:
    preferred = order.shop.supplier_choice.preferred
    choice, begin = {
        "cheapest": ("choice of suppliers", ""),
        "one stop": ("single supplier", ""),
        "prefer": ("choice for the rest", f"What {preferred} has is bought there, as the shop settings ask. "),
    }[plan.rule]
    if plan.proved:
        return f"{begin}No {choice} is cheaper."
    return f"{begin}That is at most {order.shop.currency.text(plan.gap)} above the cheapest {choice}."


def _fewer_sentences(order: Order, plan: SupplierPlan) -> list[str]:
    """Say what one supplier fewer would cost, of those that take something for a visit or have a minimum order."""
    if plan.rule == "one stop" or not plan.asking:
        return []
    if plan.fewer is None:
        return ["With one supplier fewer not all of it can be had."]
    costs = _more_or_less(order, plan.fewer.costs_more)
    return [f"With one supplier fewer, the best is {_listed(plan.fewer.names) or 'what is on hand'}: it {costs}."]


def _more_sentences(order: Order, plan: SupplierPlan) -> list[str]:
    """Say what a visit to one more supplier would do, so that it can be read what it may cost to be worth it."""
    if plan.rule == "one stop" or not plan.unvisited:
        return []
    if plan.more is None:
        return ["A visit to another supplier as well would make nothing cheaper."]
    more, money = plan.more, order.shop.currency.text
    costs = _more_or_less(order, more.costs_more, "in all")
    if more.goods_less <= 0:
        return [f"A visit to {more.name} as well {costs}."]
    has_minimum = any(one.minimum_order for one in order.prices.suppliers)
    beside = f"{money(more.beside_more)} more for visits{' and minimum orders' if has_minimum else ''}"
    return [f"A visit to {more.name} as well {costs}: {beside}, {money(more.goods_less)} less for the goods."]


def _more_or_less(order: Order, more: Decimal, how: str = "") -> str:
    money = order.shop.currency.text
    said = f"would cost {money(more)} more" if more > 0 else f"would save {money(-more)}" if more else "costs the same"
    return f"{said} {how}".rstrip()


def _listed(names: tuple[str, ...]) -> str:
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def lines_by_supplier(sheet: BuySheet) -> dict[str, list[BuyLine]]:
    """Return what is fetched from each supplier, what is on hand last."""
    lines = [line for purchase in sheet.purchases for line in purchase.lines]
    names = sorted({line.row.supplier for line in lines}, key=lambda name: (name == ON_HAND, name))
    return {name: [line for line in lines if line.row.supplier == name] for name in names}


def is_split(sheet: BuySheet) -> bool:
    """Whether suppliers were chosen, or one kind of thing comes from several, so that lists by kind would mislead."""
    kinds = {purchase.kind for purchase in sheet.purchases}
    return sheet.supplier_plan is not None or any(len(_sellers(sheet, kind)) > 1 for kind in kinds)


def _sellers(sheet: BuySheet, kind: str) -> set[str]:
    lines = (line for purchase in sheet.purchases if purchase.kind == kind for line in purchase.lines)
    return {line.row.supplier for line in lines} - {ON_HAND}
