import json
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]
HAND_WORKED = Path("tests/hand_worked")


def test_finish_prints_area_pieces_and_hours_of_each_grit(estimator: Estimator) -> None:
    printed = estimator("finish", HAND_WORKED / "sanded_benches").stdout
    (table,) = [part for part in printed.split("\n\n") if part.startswith("Sanding\n")]
    # Worked out by hand in tests/hand_worked/test_sanded_benches.py: 24.46 minutes are 0.4 hours.
    assert [line.split() for line in table.splitlines()[3:6]] == [
        ["80", "Sanding", "disc,", "80", "grit", "44.7", "7.5", "0.4"],
        ["120", "Sanding", "disc,", "120", "grit", "47.1", "5.9", "0.3"],
        ["220", "Sanding", "sheet,", "220", "grit", "93.8", "9.4", "0.3"],
    ]
    assert "Together 1.1 hours, paid as Helper. The time counts edges and ends 1.5 times" in table
    assert "80 grit: 0.5 minutes a ft2, 6 ft2 a disc or sheet: timed on four bench seats" in table


@pytest.mark.parametrize("command", ["finish", "takeoff"])
def test_the_documents_carry_every_pass(estimator: Estimator, command: str) -> None:
    document = json.loads(estimator(command, HAND_WORKED / "sanded_benches", "--json").stdout)
    sanding = document["sanding"] if command == "finish" else document["together"]["sanding"]
    assert [(one["build"], one["when"], one["grit"]) for one in sanding] == [
        ("Bench", "before finish", 80),
        ("Bench", "before finish", 120),
        ("Bench", "between coats", 220),
        ("Shelf", "before finish", 120),
    ]
    assert sanding[0]["area_ft2"] == "44.7030"
    assert sanding[0]["minutes"] == "24.46"
    assert sanding[0]["minutes_per_ft2"] == "0.5"
    assert sanding[0]["pieces"] == "7.4505"
    assert sanding[0]["from"].endswith("bench/sanding.csv:2")


def test_takeoff_prints_the_area_that_is_sanded(estimator: Estimator) -> None:
    printed = estimator("takeoff", HAND_WORKED / "sanded_benches").stdout
    # 44.7030 twice and 93.8046 are 183.2106 ft2.
    assert "Sanded, each grit counted: Bench 183.2 ft2, Shelf 2.4 ft2." in printed


def test_without_sanding_not_a_word_is_said_of_it(estimator: Estimator) -> None:
    plain = HAND_WORKED / "plant_stands"
    assert "\nSanding\n" not in estimator("finish", plain).stdout
    assert "Sanded" not in estimator("takeoff", plain).stdout
    assert json.loads(estimator("finish", plain, "--json").stdout)["sanding"] == []


def test_the_quote_lists_sanding_as_labour(estimator: Estimator) -> None:
    document = json.loads(estimator("quote", HAND_WORKED / "sanded_benches", "--json").stdout)
    (line,) = [one for one in document["labour"] if one["operation"] == "Sand 80 grit, before finish"]
    assert (line["for"], line["per"], line["count"], line["amount"]) == ("Bench", "ft2 sanded", "48.92955", "9.78")
    bought = {one["item"]: one["quantity"] for one in document["bill_of_materials"]}
    assert bought["Sanding sheet, 220 grit"] == "1"


def test_one_is_held_against_a_dozen_with_its_sanding(estimator: Estimator) -> None:
    document = json.loads(estimator("compare", HAND_WORKED / "sanded_benches", "--quantities", "1,3", "--json").stdout)
    one, three = next(build["quantities"] for build in document["builds"] if build["name"] == "Bench")
    # A pack of discs of each grit is bought for one bench too, and each of its minutes is worked again for the next.
    assert float(one["unit_cost_by_kind"]["consumables"]) > float(three["unit_cost_by_kind"]["consumables"])
    assert float(one["unit_minutes"]) > float(three["unit_minutes"]) > 30 + 21.4
