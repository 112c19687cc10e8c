"""The outlines of a floor as they are drawn, and the length of its scale bar."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from typing import Final

import numpy as np

from dewpond.design.plan import Area, FloorPlan, Opening, Spot, corners
from dewpond.floor.storey import DRAIN, JOINT, WALL, Storey, Tray
from dewpond.report.views.blocks import FloorFrame, FloorMark, FloorShape
from dewpond.report.views.shown import Shown, plain

ROUND: Final = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100)  # lengths of a scale bar, in its unit
SAME: Final = 0.005  # spots that lie within so much are one [m]
SLANT: Final = 0.05  # lines run along each other to within three degrees [1]
PART: Final = 0.25  # of the width of a floor is as long as its scale bar may be


def shapes_of(storey: Storey, covering: Collection[str] = ()) -> tuple[FloorShape, ...]:
    """Rooms, patches, furniture, trays, walls and openings of a storey, those below before those on top.

    ``covering``: names of other parts whose spot is the floor that they cover, such as vessels; drawn as furniture is.
    """
    found = [FloorShape("outline", plan.place, corners(plan.outline)) for plan in storey.plans]
    for plan in storey.plans:
        found += [FloorShape("patch", one.surface, corners(one.area)) for one in plan.patches]
        found += [FloorShape("furniture", one.what, corners(one.area)) for one in plan.furniture]
        areas = [(name, area) for name, area in plan.spots.items() if name in covering and len(area) > 1]
        found += [FloorShape("furniture", name, corners(area)) for name, area in areas]
    found += [FloorShape("rim", tray.name, _footprint(storey, tray)) for tray in storey.trays]
    for plan in storey.plans:
        found += [FloorShape("wall", "", corners(wall)) for wall in plan.walls]
    return (*found, *_openings(storey.plans))


def _footprint(storey: Storey, tray: Tray) -> Area:
    """Corners as the file has them; of a tray that is given by its middle alone, as it lies on the grid."""
    for plan in storey.plans:
        area = plan.spots.get(tray.name, ())
        if len(area) > 1:
            return corners(area)
    rows, columns = np.nonzero(tray.inner)
    (x, y), size = storey.frame.origin, storey.frame.size
    low = (x + int(columns.min()) * size, y + int(rows.min()) * size)
    return corners((low, (x + (int(columns.max()) + 1) * size, y + (int(rows.max()) + 1) * size)))


def _openings(plans: tuple[FloorPlan, ...]) -> Iterator[FloorShape]:
    """Each opening with where it leads, and as a gap without words in the outline of the room behind it. Of a door that
    both rooms tell of, the first one has the words."""
    told = set[frozenset[str]]()
    rooms = {plan.place: plan for plan in plans}
    for plan in plans:
        for one in plan.openings:
            pair, behind = frozenset((plan.place, one.leads_to)), rooms.get(one.leads_to)
            known = behind is not None and _leads(behind, plan.place)
            yield FloorShape("opening", "" if known and pair in told else _to(one), one.between)
            told.add(pair)
            gap = _gap(one, behind) if behind is not None and not known else None
            if gap:
                yield FloorShape("opening", "", gap)


def _gap(one: Opening, behind: FloorPlan) -> tuple[Spot, Spot] | None:
    """An opening as it lies in the nearest wall of the next room that runs along it; None: it lies in the same line, or
    there is no such wall."""
    (ax, ay), (bx, by) = one.between
    long = math.hypot(bx - ax, by - ay)
    shape, found = corners(behind.outline), list[tuple[float, tuple[Spot, Spot]]]()
    for (x1, y1), (x2, y2) in zip(shape, (*shape[1:], shape[0]), strict=True):
        side = math.hypot(x2 - x1, y2 - y1)
        if side == 0.0 or abs((bx - ax) * (y2 - y1) - (by - ay) * (x2 - x1)) > SLANT * long * side:
            continue
        out = (-(y2 - y1) / side, (x2 - x1) / side)
        far = (x1 - ax) * out[0] + (y1 - ay) * out[1]
        moved = (ax + far * out[0], ay + far * out[1]), (bx + far * out[0], by + far * out[1])
        along = [((x - x1) * (x2 - x1) + (y - y1) * (y2 - y1)) / side for x, y in moved]
        if min(along) > -SAME and max(along) < side + SAME and abs(far) <= WALL:
            found.append((abs(far), moved))
    far, gap = min(found, default=(0.0, None))
    return gap if far > SAME else None


def _leads(plan: FloorPlan, place: str) -> bool:
    return any(one.leads_to == place for one in plan.openings)


def _to(opening: Opening) -> str:
    return f"to {opening.leads_to}" if opening.leads_to else "way out"


def outlets_of(storey: Storey) -> Iterator[FloorMark]:
    """Drains and joints, where water leaves a storey downwards, each in its middle; joints with where they lead."""
    for way in storey.ways_out:
        if way.by in (DRAIN, JOINT):
            middle = storey.frame.spot(*divmod(way.cells[len(way.cells) // 2], storey.frame.columns))
            if way.by == DRAIN:
                yield FloorMark(way.leads_to or way.place, "drain", (middle,))
            else:
                yield FloorMark(f"to {way.leads_to}" if way.leads_to else way.place, "joint", (middle,))


def frame_of(storey: Storey) -> FloorFrame:
    """The grid of a storey as the drawing needs it."""
    frame = storey.frame
    return FloorFrame(frame.origin, frame.size, frame.rows, frame.columns)


def ruler_of(frame: FloorFrame, shown: Shown) -> tuple[float, str]:
    """Length of a scale bar [m] that is round in the units of the report, and the same as text."""
    unit = shown.unit("length", 1.0)
    room = unit.of(PART * frame.columns * frame.size)
    long = max((each for each in ROUND if each <= room), default=ROUND[0])
    return long / unit.of(1.0), f"{plain(long)} {unit.text}"
