"""Areas: what surface a step covers, part by part, less what joints hide."""

from estimator.reading.build import Build
from estimator.reading.finish_steps import FinishStep
from estimator.reading.parts import Coated, Part
from estimator.solid import Surfaces, surfaces


def coated_area(build: Build, step: FinishStep, units: int) -> Surfaces:
    """Return the area in square feet that a step covers on so many units of a build.

    A surface counts where both the part and the step name it, on the parts that the step covers. What joints hide is
    taken off when the finish goes on after assembly.
    """
    hide = build.finish_after_assembly
    pieces = [_piece_area(part, step.coated, hide=hide) for part in build.parts if step.covers(part)]
    return Surfaces(
        faces_ft2=units * sum(area.faces_ft2 for area in pieces),
        edges_ft2=units * sum(area.edges_ft2 for area in pieces),
        ends_ft2=units * sum(area.ends_ft2 for area in pieces),
    )


def _piece_area(part: Part, coated: Coated, *, hide: bool) -> Surfaces:
    """Return the coated area of all pieces of a part in one unit; hidden area counts in step with coated faces."""
    area = surfaces(part.shape)
    faces = min(part.coated.faces, coated.faces) / 2
    shares = {
        "faces": faces,
        "edges": float(part.coated.edges and coated.edges),
        "ends": float(part.coated.ends and coated.ends),
    }
    whole = {"faces": area.faces_ft2, "edges": area.edges_ft2, "ends": area.ends_ft2}
    left = {
        surface: max(
            0.0,
            part.quantity
            * shares[surface]
            * (
                whole[surface]
                - (sum(float(h.area_in2) for h in part.hidden if h.surface == surface) / 144 if hide else 0)
            ),
        )
        for surface in whole
    }
    return Surfaces(faces_ft2=left["faces"], edges_ft2=left["edges"], ends_ft2=left["ends"])
