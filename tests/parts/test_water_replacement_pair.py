"""A water replacement pair: whole runs of a tank whose level a top-off holds, against the balance of salt.

With q_out taken and q_in of S_new put in, V dC/dt = q_in C_new - q_out C; so C goes to C_new q_in / q_out by
exp(-q_out t / V). C is salt by volume, and not quite as the salinity: a share of 0.9 of it at 35 is 31.58 by TEOS-10,
31.5 by the balance by mass of the dossier, for sea water of 35 is a quarter of a per cent denser than that of 31.5.
"""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.water_replacement_pair import KIND, given, portion_lasts
from dewpond.physics import salinity
from dewpond.physics.seawater import density
from dewpond.plant import engine
from dewpond.plant.consequence import judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

# 300 L under 0.72 m2, evaporating 4 L a day, and a mark 1 mm (0.72 L) down that is satisfied at once.
HOUSE = """
format: 1
title: A tank whose water is replaced (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 0 ppm}}
places:
  study:  {{kind: room, size: 4 m x 3 m, floor: glazed tile, air temperature: {{winter: 25 C, summer: 25 C}}}}
  drain:  {{kind: waste drain, in: study}}
water:
  tap:    {{kind: hand valve, after: supply, in: study}}
  jar:    {{kind: reservoir, in: study, footprint: 100 cm x 100 cm, rim: 600 mm, starts at: 580 mm, overflow: none}}
  doser:  {{kind: dosing pump, from: jar, to: reef, flow: 20 L/h, outlet: 140 cm above floor, driven by: box}}
  reef:   {{kind: display tank, in: study, bottom: 75 cm above floor, surface: 120 cm x 60 cm, volume: 300 L,
           salinity: 35 ppt, evaporation: {evaporates} L/day, free above water: 60 mm}}
  barrel: {{kind: mixing vessel, after: tap, in: study, footprint: 100 cm x 100 cm, rim: 900 mm, holds: salt water,
           stands usually: {new} mm, salinity: 35 ppt}}
  pair:   {{kind: water replacement pair, of: reef, from: barrel, waste to: drain, a day: 5 L, portions: 24,
           takes down to: 20 cm below rim, outlet: 140 cm above floor, its time in a power cut: kept, {more}}}
sensors:
  low:    {{kind: level switch, in: reef, at: 61 mm below rim, hysteresis: 1 mm, wired to: box,
           contact: closes when low,
           read as low when: closed}}
controllers:
  box:    {{power: sockets, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
matrix:
  - {{cause: low low, effect: {{doser: running}}, at most: 1 h a run, until: cause ends}}
"""
JUGS = "measured: {out: 208.3333 mL, in: 187.5 mL}"  # 5.0 and 4.5 L in 24 portions
LITRE = 1e-3


def text(more: str = JUGS, new: int = 800, evaporates: float = 4.0) -> str:
    return HOUSE.format(more=more, new=new, evaporates=evaporates)


def house(more: str = JUGS, new: int = 800, evaporates: float = 4.0) -> Plant:
    return lower(read_text(text(more, new, evaporates), "house.yaml"))


def run(plant: Plant, days: float, *labels: str) -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario("travelling", days * DAY, onsets, STARTS["travelling"]), compiled=True)


def litres(plant: Plant, trace: Trace, vessel: str = "reef") -> float:
    return trace.volume[plant.stores.index(vessel)] / LITRE


def share(plant: Plant, trace: Trace) -> float:
    """Salt by volume in the tank over that at the beginning."""
    body = plant.arrays.store_body[plant.stores.index("reef")]
    return trace.salt[body] / trace.volume[plant.stores.index("reef")] / plant.arrays.body_start[body]


def drifting(out: float, into: float, days: float, volume: float = 300.0) -> float:
    """The closed form, over the salt at the beginning; litres a day."""
    return into / out + (1.0 - into / out) * math.exp(-out * days / volume)


# --- in order --------------------------------------------------------------------------------------------------------
def test_ten_percent_less_in_than_out_costs_2_7_in_a_season_dossier() -> None:
    """Out 5.0 and in 4.5 L a day: 32.28 after 90 days, 31.5 for ever, by the dossier's balance by mass."""
    plant = house()
    trace = run(plant, 90.0)
    wanted = drifting(5.0, 4.5, 90.0)
    assert 35.0 * wanted == pytest.approx(32.28, abs=0.01)
    assert litres(plant, trace) == pytest.approx(300.0, abs=1.5)
    assert share(plant, trace) == pytest.approx(wanted, rel=2e-3)
    assert litres(plant, trace, "barrel") == pytest.approx(800.0 - 4.5 * 90.0, rel=5e-3)
    assert judge(plant, trace).water.to_drain / LITRE == pytest.approx(450.0, rel=5e-3)


def test_for_ever_it_is_nine_tenths_and_by_mass_a_little_less_teos10() -> None:
    """By the second method, constant_rates by mass, it goes to 31.5; by volume to what is 31.58 by mass."""
    assert drifting(5.0, 4.5, 3000.0) == pytest.approx(0.9, abs=1e-6)
    by_mass, _ = salinity.constant_rates(35.0, 300.0, 9.0 / DAY, 17.5, 5.0 / DAY, 4.0 / DAY, 3000.0 * DAY)
    assert by_mass == pytest.approx(31.5, abs=1e-3)
    assert 31.58 * density(31.58, 298.15) == pytest.approx(0.9 * 35.0 * density(35.0, 298.15), rel=5e-4)


def test_a_week_of_it_is_not_seen() -> None:
    plant = house()
    assert 35.0 * (1.0 - share(plant, run(plant, 7.0))) < 0.5


@pytest.mark.parametrize(
    ("more", "out", "into"),
    [
        ("mismatch: 10 %, gives less: in", 5.0, 4.5),
        ("mismatch: 10 %, gives less: out", 4.5, 5.0),
        ("gives less: in", 5.0, 4.65),
        ("measured: {out: 200 mL, in: 200 mL}", 4.8, 4.8),
    ],
)
def test_what_each_gives_is_that_of_the_jugs_or_of_the_mismatch(more: str, out: float, into: float) -> None:
    plant = house(more)
    trace = run(plant, 20.0)
    assert (800.0 - litres(plant, trace, "barrel")) / 20.0 == pytest.approx(into, rel=5e-3)
    assert judge(plant, trace).water.to_drain / LITRE / 20.0 == pytest.approx(out, rel=5e-3)
    assert share(plant, trace) == pytest.approx(drifting(out, into, 20.0), rel=2e-3)


def test_a_portion_lasts_as_long_as_its_litres_take() -> None:
    part = sampled(KIND, "it", {}, {"a day": 6e-3, "portions": 12, "flow": 3e-3 / 3600.0, "mismatch": 0.1})
    assert portion_lasts(part) == pytest.approx(600.0)
    assert given(part) == pytest.approx((6e-3, 5.4e-3))


# --- faults ----------------------------------------------------------------------------------------------------------
EVEN = "measured: {out: 208.3333 mL, in: 208.3333 mL}"


@pytest.mark.parametrize("fault", ["in pump stops", "new water used up"])
def test_without_new_water_the_salt_goes_out_with_the_old_dossier(fault: str) -> None:
    """S0 exp(-q t / V) with 5 L a day: 35 falls to 27.7 in two weeks, the level stays."""
    plant = house(EVEN)
    trace = run(plant, 14.0, f"pair: {fault}")
    assert share(plant, trace) == pytest.approx(math.exp(-5.0 * 14.0 / 300.0), rel=2e-3)
    assert litres(plant, trace) == pytest.approx(300.0, abs=1.5)


def test_new_water_that_runs_out_stops_coming() -> None:
    """30 L over the inlet at 20 mm: six days of it, then fresh water takes its place."""
    plant = house(EVEN, new=50)
    trace = run(plant, 14.0)
    assert share(plant, trace) == pytest.approx(math.exp(-5.0 * (14.0 - 6.0) / 300.0), rel=5e-3)
    assert any("draws air" in moment.text for moment in judge(plant, trace).moments)


def test_out_pump_that_stops_lets_the_water_rise_and_the_top_off_rest() -> None:
    """5 L a day in, 4 evaporate: 1 L a day more, salt and all; at 6 cm over 0.72 m2 (43 L) it runs over the rim."""
    plant = house(EVEN)
    trace = run(plant, 14.0, "pair: out pump stops")
    assert litres(plant, trace) == pytest.approx(300.0 + 14.0, abs=1.5)
    salt = (300.0 + 5.0 * 14.0) / 300.0
    assert share(plant, trace) * litres(plant, trace) / 300.0 == pytest.approx(salt, rel=2e-3)
    assert litres(plant, trace, "jar") == pytest.approx(580.0, abs=2.5), "the top-off hardly runs"
    late = judge(plant, run(house(EVEN, evaporates=1.0), 14.0, "pair: out pump stops"))
    assert late.on_floors / LITRE == pytest.approx(4.0 * 14.0 - 43.2, abs=2.0)


def test_out_pump_that_runs_on_takes_its_flow_all_day() -> None:
    """As a portion of 208 mL takes 250 s at 3 L/h: 72 L a day; fresh water holds the level, at 20 L/h."""
    plant = house(EVEN)
    trace = run(plant, 2.0, "pair: out pump runs on")
    assert judge(plant, trace).water.to_drain / LITRE == pytest.approx(144.0, rel=5e-3)
    out, into = 72.0, 5.0
    assert share(plant, trace) == pytest.approx(drifting(out, into, 2.0), rel=5e-3)


def test_in_pump_that_runs_on_ends_with_the_new_water_and_runs_over() -> None:
    plant = house(EVEN, new=200)
    told = judge(plant, run(plant, 5.0, "pair: in pump runs on"))
    # 180 L come in within 2.5 days, 12.5 go out, 10 evaporate (the top-off rests), 43 find room; the rest runs over.
    assert told.on_floors / LITRE == pytest.approx(180.0 - 12.5 - 10.0 - 43.2, abs=4.0)


@pytest.mark.parametrize(("fault", "runs"), [("clock stops while on", 144.0), ("clock stops while off", 0.0)])
def test_clock_that_stands_runs_both_or_none(fault: str, runs: float) -> None:
    plant = house(EVEN)
    trace = run(plant, 2.0, f"pair: {fault}")
    assert judge(plant, trace).water.to_drain / LITRE == pytest.approx(runs, rel=5e-3, abs=0.5)
    assert 800.0 - litres(plant, trace, "barrel") == pytest.approx(runs, rel=5e-3, abs=0.5)


def test_out_tube_siphons_down_to_where_it_hangs() -> None:
    """A hole of 0.3 mm (0.7) under a fall from the tank into the drain: some litres an hour, until the tube hangs in
    air; with its end above the water nothing runs."""
    plant = house(EVEN)
    trace = run(plant, 1.0, "pair: out tube siphons")
    a_day = judge(plant, trace).water.to_drain / LITRE
    area, fall = 0.25 * math.pi * 0.3e-3**2, 1.17  # 75 cm and 42 cm of water above the end of the tube
    rests = DAY - 24.0 * 250.0
    assert a_day - 5.0 == pytest.approx(0.7 * area * math.sqrt(2.0 * 9.80665 * fall) * rests / LITRE, rel=0.02)
    high = house(f"{EVEN}, out tube ends at: 140 cm")
    dry = judge(high, run(high, 1.0, "pair: out tube siphons")).water.to_drain / LITRE
    assert dry == pytest.approx(5.0, rel=0.05)


@pytest.mark.parametrize("which", ["the out pump", "the in pump"])
def test_a_split_tube_wets_the_floor_portion_by_portion(which: str) -> None:
    plant = house(EVEN)
    told = judge(plant, run(plant, 2.0, f"pair: tube split, of {which}"))
    assert told.on_floors / LITRE > 2.0


def test_dead_with_its_circuit_and_right_again_after_it() -> None:
    plant = house(f"{EVEN}, power: wall")
    trace = run(plant, 2.0, "wall: trips until someone comes")
    assert judge(plant, trace).water.to_drain == pytest.approx(0.0, abs=1e-6)
    an_hour = run(plant, 2.0, "wall: cut for an hour")
    assert judge(plant, an_hour).water.to_drain / LITRE == pytest.approx(10.0 - 5.0 / 24.0, rel=0.03)


# --- bad input -------------------------------------------------------------------------------------------------------
BAD = {
    ("a day: 5 L", "a day: 90 L"): "pair-too-slow",
    ("from: barrel", "from: reef"): "pair-one-vessel",
    ("187.5 mL", "100 mL"): "pair-jugs",
    ("portions: 24", "portions: 0"): "D053",
    ("portions: 24", "portions: 24, begins at: 24:30"): "D052",
    (JUGS, "mismatch: 80 %"): "D053",
    (JUGS, "gives less: left"): "D054",
    ("of: reef", "of: study"): "D062",
}


@pytest.mark.parametrize("change", BAD)
def test_what_cannot_be_is_told(change: tuple[str, str]) -> None:
    whole = text()
    assert whole.count(change[0]) == 1, change
    try:
        findings = check(read_text(whole.replace(*change), "house.yaml"))
    except DesignError as refused:
        findings = refused.findings
    assert BAD[change] in {one.code for one in findings if "pair" in one.where}


def test_checks_object_to_nothing_of_it() -> None:
    assert [one for one in check(read_text(text(), "house.yaml")) if one.where == "water: pair"] == []


# --- what is asked and said of it -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("more", "asked"), [(JUGS, False), ("portions: 24", True), (f"{JUGS}, gives less: unknown", False)]
)
def test_which_gives_less_is_not_asked_once_both_jugs_were_filled(more: str, asked: bool) -> None:
    design = read_text(text(more.replace("portions: 24", "mismatch: 5 %")), "house.yaml")
    told = {one.key for one in (*design.unknowns, *design.assumed) if one.part == "pair"}
    assert ("gives less" in told) == asked
    assert asked or "mismatch" not in told


@pytest.mark.parametrize(("holds", "told"), [("holds: salt water", False), ("holds: purified water", True)])
def test_new_water_without_salt_is_told_with_what_it_does_in_a_month(holds: str, told: bool) -> None:
    """35 exp(-5 L x 30 / 300 L) = 21.2 ppt."""
    design = read_text(text().replace("holds: salt water", holds), "house.yaml")
    found = [one for one in check(design) if one.code == "D272"]
    assert [one.where for one in found] == (["water: pair"] if told else [])
    assert all("from 35 ppt to about 21 ppt in 30 days" in one.what and '"barrel"' in one.what for one in found)
