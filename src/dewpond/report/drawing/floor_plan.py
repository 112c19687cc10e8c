"""The outlines of a floor and the signs on it: walls, doors, furniture; leaks, probes, drains."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np

from dewpond.report.drawing.ink import number as _n
from dewpond.report.drawing.layout import Box
from dewpond.report.views.blocks import FloorFrame, FloorMap, FloorMark, FloorShape

WALL: Final = 3.2  # width of a wall's line [px]
JAMB: Final = 5.0  # half the length of the strokes at both sides of a door [px]
SIGN: Final = 6.0  # half the width of a sign [px]
REACH: Final = 1.45 * SIGN  # to its corners
NEXT: Final = 3.5  # spots of a way lie no farther apart, in cells; farther ones are places of their own
HEAD: Final = 0.12  # spots that lie within so much are one place [m]
WAYS: Final = ("probe", "present", "best")  # what may be a rope, felt all along
# kind: width of its line, dashes, ink
OUTLINES: Final = {
    "patch": (0.9, "8 2 1 2", "#444"),
    "furniture": (0.9, "", "#777"),
    "rim": (1.6, "", "black"),
}
SIGNS: Final = {
    "leak": '<circle r="6" fill="white" stroke="black" stroke-width="1.2"/>'
    '<path d="M-4-4L4 4M-4 4L4-4" stroke="black" stroke-width="2.4"/>',
    "probe": '<circle r="5" fill="black" stroke="white" stroke-width="1.2"/>',
    "present": '<rect x="-5" y="-5" width="10" height="10" fill="black" stroke="white" stroke-width="1.2"/>',
    "best": '<path d="M0-6L6 0L0 6L-6 0Z" fill="white" stroke="black" stroke-width="1.8"/>'
    '<circle r="1.8" fill="black"/>',
    "drain": '<rect x="-5.5" y="-5.5" width="11" height="11" fill="white" stroke="black" stroke-width="1.2"/>'
    '<path d="M-5.5-2H5.5M-5.5 2H5.5" stroke="black" stroke-width="1.2"/>',
    "joint": '<path d="M-6-4.5H6L0 6Z" fill="white" stroke="black" stroke-width="1.4"/>',
}
SAID: Final = {
    "leak": "water gets out here",
    "probe": "a probe",
    "present": "a probe as it stands now",
    "best": "a better place for a probe",
    "drain": "a drain",
    "joint": "a gap to what is below",
}


@dataclass(frozen=True)
class View:
    """From metres on a floor to pixels: where its upper left corner is drawn, what lies there, and pixels a metre."""

    left: float
    top: float
    low: tuple[float, float]
    high: tuple[float, float]
    scale: float

    def at(self, spot: tuple[float, float]) -> tuple[float, float]:
        """A spot (right, up) [m] -> across, down [px]."""
        return self.left + (spot[0] - self.low[0]) * self.scale, self.top + (self.high[1] - spot[1]) * self.scale

    @property
    def box(self) -> Box:
        """The whole floor [px]."""
        wide, high = ((self.high[k] - self.low[k]) * self.scale for k in (0, 1))
        return Box(self.left, self.top, wide, high)

    def cells(self, frame: FloorFrame, line: Any) -> Any:
        """Points in cells of a grid, shape (points, 2), in pixels."""
        right = frame.origin[0] + line[:, 0] * frame.size
        up = frame.origin[1] + line[:, 1] * frame.size
        return np.column_stack(
            [self.left + (right - self.low[0]) * self.scale, self.top + (self.high[1] - up) * self.scale]
        )


def extent(drawn: FloorMap) -> tuple[tuple[float, float], tuple[float, float]]:
    """The lowest and the highest corner of all that is drawn [m]."""
    frame = drawn.frame
    end = frame.origin[0] + frame.columns * frame.size, frame.origin[1] + frame.rows * frame.size
    spots = [frame.origin, end, *(spot for shape in drawn.plan for spot in shape.corners)]
    spots += [spot for mark in drawn.marks for spot in mark.cells]
    low, high = ((pick(s[0] for s in spots), pick(s[1] for s in spots)) for pick in (min, max))
    return low, high


def view(drawn: FloorMap, left: float, top: float, wide: float, high: float, most: float) -> View:
    """The floor as large as it fits into so many pixels, but no more than ``most`` a metre; in the middle of the
    width."""
    low, end = extent(drawn)
    scale = min(wide / (end[0] - low[0]), high / (end[1] - low[1]), most)
    return View(left + 0.5 * (wide - scale * (end[0] - low[0])), top, low, end, scale)


def outlines(plan: Sequence[FloorShape], seen: View, small: bool = False) -> Iterator[str]:
    """Everything of the plan, doors last. ``small``: lines are thinner, and what only helps is left out."""
    thin = 0.55 if small else 1.0
    for kind, (wide, dashes, ink) in OUTLINES.items():
        for shape in plan:
            if shape.kind != kind or (small and kind == "patch"):
                continue
            dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
            style = f'fill="none" stroke="{ink}" stroke-width="{_n(thin * wide)}"{dashed}'
            yield f'<path class="{kind}" d="{_closed(shape, seen)}" {style}/>'
    for shape in plan:
        if shape.kind == "wall":
            yield f'<path class="wall" d="{_closed(shape, seen)}" fill="black" stroke="black" stroke-width="0.6"/>'
        elif shape.kind == "outline":
            style = f'fill="none" stroke="black" stroke-width="{_n(thin * WALL)}" stroke-linejoin="miter"'
            yield f'<path class="outline" d="{_closed(shape, seen)}" {style}/>'
    for shape in plan:
        if shape.kind == "opening":
            yield _door(shape, seen, thin)


def _closed(shape: FloorShape, seen: View) -> str:
    return "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in map(seen.at, shape.corners)) + "Z"


def _door(shape: FloorShape, seen: View, thin: float) -> str:
    """A gap in the wall, with a stroke at each side and its sill dashed."""
    (x1, y1), (x2, y2) = seen.at(shape.corners[0]), seen.at(shape.corners[-1])
    long = math.hypot(x2 - x1, y2 - y1) or 1.0
    across = -(y2 - y1) / long * JAMB * thin, (x2 - x1) / long * JAMB * thin
    line = f"M{_n(x1)} {_n(y1)}L{_n(x2)} {_n(y2)}"
    jambs = "".join(
        f"M{_n(x - across[0])} {_n(y - across[1])}L{_n(x + across[0])} {_n(y + across[1])}"
        for x, y in ((x1, y1), (x2, y2))
    )
    return (
        f'<g class="opening"><path d="{line}" stroke="white" stroke-width="{_n(1.7 * WALL * thin)}"/>'
        f'<path d="{line}" stroke="black" stroke-width="0.7" stroke-dasharray="2 3"/>'
        f'<path d="{jambs}" stroke="black" stroke-width="{_n(1.6 * thin)}"/></g>'
    )


def places(mark: FloorMark, size: float) -> list[tuple[float, float]]:
    """Where the sign of a mark stands: once for spots that lie together, at both ends of a rope, else on each."""
    middle = tuple(sum(spot[k] for spot in mark.cells) / len(mark.cells) for k in (0, 1))
    if all(math.dist(spot, middle) <= 0.5 * HEAD for spot in mark.cells):
        return [(middle[0], middle[1])]
    if _is_rope(mark, size):
        return [mark.cells[0], mark.cells[-1]]
    return list(dict.fromkeys(mark.cells))


def _is_rope(mark: FloorMark, size: float) -> bool:
    return mark.kind in WAYS and all(math.dist(a, b) <= NEXT * size for a, b in pairwise(mark.cells))


def signs(mark: FloorMark, seen: View, size: float, small: bool = False) -> Iterator[str]:
    """The signs of a mark, and the line of a rope. ``size``: side of a cell [m]."""
    where = places(mark, size)
    if len(where) > 1 and _is_rope(mark, size):
        line = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in map(seen.at, _ends(mark.cells)))
        dashed = ' stroke-dasharray="1 3" stroke-linecap="round"'
        yield f'<path d="{line}" fill="none" stroke="white" stroke-width="4.5"/>'
        yield f'<path d="{line}" fill="none" stroke="black" stroke-width="2.4"{dashed}/>'
    for x, y in map(seen.at, where):
        turned = " scale(0.6)" if small else ""
        yield f'<g transform="translate({_n(x)} {_n(y)}){turned}">{SIGNS[mark.kind]}</g>'


def _ends(cells: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """A way without what lies on the straight line between its neighbours."""
    kept = [cells[0]]
    for k in range(1, len(cells) - 1):
        (ax, ay), (bx, by), (cx, cy) = kept[-1], cells[k], cells[k + 1]
        if abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) > 1e-9:
            kept.append(cells[k])
    return [*kept, cells[-1]]


def sign_boxes(mark: FloorMark, seen: View, size: float) -> Iterator[Box]:
    """What its signs take [px]."""
    for x, y in map(seen.at, places(mark, size)):
        yield Box(x - SIGN, y - SIGN, 2 * SIGN, 2 * SIGN)


def wall_samples(plan: Sequence[FloorShape], seen: View, apart: float) -> Any:
    """Points along all outlines, so far apart [px]: shape (points, 2)."""
    found = [np.zeros((0, 2))]
    for shape in plan:
        ends = [*map(seen.at, shape.corners)]
        ends += [] if shape.kind == "opening" else ends[:1]
        found += [sampled(np.array(ends), apart)]
    return np.vstack(found)


def sampled(line: Any, apart: float) -> Any:
    """Points along a line, shape (points, 2), so far apart."""
    step = np.diff(line, axis=0)
    gone = np.concatenate([[0.0], np.cumsum(np.hypot(step[:, 0], step[:, 1]))])
    at = np.arange(0.0, gone[-1], apart)
    return np.column_stack([np.interp(at, gone, line[:, k]) for k in (0, 1)])


def pairs(spots: Any) -> list[tuple[float, float]]:
    """Points of shape (points, 2), one by one."""
    return [(float(x), float(y)) for x, y in spots]


def away(spots: Any, others: Any, far: float) -> Any:
    """Spots that keep farther than so much off others, shape (spots, 2)."""
    if not len(others) or not len(spots):
        return spots
    return spots[np.array([float(np.hypot(*(others - spot).T).min()) for spot in spots]) > far]
