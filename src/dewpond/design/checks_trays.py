"""Findings about trays on the plan of a floor: their size, which way they lie, and what stands in one or beside it."""

from __future__ import annotations

import math
from functools import partial
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.drawn import NEAR, Drawn
from dewpond.design.geometry import TOUCH, apart, depth, reaches_over, ring, sides, to_side
from dewpond.design.plan import PROBE_OF, Area
from dewpond.design.reach import SIZE

TRAY_OFF: Final = 0.1  # of a side of a tray, by which drawing and size may differ: its rim has a width; our prior [1]


def check_tray(drawn: Drawn, name: str, key: str, line: int, area: Area) -> None:
    """What a tray covers, against its size; of one with a single spot, which way it is taken to lie."""
    view = drawn.house.views.get(name)
    size = view.get(SIZE) if view and drawn.house.role(name) == "place" and view.get("in") else None
    if not isinstance(size, tuple):
        return
    if len(area) == 1:
        long, deep = size
        if abs(long - deep) > TRAY_OFF * min(long, deep):
            over = reaches_over(drawn.footprint(name), drawn.plan.outline, NEAR + TOUCH)
            past = m.SO_OVER_THE_WALL.format(far=drawn.length(over)) if over else ""
            words = {"right": drawn.length(long), "up": drawn.length(deep), "past": past}
            drawn.tell("D351", line, key, name=name, **words)
        return
    if len(ring(area)) != 4 or not drawn.covers(name):
        return
    own = sorted(math.dist(*side) for side in sides(area))[1:3]
    if any(abs(mine - said) > TRAY_OFF * said for mine, said in zip(own, sorted(size), strict=True)):
        drawn.tell("D317", line, key, name=name, drawn=drawn.at((own[1], own[0])), size=drawn.at(size))


def check_beside(drawn: Drawn, name: str, key: str, line: int, area: Area) -> None:
    """What is drawn in a tray while it stands beside it by the rest of the file, or the other way round."""
    house = drawn.house
    if name not in house.views and name.removeprefix(PROBE_OF) not in house.views:
        return  # it was not read
    said = set(house.stands_in(name))
    if len(said) != 1 or not (len(area) == 1 or drawn.covers(name)):
        return
    (own,) = said
    places = house.places_in(drawn.plan.place) - {name}
    trays = [one for one in sorted(places) if house.role(one) == "place" and drawn.footprint(one)]
    view = house.views.get(name)
    if not (name.startswith(PROBE_OF) or (view is not None and view.get("in"))):
        if own in trays and drawn.covers(name):
            _with_another(drawn, name, key, line, area, own)
        return
    corners = ring(area) if len(area) > 1 else area
    spot = (sum(one[0] for one in corners) / len(corners), sum(one[1] for one in corners) / len(corners))
    if depth(spot, drawn.plan.outline) < -NEAR:
        return
    what = (m.SPOT_OF if len(area) == 1 else m.MIDDLE_OF).format(name=name)
    for tray in trays:
        over = depth(spot, drawn.footprint(tray))
        tell = partial(drawn.tell, "D343", line, key, what=what, tray=tray, own=own)
        if tray == own and over < -NEAR:
            tell(far=drawn.length(-over), side=m.OUTSIDE)
        elif tray == own:
            _past(drawn, name, key, line, area, tray)
        elif len(area) == 1 and own == drawn.plan.place and over > NEAR:  # what covers more may stand over a tray
            tell(far=drawn.length(over), side=m.INSIDE)


def _with_another(drawn: Drawn, name: str, key: str, line: int, area: Area, tray: str) -> None:
    """A vessel that says no place of its own, and counts as standing in that of the one it drains to."""
    rim = drawn.footprint(tray)
    if not apart(area, rim):
        _past(drawn, name, key, line, area, tray)
        return
    far = min(to_side(corner, side) for corner in ring(area) for side in sides(rim))
    far = min(far, *(to_side(corner, side) for corner in ring(rim) for side in sides(area)))
    drawn.tell("D350", line, key, name=name, tray=tray, far=drawn.length(round(far, 2)), room=drawn.plan.place)


def _past(drawn: Drawn, name: str, key: str, line: int, area: Area, tray: str) -> None:
    """What covers some of a tray and some of the floor beside it: what leaks there does not come into the tray."""
    if not drawn.covers(name) or drawn.house.role(name) == "sensor":
        return
    over = reaches_over(area, drawn.footprint(tray), NEAR + TOUCH)
    if over:
        drawn.tell("D349", line, key, name=name, tray=tray, far=drawn.length(round(over, 2)))
