"""Findings about plans of floors: areas that are none, rooms that overlap, and what stands where it cannot."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.checks_drains import check_drains
from dewpond.design.checks_levels import Shown
from dewpond.design.checks_openings import check_openings
from dewpond.design.checks_places import DRAIN, SILL
from dewpond.design.checks_pours import check_pours
from dewpond.design.checks_readings import check_readings
from dewpond.design.checks_trays import check_beside, check_tray
from dewpond.design.desk import Desk, listed, shown
from dewpond.design.drawn import NEAR, PROBE, Drawn, House, check_spots, usable
from dewpond.design.geometry import apart, extent, reaches_over, ring, shared, sides
from dewpond.design.model import Design
from dewpond.design.plan import PROBE_OF
from dewpond.design.reach import SIZE
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView

LEAST_AREA: Final = 0.05  # of a room [m2]: a shaft for pipes is larger; our prior
LONGEST_WALL: Final = 100.0  # [m]
SIZE_OFF: Final = 0.15  # of the area, by which outline and size may differ: niches, chimneys; our prior [1]
MOST_THINGS: Final = 500  # in one list of a plan


def check_floors(
    design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, shown: Shown, whole: bool
) -> None:
    """All of them. whole: nothing of the file was left unread, so that what is not there is missing."""
    house = House(design, kinds, found, {part.name: part for part in design.parts}, desk, shown)
    every = [_sound(Drawn(plan, house)) for plan in design.plans]
    every = [drawn for drawn in every if not _in_a_room(drawn)]
    _overlaps(every, house)
    for drawn in (one for one in every if one.sound):
        _size(drawn)
        _outside(drawn)
        _standing(drawn)
        check_openings(drawn, every)
        check_readings(drawn)
        check_pours(drawn)
        check_drains(drawn)
        if whole:
            _without_spot(drawn)


# -- areas -------------------------------------------------------------------------------------------------------------
def _sound(drawn: Drawn) -> Drawn:
    """The plan with all areas looked at; sound only if its outline and all its areas can be reckoned with."""
    plan = drawn.plan
    counts = {key: len(getattr(plan, key)) for key in ("walls", "openings", "furniture", "patches", "joints")}
    counts |= {"spots": len(plan.spots), "readings": len(plan.readings)}
    for key, count in counts.items():
        if count > MOST_THINGS:
            line = drawn.line(key)
            drawn.tell("D309", line, key, what=m.THE_PLAN, things=key, count=count, most=MOST_THINGS)
            return replace(drawn, sound=False)
    sound = [usable(drawn, m.OUTLINE, "outline", drawn.line("outline"), plan.outline)]
    sound += [usable(drawn, *thing) for thing in drawn.things()]
    sound += [
        usable(drawn, m.NAMED.format(name=name), key, line, area)
        for name, key, line, area in drawn.standing()
        if drawn.covers(name)
    ]
    return replace(drawn, sound=all(sound) and _possible(drawn))


def _possible(drawn: Drawn) -> bool:
    """Whether a room may be so large."""
    area, longest = extent(drawn.plan.outline), max(math.dist(*side) for side in sides(drawn.plan.outline))
    if area >= LEAST_AREA and longest <= LONGEST_WALL:
        return True
    little = m.COVERS_LITTLE.format(area=drawn.house.shown(area, "area"))
    has = little if area < LEAST_AREA else m.LONG_WALL.format(length=drawn.length(longest))
    drawn.tell("D308", drawn.line("outline"), "outline", has=has)
    return False


def _in_a_room(drawn: Drawn) -> bool:
    """Whether the plan is of a tray: that has no plan of its own."""
    place = drawn.plan.place
    room = drawn.house.views[place].get("in") if place in drawn.house.views else None
    if room:
        drawn.tell("D312", drawn.plan.line, None, place=place, room=room)
    return bool(room)


def _overlaps(every: list[Drawn], house: House) -> None:
    """Rooms of one storey that lie in each other."""
    heights = house.found.heights
    for one, other in combinations((drawn for drawn in every if drawn.sound), 2):
        names = one.plan.place, other.plan.place
        if not all(name in heights for name in names) or abs(heights[names[0]] - heights[names[1]]) > SILL:
            continue
        wide, spot = shared(one.plan.outline, other.plan.outline, NEAR)
        if wide > NEAR:
            words = {"wide": other.length(round(wide, 2)), "spot": other.at(spot)}
            other.tell("D311", other.line("outline"), "outline", other=names[0], **words)


def _size(drawn: Drawn) -> None:
    """The outline against what the room says of itself."""
    size = _size_of(drawn.house.views.get(drawn.plan.place))
    if size is None:
        return
    area, covers = extent(drawn.plan.outline), size[0] * size[1]
    if abs(area - covers) > SIZE_OFF * covers:
        show = drawn.house.shown
        words = {"drawn": show(area, "area"), "covers": show(covers, "area"), "size": drawn.at(size)}
        long = max(*size, math.sqrt(area))
        fits = m.NO_RECTANGLE.format(fits=drawn.at((long, area / long)))
        words["fits"] = fits if len(ring(drawn.plan.outline)) > 4 else ""
        drawn.tell("D310", drawn.line("outline"), "outline", **words)


def _size_of(view: PartView | None) -> tuple[float, float] | None:
    size = view.get(SIZE) if view else None
    return size if isinstance(size, tuple) else None


# -- what stands there -------------------------------------------------------------------------------------------------
def _outside(drawn: Drawn) -> None:
    """What lies wholly outside; hollows under nothing."""
    for what, key, line, area in drawn.things():
        if apart(area, drawn.plan.outline):
            drawn.tell("D329", line, key, what=what)
    for hollow in drawn.plan.hollows:
        if not drawn.covers(hollow.under):
            has = m.NO_AREA if hollow.under in drawn.plan.spots else m.NO_SPOT
            drawn.tell("D331", hollow.line, "hollows", name=hollow.under, has=has)


def _standing(drawn: Drawn) -> None:
    """Each spot against the outline, the walls, and what the part itself says."""
    for name, key, line, area in drawn.standing():
        what = m.NAMED.format(name=shown(name))
        if drawn.covers(name):
            over = reaches_over(area, drawn.plan.outline, NEAR)
            if over > NEAR:
                drawn.tell("D315", line, key, what=what, far=drawn.length(over))
        else:
            check_spots(drawn, what, key, line, area)
        _elsewhere(drawn, name, key, line)
        check_tray(drawn, name, key, line, area)
        check_beside(drawn, name, key, line, area)
    room = drawn.house.views.get(drawn.plan.place)
    drain = room.get(DRAIN) if room else None
    if drain and drain not in drawn.plan.spots:
        drawn.tell("D319", drawn.plan.line, "spots", drain=drain)


def _elsewhere(drawn: Drawn, name: str, key: str, line: int) -> None:
    """A part that by its own keys stands in none of the places here."""
    house, owner = drawn.house, name.removeprefix(PROBE_OF)
    if name not in house.views and owner not in house.views:
        return  # it was not read
    if house.role(name) == "place" and not house.views[name].get("in"):
        drawn.tell("D316", line, key, name=name, places=m.ROOM_ITSELF)
        return
    places = house.stands_in(name)
    if places and not house.places_in(drawn.plan.place) & set(places):
        drawn.tell("D316", line, key, name=name, places=listed(places))


def _without_spot(drawn: Drawn) -> None:
    """Parts here that can lose water, probes and trays, of which the plan does not say where they are."""
    house, inside = drawn.house, drawn.house.places_in(drawn.plan.place)
    missing = list[str]()
    for name, view in house.views.items():
        probe = view.get(PROBE)
        named = {str(view.get("in"))} | set(house.stands_in(name) if house.is_way(name) else ())
        if named & inside and _looked_for(house.kinds[view.kind]):
            missing.append(name)
        if isinstance(probe, Mapping) and probe.get("in") in inside:
            missing.append(f"{PROBE_OF}{name}")
    missing = [name for name in missing if name not in drawn.plan.spots]
    if missing:
        drawn.tell("D318", drawn.plan.line, "spots", names=listed(missing))


def _looked_for(kind: Kind) -> bool:
    """Parts that hold water, sensors, and trays."""
    wet = kind.role in ("line", "vessel") or any(port.carries == "water" for port in kind.ports)
    return wet or kind.role in ("sensor", "place")
