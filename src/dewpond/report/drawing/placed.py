"""A schematic with every place in pixels: boxes of areas, symbols and names, and the points of every line."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

from dewpond.report.drawing.layout import (
    CELL,
    FRAME_HIGH,
    FRAME_WIDE,
    HEAD_STEP,
    INSET,
    MARGIN,
    Box,
    Step,
    depth,
    head_lines,
    head_width,
    label_height,
    steps,
)
from dewpond.report.drawing.routes import Channel, Net, Plan, Route, is_signal, plan
from dewpond.report.views.blocks import Schematic, Wire

Point = tuple[float, float]
COLUMNS = 6  # on a desk
GAP = 9.0  # below a row, and between areas
HEAD_INSET = 7.0  # of the name of an area in it
HEAD_LINES = 2  # so many are no reason to move it to the right
HEAD_CLEAR = 5.0  # between it and a line


@dataclass(frozen=True)
class Path:
    """The points of one wire, from its start to its end."""

    wire: Wire
    net: Net
    points: tuple[Point, ...]


@dataclass(frozen=True)
class Head:
    """The name of an area: its lines, and the room that they take."""

    lines: tuple[str, ...]
    box: Box


@dataclass
class Placed:
    """The whole drawing [px]."""

    wide: float = 0.0
    high: float = 0.0
    areas: dict[int, Box] = field(default_factory=dict)
    heads: dict[int, Head] = field(default_factory=dict)
    frames: dict[int, Box] = field(default_factory=dict)
    labels: dict[int, Box] = field(default_factory=dict)
    paths: list[Path] = field(default_factory=list)
    dots: list[tuple[Net, Point]] = field(default_factory=list)
    strokes: list[tuple[Net, tuple[Point, ...]]] = field(default_factory=list)  # what is drawn of the paths


def place(drawn: Schematic, columns: int = COLUMNS) -> Placed:
    """Lay a schematic out over so many columns."""
    order = steps(drawn, columns)
    rows = [step for step in order if step.what == "row"]
    seats = {mark: (r, c) for r, step in enumerate(rows) for c, mark in enumerate(step.marks)}
    routes = plan(drawn.wires, seats)
    used = max((len(step.marks) for step in rows), default=1)
    made = Placed()
    deepest = max((depth(drawn, k) for k in range(len(drawn.areas))), default=0)
    x = MARGIN + INSET * (deepest + 1)
    lefts, uprights = [], []
    for column in range(used + 1):
        uprights.append(x)
        x += routes.upright.get(column, Channel()).width
        lefts.append(x)
        x += CELL if column < used else 0.0
    made.wide = x + INSET * (deepest + 1) + MARGIN
    levels = _down(drawn, order, routes, lefts, uprights, made)
    for route in routes.routes:
        points = _points(route, routes, made, uprights, levels)
        made.paths.append(Path(route.wire, route.net, points))
    for net in dict.fromkeys(path.net for path in made.paths):
        own = [path.points for path in made.paths if path.net == net]
        corners = sorted({point for points in own for point in points})
        made.dots += [(net, point) for point in _dots(own, corners)]
        made.strokes += [(net, stroke) for stroke in _strokes(own, corners)]
    return made


def _down(
    drawn: Schematic, order: list[Step], routes: Plan, lefts: list[float], uprights: list[float], made: Placed
) -> list[float]:
    """Place areas and rows from top to bottom; the tops of the level channels."""
    y = MARGIN
    levels: list[float] = []
    tops: dict[int, float] = {}
    for step in order:
        inset = MARGIN + (INSET * depth(drawn, step.area) if step.area >= 0 else 0.0)
        if step.what == "open":
            area = drawn.areas[step.area]
            tops[step.area] = y
            text = f"{area.name}, {area.note}" if area.note else area.name
            gaps = _between(_passing(routes, uprights, len(levels)), inset, made.wide - inset)
            made.heads[step.area] = head = _head(text, gaps, y)
            y = head.box.bottom + 4.0
        elif step.what == "close":
            top = tops[step.area]
            made.areas[step.area] = Box(inset, top, made.wide - 2 * inset, y - top)
            y += GAP
        else:
            levels.append(y)
            y += routes.level.get(len(levels) - 1, Channel()).width
            for column, mark in enumerate(step.marks):
                left = lefts[column]
                made.frames[mark] = Box(left + (CELL - FRAME_WIDE) / 2, y, FRAME_WIDE, FRAME_HIGH)
                made.labels[mark] = Box(left, y + FRAME_HIGH + 1.0, CELL, label_height(drawn.marks[mark]))
            y = max(made.labels[mark].bottom for mark in step.marks) + GAP
    made.high = y - GAP + MARGIN
    return levels


def _passing(routes: Plan, uprights: list[float], row: int) -> list[float]:
    """Where upright lines run past the names of the areas that open above a row [px]. A channel counts in steps: 2 r is
    the level channel above row r, 2 r + 1 the row."""
    return sorted(
        uprights[column] + channel.offset(net)
        for column, channel in routes.upright.items()
        for net, (low, high) in channel.spans.items()
        if low < 2 * row <= high
    )


def _between(lines: list[float], left: float, right: float) -> list[tuple[float, float]]:
    """(from, to) of what upright lines leave free for a name in an area [px], from left to right."""
    edges = [left + HEAD_INSET - HEAD_CLEAR, *lines, right - HEAD_INSET + HEAD_CLEAR]
    return [(a + HEAD_CLEAR, b - HEAD_CLEAR) for a, b in pairwise(edges)]


def _head(text: str, gaps: list[tuple[float, float]], top: float) -> Head:
    """The name of an area as far to the left as two lines are enough for it, else where it takes the fewest. One gap is
    as wide as a column at least, since lines keep to the channels between columns."""
    wide = [gap for gap in gaps if gap[1] - gap[0] >= CELL] or [max(gaps, key=lambda gap: gap[1] - gap[0])]
    left, right = min(wide, key=lambda gap: max(len(head_lines(text, gap[1] - gap[0])), HEAD_LINES))
    lines = tuple(head_lines(text, right - left))
    return Head(lines, Box(left, top + 2.0, max(map(head_width, lines), default=0.0), HEAD_STEP * len(lines)))


def _points(route: Route, routes: Plan, made: Placed, uprights: list[float], levels: list[float]) -> tuple[Point, ...]:
    """Corner by corner."""
    wire, net = route.wire, route.net
    one, two = made.frames[wire.start], made.frames[wire.end]
    if route.straight:
        return ((one.right, one.middle[1]), (two.x, two.middle[1]))
    if is_signal(wire):
        start = (one.middle[0] + routes.side_offset(wire.start, "top", net), one.y)
        end = (two.middle[0] + routes.side_offset(wire.end, "top", net), two.y)
    else:
        start = (one.right, one.middle[1] + routes.side_offset(wire.start, "right", net))
        end = (two.x, two.middle[1] + routes.side_offset(wire.end, "left", net))
    points = [start]
    for way, number in route.turns:
        x, y = points[-1]
        if way == "V":
            points.append((uprights[number] + routes.upright[number].offset(net), y))
        else:
            points.append((x, levels[number] + routes.level[number].offset(net)))
    x, y = points[-1]
    points.append((x, end[1]) if route.turns[-1][0] == "V" else (end[0], y))
    points.append(end)
    return tuple(points)


def _cut(points: tuple[Point, ...], corners: list[Point]) -> list[Point]:
    """A path with every corner of its net that lies on it."""
    found = [points[0]]
    for (ax, ay), (bx, by) in pairwise(points):
        on = [(x, y) for x, y in corners if min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by)]
        found += sorted(on, key=lambda p: abs(p[0] - ax) + abs(p[1] - ay))[1:]
    return found


def _dots(paths: list[tuple[Point, ...]], corners: list[Point]) -> list[Point]:
    """Where lines of one net part or meet."""
    ways: dict[Point, set[Point]] = {}
    for points in paths:
        for p, q in pairwise(_cut(points, corners)):
            ways.setdefault(p, set()).add(q)
            ways.setdefault(q, set()).add(p)
    return [point for point in corners if len(ways.get(point, ())) > 2]


def _strokes(paths: list[tuple[Point, ...]], corners: list[Point]) -> list[tuple[Point, ...]]:
    """The paths of one net with what they share drawn once: dashes over dashes would look like a solid line."""
    drawn: set[frozenset[Point]] = set()
    strokes: list[list[Point]] = []
    for points in paths:
        going = False
        for p, q in pairwise(_cut(points, corners)):
            new = frozenset((p, q)) not in drawn
            if new and going:
                strokes[-1].append(q)
            elif new:
                strokes.append([p, q])
            drawn.add(frozenset((p, q)))
            going = new
    return [tuple(stroke) for stroke in strokes]
