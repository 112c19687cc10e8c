"""Edits that may cure that a vessel runs dry with nobody told."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from dewpond.design.handy import free_name, mark_below, quoted
from dewpond.design.model import Heartbeat
from dewpond.parts.base import Level, PartView
from dewpond.plant.kernel.vessels import level_of
from dewpond.proof.cures.edits import (
    MARKS,
    WIRED,
    Edit,
    Edits,
    Matter,
    by_line,
    in_row,
    listed,
    mapping,
    marks_in,
    message_for,
    of_part,
    with_key,
    with_row,
)
from dewpond.proof.cures.of_layers import CONTACT, LOW
from dewpond.proof.cures.of_parts import fitted, kind_with, wired_beside
from dewpond.proof.cures.of_water import telling
from dewpond.proof.questions.starving import Dry, dries
from dewpond.vocabulary import Word

WAYS_UP = (0.25, 0.5, 0.75)  # shares of the way up for a mark that tells too late; our prior
WAYS_DOWN = (0.5, 0.2)  # shares of the way to where a vessel is dry; the higher mark tells sooner; our prior
TOLD: Final = ", told "  # how the end of what a verdict is about begins; no name has a comma
IN_TIME: Final = f"{TOLD}in time"
TOLD_AFTER = 600.0  # how long a level must be low before it is told [s]; our prior
EVERY = 900.0  # of a sign of life [s]


def _dry(m: Matter) -> Dry | None:
    about = m.verdict.about.split(TOLD, maxsplit=1)[0]
    return next((one for one in dries(m.plant) if f"{one.name}: {one.word}" == about), None)


def told_before_dry(m: Matter) -> Edits:
    """IL-09: a row that tells of a low switch in the vessel; else a switch is to be added."""
    dry = _dry(m)
    if dry is None:
        return
    if m.verdict.about.endswith(IN_TIME):
        yield from _set_higher(m, dry)
    yield from _rows_that_tell(m)
    yield from second_switch(m)
    if message_for(m.design, urgent=False) is None or not any(part.get(WIRED) for part in m.design.parts):
        vessel = m.plant.stores[dry.store]
        text = (
            f"put a switch for low water into {vessel}, above the height at which it is dry, with a row and a message"
        )
        yield Edit(f"{text} by which somebody is told", m.design.lines[vessel], None)


def _set_higher(m: Matter, dry: Dry) -> Edits:
    """A switch that tells of low water tells sooner: on the way up to the next one, or to the water as it stands."""
    low, marks = _low_switches(m, dry), dict[str, float]()
    for owner, _, off in marks_in(m, dry.store):
        marks[owner] = off
    top = float(level_of(m.plant.arrays, dry.store, m.plant.arrays.store_start[dry.store])[0])
    for switch in low:
        key = next(key for key in MARKS if switch.get(key) is not None)
        room = min((marks[one.name] for one in low if marks[one.name] > marks[switch.name]), default=top)
        tells = any(row.tell and row.cause.terms[0].part == switch.name for row in m.design.rows)
        for share in WAYS_UP if tells and switch.get("is satisfied at") is None else ():
            level, text = mark_below(switch[key], share * (room - marks[switch.name]), m.design)
            edited = with_key(m.design, switch.name, key, level)
            yield Edit(f"set it higher: {of_part(switch.name, f'{key}: {text}')}", m.line(switch.name, key), edited)


def _rows_that_tell(m: Matter) -> Edits:
    """Rows that tell of a low switch that is there."""
    dry, message = _dry(m), message_for(m.design, urgent=False)
    thinking = [box.name for box in m.boxes(thinking=True)]
    for switch in _low_switches(m, dry) if dry and message else ():
        for row in m.design.rows:
            terms = [(term.part, term.word) for term in row.cause.terms]
            if terms == [(switch.name, Word.LOW)] and row.tell is None and message:
                yield Edit(in_row(f"tell: {quoted(message)}"), row.line, with_row(m.design, row, tell=message))
        if switch[WIRED] in thinking and message:
            yield telling(m, switch, str(Word.LOW), TOLD_AFTER, "10 min", message)


def _low_switches(m: Matter, dry: Dry) -> list[PartView]:
    """Switches for low water in a vessel that speak before it is dry."""
    speak = {owner for owner, _, off in marks_in(m, dry.store) if off > dry.mark}
    return [part for part in m.design.parts if part.name in speak and part.get(LOW) is not None]


def second_switch(m: Matter) -> Edits:
    """IL-09, IL-10: a switch that only tells, between the lowest one there is, or the water as it stands at first, and
    the height at which the vessel is dry."""
    dry, message, kind = _dry(m), message_for(m.design, urgent=False), kind_with(m, "in", LOW, WIRED)
    boxes = [box.name for box in m.boxes(thinking=True)]
    sensor = wired_beside(m, kind)
    if dry is None or message is None or kind is None or sensor is None or not boxes:
        return
    low, a, vessel = _low_switches(m, dry), m.plant.arrays, m.plant.stores[dry.store]
    boxes.sort(key=lambda box: box in [switch[WIRED] for switch in low])  # one on which the others do not hang, if any
    names = {switch.name for switch in low}
    marks = [off for owner, _, off in marks_in(m, dry.store) if owner in names]
    above = min(marks, default=float(level_of(a, dry.store, a.store_start[dry.store])[0]))
    name = free_name(m.design, "low {} mark", vessel)
    what = "a second switch" if low else "a switch for low water"
    for share in WAYS_DOWN:
        level, text = mark_below(Level(above), share * (dry.mark - above), m.design)
        keys = {"in": vessel, "at": text, WIRED: boxes[0], CONTACT: "opens when low", LOW: str(Word.OPEN)}
        new = fitted(m.design, kind, name, low[0].name if low else sensor, keys, {"at": level})
        if new is None:
            return
        with_it = replace(m, design=new.design)
        told = telling(with_it, new.design.part(name), str(Word.LOW), TOLD_AFTER, "10 min", message)
        yield Edit(f"{what}: {new.text}, and {by_line(told.text, m.last_row())}", new.design.lines[name], told.design)


def sign_of_life(m: Matter) -> Edits:
    """IL-10: what somebody outside the house misses when a box or its power fails."""
    boxes = tuple(part.name for part in m.boxes(thinking=True))
    for beat in m.design.heartbeats:
        senders = tuple(dict.fromkeys([*beat.senders, *boxes]))
        if senders != beat.senders:
            others = tuple(b for b in m.design.heartbeats if b is not beat)
            design = replace(m.design, heartbeats=(replace(beat, senders=senders), *others))
            yield Edit(of_part(beat.name, f"from: {listed(senders)}"), beat.line, design)
    roles = {part.name: m.kinds[part.kind].role for part in m.design.parts}
    people = tuple(resident.name for resident in m.plant.residents)
    path = tuple(dict.fromkeys(n for one in m.design.messages for n in one.path if roles.get(n) == "link"))
    if m.design.heartbeats or not boxes or not people or not path:
        return
    line = m.design.messages[-1].line
    name = free_name(m.design, "heartbeat")
    beat = Heartbeat(name, line, boxes, EVERY, path, 2, "outside the house", people)
    keys = {"from": boxes, "every": "15 min", "path": path, "missed": "2", "watched": beat.watched}
    text = f"behind {m.design.messages[-1].name} add `{name}: {mapping({**keys, 'tell': people})}`"
    yield Edit(f"{text}, and let somebody outside miss it", line, replace(m.design, heartbeats=(beat,)))


def told_all_the_same(m: Matter) -> Edits:
    """IL-10: a row for a switch that is there; then what misses a box or a second switch, as what failed asks."""
    roles = {m.kinds[m.design.part(part).kind].role for part in m.parts_failed if part in m.design.lines}
    first, then = (second_switch, sign_of_life) if "sensor" in roles else (sign_of_life, second_switch)
    yield from _rows_that_tell(m)
    yield from first(m)
    yield from then(m)
