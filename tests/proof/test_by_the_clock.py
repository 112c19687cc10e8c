"""A house with several clocks: its proof ends, with a number of states that is known, and loses nothing it does.

Second methods: the search without its short cuts, the machine with clocks that keep hours, and runs of the engine.
"""

import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Plant, Scenario
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Failing, Machine
from dewpond.proof.prover import Asked, Prover, named
from dewpond.proof.proving import prove
from dewpond.proof.questions.dosing import doses, overdosed
from dewpond.proof.questions.starving import dries, late, untold
from dewpond.proof.search import search
from dewpond.proof.signals import by_the_clock
from dewpond.proof.tables import NEVER
from dewpond.proof.verdicts import UNFINISHED
from tests.proof.follower import followed
from tests.proof.test_walks import HORIZON, WHO, scenarios, with_hands

STATES = 100_964  # of all questions with one failed; several millions when each clock kept its hours


@pytest.fixture(scope="module")
def plant() -> Plant:
    return lower(read(Path(__file__).with_name("timed_fill.yaml")))


def starving(plant: Plant) -> list[Asked]:
    return [asked for dry in dries(plant) for asked in (untold(plant, dry, False, timed=True), late(plant, dry, True))]


def sets_of(m: Machine, bad: int) -> frozenset[frozenset[tuple[str, ...]]]:
    found = search(m, bad, 1, compiled=True)
    assert found.finished
    return named(m, found)


@pytest.mark.slow
def test_three_clocks_end_with_as_many_states_as_were_counted(plant: Plant) -> None:
    design = read(Path(__file__).with_name("timed_fill.yaml"))
    proof = prove(design, plant, KINDS, 1, compiled=True, tried=False)
    assert len(plant.clocks) == 3
    assert len(proof.verdicts) > 50
    assert [verdict for verdict in proof.verdicts if verdict.verdict == UNFINISHED] == []
    assert proof.states == STATES


def test_what_a_clock_says_to_others_is_cut_and_nothing_else(plant: Plant) -> None:
    """The switch feeds a valve, the window and the button are read by a box: one signal of each."""
    owners = [plant.parts[plant.arrays.sig_owner[signal]] for signal in by_the_clock(plant)]
    assert sorted(owners) == ["evening", "fill", "fill timer"]
    assert not by_the_clock(plant) & plant.clocks.keys()


@pytest.mark.slow
def test_no_state_that_is_left_out_breaks_a_rule(plant: Plant) -> None:
    """Who has been told stays so: with all that comes after, the same sets of faults, and more states."""
    fewer = 0
    for m, bad in starving(plant):
        assert m.settled >= 0
        whole = replace(m, settled=NEVER)
        assert sets_of(m, bad) == sets_of(whole, bad)
        fewer += search(whole, bad, 1, compiled=True).states - search(m, bad, 1, compiled=True).states
    assert fewer > 1000


def test_interpreted_and_compiled_leave_out_the_same(plant: Plant) -> None:
    m, bad = starving(plant)[0]
    assert search(m, bad, 0, compiled=False) == search(m, bad, 0, compiled=True)


@pytest.mark.slow
def test_clocks_that_keep_no_hours_do_all_that_others_do(plant: Plant) -> None:
    """What breaks a rule by the clock breaks it at any moment, with the same faults or fewer."""
    for dose in doses(plant):
        for without in ((), list(plant.trips)):
            kept, free = (sets_of(*overdosed(plant, dose, without, clocks=clocks)) for clocks in (True, False))
            assert kept
            assert all(any(one <= other for one in free) for other in kept)


@pytest.mark.parametrize("timed", [True, False])
def test_the_search_without_clocks_follows_the_engine(plant: Plant, timed: bool) -> None:
    """All signals but what lies within parts that go by the clock, in runs with faults, theirs among them."""
    wanted = [s for s, op in enumerate(plant.arrays.sig_op) if op != prim.L_TIMETABLE and s not in inner(plant)]
    d = Draft(plant, wanted, {}, by_the_clock(plant))
    if timed:
        d.timed(clocks=False)
    m = d.machine()
    assert not any(number in plant.clocks for number in m.numbers)
    assert sum(followed(plant, m, one, with_hands(plant))[0] for one in scenarios(plant, 4, 6)) > 100
    seen = [followed(plant, m, Scenario(who, HORIZON, (), STARTS[who]))[0] for who in WHO]
    assert min(seen) > 10


def inner(plant: Plant) -> set[int]:
    """Signals of parts that go by the clock that nobody else reads."""
    parts = {plant.arrays.sig_owner[clock] for clock in plant.clocks}
    return {s for s, o in enumerate(plant.arrays.sig_owner) if o in parts} - by_the_clock(plant)


def test_a_cap_is_kept(plant: Plant) -> None:
    """No more states than may be, and hardly fewer."""
    m, bad = overdosed(plant, next(doses(plant)))
    for cap in (2000, random.Random(1).randrange(5000, 9000)):
        found = search(m, bad, 1, compiled=True, most_states=cap)
        assert not found.finished
        assert cap - 200 < found.states <= cap


# -- which of two machines has the last word ---------------------------------------------------------------------------
def broken_by(*labels: str, anyway: bool = False) -> Asked:
    """The smallest machine that each of these faults breaks, or that is broken without; another fault does nothing."""
    faults = [Failing((label,), ((0, 1),), False, NEVER, None) for label in labels]
    faults.append(Failing(("idle",), ((1, 1),), False, NEVER, None))
    start = float(anyway)
    return Machine(
        (-1, -1), (prim.L_CONST, prim.L_CONST), (start, 0.0), ((), ()), (int(anyway), 0), (), (), (), tuple(faults), {}
    ), 0


def last_word(plant: Plant, free: Asked, kept: Callable[[set[str] | None], Asked], faults: int) -> tuple[set[str], int]:
    """What is said to break it, and how many questions were put."""
    put = 0

    def make(clocks: bool = True, only: set[str] | None = None) -> Asked:
        nonlocal put
        put += 1
        return kept(only) if clocks else free

    m, found = Prover(plant, {}, faults, compiled=False).clocks_last(make, faults)
    assert found.finished
    return {" + ".join(sorted(label for labels in one for label in labels)) for one in named(m, found)}, put


def test_what_breaks_it_both_ways_is_broken_by_the_clock(plant: Plant) -> None:
    assert last_word(plant, broken_by("a"), lambda _: broken_by("a"), 1) == ({"a"}, 2)


def test_what_holds_without_hours_holds(plant: Plant) -> None:
    assert last_word(plant, broken_by(), lambda _: broken_by("a"), 1) == (set(), 1)


def test_what_the_clock_denies_is_not_broken(plant: Plant) -> None:
    """With as many failed as may be there is nothing more to look for; with fewer, all is asked."""
    assert last_word(plant, broken_by("a", "b"), lambda _: broken_by("b"), 1) == ({"b"}, 2)
    whole = {True: broken_by("b"), False: broken_by("b", "c")}
    assert last_word(plant, broken_by("a", "b"), lambda only: whole[only is not None], 2) == ({"b", "c"}, 3)


def test_what_only_the_clock_breaks_is_not_counted(plant: Plant) -> None:
    """It does nothing that a clock without hours does not do: the search knows less of many clocks."""
    assert last_word(plant, broken_by("a"), lambda _: broken_by("a", anyway=True), 1) == ({"a"}, 2)
