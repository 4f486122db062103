"""The area of one terrace chair that takes oil, face by face, with its joints listed part on part.

Every figure stands here as a pocket calculator gives it. cos 5 = 0.9961947, cos 8 = 0.9902681, tan 8 = 0.1405408,
tan 10 = 0.1763270, cos 10 = 0.9848078, cos 45 = 0.7071068.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from estimator.errors import Findings
from estimator.reading.build import Build, read_build
from estimator.reading.fields import name_key
from estimator.takeoff.areas import coated_area
from estimator.takeoff.hidden import glued_ft2
from estimator.units import IN2_PER_FT2

# What one joint hides, in square inches.
JOINTS = {
    "front leg to side rail": 12.296793,  # two faces 3.5 wide cross 5 degrees off square: 12.25 / 0.9961947
    "back leg to side rail": 12.370387,  # 8 degrees off: 12.25 / 0.9902681
    "apron to side rail": 5.25,  # an end, 3.5 x 1.5
    "bearer to apron": 5.25,
    "bearer to cross rail": 3.75,  # written: 2.5 x 1.5
    "cross rail to back leg": 3.75,  # an end, 2.5 x 1.5
    "stretcher to side rail": 2.25,  # 1.5 x 1.5
    "seat slat to side rail": 5.25,  # a face 3.5 wide on an edge 1.5 thick
    "seat slat to bearer": 5.25,
    "back slat to cross rail": 8.75,  # a face 3.5 wide on one 2.5 wide
    "cap to back slat": 2.625,  # an end, 3.5 x 0.75
    "arm to front leg": 5.270054,  # an end on the slant: 3.5 / 0.9961947 x 1.5 = 3.513369 x 1.5
    "arm to back leg": 3.534396,  # an edge 1 thick on a face 3.5 wide, 8 degrees off: 3.5 / 0.9902681
    "bracket to leg": 3.5,  # the square end, 3.5 x 1
    "bracket to arm": 5.5,  # an edge 1 thick on a face 5.5 wide
}

# Faces, edges and ends that take oil, of all pieces of a part.
AREAS = {
    # 2 x 22.75 x 3.5 = 159.25 - 12.296793 (rail) - 3.5 (bracket) = 143.453207; 2 x 22.75 x 1.5 = 68.25;
    # ends 2 x 5.270054, the upper one under the arm. Two legs.
    "Front leg": (286.906414, 136.5, 10.540108),
    # 2 x 31.25 x 3.5 = 218.75 - 12.370387 - 2 x 3.75 (cross rails) - 3.534396 (arm) = 195.345217;
    # 2 x 31.25 x 1.5 = 93.75; ends 2 x 3.534396 x 1.5 = 10.603189.
    "Back leg": (390.690434, 187.5, 21.206378),
    # Edges 19.5 and 19.5 - 3.5 x 0.1405408 = 19.008107, together 38.508107. Faces 38.508107 x 3.5 = 134.778375
    # - 12.296793 - 12.370387 - 5.25 (apron) - 2.25 (stretcher) = 102.611195; edges 38.508107 x 1.5 = 57.762161
    # - 5 x 5.25 (seat slats) = 31.512161; ends 5.25 + 3.534396 x 1.5 = 10.551595.
    "Side rail": (205.222390, 63.024322, 21.103190),
    # 2 x 19 x 3.5 = 133 - 5.25 (bearer); 2 x 19 x 1.5; both ends on the side rails.
    "Front apron": (127.75, 57, 0),
    # Edges 17.875 and 17.383107, together 35.258107. x 3.5 = 123.403375; x 1.5 = 52.887161 - 26.25; 10.551595 - 9.
    "Seat bearer": (123.403375, 26.637161, 1.551595),
    # 2 x 22 x 2.5 = 110 - 5 x 8.75 (back slats) = 66.25, two of them, the lower one - 3.75 (bearer);
    # 2 x 22 x 1.5 = 66; both ends on the back legs.
    "Back cross rail": (128.75, 132, 0),
    "Stretcher": (57, 57, 0),  # 2 x 19 x 1.5 twice; both ends on the side rails
    "Seat slat": (682.5, 217.5, 35),  # five: 2 x 21.75 x 3.5 - 3 x 5.25 = 136.5; 43.5; 7
    "Back slat": (638.75, 155.625, 13.125),  # five: 2 x 20.75 x 3.5 - 2 x 8.75 = 127.75; 31.125; 5.25 - 2.625 (cap)
    # 2 x (24.5 x 5.5 - 1.25 x 1.25) = 266.375 - 5.270054 (leg) - 5.5 (bracket) = 255.604946;
    # 2 x (24.5 - 1.25) x 1 = 46.5 - 3.534396 (back leg) = 42.965604; 5.5 + 3 + 2 x 1.767767 = 12.035534. Two arms.
    "Arm": (511.209892, 85.931208, 24.071068),
    # (5.5 + 2) x 3.5; (5.5 + 2) x 1 - 5.5 (arm); 3.5 / 0.7071068, the square end on the leg. Two brackets.
    "Arm bracket": (52.5, 4, 9.899495),
    # 2 x (22 - 3.5 x 0.1763270) x 3.5 = 149.679989 - 5 x 2.625; (44 - 2 x 0.617145) x 0.75; 2 x 3.5 / 0.9848078 x 0.75.
    "Back slat cap": (136.554989, 32.074283, 5.330990),
}


@cache
def chair() -> Build:
    findings = Findings()
    build = read_build(Path(__file__).parent / "terrace_chair", findings)
    assert not findings.faults
    assert not findings.notices
    return build


def test_what_each_joint_hides() -> None:
    assert {joint.joint: joint.area_in2 for joint in chair().joints} == pytest.approx(JOINTS, abs=2e-6)


@pytest.mark.parametrize("name", AREAS)
def test_area_of_each_part_face_by_face(name: str) -> None:
    (step,) = chair().finish
    area = coated_area(chair(), replace(step, parts=(name_key(name),)), 1)
    found = [IN2_PER_FT2 * one for one in (area.faces_ft2, area.edges_ft2, area.ends_ft2)]
    assert found == pytest.approx(AREAS[name], abs=1e-5)


def test_area_of_the_chair_and_of_its_glued_joints() -> None:
    # Faces 3341.237494, edges 1154.791974, ends 141.827824 in2, as the columns above add up; / 144.
    (step,) = chair().finish
    area = coated_area(chair(), step, 1)
    assert area.faces_ft2 == pytest.approx(23.203038, abs=1e-6)
    assert area.edges_ft2 == pytest.approx(8.019389, abs=1e-6)
    assert area.ends_ft2 == pytest.approx(0.984915, abs=1e-6)
    # Glued: 2 x 5.25 + 5.25 + 3.75 + 4 x 3.75 + 2 x 2.25 + 2 x 3.5 + 2 x 5.5 = 57 in2.
    assert glued_ft2(chair()) * IN2_PER_FT2 == pytest.approx(57)
