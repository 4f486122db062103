"""`estimator stock`: what a planned job takes of the boards on hand and what it leaves; --take writes the list."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from estimator.buying.stock_update import stock_after, stock_use
from estimator.cli.taking import planned_job, taken_before, told, write_taken
from estimator.cli.terminal import (
    counted,
    load_order,
    print_heading,
    print_json,
    print_notices,
    print_paragraph,
    print_table,
)
from estimator.errors import Notice
from estimator.estimate import estimate
from estimator.keeping.former_tables import kept_path
from estimator.measures import measures
from estimator.reading.lists import shown_path
from estimator.reading.order import Order
from estimator.reading.stock import StockRow
from estimator.reading.taken import taken_path
from estimator.units import length_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Change:
    """What happens to one row of the list."""

    row: StockRow
    before: int
    taken: int
    after: int

    @property
    def put_in(self) -> int:
        """Left-overs of its size."""
        return self.after - self.before + self.taken


def stock_command(path: Path, quantity: int | None, *, as_json: bool, take: bool) -> None:
    """Print how the stock changes with the job; with `take` write it, unless that has been done before."""
    order = load_order(path, quantity)
    result = estimate(order)
    use = stock_use(result.buy_sheet, order.shop)
    after = stock_after(order.stock, use.taken, use.left_overs)
    changes = _changes(order.stock, use.taken, after)
    job = planned_job(order, path, taken=sum(one.taken for one in changes), put_in=sum(one.put_in for one in changes))
    notices = (*result.notices, *(Notice(origin=one.origin, message=told(one)) for one in taken_before(order, job)))
    written = take and bool(changes)
    file, ending = _written(order) if written else _unwritten(order)
    if written:
        write_taken(order, after, job)
    if as_json:
        print_json(_document(order, changes, written=written), notices)
    else:
        _print(order, changes)
        if changes:
            print(f"\n{file}")
            print_paragraph(ending)
    print_notices(notices)


def _changes(rows: Sequence[StockRow], taken: Mapping[StockRow, int], after: Sequence[StockRow]) -> tuple[Change, ...]:
    """Return the rows that change, those of the list in its order and then the new ones."""
    left = {row.origin: row.quantity for row in after}
    known = [
        Change(row=row, before=row.quantity, taken=taken.get(row, 0), after=left.get(row.origin, 0)) for row in rows
    ]
    new = [Change(row=row, before=0, taken=0, after=row.quantity) for row in after if row.origin.line is None]
    return (*(one for one in known if one.taken or one.put_in), *new)


def _print(order: Order, changes: Sequence[Change]) -> None:
    print_paragraph(f"{order.title}: what it takes of the boards on hand, and what it leaves")
    if not changes:
        print()
        print_paragraph("It takes none and leaves nothing worth keeping; the stock stays as it is.")
        return
    print_heading("On hand")
    rows = [[_row_text(order, one.row), *map(str, (one.before, one.taken, one.put_in, one.after))] for one in changes]
    print_table(["What", "before", "taken", "put in", "after"], rows)
    print()
    print_paragraph(_rest_text(order, changes))


def _row_text(order: Order, row: StockRow) -> str:
    place = f" ({row.place})" if row.place else ""
    return f"{row.title}, {length_text(row.length_in, order.shop.unit)}{place}"


def _rest_text(order: Order, changes: Sequence[Change]) -> str:
    """Say what the table leaves out."""
    others = len(order.stock) - sum(one.row in order.stock for one in changes)
    text = (
        f"{counted(others, 'other row')} {'stays as it is' if others == 1 else 'stay as they are'}. " if others else ""
    )
    text += (
        "This is as planned: spare boards are not put in, and where the job goes otherwise, correct the list by hand."
    )
    if order.shop.saw.stock_value == "set" and any(not one.before for one in changes):
        text += " Write what one piece counts (value) into the new rows."
    return text


def _unwritten(order: Order) -> tuple[str, str]:
    """Return a line that names the list, and a sentence behind it."""
    stock = order.shop.stock_path
    return f"Not written: {shown_path(stock)}", f"With --take it is {'rewritten' if stock.exists() else 'made'}."


def _written(order: Order) -> tuple[str, str]:
    """Return what to say once the list is written; where it cannot be, a fault is reported instead."""
    stock = order.shop.stock_path
    kept = f"The former list is kept as {kept_path(stock).name}. " if stock.exists() else ""
    return f"Wrote {shown_path(stock)}", (
        f"{kept}The job is entered in {taken_path(stock).name}, so that it is not taken twice. From now on it would be "
        "planned with the new stock: cut by the list printed before."
    )


def _document(order: Order, changes: Sequence[Change], *, written: bool) -> dict[str, object]:
    shown = measures(order.shop.unit)
    return {
        "order": order.title,
        "stock": shown_path(order.shop.stock_path),
        "written": written,
        "changes": [
            {
                "species": one.row.species,
                "grade": one.row.grade,
                "section": one.row.section.text,
                f"length_{shown.length}": round(shown.length_of(one.row.length_in), 4),
                "place": one.row.place,
                "before": one.before,
                "taken": one.taken,
                "put_in": one.put_in,
                "after": one.after,
            }
            for one in changes
        ],
    }
