"""Areas: what surface a step covers, part by part, less what joints hide."""

from estimator.reading.build import Build
from estimator.reading.finish_steps import FinishStep, listed
from estimator.reading.parts import Coated, Part
from estimator.solid import Surfaces, surfaces
from estimator.takeoff.hidden import hidden_ft2


def coated_area(build: Build, step: FinishStep, units: int) -> Surfaces:
    """Return the area in square feet that a step covers on so many units of a build.

    A surface counts where both the part and the step name it, on the parts that the step covers. What joints hide is
    taken off when the finish goes on after assembly.
    """
    pieces = [_pieces_area(build, part, step.coated) for part in build.parts if step.covers(part)]
    return Surfaces(
        faces_ft2=units * sum(area.faces_ft2 for area in pieces),
        edges_ft2=units * sum(area.edges_ft2 for area in pieces),
        ends_ft2=units * sum(area.ends_ft2 for area in pieces),
    )


def covered_words(step: FinishStep, build: Build) -> str:
    """Return what a step covers in a few words: `all surfaces`, `end grain`, `faces and edges of Seat slat`.

    Parts are named, or those left out where they are fewer. `where coated` stands behind it where one of the parts is
    not coated on all that the step names.
    """
    covered = [part for part in build.parts if step.covers(part)]
    left_out = [part.name for part in build.parts if not step.covers(part)]
    words = {"all": "all surfaces", "none": "no surfaces"}.get(step.surface_words, step.surface_words)
    if len(covered) <= len(left_out):
        words += f" of {listed([part.name for part in covered])}"
    elif left_out:
        words += f" of all parts but {listed(left_out)}"
    return words if all(_takes_all_of(part, step.coated) for part in covered) else f"{words}, where coated"


def _takes_all_of(part: Part, coated: Coated) -> bool:
    has = part.coated
    return has.faces >= coated.faces and has.edges >= coated.edges and has.ends >= coated.ends


def _pieces_area(build: Build, part: Part, coated: Coated) -> Surfaces:
    """Return the coated area of all pieces of a part in one unit.

    Where one face of two is coated, joints lie on the other one as far as it has room: which face they lie on is not
    known, and so the can is not too small.
    """
    area = surfaces(part.shape)
    sides = {
        "faces": (area.faces_ft2 / 2, 2, min(part.coated.faces, coated.faces)),
        "edges": (area.edges_ft2, 1, int(part.coated.edges and coated.edges)),
        "ends": (area.ends_ft2, 1, int(part.coated.ends and coated.ends)),
    }
    left = {
        surface: part.quantity
        * open_ft2(side_ft2, of, coats, hidden_ft2(build, part, surface) if build.finish_after_assembly else 0.0)
        for surface, (side_ft2, of, coats) in sides.items()
    }
    return Surfaces(faces_ft2=left["faces"], edges_ft2=left["edges"], ends_ft2=left["ends"])


def open_ft2(side_ft2: float, sides: int, coated: int, hidden: float) -> float:
    """Return what of the coated sides, of so many of one size, joints leave open that lie on the others first."""
    return max(0.0, coated * side_ft2 - max(0.0, hidden - (sides - coated) * side_ft2)) if coated else 0.0
