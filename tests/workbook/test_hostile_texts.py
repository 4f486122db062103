"""Texts from lists that a spreadsheet program could take for a formula, an error, a command or a search."""

import zipfile
from collections.abc import Callable, Mapping
from io import BytesIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from estimator.estimate import Estimate
from estimator.workbook.book import quote_workbook

WriteOrder = Callable[[Mapping[str, str | None]], Path]
Estimated = Callable[[Path], Estimate]
Sheets = dict[str, dict[str, object]]

DDE = "=cmd|' /C calc'!A0"
LINK = '=HYPERLINK(\\"http://example.com\\",\\"stool\\")'  # as a TOML text
# Each of the kinds of screws would count others too if names were searched for: `*` and `?` stand for any letters,
# `>` and `=` compare, and `~` takes the meaning from the sign behind it.
SCREWS = ("*", ">5", "=screw", "screw*", "s?rew", "screw", "~*", "<>")


@pytest.fixture
def hostile(small_order: WriteOrder, small_shop: Callable[..., str], estimated: Estimated) -> Estimate:
    uses = "".join(f"{kind},#8,2,+steel,@joint {number},{number},2\n" for number, kind in enumerate(SCREWS, 1))
    prices = "".join(f"-Shop,{kind},#8,2,+steel,10,{number}.50,2026-09-15\n" for number, kind in enumerate(SCREWS, 1))
    shop = small_shop(("Quay Street Joinery", "=1+1"), ('"Sales tax"', '"=tax"'))
    folder = small_order(
        {
            "shop.toml": f'{shop}\n[quote]\nterms = ["=2+3", "-cash", "@home", "\\t=4+5", "#N/A"]\n',
            "order.toml": (
                'title = "@SUM(1)"\nclient = "=1+2"\nclient_address = ["+1", "#REF!"]\nreference = "-7"\n'
                'date = 2026-11-24\n[[builds]]\nfolder = "stool"\nquantity = 2\n'
                '[[builds]]\nfolder = "table"\nquantity = 1\n'
            ),
            "stool/build.toml": f'name = "#REF!"\ndescription = "{LINK}"\nunit = "in"\n',
            "stool/parts.csv": (
                "part,quantity,species,section,length,note\n"
                "=1+1,4,western larch,2x4,17,=note\n+2,1,western larch,2x4,14,@\n-3,1,western larch,2x4,15,\n"
                f'"{DDE}",2,western larch,2x4,16,\n\uff1d1,1,western larch,2x4,13,\n'
            ),
            "stool/hardware.csv": f"kind,size,length,material,joint,joints,each\n{uses}",
            "stool/finish.csv": "product,coats,method\n=Teal oil,2,brush\n",
            "stool/labour.csv": "operation,per,minutes,rate,note\n@Cut,cut,0.7,=Maker,=9\n#VALUE!,joint,2.5,=Maker,\n",
            "stool/consumables.csv": "item,per,amount\n+Rag,ft2 coat,0.04\n",
            "table/build.toml": f'name = "{LINK}"\nunit = "in"\n',
            "table/parts.csv": "part,quantity,species,section,length\n#NAME?,4,western larch,2x4,11\n",
            "table/hardware.csv": f"kind,size,length,material,joint,joints,each\n{uses}",
            "table/labour.csv": "operation,per,minutes,rate\n@Cut,cut,0.7,=Maker\n",
            "price_tables/lumber.csv": (
                "supplier,species,grade,section,length,price,per,date\n"
                "=Yard,western larch,,2x4,8 ft,14.88,each,2026-10-02\n"
            ),
            "price_tables/hardware.csv": f"supplier,kind,size,length,material,pack,price,date\n{prices}",
            "price_tables/finishes.csv": "supplier,product,container,price,date\n@S,=Teal oil,1 qt,24.90,2026-09-15\n",
            "price_tables/spread_rates.csv": "product,texture,coat,rate,source\n=Teal oil,smooth,any,200 ft2/gal,=c\n",
            "price_tables/consumables.csv": "supplier,item,pack,unit,price,date\n-Shop,+Rag,25,=rag,9.40,2026-09-15\n",
            "price_tables/labour_rates.csv": "rate,per_hour,date\n=Maker,34.00,2026-07-01\n",
        }
    )
    return estimated(folder)


def test_texts_stay_texts_and_every_formula_is_one_of_ours(hostile: Estimate) -> None:
    content = quote_workbook(hostile)
    texts, formulas = set(), 0
    for sheet in load_workbook(BytesIO(content)).worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    formulas += 1
                    assert not set(str(cell.value)) & set("|[]@#"), cell.value
                    assert not any(word in str(cell.value) for word in ("HYPERLINK", "cmd", "Teal", "screw"))
                elif cell.data_type == "s":
                    texts.add(cell.value)
                    looks_like_more = (
                        str(cell.value).startswith(("=", "+", "-", "@", "\uff1d")) or cell.value == "#REF!"
                    )
                    assert cell.quotePrefix or not looks_like_more
                else:
                    assert cell.value is None or cell.data_type in ("n", "d"), f"{sheet.title} {cell.coordinate}"
    assert {"#REF!", LINK.replace("\\", ""), "=1+2", "+1", "-7", "@SUM(1)", "=Yard", "=Teal oil", "@Cut"} <= texts
    with zipfile.ZipFile(BytesIO(content)) as parts:
        sheets = [parts.read(name).decode() for name in parts.namelist() if name.startswith("xl/worksheets/sheet")]
        assert sum(sheet.count("<f>") for sheet in sheets) == formulas
        assert not [name for name in parts.namelist() if "external" in name.casefold()]
        assert "hyperlink" not in " ".join(
            parts.read(name).decode() for name in parts.namelist() if name.endswith(".rels")
        )


def test_totals_do_not_hang_on_what_things_are_called(
    hostile: Estimate,
    tmp_path: Path,
    assert_recalculates: Callable[[Path], None],
    stored: Callable[[Path], Sheets],
    beside: Callable[[dict[str, object], str, str], object],
) -> None:
    path = tmp_path / "hostile.xlsx"
    path.write_bytes(quote_workbook(hostile))
    assert_recalculates(path)
    sheets = stored(path)
    assert beside(sheets["Quote"], "Total", "E") == pytest.approx(float(hostile.quote.total))
    together = next(int(cell[1:]) for cell, value in sheets["Hardware"].items() if value == "Together")
    for row, number in enumerate(range(1, len(SCREWS) + 1), start=together + 2):
        # So many joints with two screws each, in two stools and one table.
        assert sheets["Hardware"][f"B{row}"] == number * 2 * 3
