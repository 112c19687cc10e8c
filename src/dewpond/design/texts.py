"""The form of a text about a design file: its level, what is wrong, and what to do."""

from __future__ import annotations

from typing import NamedTuple

from dewpond.errors import Level


class Text(NamedTuple):
    """The two sentences of a finding."""

    level: Level
    what: str
    remedy: str


def error(what: str, remedy: str) -> Text:
    """A text about what keeps the file from being used."""
    return Text("error", what, remedy)


def warning(what: str, remedy: str) -> Text:
    """A text about what hardly can be meant, or what leads to harm."""
    return Text("warning", what, remedy)


def note(what: str, remedy: str) -> Text:
    """A text about what is worth knowing and may well be meant."""
    return Text("note", what, remedy)
