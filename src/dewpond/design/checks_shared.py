"""Findings about what several protections, or a protection and its trouble, have in common: a box, a circuit, a place,
the way of a message; and about boxes that do nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Final, NamedTuple

from dewpond.design import messages as m
from dewpond.design.checks_layers import Layer, layers_of
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_matrix import boxes_of
from dewpond.design.checks_top_off import DRIEST, USUAL
from dewpond.design.checks_unseen import asks
from dewpond.design.desk import listed
from dewpond.design.model import Design, Row
from dewpond.design.reach import LEAD, spot_of
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, Level
from dewpond.physics.evaporation import SPREAD
from dewpond.vocabulary import Word

HANGS: Final = "when it hangs"  # key of a box with a program
STOPS: Final = "outputs stopped"
WAITS, MEMORY = "waits after a restart", "after a restart"  # its keys for what it does when power is back
NEEDS: Final = "return pump needs"


def check_shared(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    _idle(design, kinds, say)
    _own_stop(design, kinds, found, say, shown)
    _at_once(design, kinds, found, say, shown)
    if design.messages:
        _unmissed(design, kinds, found, say, shown)
    _one_place(list(layers_of(design, kinds, found)), say)
    _leads(design, kinds, found, say, shown)


def carried_out_by(row: Row, design: Design, kinds: Mapping[str, Kind]) -> set[str]:
    """The boxes that carry a row out: the one it names, else those that drive what it orders."""
    parts = (design.part(name) for name, _ in row.effects)
    return {row.by} if row.by else {box for part in parts for box in boxes_of(part, kinds[part.kind])}


def driven_by(name: str, row: Row, design: Design, kinds: Mapping[str, Kind]) -> set[str]:
    """The boxes through which a row's order comes to one of the parts that it orders."""
    part = design.part(name)
    return {row.by} if row.by else set(boxes_of(part, kinds[part.kind]))


def _idle(design: Design, kinds: Mapping[str, Kind], say: Say) -> None:
    """Boxes that carry out no row, read no sensor that a row asks for, and pass no message on."""
    used = {step for message in design.messages for step in message.path}
    used |= {step for beat in design.heartbeats for step in (*beat.path, *beat.senders, beat.watched)}
    for row in design.rows:
        asked = (design.part(term.part) for term in row.cause.terms)
        carriers = carried_out_by(row, design, kinds)
        if row.effects and not carriers:
            return  # it was forgotten there: another finding says so
        used |= carriers
        used |= {box for part in asked for box in boxes_of(part, kinds[part.kind])}
    for part in design.parts:
        if kinds[part.kind].role == "box" and part.name not in used and design.rows:
            say("D188", part.name, None, box=part.name)


# -- a pump whose stop hangs with its start ----------------------------------------------------------------------------
def _own_stop(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Pumps that only the box which runs them stops at high water: should it hang meanwhile, nothing does."""
    sensors: dict[str, set[str]] = {}
    for mark in found.marks:
        if mark.part in found.states:
            sensors.setdefault(mark.vessel, set()).add(mark.part)
    for vessel, spec in found.vessels.items():
        body = spec.mixed_with or vessel
        looking = {
            sensor
            for name, other in found.vessels.items()
            if (other.mixed_with or name) == body
            for sensor in sensors.get(name, ())
        }
        for pump in sorted(found.fills.get(vessel, set()) & found.orders.keys()):
            runs, stops = _rows(pump, Word.RUNNING, design), _rows(pump, Word.STOPPED, design)
            starters = {box for row in runs for box in carried_out_by(row, design, kinds)}
            cuts = [row for row in stops if asks(row, Word.HIGH, looking)]
            alone = [
                box
                for box in sorted(starters)
                if design.part(box).get(HANGS) not in (None, STOPS)
                and all(carried_out_by(row, design, kinds) <= {box} for row in cuts)
            ]
            flow = design.part(pump).get("flow")
            if alone and cuts and flow:
                space = max(0.0, spec.volume_at(spec.rim) - spec.volume_at(spec.start))
                words = {"box": alone[0], "vessel": vessel, "space": shown(space, "volume")}
                say("D189", pump, None, **words, after=shown(space / flow, "duration"))


def _rows(part: str, word: str, design: Design) -> list[Row]:
    return [row for row in design.rows if (part, word) in row.effects]


def _at_once(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Boxes that give orders the moment that power is back, and have forgotten for how long a pump has run."""
    told: set[str] = set()
    for vessel, fillers in found.fills.items():
        for pump in sorted(fillers & found.orders.keys()):
            flow = design.part(pump).get("flow")
            for row in _rows(pump, Word.RUNNING, design) if flow else ():
                for box in sorted(carried_out_by(row, design, kinds) - told) if row.at_most else ():
                    memory = design.part(box).get(MEMORY)
                    kept = isinstance(memory, Mapping) and memory.get("counts") == "kept"
                    if design.part(box).get(WAITS) == 0.0 and not kept:
                        told.add(box)
                        litres = shown((row.at_most or 0.0) * flow, "volume")
                        say("D196", box, WAITS, pump=pump, vessel=vessel, litres=litres)


# -- what fails and takes its own message along ------------------------------------------------------------------------
def _unmissed(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Boxes and networks through which all is told, and whose own failure nobody would hear of."""
    missed = {step for beat in design.heartbeats for step in (*beat.senders, *beat.path)}
    told = {step for message in design.messages for step in message.path}
    for part in design.parts:
        role = kinds[part.kind].role
        if part.name in missed or role not in ("box", "link"):
            continue
        if role == "link":
            if part.name in told:
                say("D191", part.name, None, messages=listed(_over(part.name, design)))
            continue
        drives = sorted(
            {name for row in design.rows for name, _ in row.effects if part.name in driven_by(name, row, design, kinds)}
        )
        if drives and part.get(HANGS) is not None and not _seen_by_another(part.name, drives, design, kinds, found):
            say("D190", part.name, None, drives=listed(drives), when=dries(drives, design, found, shown))


def _over(link: str, design: Design) -> Iterator[str]:
    return (message.name for message in design.messages if link in message.path)


def _seen_by_another(
    box: str, drives: Iterable[str], design: Design, kinds: Mapping[str, Kind], found: Scouted
) -> bool:
    """Whether a row of another box tells, by a way without this one, that a vessel which it fills runs low; only
    where it shuts no valve: a valve that is no longer shut makes nothing low."""
    paths = {message.name: message.path for message in design.messages}
    valves = [name for name in drives if Word.RUNNING not in found.orders.get(name, ())]
    vessels = {v for v, fillers in found.fills.items() if fillers & set(drives)}
    sensors = {mark.part for mark in found.marks if mark.vessel in vessels and mark.part in found.states}
    return not valves and any(
        asks(row, Word.LOW, sensors)
        and box not in paths.get(row.tell or "", (box,))
        and all(box not in boxes_of(design.part(t.part), kinds[design.part(t.part).kind]) for t in row.cause.terms)
        for row in design.rows
    )


class Drying(NamedTuple):
    """How a return pump comes to draw air: below that level [m above the bottom], with the least and the most that the
    water of its vessel loses [m3/s]; the same twice where the file says it."""

    dry: float
    slow: float
    fast: float


def drying(vessel: str, design: Design, found: Scouted) -> Drying | None:
    """Of a vessel in which a return pump stands; None where the file does not tell its mark."""
    spec, needs = found.vessels[vessel], design.part(vessel).get(NEEDS)
    if not isinstance(needs, Level):
        return None
    dry = {"bottom": needs.value, "rim": spec.rim - needs.value}.get(needs.measured)
    tanks = [name for name, other in found.vessels.items() if other.tank and other.mixed_with == vessel]
    area = sum(found.vessels[name].area_at_rim for name in tanks)
    if dry is None or not 0.0 < dry < spec.start or not area:
        return None
    said = sum(design.part(name).get("evaporation") or 0.0 for name in [vessel, *tanks])
    reckoned = sum(found.evaporates.get(name, 0.0) for name in [vessel, *tanks])
    slow, fast = (said, said) if said else (area * DRIEST, max(area * USUAL, SPREAD * reckoned))
    return Drying(dry, slow, fast)


def dries(drives: Iterable[str], design: Design, found: Scouted, shown: Shown) -> str:
    """After how long a return pump that gets no fresh water draws air, where the file tells its mark."""
    for vessel, spec in found.vessels.items():
        own = drying(vessel, design, found) if found.fills.get(vessel, set()) & set(drives) else None
        if own is None:
            continue
        litres = spec.volume_at(spec.start) - spec.volume_at(own.dry)
        low, high = (shown(litres / loss, "duration") for loss in (own.fast, own.slow))
        after = low if own.slow == own.fast else m.FROM_TO.format(low=low, high=high)
        return m.DRIES.format(vessel=vessel, litres=shown(litres, "volume"), after=after)
    return ""


# -- places and leads --------------------------------------------------------------------------------------------------
def _one_place(layers: list[Layer], say: Say) -> None:
    """Two valves whose probes, though not the same, all lie in one place."""
    probes: dict[str, set[str]] = {}
    places: dict[str, set[str]] = {}
    for layer in layers:
        probes.setdefault(layer.valve.name, set()).update(layer.probes)
        places.setdefault(layer.valve.name, set()).update(layer.places)
    names = list(places)
    for number, one in enumerate(names):
        for other in names[number + 1 :]:
            if places[one] == places[other] and len(places[one]) == 1 and not probes[one] & probes[other]:
                say("D192", other, None, other=one, valve=other, place=min(places[one]))


def _leads(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Cables that are too short whichever way they run: shorter than the difference in height that they must bridge."""
    wired: dict[str, list[tuple[str, float, float]]] = {}  # box -> (sensor, height of its spot, lead)
    for part in design.parts:
        lead, spot = part.get(LEAD), spot_of(part.name, design, found)
        if lead is not None and spot is not None:
            for box in boxes_of(part, kinds[part.kind]):
                wired.setdefault(box, []).append((part.name, spot, lead))
    for box, own in wired.items():
        room = found.heights.get(str(design.part(box).get("in")), -math.inf)
        short = {name for name, spot, lead in own if room - spot > lead}
        for name, spot, lead in own:
            if name in short:
                words = {"lead": shown(lead, "length"), "apart": shown(room - spot, "height"), "box": box}
                say("D193", name, LEAD, why=m.HANGS_ABOVE.format(**words))
        ends = sorted((one for one in own if one[0] not in short), key=lambda one: one[1])
        if ends:
            (low, down, first), (high, up, second) = ends[0], ends[-1]
            if up - down > first + second:
                words = {"both": shown(first + second, "length"), "apart": shown(up - down, "height"), "box": box}
                say("D193", high, LEAD, why=m.TOO_FAR_APART.format(low=low, **words))
