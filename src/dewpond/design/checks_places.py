"""Findings about places: where the water of a floor goes, what runs onto one, and trays that are not there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from dewpond.design.checks_levels import Say, Shown
from dewpond.design.desk import listed
from dewpond.design.model import KEY_SEPARATOR, Design
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, Param, PartView

FROST: Final = 278.15  # winter air from which on a cold night may bring frost [K]; common practice, no source
WET: Final = ("line", "device", "vessel")  # roles of what holds water
SILL: Final = 0.03  # a floor that lies higher by no more counts as level [m]; a door sill, our prior, 10 to 50 mm
DRAIN, UPRIGHT = "drain", "standpipe"  # key of a floor; a drain that stands above it
_OUT: Final = {"drain", "place"}  # roles of what a key may name that says where waste goes


def check_places(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    roles = {part.name: kinds[part.kind].role for part in design.parts}
    upright = {part.name for part in design.parts if roles[part.name] == "drain" and part.get("type") == UPRIGHT}
    for part in design.parts:
        if part.get(DRAIN) in upright and roles[part.name] == "place" and not part.get("in"):
            say("D213", part.name, DRAIN, drain=part[DRAIN])
        _uphill(part, found, say, shown)
        for key, place in _ways_out(part, kinds[part.kind].params):
            if roles.get(place) == "place":
                say("D150" if KEY_SEPARATOR in key else "D149", part.name, key, place=place)
    for name, key in found.no_tray:
        say("D151", name, key)
    _frost(design, roles, say, shown)


def _frost(design: Design, roles: Mapping[str, str], say: Say, shown: Shown) -> None:
    """Rooms so cold on an ordinary winter day that water in them freezes on a hard one."""
    for room in design.parts:
        air = room.get("air temperature")
        if not isinstance(air, dict) or air["winter"] > FROST:
            continue
        inside = {room.name} | {part.name for part in design.parts if part.get("in") == room.name}
        wet = [
            part.name
            for part in design.parts
            if roles[part.name] in WET and inside & {part.get("in"), *(part.get("through") or ())}
        ]
        if wet:
            say("D155", room.name, "air temperature", air=shown(air["winter"], "temperature"), parts=listed(wet, 6))


def _uphill(part: PartView, found: Scouted, say: Say, shown: Shown) -> None:
    """A floor whose water goes on to a higher one."""
    place = part.get("leads to")
    own, there = found.heights.get(part.name), found.heights.get(str(place))
    if own is not None and there is not None and there > own + SILL:
        words = {"own": shown(own, "height"), "there": shown(there, "height")}
        say("D145", part.name, "leads to", place=place, **words)


def _ways_out(part: PartView, params: tuple[Param, ...]) -> Iterator[tuple[str, str]]:
    """(key, name) of what the part names as the end of its waste or overflow."""
    for param in params:
        value = part.get(param.key)
        if set(param.roles) == _OUT and value:
            yield param.key, value
        elif isinstance(value, dict):
            for field in param.fields:
                if set(field.roles) == _OUT and value.get(field.key):
                    yield f"{param.key}{KEY_SEPARATOR}{field.key}", value[field.key]
