"""Boards of one section as they are bought: what they cost, how good that is, and how they are cut."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from estimator.buying.layouts import CutLayout
from estimator.buying.matching import Matched, matched
from estimator.buying.offers import Offer, board_feet_of, cubic_feet_of
from estimator.buying.purchase import Purchase
from estimator.buying.ways_to_lie import leans_of
from estimator.solid import ends_square, face_area_in2
from estimator.takeoff.lumber import LumberNeed


@dataclass(frozen=True, kw_only=True, slots=True)
class Spares:
    """Boards bought beyond the plan, for those that turn out bad; `saved` is what others cost less for them.

    With them a price break may be reached.
    """

    offer: Offer
    boards: int
    saved: Decimal = Decimal(0)

    @property
    def amount(self) -> Decimal:
        """What they cost."""
        return self.boards * self.offer.unit_price - self.saved


@dataclass(frozen=True, kw_only=True, slots=True)
class Surplus:
    """Boards that nothing is cut from: with them the others cost less, by a price that holds from so many on."""

    offer: Offer
    boards: int


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptTo:
    """The suppliers that boards were bought from though others were visited that may have them for less, and why.

    Without names, from some of all who were visited, as the reason says.
    """

    names: tuple[str, ...]
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class BoardPurchase(Purchase):
    """Boards of one section with their cutting list.

    `bound` is an amount that no boards for these pieces can be under, spares left aside, within `limits`: ways of
    cutting that the planner leaves out. `unnested_amount` is what the boards cost where no slopes are nested. Where
    they are `kept_to` some suppliers, the bound is that of boards from those alone.
    """

    need: LumberNeed
    layouts: tuple[CutLayout, ...]
    bound: Decimal
    unnested_amount: Decimal
    spares: Spares | None
    surplus: tuple[Surplus, ...] = ()
    kept_to: KeptTo | None = None

    @property
    def planned_amount(self) -> Decimal:
        """What the boards of the plan cost, without spares."""
        return self.amount - (self.spares.amount if self.spares else 0)

    @property
    def proved(self) -> bool:
        """Whether no cheaper boards exist."""
        return self.planned_amount == self.bound

    @property
    def limits(self) -> tuple[str, ...]:
        """Ways to save that are left out of the plan and of its bound."""
        parts = [piece.part for piece in self.need.pieces]
        ripped = any(piece.blank_width_in != piece.part.section.width_in for piece in self.need.pieces)
        compound = any(lean.is_compound for part in parts for lean in leans_of(part.shape))
        milled = any(
            not ends_square(piece.part.shape) and piece.blank_width_in != piece.part.shape.width_in
            for piece in self.need.pieces
        )
        return (
            *(["each board ripped once and crosscut once"] if ripped else []),
            *(["compound ends not nested"] if compound else []),
            *(["slopes of rough blanks not nested"] if milled else []),
        )

    @property
    def uses_stock(self) -> bool:
        """Whether boards on hand are cut."""
        return any(layout.offer.on_hand for layout in self.layouts)

    @property
    def gap(self) -> Decimal:
        """How much cheaper a plan could be at the most."""
        return self.planned_amount - self.bound

    @property
    def saved_by_nesting(self) -> Decimal:
        """How much cheaper the boards are for the slopes that are nested."""
        return self.unnested_amount - self.planned_amount

    @property
    def matched(self) -> tuple[Matched, ...]:
        """For how many units parts that should match come from one board."""
        return matched(self.need, self.layouts)

    @property
    def uncut(self) -> tuple[Spares | Surplus, ...]:
        """Boards that are bought and not cut."""
        return (*([self.spares] if self.spares else []), *self.surplus)

    @property
    def bought_length_ft(self) -> Fraction:
        """Running feet of all boards."""
        return sum((count * offer.length_in for offer, count in self.boards_by_offer()), Fraction(0)) / 12

    @property
    def bought_board_feet(self) -> Fraction:
        """Board feet of all boards, by nominal measure."""
        return sum((count * board_feet_of(offer.row) for offer, count in self.boards_by_offer()), Fraction(0))

    @property
    def bought_volume_ft3(self) -> Fraction:
        """Cubic feet of all boards, by nominal size."""
        return sum((count * cubic_feet_of(offer.row) for offer, count in self.boards_by_offer()), Fraction(0))

    @property
    def used_share_of_face(self) -> Fraction:
        """How much of the planned boards' face becomes parts."""
        board_in = self.need.section.width_in or Fraction(1)
        parts_in2 = sum(piece.quantity * face_area_in2(piece.part.shape) for piece in self.need.pieces)
        boards_in2 = sum(layout.boards * layout.board_length_in * board_in for layout in self.layouts)
        return Fraction(parts_in2) / boards_in2

    @property
    def boards(self) -> int:
        """How many boards are needed, spares and surplus with them."""
        return sum(count for _, count in self.boards_by_offer())

    def boards_by_offer(self) -> tuple[tuple[Offer, int], ...]:
        """Return how many boards of each offer, spares and surplus with them, short ones first."""
        counts: dict[Offer, int] = {}
        for one in (*self.layouts, *self.uncut):
            counts[one.offer] = counts.get(one.offer, 0) + one.boards
        return tuple(sorted(counts.items(), key=lambda one: (one[0].length_in, one[0].row.origin.line or 0)))
