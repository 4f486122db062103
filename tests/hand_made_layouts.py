"""Fixtures that make layouts by hand, so that a test of their words and drawings needs no planner."""

from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.buying.layouts import Blank, CutLayout, CutStrip, Lying
from estimator.buying.offers import Offer
from estimator.buying.ways_to_lie import ways_to_lie
from estimator.errors import Origin
from estimator.reading.order import Order, read_order
from estimator.reading.parts import Part, parse_coated
from estimator.reading.sold import LumberPrice
from estimator.reading.stock import StockRow
from estimator.reading.trade_units import parse_per
from estimator.solid import Clip, Shape
from estimator.standards.sections import parse_section
from estimator.takeoff.lumber import PieceNeed

Number = int | float | Fraction
MadeBlank = tuple[Number, Number, Sequence[Lying]]  # where it begins and ends, its pieces side by side

ORIGIN = Origin(file="parts.csv", line=2)


@pytest.fixture(scope="session")
def inch_order() -> Order:
    """Return an order in inches: kerf 1/8, half an inch off each end, left-overs kept from 16 in on."""
    return read_order(Path(__file__).parents[1] / "examples" / "riverside_tearoom", today=date(2026, 11, 24))


@pytest.fixture(scope="session")
def lying() -> Callable[..., Lying]:
    """Make a piece of a Stool; `left` and `right` are the mitre and the bevel of its ends as drawn."""

    def make(
        name: str,
        length: Number,
        *,
        left: tuple[int, int] = (0, 0),
        right: tuple[int, int] = (0, 0),
        turn: str = "as drawn",
        takes: Number | None = None,
        section: str = "2x4",
        width: Number | None = None,
        thickness: Number | None = None,
        rips_to: Number | None = None,
        clips: tuple[Clip, ...] = (),
        show_face: bool = False,
        match: str = "",
    ) -> Lying:
        board = parse_section(section)
        wide_in = Fraction(width or board.width_in or 4)
        shape = Shape(
            length_in=Fraction(length),
            width_in=wide_in,
            thickness_in=Fraction(thickness or board.thickness_in),
            left_degrees=Fraction(left[0]),
            right_degrees=Fraction(right[0]),
            left_bevel_degrees=Fraction(left[1]),
            right_bevel_degrees=Fraction(right[1]),
            clips=clips,
        )
        part = Part(
            origin=ORIGIN,
            name=name,
            quantity=1,
            species="ash",
            grade="",
            section=board,
            shape=shape,
            coated=parse_coated("all"),
            hidden=(),
            note="",
            show_face=show_face,
            match=match,
        )
        piece = PieceNeed(
            build="Stool",
            unit="in",
            part=part,
            quantity=1,
            blank_length_in=Fraction(takes or length),
            blank_width_in=Fraction(rips_to or wide_in),
            strips=1,
        )
        return Lying(piece=piece, way=next(way for way in ways_to_lie(part) if way.turn == turn))

    return make


@pytest.fixture(scope="session")
def layout() -> Callable[..., CutLayout]:
    """Make a layout of its strips; without widths the board is crosscut first."""

    def make(
        *strips: Sequence[MadeBlank],
        length: Number = 96,
        boards: int = 1,
        widths: Sequence[Number] = (),
        left_over: Number = 0,
        place: str | None = None,
    ) -> CutLayout:
        return CutLayout(
            offer=_offer(Fraction(length), place),
            boards=boards,
            strips=tuple(
                CutStrip(
                    width_in=Fraction(widths[number]) if widths else None,
                    blanks=tuple(
                        Blank(start_in=Fraction(start), end_in=Fraction(end), pieces=tuple(pieces))
                        for start, end, pieces in strip
                    ),
                )
                for number, strip in enumerate(strips)
            ),
            left_over_in=Fraction(left_over),
        )

    return make


def _offer(length_in: Fraction, place: str | None) -> Offer:
    """Return boards of a length: from a yard, or from stock at a place."""
    section = parse_section("2x4")
    row = LumberPrice(
        origin=ORIGIN,
        supplier="Yard",
        price=Decimal(9),
        day=date(2026, 11, 1),
        species="ash",
        grade="",
        section=section,
        length_in=length_in,
        per="each",
        pricing=parse_per("each"),
    )
    stock = StockRow(
        origin=ORIGIN,
        species="ash",
        grade="",
        section=section,
        length_in=length_in,
        quantity=2,
        value=None,
        place=place or "",
        note="",
    )
    return Offer(row=row, unit_price=row.price, on_hand=None if place is None else stock)
