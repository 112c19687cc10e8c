"""Findings by what is known of floors, of `floor` and of `probes`: readings that contradict, rooms that nobody read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.report.views.floor_poured import poured_findings, tests
from dewpond.report.views.floor_read import READ_IT, read_findings
from dewpond.report.views.shown import Shown, shown_in
from dewpond.study.floors import Looked

AT_THE_DOOR: Final = ("D344", "D345", "D347", "D348", "D360")
"""Findings about pours that contradict one another, which `check` makes as well."""
AGAIN: Final = "Read there once more. If it was a slip, correct it or strike it out; if not, one of the others is."


def known_findings(design: Design, looked: Sequence[Looked]) -> Iterator[Finding]:
    """Readings and tests that contradict the others; then rooms of which nothing was read, or rougher than their word.
    Of a storey on which nothing leaks only the former."""
    shown, file = shown_in(design.shown_in), design.file
    yield from (finding for finding in check(design) if finding.code in AT_THE_DOOR)
    for one in looked:
        yield from _odd(one, shown, file)
        yield from poured_findings(one, file)
    for one in looked:
        if one.wetted:
            yield from _unread(one, file)
            yield from read_findings(one, file)


def _odd(looked: Looked, shown: Shown, file: str) -> Iterator[Finding]:
    for odd in looked.fitted.odd:
        off = odd.value - odd.expected
        far, error = (shown.amount(abs(value), "height") for value in (off, odd.error))
        what = f"It lies {far} {'above' if off > 0.0 else 'below'} what all others let expect, give or take {error}."
        yield Finding("floor-reading", "warning", odd.what, what, AGAIN, file)


def _unread(looked: Looked, file: str) -> Iterator[Finding]:
    if looked.fitted.read:
        return
    what = "Nothing was read of it, so it may be any floor of its kind."
    if looked.poured is not None:
        what = f"No height was read of it: only {tests(looked.storey)} chose among floors of its kind."
    yield Finding("floor-not-read", "note", f"floor of {looked.storey.name}", what, READ_IT, file)
