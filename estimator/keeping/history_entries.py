"""Entries in the price history: what a price was and what it became, on which day, by which list or table."""

from collections import deque
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from estimator.errors import Findings
from estimator.keeping.written_numbers import price_text
from estimator.money import Currency
from estimator.reading.list_changes import changed_list, new_list
from estimator.reading.lists import columns, decode, delimiter_of, each_row

HISTORY_FILE = "price_history.csv"
HISTORY_COLUMNS = columns("day, table, supplier, item, old_price, new_price, per, source")
PRICES = ("old_price", "new_price")
Cells = Mapping[str, str]


def history_with(path: Path, entries: list[Cells]) -> bytes | None:
    """Return the history with more entries, None where it stays as it is. Raises EstimatorError where it has faults.

    Where it ends in just these, they were entered before a failure kept the table from following.
    """
    if not path.exists():
        return new_list(HISTORY_COLUMNS, entries) if entries else None
    findings = Findings()
    last = deque((row.texts for row in each_row(path, HISTORY_COLUMNS, findings)), maxlen=len(entries))
    findings.raise_faults()
    raw = path.read_bytes()
    if delimiter_of(decode(raw)) == ";":
        entries = [_with_commas(entry) for entry in entries]
    entered = [{name: texts.get(name, "") for name in one} for texts, one in zip(last, entries, strict=False)]
    return changed_list(raw, HISTORY_COLUMNS, {}, entries) if entered != entries else None


def _with_commas(entry: Cells) -> Cells:
    """Return an entry with the decimals of a list with semicolons, where 9.125 could be nine thousand."""
    return {name: text.replace(".", ",") if name in PRICES else text for name, text in entry.items()}


def entered_price(price: Decimal | None, currency: Currency) -> str:
    """Return a price as the history has it, nothing for none."""
    return "" if price is None else price_text(Fraction(price), currency)[0]
