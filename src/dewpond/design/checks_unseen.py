"""Findings about what nobody and nothing would notice: water where no probe lies, levels that no switch looks at."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from typing import Final

from dewpond.design import messages as m
from dewpond.design.checks_layers import behind
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_matrix import undriven
from dewpond.design.checks_places import WET
from dewpond.design.desk import listed
from dewpond.design.lying import places_of
from dewpond.design.model import KEY_SEPARATOR, Design, Row
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind
from dewpond.vocabulary import Word

SEEN: Final = "seen to work with purified water"  # key of a probe
PURE: Final = 0.03  # dissolved matter up to which a probe may be blind to water [kg/m3]; our prior, 0.01 to 0.1


def check_unseen(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    sensors: dict[str, set[str]] = {}  # vessel -> level sensors that look at it
    for mark in found.marks:
        if mark.part in found.states:
            sensors.setdefault(mark.vessel, set()).add(mark.part)
    started = {part for row in design.rows for part, word in row.effects if word == Word.RUNNING}
    started |= {part.name for part in undriven(design, kinds, found)}
    pumps = [name for name, words in found.orders.items() if Word.RUNNING in words]
    for name, spec in found.vessels.items():
        filled = sorted(started & set(pumps) & found.fills.get(name, set()))
        if filled:
            _no_high_cut(name, filled, design, found, sensors, say, shown)
        drawn = sorted(set(pumps) & found.draws.get(name, set()))
        told = any(row.tell and asks(row, Word.LOW, sensors.get(name, ())) for row in design.rows)
        if drawn and found.fills.get(name) and not (told or spec.tank or spec.mixed_with) and design.messages:
            say("D161", name, pumps=listed(drawn), litres=shown(spec.volume_at(spec.start), "volume"))
    _unheeded(design, kinds, found, say)
    _still_level(design, found, sensors, say)
    _probes(design, kinds, found, say, shown)
    _blind(design, found, say, shown)


def _unheeded(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say) -> None:
    """A pause of which no row of the matrix takes notice."""
    heeded = {term.part for row in design.rows for term in row.cause.terms}
    for part in design.parts:
        if kinds[part.kind].role == "work" and found.states.get(part.name) and part.name not in heeded:
            say("D200", part.name, None, work=part.name, word=found.states[part.name][0])


def asks(row: Row, word: str, sensors: Collection[str]) -> bool:
    """Whether a row acts on that word of one of the sensors, or on its being not normal."""
    return any(
        term.part in sensors and (term.word, term.negated) in ((word, False), (Word.NORMAL, True))
        for term in row.cause.terms
    )


def _lets_while(row: Row, sensors: Collection[str]) -> bool:
    """Whether a row acts only while none of the sensors reports high water."""
    fine = any(
        term.part in sensors and (term.word, term.negated) in ((Word.HIGH, True), (Word.NORMAL, False))
        for term in row.cause.terms
    )
    return fine and row.cause.op == "all"


def _no_high_cut(
    vessel: str, pumps: list[str], design: Design, found: Scouted, sensors: Mapping[str, set[str]], say: Say,
    shown: Shown,
) -> None:  # fmt: skip
    """Pumps that no switch for high water stops."""
    spec = found.vessels[vessel]
    together = {n for n, other in found.vessels.items() if (other.mixed_with or n) == (spec.mixed_with or vessel)}
    looking = {sensor for name in together for sensor in sensors.get(name, ())}
    for pump in pumps:
        stops = any((pump, Word.STOPPED) in row.effects and asks(row, Word.HIGH, looking) for row in design.rows)
        runs = [row for row in design.rows if (pump, Word.RUNNING) in row.effects]
        stops = stops or (bool(runs) and all(_lets_while(row, looking) for row in runs))
        flow = design.part(pump).get("flow")
        if stops or not flow:
            continue
        space = max(0.0, spec.volume_at(spec.rim) - spec.volume_at(spec.start))
        words = {"space": shown(space, "volume"), "after": shown(space / flow, "duration")}
        say("D112", pump, vessel=vessel, **words)


def _still_level(design: Design, found: Scouted, sensors: Mapping[str, set[str]], say: Say) -> None:
    """A switch for low water in a tank that stays full while its sump runs dry."""
    told = set()
    for vessel, spec in found.vessels.items():
        if not (spec.tank and spec.mixed_with):
            continue
        for row in design.rows:
            for term in row.cause.terms:
                low = term.word == Word.LOW and not term.negated and term.part in sensors.get(vessel, ())
                if low and term.part not in told:
                    told.add(term.part)
                    say("D162", term.part, "in", tank=vessel, sump=spec.mixed_with)


def _probes(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Places that water can get into and no probe looks at; trays that fill before any probe is wet."""
    probed = set(_probed(design, found))
    wet = _wet_places(design, kinds, found)
    blind = [place for place in wet if not probed & set(onward(place, design, found))]
    if blind and (probed or found.states):
        loud = {design.part(name).get("in") for name in found.loud}
        heard = [place for place in blind if loud & set(onward(place, design, found))]
        sounds = m.ONLY_HEARD.format(places=listed(heard)) if heard else ""
        say("D165", blind[0], places=listed(blind), sounds=sounds)
    for tray in wet:
        floor = found.floors[tray]
        lies_in = design.part(tray).get("in")
        if lies_in and tray not in probed and tray not in blind:
            say("D164", tray, beyond=lies_in, first=_first(found.outlets.get(tray, 0.0), floor.holds, lies_in, shown))


def _first(outlet: float, holds: float, beyond: str, shown: Shown) -> str:
    """What comes before a probe beyond a tray gets wet: its outlet takes its share [m3/s], and it fills [m3]."""
    litres = shown(holds, "volume")
    if not outlet:
        return m.FILLS_FIRST.format(litres=litres, beyond=beyond)
    if math.isinf(outlet):
        return m.ALL_DRAINS.format(beyond=beyond)
    return m.DRAINS_FIRST.format(flow=shown(outlet, "flow"), litres=litres, beyond=beyond)


def _probed(design: Design, found: Scouted) -> Iterator[str]:
    for part in design.parts:
        own = part.get("probe")
        if Word.WET in found.states.get(part.name, ()):
            yield from places_of(part)
        if isinstance(own, Mapping) and own.get("in"):
            yield str(own["in"])


def _wet_places(design: Design, kinds: Mapping[str, Kind], found: Scouted) -> list[str]:
    """Places that hold water, or that a line runs through, in the order of the file."""
    named = {
        place
        for part in design.parts
        if kinds[part.kind].role in WET
        for place in (part.get("in"), *(part.get("through") or ()))
    }
    return [part.name for part in design.parts if part.name in named and part.name in found.floors]


def onward(place: str, design: Design, found: Scouted) -> Iterator[str]:
    """A place, and those that its water runs on to."""
    seen = set()
    while place in found.floors and place not in seen:
        seen.add(place)
        yield place
        part = design.part(place)
        place = str(part.get("in") or part.get("leads to") or "")


def _blind(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """Probes that nobody has seen to work with purified water, where no other water comes."""
    tap: set[str] = set()
    pure: dict[str, str] = {}  # place -> the most that comes there, in words
    purified = behind(found.membranes, found)
    gushes = sorted(found.ways.gushes(), key=lambda one: one[1])
    for site, flow in gushes:
        for place in onward(site.place, design, found):
            if site.part in purified:
                pure[place] = m.RUNS_OUT.format(litres=shown(flow * 3600.0, "volume"), part=site.part)
            else:
                tap.add(place)
    for name, spec in found.vessels.items():
        for place in onward(spec.place, design, found):
            if spec.dissolved > PURE:
                tap.add(place)
            else:
                pure.setdefault(place, m.IN_ALL.format(litres=shown(spec.volume_at(spec.start), "volume"), vessel=name))
    asked = {(unknown.part, unknown.key.rpartition(KEY_SEPARATOR)[2]) for unknown in design.unknowns}
    for part in design.parts:
        own = part.get("probe")
        places = (str(own.get("in")),) if isinstance(own, Mapping) else places_of(part)
        only = next((place for place in places if place in pure and place not in tap), "")
        if (part.name, SEEN) in asked and only:
            say("D197", part.name, None, place=only, most=pure[only])
