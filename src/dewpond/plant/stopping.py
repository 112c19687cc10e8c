"""What ended the water of a run: the order, the hand or the later fault that shut off what fed it.

An act counts only if it moves something on the way of the water to where it got out, and still stands when the water
ends. A box that ends the run of a pump has not ended a leak of the vessel from which that pump draws; and who shuts a
tap of a line that lies shut already has changed nothing.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from dewpond.plant import primitives as prim
from dewpond.plant.asked import meets
from dewpond.plant.build import Patch
from dewpond.plant.certain import shut_gates
from dewpond.plant.feeding import Way, way_out
from dewpond.plant.moments import FAULT_DASH, HALF, Moment
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Event, Trace

ACTS = ("trip", "stop", "act")  # kinds of moment that can end the water
WITHIN = 900.0  # what stopped the water is looked for so long before it ended [s]
LONG_AGO = 86400.0  # what was done longer before has not ended what ran on since [s]; our prior
AT_ONCE = 1.0  # and so long after, for an end is dated back [s]
SOON = 60.0  # what ends so soon after an act has ended by it, whatever is left [s]; our prior
RAN_OUT = "; what was left then ran out"
BY_ITSELF = "it ran out by itself"
SHUTS_ITSELF = " as after every fill"
BEFORE_IT_CAME = ", before it came again"
COMES_BACK = ", and a later one may bring the water back"
NO_FLOW = 1e-11  # less than a millilitre a day [m3/s]
PATIENCE = 3.0  # water that stays away for so many times its longest pause has ended; our prior


@dataclass(frozen=True)
class Act:
    """What can have ended the water, from when [s] to when it was lifted again [s]. ``cut``: with it, nothing was left
    that water came from; ``dry``: nothing that it came from without end."""

    time: float
    lifted: float
    words: str
    cut: bool = True
    by_hand: bool = False
    dry: bool = True


@dataclass(frozen=True)
class _Deed:
    """An act with the edges that it moved, and those of them that it shut off entirely."""

    act: Act
    moved: frozenset[int]
    shut: frozenset[int]


def acts(plant: Plant, trace: Trace, told: Sequence[tuple[Event, Moment]]) -> tuple[Act, ...]:
    """Orders, hands, and faults that come after the water began, that shut off what fed a leak; in order of time."""
    way = way_out(plant, trace)
    deeds = _deeds(plant, trace, told, way)
    return tuple(_weighed(deed, deeds, way) for deed in deeds if _changed(deed, deeds, way))


def shut_by_hand(plant: Plant, trace: Trace, told: Sequence[tuple[Event, Moment]]) -> bool:
    """Whether at the end of the run a hand has shut off the supply from where water got out."""
    way = way_out(plant, trace)
    by_hand = [d for d in _deeds(plant, trace, told, way) if d.act.by_hand and d.act.lifted > trace.end]
    return bool(by_hand) and not way.supplied(frozenset().union(*(d.shut for d in by_hand)))


def _deeds(plant: Plant, trace: Trace, told: Sequence[tuple[Event, Moment]], way: Way) -> list[_Deed]:
    """What moved something on the way of the water, in order of time."""
    began = next((e.time for e, _ in told if e.code == prim.E_WATER and e.value > 0.0), None)
    if began is None:
        return []
    holds = _holds(plant, trace)
    leaking: frozenset[int] = frozenset().union(*(hold.leaking for hold in holds))
    # what says itself when it has shut may take its time after the order
    slow = moved_by(plant, [signal for signal, say in plant.says.items() if say.kind == "stop"])
    deeds = []
    for e, m in told:
        stand = [hold for hold in holds if hold.begin <= e.time < hold.end]
        if e.code == prim.E_SIGNAL and m.kind in ACTS:
            held: frozenset[int] = frozenset().union(*(hold.signals for hold in stand))
            moved, words = moved_by(plant, [e.ref], held), m.text
            if m.kind == "stop" and not _own_gates(
                plant, e.ref, m.part
            ):  # what takes the power of others: not all shut
                moved &= _patched(plant, (("force", e.ref, float(e.value > 0.0)),))
            shut = moved if m.kind == "stop" else moved - slow
        elif e.code == prim.E_FAULT and e.value > 0.0 and e.time > began:
            label = trace.scenario.onsets[e.ref].label
            if plant.fault(label).timing == "initiator":
                continue
            moved, shut, words = touched_by(plant, label), shut_by(plant, label), label
        else:
            continue
        moved = moved.difference(*(hold.wide for hold in stand))
        if moved & way.steps.keys():
            deeds.append(_Deed(Act(e.time, _lifted(e, trace), words, by_hand=m.kind == "act"), moved, shut - leaking))
    return deeds


def _weighed(deed: _Deed, deeds: Sequence[_Deed], way: Way) -> Act:
    """The act, with what was left to come once all that stood by then was shut."""
    shut: frozenset[int] = frozenset().union(*(d.shut for d in deeds if d.act.time <= deed.act.time < d.act.lifted))
    return replace(deed.act, cut=not way.fed(shut), dry=not way.supplied(shut))


def _changed(deed: _Deed, deeds: Sequence[_Deed], way: Way) -> bool:
    """Whether water could still come to what this act moved, and from there to where it gets out.

    It could not if what had been shut before, and stayed so at least as long, lies before it or behind it with no
    vessel between; nor if something shut at the same moment lies behind it.
    """
    stands = [d for d in deeds if d.act.lifted >= deed.act.lifted]
    before = (d.shut for d in stands if d.act.time < deed.act.time)
    beside = (d.shut - deed.shut for d in stands if d.act.time == deed.act.time)
    return bool(deed.moved & way.fed(frozenset().union(*before)) & way.leading_out(frozenset().union(*beside)))


def near(done: Iterable[Act], end: float) -> Act | None:
    """What was done last before the water ended, if it was shortly before and still stood then."""
    stands = [a for a in done if end - WITHIN <= a.time <= end + AT_ONCE and a.lifted >= end]
    return stands[-1] if stands else None


def pauses(waters: Sequence[tuple[float, bool]], leaks: Sequence[float]) -> list[tuple[float, float]]:
    """From when to when water stayed away before it came back [s]. ``waters``: (time [s], it gets out); ``leaks``: when
    new ones began, whose water is other water."""
    gaps = [(a, b) for (a, on), (b, _) in pairwise(waters) if not on]
    return [(a, b) for a, b in gaps if not any(a < leak <= b for leak in leaks)]


def longest(away: Sequence[tuple[float, float]]) -> float:
    """The longest of such pauses [s]; 0 where there was none."""
    return max((b - a for a, b in away), default=0.0)


def comes_back(
    done: Sequence[Act], waters: Sequence[tuple[float, bool]], end: float, leaks: Sequence[float] = ()
) -> bool:
    """Whether water that is not getting out at the ``end`` of the run [s] must be expected again: it came back more
    than once, or nothing ended it, and it has stayed away for no longer than it did before; not where a hand has shut
    all that it came from."""
    if not waters or waters[-1][1] or any(a.by_hand and a.cut and a.time <= end < a.lifted for a in done):
        return False
    last, away = waters[-1][0], pauses(waters, leaks)
    again = reopenings(done, waters, leaks) > 1 or near(done, last) is None
    return bool(away) and again and end - last <= PATIENCE * longest(away)


def closed_itself(plant: Plant, trace: Trace) -> str:
    """In words, what shuts as the water rises, where that is what the supply's water waits for at the end of a run: a
    shut-off, else floats. Empty where water could come past it, or none came from the supply."""
    a, way = plant.arrays, way_out(plant, trace)
    shuts = {}
    for edge in way.steps:
        gate = a.edge_gate[edge]
        kind = a.gate_kind[gate] if gate >= 0 else prim.G_CONST
        rising = kind == prim.G_LEVEL and a.gate_b[gate] > a.gate_a[gate]
        if (kind == prim.G_RATIO or rising) and abs(trace.flow[edge]) <= NO_FLOW:
            shuts[edge] = kind
    if way.fed(shuts) or not any(a.node_kind[a.edge_a[edge]] == prim.FIXED for edge in way.steps):
        return ""  # a vessel behind it fed the leak, or could
    first = [e for e, kind in shuts.items() if kind == prim.G_RATIO] or list(shuts)
    names = dict.fromkeys(plant.parts[a.gate_owner[a.edge_gate[e]]] for e in first)
    return f"{' and '.join(names)} shuts{SHUTS_ITSELF}"


def stopper(
    done: Sequence[Act], waters: Sequence[tuple[float, bool]], leaks: Sequence[float] = (), closed: str = ""
) -> str:
    """What ended the water for good, in words; else it ended of itself. ``closed``: as closed_itself has it."""
    by_itself = closed or BY_ITSELF
    began, stopped = waters[0][0], waters[-1][0]
    shortly = near(done, stopped)
    if shortly is not None:
        slowly = not shortly.cut and stopped - shortly.time > SOON
        return f"{shortly.words}{RAN_OUT}" if slowly else shortly.words
    since = max(began, stopped - LONG_AGO)
    before = [a for a in done if since <= a.time <= stopped + AT_ONCE and a.lifted >= stopped and a.dry]
    if before:
        return f"{before[0].words}{RAN_OUT}"
    pause = longest(pauses(waters, leaks))
    after = next((a for a in done if stopped < a.time <= stopped + pause), None)
    if after is not None:
        return f"{after.words}{BEFORE_IT_CAME}"
    later = next((a for a in done if a.time > stopped and not pause), None)
    if later is not None:
        return f"{by_itself}; later {later.words}"
    return f"{closed}{COMES_BACK}" if closed else BY_ITSELF


def reopenings(done: Sequence[Act], waters: Sequence[tuple[float, bool]], leaks: Sequence[float] = ()) -> int:
    """How often water began again after a protection or a person had ended it, or as what kept it shut was lifted.
    ``waters``, ``leaks`` as in pauses."""
    return sum(
        near(done, end) is not None or any(a.time <= end < a.lifted <= begin + AT_ONCE for a in done)
        for end, begin in pauses(waters, leaks)
    )


def stilled(plant: Plant, trace: Trace, told: Sequence[tuple[Event, Moment]], dry: Event) -> Moment | None:
    """Of what kept the pumps at rest that fill the tank whose return pump is ``dry``, what came first and still stood
    then: a fault, an order, a hand, or that they had nothing to draw from. None where the tank itself leaks: that needs
    nothing else."""
    a = plant.arrays
    body = a.store_body[plant.stores.index(plant.parts[a.sig_owner[dry.ref]])]
    faults = [plant.fault(onset.label) for onset in trace.scenario.onsets]
    leaking = {fault.part for fault in faults if fault.timing == "initiator"}
    if leaking & {plant.parts[owner] for owner, own in zip(a.store_owner, a.store_body, strict=True) if own == body}:
        return None
    fills = {
        owner
        for end, owner in zip(a.edge_b, a.edge_owner, strict=True)
        if a.node_kind[end] == prim.SPOUT and a.store_body[a.node_ref[end]] == body
    }
    pumps = {e for e, law in enumerate(a.edge_law) if law in (prim.PUMP, prim.FLOW) and a.edge_owner[e] in fills}
    drawn = {plant.stores[a.node_ref[a.edge_a[e]]] for e in pumps if a.node_kind[a.edge_a[e]] == prim.TAP}
    empties = {signal for signal, whose in plant.tallies.get("reservoir empty", ()) if whose in drawn}
    stands = [(e, m) for e, m in told if e.time <= dry.time < _lifted(e, trace)]
    held = next((m for e, m in stands if e.code == prim.E_FAULT and _holds_still(plant, trace, e) & pumps), None)
    if held is not None:
        return held._replace(text=held.text.partition(FAULT_DASH)[0])
    stands = [(e, m) for e, m in stands if e.code == prim.E_SIGNAL]
    holds = _holds(plant, trace)
    act = next((m for e, m in stands if m.kind in ("trip", "act") and _moves(plant, e, holds) & pumps), None)
    empty = next((m for e, m in stands if m.kind == "harm" and e.ref in empties), None)
    # a pump that draws air runs on in vain: that a box then ends its run is no reason
    return empty if empty and (act is None or empty.time <= act.time + WITHIN) else act


def _moves(plant: Plant, e: Event, holds: Sequence[_Hold]) -> frozenset[int]:
    """Edges that an order moves past the faults that stand by then."""
    stand = [hold for hold in holds if hold.begin <= e.time < hold.end]
    held: frozenset[int] = frozenset().union(*(hold.signals for hold in stand))
    return moved_by(plant, [e.ref], held).difference(*(hold.wide for hold in stand))


def _holds_still(plant: Plant, trace: Trace, e: Event) -> frozenset[int]:
    """Edges that a fault certainly keeps shut by what it does to the logic, if the run met it."""
    label = trace.scenario.onsets[e.ref].label
    met = e.value > 0.0 and meets(plant, trace, plant.fault(label))
    return touched_by(plant, label) if met else frozenset()


def _lifted(e: Event, trace: Trace) -> float:
    """When what an event began was over again [s]; the end of time if it never was."""
    same = trace.alike[e.code, e.ref]
    later = same[bisect_right(same, e.time, key=lambda o: o.time) :]
    return next((o.time for o in later if (o.value > 0.0) != (e.value > 0.0)), float("inf"))


def _own_gates(plant: Plant, signal: int, part: str) -> bool:
    """Whether a signal moves a gate of that part."""
    return any(plant.gates.get(gate) == part for gate in plant.hanging([signal]))


def moved_by(plant: Plant, signals: Iterable[int], held: Collection[int] = ()) -> frozenset[int]:
    """Edges whose opening hangs on any of these signals, past those that are ``held``."""
    first, past = frozenset(signals), frozenset(held)
    return plant.once(("moved by", first, past), lambda: _behind(plant, plant.hanging(first, past)))


def touched_by(plant: Plant, label: str) -> frozenset[int]:
    """Edges that a fault shuts, stops, narrows or cuts off."""
    return _patched(plant, plant.fault(label).patches)


def shut_by(plant: Plant, label: str) -> frozenset[int]:
    """Those of them that let nothing through any more."""
    none_left = ("high", "source")
    gone = [p for p in plant.fault(label).patches if p[0] in ("cut", "force") or (p[0] in none_left and p[2] == 0.0)]
    return _patched(plant, gone)


def _patched(plant: Plant, patches: Sequence[Patch]) -> frozenset[int]:
    """Edges behind patches; behind signals that are held, those that are certainly shut by that."""
    return plant.once(("patched", tuple(patches)), lambda: _found_behind(plant, patches))


def _found_behind(plant: Plant, patches: Sequence[Patch]) -> frozenset[int]:
    a = plant.arrays
    edges = set(_behind(plant, shut_gates(plant, {n: value > 0.0 for what, n, value in patches if what == "force"})))
    for what, number, _ in patches:
        if what in ("low", "high"):
            edges |= _behind(plant, {number})
        elif what in ("scale", "cut"):
            edges.add(number)
        elif what == "source":
            edges |= {e for e in range(len(a.edge_a)) if number in (a.edge_a[e], a.edge_b[e])}
    return frozenset(edges)


def _behind(plant: Plant, gates: Collection[int]) -> frozenset[int]:
    return frozenset(e for e, g in enumerate(plant.arrays.edge_gate) if g in gates)


@dataclass(frozen=True)
class _Hold:
    """A fault from when to when [s]: signals that it holds, and edges that it keeps from shutting; those wide open."""

    begin: float
    end: float
    signals: frozenset[int]
    leaking: frozenset[int]
    wide: frozenset[int]


def _holds(plant: Plant, trace: Trace) -> list[_Hold]:
    found = []
    for e in trace.events:
        if e.code == prim.E_FAULT and e.value > 0.0:
            patches = plant.fault(trace.scenario.onsets[e.ref].label).patches
            signals = frozenset(number for what, number, _ in patches if what == "force")
            leaking, wide = (_patched(plant, [p for p in patches if p[0] == "low" and p[2] > o]) for o in (0.0, HALF))
            found.append(_Hold(e.time, _lifted(e, trace), signals, leaking, wide))
    return found
