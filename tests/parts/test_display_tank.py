import math

import pytest

from dewpond.design.reader import read_text
from dewpond.parts.base import Level, PartView
from dewpond.parts.display_tank import KIND
from dewpond.parts.sump import KIND as BELOW
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.plant.plant import Onset, Scenario
from dewpond.study.drills import usual
from tests.parts.recording import Recording, lowered, sampled

TANK = {"surface": (1.2, 0.6), "volume": 0.41, "salinity": 35.0, "drains to": "sump"}
ROOM = {"air": 295.15, "humidity": 0.5}


def house(**given: object) -> dict[str, PartView]:
    others: dict[str, PartView] = {}
    keys = {key.replace("_", " "): value for key, value in given.items()}
    sump = {
        "in": "study", "bottom": Level(0.1, "floor"), "footprint": (0.9, 0.4), "rim": 0.4,
        "running level": Level(0.24), "rises when the return pump stops": 0.06, "return chamber": (0.15, 0.4),
        "return pump needs": Level(0.12), "baffle": Level(0.26),
    }  # fmt: skip
    others["sump"] = sampled(BELOW, "sump", others, {**sump, **keys})
    return others


def tank(sump: dict[str, object] | None = None, **given: object) -> Recording:
    keys = {key.replace("_", " "): value for key, value in given.items()}
    return lowered(KIND, {**TANK, **keys}, house(**(sump or {})), season=ROOM)


def flow(asked: Recording, vessel: str, to: str) -> float:
    """The fixed flow from a vessel to a sort of node."""
    for one in asked.every("fixed flow"):
        a, b = (asked.by_number("node", one[end]) for end in ("a", "b"))
        if a["vessel"] == vessel and b["kind"] == to:
            return float(one["flow"])
    raise AssertionError(f"no flow from {vessel} to {to}")


def test_depth_follows_from_volume_and_surface_and_the_rim_from_the_free_board() -> None:
    spec = tank(free_above_water=0.05).vessel("it")
    assert spec.start == pytest.approx(0.41 / 0.72)
    assert spec.rim == pytest.approx(0.41 / 0.72 + 0.05)
    assert (spec.place, spec.mixed_with, spec.tank) == ("study", "sump", True)


def test_salt_is_that_of_a_kilogram_of_sea_water_times_its_density() -> None:
    """35 g/kg at 25 C: 1023.2 kg/m3 (TEOS-10 by gsw 3.6), so 35.81 kg of salt in a cubic metre."""
    assert tank().vessel("it").dissolved == pytest.approx(35.81, abs=0.01)
    assert tank(salinity=0.0).vessel("it").dissolved == 0.0


def test_still_tank_evaporates_what_the_tank_reference_reckons_by_shah() -> None:
    """25 C water, 22 C air at 50 %, S 35: 3.54 L/m2/day."""
    asked = lowered(
        KIND, {**TANK, "drains to": None, "in": "study", "salinity": 35.165, "water is": "glass-calm"}, season=ROOM
    )  # fmt: skip
    assert flow(asked, "it", "air end") * 86400e3 == pytest.approx(3.54 * 0.72, rel=0.005)
    assert asked.every("weir") == []


def test_movement_covers_and_cabinet_change_what_evaporates() -> None:
    usual, calm = flow(tank(), "it", "air end"), flow(tank(water_is="glass-calm"), "it", "air end")
    assert usual / calm == pytest.approx(1.4)
    assert flow(tank(covered_by="glass lid with gaps"), "it", "air end") / usual == pytest.approx(0.25)
    assert flow(tank(), "sump", "air end") / usual == pytest.approx(0.5 * 0.36 / 0.72)
    assert flow(tank({"stands in": "open air"}), "sump", "air end") / usual == pytest.approx(0.36 / 0.72)


def test_measured_evaporation_is_shared_by_tank_and_sump_and_takes_no_salt() -> None:
    asked = tank(evaporation=4e-3 / 86400.0)
    both = [flow(asked, "it", "air end"), flow(asked, "sump", "air end")]
    assert sum(both) == pytest.approx(4e-3 / 86400.0)
    assert both[1] / both[0] == pytest.approx(0.5 * 0.36 / 0.72)
    gone = [one for one in asked.every("fixed flow") if asked.by_number("node", one["b"])["kind"] == "air end"]
    assert [one["passage"] for one in gone] == [0.0, 0.0]


def test_return_pump_gives_ten_volumes_an_hour_or_what_the_bucket_said() -> None:
    assert flow(tank(), "sump", "tap") * 3.6e6 == pytest.approx(4100.0)
    assert flow(tank(return_flow=3.0 / 3600.0), "sump", "tap") * 3.6e6 == pytest.approx(3000.0)


def test_weir_and_return_flow_rest_at_the_running_level() -> None:
    asked = tank()
    weir, spec = asked.only("weir"), asked.vessel("it")
    head = spec.bottom + spec.start - weir["crest"]
    assert weir["coefficient"] * head**1.5 == pytest.approx(flow(asked, "sump", "tap"))
    assert weir["full_bore"] * math.sqrt(head) > weir["coefficient"] * head**1.5


def test_what_drains_down_makes_the_sump_rise_as_the_ruler_said() -> None:
    asked = tank()
    sump, weir, spec = asked.vessel("sump"), asked.only("weir"), asked.vessel("it")
    drained = 0.72 * (spec.bottom + spec.start - weir["crest"])
    assert drained == pytest.approx(0.06 * 0.02 + 0.36 * 0.04)
    assert sump.volume_at(0.30) == pytest.approx(sump.volume_at(0.24) + drained)


def test_return_pump_stops_without_power_and_gives_less_once_it_draws_air() -> None:
    asked = tank(power="study circuit")
    up = next(one for one in asked.every("fixed flow") if one["passage"] == 1.0)
    gate = asked.by_number("gate", up["gate"])
    assert (gate["vessel"], gate["opened"], gate["shut"]) == ("sump", 0.12, pytest.approx(0.10))
    power = asked.given_back("circuit", name="study circuit")
    assert asked.now(gate["also"], {power: False}) is False
    above = asked.given_back("level", vessel="sump")
    dry = asked.only("tally")
    assert dry["word"] == "return pump dry"
    assert asked.now(dry["signal"], {power: True, above: False}) is True
    assert asked.now(dry["signal"], {power: False, above: False}) is False
    assert asked.now(dry["signal"], {power: True, above: True}) is False
    (patch,) = asked.patches("return pump stops")
    assert (patch[0], patch[2]) == ("force", 0.0)
    assert asked.now(gate["also"], {patch[1]: False}) is False


def test_blocked_overflow_shuts_the_weir_only() -> None:
    asked = tank()
    assert asked.patches("display overflow blocked") == [("high", asked.only("weir")["gate"], 0.0)]


def test_tank_that_stands_nowhere_is_refused() -> None:
    assert KIND.check is not None
    alone = {**TANK, "drains to": None}
    assert [one.code for one in KIND.check(sampled(KIND, "reef", {}, alone))] == ["tank-place-missing"]
    assert KIND.check(sampled(KIND, "reef", {}, {**alone, "in": "study"})) == []


@pytest.mark.parametrize(
    ("given", "codes"),
    [
        ({}, []),
        ({"volume": 0.071}, ["tank-depth"]),  # 99 mm over 0.72 m2
        ({"volume": 0.073}, []),
        ({"volume": 0.87}, ["tank-depth"]),  # 1208 mm
        ({"volume": 4.1}, ["tank-depth"]),
        ({"salinity": 3.5}, ["tank-salinity"]),
        ({"salinity": 0.4}, []),
        ({"salinity": 12.0}, []),  # brackish
        ({"return flow": 3.0 / 3600.0}, []),
        ({"return flow": 30.0 / 3600.0}, ["tank-return-flow"]),
        ({"return flow": 0.1 / 3600.0}, ["tank-return-flow"]),
        ({"evaporation": 5e-3 / 86400.0}, []),
        ({"evaporation": 50e-3 / 86400.0}, ["tank-evaporation"]),
        ({"drains to": None, "in": "study", "power": "circuit"}, ["tank-without-sump"]),
    ],
)
def test_figures_that_do_not_fit_each_other_are_asked_about(given: dict[str, object], codes: list[str]) -> None:
    assert KIND.check is not None
    found = KIND.check(sampled(KIND, "reef", {}, {**TANK, **given}))
    assert [one.code for one in found] == codes
    assert all(one.level == ("error" if given.get("volume") == 4.1 else "warning") for one in found)


BACK = """
format: 1
title: A nozzle under water (invented)
supply: {{pressure: 3 bar, temperature: {{winter: 10 C, summer: 20 C}}, dissolved solids: 200 ppm}}
places:
  room: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  sump: {{kind: sump, in: room, footprint: 60 cm x 40 cm, rim: 400 mm, running level: 200 mm,
          rises when the return pump stops: 30 mm, baffle: 200 mm, return chamber: 20 cm x 40 cm,
          return pump needs: 100 mm}}
  tank: {{kind: display tank, drains to: sump, surface: 100 cm x 50 cm, volume: 200 L, salinity: 35 ppt, power: sockets,
          evaporation: 0 L/day, nozzle below water: {deep}, break hole: {hole}}}
"""


def rise(deep: str, hole: str, *labels: str) -> float:
    """How far the sump stands above its running level an hour after the power is cut [m]."""
    plant = lower(read_text(BACK.format(deep=deep, hole=hole), "nozzle.yaml"))
    onsets = (*(usual(plant.fault(label)) for label in labels), Onset("sockets: trips until someone comes", 600.0))
    trace = engine.run(plant, Scenario("travelling", 4200.0, onsets))
    height = trace.volume[plant.stores.index("sump")] / (0.6 * 0.4)
    return height - 0.2


def test_tank_with_a_nozzle_under_water_runs_back_to_it_unless_a_hole_lets_air_in() -> None:
    """60 mm of 1.0 x 0.5 m are 30 L, on 0.6 x 0.4 m of sump: 125 mm; the usual 30 mm come over the weir first."""
    assert rise("60 mm", "present") == pytest.approx(0.030, abs=0.002)
    assert rise("60 mm", "absent") == pytest.approx(0.125, rel=0.02)
    assert rise("60 mm", "present", "tank: break hole clogged") == pytest.approx(0.125, rel=0.02)
