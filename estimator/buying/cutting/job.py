"""What is to be cut, and the plan that answers it: plain whole numbers in one unit of length and one of money."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

# In cents ten billion dollars a board; above it the cost of a few million boards would not fit into 64 bits.
DEAREST_PRICE = 10**12


class CuttingError(ValueError):
    """A job that no plan can answer."""


class PieceTooLong(CuttingError):  # noqa: N818 - named for what is wrong, as the message is
    """Some pieces are longer than every stock; `pieces` holds their places in the job."""

    def __init__(self, pieces: tuple[int, ...]) -> None:
        super().__init__(f"longer than every stock: piece {', '.join(str(piece) for piece in pieces)}")
        self.pieces = pieces


class NotEnoughStock(CuttingError):  # noqa: N818 - named for what is wrong, as the message is
    """No plan was found within the limits of the stock; `shortages` holds how many of each piece stay uncut.

    `proved` says whether the limits cannot be kept by any plan, or only by none that was found.
    """

    def __init__(self, shortages: tuple[int, ...], *, proved: bool) -> None:
        missing = ", ".join(f"{count} of piece {piece}" for piece, count in enumerate(shortages) if count)
        super().__init__(f"the limited stock leaves uncut: {missing}" + ("" if proved else " (in the best plan found)"))
        self.shortages = shortages
        self.proved = proved


@dataclass(frozen=True, kw_only=True, slots=True)
class Stock:
    """Boards of one usable length (trims taken off) at one price each; `limit` boards at most, or as many as wanted."""

    length: int
    price: int
    limit: int | None = None

    def __post_init__(self) -> None:
        if self.length < 0 or not 0 <= self.price <= DEAREST_PRICE or (self.limit is not None and self.limit < 0):
            raise ValueError(f"a stock's length, price and limit are whole numbers from 0 up, not {self}")


class End(NamedTuple):
    """How an end of a piece leans: how far along the board from one side of it to the other, and in which plane.

    The offset's sign is the way it leans. Neighbours whose ends lean the same way in the same plane nest.
    """

    offset: int
    plane: int = 0


SQUARE = End(0)
Ends = tuple[End, End]  # of a piece as it lies on the board: towards the datum, and away from it
SQUARE_ENDS: Ends = (SQUARE, SQUARE)


def overlap(right: End, left: End) -> int:
    """How far two neighbours reach into each other: by the lesser offset where both lean alike, else not at all."""
    same = right.plane == left.plane and right.offset * left.offset > 0
    return min(abs(right.offset), abs(left.offset)) if same else 0


def slopes_within(left: End, right: End) -> int:
    """How much of a piece its slopes take: of parallel ends the longer one, else both."""
    parallel = left.plane == right.plane and left.offset * right.offset >= 0
    return max(abs(left.offset), abs(right.offset)) if parallel else abs(left.offset) + abs(right.offset)


def is_empty(length: int, left: End, right: End) -> bool:
    """Whether two slopes leave nothing between them."""
    return 2 * length <= abs(left.offset) + abs(right.offset)


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """Pieces of one kind, and how many of them are wanted.

    `length` is all that one takes of a board whose neighbours are square. `width` is that of a piece ripped from its
    board, None where it has the board's own. `ends` are the ways it may lie, the first as drawn; in each the slopes of
    both ends leave something between them, so that a row never gets longer when a piece is taken out.
    """

    length: int
    demand: int
    width: int | None = None
    ends: tuple[Ends, ...] = (SQUARE_ENDS,)

    def __post_init__(self) -> None:
        if self.length <= 0 or self.demand < 0 or (self.width is not None and self.width <= 0) or not self.ends:
            raise ValueError(f"a piece has a length and a width above 0 and a demand from 0 up, not {self}")
        if any(slopes_within(*ends) > self.length or is_empty(self.length, *ends) for ends in self.ends):
            raise ValueError(f"the slopes of a piece are no longer than the piece, not {self}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Ripping:
    """The boards' width, the rip kerf, and what is taken off a width before it gives more than one strip.

    n strips fit when their widths, n - 1 rip kerfs and, for n above 1, the edge are no wider than the board.
    """

    width: int
    kerf: int
    edge: int = 0

    def __post_init__(self) -> None:
        if self.width <= 0 or self.kerf < 0 or self.edge < 0:
            raise ValueError(f"a board has a width above 0, and a kerf and an edge from 0 up, not {self}")


# What a sawyer may want of a plan beyond its cost.
Preference = Literal["fewest set-ups", "one board for matching parts", "longest left-over", "fewest boards"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Kit:
    """Pieces of one unit that should come from one board: how many of each, by place in the job, for so many units."""

    counts: tuple[int, ...]
    units: int

    def __post_init__(self) -> None:
        if self.units < 0 or min(self.counts, default=0) < 0 or not any(self.counts):
            raise ValueError(f"a kit holds pieces, and is wanted from 0 times up, not {self}")


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingJob:
    """What to cut from what: n pieces fit on a board when their lengths and n - 1 kerfs are no longer than it.

    The last piece may end flush with the board or leave less than a kerf: the cut then runs off the end. Neighbours
    whose ends lean alike lie closer by their overlap. With `ripping` pieces may be narrower than their board.

    `prefer` says which of the cheapest plans is wanted, what matters most first; `kits` are its matching parts.
    """

    stocks: tuple[Stock, ...]
    pieces: tuple[Piece, ...]
    kerf: int
    ripping: Ripping | None = None
    prefer: tuple[Preference, ...] = ()
    kits: tuple[Kit, ...] = ()

    def __post_init__(self) -> None:
        if self.kerf < 0:
            raise ValueError(f"a kerf is a whole number from 0 up, not {self.kerf}")
        if len(set(self.prefer)) != len(self.prefer):
            raise ValueError(f"a preference is stated once, not {self.prefer}")
        if any(len(kit.counts) != len(self.pieces) for kit in self.kits):
            raise ValueError("a kit counts every piece of the job")
        for place, piece in enumerate(self.pieces):
            if sum(kit.counts[place] * kit.units for kit in self.kits) > piece.demand:
                raise ValueError(f"the kits hold more of piece {place} than the {piece.demand} that are wanted")
        if any(piece.width is not None and piece.width > self.board_width for piece in self.pieces):
            raise ValueError(
                "a piece is no wider than its board, and narrower only where the job says how it is ripped"
            )

    @property
    def board_width(self) -> int:
        """The width of a board; where nothing is ripped it does not matter and is 1."""
        return self.ripping.width if self.ripping else 1

    def width_of(self, piece: Piece) -> int:
        """Return the width of a piece."""
        return piece.width or self.board_width

    @property
    def is_ripped(self) -> bool:
        """Whether any piece is narrower than its board."""
        return any(self.width_of(piece) != self.board_width for piece in self.pieces)

    @property
    def is_nested(self) -> bool:
        """Whether any end leans."""
        return any(end.offset for piece in self.pieces for ends in piece.ends for end in ends)


class Placed(NamedTuple):
    """A piece on a board, by its place in the job, and the way it lies."""

    piece: int
    ends: Ends = SQUARE_ENDS


class Section(NamedTuple):
    """A length crosscut from a strip: one piece, or several side by side that are ripped from it afterwards."""

    length: int
    pieces: tuple[Placed, ...]


class Strip(NamedTuple):
    """What is crosscut one after the other from one strip of a board, from the datum end on.

    `width` is None for the whole board; other strips are ripped from it first.
    """

    width: int | None
    sections: tuple[Section, ...]


def outer_ends(job: CuttingJob, strip: Strip, section: Section) -> Ends:
    """How a section leans towards its neighbours: as the one piece that takes its whole width does, else not at all."""
    width = job.board_width if strip.width is None else strip.width
    placed = section.pieces[0]
    return placed.ends if job.width_of(job.pieces[placed.piece]) == width else SQUARE_ENDS


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """One way to cut a board: its stock, how many of each piece come off it, where, and how many boards are cut so."""

    stock: int
    counts: tuple[int, ...]
    boards: int
    strips: tuple[Strip, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingPlan:
    """Boards to buy and how to cut them, what they cost, and a cost no plan for the same job can be under.

    `unnested_cost` is what the best plan found costs when no slopes are nested; the same as the cost where none lean.
    """

    layouts: tuple[Layout, ...]
    cost: int
    lower_bound: int
    unnested_cost: int

    @property
    def proved(self) -> bool:
        """Whether no cheaper plan exists."""
        return self.cost == self.lower_bound
