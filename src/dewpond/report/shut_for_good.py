"""Words for a protection that has shut a fill until somebody re-arms it."""

from __future__ import annotations

from dewpond.report.views.shown import clock, joined, sentence
from dewpond.study.locked import Locked


def for_good(one: Locked, who: str) -> str:
    """In few words, that a protection has ended the fills."""
    return f"{one.part} shuts for good on {clock(one.since, who)} (no water comes until somebody re-arms it)"


def stays_shut(one: Locked, who: str) -> str:
    """The same in a sentence, with what gets no water."""
    what = "it" if one.what == one.part else one.what
    return sentence(
        f"{one.part} stays shut from {clock(one.since, who)} on: from then on no water comes to {joined(one.vessels)} "
        f"until somebody re-arms {what}"
    )
