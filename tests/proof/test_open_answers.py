"""What the file leaves open: the proof tries every answer, and a rule that is broken with any of them does not hold.

The sets of faults are those of tests/proof/mistakes.py, worked out by hand from the house: a valve that opens without
power ("solenoid opens unpowered"), a tank without its high mark. An answer does the same as if the file gave it.
"""

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.errors import FINDINGS, FINE
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.open_answers import others_of, told_of, try_others
from dewpond.proof.proving import GROUPS, prove
from dewpond.proof.search import UnsettledError
from dewpond.proof.verdicts import BROKEN, HOLDS, UNFINISHED, Case, OpenAnswer, Otherwise, Proof, Verdict
from dewpond.report import proof_records
from dewpond.report.views.blocks import Grid, Items, Report, Text
from dewpond.report.views.proof import exit_code, proof_report
from tests.proof.mistakes import CUT, HIGH_ROW, HOUSE_TRIPS, KEPT, SOUND, TANK_BOX, UNIT_BOX, sets, with_mistakes

SHUT, OPEN = "without power: shut, driven", "without power: open, driven"
UNPOWERED = (SHUT, "without power: unknown, driven")
HANGS, UNKNOWN_HANGS = "when it hangs: keeps last order", "when it hangs: unknown"
BOTH_HANG = tuple((f"{box}{KEPT}, {HANGS}", f"{box}{KEPT}, {UNKNOWN_HANGS}") for box in (UNIT_BOX, TANK_BOX))
PRESSURE = ("closes at: 65 %", "closes at: unknown")
FORGETS = (f"{UNIT_BOX}{KEPT}", f"{UNIT_BOX}after a restart: {{trips: unknown, counts: kept}}")
ONE_RULE = Verdict("IL-02", "each layer alone", "a valve: shuts", BROKEN, (Case((("a circuit: cut",),)),))


def design_of(*swaps: tuple[str, str]) -> Design:
    return read_text(with_mistakes(*swaps), "sound.yaml")


@cache
def proved(design_text: str, faults: int = 1) -> Proof:
    design = read_text(design_text, "sound.yaml")
    return prove(design, lower(design), KINDS, faults, compiled=True, tried=False, answered=True)


def changes(proof: Proof) -> dict[tuple[str, str, object], tuple[set[tuple[str, str]], set[tuple[str, str]]]]:
    """By part, key and other answer: the rules broken with it and those mended, with the part at the head."""

    def heads(verdicts: tuple[Verdict, ...]) -> set[tuple[str, str]]:
        return {(v.rule, v.about.split(": ")[0]) for v in verdicts}

    return {
        (key.unknown.part, key.unknown.key, str(other.answer)): (heads(other.broken), heads(other.mended))
        for key in proof.open
        for other in key.others
    }


def texts_of(report: Report) -> str:
    return "\n".join(
        text
        for section in report.sections
        for block in section.blocks
        for text in ([block.text] if isinstance(block, Text) else block.items if isinstance(block, Items) else [])
    )


def rows_of(report: Report) -> tuple[tuple[str, ...], ...]:
    grids = {block.caption: block for section in report.sections for block in section.blocks if isinstance(block, Grid)}
    return grids["Answered with “unknown”, or left out"].rows


# -- the sound house with an answer left open --------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("faults", [1, 2])
def test_a_valve_of_which_nobody_knows_what_it_does_without_power_does_not_pass_as_one_that_shuts(faults: int) -> None:
    text = with_mistakes(UNPOWERED)
    design, proof = read_text(text, "sound.yaml"), proved(text, faults)
    assert {verdict.verdict for verdict in proof.verdicts} == {HOLDS}  # with the answer that is taken
    ((key, other),) = ((key, other) for key in proof.open for other in key.others)
    assert (key.unknown.part, key.unknown.taken, other.answer) == ("feed valve", "shut", "open")
    assert text.splitlines()[key.line - 1].startswith("  feed valve:")
    found = {
        v.rule: frozenset(frozenset(labels[0] for labels in case.faults) for case in v.cases) for v in other.broken
    }
    assert found == {"IL-02": sets(CUT, HOUSE_TRIPS, "feed valve: coil burnt out"), "IL-18": sets("unit box: dies")}
    assert {v.about.split(": ")[0] for v in other.broken} == {"feed valve"}
    assert (other.mended, other.unfinished, other.whole) == ((), (), True)
    assert exit_code(proof) == FINDINGS
    report = proof_report(design, lower(design), proof)
    told = texts_of(report)
    assert told.startswith("17 of the 19 rules asked of this house hold whatever one thing fails.")
    assert (
        "Broken with another answer to what the file leaves open: IL-02 (opens without power) and IL-18 (a box that "
        "hangs)." in told
    )
    assert f"Line {key.line}, feed valve, “without power”: open (taken: shut). Broken then: IL-02 (opens" in told
    assert "with unit box: dies. To find out: Unplug it while water runs, look; let it be shut, unplug it" in told
    assert rows_of(report) == (
        (
            str(key.line), "feed valve", "without power", "shut (unknown)", "open", "breaks IL-02 and IL-18",
            "Unplug it while water runs, look; let it be shut, unplug it, look.",
        ),
    )  # fmt: skip


@pytest.mark.slow
def test_an_answer_breaks_the_same_as_if_the_file_gave_it() -> None:
    (other,) = proved(with_mistakes(UNPOWERED), 2).open[0].others
    given = read_text(with_mistakes((SHUT, OPEN)), "sound.yaml")
    alone = prove(given, lower(given), KINDS, 1, compiled=True, tried=False)
    bad = [verdict for verdict in alone.verdicts if verdict.verdict == BROKEN]
    assert [(v.rule, v.about) for v in other.broken] == [(v.rule, v.about) for v in bad]
    assert [[c.faults for c in v.cases] for v in other.broken] == [[c.faults for c in v.cases] for v in bad]


@pytest.mark.slow
def test_where_no_answer_matters_all_rules_hold_and_it_says_so() -> None:
    text = with_mistakes(*BOTH_HANG)
    design, proof = read_text(text, "sound.yaml"), proved(text)
    stops = "outputs stopped"
    wanted = {(box, "when it hangs", stops): (set(), set()) for box in ("unit box", "tank box")}
    assert changes(proof) == wanted
    assert all(key.tried for key in proof.open)
    assert exit_code(proof) == FINE
    report = proof_report(design, lower(design), proof)
    told = texts_of(report)
    assert "No other answer breaks a rule, or mends one." in told
    assert "Find out before you trust this proof" not in told
    assert told.startswith("19 of the 19 rules")
    assert [row[3:6] for row in rows_of(report)] == [("keeps last order (unknown)", stops, "no rule")] * 2


@pytest.mark.slow
def test_a_box_that_hangs_is_asked_both_ways() -> None:
    """Without the high mark nothing ends what a hung box has begun, but for the box that drops its outputs then."""
    text = with_mistakes(HIGH_ROW, BOTH_HANG[1])
    proof = proved(text)
    assert ("IL-18", "sump") in {(v.rule, v.about) for v in proof.verdicts if v.verdict == BROKEN}
    assert changes(proof) == {("tank box", "when it hangs", "outputs stopped"): (set(), {("IL-18", "sump")})}
    design = read_text(text, "sound.yaml")
    told = texts_of(proof_report(design, lower(design), proof))
    assert "No other answer breaks a rule." in told
    assert "“when it hangs”: outputs stopped (taken: keeps last order). No longer broken then: IL-18 (a box" in told
    assert exit_code(proof) == FINDINGS


@pytest.mark.slow
def test_what_a_box_remembers_is_a_key_inside_another_with_its_line() -> None:
    text = with_mistakes(FORGETS)
    proof = proved(text)
    assert changes(proof) == {("unit box", "after a restart: trips", "kept"): (set(), {("IL-11", "feed valve")})}
    assert text.splitlines()[proof.open[0].line - 1].startswith(UNIT_BOX)


# -- what is asked again, and what is not ------------------------------------------------------------------------------
def asking(design: Design, verdicts: list[Verdict], ask: object = None) -> tuple[dict[int, list[Otherwise]], list[str]]:
    """What came of the other answers where each is asked by ``ask``, and what was asked."""
    asked: list[str] = []

    def put(edited: Design) -> Iterator[Verdict]:
        (key,) = (u for u, was in zip(edited.unknowns, design.unknowns, strict=True) if u.taken != was.taken)
        asked.append(f"{key.part}: {key.taken}")
        yield ONE_RULE
        if isinstance(ask, BaseException) and len(asked) == 2:
            raise ask
        yield replace(ONE_RULE, rule="IL-18", verdict=UNFINISHED, cases=())

    found: dict[int, list[Otherwise]] = {}
    try:
        try_others(design, lower(design), verdicts, put, found, lambda _: None)
    except KeyboardInterrupt:
        asked.append("stopped")
    return found, asked


def test_the_pressure_at_which_a_shut_off_closes_is_not_asked_again() -> None:
    design = design_of(PRESSURE, UNPOWERED)
    found, asked = asking(design, [])
    assert len(others_of(design)) > 1
    assert asked == ["feed valve: open"]
    (pressure,) = (key for key in told_of(design, found) if key.unknown.part == "shut-off")
    assert pressure.tried
    assert {(one.broken, one.mended, one.unfinished) for one in pressure.others} == {((), (), ())}


def test_only_what_is_broken_beyond_the_answer_taken_is_told_of_another() -> None:
    like_it = replace(ONE_RULE, about=f"{ONE_RULE.about} (and 3 like it)")
    mended = replace(ONE_RULE, rule="IL-11")
    found, _ = asking(design_of(UNPOWERED), [like_it, mended])
    ((other,),) = found.values()
    assert (other.broken, other.mended) == ((), (mended,))
    assert [one.rule for one in other.unfinished] == ["IL-18"]
    twice, _ = asking(design_of(UNPOWERED), [replace(ONE_RULE, verdict=HOLDS, cases=())])
    assert [one.broken for one in twice[0]] == [(ONE_RULE,)]


def test_a_search_that_was_cut_off_with_another_answer_is_no_proof() -> None:
    design = design_of(UNPOWERED)
    held = [replace(ONE_RULE, verdict=HOLDS, cases=()), replace(ONE_RULE, rule="IL-18", verdict=HOLDS, cases=())]
    other = Otherwise("open", unfinished=(replace(held[1], verdict=UNFINISHED),))
    proof = Proof(1, tuple(held), (), 1, 1, 1, 1, (), open=told_of(design, {0: [other]}))
    assert exit_code(proof) == FINDINGS
    assert exit_code(replace(proof, open=told_of(design, {0: [Otherwise("open")]}))) == FINE
    told = texts_of(proof_report(design, lower(design), proof))
    assert told.startswith(
        "1 of the 2 rules asked of this house holds whatever one thing fails, and 1 was not asked to its end: IL-18."
    )
    assert "NOT FINISHED: IL-18." in told


def test_logic_that_comes_to_no_rest_with_an_answer_is_told_as_not_finished() -> None:
    design = design_of(*BOTH_HANG)
    found, asked = asking(design, [], UnsettledError())
    assert asked == ["unit box: outputs stopped", "tank box: outputs stopped"]
    keys = told_of(design, found)
    assert [key.tried for key in keys] == [True, False]
    proof = Proof(1, (replace(ONE_RULE, verdict=HOLDS, cases=()),), (), 1, 1, 1, 1, (), open=keys[1:])
    assert exit_code(replace(proof, open=(replace(keys[1], others=(Otherwise("outputs stopped", whole=False),)),))) == 1
    told = texts_of(proof_report(design, lower(design), proof))
    assert told.startswith(
        "0 of the 1 rule asked of this house hold whatever one thing fails; 1 of the 1 answer that the file leaves "
        "open was not tried to its end."
    )
    assert "NOT FINISHED: an answer that the file leaves open was not asked to its end" in told


# -- stopped by hand ---------------------------------------------------------------------------------------------------
def test_who_stops_it_keeps_the_answers_that_were_tried_and_what_the_last_one_had_broken() -> None:
    design = design_of(*BOTH_HANG, UNPOWERED)
    found, asked = asking(design, [], KeyboardInterrupt())
    assert asked[-1] == "stopped"
    keys = told_of(design, found)
    assert [[one.whole for one in key.others] for key in keys] == [[True], [False], []]
    assert [[one.broken for one in key.others] for key in keys] == [[(ONE_RULE,)], [(ONE_RULE,)], []]
    assert [key.untried for key in keys] == [(), (), ("outputs stopped",)]
    proof = Proof(1, (ONE_RULE,), (), 1, 1, 1, 1, (), stopped=True, open=keys)
    report = proof_report(design, lower(design), proof)
    first = texts_of(report).partition(". ")[0]
    assert first.startswith("0 of the 2 rules asked until it was STOPPED hold whatever one thing fails, and 1 was not ")
    assert "not asked, or nothing here is of their sort: IL-01, IL-03" in first
    assert "2 of the 3 answers that the file leaves open were not tried to their end" in first
    assert [row[5] for row in rows_of(report)] == [
        "breaks IL-02; not finished: IL-18", "breaks IL-02; not tried to its end", "not tried",
    ]  # fmt: skip
    (*_, last) = proof_records.proof(design, lower(design), proof)["open"]
    assert (last["others"], last["untried"]) == ([], ["outputs stopped"])


def test_a_proof_that_is_stopped_amid_the_answers_has_its_verdicts_and_no_cures(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    seen: list[tuple[int, int]] = []

    def hear(done: int, total: int, what: str) -> None:
        if what.startswith("what the file leaves open"):
            seen.append((done, total))
            if what.startswith("what the file leaves open, 3 of 3"):
                raise KeyboardInterrupt

    proof = prove(design, lower(design), KINDS, 1, compiled=False, tried=False, answered=True, cured=True, heard=hear)
    assert proof.stopped
    assert set(seen) == {(len(GROUPS), len(GROUPS) + 2)}
    assert proof.verdicts
    assert not any(verdict.cures for verdict in proof.verdicts)
    assert [key.tried for key in proof.open] == [True, True, False]


def test_a_design_that_leaves_nothing_open_has_no_such_section() -> None:
    design = read_text(SOUND, "sound.yaml")
    assert others_of(design) == []
    proof = Proof(1, (replace(ONE_RULE, verdict=HOLDS, cases=()),), (), 1, 1, 1, 1, ())
    report = proof_report(design, lower(design), proof)
    assert "open" not in [section.key for section in report.sections]


def test_the_document_has_each_answer_with_its_rules_and_a_set() -> None:
    design = design_of(UNPOWERED)
    other = Otherwise("open", (ONE_RULE,), (replace(ONE_RULE, rule="IL-11"),))
    proof = Proof(1, (), (), 1, 1, 1, 1, (), open=(OpenAnswer(design.unknowns[0], 27, (other,)),))
    (told,) = proof_records.proof(design, lower(design), proof)["open"]
    about = {"about": ONE_RULE.about}
    assert told == {
        "part": "feed valve", "key": "without power", "line": 27, "written": True, "taken": "shut",
        "find_out": design.unknowns[0].find_out, "untried": [],
        "others": [
            {
                "answer": "open", "whole": True, "unfinished": [], "mended": [{"rule": "IL-11", **about}],
                "broken": [{"rule": "IL-02", **about, "faults": [["a circuit: cut"]]}],
            }
        ],
    }  # fmt: skip
