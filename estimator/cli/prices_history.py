"""`estimator prices history`: what an item has cost over time, drawn in plain characters and as a workbook."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

from estimator.cli.price_steps import step_lines
from estimator.cli.terminal import print_heading, print_notices, print_paragraph, print_table
from estimator.errors import EstimatorError, Findings
from estimator.keeping.by_hand import present_prices
from estimator.keeping.history import ItemHistory, PriceChange, price_histories, read_history, shown_price
from estimator.keeping.history_entries import HISTORY_FILE
from estimator.keeping.price_measures import per_words
from estimator.reading.lists import shown_path
from estimator.reading.prices import read_price_tables
from estimator.reading.shop import SHOP_FILE, Shop, find_shop, read_shop
from estimator.reading.suppliers import Suppliers, read_suppliers
from estimator.whole_files import write_whole


def history_command(words: str, path: Path, *, out: Path | None, replace: bool) -> None:
    """Print the prices of every item with these words in its name; with `out` write them as a workbook."""
    findings = Findings()
    shop = nearest_shop(path, findings)
    tables = read_price_tables(shop, findings)
    entered = read_history(tables.folder / HISTORY_FILE, findings)
    findings.raise_faults()
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar
    histories = price_histories(entered, present_prices(tables, shop), words, tables.folder, today)
    suppliers = read_suppliers(tables.folder, shop.currency, Findings())
    if out is not None:
        from estimator.workbook.history_sheet import history_workbook  # noqa: PLC0415 - openpyxl loads when a file is asked for

        write_whole(out, history_workbook(histories, words, shop, suppliers, today), replace=replace)
    _print(histories, suppliers, today)
    if out is not None:
        print(f"\nWrote {out}")
    print_notices(findings.notices)


def nearest_shop(path: Path, findings: Findings) -> Shop:
    """Return the settings that hold for a folder. Raises EstimatorError where there are none."""
    shop_path = find_shop(path.resolve())
    if shop_path is None:
        raise EstimatorError.single(
            shown_path(path), f"has no {SHOP_FILE} in it or above it", "name the folder of your shop"
        )
    return read_shop(shop_path, findings)


def _print(histories: Sequence[ItemHistory], suppliers: Suppliers, today: date) -> None:
    """Print each item that has changed, and then, supplier by supplier, those that have had one price only."""
    for history in histories:
        if len(history.changes) > 1:
            _print_changed(history, suppliers, today)
    once = [history for history in histories if len(history.changes) == 1]
    for supplier in dict.fromkeys(history.supplier for history in once):
        print_heading(f"{supplier}: one price so far")
        rows = [_row_of_one(history, suppliers) for history in once if history.supplier == supplier]
        print_table(["What", "from", "since", "price", "per"], rows, left=3)


def _print_changed(history: ItemHistory, suppliers: Suppliers, today: date) -> None:
    print_heading(history.item)
    print_paragraph(", ".join(filter(None, (history.supplier, per_words(history.per)))))
    print()
    changes = history.changes
    last_day = max(today, changes[-1].day)
    labels = [_price_text(one, suppliers) for one in changes]
    if any(one.price is not None for one in changes):
        for line in step_lines(changes, labels, last_day):
            print(line)
        print()
    prices = [None, *(one.price for one in changes)]
    days = [(after - before).days for before, after in pairwise((*(one.day for one in changes), last_day))]
    rows = [
        [str(one.day), one.source, label, _change_text(before, one.price), str(held or "")]
        for one, label, before, held in zip(changes, labels, prices, days, strict=False)
    ]
    print_table(["Day", "from", "price", "change", "days held"], rows, left=2)
    _print_worked_out(history, suppliers)


def _print_worked_out(history: ItemHistory, suppliers: Suppliers) -> None:
    """Say which prices were entered per another measure, and what they were."""
    written = [
        f"{_price_text(one.written, suppliers)} {per_words(one.written.per)} on {one.day}"
        for one in history.changes
        if one.written
    ]
    if written:
        print()
        print_paragraph(f"Worked out {per_words(history.per)} from {', '.join(written)}.")


def _row_of_one(history: ItemHistory, suppliers: Suppliers) -> list[str]:
    (change,) = history.changes
    return [history.item, change.source, str(change.day), _price_text(change, suppliers), history.per]


def _price_text(change: PriceChange, suppliers: Suppliers) -> str:
    if change.price is None:
        return "gone"
    return shown_price(change.price, suppliers.currency_of(change.supplier))


def _change_text(before: Decimal | None, price: Decimal | None) -> str:
    return f"{(price / before - 1) * 100:+.1f} %" if before and price and price != before else ""
