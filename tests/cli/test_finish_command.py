"""`estimator finish` where the shop has written down what the labels of its products say."""

import json
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

import pytest

Estimator = Callable[..., CompletedProcess[str]]

LABELS = (
    "product;kind;mixed_with;mix_ratio;thinner;thinner_percent;cleaner;cleaner_percent;touch_dry;recoat_after;"
    "recoat_within;full_cure;source\n"
    "Haselbach hardwood oil;water-borne + two-part;Haselbach Haerter;4:1;Wasser;0;Haselbach Reiniger;10;1 - 2 h;6 h;"
    "24 h;7 d;can label\n"
    "Wasser;water-borne;;;;;;;;;;;\n"
    "Haselbach Reiniger;solvent-borne;;;;;;;;;;;\n"
)
CANS = (
    "Eisenwaren Brunner Gasse,Haselbach hardwood oil,2 L + 0.5 L,72.00,2026-10-05,\n"
    "Eisenwaren Brunner Gasse,Haselbach Reiniger,1 L,8.90,2026-10-05,\n"
)


@pytest.fixture
def labelled(bench_order: Path) -> Path:
    """The bench's order with labels of its oil in two parts."""
    tables = bench_order.parents[1] / "price_tables" / "metric_eur"
    (tables / "finish_products.csv").write_text(LABELS, encoding="utf-8")
    with (tables / "finishes.csv").open("a", encoding="utf-8") as file:
        file.write(CANS)
    return bench_order


def test_it_answers_first_and_cautions_last_within_80_columns(estimator: Estimator, labelled: Path) -> None:
    run = estimator("finish", labelled)
    assert run.returncode == 0, run.stderr
    lines = run.stdout.splitlines()
    assert [line for line in lines if len(line) > 80 and "finishes.csv" not in line and "rates.csv" not in line] == []
    assert lines[0] == "Buy 1 set of 2 L + 0.5 L: Haselbach hardwood oil, €72.00."
    answer, _, rest = run.stdout.partition("\nHaselbach hardwood oil\n---")
    assert "Buy 1 can of 1 L: Haselbach Reiniger, €8.90, as cleaner (0.20 L)." in answer
    cautions = rest.partition("\nCaution: ")[2]
    assert "Waiting between coats" not in cautions
    assert all(line.startswith("Caution: ") or line[0] != " " for line in cautions.splitlines() if line)


def test_it_says_what_is_covered_dry_times_mixture_and_what_goes_with_it(estimator: Estimator, labelled: Path) -> None:
    said = " ".join(estimator("finish", labelled).stdout.split())
    # 1.968 L at 4:1: 1.574 of base and 0.394 of hardener.
    for sentence in (
        "Garden bench, 2 coats: all surfaces.",
        "Dry times: touch dry 1 to 2 h, next coat after 6 h and within 24 h, full cure 7 d (can label).",
        "1.57 L of Haselbach hardwood oil with 0.39 L of Haselbach Haerter fill the rate.",
        "Thinner: Wasser, as needed (can label).",
        "Cleaner: Haselbach Reiniger, 10 % of the product, 0.20 L (can label).",
        "Garden bench: at least 6 h of waiting between the first coat and the last.",
        "Caution: Two-part finish can make skin and airways allergic",
        "Caution: Solvent-borne finish",  # the cleaner
    ):
        assert sentence in said
    assert "Rags with drying oil" not in said


def test_the_document_carries_all_of_it(estimator: Estimator, labelled: Path) -> None:
    document = json.loads(estimator("finish", labelled, "--json").stdout)
    (oil,) = document["finishes"]
    assert oil["kinds"] == ["water-borne", "two-part"]
    assert oil["mix_ratio"] == "4:1"
    assert [oil[f"{name}_minutes"] for name in ("touch_dry", "recoat_after", "recoat_within", "full_cure")] == [
        [60, 120],
        [360, 360],
        [1440, 1440],
        [10080, 10080],
    ]
    base, hardener = oil["components"]
    assert base["need_L"] == pytest.approx(4 * hardener["need_L"], abs=1e-3)
    assert (base["content_L"], hardener["content_L"]) == (2.0, 0.5)
    assert [(one["role"], one["percent"]) for one in oil["goes_with"]] == [("thinner", "0"), ("cleaner", "10")]
    assert [one["product"] for one in document["auxiliaries"]] == ["Haselbach Reiniger"]
    assert document["least_waiting"] == [{"build": "Garden bench", "minutes": 360, "not_counted": []}]
    assert {one["topic"] for one in document["cautions"]} == {"wood_dust", "sanding", "solvent", "two_part"}


def test_steps_of_one_product_say_in_their_rows_what_they_cover(estimator: Estimator, bench_order: Path) -> None:
    steps = bench_order / "garden_bench" / "finish.csv"
    steps.write_text(
        "product,coats,surfaces,method\n"
        "Haselbach hardwood oil,1,faces,wipe\nHaselbach hardwood oil,2,edges + ends,wipe\n",
        encoding="utf-8",
    )
    lines = [line.strip() for line in estimator("finish", bench_order).stdout.splitlines()]
    assert (lines.count("faces"), lines.count("edges and ends")) == (1, 2)
    assert not any(line.startswith("Garden bench, 2 coats:") for line in lines)


def test_the_buy_sheet_lists_thinner_and_cleaner_under_finish(estimator: Estimator, labelled: Path) -> None:
    sheet = json.loads(estimator("buy", labelled, "--json").stdout)
    assert [one["item"] for one in sheet["finish"]] == ["Haselbach hardwood oil", "Haselbach Reiniger"]
    said = estimator("buy", labelled).stdout
    assert "Haselbach hardwood oil, set of 2 L + 0.5 L" in said
    assert "Haselbach Haerter" in said.partition("Left over")[2]
