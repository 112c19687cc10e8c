"""Vectors in runs of the engine: a trial becomes faults that force wires, plugs and pauses, and presses of buttons.

Each force is a fault that never ends; of two on one signal the later one stands. Buttons are pressed by the timetable;
one that is to be held down is left alone.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from dataclasses import replace

from dewpond.plant import compile as ways
from dewpond.plant import primitives as prim
from dewpond.plant.engine import read
from dewpond.plant.laying import lay
from dewpond.plant.plant import DAY, NEVER, Onset, Plant, PlantFault, Scenario
from dewpond.plant.trace import Trace
from dewpond.study.matrix.bench import TOLD, Force
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.trial import Trial

PRESSED = 0.3  # how long a button is down [s]
ON_THE_WAY = 61.0  # a message arrives within so long [s]: plant.people
JUST = 0.01  # before a moment [s]


def left_out(trial: Trial) -> str:
    """Why a trial is not run in the engine; empty if it is."""
    forces = [force for step in trial.steps for force in step.forces]
    if any(force.sort in ("own", "arm") for force in forces):
        return "a part that acts by itself is not set off by hand"
    return ""


def signals(plant: Plant, force: Force, matrix: Matrix) -> tuple[int, int]:
    """(signal, its value) that brings a force about."""
    if force.sort == "sensor" and matrix.sensors[force.name].sort == "contact":
        closed = (matrix.sensors[force.name].read_when == "closed") == force.on
        broken = next(f for f in plant.faults if f.part == force.name and f.name in ("wire cut", "wire broken"))
        return broken.patches[0][1], int(closed)
    words = ("without power",) if force.sort == "power" else ("is over", "pause is over")
    found = next(s for s, say in plant.says.items() if say.part == force.name and say.false.endswith(words))
    return found, int(force.on)


def begins(trial: Trial) -> Iterator[float]:
    """When each step begins, and at last when the last is over [s]."""
    at = 0.0
    for step in trial.steps:
        yield at
        at += step.wait + step.tolerance if step.wait > step.tolerance else step.tolerance + step.wait
    yield at


def forced(plant: Plant, trial: Trial, matrix: Matrix) -> Trace:
    """The run of a trial."""
    faults: list[PlantFault] = []
    onsets, presses, clock = [], [], 1.0
    times = list(begins(trial))
    for at, step in zip(times, trial.steps, strict=False):
        for force in step.forces:
            if force.sort == "button" and force._replace(on=not force.on) not in step.forces:
                continue  # held down, or let go: a run knows presses only, and to a sound box a button held is none
            if force.sort == "button":
                mine = [s for s, what in plant.rearms.items() if what.startswith(f"{force.name} after ")]
                presses += [(at, s, 1) for s in mine if force.on] + [(at + PRESSED, s, 0) for s in mine if force.on]
            elif force.sort == "midnight":
                clock = (DAY - at) % DAY
            else:
                signal, value = signals(plant, force, matrix)
                label = f"force {len(faults)}"
                patch = ("force", signal, float(value))
                faults.append(PlantFault(label, force.name, label, "", "event", "", NEVER, 1.0, (patch,)))
                onsets.append(Onset(label, at))
    laid = replace(plant, faults=tuple(faults))
    scenario = Scenario("travelling", times[-1] + 1.0, tuple(onsets), clock)
    arrays = lay(laid, scenario)
    rows = sorted([*zip(arrays.tt_time, arrays.tt_sig, arrays.tt_value, strict=True), *presses])
    arrays = arrays._replace(tt_time=[r[0] for r in rows], tt_sig=[r[1] for r in rows], tt_value=[r[2] for r in rows])
    state = ways.run_once(arrays, len(plant.parts), scenario.horizon, compiled=True)
    return read(laid, scenario, state, 0)


class Seen:
    """Columns of a matrix over the time of a run."""

    def __init__(self, plant: Plant, trace: Trace, matrix: Matrix) -> None:
        self.changes: dict[int, tuple[list[float], list[int]]] = {}
        for event in trace.events:
            if event.code == prim.E_SIGNAL:
                at, values = self.changes.setdefault(event.ref, ([], []))
                at.append(event.time)
                values.append(int(event.value))
        self.trace, self.matrix = trace, matrix
        self.signal: dict[str, tuple[int, bool]] = {}
        for effect in matrix.effects:
            if effect.sort == "message":
                named = next((s for s, name in plant.messages.items() if name == effect.name), None)
                if named is not None:
                    self.signal[effect.key] = named, True
            elif effect.sort == "ordered":
                verb = f"{effect.name} {'opens' if effect.go == 'open' else 'starts'}"
                for s, say in plant.says.items():
                    if say.part == effect.name and verb in (say.true, say.false):
                        self.signal[effect.key] = s, verb == say.true

    def word(self, key: str, time: float) -> str:
        """The word of a column at a time; empty where a run does not tell it."""
        if key not in self.signal:
            return ""
        signal, straight = self.signal[key]
        at, values = self.changes.get(signal, ([], []))
        number = bisect_right(at, time - JUST)  # at the time itself the next step may have begun
        start = 1 - values[0] if values else self.trace.signal[signal]
        so = bool(values[number - 1] if number else start) == straight
        effect = self.matrix.effect(key)
        return (TOLD if so else "not told") if effect.sort == "message" else effect.go if so else effect.stop


def run_fails(plant: Plant, trial: Trial, matrix: Matrix) -> tuple[str, int, int]:
    """(the first thing that is not as expected, empty for none; positions looked at; messages looked at)."""
    trace = forced(plant, trial, matrix)
    assert trace.events_lost == 0
    seen = Seen(plant, trace, matrix)
    looked = {"ordered": 0, "message": 0}
    before: Mapping[str, str] = {}
    still = dict.fromkeys(seen.signal, 0.0)  # since when the messages are as they are, and all plugs
    times = list(begins(trial))
    for number, (at, end, step) in enumerate(zip(times, times[1:], trial.steps, strict=False), 1):
        plugged = any(force.sort == "power" for force in step.forces)
        still = {key: end if plugged else since for key, since in still.items()}
        looks = [(at + step.wait - step.tolerance, before)] if step.wait > step.tolerance else []
        for time, expect in [*looks, (end, step.expect)]:
            if time == end:
                still = {key: end if expect.get(key) != before.get(key) else since for key, since in still.items()}
            for key, word in expect.items():
                sort, found = matrix.effect(key).sort, seen.word(key, time)
                if not found or (sort == "message" and time - still[key] < ON_THE_WAY):
                    continue
                looked[sort] += 1
                if found != word:
                    return f"{trial.title}, step {number}, {time:.1f} s: {key} is {found}, not {word}", 0, 0
        before = step.expect
    return "", looked["ordered"], looked["message"]
