"""Each valve or pump that something shuts because of water or a level, by itself: what it must never do."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft, hanging_on, of_people
from dewpond.proof.machine import Machine

WATER = (prim.T_POOL, prim.T_POOL_SALT)
NEAR = 6  # signals more than the trip hangs on: what adds no more is followed; our prior


class Layer(NamedTuple):
    """A trip and a gate that it shuts: the plant's signal and gate, the part that has the gate, the words of the trip;
    ``by_water``: a probe is among its causes."""

    trip: int
    gate: int
    part: str
    says: str
    by_water: bool


def layers(plant: Plant) -> Iterator[Layer]:
    """Every trip with every gate that it shuts."""
    a = plant.arrays
    for trip in plant.trips:
        hangs = hanging_on(plant, [trip])
        kinds = {a.thr_kind[int(a.sig_arg[s])] for s in hangs if a.sig_op[s] == prim.L_THRESHOLD}
        for gate in sorted(plant.hanging([trip], ())):
            if gate in plant.gates:
                yield Layer(trip, gate, plant.gates[gate], plant.says[trip].true, bool(kinds & set(WATER)))


def stays_shut(plant: Plant, layer: Layer) -> tuple[Machine, int]:
    """The machine of a layer, with the question: it has shut because of its trip, and is open although no hand has
    re-armed it since."""
    a = plant.arrays
    order = (a.gate_ref if a.gate_kind[layer.gate] == prim.G_SIGNAL else a.gate_ref2)[layer.gate]
    d = Draft(plant, [order, layer.trip], worst(plant, layer.trip, order))
    d.sticks(
        shortest(plant, layer.trip, order) & {s for s, o in enumerate(a.sig_owner) if plant.parts[o] == layer.part}
    )
    open_ = d.gate(layer.gate)
    hands = [d.at(s) for s in hanging_on(plant, [layer.trip]) if s in plant.rearms]
    held = d.once(d.all(d.at(layer.trip), d.no(open_)), d.any(*hands))
    again = d.all(held, open_)
    return d.machine(), again


def worst(plant: Plant, trip: int, order: int) -> dict[int, bool]:
    """Signals that have a say in an order and none in the trip, as they are when all beside the trip wants it given:
    what calls for a pump always does, and whatever else would stop it does not. Left out are those that hang on little
    more than the trip does, its power for one, and those of which it depends which value is the worse."""
    people = of_people(plant)
    causes = set(hanging_on(plant, [trip], people))
    onward = shortest(plant, trip, order) - {trip}
    signs: dict[int, set[bool]] = {order: {True}}
    todo = [order]
    while todo:
        signal = todo.pop()
        for entry, turns in _turning(plant, signal) if signal in onward else ():
            number = entry if entry >= 0 else -1 - entry
            mine = {sign != (turns != (entry < 0)) for sign in signs[signal]} if turns is not None else {True, False}
            if not mine <= signs.setdefault(number, set()):
                signs[number] |= mine
                todo.append(number)
    beside = signs.keys() - causes - onward - people
    far = set()
    for signal in beside:
        hangs = set(hanging_on(plant, [signal], people))
        if hangs & people or len(hangs - causes) > NEAR:
            far.add(signal)
    return {s: sign for s in far if len(signs[s]) == 1 for sign in signs[s]}


def shortest(plant: Plant, first: int, last: int) -> frozenset[int]:
    """The signals on the shortest ways by which one signal has a say in another, both among them. On others it comes
    back to itself: a pump that runs counts its run, and that is none of what a trip stops it by."""
    row, distance = [first], {first: 0}
    while row and last not in distance:
        row = list(dict.fromkeys(r for s in row for r in plant.readers.get(s, ()) if r not in distance))
        distance |= dict.fromkeys(row, 1 + max(distance.values()))
    found, todo = {last}, [last]
    while todo:
        signal = todo.pop()
        for entry, _ in _turning(plant, signal):
            number = entry if entry >= 0 else -1 - entry
            if distance.get(number, -1) == distance.get(signal, -1) - 1 and number not in found:
                found.add(number)
                todo.append(number)
    return frozenset(found)


def _turning(plant: Plant, signal: int) -> list[tuple[int, bool | None]]:
    """The inputs of a signal, and whether each turns it the other way; None: one way or the other."""
    a = plant.arrays
    ins = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
    if a.sig_op[signal] == prim.L_LATCH:
        return [(ins[0], False), (ins[1], True), (ins[2], True)]
    if a.sig_op[signal] == prim.L_HOLD:
        return [(ins[0], False), (ins[1], None)]
    return [(entry, False) for entry in ins]
