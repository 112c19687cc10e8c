"""What a proof says of the answers that the file leaves open: which was taken, what each other one changes."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from typing import Final

from dewpond.design.model import Design
from dewpond.proof.verdicts import RULES as ORDER
from dewpond.proof.verdicts import Case, OpenAnswer, Otherwise, Proof, Verdict
from dewpond.report.views.answers import said, value_text
from dewpond.report.views.blocks import Block, Grid, Items, Text
from dewpond.report.views.proof_words import RULES
from dewpond.report.views.shown import Shown, count, joined

About = Callable[[Verdict], str]
Names = Callable[[Case], str]
NOT_TRIED: Final = "not tried"
NOT_WHOLE: Final = "not tried to its end"


def named(rules: Collection[str]) -> str:
    """Rules with their mistakes, in the usual order."""
    return joined([f"{rule} ({RULES[rule].title})" for rule in ORDER if rule in rules])


def untried(proof: Proof) -> bool:
    """Whether an answer was not asked to its end, for another reason than a stop by hand."""
    return not proof.stopped and not all(key.tried for key in proof.open)


def open_of(design: Design, proof: Proof, shown: Shown, about: About, names: Names) -> Iterator[Block]:
    """All keys that are open, the answers that break a rule told first. ``about``, ``names``: what a verdict is about,
    and the faults of a case, in words."""
    tried = [(key, other) for key in proof.open for other in key.others]
    worse = [one for one in tried if one[1].broken]
    better = [one for one in tried if one[1].mended and not one[1].broken]
    if worse:
        yield Text(
            "Find out before you trust this proof: another answer breaks a rule that the one taken does not.", "caution"
        )
    elif all(key.tried for key in proof.open):
        yield Text(f"No other answer breaks a rule{'' if better else ', or mends one'}.")
    if worse or better:
        yield Items(tuple(_told(key, other, design, shown, about, names) for key, other in (*worse, *better)))
    yield Text(
        f"The file leaves {count(len(proof.open), 'answer')} open. One is taken for the proof; then each other one is "
        "put in its place, the rest as taken, and all rules are asked again, by searches alone. Write the answer into "
        "the file once you know it.",
        "quiet",
    )
    yield _grid(design, proof, shown)


def _grid(design: Design, proof: Proof, shown: Shown) -> Grid:
    rows = []
    for key in proof.open:
        u = key.unknown
        taken = f"{value_text(design, u, u.taken, shown)} ({said(design, u)})"
        found = [(other.answer, _changes(other)) for other in key.others]
        for value, changes in (*found, *((value, NOT_TRIED) for value in key.untried)):
            other = value_text(design, u, value, shown)
            rows.append((str(key.line), u.part, u.key, taken, other, changes, u.find_out))
    head = ("line", "part", "key", "taken (in the file)", "other answer", "which changes", "how to find out")
    return Grid("Answered with “unknown”, or left out", head, tuple(rows), (0,), 6)


def _changes(other: Otherwise) -> str:
    words = [
        f"{word} {joined([rule for rule in ORDER if any(v.rule == rule for v in found)])}"
        for word, found in (("breaks", other.broken), ("mends", other.mended), ("not finished:", other.unfinished))
        if found
    ]
    if not other.whole:
        words.append(NOT_WHOLE)
    return "; ".join(words) or "no rule"


def _told(key: OpenAnswer, other: Otherwise, design: Design, shown: Shown, about: About, names: Names) -> str:
    """An answer with the rules that it breaks, of what, and one smallest set of faults each; then those it mends."""
    u = key.unknown
    taken, value = (value_text(design, u, one, shown) for one in (u.taken, other.answer))
    words = [f"Line {key.line}, {u.part}, “{u.key}”: {value} (taken: {taken})."]
    for head, found, with_sets in (("Broken", other.broken, True), ("No longer broken", other.mended, False)):
        ordered = sorted(found, key=lambda verdict: ORDER.index(verdict.rule))
        told = [
            f"{v.rule} ({RULES[v.rule].title}) for {about(v)}{f', with {names(v.cases[0])}' if with_sets else ''}"
            for v in ordered
        ]
        words += [f"{head} then: {'; '.join(told)}."] if told else []
    return " ".join([*words, f"To find out: {u.find_out}"])
