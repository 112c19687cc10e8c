"""Rooms that join, laid on one grid: walls, sills, trays, surfaces, and where water leaves."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from dewpond.design.model import Design
from dewpond.design.plan import PROBE_OF, Area, FloorPlan, Opening, Spot, corners
from dewpond.floor.shapes import Frame, around, edge_of
from dewpond.parts.base import Kind, PartView
from dewpond.physics.film import ORDINARY_FLOOR, SURFACES

STEP: Final = 0.5
"""Floors that differ by no more join through a door, with a step in it [m]. Source: our prior."""
WALL: Final = 0.6
"""No wall between two rooms is thicker [m]. Source: our prior."""
DRAIN_REACH: Final = 0.05
"""Half the width of a floor drain [m]. Source: common practice, no source."""
OFF: Final = 0.05
"""Ends of an opening lie no further from the outline [m]. Source: our prior, a tape along a wall; see the checks."""
USUAL_CELL: Final = 0.02  # [m]; runs are two or three of them wide
OPENING, JOINT, DRAIN = "opening", "joint", "drain"


@dataclass(frozen=True)
class WayOut:
    """Where water leaves a storey: by what, to which place ("": one of which the file tells nothing), from which one,
    what it takes [m3/s] (None: nobody knows, inf: all) and its cells, numbers of the flat grid."""

    by: str
    leads_to: str
    place: str
    takes: float | None
    cells: tuple[int, ...]


@dataclass(frozen=True)
class Tray:
    """A tray on the grid: cells inside its rim, and the rim around them, shape (rows, columns); rim: its height [m]."""

    name: str
    inner: Any
    ring: Any
    rim: float


@dataclass(frozen=True)
class Ground:
    """A surface: what water stands on it and soaks into it, low, usual, high [m]."""

    film: tuple[float, float, float]
    soak: tuple[float, float, float]


@dataclass(frozen=True)
class Storey:
    """Rooms that join through openings.

    places  rooms, then trays in them; of: shape (rows, columns): number of the place, -1 where no water enters
    base    shape (rows, columns): how much higher the floor lies by plan, steps, sills, plinths and hollows [m]
    ground  shape (rows, columns): number in ``grounds``
    stands  shape (rows, columns): cells on which a probe may stand
    """

    frame: Frame
    plans: tuple[FloorPlan, ...]
    places: tuple[str, ...]
    of: Any
    base: Any
    ground: Any
    grounds: tuple[Ground, ...]
    trays: tuple[Tray, ...]
    ways_out: tuple[WayOut, ...]
    stands: Any

    @property
    def name(self) -> str:
        """Its rooms in a row."""
        return ", ".join(plan.place for plan in self.plans)

    def place_at(self, cell: tuple[int, int]) -> str:
        """The place that a cell belongs to; empty where no water enters."""
        number = int(self.of[cell])
        return self.places[number] if number >= 0 else ""


def joined(design: Design) -> list[tuple[FloorPlan, ...]]:
    """The plans in groups whose rooms join through openings, in the order of the file."""
    heights = {part.name: float(part.get("floor height") or 0.0) for part in design.parts}
    left, found = list(design.plans), list[tuple[FloorPlan, ...]]()
    while left:
        group, queue = [left.pop(0)], 0
        while queue < len(group):
            for other in list(left):
                if _join(group[queue], other, heights):
                    left.remove(other)
                    group.append(other)
            queue += 1
        found.append(tuple(plan for plan in design.plans if plan in group))
    return found


def _join(one: FloorPlan, other: FloorPlan, heights: Mapping[str, float]) -> bool:
    doors = [o.leads_to == other.place for o in one.openings] + [o.leads_to == one.place for o in other.openings]
    return any(doors) and abs(heights.get(one.place, 0.0) - heights.get(other.place, 0.0)) <= STEP


def frame_of(plans: Iterable[FloorPlan], size: float) -> Frame:
    """The grid that holds rooms with a cell of ``size`` [m] to spare on each side."""
    every = [spot for plan in plans for spot in corners(plan.outline)]
    low = tuple(math.floor(round(min(s[k] for s in every) / size, 6)) * size - size for k in (0, 1))
    high = tuple(math.ceil(round(max(s[k] for s in every) / size, 6)) * size + size for k in (0, 1))
    rows, columns = (round((high[k] - low[k]) / size) for k in (1, 0))
    return Frame((low[0], low[1]), size, rows, columns)


def storey(
    design: Design, kinds: Mapping[str, Kind], plans: tuple[FloorPlan, ...], size: float = USUAL_CELL,
    blocked: Collection[str] = (),
) -> Storey:  # fmt: skip
    """The storey of some plans whose rooms join, with cells of ``size`` [m]. ``blocked``: drains that take nothing."""
    return _Builder(design, kinds, plans, frame_of(plans, size), blocked).built()


class _Builder:
    def __init__(
        self, design: Design, kinds: Mapping[str, Kind], plans: tuple[FloorPlan, ...], frame: Frame,
        blocked: Collection[str],
    ) -> None:  # fmt: skip
        self.design, self.kinds, self.plans, self.frame, self.blocked = design, kinds, plans, frame, blocked
        self.parts = {part.name: part for part in design.parts}
        self.rooms = [plan.place for plan in plans]
        self.levels = [float(self.parts[room].get("floor height") or 0.0) for room in self.rooms]
        self.of = np.full(frame.shape, -1)
        self.base = np.zeros(frame.shape)
        self.ground = np.zeros(frame.shape, dtype=int)
        self.grounds: list[Ground] = []
        self.trays: list[Tray] = []
        self.out: list[WayOut] = []
        self.stands = np.zeros(frame.shape, dtype=bool)
        self.doors: list[tuple[tuple[int, int], Any, float]] = []

    def built(self) -> Storey:
        for number, plan in enumerate(self.plans):
            self._room(number, plan)
        for number, plan in enumerate(self.plans):
            self._uneven(number, plan)
        self.stands = self.of >= 0
        for number, plan in enumerate(self.plans):
            for opening in plan.openings:
                self._opening(number, plan, opening)
        for number, plan in enumerate(self.plans):
            self._plinths(plan)
            self._trays(plan, plan.place, self.of == number)
        for number, plan in enumerate(self.plans):
            self._drains_and_joints(number, plan)
        places = (*self.rooms, *(tray.name for tray in self.trays))
        return Storey(
            self.frame, self.plans, places, self.of, self.base, self.ground, tuple(self.grounds), tuple(self.trays),
            tuple(self.out), self.stands,
        )  # fmt: skip

    def _surface(self, ground: Ground) -> int:
        if ground not in self.grounds:
            self.grounds.append(ground)
        return self.grounds.index(ground)

    def _room(self, number: int, plan: FloorPlan) -> None:
        """Its cells that are no other's yet, less its walls; next to another room one cell is wall."""
        taken = self.of >= 0
        here = self.frame.inside(plan.outline) & ~(taken | around(taken))
        for wall in plan.walls:
            here &= ~self.frame.inside(wall)
        self.of[here] = number
        self.base[here] = self.levels[number] - self.levels[0]
        self.ground[here] = self._surface(_ground(self.parts[plan.place]))

    def _uneven(self, number: int, plan: FloorPlan) -> None:
        """Patches, and what a heavy tank presses in."""
        from scipy.ndimage import distance_transform_edt

        mine = self.of == number
        for patch in plan.patches:
            there = self.frame.inside(patch.area) & mine
            self.base[there] += patch.raised
            if patch.surface:
                surface = SURFACES[patch.surface]
                self.ground[there] = self._surface(Ground(surface.film, surface.soak))
        for hollow in plan.hollows:
            area = plan.spots.get(hollow.under)
            if area is None:
                continue
            far = distance_transform_edt(~self._covered(area)) * self.frame.size
            share = np.clip(far / hollow.reaches, 0.0, 1.0) if hollow.reaches > 0.0 else (far > 0.0).astype(float)
            self.base[mine] -= (hollow.depth * 0.5 * (1.0 + np.cos(math.pi * share)))[mine]

    def _covered(self, area: Area) -> Any:
        return self.frame.inside(area) if len(area) > 1 else self.frame.near(area[0], self.frame.size)

    def _plinths(self, plan: FloorPlan) -> None:
        """A ring of cells that water passes once it stands as high as the gap."""
        for one in plan.furniture:
            if one.plinth:
                ring = edge_of(self.frame.inside(one.area)) & (self.of >= 0)
                self.base[ring] += one.gap
                self.stands[ring] = False

    # -- openings ------------------------------------------------------------------------------------------------------
    def _opening(self, number: int, plan: FloorPlan, opening: Opening) -> None:
        """The strip of floor from a room to the next one; where none follows, cells at which water is gone. Of a door
        that both plans have, the higher sill counts."""
        behind = self.parts[opening.leads_to].get("floor height") if opening.leads_to else None
        height = max(self.levels[number] + opening.sill, behind if behind is not None else -math.inf) - self.levels[0]
        if height > self.levels[number] - self.levels[0] + STEP:
            return  # stairs up
        (ax, ay), (bx, by) = opening.between
        wide = math.hypot(bx - ax, by - ay)
        along = ((bx - ax) / wide, (by - ay) / wide)
        outward = self._outward(number, opening.between, along)
        beyond = self.rooms.index(opening.leads_to) if opening.leads_to in self.rooms else -1
        deep = self._depth(opening.between, outward, beyond) if beyond >= 0 else None
        x, y = self.frame.middles()
        right = (x - ax) * along[0] + (y - ay) * along[1]
        out = (x - ax) * outward[0] + (y - ay) * outward[1]
        size = self.frame.size
        narrow = max(0.5 * (size - wide), 0.0)  # of what is narrower than a cell, one all the same
        there = (right >= -narrow) & (right <= wide + narrow)
        strip = there & (out >= -OFF - size) & (out <= (1.5 * size if deep is None else deep + size))
        same = [door for door in self.doors if door[0] == (beyond, number) and _touch(door[1], strip)]
        strip &= self.of < 0
        if strip.any() or same:
            self.of[strip] = number
            self.ground[strip] = self._surface(_ground(self.parts[plan.place]))
            for _, cells, sill in same:
                strip, height = strip | cells, max(height, sill)
            self.base[strip] = height
            self.doors.append(((number, beyond), strip, height))
        else:  # its ends lie a little inside the room
            strip = there & (np.abs(out) <= size) & (self.of == number)
            self.base[strip] = np.maximum(self.base[strip], height)
        self.stands[strip] = False
        if deep is None and strip.any():
            cells = tuple(int(k) for k in np.flatnonzero(strip))
            self.out.append(WayOut(OPENING, opening.leads_to, plan.place, math.inf, cells))

    def _outward(self, number: int, between: tuple[Spot, Spot], along: Spot) -> Spot:
        """Which of the two normals leads out of the room."""
        middle = [0.5 * (between[0][k] + between[1][k]) for k in (0, 1)]
        normal = (along[1], -along[0])
        reach = OFF + 2.0 * self.frame.size
        one = self.frame.cell((middle[0] + reach * normal[0], middle[1] + reach * normal[1]))
        return (-normal[0], -normal[1]) if self.of[one] == number else normal

    def _depth(self, between: tuple[Spot, Spot], outward: Spot, beyond: int) -> float | None:
        """How far the next room begins behind an opening [m]; None: not within a wall's thickness."""
        middle = [0.5 * (between[0][k] + between[1][k]) for k in (0, 1)]
        for far in np.arange(0.0, WALL + self.frame.size, 0.5 * self.frame.size):
            spot = (middle[0] + far * outward[0], middle[1] + far * outward[1])
            if self.of[self.frame.cell(spot)] == beyond:
                return float(far)
        return None

    # -- trays, drains, joints -----------------------------------------------------------------------------------------
    def _trays(self, plan: FloorPlan, within: str, free: Any) -> None:
        """Trays in a place, and those in them; free: shape (rows, columns), cells of that place."""
        for name, area in plan.spots.items():
            part = self.parts.get(name)
            if part is None or self.kinds[part.kind].role != "place" or part.get("in") != within:
                continue
            inner = self.frame.inside(_footprint(part, area)) & free
            ring = around(inner) & free
            place = len(self.rooms) + len(self.trays)
            self.trays.append(Tray(name, inner, ring, part["rim"]))
            self.of[inner | ring] = place
            self.ground[inner | ring] = self._surface(Ground(ORDINARY_FLOOR, (0.0, 0.0, 0.0)))
            self.stands[inner] = True
            self.stands[ring] = False
            self._trays(plan, name, inner)

    def _drains_and_joints(self, number: int, plan: FloorPlan) -> None:
        for name, area in plan.spots.items():
            part = self.parts.get(name)
            if part is not None and self.kinds[part.kind].role == "drain" and name not in self.blocked:
                cells = self.frame.near(area[0], DRAIN_REACH) if len(area) == 1 else self.frame.inside(area)
                self._way_out(DRAIN, name, plan.place, math.inf, cells & (self.of == number))
        for joint in plan.joints:
            behind = self.parts[joint.leads_to].get("floor height") if joint.leads_to else None
            if joint.takes != 0.0 and (behind is None or behind <= self.levels[number] + STEP):
                cells = self.frame.inside(joint.area) & (self.of == number)
                self._way_out(JOINT, joint.leads_to, plan.place, joint.takes, cells)

    def _way_out(self, by: str, leads_to: str, place: str, takes: float | None, cells: Any) -> None:
        if cells.any():
            self.stands[cells] = False
            self.out.append(WayOut(by, leads_to, place, takes, tuple(int(k) for k in np.flatnonzero(cells))))


def _touch(one: Any, other: Any) -> bool:
    """Whether two shapes of cells (rows, columns) share a cell, or an edge or a corner of one."""
    return bool((one & (other | around(other))).any())


def _footprint(part: PartView, area: Area) -> Area:
    """What a tray covers: its area, or its size about its middle, as it is seen from the front."""
    if len(area) > 1:
        return area
    (x, y), (long, deep) = area[0], part["size"]
    return ((x - 0.5 * long, y - 0.5 * deep), (x + 0.5 * long, y + 0.5 * deep))


def _ground(room: PartView) -> Ground:
    """Of a room: by what its floor is made of, or by what a litre was seen to cover, to within a fifth."""
    covers = room.get("a litre covers")
    surface = SURFACES[room["floor"]]
    if covers is None:
        return Ground(surface.film, surface.soak)
    taken = 1e-3 / covers
    share = surface.film[1] / (surface.film[1] + surface.soak[1])
    return Ground(
        (0.8 * share * taken, share * taken, 1.2 * share * taken),
        (0.8 * (1.0 - share) * taken, (1.0 - share) * taken, 1.2 * (1.0 - share) * taken),
    )


def probes_in(design: Design, kinds: Mapping[str, Kind], key: str) -> Iterator[tuple[str, PartView]]:
    """Names as spots have them, and parts, of all that is reached by water on a floor: they have the key, or a probe of
    their own that has it."""
    for part in design.parts:
        for param in kinds[part.kind].params:
            if param.key == key:
                yield part.name, part
            elif param.takes == "map" and param.key == "probe" and part.get("probe"):
                yield f"{PROBE_OF}{part.name}", part
