"""Lumber: the price rows and the boards on hand that a need can be met from, bought as boards or by volume."""

from estimator.buying.board_plan import Planner, plan_boards
from estimator.buying.board_purchase import BoardPurchase
from estimator.buying.boards import buy_boards
from estimator.buying.missing_rows import lumber_row
from estimator.buying.offers import offers_on_hand
from estimator.buying.volume import VolumePurchase, buy_volume
from estimator.errors import Findings
from estimator.reading.fields import name_key, nearest
from estimator.reading.order import Order
from estimator.reading.sold import LumberPrice
from estimator.takeoff.lumber import LumberNeed
from estimator.units import length_text


def buy_lumber(
    need: LumberNeed,
    order: Order,
    findings: Findings,
    open_to: frozenset[str] | None = None,
    planner: Planner = plan_boards,
) -> BoardPurchase | VolumePurchase | None:
    """Return the cheapest boards or the cheapest volume for a need, or None with a fault where it cannot be met.

    With `open_to` only from those suppliers, by the keys of their names; None without a fault where they have nothing.
    """
    rows = rows_of_wood(need, order)
    origin = need.pieces[0].part.origin
    grades = {name_key(row.grade): row.grade for row in rows}
    if len(grades) > 1:
        named = ", ".join(grade or "none named" for grade in grades.values())
        findings.fault(origin, f"{need.title} is sold in several grades ({named}); name one", "grade")
        return None
    on_hand = offers_on_hand(need, rows, order, findings)
    if not rows and not on_hand:
        others = [" ".join(filter(None, [row.species, row.grade, row.section.text])) for row in order.prices.lumber]
        hint = nearest(need.title, others)
        row = lumber_row(need, order.shop, hint)
        findings.fault(origin, f"lumber.csv has no price for {need.title}{hint}; add a row", rows=(row,))
        return None
    if not _can_be_milled(need, order, findings):
        return None
    sold = rows_sold(rows)
    by_volume = any(row.length_in is None for row in sold)
    sold = tuple(row for row in sold if open_to is None or name_key(row.supplier) in open_to)
    if by_volume:
        return buy_volume(need, sold, order.shop, findings) if sold else None
    return buy_boards(need, sold, order.shop, findings, on_hand, planner) if sold or on_hand else None


def rows_of_wood(need: LumberNeed, order: Order) -> tuple[LumberPrice, ...]:
    """Return the price rows of a need's species, section and grade."""
    return tuple(
        row
        for row in order.prices.lumber
        if name_key(row.species) == name_key(need.species)
        and row.section.text == need.section.text
        and (not need.grade or name_key(row.grade) == name_key(need.grade))
    )


def rows_sold(rows: tuple[LumberPrice, ...]) -> tuple[LumberPrice, ...]:
    """Return the rows of boards of a fixed length, which can be planned; all of them where there are none."""
    return tuple(row for row in rows if row.length_in is not None) or rows


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
