"""What may be entered wrongly in a box: each mutant is the logic of a design with one mistake in it.

A vector is worth its place only if some of these fail it. Most mistakes are a logic of their own (a row without its
latch, an input left out); what no other logic would do is named to the machine that runs it (`Wrong`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from dewpond.study.matrix.bench import Device
from dewpond.study.matrix.logic import Asked, BoxLogic, Limit, Output, Rule
from dewpond.study.matrix.machine import Wrong
from dewpond.study.matrix.model import RE_ARMED, Box, Line

TOO_LONG: Final = 10.0  # times what is written [1]


@dataclass(frozen=True, eq=False)
class Mutant:
    """A design that does one thing wrong: where ("row 3 at BOX"), what in words, and the device that does so.

    row  number of the row that it concerns, empty for a whole box
    """

    row: str
    where: str
    what: str
    device: Device


def mutants(sound: Device) -> list[Mutant]:
    """Every mutant of a design, in the order of its boxes and rows."""
    found = []
    for at, logic in enumerate(sound.logics):
        for row, what, wrong in _of_box(logic):
            where = f"row {row} at {logic.box.name}" if row else logic.box.name
            if isinstance(wrong, Wrong):
                made = replace(sound, wrong=frozenset({wrong}))
            else:
                made = replace(sound, logics=(*sound.logics[:at], wrong, *sound.logics[at + 1 :]))
            found.append(Mutant(row, where, what, made))
    return found + list(_own(sound))


def _of_box(logic: BoxLogic) -> Iterator[tuple[str, str, BoxLogic | Wrong]]:
    yield from _memory(logic)
    for rule in logic.rules:
        number = rule.line.number
        for what, made in _causes(rule):
            yield number, what, _with_rule(logic, rule, made)
        for what, made in _latch(rule):
            yield number, what, _with_rule(logic, rule, made)
        yield from _effects(logic, rule)
        if rule.latched:
            yield (
                number,
                "re-armed while the cause stands, until that has ended",
                Wrong("cause overridden", logic.box.name, (number,)),
            )
    for limit in logic.limits:
        for what, changed in _limits(limit):
            yield limit.rule.line.number, f"{limit.part}: {what}", _with_limit(logic, limit, changed)
        if limit.day is not None and limit.flow:
            yield (
                limit.rule.line.number,
                f"{limit.part}: a new day does not begin",
                Wrong("day not put back", logic.box.name, (limit.part,)),
            )
    for output in logic.outputs:
        yield from _output(logic, output)


# -- a box ------------------------------------------------------------------------------------------------------------
def _memory(logic: BoxLogic) -> Iterator[tuple[str, str, BoxLogic | Wrong]]:
    box = logic.box
    latched = any(rule.latched for rule in logic.rules)
    by_hand = any(limit.after is not None and limit.after.latched for limit in logic.limits)
    if latched or any(rule.stops and rule.lasting for rule in logic.rules):
        what = "trips are forgotten in a power cut" if box.keeps_trips else "trips are kept through a power cut"
        yield "", what, _with_box(logic, replace(box, keeps_trips=not box.keeps_trips))
    if any(limit.at_most is not None for limit in logic.limits) or any(limit.day is not None for limit in logic.limits):
        what = "run times and the day's" + (" are forgotten in a power cut" if box.keeps_counts else " are kept")
        yield "", what, _with_box(logic, replace(box, keeps_counts=not box.keeps_counts))
    if box.wait:
        yield "", "it does not wait after a restart", _with_box(logic, replace(box, wait=0.0))
        yield "", "it waits ten times as long", _with_box(logic, replace(box, wait=TOO_LONG * box.wait))
    if latched or by_hand:
        yield "", "a button that is held down counts all the time", Wrong("level", box.name)
        yield "", "a button that is down when power comes back counts", Wrong("taped", box.name)
    if logic.outputs:
        made = replace(box, lets_without_power=not box.lets_without_power)
        yield "", "what it lets without power is reversed", _with_box(logic, made)


def _with_box(logic: BoxLogic, box: Box) -> BoxLogic:
    return replace(logic, box=box)


# -- a row ------------------------------------------------------------------------------------------------------------
def _causes(rule: Rule) -> Iterator[tuple[str, Rule]]:
    count = len(rule.asked)
    for at, asked in enumerate(rule.asked):
        turned = replace(asked, negated=not asked.negated)
        yield f"{asked.sensor} read the other way round", replace(rule, asked=_put(rule.asked, at, turned))
        if count > 1:
            left = (*rule.asked[:at], *rule.asked[at + 1 :])
            need = count - 1 if rule.need == count else min(rule.need, count - 1)
            yield f"{asked.sensor} left out", replace(rule, asked=left, need=need)
    needs = {rule.need - 1: "one fewer is enough", rule.need + 1: "one more is needed"}
    if rule.need not in (1, count):
        needs |= {1: "any one is enough", count: "all are needed"}
    elif count > 1:
        needs[count + 1 - rule.need] = "“and” for “or”" if rule.need == 1 else "“or” for “and”"
    for need, what in needs.items():
        named = "always" if need == 0 else "never" if need > count else ""
        yield f"the cause: {named or what}", replace(rule, need=need)
    if rule.lasting:
        yield "its delay left out", replace(rule, lasting=0.0)
        yield "its delay ten times as long", replace(rule, lasting=TOO_LONG * rule.lasting)


def _put(asked: Sequence[Asked], at: int, one: Asked) -> tuple[Asked, ...]:
    return (*asked[:at], one, *asked[at + 1 :])


def _latch(rule: Rule) -> Iterator[tuple[str, Rule]]:
    if not (rule.stops or rule.tells):
        return
    if not rule.latched:
        yield "latched", replace(rule, latched=True)
        return
    yield "not latched", replace(rule, latched=False)
    what = (
        "its button counts while the cause stands" if rule.rearm_if_clear else "its button waits for the cause to end"
    )
    yield what, replace(rule, rearm_if_clear=not rule.rearm_if_clear)


def _effects(logic: BoxLogic, rule: Rule) -> Iterator[tuple[str, str, BoxLogic | Wrong]]:
    number = rule.line.number
    for part in rule.stops:
        yield number, f"it does not stop {part}", _moved(logic, rule, part, "")
        others = [o.effect.name for o in logic.outputs if o.effect.name != part and not o.dead]
        other = next((name for name in others if name not in rule.stops), "")
        if other:
            yield number, f"it stops {other} instead of {part}", _moved(logic, rule, part, other)
    for part in rule.demands:
        left = [
            replace(o, demands=tuple(x for x in o.demands if x.rule.line.number != number), dead=len(o.demands) == 1)
            if o.effect.name == part
            else o
            for o in logic.outputs
        ]
        yield number, f"it never lets {part} act", replace(logic, outputs=tuple(left))
    if rule.tells:
        yield number, f"it does not tell {rule.tells}", _with_rule(logic, rule, replace(rule, tells=None))


def _moved(logic: BoxLogic, rule: Rule, part: str, other: str) -> BoxLogic:
    """A stop taken from one part, and given to another if there is one."""

    def stops(output: Output) -> tuple[Rule, ...]:
        if output.effect.name == part:
            return tuple(one for one in output.stops if one.line.number != rule.line.number)
        return (*output.stops, rule) if output.effect.name == other else output.stops

    return replace(logic, outputs=tuple(replace(output, stops=stops(output)) for output in logic.outputs))


def _with_rule(logic: BoxLogic, rule: Rule, made: Rule) -> BoxLogic:
    """The same with another rule in its place. What hangs on rules knows them by their number."""
    limits = tuple(replace(x, rule=made) if x.rule is rule else x for x in logic.limits)
    return replace(logic, rules=tuple(made if one is rule else one for one in logic.rules), limits=limits)


# -- a demand and its limits ------------------------------------------------------------------------------------------
def _limits(limit: Limit) -> Iterator[tuple[str, Limit]]:
    if limit.at_most is not None:
        yield "its longest run left out", replace(limit, at_most=None)
        yield "its longest run ten times as long", replace(limit, at_most=TOO_LONG * limit.at_most)
        what = "forgotten in a power cut" if limit.kept else "kept through a power cut"
        yield f"that it is held off is {what}", replace(limit, kept=not limit.kept)
        if limit.after is not None:
            yield from ((what, replace(limit, after=after)) for what, after in _after(limit.after))
    if limit.gap is not None:
        yield "its pause left out", replace(limit, gap=None)
        yield "its pause ten times as long", replace(limit, gap=TOO_LONG * limit.gap)
    if limit.day is not None and limit.flow:
        yield "its most in a day left out", replace(limit, day=None)
        yield "its most in a day ten times as much", replace(limit, day=TOO_LONG * limit.day)


def _after(after: Line) -> Iterator[tuple[str, Line]]:
    if after.latched:
        yield "held off only until the cause ends: the limit is one of each call", replace(after, until="cause ends")
        what = (
            "its button counts while it is called for" if after.rearm_when else "its button waits for the call to end"
        )
        yield what, replace(after, rearm_when="" if after.rearm_when else "called for no more")
    else:
        yield "held off until somebody re-arms it", replace(after, until=RE_ARMED)
    if after.tells:
        yield f"a run too long does not tell {after.tells}", replace(after, tells=None)


def _with_limit(logic: BoxLogic, limit: Limit, made: Limit) -> BoxLogic:
    return replace(logic, limits=tuple(made if one is limit else one for one in logic.limits))


# -- what goes out ----------------------------------------------------------------------------------------------------
def _output(logic: BoxLogic, output: Output) -> Iterator[tuple[str, str, BoxLogic | Wrong]]:
    name, box = output.effect.name, logic.box.name
    for stop in output.stops:
        for limit in output.demands:
            key = (stop.line.number, limit.rule.line.number, name)
            what = f"row {limit.rule.line.number} beats it: {name} acts although it is to stop"
            yield stop.line.number, what, Wrong("demand wins", box, key)
    if output.others:
        left = tuple(one for one in logic.outputs if one is not output)
        yield "", f"it does not stand in the lead of {name}", replace(logic, outputs=left)
    losses = output.effect.losses
    words = (output.effect.stop, output.effect.go)
    if output.first and losses is not None and losses.signal.startswith(words) and "power" not in losses.not_known:
        yield "", f"{name} falls the other way without its current", Wrong("falls the other way", box, (name,))


def _own(sound: Device) -> Iterator[Mutant]:
    """What acts by itself may not, or may not stay so."""
    for at, line in enumerate(sound.own):
        changed = replace(line, until="cause ends" if line.latched else RE_ARMED)
        for what, made in (("it does not act", ()), ("latched" if not line.latched else "not latched", (changed,))):
            own = (*sound.own[:at], *made, *sound.own[at + 1 :])
            yield Mutant(line.number, f"{line.number}, {line.whose}", what, replace(sound, own=own))
