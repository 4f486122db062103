from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.money import Currency
from estimator.reading.order import Order, read_order
from estimator.reading.prices import PriceTables, read_price_tables
from estimator.reading.settings import Settings
from estimator.reading.suppliers import SupplierChoice, read_supplier_choice, read_suppliers

DOLLARS = Currency(code="USD")

EURO_YARD = """
[[suppliers]]
name = "Alder Bank Timber"
visit_cost = 18.00
minimum_order = "$50"
currency = "EUR"
rate = 1.08
rate_date = 2026-11-01
tax_included_percent = 20
discount_percent = 5
"""


@cache
def stands() -> Order:
    return read_order(Path(__file__).parents[1] / "hand_worked" / "plant_stands", today=date(2026, 3, 2))


def tables(folder: Path, findings: Findings, **files: str) -> PriceTables:
    """Read price tables of these texts; a name stands for NAME.csv, or for suppliers.toml."""
    for name, text in files.items():
        (folder / ("suppliers.toml" if name == "suppliers" else f"{name}.csv")).write_text(text, encoding="utf-8")
    return read_price_tables(replace(stands().shop, price_tables=folder, currency=DOLLARS), findings)


def choice(folder: Path, written: str, findings: Findings) -> SupplierChoice:
    """Read settings with a table [suppliers]."""
    (folder / "shop.toml").write_text(f"[suppliers]\n{written}\n", encoding="utf-8")
    return read_supplier_choice(Settings(folder / "shop.toml", findings))


def test_a_supplier_has_its_terms_and_one_that_is_not_listed_none(tmp_path: Path) -> None:
    (tmp_path / "suppliers.toml").write_text(EURO_YARD, encoding="utf-8")
    findings = Findings()
    suppliers = read_suppliers(tmp_path, DOLLARS, findings)
    yard = suppliers.named("alder bank  timber")
    assert findings.faults == []
    assert yard is not None
    assert (yard.visit_cost, yard.minimum_order, yard.rate_day) == (Decimal(18), Decimal(50), date(2026, 11, 1))
    assert (suppliers.named("Corner Shop"), suppliers.currency_of("Corner Shop")) == (None, DOLLARS)


def test_a_price_loses_its_tax_and_the_discount_and_changes_its_currency(tmp_path: Path) -> None:
    # 10.00 x 1.08 = 10.80 with tax, / 1.20 = 9.00, less 5 percent 8.55. And 0.07: 0.07 x 0.855 = 0.05985, exact.
    (tmp_path / "suppliers.toml").write_text(EURO_YARD, encoding="utf-8")
    yard = read_suppliers(tmp_path, DOLLARS, Findings()).named("Alder Bank Timber")
    assert yard is not None
    assert yard.factor * 10 == Fraction("8.55")
    assert yard.factor * Fraction("0.07") == Fraction("0.05985")


def test_price_cells_are_in_the_currency_of_their_supplier(tmp_path: Path) -> None:
    findings = Findings()
    rows = tables(
        tmp_path,
        findings,
        suppliers=EURO_YARD,
        hardware="supplier,kind,size,material,pack,price,date\n"
        "Alder Bank Timber,glide,1 in,nylon,4,€ 10.00,2026-10-01\n"
        "Corner Shop,glide,1 in,nylon,4,$9.00,2026-10-01\n",
    ).hardware
    assert findings.faults == []
    assert [row.net_price for row in rows] == [Fraction("8.55"), Fraction(9)]
    assert [row.is_changed for row in rows] == [True, False]


def test_the_sign_of_another_currency_is_a_fault(tmp_path: Path) -> None:
    findings = Findings()
    row = "Alder Bank Timber,glide,1 in,nylon,4,$ 10.00,2026-10-01\n"
    tables(tmp_path, findings, suppliers=EURO_YARD, hardware=f"supplier,kind,size,material,pack,price,date\n{row}")
    assert ['price: "$ 10.00" is not a number' in str(fault) for fault in findings.faults] == [True]


def test_without_the_file_all_prices_are_the_shops_own(tmp_path: Path) -> None:
    findings = Findings()
    (row,) = tables(
        tmp_path, findings, finishes="supplier,product,container,price,date\nCorner,Oil,1 qt,24.90,2026-10-01\n"
    ).finishes
    assert (row.net_price, row.seller, row.from_quantity) == (Fraction("24.90"), None, 1)


def test_a_supplier_that_sells_nothing_is_noticed_for_it_may_be_misspelt(tmp_path: Path) -> None:
    findings = Findings()
    row = "Alder Bank Timbers,glide,1 in,nylon,4,10.00,2026-10-01\n"
    tables(tmp_path, findings, suppliers=EURO_YARD, hardware=f"supplier,kind,size,material,pack,price,date\n{row}")
    (notice,) = findings.notices
    assert 'no price is of "Alder Bank Timber" (did you mean "Alder Bank Timbers"?)' in notice.message
    assert str(notice.origin).endswith("suppliers.toml:3")  # the line of the name, not that of the heading


def test_a_supplier_named_twice_is_told_with_the_line_of_the_first_name(tmp_path: Path) -> None:
    findings = Findings()
    (tmp_path / "suppliers.toml").write_text(EURO_YARD + EURO_YARD, encoding="utf-8")
    read_suppliers(tmp_path, DOLLARS, findings)
    (fault,) = findings.faults
    assert '"Alder Bank Timber" stands on line 3 too' in str(fault)


PRICES = "supplier,item,pack,unit,price,date,from_quantity\n"


def test_prices_of_one_item_differ_in_the_quantity_they_hold_from(tmp_path: Path) -> None:
    findings = Findings()
    rows = tables(
        tmp_path,
        findings,
        consumables=f"{PRICES}Corner,Rag,25,rag,9.40,2026-09-15,\nCorner,Rag,25,rag,8.90,2026-09-15,5\n",
    ).consumables
    assert findings.faults == []
    assert [row.from_quantity for row in rows] == [1, 5]
    assert rows[0].item_key == rows[1].item_key


@pytest.mark.parametrize(("second", "faults"), [("corner ,RAG,25,rag", 1), ("Harbour,Rag,25,rag", 0)])
def test_two_prices_of_one_item_from_one_quantity_on_are_a_fault(tmp_path: Path, second: str, faults: int) -> None:
    findings = Findings()
    text = f"{PRICES}Corner,Rag,25,rag,9.40,2026-09-15,\n{second},8.90,2026-09-15,1\n"
    tables(tmp_path, findings, consumables=text)
    assert ["keep this one or that of line 2" in str(fault) for fault in findings.faults] == [True] * faults


def test_the_rule_is_the_cheapest_where_none_is_written(tmp_path: Path) -> None:
    findings = Findings()
    assert stands().shop.supplier_choice.choose == "cheapest"
    prefer = choice(tmp_path, 'choose = "prefer"\npreferred = "Corner Shop"', findings)
    assert (prefer.choose, prefer.preferred, findings.faults) == ("prefer", "Corner Shop", [])


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        ('choose = "nearest"', '"nearest" is not known here; write one of: cheapest, fewest stops, one stop, prefer'),
        ('choose = "prefer"', "preferred: is missing; write it under [suppliers]"),
        ('preferred = "Corner Shop"', 'counts only with choose = "prefer"; write that too, or take this out'),
    ],
)
def test_a_rule_that_cannot_be_followed_is_a_fault(tmp_path: Path, written: str, fault: str) -> None:
    findings = Findings()
    choice(tmp_path, written, findings)
    assert [fault in str(one) for one in findings.faults] == [True]
