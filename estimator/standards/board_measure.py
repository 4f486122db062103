"""Board measure: board feet by nominal size, and surface measure for lumber of random width.

The arithmetic is exact; what a yard rounds, and when, is for the shop's settings to say.
"""

from fractions import Fraction
from math import floor

# Source: GNU Units 3.22 database (boardfoot = ft^2 inch; inch = 25.4 mm exactly).
BOARD_FOOT_IN3 = 144
BOARD_FOOT_FT3 = Fraction(1, 12)
BOARD_FOOT_M3 = BOARD_FOOT_IN3 * Fraction("0.0254") ** 3

_LEAST_THICKNESS_IN = 1


def board_feet(
    *, thickness_in: Fraction | int, width_in: Fraction | int, length_ft: Fraction | int, pieces: int = 1
) -> Fraction:
    """Return board feet of lumber of a fixed width, from its nominal thickness and width.

    Stock under 1 in thick is measured as 1 in thick.
    Source: US Navy, Engineering Aid Basic, training manual, lumber chapter (copy at tpub.com, engbas 6-3).
    """
    return Fraction(pieces) * _counted_thickness_in(thickness_in) * width_in * length_ft / 12


def surface_measure_ft2(*, width_in: Fraction | int, length_ft: Fraction | int) -> int:
    """Return the surface measure of one board in whole square feet, as hardwood of random width is tallied.

    The width counts with its fraction, the length drops any fraction of a foot, the product is rounded to the nearest
    whole square foot. A half is rounded up here: common practice, no source (some graders alternate).
    Source: B. Sabastina, hardwood grading article on the NHLA method (1998), reproduced at goodwoodcorp.com.
    """
    return floor(Fraction(width_in) * floor(length_ft) / 12 + Fraction(1, 2))


def board_feet_random_width(
    *, thickness_in: Fraction | int, width_in: Fraction | int, length_ft: Fraction | int, pieces: int = 1
) -> Fraction:
    """Return board feet of boards of random width: surface measure of each board times its thickness, at least 1 in.

    Source: as for `surface_measure_ft2`.
    """
    surface_ft2 = surface_measure_ft2(width_in=width_in, length_ft=length_ft)
    return pieces * surface_ft2 * _counted_thickness_in(thickness_in)


def _counted_thickness_in(thickness_in: Fraction | int) -> Fraction:
    return max(Fraction(thickness_in), Fraction(_LEAST_THICKNESS_IN))
