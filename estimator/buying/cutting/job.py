"""What is to be cut, and the plan that answers it: plain whole numbers in one unit of length and one of money."""

from dataclasses import dataclass

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


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """Pieces of one length, and how many of them are wanted."""

    length: int
    demand: int

    def __post_init__(self) -> None:
        if self.length <= 0 or self.demand < 0:
            raise ValueError(f"a piece has a length above 0 and a demand from 0 up, not {self}")


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingJob:
    """What to cut from what: n pieces fit on a board when their lengths and n - 1 kerfs are no longer than it.

    The last piece may end flush with the board or leave less than a kerf: the cut then runs off the end.
    """

    stocks: tuple[Stock, ...]
    pieces: tuple[Piece, ...]
    kerf: int

    def __post_init__(self) -> None:
        if self.kerf < 0:
            raise ValueError(f"a kerf is a whole number from 0 up, not {self.kerf}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """One way to cut a board: its stock, how many of each piece come off it, and how many boards are cut so."""

    stock: int
    counts: tuple[int, ...]
    boards: int


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingPlan:
    """Boards to buy and how to cut them, what they cost, and a cost no plan for the same job can be under."""

    layouts: tuple[Layout, ...]
    cost: int
    lower_bound: int

    @property
    def proved(self) -> bool:
        """Whether no cheaper plan exists."""
        return self.cost == self.lower_bound
