"""Whether a run of the engine ends with the supply's water running out for good, as the engine's own books have it.

Nobody acts, and no hand re-arms. What a vessel merely loses does not count: the water must have come from the supply to
where it gets out in the last days of the run, by the volumes that went through each edge then, and it must have come
out on a place in those days as well.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property, partial
from typing import NamedTuple

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.plant import DAY, Onset, Plant, PlantFault, Scenario, contrary
from dewpond.plant.trace import Trace
from dewpond.proof.machine import Machine
from dewpond.proof.prover import TWO, Prover
from dewpond.proof.questions import flooding
from dewpond.proof.questions.dosing import doses, overdosed
from dewpond.proof.questions.layers import layers, stays_shut
from dewpond.proof.questions.water import spills
from dewpond.proof.search import Breach, Search, search
from dewpond.proof.signals import by_hand

Sets = tuple[tuple[str, ...], ...]  # a set of faults, of each those that do the same
NOBODY = "nobody acts"
END, LAST = 6.0 * DAY, 2.0 * DAY  # of a run, and so much of it counts as its end [s]
LEAST = 1e-4  # as much at least must come out at the end [m3]
TRACE_OF = 1e-7  # less in those days is no flow [m3]
GAPS = (60.0, 6.0 * 3600.0, 2.0 * DAY)  # from one fault to the next [s]
FIRST = 3600.0


class Out(NamedTuple):
    """What ran out at the end: places [number: m3], the parts whose edges or rims it left, whether some of it was
    siphoned, and the run."""

    places: dict[int, float]
    leaves: tuple[str, ...]
    siphoned: bool
    trace: Trace


def unattended(plant: Plant) -> Plant:
    """The same house with one more fault, by which nobody ever acts."""
    patches = tuple(("force", signal, 0.0) for signal in (*by_hand(plant), *plant.rearms))
    nobody = PlantFault(NOBODY, "", "", "", "latent", "", 1e30, 1.0, patches)
    return replace(plant, faults=(*plant.faults, nobody))


def run(plant: Plant, onsets: tuple[Onset, ...], end: float) -> Trace:
    """A run of an unattended house."""
    scenario = Scenario("travelling", end, (Onset(NOBODY, 0.0), *onsets))
    trace = engine.run(plant, scenario, compiled=True)
    assert not any(
        e.code == prim.E_SIGNAL and e.value > 0.0 and e.ref in {*by_hand(plant), *plant.rearms} for e in trace.events
    )
    return trace


def runs_on(plant: Plant, onsets: tuple[Onset, ...]) -> Out | None:
    """What of the supply's water runs out at the end; None: nothing does, or the run was broken off."""
    last = run(plant, onsets, END)
    if last.end < END or (not last.wet and last.ended < END - LAST):
        return None
    return ran_out(plant, run(plant, onsets, END - LAST), last)


def ran_out(plant: Plant, early: Trace, late: Trace) -> Out | None:
    """What came from the supply, and out, between the ends of two runs that are otherwise alike."""
    a = plant.arrays
    siphoned = 0.0
    onward: dict[int, set[int]] = {}
    outlets: dict[int, list[tuple[int, float, str]]] = {}  # spot -> (place, volume, part)
    through: dict[int, float] = {}  # place -> through edges
    for edge, (start, end) in enumerate(zip(a.edge_a, a.edge_b, strict=True)):
        much = late.moved[edge] - early.moved[edge]
        if abs(much) <= TRACE_OF:
            continue
        if a.edge_gate[edge] >= 0 and a.gate_kind[a.edge_gate[edge]] == prim.G_PRIMED:
            siphoned += abs(much)
        here, there = (_pot(plant, n) for n in ((start, end) if much > 0.0 else (end, start)))
        onward.setdefault(here, set()).add(there)
        if much > 0.0 and a.node_kind[end] == prim.AIR and a.node_rkind[end] == prim.R_PLACE:
            place = a.node_rref[end]
            through[place] = through.get(place, 0.0) + much
            outlets.setdefault(here, []).append((place, much, plant.parts[a.edge_owner[edge]]))
    for place in range(len(plant.places)):
        came = late.place_total[place] - early.place_total[place] - through.get(place, 0.0)
        came -= sum(late.place_over[p] - early.place_over[p] for p in _before(plant, place))
        if came > LEAST:
            for store in _full(plant, late, place):
                outlets.setdefault(-1 - store, []).append((place, came, plant.stores[store]))
    seen = set(supplies(plant))
    todo = list(seen)
    while todo:
        new = onward.get(todo.pop(), set()) - seen
        seen |= new
        todo += new
    found = [one for spot in seen for one in outlets.get(spot, ())]
    places: dict[int, float] = {}
    for place, much, _ in found:
        places[place] = places.get(place, 0.0) + much
    if late.total[prim.V_SUPPLY] - early.total[prim.V_SUPPLY] < LEAST or sum(places.values()) < LEAST:
        return None
    return Out(places, tuple(dict.fromkeys(part for *_, part in found)), siphoned > LEAST, late)


def supplies(plant: Plant) -> list[int]:
    """Nodes where water enters the house under a pressure that may fail; a bucket that a person empties is none."""
    return sorted({number for fault in plant.faults for what, number, _ in fault.patches if what == "source"})


def _before(plant: Plant, place: int) -> Iterator[int]:
    a = plant.arrays
    for one in range(len(plant.places)):
        if a.place_next_kind[one] == prim.R_PLACE and a.place_next[one] == place:
            yield one


def _full(plant: Plant, trace: Trace, place: int) -> Iterator[int]:
    """Vessels that have come to their rims round which a place lies."""
    a = plant.arrays
    for store in dict.fromkeys(e.ref for e in trace.events if e.code == prim.E_RIM):
        if a.store_rkind[store] == prim.R_PLACE and a.store_rref[store] == place:
            yield store


def _pot(plant: Plant, node: int) -> int:
    """A node, or the vessel that it opens into as -1 - its number."""
    a = plant.arrays
    return -1 - a.node_ref[node] if a.node_kind[node] in (prim.TAP, prim.SPOUT) else node


class Listed:
    """What a proof lists for a house, and what it says beside that list."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.spills = spills(plant)
        self.sets: list[Sets] = []
        for spill in self.spills:
            m, found = _put(plant, flooding.runs_on(plant, spill, spill.gates))
            alike = [_labels(m, breach) for breach in found.breaches]
            self.sets += [tuple(spill.labels if set(one) & set(spill.labels) else one for one in s) for s in alike]
        self.leaks = tuple(dict.fromkeys(label for spill in self.spills for label in spill.labels))

    @cached_property
    def over(self) -> list[tuple[str, Sets]]:
        """By vessel that a pump fills, the sets with which it stands above what it bears."""
        found = []
        for dose in doses(self.plant):
            m, search = _put(self.plant, overdosed(self.plant, dose))
            found += [(self.plant.stores[dose.store], _labels(m, breach)) for breach in search.breaches]
        return found

    @cached_property
    def again(self) -> list[tuple[int, Sets]]:
        """By trip that water brings, the sets with which what it shut opens again without a hand."""
        found, prover = [], Prover(self.plant, {}, TWO, compiled=True)
        for layer in layers(self.plant):
            if layer.by_water:
                m, search = prover.near_first(partial(stays_shut, self.plant, layer), TWO)
                found += [(layer.trip, _labels(m, breach)) for breach in search.breaches]
        return found

    def why(self, onsets: tuple[Onset, ...], out: Out) -> str:
        """Where the proof says that this water runs on: "listed", "over a rim" by a pump; or why it does not: "again",
        as it was stopped and came back, "little", as it does not come to stand at a probe, "siphon"; else ""."""
        labels = {onset.label for onset in onsets}
        if any(_within(one, labels) for one in self.sets):
            return "listed"
        if any(vessel in out.leaves and _within(one, labels) for vessel, one in self.over):
            return "over a rim"
        if fell := self._fell(out.trace):
            return "again" if any(trip in fell and _within(one, labels) for trip, one in self.again) else ""
        a = self.plant.arrays
        for place in out.places:
            rows = zip(a.thr_kind, a.thr_ref, a.thr_on, strict=True)
            if any(kind == prim.T_POOL and ref == place and out.trace.pool[place] < on for kind, ref, on in rows):
                return "little"
        return "siphon" if out.siphoned else ""

    def _fell(self, trace: Trace) -> set[int]:
        """Trips by water that were over at some time of the end."""
        trips = {layer.trip for layer in layers(self.plant) if layer.by_water}
        late = (e for e in trace.events if e.code == prim.E_SIGNAL and e.time > END - LAST)
        return {e.ref for e in late if e.ref in trips and e.value == 0.0}


def _put(plant: Plant, asked: tuple[Machine, int]) -> tuple[Machine, Search]:
    m, bad = asked
    found = search(m, bad, TWO, compiled=True)
    assert found.finished, plant.parts
    return m, found


def _labels(m: Machine, breach: Breach) -> Sets:
    return tuple(m.faults[f].labels for f in breach.faults)


def _within(one: Sets, labels: set[str]) -> bool:
    """Whether of each class of a set a fault is among the labels."""
    return all(set(alike) & labels for alike in one)


def singles(plant: Plant) -> Iterator[tuple[Onset, ...]]:
    """Every fault alone."""
    for fault in plant.faults:
        if fault.label != NOBODY:
            yield (Onset(fault.label, FIRST),)


def pairs(plant: Plant, seed: str, many: int, leaks: tuple[str, ...]) -> Iterator[tuple[Onset, ...]]:
    """So many pairs of faults, each in both orders; one of two is a leak in most, and both are in some."""
    rng = random.Random(seed)
    labels = [fault.label for fault in plant.faults if fault.label != NOBODY]
    while many > 0:
        one = rng.choice(leaks if rng.random() < 0.75 else labels)
        other = rng.choice(leaks if rng.random() < 0.25 else labels)
        if one != other and not contrary(plant.fault(one), plant.fault(other)):
            many -= 1
            gap = rng.choice(GAPS)
            yield Onset(one, FIRST), Onset(other, FIRST + gap)
            yield Onset(other, FIRST), Onset(one, FIRST + gap)
