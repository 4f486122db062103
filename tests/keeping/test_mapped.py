import csv
import io
from collections.abc import Sequence
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from estimator.errors import Findings
from estimator.keeping import mapped
from estimator.keeping.mapped import mapped_rows, taken_columns
from estimator.keeping.repriced import RANDOM_NOTICE
from estimator.keeping.sheets import open_sheet
from estimator.keeping.supplier_map import read_supplier_map
from estimator.money import Currency
from estimator.reading.pack_amounts import count_per_pound
from estimator.reading.sold import FACE_NOTICE, HardwarePrice, LumberPrice
from tests.keeping.test_sheets import new_book, saved

DAY = date(2026, 11, 24)
Cells = dict[str, str]

LUMBER = """
supplier = "Fernhill Sawmill Yard"
table = "lumber"
{top}
[columns]
species = "Timber"
section = "Size"
length = "Length"
price = "Price"
per = "Per"
{columns}
[units]
"Stk" = "each"
"lfm" = "m"
{units}
"""
HARDWARE = """
supplier = "Bramble Lane Hardware"
table = "hardware"
{top}
[columns]
kind = "Kind"
size = "Size"
pack = "Pack"
price = "Price"
per = "Per"
{columns}
[values]
material = "steel"
"""
FINISHES = """
supplier = "Bramble Lane Hardware"
table = "finishes"
{top}
[columns]
product = "Product"
container = "Can"
price = "Price"
per = "Per"
{columns}
"""
CONSUMABLES = """
supplier = "Bramble Lane Hardware"
table = "consumables"
{top}
[columns]
item = "Item"
pack = "Pack"
unit = "Unit"
price = "Price"
per = "Per"
{columns}
"""


class Mapped:
    """A list read through a map: the rows of our table, and what was said about it."""

    def __init__(
        self, folder: Path, form: str, lines: str | bytes, currency: str = "USD", unit: str = "in", **parts: str
    ) -> None:
        path = folder / "yard.map.toml"
        path.write_text(filled(form, {"top": "", "columns": "", "units": "", **parts}), encoding="utf-8")
        findings = Findings()
        self.map = read_supplier_map(path, findings)
        findings.raise_faults()
        sheet = open_sheet(
            lines.encode() if isinstance(lines, str) else lines, "yard.csv", findings, decimal=self.map.decimal
        )
        assert sheet is not None
        found = tuple(mapped_rows(sheet, self.map, findings, day=DAY, unit=unit, currency=Currency(code=currency)))
        names = [column.name for column in taken_columns(self.map.table)]
        self.rows: list[Cells] = [dict(zip(names, row.cells, strict=True)) for row in found]
        self.sold = [row.sold for row in found]
        self.faults = [str(fault).removeprefix("yard.csv:") for fault in findings.faults]
        self.notices = [notice.message for notice in findings.notices]


def filled(form: str, parts: dict[str, str]) -> str:
    for name, text in parts.items():
        form = form.replace(f"{{{name}}}", text)
    return form


def prices(found: Mapped) -> list[tuple[str, str]]:
    return [(row["price"], row.get("per", "")) for row in found.rows]


def test_a_row_becomes_ours_with_its_file_and_line(tmp_path: Path) -> None:
    lines = "Yard list\n\nTimber,Size,Length,Price,Per,Remark\nwhite oak,2x4,8 ft,$14.88,Stk,dry\n"
    found = Mapped(tmp_path, LUMBER, lines, columns='note = "Remark"')
    assert found.faults == []
    assert found.rows == [
        {
            "supplier": "Fernhill Sawmill Yard",
            "species": "white oak",
            "section": "2x4",
            "length": "8 ft",
            "price": "14.88",
            "per": "each",
            "date": "2026-11-24",
            "grade": "",
            "from_quantity": "",
            "note": "dry",
            "taken_from": "yard.csv:4",
        }
    ]
    (board,) = found.sold
    assert isinstance(board, LumberPrice)
    assert (board.species, board.length_in) == ("white oak", Fraction(96))
    assert (board.price, board.day) == (Decimal("14.88"), DAY)


LUMBER_HEAD = "Timber,Size,Length,Price,Per\n"


@pytest.mark.parametrize(
    ("row", "price", "per"),
    [
        ("oak,2x4,8 ft,14.88,each", "14.88", "each"),
        ("oak,2x4,8 ft,1.86,per ft", "1.86", "per ft"),
        ("oak,2x4,8 ft,6.10,lfm", "6.10", "m"),
        ("oak,8/4,random,11.40,bf", "11.40", "bf"),
        ("oak,8/4,random,11400,MBF", "11400.00", "MBF"),
        ("oak,52 mm,random,1480,m3", "1480.00", "m3"),
        ("oak,52 mm,random,42,ft3", "42.00", "ft3"),
        ("oak,2x4,8 ft,186,per 100 ft", "1.86", "ft"),
        ("oak,2x4,8 ft,1860,1000 bf", "1.86", "bf"),
        ("oak,5/4x6,8 ft,680,100 ft2", "3.40", "ft"),
        # 119 for a square metre of a 120 mm board: 119 x 0.12 = 14.28 a metre.
        ("oak,27 x 120 mm,3 m,119,m2", "14.28", "m"),
        # 6.80 for a square foot of a board 6 in wide: 3.40 a foot.
        ("oak,5/4x6,8 ft,6.80,sq ft", "3.40", "ft"),
        # 48 for a square metre, 52 mm thick: 48 / 0.052 = 923.0769230... a cubic metre.
        ("oak,52 mm,,48,m2", "923.076923", "m3"),
        # 12 for a square foot of 8/4, two board feet: 6 a board foot.
        ("oak,8/4,,12,ft2", "6.00", "bf"),
    ],
)
def test_lumber_is_priced_by_what_our_table_knows(row: str, price: str, per: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, LUMBER, LUMBER_HEAD + row)
    assert found.faults == []
    assert prices(found) == [(price, per)]


def test_what_was_assumed_is_told_once_with_the_first_line(tmp_path: Path) -> None:
    rows = "oak,27 x 120 mm,3 m,119,m2\nash,52 mm,,48,m2\nash,40 mm,,48,m2\n"
    found = Mapped(tmp_path, LUMBER, LUMBER_HEAD + rows)
    assert found.notices == [
        f"{FACE_NOTICE} (3 rows, the first on line 2)",
        f"{RANDOM_NOTICE} (2 rows, the first on line 3)",
        "prices that take more than 6 places are rounded half up (line 3)",
    ]
    assert [row["length"] for row in found.rows] == ["3 m", "random", "random"]


def test_a_section_and_a_length_are_put_together_from_their_columns(tmp_path: Path) -> None:
    lines = "Timber;Thick;Wide;Length;Price;Per\noak;27,5;120;2,4;12,50;Stk\noak;52;;;1.480,00;m3\n"
    form = LUMBER.replace('"Size"', '"{Thick} x {Wide} mm"').replace('"Length"', '"{Length} m"')
    found = Mapped(tmp_path, form, lines, top='decimal = ","')
    assert found.faults == []
    assert [(row["section"], row["length"], row["price"]) for row in found.rows] == [
        ("27.5 x 120 mm", "2.4 m", "12.50"),
        ("52 mm", "random", "1480.00"),
    ]


def test_values_of_the_map_are_written_as_ours_whatever_the_lists_decimals(tmp_path: Path) -> None:
    form = LUMBER.replace('length = "Length"\n', "") + '[values]\nlength = "2.400 m"\n'
    found = Mapped(tmp_path, form, "Timber;Size;Price;Per\noak;2x4;12,50;Stk\n", top='decimal = ","')
    assert [(row["length"], row["price"]) for row in found.rows] == [("2.400 m", "12.50")]


@pytest.mark.parametrize(
    ("top", "price"),
    [
        ("", "100.00"),
        ("discount_percent = 12.5", "87.50"),
        ("tax_included_percent = 25", "80.00"),
        # 100 / 1.19 = 84.0336134...; less 10 %: 75.6302521...
        ("tax_included_percent = 19", "84.033613"),
        ("tax_included_percent = 19\ndiscount_percent = 10", "75.630252"),
    ],
)
def test_tax_and_discount_come_off(top: str, price: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, LUMBER, LUMBER_HEAD + "oak,2x4,8 ft,100,each\n", top=top)
    assert prices(found) == [(price, "each")]


HARDWARE_HEAD = "Kind,Size,Pack,Price,Per\n"


@pytest.mark.parametrize(
    ("row", "pack", "price"),
    [
        ("screw,#8,100,12.40,", "100", "12.40"),
        ("screw,#8,Box of 100,12.40,box", "100", "12.40"),
        ("screw,#8,,0.14,each", "1", "0.14"),
        ("screw,#8,50,0.14,pc", "50", "7.00"),
        ("screw,#8,200,8.40,per 100", "200", "16.80"),
        ("screw,#8,,84,1000", "1000", "84.00"),
        ("screw,#8,3,1,9 pcs", "3", "0.333333"),
        # 16d common nails, 44 to 50 to the pound as published, 47 in the mean: 5 lb are 235.
        ("common nail,16d,5 lb,14.20,", "235", "14.20"),
        ("common nail,16d,,2.84,lb", "47", "2.84"),
        ("common nail,16d,5 lb,2.84,lb", "235", "14.20"),
    ],
)
def test_hardware_is_priced_by_the_pack(row: str, pack: str, price: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, HARDWARE, HARDWARE_HEAD + row)
    assert found.faults == []
    assert [(one["pack"], one["price"]) for one in found.rows] == [(pack, price)]
    (sold,) = found.sold
    assert isinstance(sold, HardwarePrice)
    assert sold.pack == int(pack)


def test_a_count_by_weight_is_told_in_one_short_sentence(tmp_path: Path) -> None:
    found = Mapped(tmp_path, HARDWARE, HARDWARE_HEAD + "common nail,16d,5 lb,14.20,\n")
    (notice,) = found.notices
    assert "common nail 16d by weight is counted as 47 to the pound, the mean of 44 to 50 as published (" in notice
    assert len(notice) < 160
    assert "http" not in notice
    assert "nail tables at" not in notice  # it stands beside the figures, in standards/nails.csv
    published = count_per_pound("common nail", "16d")
    assert published is not None
    assert "nail tables at" in published.source


@pytest.mark.parametrize(
    ("row", "container", "price"),
    [
        ("oil,1 gal,78.50,", "1 gal", "78.50"),
        ("oil,5 Gallon Pail,78.50,can", "5 Gallon", "78.50"),
        ("oil,5 gal,70,gallon", "5 gal", "350.00"),
        ("oil,,70,gallon", "1 gallon", "70.00"),
        ("oil,,24.90,quart", "1 quart", "24.90"),
        ("oil,2.5 L,20,litre", "2.5 L", "50.00"),
        ("oil,750 ml,20,l", "750 ml", "15.00"),
        # A gallon is 3.785411784 L: 20 x 3.785411784 = 75.70823568, to six places.
        ("oil,1 gal,20,L", "1 gal", "75.708236"),
    ],
)
def test_finishes_are_priced_by_the_can(row: str, container: str, price: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, FINISHES, "Product,Can,Price,Per\n" + row)
    assert found.faults == []
    assert [(one["container"], one["price"]) for one in found.rows] == [(container, price)]


@pytest.mark.parametrize(
    ("row", "pack", "unit", "price"),
    [
        ("disc,10,discs,7.80,", "10", "discs", "7.80"),
        ("disc,Box of 10 discs,,7.80,box", "10", "discs", "7.80"),
        ("disc,50,discs,0.59,each", "50", "discs", "29.50"),
        ("disc,50,discs,59,100", "50", "discs", "29.50"),
        ("glue,0.5 kg,,13.80,kg", "0.5", "kg", "6.90"),
        ("glue,32,fl oz,79.20,gal", "32", "fl oz", "19.80"),
    ],
)
def test_consumables_are_priced_by_the_pack(row: str, pack: str, unit: str, price: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, CONSUMABLES, "Item,Pack,Unit,Price,Per\n" + row)
    assert found.faults == []
    assert [(one["pack"], one["unit"], one["price"]) for one in found.rows] == [(pack, unit, price)]


@pytest.mark.parametrize(
    ("form", "lines", "fault"),
    [
        (LUMBER, LUMBER_HEAD + "oak,2x4,8 ft,9.80,kg", '2: Per: "kg" is nothing lumber is priced per; write'),
        (LUMBER, LUMBER_HEAD + "oak,2x4,random,9.80,each", '2: Per: "each" cannot price random lengths; mend what'),
        (LUMBER, LUMBER_HEAD + "oak,2x4,,9.80,each", "2: Length: is missing; write a word of its row under skip in"),
        (LUMBER, LUMBER_HEAD + "oak,2x4,8,9.80,each", '2: Length: "8" would be 8 in; write length = "{Length} ft"'),
        (LUMBER, LUMBER_HEAD + "oak,2026-04-05,8 ft,9.80,each", '2: Size: "2026-04-05" looks like a quarter size'),
        (HARDWARE, HARDWARE_HEAD + "screw,#8,1 kg,9.80,", '2: Pack: "1 kg" goes by weight, and no count to the pound'),
        (HARDWARE, HARDWARE_HEAD + "screw,#8,box,9.80,each", '2: Pack: "box" does not say how many a pack holds'),
        (FINISHES, "Product,Can,Price,Per\noil,1 gal,9.80,kg", '2: Per: "kg" does not convert to gal'),
        (FINISHES, "Product,Can,Price,Per\noil,large,9.80,", '2: Can: "large" is not a container'),
        (CONSUMABLES, "Item,Pack,Unit,Price,Per\ndisc,10,discs,9.80,kg", '2: Per: "kg" does not convert to discs'),
        (CONSUMABLES, "Item,Pack,Unit,Price,Per\ndisc,some,discs,9.80,", '2: Pack: "some" does not say how much'),
    ],
)  # fmt: skip
def test_an_impossible_conversion_is_a_fault_with_file_line_and_their_heading(
    form: str, lines: str, fault: str, tmp_path: Path
) -> None:
    found = Mapped(tmp_path, form, lines)
    assert found.rows == []
    (said,) = found.faults
    assert said.startswith(fault)
    assert "; " in said


def test_all_faults_of_all_rows_are_said_and_a_wrong_map_not_endlessly(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = "oak,2x4,8 ft,call,each\n" * 7
    assert len(Mapped(tmp_path, LUMBER, LUMBER_HEAD + rows).faults) == 7
    monkeypatch.setattr(mapped, "MOST_FAULTS", 3)
    faults = Mapped(tmp_path, LUMBER, LUMBER_HEAD + rows).faults
    assert len(faults) == 4
    assert faults[-1] == " has 4 more faults; mend these first, in the list or in its map"


def test_rows_that_are_no_goods_are_passed_over_and_told_of(tmp_path: Path) -> None:
    lines = (
        f"{LUMBER_HEAD}HARDWOODS\noak,2x4,8 ft,9.80,each\n{LUMBER_HEAD}ash,2x4,8 ft,call,Discontinued\n"
        "SOFTWOODS\nlarch,2x4,8 ft,4.80,each\nour Settlement,2x4,8 ft,5,each\n"
    )
    found = Mapped(tmp_path, LUMBER, lines, top='skip = ["discontinued", "Set"]')
    assert [row["species"] for row in found.rows] == ["oak", "larch", "our Settlement"]
    assert found.notices == [
        "rows with one filled cell, such as titles, are passed over (2 rows, the first on line 2)",
        "headings that stand there again are passed over (line 4)",
        "rows with a word that the map skips are passed over (line 5)",
    ]


def test_the_day_is_the_rows_else_the_maps_else_the_lists(tmp_path: Path) -> None:
    lines = "Timber,Size,Length,Price,Per,Date\noak,2x4,8 ft,9.80,each,24.10.2026\nash,2x4,8 ft,9.80,each,\n"
    with_date = {"columns": 'date = "Date"'}
    assert [row["date"] for row in Mapped(tmp_path, LUMBER, lines, **with_date).rows] == ["2026-10-24", "2026-11-24"]
    found = Mapped(tmp_path, LUMBER, lines, top="date = 2026-11-01", **with_date)
    assert [row["date"] for row in found.rows] == ["2026-10-24", "2026-11-01"]


def test_what_could_be_a_formula_is_written_as_a_text(tmp_path: Path) -> None:
    lines = f'{LUMBER_HEAD}"=HYPERLINK(""x"")",2x4,8 ft,9.80,each\n@oak,2x4,8 ft,9.80,each\n'
    found = Mapped(tmp_path, LUMBER, lines)
    assert [row["species"] for row in found.rows] == ['\'=HYPERLINK("x")', "'@oak"]
    assert found.notices == [
        "texts that a spreadsheet could take for a formula get a ' in front (2 rows, the first on line 2)"
    ]


def test_signs_that_no_workbook_can_hold_are_left_out(tmp_path: Path) -> None:
    found = Mapped(tmp_path, LUMBER, f'{LUMBER_HEAD}"white\x07\n oak",2x4,8 ft,9.80,each\n')
    assert found.rows[0]["species"] == "white oak"


def test_the_headings_may_stand_anywhere_near_the_top_and_in_any_order(tmp_path: Path) -> None:
    lines = (
        "Timber of the month: oak\n\nwithout tax\n\nPER , price,LENGTH,size,Colour,timber\neach,9.80,8 ft,2x4,red,oak\n"
    )
    found = Mapped(tmp_path, LUMBER, lines)
    assert [(row["species"], row["taken_from"]) for row in found.rows] == [("oak", "yard.csv:6")]
    twice = f"{LUMBER_HEAD}ash,2x4,8 ft,1,each\n{LUMBER_HEAD}oak,2x4,8 ft,2,each\n"
    assert [row["species"] for row in Mapped(tmp_path, LUMBER, twice, top="heading_row = 3").rows] == ["oak"]


@pytest.mark.parametrize(
    ("lines", "top", "fault"),
    [
        ("a,b\nc,d\n", "", "yard.map.toml: columns: yard.csv has none of these headings in its first 100 rows"),
        (f"x,y\n{LUMBER_HEAD}", "heading_row = 7", "yard.map.toml: columns: yard.csv has none of these headings"),
        (f"x,y\n{LUMBER_HEAD}", "heading_row = 1", 'yard.map.toml:6: species: yard.csv:1 has no column "Timber"; it'),
        ("Timber,Sizes,Length,Price,Per\n", "", 'yard.map.toml:7: section: yard.csv:1 has no column "Size" (did'),
        ("Timber,Size,Length,Price,Per,PRICE\n", "", 'yard.map.toml:9: price: yard.csv:1 heads 2 columns "Price"'),
    ],
)  # fmt: skip
def test_a_list_without_the_headings_of_its_map_is_refused_at_the_maps_line(
    lines: str, top: str, fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    found = Mapped(Path(), LUMBER, lines, top=top)
    assert found.rows == []
    assert any(said.startswith(fault) for said in found.faults), found.faults


def test_a_formula_without_its_value_is_a_fault_where_the_map_uses_it(tmp_path: Path) -> None:
    book, sheet = new_book()
    for row in (
        ["Timber", "Thick", "Wide", "Length", "Price", "Per", "With tax"],
        ["oak", "=2", 4, "8 ft", 9.8, "each", "=E2*1.19"],
        ["ash", 2, 4, "8 ft", "=E2-1", "each", "=E3*1.19"],
        ["elm", 2, 4, "8 ft", 8.8, "each", "=E4*1.19"],
        [None, None, None, None, None, None, "=SUM(G2:G4)"],
    ):
        sheet.append(row)
    found = Mapped(tmp_path, LUMBER.replace('"Size"', '"{Thick}x{Wide}"'), saved(book))
    remedy = "open the workbook in your spreadsheet program, save it there and name that"
    assert found.faults == [
        f"2: Thick, Wide: is a formula that was saved without its value; {remedy}",
        f"3: Price: is a formula that was saved without its value; {remedy}",
    ]
    assert [(row["species"], row["section"]) for row in found.rows] == [("elm", "2x4")]


def written(rows: Sequence[Sequence[str]], delimiter: str) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter).writerows(rows)
    return text.getvalue()


@settings(max_examples=60)
@given(
    price=st.decimals(min_value=Decimal("0.01"), max_value=Decimal(99_999), places=2),
    tax=st.decimals(min_value=0, max_value=40, places=1),
    discount=st.decimals(min_value=0, max_value=60, places=1),
    delimiter=st.sampled_from([",", ";"]),
)
def test_a_price_is_the_exact_one_to_six_places_in_every_flavour(
    price: Decimal, tax: Decimal, discount: Decimal, delimiter: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    text = f"{price:,.2f}".translate(str.maketrans(",.", ".,") if delimiter == ";" else {})
    rows = [["Timber", "Size", "Length", "Price", "Per"], ["oak", "2x4", "8 ft", text, "each"]]
    mark = "," if delimiter == ";" else "."
    top = f'tax_included_percent = {tax}\ndiscount_percent = {discount}\ndecimal = "{mark}"'
    found = Mapped(tmp_path_factory.mktemp("map"), LUMBER, written(rows, delimiter), top=top)
    exact = Fraction(price) * (100 - Fraction(discount)) / (100 + Fraction(tax))
    assert found.faults == []
    (row,) = found.rows
    # The same by other means: the quotient as a Decimal of 28 digits, rounded half up.
    quotient = Decimal(exact.numerator) / Decimal(exact.denominator)
    assert Decimal(row["price"]) == quotient.quantize(Decimal("0.000001"), ROUND_HALF_UP)


SCREWS = "Kind,Size,Pack,Price,{heading}\nscrew,#8,50,14.10,C\nnut,M8,12,3.10,each\n"
NO_PER = HARDWARE.replace('per = "Per"\n', "")


@pytest.mark.parametrize("heading", ["U/M", "Unit", "ME", "Sold by", "Basis"])
def test_a_column_that_says_what_prices_are_per_is_not_left_out_silently(heading: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, NO_PER, SCREWS.replace("{heading}", heading))
    (fault,) = found.faults
    remedy = f'write per = "{heading}" under [columns], or per = "pack" under [values] for prices of packs'
    if heading == "Basis":  # the only words there that are no single letter
        assert '"Basis" (C, each)' in fault
    assert fault.endswith(f"which prices may be per, and nothing here uses it; {remedy}")
    by_pack = Mapped(
        tmp_path, NO_PER.replace("[values]", '[values]\nper = "pack"'), SCREWS.replace("{heading}", heading)
    )
    assert by_pack.faults == []
    assert [one["price"] for one in by_pack.rows] == ["14.10", "3.10"]
    by_unit = Mapped(
        tmp_path,
        NO_PER.replace("{columns}", f'per = "{heading}"') + '[units]\n"C" = "100"\n',
        SCREWS.replace("{heading}", heading),
    )
    assert by_unit.faults == []
    assert [one["price"] for one in by_unit.rows] == ["7.05", "37.20"]  # 50 at 14.10 a hundred, 12 at 3.10 each


@pytest.mark.parametrize(
    "lines",
    [
        "Kind,Size,Pack,Price,Class\nscrew,#8,50,14.10,C\n",  # a lone letter may be anything
        "Kind,Size,Pack,Price,Unit\nscrew,#8,50,14.10,box\n",
        "Kind,Size,Pack,Price,Remark\nscrew,#8,50,14.10,each\nnut,M8,9,1,new\n",
        "Kind,Size,Pack,Price,Number\nscrew,#8,50,14.10,100\n",
    ],
)
def test_other_columns_may_be_left_out(lines: str, tmp_path: Path) -> None:
    assert Mapped(tmp_path, NO_PER, lines).faults == []


def test_a_yards_thousand_is_no_metre(tmp_path: Path) -> None:
    lines = LUMBER_HEAD + "oak,2x4,8 ft,980,M\n"
    assert Mapped(tmp_path, LUMBER, lines).faults == [
        '2: Per: "M" may be a thousand board feet or a metre; write "M" = "MBF" or "m" under [units] in yard.map.toml'
    ]
    assert prices(Mapped(tmp_path, LUMBER, lines, units='"M" = "MBF"')) == [("980.00", "MBF")]


@pytest.mark.parametrize(
    ("order", "written", "day"),
    [
        ("month day year", "11/02/2026", "2026-11-02"),
        ("day month year", "11/02/2026", "2026-02-11"),
        ("month day year", "1/2/26", "2026-01-02"),
        ("month day year", "11-02-2026", "2026-11-02"),
        ("year month day", "26/11/02", "2026-11-02"),
        ("month day year", "2026-11-02", "2026-11-02"),
        ("month day year", "2 Nov 2026", "2026-11-02"),
    ],
)
def test_dates_are_read_in_the_order_the_map_says(order: str, written: str, day: str, tmp_path: Path) -> None:
    lines = f"Timber,Size,Length,Price,Per,Date\noak,2x4,8 ft,9.80,each,{written}\n"
    found = Mapped(tmp_path, LUMBER, lines, top=f'date_order = "{order}"', columns='date = "Date"')
    assert found.faults == []
    assert [one["date"] for one in found.rows] == [day]


def test_an_unclear_date_names_what_to_write_into_the_map(tmp_path: Path) -> None:
    lines = "Timber,Size,Length,Price,Per,Date\noak,2x4,8 ft,9.80,each,{day}\n"
    (fault,) = Mapped(tmp_path, LUMBER, lines.replace("{day}", "11/02/2026"), columns='date = "Date"').faults
    assert fault == (
        '2: Date: "11/02/2026" is read day first in one country and month first in another; '
        'write date_order = "month day year" or "day month year" into yard.map.toml'
    )
    top = 'date_order = "month day year"'
    (fault,) = Mapped(tmp_path, LUMBER, lines.replace("{day}", "20/11/2026"), columns='date = "Date"', top=top).faults
    assert fault == '2: Date: "20/11/2026" is no day in the order month day year; mend date_order in yard.map.toml'


def test_a_row_of_totals_is_told_once_with_skip_as_the_remedy(tmp_path: Path) -> None:
    found = Mapped(tmp_path, LUMBER, LUMBER_HEAD + "oak,2x4,8 ft,9.80,each\nTotal,,,9.80,\n")
    (fault,) = found.faults
    assert fault == (
        "3: Size, Length, Per: are missing; write a word of its row under skip in yard.map.toml, "
        "or have it filled in"  # carried_down would lead to the next fault
    )


def test_a_section_that_cannot_be_read_points_to_the_map(tmp_path: Path) -> None:
    (fault,) = Mapped(tmp_path, LUMBER, LUMBER_HEAD + "oak,27x145; dry,8 ft,9.80,each\n").faults
    assert fault == (
        '2: Size: "27x145; dry" is not a section; write section = "{Size} in" where it measures that, '
        "or write a word of its row under skip in yard.map.toml"
    )


SHIFTED = "Timber,Size,Length,Per,Price\n"


def test_a_price_split_at_its_decimal_comma_is_a_fault_and_never_a_price(tmp_path: Path) -> None:
    lines = f"{SHIFTED}oak,2x4,8 ft,each,14,20\noak,2x6,8 ft,each,21.00,,\nSold out,2x6,8 ft,each,14,20\n"
    found = Mapped(tmp_path, LUMBER, lines, top='skip = ["sold out"]')
    ways = 'quote numbers with a decimal comma, like "14,20", ask for semicolons, or write a heading above it in row 1'
    assert found.faults == [f'2: "20" stands under no heading; {ways}']
    assert [row["price"] for row in found.rows] == ["21.00"]


def test_a_price_split_before_a_blank_column_is_a_fault_too(tmp_path: Path) -> None:
    head = "Timber,Size,Length,Per,Price,Remark\n"
    lines = "oak,2x4,8 ft,each,14,20,\noak,2x6,8 ft,each,21,,\noak,2x8,8 ft,each,30,20\noak,2x10,8 ft,each,31.5,20,\n"
    found = Mapped(tmp_path, LUMBER, f"{head}{lines}")
    ways = 'quote numbers with a decimal comma, like "14,20", or ask for semicolons'
    assert found.faults == [f'2: has more cells than row 1, as if "14,20" were one number; {ways}']
    assert [row["price"] for row in found.rows] == ["21.00", "30.00", "31.50"]


def test_a_second_price_behind_the_last_semicolon_is_a_fault_too(tmp_path: Path) -> None:
    lines = f"{SHIFTED}oak,2x4,8 ft,each,14.20,9.90 from 50\noak,2x6,8 ft,each,1\n".replace(",", ";")
    (fault,) = Mapped(tmp_path, LUMBER, lines).faults
    ways = "ask for a list without it, or write a heading above it in row 1"
    assert fault == f'2: "9.90 from 50" stands under no heading; {ways}'


def test_of_a_row_that_is_shifted_no_other_fault_is_told(tmp_path: Path) -> None:
    (fault,) = Mapped(tmp_path, LUMBER, f"{SHIFTED}oak,dry,2x4,8 ft,each,14.20\n").faults
    assert fault.startswith('2: "14.20" stands under no heading; ')


def test_in_a_workbook_cells_beside_the_list_shift_nothing(tmp_path: Path) -> None:
    book, sheet = new_book()
    for row in (["Timber", "Size", "Length", "Per", "Price"], ["oak", "2x4", "8 ft", "each", 9.5, "dry"]):
        sheet.append(row)
    assert Mapped(tmp_path, LUMBER, saved(book)).faults == []


@pytest.mark.parametrize("text", ["R/L", "rl", "RW/L", "random", "Random lengths", "R/L ft"])
def test_lengths_as_the_log_gave_them_are_random(text: str, tmp_path: Path) -> None:
    found = Mapped(tmp_path, LUMBER, f"{LUMBER_HEAD}oak,4/4,{text},9.80,bf\n")
    assert (found.faults, [row["length"] for row in found.rows]) == ([], ["random"])


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("oak,8/4,random,9999999999,bf", 'Price: "9999999999" is above 1,000,000, which no table takes'),
        ("oak,8/4,random,99999999999999999999999999,bf", 'Price: "99999999999999999999999999" is above 1,000,000'),
        ("oak,8/4,random,0.0000000001,bf", 'Price: "0.0000000001" is below 0.000001, which no table takes'),
        ("oak,2x4,8 ft,0.000002,100 each", 'Price: "0.000002" comes to a price below 0.000001, which no table takes'),
        ("oak,8/4,random,0,bf", 'Price: "0" is not a price'),
        ("oak,8/4,8 ft,9.80,bf", 'Length: "8 ft" stands where Size has no width'),
        ("oak,2x4,8000 ft,9.80,each", 'Length: "8000 ft" is out of range: a length above 0, up to 200 ft is wanted'),
    ],
)
def test_a_fault_quotes_the_list_and_names_the_limit(row: str, problem: str, tmp_path: Path) -> None:
    (fault,) = Mapped(tmp_path, LUMBER, f"{LUMBER_HEAD}{row}\n").faults
    assert fault.startswith(f"2: {problem}")
    assert "{Length} ft" not in fault  # its length has a unit


def test_a_number_is_quoted_with_the_comma_it_has_in_the_list(tmp_path: Path) -> None:
    (fault,) = Mapped(
        tmp_path, LUMBER, f"{LUMBER_HEAD}oak,2x4,8 ft,-9.5,each\n".replace(",", ";").replace(".", ",")
    ).faults
    assert fault.startswith('2: Price: "-9,5" is not a price')


@pytest.mark.parametrize(
    ("day", "problem"),
    [
        ("1926-11-20", "is out of range: a day from 1970 to 2100 is wanted"),
        ("31.02.2026", "is no day of the calendar"),
        ("02/30/2026", "is no day of the calendar"),
        ("2026-02-31", "is no day of the calendar"),
    ],
)
def test_a_date_that_no_order_mends_does_not_lead_to_date_order(day: str, problem: str, tmp_path: Path) -> None:
    lines = f"Timber,Size,Length,Price,Per,Date\noak,2x4,8 ft,9.80,each,{day}\n"
    (fault,) = Mapped(tmp_path, LUMBER, lines, columns='date = "Date"').faults
    ways = "mend what fills date, or write a word of its row under skip in yard.map.toml"
    assert fault == f'2: Date: "{day}" {problem}; {ways}'


def test_blanks_that_may_stand_above_lead_to_carried_down_and_others_to_skip(tmp_path: Path) -> None:
    (above,) = Mapped(tmp_path, LUMBER, f"{LUMBER_HEAD}oak,,8 ft,9.80,each\n").faults
    assert above.endswith("or name section under carried_down")
    (total,) = Mapped(tmp_path, LUMBER, f"{LUMBER_HEAD}Total,,,9.80,\n").faults
    assert "write a word of its row under skip" in total
    assert "carried_down" not in total


def test_a_row_with_two_formulas_is_counted_once(tmp_path: Path) -> None:
    lines = "Timber,Size,Length,Price,Per,Remark\n=1+1,2x4,8 ft,9,each,@SUM(A1)\n-oak,2x6,8 ft,9,each,\n"
    (notice,) = Mapped(tmp_path, LUMBER, lines, columns='note = "Remark"').notices
    assert notice.endswith("get a ' in front (2 rows, the first on line 2)")
