"""A dozen designs, searched by the program and by the plainest search there is: the same sets of faults, and where
nothing is found, as many states and as deep."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant.lower import lower
from dewpond.proof.machine import Machine
from dewpond.proof.questions.flooding import runs_on
from dewpond.proof.questions.layers import layers, stays_shut
from dewpond.proof.questions.water import spills
from dewpond.proof.search import search
from tests.proof.referee import states

FEW = 1500  # states that the plain search looks at in a second or so
DESIGNS = (
    ("examples/two_tanks", "", ""),
    ("examples/two_tanks", "trips: kept", "trips: cleared"),
    ("examples/two_tanks", "until: re-armed by hand when dry", "until: cause ends"),
    ("examples/two_tanks", "when it hangs: keeps last order", "when it hangs: outputs stopped"),
    ("examples/two_tanks", "without power: shut, needs", "without power: open, needs"),
    ("examples/two_tanks", "when its probe dries: stays shut", "when its probe dries: opens again"),
    ("examples/bin_and_branch", "", ""),
    ("examples/bin_and_branch", "until: re-armed by hand when dry", "until: cause ends"),
    ("examples/bin_and_branch", "trips: kept", "trips: cleared"),
    ("examples/mixing_day", "", ""),
    ("tests/proof/sound", "", ""),
    ("tests/proof/sound", "trips: kept", "trips: cleared"),
)


def agrees(m: Machine, bad: int, faults: int) -> int:
    """Compares the two searches; how many states there were, 0 for more than a few."""
    mine = search(m, bad, faults, compiled=True, most_states=FEW)
    if not mine.finished:
        return 0
    many, depth, sets = states(m, bad, faults)
    assert frozenset(frozenset(breach.faults) for breach in mine.breaches) == sets
    assert sets or (mine.states, mine.depth) == (many, depth)
    return mine.states


@pytest.mark.slow
@pytest.mark.parametrize(("name", "old", "new"), DESIGNS)
def test_both_searches_agree(repository: Path, name: str, old: str, new: str) -> None:
    text = (repository / f"{name}.yaml").read_text("utf-8")
    assert old in text
    plant = lower(read_text(text.replace(old, new) if old else text, "one.yaml"))
    seen = 0
    for layer in layers(plant):
        for faults in (0, 1):
            seen += agrees(*stays_shut(plant, layer), faults)
    for spill in spills(plant):
        seen += agrees(*runs_on(plant, spill, spill.gates), 2)
    assert seen > 300
