"""Boards: which lengths to buy of each section and how to cut them, from the prices the table offers."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from math import ceil, floor

from estimator.buying.cutting.job import CuttingJob, CuttingPlan, Piece, PieceTooLong, Stock
from estimator.buying.purchase import BuyLine, Purchase, shares
from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.prices import LumberPrice
from estimator.reading.shop import SawSettings, Shop
from estimator.solid import ends_square
from estimator.standards.board_measure import board_feet
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import IN3_PER_FT3, MM_PER_IN, board_length_text, common_step, length_text

# Up to so many units on the longest board the planner is quick; finer lengths are rounded, on the safe side.
MOST_UNITS = 50_000
COARSE_STEP_IN = 1 / MM_PER_IN / 10


@dataclass(frozen=True, kw_only=True, slots=True)
class Blank:
    """A length of board on a layout, measured from the squared datum end; it is ripped into its piece's strips."""

    piece: PieceNeed
    start_in: Fraction
    end_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class CutLayout:
    """One way to cut a board, and how many boards are cut so."""

    row: LumberPrice
    board_length_in: Fraction
    unit_price: Decimal
    boards: int
    blanks: tuple[Blank, ...]
    left_over_in: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class BoardPurchase(Purchase):
    """Boards of one section with their cutting list.

    `bound` is an amount that no plan for these pieces, boards and prices can be under, within `limits`: ways of cutting
    that the planner leaves out.
    """

    need: LumberNeed
    layouts: tuple[CutLayout, ...]
    bound: Decimal

    @property
    def proved(self) -> bool:
        """Whether no cheaper boards exist."""
        return self.amount == self.bound

    @property
    def limits(self) -> tuple[str, ...]:
        """Ways to save that are left out of the plan and of its bound."""
        parts = [piece.part for piece in self.need.pieces]
        ripped = any(part.shape.width_in != part.section.width_in for part in parts)
        leaning = not all(ends_square(part.shape) for part in parts)
        return (*(["one part a blank"] if ripped else []), *(["slopes not nested"] if leaning else []))

    @property
    def gap(self) -> Decimal:
        """How much cheaper a plan could be at the most."""
        return self.amount - self.bound

    @property
    def bought_length_ft(self) -> Fraction:
        """Running feet bought."""
        return sum((layout.boards * layout.board_length_in for layout in self.layouts), Fraction(0)) / 12

    @property
    def bought_board_feet(self) -> Fraction:
        """Board feet bought, by nominal measure."""
        return sum(
            (layout.boards * _board_feet(layout.row, layout.board_length_in) for layout in self.layouts), Fraction(0)
        )

    @property
    def bought_volume_ft3(self) -> Fraction:
        """Cubic feet bought, by nominal size."""
        return sum(
            (layout.boards * _cubic_feet(layout.row, layout.board_length_in) for layout in self.layouts), Fraction(0)
        )

    @property
    def boards(self) -> int:
        """How many boards are bought."""
        return sum(layout.boards for layout in self.layouts)


def board_price(row: LumberPrice, currency: Currency) -> Decimal:
    """Return what one board costs, rounded to the cent: the price times how many of its units the board holds."""
    return currency.rounded(Fraction(row.price) * units_in_board(row))


def units_in_board(row: LumberPrice) -> Fraction:
    """Return how many of the units its price is per one board holds: feet, metres, board feet, cubic metres, or 1."""
    length_in = row.length_in or Fraction(0)
    measure = {
        "each": Fraction(1),
        "foot": length_in / 12,
        "board foot": _board_feet(row, length_in),
        "cubic foot": _cubic_feet(row, length_in),
    }[row.pricing.basis]
    return measure / row.pricing.units


def _board_feet(row: LumberPrice, length_in: Fraction) -> Fraction:
    section = row.section
    return board_feet(
        thickness_in=section.nominal_thickness_in, width_in=section.nominal_width_in or 0, length_ft=length_in / 12
    )


def _cubic_feet(row: LumberPrice, length_in: Fraction) -> Fraction:
    section = row.section
    return section.nominal_thickness_in * (section.nominal_width_in or 0) * length_in / IN3_PER_FT3


def buy_boards(need: LumberNeed, rows: tuple[LumberPrice, ...], shop: Shop, findings: Findings) -> BoardPurchase | None:
    """Return the cheapest boards found for a need, or None with a fault where a piece is longer than every board."""
    priced = [(row, board_price(row, shop.currency)) for row in rows]
    if not all(price for _, price in priced):
        row = next(row for row, price in priced if not price)
        findings.fault(row.origin, f"a board at {row.price} {row.per} costs less than a coin; mend the price", "price")
        return None
    try:
        plan, bound = _plan(need, priced, shop)
    except PieceTooLong as refusal:
        _report_too_long(need, rows, shop, refusal.pieces, findings)
        return None
    layouts = _layouts(plan, need, priced, shop.saw)
    amount = _money(plan.cost, shop.currency)
    kept = sum((_left_over_value(layout, shop.saw) for layout in layouts), Fraction(0))
    return BoardPurchase(
        kind="lumber",
        title=need.title,
        lines=_lines(layouts, need, shop),
        used_share=1 - kept / Fraction(amount) if amount else Fraction(1),
        by_build=shares(_used_by_build(need)),
        need=need,
        layouts=layouts,
        bound=_money(bound, shop.currency),
    )


def _plan(need: LumberNeed, priced: list[tuple[LumberPrice, Decimal]], shop: Shop) -> tuple[CuttingPlan, int]:
    """Return a plan and a cost no plan for the exact lengths is under, in coins.

    Lengths that share no step coarse enough (inches mixed with millimetres) are rounded. First so that everything fits
    more easily than it does: the bound of that holds for the exact lengths, and so does its plan where it fits them.
    Where it does not, they are rounded the safe way for the plan.
    """
    from estimator.buying.cutting.plan import plan_cuts  # noqa: PLC0415 - numpy and HiGHS load with the first plan

    step_in = _step_in(need, priced, shop.saw)
    if step_in is not None:
        exact = plan_cuts(_cutting_job(need, priced, shop, step_in, safe=True))
        return exact, exact.lower_bound
    easier = plan_cuts(_cutting_job(need, priced, shop, COARSE_STEP_IN, safe=False))
    if all(_fits(layout.counts, need, priced[layout.stock][0], shop.saw) for layout in easier.layouts):
        return easier, easier.lower_bound
    safe = plan_cuts(_cutting_job(need, priced, shop, COARSE_STEP_IN, safe=True))
    return safe, min(safe.cost, easier.lower_bound)


def _usable_in(row: LumberPrice, saw: SawSettings) -> Fraction:
    """Return what is left of a board once both ends are squared."""
    return max(Fraction(0), (row.length_in or Fraction(0)) - 2 * saw.end_trim_in)


def _step_in(need: LumberNeed, priced: list[tuple[LumberPrice, Decimal]], saw: SawSettings) -> Fraction | None:
    """Return the step that all lengths share, or None where it is too fine to plan with."""
    usable_in = [_usable_in(row, saw) for row, _ in priced]
    blanks_in = [piece.blank_length_in for piece in need.pieces]
    step_in = common_step((*blanks_in, saw.kerf_in, *filter(None, usable_in)))
    return step_in if max(usable_in) / step_in <= MOST_UNITS else None


def _fits(counts: tuple[int, ...], need: LumberNeed, row: LumberPrice, saw: SawSettings) -> bool:
    """Whether so many of each piece fit on a board by their exact lengths."""
    blanks_in = sum(
        (count * piece.blank_length_in for count, piece in zip(counts, need.pieces, strict=True)), Fraction(0)
    )
    return blanks_in + (sum(counts) - 1) * saw.kerf_in <= _usable_in(row, saw)


def _cutting_job(
    need: LumberNeed, priced: list[tuple[LumberPrice, Decimal]], shop: Shop, step_in: Fraction, *, safe: bool
) -> CuttingJob:
    """Return the need in whole steps and coins; lengths that are no whole steps fit less easily if safe, else more."""
    coins = 10**shop.currency.digits
    taken, given = (ceil, floor) if safe else (floor, ceil)
    return CuttingJob(
        stocks=tuple(
            Stock(length=given(_usable_in(row, shop.saw) / step_in), price=int(price * coins)) for row, price in priced
        ),
        pieces=tuple(
            Piece(length=max(1, taken(piece.blank_length_in / step_in)), demand=piece.blanks) for piece in need.pieces
        ),
        kerf=taken(shop.saw.kerf_in / step_in),
    )


def _money(coins: int, currency: Currency) -> Decimal:
    return Decimal(coins).scaleb(-currency.digits)


def _layouts(
    plan: CuttingPlan, need: LumberNeed, priced: list[tuple[LumberPrice, Decimal]], saw: SawSettings
) -> tuple[CutLayout, ...]:
    """Return the plan's layouts with marks from the datum end, long boards first, long pieces first on each board."""
    layouts = []
    for layout in plan.layouts:
        row, unit_price = priced[layout.stock]
        board_in = row.length_in or Fraction(0)
        pieces = [piece for piece, count in zip(need.pieces, layout.counts, strict=True) for _ in range(count)]
        pieces.sort(key=lambda piece: -piece.blank_length_in)
        blanks, mark_in = [], Fraction(0)
        for piece in pieces:
            blanks.append(Blank(piece=piece, start_in=mark_in, end_in=mark_in + piece.blank_length_in))
            mark_in += piece.blank_length_in + saw.kerf_in
        layouts.append(
            CutLayout(
                row=row,
                board_length_in=board_in,
                unit_price=unit_price,
                boards=layout.boards,
                blanks=tuple(blanks),
                left_over_in=max(Fraction(0), board_in - 2 * saw.end_trim_in - mark_in),
            )
        )
    return tuple(sorted(layouts, key=lambda one: (-one.board_length_in, -one.boards, one.left_over_in)))


def _lines(layouts: tuple[CutLayout, ...], need: LumberNeed, shop: Shop) -> tuple[BuyLine, ...]:
    lines = []
    by_row = sorted(layouts, key=lambda layout: (layout.board_length_in, layout.row.origin.line or 0))
    for _, group in groupby(by_row, key=lambda layout: layout.row):
        same = list(group)
        boards = sum(layout.boards for layout in same)
        lines.append(
            BuyLine(
                item=f"{need.title}, {board_length_text(same[0].board_length_in, shop.unit)}",
                quantity=Decimal(boards),
                unit="board",
                unit_price=same[0].unit_price,
                amount=boards * same[0].unit_price,
                row=same[0].row,
            )
        )
    return tuple(lines)


def is_usable(layout: CutLayout, saw: SawSettings) -> bool:
    """Whether the left-over is long enough to keep."""
    return layout.left_over_in > 0 and layout.left_over_in >= saw.usable_offcut_in


def _left_over_value(layout: CutLayout, saw: SawSettings) -> Fraction:
    """Return what the usable left-overs of a layout are worth: their share of the board's length and price."""
    if not is_usable(layout, saw):
        return Fraction(0)
    return layout.boards * Fraction(layout.unit_price) * layout.left_over_in / layout.board_length_in


def _used_by_build(need: LumberNeed) -> dict[str, Fraction]:
    used: dict[str, Fraction] = {}
    for piece in need.pieces:
        used[piece.build] = used.get(piece.build, Fraction(0)) + piece.blanks * piece.blank_length_in
    return used


def _report_too_long(
    need: LumberNeed, rows: tuple[LumberPrice, ...], shop: Shop, pieces: tuple[int, ...], findings: Findings
) -> None:
    usable = length_text(max(_usable_in(row, shop.saw) for row in rows), shop.unit)
    for place in pieces:
        piece = need.pieces[place]
        findings.fault(
            piece.part.origin,
            f'"{piece.part.name}" takes {length_text(piece.blank_length_in, shop.unit)} of {need.title}, and the '
            f"longest board in the price table gives {usable} once its ends are squared; add a longer one, or join two",
            "length",
        )
