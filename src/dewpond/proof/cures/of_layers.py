"""Edits that may cure a layer by itself, a sensor, or what the file says by itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from dewpond.design.checks_layers import DRIES, OPENS_AGAIN, URGENT, WITHOUT_POWER
from dewpond.design.handy import quoted
from dewpond.design.rows import CAUSE_ENDS, RE_ARMED
from dewpond.parts.base import PartView
from dewpond.proof.asking.reading import ENDS
from dewpond.proof.cures.edits import (
    GOES,
    MEMORY,
    THE_DAY,
    WRITE_IT,
    Edit,
    Edits,
    Matter,
    in_row,
    mapping,
    message_for,
    of_part,
    owner_of,
    sensors_of,
    with_key,
    with_row,
)
from dewpond.vocabulary import Word

BY_HAND: Final = "re-armed by hand when"
DRY, NORMAL = "dry", "the level is normal"
READ_AS, CONTACT = "read as ", "contact"  # how keys of a sensor begin
LOW, HIGH = "read as low when", "read as high when"  # those of a switch, by what it tells
REMEMBERS: Final = ", once it is set so (pull its plug to see), or one that can be stands there"
SET: Final = "and its input is set so"
CLOSES, OPENS = "closes", "opens"
HOUR, GAP = 3600.0, 600.0
TOGETHER: Final = "any stop wins"


def turned_sense(m: Matter) -> Edits:
    """IL-01: the input takes one contact state for the other."""
    layer = m.layer()
    for part in sensors_of(m, layer) if layer else ():
        for key in (key for key in part.values if key.startswith(READ_AS) and part[key] is not None):
            other = Word.CLOSED if part[key] == Word.OPEN else Word.OPEN
            text = f"{of_part(part.name, f'{key}: {other}')}, once a test by hand has shown it reversed {SET}"
            yield Edit(text, m.line(part.name, key), with_key(m.design, part.name, key, str(other)))


def shuts_unpowered(m: Matter) -> Edits:
    """IL-02: a valve that shuts without power, or a contact that cuts; a valve that opens as its probe dries."""
    layer = m.layer()
    if layer is None:
        return
    yield from stays_shut(m)
    rows = m.rows_of(layer.part, layer.says)
    names = dict.fromkeys([layer.part, *(row.by for row in rows if row.by)])
    for part in (m.design.part(name) for name in names):
        if part.get(WITHOUT_POWER) is None:
            continue
        words = [word for word in m.param(part, WITHOUT_POWER).words if word != part[WITHOUT_POWER]]
        for word in sorted(words, key=lambda word: not word.startswith(Word.SHUT)):
            text = f"{of_part(part.name, f'{WITHOUT_POWER}: {word}')}, once one of that sort is fitted"
            yield Edit(text, m.line(part.name, WITHOUT_POWER), with_key(m.design, part.name, WITHOUT_POWER, word))


def stays_shut(m: Matter) -> Edits:
    """IL-03: what has tripped is re-armed by hand."""
    layer = m.layer()
    if layer is None:
        return
    own = owner_of(m, layer)
    if own.get(DRIES) == OPENS_AGAIN:
        word = next(word for word in m.param(own, DRIES).words if word != OPENS_AGAIN)
        text = f"{of_part(own.name, f'{DRIES}: {word}')}, once it is set so, or one that can be stands there"
        yield Edit(text, m.line(own.name, DRIES), with_key(m.design, own.name, DRIES, word))
    for row in m.rows_of(layer.part, layer.says):
        if row.until == CAUSE_ENDS:
            when = DRY if layer.by_water else NORMAL
            edited = with_row(m.design, row, until=RE_ARMED, rearm_when=when)
            yield Edit(in_row(f"until: {BY_HAND} {when}"), row.line, edited)


def remembers(m: Matter) -> Edits:
    """IL-11: the box keeps its trips over a power cut."""
    layer = m.layer()
    memory = owner_of(m, layer).get(MEMORY) if layer else None
    if layer is None or not isinstance(memory, Mapping):
        return
    own, kept = owner_of(m, layer), {**memory, "trips": str(Word.KEPT)}
    text = f"{of_part(own.name, f'{MEMORY}: {mapping(kept)}')}{REMEMBERS}"
    yield Edit(text, m.line(own.name, MEMORY), with_key(m.design, own.name, MEMORY, kept))


def re_armed_when(m: Matter) -> Edits:
    """IL-12: only what has nothing left to trip it is re-armed."""
    layer = m.layer()
    for row in m.rows_of(layer.part, layer.says) if layer else ():
        when = DRY if layer is not None and layer.by_water else NORMAL
        if row.until == RE_ARMED and not row.rearm_when:
            text = f"{in_row(f'until: {BY_HAND} {when}')}, once the box refuses it before then"
            yield Edit(text, row.line, with_row(m.design, row, rearm_when=when))
        limit = row.too_long
        if limit is not None and limit.until == RE_ARMED and not limit.rearm_when:
            tell = {"tell": limit.tell} if limit.tell else {}
            keys = mapping({"effect": limit.word, "until": f"{BY_HAND} {NORMAL}", **tell})
            text = f"{in_row(f'when a run is too long: {keys}')}, once the box refuses it before then"
            yield Edit(text, row.line, with_row(m.design, row, too_long=replace(limit, rearm_when=NORMAL)))


def opens_when_cut(m: Matter) -> Edits:
    """IL-15: a contact that opens, so that a broken wire says what the sensor is there to say."""
    part = m.design.part(m.verdict.about)
    key = next((key for key in part.values if key.startswith(READ_AS) and part[key] is not None), None)
    if key is None or part[key] != Word.CLOSED:
        yield from _told_of(m, part)
        return
    verb, rest = str(part.get(CONTACT)).split(" ", 1)
    edited, keys, fitted = with_key(m.design, part.name, key, str(Word.OPEN)), [f"{key}: {Word.OPEN}"], ""
    if verb == CLOSES:
        edited, keys = with_key(edited, part.name, CONTACT, f"{OPENS} {rest}"), [f"{CONTACT}: {OPENS} {rest}", *keys]
        fitted = " one of that sort is fitted (some can be turned over)"
    text = f"{of_part(part.name, *keys)}, once{fitted} {SET if fitted else SET.removeprefix('and ')}"
    yield Edit(text, m.line(part.name, CONTACT), edited)


def _told_of(m: Matter, part: PartView) -> Edits:
    """Somebody is told of what the sensor says, where nothing but a contact in a lead hears it."""
    message = message_for(m.design, urgent=False)
    rows = [row for row in m.design.rows if any(term.part == part.name for term in row.cause.terms)]
    for row in rows:
        if row.tell is None and message:
            yield Edit(in_row(f"tell: {quoted(message)}"), row.line, with_row(m.design, row, tell=message))


def rests(m: Matter) -> Edits:
    """IL-16: a pause between two runs."""
    for row in m.rows_of(m.verdict.about):
        if dict(row.effects)[m.verdict.about] in GOES:
            yield Edit(in_row("gap: 10 min"), row.line, with_row(m.design, row, gap=GAP))


def ends_itself(m: Matter) -> Edits:
    """IL-13: a pause ends by itself, not before it is over."""
    part = m.design.part(m.verdict.about)
    hours = next(hours for hours in (1, 2, 4, 8, 24) if hours * HOUR >= (part.get("lasts") or 0.0) or hours == 24)
    text = f"{of_part(part.name, f'{ENDS}: {hours} h')}, once it is set so"
    yield Edit(text, m.line(part.name, ENDS), with_key(m.design, part.name, ENDS, hours * HOUR))


def stops_win(m: Matter) -> Edits:
    """IL-17: one word for all of the matrix."""
    text = f"behind the matrix add `combination: {TOGETHER}`, once the wires do so"
    yield Edit(text, m.last_row(), replace(m.design, combination=TOGETHER))


def heard(m: Matter) -> Edits:
    """IL-07: a date that only the keeper can write, once it is true."""
    message = next(one for one in m.design.messages if one.name == m.verdict.about)
    if message.priority == URGENT:
        text = f"{of_part(message.name, _heard(True))}, once a probe was wetted and somebody has got it{WRITE_IT}"
    else:
        text = f"{of_part(message.name, _heard(False))}, once it was sent and somebody has got it{WRITE_IT}"
    yield Edit(text, message.line, None)


def _heard(wet: bool) -> str:
    return f"heard{' after a wetted probe' if wet else ''}: {THE_DAY}"
