"""Parts that a house lacks, with all that their kind assumes: what to add to the file, and the design that has them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from dewpond.design.handy import quoted
from dewpond.design.model import Design, slug
from dewpond.parts.base import REQUIRED, Kind, Param, PartView
from dewpond.proof.cures.edits import WIRED, Matter, mapping
from dewpond.vocabulary import Word


class Fitted(NamedTuple):
    """A design with one more part, and what to add for it."""

    design: Design
    text: str


def kind_with(m: Matter, *keys: str, role: str = "", without: str = "") -> Kind | None:
    """The first kind that has all these keys, this role if one is given, and lacks another key; None for none."""
    for kind in m.kinds.values():
        own = {param.key for param in kind.params}
        if own >= set(keys) and without not in own and role in ("", kind.role):
            return kind
    return None


def wired_beside(m: Matter, kind: Kind | None) -> str | None:
    """A part of the same section of the file that a wire ends at, behind which one of a kind may be put; None for
    none."""
    parts = (part for part in m.design.parts if kind and part.get(WIRED) and m.kinds[part.kind].section == kind.section)
    return next((part.name for part in parts), None)


def fitted(
    design: Design, kind: Kind, name: str, behind: str, keys: Mapping[str, Any], values: Mapping[str, Any] | None = None
) -> Fitted | None:
    """One more part behind another one. ``keys``: as they are written; ``values``: of those that are read as something
    else. None where a key is missing that must be given."""
    given = {**keys, **(values or {})}
    every = {param.key: given.get(param.key, _assumed(param)) for param in kind.params}
    if REQUIRED in every.values():
        return None
    view = PartView(slug(name), name, kind.word, every, frozenset(keys))
    text = f"behind {behind} add `{quoted(name)}: {mapping({'kind': kind.word, **keys})}`"
    return Fitted(with_part(design, view, behind), text)


def with_part(design: Design, view: PartView, behind: str) -> Design:
    """The same with one more part, in the line of another one."""
    at = next(number for number, part in enumerate(design.parts, 1) if part.name == behind)
    line = design.lines[behind]
    return replace(
        design,
        parts=(*design.parts[:at], view, *design.parts[at:]),
        lines={**design.lines, view.name: line},
        key_lines={**design.key_lines, **dict.fromkeys(((view.name, key) for key in view.given), line)},
    )


def _assumed(param: Param) -> Any:
    """What a key is taken to be when it is left out."""
    return param.unknown[0] if param.default == Word.UNKNOWN and param.unknown else param.default


def inner(param: Param, given: Mapping[str, Any]) -> dict[str, Any]:
    """A map with what is left out in it."""
    return {field.key: given.get(field.key, _assumed(field)) for field in param.fields}
