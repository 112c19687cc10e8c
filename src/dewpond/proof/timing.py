"""When the events of a way can come: times that fit all delays, runs and levels, found as a linear program.

The search lets clocks that stand still and go on again have less in common than they have; so a way may be found for
which no such times exist. Then it cannot come about in just this way.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from dewpond.plant import primitives as prim
from dewpond.plant.plant import DAY, NEVER, Plant
from dewpond.proof.machine import Machine, Span, as_bit
from dewpond.proof.search import Event, Point
from dewpond.proof.verdicts import Case

APART = 60.0  # between two things that need not wait for each other, where that can be [s]
DELAYS = (prim.L_ON_DELAY, prim.L_OFF_DELAY)


def waits(m: Machine, point: Point, signal: int) -> bool:
    """Whether a delay has begun and not ended."""
    entry = m.ins[signal][0]
    first = point.bits[entry] if entry >= 0 else 1 - point.bits[-1 - entry]
    return first != point.bits[signal] and first == (m.ops[signal] == prim.L_ON_DELAY)


@dataclass
class _Clock:
    """What a clock shows: ``base`` [s] and the gaps, by number, over which it has run since it was set."""

    base: float = 0.0
    gaps: list[int] = field(default_factory=list)


class _Bounds:
    """Rows of a linear program over the gaps before the events: sum of some gaps at least, or at most, so much."""

    def __init__(self, many: int) -> None:
        self.many = many
        self.rows: list[list[float]] = []
        self.most: list[float] = []

    def add(self, clock: _Clock, low: float, high: float) -> None:
        """What a clock shows now lies between two bounds."""
        for sign, bound in ((-1.0, low - clock.base), (1.0, high - clock.base)):
            if math.isfinite(bound):
                row = [0.0] * self.many
                for gap in clock.gaps:
                    row[gap] += sign
                self.rows.append(row)
                self.most.append(sign * bound)


def fitting(plant: Plant, m: Machine, case: Case) -> list[float] | None:
    """Times of the events of a way [s] that fit all its clocks, as soon as may be; None where there are none. Delays,
    midnights, clocks and faults last here as long as the design says, also where the search has left that open."""
    assert case.breach is not None
    due = {i: Span(m.args[i], m.args[i]) for i, op in enumerate(m.ops) if op in DELAYS}
    due |= {i: Span(DAY, math.inf) for i in m.pulses if m.numbers[i] == plant.midnight}
    m = replace(m, due=due | m.due | _by_the_clock(plant, m))
    way, before = case.breach.way, case.breach.start
    bounds, clocks, lasting = _Bounds(len(way)), _first(m, before), dict[int, Span]()
    for number, (event, after) in enumerate(way):
        for key, clock in clocks.items():
            if _runs(m, before, key):
                clock.gaps.append(number)
                high = lasting[key.which].high if key.kind == "mend" else _latest(m, before, key)
                bounds.add(clock, -math.inf, high)
        if event in clocks:
            low = lasting[event.which].low if event.kind == "mend" else _soonest(m, before, event)
            bounds.add(clocks[event], low, math.inf)
        _go_on(m, event, after, clocks)
        if event.kind == "fail" and (span := _lasts(plant, m, event.which)) is not None:
            clocks[Event("mend", event.which)] = _Clock()
            lasting[event.which] = span
        elif event.kind == "mend":
            clocks.pop(event, None)
        before = after
    return _solved(bounds)


def _by_the_clock(plant: Plant, m: Machine) -> dict[int, Span]:
    """How long what comes by the clock lasts, and how far apart it comes, where the machine knows of its time."""
    found: dict[int, Span] = {}
    for signal, number in enumerate(m.numbers):
        if number in plant.clocks and m.ops[signal] in DELAYS:
            window, (opening,) = plant.clocks[number], m.ins[signal]
            found |= {signal: Span(window.lasts, window.lasts), opening: Span(window.every, math.inf)}
    return found


def _lasts(plant: Plant, m: Machine, fault: int) -> Span | None:
    """How long a fault lasts, of those that do the same here; None where it does not end by itself."""
    ends = [plant.fault(label).lasts for label in m.faults[fault].labels]
    return Span(min(ends), max(ends)) if max(ends) < NEVER else None


def _solved(bounds: _Bounds) -> list[float] | None:
    """The gaps as short as may be, but a minute where that costs nothing else, summed up."""
    import numpy as np
    from scipy.optimize import linprog

    n = bounds.many
    if n == 0:
        return []
    rows = [[*row, *([0.0] * n)] for row in bounds.rows]
    rows += [[-1.0 if k == i else 0.0 for k in range(n)] + [1.0 if k == i else 0.0 for k in range(n)] for i in range(n)]
    costs = [1.0] * n + [-2.0] * n
    found = linprog(
        costs, A_ub=np.array(rows), b_ub=[*bounds.most, *([0.0] * n)], bounds=[(0, None)] * n + [(0, APART)] * n
    )
    return [float(v) for v in np.cumsum(found.x[:n])] if found.status == 0 else None


def _first(m: Machine, start: Point) -> dict[Event, _Clock]:
    clocks = {
        Event("due", i): _Clock() for i, op in enumerate(m.ops) if op in DELAYS and i in m.due and waits(m, start, i)
    }
    clocks |= {Event("press", i): _Clock(m.due[i].low) for i in m.pulses if i in m.due}
    return clocks | {Event("rise", k): _Clock(q.since) for k, q in enumerate(m.quantities) if q.up}


def _runs(m: Machine, point: Point, key: Event) -> bool:
    if key.kind in ("due", "press", "mend"):
        return True
    q = m.quantities[key.which]
    back = q.resets >= 0 and point.bits[q.resets] == 1
    return as_bit(point.bits, q.rises if key.kind == "rise" else q.falls) and not back


def _soonest(m: Machine, point: Point, key: Event) -> float:
    if key.kind in ("due", "press"):
        return m.due[key.which].low
    q, cell = m.quantities[key.which], point.cells[key.which]
    return q.up[cell].low if key.kind == "rise" else q.down[cell]


def _latest(m: Machine, point: Point, key: Event) -> float:
    if key.kind == "due":
        return m.due[key.which].high
    return m.quantities[key.which].up[point.cells[key.which]].high if key.kind == "rise" else math.inf


def _put_back(m: Machine, event: Event, after: Point, resets: int) -> bool:
    """Whether a count has been put back, be it only for the moment of a pulse."""
    if resets < 0:
        return False
    bits = tuple(int(bit or (event.kind == "press" and i == event.which)) for i, bit in enumerate(after.bits))
    return after.bits[resets] == 1 or _voted(m, bits, resets)


def _voted(m: Machine, bits: tuple[int, ...], signal: int) -> bool:
    """What a vote comes to with these bits, and those that it hangs on directly."""

    def so(entry: int) -> bool:
        at = entry if entry >= 0 else -1 - entry
        own = bits[at]
        if m.ops[at] == prim.L_VOTE:
            own = int(sum(bits[e] if e >= 0 else 1 - bits[-1 - e] for e in m.ins[at]) >= m.args[at])
        return bool(own) == (entry >= 0)

    return sum(so(entry) for entry in m.ins[signal]) >= m.args[signal]


def _go_on(m: Machine, event: Event, after: Point, clocks: dict[Event, _Clock]) -> None:
    """Clocks that begin, begin anew, or are of no more use after an event."""
    for signal, op in enumerate(m.ops):
        if op in DELAYS and signal in m.due:
            if waits(m, after, signal):
                clocks.setdefault(Event("due", signal), _Clock())
            else:
                clocks.pop(Event("due", signal), None)
    for k, q in enumerate(m.quantities):
        rise, fall = Event("rise", k), Event("fall", k)
        if q.up and (event == rise or _put_back(m, event, after, q.resets)):
            clocks[rise] = _Clock()
            clocks.pop(fall, None)
        elif q.down and event == fall:
            clocks[fall] = _Clock()
            clocks.pop(rise, None)
    if event.kind == "press" and event in clocks:
        clocks[event] = _Clock()
