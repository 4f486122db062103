from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.history import ItemHistory, PriceChange, price_histories, read_history

HISTORY = """day,table,supplier,item,old_price,new_price,per,source
2026-03-01,lumber,Fernhill,"larch 2x4, 8 ft",9.00,9.90,each,spring.csv
2026-01-05,lumber,Fernhill,"larch 2x4, 8 ft",,9.00,each,winter.csv
2026-03-01,lumber,Fernhill,"larch 2x6, 8 ft",,14.00,each,spring.csv
2026-06-01,lumber,Fernhill,"larch 2x6, 8 ft",14.00,,each,summer.csv
"""
TODAY = date(2026, 11, 24)
NOW = PriceChange(
    origin=Origin(file="lumber.csv", line=2),
    day=date(2026, 9, 1),
    table="lumber",
    supplier="Fernhill",
    item="larch 2x6, 8 ft",
    per="each",
    price=Decimal("15.40"),
    source="lumber.csv:2",
)


@pytest.fixture
def history(tmp_path: Path) -> Path:
    path = tmp_path / "price_history.csv"
    path.write_text(HISTORY, encoding="utf-8")
    return path


def found(history: Path, words: str, *present: PriceChange) -> tuple[ItemHistory, ...]:
    findings = Findings()
    entered = read_history(history, findings)
    findings.raise_faults()
    return price_histories(entered, present, words, history.parent, TODAY)


def told(item: ItemHistory) -> list[tuple[str, str | None, str]]:
    return [(str(one.day), None if one.price is None else f"{one.price:.2f}", one.source) for one in item.changes]


def test_an_item_is_found_by_some_of_its_words_and_told_day_by_day(history: Path) -> None:
    (item,) = found(history, "2X4 larch")
    assert told(item) == [("2026-01-05", "9.00", "winter.csv"), ("2026-03-01", "9.90", "spring.csv")]


def test_items_are_kept_apart_and_one_that_is_gone_has_no_price(history: Path) -> None:
    four, six = found(history, "larch")
    assert (four.item, six.item) == ("larch 2x4, 8 ft", "larch 2x6, 8 ft")
    assert [one.price for one in six.changes] == [Decimal("14.00"), None]


def test_a_price_of_todays_tables_is_the_last_of_its_item(history: Path) -> None:
    (item,) = found(history, "2x6", NOW)
    assert told(item) == [
        ("2026-03-01", "14.00", "spring.csv"),
        ("2026-06-01", None, "summer.csv"),
        ("2026-09-01", "15.40", "lumber.csv:2"),
    ]


def test_a_price_that_the_history_ends_in_stands_there_once(history: Path) -> None:
    # The last row of the file for 2x4 holds 9.00: it was entered later than that of March, from an older list.
    (item,) = found(history, "2x4", replace(NOW, item="Larch 2x4,  8 ft", price=Decimal(9)))
    assert len(item.changes) == 2


def test_a_price_whose_date_was_left_as_it_was_counts_from_today(history: Path) -> None:
    (item,) = found(history, "2x6", replace(NOW, day=date(2026, 6, 1)))
    assert told(item)[-1] == ("2026-11-24", "15.40", "lumber.csv:2")


def test_the_same_item_of_several_suppliers_and_by_several_measures_is_shown_for_each(history: Path) -> None:
    items = found(history, "2x6", replace(NOW, supplier="Bramble Lane Timber"), replace(NOW, per="ft"))
    assert [(item.supplier, item.per) for item in items] == [
        ("Fernhill", "each"),
        ("Bramble Lane Timber", "each"),
        ("Fernhill", "ft"),
    ]


def test_without_a_history_todays_tables_answer(tmp_path: Path) -> None:
    (item,) = found(tmp_path / "price_history.csv", "larch", NOW)
    assert told(item) == [("2026-09-01", "15.40", "lumber.csv:2")]


def test_an_item_that_is_not_there_is_a_fault_with_the_nearest_name(history: Path) -> None:
    with pytest.raises(EstimatorError, match=r'no item with "larch 2x5, 8 ft" in its name \(did you mean "larch 2x'):
        found(history, "larch 2x5, 8 ft")
    with pytest.raises(EstimatorError, match=r'did you mean "larch 2x6, 8 ft"'):
        found(history.parent / "none.csv", "larch 2x66, 8 ft", NOW)


def test_a_price_that_is_none_is_a_fault(history: Path) -> None:
    history.write_text(HISTORY.replace("9.90", "soon"), encoding="utf-8")
    with pytest.raises(EstimatorError, match=r"price_history\.csv:2: new_price"):
        found(history, "larch")
