from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import EstimatorError, Findings, Origin
from estimator.keeping.history import ItemHistory, PriceChange, price_histories, read_history
from estimator.keeping.price_measures import per_words
from estimator.reading.sold import LumberPrice
from estimator.reading.trade_units import parse_per
from estimator.standards.sections import parse_section

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


def test_the_same_item_of_several_suppliers_is_shown_for_each(history: Path) -> None:
    items = found(history, "2x6", replace(NOW, supplier="Bramble Lane Timber"))
    assert [item.supplier for item in items] == ["Fernhill", "Bramble Lane Timber"]


def test_an_item_priced_by_several_measures_is_one_item_in_the_present_one(history: Path) -> None:
    # 8 ft at 9.00 and 9.90 each are 1.125 and 1.2375 a foot.
    (item,) = found(history, "2x4", by_the_foot())
    assert item.per == "ft"
    assert [(one.price, one.per) for one in item.changes] == [
        (Decimal("1.125"), "ft"),
        (Decimal("1.2375"), "ft"),
        (Decimal("1.30"), "ft"),
    ]
    assert [one.written and (one.written.price, one.written.per) for one in item.changes] == [
        (Decimal("9.00"), "each"),
        (Decimal("9.90"), "each"),
        None,
    ]


def by_the_foot() -> PriceChange:
    """Return the 2x4 at 1.30 a foot."""
    row = LumberPrice(
        origin=NOW.origin,
        supplier="Fernhill",
        price=Decimal("1.30"),
        day=NOW.day,
        species="larch",
        grade="",
        section=parse_section("2x4"),
        length_in=Fraction(96),
        per="ft",
        pricing=parse_per("ft"),
    )
    return replace(NOW, item="larch 2x4, 8 ft", per="ft", price=row.price, sold=row)


def test_what_no_table_has_any_more_is_worked_out_as_far_as_that_needs_no_board(history: Path) -> None:
    with history.open("a", encoding="utf-8") as file:
        file.write('2026-02-01,lumber,Holm,"ash 8/4, random length",,9.50,bf,a.csv\n')
        file.write('2026-03-01,lumber,Holm,"ash 8/4, random length",9500,9900,MBF,b.csv\n')
        file.write('2026-02-01,lumber,Holm,"ash 2x4, 8 ft",,9.50,each,a.csv\n')
        file.write('2026-03-01,lumber,Holm,"ash 2x4, 8 ft",9.50,1.20,ft,b.csv\n')
    together, *apart = found(history, "ash")
    assert told(together) == [("2026-02-01", "9500.00", "a.csv"), ("2026-03-01", "9900.00", "b.csv")]
    assert [one.per for one in apart] == ["each", "ft"]


def test_of_two_entries_on_one_day_the_later_row_counts(history: Path) -> None:
    with history.open("a", encoding="utf-8") as file:
        file.write('2026-03-01,lumber,Fernhill,"larch 2x4, 8 ft",,9.95,each,lumber.csv:2\n')
    (item,) = found(history, "2x4")
    assert told(item) == [("2026-01-05", "9.00", "winter.csv"), ("2026-03-01", "9.95", "lumber.csv:2")]


FUTURE = '2027-03-01,lumber,Fernhill,"ash 2x4, 8 ft",,14.20,each,autumn.csv\n'
ASH = 'lumber,Fernhill,"ash 2x4, 8 ft"'


def entered(history: Path, *rows: str) -> None:
    with history.open("a", encoding="utf-8") as file:
        file.write("".join(rows))


def test_a_day_to_come_gives_way_to_an_earlier_one_entered_later(history: Path) -> None:
    entered(history, FUTURE, f"2026-11-20,{ASH},14.20,14.80,each,mended.csv\n")
    (item,) = found(history, "ash")
    assert told(item) == [("2026-11-20", "14.80", "mended.csv")]


def test_a_day_to_come_stays_where_nothing_later_is_of_an_earlier_day(history: Path) -> None:
    entered(history, f"2026-11-20,{ASH},,14.20,each,a.csv\n", f"2027-01-01,{ASH},14.20,14.80,each,b.csv\n")
    (item,) = found(history, "ash")
    assert told(item) == [("2026-11-20", "14.20", "a.csv"), ("2027-01-01", "14.80", "b.csv")]


def test_an_old_list_taken_late_takes_nothing_away_from_days_that_were(history: Path) -> None:
    entered(history, f"2026-11-20,{ASH},,14.20,each,a.csv\n", f"2026-05-01,{ASH},14.20,13.00,each,b.csv\n")
    (item,) = found(history, "ash")
    assert told(item) == [("2026-05-01", "13.00", "b.csv"), ("2026-11-20", "14.20", "a.csv")]


@pytest.mark.parametrize("price", ["14.20", "14.50"])
def test_a_day_to_come_gives_way_to_that_of_todays_table(history: Path, price: str) -> None:
    entered(history, FUTURE)
    now = replace(NOW, item="ash 2x4, 8 ft", day=date(2026, 11, 20), price=Decimal(price))
    (item,) = found(history, "ash", now)
    assert told(item) == [("2026-11-20", price, "lumber.csv:2")]


def test_words_that_an_item_only_begins_with_find_it_where_no_whole_word_does(history: Path) -> None:
    assert [item.item for item in found(history, "lar")] == ["larch 2x4, 8 ft", "larch 2x6, 8 ft"]
    assert [item.item for item in found(history, "2x lar", NOW)] == ["larch 2x4, 8 ft", "larch 2x6, 8 ft"]
    longer = replace(NOW, item="larchwood 2x4, 8 ft")
    assert [item.item for item in found(history, "larch", longer)] == ["larch 2x4, 8 ft", "larch 2x6, 8 ft"]
    with pytest.raises(EstimatorError, match=r'"arch" in its name'):  # in the middle of a word
        found(history, "arch")


def test_a_board_sold_by_the_foot_at_one_yard_and_each_at_another_is_shown_per_what_each_says(history: Path) -> None:
    elsewhere = replace(NOW, item="larch 2x4, 8 ft", supplier="Holm", price=Decimal("10.40"))
    items = found(history, "2x4", by_the_foot(), elsewhere)
    assert [(item.supplier, item.per) for item in items] == [("Fernhill", "ft"), ("Holm", "each")]


@pytest.mark.parametrize(
    ("per", "words"),
    [
        ("each", "each"),
        ("LF", "per ft"),
        ("BF", "per bf"),
        ("mbf", "per MBF"),
        ("per m2", "per m2"),
        ("can", "per can"),
    ],
)
def test_what_a_price_is_per_is_said_in_the_words_of_the_trade(per: str, words: str) -> None:
    assert per_words(per) == words


def test_nothing_is_said_of_no_measure() -> None:
    assert per_words("") == ""


def test_a_table_that_is_none_and_an_old_price_that_is_none_are_faults(history: Path) -> None:
    history.write_text(HISTORY.replace(",lumber", ",timber", 1).replace(",14.00,,", ",soon,,"), encoding="utf-8")
    with pytest.raises(EstimatorError) as caught:
        found(history, "larch")
    assert [str(fault).partition("price_history.csv:")[2].partition(";")[0] for fault in caught.value.faults] == [
        '2: table: "timber" is not known here',
        '5: old_price: "soon" is not a number',
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
