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
