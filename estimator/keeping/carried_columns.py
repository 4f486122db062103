"""Whether a list looks as if it wrote some columns once for many rows, so that a map of it can be proposed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from estimator.keeping.supplier_map import GROUP_MARK

# Columns that lists write once, the larger before the smaller; common practice, no source.
_CARRIED = {
    "lumber": ("species", "grade", "section"),
    "hardware": ("kind", "material", "size"),
    "finishes": ("product",),
    "consumables": ("item",),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Carried:
    """Columns of ours that seem to be carried down, and what each row that stands alone seems to mean."""

    columns: tuple[str, ...] = ()
    groups: Mapping[str, str] = field(default_factory=dict)


def carried_in(rows: Sequence[Sequence[str]], table: str, places: Mapping[str, int]) -> Carried:
    """Return what the rows below a list's headings seem to carry down; `places` says where columns of ours stand.

    Where half the rows that stand alone, or more, are two texts with a comma, they fill two columns.
    """
    known, price = _CARRIED[table], places.get("price", -1)
    goods = [row for row in rows if 0 <= price < len(row) and row[price] and sum(map(bool, row)) > 1]
    blank_below = [name for name in known if name in places and _is_blank_below(goods, places[name])]
    first, *others = known
    alone = list(dict.fromkeys(_standing_alone(rows, price))) if first not in places or first in blank_below else []
    if not alone:
        return Carried(columns=tuple(blank_below))
    in_two = [text for text in alone if text.count(",") == 1]
    filled = (first, others[0]) if others and others[0] not in places and 2 * len(in_two) >= len(alone) else (first,)
    columns = (*filled, *(name for name in blank_below if name not in filled))
    return Carried(columns=columns, groups={text: _meaning(text, len(filled), len(columns)) for text in alone})


def _meaning(text: str, filled: int, columns: int) -> str:
    """Return what a row that stands alone seems to mean; nothing where it has not one text for each column it fills."""
    parts = [part.strip() for part in text.split(",")] if filled > 1 else [text]
    blank = [""] * (columns - filled)
    return f"{GROUP_MARK} ".join([*parts, *blank]).strip() if len(parts) == filled else ""


def _is_blank_below(goods: Sequence[Sequence[str]], place: int) -> bool:
    """Whether a column starts filled and has blanks below."""
    filled = [place < len(row) and bool(row[place]) for row in goods]
    return bool(filled) and filled[0] and not all(filled)


def _standing_alone(rows: Sequence[Sequence[str]], price: int) -> Iterator[str]:
    """Yield the text of each row with one filled cell that goods follow."""
    for row, below in pairwise(rows):
        if sum(map(bool, row)) == 1 and sum(map(bool, below)) > 1 and not (0 <= price < len(row) and row[price]):
            yield "".join(row)
