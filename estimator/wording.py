"""Sentences about results that the terminal and the workbook both print, so that they say the same."""

from decimal import Decimal
from fractions import Fraction

from estimator.buying.boards import BoardPurchase, CutLayout, is_usable
from estimator.buying.buy import BuySheet
from estimator.buying.packed import FinishPurchase
from estimator.buying.volume import VolumePurchase
from estimator.costing.quote import Quote
from estimator.measures import M3_PER_FT3, measures
from estimator.reading.order import Order
from estimator.solid import ends_square
from estimator.takeoff.lumber import PieceNeed
from estimator.units import decimal_text, length_text

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
        return f"{money(purchase.amount)}, the cheapest possible from the price table{within}"
    return f"{money(purchase.amount)}, at most {money(purchase.gap)} above the cheapest possible"


def plan_text(order: Order, purchase: BoardPurchase) -> str:
    """Say what is bought, how good that is and how much of it is used: `25 boards, 212 ft, ... for $397.68, ...`."""
    used = percent(used_length_share(purchase))
    return f"{bought_text(order, purchase)} for {claim_text(order, purchase)}; {used} of the length is used."


def used_length_share(purchase: BoardPurchase) -> Fraction:
    """Return how much of the length bought becomes parts."""
    return purchase.need.length_ft / purchase.bought_length_ft


def allowance_text(purchase: VolumePurchase) -> str:
    """Say that lumber by volume is an allowance and where its yield comes from."""
    return (
        f"an allowance, not a cutting plan: {float(purchase.rough_measure):.3f} {purchase.row.per} of pieces with "
        f"their extra length and width, at a yield of {decimal_text(purchase.yield_percent, 1)} % "
        f"({purchase.yield_source})"
    )


def cut_text(piece: PieceNeed, unit: str) -> str:
    """Say how a piece is cut: `19 in`, or `31 1/4 in, ends 15 and 15 deg, takes 32 13/64 in`, and ripped."""
    shape = piece.part.shape
    text = length_text(shape.length_in, unit)
    if not ends_square(shape):
        left, right = (decimal_text(degrees, 1) for degrees in (shape.left_degrees, shape.right_degrees))
        text += f", ends {left} and {right} deg, takes {length_text(piece.blank_length_in, unit)}"
    return ", ".join([text, *_sawn(piece, unit)])


def _sawn(piece: PieceNeed, unit: str) -> list[str]:
    """Say what is done to a piece besides its ends: ripped to its width, planed to its thickness, corners clipped."""
    shape, section, steps = piece.part.shape, piece.part.section, []
    if section.width_in is not None and shape.width_in != section.width_in:
        strips = f"into {piece.strips} of" if piece.strips > 1 else "to"
        steps.append(f"rip {strips} {length_text(shape.width_in, unit)}")
    if shape.thickness_in != section.thickness_in:
        steps.append(f"plane to {length_text(shape.thickness_in, unit)}")
    if shape.clips:
        clip = shape.clips[0]
        size = f"{length_text(clip.along_in, unit)} x {length_text(clip.across_in, unit)}"
        steps.append(f"clip {size} at {' and '.join(one.corner for one in shape.clips)}")
    return steps


MARKS_TEXT = (
    "A mark is where a piece ends; at a leaning end, its furthest point. Cut each piece to its own length with a stop: "
    'the marks show where it lies. What a piece "takes" holds the wider cut of a leaning end.'
)


def layout_runs(order: Order, layout: CutLayout) -> list[tuple[int, str, str]]:
    """Return each run of equal blanks on a board: how many, what they are, and the marks of their far ends.

    A mark is written `118-15/16`, so that no line ends between its inches and their fraction.
    """
    unit, runs, place = order.shop.unit, [], 0
    while place < len(layout.blanks):
        piece = layout.blanks[place].piece
        run = [blank for blank in layout.blanks[place:] if blank.piece is piece]
        place += len(run)
        marks = ", ".join(length_text(blank.end_in, unit).removesuffix(f" {unit}").replace(" ", "-") for blank in run)
        runs.append((len(run), f"{piece.name}, {cut_text(piece, unit)}", marks))
    return runs


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


def cans_text(purchase: FinishPurchase) -> str:
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


def tax_title(order: Order) -> str:
    """Return the tax as it is printed: `Sales tax, 6.25 %, rounded on the invoice`."""
    tax = order.shop.tax
    return f"{tax.name}, {tax.percent} %, rounded on {'each line' if tax.rounded_per == 'line' else 'the invoice'}"


def profit_title(quote: Quote) -> str:
    """Return the planned profit both ways: `With 22.0 % margin (28.2 % markup)`."""
    return f"With {percent(quote.planned_margin)} margin ({percent(quote.planned_markup)} markup)"
