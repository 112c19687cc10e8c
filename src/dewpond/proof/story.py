"""The way to a breach, step by step with clock times."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from dewpond.plant import primitives as prim
from dewpond.plant.plant import DAY, Plant, message_text
from dewpond.proof.machine import Machine
from dewpond.proof.search import Event, Point
from dewpond.proof.signals import order_of
from dewpond.proof.tables import BEGUN
from dewpond.proof.timing import APART, fitting
from dewpond.proof.verdicts import Case

BEGIN = 2.0 * 3600.0  # by the clock, when nobody is about [s after midnight]


def begin_of(told: tuple[Step, ...]) -> float:
    """Time of day at which a story begins [s after midnight]: such that its first midnight is one."""
    first = next((step.time for step in told if step.kind == "midnight"), None)
    return BEGIN if first is None else -first % DAY


class Step(NamedTuple):
    """One thing of a story. time: since its beginning [s]; kind: "fails", "ends" (text: the fault), "rises", "falls"
    (text: the vessel or place; mark [m] or [m3]; what: "level", "pool"), "press" (text: what is re-armed), "midnight",
    "says" (text: what the story of a run says of a signal that changed)."""

    time: float
    kind: str
    text: str
    mark: float = 0.0
    what: str = ""


def steps(plant: Plant, case: Case) -> tuple[Step, ...]:
    """The way of a case; empty where the file itself says it."""
    if case.machine is None or case.breach is None:
        return ()
    m, before = case.machine, case.breach.start
    found: list[Step] = []
    for time, (event, after) in zip(times(plant, m, case), case.breach.way, strict=True):
        found += [step._replace(time=time) for step in _events(plant, m, event, before)]
        found += [step._replace(time=time) for step in _changes(plant, m, before, after)]
        before = after
    return tuple(found)


def times(plant: Plant, m: Machine, case: Case) -> list[float]:
    """When each event of the way comes, one of many possible ways; a minute apart where no times fit."""
    assert case.breach is not None
    fit = fitting(plant, m, case)
    return fit if fit is not None else [APART * (number + 1) for number in range(len(case.breach.way))]


def fits(plant: Plant, case: Case) -> bool:
    """Whether times were found that fit the way of a case."""
    return case.machine is None or fitting(plant, case.machine, case) is not None


def _events(plant: Plant, m: Machine, event: Event, before: Point) -> Iterator[Step]:
    """What happens of itself; that a delay ends shows in what comes of it."""
    kind, which = event
    if kind in ("fail", "mend"):
        yield Step(0.0, "fails" if kind == "fail" else "ends", m.faults[which].labels[0])
    elif kind in ("rise", "fall"):
        q = m.quantities[which]
        mark = q.marks[before.cells[which] - (kind == "fall")]
        names = {prim.T_LEVEL: plant.stores, prim.T_POOL: tuple(place.name for place in plant.places)}
        if q.kind in names:
            what = "level" if q.kind == prim.T_LEVEL else "pool"
            yield Step(0.0, f"{kind}s", names[q.kind][q.ref], mark, what)
    elif kind == "press":
        number = m.numbers[which]
        if number < 0:  # a clock's time has come: that shows in what comes of it
            return
        yield Step(0.0, "midnight", "") if number == plant.midnight else Step(0.0, "press", plant.rearms[number])


def _changes(plant: Plant, m: Machine, before: Point, after: Point) -> Iterator[Step]:
    """What stories of runs say of the signals that changed, in the order of the logic."""
    stuck = {
        plant.fault(m.faults[f].labels[0]).part
        for f, state in enumerate(after.faults)
        if state == BEGUN and _sticks(m, plant, f)
    }
    moved = [(signal, number) for signal, number in enumerate(m.numbers) if number >= 0]
    for signal, number in sorted(moved, key=lambda one: _rank(plant, one[1])):
        old, new = before.bits[signal], after.bits[signal]
        if old == new:
            continue
        if number in plant.messages and new:
            yield Step(0.0, "says", message_text(plant.messages[number]))
        if number in plant.says:
            say = plant.says[number]
            text = say.true if new else say.false
            if text and say.kind in ("trip", "stop") and say.part in stuck:
                text = f"{say.part} is told to move, and stays as it is"
            if text and say.kind != "silent":
                yield Step(0.0, "says", text)


def _sticks(m: Machine, plant: Plant, fault: int) -> bool:
    """Whether a fault holds a gate that something would move."""
    return any(
        what in ("low", "high") and order_of(plant, number) >= 0
        for what, number, _ in plant.fault(m.faults[fault].labels[0]).patches
    )


def _rank(plant: Plant, number: int) -> tuple[int, int]:
    """Sensors first, then boxes and their trips, then what they move and tell."""
    if number in plant.messages:
        return 5, number
    if number not in plant.says:
        return 6, number
    orders = {order_of(plant, gate) for gate in plant.gates}
    ranks = {"reached": 0, "notice": 1, "trip": 3, "stop": 4}
    return 4 if number in orders else ranks.get(plant.says[number].kind, 2), number
