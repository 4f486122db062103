"""What is asked about each column of a price table when rows are added by hand, in the order of asking."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Question:
    """A column and what is asked about it; an `optional` one is asked only where nothing of the row is known.

    Once the `is_price` one is asked, all that tells the item from others is known.
    """

    column: str
    words: str
    optional: bool = False
    is_price: bool = False


def _asked(column: str, words: str, *, optional: bool = False, is_price: bool = False) -> Question:
    return Question(column=column, words=words, optional=optional, is_price=is_price)


_SUPPLIER = _asked("supplier", "Supplier")
_NOTE = _asked("note", "Note", optional=True)
_AT_LAST = (
    _asked("from_quantity", "From how many on, where more cost less", optional=True),
    _asked("price", "Price", is_price=True),
    _asked("date", "Price of (date)"),
    _NOTE,
)

QUESTIONS: Mapping[str, tuple[Question, ...]] = {
    "lumber": (
        _SUPPLIER,
        _asked("species", "Wood, as in parts.csv"),
        _asked("grade", "Grade, where the yard sells several", optional=True),
        _asked("section", "Section, such as 2x4, 8/4 or 27 x 145 mm"),
        _asked("length", "Length of a board, such as 12 ft or 3000 mm; random where it is any"),
        _asked("per", "The price is for: each, ft, m, 100 ft, bf, MBF, m3 or ft3"),
        *_AT_LAST,
    ),
    "hardware": (
        _SUPPLIER,
        _asked("kind", "Kind, such as screw"),
        _asked("size", "Size, such as #8, 5/16-18 or M8"),
        _asked("length", "Length, where it has one", optional=True),
        _asked("material", "Material, such as stainless"),
        _asked("pack", "How many pieces in a pack"),
        *_AT_LAST,
    ),
    "finishes": (
        _SUPPLIER,
        _asked("product", "Product, as in finish.csv"),
        _asked("container", "What is in the can, such as 1 qt or 2.5 L; of a set, 1 gal + 1 qt"),
        *_AT_LAST,
    ),
    "consumables": (
        _SUPPLIER,
        _asked("item", "Item, as in consumables.csv"),
        _asked("pack", "How much in a pack: the number alone, such as 8 where it holds 8 fl oz"),
        _asked("unit", "Counted in, such as fl oz or discs, as its amount is"),
        *_AT_LAST,
    ),
    "labour_rates": (
        _asked("rate", "Rate, as in labour.csv"),
        _asked("per_hour", "What you pay for an hour", is_price=True),
        _asked("date", "Price of (date)"),
        _NOTE,
    ),
    "spread_rates": (
        _asked("product", "Product, as in finish.csv"),
        _asked("texture", "Texture: smooth or rough"),
        _asked("coat", "Coat: first, further or any"),
        _asked("rate", "How far it goes, such as 250 ft2/gal or 8 to 10 m2/L", is_price=True),
        _asked("source", "Who says so, such as can label", optional=True),
    ),
}
