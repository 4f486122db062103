from datetime import date
from decimal import Decimal

from estimator.cli.price_steps import step_lines
from estimator.errors import Origin
from estimator.keeping.history import PriceChange


def drawn(*prices: tuple[date, str | None], last: date) -> list[str]:
    changes = [
        PriceChange(
            origin=Origin(file="price_history.csv", line=line),
            day=day,
            table="lumber",
            supplier="Fernhill",
            item="larch",
            per="each",
            price=None if price is None else Decimal(price),
            source="yard.csv",
        )
        for line, (day, price) in enumerate(prices, 2)
    ]
    return step_lines(changes, [price or "gone" for _, price in prices], last)


def test_days_are_as_wide_as_they_are_long() -> None:
    # 70 columns for 69 days: column n is day n. A week at 10, and then 62 days at 12.
    lines = drawn((date(2026, 1, 1), "10.00000"), (date(2026, 1, 8), "12.00000"), last=date(2026, 3, 11))
    assert lines == [
        "12.00000 |       " + "=" * 63,
        "         |       |",
        "         |       |",
        "         |       |",
        "10.00000 |=======|",
        "         +" + "-" * 70,
        "          2026-01-01" + " " * 50 + "2026-03-11",
    ]


def test_prices_between_stand_on_lines_between() -> None:
    first, second, third = date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1)
    lines = drawn((first, "10"), (second, "14"), (third, "11"), last=date(2026, 4, 1))
    assert [line.count("=") > 10 for line in lines[:5]] == [True, False, False, True, True]


def test_the_line_breaks_off_where_the_supplier_had_it_no_more() -> None:
    lines = drawn((date(2026, 1, 1), "9"), (date(2026, 1, 11), None), (date(2026, 1, 31), "9"), last=date(2026, 2, 10))
    assert lines[0].startswith("9 |=")
    assert "= " in lines[0]
    assert " =" in lines[0]
    assert len(lines) == 3  # one price takes one line


def test_new_years_are_marked_where_there_is_room() -> None:
    *_, axis, days = drawn((date(2024, 1, 5), "8"), (date(2025, 3, 1), "9"), last=date(2026, 11, 24))
    assert axis.count("+") == 3  # the corner, 2025 and 2026
    assert days.split() == ["2024-01-05", "2025", "2026", "2026-11-24"]
    assert axis.index("+", 3) == days.index("2025 ")


def test_many_years_in_a_row_do_not_run_into_each_other() -> None:
    *_, axis, days = drawn((date(1995, 1, 5), "8"), (date(2005, 3, 1), "9"), last=date(2026, 11, 24))
    assert axis.count("+") == 32
    assert all(len(word) in (4, 10) for word in days.split())
    assert len(days) <= 80


def test_all_on_one_day_is_no_fault() -> None:
    today = date(2026, 11, 24)
    lines = drawn((today, "8"), (today, "9"), last=today)
    assert max(map(len, lines)) <= 80
