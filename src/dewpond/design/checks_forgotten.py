"""Findings about what is forgotten: trips and limits in a restart, a puddle before re-arming, a pause, and a message
that was never heard.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.checks_levels import Shown
from dewpond.design.checks_matrix import row_title
from dewpond.design.checks_shared import MEMORY, WAITS, carried_out_by, dries, driven_by
from dewpond.design.desk import Desk, listed
from dewpond.design.model import Design, Row
from dewpond.design.rows import RE_ARMED
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind
from dewpond.vocabulary import Word

CLEARED: Final = "cleared"
ENDS: Final = "ends by itself after"  # key of a pause
NOW: Final = "now"  # priority of a message that somebody must act on


def check_forgotten(design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, shown: Shown) -> None:
    """All of them."""
    for part in design.parts:
        if kinds[part.kind].role == "box":
            _restart(part.name, design, kinds, desk, shown)
        ends = any(param.key == ENDS for param in kinds[part.kind].params)
        if kinds[part.kind].role == "work" and ends and part.get(ENDS) is None:
            _endless_pause(part.name, design, found, desk, shown)
    for number, row in enumerate(design.rows, 1):
        wet = any((term.word, term.negated) == (Word.WET, False) for term in row.cause.terms)
        if wet and row.until == RE_ARMED and not row.rearm_when and row.effects:
            desk.add("D203", row_title(row, number), row.line, "until", parts=listed(name for name, _ in row.effects))
    for message in design.messages:
        if message.priority == NOW and message.heard is None and message.heard_wet is None:
            desk.add("D205", f"messages: {message.name}", message.line, None)


def _restart(box: str, design: Design, kinds: Mapping[str, Kind], desk: Desk, shown: Shown) -> None:
    """What a box that says so forgets in a power cut, and what that brings about."""
    memory = design.part(box).get(MEMORY)
    if not isinstance(memory, Mapping) or any((u.part, u.key) == (box, MEMORY) for u in design.unknowns):
        return
    own = [row for row in design.rows if box in carried_out_by(row, design, kinds)]
    where, line = f"controllers: {box}", design.key_lines.get((box, MEMORY), design.lines[box])
    armed = [row for row in own if row.until == RE_ARMED]
    held = sorted({n for row in armed for n, _ in row.effects if box in driven_by(n, row, design, kinds)})
    if memory.get("trips") == CLEARED and held:
        desk.add("D201", where, line, MEMORY, parts=listed(held))
    more = {name: litres for row in own for name, litres in _limited(row, design)}
    if memory.get("counts") == CLEARED and more and design.part(box).get(WAITS):  # without a wait D196 says it
        said = listed(f"{name} {shown(litres, 'volume')}" for name, litres in sorted(more.items()))
        desk.add("D202", where, line, MEMORY, more=said)


def _limited(row: Row, design: Design) -> list[tuple[str, float]]:
    """Pumps that a row runs within limits, each with the most of one run or day [m3]."""
    found = []
    for name, word in row.effects:
        flow = design.part(name).get("flow")
        most = [row.at_most * flow] if row.at_most and flow else []
        most += [row.per_day] if row.per_day else []
        if word == Word.RUNNING and most:
            found.append((name, max(most)))
    return found


def _endless_pause(work: str, design: Design, found: Scouted, desk: Desk, shown: Shown) -> None:
    """A pause that only a hand ends, and the pumps that rest meanwhile."""
    rest = {
        name
        for row in design.rows
        if any(term.part == work and not term.negated for term in row.cause.terms)
        for name, word in row.effects
        if word == Word.STOPPED
    }
    if rest:
        words = {"pumps": listed(sorted(rest)), "when": dries(rest, design, found, shown)}
        desk.add("D204", f"work: {work}", design.lines[work], None, **words)
