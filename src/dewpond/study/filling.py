"""The runs in which vessels fill, and how long each fill takes.

Vessels that a float fills begin nearly empty; what gets nothing then is looked at with the others full. Clocks that let
water come at set hours only are taken at such an hour, and a tank under pressure where it gives no more and takes no
more: so a flow is that of the unit. Flows [m3/s], volumes [m3], times [s].
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import stages
from dewpond.plant.kernel.vessels import level_of, volume_of
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study import clocks
from dewpond.study.ordinary import ordinary

SETTLES = 900.0  # after so long springs are full and flows steady [s]
HASTE, LEAST_SETTLED = 3.0, 10.0  # a vessel that is full by then is looked at so many times sooner, down to so long [s]
NEARLY_EMPTY = 0.1  # share of the volume below the float's mark at which a fill is looked at
SPOONFUL = 5e-6  # [m3]
NO_FLOW = 1e-11  # less than a millilitre a day [m3/s]
EVEN = 0.01  # share of a fill below which what a tank under pressure gives or takes is none [1]
HALVINGS = 12  # of the heads between which such a tank may stand: down to a centimetre or two
SHUTS = 0.02  # share of the supply's flow in a fill: less, while a clock is off, and it is that which ends it [1]


@dataclass(frozen=True)
class Fill:
    """Filling a vessel from empty up to the mark at which its float begins to shut, at the steady flow of a fill.

    ``time`` is infinite when no water comes. ``once``: vessels that must be full before any does, for they lie lower on
    the same line. ``beside``: vessels that it is filled from, full at first.
    """

    part: str
    vessel: str
    volume: float
    flow: float
    time: float
    once: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()


class Looked(NamedTuple):
    """How water runs while vessels fill.

    at: the plant, in the hours of its clocks where only then its vessels fill.
    filled: edge that fills a vessel -> that vessel. turns: as in _turns. drawn: edge whose water comes out of other
    vessels -> the run with these full, and which they are. due: clock that has a say -> whether its time was taken
    as come; clocks: the parts of those that had come.
    """

    at: Plant
    filled: Mapping[int, int]
    turns: tuple[tuple[Trace, tuple[str, ...]], ...]
    drawn: Mapping[int, tuple[Trace, tuple[str, ...]]]
    due: Mapping[int, bool] = {}
    clocks: tuple[str, ...] = ()

    def run_of(self, edge: int) -> Trace | None:
        """The run in which water comes through an edge; None where it comes in none."""
        own = self.drawn.get(edge)
        runs = [own[0]] if own else [trace for trace, _ in self.turns]
        return next((trace for trace in runs if trace.flow[edge] > NO_FLOW), None)


class Drawn(NamedTuple):
    """Drawn from the supply, made by the membranes on it, and run to waste [m3/s]."""

    supply: float
    product: float
    waste: float


def look(plant: Plant, compiled: bool | None = None) -> Looked:
    """The runs of the fills, at an hour at which the clocks let them run. ``compiled`` as in engine.run.

    First with the time of every clock come. Where one of them keeps water away by that, as hours of rest do: with all
    but one come, or none; the first of these with water for the most fills.
    """
    found: Looked | None = None
    for due in _hours(clocks_of_fills(plant)):
        other = _look(_at(plant, due), compiled)._replace(due=due)
        if found is None or _watered(other) > _watered(found):
            found = other
        if _watered(found) == len(found.filled):
            break
    assert found is not None
    return found._replace(clocks=tuple(dict.fromkeys(clocks.owner(plant, one) for one, on in found.due.items() if on)))


def _hours(ruling: Sequence[int]) -> Iterator[Mapping[int, bool]]:
    """Clock -> whether its time has come: all, all but one, none."""
    yield dict.fromkeys(ruling, True)
    if len(ruling) > 1:
        yield from ({one: one != off for one in ruling} for off in ruling)
    if ruling:
        yield dict.fromkeys(ruling, False)


def _at(plant: Plant, due: Mapping[int, bool]) -> Plant:
    """The plant with its clocks held so."""
    plant = clocks.held(plant, [one for one, on in due.items() if on])
    return clocks.held(plant, [one for one, on in due.items() if not on], due=False)


def _watered(looked: Looked) -> int:
    """How many of the fills get water."""
    return sum(looked.run_of(edge) is not None for edge in looked.filled)


def clocks_of_fills(plant: Plant) -> tuple[int, ...]:
    """Signals of the clocks that have a say in what fills vessels through their floats."""
    return clocks.ruling(plant, {near for edge, _ in filled_edges(plant) for near in island_of(plant, edge)})


def gates_by_clock(plant: Plant, edge: int, compiled: bool | None = None) -> tuple[int, ...]:
    """Signals of the clocks without which the supply gives nothing for the fill through an edge."""
    near = island_of(plant, edge)
    ruling = clocks.ruling(plant, near)
    if not ruling:
        return ()
    a = plant.arrays
    fed = [e for e in near if a.node_kind[a.edge_a[e]] == prim.FIXED and a.node_value[a.edge_a[e]] > 0.0]
    due = look(plant, compiled).due
    open_ = _at(plant, due)

    def gives(one: Plant) -> float:
        looked = _look(one, compiled)
        trace = looked.run_of(edge) or looked.turns[0][0]
        return sum(trace.flow[e] for e in fed)

    most = gives(open_)
    if most <= NO_FLOW:
        return ()
    on = [clock for clock in ruling if due[clock]]
    return tuple(clock for clock in on if gives(_at(plant, {**due, clock: False})) <= SHUTS * most)


def gates_of_fills(plant: Plant, compiled: bool | None = None) -> tuple[clocks.Hours, ...]:
    """The clocks without which nothing is filled from the supply: those of the vessel that they leave the longest."""
    if not clocks_of_fills(plant):
        return ()
    filled = dict(filled_edges(plant))
    each = [
        tuple(clocks.hours(plant, one) for one in gates_by_clock(plant, edge, compiled))
        for edge, store in filled.items()
        if not _feeders(plant, edge, store, filled)
    ]
    return max(each, key=lambda found: min((one.stays / one.every for one in found), default=1.0), default=())


def _look(plant: Plant, compiled: bool | None) -> Looked:
    filled = dict(filled_edges(plant))
    start = list(plant.arrays.store_start)
    for edge, store in filled.items():
        start[store] = NEARLY_EMPTY * fill_volume(plant, edge, store)
    low = replace(plant, arrays=plant.arrays._replace(store_start=start))
    turns, drawn = tuple(_turns(low, filled, compiled)), {}
    for edge, store in filled.items():
        above = _feeders(plant, edge, store, filled)
        if above:
            drawn[edge] = _turn(low, filled, above, compiled), tuple(plant.stores[one] for one in above)
    return Looked(plant, filled, turns, drawn)


def look_full(plant: Plant, compiled: bool | None = None) -> Trace:
    """The flows with every vessel so full that its float is shut."""
    filled = dict(filled_edges(plant))
    return _turn(plant, filled, set(filled.values()), compiled)


def fill_of(plant: Plant, looked: Looked, edge: int) -> Fill:
    """How long the fill through an edge takes, by the runs of the fills."""
    own = looked.drawn.get(edge)
    return _fill(plant, [(own[0], ())] if own else looked.turns, edge, looked.filled, own[1] if own else ())


def fills(plant: Plant, compiled: bool | None = None) -> tuple[Fill, ...]:
    """How long each vessel that a float fills takes. ``compiled`` as in engine.run."""
    looked = look(plant, compiled)
    return tuple(fill_of(plant, looked, edge) for edge in looked.filled)


def island_of(plant: Plant, edge: int) -> frozenset[int]:
    """The edges that are joined with one by water, vessels apart."""
    a = plant.arrays
    ends = zip(a.isl_edge_at, a.isl_edge_at[1:], strict=False)
    return next(frozenset(a.isl_edge[i:j]) for i, j in ends if edge in a.isl_edge[i:j])


def _feeders(plant: Plant, edge: int, store: int, filled: Mapping[int, int]) -> tuple[int, ...]:
    """Other vessels, themselves filled, that the water of a fill is drawn from."""
    a = plant.arrays
    ends = {node for e in island_of(plant, edge) for node in (a.edge_a[e], a.edge_b[e])}
    others = {a.node_ref[node] for node in ends if a.node_kind[node] == prim.TAP} - {store}
    return tuple(sorted(others & set(filled.values())))


def filled_edges(plant: Plant) -> Iterator[tuple[int, int]]:
    """(edge, vessel) wherever a vessel's rising level shuts its own inflow: of several in a row, the last."""
    a = plant.arrays
    shut: dict[int, int] = {}
    for edge, gate in enumerate(a.edge_gate):
        if gate >= 0 and a.gate_kind[gate] == prim.G_LEVEL and a.gate_b[gate] > a.gate_a[gate]:
            shut[edge] = a.gate_ref[gate]
    for edge, store in shut.items():
        if _runs_into(plant, edge, store, shut):
            yield edge, store


def _runs_into(plant: Plant, edge: int, store: int, shut: Mapping[int, int]) -> bool:
    """Whether water from an edge falls into a vessel, through nothing else that its level shuts."""
    a = plant.arrays
    onward: dict[int, list[int]] = {}
    for other in island_of(plant, edge):
        if shut.get(other) != store:
            onward.setdefault(a.edge_a[other], []).append(a.edge_b[other])
    todo = [a.edge_b[edge]]
    for node in todo:  # grows while it is walked
        if a.node_kind[node] in (prim.SPOUT, prim.TAP):
            if a.node_ref[node] == store:
                return True
        else:
            todo += [end for end in onward.get(node, ()) if end not in todo]
    return False


def fill_volume(plant: Plant, edge: int, store: int) -> float:
    """From empty to where the float begins to shut [m3]."""
    a = plant.arrays
    mark = a.gate_a[a.edge_gate[edge]]
    return max(float(volume_of(a, store, mark) - volume_of(a, store, 0.0)), 0.0)


def _turn(low: Plant, filled: Mapping[int, int], full: Collection[int], compiled: bool | None) -> Trace:
    """The flows with some vessels ``full`` and the others nearly empty, early enough that none of these has filled."""
    a = low.arrays
    start = list(a.store_start)
    for edge, store in filled.items():
        if store in full:
            start[store] = float(volume_of(a, store, a.gate_b[a.edge_gate[edge]]))
    lying = replace(low, arrays=a._replace(store_start=start))
    open_ = [(edge, store) for edge, store in filled.items() if store not in full]
    trace = _short_enough(lying, open_, compiled)
    return _evened(lying, open_, trace, compiled) if open_ else trace


def _short_enough(lying: Plant, filling: Sequence[tuple[int, int]], compiled: bool | None) -> Trace:
    """A run that ends while none of the vessels that fill has filled."""
    start, time = lying.arrays.store_start, SETTLES
    while True:
        trace = engine.run(lying, ordinary(lying, time), compiled=compiled)
        done = any(
            trace.volume[store] >= fill_volume(lying, edge, store)
            or (trace.flow[edge] <= NO_FLOW and trace.volume[store] > start[store] + SPOONFUL)
            for edge, store in filling
        )
        if not done or time <= LEAST_SETTLED:
            return trace
        time /= HASTE


def _evened(lying: Plant, filling: Sequence[tuple[int, int]], trace: Trace, compiled: bool | None) -> Trace:
    """The same once tanks under pressure give nothing of the fill and take nothing: their heads are halved upon."""
    a = lying.arrays
    tanks = range(lying.vessels, len(lying.stores))
    between = {tank: (a.table_h[a.table_at[tank]], a.table_h[a.table_at[tank + 1] - 1]) for tank in tanks}
    for _ in range(HALVINGS):
        scale = EVEN * max(sum(abs(trace.flow[edge]) for edge, _ in filling), NO_FLOW)
        takes = {tank: _taken(lying, trace, tank) for tank in tanks}
        if all(abs(flow) <= scale for flow in takes.values()):
            break
        start = list(lying.arrays.store_start)
        for tank, flow in takes.items():
            lowest, highest = between[tank]
            stands = float(level_of(a, tank, start[tank])[0])
            between[tank] = lowest, highest = (stands, highest) if flow > 0.0 else (lowest, stands)
            start[tank] = float(volume_of(a, tank, 0.5 * (lowest + highest)))
        lying = replace(lying, arrays=a._replace(store_start=start))
        trace = _short_enough(lying, filling, compiled)
    return trace


def _taken(plant: Plant, trace: Trace, store: int) -> float:
    """What runs into a store, less what runs out of it."""
    a = plant.arrays
    taps = {node for node, kind in enumerate(a.node_kind) if kind == prim.TAP and a.node_ref[node] == store}
    ends = zip(trace.flow, a.edge_a, a.edge_b, strict=True)
    return sum(flow * ((into in taps) - (out in taps)) for flow, out, into in ends)


def _turns(low: Plant, filled: Mapping[int, int], compiled: bool | None) -> Iterator[tuple[Trace, tuple[str, ...]]]:
    """All vessels nearly empty; then, while some get nothing, those full that got some. With the names of the full."""
    waiting, full = set(filled), set[int]()
    while True:
        trace = _turn(low, filled, {filled[edge] for edge in full}, compiled)
        yield trace, tuple(low.stores[filled[edge]] for edge in sorted(full))
        got = {edge for edge in waiting if trace.flow[edge] > NO_FLOW}
        waiting, full = waiting - got, full | got
        if not waiting or not got:
            return


def _fill(
    plant: Plant,
    turns: Sequence[tuple[Trace, tuple[str, ...]]],
    edge: int,
    filled: Mapping[int, int],
    beside: tuple[str, ...],
) -> Fill:
    """``filled``: all edges that fill a vessel; several that fill one do so together."""
    store = filled[edge]
    volume, owner = fill_volume(plant, edge, store), plant.arrays.edge_owner[edge]
    trace, once = next(((t, full) for t, full in turns if t.flow[edge] > NO_FLOW), (None, ()))
    flow = 0.0 if trace is None else sum(max(trace.flow[e], 0.0) for e, other in filled.items() if other == store)
    time = volume / flow if flow > NO_FLOW else float("inf")
    return Fill(plant.parts[owner], plant.stores[store], volume, flow, time, once, beside)


def drawn(plant: Plant, trace: Trace) -> Drawn:
    """What a supply gives, and what membranes make of it."""
    a = plant.arrays
    supply = sum(
        f * ((a.node_kind[x] == prim.FIXED) - (a.node_kind[y] == prim.FIXED))
        for f, x, y in zip(trace.flow, a.edge_a, a.edge_b, strict=True)
    )
    fed_from = stages(plant)
    on_supply = [edge for _, edge in plant.membranes if _on_supply(plant, edge)]  # others draw from a vessel
    feeds = {a.edge_a[edge] for edge in on_supply}
    again = {a.edge_a[edge] for edge in on_supply if fed_from.get(edge) in on_supply}
    made = sum(trace.flow[edge] for edge in on_supply)
    fed = {node: sum(f for f, end in zip(trace.flow, a.edge_b, strict=True) if end == node) for node in feeds}
    return Drawn(_some(supply), _some(made - sum(fed[node] for node in again)), _some(sum(fed.values()) - made))


def _on_supply(plant: Plant, edge: int) -> bool:
    """Whether a membrane is joined with a supply under pressure, vessels apart."""
    a = plant.arrays
    ends = {node for e in island_of(plant, edge) for node in (a.edge_a[e], a.edge_b[e])}
    return any(a.node_kind[node] == prim.FIXED and a.node_value[node] > 0.0 for node in ends)


def _some(flow: float) -> float:
    """A flow forward; what trickles back while nothing runs is none."""
    return flow if flow > NO_FLOW else 0.0
