"""`estimator prices take`: shows what changes with a supplier's list, asks, and takes it over."""

import sys
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

import typer

from estimator.cli.terminal import print_heading, print_notices, print_paragraph, print_table
from estimator.errors import EstimatorError, Findings, Notice, Origin
from estimator.keeping.changes import Change
from estimator.keeping.history_entries import HISTORY_FILE
from estimator.keeping.supplier_map import SupplierMap, read_supplier_map
from estimator.keeping.take_over import TakeOver, take_over
from estimator.reading.lists import shown_path
from estimator.reading.shop import SHOP_FILE, Shop, find_shop, read_shop

MOST_SHOWN = 20  # changes of a kind; all of them go into the history
LOOK_TWICE = "look twice"


def take_command(file: Path, map_path: Path, *, yes: bool, jumps: bool) -> None:
    """Print what changes, ask about it and about jumps on their own, and write what is agreed to."""
    findings = Findings()
    shop, map_ = _shop_and_map(map_path, findings)
    content, tables = list_content(file), shop.price_tables
    taken = take_over(content, file.name, _day_of(file), map_, tables, shop, findings, today=_today())
    if not taken.is_safe:
        raise EstimatorError(taken.faults)
    print_changes(taken)
    print_notices(findings.notices)
    take_if_agreed(taken, yes=yes, jumps=jumps)


def _shop_and_map(map_path: Path, findings: Findings) -> tuple[Shop, SupplierMap]:
    """Return a map and the nearest shop above it. Raises EstimatorError."""
    shop_path = find_shop(map_path.resolve().parent)
    if shop_path is None:
        raise EstimatorError.single(shown_path(map_path), f"has no {SHOP_FILE} above it", "put the map into your shop")
    shop, map_ = read_shop(shop_path, findings), read_supplier_map(map_path, findings)
    findings.raise_faults()
    return shop, map_


def list_content(file: Path) -> bytes:
    """Return what is in the file of a list. Raises EstimatorError where it cannot be read."""
    if file.is_dir():
        raise EstimatorError.single(shown_path(file), "is a folder", "name the list in it")
    try:
        return file.read_bytes()
    except OSError as reason:
        message, remedy = f"cannot be read ({reason.strerror})", "name the list as seen from where you stand"
        raise EstimatorError.single(shown_path(file), message, remedy) from reason


def _day_of(file: Path) -> date:
    return date.fromtimestamp(file.stat().st_mtime)  # noqa: DTZ012 - the day on the user's own calendar


def _today() -> date:
    return date.today()  # noqa: DTZ011 - the day on the user's own calendar


def print_changes(taken: TakeOver) -> None:
    """Print what changes with a list, at most so many of each kind."""
    changes, jumps = taken.changes, taken.changes.jumps
    dated = f"the newest dated {taken.day}" if taken.has_newest_day else f"dated {taken.day} where it gives no date"
    print_paragraph(f"{taken.source}: {_many(len(taken.rows), 'row')} of {taken.map_.supplier}, {dated}")
    for heading, some in (
        (f"{LOOK_TWICE.capitalize()}: prices that jump", jumps),
        ("Dearer", tuple(one for one in changes.up if not one.jump)),
        ("Cheaper", tuple(one for one in changes.down if not one.jump)),
        ("New", changes.new),
        ("Gone", changes.gone),
    ):
        if some:
            print_heading(f"{heading}: {len(some):,}")
            _print_some(taken, some)
    if changes.same:
        print()
        print_paragraph(f"{_many(len(changes.same), 'price')} as before.")
    if taken.last_day > _today():
        remedy = f"mend date in {taken.map_.path.name} if that is no day to come"
        message = f"has a price dated {taken.last_day}, after today; {remedy}"
        print_notices([Notice(origin=Origin(file=taken.source), message=message)])


def _print_some(taken: TakeOver, some: Sequence[Change]) -> None:
    rows = [
        [one.item, one.per, _price(taken, one.old_price), _price(taken, one.new_price), _percent(one)]
        for one in some[:MOST_SHOWN]
    ]
    print_table(["What", "per", "before", "now", "change"], rows, left=2)
    if len(some) > MOST_SHOWN:
        print(f"and {len(some) - MOST_SHOWN:,} more")


def _price(taken: TakeOver, price: Decimal | None) -> str:
    return "" if price is None else taken.currency.price_text(price)


def _percent(change: Change) -> str:
    return "" if change.percent is None else f"{change.percent:+} %"


def take_if_agreed(taken: TakeOver, *, yes: bool, jumps: bool) -> str:
    """Write what is agreed to: with `yes` all but jumps, with `jumps` those too, else by asking on a terminal.

    Returns what became of it, in words: `written, but for 1 that jumps`.
    """
    where, jumping = shown_path(taken.path), _jumping(taken)
    if not taken.changes_table(jumps=True):
        print(f"\nNothing to write: {where} is just this list already.")
        return "as it was"
    if not yes and not sys.stdin.isatty():
        print(f"\nNot written: {where}\nWith --yes it is.")
        return "not written"
    print()
    if not yes and not typer.confirm(f"Take over all but the {jumping}?" if jumping else "Take it over?"):
        print(f"Not written: {where}")
        return "not written"
    if not yes and jumping:
        jumps = typer.confirm(f"And the {jumping}?")
    if not taken.changes_table(jumps=jumps):
        print_paragraph(
            f"Nothing but the {jumping} would change: {where} stays as it is. --yes --jumps takes over all."
        )
        return f"not taken, for {'it jumps' if len(taken.changes.jumps) == 1 else 'they jump'}"
    taken.write(jumps=jumps)
    print(f"Wrote {where}")
    print_paragraph(_ending(taken, jumps=jumps))
    return f"written{_what_of_jumps(taken, jumps=jumps)}"


def _what_of_jumps(taken: TakeOver, *, jumps: bool) -> str:
    found = len(taken.changes.jumps)
    if not found:
        return ""
    return f", {'with' if jumps else 'but for'} {found:,} that jump{'s' * (found == 1)}"


def _jumping(taken: TakeOver) -> str:
    """Return how many prices jump, in words that follow "the", or nothing."""
    found = len(taken.changes.jumps)
    return "price that jumps" if found == 1 else f"{found:,} prices that jump" if found else ""


def _many(count: int, noun: str) -> str:
    return f"{count:,} {noun}{'s' * (count != 1)}"


def _ending(taken: TakeOver, *, jumps: bool) -> str:
    jumping, verb = _jumping(taken), "is" if len(taken.changes.jumps) == 1 else "are"
    left = f"The {jumping} {verb} kept as before; --yes --jumps takes over all. " if jumping and not jumps else ""
    kept = f"The former table is {taken.kept_path.name}. " if taken.former is not None else ""
    return f"{left}{kept}What changed is entered in {HISTORY_FILE}."
