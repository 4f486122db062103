from dataclasses import replace
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.build import Build, read_build
from estimator.reading.finish_steps import parse_covered, parse_surfaces, surface_words
from estimator.reading.parts import parse_coated
from estimator.takeoff.areas import coated_area, covered_words, open_ft2
from estimator.takeoff.hidden import glued_ft2, hidden_ft2

HEADINGS = "joint,part,surface,on_part,on_surface,joints,area,glued\n"
# A frame of two rails between two stiles, and slats across the rails. All measures are whole, all corners square.
PARTS = """\
part,quantity,species,section,length,hidden_area
Stile,2,oak,40 x 80 mm,600,{stile}
Rail,2,oak,40 x 60 mm,400,{rail}
Slat,5,oak,20 x 50 mm,300,{slat}
"""
JOINTS = """\
rail to stile,Rail,end,Stile,edge,4,,yes
slat to rail,Slat,face,Rail,edge,10,,
slat to slat,Slat,edge,Slat,edge,4,20 x 300 mm,yes
"""


def frame(folder: Path, *, joints: str = "", stile: str = "", rail: str = "", slat: str = "") -> Build:
    folder.mkdir(exist_ok=True)
    (folder / "build.toml").write_text('name = "Frame"\nunit = "mm"\n', encoding="utf-8")
    (folder / "parts.csv").write_text(PARTS.format(stile=stile, rail=rail, slat=slat), encoding="utf-8")
    (folder / "finish.csv").write_text("product,coats\nOil,1\n", encoding="utf-8")
    if joints:
        (folder / "joints.csv").write_text(HEADINGS + joints, encoding="utf-8")
    findings = Findings()
    build = read_build(folder, findings)
    assert not findings.faults
    assert not findings.notices
    return build


def by_joints_and_by_hidden_area(folder: Path) -> tuple[Build, Build]:
    """The same frame twice.

    Four ends of rails lie on the edges of two stiles, and ten times a slat lies on a rail. Four joints hide eight edges
    of slats, 60 cm2 each: 96 cm2 of each of the five slats.
    """
    listed = {
        "stile": "2 @ 40 x 60 on edges",
        "rail": "2 @ 40 x 60 on ends + 5 @ 50 x 40 on edges",
        "slat": "2 @ 50 x 40 + 96 cm2 on edges",
    }
    return frame(folder / "joints", joints=JOINTS), frame(folder / "hidden", **listed)


def areas_of(build: Build, *, surfaces: str = "all", parts: tuple[str, ...] = (), coated: str = "all") -> list[float]:
    """Faces, edges and ends in square feet that a step on such surfaces of such parts covers on one unit."""
    of_parts = tuple(replace(part, coated=parse_coated(coated)) for part in build.parts)
    step = replace(build.finish[0], coated=parse_surfaces(surfaces), parts=parts)
    area = coated_area(replace(build, parts=of_parts), step, 1)
    return [area.faces_ft2, area.edges_ft2, area.ends_ft2]


@pytest.mark.parametrize("surfaces", ["all", "one face", "show faces + edges", "end grain", "all but underside"])
@pytest.mark.parametrize("parts", [(), ("slat",), ("stile", "rail")])
@pytest.mark.parametrize("coated", ["all", "one face", "faces + ends"])
def test_joints_and_the_hidden_area_that_they_stand_for_leave_the_same_area(
    surfaces: str, parts: tuple[str, ...], coated: str, tmp_path: Path
) -> None:
    one, other = (
        areas_of(build, surfaces=surfaces, parts=parts, coated=coated)
        for build in by_joints_and_by_hidden_area(tmp_path)
    )
    assert one == pytest.approx(other, rel=1e-12)


def test_joints_hide_area_of_the_parts_that_they_join_and_of_no_other(tmp_path: Path) -> None:
    # Slats: faces 2 x 300 x 50, 2 x 50 x 40 hidden; edges 2 x 300 x 20 = 12000, 9600 hidden; ends 2 x 50 x 20. Five.
    build = frame(tmp_path, joints=JOINTS)
    mm2_per_ft2 = 304.8**2
    assert areas_of(build, parts=("slat",)) == pytest.approx(
        [5 * 26_000 / mm2_per_ft2, 5 * 2_400 / mm2_per_ft2, 5 * 2_000 / mm2_per_ft2]
    )
    assert areas_of(build, parts=("stile",))[0] == pytest.approx(2 * 2 * 600 * 80 / mm2_per_ft2)


def test_what_joints_hide_on_faces_lies_on_the_face_that_is_not_coated(tmp_path: Path) -> None:
    # On which face a joint lies is not known; here the other face has room for all of them.
    build = frame(tmp_path, joints=JOINTS)
    bare = frame(tmp_path / "bare", joints="")
    assert areas_of(build, surfaces="one face")[0] == pytest.approx(areas_of(bare, surfaces="faces")[0] / 2)


@pytest.mark.parametrize(
    ("coated", "hidden", "left"), [(1, 2.0, 3.0), (1, 3.0, 3.0), (1, 4.0, 2.0), (2, 4.0, 2.0), (0, 1.0, 0.0)]
)
def test_joints_take_from_the_coated_face_what_the_other_has_no_room_for(
    coated: int, hidden: float, left: float
) -> None:
    # Two faces of 3 ft2.
    assert open_ft2(3.0, 2, coated, hidden) == pytest.approx(left)


def test_before_assembly_joints_hide_nothing(tmp_path: Path) -> None:
    build = replace(frame(tmp_path, joints=JOINTS), finish_after_assembly=False)
    assert areas_of(build) == areas_of(replace(build, joints=()))


def test_no_area_is_ever_below_nothing(tmp_path: Path) -> None:
    build = frame(tmp_path, joints=JOINTS)
    more = tuple(replace(joint, joints=1000) for joint in build.joints)
    assert areas_of(replace(build, joints=more), parts=("slat",))[:2] == [0, 0]


def test_hidden_area_of_a_part_and_of_its_joints_adds_up(tmp_path: Path) -> None:
    build = frame(tmp_path, joints=JOINTS, rail="1000 mm2 on edges")
    (rail,) = (part for part in build.parts if part.name == "Rail")
    assert hidden_ft2(build, rail, "edges") == pytest.approx((1000 + 5 * 50 * 40) / 304.8**2)
    assert hidden_ft2(build, rail, "faces") == 0


def test_glued_area_counts_once_a_joint(tmp_path: Path) -> None:
    # Four ends of 40 x 60 mm and four edges of 20 x 300 mm.
    assert glued_ft2(frame(tmp_path, joints=JOINTS)) == pytest.approx(4 * (2400 + 6000) / 304.8**2)


@pytest.mark.parametrize(
    ("surfaces", "parts", "words"),
    [
        ("all", "", "all surfaces"),
        ("None", "", "no surfaces"),
        ("End grain", "", "end grain"),
        ("one face + edges; ends", "Slat", "one face, edges and ends of Slat"),
        ("all but underside", "all but Slat", "all but underside of all parts but Slat"),
        ("All but ends & edges", "Rail + Slat", "all but ends and edges of all parts but Stile"),
        ("show faces and edges", "Rail+stile+slat", "show faces and edges"),
    ],
)
def test_what_a_step_covers_is_said_in_a_few_words(tmp_path: Path, surfaces: str, parts: str, words: str) -> None:
    build = frame(tmp_path)
    names = {"stile": "Stile", "rail": "Rail", "slat": "Slat"}
    step = replace(
        build.finish[0],
        coated=parse_surfaces(surfaces),
        surface_words=surface_words(surfaces),
        parts=parse_covered(parts, names) if parts else (),
    )
    assert covered_words(step, build) == words


def test_words_say_where_a_part_is_not_coated_all_over(tmp_path: Path) -> None:
    build = frame(tmp_path)
    parts = tuple(replace(part, coated=parse_coated("one face + edges")) for part in build.parts)
    step = build.finish[0]
    assert covered_words(step, replace(build, parts=parts)) == "all surfaces, where coated"
    edges = replace(step, coated=parse_surfaces("edges"), surface_words="edges")
    assert covered_words(edges, replace(build, parts=parts)) == "edges"
