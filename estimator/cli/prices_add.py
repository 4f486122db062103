"""`estimator prices add`: asks for prices that are missing, item after item, and adds their rows to the tables."""

import shlex
import sys
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path

import typer

from estimator.cli.asked_for import AskedFor
from estimator.cli.price_questions import QUESTIONS, Question
from estimator.cli.prices_history import nearest_shop
from estimator.cli.terminal import WIDTH, load_order, print_heading, print_paragraph, print_table, wrapped
from estimator.errors import EstimatorError, Findings, RowToFill
from estimator.estimate import estimate
from estimator.keeping.add import (
    NewRow,
    PriceBook,
    TableRow,
    faults_of,
    is_random_length,
    new_row,
    price_book,
    there_already,
    write_rows,
)
from estimator.keeping.changes import item_words, sold_per
from estimator.keeping.former_tables import kept_path
from estimator.keeping.history import LABOUR_TABLE
from estimator.keeping.history_entries import HISTORY_FILE
from estimator.keeping.rows_to_fill import has_decimal_comma, missing_rows, proposals, usual_supplier, written_as
from estimator.reading.build import BUILD_FILE
from estimator.reading.fields import closest, name_key
from estimator.reading.lists import shown_path
from estimator.reading.order import ORDER_FILE, Order
from estimator.reading.prices import LabourRate, read_price_tables
from estimator.reading.sold import SOLD
from estimator.reading.spread_rates import SpreadRate

BY_HAND = (*SOLD, LABOUR_TABLE)  # the tables that prices are added to without an order that asks for them


class _LeftOutError(Exception):
    """An item is passed over: a question that needs an answer got none."""


def add_command(path: Path, quantity: int | None, today: date) -> None:
    """Ask for what has no price and write it once that is agreed to; exit code 1 where the answers end before."""
    if hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="surrogateescape")  # bytes of no encoding are then refused like any odd sign
    try:
        if not path.exists() or _is_order(path):
            _add_missing(path, quantity, today)
        elif quantity is not None:
            raise typer.BadParameter("it goes with the folder of one build", param_hint="--quantity")
        else:
            _add_any(path, today)
    except (EOFError, KeyboardInterrupt):
        sys.stdout.flush()
        print("\nThe answers ended before a yes; nothing was written.", file=sys.stderr)
        raise typer.Exit(1) from None


def _is_order(path: Path) -> bool:
    names = (ORDER_FILE, BUILD_FILE)
    return path.name in names if path.is_file() else any((path / name).is_file() for name in names)


def _add_missing(path: Path, quantity: int | None, today: date) -> None:
    """Ask for what an order or a build has no price for. Raises EstimatorError where anything else is to be mended."""
    order = load_order(path, quantity)
    missing = _missing(order)
    if not missing:
        print_paragraph(
            f"{order.title}: all that it takes has a price. To add other prices, name the folder of your price tables:"
        )
        print(f"estimator prices add {shlex.quote(shown_path(order.prices.folder))}")
        return
    book = price_book(order.shop, order.prices)
    many = "1 price or rate is" if len(missing) == 1 else f"{len(missing)} prices or rates are"
    print_paragraph(f"{order.title}: {many} missing.")
    _explain()
    rows: list[NewRow] = []
    for place, item in enumerate(missing, start=1):
        print_heading(f"{place} of {len(missing)}: {item.item}")
        print_paragraph(f"Asked for by {item.origin}{item.hint}")
        rows += _asked_row(book, item.table.stem, rows, known=dict(item.known), proposed=proposals(item, today))
    if _written(book, rows):
        asked = AskedFor(path=str(path), quantity=quantity)
        print(f"Now see whether all is there: estimator check {asked.words}")


def _missing(order: Order) -> tuple[RowToFill, ...]:
    try:
        estimate(order)
    except EstimatorError as error:
        others = tuple(fault for fault in error.faults if not fault.rows)
        if others:
            raise EstimatorError(others) from None
        return missing_rows(error.faults)
    return ()


def _add_any(path: Path, today: date) -> None:
    """Ask for prices of anything, as after a call to the yard."""
    findings = Findings()
    shop = nearest_shop(path, findings)
    findings.raise_faults()
    tables = read_price_tables(shop, findings)
    findings.raise_faults()
    book = price_book(shop, tables)
    print_paragraph(f"Prices for {shown_path(tables.folder)}.")
    _explain()
    rows: list[NewRow] = []
    table = BY_HAND[0]
    while True:
        print()
        table = _asked_table(table)
        rows += _asked_row(book, table, rows, known={}, proposed=_first_proposals(table, today))
        print()
        if not _agreed("Another one?"):
            break
    if _written(book, rows):
        print("Now look them over: estimator prices check")


def _explain() -> None:
    print_paragraph(
        "Enter alone takes what stands in [brackets]; where nothing does, the item is left out. Nothing is written "
        "before you say yes."
    )


def _first_proposals(table: str, today: date) -> dict[str, str]:
    per = {"per": "each"} if table == "lumber" else {}
    return {**per, "date": today.isoformat()}


def _asked_table(usual: str) -> str:
    while True:
        answer = _answer(f"Table ({', '.join(BY_HAND)}) [{usual}]:") or usual
        found = [table for table in BY_HAND if name_key(table) == name_key(answer.removesuffix(".csv"))]
        if found:
            return found[0]
        _refuse(f'"{answer}" is none of them')


def _asked_row(
    book: PriceBook, table: str, rows: Sequence[NewRow], *, known: Mapping[str, str], proposed: Mapping[str, str]
) -> list[NewRow]:
    """Return the row of one item as it is answered, nothing where it is left out."""
    former = book.formers[table]
    comma = former is not None and has_decimal_comma(former)
    cells = {name: written_as(name, text, decimal_comma=comma) for name, text in known.items()}
    supplier = next((one.cells["supplier"] for one in reversed(rows) if one.table == table and table in SOLD), "")
    sellers = (*book.supplier_names, *(one.cells["supplier"] for one in rows if one.table in SOLD))
    proposed = {"supplier": supplier or usual_supplier(book.path(table)), **proposed}
    try:
        for question in _questions(table, known):
            there = there_already(book, table, cells, rows) if question.is_price else None
            if there:
                _refuse(f"It is there already: {_price_words(book, there)}, {_place(there)}. Left out.")
                return []
            if question.column == "per" and is_random_length(cells.get("length", "")) and proposed["per"] == "each":
                proposed = {**proposed, "per": "bf" if book.shop.unit == "in" else "m3"}
            ask = partial(_asked_cell, book, table, question, cells, proposed.get(question.column, ""))
            cells[question.column] = _asked_supplier(ask, sellers) if question.column == "supplier" else ask()
    except _LeftOutError:
        print("  Left out.")
        return []
    return [new_row(book, table, cells)]


def _questions(table: str, known: Mapping[str, str]) -> Iterator[Question]:
    return (one for one in QUESTIONS[table] if one.column not in known and not (one.optional and known))


def _asked_cell(book: PriceBook, table: str, question: Question, cells: Mapping[str, str], proposed: str) -> str:
    """Return an answer that the table's reader takes; a bad one is asked for again."""
    hint = f" [{proposed}]" if proposed else " (or blank)" if question.optional else ""
    while True:
        answer = _answer(f"{question.words}{hint}:", indent=2) or proposed
        if not answer and not question.optional:
            raise _LeftOutError
        faults = faults_of(book, table, {**cells, question.column: answer})
        reason = next((fault.message for fault in faults if fault.column == question.column), "")
        if not reason:
            return answer
        _refuse(reason.removesuffix(", or take the row out"))  # it is no row yet


def _asked_supplier(ask: Callable[[], str], known: Collection[str]) -> str:
    """Return whom a price is from; a name that nobody has yet is asked about, for it may be an answer out of step."""
    while True:
        name = ask()
        if name_key(name) in map(name_key, known):
            return name
        near = closest(name, known)
        _refuse(f"Nobody of that name sells anything yet{f'; nearest: {near}' if near else ''}.")
        if _agreed(f'Take "{name}" as a new supplier?', indent=4):
            return name


def _place(row: TableRow) -> str:
    """Return where a price stands that is there already, and what to do with it."""
    return "among the rows before this one" if row.origin.line is None else f"in {row.origin}; change it there"


def _written(book: PriceBook, rows: Sequence[NewRow]) -> bool:
    """Show the rows, ask, and write them; return whether they were written."""
    if not rows:
        print("\nNothing to add; nothing was written.")
        return False
    print_heading("New rows")
    print_table(["Table", "what", "supplier", "price", "since"], [_shown(book, one) for one in rows], left=3)
    print()
    if not _agreed("Add this row?" if len(rows) == 1 else f"Add these {len(rows)} rows?"):
        print("Nothing was written.")
        return False
    for path in write_rows(book, rows):
        is_new = book.formers[path.stem] is None
        rest = ", a new table" if is_new else f"; the former table is {kept_path(path).name}"
        print_paragraph(f"Wrote {shown_path(path)}{rest}.")
    if any(one.table in SOLD for one in rows):
        print(f"The new prices are entered in {HISTORY_FILE}.")
    if any(one.table == LABOUR_TABLE for one in rows):
        print(f"Rates for work enter {HISTORY_FILE} with the next estimator prices check.")
    return True


def _shown(book: PriceBook, new: NewRow) -> list[str]:
    row = new.row
    match row:
        case LabourRate():
            return [new.table, row.name, "", _price_words(book, row), str(row.day)]
        case SpreadRate():
            return [new.table, f"{row.product}, {row.texture}, {row.coat} coat", "", new.cells["rate"], ""]
        case _:
            return [new.table, item_words(row, book.shop.unit), row.supplier, _price_words(book, row), str(row.day)]


def _price_words(book: PriceBook, row: TableRow) -> str:
    match row:
        case LabourRate():
            return f"{book.shop.currency.price_text(row.per_hour)} an hour"
        case SpreadRate():
            return "its rate"
        case _:
            currency = book.suppliers.currency_of(row.supplier)
            return f"{currency.price_text(row.price)} {_per_words(sold_per(row))}"


def _per_words(per: str) -> str:
    return "each" if per == "each" else f"a {per}"


def _agreed(question: str, *, indent: int = 0) -> bool:
    return _answer(f"{question} [y/N]", indent=indent).lower() in ("y", "yes")


def _answer(question: str, *, indent: int = 0) -> str:
    """Return what is typed, without blanks around it; where it is piped in it is shown, as a terminal shows it."""
    *above, last = wrapped(question, WIDTH - indent)
    for line in above:
        print(f"{' ' * indent}{line}")
    answer = " ".join(input(f"{' ' * indent}{last} ").split())
    if not sys.stdin.isatty():
        print(answer)
    return answer


def _refuse(reason: str) -> None:
    print_paragraph(f"! {reason}", indent=4)
