"""Steady flows of a normal fill, part by part, and how long a fill takes.

Everything is measured in short runs of the engine: vessels that a float fills begin nearly empty, and pumps are caught
at the moments at which they run in an ordinary day. Flows [m3/s], gauge pressures [Pa], volumes [m3], times [s].
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from dewpond.physics import water
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import Product, products, stages
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import DAY, STARTS, Link, Plant, Scenario
from dewpond.plant.trace import Trace

SETTLES = 900.0  # after so long springs are full and flows steady [s]
HASTE, LEAST_SETTLED = 3.0, 10.0  # a vessel that is full by then is looked at so many times sooner, down to so long [s]
NEARLY_EMPTY = 0.1  # share of the volume below the float's mark at which a fill is looked at
CATCH = 10.0  # a pump is looked at so long after it has started [s]
LOOKED_AT = 3.0 * DAY  # pumps that do not run within so long are left out [s]
RARE, LONGER = 6.0, 42.0 * DAY  # starts of a membrane below which so long is looked at [s]
SPOONFUL = 5e-6  # [m3]
NO_FLOW = 1e-11  # less than a millilitre a day [m3/s]
WHO = "travelling"  # nobody disturbs

PRODUCT, WASTE, OVERFLOW, CIRCULATION = "product", "waste", "overflow", "circulation"


@dataclass(frozen=True)
class FlowRow:
    """Water through a part: ``way`` is one of the words above where a part has several, else empty.

    ``when``: "" in a fill, else the part that was running when it was looked at.
    """

    part: str
    way: str
    flow: float
    inlet: float
    outlet: float
    when: str = ""


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


@dataclass(frozen=True)
class Flows:
    """The table of flows of one season.

    supply, product, waste [m3/s]: drawn from the supply, made by the membranes, and the difference
    water [K]: temperature of the supply
    products: what each membrane made in ordinary days of the length ``days`` [s] together
    wet: in these days water gets out of the plumbing although nothing fails
    """

    season: str
    water: float
    rows: tuple[FlowRow, ...]
    supply: float
    product: float
    waste: float
    fills: tuple[Fill, ...]
    products: tuple[Product, ...]
    days: float
    wet: bool = False

    @property
    def waste_ratio(self) -> float:
        """Waste for one part of product; infinite without product."""
        return self.waste / self.product if self.product > NO_FLOW else float("inf")


def flows(plant: Plant, compiled: bool | None = None) -> Flows:
    """The steady flows of a normal fill. ``compiled`` as in engine.run."""
    filled = dict(_filled(plant))
    start = list(plant.arrays.store_start)
    for edge, store in filled.items():
        start[store] = NEARLY_EMPTY * _fill_volume(plant, edge, store)
    low = replace(plant, arrays=plant.arrays._replace(store_start=start))
    turns = list(_turns(low, filled, compiled))
    trace, _ = turns[0]
    fills, rows = [], list[FlowRow]()
    for edge, store in filled.items():
        above = _feeders(plant, edge, store, filled)
        drawn = _turn(low, filled, above, compiled) if above else None
        beside = tuple(plant.stores[one] for one in above)
        fills.append(_fill(plant, [(drawn, ())] if drawn else turns, edge, filled, beside))
        if drawn:
            near = _island_of(plant, edge)
            rows += [_row(plant, drawn, chain) for chain in _chains(plant, drawn) if chain[0].edge in near]
    for later, _ in turns:  # parts that a later fill alone runs through come in last
        known = {row.part for row in rows}
        rows += [_row(plant, later, chain) for chain in _chains(plant, later) if chain[0].part not in known]
    days = engine.run(plant, Scenario(WHO, LOOKED_AT, (), STARTS[WHO]), compiled=compiled)
    if any(product.starts < RARE for product in products(plant, days)):
        days = engine.run(plant, Scenario(WHO, LONGER, (), STARTS[WHO]), compiled=compiled)
    rows += _caught(plant, days, {row.part for row in rows}, compiled)
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
    product = made - sum(fed[node] for node in again)
    return Flows(
        plant.season,
        plant.water_temperature,
        tuple(rows),
        _some(supply),
        _some(product),
        _some(sum(fed.values()) - made),
        tuple(fills),
        products(plant, days),
        days.end,
        any(e.code == prim.E_WATER for e in days.events),
    )


def _on_supply(plant: Plant, edge: int) -> bool:
    """Whether a membrane is joined with a supply under pressure, vessels apart."""
    a = plant.arrays
    ends = {node for e in _island_of(plant, edge) for node in (a.edge_a[e], a.edge_b[e])}
    return any(a.node_kind[node] == prim.FIXED and a.node_value[node] > 0.0 for node in ends)


def _some(flow: float) -> float:
    """A flow forward; what trickles back while nothing runs is none."""
    return flow if flow > NO_FLOW else 0.0


def _island_of(plant: Plant, edge: int) -> frozenset[int]:
    """The edges that are joined with one by water, vessels apart."""
    a = plant.arrays
    ends = zip(a.isl_edge_at, a.isl_edge_at[1:], strict=False)
    return next(frozenset(a.isl_edge[i:j]) for i, j in ends if edge in a.isl_edge[i:j])


def _feeders(plant: Plant, edge: int, store: int, filled: Mapping[int, int]) -> tuple[int, ...]:
    """Other vessels, themselves filled, that the water of a fill is drawn from."""
    a = plant.arrays
    ends = {node for e in _island_of(plant, edge) for node in (a.edge_a[e], a.edge_b[e])}
    others = {a.node_ref[node] for node in ends if a.node_kind[node] == prim.TAP} - {store}
    return tuple(sorted(others & set(filled.values())))


def _filled(plant: Plant) -> Iterator[tuple[int, int]]:
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
    for other in _island_of(plant, edge):
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


def _fill_volume(plant: Plant, edge: int, store: int) -> float:
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
    lying, time = replace(low, arrays=a._replace(store_start=start)), SETTLES
    while True:
        trace = engine.run(lying, Scenario(WHO, time, (), STARTS[WHO]), compiled=compiled)
        filling = [(edge, store) for edge, store in filled.items() if store not in full]
        done = any(
            trace.volume[store] >= _fill_volume(low, edge, store)
            or (trace.flow[edge] <= NO_FLOW and trace.volume[store] > start[store] + SPOONFUL)
            for edge, store in filling
        )
        if not done or time <= LEAST_SETTLED:
            return trace
        time /= HASTE


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
    volume, owner = _fill_volume(plant, edge, store), plant.arrays.edge_owner[edge]
    trace, once = next(((t, full) for t, full in turns if t.flow[edge] > NO_FLOW), (None, ()))
    flow = 0.0 if trace is None else sum(max(trace.flow[e], 0.0) for e, other in filled.items() if other == store)
    time = volume / flow if flow > NO_FLOW else float("inf")
    return Fill(plant.parts[owner], plant.stores[store], volume, flow, time, once, beside)


def _chains(plant: Plant, trace: Trace) -> Iterator[list[Link]]:
    """The links of each part through which water runs, those in a row with the same flow taken together."""
    by_part: dict[str, list[list[Link]]] = {}
    for link in plant.links:
        flow = trace.flow[link.edge]
        if abs(flow) <= NO_FLOW or plant.arrays.node_rkind[link.outlet] == prim.R_AIR:
            continue  # what evaporates runs through nothing
        if flow < 0.0 and plant.arrays.edge_law[link.edge] == prim.MEMBRANE:
            continue  # without pressure a little of what stands behind it is drawn back: no flow of a fill
        chains = by_part.setdefault(link.part, [])
        for chain in chains:
            if chain[-1].outlet == link.inlet and abs(trace.flow[chain[-1].edge] - flow) <= 1e-6 * abs(flow):
                chain.append(link)
                break
        else:
            chains.append([link])
    for chains in by_part.values():
        yield from chains


def _row(plant: Plant, trace: Trace, chain: list[Link], when: str = "") -> FlowRow:
    a = plant.arrays
    first, last = chain[0], chain[-1]
    laws = {a.edge_law[link.edge] for link in chain}
    ways = {prim.MEMBRANE: PRODUCT, prim.WEIR: OVERFLOW}
    way = next((word for law, word in ways.items() if law in laws), "")
    if prim.FLOW in laws and a.node_kind[first.inlet] == a.node_kind[last.outlet] == prim.TAP:
        way = CIRCULATION  # from vessel to vessel, at the rate of a pump that always runs
    if not way and first.inlet in {a.edge_a[edge] for name, edge in plant.membranes if name == first.part}:
        way = WASTE  # from before the membrane, and not through it
    inlet, outlet = _gauge(plant, trace, first.inlet), _gauge(plant, trace, last.outlet)
    return FlowRow(first.part, way, trace.flow[first.edge], inlet, outlet, when)


def _gauge(plant: Plant, trace: Trace, node: int) -> float:
    """Pressure above the air of the room, at the node's own height."""
    a = plant.arrays
    return trace.pressure[node] - a.const[0] * water.G * a.node_z[node]


def _caught(plant: Plant, days: Trace, known: set[str], compiled: bool | None) -> list[FlowRow]:
    """Parts that stand still in a fill but move water within some ordinary days, at a moment at which they run."""
    rows = []
    for part in plant.parts:
        links = [link for link in plant.links if link.part == part]
        if part in known or not any(abs(days.moved[link.edge]) > NO_FLOW * LOOKED_AT for link in links):
            continue
        begins = next(
            (e.time for e in days.events
             if e.code == prim.E_SIGNAL and e.value > 0.0 and e.ref in plant.says and plant.says[e.ref].part == part),
            None,
        )  # fmt: skip
        if begins is None:
            continue
        moment = engine.run(plant, Scenario(WHO, begins + CATCH, (), STARTS[WHO]), compiled=compiled)
        mine = [chain for chain in _chains(plant, moment) if chain[0].part == part]
        rows += [_row(plant, moment, chain, part) for chain in mine]
    return rows
