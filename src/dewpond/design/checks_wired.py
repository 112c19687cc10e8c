"""Findings about relays: asked for more than wires can do, or for a sensor that is not wired to them.

A box with a program is taken to know what is wired to the others, as the plant does.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dewpond.design import messages_rows as r
from dewpond.design.checks_matrix import boxes_of, plain_boxes, row_title
from dewpond.design.checks_shared import carried_out_by
from dewpond.design.desk import Desk, listed
from dewpond.design.model import Design, Row
from dewpond.design.rows import RE_ARMED
from dewpond.parts.base import Kind


def check_wired(design: Design, kinds: Mapping[str, Kind], desk: Desk) -> None:
    """All of them."""
    relays = plain_boxes(design, kinds)
    for number, row in enumerate(design.rows, 1):
        where = row_title(row, number)
        for box in sorted(relays & carried_out_by(row, design, kinds)):
            for what, keys in _asked(row):
                if keys:
                    named = listed(f"`{key}`" for key in keys)
                    desk.add("D238", where, row.line, keys[0], box=box, keys=named, what=what)
            asked = (design.part(term.part) for term in row.cause.terms)
            wired = {part.name: boxes_of(part, kinds[part.kind]) for part in asked}
            apart = {sensor: boxes for sensor, boxes in wired.items() if boxes and box not in boxes}
            if apart:
                ends = dict.fromkeys(name for boxes in apart.values() for name in boxes)
                words = {"sensors": listed(f'"{name}"' for name in apart), "wired": listed(ends)}
                desk.add("D221", where, row.line, "by" if row.by else None, box=box, **words)


def _asked(row: Row) -> Iterator[tuple[str, list[str]]]:
    """(what it takes, the keys of a row that take it)."""
    times = {"lasting": row.lasting, "at most": row.at_most, "gap": row.gap}
    yield r.A_CLOCK, [key for key, seconds in times.items() if seconds]
    yield r.A_COUNTER, ["per day"] if row.per_day is not None else []
    yield r.A_MEMORY, ["until"] if row.until == RE_ARMED else []
