"""Whether a list looks as if it wrote some columns once for many rows, so that a map of it can be proposed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from estimator.keeping.supplier_map import GROUP_MARK

# Columns that lists write once, the larger before the smaller; common practice, no source.
CARRIED = {
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
    known, price = CARRIED[table], places.get("price", -1)
    goods = [row for row in rows if 0 <= price < len(row) and row[price] and sum(map(bool, row)) > 1]
    blank_below = _going_on(goods, table, {name: places[name] for name in known if name in places})
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


def _going_on(goods: Sequence[Sequence[str]], table: str, places: Mapping[str, int]) -> list[str]:
    """Return the columns whose blanks take what stands above: none of these is where a larger, whole column changes."""
    blank = [name for name, place in places.items() if _is_blank_below(goods, place)]
    larger = {name: [one for one in places if one not in blank and is_larger(table, one, name)] for name in blank}
    return [
        name for name in blank if not any(_is_blank_at_change(goods, places[name], places[one]) for one in larger[name])
    ]


def is_larger(table: str, column: str, than: str) -> bool:
    """Whether a column of ours is larger than another: a species has several grades."""
    known = CARRIED[table]
    return column in known and than in known and known.index(column) < known.index(than)


def _is_blank_at_change(goods: Sequence[Sequence[str]], place: int, larger: int) -> bool:
    """Whether a column is blank in a row where a larger one changes, so that nothing goes on there."""
    texts = [[row[one] if one < len(row) else "" for one in (larger, place)] for row in goods]
    return any(above[0] != below[0] and below[0] and not below[1] for above, below in pairwise(texts))


def _standing_alone(rows: Sequence[Sequence[str]], price: int) -> Iterator[str]:
    """Yield the text of each row with one filled cell that goods follow."""
    for row, below in pairwise(rows):
        if sum(map(bool, row)) == 1 and sum(map(bool, below)) > 1 and not (0 <= price < len(row) and row[price]):
            yield "".join(row)
