import io
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from subprocess import CompletedProcess

import pytest

from estimator.errors import EstimatorError
from estimator.keeping import add

Estimator = Callable[..., CompletedProcess[str]]
BrokenOrder = Callable[[str], Path]
Typing = Callable[..., None]
BROKEN = Path(__file__).parents[1] / "broken"
ENDED = "\nThe answers ended before a yes; nothing was written.\n"
LUMBER = ("", "12 ft", "", "30.25", "")  # supplier, length, per, price, date


@pytest.fixture
def typing(monkeypatch: pytest.MonkeyPatch) -> Typing:
    """Let somebody type these answers, each with Enter, and then nothing more."""

    def typing(*answers: str) -> None:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{answer}\n" for answer in answers)))

    return typing


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    shutil.copytree(BROKEN / "_good", tmp_path / "shop", ignore=shutil.ignore_patterns("order.toml"))
    return tmp_path / "shop"


def files(order: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in (order / "price_tables").iterdir()}


def fits(lines: Iterable[str]) -> bool:
    return all(len(line) <= 80 for line in lines)


def test_all_that_an_order_lacks_is_asked_for_and_then_it_can_be_quoted(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder, tmp_path: Path
) -> None:
    order = broken_order("170")
    typing(
        *("Fernhill", "y", "8 ft", "", "9.44", "", "", "12 ft", "ft", "1.90", "", *LUMBER, "", "", "11.40", ""),
        *("Bramble Lane", "y", "100", "15.80", "", "", "100", "12.40", "", "", "4", "3.10", ""),
        *("Dale", "y", "1 gal", "78.50", "", "dale", "8", "fl oz", "6.90", ""),
        *("34", "", "21", "", "", "200 - 300 ft2/gal", "y"),
    )  # fmt: skip
    run = estimator("prices", "add", order)
    assert run.returncode == 0, run.stdout + run.stderr
    assert run.stderr == ""
    assert "12 prices or rates are missing." in run.stdout
    assert "\n12 of 12: Millrace oil stain on smooth wood\n" in run.stdout
    assert "Add these 12 rows? [y/N] y\n" in run.stdout
    assert run.stdout.endswith(f"\nNow see whether all is there: estimator check {order}\n")
    assert fits(line for line in run.stdout.splitlines() if str(tmp_path) not in line)
    assert estimator("quote", order).returncode == 0
    again = estimator("prices", "add", order)
    assert again.returncode == 0
    assert "all that it takes has a price. To add other prices, name the folder" in " ".join(again.stdout.split())


def test_it_works_from_a_pipe_in_the_folder_one_stands_in(broken_order: BrokenOrder) -> None:
    order = broken_order("31")
    answers = ["", "8 ft", "", "9.44", "", "", "100", "15.80", "", *[""] * 3, "1 qt", "24.90", "", "Dale", "y", "8"]
    run = subprocess.run(
        [sys.executable, "-m", "estimator", "prices", "add"],
        cwd=order,
        input="\n".join([*answers, "fl oz", "6.90", "", "yes", ""]),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert "Asked for by stool/parts.csv:2 (did you mean" in run.stdout
    assert "Wrote price_tables/consumables.csv, a new table.\n" in run.stdout
    assert "Wrote price_tables/lumber.csv; the former table is lumber.csv.before.\n" in run.stdout
    assert "The new prices are entered in price_history.csv.\n" in run.stdout


def test_an_item_without_an_answer_is_left_out_and_the_others_are_added(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("31")
    before = files(order)
    typing("", "", "", "100", "", "", "", "", "1 qt", "24.90", "", "", "y")
    run = estimator("prices", "add", order)
    assert run.stdout.count("Left out.") == 4
    assert "Add this row? [y/N] y" in run.stdout
    after = files(order)
    assert {name for name in after if after[name] != before.get(name)} == {
        "finishes.csv", "finishes.csv.before", "price_history.csv"
    }  # fmt: skip
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar, whatever day the order has
    row = f"Bramble Lane Hardware,Millrace oil stain,1 qt,24.90,{today},\n"
    assert after["finishes.csv"].endswith(row.encode())


def test_where_all_is_left_out_nothing_is_asked_at_the_end(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    before = files(order)
    typing("", "")
    run = estimator("prices", "add", order)
    assert (run.returncode, run.stderr) == (0, "")
    assert run.stdout.endswith("Left out.\n\nNothing to add; nothing was written.\n")
    assert files(order) == before


@pytest.mark.parametrize("answers", [(*LUMBER, "n"), (*LUMBER, ""), (*LUMBER, "perhaps")])
def test_without_a_yes_the_tables_are_as_before(
    answers: tuple[str, ...], estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    before = files(order)
    typing(*answers)
    run = estimator("prices", "add", order)
    assert run.returncode == 0
    assert run.stdout.endswith("Nothing was written.\n")
    assert files(order) == before


@pytest.mark.parametrize("answers", [(), LUMBER[:2], LUMBER])
def test_where_the_answers_end_nothing_is_written(
    answers: tuple[str, ...], estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    before = files(order)
    typing(*answers)
    run = estimator("prices", "add", order)
    assert (run.returncode, run.stderr) == (1, ENDED)
    assert files(order) == before


def test_nor_where_one_breaks_off(
    estimator: Estimator, broken_order: BrokenOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def break_off(_: str) -> str:
        raise KeyboardInterrupt

    order = broken_order("33")
    before = files(order)
    monkeypatch.setattr("builtins.input", break_off)
    run = estimator("prices", "add", order)
    assert (run.returncode, run.stderr) == (1, ENDED)
    assert files(order) == before


def test_a_wrong_answer_is_told_and_asked_for_again(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    typing("", "8", "8 ft", "bundle", "each", "call", "0", "1,250", "12,50", "7/1/26", "2.11.2026", "y")
    run = estimator("prices", "add", order)
    assert run.returncode == 0, run.stdout
    told = [line.strip() for line in run.stdout.splitlines() if line.startswith("    ! ")]
    assert [line.partition(";")[0] for line in told] == [
        '! "8" would be 8 in',
        '! "bundle" is nothing lumber is priced per',
        '! "call" is not a number',
        '! "0" is not a price',
        '! "1,250" could mean two numbers',
        '! "7/1/26" is read day first in one country and month first in another',
    ]
    assert "  Price of (date) [" in run.stdout
    assert "take the row out" not in " ".join(run.stdout.split())  # there is none yet
    last = (order / "price_tables" / "lumber.csv").read_text(encoding="utf-8").splitlines()[-1]
    assert last == "Fernhill Sawmill Yard,westren larch,,2x4,8 ft,12.50,each,2026-11-02,"


def test_a_sign_that_cannot_be_printed_is_no_answer(broken_order: BrokenOrder) -> None:
    order = broken_order("31")
    answers = b"Dale\x1b[A\nDale \xff\nDale\ny\n8 ft\n\n9.44\n\n"
    command = [sys.executable, "-m", "estimator", "prices", "add", "."]
    run = subprocess.run(command, cwd=order, input=answers, capture_output=True, check=False, timeout=60)
    assert run.returncode == 1
    assert run.stdout.count(b"holds a sign that cannot be printed; write it anew") >= 1
    assert b"Traceback" not in run.stderr


def test_lumber_of_any_length_is_proposed_by_volume(estimator: Estimator, typing: Typing, shop: Path) -> None:
    typing("lumber", "", "white oak", "FAS", "5/4", "random", "each", "", "", "11.9", "", "", "n", "y")
    run = estimator("prices", "add", shop)
    assert '[bf]: each\n    ! "each" cannot price random lengths' in run.stdout
    last = (shop / "price_tables" / "lumber.csv").read_text(encoding="utf-8").splitlines()[-1]
    assert last == f"Fernhill Sawmill Yard,white oak,FAS,5/4,random,11.90,bf,{date.today()},"  # noqa: DTZ011


def test_after_a_call_prices_of_any_table_are_added(estimator: Estimator, typing: Typing, shop: Path) -> None:
    typing(
        *("lumber.csv", "", "elm", "", "2x4", "8 ft", "", "10", "7", "", "ask for Ruth", "y"),
        *("", "Dale Yard", "y", "elm", "", "2x6", "8 ft", "", "", "9", "", "", "y"),
        *("", "", "elm", "", "2x8", "8 ft", "", "", "11", "", "", "y"),
        *("steel", "Hardware", "", "bolt", "M8", "100 mm", "zinc", "25", "", "18.90", "", "", "y"),
        *("consumables", "", "Rags", "50", "12", "pieces", "", "9", "", "", "yes"),
        *("finishes", "", "Meadow oil", "1 gal + 1 qt", "", "88", "", "", "y"),
        *("labour rates", "Turner", "38.5", "", "", "n", "y"),
    )  # fmt: skip
    run = estimator("prices", "add", shop)
    assert (run.returncode, run.stderr) == (0, ""), run.stdout
    assert '! "steel" is none of them' in run.stdout
    assert '! "12" is a number; write what the pack is counted in' in run.stdout
    assert "Add these 7 rows? [y/N] y\n" in run.stdout
    assert run.stdout.endswith("Now look them over: estimator prices check\n")
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar
    tables = {name: content.decode().splitlines() for name, content in files(shop).items()}
    assert tables["lumber.csv"][0] == "supplier,species,grade,section,length,price,per,date,note,from_quantity"
    assert tables["lumber.csv"][-3:] == [
        f"Fernhill Sawmill Yard,elm,,2x4,8 ft,7.00,each,{today},ask for Ruth,10",
        f"Dale Yard,elm,,2x6,8 ft,9.00,each,{today},,",
        f"Dale Yard,elm,,2x8,8 ft,11.00,each,{today},,",  # who was named last is proposed next
    ]
    assert tables["hardware.csv"][-1] == f"Bramble Lane Hardware,bolt,M8,100 mm,zinc,25,18.90,{today},"
    assert tables["labour_rates.csv"][-1] == f"Turner,38.50,{today},"
    assert len(tables["price_history.csv"]) == 1 + 6
    assert estimator("prices", "check", shop).returncode == 0


def test_an_item_that_has_a_price_gets_no_second_one(estimator: Estimator, typing: Typing, shop: Path) -> None:
    before = files(shop)
    typing("lumber", "", "western larch", "Select", "2x4", "8 ft", "", "", "n")
    run = estimator("prices", "add", shop)
    said = " ".join(run.stdout.split())
    assert "! It is there already: $14.88 each, in" in said
    assert "lumber.csv:5; change it there. Left out." in said
    assert "Price:" not in said
    assert run.stdout.endswith("Nothing to add; nothing was written.\n")
    assert files(shop) == before


def test_a_second_price_holds_from_a_larger_quantity_on_and_not_twice(
    estimator: Estimator, typing: Typing, shop: Path
) -> None:
    larch = ("lumber", "", "western larch", "Select", "2x4", "8 ft", "", "10")
    typing(*larch, "9.10", "", "", "y", *larch, "n", "y")
    run = estimator("prices", "add", shop)
    assert run.returncode == 0, run.stdout
    said = " ".join(run.stdout.split())
    assert "It is there already: $9.10 each, among the rows before this one. Left out." in said
    assert "Add this row? [y/N] y" in said


def test_a_name_that_nobody_has_is_taken_for_a_supplier_only_once_that_is_said(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    typing("50", "", "Fernhil Sawmil", "n", "fernhill sawmill yard", "8 ft", "", "9.44", "", "n")
    run = estimator("prices", "add", order)
    assert run.returncode == 0, run.stdout
    assert "    ! Nobody of that name sells anything yet.\n" in run.stdout
    assert '    Take "50" as a new supplier? [y/N] \n' in run.stdout
    assert "    ! Nobody of that name sells anything yet; nearest: Fernhill Sawmill Yard.\n" in run.stdout
    assert run.stdout.endswith("Nothing was written.\n")


def test_rates_for_work_are_not_said_to_be_in_the_history_yet(estimator: Estimator, typing: Typing, shop: Path) -> None:
    typing("labour_rates", "Turner", "38.5", "", "", "n", "y")
    run = estimator("prices", "add", shop)
    assert run.returncode == 0, run.stdout
    assert "are entered" not in run.stdout
    assert "\nRates for work enter price_history.csv with the next estimator prices check.\n" in run.stdout
    assert not (shop / "price_tables" / "price_history.csv").exists()


def test_in_a_shop_that_is_an_order_too_the_tables_are_not_called_the_shop(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("33")
    typing(*LUMBER, "y")
    estimator("prices", "add", order)
    run = estimator("prices", "add", order)
    said = " ".join(run.stdout.split())
    assert f"name the folder of your price tables: estimator prices add {order}/price_tables" in said


def test_other_faults_come_first_and_nothing_is_asked(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("173")
    typing("")
    run = estimator("prices", "add", order)
    assert (run.returncode, run.stdout) == (1, "")
    assert "western ash" not in run.stderr
    assert run.stderr.endswith("\n\n1 fault to mend; nothing was written.\n")


def test_a_build_is_asked_about_by_its_quantity_and_a_shop_is_not(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder, shop: Path
) -> None:
    order = broken_order("33")
    typing(*LUMBER, "y")
    run = estimator("prices", "add", order / "stool", "--quantity", "4")
    assert run.stdout.endswith(f"estimator check {order / 'stool'} --quantity 4\n")
    assert estimator("prices", "add", order, "--quantity", "4").returncode == 2
    assert estimator("prices", "add", shop / "price_tables", "--quantity", "4").returncode == 2


def test_a_folder_that_is_not_there_or_has_no_shop_is_told(estimator: Estimator, tmp_path: Path) -> None:
    for path in (tmp_path / "nowhere", tmp_path):
        run = estimator("prices", "add", path)
        assert (run.returncode, run.stdout) == (1, "")
        assert "1 fault to mend" in run.stderr


def test_where_a_table_cannot_be_written_all_are_as_before(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full_disk(path: Path, content: bytes, *, replace: bool) -> None:
        raise EstimatorError.single(path.name, f"writing {len(content)} bytes failed", f"make room ({replace})")

    order = broken_order("33")
    before = files(order)
    monkeypatch.setattr(add, "write_whole", full_disk)
    typing(*LUMBER, "y")
    run = estimator("prices", "add", order)
    assert run.returncode == 1
    assert "1 fault to mend; nothing was written." in run.stderr
    assert {name: text for name, text in files(order).items() if not name.endswith(".before")} == before


def test_a_list_with_semicolons_and_another_order_of_columns_keeps_them(
    estimator: Estimator, typing: Typing, broken_order: BrokenOrder
) -> None:
    order = broken_order("172")
    before = files(order)
    typing("", "", "11.40", "", "", "100", "15,80", "", "y")
    run = estimator("prices", "add", order)
    assert run.returncode == 0, run.stdout + run.stderr
    after = files(order)
    expected = before["lumber.csv"].replace(b"date;supplier", b"date;supplier;grade")
    today = date.today()  # noqa: DTZ011 - the day on the user's own calendar
    row = f"11,40;bf;;white oak;8/4;random;{today};Fernhill Sawmill Yard;FAS\n"
    assert after["lumber.csv"] == expected + row.encode()
    nail = f"stainless\tscrew\t#8\t50 mm\t100\t15.80\t{today}\tBramble Lane Hardware\n"
    assert after["hardware.csv"] == before["hardware.csv"] + nail.encode()
    assert estimator("check", order).returncode == 0


def test_its_help_fits_and_reads_as_typed(estimator: Estimator) -> None:
    run = estimator("prices", "add", "--help")
    assert run.returncode == 0
    assert "[PATH]" in run.stdout
    assert "[[PATH]]" not in run.stdout
    assert fits(run.stdout.splitlines())
    assert fits(estimator("prices", "--help").stdout.splitlines())
