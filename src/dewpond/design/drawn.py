"""A plan of a floor with what its checks ask of the rest of the file, and how its findings are put."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from dewpond import units
from dewpond.design import messages_floors as m
from dewpond.design.checks_levels import Shown
from dewpond.design.desk import Desk
from dewpond.design.geometry import crossing, depth, flat, ring
from dewpond.design.lying import ALONG, places_of
from dewpond.design.model import KEY_SEPARATOR, Design
from dewpond.design.plan import PROBE_OF, Area, FloorPlan, Spot
from dewpond.design.reach import SIZE
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView

NEAR: Final = 0.05  # what lies no further off counts as there: a tape along a wall; our prior [m]
IN_WALL: Final = 0.02  # deeper in a wall than a line is thick [m]
MOST_CORNERS: Final = 100  # of one area
PROBE: Final = "probe"  # key of a device that has a probe of its own


@dataclass(frozen=True)
class House:
    """What all plans of one file are held against."""

    design: Design
    kinds: Mapping[str, Kind]
    found: Scouted
    views: Mapping[str, PartView]
    desk: Desk
    shown: Shown

    def role(self, name: str) -> str:
        """Role of a part, "" where there is none."""
        return self.kinds[self.views[name].kind].role if name in self.views else ""

    def places_in(self, room: str) -> set[str]:
        """A room, and the trays in it, one in another too."""
        inside, more = {room}, {room}
        while more:
            more = {name for name, view in self.views.items() if self.role(name) == "place" and view.get("in") in more}
            more -= inside
            inside |= more
        return inside

    def stands_in(self, name: str) -> tuple[str, ...]:
        """Places in which a part, or the probe of one, stands by its own keys or by what it is; none: not known."""
        if name not in self.views:
            probe = self.views[name.removeprefix(PROBE_OF)].get(PROBE)
            return (str(probe["in"]),) if isinstance(probe, Mapping) and probe.get("in") else ()
        own = places_of(self.views[name])
        if own:
            places_at = [self._places_at(one) for one in own]
            return tuple(place for places in places_at for place in places) if all(places_at) else ()
        sites = [site.place for site in self.found.ways.sites if site.part == name]
        places = [self.found.vessels[name].place] if name in self.found.vessels else sites
        return tuple({place: None for place in places if place})

    def _places_at(self, name: str) -> tuple[str, ...]:
        """What a part is in may be a vessel; nothing where that was not read."""
        if name in self.found.vessels:
            return (self.found.vessels[name].place,)
        return (name,) if self.role(name) in ("place", "drain") else ()

    def is_way(self, name: str) -> bool:
        """Whether a part is drawn as the way that it takes, not as what it covers."""
        return name in self.views and isinstance(self.views[name].get(ALONG), tuple)


@dataclass(frozen=True)
class Drawn:
    """One plan; ``sound``: its areas can be reckoned with."""

    plan: FloorPlan
    house: House
    sound: bool = True

    @property
    def where(self) -> str:
        """What findings call it."""
        return m.PLAN.format(place=self.plan.place)

    def tell(self, code: str, line: int, key: str | None, where: str = "", **words: object) -> None:
        """Puts a finding on the desk; ``where`` if it is about something within the plan."""
        self.house.desk.add(code, where or self.where, line, key, **words)

    def line(self, key: str) -> int:
        """Line of a key of the plan."""
        return self.house.design.key_lines.get((self.where, key), self.plan.line)

    def at(self, spot: Spot) -> str:
        """A spot in the keeper's units, to the centimetre."""
        unit = units.shown_unit("length", 1.0, "US" if self.house.design.shown_in == "US" else "metric")
        return " x ".join(f"{round(unit.of(side), 2):g} {unit.text}" for side in spot)

    def length(self, value: float) -> str:
        """A length in the keeper's units."""
        return self.house.shown(value, "length")

    def things(self) -> Iterator[tuple[str, str, int, Area]]:
        """(title, key, line, area) of all that has an area but the outline and what stands on a spot."""
        plan = self.plan
        for number, wall in enumerate(plan.walls, 1):
            yield m.NUMBERED.format(number=number, key="walls"), "walls", self.line("walls"), wall
        for number, one in enumerate(plan.furniture, 1):
            title = m.NAMED.format(name=one.what) if one.what else m.NUMBERED.format(number=number, key="furniture")
            yield title, "furniture", one.line, one.area
        for number, patch in enumerate(plan.patches, 1):
            yield m.NUMBERED.format(number=number, key="patches"), "patches", patch.line, patch.area
        for number, joint in enumerate(plan.joints, 1):
            yield m.NUMBERED.format(number=number, key="joints"), "joints", joint.line, joint.area

    def standing(self) -> Iterator[tuple[str, str, int, Area]]:
        """(name, key, line, spots) of what stands somewhere."""
        for name, area in self.plan.spots.items():
            yield name, f"spots{KEY_SEPARATOR}{name}", self.plan.lines[name], area

    def covers(self, name: str) -> bool:
        """Whether a part is drawn as an area."""
        return len(self.plan.spots.get(name, ())) > 1 and not self.house.is_way(name)

    def footprint(self, tray: str) -> Area:
        """What a tray covers: as drawn, or its size about its one spot, as seen from the front; none: not known."""
        area, view = self.plan.spots.get(tray, ()), self.house.views.get(tray)
        size = view.get(SIZE) if view else None
        if len(area) != 1:
            return area
        if not isinstance(size, tuple):
            return ()
        (x, y), (long, deep) = area[0], size
        return ((x - 0.5 * long, y - 0.5 * deep), (x + 0.5 * long, y + 0.5 * deep))


def usable(drawn: Drawn, what: str, key: str, line: int, area: Area, where: str = "") -> bool:
    """Whether an area can be reckoned with; if not, that is told."""
    if len(area) > MOST_CORNERS:
        words = {"things": m.CORNERS, "count": len(area), "most": MOST_CORNERS}
        drawn.tell("D309", line, key, where, what=what, **words)
        return False
    if flat(area):
        drawn.tell("D306", line, key, where, what=what, why=m.ONE_CORNER if len(ring(area)) == 1 else m.ON_A_LINE)
        return False
    crossed = crossing(area)
    if crossed:
        spots = [drawn.at(spot) for side in crossed for spot in side]
        drawn.tell("D307", line, key, where, what=what, **dict(zip("abcd", spots, strict=True)))
    return crossed is None


def check_spots(drawn: Drawn, what: str, key: str, line: int, spots: Area, where: str = "") -> None:
    """Spots outside the outline, and inside a wall; a way may lead through walls."""
    far, spot = max((-depth(spot, drawn.plan.outline), spot) for spot in spots)
    if far > NEAR:
        drawn.tell("D313", line, key, where, what=what, spot=drawn.at(spot), far=drawn.length(far))
    elif len(spots) == 1 and any(depth(spot, wall) > IN_WALL for wall in drawn.plan.walls):
        drawn.tell("D314", line, key, where, what=what, spot=drawn.at(spot))
