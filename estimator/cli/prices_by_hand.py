"""What changed in the tables by hand, for `estimator prices check`: shown, entered, asked about where it jumps."""

import sys
from collections.abc import Sequence

import typer

from estimator.cli.terminal import counted, print_heading, print_paragraph, print_table
from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.by_hand import ChangedByHand
from estimator.keeping.changes import Change
from estimator.reading.lists import shown_path

MOST_SHOWN = 20  # changes in a table; all of them go into the history


def show_changes_by_hand(changed: ChangedByHand, findings: Findings) -> None:
    """Print what changed since it was last entered, and enter it; jumps only where someone says that they are right.

    A history that cannot be written is a notice: the prices can be checked all the same.
    """
    changes, jumps = changed.changes, changed.changes.jumps
    moved = [one for one in (*changes.up, *changes.down) if not one.jump]
    first = [one for one in changes.new if changed.is_first(one)]
    shown = [*moved, *(one for one in changes.new if not changed.is_first(one)), *changes.gone]
    _print("Changed by hand since the last check", changed, shown)
    _print("Look twice: prices that jump, changed by hand", changed, jumps)
    if not (shown or jumps or first):
        print("\nChanged by hand since the last check: nothing.")
    entered = _entered([*moved, *changes.new, *changes.gone], changed, findings)
    if entered and first:
        print()
        print_paragraph(
            f"Kept by hand: {counted(len(first), 'price')}, entered in {changed.history.name}. From now on this "
            "command says what changed in them."
        )
    if entered and jumps:
        _ask_about_jumps(jumps, changed, findings)


def _print(heading: str, changed: ChangedByHand, some: Sequence[Change]) -> None:
    if not some:
        return
    print_heading(f"{heading}: {len(some):,}")
    rows = [
        [one.item, changed.entries[one.key].source, *changed.prices(one), one.per, _change_text(one)]
        for one in some[:MOST_SHOWN]
    ]
    print_table(["What", "from", "before", "now", "per", "change"], rows, left=2)
    if len(some) > MOST_SHOWN:
        print(f"and {len(some) - MOST_SHOWN:,} more")


def _change_text(change: Change) -> str:
    if change.percent is None:
        return "new" if change.old_price is None else "gone"
    return f"{change.percent:+} %"


def _entered(changes: Sequence[Change], changed: ChangedByHand, findings: Findings) -> bool:
    """Enter changes and return whether that went well; why it did not is a notice."""
    try:
        changed.enter(changes)
    except EstimatorError as error:
        message = f"what changed by hand could not be kept: {error.faults[0].message}"
        findings.notice(Origin(file=shown_path(changed.history)), message)
        return False
    return True


def _ask_about_jumps(jumps: Sequence[Change], changed: ChangedByHand, findings: Findings) -> None:
    one = len(jumps) == 1
    jumping = "price that jumps" if one else f"{len(jumps):,} prices that jump"
    print()
    if not sys.stdin.isatty():
        asked = f"At a terminal you are asked about {'it' if one else 'them'}."
        print_paragraph(f"Not entered in {changed.history.name}: the {jumping}. {asked}")
    elif typer.confirm(f"{'Is' if one else 'Are'} the {jumping} right?"):
        _entered(jumps, changed, findings)
