"""Which vessel tops up which tank, what a reservoir can give, and what ordinary days carry off: read from the plant."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.full import full_level
from dewpond.study.year.model import Coil, Exchange, Reservoir

SALT_FREE = 1.0  # dissolved matter up to which water may be a top-off [kg/m3]; our prior
LEAST_DRAINED = 1e-3  # water of ordinary days that is worth a word [m3]; our prior


@dataclass(frozen=True)
class Body:
    """A tank with all that mixes with it: vessels by name, water [m3], dissolved matter now and after ordinary days
    [kg], salt water that they carry off [m3/s]; what other vessels bring in for it."""

    tank: str
    vessels: frozenset[str]
    water: float
    matter: float
    later: float
    lost: float
    brought: tuple[Exchange, ...] = ()

    @property
    def net(self) -> float:
        """What the top-off makes up for, beside evaporation [m3/s]: below zero where more is brought than lost."""
        return self.lost - sum(one.flow for one in self.brought)


def stores_of(plant: Plant, body: int) -> list[int]:
    """The stores of one body of water."""
    return [store for store, own in enumerate(plant.arrays.store_body) if own == body]


def reach(plant: Plant, node: int) -> Iterator[int]:
    """The ends that water comes to which goes on from a node with the stream: vessels, air, supplies."""
    a = plant.arrays
    onward = plant.once("onward", lambda: _onward(plant))
    todo, seen = [node], {node}
    while todo:
        here = todo.pop()
        if a.node_kind[here] not in (prim.JUNCTION, prim.SPRING):
            yield here
            continue
        for then in onward.get(here, ()):
            if then not in seen:
                seen.add(then)
                todo.append(then)


def _onward(plant: Plant) -> dict[int, list[int]]:
    a = plant.arrays
    found: dict[int, list[int]] = {}
    for one, other in zip(a.edge_a, a.edge_b, strict=True):
        found.setdefault(one, []).append(other)
    return found


def draws(plant: Plant) -> Iterator[tuple[int, int, frozenset[int]]]:
    """(edge, the store that it draws from, stores that its water comes to)."""
    a = plant.arrays
    for edge, node in enumerate(a.edge_a):
        if a.node_kind[node] == prim.TAP:
            ends = [
                a.node_ref[end] for end in reach(plant, a.edge_b[edge]) if a.node_kind[end] in (prim.TAP, prim.SPOUT)
            ]
            yield edge, a.node_ref[node], frozenset(ends)


def past_membranes(plant: Plant) -> Iterator[int]:
    """Edges through which supply water leaves the plumbing without coming to a membrane."""
    a = plant.arrays
    membranes = {a.edge_a[edge] for _, edge in plant.membranes}
    todo = [n for n, kind in enumerate(a.node_kind) if kind == prim.FIXED and a.node_value[n] > 0.0]
    seen = {*todo, *membranes}
    edges: dict[int, list[int]] = {}
    for edge, node in enumerate(a.edge_a):
        edges.setdefault(node, []).append(edge)
    for node in todo:  # grows while it is walked
        for edge in edges.get(node, ()):
            then = a.edge_b[edge]
            if a.node_kind[then] in (prim.AIR, prim.TAP, prim.SPOUT):
                yield edge
            elif a.node_kind[then] in (prim.JUNCTION, prim.SPRING) and then not in seen:
                seen.add(then)
                todo.append(then)


def drains(plant: Plant, days: Trace) -> dict[str, float]:
    """Part -> supply water that it lets go in ordinary days past the membranes [m3/s]: no waste of the unit's."""
    a = plant.arrays
    found: dict[str, float] = {}
    for edge in past_membranes(plant):
        if days.moved[edge] > LEAST_DRAINED:
            part = plant.parts[a.edge_owner[edge]]
            found[part] = found.get(part, 0.0) + days.moved[edge]
    return {part: volume / _turns_of(plant, days, part) for part, volume in found.items()}


def _turns_of(plant: Plant, days: Trace, part: str) -> float:
    """How long the turns of a part stand for [s]: up to the last, which may come long before the end."""
    if days.listed_until < days.end:
        return days.end
    begins = [
        event.time
        for event in days.events
        if event.code == prim.E_SIGNAL and event.value > 0.0 and event.ref in plant.says
        and plant.says[event.ref].part == part
    ]  # fmt: skip
    return max(begins, default=0.0) or days.end


def held_back(plant: Plant, edge: int, store: int) -> float:
    """Level of a store below which an edge draws nothing from it [m]."""
    a = plant.arrays
    gate = a.edge_gate[edge]
    if gate >= 0 and a.gate_kind[gate] == prim.G_LEVEL and a.gate_ref[gate] == store:
        return float(min(a.gate_a[gate], a.gate_b[gate]))
    return 0.0


def reservoirs(plant: Plant, others: Collection[Exchange] = ()) -> tuple[Reservoir, ...]:
    """Vessels that tanks are topped up from. ``others``: what is drawn to be exchanged, no top-off."""
    a = plant.arrays
    bodies = {a.store_body[store]: plant.stores[store] for store in plant.tanks}
    traded = {one.vessel for one in others}
    fed: dict[int, set[str]] = {}
    dead: dict[int, float] = {}
    before: dict[int, set[int]] = {}  # store -> fresh water that it is refilled from
    for edge, store, ends in draws(plant):
        if a.store_body[store] in bodies:
            continue
        below = float(volume_of(a, store, held_back(plant, edge, store)))
        dead[store] = max(dead.get(store, 0.0), below)
        if a.body_start[a.store_body[store]] <= SALT_FREE and plant.stores[store] not in traded:
            for end in ends - {store}:
                before.setdefault(end, set()).add(store)
        part, vessel = plant.parts[a.edge_owner[edge]], plant.stores[store]
        tanks = {bodies[a.store_body[end]] for end in ends if a.store_body[end] in bodies}
        tanks -= {one.tank for one in others if (one.part, one.vessel) == (part, vessel)}
        if tanks:
            fed.setdefault(store, set()).update(tanks)

    def gives(store: int) -> float:
        return max(float(volume_of(a, store, full_level(plant, store))) - dead[store], 0.0)

    return tuple(
        Reservoir(
            plant.stores[s], tuple(sorted(tanks)), gives(s), dead[s],
            tuple((plant.stores[one], gives(one)) for one in _behind(s, before)),
        )
        for s, tanks in sorted(fed.items())
    )  # fmt: skip


def _behind(store: int, before: Mapping[int, Collection[int]]) -> list[int]:
    """The stores that one is refilled from, and those that these are, the nearest first."""
    found = [store]
    for one in found:  # grows while it is walked
        found += [other for other in sorted(before.get(one, ())) if other not in found]
    return found[1:]


def carries_off(plant: Plant) -> Iterator[tuple[int, int]]:
    """(edge, body of water) of what draws from a body and does not lead back to it, nor into the air alone."""
    a = plant.arrays
    for edge, node in enumerate(a.edge_a):
        if a.node_kind[node] != prim.TAP:
            continue
        body = a.store_body[a.node_ref[node]]
        ends = list(reach(plant, a.edge_b[edge]))
        home = any(a.node_kind[e] in (prim.TAP, prim.SPOUT) and a.store_body[a.node_ref[e]] == body for e in ends)
        air = all(a.node_kind[e] == prim.AIR and a.node_rkind[e] == prim.R_AIR for e in ends)
        if not home and not air:
            yield edge, body


def bodies(plant: Plant, days: Trace, brought: Sequence[Exchange] = ()) -> tuple[Body, ...]:
    """The tanks, with what ordinary days did to their salt. ``brought``: by parts that exchange water."""
    a = plant.arrays
    lost: dict[int, float] = {}
    for edge, body in carries_off(plant):
        lost[body] = lost.get(body, 0.0) + max(days.moved[edge], 0.0)
    found = []
    for tank in plant.tanks:
        body, name = a.store_body[tank], plant.stores[tank]
        own = stores_of(plant, body)
        water = sum(a.store_start[store] for store in own)
        found.append(
            Body(
                name, frozenset(plant.stores[store] for store in own), water, a.body_start[body] * water,
                days.salt[body], lost.get(body, 0.0) / days.end, tuple(one for one in brought if one.tank == name),
            )
        )  # fmt: skip
    return tuple(found)


def doses(plant: Plant, days: Trace) -> dict[str, float]:
    """Reservoir -> the largest run of what draws from it in ordinary days [m3]; none where nothing runs in turns."""
    a = plant.arrays
    found: dict[str, float] = {}
    for edge, store, ends in draws(plant):
        owner = plant.parts[a.edge_owner[edge]]
        moved = days.moved[edge]
        if not ends or moved <= 0.0:
            continue
        runs = sum(
            e.code == prim.E_SIGNAL and e.value > 0.0 and e.ref in plant.says and plant.says[e.ref].part == owner
            and plant.says[e.ref].kind == "note"
            for e in days.events
        )  # fmt: skip
        if runs:
            name = plant.stores[store]
            found[name] = max(found.get(name, 0.0), moved / runs)
    return found


def coil(plant: Plant, days: Trace, part: str, takes: float, held_open: bool) -> Coil:
    """For what share of ordinary days a part is held, from when it shuts and opens in them."""
    signals = {ref for ref, say in plant.says.items() if say.part == part and say.kind == "stop"}
    turns = [
        (e.time, (e.value > 0.0) == plant.says[e.ref].when)
        for e in days.events
        if e.code == prim.E_SIGNAL and e.ref in signals
    ]
    shut = not turns[0][1] if turns else any(bool(days.signal[ref]) == plant.says[ref].when for ref in signals)
    shut_for, since = 0.0, 0.0
    for time, shuts in (*turns, (days.end, not shut)):
        shut_for += time - since if shut else 0.0
        shut, since = shuts, time
    share = min(max(shut_for / days.end, 0.0), 1.0)
    return Coil(part, takes, 1.0 - share if held_open else share)


def evaporating(plant: Plant) -> float:
    """What evaporates in the plant as it stands [m3/s]."""
    return sum(water.rate for water in plant.waters)
