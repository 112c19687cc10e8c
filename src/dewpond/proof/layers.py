"""Each valve or pump that something shuts because of water or a level, by itself: what it must never do."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft, beyond, hanging_on, of_people, order_of
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
        for gate in sorted(plant.hanging([trip], ())):
            if gate in plant.gates:
                hangs = causes_of(plant, trip, order_of(plant, gate))
                kinds = {a.thr_kind[int(a.sig_arg[s])] for s in hangs if a.sig_op[s] == prim.L_THRESHOLD}
                yield Layer(trip, gate, plant.gates[gate], plant.says[trip].true, bool(kinds & set(WATER)))


def causes_of(plant: Plant, trip: int, order: int) -> tuple[int, ...]:
    """Signals that a trip hangs on, but for what only its own order does: what it stops may count its run, and that
    hangs on all that stops it."""
    return hanging_on(plant, [trip], shortest(plant, trip, order) - {trip})


def stays_shut(plant: Plant, layer: Layer, depth: int = 0, only: Collection[str] | None = None) -> tuple[Machine, int]:
    """The machine of a layer, with the question: it has shut because of its trip, and is open although no hand has
    re-armed it since. ``depth``: what lies further off than so many signals is taken to change of itself, which only
    adds behaviour; 0: nothing is; ``only`` as in Draft.machine."""
    a = plant.arrays
    order = order_of(plant, layer.gate)
    hands = [s for s in causes_of(plant, layer.trip, order) if s in plant.rearms]
    loose = beyond(plant, [order, layer.trip], depth) - {*hands, layer.trip} if depth else frozenset()
    d = Draft(plant, [order, layer.trip], worst(plant, [layer.trip], [order]), loose)
    d.sticks(
        shortest(plant, layer.trip, order) & {s for s, o in enumerate(a.sig_owner) if plant.parts[o] == layer.part}
    )
    open_ = d.gate(layer.gate)
    held = d.once(d.all(d.at(layer.trip), d.no(open_)), d.any(*(d.at(s) for s in hands if d.has(s))))
    again = d.all(held, open_)
    return d.machine(only), again


def worst(plant: Plant, trips: Collection[int], orders: Collection[int]) -> dict[int, bool]:
    """Signals that have a say in orders and none in the trips, as they are when all beside the trips wants them given:
    what calls for a pump always does, and whatever else would stop it does not. Left out are those that hang on little
    more than the trips do, their power for one, and those of which it depends which value is the worse."""
    people = of_people(plant)
    onward = frozenset().union(*(shortest(plant, trip, order) for trip in trips for order in orders)) - set(trips)
    causes = set(hanging_on(plant, trips, people | onward))
    signs: dict[int, set[bool]] = {order: {True} for order in orders}
    todo = list(orders)
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
    if last not in distance:
        return frozenset()
    found, todo = {last}, [last]
    while todo:
        signal = todo.pop()
        for entry, _ in _turning(plant, signal):
            number = entry if entry >= 0 else -1 - entry
            if number in distance and distance[number] == distance[signal] - 1 and number not in found:
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
