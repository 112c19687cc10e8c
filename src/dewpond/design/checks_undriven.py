"""Findings about parts that no box drives: what never rests, what a row orders of them in vain, what needs an order to
move.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.checks_layers import WITHOUT_POWER
from dewpond.design.checks_levels import Say
from dewpond.design.checks_matrix import boxes_of, row_title, undriven
from dewpond.design.desk import Desk
from dewpond.design.model import Design, Row
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView, switched
from dewpond.vocabulary import Word

THROUGH: Final = "through"  # key of the socket that its orders pass
POWER: Final = "power"


def check_undriven(design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, say: Say) -> None:
    """All of them."""
    loose = {part.name: part for part in undriven(design, kinds, found)}
    for part in loose.values():
        _at_all_hours(part, design, kinds, found, say)
    for number, row in enumerate(design.rows, 1):
        _in_vain(row, row_title(row, number), loose, design, kinds, desk)


def _at_all_hours(part: PartView, design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say) -> None:
    """A part that nothing ever switches, or whose switching moves it only once."""
    if part.get(THROUGH):
        say("D282", part.name, THROUGH, through=part[THROUGH])
    elif part.get(WITHOUT_POWER) == Word.STAYS_AS_IT_IS and not _unknown(part.name, design):
        say("D283", part.name, WITHOUT_POWER, stays=part[WITHOUT_POWER])
    elif not _switched(part, design, kinds) and not any(part.name in dict(row.effects) for row in design.rows):
        say("D280", part.name, None, acting=found.orders[part.name][1])


def _unknown(name: str, design: Design) -> bool:
    return any((one.part, one.key) == (name, WITHOUT_POWER) for one in design.unknowns)


def _switched(part: PartView, design: Design, kinds: Mapping[str, Kind]) -> bool:
    return switched({p.name: p for p in design.parts}, kinds, str(part.get(POWER) or ""))


def _in_vain(
    row: Row, where: str, loose: Mapping[str, PartView], design: Design, kinds: Mapping[str, Kind], desk: Desk
) -> None:
    """Orders to what nothing drives, in a row that names no box."""
    if row.by:
        return
    named = [design.part(name) for name in (*(term.part for term in row.cause.terms), *dict(row.effects))]
    boxes = [box for part in named for box in boxes_of(part, kinds[part.kind])]
    for name, _ in row.effects if boxes else ():  # else another finding says that nothing carries it out
        if name in loose:
            desk.add("D281", where, row.line, "effect", part=name, box=boxes[0])
