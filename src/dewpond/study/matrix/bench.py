"""All boxes of a design on a bench: sensors forced, plugs pulled, buttons pressed -> positions, messages, latches."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from dewpond.study.matrix.logic import BoxLogic, Output
from dewpond.study.matrix.machine import CLOSE, BoxMachine, Timer, Wrong
from dewpond.study.matrix.model import Effect, Line, Matrix

TOLD: Final = "told"
NOT_TOLD: Final = "not told"
SOUNDS: Final = "sounds"
SILENT: Final = "silent"
ForceSort = Literal["sensor", "power", "button", "midnight", "own", "arm"]


class Force(NamedTuple):
    """What is done to the house: a sensor is, or is not, in the state that it reports; the plug of a box is in or out;
    the button at a box is held down or let go; midnight passes; what sets off a part that acts by itself begins or
    ends; somebody arms that part again."""

    sort: ForceSort
    name: str
    on: bool


@dataclass(frozen=True)
class Device:
    """All that a design has: its boxes, what acts by itself, its columns; `wrong` is what it does wrong."""

    logics: tuple[BoxLogic, ...]
    own: tuple[Line, ...]
    effects: tuple[Effect, ...]
    wrong: frozenset[Wrong] = frozenset()


def device(matrix: Matrix, logics: tuple[BoxLogic, ...]) -> Device:
    """The sound one."""
    return Device(logics, tuple(line for line in matrix.lines if line.sort == "own"), matrix.effects)


class House:
    """All boxes, and what they order, while somebody forces its sensors and pulls plugs. It begins with every sensor
    out of its state, plugs in, buttons up, nothing tripped, nothing run."""

    def __init__(self, of: Device) -> None:
        self.of = of
        self.machines = {logic.box.name: BoxMachine(logic, of.wrong) for logic in of.logics}
        self.states = {sensor: False for logic in of.logics for sensor in logic.sensors}
        self.power = dict.fromkeys(self.machines, True)
        self.buttons = dict.fromkeys(self.machines, False)
        self.causes = {line.whose: False for line in of.own}
        self.shut = dict(self.causes)
        self.outputs_of = {
            effect.name: [
                (logic.box.name, o) for logic in of.logics for o in logic.outputs if o.effect.name == effect.name
            ]
            for effect in of.effects
            if effect.sort == "ordered"
        }
        self.last: dict[str, str] = {}
        self._scan(0.0)

    def apply(self, forces: Iterable[Force]) -> None:
        """Do all this at one moment, one after the other where a button is pressed and let go."""
        turns = False
        for force in forces:
            if force.sort == "sensor":
                self.states[force.name] = force.on
            elif force.sort == "button":
                self.buttons[force.name] = force.on
                self._scan(0.0)
            elif force.sort == "power":
                if force.on and not self.power[force.name]:
                    self.machines[force.name].restart()
                self.power[force.name] = force.on
            elif force.sort == "own":
                self.causes[force.name] = force.on
            elif force.sort == "arm":
                self.shut[force.name] = False
            else:
                turns = True
        self._scan(0.0, turns)

    def timer(self) -> Timer | None:
        """What runs out next; None for nothing."""
        return min((t for name, m in self.machines.items() if self.power[name] for t in m.timers()), default=None)

    def advance(self, seconds: float) -> None:
        """Let time pass."""
        left = seconds
        while left > CLOSE:
            timer = self.timer()
            step = left if timer is None else min(left, timer.left)
            self._scan(step)
            left -= step

    def _scan(self, step: float, turns: bool = False) -> None:
        for name, machine in self.machines.items():
            if self.power[name]:
                machine.scan(self.states, self.buttons[name], turns, step)
        for line in self.of.own:
            self.shut[line.whose] = self.causes[line.whose] or (line.latched and self.shut[line.whose])
        for effect in self.of.effects:
            if effect.sort == "ordered":
                self.last[effect.name] = self._position(effect)

    def outputs(self) -> dict[str, str]:
        """Key of a column -> where that part is, or whether that message is told."""
        told = {text for name, machine in self.machines.items() if self.power[name] for text in machine.told}
        found = {}
        for effect in self.of.effects:
            if effect.sort == "ordered":
                found[effect.key] = self.last[effect.name]
            elif effect.sort == "message":
                found[effect.key] = TOLD if effect.name in told else NOT_TOLD
            else:
                acts = self.shut.get(effect.name, False)
                found[effect.key] = (effect.stop if acts else effect.go) or (SOUNDS if acts else SILENT)
        return found

    def _position(self, effect: Effect) -> str:
        lets = [self._lets(name, output) for name, output in self.outputs_of[effect.name]]
        to_stop = effect.rests == effect.go
        acts = any(lets) if to_stop else all(lets) and bool(lets)
        first = effect.boxes[0] if effect.boxes else ""
        if not acts and not self.power.get(first, True) and effect.losses is not None:
            falls = next((word for word in (effect.stop, effect.go) if effect.losses.signal.startswith(word)), "")
            if Wrong("falls the other way", first, (effect.name,)) in self.of.wrong:
                falls = effect.go if falls == effect.stop else effect.stop
            return falls or self.last[effect.name]
        return effect.stop if acts == to_stop else effect.go

    def _lets(self, name: str, output: Output) -> bool:
        machine = self.machines[name]
        return machine.out.get(output.effect.name, False) if self.power[name] else machine.box.lets_without_power

    def tripped(self) -> tuple[str, ...]:
        """What is latched: "row 3 at BOX", "PART held off by row 3 at BOX"."""
        found: list[str] = []
        for name, machine in self.machines.items():
            rules = [rule.line.number for rule in machine.logic.rules if rule.latched and (rule.stops or rule.tells)]
            limits = [(limit.rule.line.number, limit.part) for limit in machine.logic.limits]
            found += [f"row {number} at {name}" for number in rules if machine.tripped.get(number)]
            found += [f"{part} held off by row {n} at {name}" for n, part in limits if machine.locked.get((n, part))]
        return (*found, *(line.whose for line in self.of.own if line.latched and self.shut[line.whose]))
