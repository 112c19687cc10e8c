"""What runs on in a run of the engine is in the proof's list: it may list too much, and must never miss one.

Every fault alone and a sample of pairs in both orders, in houses where nobody acts. Where the list does not speak of
such water, the proof says it elsewhere or takes it for granted, and that is checked: see Listed.why.
"""

import itertools
import random
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Plant
from tests.plant.random_designs import random_design
from tests.proof.running_on import FIRST, Listed, pairs, runs_on, singles, unattended

SOME = 10  # runs of a design, and more where pairs come in


def grown(seed: int, parts: int) -> Plant:
    return lower(read_text(random_design(seed, parts).text(), "random.yaml"))


def compared(plant: Plant, runs: Iterable[tuple[Onset, ...]], listed: Listed) -> Counter[str]:
    """How many runs there were and why each that ran on did so; fails where the proof says nothing of it."""
    seen: Counter[str] = Counter()
    for onsets in runs:
        seen["runs"] += 1
        if (out := runs_on(plant, onsets)) is not None:
            seen[why := listed.why(onsets, out)] += 1
            assert why, (onsets, [plant.places[place].name for place in out.places], out.leaves)
    return seen


def sampled(house: Plant, seed: str, many: int) -> Counter[str]:
    listed, plant = Listed(house), unattended(house)
    alone = list(singles(plant))
    random.Random(seed).shuffle(alone)
    return compared(plant, (*alone[:many], *pairs(plant, seed, many // 2, listed.leaks)), listed)


def test_a_few_faults_of_a_small_house() -> None:
    seen = sampled(grown(38, 20), "few", 6)
    assert seen["listed"] >= 2


@pytest.mark.slow
def test_what_runs_on_in_the_examples_is_listed(repository: Path) -> None:
    """Leaks in the first place, alone and with another fault: they are what runs on."""
    seen: Counter[str] = Counter()
    for path in (*sorted((repository / "examples").glob("*.yaml")), repository / "tests" / "proof" / "sound.yaml"):
        house = lower(read(path))
        listed, plant = Listed(house), unattended(house)
        alone = ((Onset(label, FIRST),) for label in random.Random(path.stem).sample(listed.leaks, SOME))
        seen += compared(plant, itertools.chain(alone, pairs(plant, path.stem, 3, listed.leaks)), listed)
    assert seen["runs"] == 7 * (SOME + 6)
    assert seen["listed"] >= 12


@pytest.mark.slow
@pytest.mark.parametrize("seeds", [range(k, k + 4) for k in range(30, 46, 4)], ids=lambda seeds: f"{seeds.start} on")
def test_what_runs_on_in_a_random_house_is_listed(seeds: range) -> None:
    seen: Counter[str] = Counter()
    for seed in seeds:
        seen += sampled(grown(seed, 14 + seed % 7), f"house {seed}", SOME)
    assert seen["listed"] >= 12


def test_a_list_with_a_set_less_is_found_out() -> None:
    """The test can fail: what runs on with one valve that does not shut is missed once its set is gone."""
    house = grown(38, 20)
    listed, plant = Listed(house), unattended(house)
    onsets = next(o for o in singles(plant) if (out := runs_on(plant, o)) and listed.why(o, out) == "listed")
    listed.sets = []
    with pytest.raises(AssertionError):
        compared(plant, [onsets], listed)


@pytest.mark.parametrize(
    ("seed", "parts", "wanted"),
    [
        (9, 30, {"float 2: stuck open"}),  # past an air gap, and out of an overflow that ends in another room
        (9, 30, {"float 2: does not shut tight"}),
        (4, 30, {"bucket: fill left running"}),
        (4, 30, {"bucket: tap drips", "bucket: cracks"}),
    ],
)
def test_ways_out_that_runs_had_shown_and_the_list_did_not(seed: int, parts: int, wanted: set[str]) -> None:
    house = grown(seed, parts)
    listed, plant = Listed(house), unattended(house)
    onsets = tuple(Onset(label, FIRST + 60.0 * k) for k, label in enumerate(sorted(wanted)))
    out = runs_on(plant, onsets)
    assert out is not None
    assert listed.why(onsets, out) == "listed"


@pytest.mark.slow
@pytest.mark.parametrize("label", ["standpipe: backs up", "reef: display overflow blocked"])
def test_what_no_hole_lets_out_runs_on_in_the_house_without_layers(repository: Path, label: str) -> None:
    house = lower(read(repository / "examples" / "first_float.yaml"))
    onsets = (Onset(label, FIRST),)
    out = runs_on(unattended(house), onsets)
    assert out is not None
    assert Listed(house).why(onsets, out) == "listed"
