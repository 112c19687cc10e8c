"""The events of a run that mean something to a keeper, in the design's own words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.on_floor import onward
from dewpond.plant.plant import Plant, message_text
from dewpond.plant.trace import Event, Trace

FAULT_DASH = " \N{EN DASH} "  # between a fault's label and its words
SHUTTING = ("trip", "stop")  # kinds of words that say of a valve that it was told to shut
WATER, NO_WATER = "water gets out", "no more water gets out"
OVER = "{} is over"
TO_THE_RIM = "{} is full to the rim"
RUNS_OVER = "{} is full to the rim and runs over"
NO_LONGER = "{} runs over no longer"
FIRST_IN = "first water in {}"
RUNS_OFF = "the water in {} has come to {}, and runs off there"
FULL = "{} holds no more; the water goes on to {}"
HELD = "{} is told to shut, and stays open"
LATE = "would do the same, and finds it done"
NOT_A_FLOOD = 1e-5  # less than a spoonful is not told as water on a floor [m3]
HALF = 0.5  # a gate held more open than this has not shut


class Moment(NamedTuple):
    """Something that happened: time [s], kind (as in Lowering.say; also fault, water, message), text."""

    time: float
    kind: str
    text: str
    part: str


def tell(plant: Plant, trace: Trace) -> tuple[tuple[Event, Moment], ...]:
    """Every event that means something to a keeper, with its words, as they came."""
    told, ended = [], float("inf")
    for e in trace.events:
        if e.code == prim.E_WATER:
            ended = float("inf") if e.value > 0.0 else e.time
        m = _moment(plant, e, trace)
        if m is not None and e.code == prim.E_RIM_END:  # the last drops over a rim are no water that gets out
            m = m._replace(time=min(m.time, ended))
        if m is not None:
            told.append((e, m))
    return tuple(_once(told))


def _once(told: Iterable[tuple[Event, Moment]]) -> Iterator[tuple[Event, Moment]]:
    """The same, with what one person has done not told as done again by another."""
    done: set[str] = set()
    for e, m in told:
        deed = m.text.removeprefix(m.part) if m.kind == "act" else ""
        yield (e, m._replace(kind="note", text=f"{m.part} {LATE}")) if deed in done else (e, m)
        if deed:
            done.add(deed)


def other_lines(plant: Plant) -> frozenset[str]:
    """Lines that a story of this plant may hold and that no signal stands behind; of a fault its label."""
    found = {WATER, NO_WATER, *(fault.label for fault in plant.faults), *(OVER.format(f.label) for f in plant.faults)}
    for vessel in plant.stores:
        found |= {text.format(vessel) for text in (TO_THE_RIM, RUNS_OVER, NO_LONGER)}
    for place in plant.places:
        found.add(FIRST_IN.format(place.name))
        for other in (place.onward, *(one.name for one in plant.places if one is not place)):
            found |= {RUNS_OFF.format(place.name, other), FULL.format(place.name, other)}
    found |= {f"{person} {LATE}" for person in plant.people}
    found |= {HELD.format(say.part) for say in plant.says.values() if say.kind in SHUTTING}
    return frozenset(found)


def spilled(plant: Plant, trace: Trace, store: int) -> bool:
    """Whether the place round a vessel got any water: one that is full to its rim has not run over yet."""
    a = plant.arrays
    return a.store_rkind[store] == prim.R_PLACE and trace.place_total[a.store_rref[store]] > NOT_A_FLOOD


def _moment(plant: Plant, e: Event, trace: Trace) -> Moment | None:
    if e.code == prim.E_SIGNAL:
        return _signal(plant, e, trace)
    if e.code == prim.E_FAULT:
        onset = trace.scenario.onsets[e.ref]
        fault = plant.fault(onset.label)
        text = f"{onset.label}{FAULT_DASH}{fault.what}" if e.value > 0.0 else OVER.format(onset.label)
        return Moment(e.time, "fault", text, fault.part)
    if e.code == prim.E_RIM:
        name = plant.stores[e.ref]
        if not spilled(plant, trace, e.ref):
            return Moment(e.time, "note", TO_THE_RIM.format(name), name)
        return Moment(e.time, "harm", RUNS_OVER.format(name), name)
    if e.code == prim.E_RIM_END and spilled(plant, trace, e.ref):
        return Moment(e.time, "note", NO_LONGER.format(plant.stores[e.ref]), plant.stores[e.ref])
    if e.code == prim.E_POOL_FIRST:
        return Moment(e.time, "water", FIRST_IN.format(plant.places[e.ref].name), plant.places[e.ref].name)
    if e.code == prim.E_POOL_FULL:
        place, goes = plant.places[e.ref].name, onward(plant, trace.scenario.lying)
        if goes.kinds[e.ref] == prim.R_DRAIN:
            return Moment(e.time, "note", RUNS_OFF.format(place, goes.names[e.ref]), place)
        return Moment(e.time, "harm", FULL.format(place, goes.names[e.ref]), place)
    if e.code == prim.E_WATER:
        return Moment(e.time, "water", WATER if e.value > 0.0 else NO_WATER, "")
    return None


def _signal(plant: Plant, e: Event, trace: Trace) -> Moment | None:
    """The words for a signal that changed, if it has any."""
    on = e.value > 0.0
    if e.ref in plant.messages and on:
        return Moment(e.time, "message", message_text(plant.messages[e.ref]), "")
    say = plant.says.get(e.ref)
    text = "" if say is None else say.true if on else say.false
    if say is None or not text:
        return None
    kind = say.kind if on == say.when else "note"
    if kind in SHUTTING and _held_open(plant, trace, e):
        kind, text = "note", HELD.format(say.part)
    return Moment(e.time, kind, text, say.part)


def _held_open(plant: Plant, trace: Trace, e: Event) -> bool:
    """Whether a fault of the run holds a valve wide open by the time that it is told to shut."""
    gates = plant.hanging([e.ref])
    faults = (o for number in range(len(trace.scenario.onsets)) for o in trace.alike.get((prim.E_FAULT, number), ()))
    begun = {o.ref for o in faults if o.value > 0.0 and o.time <= e.time}
    return any(
        what == "low" and number in gates and value > HALF and plant.gates.get(number) == plant.says[e.ref].part
        for onset in begun
        for what, number, value in plant.fault(trace.scenario.onsets[onset].label).patches
    )
