from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.lists import read_list
from estimator.reading.parts import Part, read_parts
from estimator.reading.sanding import (
    SANDING_COLUMNS,
    SANDING_SETTINGS,
    UNSOURCED,
    SandingPass,
    SandingSettings,
    parse_grits,
    parse_sanded_area,
    read_sanding_pass,
    read_sanding_settings,
)
from estimator.reading.settings import Settings

Read = Callable[[str], tuple[SandingSettings, list[str]]]


@pytest.fixture
def read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Read:
    """Read what a shop.toml says about sanding, with the faults found in it."""
    monkeypatch.chdir(tmp_path)

    def run(text: str) -> tuple[SandingSettings, list[str]]:
        (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
        findings = Findings()
        settings = Settings(tmp_path / "shop.toml", findings)
        settings.check_names({"": (), **SANDING_SETTINGS})
        return read_sanding_settings(settings), [str(fault) for fault in findings.faults]

    return run


DISC = '[[sanding.grits]]\ngrit = 120\nitem = "Disc"\narea_per_piece = "6 ft2"\nminutes_per_ft2 = 0.35\n'


def test_grits_are_read_with_what_they_take(read: Read) -> None:
    sanding, faults = read(f'[sanding]\nrate = "Helper"\nedge_factor = 1.5\n{DISC}source = "timed"\n')
    assert faults == []
    assert (sanding.rate, sanding.edge_factor) == ("Helper", Decimal("1.5"))
    (grit,) = sanding.grits
    assert (grit.grit, grit.item, grit.source) == (120, "Disc", "timed")
    assert (grit.area_per_piece_ft2, grit.minutes_per_ft2) == (Fraction(6), Fraction(35, 100))
    assert (grit.origin.line, sanding.origin.line) == (4, 2)


def test_minutes_a_square_metre_and_an_area_in_square_metres_are_converted_exactly(read: Read) -> None:
    # A foot is 0.3048 m exactly.
    metric = DISC.replace("6 ft2", "0.5 m2").replace("minutes_per_ft2 = 0.35", "minutes_per_m2 = 4")
    sanding, faults = read(f'[sanding]\nrate = "Helper"\n{metric}')
    assert faults == []
    (grit,) = sanding.grits
    assert grit.minutes_per_ft2 == 4 * Fraction(3048, 10000) ** 2
    assert grit.area_per_piece_ft2 == Fraction(1, 2) / Fraction(3048, 10000) ** 2
    assert grit.source == UNSOURCED
    assert sanding.edge_factor == 1


def test_a_shop_that_says_nothing_about_sanding_has_no_grits(read: Read) -> None:
    sanding, faults = read("")
    assert faults == []
    assert (sanding.rate, sanding.grits) == ("", ())


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (DISC, "shop.toml: rate: is missing; write it under [sanding]"),
        ("[sanding]\nedge_factor = 2\n", "shop.toml:1: rate: is missing; write it under [sanding]"),
        (
            f'[sanding]\nrate = "Helper"\n{DISC}{DISC}',
            "shop.toml:9: grit: 120 is set on line 3 too; keep one of the two",
        ),
        (
            f'[sanding]\nrate = "Helper"\n{DISC}minutes_per_m2 = 4\n',
            "shop.toml:8: minutes_per_m2: stands beside minutes_per_ft2; write only one of them",
        ),
        (
            '[sanding]\nrate = "Helper"\ngrits = [120]\n',
            "shop.toml:3: grits: is not a list of tables; head each with [[sanding.grits]]",
        ),
        (
            f'[sanding]\nrate = "Helper"\n{DISC.replace("[[", "[").replace("]]", "]")}',
            "shop.toml:3: grits: is not a list of tables; head each with [[sanding.grits]]",
        ),
        (
            f'[sanding]\nrate = "Helper"\n{DISC}itm = "Disc"\n',
            'shop.toml:8: sanding.grits: "itm" is not a setting (did you mean "item"?)',
        ),
    ],
)
def test_settings_that_cannot_be_meant_are_faults(read: Read, text: str, fault: str) -> None:
    assert read(text)[1] == [fault]


def test_a_row_is_a_pass_in_the_words_of_the_finish(tmp_path: Path) -> None:
    findings = Findings()
    parts = tmp_path / "parts.csv"
    parts.write_text(
        "part,quantity,species,section,length\nArm,2,oak,1x4,20\nSeat slat,3,oak,1x4,20\nLeg,4,oak,2x2,17\n", "utf-8"
    )
    path = tmp_path / "sanding.csv"
    path.write_text(
        "when,grits,surfaces,parts,note\nbefore finish,80 + 120,,,with the random orbital\n"
        "Between coats,220,one face + edges,all but Leg,\n",
        "utf-8",
    )
    read = read_parts(parts, "in", findings)
    first, second = (_pass(row_number, path, read, findings) for row_number in (0, 1))
    assert findings.faults == []
    assert (first.when, first.grits, first.parts) == ("before finish", (80, 120), ())
    assert (first.covering, first.note) == ("all surfaces of all parts", "with the random orbital")
    assert (second.when, second.grits, second.parts) == ("between coats", (220,), ("arm", "seat slat"))
    assert (second.surfaces.faces, second.surfaces.edges, second.surfaces.ends) == (1, True, False)
    assert second.covering == "one face and edges of all but Leg"


def _pass(row_number: int, path: Path, parts: tuple[Part, ...], findings: Findings) -> SandingPass:
    return read_sanding_pass(read_list(path, SANDING_COLUMNS, findings)[row_number], parts)


@pytest.mark.parametrize(("text", "grits"), [("120", (120,)), ("80+120 + 180", (80, 120, 180)), ("0180", (180,))])
def test_grits_are_joined_by_plus(text: str, grits: tuple[int, ...]) -> None:
    assert parse_grits(text) == grits


@pytest.mark.parametrize("text", ["", "fine", "80, 120", "80 +", "1.5", "0", "20000", "120 + 120"])
def test_what_is_no_grit_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="write"):
        parse_grits(text)


@pytest.mark.parametrize("text", ["6", "0 ft2", "9 x 11 in", "6 ft", "a lot"])
def test_what_a_disc_sands_needs_a_unit_of_area(text: str) -> None:
    with pytest.raises(ValueError, match=r"write it with its unit, like 6 ft2 or 0\.5 m2"):
        parse_sanded_area(text)


def test_a_decimal_comma_is_read_where_the_list_has_it() -> None:
    assert parse_sanded_area("0,5 ft2", decimal_comma=True) == Fraction(1, 2)
