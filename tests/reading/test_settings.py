from pathlib import Path

from estimator.errors import Findings
from estimator.reading.settings import Settings


def settings(tmp_path: Path, text: str) -> Settings:
    path = tmp_path / "shop.toml"
    path.write_text(text, encoding="utf-8")
    return Settings(path, Findings())


def messages(found: Settings) -> list[str]:
    """Return what was noted, without the folder of the file."""
    return [str(fault)[str(fault).index("shop.toml") :] for fault in found.findings.faults]


def test_a_fault_names_the_line_of_the_value_in_its_own_table(tmp_path: Path) -> None:
    found = settings(tmp_path, 'percent = 1\n\n[tax]\nname = "VAT"\n"percent" = "much"\n')
    found.table("tax").number("percent")
    assert messages(found) == ['shop.toml:5: percent: "much" is not a number; write it like 22 or 22.5']


def test_a_value_left_out_is_asked_for_under_its_table(tmp_path: Path) -> None:
    found = settings(tmp_path, 'unit = "in"\n\n[tax]\nname = "VAT"\n')
    found.table("tax").number("percent")
    found.table("cutting").length("kerf", unit="in")
    found.table().text("name")
    assert messages(found) == [
        "shop.toml:3: percent: is missing; write it under [tax]",
        "shop.toml: kerf: is missing; write it under [cutting]",
        "shop.toml: name: is missing; fill it in",
    ]


def test_tables_of_one_name_keep_their_own_lines(tmp_path: Path) -> None:
    found = settings(tmp_path, "[[builds]]\nquantity = 1\n\n[[builds]]\nquantity = 0\n\n[[builds]]\n")
    assert [table.count("quantity") for table in found.tables("builds")] == [1, 1, 1]
    assert messages(found) == [
        'shop.toml:5: quantity: "0" does not fit here; write a whole number from 1 to 100000',
        "shop.toml:7: quantity: is missing; write it under [[builds]]",
    ]


def test_a_file_that_cannot_be_read_has_one_fault_and_no_others_that_follow_from_it(tmp_path: Path) -> None:
    found = settings(tmp_path, 'unit = "in"\nname = Rookery\n')
    found.table().text("name")
    found.table("tax").number("percent")
    assert messages(found) == [
        'shop.toml:2: is not valid TOML (Invalid value); write lines like name = "value" or percent = 5'
    ]


def test_misspelt_names_are_refused_with_the_nearest_or_the_ones_there_are(tmp_path: Path) -> None:
    found = settings(tmp_path, 'nmae = "x"\n\n[tax]\nrate = 5\n\n[bench]\nwidth = 2\n')
    found.check_names({"": ("name",), "tax": ("name", "percent")})
    assert messages(found) == [
        'shop.toml:1: "nmae" is not a setting (did you mean "name"?)',
        'shop.toml:4: tax: "rate" is not a setting; write one of: name, percent',
        'shop.toml:6: "bench" is not a setting; write one of: name, tax',
    ]


def test_a_table_without_given_names_may_hold_any(tmp_path: Path) -> None:
    found = settings(tmp_path, '[yield_percent]\n"No. 2" = 50\n')
    found.check_names({"": (), "yield_percent": ()})
    assert messages(found) == []
    assert found.table("yield_percent").texts == {"No. 2": "50"}


def test_a_list_where_one_value_is_wanted_is_refused_and_not_dropped(tmp_path: Path) -> None:
    found = settings(
        tmp_path, 'name = ["Rookery", "Joinery"]\naddress = ["1 Yard", "Alderby"]\n\n[tax.percent]\na = 1\n'
    )
    found.check_names({"": ("name", "address"), "tax": ("percent",)})
    assert messages(found) == [
        "shop.toml:1: name: holds a list or a table; write name = and one value",
        "shop.toml: percent: holds a list or a table; write percent = and one value",
    ]


def test_one_text_counts_as_a_list_of_one(tmp_path: Path) -> None:
    found = settings(tmp_path, 'address = "1 Yard"\n\n[quote]\nterms = ["a", "b"]\n')
    assert found.texts("", "address") == ("1 Yard",)
    assert found.texts("quote", "terms") == ("a", "b")
    assert found.texts("", "contact") == ()


def test_amounts_are_the_decimals_written_and_never_binary_floats(tmp_path: Path) -> None:
    found = settings(tmp_path, "[tax]\npercent = 6.0000000000000001\n")
    assert str(found.table("tax").number("percent")) == "6.0000000000000001"
