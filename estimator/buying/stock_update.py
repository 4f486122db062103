"""What a planned job takes out of the boards on hand and what it puts in, and what is on hand afterwards."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import floor

from estimator.buying.buy import BuySheet
from estimator.buying.layouts import CutLayout, is_usable
from estimator.errors import Origin
from estimator.reading.shop import Shop
from estimator.reading.stock import StockRow
from estimator.standards.sections import Section
from estimator.takeoff.lumber import TAPE_STEP_IN

IN_NO_LIST_YET = Origin(file="")


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOver:
    """Offcuts of one size that a job leaves and that are worth keeping."""

    species: str
    grade: str
    section: Section
    length_in: Fraction
    quantity: int


@dataclass(frozen=True, kw_only=True, slots=True)
class StockUse:
    """What a job takes of each row on hand, and what it leaves."""

    taken: Mapping[StockRow, int]
    left_overs: tuple[LeftOver, ...]


def stock_use(sheet: BuySheet, shop: Shop) -> StockUse:
    """Return what the cutting plans take out of stock and put in; spare boards are left aside."""
    layouts = [layout for purchase in sheet.boards for layout in purchase.layouts]
    taken: dict[StockRow, int] = {}
    for layout in layouts:
        if row := layout.offer.on_hand:
            taken[row] = taken.get(row, 0) + layout.boards
    found = (_left_over(layout, shop) for layout in layouts if is_usable(layout, shop.saw))
    return StockUse(taken=taken, left_overs=tuple(one for one in found if one.length_in))


def _left_over(layout: CutLayout, shop: Shop) -> LeftOver:
    """Return what a layout leaves, its length rounded down to what a tape shows: stock is never longer than it is."""
    step_in = TAPE_STEP_IN[shop.unit]
    return LeftOver(
        species=layout.row.species,
        grade=layout.row.grade,
        section=layout.row.section,
        length_in=floor(layout.left_over_in / step_in) * step_in,
        quantity=layout.boards,
    )


def stock_after(
    rows: Sequence[StockRow], taken: Mapping[StockRow, int], left_overs: Sequence[LeftOver]
) -> tuple[StockRow, ...]:
    """Return what is on hand once a job has taken its boards and put in its left-overs.

    A left-over is counted with the first row of its size, or becomes a row behind the others. Rows of which the last
    piece is taken go. Raises ValueError where more is taken than there is.
    """
    after = list(rows)
    for row, pieces in taken.items():
        if not 0 <= pieces <= row.quantity:
            raise ValueError(f"{pieces} of {row.quantity} pieces of {row.title} cannot be taken")
        after[after.index(row)] = replace(row, quantity=row.quantity - pieces)
    for left_over in left_overs:
        _put_in(after, left_over)
    gone = {row.origin for row in taken}
    return tuple(row for row in after if row.quantity or row.origin not in gone)


def _put_in(rows: list[StockRow], left_over: LeftOver) -> None:
    for place, row in enumerate(rows):
        if _is_of_size(row, left_over):
            rows[place] = replace(row, quantity=row.quantity + left_over.quantity)
            return
    rows.append(
        StockRow(
            origin=IN_NO_LIST_YET,
            species=left_over.species,
            grade=left_over.grade,
            section=left_over.section,
            length_in=left_over.length_in,
            quantity=left_over.quantity,
            value=None,
            place="",
            note="",
        )
    )


def _is_of_size(row: StockRow, left_over: LeftOver) -> bool:
    same_wood = row.is_of(species=left_over.species, grade=left_over.grade, section=left_over.section)
    return same_wood and row.length_in == left_over.length_in
