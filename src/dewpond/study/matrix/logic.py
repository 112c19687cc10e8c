"""What each box has to do, row by row: the logic of the matrix in a form that can be written down in any language.

The rules are those by which runs are made (plant.rows): a stop wins over a demand; a trip beats its re-arming; a box
that is not ready (no power, or still waiting after a restart) orders nothing; two boxes on one part stand in its lead
one behind the other.
"""

from __future__ import annotations

from dataclasses import dataclass

from dewpond.plant.rows import GOES, STOPS
from dewpond.study.matrix.model import Box, Effect, Line, Matrix


@dataclass(frozen=True)
class Asked:
    """A condition of a cause: a sensor that is, or is not when `negated`, in the state that it reports."""

    sensor: str
    negated: bool


@dataclass(frozen=True)
class Rule:
    """A row as one box carries it out.

    asked, need      its conditions, and how many of them must hold
    rearm_if_clear   the button counts only while the cause does not hold
    stops, demands   parts to which this box gives the order
    """

    line: Line
    asked: tuple[Asked, ...]
    need: int
    lasting: float
    latched: bool
    rearm_if_clear: bool
    stops: tuple[str, ...]
    demands: tuple[str, ...]
    tells: str | None


@dataclass(frozen=True)
class Limit:
    """What a demand of one box is held to. `after`: the line of a run that is too long; None where there is no longest.

    day [m3] most in a day; flow [m3/s] by which a run is counted as litres, None: a meter must count them
    kept: that it is locked after a run too long survives a restart
    """

    rule: Rule
    part: str
    at_most: float | None
    gap: float | None
    day: float | None
    flow: float | None
    after: Line | None
    kept: bool


@dataclass(frozen=True)
class Output:
    """What a box says to one part. to_stop: the part needs the order to stop, and goes without one.

    dead     nobody ever lets it act: it stays at rest
    first    this box drives it; else it only stands in its lead
    others   the other boxes on it
    """

    effect: Effect
    to_stop: bool
    stops: tuple[Rule, ...]
    demands: tuple[Limit, ...]
    dead: bool
    first: bool
    others: tuple[str, ...]


@dataclass(frozen=True)
class BoxLogic:
    """One box with all that it does."""

    box: Box
    rules: tuple[Rule, ...]
    limits: tuple[Limit, ...]
    outputs: tuple[Output, ...]

    @property
    def sensors(self) -> tuple[str, ...]:
        """What its causes ask, each once."""
        return tuple(dict.fromkeys(asked.sensor for rule in self.rules for asked in rule.asked))


def box_logics(matrix: Matrix) -> tuple[BoxLogic, ...]:
    """Each box that carries out a row or drives a part of the matrix."""
    return tuple(_logic(matrix, box) for box in matrix.boxes)


def _logic(matrix: Matrix, box: Box) -> BoxLogic:
    rules = tuple(
        _rule(matrix, line, box.name) for line in matrix.lines if line.sort == "row" and box.name in line.carried
    )
    limits = tuple(_limit(matrix, rule, part, box) for rule in rules for part in rule.demands)
    outputs = [
        _output(matrix, effect, box.name, rules, limits)
        for effect in matrix.effects
        if effect.sort == "ordered" and box.name in effect.boxes
    ]
    return BoxLogic(box, rules, limits, tuple(outputs))


def _rule(matrix: Matrix, line: Line, box: str) -> Rule:
    cause = line.cause
    assert cause is not None
    asked = tuple(Asked(matrix.asked(t), (t.word != matrix.sensor(t).state) != t.negated) for t in cause.terms)
    need = cause.need if cause.op == "vote" else len(asked) if cause.op == "all" else 1
    mine = [(part, line.orders[part]) for part in line.carried[box]]
    return Rule(
        line, asked, need, line.lasting, line.latched, bool(line.rearm_when),
        tuple(part for part, word in mine if word in STOPS), tuple(part for part, word in mine if word in GOES),
        line.tells,
    )  # fmt: skip


def _limit(matrix: Matrix, rule: Rule, part: str, box: Box) -> Limit:
    said = rule.line.limits
    mine = (line for line in matrix.lines if line.sort == "run" and line.whose == part)
    after = next((line for line in mine if line.number.startswith(f"{rule.line.number}.")), None)
    kept = box.keeps_trips if after is not None and after.latched else box.keeps_counts
    return Limit(rule, part, said.at_most, said.gap, said.per_day, matrix.effect(part).flow, after, kept)


def _output(matrix: Matrix, effect: Effect, box: str, rules: tuple[Rule, ...], limits: tuple[Limit, ...]) -> Output:
    to_stop = effect.rests == effect.go
    orders = {
        word for line in matrix.lines if line.sort == "row" for part, word in line.orders.items() if part == effect.name
    }
    dead = effect.driven and not to_stop and effect.go == GOES[1] and not orders & set(GOES)
    return Output(
        effect,
        to_stop,
        tuple(rule for rule in rules if effect.name in rule.stops),
        tuple(limit for limit in limits if limit.part == effect.name),
        dead,
        effect.driven and effect.boxes[0] == box,
        tuple(other for other in effect.boxes if other != box),
    )
