"""Sentences about results that the terminal and the workbook both print, so that they say the same."""

from decimal import Decimal
from fractions import Fraction

from estimator.buying.board_purchase import BoardPurchase, Surplus
from estimator.buying.buy import BuySheet, is_stale
from estimator.buying.layouts import is_usable
from estimator.buying.purchase import BuyLine
from estimator.buying.supplier_plan import listed
from estimator.buying.volume import VolumePurchase
from estimator.costing.quote import Quote
from estimator.measures import M3_PER_FT3, measures
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice
from estimator.units import board_length_text, decimal_text, length_text


def percent(share: Decimal | Fraction | float) -> str:
    """Write a share as a percentage with one decimal: `22.5 %`."""
    return f"{float(share) * 100:.1f} %"


def price_text(order: Order, price: Decimal) -> str:
    """Write the price of one: to the cent, or with the decimals of the table where a loose screw costs 0.035."""
    return order.shop.currency.price_text(price)


def listed_price(order: Order, line: BuyLine) -> str:
    """Return the price on the supplier's own list where it is not the one paid: `12.00 EUR`, `$69.00 with tax`.

    Nothing where both are the same. A board that is priced by its measure has another price on the list too.
    """
    row, seller = line.row, line.row.seller
    if seller is None or not row.is_changed:
        return ""
    price = seller.currency.unit_price(row.price)
    own = seller.currency == order.shop.currency
    text = seller.currency.price_text(price) if own else f"{price:,f} {seller.currency.code}"
    if isinstance(row, LumberPrice) and not (row.pricing.basis == "each" and row.pricing.units == 1):
        text += f" per {row.per}"
    return f"{text} with tax" if seller.tax_included_percent else text


def bought_item(order: Order, line: BuyLine) -> str:
    """Return what a line buys, with the day of its price where that is older than the shop's limit."""
    return f"{line.item} (price of {line.row.day})" if is_old(order, line) else line.item


def is_old(order: Order, line: BuyLine) -> bool:
    """Whether the price of a line is older on the day of the quote than the shop's limit."""
    return is_stale((order.day - line.row.day).days, order)


def bought_text(order: Order, purchase: BoardPurchase) -> str:
    """Say what is bought for a need: `25 boards, 212 ft, 141.3 board feet`, or metres and cubic metres."""
    shown = measures(order.shop.unit)
    volume = (
        f"{float(purchase.bought_board_feet):.1f} board feet"
        if order.shop.unit == "in"
        else f"{float(purchase.bought_volume_ft3 * M3_PER_FT3):.4f} m3"
    )
    run = decimal_text(shown.run_of(purchase.bought_length_ft), 1)
    return f"{purchase.boards} board{'s' * (purchase.boards > 1)}, {run} {shown.run}, {volume}"


def claim_text(order: Order, purchase: BoardPurchase) -> str:
    """Say how good the boards are: the cheapest possible where that is proved, else by how much it may be missed."""
    money = order.shop.currency.text
    kept_to = purchase.kept_to
    why = f", {kept_to.reason}" if kept_to else ""
    if purchase.proved:
        within = f" ({', '.join(purchase.limits)})" if purchase.limits else ""
        sold = "the suppliers visited" if order.is_choosing_suppliers else "the price table"
        sold = listed(kept_to.names) if kept_to else sold
        source = f"what is on hand and {sold}" if purchase.uses_stock else sold
        return f"{money(purchase.planned_amount)}, the cheapest possible from {source}{why}{within}"
    source = f" from {listed(kept_to.names)}" if kept_to and kept_to.names else ""
    return f"{money(purchase.planned_amount)}, at most {money(purchase.gap)} above the cheapest possible{source}{why}"


def plan_text(order: Order, purchase: BoardPurchase) -> str:
    """Say what is bought, how good that is and how much of it is used: `25 boards, 212 ft, ... for $397.68, ...`."""
    money, used = order.shop.currency.text, percent(purchase.used_share_of_face)
    claim = f"{_spares_text(order, purchase)}{claim_text(order, purchase)}"
    wood = "their wood" if purchase.spares else "the wood"
    text = f"{bought_text(order, purchase)} for {claim}; {used} of {wood} becomes parts."
    if purchase.saved_by_nesting:
        text += f" Nesting the slopes saves {money(purchase.saved_by_nesting)}."
    text += "".join(_surplus_text(order, one) for one in purchase.surplus)
    text += "".join(
        f' Matching parts "{one.matching.word}": in {one.units} of {one.matching.units} units of {one.matching.build} '
        "all from one board."
        for one in purchase.matched
    )
    return text


def _surplus_text(order: Order, surplus: Surplus) -> str:
    """Say which boards are bought only because with them the others cost less."""
    row, length = surplus.offer.row, board_length_text(surplus.offer.length_in, order.shop.unit)
    count = f"{surplus.boards} board{'s' * (surplus.boards > 1)} of {length}"
    verb = "is" if surplus.boards == 1 else "are"
    return f" {count} {verb} left whole: from {row.from_quantity} on they cost less."


def _spares_text(order: Order, purchase: BoardPurchase) -> str:
    """Say which of the boards are spares, before what the others cost; nothing where there are none."""
    if purchase.spares is None:
        return ""
    money, length = order.shop.currency.text, board_length_text(purchase.spares.offer.length_in, order.shop.unit)
    spares = f"{purchase.spares.boards} of {length} to spare for {money(purchase.spares.amount)}"
    return f"{money(purchase.amount)}, {spares}; the others for "


def allowance_text(purchase: VolumePurchase) -> str:
    """Say that lumber by volume is an allowance and where its yield comes from."""
    return (
        f"an allowance, not a cutting plan: {float(purchase.rough_measure):.3f} {purchase.row.per} of pieces with "
        f"their extra length and width, at a yield of {decimal_text(purchase.yield_percent, 1)} % "
        f"({purchase.yield_source})"
    )


def left_over_rows(order: Order, sheet: BuySheet) -> list[tuple[str, str]]:
    """Return what stays on the shelf: usable offcuts, fasteners, finish and consumables beyond the need."""
    shown = measures(order.shop.unit)
    rows = [
        (
            f"{purchase.title} offcut, {length_text(layout.left_over_in, order.shop.unit)}",
            f"{layout.boards} piece{'s' * (layout.boards > 1)}",
        )
        for purchase in sheet.boards
        for layout in purchase.layouts
        if is_usable(layout, order.shop.saw)
    ]
    rows += [
        (
            f"{purchase.title}, {board_length_text(one.offer.length_in, order.shop.unit)}",
            f"{one.boards} board{'s' * (one.boards > 1)}",
        )
        for purchase in sheet.boards
        for one in purchase.surplus
    ]
    rows += [
        (one.title, ", and ".join(filter(None, [_count(one.left_over, ""), _count(one.need.spares, " spare")])))
        for one in sheet.hardware
        if one.left_over or one.need.spares
    ]
    liquids = [(part.product, part.left_over_gal) for one in sheet.finish for part in one.components]
    liquids += [(one.title, one.left_over_gal) for one in sheet.auxiliaries]
    rows += [(name, f"{shown.liquid_of(left_gal):.2f} {shown.liquid}") for name, left_gal in liquids]
    rows += [(one.title, f"{decimal_text(one.left_over, 2)} {one.unit}") for one in sheet.consumables if one.left_over]
    return rows


def _count(pieces: int, what: str) -> str:
    return f"{pieces}{what}" if pieces else ""


def tax_title(order: Order) -> str:
    """Return the tax as it is printed: `Sales tax, 6.25 %, rounded on the invoice`."""
    tax = order.shop.tax
    return f"{tax.name}, {tax.percent} %, rounded on {'each line' if tax.rounded_per == 'line' else 'the invoice'}"


def profit_title(quote: Quote) -> str:
    """Return the planned profit both ways: `With 22.0 % margin (28.2 % markup)`."""
    return f"With {percent(quote.planned_margin)} margin ({percent(quote.planned_markup)} markup)"
