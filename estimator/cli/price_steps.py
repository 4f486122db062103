"""A price over time, drawn in plain characters: steps over days, a year twelve times as wide as a month."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from estimator.cli.terminal import WIDTH
from estimator.keeping.history import PriceChange

HEIGHT = 5  # lines from the lowest price to the highest
DAY = len("2026-11-24")


def step_lines(changes: Sequence[PriceChange], labels: Sequence[str], last_day: date) -> list[str]:
    """Return the lines of the drawing from the first change to the last day; `labels` are the prices as text.

    The foot is the lowest price and not nothing, for in five lines small changes would not show; what a change comes
    to stands in the table with it.
    """
    priced = [(one.price, label) for one, label in zip(changes, labels, strict=True) if one.price is not None]
    low, high = min(priced), max(priced)
    margin = max(len(low[1]), len(high[1]))
    width = WIDTH - margin - 2
    levels = _levels(changes, low[0], high[0], width, last_day)
    lines = ["".join(_sign(levels, column, level) for column in range(width)) for level in range(HEIGHT)]
    lines = lines[::-1] if high[0] > low[0] else lines[:1]
    named = [high[1], *[""] * (len(lines) - 2), low[1]][-len(lines) :]
    axis, days = _days(changes[0].day, last_day, width)
    drawn = [f"{label:>{margin}} |{line}" for label, line in zip(named, lines, strict=True)]
    return [line.rstrip() for line in (*drawn, f"{'':{margin}} +{axis}", f"{'':{margin}}  {days}")]


def _levels(
    changes: Sequence[PriceChange], low: Decimal, high: Decimal, width: int, last_day: date
) -> list[int | None]:
    """Return the line that each column's price is on, counted from the lowest; None where there was no price."""
    levels: list[int | None] = [None] * width
    for change in changes:
        level = None if change.price is None else round((change.price - low) / ((high - low) or 1) * (HEIGHT - 1))
        start = _column(change.day, changes[0].day, last_day, width)
        levels[start:] = [level] * (width - start)
    return levels


def _column(day: date, first_day: date, last_day: date, width: int) -> int:
    return round((day - first_day).days * (width - 1) / max(1, (last_day - first_day).days))


def _sign(levels: Sequence[int | None], column: int, level: int) -> str:
    """Return `=` where the price holds, `|` where it steps to another."""
    now, before = levels[column], levels[column - 1] if column else None
    if now == level:
        return "="
    steps_past = now is not None and before is not None and min(now, before) <= level <= max(now, before)
    return "|" if steps_past else " "


def _days(first_day: date, last_day: date, width: int) -> tuple[str, str]:
    """Return the axis with a mark at each new year, and the days and years below it as far as there is room."""
    axis, below = ["-"] * width, list(f"{first_day}{last_day!s:>{width - DAY}}")
    for year in range(first_day.year + 1, last_day.year + 1):
        column = _column(date(year, 1, 1), first_day, last_day, width)
        axis[column] = "+"
        if all(sign == " " for sign in below[column - 1 : column + 6]):
            below[column : column + 4] = str(year)
    return "".join(axis), "".join(below)
