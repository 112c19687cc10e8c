"""Rules that the file itself answers: a message that nobody has heard, a pause that never ends, two who order one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import combinations

from dewpond.design.model import Design, Row
from dewpond.parts.base import Kind, PartView
from dewpond.proof.verdicts import BROKEN, HOLDS, READ, Case, Verdict
from dewpond.vocabulary import Word

URGENT = "now"  # the priority of a message that makes somebody act
ENDS = "ends by itself after"  # key of a pause
REST = (Word.SHUT, Word.STOPPED)


def read_rules(design: Design, kinds: Mapping[str, Kind]) -> Iterator[Verdict]:
    """All of them."""
    for message in design.messages:
        heard = message.heard_wet if message.priority == URGENT else message.heard or message.heard_wet
        yield _verdict("IL-07", message.name, bool(heard), message.line)
    masks = {term.part for row in design.rows for term in row.cause.terms}
    for part in design.parts:
        if (
            kinds[part.kind].role == "work"
            and part.name in masks
            and any(p.key == ENDS for p in kinds[part.kind].params)
        ):
            yield _verdict("IL-13", part.name, part.get(ENDS) is not None, design.lines[part.name])
    for name, rows in _fought_over(design).items():
        clash = any(_opposed(name, one, other) for one, other in combinations(rows, 2))
        yield _verdict("IL-17", name, bool(design.combination) or not clash, design.lines[name])


def _verdict(rule: str, about: str, holds: bool, line: int) -> Verdict:
    cases = () if holds else (Case(()),)
    return Verdict(rule, READ, about, HOLDS if holds else BROKEN, cases, line=line)


def _fought_over(design: Design) -> dict[str, list[Row]]:
    """Parts that more than one row gives orders to."""
    found: dict[str, list[Row]] = {}
    for row in design.rows:
        for part, _ in row.effects:
            found.setdefault(part, []).append(row)
    return {part: rows for part, rows in found.items() if len(rows) > 1}


def _opposed(part: str, one: Row, other: Row) -> bool:
    """Whether two rows of two boxes order a part to do and to leave the same."""
    words = [dict(row.effects)[part] for row in (one, other)]
    return one.by != other.by and sum(word in REST for word in words) == 1


def _may_end(part: PartView, kinds: Mapping[str, Kind]) -> bool:
    """Whether a part can be set to end by itself."""
    return any(param.key == ENDS for param in kinds[part.kind].params)
