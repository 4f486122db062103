"""`estimator prices refresh`: fetches the lists that addresses.toml names, shows what changes, asks, takes over."""

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import islice
from pathlib import Path

import typer
from platformdirs import user_cache_path

from estimator.cli.prices_take import print_changes, take_if_agreed
from estimator.cli.terminal import counted, print_heading, print_notices, print_paragraph, print_table
from estimator.errors import EstimatorError, Fault, Findings, Notice
from estimator.keeping.addresses import ADDRESSES_FILE, ListAddress, list_file_name, read_addresses
from estimator.keeping.changes import Changes
from estimator.keeping.door import LIMITS, Limits, NotFetchedError
from estimator.keeping.fetch import Fetched, copies_of, fetch, forget_all_but, keep
from estimator.keeping.mapped import table_of
from estimator.keeping.supplier_map import SupplierMap, read_supplier_map
from estimator.keeping.take_over import TakeOver, take_over
from estimator.reading.lists import shown_path
from estimator.reading.shop import SHOP_FILE, Shop, find_shop, read_shop


@dataclass(frozen=True, kw_only=True, slots=True)
class Refreshing:
    """How lists are fetched in this run: which shop for, where copies are kept, and whether servers are asked."""

    shop: Shop
    copies: Path
    offline: bool
    limits: Limits


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What became of one list."""

    map_: SupplierMap
    words: str
    failed: bool = False


def refresh_command(path: Path, *, offline: bool, yes: bool, jumps: bool) -> None:
    """Fetch every list and take over what is agreed to; exit code 1 where any failed."""
    copies = user_cache_path("estimator", appauthor=False) / "price_lists"
    if any(one.failed for one in refresh(path, copies, offline=offline, yes=yes, jumps=jumps)):
        raise typer.Exit(1)


def refresh(
    path: Path, copies: Path, *, offline: bool, yes: bool, jumps: bool, limits: Limits = LIMITS
) -> tuple[Outcome, ...]:
    """Fetch every list of the nearest shop and take over what is agreed to; one that fails does not stop the others.

    Raises EstimatorError where the shop, its addresses or a map cannot be read; nobody is asked for anything then.
    """
    findings = Findings()
    shop = read_shop(_shop_path(path), findings)
    sources = read_addresses(shop.price_tables, None if offline else os.environ, findings)
    maps = [read_supplier_map(one.map_path, findings) for one in sources if one.map_path.is_file()]
    findings.raise_faults()
    print_notices(findings.notices)
    refreshing = Refreshing(shop=shop, copies=copies_of(shop.price_tables, copies), offline=offline, limits=limits)
    with suppress(NotFetchedError):  # that no copies can be kept is said of each list
        forget_all_but(sources, refreshing.copies)
    outcomes = tuple(
        _refreshed(source, map_, refreshing, yes=yes, jumps=jumps) for source, map_ in zip(sources, maps, strict=True)
    )
    _print_outcomes(outcomes)
    return outcomes


def _shop_path(path: Path) -> Path:
    if not path.exists():
        remedy = "name the folder of your shop, as seen from where you stand"
        raise EstimatorError.single(shown_path(path), "is not there", remedy)
    found = find_shop((path if path.is_dir() else path.parent).resolve())
    if found is None:
        remedy = f"go to the folder of your shop, or name it behind the command: the one with {SHOP_FILE}"
        raise EstimatorError.single(shown_path(path), f"has no {SHOP_FILE} in it or above it", remedy)
    return found


def _refreshed(source: ListAddress, map_: SupplierMap, refreshing: Refreshing, *, yes: bool, jumps: bool) -> Outcome:
    """Fetch one list, show what changes and take it over if that is agreed to."""
    print_heading(f"{map_.supplier}: {map_.table}")
    try:
        fetched = fetch(source, refreshing.copies, offline=refreshing.offline, limits=refreshing.limits)
        _tell_age(source, fetched)
        return _taken(source, fetched, map_, refreshing, yes=yes, jumps=jumps)
    except NotFetchedError as reason:
        _complain([Fault(origin=source.origin, column="address", message=f"{source.shown}: {reason}")])
        return Outcome(map_=map_, words="not fetched", failed=True)
    except EstimatorError as reason:  # a file could not be written
        _complain(reason.faults)
        return Outcome(map_=map_, words="not written", failed=True)


def _taken(
    source: ListAddress, fetched: Fetched, map_: SupplierMap, refreshing: Refreshing, *, yes: bool, jumps: bool
) -> Outcome:
    findings = Findings()
    shop, file_name = refreshing.shop, list_file_name(source.address, fetched.content)
    day = fetched.as_of.astimezone().date()  # on the user's own calendar
    today = datetime.now(UTC).astimezone().date()
    taken = take_over(fetched.content, file_name, day, map_, shop.price_tables, shop, findings, today=today)
    print_notices([replace(one, message=source.hushed(one.message)) for one in findings.notices])
    faults = taken.faults or _given_away(source, taken)
    if faults:
        _complain(
            [replace(one, message=source.hushed(one.message), column=source.hushed(one.column)) for one in faults]
        )
        return Outcome(map_=map_, words="refused", failed=True)
    keep(fetched, source, refreshing.copies)
    print_changes(taken)
    words = _change_words(taken.changes)
    if words:
        return Outcome(map_=map_, words=f"{words}; {take_if_agreed(taken, yes=yes, jumps=jumps)}")
    unchanged = f"not asked; {_asked_again(fetched.good_until)}" if fetched.good_until else "no price changed"
    return Outcome(map_=map_, words=f"{unchanged}{_brought_up_to_date(taken)}")


def _given_away(source: ListAddress, taken: TakeOver) -> tuple[Fault, ...]:
    """Return a fault for the first row of goods that holds the secret: it would stand in the table for all to read."""
    rows = (row for row in taken.rows if any(map(source.is_given_away, row.cells)))
    message = "holds the secret that the list was asked for with; tell your supplier, and ask for another secret"
    return tuple(Fault(origin=row.sold.origin, message=message) for row in islice(rows, 1))


def _brought_up_to_date(taken: TakeOver) -> str:
    """Write a table of which no price changes, without asking: there is nothing to decide, and dates must not grow old.

    Where nothing at all differs, not a file is touched, and nothing is returned; else that it was written.
    """
    if table_of(taken.rows, taken.map_.table) == taken.former:
        return ""
    taken.write()
    print(f"Wrote {shown_path(taken.path)}: dates, notes and lines of the list")
    return "; dates and notes written"


def _tell_age(source: ListAddress, fetched: Fetched) -> None:
    """Say how old the list is where it does not come from the server just now."""
    age = datetime.now(UTC) - fetched.as_of
    if fetched.instead_of:
        message = f"the list as it was fetched {_ago(age)} is used, for {fetched.instead_of}"
        print_notices([Notice(origin=source.origin, message=message)])
    elif fetched.good_until:
        again = _asked_again(fetched.good_until)
        print_paragraph(f"Not asked: fetched {_ago(age)}, {again} (expires_after in {ADDRESSES_FILE}).")
        print()


def _asked_again(moment: datetime) -> str:
    """Return when a server is asked again, by the user's own clock: `asked again after 14:30`."""
    here = moment.astimezone()
    is_today = here.date() == datetime.now(UTC).astimezone().date()
    return f"asked again after {here:%H:%M}" if is_today else f"asked again after {here:%Y-%m-%d %H:%M}"


def _ago(age: timedelta) -> str:
    for unit, name in ((timedelta(days=1), "day"), (timedelta(hours=1), "hour"), (timedelta(minutes=1), "minute")):
        if age >= unit:
            return f"{counted(age // unit, name)} ago"
    return "a moment ago"


def _complain(faults: Sequence[Fault]) -> None:
    sys.stdout.flush()  # so that the reasons stand below their heading where both go to one file
    for fault in faults:
        print(fault, file=sys.stderr)


def _change_words(changes: Changes) -> str:
    """Return `2 new, 1 dearer`, or nothing where no price changed; what became of jumps is told with the writing."""
    counts = (
        (changes.new, "new"),
        (changes.gone, "gone"),
        (changes.up, "dearer"),
        (changes.down, "cheaper"),
    )
    return ", ".join(f"{len(some):,} {name}" for some, name in counts if some)


def _print_outcomes(outcomes: Sequence[Outcome]) -> None:
    """Print one line for each list, where there are several."""
    if len(outcomes) > 1:
        print_heading("All lists")
        rows = [[one.map_.supplier, one.map_.table, one.words] for one in outcomes]
        print_table(["Supplier", "table", "what became of it"], rows, left=3)
    failed = sum(one.failed for one in outcomes)
    if failed:
        what = "list was not taken over; its table is" if failed == 1 else "lists were not taken over; their tables are"
        sys.stdout.flush()
        print(f"\n{failed} {what} as before.", file=sys.stderr)
