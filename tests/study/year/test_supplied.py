"""Ordinary days in which something shuts the unit off: against the same house without it, and against the engine."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Scenario
from dewpond.report.views import year_lacks, year_losses
from dewpond.report.views.shown import shown_in
from dewpond.study.year.model import Year
from dewpond.study.year.year import year

HOUSE = Path("examples/two_tanks.yaml").read_text("utf-8")
FILTERS = "after: feed valve, in: laundry, bowls: 3"
METRIC = shown_in("metric")
SKIMMED = "  skimmer: {kind: skimmer, in: big sump, skimmate: 0.3 L/day}\n"


def limited(litres: str, house: str = HOUSE) -> str:
    """A limiter of so many litres in one draw before the filters."""
    assert house.count(FILTERS) == 1
    (line,) = (line for line in house.splitlines() if line.startswith("  filters: "))
    stop = f"  litre stop:   {{kind: volume limiter, after: feed valve, in: laundry, lets through at most: {litres}}}\n"
    return house.replace(line, stop + line.replace("after: feed valve", "after: litre stop"))


def of_text(text: str) -> Year:
    return year(read_text(text, "house.yaml"), KINDS, today=739_000)


@pytest.fixture(scope="module")
def stopped() -> Year:
    return of_text(limited("2 L"))


@pytest.mark.slow
def test_ruler_and_salinity_are_those_of_days_in_which_no_litres_shut_the_unit_off() -> None:
    (line,) = (line for line in HOUSE.splitlines() if line.startswith("  reservoir:  "))
    ruled = line.replace(
        "overflow: none", "overflow: none, measured evaporation: {fell: 48 mm, over: 24 h, on: 2024-01-20}"
    )
    (sump,) = (line for line in HOUSE.splitlines() if line.startswith("  reef:  "))
    house = HOUSE.replace(line, ruled).replace(sump, SKIMMED + sump)
    tight, loose = of_text(limited("4 L", house)), of_text(limited("400 L", house))
    assert tight.trips
    assert not loose.trips
    (one,), (other,) = tight.calibration.evidence, loose.calibration.evidence
    assert one.factor == pytest.approx(other.factor, rel=1e-3)
    assert tight.winter.evaporation.middle == pytest.approx(loose.winter.evaporation.middle, rel=1e-3)
    assert [drift.lost for drift in tight.drifts] == pytest.approx([drift.lost for drift in loose.drifts], rel=1e-2)
    assert max(drift.year for drift in tight.drifts) <= 35.0 + 1e-6
    assert all("holds the level" not in text for text in year_losses.salinity(tight, METRIC))


def test_unit_that_is_shut_off_for_good_is_told_with_what_shut_it(stopped: Year) -> None:
    told = year_lacks.nothing_came(stopped, METRIC)
    assert stopped.idle
    assert "litre stop shuts: so much has run in one draw" in told
    assert "nothing comes afterwards" in told
    assert "no vessel called for it" not in told


@pytest.mark.slow
def test_unit_that_is_shut_off_in_winter_alone_makes_what_comes_and_lacks_the_rest() -> None:
    """The engine's own 42 days of each season: litres that came in the later half of them."""
    text = limited("5 L")
    made = of_text(text)
    late = {}
    for season in ("winter", "summer"):
        plant = lower(read_text(text, "house.yaml"), season)
        half, whole = (
            engine.run(plant, Scenario("travelling", days * DAY, (), STARTS["travelling"]), compiled=True).moved
            for days in (21.0, 42.0)
        )
        late[season] = sum(whole[edge] - half[edge] for _, edge in plant.membranes) / 21.0
    assert late["winter"] < 1e-6
    assert late["summer"] > 2e-3
    assert not made.idle
    assert [trip.season for trip in made.trips] == ["winter"]
    assert made.winter.product.middle == pytest.approx(late["winter"], abs=1e-6)
    assert made.summer.product.middle == pytest.approx(late["summer"], rel=0.05)
    assert 0.3 < made.lacks.middle / made.total("need") < 0.9
    assert year_lacks.lacks(made)
    said = year_lacks.shortage(made, METRIC)
    assert "litre stop shuts" in said
    assert "litre stop" in year_lacks.remedy(made, METRIC)


@pytest.mark.slow
def test_house_that_nothing_shuts_off_has_no_trip() -> None:
    assert of_text(HOUSE).trips == ()
