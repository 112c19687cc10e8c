"""What a design file says, as words and SI numbers. Built by the reader, read by the checks and by the plant.

Nothing here knows about files but for line numbers, which are kept so that whoever objects to something can say where.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from dewpond.design.plan import FloorPlan
from dewpond.errors import Finding
from dewpond.parts.base import PartView

LONGEST_NAME = 60  # characters of the name of a part
KEY_SEPARATOR = ": "  # between the key of a part and a key inside it: "after a restart: trips"


def slug(name: str) -> str:
    """An id made from a name: "Big sump" -> "big-sump"."""
    return re.sub(r"[\W_]+", "-", name.casefold()).strip("-") or "part"


@dataclass(frozen=True)
class Assumed:
    """A figure that the keeper did not give: `value` is a text with its unit, `source` and `grade` say whose it is."""

    part: str
    key: str
    value: str
    source: str
    grade: str


@dataclass(frozen=True)
class Unknown:
    """A key that nobody knows: every value of `tried` is worth a run; `taken` (the first) stands in the part.

    `written`: the keeper answered "unknown"; False: the key was left out.
    """

    part: str
    key: str
    tried: tuple[Any, ...]
    taken: Any
    find_out: str
    written: bool


@dataclass(frozen=True)
class Term:
    """One condition of a cause: `part` is in the state `word`, or is not when `negated`."""

    part: str
    word: str
    negated: bool = False


@dataclass(frozen=True)
class Cause:
    """Conditions taken together. `op`: "any" (need 1), "all" (need all of them) or "vote" (need `need` of them)."""

    op: str
    need: int
    terms: tuple[Term, ...]


def cause_text(cause: Cause) -> str:
    """The cause in the design's words."""
    joint = {"any": " or ", "all": " and ", "vote": ", "}[cause.op]
    text = joint.join(f"{t.part} {'not ' if t.negated else ''}{t.word}" for t in cause.terms)
    return f"{cause.need} of: {text}" if cause.op == "vote" else text


@dataclass(frozen=True)
class TooLong:
    """What follows when a run of a row lasts longer than `at_most`: the order `word`, until what, and who is told."""

    word: str
    until: str
    rearm_when: str
    tell: str | None


@dataclass(frozen=True)
class Row:
    """One row of the cause-and-effect matrix.

    lasting [s]   how long the cause must stand
    effects       (part, word) orders
    until         "cause ends" or "re-armed"; `rearm_when` is the condition in the keeper's words, "" for none
    at_most [s]   longest run; gap [s] shortest pause between runs; per_day [m3] most in a day; None where not said
    by            the box that carries the row out; None: the box that drives the part
    tell          name of the message; None for none
    """

    id: str
    line: int
    cause: Cause
    lasting: float
    effects: tuple[tuple[str, str], ...]
    until: str
    rearm_when: str
    at_most: float | None
    gap: float | None
    per_day: float | None
    too_long: TooLong | None
    by: str | None
    tell: str | None


@dataclass(frozen=True)
class Claim:
    """What the file claims: each of `layers` stops by itself the supply's water that gets out of the part `name`, or,
    `into`, that comes first into the place `name`."""

    line: int
    name: str
    into: bool
    layers: tuple[str, ...]

    @property
    def about(self) -> str:
        """What it speaks of, in the words of the file."""
        return f"water {'in' if self.into else 'from'} {self.name}"


@dataclass(frozen=True)
class Message:
    """A message to people. `path` names, in order, all that must work for it to arrive.

    unanswered_after [s] and `then`: who is told next when nobody answers; heard, heard_wet: ISO dates on which the
    message was heard to arrive, the second after a probe was really wetted.
    """

    name: str
    line: int
    priority: str
    path: tuple[str, ...]
    unanswered_after: float | None
    then: str | None
    heard: str | None
    heard_wet: str | None


@dataclass(frozen=True)
class Heartbeat:
    """A sign of life whose absence is told. `senders` are boxes, every [s], `missed` how many may stay away."""

    name: str
    line: int
    senders: tuple[str, ...]
    every: float
    path: tuple[str, ...]
    missed: int
    watched: str
    tell: tuple[str, ...]


@dataclass(frozen=True)
class Design:
    """The whole description. `parts` are in the order of the file, the implied ones at the end.

    lines      line of each part, counted from 1; implied parts stand at the line that names them first
    key_lines  line of each (part, key) that was written
    implied    names of parts that no line declares
    notes      what the reader remarked without refusing the file
    text       the file as read, file its name as shown to the user
    plans      of the floors that have one
    """

    format: int
    title: str
    shown_in: str
    zone: str
    parts: tuple[PartView, ...]
    rows: tuple[Row, ...]
    claims: tuple[Claim, ...]
    messages: tuple[Message, ...]
    heartbeats: tuple[Heartbeat, ...]
    combination: str
    lines: Mapping[str, int]
    key_lines: Mapping[tuple[str, str], int]
    implied: frozenset[str]
    assumed: tuple[Assumed, ...]
    unknowns: tuple[Unknown, ...]
    notes: tuple[Finding, ...]
    text: str = field(repr=False)
    file: str
    plans: tuple[FloorPlan, ...] = ()

    def part(self, name: str) -> PartView:
        """The part of that name; KeyError when there is none."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def with_unknown(self, part: str, key: str, value: Any) -> Design:
        """The same design with another of the tried values in place of an "unknown".

        `key` is that of the Unknown (a key inside another one reads "outer: inner"). Raises KeyError when the keeper
        knows what it is there, ValueError when the value is none of those to be tried.
        """
        unknown = next((u for u in self.unknowns if (u.part, u.key) == (part, key)), None)
        if unknown is None:
            raise KeyError((part, key))
        if value not in unknown.tried:
            raise ValueError(f"{value!r} is none of the values tried for {part}: {key}")
        view = self.part(part)
        changed = replace(view, values=_with_value(view.values, key.split(KEY_SEPARATOR), value))
        return replace(
            self,
            parts=tuple(changed if p is view else p for p in self.parts),
            unknowns=tuple(replace(u, taken=value) if u is unknown else u for u in self.unknowns),
        )


def _with_value(values: Mapping[str, Any], path: list[str], value: Any) -> dict[str, Any]:
    """A copy of the mapping with the value at the end of the path exchanged."""
    key, *inner = path
    return {**values, key: _with_value(values[key], inner, value) if inner else value}
