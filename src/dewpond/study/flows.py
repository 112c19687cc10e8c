"""Steady flows of a normal fill, part by part, and how long a fill takes.

Everything is measured in short runs of the engine: vessels that a float fills begin nearly empty, and pumps are caught
at the moments at which they run in an ordinary day. Flows [m3/s], gauge pressures [Pa], volumes [m3], times [s].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from dewpond.physics import water
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import Product, products
from dewpond.plant.plant import DAY, Link, Plant
from dewpond.plant.trace import Trace
from dewpond.study.clocks import Hours
from dewpond.study.counters import Short, short
from dewpond.study.filling import NO_FLOW, Fill, Looked, drawn, fill_of, island_of, look
from dewpond.study.lines import lines
from dewpond.study.ordinary import heeded_by, ordinary
from dewpond.study.shut import stood_shut

CATCH = 10.0  # a pump is looked at so long after it has started [s]
LOOKED_AT = 3.0 * DAY  # pumps that do not run within so long are left out [s]
TRICKLE = (
    1e-3 / DAY
)  # what runs back more slowly through a part that stopped at once is no flow of it; our prior [m3/s]
RARE, LONGER = 6.0, 42.0 * DAY  # starts of a membrane below which so long is looked at [s]

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
class Flows:
    """The table of flows of one season.

    supply, product, waste [m3/s]: drawn from the supply, made by the membranes, and the difference
    water [K]: temperature of the supply
    products: what each membrane made in ordinary days of the length ``days`` [s] together
    wet: in these days water gets out of the plumbing although nothing fails
    clocks: parts whose clock lets water come at set hours only, and whose time is taken as come in a fill
    heeds: parts by which it matters who is there; somebody is taken to be at home where there are any
    shut: parts that an order held shut all through the look at a fill
    whole: the ordinary days were run to their end
    hours: vessel -> the clock without which it is not filled
    short: parts that count the water through themselves, and trip although nothing fails
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
    clocks: tuple[str, ...] = ()
    heeds: tuple[str, ...] = ()
    shut: tuple[str, ...] = ()
    whole: bool = True
    hours: Mapping[str, Hours] = field(default_factory=dict)
    short: tuple[Short, ...] = ()

    @property
    def waste_ratio(self) -> float:
        """Waste for one part of product; infinite without product."""
        return self.waste / self.product if self.product > NO_FLOW else float("inf")


def flows(plant: Plant, compiled: bool | None = None, looked: Looked | None = None) -> Flows:
    """The steady flows of a normal fill. ``compiled`` as in engine.run; ``looked``: its fills, where they are known."""
    return flows_and_days(plant, compiled, looked)[0]


def flows_and_days(plant: Plant, compiled: bool | None = None, looked: Looked | None = None) -> tuple[Flows, Trace]:
    """The same, with the ordinary days over which the products were made."""
    looked = looked or look(plant, compiled)
    turns = looked.turns
    trace, _ = turns[0]
    rows = list[FlowRow]()
    for edge, (run, _) in looked.drawn.items():
        near = island_of(plant, edge)
        rows += [_row(plant, run, chain) for chain in _chains(plant, run) if chain[0].edge in near]
    for later, _ in turns:  # parts that a later fill alone runs through come in last
        known = {row.part for row in rows}
        rows += [_row(plant, later, chain) for chain in _chains(plant, later) if chain[0].part not in known]
    days = engine.run(plant, ordinary(plant, LOOKED_AT), compiled=compiled)
    by_turns = any(plant.clocks[clock].every > DAY for clock in looked.due)  # a few days begin or end between fills
    if by_turns or any(product.starts < RARE for product in products(plant, days)):
        days = engine.run(plant, ordinary(plant, LONGER), compiled=compiled)
    rows += _caught(plant, days, {row.part for row in rows}, compiled)
    table = Flows(
        plant.season,
        plant.water_temperature,
        tuple(rows),
        *drawn(plant, trace),
        tuple(fill_of(plant, looked, edge) for edge in looked.filled),
        products(plant, days),
        days.end,
        any(e.code == prim.E_WATER for e in days.events),
        looked.clocks,
        heeded_by(plant),
        stood_shut(plant, trace),
        days.end >= days.scenario.horizon,
        dict(_hours(plant, compiled)),
        short(plant, looked, days, compiled),
    )
    return table, days


def _hours(plant: Plant, compiled: bool | None) -> Iterator[tuple[str, Hours]]:
    for line in lines(plant, compiled):
        times = line.times(plant)
        if times is not None:
            yield from ((plant.stores[store], times) for store in line.edges)


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
        moment = engine.run(plant, ordinary(plant, begins + CATCH), compiled=compiled)
        mine = [c for c in _chains(plant, moment) if c[0].part == part and not -TRICKLE < moment.flow[c[0].edge] < 0.0]
        rows += [_row(plant, moment, chain, part) for chain in mine]
    return rows
