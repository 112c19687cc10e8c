"""Findings about heights in a vessel that belong to several parts: marks, overflow, return pump, draining down."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from dewpond.design import messages as m
from dewpond.design.model import Design
from dewpond.design.scout import Mark, Scouted
from dewpond.parts.base import Level
from dewpond.vocabulary import Word

# How far a tank falls when its return pump stops: from a thin film over its weir to a nozzle deep under water.
# Common practice, no source; 13 mm over the weir and a nozzle 25 mm deep make 40 mm.
DRAINS: Final = (2e-3, 0.15)  # [m]

# A float that seeps and a filling jet want so much below a rim; a chamber that is pumped from is never quieter.
# Common practice, no source.
FREEBOARD: Final = 20e-3  # [m]
RIPPLES: Final = 2e-3  # [m]
RISES: Final = "rises when the return pump stops"  # key of a vessel into which others drain down
HOLE: Final = "vent hole above the water"  # key of a pump
LIFTS: Final = "lifts at most"  # key of a pump that is an open pipe when it stands; others shut their own tube

Say = Callable[..., None]  # code, part, key, and the words of the text
Shown = Callable[[float, str], str]  # a number and its quantity -> a text


def check_levels(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    marks: dict[str, list[Mark]] = {}
    for mark in found.marks:
        marks.setdefault(mark.part, []).append(mark)
    _overflows(found, marks, say, shown)
    _bands(found, say, shown)
    _calls(design, found, marks, say, shown)
    _drain_down(design, found, say, shown)
    _siphons(design, found, marks, say, shown)
    _pumps(design, found, marks, say, shown)


def _overflows(found: Scouted, marks: dict[str, list[Mark]], say: Say, shown: Shown) -> None:
    """What fills a vessel must be shut before the overflow runs."""
    fills = {vessel: set(fillers) for vessel, fillers in found.fills.items()}
    for name, own in marks.items():  # a float whose water falls in over an air gap shuts what fills it all the same
        for vessel in {mark.vessel for mark in own if mark.key} & fills.keys():
            if found.follows.get(name):
                fills[vessel].add(name)
    for vessel, fillers in fills.items():
        runs = min((mark.height for mark in marks.get(vessel, ()) if mark.vessel == vessel), default=None)
        for part in sorted(fillers):
            own = [mark for mark in marks.get(part, ()) if mark.vessel == vessel and mark.key]
            shut = max(own, key=lambda mark: mark.height, default=None)
            if runs is not None and shut is not None and shut.height >= runs:
                words = {"height": shown(shut.height, "height"), "runs": shown(runs, "height")}
                say("D133", part, shut.key, vessel=vessel, **words)
            elif runs is None and shut is not None and 0.0 < found.vessels[vessel].rim - shut.height < FREEBOARD:
                left = found.vessels[vessel].rim - shut.height
                say("D179", part, shut.key, vessel=vessel, left=shown(left, "height"))


def _bands(found: Scouted, say: Say, shown: Shown) -> None:
    """A switch with two marks so near to each other that ripples carry the water from one to the other."""
    heights: dict[str, dict[str, float]] = {}
    for mark in found.marks:
        if mark.part in found.states and mark.key:
            heights.setdefault(mark.part, {})[mark.key] = mark.height
    for part, own in heights.items():
        band = max(own.values()) - min(own.values())
        if len(own) > 1 and 0.0 < band < RIPPLES:
            say("D180", part, max(own), band=shown(band, "height"))


def _calls(design: Design, found: Scouted, marks: dict[str, list[Mark]], say: Say, shown: Shown) -> None:
    """A mark that calls for water above what the return pump needs; one that tells of high water above the water."""
    told = set()
    for row in design.rows:
        starts = any(word == Word.RUNNING for _, word in row.effects)
        for term in row.cause.terms:
            own = marks.get(term.part, [])
            if not own or term.negated or (term.part, term.word) in told:
                continue
            told.add((term.part, term.word))
            spec, vessel = found.vessels[own[0].vessel], own[0].vessel
            needs = _above_bottom(design.part(vessel).get("return pump needs"), spec.rim)
            mark = min(own, key=lambda one: one.height)
            height = shown(mark.height, "height")
            if starts and term.word == Word.LOW and needs is not None and 0.0 <= mark.height <= needs:
                say("D134", term.part, mark.key, vessel=vessel, height=height, needs=shown(needs, "height"))
            if term.word == Word.HIGH and 0.0 <= mark.height <= spec.start:
                say("D135", term.part, mark.key, vessel=vessel, height=height, start=shown(spec.start, "height"))
            if term.word == Word.LOW:
                _too_low(mark, found, marks, say, shown)
            if term.word == Word.HIGH:
                _too_high(max(own, key=_height), design, found, say, shown)


def _too_low(mark: Mark, found: Scouted, marks: dict[str, list[Mark]], say: Say, shown: Shown) -> None:
    """A mark for low water that the level never comes down to, for the pump draws air before."""
    vessel = mark.vessel
    drawers = found.draws.get(vessel, set()) & found.orders.keys()
    inlets = {
        pump: max((own.height for own in marks.get(pump, ()) if own.vessel == vessel), default=0.0) for pump in drawers
    }
    if inlets and 0.0 <= mark.height <= min(inlets.values()):
        pump = min(sorted(inlets), key=lambda name: inlets[name])
        words = {"height": shown(mark.height, "height"), "inlet": shown(inlets[pump], "height")}
        say("D177", mark.part, mark.key, vessel=vessel, pump=pump, **words)


def _too_high(mark: Mark, design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """A mark for high water with too little room above it for what drains down when the return pump stops."""
    rises, rim = design.part(mark.vessel).get(RISES) or 0.0, found.vessels[mark.vessel].rim
    spec = found.vessels[mark.vessel]
    if spec.start < mark.height <= spec.start + rises:
        litres = spec.volume_at(spec.start + rises) - spec.volume_at(spec.start)
        words = {"height": shown(mark.height, "height"), "to": shown(spec.start + rises, "height")}
        say("D194", mark.part, mark.key, vessel=mark.vessel, litres=shown(litres, "volume"), **words)
    drains_down = spec.volume_at(spec.start + rises) - spec.volume_at(spec.start)
    risen = spec.level_at(spec.volume_at(mark.height) + drains_down)  # where it is wider, it rises less
    if mark.height < rim < risen:
        words = {
            "height": shown(mark.height, "height"),
            "rises": shown(risen - mark.height, "height"),
            "most": shown(spec.level_at(spec.volume_at(rim) - drains_down), "height"),
        }
        say("D178", mark.part, mark.key, vessel=mark.vessel, **words)


def _drain_down(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """The litres by which a sump rises must come out of the tanks above it."""
    for sump, spec in found.vessels.items():
        rises = design.part(sump).get(RISES)
        area = sum(tank.area_at_rim for tank in found.vessels.values() if tank.mixed_with == sump) if rises else 0.0
        if not area:
            continue
        litres = spec.volume_at(spec.start + rises) - spec.volume_at(spec.start)
        if not DRAINS[0] <= litres / area <= DRAINS[1]:
            say("D136", sump, RISES, litres=shown(litres, "volume"), falls=shown(litres / area, "height"))


def _siphons(design: Design, found: Scouted, marks: dict[str, list[Mark]], say: Say, shown: Shown) -> None:
    """A part that draws from one vessel and ends under the water of another: stopped, it is an open pipe."""
    for (part, vessel), end in found.ends.items():
        into, airs = found.vessels[vessel], design.part(part).get(HOLE)
        rises = design.part(vessel).get(RISES) or 0.0
        highest = into.bottom + into.start + rises
        if not into.bottom <= end < highest or airs == "present" or design.part(part).get(LIFTS) is None:
            continue  # of an end below the bottom no more is told than that (D176)
        for source in sorted(name for name, parts in found.draws.items() if part in parts and name != vessel):
            spec = found.vessels[source]
            inlet = max((mark.height for mark in marks.get(part, ()) if mark.vessel == source), default=0.0)
            back = spec.bottom + inlet < highest
            forth = spec.bottom + spec.start > max(end, into.bottom + into.start)
            way = m.BOTH_WAYS if back and forth else m.FORTH if forth else m.BACK if back else ""
            if way:
                words = {"way": way.format(source=source, vessel=vessel), "when": m.WHEN_IT_RISES if rises else ""}
                words |= {
                    "end": shown(end - into.bottom, "height"),
                    "water": shown(highest - into.bottom, "height"),
                }
                say("D138", part, "outlet", vessel=vessel, **words)


def _pumps(design: Design, found: Scouted, marks: dict[str, list[Mark]], say: Say, shown: Shown) -> None:
    """What lifts water from one vessel into another: whether it can, and whether it may run on downhill."""
    for (part, vessel), end in found.ends.items():
        lifts, vented = design.part(part).get(LIFTS), design.part(part).get(HOLE)
        if Word.RUNNING not in found.orders.get(part, ()):
            continue
        for source in sorted(name for name, parts in found.draws.items() if part in parts):
            if source == vessel:
                say("D142", part, "to", vessel=vessel)
                continue
            spec, into = found.vessels[source], found.vessels[vessel]
            inlet = max((mark for mark in marks.get(part, ()) if mark.vessel == source), default=None, key=_height)
            dry = inlet.height if inlet else 0.0
            fullest = max(
                [
                    spec.start,
                    *(
                        one.height
                        for f in found.fills.get(source, ())
                        for one in marks.get(f, ())
                        if one.vessel == source
                    ),
                ]
            )
            if inlet and inlet.height >= fullest:
                say("D143", part, inlet.key, vessel=source, dry=shown(dry, "height"), start=shown(fullest, "height"))
            if end < into.bottom:
                say("D176", part, "outlet", vessel=vessel, below=shown(into.bottom - end, "height"))
            if lifts is None:
                continue
            full, low = end - spec.bottom - spec.start, end - spec.bottom - dry
            if low >= lifts:
                words = {"lifts": shown(lifts, "height"), "low": shown(low, "height"), "vessel": source}
                when = m.NEVER_LIFTS if full >= lifts else m.LIFTS_WHILE_FULL
                say("D141", part, "lifts at most", when=when.format(full=shown(full, "height"), vessel=source), **words)
            rises = design.part(vessel).get(RISES) or 0.0
            if full < 0.0 and end >= into.bottom + into.start + rises and vented != "present":
                say("D144", part, "outlet", source=source, vessel=vessel, below=shown(-full, "height"))


def _height(mark: Mark) -> float:
    return mark.height


def _above_bottom(level: object, rim: float) -> float | None:
    """A level as metres above the bottom of its vessel; None where a floor must be known."""
    if not isinstance(level, Level):
        return None
    return {"bottom": level.value, "rim": rim - level.value}.get(level.measured)
