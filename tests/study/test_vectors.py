"""Test vectors: they show all that they are to show, sound devices pass them, and every planted mistake fails one."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.study.matrix.bench import Device, House, device
from dewpond.study.matrix.build import build
from dewpond.study.matrix.logic import box_logics
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.mutants import Mutant, mutants
from dewpond.study.matrix.planner import alone, beats, cell
from dewpond.study.matrix.scenarios import goals, scenarios
from dewpond.study.matrix.trial import Trial, fails
from dewpond.study.matrix.vectors import OFF_BEAT, Vectors, off_beat, vectors
from tests.plant.houses import design
from tests.plant.random_designs import random_design
from tests.report.structured import blocks
from tests.study.benches import ALL, Entered, Modelled, at_random, design_of, text_of

# What no vector finds, because it changes nothing. In each place the reason; that it is so is tried at random below.
SET_AGAIN = "a cause that stands trips at once again, so the button's condition says nothing in a row without a delay"
NOT_PRESSED = (
    "nothing that is tripped outlives the power cut, or the box still waits when the button is first looked at"
)
NEVER_SO_LONG = "the day's most ends every run before"
NO_ROW = "no row starts that pump: whatever stops it changes nothing"
ALIKE = {
    ("two_tanks", "level box", "a button that is down when power comes back counts"): NOT_PRESSED,
    ("trip and limits, nothing kept", "box", "a button that is down when power comes back counts"): NOT_PRESSED,
    ("counts kept, trips not", "box", "a button that is down when power comes back counts"): NOT_PRESSED,
    ("waits", "box", "a button that is down when power comes back counts"): NOT_PRESSED,
    ("blind re-arming", "row 1 at box", "its button waits for the cause to end"): SET_AGAIN,
    ("valve that rests open", "row 1 at box", "its button counts while the cause stands"): SET_AGAIN,
    ("a day's most", "row 1 at box", "pump: its longest run left out"): NEVER_SO_LONG,
    ("a day's most", "row 1 at box", "pump: its longest run ten times as long"): NEVER_SO_LONG,
    ("a day's most", "row 1 at box", "pump: that it is held off is forgotten in a power cut"): NEVER_SO_LONG,
    ("a day's most", "row 1 at box", "pump: held off until somebody re-arms it"): NEVER_SO_LONG,
    ("a day's most, forgotten", "row 1 at box", "pump: its longest run left out"): NEVER_SO_LONG,
    ("a day's most, forgotten", "row 1 at box", "pump: its longest run ten times as long"): NEVER_SO_LONG,
    ("a day's most, forgotten", "row 1 at box", "pump: that it is held off is kept through a power cut"): NEVER_SO_LONG,
    ("a day's most, forgotten", "row 1 at box", "pump: held off until somebody re-arms it"): NEVER_SO_LONG,
    ("a demand whose message is re-armed", "row 1 at box", "its button counts while the cause stands"): SET_AGAIN,
    ("never run", "row 1 at box", "high mark read the other way round"): NO_ROW,
    ("never run", "row 1 at box", "the cause: always"): NO_ROW,
    ("never run", "row 1 at box", "the cause: never"): NO_ROW,
    ("never run", "row 1 at box", "latched"): NO_ROW,
    ("never run", "row 1 at box", "it does not stop pump"): NO_ROW,
}
NOT_SHOWN = {"never run": {cell("1", "pump", True), cell("1", "pump", False), alone("1", "high mark", "pump")}}
RUNS, LENGTH = 30, 60  # random runs for each mistake that is to change nothing, and forces in each

_made: dict[str, tuple[Matrix, Device, Vectors]] = {}


def made(name: str, repository: Path) -> tuple[Matrix, Device, Vectors]:
    """The vectors of an example or of a small house, made once."""
    if name not in _made:
        matrix = build(design_of(name, repository))
        _made[name] = matrix, device(matrix, box_logics(matrix)), vectors(matrix)
    return _made[name]


def differs(matrix: Matrix, sound: Device, wrong: Device, seed: int) -> bool:
    """Whether two devices are ever apart in a run at random."""
    one, other = House(sound), House(wrong)
    for forces, wait in at_random(matrix, random.Random(f"alike {seed}"), LENGTH):
        for house in (one, other):
            house.apply(forces)
            house.advance(wait)
        if one.outputs() != other.outputs():
            return True
    return False


# --- what they show ---------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_every_cell_input_and_stop_is_shown(repository: Path, name: str) -> None:
    matrix, sound, found = made(name, repository)
    assert set(found.not_shown) == NOT_SHOWN.get(name, set())
    shown = {goal for trial in found.trials for goal in trial.shows}
    assert shown | set(found.not_shown) >= set(goals(matrix, sound))


@pytest.mark.slow
def test_goals_of_a_vote_by_hand(repository: Path) -> None:
    matrix, sound, _ = made("vote", repository)
    wanted = goals(matrix, sound)
    assert {cell("1", "feed valve", fired) for fired in (True, False)} <= set(wanted)
    assert {alone("1", one, "feed valve") for one in ("probe", "second probe", "high mark")} <= set(wanted)


@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_an_input_alone_is_a_pair_of_steps_that_differ_in_it_only(repository: Path, name: str) -> None:
    """Of each such claim there is a step that forces nothing but that sensor, after which the effect is another."""
    _, _, found = made(name, repository)
    claims = {(t.title, claim) for t in found.trials for claim in t.shows if claim.endswith(" alone")}
    for trial in found.trials:
        turned: set[tuple[str, str]] = set()
        sensor, before = "", trial.steps[0].expect
        for step in trial.steps[1:]:
            if step.forces:
                sensor = step.forces[0].name if len(step.forces) == 1 and step.forces[0].sort == "sensor" else ""
            turned |= {(sensor, key) for key, word in step.expect.items() if before[key] != word}
            before = step.expect
        for title, claim in claims:
            if title == trial.title and claim in trial.shows:
                number, _, rest = claim.partition(" on ")
                key, _, named = rest.rpartition(": ")
                assert number == trial.row
                assert (named.removesuffix(" alone"), key) in turned, claim


def test_both_stops_beat_both_demands() -> None:
    text = [
        "{cause: low mark low, effect: {pump: running}, at most: 1 h a run}",
        "{cause: second probe wet, effect: {pump: running}, at most: 1 h a run}",
        "{cause: probe wet, effect: {pump: stopped}}",
        "{cause: high mark high, effect: {pump: stopped}}",
    ]
    found = vectors(build(read_text(design(*text), "house.yaml")))
    shown = {goal for trial in found.trials for goal in trial.shows}
    assert {beats(stop, demand, "pump") for stop in "34" for demand in "12"} <= shown
    assert found.unseen == ()


# --- who passes, and who does not -------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_the_logic_passes_also_with_its_clocks_slightly_wrong(repository: Path, name: str) -> None:
    _, sound, found = made(name, repository)
    for one in (sound, *(off_beat(sound, factor) for factor in OFF_BEAT)):
        assert [fails(trial, House(one)) for trial in found.trials] == [""] * len(found.trials)


@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_the_plain_model_of_the_rows_passes(repository: Path, name: str) -> None:
    matrix, _, found = made(name, repository)
    of = design_of(name, repository)
    for trial in found.trials:
        assert fails(trial, Modelled(of, matrix)) == "", trial.title


@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_the_structured_text_passes(repository: Path, name: str) -> None:
    matrix, _, found = made(name, repository)
    of, parsed = design_of(name, repository), blocks(text_of(matrix))
    for trial in found.trials:
        assert fails(trial, Entered(of, matrix, parsed)) == "", trial.title


@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_every_mistake_fails_a_vector_or_changes_nothing(repository: Path, name: str) -> None:
    matrix, sound, found = made(name, repository)
    every = mutants(sound)
    passing = [one for one in every if not any(fails(trial, House(one.device)) for trial in found.trials)]
    assert {(name, one.where, one.what) for one in passing} == {key for key in ALIKE if key[0] == name}
    assert [(one.where, one.what) for one in found.unseen] == [(one.where, one.what) for one in passing]
    assert found.found == len(every) - len(passing)
    for one in passing:
        assert not any(differs(matrix, sound, one.device, seed) for seed in range(RUNS)), one.what


@pytest.mark.slow
@pytest.mark.parametrize("name", ["trip and limits, all kept", "waits", "two demands on one pump"])
def test_runs_at_random_tell_most_mistakes_from_the_logic(repository: Path, name: str) -> None:
    """Else that they find nothing in the others would say nothing."""
    matrix, sound, found = made(name, repository)
    alike = {id(one) for one in found.unseen}
    wrong = [one for one in mutants(sound) if id(one) not in alike]
    seen = [one for one in wrong if any(differs(matrix, sound, one.device, seed) for seed in range(RUNS))]
    assert len(seen) > 0.8 * len(wrong), [one.what for one in wrong if one not in seen]


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in ALL if name not in ("two_tanks", "bin_and_branch")])  # too long
def test_no_vector_is_needless(repository: Path, name: str) -> None:
    """Each shows something, or finds a mistake, that the others do not."""
    matrix, sound, found = made(name, repository)
    wanted, every = set(goals(matrix, sound)), mutants(sound)

    def finds(trials: tuple[Trial, ...]) -> tuple[set[str], int]:
        shown = {goal for trial in trials for goal in trial.shows} & wanted
        return shown, sum(any(fails(trial, House(one.device)) for trial in trials) for one in every)

    whole = finds(found.trials)
    for at in range(len(found.trials)):
        assert finds((*found.trials[:at], *found.trials[at + 1 :])) != whole, found.trials[at].title


# --- any design -------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("seed", range(14))
def test_vectors_of_any_design(seed: int) -> None:
    of = read_text(random_design(seed, 14 + 2 * seed).text(), "random.yaml")
    matrix = build(of)
    sound, found = device(matrix, box_logics(matrix)), vectors(matrix)
    assert [t.title for t in found.trials] == [t.title for t in vectors(matrix).trials]
    for trial in found.trials:
        assert fails(trial, Modelled(of, matrix)) == "", trial.title
    for one in found.unseen:
        assert not any(differs(matrix, sound, one.device, s) for s in range(RUNS)), (one.where, one.what)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["two_tanks", "trips kept, counts not", "two boxes", "the same, forgotten"])
def test_every_trial_offered_passes_on_the_plain_model(repository: Path, name: str) -> None:
    """Also those that were not chosen."""
    matrix, sound, found = made(name, repository)
    of = design_of(name, repository)
    chosen = {trial.title for trial in found.trials}
    others = [trial for trial in scenarios(sound) if trial.title not in chosen]
    assert others
    for trial in others:
        assert fails(trial, Modelled(of, matrix)) == "", trial.title


def named(every: list[Mutant]) -> list[tuple[str, str]]:
    return [(one.where, one.what) for one in every]


@pytest.mark.slow
@pytest.mark.parametrize("name", ALL)
def test_no_mistake_stands_twice_in_the_list(repository: Path, name: str) -> None:
    _, sound, _ = made(name, repository)
    every = named(mutants(sound))
    assert len(every) == len(set(every))
