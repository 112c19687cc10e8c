"""Plants made by hand for the tests of the kernel: short words for primitives, faults, runs and balances.

All SI. Nodes carry total pressure (gauge + rho g z), as in the kernel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from dewpond.plant import primitives as prim
from dewpond.plant.build import Net
from dewpond.plant.compile import run_once
from dewpond.plant.primitives import Arrays, State

RHO = 998.2
G = 9.80665
NU = 1.0034e-6
LITRE = 1e-3
PER_MINUTE = 1.0 / 60000.0  # one litre a minute [m3/s]
DAY = 86400.0
DRAWN = 1.5e-6
NEVER = 1e30
LONGEST_STEP = DAY
SHORTEST = 1e-3


def const(rho: float = RHO, g: float = G, nu: float = NU, tolerance: float = 1.0) -> tuple[float, ...]:
    """The kernel's constants as the lowering lays them down."""
    return (rho, g, nu, tolerance, 120.0, LONGEST_STEP, SHORTEST)


@dataclass
class Fault:
    """A fault of a run: patches (kind, number, value), from ``time`` on for ``lasts``."""

    patches: Sequence[tuple[int, int, float]]
    time: float = 0.0
    lasts: float = NEVER
    signal: int = 0
    delay: float = 0.0


@dataclass
class Bench:
    """A plant under construction together with its timetable and faults."""

    net: Net = field(default_factory=Net)
    rows: list[tuple[float, int, int]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    constants: tuple[float, ...] = field(default_factory=const)

    # -- vessels and places --------------------------------------------------------------------------------------------
    def place(
        self, holds: float = NEVER, next_kind: int = prim.R_NONE, ref: int = 0, drying: float = 1e9, wet: float = NEVER
    ) -> int:
        self.net.places.append((holds, next_kind, ref, drying, wet, -1))
        return len(self.net.places) - 1

    def body(self, conc: float = 0.0) -> int:
        self.net.bodies.append(conc)
        return len(self.net.bodies) - 1

    def store(
        self,
        area: float,
        rim: float,
        level: float,
        z: float = 0.0,
        conc: float = 0.0,
        body: int = -1,
        rkind: int = prim.R_DRAIN,
        rref: int = 0,
    ) -> int:
        """A vessel with straight walls; ``level`` and ``rim`` above its bottom."""
        body = self.body(conc) if body < 0 else body
        return self.store_of_table((0.0, rim + 1.0), (0.0, area * (rim + 1.0)), rim, level, z, body, rkind, rref)

    def store_of_table(
        self,
        heights: Sequence[float],
        volumes: Sequence[float],
        rim: float,
        level: float,
        z: float,
        body: int,
        rkind: int = prim.R_DRAIN,
        rref: int = 0,
    ) -> int:
        self.net.tables.append((tuple(heights), tuple(volumes)))
        number = len(self.net.stores)
        self.net.stores.append(
            (z, interpolate(heights, volumes, rim), body, rkind, rref, interpolate(heights, volumes, level), -1)
        )
        return number

    # -- nodes ---------------------------------------------------------------------------------------------------------
    def junction(self, z: float = 0.0) -> int:
        return self.net.node(prim.JUNCTION, z)

    def spring(self, z: float, compliance: float) -> int:
        return self.net.node(prim.SPRING, z, value=compliance)

    def mains(self, gauge: float, z: float = 0.0, conc: float = 0.0) -> int:
        return self.net.node(prim.FIXED, z, value=gauge, conc=conc, rkind=prim.R_SUPPLY)

    def tap(self, store: int) -> int:
        return self.net.node(prim.TAP, self.net.stores[store][0], ref=store)

    def spout(self, store: int, z: float) -> int:
        return self.net.node(prim.SPOUT, z, ref=store)

    def open_end(self, z: float, place: int) -> int:
        return self.net.node(prim.AIR, z, rkind=prim.R_PLACE, rref=place)

    def drain_end(self, z: float = 0.0) -> int:
        return self.net.node(prim.AIR, z, rkind=prim.R_DRAIN)

    def air(self) -> int:
        return self.net.node(prim.AIR, 0.0, rkind=prim.R_AIR)

    # -- edges ---------------------------------------------------------------------------------------------------------
    def tube(self, a: int, b: int, bore: float, length: float, k: float = 0.0, gate: int = -1) -> int:
        return self.net.edge(a, b, prim.TUBE, gate, (bore, length, DRAWN / bore, k))

    def orifice(self, a: int, b: int, area: float, gate: int = -1, passage: float = 1.0) -> int:
        """A hole of the effective area Cd A."""
        return self.net.edge(a, b, prim.ORIFICE, gate, (self.constants[0] / (2.0 * area * area),), passage)

    def flow(self, a: int, b: int, rate: float, gate: int = -1, passage: float = 1.0) -> int:
        return self.net.edge(a, b, prim.FLOW, gate, (rate,), passage)

    def pump(self, a: int, b: int, head: float, rate: float, gate: int = -1) -> int:
        """Head at no flow [Pa] and flow at no head [m3/s]."""
        return self.net.edge(a, b, prim.PUMP, gate, (head, head / (rate * rate)))

    def check(self, a: int, b: int, area: float, cracking: float) -> int:
        return self.net.edge(a, b, prim.CHECK, -1, (self.constants[0] / (2.0 * area * area), cracking))

    def regulator(self, a: int, b: int, held: float, droop: float = 1e3, rises: float = 0.0, area: float = 1e-5) -> int:
        """Gauge it holds [Pa], fall with the flow [Pa/(m3/s)], rise at rest [Pa]; open valve as a hole of Cd A."""
        k = self.constants[0] / (2.0 * area * area)
        return self.net.edge(a, b, prim.REGULATOR, -1, (k, held, droop, rises))

    def membrane(self, a: int, b: int, permeability: float, osmotic: float, passage: float) -> int:
        return self.net.edge(a, b, prim.MEMBRANE, -1, (permeability, osmotic), passage)

    def weir(self, store: int, b: int, coefficient: float, full: float, gate: int = -1) -> int:
        return self.net.edge(self.tap(store), b, prim.WEIR, gate, (coefficient, full))

    # -- gates and logic -----------------------------------------------------------------------------------------------
    def slot(self) -> int:
        """A gate that is shut until a fault opens it."""
        return self.net.gate(prim.G_CONST)

    def float_gate(self, store: int, opened: float, shut: float, falls: float = -1.0, also: int = -1) -> int:
        return self.net.gate(prim.G_LEVEL, store, also, opened, shut, falls)

    def order_gate(self, signal: int) -> int:
        return self.net.gate(prim.G_SIGNAL, self.net.positive(signal))

    def timed(self, *changes: tuple[float, int], start: int = 0) -> int:
        """A signal of the timetable: (time, value) rows."""
        signal = self.net.signal(prim.L_TIMETABLE, start=start)
        self.rows += [(t, signal, v) for t, v in changes]
        return signal

    def log(self, *signals: int) -> None:
        """Write every change of these signals into the run's events."""
        self.net.logged.update(dict.fromkeys(signals, 2))

    def level_above(self, store: int, on: float, off: float) -> int:
        return self.net.threshold(prim.T_LEVEL, store, on, off)

    def pressure_above(self, node: int, on: float, off: float) -> int:
        return self.net.threshold(prim.T_PRESSURE, node, on, off)

    # -- laying down and running ---------------------------------------------------------------------------------------
    def arrays(self) -> Arrays:
        rows = sorted(self.rows)
        at, kinds, refs, values = [0], [], [], []
        for fault in self.faults:
            for kind, ref, value in fault.patches:
                kinds.append(kind)
                refs.append(ref)
                values.append(float(value))
            at.append(len(kinds))
        return self.net.arrays(self.constants)._replace(
            tt_time=[r[0] for r in rows], tt_sig=[r[1] for r in rows], tt_value=[r[2] for r in rows],
            fault_time=[f.time for f in self.faults], fault_signal=[f.signal for f in self.faults],
            fault_delay=[f.delay for f in self.faults], fault_end=[f.lasts for f in self.faults],
            fault_until=[-1 for _ in self.faults],
            patch_at=at, patch_kind=kinds, patch_ref=refs, patch_value=values,
        )  # fmt: skip

    def run(self, horizon: float, *, compiled: bool = False, rows: int = 0, tolerance: float = 1.0) -> State:
        """One run of ``horizon`` [s]."""
        a = self.arrays()
        a = a._replace(const=[*a.const[:3], tolerance, *a.const[4:]])
        return run_once(a, 1, horizon, rows=rows, compiled=compiled)

    def level(self, state: State, store: int) -> float:
        """Water level above the bottom of a vessel [m]."""
        heights, volumes = self.net.tables[store]
        return interpolate(volumes, heights, float(state.volume[store]))

    def changes(self, state: State, signal: int) -> list[tuple[float, int]]:
        """(time, value) of each logged change of a signal."""
        count = int(state.clock[prim.C_EVENTS])
        return [
            (float(state.event_time[k]), int(state.event_value[k]))
            for k in range(count)
            if state.event_code[k] == prim.E_SIGNAL and state.event_ref[k] == signal
        ]


def interpolate(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Piecewise linear, continued beyond both ends."""
    i = 0
    while i < len(xs) - 2 and x > xs[i + 1]:
        i += 1
    return ys[i] + (x - xs[i]) * (ys[i + 1] - ys[i]) / (xs[i + 1] - xs[i])


@dataclass(frozen=True)
class Balance:
    """What a run lost or made: water [m3] and dissolved matter [kg], beside what it handled."""

    water: float
    salt: float
    water_handled: float
    salt_handled: float


def balance(a: Arrays, s: State) -> Balance:
    """In less out less stored, less what lies in places, what dried and what stands in springs."""
    total = [float(v) for v in s.total]
    springs = sum(
        (float(p) - a.const[0] * a.const[1] * z) * c
        for p, z, c, k in zip(s.spring, a.node_z, a.node_value, a.node_kind, strict=True)
        if k == prim.SPRING
    )
    begun = sum(a.store_start)
    water = (
        begun
        + total[prim.V_SUPPLY]
        - (
            sum(map(float, s.volume))
            + total[prim.V_DRAIN]
            + total[prim.V_AIR]
            + total[prim.V_DRIED]
            + sum(map(float, s.pool))
            + springs
        )
    )
    dissolved = sum(a.body_start[b] * v for b, v in zip(a.store_body, a.store_start, strict=True))
    salt = (
        dissolved
        + total[prim.S_SUPPLY]
        - (
            sum(map(float, s.salt))
            + total[prim.S_DRAIN]
            + total[prim.S_REMOVED]
            + total[prim.S_AIR]
            + sum(map(float, s.pool_salt))
            + sum(map(float, s.spring_salt))
        )
    )
    return Balance(water, salt, begun + abs(total[prim.V_SUPPLY]), dissolved + abs(total[prim.S_SUPPLY]))


def frozen(s: State) -> str:
    """Every number of a state, in the shortest form that tells any two floats apart.

    Work space of the solver is part of it: the two ways must agree there as well.
    """
    return repr([[float(v) for v in values] for values in s])
