"""Where names stand in a drawing: as near as they may, on no other name or sign, and off the lines where there is room.

Names that stand away from what they name are joined to it by a thin line. What finds no room at all is handed back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Any, Final

import numpy as np

from dewpond.report.drawing.ink import number as _n
from dewpond.report.drawing.layout import BOLD, Box, text_width, wrapped

STEP: Final = 1.2  # from line to line, in sizes of a letter
RISE: Final = 0.93  # of the first line's foot below the top of its box, in sizes of a letter
AIR: Final = 1.5  # between two boxes [px]
RINGS: Final = (2.0, 9.0, 17.0, 27.0, 40.0, 56.0, 76.0, 100.0)  # distances from a sign that are tried [px]
JOINED: Final = 8.0  # from this distance on a line joins name and sign [px]
DIRECTIONS: Final = 16
COVERED: Final = 3.0  # how many pixels of distance one sample of a line below a name is worth
CROSSED: Final = 60.0  # a leading line over another one
THROUGH: Final = 400.0  # a leading line through a name or a sign
LATTICE: Final = 7.0  # of the search where nothing near is free [px]
Point = tuple[float, float]


@dataclass(frozen=True)
class Name:
    """A text to place. ``sort`` is what it names; ``tag`` which one of them."""

    text: str
    sort: str
    tag: int
    size: float
    bold: bool = False
    ink: str = "black"
    wide: float = 130.0  # where its lines are broken [px]

    def lines(self) -> list[str]:
        """As they stand below each other."""
        return wrapped(self.text, self._letter, self.wide)

    @property
    def _letter(self) -> float:
        return self.size * (BOLD if self.bold else 1.0)

    def extent(self) -> tuple[float, float]:
        """Width and height that it will not exceed [px]."""
        lines = self.lines()
        return max(text_width(line, self._letter) for line in lines), STEP * self.size * len(lines)


@dataclass(frozen=True)
class Put:
    """A text in its place: its box, how its lines are set ("start", "middle", "end"), and the line that joins it."""

    name: Name
    box: Box
    anchor: str
    leader: tuple[Point, Point] | None = None


class Places:
    """The ground on which names are put, one after the other: what comes first has the choice."""

    def __init__(self, ground: Box) -> None:
        self.ground = ground
        self.taken: list[Box] = []
        self.leaders: list[tuple[Point, Point]] = []
        self.put: list[Put] = []
        self.lost: list[Name] = []
        self.drawn: Any = np.zeros((0, 2))

    def avoid(self, points: Any) -> None:
        """Samples of lines on which names should not lie, shape (points, 2)."""
        if len(points):
            self.drawn = np.vstack([self.drawn, points])

    def beside(self, name: Name, spots: Sequence[Point], reach: float, other: Name | None = None) -> bool:
        """Put a name beside one of its signs, which reach so far from their middles [px]. Where no spot near them is
        clear, the ``other``, shorter one, stands there: whether it did not come to that. Without another one it goes
        wherever there is room."""
        offers = [offer for at in spots for offer in _round(name, at, reach)]
        if self._best(offers, CROSSED if other else THROUGH):
            return True
        if other:
            self.beside(other, spots, reach)
            return False
        self._anywhere(name, spots[0], reach)
        return True

    def over(self, name: Name, spots: Iterable[Point]) -> bool:
        """Put a name over the best of some spots, the first ones being a little better; whether there is one."""
        wide, high = name.extent()
        boxes = [Box(x - wide / 2, y - high / 2, wide, high) for x, y in spots]
        return self._best([(0.1 * k, Put(name, box, "middle")) for k, box in enumerate(boxes)])

    def _best(self, offers: list[tuple[float, Put]], most: float = THROUGH) -> bool:
        """Keep the best of some offers, each with how far it is; whether there is one that costs less than ``most``
        apart from what lies below it."""
        found: tuple[float, Put] | None = None
        for far, put in offers:
            if (found is not None and far >= found[0]) or not self._free(put.box):
                continue
            led = far + self._led_over(put)
            cost = led + self._covered(put.box)
            if led < most and (found is None or cost < found[0]):
                found = cost, put
        if found is None:
            return False
        self._keep(found[1])
        return True

    def _anywhere(self, name: Name, at: Point, reach: float) -> None:
        """The free spot that is nearest, wherever it is; a leading line may cross what it must."""
        wide, high = name.extent()
        ground = self.ground
        boxes = [
            Box(ground.x + column * LATTICE, ground.y + row * LATTICE, wide, high)
            for row in range(int((ground.high - high) / LATTICE) + 1)
            for column in range(int((ground.wide - wide) / LATTICE) + 1)
        ]
        found: tuple[float, Put] | None = None
        for far, box in sorted(((math.dist(box.middle, at), box) for box in boxes), key=lambda one: one[0]):
            if found is not None and far >= found[0]:
                break
            if self._free(box):
                put = _led(name, box, at, reach)
                cost = far + self._led_over(put) + self._covered(box)
                if found is None or cost < found[0]:
                    found = cost, put
        if found is None:
            self.lost.append(name)
        else:
            self._keep(found[1])

    def _keep(self, put: Put) -> None:
        self.put.append(put)
        self.taken.append(put.box)
        if put.leader:
            self.leaders.append(put.leader)

    def _free(self, box: Box) -> bool:
        ground = self.ground
        inside = ground.x <= box.x and ground.y <= box.y and box.right <= ground.right and box.bottom <= ground.bottom
        return inside and not any(meet(box, other, AIR) for other in self.taken) and not any(
            _hits(line, box) for line in self.leaders
        )  # fmt: skip

    def _covered(self, box: Box) -> float:
        at = self.drawn
        under = (at[:, 0] > box.x) & (at[:, 0] < box.right) & (at[:, 1] > box.y) & (at[:, 1] < box.bottom)
        return COVERED * float(under.sum())

    def _led_over(self, put: Put) -> float:
        """What a leading line crosses."""
        if put.leader is None:
            return 0.0
        crossed = CROSSED * sum(_cross(put.leader, other) for other in self.leaders)
        return crossed + THROUGH * any(_hits(put.leader, other) for other in self.taken)


def meet(one: Box, two: Box, air: float = 0.0) -> bool:
    """Whether two boxes come nearer to each other than so much [px]."""
    return one.x < two.right + air and two.x < one.right + air and one.y < two.bottom + air and two.y < one.bottom + air


def _round(name: Name, at: Point, reach: float) -> Iterator[tuple[float, Put]]:
    """Boxes round a sign, the nearest first, those to the right of it before the others."""
    wide, high = name.extent()
    for ring in RINGS:
        for k in range(DIRECTIONS):
            turn = 2.0 * math.pi * k / DIRECTIONS
            x, y = math.cos(turn), math.sin(turn)
            middle = at[0] + x * (reach + ring + wide / 2), at[1] + y * (reach + ring + high / 2)
            box = Box(middle[0] - wide / 2, middle[1] - high / 2, wide, high)
            yield ring + 0.2 * abs(y) - 0.1 * x, _led(name, box, at, reach)


def _led(name: Name, box: Box, at: Point, reach: float) -> Put:
    """A name in a box, set towards its sign, and joined to it where it is not quite near."""
    end = min(max(at[0], box.x), box.right), min(max(at[1], box.y), box.bottom)
    far = math.dist(end, at)
    anchor = "start" if box.x > at[0] else "end" if box.right < at[0] else "middle"
    if far < reach + JOINED:
        return Put(name, box, anchor)
    share = reach / far
    start = at[0] + share * (end[0] - at[0]), at[1] + share * (end[1] - at[1])
    return Put(name, box, anchor, (start, end))


def _hits(line: tuple[Point, Point], box: Box) -> bool:
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


def _cross(one: tuple[Point, Point], two: tuple[Point, Point]) -> bool:
    def side(a: Point, b: Point, c: Point) -> bool:
        return (b[0] - a[0]) * (c[1] - a[1]) > (b[1] - a[1]) * (c[0] - a[0])

    (a, b), (c, d) = one, two
    return side(a, c, d) != side(b, c, d) and side(a, b, c) != side(a, b, d)


def within(shape: list[tuple[float, float]], name: Name) -> list[tuple[float, float]]:
    """Spots in a shape at which a name may stand, from its upper left corner on."""
    wide, high = name.extent()
    left, right = min(x for x, _ in shape), max(x for x, _ in shape)
    top, bottom = min(y for _, y in shape), max(y for _, y in shape)
    found = []
    for y in np.arange(top + high / 2 + 5.0, bottom - high / 2 - 2.0, 6.0):
        for x in np.arange(left + wide / 2 + 5.0, right - wide / 2 - 2.0, 6.0):
            corners = [(x + a * wide / 2, y + b * high / 2) for a in (-1, 1) for b in (-1, 1)]
            if all(_inside(shape, corner) for corner in corners):
                found.append((float(x), float(y)))
    return found


def _inside(shape: list[tuple[float, float]], spot: tuple[float, float]) -> bool:
    x, y = spot
    found = False
    for (x1, y1), (x2, y2) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            found = not found
    return found


def written(put: Put) -> str:
    """A name with a white rim, and the line that joins it to what it names."""
    name, box = put.name, put.box
    x = {"start": box.x, "middle": box.middle[0], "end": box.right}[put.anchor]
    weight = ' font-weight="bold"' if name.bold else ""
    lines = name.lines()
    spans = "".join(
        f'<tspan x="{_n(x)}" y="{_n(box.y + name.size * (RISE + STEP * k))}">{escape(line)}</tspan>'
        for k, line in enumerate(lines)
    )
    text = (
        f'<text class="{name.sort}" data-tag="{name.tag}" font-size="{_n(name.size)}"'
        f' text-anchor="{put.anchor}"{weight} '
        f'fill="{name.ink}" stroke="white" stroke-width="3" stroke-linejoin="round" paint-order="stroke">{spans}</text>'
    )
    if put.leader is None:
        return text
    (x1, y1), (x2, y2) = put.leader
    return f'<path class="leader" d="M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}" stroke="black" stroke-width="0.7"/>{text}'
