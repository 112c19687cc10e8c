"""What stands beneath a story of a proof: what would have stopped it, and what would mend it, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.design.showing import with_amounts
from dewpond.proof.verdicts import Cure, Verdict
from dewpond.report.views.proof_words import RULES
from dewpond.report.views.shown import Shown, joined, sentence

BELOW: Final = "What would mend it stands below."
HOLDS_THEN: Final = "Tried: with that the rule holds (searched again)"
UNTRIED: Final = "Not tried: a text in the file alone mends nothing here."


def beneath_of(verdict: Verdict, shown: Shown, seen: set[tuple[str, int]]) -> Iterator[str]:
    """What stands beneath it, a text for each. ``seen``: cures that were told before, which is added to."""
    if verdict.stopped_by:
        yield f"What would have stopped it, and why it did not: {sentence('; '.join(stopped(verdict, shown)))}"
    for number, cure in enumerate(verdict.cures):
        head, key = "Or" if number else "What would mend it", (cure.text, cure.line)
        if key in seen:
            yield f"{head}: the same as above (line {cure.line}){', tried for this as well' * bool(cure.rule_holds)}."
        else:
            yield f"{head}: {sentence(f'line {cure.line}, {cure.text}')} {tried(cure)}"
        seen.add(key)


def stopped(verdict: Verdict, shown: Shown) -> list[str]:
    """What stood in the way and why it did not act, in the design's units."""
    return [with_amounts(text, shown.system) for text in verdict.stopped_by]


def tried(cure: Cure) -> str:
    """What came of it."""
    if not cure.rule_holds:
        return UNTRIED
    if not cure.also_broken:
        return f"{HOLDS_THEN}."
    others = joined([f"{rule} ({RULES[rule].title}) for {about}" for rule, about in cure.also_broken])
    return f"{HOLDS_THEN}, but this is broken then: {others}."
