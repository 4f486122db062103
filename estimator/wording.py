"""Sentences about results that the terminal and the workbook both print, so that they say the same."""

from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from estimator.buying.boards import BoardPurchase
from estimator.buying.buy import BuySheet
from estimator.buying.cans import CanChoice, Cans, FinishPurchase
from estimator.buying.layouts import is_usable
from estimator.buying.volume import VolumePurchase
from estimator.costing.quote import Quote
from estimator.measures import M3_PER_FT3, measures
from estimator.reading.order import Order
from estimator.takeoff.finish import Coat
from estimator.units import board_length_text, decimal_text, length_text

COVERED_SIDE = {"low": "the low end", "middle": "the middle", "high": "the high end"}


def percent(share: Decimal | Fraction | float) -> str:
    """Write a share as a percentage with one decimal: `22.5 %`."""
    return f"{float(share) * 100:.1f} %"


def price_text(order: Order, price: Decimal) -> str:
    """Write the price of one: to the cent, or with the decimals of the table where a loose screw costs 0.035."""
    currency = order.shop.currency
    return f"{currency.symbol}{currency.unit_price(price):,}"


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
    if purchase.proved:
        within = f" ({', '.join(purchase.limits)})" if purchase.limits else ""
        source = "what is on hand and the price table" if purchase.uses_stock else "the price table"
        return f"{money(purchase.planned_amount)}, the cheapest possible from {source}{within}"
    return f"{money(purchase.planned_amount)}, at most {money(purchase.gap)} above the cheapest possible"


def plan_text(order: Order, purchase: BoardPurchase) -> str:
    """Say what is bought, how good that is and how much of it is used: `25 boards, 212 ft, ... for $397.68, ...`."""
    money, used = order.shop.currency.text, percent(purchase.used_share_of_face)
    claim = f"{_spares_text(order, purchase)}{claim_text(order, purchase)}"
    wood = "their wood" if purchase.spares else "the wood"
    text = f"{bought_text(order, purchase)} for {claim}; {used} of {wood} becomes parts."
    if purchase.saved_by_nesting:
        text += f" Nesting the slopes saves {money(purchase.saved_by_nesting)}."
    text += "".join(
        f' Matching parts "{one.matching.word}": in {one.units} of {one.matching.units} units of {one.matching.build} '
        "all from one board."
        for one in purchase.matched
    )
    return text


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
        (one.title, ", and ".join(filter(None, [_count(one.left_over, ""), _count(one.need.spares, " spare")])))
        for one in sheet.hardware
        if one.left_over or one.need.spares
    ]
    rows += [(one.title, f"{shown.liquid_of(one.left_over_gal):.2f} {shown.liquid}") for one in sheet.finish]
    rows += [(one.title, f"{decimal_text(one.left_over, 2)} {one.unit}") for one in sheet.consumables if one.left_over]
    return rows


def _count(pieces: int, what: str) -> str:
    return f"{pieces}{what}" if pieces else ""


def cans_text(purchase: FinishPurchase | Cans) -> str:
    """Return what to buy: `1 can of 5 gal and 2 cans of 1 qt`."""
    return " and ".join(
        f"{line.quantity} {line.unit if line.quantity == 1 else line.unit.replace('can', 'cans', 1)}"
        for line in purchase.lines
    )


def amount_range(low: float, high: float) -> str:
    """Write a range of amounts: `3.1 to 4.4`, or one figure where both read the same; small ones with more digits."""
    digits = 1 if high >= 1 else 2
    ends = f"{low:.{digits}f}", f"{high:.{digits}f}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def finish_sums(order: Order, purchase: FinishPurchase) -> str:
    """Say what the cans hold, which side of the range they cover, and what is left over."""
    shown, need = measures(order.shop.unit), purchase.need
    low, high = shown.liquid_of(need.need_at_high_rate_gal), shown.liquid_of(need.need_at_low_rate_gal)
    return (
        f"Together {low:.2f} to {high:.2f} {shown.liquid}. The cans hold "
        f"{shown.liquid_of(purchase.content_gal):.2f} {shown.liquid} and cover {COVERED_SIDE[need.cover]} of the "
        f"spreading rate ({shown.liquid_of(need.need_gal):.2f} {shown.liquid}, shop setting), with "
        f"{shown.liquid_of(purchase.left_over_gal):.2f} {shown.liquid} left over."
    )


def loss_text(coat: Coat) -> str:
    """Say what a coat's method loses and where that comes from: `Loss 10 % by brush: shop setting`."""
    return f"Loss {coat.loss_percent} % by {coat.step.method}: {coat.loss_source}"


def end_grain_text(order: Order) -> str:
    """Say how often the area of ends counts; nothing where end grain is taken to be no thirstier than a face."""
    times = order.shop.finish.end_grain_factor
    return "" if times == 1 else f"The areas count end grain {times} times, for it drinks more (shop setting)."


def decision_sentences(order: Order, purchase: FinishPurchase, choice: CanChoice) -> list[str]:
    """Say whether the cans are enough and how surely, what is left over is good for, and what else to think of."""
    sentences = [_enough_sentence(order, purchase, choice)]
    if choice.more_units:
        sentences.append(f"What is left over would do for {choice.more_units} more of {order.items[0].build.name}.")
    if choice.cheaper:
        sentences.append(_cheaper_sentence(order, purchase, choice.cheaper, choice.cheaper_chance))
    if _several(purchase):
        sentences.append("Box the cans (pour them together) before you start, so that all of it is of one colour.")
    return sentences


def _enough_sentence(order: Order, purchase: FinishPurchase, choice: CanChoice) -> str:
    enough, spare = f"{_bare_cans(purchase)} {_is(purchase)} enough", choice.spare_share
    if spare is None:
        return f"{enough}."
    if choice.safe is None:
        return f"{enough}, with {f'{floor(spare * 100)} %' if spare >= 0.01 else 'nothing'} to spare."
    short = f"{'they fall' if _several(purchase) else 'it falls'} short by {ceil(-spare * 100)} %"
    more = order.shop.currency.text(choice.safe.amount - purchase.amount)
    return (
        f"{enough} only where the product goes far: at the low rate {short}; {_bare_cans(choice.safe)} "
        f"{'cost' if _several(choice.safe) else 'costs'} {more} more. {_chance_sentence(purchase, choice.chance)}"
    )


def _cheaper_sentence(order: Order, purchase: FinishPurchase, cheaper: Cans, chance: float) -> str:
    money = order.shop.currency.text
    return (
        f"{_bare_cans(cheaper)} for {money(cheaper.amount)} would save {money(purchase.amount - cheaper.amount)}, and "
        f"may be too little. {_chance_sentence(cheaper, chance)}"
    )


def _chance_sentence(cans: FinishPurchase | Cans, chance: float) -> str:
    """Say how likely it is that cans are enough, and what that assumes; never 0 or 100 %, for it is neither."""
    they = "they are" if _several(cans) else "it is"
    shown = min(99, max(1, round(chance * 100)))
    return f"The chance that {they} enough is {shown} %, if the need is evenly spread between both ends."


def _bare_cans(cans: FinishPurchase | Cans) -> str:
    """Return cans as one speaks of them: `1 qt` where it is a single one, else `2 cans of 1 qt`."""
    return cans_text(cans) if _several(cans) else cans.lines[0].unit.removeprefix("can of ")


def _several(cans: FinishPurchase | Cans) -> bool:
    return sum(line.quantity for line in cans.lines) > 1


def _is(cans: FinishPurchase | Cans) -> str:
    return "are" if _several(cans) else "is"


def tax_title(order: Order) -> str:
    """Return the tax as it is printed: `Sales tax, 6.25 %, rounded on the invoice`."""
    tax = order.shop.tax
    return f"{tax.name}, {tax.percent} %, rounded on {'each line' if tax.rounded_per == 'line' else 'the invoice'}"


def profit_title(quote: Quote) -> str:
    """Return the planned profit both ways: `With 22.0 % margin (28.2 % markup)`."""
    return f"With {percent(quote.planned_margin)} margin ({percent(quote.planned_markup)} markup)"
