"""What mends a claim that does not hold: why a valve never stops a water, or what two of them really share."""

from functools import cache

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import BROKEN, HOLDS, Proof, Verdict
from dewpond.report import terminal
from dewpond.report.views.blocks import Notice
from dewpond.report.views.proof import proof_report
from tests.proof.applied import applied
from tests.proof.mistakes import ON_THE_BOX, Swap, with_mistakes

TWO = "cell valve, feed valve"
BEHIND = (  # both valves have their water from the filters
    ("leak valve, after: stop tap,", "leak valve, after: filters,"),
    ("after: feed valve, in: wash room, bowls: 3", "after: stop tap, in: wash room, bowls: 3"),
    ("after: filters,    in: wash room, rated", "after: feed valve,    in: wash room, rated"),
)  # fmt: skip


def claiming(claim: str, *swaps: Swap) -> str:
    return f"{with_mistakes(*swaps)}\nclaims:\n  - {{{claim}}}\n"


@cache
def proof_of(text: str) -> Proof:
    design = read_text(text, "house.yaml")
    return prove(design, lower(design), KINDS, 1, compiled=True, tried=False, cured=True)


def claimed(text: str) -> tuple[Verdict, ...]:
    return tuple(verdict for verdict in proof_of(text).verdicts if verdict.claimed)


def cures_of(text: str, rule: str) -> list[str]:
    found = [v for v in claimed(text) if v.rule == rule and v.verdict == BROKEN]
    assert found
    return [cure.text for verdict in found for cure in verdict.cures]


@pytest.mark.slow
def test_a_probe_in_another_room_is_told_and_not_a_thing_in_common() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]", ("probe: {in: wash room", "probe: {in: far room"))
    for rule in ("IL-05", "IL-06"):
        found = cures_of(text, rule)
        assert not any("hang on" in cure for cure in found)
        assert any(cure.startswith("lay the probe of cell valve in ") for cure in found)
    mended = [v.cures[0] for v in claimed(text) if v.rule == "IL-06" and v.cures]
    assert all(cure.rule_holds for cure in mended)


@pytest.mark.slow
def test_a_valve_behind_a_leak_of_its_own_joint_is_no_layer_and_less_is_to_be_claimed() -> None:
    """The joint before the feed valve can have no feed valve before it, wherever that is put."""
    text = claiming(f"water from: feed valve, is stopped by: [{TWO}]")
    for rule in ("IL-04", "IL-06"):
        found = cures_of(text, rule)
        assert not any("hang on" in cure for cure in found)
        assert [cure for cure in found if "feed valve does not stop this water at all, for it stands behind" in cure]
        assert [cure for cure in found if cure.endswith("or claim less: write `is stopped by: cell valve`")]


@pytest.mark.slow
def test_a_pump_through_which_water_is_siphoned_stops_nothing() -> None:
    """The leak row stops the pump; what is claimed of it counts as broken because of the siphon."""
    text = claiming("water from: sump, is stopped by: [feed valve, top-off pump]")
    (cure,) = set(cures_of(text, "IL-06"))
    assert cure.startswith("top-off pump does not stop this water at all, for water may be siphoned through it")
    assert cure.endswith("claim less: write `is stopped by: feed valve`")


@pytest.mark.slow
def test_what_two_valves_really_share_is_still_named() -> None:
    found = cures_of(claiming(f"water in: parlour, is stopped by: [{TWO}]", *ON_THE_BOX), "IL-06")
    assert found
    assert all(cure.startswith("cell valve and feed valve both hang on unit box (it takes no more") for cure in found)


@pytest.mark.slow
def test_two_valves_claimed_and_both_behind_the_leak_are_moved_together() -> None:
    text = claiming(f"water from: filters, is stopped by: [{TWO}]", *BEHIND)
    broken = [verdict for verdict in claimed(text) if verdict.verdict == BROKEN]
    assert {verdict.rule for verdict in broken} == {"IL-04", "IL-06"}
    firsts = {verdict.cures[0].text: verdict.cures[0] for verdict in broken}
    ((said, cure),) = firsts.items()  # one work for all of them
    assert said.startswith("put cell valve and feed valve right behind stop tap: ")
    assert cure.rule_holds
    assert not cure.also_broken
    assert {verdict.verdict for verdict in claimed(applied(text, cure))} == {HOLDS}


@pytest.mark.slow
def test_the_story_of_a_claim_says_nothing_of_a_thing_in_common_where_there_is_none() -> None:
    """Nor does the title of its rule, which stands there too."""
    text = claiming("water from: sump, is stopped by: [feed valve, top-off pump]")
    design = read_text(text, "house.yaml")
    told = terminal.render(proof_report(design, lower(design), proof_of(text)))
    part = " ".join(told.partition("What is broken")[2].partition("Rule by rule")[0].split())
    assert "[IL-06]" in part
    assert "hang on" not in part


@pytest.mark.slow
def test_a_claim_of_several_ways_out_is_told_once() -> None:
    text = claiming(f"water from: riser, is stopped by: [{TWO}]", ("probe: {in: wash room", "probe: {in: far room"))
    design = read_text(text, "house.yaml")
    report = proof_report(design, lower(design), proof_of(text))
    (notice,) = (b for s in report.sections for b in s.blocks if isinstance(b, Notice) and b.code == "IL-06")
    assert len([v for v in claimed(text) if v.rule == "IL-06" and v.verdict == BROKEN]) > 1
    assert notice.what.count("the file claims (line ") == 1
    assert notice.what.count("riser: burst, in ") > 1
