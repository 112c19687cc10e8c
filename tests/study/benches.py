"""What vectors are run on besides the logic they come from: the plain model of the rows, and the Structured Text."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping
from pathlib import Path

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.report.export.structured_text import structured_text
from dewpond.report.views.shown import Shown
from dewpond.study.matrix.bench import NOT_TOLD, TOLD, Force
from dewpond.study.matrix.model import Matrix
from tests.report.matrix_houses import EXAMPLES, HOUSES, house
from tests.report.rows_model import BoxModel
from tests.report.structured import Instance, Parsed, blocks

ALL = (*EXAMPLES, *HOUSES)
STEPS = 100  # scans of one wait, at most
METRIC = Shown("metric")


def design_of(name: str, repository: Path) -> Design:
    return read(repository / "examples" / f"{name}.yaml") if name in EXAMPLES else house(name)


def text_of(matrix: Matrix) -> str:
    return structured_text(matrix, METRIC)


class Scanned:
    """Boxes that are scanned again and again; positions from the outputs of all that stand on a part."""

    def __init__(self, design: Design, matrix: Matrix) -> None:
        self.design, self.matrix = design, matrix
        self.states = dict.fromkeys(matrix.sensors, False)
        self.power = {box.name: True for box in matrix.boxes}
        self.buttons = dict.fromkeys(self.power, False)
        self.own = {line.whose: (line, False, False) for line in matrix.lines if line.sort == "own"}
        self.last: dict[str, str] = {}
        self.given: dict[str, tuple[dict[str, bool], dict[str, bool]]] = {}
        self.clock = 0.0

    # what a box of one or the other kind does
    def cut(self, box: str) -> None:
        raise NotImplementedError

    def scan(self, box: str, step: float, midnight: bool) -> tuple[dict[str, bool], dict[str, bool]]:
        """(part -> it gets current, message -> it is told)."""
        raise NotImplementedError

    def apply(self, forces: Iterable[Force]) -> None:
        midnight = False
        for force in forces:
            if force.sort == "sensor":
                self.states[force.name] = force.on
            elif force.sort == "power":
                self.power[force.name] = force.on
                if force.on:
                    self.cut(force.name)
            elif force.sort == "button":
                self.buttons[force.name] = force.on
                self._scan(0.0)
            elif force.sort in ("own", "arm"):
                line, _, before = self.own[force.name]
                acts = force.sort == "own" and force.on
                self.own[force.name] = (line, acts, acts or (before and line.latched and force.sort == "own"))
            else:
                midnight = True
        self._scan(0.0, midnight)
        if midnight:
            self._scan(0.0)

    def advance(self, seconds: float) -> None:
        step = min(max(seconds / STEPS, 0.25), 30.0)
        left = seconds
        while left > 1e-9:
            now = min(step, left)
            self.clock += now
            self._scan(now)
            left -= now

    def _scan(self, step: float, midnight: bool = False) -> None:
        self.given = {box: self.scan(box, step, midnight) if on else ({}, {}) for box, on in self.power.items()}

    def outputs(self) -> Mapping[str, str]:
        found = {}
        for effect in self.matrix.effects:
            if effect.sort == "message":
                told = any(messages.get(effect.name) for _, messages in self.given.values())
                found[effect.key] = TOLD if told else NOT_TOLD
            elif effect.sort == "ordered":
                lets = [
                    self.given[box][0].get(effect.name, False) or (not self.power[box] and self._lets(box))
                    for box in effect.boxes
                ]
                acts = any(lets) if effect.rests == effect.go else all(lets)
                moved = effect.stop if effect.rests == effect.go else effect.go
                stays = effect.losses and effect.losses.signal.startswith("stays") and not self.power[effect.boxes[0]]
                found[effect.key] = moved if acts else self.last.get(effect.key, "") if stays else effect.rests
                self.last[effect.key] = found[effect.key]
            else:
                shut = self.own[effect.name][2]
                found[effect.key] = (effect.stop if shut else effect.go) or ("sounds" if shut else "silent")
        return found

    def _lets(self, box: str) -> bool:
        return self.matrix.box(box).lets_without_power


class Modelled(Scanned):
    """By the plain model of the rows."""

    def __init__(self, design: Design, matrix: Matrix) -> None:
        super().__init__(design, matrix)
        self.models = {box: BoxModel(design, box) for box in self.power}
        self.apply(())

    def cut(self, box: str) -> None:
        self.models[box].restart()

    def scan(self, box: str, step: float, midnight: bool) -> tuple[dict[str, bool], dict[str, bool]]:
        says = {}
        for name, sensor in self.matrix.sensors.items():
            other = {"wet": "dry"}.get(sensor.state, "normal")
            says |= {(name, sensor.state): self.states[name], (name, other): not self.states[name]}
        return self.models[box].scan(says, self.buttons[box], midnight, step)


class Entered(Scanned):
    """By the Structured Text, run by the interpreter of the tests."""

    def __init__(self, design: Design, matrix: Matrix, text: str | Mapping[str, Parsed]) -> None:
        super().__init__(design, matrix)
        parsed = blocks(text) if isinstance(text, str) else text
        self.instances = {box: Instance(parsed[f"FB_{plain(box)}"]) for box in self.power}
        self.fresh = dict.fromkeys(self.power, True)
        self.apply(())

    def cut(self, box: str) -> None:
        self.instances[box].cut()
        self.fresh[box] = True

    def scan(self, box: str, step: float, midnight: bool) -> tuple[dict[str, bool], dict[str, bool]]:
        inputs = {"ReArm": self.buttons[box], "Midnight": midnight, "Cycle": 0.0 if self.fresh[box] else step}
        self.fresh[box] = False
        for name, sensor in self.matrix.sensors.items():
            key, so = plain(name), self.states[name]
            inputs[f"{key}_Begun"] = so
            inputs[f"{key}_Closed"] = (sensor.read_when == "closed") == so
        given = self.instances[box].scan(self.clock, inputs)
        parts = {e.name: bool(given.get(f"{plain(e.name)}_Energise")) for e in self.matrix.effects}
        told = {e.name: bool(given.get(f"Tell_{plain(e.name)}")) for e in self.matrix.effects}
        return parts, told


def plain(name: str) -> str:
    """How a simple name is spelled as an identifier."""
    return "_".join(word.capitalize() for word in name.replace("-", " ").split())


def at_random(matrix: Matrix, rng: random.Random, steps: int) -> Iterable[tuple[tuple[Force, ...], float]]:
    """Forces and waits: sensors, plugs and buttons as they come; a midnight no oftener than once a day."""
    sensors, boxes = list(matrix.sensors), [box.name for box in matrix.boxes]
    times = [line.lasting for line in matrix.lines] + [box.wait for box in matrix.boxes] + [2.0]
    times += [t for line in matrix.lines for t in (line.limits.at_most, line.limits.gap) if t]
    times = [t for t in times if t]
    power, down, clock, day = dict.fromkeys(boxes, True), dict.fromkeys(boxes, False), 0.0, 0
    for _ in range(steps):
        forces = [Force("sensor", s, rng.random() < 0.5) for s in sensors if rng.random() < 0.4]
        for box in boxes:
            if rng.random() < (0.08 if power[box] else 0.7):
                power[box] = not power[box]
                forces.append(Force("power", box, power[box]))
            if rng.random() < 0.3:
                down[box] = not down[box]
                forces.append(Force("button", box, down[box]))
                if rng.random() < 0.5:
                    down[box] = not down[box]
                    forces.append(Force("button", box, down[box]))
        wait = rng.choice(times) * rng.choice((0.1, 0.3, 0.6, 1.1, 1.3))
        clock += wait
        if clock // 86400.0 > day:
            day = int(clock // 86400.0)
            forces.append(Force("midnight", "", True))
        yield tuple(forces), wait
