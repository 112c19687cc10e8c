"""Each valve or pump that something shuts because of water or a level, by itself: what it must never do."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine
from dewpond.proof.signals import beyond, by_hand, hanging_on, of_people, order_of, salty

WATER = (prim.T_POOL, prim.T_POOL_SALT)
NEAR = 6  # signals more than the trip hangs on: what adds no more is followed; our prior


class Layer(NamedTuple):
    """A trip and a gate that it shuts: the plant's signal and gate, the part that has the gate, the words of the trip;
    ``by_water``: a probe is among its causes; counted: edges with that gate, of which the part itself counts what comes
    through, to shut after so much."""

    trip: int
    gate: int
    part: str
    says: str
    by_water: bool
    counted: tuple[int, ...] = ()

    @property
    def ends_water(self) -> bool:
        """Whether it shuts because water gets out, or because so much has run."""
        return self.by_water or bool(self.counted)


def layers(plant: Plant) -> tuple[Layer, ...]:
    """Every trip with every gate that it shuts."""
    return plant.once("layers", lambda: tuple(_layers(plant)))


def _layers(plant: Plant) -> Iterator[Layer]:
    a = plant.arrays
    for trip in plant.trips:
        for gate in sorted(plant.hanging([trip], ())):
            if gate in plant.gates:
                hangs = causes_of(plant, trip, order_of(plant, gate))
                kinds = {a.thr_kind[int(a.sig_arg[s])] for s in hangs if a.sig_op[s] == prim.L_THRESHOLD}
                part, says = plant.gates[gate], plant.says[trip]
                own = _counted(plant, hangs, gate) if says.part == part else ()
                yield Layer(trip, gate, part, says.true, bool(kinds & set(WATER)), own)


def _counted(plant: Plant, signals: Collection[int], gate: int) -> tuple[int, ...]:
    """The edges with a gate that an order moves, through which a trip counts what comes."""
    a = plant.arrays
    rows = (int(a.sig_arg[s]) for s in signals if a.sig_op[s] == prim.L_THRESHOLD)
    edges = {a.cnt_edge[a.thr_ref[k]] for k in rows if a.thr_kind[k] == prim.T_COUNTER} - {-1}
    shuts = a.gate_kind[gate] == prim.G_SIGNAL
    return tuple(sorted(edge for edge in edges if shuts and a.edge_gate[edge] == gate))


def causes_of(plant: Plant, trip: int, order: int) -> tuple[int, ...]:
    """Signals that a trip hangs on, but for what only its own order does: what it stops may count its run, and that
    hangs on all that stops it."""
    return hanging_on(plant, [trip], shortest(plant, trip, order) - {trip})


def stays_shut(plant: Plant, layer: Layer, depth: int = 0, only: Collection[str] | None = None) -> tuple[Machine, int]:
    """The machine of a layer, with the question: it has shut because of its trip, and is open although no hand has
    re-armed it since. ``depth``: what lies further off than so many signals is taken to change of itself, which only
    adds behaviour; 0: nothing is; ``only`` as in Draft.machine."""
    d, _, again = _shut_before(plant, layer, depth)
    return d.machine(only), again


def shuts(plant: Plant, layer: Layer) -> tuple[Machine, int]:
    """The machine of a layer, with the question: it has shut because of its trip."""
    d, held, _ = _shut_before(plant, layer, depth=0)
    return d.machine(()), held


def opens_wet(plant: Plant, layer: Layer, only: Collection[str]) -> tuple[Machine, int]:
    """The same of a layer that trips by water, with the question besides: water lies at each of its probes still, and
    nothing that has begun is still to end; ``only`` as in Draft.machine."""
    d, _, again = _shut_before(plant, layer, depth=0)
    pools = pools_of(plant, causes_of(plant, layer.trip, order_of(plant, layer.gate)))
    bad = d.all(
        again, *(d.above(what, top, top) for what in pools for top in [max(d.marks(what), default=0.0)]), *d.calm()
    )
    return d.machine(only), bad


def opens_full(plant: Plant, layer: Layer, only: Collection[str]) -> tuple[Machine, int]:
    """The same of a layer that trips by levels, while none of them moves any more once it has shut; ``only`` as in
    Draft.machine."""
    d, held, again = _shut_before(plant, layer, depth=0)
    for store in levels_of(plant, causes_of(plant, layer.trip, order_of(plant, layer.gate))):
        d.moves((prim.T_LEVEL, store), rises=d.no(held), falls=d.no(held))
    return d.machine(only), again


def _shut_before(plant: Plant, layer: Layer, depth: int) -> tuple[Draft, int, int]:
    """The draft of a layer, and the signals "it has shut because of its trip, and no hand has re-armed it since" and
    "and it is open"."""
    a, order = plant.arrays, order_of(plant, layer.gate)
    causes = causes_of(plant, layer.trip, order)
    hands = [s for s in causes if s in plant.rearms]
    loose = beyond(plant, [order, layer.trip], depth) - {*hands, layer.trip} if depth else frozenset()
    d = Draft(plant, [order, layer.trip], worst(plant, [layer.trip], [order]) | salty(plant, causes, True), loose)
    own = {s for s, o in enumerate(a.sig_owner) if plant.parts[o] == layer.part}
    d.sticks(shortest(plant, layer.trip, order) & own)
    open_ = d.gate(layer.gate)
    held = d.once(d.all(d.at(layer.trip), d.no(open_)), d.any(*(d.at(s) for s in hands if d.has(s))))
    return d, held, d.all(held, open_)


def pools_of(plant: Plant, signals: Collection[int]) -> list[tuple[int, int]]:
    """The waters lying in places that signals compare with marks."""
    a = plant.arrays
    rows = [int(a.sig_arg[s]) for s in signals if a.sig_op[s] == prim.L_THRESHOLD]
    return sorted({(prim.T_POOL, a.thr_ref[k]) for k in rows if a.thr_kind[k] == prim.T_POOL})


def levels_of(plant: Plant, signals: Collection[int]) -> list[int]:
    """The vessels whose level signals compare with marks."""
    a = plant.arrays
    rows = [int(a.sig_arg[s]) for s in signals if a.sig_op[s] == prim.L_THRESHOLD]
    return sorted({a.thr_ref[k] for k in rows if a.thr_kind[k] == prim.T_LEVEL})


def worst(plant: Plant, trips: Collection[int], orders: Collection[int]) -> dict[int, bool]:
    """Signals that have a say in orders and none in the trips, as they are when all beside the trips wants them given:
    what calls for a pump always does, and whatever else would stop it does not; no hand stops anything.

    Left out are those that the trips have a say in by another way, such as a motor that turns after a time; those that
    hang on little more than the trips do, their power for one; and those of which it depends which value is worse."""
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
    beside = signs.keys() - causes - onward - people - _detours(plant, trips, onward)
    far = set()
    for signal in beside:
        hangs = set(hanging_on(plant, [signal], people))
        if hangs & people or len(hangs - causes) > NEAR:
            far.add(signal)
    fixed = {s: sign for s in far if len(signs[s]) == 1 for sign in signs[s]}
    for signal, value in list(fixed.items()):  # what keeps it open whatever trips would leave nothing to ask
        known = {signal: value, **dict.fromkeys(trips, True)}
        if any(order in onward and _settles(plant, known, order) for order in orders):
            del fixed[signal]
    return fixed | dict.fromkeys(by_hand(plant), False)


def _settles(plant: Plant, known: dict[int, bool], order: int) -> bool:
    """Whether an order is given for certain where some signals are known and all others may be anything."""
    a = plant.arrays
    found: dict[int, bool | None] = dict(known)

    def value(signal: int) -> bool | None:
        if signal not in found:
            found[signal] = None  # what hangs on itself is not certain
            if a.sig_op[signal] == prim.L_CONST:
                found[signal] = a.sig_arg[signal] > 0.0
            elif a.sig_op[signal] == prim.L_VOTE:
                entries = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
                votes = [turned(value(-1 - e), True) if e < 0 else value(e) for e in entries]
                if votes.count(True) >= a.sig_arg[signal]:
                    found[signal] = True
                elif len(votes) - votes.count(False) < a.sig_arg[signal]:
                    found[signal] = False
            elif a.sig_op[signal] in (prim.L_ON_DELAY, prim.L_OFF_DELAY):
                entry = a.sig_in[a.sig_in_at[signal]]
                found[signal] = turned(value(-1 - entry), True) if entry < 0 else value(entry)
        return found[signal]

    def turned(one: bool | None, turn: bool) -> bool | None:
        return one if one is None or not turn else not one

    return value(order) is True


def _detours(plant: Plant, trips: Collection[int], onward: frozenset[int]) -> set[int]:
    """Signals by which a trip comes to its order on another way: they hang on one of the signals ``onward``, and have a
    say in one that is nearer to the order."""
    a, distance, row = plant.arrays, dict.fromkeys(trips, 0), list(trips)
    while row:
        row = list({r for s in row for r in plant.readers.get(s, ()) if r in onward and r not in distance})
        distance |= dict.fromkeys(row, 1 + max(distance.values()))
    found = set()
    for signal in {-1 - e if e < 0 else e for s in onward for e in a.sig_in[a.sig_in_at[s] : a.sig_in_at[s + 1]]}:
        if signal in distance:
            continue
        hangs = {s for s in hanging_on(plant, [signal], distance) if s in distance}
        nearest = max((distance[r] for r in plant.readers.get(signal, ()) if r in distance), default=0)
        if any(distance[s] < nearest for s in hangs):
            found.add(signal)
    return found


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


def counts_time(plant: Plant, signals: Collection[int]) -> bool:
    """Whether a trip hangs on whether something runs, how long, or how much of it has."""
    a = plant.arrays
    marks = (int(a.sig_arg[s]) for s in signals if a.sig_op[s] == prim.L_THRESHOLD)
    return any(a.thr_kind[k] in (prim.T_COUNTER, prim.T_FLOW) for k in marks)
