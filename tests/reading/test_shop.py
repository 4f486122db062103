from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.cutting_settings import PREFERENCES
from estimator.reading.shop import Shop, read_shop
from estimator.units import MM_PER_IN

GOOD = Path(__file__).parents[1] / "broken" / "_good"


def settings(tmp_path: Path, cutting: str = "", top: str = "", rest: str = "") -> tuple[Shop, list[str]]:
    text = (GOOD / "shop.toml").read_text(encoding="utf-8").replace('"price_tables"', f'"{GOOD / "price_tables"}"')
    text = text.replace("[cutting]\n", f"{top}\n[cutting]\n{cutting}\n") + rest
    (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
    findings = Findings()
    found = read_shop(tmp_path / "shop.toml", findings)
    return found, [str(fault).partition("shop.toml:")[2] for fault in findings.faults]


def test_settings_that_are_left_out_ask_for_nothing(tmp_path: Path) -> None:
    found, faults = settings(tmp_path)
    assert faults == []
    saw = found.saw
    assert saw.edge_trim_in == saw.spare_boards_percent == saw.spare_boards_at_least == 0
    assert (saw.prefer, saw.stock_value) == (PREFERENCES, "free")
    assert (found.rough_lumber.extra_length_in, found.rough_lumber.extra_width_in) == (Fraction(1), Fraction(1, 4))
    assert found.stock_path == tmp_path / "stock.csv"


def test_settings_are_what_is_written(tmp_path: Path) -> None:
    cutting = (
        'edge_trim = "1/4 in"\nspare_boards_percent = 7.5\nspare_boards_at_least = 1\nstock_value = "Cost"\n'
        'prefer = ["Fewest boards", "fewest set ups"]'
    )
    (tmp_path / "rack.csv").write_text("species,section,length,quantity\n", encoding="utf-8")
    rough = '\n[rough_lumber]\nextra_length = 2\nextra_width = "10 mm"\n'
    found, faults = settings(tmp_path, cutting, 'stock = "rack.csv"', rough)
    assert faults == []
    saw = found.saw
    assert (saw.edge_trim_in, saw.spare_boards_percent, saw.spare_boards_at_least) == (
        Fraction(1, 4),
        Decimal("7.5"),
        1,
    )
    assert (saw.prefer, saw.stock_value) == (("fewest boards", "fewest set-ups"), "cost")
    assert (found.rough_lumber.extra_length_in, found.rough_lumber.extra_width_in) == (Fraction(2), 10 / MM_PER_IN)
    assert found.stock_path == tmp_path / "rack.csv"


@pytest.mark.parametrize(
    ("cutting", "message"),
    [
        ('prefer = "best"', '10: prefer: "best" is not known here; write some of these, each once: one board '),
        (
            'prefer = ["fewest boards", "Fewest boards"]',
            '10: prefer: "Fewest boards" stands there twice; write some of ',
        ),
        ("edge_trim = 3", '10: edge_trim: "3" would be 3 in wide; write it with its unit, like 1/8 in or 3.2 mm'),
        ("spare_boards_percent = 101", '10: spare_boards_percent: "101" is out of range; write a number from 0 to 100'),
        (
            "spare_boards_at_least = -1",
            '10: spare_boards_at_least: "-1" does not fit here; write a whole number from 0',
        ),
        ('stock_value = "half"', '10: stock_value: "half" is not known here; write one of: free, cost, set'),
    ],
)
def test_settings_that_make_no_sense_are_refused(cutting: str, message: str, tmp_path: Path) -> None:
    _, (fault,) = settings(tmp_path, cutting)
    assert fault.startswith(message)


def test_a_list_of_stock_that_the_settings_name_must_be_there(tmp_path: Path) -> None:
    _, (fault,) = settings(tmp_path, top='stock = "rakc.csv"')
    assert fault == '8: stock: "rakc.csv" is no file; put the list of boards on hand there, or take the setting out'
