"""How often the unit starts in a way of filling. Second method: the same hours, written into the file as a time window
that a row of its matrix gives to the feed valve, run in the engine without the ways."""

from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.balance import products
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.study.ordinary import ordinary
from dewpond.study.ways import gating

HOURS = 3.0 * 3600.0
TWO_TANKS = Path("examples/two_tanks.yaml").read_text(encoding="utf-8")
TANK = "pressure tank: {kind: bladder tank, after: check, in: laundry, volume: 12 L, precharge: 0.5 bar}"
CLOCK = "morning fill: {kind: time window, by the clock of: cellar box, on from: 06:30, for: 3 h, every: 1 day, its time in a power cut: kept}"  # noqa: E501
ROW = "- {id: fill, cause: morning fill due, effect: {feed valve: open}}"


def written(tank: bool, clock: bool) -> Design:
    """Two tanks on one reservoir, with a tank under pressure behind the unit, and its feed at set hours."""
    text = TWO_TANKS
    if tank:
        resin = next(line for line in text.splitlines() if line.startswith("  resin:"))
        text = text.replace(resin, f"  {TANK}\n{resin.replace('after: check', 'after: pressure tank')}")
    if clock:
        text = text.replace("sensors:\n", f"sensors:\n  {CLOCK}\n").replace("matrix:\n", f"matrix:\n  {ROW}\n")
    return read_text(text, "starts.yaml")


@pytest.mark.slow
@pytest.mark.parametrize("tank", [True, False])
def test_hours_laid_over_the_house_start_the_unit_as_often_as_the_same_hours_in_its_file(tank: bool) -> None:
    plant = lower(written(tank, True), "winter")
    assert plant.clocks
    (own,) = products(plant, engine.run(plant, ordinary(plant, 14.0 * DAY), compiled=None))
    free = lower(written(tank, False), "winter")
    (laid,) = products(*gating.run(free, "travelling", 14.0 * DAY, gating.regularly(HOURS, DAY, 14.0 * DAY)))
    assert own.starts >= 14.0  # once a day at least
    assert laid.volume == pytest.approx(own.volume, rel=0.1)
    assert laid.starts == pytest.approx(own.starts, rel=0.4)


@pytest.mark.slow
def test_a_tank_under_pressure_spares_the_unit_starts_in_set_hours_too() -> None:
    open_ = gating.regularly(HOURS, DAY, 14.0 * DAY)
    with_, without = (
        products(*gating.run(lower(written(tank, False), "winter"), "travelling", 14.0 * DAY, open_))[0]
        for tank in (True, False)
    )
    assert with_.starts < without.starts
