from fractions import Fraction
from math import cos, hypot, radians, tan
from random import Random

import pytest
from shapely import Polygon, affinity, box

from estimator.reading.overlap import (
    Contact,
    breadth_and_length_in,
    end_area_in2,
    ends_differ,
    is_tapered_end,
    overlap_in2,
)
from estimator.solid import Clip, Shape, Taper, surfaces

SEEDS = range(20)
CASES = range(20)  # of each seed
HAIR_IN = 1e-7


def board(length: float, width: float, thickness: float = 1, *, mitre: float = 0, bevel: float = 0) -> Shape:
    """A board with its left end cut so, and its right end square."""
    length_in, width_in, thickness_in, mitre_degrees, bevel_degrees = map(
        Fraction, (length, width, thickness, mitre, bevel)
    )
    return Shape(
        length_in=length_in,
        width_in=width_in,
        thickness_in=thickness_in,
        left_degrees=mitre_degrees,
        left_bevel_degrees=bevel_degrees,
    )


def strip(breadth: float, length: float) -> Polygon:
    return box(-length / 2, -breadth / 2, length / 2, breadth / 2)


def sixteenths(random: Random, low: int, high: int) -> float:
    return random.randint(low * 16, high * 16) / 16


@pytest.mark.parametrize("seed", SEEDS)
def test_two_strips_that_cross_hide_what_their_polygons_have_in_common(seed: int) -> None:
    random = Random(seed)  # noqa: S311 - cases for a test, no secret
    for _ in CASES:
        breadth, other_breadth = sixteenths(random, 1, 6), sixteenths(random, 1, 6)
        length, other_length = sixteenths(random, 6, 40), sixteenths(random, 6, 40)
        degrees = Fraction(random.randint(-750, 750), 10)
        found = overlap_in2(
            Contact(shape=board(length, breadth), surface="face"),
            Contact(shape=board(other_length, 7, other_breadth), surface="edge"),
            degrees,
        )
        across = affinity.rotate(strip(other_breadth, other_length), 90 - float(degrees), origin=(0, 0))
        common = strip(breadth, length).intersection(across).area
        if found is None:  # one of the strips ends within the crossing, so that they have less in common
            assert common < breadth * other_breadth / cos(radians(float(degrees))) - HAIR_IN
        else:
            assert common == pytest.approx(found, rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_turned_end_in_a_strip_is_hidden_where_its_polygon_lies_within(seed: int) -> None:
    random = Random(seed)  # noqa: S311 - cases for a test, no secret
    for _ in CASES:
        mitre = random.choice((0, 0, 5, 8, 15, 45))
        width, thickness = sixteenths(random, 1, 6), sixteenths(random, 1, 3)
        breadth, length = sixteenths(random, 1, 6), sixteenths(random, 3, 20)
        degrees = random.choice((0, 0, random.randint(1, 750) / 10))
        found = overlap_in2(
            Contact(shape=board(20, width, thickness, mitre=mitre), surface="left end"),
            Contact(shape=board(length, breadth), surface="face"),
            Fraction(degrees),
        )
        end = strip(thickness, width / cos(radians(mitre)))
        room = strip(breadth, length)
        ways = [affinity.rotate(end, degrees + square, origin=(0, 0)) for square in (0, 90)]
        fits = any(room.buffer(HAIR_IN, join_style="mitre").covers(way) for way in ways)
        assert (found is not None) == fits
        if found is not None:
            assert max(room.intersection(way).area for way in ways) == pytest.approx(found, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_compound_end_measures_what_the_polygon_of_its_four_corners_does(seed: int) -> None:
    random = Random(seed)  # noqa: S311 - cases for a test, no secret
    for _ in CASES:
        width, thickness = sixteenths(random, 1, 6), sixteenths(random, 1, 3)
        mitre, bevel = random.randint(-45, 45), random.randint(-45, 45)
        end = Contact(shape=board(60, width, thickness, mitre=mitre, bevel=bevel), surface="left end")
        # Its two sides, in the plane x = y tan(mitre) + z tan(bevel); laid flat with the longer one along.
        across, through = (width * tan(radians(mitre)), width, 0.0), (thickness * tan(radians(bevel)), 0.0, thickness)
        first, second = sorted((across, through), key=lambda side: hypot(*side), reverse=True)
        along = sum(a * b for a, b in zip(first, second, strict=True)) / hypot(*first)
        flat = Polygon(
            [
                (0, 0),
                (hypot(*first), 0),
                (hypot(*first) + along, (hypot(*second) ** 2 - along**2) ** 0.5),
                (along, (hypot(*second) ** 2 - along**2) ** 0.5),
            ]
        )
        left, below, right, above = flat.bounds
        assert end_area_in2(end) == pytest.approx(flat.area, rel=1e-9)
        assert breadth_and_length_in(end) == pytest.approx((above - below, right - left), rel=1e-9)


def test_both_ends_are_all_the_ends_that_a_piece_has() -> None:
    shape = Shape(
        length_in=Fraction(20),
        width_in=Fraction(7, 2),
        thickness_in=Fraction(3, 2),
        left_degrees=Fraction(8),
        right_degrees=Fraction(-15),
        left_bevel_degrees=Fraction(10),
    )
    ends = [end_area_in2(Contact(shape=shape, surface=surface)) for surface in ("left end", "right end")]
    assert sum(ends) == pytest.approx(surfaces(shape).ends_ft2 * 144)


def test_an_end_lies_the_way_it_fits_and_of_two_ends_the_smaller_counts() -> None:
    rail_end = Contact(shape=board(11, 2.5, 1.5), surface="end")
    leg_edge, slat_edge = board(17, 3.5, 1.5), board(14, 3.5, 0.75)
    assert overlap_in2(rail_end, Contact(shape=leg_edge, surface="edge"), Fraction(0)) == pytest.approx(3.75)
    assert overlap_in2(Contact(shape=leg_edge, surface="edge"), rail_end, Fraction(0)) == pytest.approx(3.75)
    assert overlap_in2(rail_end, Contact(shape=slat_edge, surface="edge"), Fraction(0)) is None
    # 3 1/2 x 1 1/2 on 2 1/2 x 1 1/2, named either way round.
    post = Contact(shape=leg_edge, surface="end")
    assert overlap_in2(post, rail_end, Fraction(0)) == overlap_in2(rail_end, post, Fraction(0)) == pytest.approx(3.75)


def test_clipped_corners_are_left_out() -> None:
    clip = Clip(corner="top left", along_in=Fraction(1), across_in=Fraction(1))
    clipped = Shape(length_in=Fraction(10), width_in=Fraction(3), thickness_in=Fraction(1), clips=(clip,))
    assert end_area_in2(Contact(shape=clipped, surface="left end")) == pytest.approx(3)


def test_ends_that_differ_or_are_tapered_are_known() -> None:
    mitred, parallel = (
        board(20, 3, mitre=5),
        Shape(
            length_in=Fraction(20),
            width_in=Fraction(3),
            thickness_in=Fraction(1),
            left_degrees=Fraction(5),
            right_degrees=Fraction(-5),
        ),
    )
    taper = Taper(end="right", side="top edge", depth_in=Fraction(1), length_in=Fraction(8))
    tapered = Shape(length_in=Fraction(20), width_in=Fraction(3), thickness_in=Fraction(1), tapers=(taper,))
    assert ends_differ(Contact(shape=mitred, surface="end"))
    assert ends_differ(Contact(shape=tapered, surface="end"))
    assert not ends_differ(Contact(shape=parallel, surface="end"))
    assert not ends_differ(Contact(shape=mitred, surface="left end"))
    assert is_tapered_end(Contact(shape=tapered, surface="right end"))
    assert not is_tapered_end(Contact(shape=tapered, surface="left end"))
    assert not is_tapered_end(Contact(shape=tapered, surface="face"))
