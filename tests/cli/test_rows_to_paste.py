"""What has no price is offered as rows: pasted and filled in, they are read and the estimate passes."""

import csv
import io
import json
import re
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]
BrokenOrder = Callable[[str], Path]
BROKEN = Path(__file__).parents[1] / "broken"
FILLED = {
    "supplier": "Dale",
    "length": "12 ft",
    "price": "12.50",
    "pack": "10",
    "unit": "fl oz",
    "container": "1 qt",
    "per_hour": "30",
    "rate": "200 ft2/gal",
}
COMMAND = "\nOr be asked for what is missing, one after the other:\nestimator prices add "


def offered(err: str) -> dict[str, tuple[bool, list[str]]]:
    """Return the lines offered for each table, heading first, and whether the heading is to be pasted too."""
    found = {}
    for block in err.partition("nothing was written.\n")[2].partition(COMMAND)[0].split("\n\n"):
        name, *lines = block.strip().splitlines()
        if (match := re.match(r"(\w+\.csv)( \(.*\))?$", name)) is not None:
            found[match[1]] = (match[2] is not None, lines)
    return found


def paste(tables: Path, err: str) -> None:
    """Do what is asked: paste each row, fill in what is empty."""
    for name, (with_heading, lines) in offered(err).items():
        table = tables / name
        separator = max(",;\t", key=lines[0].count)
        heading, *rows = csv.reader(io.StringIO("\n".join(lines)), delimiter=separator)
        text = table.read_text(encoding="utf-8") if table.exists() else ""
        if with_heading:
            kept = [line for line in text.splitlines() if line.startswith("sep=")]
            below = text.splitlines()[len(kept) + 1 :]
            text = "\n".join([*kept, lines[0], *below]) + "\n"
        filled = io.StringIO()
        writer = csv.writer(filled, delimiter=separator, lineterminator="\n")
        for row in rows:
            blank = "length" if name == "hardware.csv" else ""  # a piece without a length has none
            for place, (column, cell) in enumerate(zip(heading, row, strict=True)):
                value = cell or ("" if column == blank else FILLED.get(column.lower(), ""))
                row[place] = value.replace(".", ",") if column == "Price" and separator == ";" else value
            writer.writerow(row)
        table.write_text(text + filled.getvalue(), encoding="utf-8")


@pytest.mark.parametrize("case", ["31", "33", "51", "52", "132", "133", "144", "170", "171", "172"])
def test_rows_that_are_pasted_and_filled_in_are_all_it_takes(
    case: str, estimator: Estimator, broken_order: BrokenOrder
) -> None:
    order = broken_order(case)
    run = estimator("quote", order)
    assert run.returncode == 1
    paste(order / "price_tables", run.stderr)
    again = estimator("quote", order)
    assert again.returncode == 0, again.stderr


def test_the_order_is_named_as_typed_and_the_words_stay_within_80_columns(
    estimator: Estimator, broken_order: BrokenOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    order = broken_order("170")
    (order / "stool").rename(order / "oak stool")
    monkeypatch.chdir(order)
    run = estimator("check", "oak stool", "--quantity", "3")
    assert run.stderr.endswith(f"{COMMAND}'oak stool' --quantity 3\n")
    (count,) = (line for line in run.stderr.splitlines() if line.endswith("nothing was written."))
    assert count == f"{run.stderr.partition(count)[0].count('; add a row')} faults to mend; nothing was written."
    for line in run.stderr.partition(count)[2].splitlines():
        assert len(line) <= 80
    assert estimator("compare", "oak stool").stderr.endswith(f"{COMMAND}'oak stool'\n")


def test_the_document_of_a_check_is_as_it_was_and_rows_go_to_standard_error(
    estimator: Estimator, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    run = estimator("check", order, "--json")
    (fault,) = json.loads(run.stdout)["faults"]
    assert fault.endswith(
        'lumber.csv has no price for westren larch 2x4 (did you mean "western larch Select 2x4"?); add a row'
    )
    assert list(offered(run.stderr)) == ["lumber.csv"]
    assert "Where a name was only misspelt" in " ".join(run.stderr.split())


def test_other_faults_offer_no_rows(estimator: Estimator, broken_order: BrokenOrder) -> None:
    run = estimator("check", broken_order("34"))
    assert run.returncode == 1
    assert run.stderr.endswith(" to mend; nothing was written.\n")


@pytest.mark.parametrize("value", ["free", "cost"])
def test_wood_that_is_only_on_hand_and_too_little_is_offered_once(
    value: str, estimator: Estimator, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    shutil.copy(BROKEN / "_good" / "stool" / "parts.csv", order / "stool" / "parts.csv")
    lumber = order / "price_tables" / "lumber.csv"
    rows = lumber.read_text(encoding="utf-8").splitlines(keepends=True)
    lumber.write_text("".join(row for row in rows if "2x2" not in row), encoding="utf-8")
    (order / "stock.csv").write_text(
        "species,grade,section,length,quantity,place,note\nwestern larch,,2x2,4 ft,1,rack,\n", encoding="utf-8"
    )
    shop = order / "shop.toml"
    text = shop.read_text(encoding="utf-8")
    shop.write_text(text.replace("[cutting]\n", f'[cutting]\nstock_value = "{value}"\n'), encoding="utf-8")
    run = estimator("check", order)
    _, lines = offered(run.stderr)["lumber.csv"]
    assert lines[1:] == [f"Fernhill Sawmill Yard,western larch,,2x2,,,each,{date.today()},"]  # noqa: DTZ011
    paste(order / "price_tables", run.stderr)
    assert estimator("check", order).returncode == 0


def test_what_goes_by_boards_is_offered_along_with_the_boards(estimator: Estimator, broken_order: BrokenOrder) -> None:
    order = broken_order("170")
    uses = "item,per,amount,note\nSaw wax,board,0.1,\n"
    (order / "shop_consumables.csv").write_text(uses, encoding="utf-8")
    run = estimator("check", order)
    assert ",Saw wax,,,," in run.stderr
    paste(order / "price_tables", run.stderr)
    assert estimator("check", order).returncode == 0
