"""`estimator prices check`: reads all price tables and says what to mend, what looks wrong and what nothing uses."""

from datetime import date
from pathlib import Path

from estimator.cli.prices_by_hand import show_changes_by_hand
from estimator.cli.prices_history import nearest_shop
from estimator.cli.terminal import counted, print_heading, print_notices, print_paragraph
from estimator.errors import Findings
from estimator.keeping.by_hand import changes_by_hand
from estimator.keeping.check import PriceCheck, check_prices
from estimator.keeping.checking.doubts import Doubts
from estimator.reading.lists import shown_path
from estimator.reading.prices import PriceTables, read_price_tables
from estimator.reading.shop import Shop


def check_command(path: Path) -> None:
    """Print what to look at again; what must be mended is raised as faults."""
    findings = Findings()
    shop = nearest_shop(path, findings)
    tables = read_price_tables(shop, findings)
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar
    by_hand = changes_by_hand(shop, tables, today, findings)
    findings.raise_faults()
    given = path if path.is_dir() else path.parent
    check = check_prices(tables, shop, given, today)
    _print_summary(check, tables, shop)
    _print_unreadable(check)
    for group in check.doubts:
        _print_doubts(group)
    _print_unused(check)
    show_changes_by_hand(by_hand, findings)
    print_notices(findings.notices)


def _print_summary(check: PriceCheck, tables: PriceTables, shop: Shop) -> None:
    rows = sum(map(len, (tables.lumber, tables.hardware, tables.finishes, tables.consumables)))
    count = sum(group.count for group in check.doubts)
    rows_text = "1 price row" if rows == 1 else f"{rows:,} price rows"
    print_paragraph(f"{rows_text} in {shown_path(tables.folder)}: all can be read.")
    print_paragraph(_builds_text(check, shop))
    print(f"To look at again: {f'{count:,}' if count else 'nothing'}.")


def _builds_text(check: PriceCheck, shop: Shop) -> str:
    read, shown = len(check.builds.builds), shown_path(shop.folder)
    folder = "this folder" if shown == "." else shown
    if not read and not check.builds.unreadable:
        return f"There is no build in {folder}, so what builds use of them is left out."
    some = "" if check.builds.is_all else " Not all folders were looked into: there are too many."
    return f"{counted(read, 'build') if read else 'No build'} in {folder} can be read and held against them.{some}"


def _print_unreadable(check: PriceCheck) -> None:
    if check.unreadable:
        print_heading("Not read")
        print_paragraph("What they use is not known here.")
        for one in check.unreadable:
            folder = shown_path(one.path if one.path.is_dir() else one.path.parent)
            print_paragraph(
                f"- {shown_path(one.path)}: {counted(one.faults, 'fault')}; run estimator check {folder} to see them"
            )


def _print_doubts(group: Doubts) -> None:
    print_heading(group.heading)
    print_paragraph(group.remedy)
    for notice in group.notices:
        print_paragraph(f"- {notice}")
    if group.count > len(group.notices):
        print(f"... and {group.count - len(group.notices):,} more.")


def _print_unused(check: PriceCheck) -> None:
    if check.unused:
        print_heading("In no build")
        print_paragraph("Nothing is wrong with that: it may be for the next one.")
        for notice in check.unused:
            print_paragraph(f"- {notice}")
