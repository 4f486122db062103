import json
import shutil
from collections.abc import Callable
from pathlib import Path
from subprocess import CompletedProcess

ROOT = Path(__file__).parents[2]
JOINTS = """\
joint,part,surface,on_part,on_surface,joints,glued
apron to leg,Apron,end,Leg,face,8,yes
slat to apron,Slat,face,Apron,edge,2,
"""


def test_the_take_off_shows_how_parts_meet_and_what_that_hides(
    estimator: Callable[..., CompletedProcess[str]], tmp_path: Path
) -> None:
    order = tmp_path / "stands"
    shutil.copytree(ROOT / "tests" / "hand_worked" / "plant_stands", order)
    parts = order / "plant_stand" / "parts.csv"
    listed_once = parts.read_text(encoding="utf-8").replace("hidden_area", "remark")
    parts.write_text(listed_once, encoding="utf-8")
    (order / "plant_stand" / "joints.csv").write_text(JOINTS, encoding="utf-8")
    (order / "plant_stand" / "hardware.csv").unlink()
    shown = estimator("takeoff", order).stdout
    # An apron's end is 1 1/2 x 3/4 in; a slat 3 1/2 wide lies on its edge, 3/4 thick.
    assert "apron to leg   end of Apron on face of Leg, glued       8  1.12 in2" in shown
    assert "slat to apron  face of Slat on edge of Apron            2  2.62 in2" in shown
    (build,) = json.loads(estimator("takeoff", order, "--json").stdout)["builds"]
    assert [(joint["joint"], joint["joints_in_one_unit"], joint["hides_ft2"]) for joint in build["joints"]] == [
        ("apron to leg", 8, 0.007812),
        ("slat to apron", 2, 0.018229),
    ]
