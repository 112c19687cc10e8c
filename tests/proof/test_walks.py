"""The engine walks, and the search must be able to follow: each state that the logic comes to in a run is one that the
search's own step makes of the one before.

Every change of every signal of a run is written down. From one moment to the next, what changed of itself (water,
levels, counts, people, midnights, faults, delays that ended) is put to the search's step; what it makes of all other
signals must be what the engine made of them.
"""

import itertools
import random
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Onset, Plant, Scenario
from dewpond.plant.trace import Event, Trace
from dewpond.proof import tables as tab
from dewpond.proof.draft import Draft
from dewpond.proof.kernel.settling import begin, waits
from dewpond.proof.kernel.walking import happen
from dewpond.proof.machine import Machine
from dewpond.proof.search import _work, tables

WHO = ("at home", "asleep", "out", "travelling")
MOST_ORDERS = 200  # of what comes at one moment, that are tried
STEPS = 100_000


class Follower:
    """Goes the way of a run with the step of the search."""

    def __init__(self, plant: Plant) -> None:
        a = plant.arrays
        wanted = [s for s, op in enumerate(a.sig_op) if op != prim.L_TIMETABLE]
        m = Draft(plant, wanted, loose=()).machine()
        # people are part of it here: what they do is in the run; a pulse lasts a second there
        self.m: Machine = replace(m, pulses=(), turning=(*m.turning, *m.pulses), due={})
        self.t = tables(self.m)
        self.w = _work(self.t, 1, 1 + len(self.m.faults) // tab.WORD)
        self.at = {number: position for position, number in enumerate(self.m.numbers)}
        self.fault = {label: f for f, failing in enumerate(self.m.faults) for label in failing.labels}
        self.by_threshold = {row[0]: q for q, quantity in enumerate(self.m.quantities) for row in quantity.thresholds}
        assert begin(self.t, self.w)

    def kept(self) -> tuple[list[int], ...]:
        w = self.w
        return w.bits[:], w.cells[:], w.entry[:], w.faults[:], w.force[:]

    def back(self, kept: tuple[list[int], ...]) -> None:
        for mine, old in zip((self.w.bits, self.w.cells, self.w.entry, self.w.faults, self.w.force), kept, strict=True):
            mine[:] = old

    def follows(self, changed: dict[int, int], faults: dict[int, bool], first: dict[int, int]) -> bool:
        """Whether what changed of itself, in some order, makes all signals what they are to be. ``first``: to what each
        changed first: a count that ends a run is put back in the same moment."""
        target = self.w.bits[:]
        for position, value in changed.items():
            target[position] = value
        own = [("fault", f, int(on)) for f, on in faults.items()]
        own += [("turn", i, v) for i, v in first.items() if i in self.m.turning]
        own += [("mark", i, v) for i, v in first.items() if i in self.by_threshold]
        own += [("due", i, v) for i, v in first.items() if i in self.t.delay]
        start = self.kept()
        for order in itertools.islice(itertools.permutations(own), MOST_ORDERS):
            back = [("turn", i, v) for i, v in changed.items() if i in self.m.turning]  # what turned twice
            if all(self.does(*one) for one in (*order, *back)) and self.w.bits == target:
                return True
            self.back(start)
        return False

    def does(self, kind: str, which: int, value: int) -> bool:
        """One thing; True also where it has come of another one already."""
        t, w = self.t, self.w
        if kind == "fault":
            state = tab.BEGUN if value else tab.OVER
            return w.faults[which] == state or happen(t, w, tab.FAIL if value else tab.MEND, which)
        if w.bits[which] == value:
            return True
        if kind == "turn":
            return happen(t, w, tab.TURN, which)
        if kind == "due":
            return not waits(t, w, which) or happen(t, w, tab.DUE, which)
        q = self.by_threshold[which]
        if self.m.quantities[q].resets >= 0:  # it may be put back by what comes of it, and only by that
            return value == 0 or happen(t, w, tab.RISE, q)
        for _ in range(len(self.m.quantities[q].marks) + 1):
            if w.bits[which] == value:
                return True
            end = t.q_marks[q] if value else 0
            if w.cells[q] == end or not happen(t, w, tab.RISE if value else tab.FALL, q):
                return w.bits[which] == value
        return w.bits[which] == value


def run_of(plant: Plant, scenario: Scenario) -> Trace:
    """A run in which every change of every signal is written down."""
    a = plant.arrays
    return engine.run(replace(plant, arrays=a._replace(sig_log=[2] * len(a.sig_op))), scenario, compiled=True)


def moments(trace: Trace) -> Iterator[list[Event]]:
    """What comes at one time, together."""
    known = [e for e in trace.events if e.code in (prim.E_SIGNAL, prim.E_FAULT)]
    for _, group in itertools.groupby(known, key=lambda e: e.time):
        yield list(group)


def followed(plant: Plant, scenario: Scenario, other: Trace | None = None) -> tuple[int, int]:
    """How many moments of a run the search could follow, and steps of the engine they came in; fails where it could
    not. ``other``: a run of another plant."""
    trace, f = other or run_of(plant, scenario), Follower(plant)
    first = {f.at[s]: v for s, v in enumerate(trace.ordinary) if s in f.at and f.w.bits[f.at[s]] != v}
    assert f.follows(first, {}, first), "the ordinary state"
    count = 0
    for group in moments(trace):
        changed = {f.at[e.ref]: int(e.value) for e in group if e.code == prim.E_SIGNAL and e.ref in f.at}
        first = {f.at[e.ref]: int(e.value) for e in reversed(group) if e.code == prim.E_SIGNAL and e.ref in f.at}
        labels = [(scenario.onsets[e.ref].label, e.value > 0.0) for e in group if e.code == prim.E_FAULT]
        faults = {f.fault[label]: on for label, on in labels if label in f.fault}
        assert f.follows(changed, faults, first), (group[0].time, [plant.says.get(e.ref, e.ref) for e in group], labels)
        count += 1
    return count, trace.steps


def scenarios(plant: Plant, seed: int, many: int) -> Iterator[Scenario]:
    rng = random.Random(seed)
    labels = [fault.label for fault in plant.faults if fault.timing != "triggered"]
    for _ in range(many):
        onsets = tuple(Onset(label, rng.uniform(0.0, 2.0 * DAY)) for label in rng.sample(labels, rng.randint(0, 3)))
        yield Scenario(rng.choice(WHO), 4.0 * DAY, onsets)


@pytest.fixture(params=["two_tanks", "bin_and_branch", "mixing_day"])
def plant(request: pytest.FixtureRequest, repository: Path) -> Plant:
    return lower(read(repository / "examples" / f"{request.param}.yaml"))


def test_the_search_follows_the_engine(plant: Plant) -> None:
    assert sum(followed(plant, scenario)[0] for scenario in scenarios(plant, 1, 4)) > 100


OTHERWISE = (
    ("two_tanks", "trips: kept", "trips: cleared"),
    ("two_tanks", "until: re-armed by hand when dry", "until: cause ends"),
    ("two_tanks", "when it hangs: keeps last order", "when it hangs: outputs stopped"),
    ("two_tanks", "counts: kept", "counts: cleared"),
    ("two_tanks", "when its probe dries: stays shut", "when its probe dries: opens again"),
    ("bin_and_branch", "until: re-armed by hand when dry", "until: cause ends"),
    ("bin_and_branch", "trips: kept", "trips: cleared"),
)


@pytest.mark.slow
def test_the_search_follows_the_engine_over_a_hundred_thousand_steps(repository: Path) -> None:
    """Ten designs: the examples with logic, and each again with what a box or a valve does made otherwise."""
    texts = {
        name: (repository / "examples" / f"{name}.yaml").read_text("utf-8")
        for name in ("two_tanks", "bin_and_branch", "mixing_day")
    }
    designs = [*texts.values()]
    for name, old, new in OTHERWISE:
        assert old in texts[name]
        designs.append(texts[name].replace(old, new))
    plants = [lower(read_text(text, "walk.yaml")) for text in designs]
    steps = moments_seen = 0
    for seed in itertools.count(10):
        for plant in plants:
            for scenario in scenarios(plant, seed, 2):
                seen, made = followed(plant, scenario)
                steps, moments_seen = steps + made, moments_seen + seen
        if steps >= STEPS:
            break
    assert moments_seen > STEPS / 40


def test_another_logic_is_not_followed(repository: Path) -> None:
    """The test can fail: a run of one design is not a way through the machine of another."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    old, new = "until: re-armed by hand when dry", "until: cause ends"
    assert old in text
    one, other = (lower(read_text(t, "walk.yaml")) for t in (text, text.replace(old, new)))
    scenario = Scenario("travelling", 4.0 * DAY, (Onset("riser: burst, in study", 60.0),))
    assert followed(one, scenario)[0] > 10
    with pytest.raises(AssertionError):
        followed(other, scenario, run_of(one, scenario))
