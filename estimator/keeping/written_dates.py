"""Dates as suppliers write them, in the order of day, month and year that the map of a list says."""

import re
from datetime import date

from estimator.units import plain

MONTH_FIRST, DAY_FIRST, YEAR_FIRST = "month day year", "day month year", "year month day"
_NUMBERS = re.compile(r"(?:\d{1,2}[./-]\d{1,2}[./-]\d{2,4}|\d{4}[./-]\d{1,2}[./-]\d{1,2})")
CENTURY = 2000  # of a year in two figures: no list is older


def date_text(text: str, order: str) -> str:
    """Return a date of three numbers as year-month-day, any other text as it stands.

    `order` names day, month and year as they follow each other, and is blank where dates have to be clear. A year in
    four figures in front is never followed by the day. Raises ValueError where there is no such day.
    """
    numbers = re.fullmatch(r"(\d{1,4})[./-](\d{1,2})[./-](\d{1,4})", plain(text))
    if numbers is None or not order or len(numbers[1]) > 2:
        return text
    named = dict(zip(order.split(), map(int, numbers.groups()), strict=True))
    year = named["year"] + (CENTURY if named["year"] < 100 else 0)
    try:
        return date(year, named["month"], named["day"]).isoformat()
    except ValueError:
        raise ValueError(f'"{text}" is no day in the order {order}') from None


def is_unclear(text: str) -> bool:
    """Whether a text is a date of three numbers that does not begin with its year."""
    return re.fullmatch(r"\d{1,2}[./-]\d{1,2}[./-]\d{2,4}", plain(text)) is not None


def is_no_day(text: str) -> bool:
    """Whether a text is a date of three numbers, and there is no such day in whatever order it is read."""
    orders = (YEAR_FIRST,) if re.match(r"\d{4}\D", plain(text)) else (MONTH_FIRST, DAY_FIRST)
    return _NUMBERS.fullmatch(plain(text)) is not None and not any(_is_day(text, order) for order in orders)


def _is_day(text: str, order: str) -> bool:
    named = dict(zip(order.split(), map(int, re.split(r"[./-]", plain(text))), strict=True))
    try:
        date(named["year"] + (CENTURY if named["year"] < 100 else 0), named["month"], named["day"])
    except ValueError:
        return False
    return True


def order_of(texts: list[str]) -> str:
    """Return the order of dates with slashes by those that fit only one, blank where none or more than one does."""
    found = [re.fullmatch(r"(\d{1,2})/(\d{1,2})/\d{2,4}", plain(text)) for text in texts]
    pairs = [(int(one[1]), int(one[2])) for one in found if one]
    orders = [
        order
        for order, place in ((MONTH_FIRST, 1), (DAY_FIRST, 0))
        if any(pair[place] > 12 for pair in pairs) and all(pair[1 - place] <= 12 for pair in pairs)
    ]
    return orders[0] if len(orders) == 1 else ""
