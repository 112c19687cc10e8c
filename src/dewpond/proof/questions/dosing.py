"""Can a pump bring more than a vessel bears between two visits, whatever sticks, restarts or hangs?

Here time counts: how long a run may last against how long the water needs to rise. Pumps give 1.2 times what they are
rated at: a slower one brings no more before a volume is reached, and less before a time is over. A vessel falls by no
more than twice what evaporates from it in the season, and nobody re-arms.

That all that is counted of a day has risen in the vessel or evaporated from it is not known: that is a sum of clocks,
and zones bound differences of two. So a day's most may seem to be given too early; that only adds behaviour.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.certain import known_anyway, shut_anyway
from dewpond.plant.feeding import spot
from dewpond.plant.kernel.vessels import level_of, volume_of
from dewpond.plant.plant import Plant
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine, Span
from dewpond.proof.questions.layers import causes_of, counts_time, layers
from dewpond.proof.signals import by_hand, hanging_on, order_of

GIVES = 1.2  # times what a pump is rated at; our prior
FALLS = 2.0  # times what evaporates; our prior
FRESHER = 2.0  # by how much a tank may freshen [g/kg]: 35 to 33
SALT_WATER = 5.0  # a vessel that holds more than this is a tank's [kg/m3]


class Dose(NamedTuple):
    """A vessel that pumps fill: its number, the pump's gates, how fast they fill it together [m3/s], the vessels they
    draw from, up to which height it bears that, and why: "rim", "salt" or, as what drains back must still find room
    below its rim, "drains back"; the vessels above that drain back into it, each with the height down to which."""

    store: int
    gates: tuple[int, ...]
    flow: float
    sources: tuple[int, ...]
    bears: float
    why: str
    above: tuple[tuple[int, float], ...]


def doses(plant: Plant) -> Iterator[Dose]:
    """Every vessel that something with an order fills with purified water."""
    a = plant.arrays
    filled: dict[int, dict[int, float]] = {}
    drawn: dict[int, set[int]] = {}
    for edge, gate in enumerate(a.edge_gate):
        runs = gate >= 0 and order_of(plant, gate) >= 0 and a.edge_law[edge] in (prim.PUMP, prim.FLOW)
        store = _ends_in(plant, edge) if runs and a.node_kind[a.edge_a[edge]] == prim.TAP else -1
        if store >= 0 and a.body_start[a.store_body[a.node_ref[a.edge_a[edge]]]] < SALT_WATER:
            filled.setdefault(store, {})[gate] = _rated(plant, edge)
            drawn.setdefault(store, set()).add(a.node_ref[a.edge_a[edge]])
    for store, pumps in sorted(filled.items()):
        bears, why = _bears(plant, store)
        sources, above = tuple(sorted(drawn[store])), tuple(draining(plant, store))
        yield Dose(store, tuple(sorted(pumps)), sum(pumps.values()), sources, bears, why, above)


def _rated(plant: Plant, edge: int) -> float:
    """The most that a pump gives against nothing [m3/s]."""
    a = plant.arrays
    return a.edge_p1[edge] if a.edge_law[edge] == prim.FLOW else math.sqrt(a.edge_p1[edge] / a.edge_p2[edge])


def _ends_in(plant: Plant, edge: int) -> int:
    """The vessel into which a pump's tube leads; -1: none."""
    a = plant.arrays
    here, seen = a.edge_b[edge], {edge}
    while spot(plant, here) >= 0:
        onward = [e for e, start in enumerate(a.edge_a) if start == here and e not in seen and a.edge_gate[e] < 0]
        if not onward:
            return -1
        seen.add(onward[0])
        here = a.edge_b[onward[0]]
    return a.node_ref[here]


def _bears(plant: Plant, store: int) -> tuple[float, str]:
    """The height up to which a vessel may be filled: from where what drains back brings it to its rim, or what freshens
    the tank too much."""
    a = plant.arrays
    back = sum(
        volume_of(a, s, level_of(a, s, a.store_start[s])[0]) - volume_of(a, s, h) for s, h in draining(plant, store)
    )
    rim, why = level_of(a, store, a.store_rim[store] - back)[0], "drains back" if back else "rim"
    body = a.store_body[store]
    salt = a.body_start[body]
    if salt < SALT_WATER:
        return rim, why
    whole = sum(v for v, own in zip(a.store_start, a.store_body, strict=True) if own == body)
    more = whole * (salt / max(salt - FRESHER, SALT_WATER / 2.0) - 1.0)
    fresh = level_of(a, store, a.store_start[store] + more)[0]
    return (fresh, "salt") if fresh < rim else (rim, why)


def draining(plant: Plant, store: int) -> Iterator[tuple[int, float]]:
    """The vessels whose water comes into another when the return pump between them stops, with the height down to which
    it does [m]: the crest of the overflow, or the end of a return tube that siphons, whichever is lower."""
    a, ends = plant.arrays, dict[int, float]()
    for edge, law in enumerate(a.edge_law):
        here, there, gate = a.edge_a[edge], a.edge_b[edge], a.edge_gate[edge]
        if a.node_kind[there] not in (prim.TAP, prim.SPOUT) or a.node_ref[there] != store or gate in shut_anyway(plant):
            continue
        if law == prim.WEIR and a.node_kind[here] == prim.TAP:
            height = a.node_z[there]
        elif law == prim.ORIFICE and a.node_kind[here] == prim.SPOUT:
            height = a.node_z[here]
        else:
            continue
        upper = a.node_ref[here]
        if a.store_body[upper] == a.store_body[store]:  # a tank over its sump, no bucket
            ends[upper] = min(ends.get(upper, math.inf), height - a.store_z[upper])
    for upper, height in ends.items():
        if height < level_of(a, upper, a.store_start[upper])[0]:
            yield upper, height


def ordinary(plant: Plant, dose: Dose) -> list[tuple[float, float]]:
    """The heights between which a pump keeps a vessel, in a list: none where no level calls for it."""
    a, found = plant.arrays, list[tuple[float, float]]()
    for gate in dose.gates:
        order = order_of(plant, gate)
        trips = (causes_of(plant, layer.trip, order) for layer in layers(plant) if layer.gate == gate)
        beside = {s for causes in trips if not counts_time(plant, causes) for s in causes}  # a limit hangs on the call
        marks = (
            s
            for s in hanging_on(plant, [order], known_anyway(plant))
            if a.sig_op[s] == prim.L_THRESHOLD and s not in beside
        )
        rows = (int(a.sig_arg[s]) for s in marks)
        found += [
            (a.thr_off[k], a.thr_on[k]) for k in rows if (a.thr_kind[k], a.thr_ref[k]) == (prim.T_LEVEL, dose.store)
        ]
    return [(min(low for low, _ in found), max(high for _, high in found))] if found else []


def overdosed(
    plant: Plant,
    dose: Dose,
    without: Collection[int] = (),
    clocks: bool = True,
    only: Collection[str] | None = None,
) -> tuple[Machine, int]:
    """The machine of a vessel and all that starts and stops its pumps, with the question: it stands above what it
    bears. Nothing that a wet floor stops counts here, nor do trips left out by ``without``; ``clocks`` as in
    Draft.timed, ``only`` as in Draft.machine."""
    a = plant.arrays
    orders = [order_of(plant, gate) for gate in dose.gates]
    fixed = {layer.trip: False for layer in layers(plant) if layer.by_water and layer.gate in dose.gates}
    fixed |= dict.fromkeys([*without, *plant.rearms, *by_hand(plant)], False)
    d = Draft(plant, orders, fixed)
    runs = d.any(*(d.gate(gate) for gate in dose.gates))
    what = (prim.T_LEVEL, dose.store)
    above = d.above(what, dose.bears, dose.bears)
    dries = FALLS * evaporates(plant, dose.store)

    def takes(flow: float, low: float, high: float) -> Span:
        return Span((volume_of(a, dose.store, high) - volume_of(a, dose.store, low)) / flow, math.inf)

    d.moves(
        what,
        rises=runs,
        up=lambda low, high: takes(GIVES * dose.flow, low, high),
        down=lambda low, high: takes(dries, low, high) if dries else Span(math.inf, math.inf),
    )
    d.timed(GIVES * dose.flow, clocks=clocks)
    return d.machine(only), above


def evaporates(plant: Plant, store: int) -> float:
    """What the body of a vessel loses to the air [m3/s]."""
    a = plant.arrays
    return sum(
        a.edge_p1[edge]
        for edge, end in enumerate(a.edge_b)
        if a.node_kind[end] == prim.AIR
        and a.node_rkind[end] == prim.R_AIR
        and a.node_kind[a.edge_a[edge]] == prim.TAP
        and a.store_body[a.node_ref[a.edge_a[edge]]] == a.store_body[store]
    )
