"""What the file claims of its protections, in words: whether it is so, and which sets of faults are smaller."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from dewpond.proof.verdicts import BROKEN, HOLDS, READ, UNFINISHED, Case, Proof, Verdict
from dewpond.report.views.blocks import Block, Grid, Text
from dewpond.report.views.shown import count, joined

Beside = Callable[[str, Case], str]  # what fails beside a spill (about) in a case
NOT_SO = {"IL-03": "opens again by itself", "IL-04": "does not stand before it", "IL-05": "does not stop it"}


def claimed_of(verdict: Verdict) -> str:
    """What a verdict on a claim was asked of."""
    stops = "stops it" if len(verdict.claimed) == 1 else "each stop it"
    nothing = ", and none of the supply's water was found to get out there" if verdict.setting == READ else ""
    return f"{verdict.about}: the file claims (line {verdict.line}) that {joined(verdict.claimed)} {stops}{nothing}"


def claims_of(proof: Proof, beside: Beside) -> Iterator[Block]:
    """Every claim by its line, spill by spill."""
    asked: dict[tuple[int, str], list[Verdict]] = {}
    for verdict in proof.verdicts:
        if verdict.claimed:
            asked.setdefault((verdict.line, verdict.about), []).append(verdict)
    last = proof.verdicts[-1]
    cut = (last.line, last.about) if proof.stopped and last.claimed else None  # there may have been more to ask
    answers = {one: _answer(mine, one == cut) for one, mine in asked.items()}
    lines = {line: all(answers[one] == HOLDS for one in asked if one[0] == line) for line, _ in asked}
    yield Text(
        f"{sum(lines.values())} of the {count(len(lines), 'claim')} asked hold. A claim names the protections of which "
        "each stops, alone, the water that gets out. So with two of them no one thing that fails beside what lets it "
        "out may let it run on, with three no two things. Only those named are counted. Sets of faults that are "
        "smaller than claimed are listed: mend the house, or claim less."
    )
    rows = []
    for one, mine in asked.items():
        layers = tuple(dict.fromkeys(name for verdict in mine for name in verdict.claimed))
        rows.append((str(one[0]), one[1], joined(layers), answers[one], _smaller(mine, len(layers), beside)))
    head = ("line", "what lets it out", "each stops it, as claimed", "answer", "runs on with, beside that")
    yield Grid("Claims of the file", head, tuple(rows), (0,), 4)


def _answer(mine: Sequence[Verdict], cut: bool) -> str:
    """What came of a claim for one spill; ``cut``: it was stopped there by hand."""
    if any(verdict.setting == READ for verdict in mine):
        return "broken: no water gets out there"
    broken = [verdict for verdict in mine if verdict.verdict == BROKEN]
    words = [f"{joined(v.claimed)} {NOT_SO[v.rule]}" for v in broken if v.rule in NOT_SO]
    words += ["fewer faults than claimed are enough" for v in broken if v.rule not in NOT_SO]
    if broken:
        return f"broken: {'; '.join(words)}"
    return UNFINISHED if cut or any(verdict.verdict != HOLDS for verdict in mine) else HOLDS


def _smaller(mine: Sequence[Verdict], layers: int, beside: Beside) -> str:
    """The sets of faults that are smaller than claimed."""
    if any(verdict.setting == READ for verdict in mine):
        return ""
    last = mine[-1]  # with all that are named
    found = [beside(last.about, case) for case in last.cases if 0 < len(case.faults) <= layers]
    if not found:
        return "none" if all(verdict.verdict != UNFINISHED for verdict in mine) else "none found so far"
    return "; ".join(found)


def taken_as_claimed(proof: Proof) -> tuple[str, ...]:
    """What stands for a claim where the file has none; nothing where no water gets out."""
    left = sum(not pair.claimed for pair in proof.pairs)
    if not left:
        return ()
    every = count(len(proof.pairs), "way")
    text = (
        f"Of {left} of the {every} in which water gets out the file claims nothing (`claims:`). There each layer that "
        "stops it alone is taken as claimed: where there are two, no one thing that fails beside may let it run on."
    )
    return (text,)
