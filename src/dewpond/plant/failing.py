"""Protections that a run reached and that could not act: by a fault of the run, or by what was assumed of them.

A probe that lies wet and says nothing counts, whatever keeps it silent; so does the valve behind it that nothing else
has ordered to shut.
"""

from __future__ import annotations

from collections.abc import Iterable

from dewpond.plant import primitives as prim
from dewpond.plant.asked import meets
from dewpond.plant.kernel.marks import TRUE
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace

NARROWS = ("scale", "passage")  # what a fault does to the way of the water that is nobody's to do
SPEAKS = ("notice", "trip")  # kinds of words by which a protection shows that it has acted


def stuck(plant: Plant, trace: Trace) -> tuple[str, ...]:
    """Parts that had to act and could not, in the plant's order: those whose hidden fault this run met, and probes that
    lay wet in silence to the end."""
    came = {e.ref for e in trace.events if e.code == prim.E_FAULT and e.value > 0.0}
    faults = [plant.fault(onset.label) for number, onset in enumerate(trace.scenario.onsets) if number in came]
    hidden = [f for f in faults if f.timing in ("latent", "triggered")]
    acts = (f for f in hidden if not all(what in NARROWS for what, _, _ in f.patches))  # no kinked tube is told to act
    found = {f.part for f in acts if meets(plant, trace, f)}
    found |= silent(plant, trace)
    return tuple(name for name in plant.parts if name in found)


def silent(plant: Plant, trace: Trace) -> set[str]:
    """Parts whose probe lay wet at some time while nothing came of it, then or later."""
    since: dict[str, float] = {}
    spoke: dict[str, float] = {}
    for e in trace.events:
        say = plant.says.get(e.ref) if e.code == prim.E_SIGNAL and e.value > 0.0 else None
        if say is not None and say.kind == "silent":
            since.setdefault(say.part, e.time)
        elif say is not None and say.kind in SPEAKS:
            spoke[say.part] = e.time
    return {part for part, time in since.items() if spoke.get(part, -1.0) < time}


def unordered(plant: Plant, trace: Trace, stopped_short: Iterable[str]) -> tuple[str, ...]:
    """Valves that stood open to the end because what should have had them shut could not: behind a probe that was
    reached, and behind one of ``stopped_short``."""
    short = set(stopped_short)
    reached = {say.part for number, say in plant.says.items() if say.kind == "reached" and trace.seen[number] >= TRUE}
    probes = {say.part for say in plant.says.values() if say.kind == "reached"}
    found = _valves(plant, trace, reached | (short & probes)) & _valves(plant, trace, short)
    return tuple(name for name in plant.parts if name in found - short)


def _valves(plant: Plant, trace: Trace, parts: set[str]) -> set[str]:
    """Parts with a gate that hangs on orders alone, that anything of ``parts`` has a say in, and that never shut."""
    said = _reads(plant, parts)
    a = plant.arrays
    return {
        part
        for gate, part in plant.gates.items()
        if a.gate_kind[gate] == prim.G_SIGNAL and a.gate_ref[gate] in said and trace.seen[a.gate_ref[gate]] == TRUE
    }


def _reads(plant: Plant, parts: set[str]) -> frozenset[int]:
    """Signals of ``parts`` that are no person, and all that read them, but for what goes through a person."""
    own = (s for s, o in enumerate(plant.arrays.sig_owner) if o >= 0 and plant.parts[o] in parts - plant.people)
    return plant.reading(own)
