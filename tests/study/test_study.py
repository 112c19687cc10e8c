"""How a study makes its runs: what is copied, what is counted, what an interruption leaves."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.balance import Balance
from dewpond.plant.consequence import Consequence
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from dewpond.study import drills
from dewpond.study import study as study_module
from dewpond.study.beats import Beat
from dewpond.study.drills import Alone, Drill
from dewpond.study.outcome import (
    ASPECTS,
    DRAIN,
    FLOORS,
    NOTICED,
    NotRun,
    Outcome,
    StudyResult,
    differences,
    differs,
    worse,
)
from dewpond.study.starting import AS_WRITTEN
from dewpond.study.study import Book, answers, kept, run_drill, run_study, tried
from dewpond.study.workers import one_by_one, runner

ONE = one_by_one(run_drill, compiled=True)
SHORT = (("travelling", 2.0 * DAY),)


@pytest.fixture(scope="module")
def studied(design: Design) -> StudyResult:
    return run_study(design, compiled=True, who=SHORT)


@pytest.mark.slow
def test_every_fault_and_every_couple_has_an_outcome(studied: StudyResult, plant: Plant) -> None:
    alone = [o.faults for o in studied.failures if len(o.faults) == 1]
    assert alone == [(f.label,) for f in plant.faults]
    pairs = {frozenset(o.faults) for o in studied.failures if len(o.faults) == 2}
    assert pairs == {frozenset((a.label, b.label)) for a, b in drills.couples(plant)}
    assert studied.finished
    assert studied.not_run == NotRun(0, (), 0)
    assert studied.counts.made + studied.counts.copied == studied.counts.planned


class Empty:
    """A memory that never holds anything."""

    def recalled(self, _plant: str) -> tuple[()]:
        return ()

    def keep(self, _plant: str, _found: Sequence[tuple[Drill, Outcome]]) -> None: ...


@pytest.mark.slow
def test_two_processes_with_an_empty_memory_find_the_same(
    studied: StudyResult, design: Design, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Faults alone and pairs: each call asks for its own runs, and leaves off at its last."""
    monkeypatch.setattr(study_module, "FEW", 0)
    found = run_study(design, compiled=True, who=SHORT, workers=2, memory=Empty())
    assert found.failures == studied.failures
    assert found.unknowns == studied.unknowns
    assert found.counts == studied.counts


@pytest.mark.slow
def test_copied_pair_is_the_pair_run_again(studied: StudyResult, plant: Plant) -> None:
    """To the byte: a fault that the run does not meet moves not even a step, unless its own time ends one."""
    copies = [o for o in studied.failures if o.copied_from is not None]
    assert len(copies) == studied.counts.copied > 50
    by_key = {(d.labels, d.order): d for d in _pair_drills(studied, plant)}
    exact = 0
    for copy in copies:
        drill = by_key[copy.faults, copy.told.order]
        again = run_drill(plant, drill, compiled=True).told
        if {onset.time for onset in drill.faults} <= {drills.SINCE_BEFORE, drills.BEGINS}:
            assert repr(copy.told) == repr(again), copy.faults
            exact += 1
        else:
            assert not differs(copy.told, again), copy.faults
            assert copy.told.on_floors == pytest.approx(again.on_floors, rel=1e-3, abs=1e-6)
            assert (copy.told.asked, copy.told.failed) == (again.asked, again.failed), copy.faults
    assert exact > 30


def _pair_drills(studied: StudyResult, plant: Plant) -> list[Drill]:
    book = Book(plant, studied.normal, ONE, None)
    book.lone = {drills.single(plant.fault(o.faults[0]), *SHORT[0]): o for o in studied.failures if len(o.faults) == 1}
    return [pair.drill for pair in book.pairs(*SHORT[0])]


@pytest.mark.slow
def test_study_gives_the_same_twice(design: Design, studied: StudyResult) -> None:
    again = run_study(design, pairs=False, compiled=True, who=SHORT)
    alone = tuple(o for o in studied.failures if len(o.faults) == 1)
    assert again.failures == alone
    assert again.normal == studied.normal
    assert again.flows == studied.flows


@pytest.mark.slow
def test_two_processes_give_the_same_as_none(plant: Plant) -> None:
    wanted = drills.singles(plant, SHORT)
    with runner(run_drill, False, 2) as many:
        apart = list(many(plant, wanted))
    assert apart == list(ONE(plant, wanted))


@pytest.mark.parametrize("idle", [True, False])
def test_copy_is_made_only_of_a_hidden_fault_that_the_run_would_not_have_met(
    plant: Plant, outcome: Callable[..., Outcome], idle: bool
) -> None:
    book = Book(plant, (outcome(drills.normal(*SHORT[0])),), ONE, None)
    hidden = next(f for f in plant.faults if f.timing == "latent")
    leak = next(f for f in plant.faults if f.timing == "initiator" and f.part != hidden.part)
    lone, other = (drills.single(f, *SHORT[0]) for f in (leak, hidden))
    (pair,) = drills.pairs(hidden, leak, *SHORT[0], Alone({hidden.label: None, leak.label: None}, {}))
    met = frozenset({hidden.label} if idle else set())
    book.lone = {lone: replace(outcome(lone, on_floors=0.5), idle=met), other: outcome(other, on_floors=0.2)}
    got = book.copy(pair)
    assert (got is not None) is idle
    if got is not None:
        assert (got.faults, got.copied_from, got.told.on_floors) == (pair.drill.labels, leak.label, 0.5)


def test_second_fault_follows_the_first_trip_after_the_first_fault(
    plant: Plant, outcome: Callable[..., Outcome]
) -> None:
    book = Book(plant, (outcome(drills.normal(*SHORT[0])),), ONE, None)
    for drill in drills.singles(plant, SHORT):
        trip = (Beat(10.0, "trip", "trips too early", ""), Beat(7000.0, "trip", "trips", ""))
        leak = plant.fault(drill.labels[0]).timing == "initiator"
        book.lone[drill] = outcome(drill, trip if leak else ())
    times = {p.drill.faults[1].time for p in book.pairs(*SHORT[0]) if p.drill.order == drills.AFTER_TRIP}
    assert times == {7000.0 + drills.UNSEEN, 7000.0 + drills.SOON}


@pytest.mark.parametrize(("after", "pairs"), [(5, False), (300, True)])
def test_interruption_leaves_what_is_finished_and_says_so(design: Design, after: int, pairs: bool) -> None:
    def stop(done: int, total: int, what: str) -> None:
        assert 0 < done <= total
        assert what
        if done >= after:
            raise KeyboardInterrupt

    result = run_study(design, pairs=pairs, progress=stop, compiled=True, who=SHORT)
    assert not result.finished
    assert 0 < len(result.failures) <= result.counts.made + result.counts.copied
    assert after <= result.counts.made + result.counts.copied < after + 50
    assert result.counts.copied == sum(o.copied_from is not None for o in result.failures)


@pytest.mark.parametrize(
    ("stage", "alone", "untried", "some_pairs"),
    [
        ("faults alone", True, True, False),
        ("unknown answers", False, True, False),
        ("pairs of faults", False, False, True),
    ],
)
def test_interruption_tells_what_was_not_run(
    repository: Path, stage: str, alone: bool, untried: bool, some_pairs: bool
) -> None:
    text = (repository / "tests" / "study" / "small.yaml").read_text(encoding="utf-8")
    design = read_text(text.replace("when its probe dries: stays shut", "when its probe dries: unknown"), "open.yaml")
    (unknown,) = design.unknowns

    def stop(_done: int, _total: int, what: str) -> None:
        if what == stage:
            raise KeyboardInterrupt

    result = run_study(design, progress=stop, compiled=True, who=SHORT)
    keys = ((unknown.part, unknown.key),) if untried else ()
    assert result.not_run.answers == keys
    assert tuple(r.parts for r in result.remarks if r.code == "S210") == keys
    assert (result.not_run.alone > 20) is alone
    assert any(len(o.faults) == 2 for o in result.failures) is some_pairs
    assert result.not_run.pairs > 100


def test_run_in_which_nothing_fails_is_kept_for_each_way_of_being_there(studied: StudyResult) -> None:
    assert [(o.who, o.faults, o.told.on_floors) for o in studied.normal] == [("travelling", (), 0.0)]


def test_moments_are_kept_folded_only(plant: Plant) -> None:
    drill = drills.single(plant.fault("ball: stuck open"), *SHORT[0])
    trace = engine.run(plant, drill.scenario)
    outcome = kept(plant, trace, drill.order)
    assert outcome.told.moments == ()
    assert any(beat.kind == "trip" for beat in outcome.beats)


# --- what counts as another outcome ----------------------------------------------------------------------------------


def wasted(volume: float) -> Balance:
    """A run in which so much went straight to the drain [m3]."""
    return Balance(volume, 0.0, 0.0, volume, 0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize(
    ("change", "other"),
    [
        ({}, False),
        ({"on_floors": 0.05e-3}, False),
        ({"on_floors": 1e-3, "first_water": 10.0, "still_running": True}, True),
        ({"return_pump_dry": 5.0}, True),
        ({"reservoir_empty": 5.0}, True),
        ({"first_noticed": 5.0}, True),
        ({"water": wasted(5e-3)}, False),
        ({"water": wasted(50e-3)}, True),
    ],
)
def test_outcomes_differ_where_a_keeper_would_say_so(
    quiet: Consequence, change: dict[str, object], other: bool
) -> None:
    changed = replace(quiet, **change)  # type: ignore[arg-type]
    assert differs(quiet, changed) is other
    assert differs(changed, quiet) is other


@pytest.mark.parametrize(
    ("one", "other", "usual", "what"),
    [
        # by hand: 30 L more waste when nothing fails
        ((130e-3, 0.0), (160e-3, 0.0), (100e-3, 130e-3), ()),
        ((130e-3, 0.0), (190e-3, 0.0), (100e-3, 130e-3), (DRAIN,)),
        ((130e-3, 0.0), (130e-3, 0.0), (100e-3, 130e-3), ()),  # the same with both: hangs on no answer
        ((130e-3, 1.0), (160e-3, 3.0), (100e-3, 130e-3), (FLOORS,)),
        ((130e-3, 0.0), (160e-3, 0.0), (100e-3, 100e-3), (DRAIN,)),
    ],
)
def test_answer_changes_a_fault_only_beyond_what_it_changes_when_nothing_fails(
    quiet: Consequence, one: tuple[float, float], other: tuple[float, float], usual: tuple[float, float],
    what: tuple[str, ...],
) -> None:  # fmt: skip
    first, second = (replace(quiet, water=wasted(drain), on_floors=floor) for drain, floor in (one, other))
    plain = [replace(quiet, water=wasted(drain)) for drain in usual]
    assert differences(first, second, (plain[0], plain[1])) == what


def test_state_that_changes_alike_when_nothing_fails_is_not_counted_for_a_fault(quiet: Consequence) -> None:
    seen = replace(quiet, first_noticed=5.0)
    assert differences(quiet, seen, (quiet, quiet)) == (NOTICED,)
    assert differences(quiet, seen, (quiet, seen)) == ()
    assert differences(seen, quiet, (quiet, seen)) == (NOTICED,)


def test_other_answer_is_held_against_the_run_in_which_nothing_fails(repository: Path) -> None:
    """Where that run is not among the known ones, it is made with both answers."""
    text = (repository / "tests" / "study" / "small.yaml").read_text(encoding="utf-8")
    open_ = read_text(text.replace("when its probe dries: stays shut", "when its probe dries: unknown"), "open.yaml")
    plant = lower(open_, "winter")
    (number, other), *_ = answers(open_)
    burst = drills.single(plant.fault("tube: burst, in shed"), *SHORT[0])
    (known,) = ONE(plant, [burst])
    made: list[Drill] = []

    def run(here: Plant, wanted: Sequence[Drill]) -> Iterator[Outcome]:
        made.extend(wanted)
        return ONE(here, wanted)

    effect = tried(open_, "winter", AS_WRITTEN, number, other, {burst: known}, run)
    assert made.count(drills.normal(*SHORT[0])) == 2
    assert all(change.taken.faults for change in effect.changes)
    assert all(set(change.what) <= set(ASPECTS) and change.what for change in effect.changes)


def test_pair_is_worse_when_it_brings_more_than_both_alone(quiet: Consequence) -> None:
    litre = replace(quiet, on_floors=1e-3)
    assert not worse(replace(quiet, on_floors=2.0e-3), litre, litre)
    assert worse(replace(quiet, on_floors=2.3e-3), litre, litre)
    assert worse(replace(quiet, still_running=True), quiet, quiet)
    assert not worse(replace(quiet, still_running=True), replace(quiet, still_running=True), quiet)
