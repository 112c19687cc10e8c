"""Water that ends in a drain: wasted unseen, or taken off a floor; and what goes wrong although nothing fails."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.balance import Balance
from dewpond.plant.lower import lower
from dewpond.report import records, story, terminal
from dewpond.report.views import drill, failures
from dewpond.report.views.blocks import Fold, Story, Text
from dewpond.report.views.drains import Ground
from dewpond.report.views.drill import drill_report
from dewpond.report.views.shown import NOTHING, Shown
from dewpond.report.views.study import short, study_report
from dewpond.study import drills
from dewpond.study.outcome import Outcome, StudyResult
from dewpond.study.study import kept

Make = Callable[..., Outcome]
HOUR = 3600.0


def drained(litres: float, made: float = 0.0) -> Balance:
    """So much straight to the drain, and so much drawn from the supply for other things."""
    return Balance(1e-3 * (litres + made), 0.0, 1e-3 * made, 1e-3 * litres, 0.0, 0.0, 0.0, 0.0)


@pytest.fixture
def normal(outcome: Make) -> tuple[Outcome, ...]:
    """Nothing fails: 60 L to the drain."""
    return (outcome(faults=(), water=drained(60.0, 10.0)),)


@pytest.fixture
def laundry(outcome: Make) -> Outcome:
    """376 m3 through a shed with a drain in its floor, of which 30 L stay."""
    return outcome(
        on_floors=376.0, by_place={"shed": 376.0}, onward={"shed": ("gully", 375.970)}, first_water=HOUR,
        still_running=True,
    )  # fmt: skip


@pytest.fixture
def ground(design: Design, normal: tuple[Outcome, ...]) -> Ground:
    return Ground.of(design, normal)


# --- straight to the drain -------------------------------------------------------------------------------------------


def test_story_of_water_wasted_holds_it_against_the_run_in_which_nothing_fails(
    outcome: Make, design: Design, metric: Shown, normal: tuple[Outcome, ...]
) -> None:
    told = outcome(water=drained(22000.0, 10.0))
    assert story.ending(told, design, metric, (), normal) == [
        "No floor and no tray gets wet within 14 days.",
        "About 22000 L run straight to the drain within 14 days; when nothing fails it is 60 L.",
    ]
    # where no other run is known, only far more than any membrane wastes is told
    assert story.ending(told, design, metric)[1] == (
        "About 22000 L run straight to the drain within 14 days: nearly all that is drawn from the supply."
    )
    for usual in (outcome(water=drained(62.0, 10.0)), outcome(water=drained(60.0))):
        assert story.ending(usual, design, metric, (), normal) == ["No water gets out of the plumbing within 14 days."]
    assert len(story.ending(outcome(water=drained(62.0, 10.0)), design, metric)) == 1


def test_waste_has_a_column_that_is_empty_unless_it_is_clearly_more(
    outcome: Make, metric: Shown, ground: Ground
) -> None:
    at = failures.HEAD.index("to the drain")
    # by hand: 60 L, and 20 L more than that, the least that a keeper would call another outcome
    assert [failures.row(outcome(water=drained(v)), metric, ground)[at] for v in (40.0, 60.0, 79.0, 81.0)] == [
        NOTHING, NOTHING, NOTHING, "81 L",
    ]  # fmt: skip
    assert failures.row(outcome(water=drained(81.0), who="at home"), metric, ground)[at] == NOTHING
    assert failures.row(outcome(water=drained(81.0), faults=()), metric, ground)[at] == NOTHING


def test_waste_stands_above_what_does_nothing_and_below_wet_floors(outcome: Make, ground: Ground) -> None:
    rows = [
        outcome(faults=("a: nothing",), water=drained(60.0)),
        outcome(faults=("b: wastes",), water=drained(900.0)),
        outcome(faults=("c: wastes more",), water=drained(1900.0)),
        outcome(faults=("d: wets",), on_floors=1e-4, by_place={"shed": 1e-4}),
    ]
    ranked = sorted(rows, key=lambda o: failures.severity(o, ground))
    assert [o.faults[0] for o in ranked] == ["d: wets", "c: wastes more", "b: wastes", "a: nothing"]


def test_summary_counts_what_is_wasted_with_dry_floors_and_names_the_worst(
    studied: StudyResult, outcome: Make, normal: tuple[Outcome, ...], metric: Shown
) -> None:
    rows = tuple(outcome(faults=(f"tap: {n}",), water=drained(v)) for n, v in enumerate((60.0, 900.0, 1900.0)))
    wet = outcome(faults=("tap: wet",), on_floors=1.0, by_place={"shed": 1.0}, water=drained(5000.0), first_water=1.0,
                  still_running=True)  # fmt: skip
    told = short(replace(studied, normal=normal, failures=(*rows, wet)), metric)
    assert [b.text for b in told if isinstance(b, Text)][1] == (
        "Down the drain, travelling: with 2 of the 4 single faults no floor gets wet, but clearly more runs straight "
        "to the drain than the 60 L when nothing fails. Most with “tap: 2”: about 1900 L."
    )
    quiet = short(replace(studied, normal=normal, failures=(rows[0], wet)), metric)
    assert not [b for b in quiet if isinstance(b, Text) and b.text.startswith("Down the drain")]


# --- off a floor -----------------------------------------------------------------------------------------------------


def test_water_that_a_floor_drain_takes_is_told_apart_from_what_stays(
    laundry: Outcome, design: Design, metric: Shown, ground: Ground
) -> None:
    first = story.ending(laundry, design, metric)[0]
    assert first == (
        "About 380 m³ reach a floor within 14 days: all of it in shed. Gully takes all but 30 L of what shed gets. The "
        "first water gets out 60 min after the start."
    )
    received = dict(drill.numbers(laundry, design, metric).rows)["received by shed"]
    assert received == "380 m³ (of which all but 30 L go on to gully)"
    assert failures.row(laundry, metric, ground)[:2] == ("30 L", "380 m³")
    bars = failures.litre_bars("Water", [laundry], metric, ground)
    assert bars is not None
    assert bars.bars[0].shown == "30 L"


def test_summary_says_what_floor_drains_take_and_with_what_most(
    studied: StudyResult, laundry: Outcome, outcome: Make, metric: Shown
) -> None:
    wood = outcome(faults=("tub: leaks",), on_floors=0.1, by_place={"shed": 0.1}, first_water=1.0, still_running=True)
    first = short(replace(studied, normal=(), failures=(laundry, wood)), metric)[0]
    assert isinstance(first, Text)
    assert "Most water comes with “tub: leaks”: about 100 L onto floors, taken by no drain; half of the 2" in first.text
    assert first.text.endswith(
        "With 1 of them a floor drain takes water away, most with “ball: stuck open”: 380 m³ as long as it is clear."
    )
    assert "2 of 2 single faults put water on a floor." in first.text
    dry = short(replace(studied, normal=(), failures=(wood,)), metric)[0]
    assert isinstance(dry, Text)
    assert "floor drain" not in dry.text
    assert "1 of 1 single faults puts water on a floor." in dry.text
    assert "half of" not in dry.text


def test_definition_of_litres_on_floors_in_json_stays(laundry: Outcome, design: Design, metric: Shown) -> None:
    told = records.failure(laundry, design, metric)
    assert (told["litres_on_floors"], told["litres_stayed_on_floors"]) == (376000.0, 30.0)


def test_water_that_goes_on_to_another_place_has_not_been_drained(outcome: Make, ground: Ground) -> None:
    for onward in ({"shed": ("cellar", 0.9)}, {"tray": ("gully", 0.9)}):
        told = outcome(on_floors=1.0, by_place={"shed": 1.0, "cellar": 0.9, "tray": 0.9}, onward=onward).told
        assert ground.taken(told) == {}
        assert ground.undrained(told) == 1.0


def test_more_water_than_can_stand_in_a_room_is_told_to_leave_it(
    studied: StudyResult, outcome: Make, design: Design, metric: Shown, ground: Ground
) -> None:
    # by hand: 3 m x 2 m x 10 cm = 600 L
    leaves = "more than can stand in shed: it leaves by doors or into what lies below"
    for litres, onward, full in ((590.0, 0.0, False), (610.0, 0.0, True), (900.0, 400.0, False)):
        wet = outcome(
            on_floors=1e-3 * litres, by_place={"shed": 1e-3 * litres}, first_water=1.0, still_running=True,
            onward={"shed": ("gully", 1e-3 * onward)},
        )  # fmt: skip
        assert ground.overfull(wet.told) == (("shed",) if full else ())
        assert (f"That is {leaves}." in story.ending(wet, design, metric)[0]) is full
        first = short(replace(studied, normal=(), failures=(wet,)), metric)[0]
        assert isinstance(first, Text)
        assert (f"({leaves})" in first.text) is full


def test_less_water_that_stays_comes_after_more(laundry: Outcome, outcome: Make, ground: Ground) -> None:
    wood = outcome(on_floors=0.1, by_place={"shed": 0.1})
    assert failures.severity(wood, ground) < failures.severity(laundry, ground)


# --- although nothing fails ------------------------------------------------------------------------------------------


def test_study_says_first_what_goes_wrong_although_nothing_fails(
    studied: StudyResult, outcome: Make, metric: Shown
) -> None:
    flood = outcome(faults=(), on_floors=0.03, by_place={"shed": 0.03}, first_water=1.0, rim_first={"tub": 1.0},
                    still_running=True, return_pump_dry=9.0, reservoir_empty=8.0)  # fmt: skip
    first = short(replace(studied, normal=(flood,)), metric)[0]
    assert first == Text(
        "Although nothing fails, within 14 days (travelling): about 30 L reach a floor, tub runs over, a return pump "
        "draws air and a reservoir runs empty.", "lead",
    )  # fmt: skip
    sound = short(studied, metric)[0]
    assert isinstance(sound, Text)
    assert sound.text.startswith("While ")


def drilled(repository: Path, *changes: tuple[str, str], span: float = 5.0 * HOUR) -> str:
    """What a drill without a fault prints, of the first example with some of its text changed."""
    text = (repository / "examples" / "first_float.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    changed = read_text(text, "changed.yaml")
    plant = lower(changed, "winter")
    trace = engine.run(plant, drills.normal("travelling", span).scenario)
    report = drill_report(changed, plant, trace, kept(plant, trace, ""), None)
    return terminal.render(report, width=400)


def test_drill_without_fault_says_first_that_a_vessel_runs_over(repository: Path) -> None:
    lines = drilled(repository, ("rim: 300 mm", "rim: 258 mm")).splitlines()
    head = lines.index("What happens")
    assert lines[head + 2].startswith("Although nothing fails, within 5 h (travelling): about ")
    assert "reservoir runs over" in lines[head + 2]
    assert "Although nothing fails" not in drilled(repository)


@pytest.mark.slow
def test_drill_tells_a_siphon(repository: Path) -> None:
    low = ("outlet: 42 cm above floor", "outlet: 10 cm above floor")
    assert "Top-off pump is a siphon: " in drilled(repository, low)
    assert "siphon" not in drilled(repository)


def test_study_tells_the_siphon_in_the_run_in_which_nothing_fails(studied: StudyResult) -> None:
    (normal,) = studied.normal
    text = "Pump is a siphon: 22 L run through it while it stands still."
    for siphons, told in (((("pump", 0.022),), True), ((), False)):
        report = study_report(replace(studied, normal=(replace(normal, siphons=siphons),)))
        (fold,) = [b for s in report.sections if s.key == "tanks" for b in s.blocks if isinstance(b, Fold)]
        (run,) = fold.blocks
        assert isinstance(run, Story)
        assert (text in run.ending) is told
