from collections.abc import Callable
from fractions import Fraction
from math import cos, radians
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.build import Build, read_build
from estimator.reading.joints import parse_degrees, parse_joint_area

PARTS = """\
part,quantity,species,section,length,left_end,right_end,tapered_sides,taper_end,taper_to,taper_length
Leg,4,western larch,2x2,17,5,5,,,,
Tapered leg,4,western larch,2x2,17,,,bottom edge,right,3/4,10
Rail,4,western larch,2x4,11,,,,,,
"""
HEADINGS = "joint,part,surface,on_part,on_surface,joints,degrees,area,glued\n"

Reader = Callable[..., tuple[Build, list[str]]]


@pytest.fixture
def read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Reader:
    """Read a build with such rows in joints.csv; with it come the faults."""
    monkeypatch.chdir(tmp_path)

    def reading(*rows: str, parts: str = PARTS, unit: str = "in") -> tuple[Build, list[str]]:
        for name, text in (
            ("build.toml", f'name = "Stool"\nunit = "{unit}"\n'),
            ("parts.csv", parts),
            ("joints.csv", HEADINGS + "\n".join(rows)),
        ):
            (tmp_path / name).write_text(text, encoding="utf-8")
        findings = Findings()
        build = read_build(tmp_path, findings)
        return build, [str(fault) for fault in findings.faults]

    return reading


def test_a_row_says_which_end_lies_on_which_face(read: Reader) -> None:
    build, faults = read("Rail to leg,rail,End,leg,face,8,,,Yes")
    (joint,) = build.joints
    assert faults == []
    assert (joint.part, joint.surface, joint.on_part, joint.on_surface) == ("Rail", "end", "Leg", "face")
    assert (joint.joints, joint.glued) == (8, True)
    assert joint.area_in2 == pytest.approx(3.5 * 1.5)


def test_degrees_count_from_a_square_crossing_and_a_written_area_goes_before_all(read: Reader) -> None:
    build, faults = read(
        "rail on leg,Rail,face,Leg,face,2,-5,,", "rail by leg,Rail,face,Leg,face,2,5,2 @ 1 x 1 + 0.5 in2,"
    )
    assert faults == []
    assert [joint.area_in2 for joint in build.joints] == pytest.approx([3.5 * 1.5 / cos(radians(5)), 2.5])


def test_a_joint_hides_the_same_on_both_its_parts(read: Reader) -> None:
    build, _ = read("rail to leg,Rail,end,Leg,edge,8,,,", "rail on rail,Rail,face,Rail,face,1,,,")
    end, face = build.joints
    assert end.hidden_in2("rail", "ends") == end.hidden_in2("Leg", "edges") == pytest.approx(8 * 5.25)
    assert end.hidden_in2("Rail", "faces") == end.hidden_in2("Leg", "faces") == 0
    assert face.hidden_in2("Rail", "faces") == pytest.approx(2 * 3.5 * 3.5)  # it is two rails that cross


def test_nothing_is_worked_out_of_a_tapered_end(read: Reader) -> None:
    _, faults = read(
        "leg to rail,Tapered leg,right end,Rail,face,4,,,", "leg on rail,Tapered leg,left end,Rail,face,4,,,"
    )
    assert faults == [
        'joints.csv:2: surface: "Tapered leg" is tapered towards that end; write what one joint hides under "area"'
    ]


def test_joints_may_hide_all_of_a_surface_and_no_more(read: Reader) -> None:
    # Four rails have eight ends; each is hidden whole.
    assert read("rail to leg,Rail,end,Leg,face,8,,,")[1] == []
    (fault,) = read("rail to leg,Rail,end,Leg,face,9,,,")[1]
    assert 'the joints of line 2 hide 47.25 in2 of the ends of "Rail", and all its pieces have 42 in2' in fault


def test_a_faulty_part_brings_no_fault_of_its_joints(read: Reader) -> None:
    rows = ("rail to leg,Rail,end,Leg,face,90,,,", "leg to rail,Tapered leg,left end,Rail,face,2,,,")
    _, faults = read(*rows, parts=PARTS.replace("2x4,11", "2x4,eleven"))
    assert [fault.partition(": ")[0] for fault in faults] == ["parts.csv:4"]


def test_without_a_list_of_parts_nothing_is_looked_up(read: Reader) -> None:
    _, faults = read("rail to leg,Rail,end,Leg,face,8,,,", parts="")
    assert [fault.partition(": ")[0] for fault in faults] == ["parts.csv"]


def test_measures_in_a_message_are_in_the_build_s_unit(read: Reader) -> None:
    parts = "part,quantity,species,section,length\nLeg,4,oak,45 x 45 mm,430\nRail,4,oak,20 x 90 mm,280\n"
    (fault,) = read("leg to rail,Leg,end,Rail,edge,8,,,", parts=parts, unit="mm")[1]
    assert 'the end of "Leg" (45 mm x 45 mm) and the edge of "Rail" (20 mm x 280 mm) do not lie whole' in fault


@pytest.mark.parametrize(("text", "degrees"), [("5", 5), ("-7.5°", Fraction(15, 2)), ("30 deg", 30), ("75", 75)])
def test_degrees_are_read_whichever_way_they_lean(text: str, degrees: Fraction) -> None:
    assert parse_degrees(text, decimal_comma=False) == degrees


def test_parts_that_lie_along_each_other_have_no_crossing() -> None:
    with pytest.raises(ValueError, match=r'"90" is no crossing; .* what one joint hides, under "area"'):
        parse_degrees("90", decimal_comma=False)


def test_an_area_is_written_as_for_hidden_area_without_its_surface() -> None:
    assert parse_joint_area("2 @ 1 1/2 x 2 + 4 in2", unit="in", decimal_comma=False) == 10
    with pytest.raises(ValueError, match="names a surface; write the area alone"):
        parse_joint_area("1 x 1 on edges", unit="in", decimal_comma=False)
