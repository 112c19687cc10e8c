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
    NAME_SIZE,
    Box,
    Step,
    depth,
    label_height,
    steps,
    wrapped,
)
from dewpond.report.drawing.routes import Channel, Net, Plan, Route, is_signal, plan
from dewpond.report.views.blocks import Schematic, Wire

Point = tuple[float, float]
COLUMNS = 6  # on a desk
GAP = 9.0  # below a row, and between areas


@dataclass(frozen=True)
class Path:
    """The points of one wire, from its start to its end."""

    wire: Wire
    net: Net
    points: tuple[Point, ...]


@dataclass
class Placed:
    """The whole drawing [px]."""

    wide: float = 0.0
    high: float = 0.0
    areas: dict[int, Box] = field(default_factory=dict)
    heads: dict[int, tuple[str, ...]] = field(default_factory=dict)  # the lines of an area's name
    frames: dict[int, Box] = field(default_factory=dict)
    labels: dict[int, Box] = field(default_factory=dict)
    paths: list[Path] = field(default_factory=list)
    dots: list[tuple[Net, Point]] = field(default_factory=list)


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
    levels = _down(drawn, order, routes, lefts, made)
    for route in routes.routes:
        points = _points(route, routes, made, uprights, levels)
        made.paths.append(Path(route.wire, route.net, points))
    made.dots = _dots(made.paths)
    return made


def _down(drawn: Schematic, order: list[Step], routes: Plan, lefts: list[float], made: Placed) -> list[float]:
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
            lines = wrapped(text, NAME_SIZE + 1, made.wide - 2 * inset - 14.0)
            made.heads[step.area] = tuple(lines)
            y += HEAD_STEP * len(lines) + 6.0
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


def _dots(paths: list[Path]) -> list[tuple[Net, Point]]:
    """Where lines of one net part or meet."""
    found: list[tuple[Net, Point]] = []
    for net in dict.fromkeys(path.net for path in paths):
        lines = [
            (a, b) for path in paths if path.net == net for a, b in zip(path.points, path.points[1:], strict=False)
        ]
        corners = sorted({point for line in lines for point in line})
        ways: dict[Point, set[Point]] = {}
        for (ax, ay), (bx, by) in lines:
            on = [(x, y) for x, y in corners if min(ax, bx) <= x <= max(ax, bx) and min(ay, by) <= y <= max(ay, by)]
            for p, q in pairwise(on):
                ways.setdefault(p, set()).add(q)
                ways.setdefault(q, set()).add(p)
        found += [(net, point) for point in corners if len(ways.get(point, ())) > 2]
    return found
