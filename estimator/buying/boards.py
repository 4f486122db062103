"""Boards: which lengths to buy of each section and how to cut them, from what is on hand and what the table offers."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from math import ceil

from estimator.buying.board_plan import BoardPlan, Planner, plan_boards
from estimator.buying.board_purchase import BoardPurchase, Spares, Surplus
from estimator.buying.board_search import BoardItem, board_items
from estimator.buying.cutting.job import NotEnoughStock, PieceTooLong
from estimator.buying.layouts import CutLayout, is_usable
from estimator.buying.missing_rows import lumber_row
from estimator.buying.offers import Offer, board_price
from estimator.buying.price_breaks import cost_of
from estimator.buying.purchase import BuyLine, shares
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.cutting_settings import SawSettings
from estimator.reading.shop import Shop
from estimator.reading.sold import LumberPrice
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import board_length_text, length_text


def buy_boards(
    need: LumberNeed,
    rows: tuple[LumberPrice, ...],
    shop: Shop,
    findings: Findings,
    on_hand: tuple[Offer, ...] = (),
    planner: Planner = plan_boards,
) -> BoardPurchase | None:
    """Return the cheapest boards found for a need, or None with a fault where a piece is longer than every board."""
    worthless = next((row for row in rows if not board_price(row, shop.currency)), None)
    if worthless is not None:
        message = f"a board at {worthless.price} {worthless.per} costs less than a coin; mend the price"
        findings.fault(worthless.origin, message, "price")
        return None
    items = board_items(rows, shop.currency)
    try:
        plan = planner(need, items, on_hand, shop)
    except PieceTooLong as refusal:
        _report_too_long(need, max(_lengths_in(items, on_hand)), shop, refusal.pieces, findings)
        return None
    except NotEnoughStock as refusal:
        _report_shortage(need, refusal, shop, findings)
        return None
    layouts, spares, surplus = _bought(plan, items, shop)
    purchase = BoardPurchase(
        kind="lumber",
        title=need.title,
        lines=(),
        used_share=Fraction(1),
        by_build=shares(_used_by_build(need)),
        need=need,
        layouts=layouts,
        bound=_money(plan.bound, shop.currency),
        unnested_amount=_money(plan.unnested_cost, shop.currency),
        spares=spares,
        surplus=surplus,
    )
    lines = _lines(purchase, shop)
    return replace(purchase, lines=lines, used_share=_used_share(purchase, lines, shop.saw))


def _bought(
    plan: BoardPlan, items: Sequence[BoardItem], shop: Shop
) -> tuple[tuple[CutLayout, ...], Spares | None, tuple[Surplus, ...]]:
    """Return the layouts with the prices that are paid in the end, the spare boards, and the surplus of breaks."""
    place, spare_boards = spares_of(plan, items, shop.saw)
    needed = [used + (spare_boards if place == n else 0) for n, used in enumerate(plan.used)]
    bought = [item.bought(boards) for item, boards in zip(items, needed, strict=True)]
    offers = [Offer(row=row, unit_price=board_price(row, shop.currency)) for row, _ in bought]
    layouts = _merged([layout if n is None else replace(layout, offer=offers[n]) for layout, n in plan.placed])
    surplus = tuple(
        Surplus(offer=offer, boards=paid - boards)
        for offer, (_, paid), boards in zip(offers, bought, needed, strict=True)
        if paid > boards
    )
    if place is None:
        return layouts, None, surplus
    more = _money(_more_for(items[place], plan.used[place], spare_boards), shop.currency)
    spares = Spares(offer=offers[place], boards=spare_boards, saved=spare_boards * offers[place].unit_price - more)
    return layouts, spares, surplus


def spares_of(plan: BoardPlan, items: Sequence[BoardItem], saw: SawSettings) -> tuple[int | None, int]:
    """Return which item spare boards are of, None for none, and how many: a share of the plan's, and at least so many.

    They are the cheapest that can take the place of any in the plan; where a board on hand is longer than all that can
    be bought, the longest of those.
    """
    planned = sum(layout.boards for layout, _ in plan.placed)
    boards = max(saw.spare_boards_at_least, ceil(planned * Fraction(saw.spare_boards_percent) / 100))
    if not boards or not items:
        return None, 0
    lengths_in = _lengths_in(items)
    longest_in = min(max(layout.board_length_in for layout, _ in plan.placed), max(lengths_in))
    long_enough = [place for place, length_in in enumerate(lengths_in) if length_in >= longest_in]
    return min(long_enough, key=lambda place: _more_for(items[place], plan.used[place], boards)), boards


def _more_for(item: BoardItem, used: int, more: int) -> int:
    """Return what boards of an item cost more with some more of them, in coins."""
    return cost_of(item.tiers, used + more) - cost_of(item.tiers, used)


def _lengths_in(items: Sequence[BoardItem], on_hand: Sequence[Offer] = ()) -> list[Fraction]:
    return [offer.length_in for offer in on_hand] + [item.first.length_in or Fraction(0) for item in items]


def _merged(layouts: Sequence[CutLayout]) -> tuple[CutLayout, ...]:
    """Return layouts with those added up that cut boards of one price alike, long boards first."""
    merged: list[CutLayout] = []
    for layout in layouts:
        alike = next((n for n, one in enumerate(merged) if replace(one, boards=layout.boards) == layout), None)
        if alike is None:
            merged.append(layout)
        else:
            merged[alike] = replace(merged[alike], boards=merged[alike].boards + layout.boards)
    return tuple(sorted(merged, key=lambda one: (-one.board_length_in, -one.boards, one.left_over_in)))


def _money(coins: int, currency: Currency) -> Decimal:
    return Decimal(coins).scaleb(-currency.digits)


def _lines(purchase: BoardPurchase, shop: Shop) -> tuple[BuyLine, ...]:
    return tuple(
        BuyLine(
            item=f"{purchase.title}, {board_length_text(offer.length_in, shop.unit)}",
            quantity=Decimal(boards),
            unit="board",
            unit_price=offer.unit_price,
            amount=boards * offer.unit_price,
            row=offer.row,
        )
        for offer, boards in purchase.boards_by_offer()
    )


def _used_share(purchase: BoardPurchase, lines: tuple[BuyLine, ...], saw: SawSettings) -> Fraction:
    """Return how much of the money goes into the work: spares, surplus and usable left-overs stay on the shelf."""
    amount = sum((line.amount for line in lines), Decimal(0))
    kept = sum((_left_over_value(layout, saw) for layout in purchase.layouts), Fraction(0))
    kept += sum((Fraction(one.boards * one.offer.unit_price) for one in purchase.uncut), Fraction(0))
    return 1 - kept / Fraction(amount) if amount else Fraction(1)


def _left_over_value(layout: CutLayout, saw: SawSettings) -> Fraction:
    """Return what the usable left-overs of a layout are worth: their share of the board's length and price."""
    if not is_usable(layout, saw):
        return Fraction(0)
    return layout.boards * Fraction(layout.unit_price) * layout.left_over_in / layout.board_length_in


def _used_by_build(need: LumberNeed) -> dict[str, Fraction]:
    used: dict[str, Fraction] = {}
    for piece in need.pieces:
        area_in2 = piece.quantity * piece.blank_length_in * piece.blank_width_in
        used[piece.build] = used.get(piece.build, Fraction(0)) + area_in2
    return used


def _report_too_long(
    need: LumberNeed, longest_in: Fraction, shop: Shop, pieces: tuple[int, ...], findings: Findings
) -> None:
    usable = length_text(max(Fraction(0), longest_in - 2 * shop.saw.end_trim_in), shop.unit)
    for place in pieces:
        piece = need.pieces[place]
        findings.fault(
            piece.part.origin,
            f'"{piece.part.name}" takes {length_text(piece.blank_length_in, shop.unit)} of {need.title}, and the '
            f"longest board in the price table gives {usable} once its ends are squared; add a longer one, or join two",
            "length",
        )


def _report_shortage(need: LumberNeed, refusal: NotEnoughStock, shop: Shop, findings: Findings) -> None:
    """Note that the boards on hand are too few where the price table offers none."""
    short: list[tuple[PieceNeed, int]] = [
        (piece, missing) for piece, missing in zip(need.pieces, refusal.shortages, strict=True) if missing
    ]
    missing = ", ".join(f"{count} of {piece.name}" for piece, count in short)
    findings.fault(
        short[0][0].part.origin,
        f"the boards on hand leave uncut: {missing}, and lumber.csv has no price for {need.title}; add a row",
        "section",
        rows=(lumber_row(need, shop),),
    )
