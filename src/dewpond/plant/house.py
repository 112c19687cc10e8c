"""The house under construction: the one implementation of ``parts.lowering.Lowering``.

Parts ask it for nodes, edges, gates, signals and faults; it keeps what they say of themselves for the matrix, the
people and the stories.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.parts.base import Floor, PartView, StoreSpec, leads_on, settled
from dewpond.parts.open_water import OpenWater
from dewpond.physics import water
from dewpond.plant import cushions, drawn
from dewpond.plant import primitives as prim
from dewpond.plant.build import LEVEL_BAND, Patch
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import NEVER, Doubt, Link, PlantFault
from dewpond.plant.whereabouts import PLACES, Whereabouts

ROUGHNESS = 1.5e-6  # drawn plastic tube [m]; Moody, from memory
FIRST = ("place", "source", "drain", "circuit")  # roles that are lowered before all others, in this order


def one_table(heights: Sequence[float], volumes: Sequence[float]) -> prim.Arrays:
    """The level table of one vessel, as the kernel reads it."""
    return prim.Arrays(*([] for _ in prim.Arrays._fields))._replace(
        table_at=[0, len(heights)], table_h=list(heights), table_v=list(volumes)
    )


class House(Whereabouts):
    """The plant under construction, as parts see it."""

    def __init__(self, design: Design, season: str, water_instead: float | None = None) -> None:
        """``water_instead``: temperature of the supply's water [K] in place of the season's, for a reading taken then.

        No reading is worked out in such a house, so that one never waits for another.
        """
        file_order = [p.name for p in design.parts]
        # numbers go by id, so that the order of the file changes no byte of a result
        design = replace(design, parts=tuple(sorted(design.parts, key=lambda p: p.id)))
        self.design = design
        places = [p.name for p in design.parts if self.role(p) in PLACES]
        vessels = [p.name for p in design.parts if self.role(p) == "vessel"]
        super().__init__({p.name: p for p in design.parts}, places, vessels, file_order)
        self.season_name = season
        self.names = [p.name for p in design.parts]
        self.ports: dict[tuple[str, str], int] = {}
        self.specs: dict[str, StoreSpec] = {}
        self.floors: dict[str, Floor] = {}
        self.slots: dict[tuple[str, str], int] = {}
        self.moved: dict[int, int] = {}
        self.lowered: set[str] = set()
        self.blocked: dict[str, int] = {}
        self.cushions: list[str] = []  # parts with a tank under pressure: stores behind the vessels
        self.faults: list[PlantFault] = []
        self.links: list[Link] = []
        self.doubts: list[Doubt] = []
        self.waters: list[OpenWater] = []
        self.supply = next((p for p in design.parts if self.role(p) == "source"), None)
        self.trial = water_instead is not None
        self.water = self.supply["temperature"][season] if self.supply else 288.15
        if water_instead is not None:
            self.water = water_instead
        self.rho = water.density(self.water)

    # -- places --------------------------------------------------------------------------------------------------------
    def place(self, floor: Floor, next_place: str | None, to_drain: bool, drying: float) -> int:
        kind, ref = prim.R_NONE, 0
        if to_drain:
            kind = prim.R_DRAIN
        elif next_place:
            kind, ref = prim.R_PLACE, self.place_numbers[next_place]
        holds = floor.holds if kind != prim.R_NONE else NEVER
        number = self.place_numbers[self.current.name]
        self.net.places[number] = (holds, kind, ref, drying, floor.area * floor.film, self.net.owner)
        self.floors[self.current.name] = floor
        return number

    def empties(self, place: int, flow: float, signal: int) -> None:
        *_, drying, wet, _ = self.net.places[place]
        self.net.outlets[place] = (self.net.positive(signal), 1.0 / (1.0 / drying + flow / wet))

    def place_number(self, place: str) -> int:
        return self.place_numbers[place]

    def floor(self, place: str) -> Floor:
        return self.floors[place]

    def backed_up(self, place: str) -> int | None:
        if self.role(self.views[place]) != "drain":
            return None
        if place not in self.blocked:
            self.blocked[place] = self.any(self.always(False))
        return self.blocked[place]

    def _receiver(self, place: str) -> tuple[int, int]:
        if self.role(self.views[place]) == "drain":
            return prim.R_DRAIN, 0
        return prim.R_PLACE, self.place_numbers[place]

    # -- readings ------------------------------------------------------------------------------------------------------
    def pressure_while_drawn(self, part_name: str, z: float, flow: float, water_then: float) -> float | None:
        if self.trial:
            return None
        then = House(self.design, self.season_name, water_then)
        then.lay()
        return drawn.pressure_at(then.net, then.constants(), then.outlet(part_name), z, flow)

    def doubt(self, what: str, said: float, reckoned: float) -> None:
        self.doubts.append(Doubt(self.current.name, what, said, reckoned))

    # -- nodes ---------------------------------------------------------------------------------------------------------
    def outlet(self, part_name: str, port: str = "out", feels: bool = False) -> int:  # noqa: ARG002 (checks ask)
        key = (part_name, port)
        if key not in self.ports:
            part = self.views[part_name]
            self.ports[key] = self.net.node(prim.JUNCTION, self._height_of(part))
        return self.ports[key]

    def port(self, port: str, z: float) -> int:
        node = self.outlet(self.current.name, port)
        kind, _, ref, value, conc, rkind, rref = self.net.nodes[node]
        self.net.nodes[node] = (kind, z, ref, value, conc, rkind, rref)
        return node

    def bind(self, port: str, node: int) -> None:
        key = (self.current.name, port)
        assert key not in self.ports, f"{key} was joined before it was bound"
        self.ports[key] = node

    def follower(self, part_name: str) -> str:
        names = (n for n in self.file_order if self.views[n].get("after") == part_name)
        return next((n for n in names if any(port.name == "out" for port in KINDS[self.views[n].kind].ports)), "")

    def joined(self, port: str = "out") -> bool:
        return leads_on(self.views.values(), KINDS, self.current.name, port)

    def one_way(self, part_name: str) -> bool:
        return KINDS[self.views[part_name].kind].one_way

    def junction(self, z: float) -> int:
        return self.net.node(prim.JUNCTION, z)

    def spring(self, node: int, compliance: float) -> None:
        self.net.make_spring(node, compliance)

    def source(self, gauge: float, z: float, dissolved: float) -> int:
        return self.net.node(prim.FIXED, z, value=gauge, conc=dissolved, rkind=prim.R_SUPPLY)

    def vessel(self, name: str) -> StoreSpec:
        return self.specs[name]

    def tap(self, vessel: str) -> int:
        return self.net.node(prim.TAP, self.specs[vessel].bottom, ref=self.vessel_numbers[vessel])

    def cushion(self, z: float, shell: float, precharge: float, start: float) -> int:
        heights, volumes = cushions.table(shell, precharge, self.rho)
        table = one_table(heights, volumes)
        rim, begun = (volume_of(table, 0, h) for h in (heights[-1], start / (self.rho * water.G)))
        self.net.tables.append((heights, volumes))
        self.net.bodies.append(0.0)
        self.net.stores.append((z, rim, len(self.net.bodies) - 1, prim.R_DRAIN, 0, begun, self.net.owner))
        self.cushions.append(self.current.name)
        return self.net.node(prim.TAP, z, ref=len(self.net.stores) - 1)

    def spout(self, vessel: str, z: float) -> int:
        z = max(z, self.specs[vessel].bottom)  # no tube hangs in a vessel below its bottom
        return self.net.node(prim.SPOUT, z, ref=self.vessel_numbers[vessel])

    def open_end(self, z: float, place: str) -> int:
        kind, ref = self._receiver(place)
        return self.net.node(prim.AIR, z, rkind=kind, rref=ref)

    def drain_end(self, z: float) -> int:
        return self.net.node(prim.AIR, z, rkind=prim.R_DRAIN)

    def evaporates(self, tap: int, water: OpenWater, opened: float, shut: float) -> None:
        self.waters.append(water)
        air = self.net.node(prim.AIR, 0.0, rkind=prim.R_AIR)
        self.fixed_flow(tap, air, water.rate, self.gate_level(water.vessel, opened, shut), passage=0.0)

    # -- edges ---------------------------------------------------------------------------------------------------------
    def _edge(self, a: int, b: int, law: int, gate: int, *p: float, passage: float = 1.0) -> int:
        edge = self.net.edge(a, b, law, gate, p, passage)
        self.links.append(Link(self.current.name, edge, a, b))
        return edge

    def tube(self, a: int, b: int, bore: float, length: float, k: float, gate: int = -1) -> int:
        return self._edge(a, b, prim.TUBE, gate, bore, length, ROUGHNESS / bore, k)

    def orifice(self, a: int, b: int, k: float, gate: int = -1) -> int:
        return self._edge(a, b, prim.ORIFICE, gate, k)

    def check(self, a: int, b: int, cracking: float, k: float, holds: bool = True) -> int:  # noqa: ARG002 (checks ask)
        return self._edge(a, b, prim.CHECK, -1, k, cracking)

    def regulator(self, a: int, b: int, held: float, droop: float, rises: float, k: float) -> int:
        return self._edge(a, b, prim.REGULATOR, -1, k, held, droop, rises)

    def membrane(self, a: int, b: int, permeability: float, osmotic: float, passage: float, gate: int = -1) -> int:
        return self._edge(a, b, prim.MEMBRANE, gate, permeability, osmotic, passage=passage)

    def pump(self, a: int, b: int, head: float, flow: float, gate: int) -> int:
        return self._edge(a, b, prim.PUMP, gate, head, head / (flow * flow))

    def fixed_flow(self, a: int, b: int, flow: float, gate: int = -1, passage: float = 1.0) -> int:
        return self._edge(a, b, prim.FLOW, gate, flow, passage=passage)

    def weir(self, vessel: str, b: int, coefficient: float, full_bore: float, gate: int = -1) -> int:
        return self._edge(self.tap(vessel), b, prim.WEIR, gate, coefficient, full_bore)

    def passage(self, edge: int, share: float) -> None:
        self.net.edges[edge][8] = share

    # -- gates ---------------------------------------------------------------------------------------------------------
    def gate_signal(self, signal: int) -> int:
        return self.net.gate(prim.G_SIGNAL, self.net.positive(signal))

    def gate_level(
        self, vessel: str, opened: float, shut: float, hysteresis: float = 0.0, also: int | None = None
    ) -> int:
        if abs(shut - opened) < LEVEL_BAND:
            shut = opened + (LEVEL_BAND if shut >= opened else -LEVEL_BAND)
        c = max(hysteresis, 0.02 * abs(shut - opened)) if hysteresis > 0.0 else -1.0
        lets = self.net.positive(also) if also is not None else -1
        return self.net.gate(prim.G_LEVEL, self.vessel_numbers[vessel], lets, opened, shut, c)

    def gate_ratio(self, sensed: int, against: int, shuts: float, opens: float) -> int:
        return self.net.gate(prim.G_RATIO, sensed, against, shuts, opens)

    def gate_primed(self, running: int, edge_of: int = -1) -> int:
        return self.net.gate(prim.G_PRIMED, self.net.positive(running), edge_of)

    def gate_leak(self) -> int:
        return self.net.gate(prim.G_CONST)

    def gate_slot(self, part_name: str, slot: str) -> int:
        key = (part_name, slot)
        if key not in self.slots:
            self.slots[key] = self.net.gate(prim.G_CONST, a=1.0)
        return self.slots[key]

    def fill_slot(self, part_name: str, slot: str, gate: int) -> None:
        """Whoever was given the slot's gate goes on using that number; the filling gate's rule moves into it."""
        number = self.gate_slot(part_name, slot)
        self.net.gates[number] = self.net.gates[gate]
        for i, fault in enumerate(self.faults):
            moved = tuple((w, number if w in ("low", "high") and n == gate else n, v) for w, n, v in fault.patches)
            self.faults[i] = PlantFault(**{**vars(fault), "patches": moved})
        self.moved[gate] = number

    def leak(
        self,
        node: int,
        z: float,
        place: str,
        fault: str,
        area: float,
        cd: float = 0.7,
        where: str = "",
        sites: float = 1.0,
        cuts: bool = False,
    ) -> None:
        if sites <= 0.0:
            return  # no tube end, nothing that could leak
        gate = self.gate_leak()
        k = self.rho / (2.0 * (cd * area) * (cd * area))
        self.net.edge(node, self.open_end(z, place), prim.ORIFICE, gate, (k,))
        self.fault(fault, [("low", gate, 1.0), *([("cut", node, 1.0)] if cuts else [])], where, sites)

    # -- faults --------------------------------------------------------------------------------------------------------
    def fault(
        self,
        name: str,
        patches: Sequence[Patch],
        where: str = "",
        sites: float = 1.0,
        until: int | None = None,
        trigger: int | None = None,
        lasts: float | None = None,
    ) -> None:
        declared = next(f for f in KINDS[self.current.kind].faults if f.name == name)
        label = f"{self.current.name}: {name}" + (f"{declared.joint}{where}" if where else "")
        done = tuple((w, self.moved.get(n, n) if w in ("low", "high") else n, v) for w, n, v in patches)
        ended = declared.lasts if lasts is None else lasts
        over = NEVER if ended is None else ended
        ends, comes = (-1 if signal is None else self.net.positive(signal) for signal in (until, trigger))
        part, timing, what = self.current.name, declared.timing, declared.what
        if declared.tube_end:
            sites *= self.still_slips(part)
        self.faults.append(PlantFault(label, part, name, where, timing, what, over, sites, done, ends, comes))

    def still_slips(self, part: str) -> float:
        """Share of a part's faults of a tube end that come in spite of all that secures its ends [1]."""
        holding = (secures(p, self) for p in self.design.parts if (secures := KINDS[p.kind].secures))
        return math.prod(held.get(part, 1.0) for held in holding)

    # -- the whole -----------------------------------------------------------------------------------------------------
    def lay(self) -> None:
        """Lower every part: places, vessels, supply, drains, circuits, all others by their id."""
        self.net.places = [(NEVER, prim.R_NONE, 0, 1e6, NEVER, -1)] * len(self.place_numbers)
        self._lay_circuits()
        for role in (*FIRST, ""):
            if role == "source":
                self.lay_vessels()
            for part in self.design.parts:
                mine = self.role(part)
                if (mine if mine in FIRST else "") == role:
                    self.lower_part(part)

    def _lay_circuits(self) -> None:
        """Their signals in the order of feeding, in which they then lose their power in a story."""
        named = [p.name for p in self.design.parts if self.role(p) == "circuit"]
        fed = {other for name in named for other in self.circuits_behind(name)[1:]}
        for name in (*(n for n in named if n not in fed), *named):
            for one in self.circuits_behind(name):
                self.circuit(one)

    def constants(self) -> tuple[float, ...]:
        """``Arrays.const``."""
        return (self.rho, water.G, water.viscosity(self.water) / self.rho, 1.0, 900.0, 86400.0, 1e-3)

    def enter(self, part: PartView) -> None:
        self.current = part
        self.net.owner = self.names.index(part.name)

    def lower_part(self, part: PartView) -> None:
        if part.name not in self.lowered:
            self.lowered.add(part.name)
            self.enter(part)
            KINDS[part.kind].lower(part, self)

    def lay_vessels(self) -> None:
        for name in self.vessel_numbers:
            part = self.views[name]
            store = KINDS[part.kind].store
            assert store is not None
            self.enter(part)
            self.specs[name] = store(part, self)
        self.specs = settled(self.specs, [self._stop(p) for p in self.design.parts if KINDS[p.kind].settles])
        bodies: dict[str, int] = {}
        for name, spec in self.specs.items():
            lead = next((n for n, s in self.specs.items() if s.mixed_with == name), name)
            if lead not in bodies:
                bodies[lead] = len(self.net.bodies)
                self.net.bodies.append(self.specs[lead].dissolved)
            self.enter(self.views[name])
            self._store(spec, bodies[lead])

    def _stop(self, part: PartView) -> tuple[str, float]:
        settles = KINDS[part.kind].settles
        assert settles is not None
        self.enter(part)
        return settles(part, self)

    def _store(self, spec: StoreSpec, body: int) -> None:
        kind, ref = self._receiver(spec.place)
        table = one_table(spec.heights, spec.volumes)
        rim, start = volume_of(table, 0, spec.rim), volume_of(table, 0, spec.start)
        self.net.tables.append((spec.heights, spec.volumes))
        self.net.stores.append((spec.bottom, rim, body, kind, ref, start, self.net.owner))
