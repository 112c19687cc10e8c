"""What the matrix starts: each pump or valve with its row, the vessel that it fills, and how fast (short runs)."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from dewpond.design.model import Design, Row
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.plant.rows import GOES, STOPS
from dewpond.plant.trace import Trace
from dewpond.study import clocks
from dewpond.study.full import full_level
from dewpond.study.limits.basin import DRAINS_FOR, Basin, forced, ordered_gates, volume
from dewpond.vocabulary import Word

QUICK, SLOW = (
    10.0,
    900.0,
)  # a pump gives its flow after so long; a line that is fed through a membrane after so long [s]
LEAST: Final = 1e-10  # less is no flow [m3/s]


@dataclass(frozen=True)
class Marks:
    """Of a switch in a vessel: it speaks at one level, and falls silent at the other [m above the bottom]."""

    sensor: str
    store: int
    lower: float
    upper: float


@dataclass(frozen=True)
class Feed:
    """A part that a row starts, and what comes of that.

    row, number  the row of the matrix, and its place in it
    box          what carries it out; empty where the file has none
    basin, store the water and the vessel that it fills; source: the vessel that it draws from, None for the supply
    low          the switch for low water that starts it; None where no such switch is in the cause
    strong, weak what comes into the vessel [m3/s], from a full vessel and from one that is nearly empty
    counted      what the box counts for one part of that: more where it sits before a membrane [1]
    along        other water and vessels on its line, that it fills through their floats after or beside that one
    gives        what tanks under pressure on its line give of their own, once, whether it is open or shut [m3]
    """

    part: str
    row: Row
    number: int
    box: str
    basin: Basin
    store: int
    source: int | None
    low: Marks | None
    strong: float
    weak: float
    counted: float
    along: tuple[tuple[Basin, int], ...] = ()
    gives: float = 0.0

    @property
    def fills(self) -> tuple[tuple[Basin, int], ...]:
        """All water and vessels that it fills."""
        return (self.basin, self.store), *self.along

    @property
    def pumped(self) -> bool:
        """Whether it draws from a vessel: then its flow does not follow the supply's water."""
        return self.source is not None


def marks_of(plant: Plant, sensor: str) -> Marks | None:
    """The levels at which a switch changes what it says; None of what watches no level. Where a latch remembers from
    one mark to another, these two are meant, not the turning points of one of its eyes."""
    a = plant.arrays
    own = [s for s, owner in enumerate(a.sig_owner) if owner >= 0 and plant.parts[owner] == sensor]
    eyes = {s: int(a.sig_arg[s]) for s in own if a.sig_op[s] == prim.L_THRESHOLD}
    levels = {s: k for s, k in eyes.items() if a.thr_kind[k] == prim.T_LEVEL}
    for signal in own:
        if a.sig_op[signal] == prim.L_LATCH:
            begins, ends, *_ = a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]]
            ended = _behind(plant, ends, levels)
            begun = _behind(plant, begins, levels) - ended  # what has a say in both tells no two marks apart
            if begun and ended:
                marks = [levels[s] for s in (*begun, *ended)]
                lower, upper = min(a.thr_off[k] for k in marks), max(a.thr_on[k] for k in marks)
                return Marks(sensor, a.thr_ref[marks[0]], lower, upper)
    for k in levels.values():
        return Marks(sensor, a.thr_ref[k], a.thr_off[k], a.thr_on[k])
    return None


def _behind(plant: Plant, entry: int, among: Container[int]) -> set[int]:
    """Of these signals, those that an input of a signal hangs on."""
    a, todo = plant.arrays, [entry]
    for one in todo:  # grows while it is walked
        signal = one if one >= 0 else -1 - one
        todo += [more for more in a.sig_in[a.sig_in_at[signal] : a.sig_in_at[signal + 1]] if more not in todo]
    return {signal for one in todo if (signal := one if one >= 0 else -1 - one) in among}


def feeds(design: Design, plant: Plant, basins: Iterable[Basin]) -> tuple[Feed, ...]:
    """All of them, in the order of the matrix."""
    of = {store: basin for basin in basins for store in basin.stores}
    return tuple(_feeds(design, plant, of))


def _feeds(design: Design, plant: Plant, of: Mapping[int, Basin]) -> Iterator[Feed]:
    for number, row in enumerate(design.rows, 1):
        started = [part for part, word in row.effects if word in GOES]
        for part in started:
            edge = counted_edge(plant, part)
            reached = _reached(plant, edge) if edge >= 0 else ()
            low = _low(plant, row)
            if low is not None and low.store in reached:
                reached = (low.store,)
            elif source_of(plant, edge) is None:
                reached = _watered(plant, started, edge, reached)
            if not reached:
                continue
            store, *others = reached
            box = row.by or str(design.part(part).get("driven by") or "")
            strong, counted = _flow(plant, started, edge, store, low, full=True)
            weak, _ = _flow(plant, started, edge, store, low, full=False)
            if low is not None and of[low.store] is not of[store]:
                low = None  # it looks at other water than the one that comes
            if strong > LEAST:
                yield Feed(
                    part, row, number, box, of[store], store, source_of(plant, edge), low, strong, min(weak, strong),
                    counted, tuple((of[one], one) for one in others),
                    max(cushioned(plant, edge, one) for one in reached),
                )  # fmt: skip


def counted_edge(plant: Plant, part: str) -> int:
    """The edge whose flow a box counts as what a part brings; -1 without one."""
    a = plant.arrays
    own = [e for e, owner in enumerate(a.edge_owner) if owner >= 0 and plant.parts[owner] == part]
    pumps = [e for e in own if a.edge_law[e] in (prim.PUMP, prim.FLOW)]
    return (pumps or own or [-1])[0]


def source_of(plant: Plant, edge: int) -> int | None:
    """The vessel that an edge draws from, if it does so at once."""
    a = plant.arrays
    node = a.edge_a[edge]
    return a.node_ref[node] if a.node_kind[node] == prim.TAP else None


def _reached(plant: Plant, edge: int) -> tuple[int, ...]:
    """Vessels that water comes to behind an edge, without going through another vessel. A tank under pressure is none:
    it hangs on the line, and gives on what it takes."""
    a, found = plant.arrays, dict[int, None]()
    onward: dict[int, list[int]] = {}
    for other, gate in enumerate(a.edge_gate):
        leak = gate >= 0 and a.gate_kind[gate] == prim.G_CONST and a.gate_a[gate] == 0.0
        if not leak and a.edge_law[other] != prim.WEIR:
            onward.setdefault(a.edge_a[other], []).append(a.edge_b[other])
    todo = [a.edge_b[edge]]
    for node in todo:  # grows while it is walked
        if a.node_kind[node] in (prim.SPOUT, prim.TAP):
            if a.node_ref[node] < plant.vessels:
                found[a.node_ref[node]] = None
        else:
            todo += [end for end in onward.get(node, ()) if end not in todo]
    return tuple(found)


def _low(plant: Plant, row: Row) -> Marks | None:
    """The first switch of a cause that tells of low water."""
    for term in row.cause.terms:
        marks = marks_of(plant, term.part) if term.word == Word.LOW and not term.negated else None
        if marks is not None:
            return marks
    return None


def high_marks(design: Design, plant: Plant) -> Iterator[tuple[Marks, Row, int]]:
    """Switches for high water whose row stops or shuts something, each with the first such row and its place."""
    told = set[str]()
    for number, row in enumerate(design.rows, 1):
        if not any(word in STOPS for _, word in row.effects):
            continue
        for term in row.cause.terms:
            marks = marks_of(plant, term.part) if term.word == Word.HIGH and not term.negated else None
            if marks is not None and term.part not in told:
                told.add(term.part)
                yield marks, row, number


def _flow(
    plant: Plant, parts: Iterable[str], edge: int, store: int, low: Marks | None, full: bool
) -> tuple[float, float]:
    """(what comes into the vessel [m3/s], what the box counts for one part of it) with the parts held open and the
    vessel at its low mark. ``full``: what it draws from is as full as the file says, else near the pump's inlet."""
    a = plant.arrays
    start = list(a.store_start)
    start[store] = volume(plant, store, low.lower) if low is not None and low.store == store else 0.5 * start[store]
    source = source_of(plant, edge)
    if source is not None and not full:
        start[source] = volume(plant, source, inlet(plant, edge))
    trace = _open(replace(plant, arrays=a._replace(store_start=start)), parts, edge)
    into = _into(plant, trace.flow, edge, store)
    return max(into, 0.0), abs(trace.flow[edge]) / into if into > LEAST else 1.0


def _open(plant: Plant, parts: Iterable[str], edge: int) -> Trace:
    """A run with parts held open. What tanks under pressure on the line give or take is left out, so that a flow is
    that of the unit."""
    a, near = plant.arrays, _island(plant, edge)
    held = {gate for gate in ordered_gates(plant) if plant.gates.get(gate) in set(parts)}
    laid = clocks.held(plant, clocks.ruling(plant, near))  # a row starts nothing that a timer keeps off
    hung = {a.edge_gate[e] for e in near if any(_cushion(plant, node) for node in (a.edge_a[e], a.edge_b[e]))} - {-1}
    patches = (*(("low", gate, 1.0) for gate in sorted(held)), *(("high", gate, 0.0) for gate in sorted(hung)))
    return forced(laid, patches, QUICK if source_of(plant, edge) is not None else SLOW)


def _into(plant: Plant, through: Sequence[float], edge: int, store: int) -> float:
    """What goes into a vessel from the line of an edge; ``through``: each edge, as a flow or as litres."""
    a = plant.arrays
    return sum(
        through[e] for e in _island(plant, edge)
        if a.node_kind[a.edge_b[e]] in (prim.SPOUT, prim.TAP) and a.node_ref[a.edge_b[e]] == store
    )  # fmt: skip


def _watered(plant: Plant, parts: Iterable[str], edge: int, reached: Sequence[int]) -> tuple[int, ...]:
    """Of these vessels, those that the supply's water comes to while parts are open: first as all stand half full, then
    while some get nothing with those full that got some."""
    start = [0.5 * held if store in reached else held for store, held in enumerate(plant.arrays.store_start)]
    found = list[int]()
    while len(found) < len(reached):
        trace = _open(replace(plant, arrays=plant.arrays._replace(store_start=start)), parts, edge)
        got = [s for s in reached if s not in found and _into(plant, trace.flow, edge, s) > LEAST]
        if not got:
            break
        found += got
        for store in got:
            start[store] = volume(plant, store, full_level(plant, store))
    return tuple(found)


def _cushion(plant: Plant, node: int) -> bool:
    """Whether a node is in a tank under pressure."""
    a = plant.arrays
    return a.node_kind[node] == prim.TAP and a.node_ref[node] >= plant.vessels


def cushioned(plant: Plant, edge: int, store: int) -> float:
    """What tanks under pressure on the line of an edge give into a vessel whose float is stuck open, with no water from
    the supply [m3]: seen in a run."""
    a, near = plant.arrays, _island(plant, edge)
    ends = {node for e in near for node in (a.edge_a[e], a.edge_b[e])}
    if not any(_cushion(plant, node) for node in ends):
        return 0.0
    patches = [("source", node, 0.0) for node in sorted(ends) if a.node_kind[node] == prim.FIXED]
    patches += [
        ("low", g, 1.0) for g in sorted({a.edge_gate[e] for e in near} - {-1})
        if a.gate_kind[g] == prim.G_LEVEL and a.gate_ref[g] == store and a.gate_b[g] > a.gate_a[g]
    ]  # fmt: skip
    trace = forced(plant, tuple(patches), DRAINS_FOR)
    return max(_into(plant, trace.moved, edge, store), 0.0)


def inlet(plant: Plant, edge: int) -> float:
    """Level below which what draws through an edge draws air [m]; the bottom where nothing says so."""
    a = plant.arrays
    gate = a.edge_gate[edge]
    drawn = gate >= 0 and a.gate_kind[gate] == prim.G_LEVEL and a.gate_a[gate] > a.gate_b[gate]
    return a.gate_a[gate] if drawn else 0.0


def _island(plant: Plant, edge: int) -> tuple[int, ...]:
    """Edges joined with one by water, vessels apart."""
    a = plant.arrays
    for first, last in zip(a.isl_edge_at, a.isl_edge_at[1:], strict=False):
        if edge in a.isl_edge[first:last]:
            return tuple(a.isl_edge[first:last])
    return (edge,)
