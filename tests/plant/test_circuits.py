"""What goes dead together, at any depth."""

import pytest

from dewpond.plant.plant import Plant
from tests.plant.houses import HOUR, Ill, design, plant_of, run

CIRCUITS = """power:
  street: {feeds: [house main]}
  house main: {feeds: [box circuit, tank circuit]}
"""


@pytest.fixture(scope="module")
def plant() -> Plant:
    return plant_of(design() + CIRCUITS)


@pytest.mark.parametrize("cut", ["street", "house main"])
def test_cut_reaches_every_circuit_behind_it(plant: Plant, cut: str) -> None:
    told = run(plant, "travelling", 3 * HOUR, [Ill(f"{cut}: cut for an hour", HOUR, HOUR)])
    for words in ("house main loses power", "box is without power", "the return pump of reef stops"):
        assert any(HOUR <= t < HOUR + 60.0 for t in told.at(words)), words


def test_circuits_go_dead_in_the_order_in_which_they_are_fed_whatever_their_names() -> None:
    named = CIRCUITS.replace("house main", "attic main").replace("street", "zone")
    for text, order in (
        (CIRCUITS, ("street", "house main", "box circuit")),
        (named, ("zone", "attic main", "box circuit")),
    ):
        told = run(plant_of(design() + text), "travelling", 2 * HOUR, [Ill(f"{order[0]}: cut for an hour", HOUR, HOUR)])
        lines = [moment.text for moment in told.consequence.moments]
        for words in ("{} loses power", "power is back on {}"):
            at = [lines.index(words.format(name)) for name in order]
            assert at == sorted(at), lines
