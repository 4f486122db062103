"""Hidden: what joints cover of the parts of a build, and what of it is glued."""

from estimator.reading.build import Build
from estimator.reading.parts import Part
from estimator.units import IN2_PER_FT2


def hidden_ft2(build: Build, part: Part, surface: str) -> float:
    """Return what joints hide of the `faces`, `edges` or `ends` of one piece, the mean of all pieces, in square feet.

    The part's own hidden area is that of a piece; the joints of joints.csv hide theirs on all pieces of a unit.
    """
    listed_in2 = sum(float(one.area_in2) for one in part.hidden if one.surface == surface)
    by_joints_in2 = sum(joint.hidden_in2(part.name, surface) for joint in build.joints)
    return (listed_in2 + by_joints_in2 / part.quantity) / IN2_PER_FT2


def glued_ft2(build: Build) -> float:
    """Return the area of the glued joints of one unit in square feet, each counted once, not on both its parts."""
    return sum(joint.joints * joint.area_in2 for joint in build.joints if joint.glued) / IN2_PER_FT2
