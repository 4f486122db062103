import json
import re
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from subprocess import CompletedProcess
from typing import Any

import pytest

Estimator = Callable[..., CompletedProcess[str]]

MONEY = re.compile(r"(^|_)(amount|bound|cost|deposit|per_hour|price|profit|saved|subtotal|tax|total)(_|$)")
# A share of money, or where a price comes from, is no money.
NO_MONEY = re.compile(r"_(percent|from|date)$")
UNIT = re.compile(
    r"_(in|ft|mm|m|ft2|m2|ft3|m3|gal|L|lb|kg|board_feet|degrees|percent|ft2_per_gal|m2_per_L)$|^board_feet"
)


def document(run: CompletedProcess[str]) -> Any:  # noqa: ANN401 - a JSON document holds anything
    """Read the whole of standard output as one JSON document; NaN and Infinity are not JSON."""
    return json.loads(run.stdout, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def leaves(value: object, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], object]]:
    """Yield every single value with the keys that lead to it."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list):
        for inner in value:
            yield from leaves(inner, path)
    else:
        yield path, value


def test_json_is_one_document_with_money_as_text_and_units_in_the_keys(
    estimator: Estimator, command: str, example: str
) -> None:
    run = estimator(command, example, "--json")
    assert run.returncode == 0, run.stderr
    found = list(leaves(document(run)))
    money = {path: value for path, value in found if is_money(path)}
    assert [path for path, value in money.items() if not is_decimal_text(value)] == []
    assert [path for path, value in found if isinstance(value, float) and not has_unit(path)] == []
    if command in {"buy", "finish", "quote", "compare"}:
        assert money


def is_money(path: tuple[str, ...]) -> bool:
    # A consumable's amount in the take-off is a quantity: nothing is priced there.
    keys = [key for key in path if MONEY.search(key)]
    return bool(keys) and not NO_MONEY.search(path[-1]) and path[-2:] != ("consumables", "amount")


def is_decimal_text(value: object) -> bool:
    return isinstance(value, str) and re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", value) is not None


def has_unit(path: tuple[str, ...]) -> bool:
    return bool(UNIT.search(path[-1])) or path[-1] == "rough_measure"  # which has its unit beside it, under `per`


def test_the_lines_of_the_buy_sheet_add_up_to_its_amount(estimator: Estimator, example: str) -> None:
    sheet = document(estimator("buy", example, "--json"))
    kinds = ("boards", "lumber_by_volume", "hardware", "finish", "consumables")
    lines = [line for kind in kinds for purchase in sheet[kind] for line in purchase["lines"]]
    assert sum(Decimal(line["amount"]) for line in lines) == Decimal(sheet["amount"])


def test_the_quote_adds_up(estimator: Estimator, example: str) -> None:
    quote = document(estimator("quote", example, "--json"))
    builds = quote["builds"]
    assert sum(Decimal(build["amount"]) for build in builds) == Decimal(quote["subtotal"])
    assert Decimal(quote["subtotal"]) + Decimal(quote["tax"]) == Decimal(quote["total"])
    assert Decimal(quote["subtotal"]) - Decimal(quote["cost"]) == Decimal(quote["profit"])
    for build in builds:
        assert sum(map(Decimal, build["cost_by_kind"].values())) == Decimal(build["cost"])
        assert Decimal(build["unit_price"]) * build["quantity"] == Decimal(build["amount"])


def test_a_comparison_holds_the_asked_quantities_and_one(estimator: Estimator) -> None:
    comparison = document(estimator("compare", "examples/orchard_bench", "--quantities", "5,3", "--json"))
    (bench,) = comparison["builds"]
    assert [column["quantity"] for column in bench["quantities"]] == [1, 3, 5]


def test_cuts_follow_each_other_along_the_board(estimator: Estimator, example: str) -> None:
    sheet = document(estimator("buy", example, "--json"))
    unit = "in" if "riverside" in example else "mm"
    layouts = [layout for purchase in sheet["boards"] for layout in purchase["layouts"]]
    assert layouts
    for layout in layouts:
        for strip in layout["strips"]:
            at, leaning = 0.0, False
            for blank in strip["blanks"]:
                leans = [any(blank["pieces"][0][end].values()) for end in ("near_end", "far_end")]
                # Only where both ends lean may a piece begin before its neighbour's mark.
                assert at <= blank[f"from_{unit}"] or (leaning and leans[0])
                assert blank[f"from_{unit}"] < blank[f"to_{unit}"]
                at, leaning = blank[f"to_{unit}"], leans[1]
            assert at <= layout[f"board_length_{unit}"]


def test_a_layout_says_which_cuts_serve_both_and_where_the_stop_stands(estimator: Estimator) -> None:
    sheet = document(estimator("buy", "examples/riverside_tearoom", "--json"))
    (timber,) = (one for one in sheet["boards"] if one["item"] == "western larch Select 2x4")
    legs = next(one for one in timber["layouts"] if one["boards"] == 8 and len(one["stop_block"]) == 1)
    (strip,) = legs["strips"]
    assert [blank["one_cut_with_next"] for blank in strip["blanks"]] == [True, True, False]
    assert {blank["far_cut"]["mitre_degrees"] for blank in strip["blanks"]} == {8.0}
    assert legs["stop_block"] == [{"length_in": 31.25, "blanks": 3}]
    assert (legs["on_hand"], legs["place"], legs["keep_left_over"]) == (False, "", False)
    # Ripped from 3 1/2 to 2 1/2 in before its ends are cut.
    pieces = [
        (piece, blank)
        for layout in timber["layouts"]
        for blank in layout["strips"][0]["blanks"]
        for piece in blank["pieces"]
        if piece["part"] == "Leg"
    ]
    assert pieces
    for piece, blank in pieces:
        assert (piece["ends_cut_later"], piece["rip_to_in"], piece["near_end"]["mitre_degrees"]) == (True, 2.5, 3.0)
        assert blank["far_cut"] == {"mitre_degrees": 0.0, "bevel_degrees": 0.0}


def test_the_take_off_measures_each_part(estimator: Estimator) -> None:
    order = document(estimator("takeoff", "examples/riverside_tearoom", "--json"))
    parts = {part["part"]: part for need in order["together"]["lumber"] for part in need["parts"]}
    leg = parts["Back leg"]
    assert (leg["length_in"], leg["width_in"], leg["thickness_in"]) == (31.25, 3.5, 1.5)
    assert (leg["left_mitre_degrees"], leg["right_bevel_degrees"], leg["show_face"], leg["match"]) == (8, 0, False, "")
    assert parts["Arm"]["clipped_corners"] == ["bottom right", "top right"]


def test_any_sign_survives_any_terminal(estimator: Estimator, bench_order: Path) -> None:
    order = bench_order / "order.toml"
    text = order.read_text(encoding="utf-8")
    order.write_text(text.replace("Two benches", "Dwie ławki, 1½ m, 60″"), encoding="utf-8")
    run = estimator("quote", bench_order, "--json")
    assert run.stdout.isascii()
    assert document(run)["order"].startswith("Dwie ławki, 1½ m, 60″")


def test_check_lists_faults_and_notices(estimator: Estimator, bench_order: Path) -> None:
    sound = document(estimator("check", bench_order, "--json"))
    assert sound["faults"] == []
    assert len(sound["notices"]) == 1

    parts = bench_order / "garden_bench" / "parts.csv"
    parts.write_text(parts.read_text(encoding="utf-8").replace(";905;", ";9o5;"), encoding="utf-8")
    run = estimator("check", bench_order, "--json")
    assert run.returncode == 1
    (fault,) = document(run)["faults"]
    assert "parts.csv:3" in fault
    assert "9o5" in fault
    assert fault in run.stderr
