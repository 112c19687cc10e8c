"""The outlines of a floor as they are drawn, and the length of its scale bar."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

import numpy as np

from dewpond.design.plan import Area, FloorPlan, Opening, corners
from dewpond.floor.storey import Storey, Tray
from dewpond.report.views.blocks import FloorFrame, FloorShape
from dewpond.report.views.shown import Shown, plain

ROUND: Final = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100)  # lengths of a scale bar, in its unit
PART: Final = 0.25  # of the width of a floor is as long as its scale bar may be


def shapes_of(storey: Storey) -> tuple[FloorShape, ...]:
    """Rooms, walls, patches, furniture, trays and openings of a storey, those below before those on top."""
    found = [FloorShape("room", plan.place, corners(plan.outline)) for plan in storey.plans]
    for plan in storey.plans:
        found += [FloorShape("patch", one.surface, corners(one.area)) for one in plan.patches]
        found += [FloorShape("furniture", one.what, corners(one.area)) for one in plan.furniture]
    found += [FloorShape("tray", tray.name, _footprint(storey, tray)) for tray in storey.trays]
    for plan in storey.plans:
        found += [FloorShape("wall", "", corners(wall)) for wall in plan.walls]
    return (*found, *_openings(storey.plans))


def _footprint(storey: Storey, tray: Tray) -> Area:
    """Corners as the file has them; of a tray that is given by its middle alone, as it lies on the grid."""
    for plan in storey.plans:
        area = plan.spots.get(tray.name, ())
        if len(area) > 1:
            return corners(area)
    rows, columns = np.nonzero(tray.inner | tray.ring)
    (x, y), size = storey.frame.origin, storey.frame.size
    low = (x + int(columns.min()) * size, y + int(rows.min()) * size)
    return corners((low, (x + (int(columns.max()) + 1) * size, y + (int(rows.max()) + 1) * size)))


def _openings(plans: tuple[FloorPlan, ...]) -> Iterator[FloorShape]:
    """Each opening once, with where it leads; of a door that both rooms tell of, the line in the first one's outline
    carries the words, and the other line is a gap only."""
    told = set[frozenset[str]]()
    for plan in plans:
        for one in plan.openings:
            pair = frozenset((plan.place, one.leads_to))
            back = any(other.place == one.leads_to and _leads(other, plan.place) for other in plans)
            yield FloorShape("opening", "" if back and pair in told else _to(one), one.between)
            told.add(pair)


def _leads(plan: FloorPlan, place: str) -> bool:
    return any(one.leads_to == place for one in plan.openings)


def _to(opening: Opening) -> str:
    return f"to {opening.leads_to}" if opening.leads_to else "way out"


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
