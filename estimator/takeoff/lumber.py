"""Lumber: the pieces wanted of each species, grade and section, pooled over the builds of an order."""

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from estimator.reading.fields import name_key
from estimator.reading.order import Order, OrderedBuild
from estimator.reading.parts import Part
from estimator.solid import Shape, ends_square, kerf_along, reach_in, volume_in3
from estimator.standards.board_measure import board_feet
from estimator.standards.sections import Section
from estimator.standards.wood import weight_lb
from estimator.units import IN3_PER_FT3, MM_PER_IN

TAPE_STEP_IN = {"in": Fraction(1, 64), "mm": 1 / MM_PER_IN}  # what a tape shows
# A leaning end's reach is irrational and is rounded up, by so little that a row of them does not add up to much.
REACH_STEP_IN = {"in": Fraction(1, 64), "mm": 1 / MM_PER_IN / 10}


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceNeed:
    """Pieces of one part, and what each takes of a board.

    For a first measure they are thought of as `blanks` of the board's width, each ripped into `strips` pieces; the
    cutting plan may do better.
    """

    build: str
    unit: str
    part: Part
    quantity: int
    blank_length_in: Fraction
    blank_width_in: Fraction
    strips: int

    @property
    def blanks(self) -> int:
        """Lengths of board to crosscut; the last may leave strips over."""
        return -(-self.quantity // self.strips)

    @property
    def name(self) -> str:
        """The part with the build it belongs to."""
        return f"{self.build}: {self.part.name}"


@dataclass(frozen=True, kw_only=True, slots=True)
class LumberNeed:
    """All pieces of one species, grade and section."""

    species: str
    grade: str
    section: Section
    pieces: tuple[PieceNeed, ...]

    @property
    def title(self) -> str:
        """What one asks the yard for."""
        return " ".join(filter(None, [self.species, self.grade, self.section.text]))

    @property
    def length_ft(self) -> Fraction:
        """Running feet of blanks, without kerf and waste."""
        return sum((piece.blanks * piece.blank_length_in for piece in self.pieces), Fraction(0)) / 12

    @property
    def board_feet(self) -> Fraction:
        """Board feet of the blanks by nominal measure; of the finished width where boards come in random widths."""
        return sum((_blank_board_feet(self.section, piece) for piece in self.pieces), Fraction(0))

    @property
    def volume_ft3(self) -> Fraction:
        """Volume of the blanks in cubic feet by nominal size, which in metric sections is the actual one."""
        section = self.section
        return (
            sum(
                (
                    piece.blanks
                    * piece.blank_length_in
                    * section.nominal_thickness_in
                    * (section.nominal_width_in or piece.part.shape.width_in)
                    for piece in self.pieces
                ),
                Fraction(0),
            )
            / IN3_PER_FT3
        )

    @property
    def net_volume_ft3(self) -> float:
        """Volume of the finished pieces in cubic feet."""
        return sum(piece.quantity * volume_in3(piece.part.shape) for piece in self.pieces) / IN3_PER_FT3


def _blank_board_feet(section: Section, piece: PieceNeed) -> Fraction:
    width_in = section.nominal_width_in or piece.part.shape.width_in
    return board_feet(
        thickness_in=section.nominal_thickness_in,
        width_in=width_in,
        length_ft=piece.blank_length_in / 12,
        pieces=piece.blanks,
    )


def lumber_needs(items: tuple[OrderedBuild, ...], order: Order) -> tuple[LumberNeed, ...]:
    """Return what is needed of each species, grade and section, in the order of the lists."""
    sold = _grades_sold(order)
    groups: dict[tuple[str, str, str], list[PieceNeed]] = {}
    for item in items:
        for part in item.build.parts:
            key = name_key(part.species), name_key(_grade(part, sold)), part.section.text
            groups.setdefault(key, []).append(_piece_need(item, part, order))
    return tuple(
        LumberNeed(
            species=pieces[0].part.species,
            grade=_grade(pieces[0].part, sold),
            section=pieces[0].part.section,
            pieces=tuple(pieces),
        )
        for pieces in groups.values()
    )


def _grades_sold(order: Order) -> dict[tuple[str, str], dict[str, str]]:
    """Return the grades that each species and section is sold in, by their compared names."""
    sold: dict[tuple[str, str], dict[str, str]] = {}
    for row in order.prices.lumber:
        sold.setdefault((name_key(row.species), row.section.text), {}).setdefault(name_key(row.grade), row.grade)
    return sold


def _grade(part: Part, sold: dict[tuple[str, str], dict[str, str]]) -> str:
    """Return the grade a part names, or the only one its species and section are sold in; blank where it is open."""
    grades = sold.get((name_key(part.species), part.section.text), {})
    return part.grade or (next(iter(grades.values())) if len(grades) == 1 else "")


def _piece_need(item: OrderedBuild, part: Part, order: Order) -> PieceNeed:
    saw, rough = order.shop.saw, order.shop.rough_lumber
    length_in = blank_length_in(part.shape, saw.kerf_in, REACH_STEP_IN[item.build.unit])
    width_in = part.shape.width_in
    if part.section.rough:
        length_in, width_in = length_in + rough.extra_length_in, width_in + rough.extra_width_in
    return PieceNeed(
        build=item.build.name,
        unit=item.build.unit,
        part=part,
        quantity=part.quantity * item.quantity,
        blank_length_in=length_in,
        blank_width_in=width_in,
        strips=strips_across(part.section.width_in, width_in, saw.rip_kerf_in, saw.edge_trim_in),
    )


def blank_length_in(shape: Shape, kerf_in: Fraction, step_in: Fraction) -> Fraction:
    """Return the length of board one piece takes, in inches, beside the square kerf that the plan leaves between two.

    A blade set over by an angle takes kerf / cos(angle) along the board, one set over both ways still more (see
    `kerf_along`). What the dearer end takes more than the kerf is added once, so that two leaning ends may meet at one
    corner and still be cut; the sum is rounded up to a whole step of the tape.
    """
    if ends_square(shape):
        return shape.length_in
    widest = max(
        kerf_along(shape.left_degrees, shape.left_bevel_degrees),
        kerf_along(shape.right_degrees, shape.right_bevel_degrees),
    )
    extra_in = float(kerf_in) * (widest - 1)
    return ceil((reach_in(shape) + extra_in) / float(step_in) - 1e-9) * step_in


def strips_across(
    board_in: Fraction | None, strip_in: Fraction, kerf_in: Fraction, edge_in: Fraction = Fraction(0)
) -> int:
    """Return how many strips one board's width gives: n strips need n x strip + (n - 1) x kerf, several an edge more.

    Lumber of random width counts by volume, so there it is one; so it is where the board is too narrow.
    """
    return 1 if board_in is None else max(1, int((board_in + kerf_in - edge_in) // (strip_in + kerf_in)))


def weight_of(items: tuple[OrderedBuild, ...]) -> tuple[float, tuple[str, ...]]:
    """Return the weight of the wood in pounds, and the species left out of it for want of a published density."""
    total_lb, unknown = 0.0, []
    for item in items:
        for part in item.build.parts:
            volume = item.quantity * part.quantity * volume_in3(part.shape)
            try:
                total_lb += weight_lb(volume, part.species, item.build.moisture_percent)
            except ValueError:
                unknown.append(part.species)
    return total_lb, tuple(dict.fromkeys(unknown))
