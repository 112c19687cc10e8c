"""Rooms as they are drawn: in which one a spot lies, and whether a name stands in it, beside all, or in another one."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from dewpond.report.drawing.layout import Box

WALL: Final = 1.6  # half the width of its line, over which a name may reach [px]
NEAR: Final = 12.0  # a spot that lies no farther outside of a room is in it [px]
BESIDE: Final = 14.0  # so many pixels of distance is it worth that a name stands in its room, not beside all of them
ASTRIDE: Final = 120.0  # and not over a wall of it
STRANGE: Final = 250.0  # and in no other room
EDGE: Final = 0.5  # a spot that lies no farther from the edge of a thing is on it [px]
Point = tuple[float, float]
Shape = Sequence[Point]


class Rooms:
    """The outlines of all rooms [px]."""

    def __init__(self, shapes: Sequence[Shape]) -> None:
        self.shapes = tuple(tuple(shape) for shape in shapes)
        self.sides = [side for shape in self.shapes for side in _sides(shape)]

    def of(self, at: Point) -> int:
        """Number of the room in which a spot lies, or near to; -1: there is none."""
        for number, shape in enumerate(self.shapes):
            if inside(shape, at):
                return number
        return self.nearest(at, range(len(self.shapes)))

    def nearest(self, at: Point, those: Sequence[int]) -> int:
        """Number of that of some rooms of which a side is nearest to a spot; -1: none is near."""
        found = min(those, key=lambda number: _distance(self.shapes[number], at), default=-1)
        return found if found >= 0 and _distance(self.shapes[found], at) <= NEAR else -1

    def strange(self, box: Box, home: int) -> float:
        """How far from where it belongs a name stands [px]; 0: in its room, or it has none."""
        if home < 0:
            return 0.0
        small = Box(box.x + WALL, box.y + WALL, max(box.wide - 2 * WALL, 0.1), max(box.high - 2 * WALL, 0.1))
        met = [number for number, shape in enumerate(self.shapes) if _meets(shape, small)]
        if any(number != home for number in met):
            return STRANGE
        if not met:
            return BESIDE
        return 0.0 if _holds(self.shapes[home], small) else ASTRIDE


class Things:
    """What stands about in the rooms, from above, such as trays and vessels [px]."""

    def __init__(self, shapes: Sequence[Shape]) -> None:
        self.shapes = tuple(tuple(shape) for shape in shapes)

    def foreign(self, box: Box, spots: Sequence[Point]) -> int:
        """Of how many of them a name stands on some part that do not hold all of what it names, given by its spots."""
        small = Box(box.x + WALL, box.y + WALL, max(box.wide - 2 * WALL, 0.1), max(box.high - 2 * WALL, 0.1))
        return sum(_meets(shape, small) and not all(_within(shape, spot) for spot in spots) for shape in self.shapes)


def _within(shape: Shape, spot: Point) -> bool:
    """Whether a spot lies in a shape or on its edge."""
    return inside(shape, spot) or _distance(shape, spot) < EDGE


def inside(shape: Shape, spot: Point) -> bool:
    """Whether a spot lies in a shape."""
    x, y = spot
    found = False
    for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            found = not found
    return found


def hits(line: tuple[Point, Point], box: Box) -> bool:
    """Whether a straight line passes through the inside of a box (Liang and Barsky 1984)."""
    (x, y), (x2, y2) = line
    if max(x, x2) <= box.x or min(x, x2) >= box.right or max(y, y2) <= box.y or min(y, y2) >= box.bottom:
        return False
    low, high = 0.0, 1.0
    for start, way, least, most in ((x, x2 - x, box.x, box.right), (y, y2 - y, box.y, box.bottom)):
        if way == 0.0:
            if not least < start < most:
                return False
            continue
        one, two = sorted(((least - start) / way, (most - start) / way))
        low, high = max(low, one), min(high, two)
    return low < high - 1e-9


def _sides(shape: Shape) -> list[tuple[Point, Point]]:
    return list(zip(shape, (*shape[1:], shape[0]), strict=True))


def _holds(shape: Shape, box: Box) -> bool:
    return inside(shape, box.middle) and not any(hits(side, box) for side in _sides(shape))


def _meets(shape: Shape, box: Box) -> bool:
    return inside(shape, box.middle) or any(hits(side, box) for side in _sides(shape))


def _distance(shape: Shape, spot: Point) -> float:
    return min(_to_line(spot, one, two) for one, two in _sides(shape))


def _to_line(spot: Point, one: Point, two: Point) -> float:
    long = math.dist(one, two)
    if long == 0.0:
        return math.dist(spot, one)
    along = ((spot[0] - one[0]) * (two[0] - one[0]) + (spot[1] - one[1]) * (two[1] - one[1])) / long**2
    along = min(max(along, 0.0), 1.0)
    return math.dist(spot, (one[0] + along * (two[0] - one[0]), one[1] + along * (two[1] - one[1])))
