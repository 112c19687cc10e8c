"""A tray with an outlet or a pump: what it takes, what goes over the rim and what a probe sees, in whole runs."""

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts import KINDS
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import balance
from dewpond.plant.kernel.puddles import pool_after
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import BROKEN

HOUR, MINUTE = 3600.0, 60.0
HOUSE = """
format: 1
title: A drip tray with a way out (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm, in: study}}
places:
  study: {{kind: room, size: 5 m x 4 m, floor: glazed tile}}
  bath:  {{kind: room, size: 3 m x 3 m, floor: glazed tile}}
  pipe:  {{kind: waste drain, in: bath, type: standpipe}}
  tray:  {{kind: tray, in: study, size: 100 cm x 50 cm, rim: 40 mm{keys}}}
water:
  valve: {{kind: solenoid valve, after: supply, in: study, without power: shut, driven by: brain, flow at 1 bar: {flow},
          tube ends: 0}}
  tube:  {{kind: tubing, after: valve, length: 10 cm, bore: 12 mm, through: [tray], elbows: 0}}
  float: {{kind: float valve, after: tube, fills: box, in: study, starts to shut at: 250 mm, quite shut at: 265 mm}}
  box:   {{kind: reservoir, in: study, footprint: 60 cm x 60 cm, rim: 300 mm}}
sensors:
  probe: {{kind: leak probe, in: tray, at: a corner, wired to: brain, contact: closes when wet,
          read as wet when: closed, seen to work with purified water: 2026-01-05}}
  other: {{kind: leak probe, in: bath, at: a corner, wired to: brain, contact: closes when wet,
          read as wet when: closed}}
controllers:
  brain: {{power: circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
matrix:
  - {{id: bath, cause: other wet, effect: {{valve: shut}}, until: cause ends}}
  - {row}
power:
  house: {{feeds: [circuit, pump circuit]}}
"""
TELLS = """{id: leak, cause: probe wet, effect: {}, tell: leak message}
messages:
  leak message: {path: [brain], priority: now}
"""
SHUTS = "{id: leak, cause: probe wet, effect: {valve: shut}, until: re-armed by hand when dry}"
DRAIN = ", drain: pipe, drains: 2 L/min"
PUMP = ", pump: {starts at: 20 mm, stops at: 6 mm, flow: 3 L/min, to: pipe, power: pump circuit}"
BURST = "tube: burst, in tray"
HELD = 0.5 * (0.04 + 0.0027) * 1e3  # up to the rim, and a film over it [L]


def house(keys: str, flow: str = "4 L/min", row: str = TELLS) -> Plant:
    return lower(read_text(HOUSE.format(keys=keys, flow=flow, row=row), "house.yaml"))


def run(plant: Plant, time: float, *labels: str) -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in (*labels, BURST))
    return engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)


def litres(plant: Plant, trace: Trace) -> dict[str, float]:
    """What came into each place, and what the outlet of the tray took."""
    got = {place.name: 1e3 * v for place, v in zip(plant.places, trace.place_total, strict=True)}
    return got | {"drain": 1e3 * trace.total[prim.V_DRAIN], "off": 1e3 * balance(plant, trace).off_floors}


def said(plant: Plant, trace: Trace) -> list[str]:
    return [plant.says[e.ref].true for e in trace.events if e.code == prim.E_SIGNAL and e.value > 0.0
            and e.ref in plant.says]  # fmt: skip


def comes(plant: Plant, time: float = HOUR) -> float:
    """What the burst gives [L]."""
    return litres(plant, run(plant, time))["tray"]


def test_more_than_the_outlet_takes_fills_the_tray_and_goes_over_its_rim() -> None:
    """Of what comes in an hour 120 L go to the drain, and 21 L stand in the tray; the rest is on the floor."""
    plant = house(DRAIN)
    got = litres(plant, run(plant, HOUR))
    assert got["tray"] > 200.0
    assert got["drain"] == got["off"] == pytest.approx(120.0, rel=0.01)
    assert got["study"] == pytest.approx(got["tray"] - got["drain"] - HELD, abs=1.0)


def test_less_runs_away_and_stands_as_deep_as_its_share_of_a_film() -> None:
    """A steady flow q leaves a puddle of q / Q of the film over the floor, 0.5 m2 x 2.7 mm."""
    plant = house(DRAIN, "0.4 L/min")
    trace = run(plant, 10.0 * HOUR)
    got = litres(plant, trace)
    rate = got["tray"] / 600.0
    assert got["study"] == 0.0
    lies = 1e3 * dict(zip((place.name for place in plant.places), trace.pool, strict=True))["tray"]
    assert lies == pytest.approx(rate / 2.0 * 0.5 * 2.7, rel=1e-3)
    assert got["drain"] == pytest.approx(got["tray"] - lies, rel=1e-3)


@pytest.mark.parametrize("label", ["tray: outlet blocked", "pipe: backs up"])
def test_blocked_it_fills_as_if_it_had_none(label: str) -> None:
    plant, plain = house(DRAIN), house("")
    assert litres(plant, run(plant, HOUR, label)) == pytest.approx(litres(plain, run(plain, HOUR)), rel=1e-9)
    assert litres(plain, run(plain, HOUR))["study"] > 150.0


def test_pump_lifts_its_flow_between_its_depths() -> None:
    """At less than its flow: off and on between 10 L and 3 L, nothing over the rim; at more, the rest."""
    plant = house(PUMP, "1 L/min")
    trace = run(plant, 5.0 * HOUR)
    got = litres(plant, trace)
    assert got["study"] == 0.0
    lies = 1e3 * dict(zip((place.name for place in plant.places), trace.pool, strict=True))["tray"]
    assert 2.9 < lies < 10.1
    assert got["drain"] == got["off"] == pytest.approx(got["tray"] - lies, abs=0.3)  # some dries
    starts = said(plant, trace).count("the pump in tray starts")
    rate = got["tray"] / 300.0
    assert starts == pytest.approx((got["tray"] - 10.0) / (7.0 * 3.0 / (3.0 - rate)), abs=1.5)  # each lifts so much
    strong = house(PUMP, "8 L/min")
    got = litres(strong, run(strong, HOUR))
    assert got["drain"] == pytest.approx(3.0 * 60.0, rel=0.03)
    assert got["study"] == pytest.approx(got["tray"] - got["drain"] - HELD, abs=0.5)


@pytest.mark.parametrize("label", ["tray: pump does not run", "house: trips until someone comes", "pipe: backs up"])
def test_pump_that_stands_still_lets_the_tray_run_over(label: str) -> None:
    """Without power the valve shuts as well, so that its seat must leak; else the water of a plain tray."""
    if label.startswith("house"):
        plant, plain = house(PUMP), house("")
        held = [litres(one, run(one, HOUR, label, "valve: does not close")) for one in (plant, plain)]
    else:
        plant, plain = house(PUMP), house("")
        held = [litres(one, run(one, HOUR, *([label] if one is plant else []))) for one in (plant, plain)]
    assert held[0] == pytest.approx(held[1], rel=1e-6)
    assert held[0]["study"] > 150.0


def test_cut_of_an_hour_stops_it_for_an_hour() -> None:
    plant = house(PUMP, "1 L/min")
    trace = run(plant, 6.0 * HOUR, "house: cut for an hour", "valve: does not close")
    got = litres(plant, trace)
    assert got["study"] == pytest.approx(max(got["tray"] / 6.0 - HELD, 0.0), rel=0.05)
    assert got["study"] > 20.0


def test_what_an_outlet_takes_takes_its_salt_along() -> None:
    """As much dissolved matter per litre goes to the drain as comes; drying alone would leave it behind."""
    plant = house(DRAIN, "0.4 L/min")
    trace = run(plant, 10.0 * HOUR)
    assert trace.total[prim.S_DRAIN] / trace.total[prim.V_DRAIN] == pytest.approx(0.2, rel=1e-3)


def test_probe_that_a_plain_tray_wets_stays_dry_in_a_drained_one() -> None:
    """0.3 L/min runs away through a hole for 2 L/min before it stands at the probe."""
    word = "probe reports water"
    seen = {keys: word in said(plant := house(keys, "0.2 L/min"), run(plant, 4.0 * HOUR)) for keys in ("", DRAIN)}
    assert seen == {"": True, DRAIN: False}


def test_probe_in_a_pumped_tray_is_wet_before_the_pump_starts() -> None:
    plant = house(PUMP, "1 L/min")
    lines = said(plant, run(plant, 2.0 * HOUR))
    assert lines.index("probe reports water") < lines.index("the pump in tray starts")


@pytest.mark.slow
def test_proof_says_that_the_water_may_run_on_where_the_outlet_takes_it() -> None:
    """In a plain tray, and in one whose pump starts above the probe, the burst is shut off with nothing else failed."""
    runs_on = {}
    for keys in ("", DRAIN, PUMP):
        design = read_text(HOUSE.format(keys=keys, flow="4 L/min", row=SHUTS), "house.yaml")
        proof = prove(design, lower(design), KINDS, 1, compiled=False, tried=False)
        burst = [one for one in proof.verdicts if one.about.startswith("tube: burst")]
        runs_on[keys] = {one.rule for one in burst if one.verdict == BROKEN}
        assert burst
    assert {keys: "IL-05" in rules for keys, rules in runs_on.items()} == {"": False, DRAIN: True, PUMP: False}


def test_run_is_the_same_interpreted_and_compiled() -> None:
    for keys in (DRAIN, PUMP):
        plant = house(keys, "1 L/min")
        scenario = Scenario("travelling", HOUR, (Onset(BURST, 0.0),), STARTS["travelling"])
        one, other = (engine.run(plant, scenario, compiled=way) for way in (True, False))
        assert one == other


def test_step_by_step_the_puddle_follows_the_closed_form() -> None:
    """Filling towards q / Q of a film: 1 - exp(-t / tau), with the film's time through the outlet and by drying."""
    plant = house(DRAIN, "0.4 L/min")
    row = [place.name for place in plant.places].index("tray")
    tau, wet = plant.arrays.place_out_tau[row], plant.arrays.place_wet[row]
    assert tau == pytest.approx(wet / (2e-3 / MINUTE), rel=1e-3)  # next to nothing dries meanwhile
    trace = run(plant, 40.0)
    rate = trace.place_total[row] / 40.0
    assert trace.pool[row] == pytest.approx(pool_after(0.0, rate, tau, wet, 40.0), rel=0.02)


@pytest.mark.parametrize(
    ("keys", "code"),
    [
        (", drains: 2 L/min", "tray-no-drain"),
        (f"{DRAIN}{PUMP}", "tray-two-ways"),
        (", pump: {starts at: 5 mm, stops at: 6 mm, flow: 3 L/min, to: pipe}", "tray-pump-depths"),
        (", pump: {starts at: 50 mm, flow: 3 L/min, to: pipe}", "tray-pump-depths"),
    ],
)
def test_bad_input_is_told(keys: str, code: str) -> None:
    text = HOUSE.format(keys=keys, flow="4 L/min", row=TELLS)
    (found,) = (one for one in check(read_text(text, "h")) if one.code == code)
    assert (found.level, found.where) == ("error", "places: tray")


def test_where_the_outlet_is_reached_is_of_no_use_beside_what_it_takes() -> None:
    text = HOUSE.format(keys=f"{DRAIN}, reaches the drain after: 1 L", flow="4 L/min", row=TELLS)
    assert "tray-outlet-hole" in {one.code for one in check(read_text(text, "h"))}
    plain = HOUSE.format(keys=DRAIN, flow="4 L/min", row=TELLS)
    assert [one for one in check(read_text(plain, "h")) if one.where == "places: tray"] == []


@pytest.mark.parametrize("keys", [", drains: 2 mm", ", pump: {to: pipe}", ", pump: {flow: 3 L/min, to: study}"])
def test_bad_keys_are_told_at_the_tray(keys: str) -> None:
    with pytest.raises(DesignError) as refused:
        house(keys)
    assert any("tray" in one.where for one in refused.value.findings)
