"""Sentences about where things are bought, and the lines for each supplier; terminal and workbook say the same."""

from decimal import Decimal

from estimator.buying.buy import BuySheet
from estimator.buying.offers import ON_HAND
from estimator.buying.purchase import BuyLine
from estimator.buying.supplier_plan import SupplierPlan, listed
from estimator.reading.fields import name_key
from estimator.reading.order import Order

NOBODY = "nobody, for all is on hand"
SET_STOPS = ("one stop", "fewest stops")  # rules by which it is settled how many suppliers are visited


def supplier_sentences(order: Order, sheet: BuySheet) -> list[str]:
    """Say who is visited and what that costs, how good the choice is, and what one supplier fewer or more would do.

    Where the shop's rule is not to buy at the least cost, also what it costs to keep to it.
    """
    plan = sheet.supplier_plan
    if plan is None:
        return []
    return [
        _visits_sentence(order, sheet, plan),
        _claim_sentence(order, plan),
        *_without_rule_sentences(order, plan),
        *_fewer_sentences(order, plan),
        *_more_sentences(order, plan),
    ]


def _visits_sentence(order: Order, sheet: BuySheet, plan: SupplierPlan) -> str:
    money = order.shop.currency.text
    beside = f", of it {money(sheet.delivery_amount)} for deliveries and visits" if sheet.delivery_amount else ""
    return f"Buy from {listed(plan.names) or NOBODY}: {money(sheet.amount)}{beside}."


def _claim_sentence(order: Order, plan: SupplierPlan) -> str:
    begin, choice = _kept_to(order, plan)
    if not plan.gap:
        return f"{begin}No {choice} is cheaper{' by more than rounding' if plan.is_rounded else ''}."
    aside = ", rounding aside" if plan.is_rounded else ""
    return f"{begin}That is at most {order.shop.currency.text(plan.gap)} above the cheapest {choice}{aside}."


def _kept_to(order: Order, plan: SupplierPlan) -> tuple[str, str]:
    """Say how the shop's rule was kept to, if at all, and among what the choice was."""
    stops, preferred = len(plan.names), order.shop.supplier_choice.preferred
    match plan.rule:
        case "one stop":
            return "", "single supplier"
        case "fewest stops" if stops > 1:
            fewer = "No single supplier has" if stops == 2 else f"Fewer than {stops} suppliers do not have"
            return f"{fewer} everything. ", f"choice of {stops} suppliers"
        case "fewest stops":
            return "", "single supplier"
        case "prefer" if name_key(preferred) in map(name_key, plan.names):
            return f"What {preferred} has is bought there, as the shop settings ask. ", "choice for the rest"
        case "prefer":
            return f"{preferred} has nothing that this order needs. ", "choice of suppliers"
        case _:
            return "", "choice of suppliers"


def _without_rule_sentences(order: Order, plan: SupplierPlan) -> list[str]:
    """Say what all would cost where it is cheapest, and so what it costs to keep to the shop's rule."""
    best, money = plan.without_rule, order.shop.currency.text
    if best is None:
        return []
    begin = "Without the preference" if plan.rule == "prefer" else "From any number of suppliers"
    if best.costs_less > 0:
        less = f"{money(best.total)}, {money(best.costs_less)} less"
        return [f"{begin} it would cost {less}, from {listed(best.names) or NOBODY}."]
    if best.at_most_less > 0:
        return [f"{begin} it would cost at most {money(best.at_most_less)} less."]
    return [f"{begin} it would cost no less."]


def _fewer_sentences(order: Order, plan: SupplierPlan) -> list[str]:
    """Say what one supplier fewer would cost, of those that take something for a visit or have a minimum order.

    A preferred supplier stays, and those that take nothing may be visited at any time, so neither is counted. By the
    other rules none can be fewer.
    """
    if plan.rule in SET_STOPS or not plan.asking:
        return []
    kept, counted = plan.rule == "prefer", "fewer of the suppliers that charge for a visit or have a minimum order"
    fewer = f"With one {counted if plan.free else 'supplier fewer'}"
    if plan.fewer is None and plan.asking == 1:
        return []  # that without any of them not all can be had needs no saying
    if plan.fewer is None:
        return [f"{fewer} not all of {'the rest' if kept else 'it'} can be had."] if plan.all_fewer_tried else []
    is_best = plan.all_fewer_tried and plan.fewer_proved
    best = f"the best {'' if is_best else 'found '}is {listed(plan.fewer.names) or NOBODY}"
    return [f"{fewer}{' for the rest' if kept else ''}, {best}: it {_more_or_less(order, plan.fewer.costs_more)}."]


def _more_sentences(order: Order, plan: SupplierPlan) -> list[str]:
    """Say what a visit to one more supplier would do, so that it can be read what it may cost to be worth it.

    All are visited then and paid their minimum orders, even who would sell nothing any more.
    """
    if plan.rule in SET_STOPS or not plan.unvisited:
        return []
    rest = " for the rest" if plan.rule == "prefer" else ""
    if plan.more is None:
        return [f"A visit to another supplier as well{rest} would make nothing cheaper."]
    more, money = plan.more, order.shop.currency.text
    costs = _more_or_less(order, more.costs_more, "in all", at_most=not more.proved)
    if more.goods_less <= 0:
        return [f"A visit to {more.name} as well{rest} {costs}."]
    has_minimum = any(one.minimum_order for one in order.prices.suppliers)
    beside = f"{money(more.beside_more)} more for visits{' and minimum orders' if has_minimum else ''}"
    return [f"A visit to {more.name} as well{rest} {costs}: {beside}, {money(more.goods_less)} less for the goods."]


def _more_or_less(order: Order, more: Decimal, how: str = "", *, at_most: bool = False) -> str:
    money, most = order.shop.currency.text, "at most " if at_most else ""
    if more > 0:
        said = f"would cost {most}{money(more)} more"
    else:
        said = f"would save {money(-more)}" if more else "costs the same"
    return f"{said} {how}".rstrip()


def lines_by_supplier(sheet: BuySheet) -> dict[str, list[BuyLine]]:
    """Return what is fetched from each supplier, what is on hand last."""
    lines = [line for purchase in sheet.purchases for line in purchase.lines]
    names = sorted({line.row.supplier for line in lines}, key=lambda name: (name == ON_HAND, name))
    return {name: [line for line in lines if line.row.supplier == name] for name in names}


def amounts_by_supplier(sheet: BuySheet) -> dict[str, Decimal]:
    """Return what is paid to each supplier, what is on hand last, at what it counts."""
    return {name: sum((line.amount for line in lines), Decimal(0)) for name, lines in lines_by_supplier(sheet).items()}


def is_split(sheet: BuySheet) -> bool:
    """Whether suppliers were chosen, or one kind of thing comes from several, so that lists by kind would mislead."""
    kinds = {purchase.kind for purchase in sheet.purchases}
    return sheet.supplier_plan is not None or any(len(_sellers(sheet, kind)) > 1 for kind in kinds)


def _sellers(sheet: BuySheet, kind: str) -> set[str]:
    lines = (line for purchase in sheet.purchases if purchase.kind == kind for line in purchase.lines)
    return {line.row.supplier for line in lines} - {ON_HAND}
