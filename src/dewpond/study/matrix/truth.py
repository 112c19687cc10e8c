"""Truth tables: for each effect which inputs decide it, and how; with don't cares, so never more than 2^n rows.

Time is left out: an input has stood for longer than every delay of its row, no box is still waiting after a restart.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import Final

from dewpond.study.matrix.logic import BoxLogic, Limit, Output, Rule, box_logics
from dewpond.study.matrix.model import Line, Matrix

MOST_ROWS: Final = 256  # of one effect: beyond, whole causes, then whole trips, stand for what they are made of


@dataclass(frozen=True)
class Node:
    """A condition: an input by its `name`, or `need` of `parts`; turned round when `negated`."""

    name: str = ""
    need: int = 0
    parts: tuple[Node, ...] = ()
    negated: bool = False


def var(name: str) -> Node:
    """An input."""
    return Node(name)


def no(node: Node) -> Node:
    """The other way round."""
    return replace(node, negated=not node.negated)


def every(*parts: Node) -> Node:
    """True while all are; of none, true."""
    return Node(need=len(parts), parts=parts)


def some(*parts: Node) -> Node:
    """True while any is; of none, false."""
    return Node(need=1, parts=parts)


def value(node: Node, known: Mapping[str, bool]) -> tuple[bool | None, str]:
    """What a condition is as far as inputs are known; None with the first input that it still hangs on."""
    if node.name:
        if node.name not in known:
            return None, node.name
        return known[node.name] != node.negated, ""
    true, left, waits = 0, 0, ""
    for part in node.parts:
        found, hangs = value(part, known)
        if found is None:
            left += 1
            waits = waits or hangs
        true += found is True
        if true >= node.need:
            break
    if true >= node.need:
        return not node.negated, ""
    return (None, waits) if true + left >= node.need else (node.negated, "")


@dataclass(frozen=True)
class Table:
    """What decides one result. rows: what must be so of the inputs named, nothing of the others -> the result."""

    effect: str
    results: tuple[str, str]  # while the condition is false, while it is true
    inputs: tuple[str, ...]
    rows: tuple[tuple[Mapping[str, bool], str], ...]


# How deep a form goes: to the sensors, to whole causes, to whole trips.
SENSORS, CAUSES, TRIPS = range(3)
DEPTHS: Final = (SENSORS, CAUSES, TRIPS)


def tables(matrix: Matrix) -> list[Table]:
    """Parts that obey orders, what acts by itself, messages, and each latch with what sets it and puts it back."""
    logics = box_logics(matrix)
    forms = {depth: _Forms(matrix, logics, depth) for depth in DEPTHS}
    made = []
    for effect in matrix.effects:
        if effect.sort == "ordered":
            to_stop = effect.rests == effect.go
            results = (effect.go, effect.stop) if to_stop else (effect.stop, effect.go)
            made.append(_shortest(effect.name, results, [form.ordered(effect.name) for form in forms.values()]))
        elif effect.sort == "own":
            line = next(line for line in matrix.lines if line.sort == "own" and line.whose == effect.name)
            results = (effect.go, effect.stop) if effect.stop else ("silent", "sounds")
            made.append(_shortest(effect.name, results, [_itself(line)]))
        else:
            results = ("not told", "told")
            made.append(_shortest(effect.name, results, [form.message(effect.name) for form in forms.values()]))
    for name, node in forms[SENSORS].latches():
        made.append(_shortest(name, ("no", "yes"), [node]))
    return made


def _shortest(name: str, results: tuple[str, str], forms: Sequence[Node]) -> Table:
    """The deepest form that makes no more than MOST_ROWS rows; of none that does, the shallowest."""
    for form in forms:
        rows = list(islice(_rows(form, {}), MOST_ROWS + 1 if form is not forms[-1] else None))
        if len(rows) <= MOST_ROWS:
            break
    inputs = dict.fromkeys(name for row, _ in rows for name in row)
    return Table(name, results, tuple(inputs), tuple((row, results[found]) for row, found in rows))


def _rows(form: Node, known: dict[str, bool]) -> Iterator[tuple[dict[str, bool], bool]]:
    """Each way to know the result: only an input on which it still hangs is asked next."""
    found, hangs = value(form, known)
    if found is not None:
        yield known, found
        return
    for asked in (True, False):
        yield from _rows(form, {**known, hangs: asked})


def _itself(line: Line) -> Node:
    """What acts by itself, by its own cause and, if it stays so, until it is armed again."""
    cause = var(f"cause {line.number}")
    if not line.latched:
        return cause
    before, armed = var(f"{line.whose} shut before"), var(f"{line.whose} armed again by hand")
    return some(cause, every(before, no(armed)))


class _Forms:
    """The conditions of all results, down to one depth."""

    def __init__(self, matrix: Matrix, logics: Sequence[BoxLogic], depth: int) -> None:
        self.matrix, self.logics, self.depth = matrix, logics, depth

    def ordered(self, name: str) -> Node:
        """A part is not at rest: what drives it gives the order and all in its lead let it; of what acts to stop, any
        orders it."""
        lets = []
        for logic in self.logics:
            for output in logic.outputs:
                if output.effect.name == name:
                    powered = var(f"power at {logic.box.name}")
                    says = every(powered, self._wish(output, logic))
                    lets.append(some(no(powered), says) if logic.box.lets_without_power else says)
        to_stop = any(o.to_stop for logic in self.logics for o in logic.outputs if o.effect.name == name)
        dead = any(o.dead for logic in self.logics for o in logic.outputs if o.effect.name == name)
        return some() if dead else some(*lets) if to_stop else every(*lets)

    def _wish(self, output: Output, logic: BoxLogic) -> Node:
        stop = some(*(self._trip(rule, logic) for rule in output.stops))
        if output.to_stop:
            return stop
        demands = [self._demand(limit, logic) for limit in output.demands]
        return every(no(stop), some(*demands)) if demands else no(stop)

    def message(self, name: str) -> Node:
        """Some box that has power has something to tell."""
        told = []
        for logic in self.logics:
            says = [self._trip(rule, logic) for rule in logic.rules if rule.tells == name]
            says += [self._lock(x, logic) for x in logic.limits if x.after is not None and x.after.tells == name]
            if says:
                told.append(every(var(f"power at {logic.box.name}"), some(*says)))
        return some(*told)

    def latches(self) -> Iterator[tuple[str, Node]]:
        """Each latch of each box: whether it is tripped from now on."""
        for logic in self.logics:
            for rule in logic.rules:
                if rule.latched and (rule.stops or rule.tells):
                    yield self._latch_name(rule, logic), self._latched(rule, logic)

    def _latch_name(self, rule: Rule, logic: BoxLogic) -> str:
        return f"row {rule.line.number} tripped at {logic.box.name}"

    def _cause(self, rule: Rule) -> Node:
        if self.depth >= CAUSES:
            return var(f"cause of row {rule.line.number}")
        sensors = [self.matrix.sensors[asked.sensor] for asked in rule.asked]
        terms = [var(f"{sensor.part} {sensor.state}") for sensor in sensors]
        return Node(need=rule.need, parts=tuple(
            no(term) if asked.negated else term for asked, term in zip(rule.asked, terms, strict=True)
        ))  # fmt: skip

    def _trip(self, rule: Rule, logic: BoxLogic) -> Node:
        if not rule.latched:
            return self._cause(rule)
        return var(self._latch_name(rule, logic)) if self.depth >= TRIPS else self._latched(rule, logic)

    def _latched(self, rule: Rule, logic: BoxLogic) -> Node:
        cause = self._cause(rule)
        pressed = var(f"re-arm pressed at {logic.box.name}")
        before = var(f"{self._latch_name(rule, logic)} before")
        # The cause alone trips; behind it stands what the button cannot put back, so "when clear" needs no word more.
        return some(cause, every(before, no(pressed)))

    def _lock(self, limit: Limit, logic: BoxLogic) -> Node:
        """Held off after a run too long: from now on, or from before and not put back."""
        name = f"{limit.part} held off by row {limit.rule.line.number} at {logic.box.name}"
        over = var(f"{limit.part} has run too long now")
        cause = self._cause(limit.rule)
        put_back = no(cause)
        if limit.after is not None and limit.after.latched:
            pressed = var(f"re-arm pressed at {logic.box.name}")
            put_back = every(pressed, no(cause)) if limit.after.rearm_when else pressed
        return some(over, every(var(f"{name} before"), no(put_back)))

    def _demand(self, limit: Limit, logic: BoxLogic) -> Node:
        needs = [self._cause(limit.rule)]
        if limit.at_most is not None:
            needs.append(no(self._lock(limit, logic)))
        if limit.gap is not None:
            needs.append(no(var(f"{limit.part} has rested too short a time")))
        if limit.day is not None:
            needs.append(no(var(f"{limit.part} has given its most today")))
        return every(*needs)
