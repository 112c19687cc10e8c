"""What a trip makes of its sensors: silent when all is well, awake when its water has come, each broken wire told."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from dewpond.plant import primitives as prim
from dewpond.plant.certain import known_anyway
from dewpond.plant.plant import Plant, PlantFault
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine
from dewpond.proof.questions.dosing import doses, ordinary
from dewpond.proof.questions.layers import Layer, causes_of, counts_time, layers, pools_of, worst
from dewpond.proof.signals import by_hand, calls, hanging_on, order_of, salty


def cries(plant: Plant, layer: Layer) -> tuple[Machine, int]:
    """The machine of a trip while all floors are dry and every level stands as at first, but for those that pumps fill
    from mark to mark, with the question: it has tripped."""
    d = _still(plant, layer)
    _keep_between_marks(d)
    bad = d.at(layer.trip)
    return d.machine(()), bad


def says_anyway(plant: Plant, signal: int) -> tuple[Machine, int]:
    """The machine of a message while nothing moves at all, with the question: it is sent."""
    d = Draft(plant, [signal], dict.fromkeys([*plant.rearms, *by_hand(plant)], False))
    d.still()
    bad = d.once(d.any(d.at(signal)))
    return d.machine(()), bad


def _keep_between_marks(d: Draft) -> None:
    """Pumps keep the vessels that they fill between the marks that call for them."""
    for dose in doses(d.plant):
        for low, high in ordinary(d.plant, dose):
            what = (prim.T_LEVEL, dose.store)
            d.moves(what, rises=d.no(d.above(what, high, high)), falls=d.above(what, low, low))


def sleeps(plant: Plant, layer: Layer) -> list[tuple[Machine, int]]:
    """Machines of a trip by water, with the question: tap water lies at all its probes, nothing that has begun is still
    to end, and it has not tripped; then the same with water in one place at a time, where there are several."""
    causes = causes_of(plant, layer.trip, order_of(plant, layer.gate))
    places = [place for _, place in pools_of(plant, causes)]
    return [_asleep(plant, layer, wet) for wet in (places, *([one] for one in places if len(places) > 1))]


def _asleep(plant: Plant, layer: Layer, places: list[int]) -> tuple[Machine, int]:
    d = _still(plant, layer, wet=True)
    for place in places:
        d.moves((prim.T_POOL, place))
    tops = [((prim.T_POOL, place), max(d.marks((prim.T_POOL, place)))) for place in places]
    bad = d.all(*(d.above(what, top, top) for what, top in tops), *d.calm(), d.no(d.at(layer.trip)))
    return d.machine(()), bad


def _still(plant: Plant, layer: Layer, wet: bool = False) -> Draft:
    """A trip in a world that does not move; ``wet``: what lies anywhere is tap water."""
    causes = causes_of(plant, layer.trip, order_of(plant, layer.gate))
    d = Draft(plant, [layer.trip], dict.fromkeys(by_hand(plant), False) | salty(plant, causes, wet))
    d.still()
    return d


def re_armed_blindly(plant: Plant, layer: Layer, store: int) -> tuple[Machine, int] | None:
    """The machine of a layer, with the question: a hand has re-armed it, and so opened or started it, while what
    tripped it was truly there. Of a limit on a run that is water above the mark up to which ``store`` is filled; None
    where nothing is known of that."""
    order = order_of(plant, layer.gate)
    causes = causes_of(plant, layer.trip, order)
    fixed = worst(plant, [layer.trip], [order]) | salty(plant, causes, True)
    d = Draft(plant, [order, layer.trip], fixed)
    if layer.by_water or not counts_time(plant, causes):
        truths = [d.at(entry) for entry in _cause(plant, layer.trip)]
    else:
        truths = [d.above((prim.T_LEVEL, store), top, top) for top in _filled_to(plant, layer, store)]
    presses = [d.at(s) for s in causes if s in plant.rearms]
    if not truths or not presses:
        return None
    there, press, open_ = d.any(*truths), d.any(*presses), d.gate(layer.gate)
    shut = d.once(d.all(d.at(layer.trip), d.no(open_)), d.all(open_, d.no(press)))
    bad = d.once(d.all(shut, press, there, open_), d.no(there))
    return d.machine(), bad


def _cause(plant: Plant, trip: int) -> list[int]:
    """What sets a trip that is kept, without how long it must last, in a list; none where it is not kept."""
    a = plant.arrays
    if a.sig_op[trip] != prim.L_LATCH:
        return []
    entry = a.sig_in[a.sig_in_at[trip]]
    if entry >= 0 and a.sig_op[entry] == prim.L_ON_DELAY:
        entry = a.sig_in[a.sig_in_at[entry]]
    return [entry]


def _filled_to(plant: Plant, layer: Layer, store: int) -> list[float]:
    """The mark at which what fills a vessel ends, in a list: none where no other layer's marks leave one over. Of a
    sensor with two marks that is the upper one; of several sensors, the lowest of theirs."""
    a = plant.arrays
    order = order_of(plant, layer.gate)
    others = [one.trip for one in layers(plant) if one.gate == layer.gate and one.trip != layer.trip]
    beside = {s for trip in others for s in causes_of(plant, trip, order)}
    tops = dict[int, float]()
    for s in hanging_on(plant, [order], known_anyway(plant)):
        k = int(a.sig_arg[s]) if a.sig_op[s] == prim.L_THRESHOLD and s not in beside else -1
        if k >= 0 and (a.thr_kind[k], a.thr_ref[k]) == (prim.T_LEVEL, store):
            tops[a.sig_owner[s]] = max(a.thr_on[k], tops.get(a.sig_owner[s], 0.0))
    return [min(tops.values())] if tops else []


def hidden(plant: Plant, fault: PlantFault, trips: Collection[int]) -> tuple[Machine, int]:
    """The machine of all messages and ``trips`` in a world that does not move, with the question: a fault stands, all
    that had to follow has followed, and nothing has been told, nothing has tripped or started or moved by it: what it
    does is for other rules."""
    orders = sorted({order_of(plant, gate) for gate in plant.gates} - {-1, *calls(plant), *trips})
    d = Draft(plant, [*calls(plant), *trips, *orders], dict.fromkeys([*plant.rearms, *by_hand(plant)], False))
    d.still()
    begun = d.begun(fault.label)
    shown = d.once(d.any(*(d.at(signal) for signal in (*calls(plant), *trips)), *(d.moved(s, begun) for s in orders)))
    bad = d.all(begun, d.no(shown), *d.calm())
    return d.machine([fault.label]), bad


def wires(plant: Plant) -> Iterator[PlantFault]:
    """Faults that leave a sensor's contact open for ever: what they hold is what the sensor makes of it last."""
    a = plant.arrays
    for fault in plant.faults:
        for what, number, value in fault.patches:
            owner = a.sig_owner[number] if what == "force" else -1
            if owner < 0 or value or fault.timing != "latent" or plant.parts[owner] != fault.part:
                continue
            onward = [s for s in plant.readers.get(number, ()) if a.sig_owner[s] == owner and _single(plant, s)]
            if _single(plant, number) and any(_leaves(plant, s, owner) for s in onward):
                yield fault


def _single(plant: Plant, signal: int) -> bool:
    a = plant.arrays
    return a.sig_op[signal] == prim.L_VOTE and a.sig_in_at[signal + 1] - a.sig_in_at[signal] == 1


def _leaves(plant: Plant, signal: int, owner: int) -> bool:
    return any(plant.arrays.sig_owner[s] != owner for s in plant.readers.get(signal, ()))
