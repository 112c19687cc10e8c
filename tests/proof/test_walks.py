"""The engine walks, and the search must be able to follow: each state that the logic comes to in a run is one that the
search's own step makes of the one before, and comes no sooner and no later than its bounds on time allow.

See follower.py. Machines are those of all signals, with delays and run limits in time, and those of the questions that
count on time: what a pump brings, with its levels, and what starts again too soon.
"""

import itertools
import math
import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.proof.draft import Draft
from dewpond.proof.machine import Machine, Span
from dewpond.proof.questions.chatter import restarts
from dewpond.proof.questions.dosing import Dose, doses, overdosed
from dewpond.proof.replay import by_hand
from dewpond.proof.signals import hanging_on, order_of
from tests.proof.follower import followed

WHO = ("at home", "asleep", "out", "travelling")
STEPS = 100_000
HORIZON = 4.0 * DAY
A_TOUCH = 1e-3  # [s]


def whole(plant: Plant, *, timed: bool = True) -> Machine:
    """All signals that are no timetable, people among them: what they do is in the run."""
    d = Draft(plant, [s for s, op in enumerate(plant.arrays.sig_op) if op != prim.L_TIMETABLE])
    if timed:
        d.timed()
    return d.machine()


def by_volume(plant: Plant, m: Machine, change: Callable[[Span], Span]) -> Machine:
    """The machine with other times of what counts a volume."""
    edges = plant.arrays.cnt_edge
    return replace(
        m,
        quantities=tuple(
            q._replace(up=tuple(map(change, q.up))) if q.kind == prim.T_COUNTER and edges[q.ref] >= 0 else q
            for q in m.quantities
        ),
    )


def slower_too(plant: Plant, m: Machine) -> Machine:
    """Pumps are taken to give just 1.2 times what they are rated at, which a run does not: they may be slower here."""
    return by_volume(plant, m, lambda span: span._replace(high=math.inf))


def scenarios(plant: Plant, seed: int, many: int) -> Iterator[Scenario]:
    rng = random.Random(seed)
    labels = [fault.label for fault in plant.faults if fault.timing != "triggered"]
    for _ in range(many):
        onsets = tuple(Onset(label, rng.uniform(0.0, 2.0 * DAY)) for label in rng.sample(labels, rng.randint(0, 3)))
        hands = tuple(Onset(by_hand(plant, s).label, rng.uniform(0.0, HORIZON)) for s in plant.rearms)
        who = rng.choice(WHO)
        yield Scenario(who, HORIZON, (*onsets, *hands), STARTS[who])


def with_hands(plant: Plant) -> Plant:
    """A plant of which a run knows hands that re-arm; they press so shortly that no delay begins meanwhile, for what
    comes while one presses is followed as coming at once."""
    hands = (replace(by_hand(plant, signal), lasts=A_TOUCH) for signal in plant.rearms)
    return replace(plant, faults=(*plant.faults, *hands))


def of_logic(plant: Plant, dose: Dose) -> list[str]:
    """Faults of sensors, boxes, power and the dose's own pumps that move no other water of its vessel: one that shuts
    its return pump, or lets it leak, does more than the question asks."""
    a, body = plant.arrays, plant.arrays.store_body[dose.store]
    ends = [
        (gate, node)
        for gate, start, end in zip(a.edge_gate, a.edge_a, a.edge_b, strict=True)
        for node in (start, end)
        if gate >= 0 and gate not in dose.gates and order_of(plant, gate) >= 0
    ]
    stores = (prim.TAP, prim.SPOUT)
    gates = {g for g, n in ends if a.node_kind[n] in stores and a.store_body[a.node_ref[n]] == body}
    moved = set(hanging_on(plant, [order_of(plant, gate) for gate in gates]))
    return [
        fault.label
        for fault in plant.faults
        if fault.timing != "triggered" and fault.patches
        if all(
            (what == "force" and number not in moved) or (what in ("low", "high") and number in dose.gates)
            for what, number, _ in fault.patches
        )
    ]


BY_THE_CLOCK = "timed_fill"
CLOCKED = Path(__file__).with_name(f"{BY_THE_CLOCK}.yaml")
EXAMPLES = (pytest.param("two_tanks", marks=pytest.mark.slow), "bin_and_branch", "mixing_day", BY_THE_CLOCK)


@pytest.fixture(params=EXAMPLES)
def plant(request: pytest.FixtureRequest, repository: Path) -> Plant:
    if request.param == BY_THE_CLOCK:
        return lower(read(CLOCKED))
    return lower(read(repository / "examples" / f"{request.param}.yaml"))


@pytest.mark.parametrize("timed", [True, False])
@pytest.mark.slow
def test_the_search_follows_the_engine(plant: Plant, timed: bool) -> None:
    m = whole(plant, timed=timed)
    assert bool(m.due) == timed
    assert sum(followed(plant, m, scenario, with_hands(plant))[0] for scenario in scenarios(plant, 1, 4)) > 100


def test_what_goes_by_the_clock_opens_and_ends_in_the_search_as_in_the_engine() -> None:
    """In time: three clocks of the house, each with its moment of opening; runs begin within one of them."""
    plant = lower(read(CLOCKED))
    m = whole(plant)
    openings = [p for p in m.pulses if m.numbers[p] < 0]
    assert len(openings) == len(plant.clocks) == 3
    assert {m.due[p].low for p in openings} == {window.every - window.lasts for window in plant.clocks.values()}
    seen = [followed(plant, m, Scenario(who, HORIZON, (), STARTS[who]))[0] for who in WHO]
    assert min(seen) > 20


@pytest.mark.parametrize("change", [{"lasts": 0.98}, {"every": 1.1}])
def test_a_clock_of_other_hours_is_not_followed(change: dict[str, float]) -> None:
    """Windows that are shorter in the machine, or further apart, than in the run."""
    plant = lower(read(CLOCKED))
    other = {
        signal: w._replace(**{key: factor * getattr(w, key) for key, factor in change.items()})
        for signal, w in plant.clocks.items()
    }
    m = whole(replace(plant, clocks=other))
    scenario = Scenario("travelling", HORIZON, (), STARTS["travelling"])
    assert followed(plant, whole(plant), scenario)[0] > 20
    with pytest.raises(AssertionError):
        followed(plant, m, scenario)


@pytest.mark.slow
@pytest.mark.parametrize("timed", [True, False])
def test_the_search_follows_what_hangs_on_what_runs_and_what_it_carries(timed: bool, repository: Path) -> None:
    """Meters that see flows begin and end, litres that are counted, water that grows too strong, a tank that freshens:
    the run passes each of these marks, both ways, and the search's own step makes the same of it."""
    plant = lower(read(repository / "tests" / "proof" / "measured.yaml"))
    m = whole(plant, timed=timed)
    assert {prim.T_FLOW, prim.T_CONC, prim.T_COUNTER} <= {q.kind for q in m.quantities}
    assert sum(followed(plant, m, scenario, with_hands(plant))[0] for scenario in scenarios(plant, 5, 6)) > 150
    at = 3600.0
    told = [
        ("riser: burst, in cellar", "litre stop shuts: so much has run in one draw"),
        ("resin: exhausted", "resin meter reports that too much is dissolved behind resin"),
        ("pump: runs on", "salt meter reports that too little is dissolved in sump"),
        ("supply: hot water through the mixer tap", "warmth reports hot water behind stop tap"),
        ("feed meter: box counts double", "feed meter reports too much: so many litres since midnight"),
    ]
    for label, words in told:
        scenario = Scenario("travelling", HORIZON, (Onset(label, at),))
        (signal,) = (s for s, say in plant.says.items() if say.true == words)
        trace = engine.run(plant, scenario, compiled=True)
        assert any(e.code == prim.E_SIGNAL and e.ref == signal for e in trace.events), words
        assert followed(plant, m, scenario)[0] > 10, label


@pytest.mark.slow
def test_what_a_pump_brings_is_followed_level_by_level(plant: Plant) -> None:
    """With its marks, its runs, its day, its power and its rests, while sensors stick and boxes hang."""
    rng = random.Random(3)
    for dose in doses(plant):
        m, labels = slower_too(plant, overdosed(plant, dose)[0]), of_logic(plant, dose)
        assert len(labels) > 20
        seen = 0
        for _ in range(6):
            onsets = tuple(Onset(label, rng.uniform(0.0, 2.0 * DAY)) for label in rng.sample(labels, rng.randint(0, 3)))
            seen += followed(plant, m, Scenario("travelling", HORIZON, onsets))[0]
        assert seen > 300
        for gate in dose.gates:
            assert (
                followed(plant, slower_too(plant, restarts(plant, dose, gate)[0]), Scenario("travelling", HORIZON))[0]
                > 50
            )


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
    machines = [whole(plant) for plant in plants]
    steps = moments_seen = 0
    for seed in itertools.count(10):
        for plant, m in zip(plants, machines, strict=True):
            for scenario in scenarios(plant, seed, 2):
                seen, made = followed(plant, m, scenario, with_hands(plant))
                steps, moments_seen = steps + made, moments_seen + seen
        if steps >= STEPS:
            break
    assert moments_seen > STEPS / 40


# -- it can fail -------------------------------------------------------------------------------------------------------
def test_another_logic_is_not_followed(repository: Path) -> None:
    """A run of one design is not a way through the machine of another."""
    text = (repository / "examples" / "two_tanks.yaml").read_text("utf-8")
    old, new = "until: re-armed by hand when dry", "until: cause ends"
    assert old in text
    one, other = (lower(read_text(t, "walk.yaml")) for t in (text, text.replace(old, new)))
    scenario = Scenario("travelling", HORIZON, (Onset("riser: burst, in study", 60.0),))
    assert followed(one, whole(one), scenario)[0] > 10
    with pytest.raises(AssertionError):
        followed(other, whole(other), scenario, one)


@pytest.mark.parametrize("factor", [0.99, 1.01])
def test_another_time_is_not_followed(repository: Path, factor: float) -> None:
    """Delays that last a hundredth more or less than in the machine, and levels that rise faster than they may."""
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    m = whole(plant)
    other = replace(m, due={i: Span(factor * span.low, factor * span.high) for i, span in m.due.items()})
    scenario = Scenario("travelling", HORIZON, (Onset("riser: burst, in study", 60.0),))
    assert followed(plant, m, scenario)[0] > 10
    with pytest.raises(AssertionError):
        followed(plant, other, scenario)


@pytest.mark.slow
def test_a_level_that_rises_too_fast_is_not_followed(repository: Path) -> None:
    """A pump gives at most 1.2 times what it is rated at: of one that gives three quarters of it, its level is late."""
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    dose = next(doses(plant))
    weak = dose._replace(flow=0.75 * dose.flow / 1.2)
    scenario = Scenario("travelling", HORIZON)
    assert followed(plant, slower_too(plant, overdosed(plant, dose)[0]), scenario)[0] > 50
    with pytest.raises(AssertionError):
        followed(plant, slower_too(plant, overdosed(plant, weak)[0]), scenario)
