"""Findings about the ways by which water leaves a floor: openings, joints, drains, and where they lead."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.checks_doors import STEP, WALL, Twin, beside, check_door, twins
from dewpond.design.checks_places import DRAIN, SILL
from dewpond.design.checks_readings import SPREADS, two
from dewpond.design.checks_unseen import onward
from dewpond.design.desk import listed
from dewpond.design.drawn import NEAR, Drawn
from dewpond.design.geometry import TOUCH, depth, middle, strays, to_side
from dewpond.design.plan import Joint, Opening

# How exact the height of a sill is, one standard deviation: the floor beside it is uneven; our prior [m].
SILL_READ: Final = 0.002
NARROW: Final = 0.02  # an opening is no gap [m]
LEADS: Final = "leads to"


def check_openings(drawn: Drawn, every: Sequence[Drawn]) -> None:
    """All of them. every: the plans of the file."""
    for opening, twin in zip(drawn.plan.openings, twins(drawn, every), strict=True):
        if _drawn_well(opening, drawn) and _led(m.THE_OPENING, "openings", opening.leads_to, opening.line, drawn):
            _behind(opening, twin, drawn, every)
            check_door(opening, twin, drawn)
            _sills(opening, drawn, every)
            if not _comes_down(drawn, opening.leads_to, every):
                _up(m.THE_OPENING, "openings", opening.leads_to, opening.sill, opening.line, drawn)
    for number, joint in enumerate(drawn.plan.joints, 1):
        what = m.NUMBERED.format(number=number, key="joints")
        if _led(what, "joints", joint.leads_to, joint.line, drawn):
            _up(what, "joints", joint.leads_to, 0.0, joint.line, drawn)
    _on(drawn, every)


def _drawn_well(opening: Opening, drawn: Drawn) -> bool:
    """Whether it has two ends on one stretch of the outline."""
    ends = opening.between
    if len(ends) != 2:
        drawn.tell("D320", opening.line, "openings", has=m.NO_ENDS)
        return False
    wide = math.dist(*ends)
    if wide <= TOUCH:
        drawn.tell("D320", opening.line, "openings", has=m.ENDS_MEET.format(spot=drawn.at(ends[0])))
        return False
    if wide < NARROW:
        drawn.tell("D330", opening.line, "openings", wide=drawn.length(wide))
    off = [(abs(depth(end, drawn.plan.outline)), end) for end in ends]
    for far, end in off:
        if far > NEAR:
            drawn.tell("D321", opening.line, "openings", spot=drawn.at(end), far=drawn.length(far))
    if max(off)[0] > NEAR:
        return False
    far = strays(ends, drawn.plan.outline)
    if far > NEAR:
        words = {"a": drawn.at(ends[0]), "b": drawn.at(ends[1])}
        drawn.tell("D322", opening.line, "openings", far=drawn.length(far), **words)
    return far <= NEAR


def _led(what: str, key: str, place: str, line: int, drawn: Drawn) -> bool:
    """Whether it leads to another room, or to none of the file."""
    view = drawn.house.views.get(place)
    room = view.get("in") if view and drawn.house.role(place) == "place" else None
    if place == drawn.plan.place:
        drawn.tell("D323", line, key, what=what, place=place, why=m.LEADS_TO_ITSELF)
    elif room:
        drawn.tell("D323", line, key, what=what, place=place, why=m.LEADS_TO_A_TRAY.format(room=room))
    return place != drawn.plan.place and not room


def _behind(opening: Opening, twin: Twin | None, drawn: Drawn, every: Sequence[Drawn]) -> None:
    """The room behind, by its own plan."""
    heights = drawn.house.found.heights
    own, there = heights.get(drawn.plan.place), heights.get(opening.leads_to)
    if own is None or there is None or abs(own - there) > SILL:
        return
    for other in every:
        if other.sound and other.plan.place == opening.leads_to:
            far = -depth(middle(opening.between[:2]), other.plan.outline)
            if far > WALL:
                drawn.tell("D324", opening.line, "openings", place=opening.leads_to, far=drawn.length(far))
            elif twin is None and not any(_leads_back(opening, back, drawn) for back in other.plan.openings):
                drawn.tell("D341", opening.line, "openings", place=opening.leads_to, own=drawn.plan.place)


def _leads_back(opening: Opening, back: Opening, drawn: Drawn) -> bool:
    """Whether an opening of the room behind is this one, seen from there."""
    ends = back.between
    return back.leads_to == drawn.plan.place and len(ends) == 2 and to_side(middle(opening.between[:2]), ends) <= WALL


def _sills(opening: Opening, drawn: Drawn, every: Sequence[Drawn]) -> None:
    """One door as both plans have it: the top of its sill lies at one height, or at the higher floor. Told once."""
    heights, here = drawn.house.found.heights, middle(opening.between[:2])
    own, there = heights.get(drawn.plan.place), heights.get(opening.leads_to)
    backs = [
        back
        for other in every if other.sound and other.plan.place == opening.leads_to
        for back in other.plan.openings
        if _leads_back(opening, back, drawn) and beside(opening.between, back.between).both >= 0.0
    ]  # fmt: skip
    if own is None or there is None or abs(own - there) > STEP or not backs:
        return
    back = min(backs, key=lambda one: to_side(here, one.between))
    tops = (max(own + opening.sill, there), max(there + back.sill, own))
    differ = abs(tops[0] - tops[1])
    if back.line < opening.line and differ > SPREADS * math.sqrt(2.0) * SILL_READ:
        show = drawn.house.shown
        level = abs(own - there) < SILL_READ
        up = "" if level else (m.HIGHER if there > own else m.LOWER).format(up=show(two(abs(there - own)), "height"))
        words = {"sill": show(opening.sill, "height"), "back": show(back.sill, "height"), "its_line": str(back.line)}
        words |= {"differ": show(two(differ), "height"), "top": show(two(max(tops) - own), "height")}
        words |= {"heights": up, "or_heights": "" if level else m.OR_FLOOR_HEIGHT}
        drawn.tell("D346", opening.line, "openings", "", place=opening.leads_to, **words)


def _up(what: str, key: str, place: str, sill: float, line: int, drawn: Drawn) -> None:
    """A way to a floor that lies higher than its sill."""
    heights = drawn.house.found.heights
    own, there = heights.get(drawn.plan.place), heights.get(place)
    if own is not None and there is not None and there > own + sill + SILL:
        up = drawn.house.shown(there - own, "height")
        drawn.tell("D325", line, key, what=what, place=place, up=up)


def _comes_down(drawn: Drawn, place: str, every: Sequence[Drawn]) -> bool:
    """Whether the water of a higher place comes down here: then the opening says where."""
    view, here = drawn.house.views.get(place), drawn.plan.place
    plans = [other.plan for other in every if other.plan.place == place]
    return any(here in plan.leads for plan in plans) or (view is not None and view.get(LEADS) == here)


def _on(drawn: Drawn, every: Sequence[Drawn]) -> None:
    """Where all of them lead, and where water goes on by the keys of the room."""
    plan, house = drawn.plan, drawn.house
    room = house.views.get(plan.place)
    if room is None:
        return
    drains = [name for name in plan.spots if house.role(name) == "drain"]
    ways: list[Opening | Joint] = [*plan.openings, *plan.joints]
    named = {one.leads_to: None for one in ways if one.leads_to}
    on = room.get(LEADS)
    if not ways and not drains and not room.get(DRAIN):
        drawn.tell("D328", plan.line, "openings")
    elif on and on not in named and on not in drains:
        others = m.LEADS_ELSEWHERE.format(places=listed(named)) if named else ""
        drawn.tell("D326", plan.line, "openings", place=on, others=others)
    if on or room.get(DRAIN):
        return
    before = [other.plan.place for other in every if other.plan.line < plan.line]
    for one in ways:
        view = house.views.get(one.leads_to)
        told = one.leads_to in before and not (view and (view.get(LEADS) or view.get(DRAIN)))  # the other way round
        if one.leads_to and not told and plan.place not in onward(one.leads_to, house.design, house.found):
            key = "openings" if isinstance(one, Opening) else "joints"
            drawn.tell("D327", one.line, key, place=one.leads_to)
            return
