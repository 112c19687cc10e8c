"""Each stretch of tube in its own size and in the next: what the fill gains, and what a burst then pours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isclose

from dewpond.parts.plumbing import TUBES
from dewpond.physics.pipes import DRAWN_PLASTIC
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.filling import NO_FLOW, Looked, drawn, look
from dewpond.study.sizing.ways import broken, holes, lets_out, reached, widest_break

FEED, PRODUCT, WASTE, LINE = "feed", "product", "waste", "line"
BESIDE = {"1/4 in": "3/8 in", "3/8 in": "1/4 in", "6x4": "8x6", "8x6": "6x4", "1/2 in": "3/8 in"}
SAME_BORE = 0.02  # two bores that differ by less are one size [1]


@dataclass(frozen=True)
class Stretch:
    """A part made of tube, as it is and in another size.

    carries: one of the words above; ``line`` where no membrane is. length [m]; bore, other [m]; size: that of the
    catalogue, empty where it is none. fill, other_fill: what the membranes make in a fill, or without one what comes
    through it [m3/s]; burst, other_burst: what runs out where it comes off or bursts [m3/s]; None where no fault opens
    it.
    """

    part: str
    carries: str
    length: float
    bore: float
    size: str
    other: str
    fill: float
    other_fill: float
    burst: float | None
    other_burst: float | None

    @property
    def wider(self) -> bool:
        """Whether the other size is the wider one."""
        return TUBES[self.other][1] > self.bore

    @property
    def gain(self) -> float:
        """Flow of a fill in the other size over that in its own, less 1 [1]."""
        return self.other_fill / self.fill - 1.0 if self.fill > NO_FLOW else 0.0


def stretches(plant: Plant, looked: Looked, compiled: bool | None = None) -> tuple[Stretch, ...]:
    """Those that water of a fill runs through, in the order of the plant's parts."""
    a, found = plant.arrays, list[Stretch]()
    for owner, part in enumerate(plant.parts):
        edges = [e for e, law in enumerate(a.edge_law) if law == prim.TUBE and a.edge_owner[e] == owner]
        trace = next((run for run in _runs(looked) if any(abs(run.flow[e]) > NO_FLOW for e in edges)), None)
        if trace is not None:
            found.append(_stretch(plant, looked, trace, edges, part, compiled))
    return tuple(found)


def _runs(looked: Looked) -> list[Trace]:
    return [trace for trace, _ in (*looked.turns, *looked.drawn.values())]


def _stretch(plant: Plant, looked: Looked, trace: Trace, edges: list[int], part: str, compiled: bool | None) -> Stretch:
    a = plant.arrays
    bore, kind = a.edge_p1[edges[0]], carries(plant, trace, edges[0])
    size = size_of(bore)
    other = BESIDE.get(size) or min(TUBES, key=lambda name: abs(TUBES[name][1] - 1.5 * bore))
    changed = with_bore(plant, part, edges, TUBES[other][1])
    fault = widest_break(plant, part)
    spilt, other_spilt = None, None
    if fault:
        spilt, other_spilt = (lets_out(one, fault, broken(one, fault, compiled)) for one in (plant, changed))
    own, then = (_brought(one, run, kind, edges) for one, run in ((plant, looked), (changed, look(changed, compiled))))
    return Stretch(
        part, kind, sum(a.edge_p2[e] for e in edges), bore, size, other, own, then, spilt, other_spilt
    )  # fmt: skip


def size_of(bore: float) -> str:
    """The catalogue's size with a bore [m]; empty where there is none."""
    return next((name for name, (_, own) in TUBES.items() if isclose(own, bore, rel_tol=SAME_BORE)), "")


def with_bore(plant: Plant, part: str, edges: list[int], bore: float) -> Plant:
    """The plant with the tubes of a part, and the hole that they leave when they come off, in another bore [m]."""
    a, before = plant.arrays, plant.arrays.edge_p1[edges[0]]
    p1, p3 = list(a.edge_p1), list(a.edge_p3)
    for edge in edges:
        p1[edge], p3[edge] = bore, DRAWN_PLASTIC / bore
    fault = widest_break(plant, part)
    for edge in holes(plant, fault) if fault else ():
        ratio = (before / bore) * (before / bore)
        p1[edge] *= ratio * ratio
    return replace(plant, arrays=a._replace(edge_p1=p1, edge_p3=p3))


def carries(plant: Plant, trace: Trace, edge: int) -> str:
    """What a stretch carries in a run, by the membranes before and behind it."""
    a = plant.arrays
    start, end = (a.edge_a[edge], a.edge_b[edge]) if trace.flow[edge] >= 0.0 else (a.edge_b[edge], a.edge_a[edge])
    before, behind = reached(plant, trace, start, forward=False), reached(plant, trace, end, forward=True)
    for _, product in plant.membranes:
        if a.edge_b[product] in before:
            return PRODUCT
        if a.edge_a[product] in before:
            return WASTE
        if a.edge_a[product] in behind:
            return FEED
    return LINE


def _brought(plant: Plant, looked: Looked, kind: str, edges: list[int]) -> float:
    """What the membranes make in the run in which most comes through a stretch, or without one what it lets through
    [m3/s]."""
    run = max(_runs(looked), key=lambda trace: abs(trace.flow[edges[0]]))
    return abs(run.flow[edges[0]]) if kind == LINE else drawn(plant, run).product
