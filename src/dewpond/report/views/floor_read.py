"""What was read of each room, and what that says of its word: rooms of which nothing was, and words that are wrong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.errors import Finding
from dewpond.floor.evidence import not_read
from dewpond.floor.roughness import Judged
from dewpond.report.views.shown import joined
from dewpond.study.floors import Looked

READ_IT: Final = (
    "Read the floor at twelve places and more: heights above one level line, by a water tube or a laser (see "
    "docs/floor.md), and write them among the readings of its plan."
)


def read_findings(looked: Looked, file: str) -> Iterator[Finding]:
    """Rooms that are rougher than their word; then what was not read, of the whole storey or of some rooms."""
    where = f"floor of {looked.storey.name}"
    for one in looked.fitted.judged:
        if one.rougher:
            yield Finding("floor-word", "warning", f"floor of {one.place}", *_rougher(one), file)
    rooms = not_read(looked.storey)
    if 0 < len(rooms) < len(looked.storey.plans):
        words = joined([f"“{plan.flatness}”" for plan in looked.storey.plans if plan.place in rooms])
        what = (
            f"Nothing was read of {joined(rooms)}: there the floor is taken by its word alone ({words}), and what was "
            "read next door tells no more than how rough it may be."
        )
        yield Finding("floor-not-read", "note", where, what, READ_IT, file)


def _rougher(one: Judged) -> tuple[str, str]:
    what = (
        f"Its readings lie farther apart than “{one.word}” lets expect: of the roughest floors that may be called so, "
        "fewer than one in 20 give such readings. The floors told here are too even, and what is told is too sure."
    )
    remedy = (
        "See whether the heights have the right unit and count from one level line, and whether a step is missing "
        "(`patches`, `raised by`). "
    )
    if one.fits:
        return what, f"{remedy}If all is right, write `flatness: {one.fits}`, with which they agree."
    return what, f"{remedy}If all is right, no word here is rough enough: read it at more places."


def smoother(looked: Looked) -> Iterator[str]:
    """Rooms whose readings lie closer together than their word lets expect, where another one fits."""
    for one in looked.fitted.judged:
        if not one.rougher and one.fits:
            yield (
                f"The readings of {one.place} lie closer together than “{one.word}” lets expect; `flatness: "
                f"{one.fits}` agrees with them, and would make what is told a little surer."
            )
