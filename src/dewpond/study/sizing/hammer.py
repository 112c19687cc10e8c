"""How hard water knocks when a valve shuts: in a fill, and on a break behind it.

Faster than the wave runs to the far end and back the rise is rho a dv (Joukowsky); slower, that of a rigid column,
rho L dv / t, up to twice that. What damps it is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

from dewpond.design.checks_lines import BEARS, CLASS
from dewpond.design.model import Design
from dewpond.design.scout import scout
from dewpond.parts import KINDS
from dewpond.parts.plumbing import TUBES
from dewpond.physics.pipes import tube_flow
from dewpond.physics.surge import joukowsky_surge, slow_closing_surge, wave_speed
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant, PlantFault
from dewpond.plant.trace import Trace
from dewpond.study.filling import NO_FLOW, Looked
from dewpond.study.sizing.bores import size_of
from dewpond.study.sizing.ways import Step, broken, rest_gauge, way_through, widest_break
from dewpond.vocabulary import Word

TURNING, CLOSES_IN = "turning time", "closes in"  # keys of valves
FAST, SERVO = (0.010, 0.050), (0.1, 1.0)  # a plunger, and a disc that the water itself moves [s]; from memory
YOUNG, POISSON = (0.3e9, 0.6e9), 0.45  # soft polyethylene: [Pa], [1]; from memory
WALL = 1e-3  # of a tube of which only the bore is known [m]
USUAL = TUBES["1/4 in"][1]  # bore where no tube is near [m]
TAKEN = 5.0  # length where no tube is described before the valve [m]; our prior, 1 to 20
HEADS = 10.0  # velocity heads of the fittings in that tube [1]; our prior, 3 to 20
MICHAUD = 2.0  # rise of an even closing over that of a rigid column, at most [1]; Michaud 1878, from memory
DEVICE = "device"  # role of what acts by itself


@dataclass(frozen=True)
class Knock:
    """A valve that shuts while so much runs [m3/s], at so much velocity in the tube before it [m/s].

    low, high [Pa]: the rise, with a soft or stiff tube and the longer or shorter time. broke: the fault that lets the
    water out behind it; empty: an ordinary fill.
    """

    flow: float
    velocity: float
    low: float
    high: float
    broke: str = ""


@dataclass(frozen=True)
class Slam:
    """A valve that something other than a hand shuts.

    time: of its closing, shortest and longest [s]; told: the file says so. length: of the tube before it [m], bore [m];
    tube_told: whether a tube is described there, or only taken. rests: gauge pressure before it once it is shut [Pa].
    joints: parts before it, itself last; weakest: of these the one that bears least; bears [Pa], and whether
    the file says so.
    """

    part: str
    time: tuple[float, float]
    told: bool
    length: float
    bore: float
    tube_told: bool
    rests: float
    joints: tuple[str, ...]
    weakest: str
    bears: float
    bears_told: bool
    knocks: tuple[Knock, ...]

    def peak(self, knock: Knock) -> float:
        """The highest pressure before it [Pa]."""
        return self.rests + knock.high


def slams(plant: Plant, design: Design, looked: Looked, compiled: bool | None = None) -> tuple[Slam, ...]:
    """All valves that orders or devices shut, and that water runs through in a fill."""
    orders = scout(design, KINDS).orders
    found = (
        _slam(plant, design, looked, part.name, compiled)
        for part in design.parts
        if Word.SHUT in orders.get(part.name, ()) or KINDS[part.kind].role == DEVICE
    )
    return tuple(one for one in found if one is not None)


def _slam(plant: Plant, design: Design, looked: Looked, part: str, compiled: bool | None) -> Slam | None:
    a = plant.arrays
    runs = [trace for trace, _ in (*looked.turns, *looked.drawn.values())]
    at = next(((e, t) for t in runs for e in gated(plant, part) if t.flow[e] > NO_FLOW), None)
    if at is None:
        return None
    edge, trace = at
    way = way_through(plant, trace, edge)
    place = next(i for i, step in enumerate(way) if step.edge == edge)
    tubes = [step.edge for step in way[:place] if a.edge_law[step.edge] == prim.TUBE]
    bore = a.edge_p1[tubes[-1]] if tubes else USUAL
    length = sum(a.edge_p2[e] for e in tubes) if tubes else TAKEN
    time, told = closing_time(plant, design, part)
    shut = rests(plant, trace, way, place)
    knocks = [_knock(plant, trace.flow[edge], bore, length, time)]
    fault = _break_behind(plant, way[place:], part)
    if fault is not None:
        flow = broken(plant, fault, compiled).flow[edge]
        if not tubes:  # the tube that is taken lets no more through
            flow = min(flow, tube_flow(shut, bore, length, HEADS, a.const[0], a.const[0] * a.const[2]))
        knocks.append(_knock(plant, flow, bore, length, time, fault.label))
    joints = tuple(dict.fromkeys(plant.parts[a.edge_owner[step.edge]] for step in way[: place + 1]))
    bears = {name: _bears(design, name) for name in joints}
    weakest = min(joints, key=lambda name: bears[name])
    return Slam(
        part, time, told, length, bore, bool(tubes), shut, joints, weakest, bears[weakest],
        bool(design.part(weakest).get(BEARS)), tuple(knocks),
    )  # fmt: skip


def gated(plant: Plant, part: str) -> list[int]:
    """The edges of a valve that orders open and shut, those into the air apart."""
    a = plant.arrays
    return [
        edge
        for edge, gate in enumerate(a.edge_gate)
        if plant.parts[a.edge_owner[edge]] == part
        and gate >= 0
        and a.gate_kind[gate] == prim.G_SIGNAL
        and a.node_kind[a.edge_b[edge]] != prim.AIR
    ]


def servo(plant: Plant, part: str) -> tuple[int, float] | None:
    """Of a valve that the water itself moves: the edge that its order opens, and the pressure difference that it needs
    [Pa]; None for any other."""
    a = plant.arrays
    for edge in gated(plant, part):
        for other, law in enumerate(a.edge_law):
            if law == prim.CHECK and a.edge_a[other] == a.edge_b[edge] and a.edge_owner[other] == a.edge_owner[edge]:
                return edge, a.edge_p2[other]
    return None


def closing_time(plant: Plant, design: Design, part: str) -> tuple[tuple[float, float], bool]:
    """From beginning to end of its closing, shortest and longest [s]; and whether the file says so."""
    view = design.part(part)
    said = view.get(CLOSES_IN) or view.get(TURNING)
    if said:
        return (float(said), float(said)), bool({CLOSES_IN, TURNING} & view.given)
    return (SERVO if servo(plant, part) else FAST), False


def _knock(plant: Plant, flow: float, bore: float, length: float, time: tuple[float, float], broke: str = "") -> Knock:
    rho = plant.arrays.const[0]
    outside = TUBES[size][0] if (size := size_of(bore)) else bore + 2.0 * WALL
    velocity = flow / (0.25 * pi * bore * bore)
    soft, stiff = (wave_speed(bore, 0.5 * (outside - bore), young, POISSON, rho) for young in YOUNG)
    low = min(joukowsky_surge(rho, soft, velocity), slow_closing_surge(rho, length, velocity, time[1]))
    high = min(joukowsky_surge(rho, stiff, velocity), MICHAUD * slow_closing_surge(rho, length, velocity, time[0]))
    return Knock(flow, velocity, low, high, broke)


def _break_behind(plant: Plant, way: Sequence[Step], part: str) -> PlantFault | None:
    """The widest break right behind a valve: at its own outlet, else of the next part."""
    a = plant.arrays
    own = [step.end for step in way if plant.parts[a.edge_owner[step.edge]] == part]
    after = [plant.parts[a.edge_owner[step.edge]] for step in way if plant.parts[a.edge_owner[step.edge]] != part]
    return widest_break(plant, part, own[-1]) or (widest_break(plant, after[0]) if after else None)


def _bears(design: Design, part: str) -> float:
    """What a part is made for [Pa]; the usual class where it does not say."""
    return float(design.part(part).get(BEARS) or CLASS)


def rests(plant: Plant, trace: Trace, way: Sequence[Step], place: int) -> float:
    """Gauge pressure that comes to stand before a shut valve [Pa]: at most the supply's, less what a membrane keeps; up
    to the ratio at which its shut-off closes."""
    a, first = plant.arrays, way[0].start
    head = a.const[0] * a.const[1]
    total = rest_gauge(plant, first) if a.node_kind[first] == prim.FIXED else trace.pressure[first]
    ratio = 1.0
    for step in way[:place]:
        if a.edge_law[step.edge] == prim.MEMBRANE:
            total -= a.edge_p2[step.edge]
            shuts = [a.gate_a[g] for g in a.isl_gate if g >= 0]
            ratio = min(shuts, default=1.0)
    return max(ratio * (total - head * a.node_z[way[place].start]), 0.0)
