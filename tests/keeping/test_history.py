from decimal import Decimal
from pathlib import Path

import pytest

from estimator.errors import EstimatorError
from estimator.keeping.history import price_histories

HISTORY = """day,table,supplier,item,old_price,new_price,per,source
2026-03-01,lumber,Fernhill,"larch 2x4, 8 ft",9.00,9.90,each,spring.csv
2026-01-05,lumber,Fernhill,"larch 2x4, 8 ft",,9.00,each,winter.csv
2026-03-01,lumber,Fernhill,"larch 2x6, 8 ft",,14.00,each,spring.csv
2026-06-01,lumber,Fernhill,"larch 2x6, 8 ft",14.00,,each,summer.csv
"""


@pytest.fixture
def history(tmp_path: Path) -> Path:
    path = tmp_path / "price_history.csv"
    path.write_text(HISTORY, encoding="utf-8")
    return path


def test_an_item_is_found_by_some_of_its_words_and_told_day_by_day(history: Path) -> None:
    (found,) = price_histories(history, "2X4 larch")
    assert [(str(one.day), one.price, one.source) for one in found.changes] == [
        ("2026-01-05", Decimal("9.00"), "winter.csv"),
        ("2026-03-01", Decimal("9.90"), "spring.csv"),
    ]


def test_items_are_kept_apart_and_one_that_is_gone_has_no_price(history: Path) -> None:
    four, six = price_histories(history, "larch")
    assert (four.item, six.item) == ("larch 2x4, 8 ft", "larch 2x6, 8 ft")
    assert [one.price for one in six.changes] == [Decimal("14.00"), None]


def test_an_item_that_is_not_there_is_a_fault_with_the_nearest_name(history: Path) -> None:
    with pytest.raises(EstimatorError, match=r'no item with "larch 2x5, 8 ft" in its name \(did you mean "larch 2x'):
        price_histories(history, "larch 2x5, 8 ft")


def test_a_price_that_is_none_is_a_fault(history: Path) -> None:
    history.write_text(HISTORY.replace("9.90", "soon"), encoding="utf-8")
    with pytest.raises(EstimatorError, match=r"price_history\.csv:2: new_price"):
        price_histories(history, "larch")
