"""`estimator prices check`: reads all price tables and says what to mend, and what looks wrong."""

from datetime import date
from pathlib import Path

from estimator.cli.prices_history import nearest_shop
from estimator.cli.terminal import counted, print_notices, print_paragraph
from estimator.errors import Findings
from estimator.keeping.check import price_doubts
from estimator.reading.lists import shown_path
from estimator.reading.prices import read_price_tables


def check_command(path: Path) -> None:
    """Print what to look at again; what must be mended is raised as faults."""
    findings = Findings()
    shop = nearest_shop(path, findings)
    tables = read_price_tables(shop, findings)
    findings.raise_faults()
    rows = sum(map(len, (tables.lumber, tables.hardware, tables.finishes, tables.consumables)))
    doubts = price_doubts(tables, shop, date.today())  # noqa: DTZ011 - the day on the user's own calendar
    print_paragraph(f"{counted(rows, 'price row')} in {shown_path(tables.folder)}: all can be read.")
    print(f"To look at again: {len(doubts) or 'nothing'}.")
    for doubt in doubts:
        print_paragraph(f"- {doubt}")
    print_notices(findings.notices)
