"""Does the supply's water run on although all that could shut it has had its time?

A spill is bad when its water still runs, stands wherever it goes on to, and nothing that has begun in the logic is
still to end: what does not shut it then never will. Nobody shuts a valve by hand here.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine
from dewpond.proof.questions.layers import Layer, causes_of, layers, worst
from dewpond.proof.questions.water import Spill, onward
from dewpond.proof.search import search
from dewpond.proof.signals import automatic, by_hand, calls, order_of, salty

NO_POOLS = (prim.T_LEVEL, prim.T_FLOW, prim.T_CONC)


def before(plant: Plant, spill: Spill) -> tuple[Layer, ...]:
    """The layers that shut something on each way of a spill."""
    found = [layer for layer in layers(plant) if layer.ends_water]
    return tuple(layer for layer in found if all(layer.gate in way for way in spill.ways))


def runs_on(
    plant: Plant, spill: Spill, gates: Collection[int], untold: bool = False, only: Collection[str] | None = None
) -> tuple[Machine, int]:
    """The machine of a spill, where only these of the gates before it are ever shut, and the question whether it runs
    on; ``untold``: and nobody has been sent a message of it; ``only`` as in Draft.machine."""
    d = _draft(plant, spill, gates, untold)
    ways = [d.all(*(d.gate(g) for g in sorted(way) if g in gates)) for way in sorted(spill.ways, key=sorted)]
    gate = d.gate(spill.gate)
    runs = d.all(gate if spill.opens else d.no(gate), d.any(*ways))
    flow, everywhere, ebbs = runs, [], d.no(runs)
    places = list(onward(plant, spill.place))
    d.still()  # what moves elsewhere could only be told
    for what in _beside(plant, gates):
        d.moves(what)
    for place in places:
        above, goes_on = _lies(d, place)
        leaks = [d.begun(fault.label) for fault in plant.faults if _cracks(plant, fault, place)]
        cracked, taken = d.any(*leaks), d.any(*(d.at(s) for s in _outlets(plant, [place])))
        d.moves((prim.T_POOL, place), rises=d.all(flow, d.no(cracked)), falls=d.any(ebbs, cracked, taken))
        everywhere += [d.any(entry, cracked, taken) for entry in above]  # what an outlet takes need never stand there
        flow = d.all(flow, *(d.any(entry, cracked) for entry in goes_on))
    for edge in sorted(spill.counted):  # through which this water runs so fast that it is counted
        what = (prim.T_FLOW, edge)
        if marks := d.marks(what):
            d.moves(what, falls=d.no(runs))
            everywhere.append(d.above(what, max(marks), max(marks)))
    told = [d.once(d.any(*(d.at(s) for s in calls(plant))))] if untold else []
    bad = d.all(runs, *everywhere, *d.calm(spill.counted), *map(d.no, told))
    return d.machine(only, *told), bad


def _outlets(plant: Plant, places: Iterable[int]) -> list[int]:
    """The signals that outlets of these places are open."""
    return [s for s in (plant.arrays.place_out[place] for place in places) if s >= 0]


def _cracks(plant: Plant, fault: PlantFault, place: int) -> bool:
    """Whether a fault lets all that comes to a place go on to the next one."""
    goes_on = plant.arrays.place_next_kind[place] == prim.R_PLACE
    return goes_on and any(what == "holds" and (at, share) == (place, 0.0) for what, at, share in fault.patches)


def _beside(plant: Plant, gates: Collection[int]) -> list[tuple[int, int]]:
    """Levels, and what runs in lines and what it carries, that have a say in what shuts gates because of water: such a
    row acts only while they let it, and they stand as they like."""
    a = plant.arrays
    own = [layer for layer in layers(plant) if layer.ends_water and layer.gate in gates]
    causes = {s for layer in own for s in causes_of(plant, layer.trip, order_of(plant, layer.gate))}
    rows = (int(a.sig_arg[s]) for s in causes if a.sig_op[s] == prim.L_THRESHOLD)
    return sorted({(a.thr_kind[k], a.thr_ref[k]) for k in rows if a.thr_kind[k] in NO_POOLS})


def _draft(plant: Plant, spill: Spill, gates: Collection[int], untold: bool) -> Draft:
    """The orders of the gates, with what trips them. Nobody acts by hand, and water is as salty everywhere as it comes
    out."""
    own = order_of(plant, spill.gate)
    orders = [order for order in (order_of(plant, gate) for gate in gates) if order >= 0]
    trips = list(dict.fromkeys(layer.trip for layer in layers(plant) if layer.ends_water and layer.gate in gates))
    called = [order for order in orders if automatic(plant, order)]  # nothing but a fault leaves a tap running
    fixed = worst(plant, trips, called) | dict.fromkeys([*by_hand(plant), *plant.rearms], False)
    fixed |= salty(plant, range(len(plant.arrays.sig_op)), spill.salty)
    if own >= 0:  # what lets it out turns a signal
        forced = {n for label in spill.labels for what, n, _ in plant.fault(label).patches if what == "force"}
        fixed = {signal: value for signal, value in fixed.items() if signal not in forced}
        orders.append(own)
    outlets = _outlets(plant, onward(plant, spill.place))
    return Draft(plant, [*orders, *trips, *outlets, *(calls(plant) if untold else ())], fixed)


def _lies(d: Draft, place: int) -> tuple[list[int], list[int]]:
    """The signals "water stands above every mark of a place", and "it goes on from there"; none where it does at
    once."""
    a, what = d.plant.arrays, (prim.T_POOL, place)
    cap, marks = a.place_cap[place], d.marks(what)
    full = a.place_next_kind[place] == prim.R_PLACE and cap > 0.0
    return [d.above(what, max(marks), max(marks))] if marks else [], [d.above(what, cap, cap)] if full else []


def credited(plant: Plant, spill: Spill, compiled: bool) -> tuple[Layer, ...]:
    """Of the layers before a spill, those that stop it by themselves when nothing else fails."""
    found = []
    for layer in before(plant, spill):
        m, bad = runs_on(plant, spill, [layer.gate], only=spill.labels)
        result = search(m, bad, 1, compiled=compiled)
        if result.finished and not result.breaches:
            found.append(layer)
    return tuple(found)
