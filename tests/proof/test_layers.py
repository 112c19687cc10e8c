"""Layers by themselves, in every order of events: the classical mistakes, each planted alone, and the sound house.

The mistakes and what finds them: the project's own trial of an exhaustive search (table of planted mistakes).
"""

from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant, Scenario
from dewpond.proof.machine import Machine
from dewpond.proof.questions.layers import Layer, layers, stays_shut
from dewpond.proof.search import Search, search
from tests.proof.referee import after, beginning, events, states

LEAK = "small doser: stopped}, until: re-armed by hand when dry, tell: leak message"


@pytest.fixture
def house(repository: Path) -> Path:
    return repository / "examples" / "two_tanks.yaml"


def changed(house: Path, *pairs: tuple[str, str]) -> Plant:
    text = house.read_text("utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return lower(read_text(text, "changed.yaml"))


def layer_of(plant: Plant, part: str) -> Layer:
    return next(layer for layer in layers(plant) if layer.part == part and layer.by_water)


def found(plant: Plant, part: str, faults: int = 1) -> tuple[Machine, int, Search]:
    m, bad = stays_shut(plant, layer_of(plant, part))
    return m, bad, search(m, bad, faults, compiled=True)


@pytest.mark.slow
@pytest.mark.parametrize("part", ["cell valve", "feed valve", "top-off pump", "small doser"])
def test_the_sound_house_stays_shut_whatever_fails_alone(house: Path, part: str) -> None:
    m, _, result = found(lower(read(house)), part)
    assert result.finished
    assert not result.breaches
    assert result.states > 5 * len(m.faults)  # it has looked at something


@pytest.mark.slow
@pytest.mark.parametrize(
    ("mistake", "part", "faults"),
    [
        # it holds only while a probe is wet: nothing needs to fail
        ((LEAK, LEAK.replace("re-armed by hand when dry", "cause ends")), "feed valve", set()),
        (("when its probe dries: stays shut", "when its probe dries: opens again"), "cell valve", set()),
        # open without power: a power cut opens it
        (("without power: shut, needs", "without power: open, needs"), "feed valve", {"house power: cut for an hour"}),
        # the box forgets in a power cut what it had tripped
        (
            (
                "cellar box:   {power: laundry circuit, after a restart: {trips: kept",
                "cellar box:   {power: laundry circuit, after a restart: {trips: cleared",
            ),
            "feed valve",
            {"house power: cut for an hour"},
        ),
    ],
)
def test_each_mistake_planted_alone_is_found(
    house: Path, mistake: tuple[str, str], part: str, faults: set[str]
) -> None:
    m, bad, result = found(changed(house, mistake), part)
    sets = [{m.faults[number].labels[0] for number in breach.faults} for breach in result.breaches]
    assert faults in sets
    for breach in result.breaches:  # the way leads there, step by step
        point = breach.start
        for event, told in breach.way:
            assert event in list(events(m, point, len(breach.faults)))
            point = after(m, point, event)
            assert point == told
        assert point.bits[bad]


@pytest.mark.slow
def test_a_machine_begins_as_the_engine_does(house: Path) -> None:
    """The ordinary state: every signal as the engine brings it to rest before the first moment."""
    plant = lower(read(house))
    ordinary = engine.run(plant, Scenario("travelling", DAY / 24.0), compiled=True).ordinary
    for layer in layers(plant):
        m, _ = stays_shut(plant, layer)
        fixed = {number for number, op, ins in zip(m.numbers, m.ops, m.ins, strict=True) if not ins and op == 7}
        for number, bit in zip(m.numbers, beginning(m).bits, strict=True):
            if number >= 0 and number not in fixed and not plant.reading(fixed) & {number}:
                assert bit == ordinary[number], (layer.part, number)


def test_a_cap_is_a_verdict_of_its_own(house: Path) -> None:
    m, bad = stays_shut(lower(read(house)), layer_of(lower(read(house)), "feed valve"))
    result = search(m, bad, 1, compiled=False, most_states=50)
    assert not result.finished
    assert not result.breaches
    assert result.states < search(m, bad, 1, compiled=True).states


@pytest.mark.slow
@pytest.mark.parametrize("text", ["", "until: cause ends, tell: leak message"])
def test_the_search_finds_the_states_that_the_plainest_one_finds(house: Path, text: str) -> None:
    """Where nothing is found, as many states, as far off; where something is, the same sets of faults."""
    until = "until: re-armed by hand when dry, tell: leak message"
    plant = changed(house, (until, text)) if text else lower(read(house))
    counts = set()
    for layer in layers(plant):
        if not layer.by_water or "too long" in plant.says[layer.trip].true:
            continue
        m, bad = stays_shut(plant, layer)
        for faults in (0, 1):
            result = search(m, bad, faults, compiled=True)
            sets = frozenset(frozenset(breach.faults) for breach in result.breaches)
            many, depth, wanted = states(m, bad, faults)
            assert sets == wanted
            assert sets or (result.states, result.depth) == (many, depth)
            counts.add(result.states)
    assert max(counts) > (300 if text else 3000)


def test_interpreted_and_compiled_find_the_same(house: Path) -> None:
    plant = lower(read(house))
    m, bad = stays_shut(plant, layer_of(plant, "cell valve"))
    assert search(m, bad, 2, compiled=False) == search(m, bad, 2, compiled=True)
