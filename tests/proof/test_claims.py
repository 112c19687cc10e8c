"""What a file claims of its protections, in the sound house and with a mistake planted in it.

The sets of faults stand in tests/proof/mistakes.py, worked out by hand from the house. What a claim asks: the project's
own notes on shut-off logic (a claim of two layers asks for three faults, what lets the water out among them).
"""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read, read_text
from dewpond.errors import DesignError
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.asking.claims import divided
from dewpond.proof.proving import prove
from dewpond.proof.questions.flooding import runs_on
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.water import spills
from dewpond.proof.search import search
from dewpond.proof.verdicts import BROKEN, HOLDS, READ, UNFINISHED, Proof, Verdict
from dewpond.report.views.blocks import Grid, Items, Text
from dewpond.report.views.proof import proof_report
from tests.proof.mistakes import (
    DEAD,
    MOVED,
    ON_THE_BOX,
    OPEN_VALVE,
    SOUND,
    UNIT_HANGS,
    Sets,
    Swap,
    sets,
    with_mistakes,
)
from tests.proof.referee import states

TWO = "cell valve, feed valve"
CELLS = (
    "cell valve: cells flat",
    "cell valve: mechanism seized",
    "cell valve: not re-armed after handling",
    "cell valve: probe dead",
    "cell valve: puddle does not reach its probe",
)
NEXT = tuple(cells.replace("cell valve", "next valve") for cells in CELLS)
# a third valve, with cells and a probe of its own, behind the first
BEFORE_IT = "  feed valve:   {kind: solenoid valve,     after: "
SECOND_CELLS = (
    "  next valve:   {kind: battery leak valve, after: cell valve, in: wash room, cells fitted: 2026-09-01, "
    "when its probe dries: stays shut,\n                 probe: {in: wash room, at: beside the other, "
    f"seen to work with purified water: 2026-11-02}}}}\n{BEFORE_IT}next valve, in"
)
THIRD = (f"{BEFORE_IT}cell valve, in", SECOND_CELLS)


def claiming(*claims: str, swaps: tuple[Swap, ...] = ()) -> str:
    """The text of the sound house, with mistakes and claims."""
    return with_mistakes(*swaps) + "\nclaims:\n" + "".join(f"  - {{{claim}}}\n" for claim in claims)


@cache
def proved(text: str, faults: int = 1, most_states: int = 300_000) -> Proof:
    design = read_text(text, "sound.yaml")
    return prove(design, lower(design), KINDS, faults, compiled=True, most_states=most_states, tried=False)


def asked(text: str, faults: int = 1) -> list[Verdict]:
    return [verdict for verdict in proved(text, faults).verdicts if verdict.claimed]


def broken(text: str) -> set[tuple[str, tuple[str, ...]]]:
    return {(verdict.rule, verdict.claimed) for verdict in asked(text) if verdict.verdict != HOLDS}


def beside(verdict: Verdict) -> Sets:
    """What must fail beside what lets the water out."""
    own = verdict.about.split(" (and ", maxsplit=1)[0]
    return frozenset(frozenset(labels[0] for labels in case.faults if own not in labels) for case in verdict.cases)


# -- the proof ---------------------------------------------------------------------------------------------------------
@pytest.mark.slow
def test_a_claim_that_is_so_holds_for_each_way_in_which_the_part_lets_water_out() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]")
    assert check(read_text(text, "sound.yaml")) == ()
    found = asked(text)
    assert {verdict.verdict for verdict in found} == {HOLDS}
    assert {verdict.line for verdict in found} == {text.count("\n")}
    assert [verdict.about for verdict in found if verdict.rule == "IL-06"] == [
        f"riser: burst, in {place} (and 3 like it)" for place in ("stand tray", "parlour", "wash room")
    ]
    assert [verdict.claimed for verdict in found[:3]] == [
        ("cell valve",),
        ("feed valve",),
        ("cell valve", "feed valve"),
    ]
    assert all(verdict.most_faults == 2 for verdict in found if verdict.rule == "IL-06")
    assert all(verdict.states > 100 for verdict in found if verdict.rule == "IL-06")  # it has looked at something


@pytest.mark.slow
def test_a_claim_of_a_place_speaks_of_what_comes_there_first() -> None:
    text = claiming(f"water in: parlour, is stopped by: [{TWO}]")
    found = asked(text)
    assert {verdict.verdict for verdict in found} == {HOLDS}
    assert {verdict.about for verdict in found} == {
        "reef: display overflow blocked",
        "reef: seam leaks",
        "riser: burst, in parlour (and 3 like it)",
        "sump: seam leaks",
    }


@pytest.mark.slow
def test_two_valves_on_one_box_break_the_claim_by_what_they_share() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]", swaps=ON_THE_BOX)
    assert broken(text) == {("IL-06", ("cell valve", "feed valve"))}
    found = {verdict.about.partition(" in ")[2][:8]: beside(verdict) for verdict in asked(text) if verdict.cases}
    assert found == {
        "stand tr": sets(UNIT_HANGS),
        "parlour ": sets(UNIT_HANGS),
        "wash roo": sets(UNIT_HANGS, DEAD, MOVED),
    }


@pytest.mark.slow
def test_one_valve_on_the_box_is_all_that_a_claim_of_one_asks_for() -> None:
    """And nothing else is taken as claimed where the file says what it claims."""
    text = claiming("water from: riser, is stopped by: feed valve", swaps=ON_THE_BOX)
    assert {verdict.verdict for verdict in asked(text)} == {HOLDS}
    assert {verdict.rule for verdict in asked(text)} == {"IL-05"}
    told = {verdict.about for verdict in proved(text).verdicts if verdict.rule == "IL-06"}
    assert told
    assert not any("riser" in about for about in told)


@pytest.mark.slow
def test_a_valve_behind_the_leak_does_not_stop_it() -> None:
    """Of the feed valve's own joints, half lie before it."""
    text = claiming(f"water from: feed valve, is stopped by: [{TWO}]")
    assert broken(text) == {("IL-04", ("feed valve",)), ("IL-06", ("cell valve", "feed valve"))}
    behind = [verdict for verdict in asked(text) if verdict.verdict == BROKEN]
    assert {verdict.about for verdict in behind} == {"feed valve: joint blows off, before the valve (and 1 like it)"}
    assert [beside(verdict) for verdict in behind] == [frozenset([frozenset()]), sets(*CELLS)]


@pytest.mark.slow
def test_a_probe_in_another_room_does_not_stop_it() -> None:
    text = claiming(
        f"water from: riser, is stopped by: [{TWO}]", swaps=(("probe: {in: wash room", "probe: {in: far room"),)
    )
    assert broken(text) == {("IL-05", ("cell valve",)), ("IL-06", ("cell valve", "feed valve"))}
    *_, last = (verdict for verdict in asked(text) if verdict.rule == "IL-06")
    assert beside(last) == sets(OPEN_VALVE, UNIT_HANGS, DEAD, MOVED)


@pytest.mark.slow
def test_what_opens_again_by_itself_has_not_stopped_it() -> None:
    text = claiming(
        f"water in: parlour, is stopped by: [{TWO}]", swaps=(("probe dries: stays shut", "probe dries: opens again"),)
    )
    assert broken(text) == {("IL-03", ("cell valve",))}


@pytest.mark.slow
def test_three_that_stop_it_are_asked_with_two_things_failed_beside() -> None:
    three = "water from: filters, is stopped by: [cell valve, next valve, feed valve]"
    text = claiming(three, swaps=(THIRD,))
    assert {verdict.verdict for verdict in asked(text)} == {HOLDS}
    assert {verdict.most_faults for verdict in asked(text) if verdict.rule == "IL-06"} == {3}
    shared = claiming(three, swaps=(THIRD, *ON_THE_BOX))
    assert broken(shared) == {("IL-06", ("cell valve", "next valve", "feed valve"))}
    for verdict in asked(shared):  # the box, or the probe, with any one thing that keeps the third open
        if verdict.rule == "IL-06":
            assert beside(verdict) == sets(*((one, nxt) for one in (UNIT_HANGS, DEAD, MOVED) for nxt in NEXT))


@pytest.mark.slow
def test_what_stands_there_and_is_not_named_does_not_count() -> None:
    """The valve in the middle would stop it, whatever the box does."""
    text = claiming(f"water from: filters, is stopped by: [{TWO}]", swaps=(THIRD, *ON_THE_BOX))
    assert broken(text) == {("IL-06", ("cell valve", "feed valve"))}
    (last,) = (verdict for verdict in asked(text) if verdict.rule == "IL-06")
    assert beside(last) == sets(UNIT_HANGS, DEAD, MOVED)
    assert all(case.check is None for case in last.cases)  # a run would not come to it
    (whole,) = (one for one in proved(text, 2).pairs if one.claimed)
    assert set(whole.layers) == {"cell valve", "next valve", "feed valve"}
    assert whole.cases == ()


@pytest.mark.slow
def test_both_searches_agree_on_what_is_claimed() -> None:
    """The plainest search there is, with only the valves named: the same sets of faults."""
    text = claiming("water in: parlour, is stopped by: feed valve", swaps=(THIRD, *ON_THE_BOX))
    design = read_text(text, "sound.yaml")
    plant = lower(design)
    gates = {layer.gate for layer in layers(plant) if layer.by_water and layer.part in ("cell valve", "feed valve")}
    for spill, mine in divided(plant, design.claims):
        if mine:
            m, bad = runs_on(plant, spill, gates)
            result = search(m, bad, 2, compiled=True)
            assert frozenset(frozenset(one.faults) for one in result.breaches) == states(m, bad, 2)[2]
            assert result.breaches


@pytest.mark.slow
def test_other_names_change_nothing() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]", "water in: parlour, is stopped by: feed valve")
    other = text.replace("feed valve", "zz tap").replace("cell valve", "aa tap").replace("riser", "up pipe")
    found, same = asked(text), asked(other)
    assert [(v.rule, v.verdict, v.line, v.states, len(v.claimed)) for v in found] == [
        (v.rule, v.verdict, v.line, v.states, len(v.claimed)) for v in same
    ]
    assert {name for verdict in same for name in verdict.claimed} == {"zz tap", "aa tap"}


@pytest.mark.slow
def test_a_claim_of_no_water_is_broken() -> None:
    text = claiming("water in: far room, is stopped by: cell valve", "water from: shut-off, is stopped by: cell valve")
    found = asked(text)
    assert [(verdict.verdict, verdict.setting, verdict.about) for verdict in found] == [
        (BROKEN, READ, "water in far room"),
        (BROKEN, READ, "water from shut-off"),
    ]
    assert [one.code for one in check(read_text(text, "sound.yaml"))] == ["D243", "D243"]


@pytest.mark.slow
def test_what_does_not_shut_by_itself_stands_before_nothing() -> None:
    text = claiming("water from: filters, is stopped by: [stop tap, cell valve]")
    assert broken(text) == {("IL-04", ("stop tap",)), ("IL-06", ("stop tap", "cell valve"))}


@pytest.mark.slow
def test_a_search_that_was_cut_off_does_not_hold() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]")
    whole, cut = ([v for v in proved(text, 1, most).verdicts if v.claimed] for most in (300_000, 1000))
    for one, other in zip(whole, cut, strict=True):
        assert other.verdict == (HOLDS if one.states == other.states else UNFINISHED)
    assert UNFINISHED in {verdict.verdict for verdict in cut}


def test_a_claim_divides_what_it_speaks_of_in_part_only() -> None:
    design = read_text(claiming("water from: riser, is stopped by: cell valve"), "sound.yaml")
    plant = lower(design)
    found = list(divided(plant, design.claims))
    whole = [label for spill in spills(plant) for label in spill.labels]
    assert sorted(label for spill, _ in found for label in spill.labels) == sorted(whole)
    assert {label for spill, mine in found if mine for label in spill.labels} == {
        label for label in whole if label.startswith("riser: ")
    }
    assert [spill for spill, _ in divided(plant, ())] == list(spills(plant))


# -- the report --------------------------------------------------------------------------------------------------------
@pytest.mark.slow
def test_the_report_tells_the_claims_by_line_and_what_is_taken_as_claimed() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]", swaps=ON_THE_BOX)
    design, line = read_text(text, "sound.yaml"), str(text.count("\n"))
    proof = proved(text)
    report = proof_report(design, lower(design), proof)
    grids = {block.caption: block for section in report.sections for block in section.blocks if isinstance(block, Grid)}
    rows = grids["Claims of the file"].rows
    assert [row[0] for row in rows] == [line] * 3
    assert {row[2] for row in rows} == {"cell valve and feed valve"}
    assert {row[3] for row in rows} == {"broken: fewer faults than claimed are enough"}
    assert rows[0][4].startswith("unit box: hangs")
    (lead, *_) = (one for section in report.sections if section.key == "claims" for one in section.blocks)
    assert isinstance(lead, Text)
    assert lead.text.startswith("0 of the 1 claim asked hold.")
    marked = [row[0] for row in grids["Water that gets out"].rows if "claimed" in row[0]]
    assert len(marked) == 3
    assert all(f"(claimed: line {line})" in cell for cell in marked)
    texts = [
        text
        for section in report.sections
        for block in section.blocks
        for text in ([block.text] if isinstance(block, Text) else block.items if isinstance(block, Items) else [])
    ]
    # of two ways the claim speaks in part, and of one as a whole
    assert any(text.startswith("Of 10 of the 13 ways") for text in texts)


@pytest.mark.slow
def test_a_proof_that_was_stopped_by_hand_amid_a_claim_does_not_say_that_it_holds() -> None:
    text = claiming("water in: parlour, is stopped by: feed valve")
    design, whole = read_text(text, "sound.yaml"), proved(text)
    here = [number for number, verdict in enumerate(whole.verdicts) if verdict.claimed]
    holds = ["holds"] * len(here)
    for end, answers in ((here[-1], [*holds[2:], "not finished"]), (here[-1] + 2, holds)):
        cut = replace(whole, verdicts=whole.verdicts[:end], stopped=True)
        report = proof_report(design, lower(design), cut)
        (rows,) = (
            block.rows
            for section in report.sections
            for block in section.blocks
            if isinstance(block, Grid) and block.caption == "Claims of the file"
        )
        assert [row[3] for row in rows] == answers


# -- the file ----------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", ["first_float", "two_tanks", "bin_and_branch", "mixing_day", "sound"])
def test_the_checks_say_of_no_water_that_it_cannot_get_out_where_the_proof_finds_that_it_does(
    repository: Path, name: str
) -> None:
    folder = repository / ("tests/proof" if name == "sound" else "examples")
    design = read(folder / f"{name}.yaml")
    plant = lower(design)
    parts = {plant.fault(label).part for spill in spills(plant) for label in spill.labels}
    places = {plant.places[spill.place].name for spill in spills(plant)}
    valve = next(part.name for part in design.parts if KINDS[part.kind].role == "line")
    speaks_of = [*(f"from: {part}" for part in sorted(parts)), *(f"in: {place}" for place in sorted(places))]
    claims = [f"{{water {one}, is stopped by: {valve}}}" for one in speaks_of]
    text = design.text.split("\nclaims:")[0] + "\nclaims:\n" + "".join(f"  - {claim}\n" for claim in claims)
    assert len(parts) > 3
    assert [one for one in check(read_text(text, f"{name}.yaml")) if one.code == "D243"] == []


def test_claims_of_the_same_that_are_the_same_are_borne() -> None:
    text = claiming(
        f"water from: riser, is stopped by: [{TWO}]", "water from: riser, is stopped by: [feed valve, cell valve]"
    )
    assert check(read_text(text, "sound.yaml")) == ()


def test_a_section_without_claims_claims_nothing() -> None:
    assert read_text(SOUND + "\nclaims:\n", "sound.yaml").claims == ()
    assert read_text(SOUND, "sound.yaml").claims == ()


def test_a_claim_with_a_mistake_in_it_does_not_hide_the_others() -> None:
    text = claiming("water from: riser, is stopped by: [no valve]", "water in: nowhere, is stopped by: [feed valve]")
    with pytest.raises(DesignError) as caught:
        read_text(text, "sound.yaml")
    assert [one.code for one in caught.value.findings] == ["D061", "D061"]


@pytest.mark.slow
def test_the_claims_of_the_page_on_the_design_file_hold(repository: Path) -> None:
    page = (repository / "docs" / "design_file.md").read_text("utf-8")
    found = asked("\n".join(re.findall(r"```yaml\n(.*?)```", page, re.DOTALL)))
    assert len(found) == 7
    assert {verdict.verdict for verdict in found} == {HOLDS}
