"""What tells of a fault, or, where water gets out, of that water."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.moments import Moment, tell
from dewpond.plant.plant import BECAUSE, Onset, Plant, Scenario, is_told, sees_in
from dewpond.plant.trace import Event, Trace

JUST = 1.5  # whoever is told so soon after a message went out is told of that one [s]
ALIKE = 60.0  # what is noticed so near to when it is when nothing fails tells of no fault [s]
Told = tuple[Event, Moment]


def notices_of(
    plant: Plant, trace: Trace, told: Sequence[Told], first_water: float | None, leaks: Sequence[float]
) -> list[Moment]:
    """Notices in order of time. Where no water gets out, all of them.

    Where it does: not what was told before the leak had begun, nor that a sign of life stays away or a circuit is dead,
    nor what is told as well when nothing fails, or with faults alone that let no water out, nor what a sensor reports
    that is itself at fault, nor what came of such reports alone. ``leaks``: when leaks began [s].
    """
    usual = plant.noticed_anyway.get(trace.scenario.who, ()) if trace.scenario.onsets else ()

    def anyway(m: Moment) -> bool:
        early = first_water is not None and m.time < first_water and m.text != is_told(m.part)
        return any(m.text == text and (early or abs(m.time - time) <= ALIKE) for text, time in usual)

    if first_water is None:
        return [m for _, m in told if m.kind in ("notice", "found") and not anyway(m)]
    begun = max((t for t in leaks if t <= first_water + JUST), default=0.0)
    ill = _at_fault(plant, trace)
    reports = []  # of sensors, and whether there is nothing in them
    for _, m in told:
        false = any(begin <= m.time < end for begin, end in ill.get(m.part, ()))
        if (m.kind == "notice" and m.part not in plant.people) or (false and m.kind == "note"):
            reports.append((m, false or anyway(m)))
    reached = {m.part: m.time for _, m in reversed(told) if m.kind == "reached"}
    idle = {id(m) for m, is_idle in reports if is_idle}

    seen = min(
        (m.time for m, is_idle in reports if not is_idle and reached.get(m.part, m.time + 1) <= m.time), default=None
    )

    def of_others(m: Moment) -> bool:
        """Whether faults that let no water out account for it; a person who sees water, a probe that it has reached,
        and all that comes after, need no such question."""
        if m.text.startswith(sees_in(m.part, "")) or reached.get(m.part, m.time + 1.0) <= m.time:
            return False
        if seen is not None and seen <= m.time:
            return False
        return _of_the_innocent(plant, trace, m)

    def holds(e: Event, m: Moment) -> bool:
        """Whether what came of reports came of one that is true, or of none."""
        led = [is_idle for report, is_idle in reports if report.time <= m.time and e.ref in _onward(plant, report.part)]
        return not led or not all(led)

    def counts(e: Event, m: Moment) -> bool:
        if m.time < begun or id(m) in idle or anyway(m):
            return False
        if m.kind == "trip":  # what acts on a probe has been told by it
            of_probe = BECAUSE in m.text or reached.get(m.part, m.time + 1.0) <= m.time
            return of_probe and m.time >= first_water and holds(e, m) and not of_others(m)
        return m.kind == "notice" and (m.text != is_told(m.part) or holds(e, m)) and not of_others(m)

    return [m for e, m in told if counts(e, m)]


def _of_the_innocent(plant: Plant, trace: Trace, m: Moment) -> bool:
    """Whether something is told at the same time with a fault alone that lets no water out, where another one does.
    The run of a fault from the first moment on, which many ask for, tells whether that can be."""
    scenario = trace.scenario
    if len(scenario.onsets) < 2:
        return False
    first = [_alone(plant, scenario, onset._replace(time=min(onset.time, 0.0))) for onset in scenario.onsets]
    if not any(wet for wet, _ in first):
        return False
    may = [o for o, (wet, lines) in zip(scenario.onsets, first, strict=True) if not wet and m.text in dict(lines)]
    return any(
        m.text == text and abs(m.time - time) <= ALIKE
        for onset in may
        for text, time in _alone(plant, scenario, onset)[1]
    )


def _alone(plant: Plant, scenario: Scenario, onset: Onset) -> tuple[bool, tuple[tuple[str, float], ...]]:
    """Whether water gets out with a fault alone, and what is told then. Of a leak that goes without saying, and nobody
    asks what is told; a hidden fault that meets nothing in the run in which nothing fails does nothing."""
    if plant.fault(onset.label).timing == "initiator" or onset.label in plant.idle_anyway.get(scenario.who, ()):
        return plant.fault(onset.label).timing == "initiator", ()

    def run() -> tuple[bool, tuple[tuple[str, float], ...]]:
        alone = Scenario(scenario.who, scenario.horizon, (onset,), scenario.clock, scenario.lying)
        trace = engine.run(plant, alone, compiled=None)
        wet = any(e.code == prim.E_WATER for e in trace.events)
        return wet, tuple((m.text, m.time) for _, m in tell(plant, trace) if m.kind in ("notice", "trip"))

    return plant.once(("alone", scenario.who, scenario.horizon, scenario.clock, onset, scenario.lying), run)


def _at_fault(plant: Plant, trace: Trace) -> dict[str, list[tuple[float, float]]]:
    """From when to when a sensor reports what its fault makes it report [s]."""
    found: dict[str, list[tuple[float, float]]] = {}
    a = plant.arrays
    looking = {
        a.sig_owner[s]
        for s, op in enumerate(a.sig_op)
        if op == prim.L_THRESHOLD and a.thr_kind[int(a.sig_arg[s])] != prim.T_COUNTER
    }
    sensors = {plant.parts[owner] for owner in looking if owner >= 0} - plant.people
    for number, onset in enumerate(trace.scenario.onsets):
        fault = plant.fault(onset.label)
        forced = any(what == "force" for what, _, _ in fault.patches)
        if fault.timing == "initiator" or not forced or fault.part not in sensors:
            continue
        turns = trace.alike.get((prim.E_FAULT, number), ())
        for e in turns:
            if e.value > 0.0:
                end = next((o.time for o in turns if o.time > e.time and o.value <= 0.0), float("inf"))
                found.setdefault(fault.part, []).append((e.time, end))
    return found


def _onward(plant: Plant, part: str) -> frozenset[int]:
    """Signals that hang on those of a part, also through people."""
    return plant.once(("onward", part), lambda: _walked(plant, plant.parts.index(part)))


def _walked(plant: Plant, owner: int) -> frozenset[int]:
    todo = [signal for signal, whose in enumerate(plant.arrays.sig_owner) if whose == owner]
    found = set(todo)
    while todo:
        new = set(plant.readers.get(todo.pop(), ())) - found
        found |= new
        todo += new
    return frozenset(found)
