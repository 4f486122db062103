"""The cutting optimiser's door: lumber needs and boards as whole steps and coins, and its plan as layouts again."""

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from math import ceil, floor, radians, tan

from estimator.buying.cutting.job import (
    SQUARE,
    CuttingJob,
    End,
    Ends,
    Kit,
    Layout,
    Piece,
    Ripping,
    Section,
    Stock,
    Strip,
    overlap,
)
from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying
from estimator.buying.matching import matching_sets
from estimator.buying.offers import Offer
from estimator.buying.ways_to_lie import Lean, Way, ways_to_lie
from estimator.money import Currency
from estimator.reading.cutting_settings import SawSettings
from estimator.takeoff.lumber import LumberNeed, PieceNeed
from estimator.units import MM_PER_IN, common_step

# Up to so many units on the longest board the planner is quick; finer lengths are rounded, on the safe side.
MOST_UNITS = 50_000
COARSE_STEP_IN = 1 / MM_PER_IN / 10

# A slope is irrational; less than what a float can be off by is taken from it, so that it is never too long.
FLOAT_IN = 1e-9

MITRE_PLANE, BEVEL_PLANE = 0, 1


@dataclass(frozen=True, kw_only=True, slots=True)
class Grid:
    """Lengths and widths in whole steps. `safe` rounds so that what fits in steps fits in inches; else the reverse."""

    length_step_in: Fraction
    width_step_in: Fraction
    safe: bool
    exact: bool

    def taken(self, measure_in: Fraction, step_in: Fraction) -> int:
        """Return a measure that takes room."""
        return ceil(measure_in / step_in) if self.safe else floor(measure_in / step_in)

    def given(self, measure_in: Fraction, step_in: Fraction) -> int:
        """Return a measure that gives room."""
        return floor(measure_in / step_in) if self.safe else ceil(measure_in / step_in)


def usable_in(offer: Offer, saw: SawSettings) -> Fraction:
    """Return what is left of a board once both ends are squared."""
    return max(Fraction(0), offer.length_in - 2 * saw.end_trim_in)


def grids(need: LumberNeed, offers: tuple[Offer, ...], saw: SawSettings) -> tuple[Grid, ...]:
    """Return the grid that holds all measures exactly; where it were too fine, one that fits too easily and a safe one.

    Too fine are lengths that share no step coarse enough, such as inches mixed with odd millimetres.
    """
    lengths_in = [usable_in(offer, saw) for offer in offers]
    blanks_in = [piece.blank_length_in for piece in need.pieces]
    length_step_in = common_step((*blanks_in, saw.kerf_in, *filter(None, lengths_in)))
    board_in = need.section.width_in or Fraction(1)
    widths_in = [piece.blank_width_in for piece in need.pieces]
    width_step_in = common_step((board_in, *widths_in, *filter(None, (saw.rip_kerf_in, saw.edge_trim_in))))
    if max(lengths_in) / length_step_in <= MOST_UNITS and board_in / width_step_in <= MOST_UNITS:
        return (Grid(length_step_in=length_step_in, width_step_in=width_step_in, safe=True, exact=True),)
    coarse = partial(
        Grid,
        length_step_in=max(length_step_in, COARSE_STEP_IN),
        width_step_in=max(width_step_in, COARSE_STEP_IN),
        exact=False,
    )
    return coarse(safe=False), coarse(safe=True)


def cutting_job(
    need: LumberNeed, offers: tuple[Offer, ...], saw: SawSettings, currency: Currency, grid: Grid
) -> CuttingJob:
    """Return the need in whole steps and coins."""
    board_in = need.section.width_in or Fraction(1)
    width = partial(grid.taken, step_in=grid.width_step_in)
    return CuttingJob(
        stocks=stocks_of(offers, saw, currency, grid),
        pieces=tuple(
            Piece(
                length=max(1, grid.taken(piece.blank_length_in, grid.length_step_in)),
                demand=piece.quantity,
                width=None if piece.blank_width_in == board_in else max(1, width(piece.blank_width_in)),
                ends=tuple(dict.fromkeys(ends_of(piece, way, grid) for way in ways_to_lie(piece.part))),
            )
            for piece in need.pieces
        ),
        kerf=grid.taken(saw.kerf_in, grid.length_step_in),
        ripping=Ripping(
            width=max(1, grid.given(board_in, grid.width_step_in)),
            kerf=width(saw.rip_kerf_in),
            edge=width(saw.edge_trim_in),
        ),
        prefer=saw.prefer,
        kits=tuple(Kit(counts=one.counts, units=one.units) for one in matching_sets(need)),
    )


def stocks_of(offers: tuple[Offer, ...], saw: SawSettings, currency: Currency, grid: Grid) -> tuple[Stock, ...]:
    """Return the boards of offers in whole steps and coins."""
    coins = 10**currency.digits
    return tuple(
        Stock(
            length=grid.given(usable_in(offer, saw), grid.length_step_in),
            price=int(offer.unit_price * coins),
            limit=offer.limit,
        )
        for offer in offers
    )


def ends_of(piece: PieceNeed, way: Way, grid: Grid) -> Ends:
    """Return how a piece's ends lean in steps when it lies so."""
    return end_of(piece, way.near, grid), end_of(piece, way.far, grid)


def end_of(piece: PieceNeed, lean: Lean, grid: Grid) -> End:
    """Return one end's lean in steps; square where it does not nest.

    An end that leans both ways at once does not, nor one that is cut only after the blank was milled smaller.
    """
    shape, section = piece.part.shape, piece.part.section
    if lean.is_compound or piece.blank_width_in != shape.width_in:
        return SQUARE
    if lean.mitre:
        return End(slope_steps(shape.width_in, lean.mitre, grid), MITRE_PLANE)
    if lean.bevel and shape.thickness_in == section.thickness_in:
        return End(slope_steps(shape.thickness_in, lean.bevel, grid), BEVEL_PLANE)
    return SQUARE


def slope_steps(across_in: Fraction, degrees: Fraction, grid: Grid) -> int:
    """Return how far an end leans along the board, in steps with the sign of its lean: across x tan(angle)."""
    slope_in = float(across_in) * tan(radians(abs(float(degrees))))
    step_in = float(grid.length_step_in)
    steps = floor((slope_in - FLOAT_IN) / step_in) if grid.safe else ceil((slope_in + FLOAT_IN) / step_in)
    return max(0, steps) if degrees > 0 else -max(0, steps)


def on_hand_first(layouts: tuple[CutLayout, ...], offers: tuple[Offer, ...], saw: SawSettings) -> tuple[CutLayout, ...]:
    """Return the same layouts on boards on hand where there are some left that count just as much as those bought."""
    free = {offer: offer.limit or 0 for offer in offers if offer.on_hand}
    for layout in layouts:
        if layout.offer in free:
            free[layout.offer] -= layout.boards
    moved: list[CutLayout] = []
    for layout in layouts:
        boards = layout.boards
        end_in = max(strip.end_in for strip in layout.strips)
        for offer, left in free.items():
            if layout.offer.on_hand or offer.unit_price != layout.unit_price or end_in > usable_in(offer, saw):
                continue
            count = min(boards, left)
            moved += [laid_on(offer, count, layout.strips, saw)] * bool(count)
            free[offer] -= count
            boards -= count
        moved += [replace(layout, boards=boards)] * bool(boards)
    return tuple(moved)


def laid_on(offer: Offer, boards: int, strips: tuple[CutStrip, ...], saw: SawSettings) -> CutLayout:
    """Return so many boards of an offer cut into strips that fit it."""
    end_in = max(strip.end_in for strip in strips)
    left_over_in = max(Fraction(0), usable_in(offer, saw) - end_in - saw.kerf_in)
    return CutLayout(offer=offer, boards=boards, strips=strips, left_over_in=left_over_in)


def cut_layout(
    layout: Layout, need: LumberNeed, offers: tuple[Offer, ...], saw: SawSettings, grid: Grid
) -> CutLayout | None:
    """Return a layout with its exact places, or None where it does not fit its board by them."""
    offer = offers[layout.stock]
    strips = tuple(cut_strip(strip, need, saw, grid) for strip in layout.strips)
    end_in = max(strip.end_in for strip in strips)
    if end_in > usable_in(offer, saw) or not widths_fit(strips, need, saw):
        return None
    return laid_on(offer, layout.boards, strips, saw)


def cut_strip(strip: Strip, need: LumberNeed, saw: SawSettings, grid: Grid) -> CutStrip:
    """Return a strip with its blanks at their exact places."""
    safe = replace(grid, safe=True)
    blanks: list[Blank] = []
    end_in, far = -saw.kerf_in, SQUARE
    for section in strip.sections:
        near, next_far = section_ends(section, strip, need, grid, safe)
        start_in = end_in + saw.kerf_in - overlap(far, near) * grid.length_step_in
        end_in = start_in + max(need.pieces[placed.piece].blank_length_in for placed in section.pieces)
        far = next_far
        lying = tuple(
            Lying(piece=need.pieces[placed.piece], way=way_of(need.pieces[placed.piece], placed.ends, grid))
            for placed in section.pieces
        )
        blanks.append(Blank(start_in=start_in, end_in=end_in, pieces=lying))
    widths_in = [lying.piece.blank_width_in for blank in blanks for lying in blank.pieces]
    return CutStrip(width_in=None if strip.width is None else max(widths_in), blanks=tuple(blanks))


def section_ends(section: Section, strip: Strip, need: LumberNeed, grid: Grid, safe: Grid) -> Ends:
    """Return how a section leans towards its neighbours: as the one piece that takes its whole width, else square."""
    placed = section.pieces[0]
    piece = need.pieces[placed.piece]
    if strip.width is None:
        whole = piece.blank_width_in == need.section.width_in
    else:
        whole = grid.taken(piece.blank_width_in, grid.width_step_in) == strip.width
    return ends_of(piece, way_of(piece, placed.ends, grid), safe) if whole else (SQUARE, SQUARE)


def way_of(piece: PieceNeed, ends: Ends, grid: Grid) -> Way:
    """Return the way to lie that a pair of ends stands for."""
    return next(way for way in ways_to_lie(piece.part) if ends_of(piece, way, grid) == ends)


def widths_fit(strips: tuple[CutStrip, ...], need: LumberNeed, saw: SawSettings) -> bool:
    """Whether strips side by side, and the pieces side by side in each blank, are no wider than the board."""
    board_in = need.section.width_in or Fraction(1)
    rows = [[strip.width_in for strip in strips if strip.width_in is not None]]
    rows += [[lying.piece.blank_width_in for lying in blank.pieces] for strip in strips for blank in strip.blanks]
    return all(widths_together_in(row, saw) <= board_in for row in rows)


def widths_together_in(widths_in: list[Fraction], saw: SawSettings) -> Fraction:
    """Return the width that strips side by side take up, with rip kerfs and, where there are several, the edge."""
    more = max(0, len(widths_in) - 1)
    return sum(widths_in, Fraction(0)) + (more * saw.rip_kerf_in + saw.edge_trim_in if more else 0)
