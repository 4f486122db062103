"""How much the pieces of one row can overlap at most, worked out without laying the row.

Ends are points on rays that start at square: an end that leans by s lies s from the start. Two neighbours overlap by
half of what both lean, less half of how far their points are apart. A row between the square ends of its board is thus
a round trip over all its pieces, each a link between its two points, and it overlaps most where the ways from link to
link are shortest in all. Each stretch between neighbouring points has to be walked by as many as are left over when
the ends beyond it meet in pairs, the odd one at least. What then hangs together only in parts is joined by walking the
shortest stretches that nobody walks, there and back. A trip that walks just these exists, since it meets every point
evenly often (Euler), so none is shorter. (A rural postman on a tree, from memory; the algebra is our own.)

In a plane where no piece can be turned to lean the other way each side is a ray; else both sides are one. Ends are of
three sorts. Of a piece that cannot be turned, a right end meets left ends only. Of one that leans the other way when it
is turned end for end, an end that leans up on the right leans down on the left, so it meets only ends that do the
reverse. All others meet any.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from estimator.buying.cutting.job import SQUARE, End, Ends

Ways = frozenset[Ends]
Pieces = tuple[tuple[Ways, int], ...]  # leaning pieces of one row: the ways to lie, and how many lie so
Planes = frozenset[int]


class Point(NamedTuple):
    """Where an end lies: its plane, the side it leans to or 0 where both sides are one ray, and how far out."""

    plane: int
    side: int
    out: int


START = Point(0, 0, 0)


class Tip(NamedTuple):
    """An end of a link: its point, and its sort: 1 and -1 meet each other only, 0 meets any."""

    point: Point
    sort: int = 0


Link = tuple[Tip, Tip]


def most_overlap(pieces: Pieces, last: End = SQUARE) -> int:
    """Return what the pieces of a row overlap at most, behind an end that is there already; no row overlaps more."""
    turning = turning_planes(pieces)
    links = [(link_of(ways, turning), count) for ways, count in pieces]
    if any(link is None for link, _ in links):
        return (abs(last.offset) + sum(count * most_leaning(ways) for ways, count in pieces)) // 2
    known = [(link, count) for link, count in links if link is not None]
    return round_trip([*known, ((tip(last, turning, 1, fixed=True), Tip(START)), 1)])


def is_reached(pieces: Pieces) -> bool:
    """Whether it is known that some row of the pieces overlaps as much as `most_overlap` says.

    So it is where no piece can be turned, and where each can be met at both ends and no two sorts lie in one plane.
    """
    if all(len(ways) == 1 for ways, _ in pieces):
        return True
    turning = turning_planes(pieces)
    sorts: set[tuple[int, bool]] = set()
    for ways, _ in pieces:
        link = link_of(ways, turning)
        if link is None or not {near for near, _ in ways}.issuperset(near for one in link for near in nears(one)):
            return False
        if not suits_any(link):
            sorts.update((one.point.plane, one.sort == 0) for one in link if one.point.out)
    return len(sorts) == len(dict(sorts))


def suits_any(link: Link) -> bool:
    """Whether a piece can stand between any two ends that meet: its own are one of each sort at one point."""
    return link[0].point == link[1].point and link[0].sort * link[1].sort < 0


def round_trip(links: Sequence[tuple[Link, int]]) -> int:
    """Return the overlaps on the shortest round trip over links, each so many times, that meets the start too."""
    groups = Groups()
    tips: Counter[Tip] = Counter()
    for link, count in links:
        groups.join(link[0].point, link[1].point)
        for one in link:
            tips[one] += count
    walked, unwalked = 0, []
    for ray in {one.point[:2] for one in tips if one.point.out}:
        beyond = {1: 0, -1: 0, 0: 0}
        points = sorted({one.point for one in tips if one.point.out and one.point[:2] == ray}, reverse=True)
        for far, near in pairwise([*points, START]):
            for sort in beyond:
                beyond[sort] += tips[Tip(far, sort)]
            walkers = max(abs(beyond[1] - beyond[-1]) - beyond[0], sum(beyond.values()) % 2)
            walked += walkers * (far.out - near.out)
            if walkers:
                groups.join(far, near)
            else:
                unwalked.append((far.out - near.out, far, near))
    walked += sum(2 * stretch for stretch, far, near in sorted(unwalked) if groups.join(far, near))
    return (sum(one.point.out * count for one, count in tips.items()) - walked) // 2


class Groups:
    """Points that hang together."""

    def __init__(self) -> None:
        self._parent: dict[Point, Point] = {}

    def join(self, one: Point, other: Point) -> bool:
        """Put two points into one group; whether they were in two."""
        first, second = self._root(one), self._root(other)
        self._parent[first] = second
        return first != second

    def _root(self, point: Point) -> Point:
        while (parent := self._parent.get(point, point)) != point:
            point = parent
        return point


def turning_planes(pieces: Pieces) -> Planes:
    """Return the planes in which some piece can be turned to lean the other way."""
    return frozenset().union(*(planes_turned(ways) for ways, _ in pieces))


@cache
def planes_turned(ways: Ways) -> Planes:
    """Return the planes in which a piece leans otherwise in some ways to lie than in others."""
    planes = {end.plane for ends in ways for end in ends}
    return frozenset(
        plane
        for plane in planes
        if len({tuple(sorted(end for end in ends if end.plane == plane)) for ends in ways}) > 1
    )


@cache
def link_of(ways: Ways, turning: Planes) -> Link | None:
    """Return what a piece links, of no sort where its ways differ in that; None where they differ in the points."""
    fixed = len(ways) == 1
    links = {in_order(tip(left, turning, -1, fixed=fixed), tip(right, turning, 1, fixed=fixed)) for left, right in ways}
    if len(links) > 1:
        links = {in_order(Tip(one.point), Tip(other.point)) for one, other in links}
    return links.pop() if len(links) == 1 else None


def tip(end: End, turning: Planes, side: int, *, fixed: bool) -> Tip:
    """Return the end of a link for an end on the left (-1) or the right (1) of its piece, which may lie fixed."""
    if not end.offset:
        return Tip(START)
    leans = 1 if end.offset > 0 else -1
    if end.plane in turning:
        return Tip(Point(end.plane, 0, abs(end.offset)), side * leans)
    return Tip(Point(end.plane, leans, abs(end.offset)), side if fixed else 0)


def in_order(one: Tip, other: Tip) -> Link:
    """Return two ends of a link in an order of their own."""
    return (one, other) if one <= other else (other, one)


def nears(one: Tip) -> tuple[End, ...]:
    """Return all the ways an end may have to lean when it is the one that a row meets first."""
    point, sort = one
    if not point.out:
        return (SQUARE,)
    sides = (point.side,) if point.side else (-sort,) if sort else (1, -1)
    return tuple(End(side * point.out, point.plane) for side in sides)


def most_leaning(ways: Iterable[Ends]) -> int:
    """Return what both ends of a piece lean at most together."""
    return max(abs(left.offset) + abs(right.offset) for left, right in ways)
