"""What matters, in up to five sentences: made from what runs showed, and honest where little is wrong."""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from dewpond.design.model import Design, Unknown
from dewpond.plant.consequence import TankHarm
from dewpond.plant.moments import Moment
from dewpond.plant.plant import DAY
from dewpond.report.views import matters
from dewpond.report.views.blocks import Items
from dewpond.report.views.cures import COMES_BACK, CURES, NEXT
from dewpond.report.views.shown import Shown
from dewpond.report.views.study import study_report
from dewpond.study.beats import Beat, Beats
from dewpond.study.outcome import Change, Outcome, Remark, StudyResult, TankState, UnknownEffect

Make = Callable[..., Outcome]
HOUR = 3600.0
LABELS = ("ball: stuck open", "tap: joint weeps, behind the valve", "tub: cracks")


@pytest.fixture
def quiet(studied: StudyResult, outcome: Make) -> StudyResult:
    """A study of three faults, away and at home, in which nothing happens."""
    failed = tuple(
        outcome(faults=(label,), who=who, horizon=span)
        for who, span in (("travelling", 14 * DAY), ("at home", DAY))
        for label in LABELS
    )
    return replace(
        studied, who=(("travelling", 14 * DAY), ("at home", DAY)), failures=failed, normal=(), findings=(), remarks=(),
        unknowns=(), tanks=(),
    )  # fmt: skip


def said(result: StudyResult, metric: Shown) -> tuple[str, ...]:
    told = matters.sentences(result, metric)
    assert 1 <= len(told) <= matters.MOST
    for text in told:  # one sentence each
        assert text.endswith(".")
        assert not re.search(r"[.!?]\s+[A-Z]", text), text
    return told


def flood(outcome: Make, label: str, litres: float, **told: object) -> Outcome:
    wet = {"on_floors": litres * 1e-3, "by_place": {"shed": litres * 1e-3}, "first_water": HOUR}
    return outcome(**({"faults": (label,), "still_running": True} | wet | told))


def test_where_nothing_is_wrong_it_says_what_was_tried_and_not_that_nothing_can_happen(
    quiet: StudyResult, metric: Shown
) -> None:
    dry, last = said(quiet, metric)
    assert dry == (
        "None of the 6 things tried puts water on a floor while everybody is travelling (14 days) or somebody is at "
        "home and awake (24 h)."
    )
    assert last.startswith("Neither the checks nor the runs object to anything they look at")
    tank = TankState("reef", 0.4, 35.0, 34.9, 35.1)
    harm = (TankHarm("reef", 34.8, 35.1, 35.0),)
    calm = tuple(replace(o, told=replace(o.told, tanks=harm)) for o in quiet.failures)
    _, spared, _ = said(replace(quiet, tanks=(tank,), failures=calm), metric)
    assert spared == (
        "None of the 3 single faults tried drives a tank's salinity more than 1 ppt from where it was, or lets a "
        "return pump draw air, in 14 days (travelling)."
    )


def test_worst_is_told_with_litres_floor_notice_stop_and_whether_it_starts_again(
    quiet: StudyResult, outcome: Make, metric: Shown
) -> None:
    worst = flood(
        outcome, LABELS[0], 30.0, still_running=False, first_noticed=1.5 * HOUR, noticed_by="probe reports water",
        stopped=3 * HOUR, stopped_by="valve shuts", reopenings=2,
    )  # fmt: skip
    other = flood(outcome, LABELS[1], 10.0)
    result = replace(quiet, failures=(worst, other, *quiet.failures[2:]))
    away, home, *_ = said(result, metric)
    assert away == (
        "While everybody is travelling (14 days), 2 of the 3 single faults tried put water on a floor, and with 1 it "
        "still runs at the end; with 1 it stops and starts again by itself; most comes with “ball: stuck open”: about "
        "30 L in shed, noticed 30 min after the first water (probe reports water, of which nobody is told), "
        "ended 2 h after it (valve shuts), having started again by itself 2 times."
    )
    assert home == (
        "None of the 3 single faults tried puts water on a floor while somebody is at home and awake (24 h)."
    )
    unseen = replace(result, failures=(other, *quiet.failures[1:]))
    assert said(unseen, metric)[0].endswith(
        "about 10 L in shed, noticed by nobody and nothing, and stopped by nothing."
    )


def test_next_thing_is_the_cure_with_most_water_at_stake(quiet: StudyResult, outcome: Make, metric: Shown) -> None:
    assert NEXT.keys() == {*CURES, COMES_BACK}
    rows = (flood(outcome, LABELS[0], 30.0), flood(outcome, LABELS[1], 10.0), flood(outcome, LABELS[2], 20.0))
    last = said(replace(quiet, failures=(*rows, *quiet.failures[3:])), metric)[-1]
    assert last.startswith("Next: add a second float above the first")
    assert "for 1 of the 3 faults whose water runs on (travelling), such as “ball: stuck open” (not tried here)" in last
    trip = Beat(2 * HOUR, "trip", "valve shuts", "valve")
    back = replace(rows[0], told=replace(rows[0].told, reopenings=3), beats=Beats.of([trip]))
    last = said(replace(quiet, failures=(back, *rows[1:], *quiet.failures[3:])), metric)[-1]
    assert last.startswith("Next: let what has shut stay shut until somebody re-arms it by hand, for 1 of the 3 faults")


def test_an_answer_that_decides_comes_first_for_it_costs_nothing(
    quiet: StudyResult, outcome: Make, metric: Shown, design: Design
) -> None:
    row = flood(outcome, LABELS[0], 30.0)
    unknown = Unknown("tub", "rim", (1.0, 2.0), 1.0, "Measure it. Then write it down.", True)
    dry = replace(row.told, on_floors=0.0, by_place={})

    def with_effect(other: object) -> StudyResult:
        change = Change(row.told, other, ("floors",))  # type: ignore[arg-type]
        effect = UnknownEffect("tub", "rim", 1.0, 2.0, unknown.find_out, (change,))
        return replace(
            quiet, failures=(row, *quiet.failures[1:]), unknowns=(effect,), design=replace(design, unknowns=(unknown,))
        )

    *_, last = said(with_effect(dry), metric)
    assert last == "Next: find out “rim” of tub, which is unknown and decides 1 single fault: measure it."
    *others, last = said(with_effect(replace(row.told, on_floors=0.029)), metric)
    assert last.startswith("Next: add a second float")
    assert others[-1] == "What the file does not say decides what some faults do: “rim” of tub (1 fault)."


def test_what_is_wrong_although_nothing_fails_comes_first_and_is_the_next_thing(
    quiet: StudyResult, outcome: Make, metric: Shown
) -> None:
    normal = replace(outcome(), told=replace(outcome().told, faults=(), rim_first={"tub": 60.0}))
    over = Remark("S202", "warning", ("tub",), {"after": 60.0})
    first, *_, last = said(replace(quiet, normal=(normal,), remarks=(over,)), metric)
    assert first == "Although nothing fails, within 14 days (travelling): tub runs over."
    assert last.startswith("Next, for water: tub: lower the mark of its float")
    assert last.endswith("(S202).")


def test_what_is_wrong_wherever_people_are_is_told_once(quiet: StudyResult, outcome: Make, metric: Shown) -> None:
    """Else four ways of being there fill all five sentences, and the flood is not among them."""
    over = replace(outcome().told, faults=(), rim_first={"tub": 60.0})
    empty = replace(over, who="out", horizon=86400.0, reservoir_empty=50.0)
    runs = [replace(over, who="at home", horizon=86400.0), over, empty]
    normal = tuple(replace(outcome(), told=told) for told in runs)
    sentences = said(replace(quiet, normal=normal), metric)
    assert [text for text in sentences if text.startswith("Although")] == [
        "Although nothing fails, within 14 days (travelling): tub runs over.",
        "Although nothing fails, within 24 h (out): a reservoir runs empty.",
    ]


def test_unfinished_study_says_so_first(quiet: StudyResult, metric: Shown) -> None:
    assert said(replace(quiet, finished=False), metric)[0] == f"{matters.UNFINISHED}."


def test_both_sides_of_a_protection_stand_in_one_sentence(quiet: StudyResult, outcome: Make, metric: Shown) -> None:
    low = (TankHarm("reef", 33.0, 40.0, 40.0),)
    act = Moment(HOUR, "trip", "box orders pump stopped", "box")
    stopped = outcome(faults=(LABELS[0],), tanks=low, return_pump_dry=DAY, return_pump_dry_after=act)
    failed = outcome(faults=(LABELS[1],), tanks=low, return_pump_dry=DAY)
    tank = TankState("reef", 0.4, 35.0, 34.9, 35.1)
    result = replace(quiet, failures=(stopped, failed, *quiet.failures[2:]), tanks=(tank,))
    (text,) = [text for text in said(result, metric) if text.startswith("The tank")]
    assert text == (
        "The tank, travelling (14 days): 2 of the 3 single faults drive a tank's salinity more than 1 ppt from where "
        "it was, reef between 33 and 40 ppt with “ball: stuck open”; with 2 a return pump draws air, with 1 of them "
        "because a protection or a hand had stopped the top-off: what holds water back also starves the tank."
    )


@pytest.mark.slow
def test_every_face_shows_the_same_sentences(studied: StudyResult, metric: Shown) -> None:
    from dewpond.report import page, records, terminal

    told = said(studied, metric)
    report = study_report(studied)
    assert report.sections[0].blocks == (Items(told, numbered=True),)
    assert records.study(studied)["matters"] == list(told)
    text = terminal.render(report, width=10_000)
    assert all(f"{number}. {sentence}\n" in text for number, sentence in enumerate(told, 1))
    assert '<ol class="numbered">' in page.render(report)
    pairs = [text for text in told if text.startswith("Of the ")]
    assert len(pairs) == 1  # this study has pairs, and some of them do more


def test_of_four_places_to_be_two_are_told_and_the_others_named(
    quiet: StudyResult, outcome: Make, metric: Shown
) -> None:
    spans = {"travelling": 14 * DAY, "at home": DAY, "asleep": DAY, "out": DAY}
    litres = {"travelling": 90.0, "at home": 5.0, "asleep": 20.0, "out": 12.0}
    failed = tuple(flood(outcome, "tub: cracks", litres[who], who=who, horizon=span) for who, span in spans.items())
    told = said(replace(quiet, who=tuple(spans.items()), failures=failed), metric)
    assert told[0].startswith("While everybody is travelling (14 days), 1 of the 1")
    assert told[1].startswith("While everybody is asleep (24 h)")
    assert told[1].endswith("; no more comes while everybody is out for the day or somebody is at home and awake.")
    assert not any(text.startswith("While") for text in told[2:])


def test_run_that_was_broken_off_says_so_where_its_litres_stand(
    quiet: StudyResult, outcome: Make, metric: Shown
) -> None:
    marks = ("doubtful: broken off after 0.4 days, for it took too many steps",)
    told = said(replace(quiet, failures=(flood(outcome, "tub: cracks", 90.0, marks=marks),)), metric)
    assert "(that run was broken off: more may come)" in told[0]
