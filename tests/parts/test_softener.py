"""A softener: the water of its regenerations by the clock, what each of its faults lets run, bad input."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.softener import KIND
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

HOUR, BAR = 3600.0, 1e5
HOUSE = """
format: 1
title: A softener before a float (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm, in: study}}
places:
  study: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  bath:  {{kind: room, size: 3 m x 3 m, floor: glazed tile}}
  pipe:  {{kind: waste drain, in: bath, type: standpipe}}
water:
  soft:  {{kind: softener, after: supply, in: study, regenerates every: 2 d, regeneration lasts: 1 h,
          water for it: 100 L{keys}}}
  tube:  {{kind: tubing, after: soft, length: 2 m, through: [study]}}
  float: {{kind: float valve, after: tube, fills: box, starts to shut at: 250 mm, quite shut at: 265 mm}}
  box:   {{kind: reservoir, in: study, footprint: 60 cm x 60 cm, rim: 300 mm}}
power:
  mains: {{feeds: [laundry circuit]}}
"""
TO = ", rinse water to: pipe"


def run(time: float, *onsets: tuple[str, float], keys: str = TO) -> tuple[Plant, Trace]:
    plant = lower(read_text(HOUSE.format(keys=keys), "house.yaml"))
    told = tuple(Onset(label, at) for label, at in onsets)
    return plant, engine.run(plant, Scenario("travelling", time, told, STARTS["travelling"]), compiled=True)


def drained(time: float, *onsets: tuple[str, float], keys: str = TO) -> float:
    """Litres sent to the drain."""
    return 1e3 * float(run(time, *onsets, keys=keys)[1].total[prim.V_DRAIN])


def fallen(plant: Plant, trace: Trace) -> dict[str, float]:
    return {place.name: 1e3 * v for place, v in zip(plant.places, trace.place_total, strict=True)}


@pytest.mark.parametrize(("days", "times"), [(1.9, 0), (2.0, 1), (3.9, 1), (4.0, 2), (14.0, 7)])
def test_it_regenerates_by_its_clock_and_sends_its_water_to_the_drain(days: float, times: int) -> None:
    """100 L each, from 1 day 23 hours on and every 2 days; a weaker drain tube is not there."""
    assert drained(days * DAY) == pytest.approx(100.0 * times, abs=0.1 * (times + 0.1))


def test_water_left_out_is_ten_beds_of_resin() -> None:
    keys = TO.replace("rinse", "resin: 4 L, rinse")
    plant = lower(read_text(HOUSE.format(keys=keys).replace("water for it: 100 L, ", ""), "house.yaml"))
    trace = engine.run(plant, Scenario("travelling", 2.0 * DAY, (), STARTS["travelling"]), compiled=True)
    assert 1e3 * trace.total[prim.V_DRAIN] == pytest.approx(40.0, abs=0.1)


def test_stuck_in_regeneration_it_runs_to_the_drain_without_end() -> None:
    """100 L an hour are 2400 L a day, and no place gets wet."""
    plant, trace = run(DAY, ("soft: stuck in regeneration", 0.0))
    assert 1e3 * trace.total[prim.V_DRAIN] == pytest.approx(2400.0, rel=1e-3)
    assert sum(fallen(plant, trace).values()) == 0.0


def test_drain_that_backs_up_sends_the_regeneration_over_its_floor() -> None:
    plant, trace = run(2.0 * DAY, ("pipe: backs up", 0.0))
    assert fallen(plant, trace) == {"study": 0.0, "bath": pytest.approx(100.0, abs=0.1), "pipe": 0.0}


def test_brine_tank_that_runs_over_wets_its_place_at_the_rate_it_fills() -> None:
    """1 L/min for six hours."""
    plant, trace = run(6.0 * HOUR, ("soft: brine tank runs over", 0.0))
    assert fallen(plant, trace)["study"] == pytest.approx(360.0, rel=1e-3)


@pytest.mark.parametrize(
    ("cut", "litres"),
    [
        (47.5 * HOUR, 950.0),  # in the middle of it: it runs on for the nine hours of the cut
        (44.0 * HOUR, 100.0),  # before it: it comes once the power is back, and is through
    ],
)
def test_without_power_it_stays_as_it_is(cut: float, litres: float) -> None:
    keys = f"{TO}, power: laundry circuit"
    plant = lower(read_text(HOUSE.format(keys=keys), "house.yaml"))
    label = "mains: cut for 9 h"
    told = (Onset(label, cut),)
    trace = engine.run(plant, Scenario("travelling", cut + 11.0 * HOUR, told, STARTS["travelling"]), compiled=True)
    assert 1e3 * trace.total[prim.V_DRAIN] == pytest.approx(litres, rel=2e-3)


def test_its_loss_goes_with_the_square_of_the_flow_and_the_open_bypass_takes_a_hundredth_beside_it() -> None:
    """Two openings side by side: 1/sqrt(k) add, so 1/(1 + 10)^2 of the loss is left."""
    keys, losses = f"{TO}, drop at 10 L/min: 1 bar", []
    for onsets in ((), (("soft: bypass open", 0.0),)):
        plant = lower(read_text(HOUSE.format(keys=keys).replace("rim: 300 mm", "rim: 300 mm, starts at: 10 mm"), "h"))
        told = tuple(Onset(*one) for one in onsets)
        trace = engine.run(plant, Scenario("travelling", 300.0, told, STARTS["travelling"]), compiled=True)
        links = [link for link in plant.links if link.part == "soft"][:2]
        flow = sum(trace.flow[link.edge] for link in links)
        losses.append((trace.pressure[links[0].inlet] - trace.pressure[links[0].outlet]) / flow**2)
    assert losses[0] == pytest.approx(BAR / (10e-3 / 60.0) ** 2, rel=1e-3)
    assert losses[1] == pytest.approx(losses[0] / 11.0**2, rel=1e-3)


def test_out_of_salt_changes_no_water_and_is_nothing_that_had_to_act() -> None:
    sound, bare = run(3.0 * DAY), run(3.0 * DAY, ("soft: out of salt", 0.0))
    assert list(sound[1].total) == list(bare[1].total)
    assert judge(*bare).failed == ()


def test_check_objects_to_one_that_does_nothing_else() -> None:
    assert KIND.check is not None
    for every, lasts, codes in (
        (7.0 * DAY, HOUR, []), (0.5 * DAY, 5.0 * HOUR, []), (0.5 * DAY, 6.0 * HOUR, ["softener-always"]),
    ):  # fmt: skip
        given = {"regenerates every": every, "regeneration lasts": lasts}
        assert [one.code for one in KIND.check(sampled(KIND, "soft", {}, given))] == codes


def test_sound_design_has_no_finding_about_it() -> None:
    assert [f for f in check(read_text(HOUSE.format(keys=TO), "h")) if f.where == "water: soft" and f.key] == []


@pytest.mark.parametrize(
    "keys", [", resin: 12", ", resin: 900 L", ", rinse water to: soft", ", regenerates evry: 3 d", ", power: study"]
)
def test_bad_input_is_told_at_its_part(keys: str) -> None:
    with pytest.raises(DesignError) as refused:
        read_text(HOUSE.format(keys=keys), "house.yaml")
    assert any("soft" in one.where for one in refused.value.findings)
