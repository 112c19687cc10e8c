"""Where names stand in a drawing: as near as they may, on no other name or sign, and off the lines where there is room.

Names that stand away from what they name are joined to it by a thin line. What finds no room at all is handed back.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from html import escape
from typing import Any, Final

import numpy as np

from dewpond.report.drawing.ink import number as _n
from dewpond.report.drawing.layout import BOLD, Box, text_width, wrapped
from dewpond.report.drawing.rooms import STRANGE, Rooms, Things, hits, inside

STEP: Final = 1.2  # from line to line, in sizes of a letter
RISE: Final = 0.93  # of the first line's foot below the top of its box, in sizes of a letter
AIR: Final = 1.5  # between two boxes [px]
RINGS: Final = (2.0, 9.0, 17.0, 27.0, 40.0, 56.0, 76.0, 100.0)  # distances from a sign that are tried [px]
JOINED: Final = 8.0  # from this distance on a line joins name and sign [px]
DIRECTIONS: Final = 16
COVERED: Final = 3.0  # how many pixels of distance one sample of a line below a name is worth
LINE: Final = 6.0  # and one more line of a name
BROKEN: Final = (130.0, 75.0, 50.0)  # where the lines of a name are broken, as far as that helps [px]
MOST_LINES: Final = 3  # of a name that is broken for want of room
CROSSED: Final = 60.0  # a leading line over another one
WALLED: Final = 20.0  # and over a wall
NEARBY: Final = 100.0  # a name that costs more makes way for a letter, beside a sign or in a shape
THROUGH: Final = 400.0  # a leading line through a name or a sign
FOREIGN: Final = 120.0  # a name on a thing, such as a vessel, that does not hold what it names
MISREAD: Final = 40.0  # a name so near to the sign of something else that it reads as the name of that
READ_AS: Final = 14.0  # as it does from there on beside it [px]
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
    wide: float = BROKEN[0]  # where its lines are broken [px]

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

    def __init__(self, ground: Box, rooms: Rooms, things: Things | None = None) -> None:
        self.ground, self.rooms, self.things = ground, rooms, things or Things(())
        self.signs: list[Box] = []
        self.taken: list[Box] = []
        self.leaders: list[tuple[Point, Point]] = []
        self.put: list[Put] = []
        self.lost: list[Name] = []
        self.drawn: Any = np.zeros((0, 2))

    def avoid(self, points: Any) -> None:
        """Samples of lines on which names should not lie, shape (points, 2)."""
        if len(points):
            self.drawn = np.vstack([self.drawn, points])

    def sign(self, boxes: Iterable[Box]) -> None:
        """Signs that are drawn: no name stands on them, and one of something else not right beside them."""
        new = list(boxes)
        self.signs += new
        self.taken += new

    def _misread(self, box: Box, spots: Sequence[Point]) -> float:
        """What it costs that a name reads as that of something else: on a thing, or beside a sign."""
        cost = FOREIGN * self.things.foreign(box, spots)
        for sign in self.signs:
            own = any(math.dist(sign.middle, at) < sign.wide / 2 for at in spots)
            if not own and meet(replace(sign, x=sign.x - READ_AS, wide=sign.wide + 2 * READ_AS), box):
                cost += MISREAD
        return cost

    def beside(
        self, name: Name, spots: Sequence[Point], reach: float, other: Name | None = None, most: float = THROUGH,
        home: int | None = None, leads: bool = True,
    ) -> bool:  # fmt: skip
        """Put a name beside one of its signs, which reach so far from their middles [px]. Where no spot near them costs
        less than ``most``, the ``other``, shorter one, stands there: whether it did not come to that. Without another
        one it goes wherever there is room.

        It stands in the room of its sign (``home``; left out: that in which the sign lies), else a line leads to it,
        unless none ever does (``leads``)."""
        offers: list[tuple[float, Put]] = []
        for at in spots:
            room = self.rooms.of(at) if home is None else home
            for far, put in _round(name, at, reach):
                strange = self.rooms.strange(put.box, room)
                if strange < STRANGE and (not strange or put.leader or not leads):
                    offers.append((far + strange + self._misread(put.box, spots), put))
        if self._best(offers, most):
            return True
        if other:
            self.beside(other, spots, reach, home=home)
            return False
        self._anywhere(name, spots, reach, home)
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

    def _anywhere(self, name: Name, spots: Sequence[Point], reach: float, home: int | None) -> None:
        """The free spot that is nearest, wherever it is; a leading line may cross what it must."""
        rooms = {at: self.rooms.of(at) if home is None else home for at in spots}
        offers = [
            (math.dist(box.middle, at) + LINE * number, one, box, at)
            for number, one in enumerate(broken(name))
            for box in self._lattice(one)
            for at in (min(spots, key=lambda spot, box=box: math.dist(box.middle, spot)),)  # type: ignore[misc]
        ]
        found: tuple[float, Put] | None = None
        for far, one, box, at in sorted(offers, key=lambda offer: offer[0]):
            if found is not None and far >= found[0]:
                break
            put, strange = _led(one, box, at, reach), self.rooms.strange(box, rooms[at])
            if (put.leader or not strange) and self._free(box):
                cost = far + strange + self._misread(box, spots) + self._led_over(put) + self._covered(box)
                if found is None or cost < found[0]:
                    found = cost, put
        if found is None:
            self.lost.append(name)
        else:
            self._keep(found[1])

    def _lattice(self, name: Name) -> Iterator[Box]:
        wide, high = name.extent()
        ground = self.ground
        for row in range(int((ground.high - high) / LATTICE) + 1):
            for column in range(int((ground.wide - wide) / LATTICE) + 1):
                yield Box(ground.x + column * LATTICE, ground.y + row * LATTICE, wide, high)

    def _keep(self, put: Put) -> None:
        self.put.append(put)
        self.taken.append(put.box)
        if put.leader:
            self.leaders.append(put.leader)

    def _free(self, box: Box) -> bool:
        ground = self.ground
        inside = ground.x <= box.x and ground.y <= box.y and box.right <= ground.right and box.bottom <= ground.bottom
        return inside and not any(meet(box, other, AIR) for other in self.taken) and not any(
            hits(line, box) for line in self.leaders
        )  # fmt: skip

    def _covered(self, box: Box) -> float:
        at = self.drawn
        under = (at[:, 0] > box.x) & (at[:, 0] < box.right) & (at[:, 1] > box.y) & (at[:, 1] < box.bottom)
        return COVERED * float(under.sum())

    def _led_over(self, put: Put) -> float:
        """What a leading line crosses: others, walls, names and signs."""
        if put.leader is None:
            return 0.0
        crossed = CROSSED * sum(_cross(put.leader, other) for other in self.leaders)
        crossed += WALLED * sum(_cross(put.leader, side) for side in self.rooms.sides)
        return crossed + THROUGH * any(hits(put.leader, other) for other in self.taken)


def meet(one: Box, two: Box, air: float = 0.0) -> bool:
    """Whether two boxes come nearer to each other than so much [px]."""
    return one.x < two.right + air and two.x < one.right + air and one.y < two.bottom + air and two.y < one.bottom + air


def _round(name: Name, at: Point, reach: float) -> Iterator[tuple[float, Put]]:
    """Boxes round a sign, the nearest first, those to the right of it before the others; the fewer lines the better."""
    for number, one in enumerate(broken(name)):
        yield from ((far + LINE * number, put) for far, put in _about(one, at, reach))


def broken(name: Name) -> list[Name]:
    """A name over more and more lines, each broken between words."""
    found = {tuple(name.lines()): name}
    for wide in BROKEN[1:]:
        one = replace(name, wide=wide)
        if len(one.lines()) <= MOST_LINES and " ".join(one.lines()) == " ".join(name.text.split()):
            found.setdefault(tuple(one.lines()), one)
    return list(found.values())


def _about(name: Name, at: Point, reach: float) -> Iterator[tuple[float, Put]]:
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
            if all(inside(shape, corner) for corner in corners):
                found.append((float(x), float(y)))
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
