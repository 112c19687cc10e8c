"""What is made of a trace: which protections were reached and did not act, and where the water went."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.balance import Product
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.stopping import RAN_OUT

HOUSE = """
format: 1
title: A house with a probe in its cabinet (invented)
shown in: metric
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 240 ppm}}
places:
  laundry:      {{kind: room, size: 2 m x 1 m, floor: glazed tile, drain: gully}}
  gully:        {{kind: waste drain, in: laundry}}
  study:        {{kind: room, size: 4 m x 3 m, floor: glazed tile, leads to: hall}}
  hall:         {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  cabinet:      {{kind: tray, in: study, size: 80 cm x 45 cm, rim: 40 mm}}
water:
  stop tap:     {{kind: hand valve, after: supply, in: laundry}}
  feed valve:   {{kind: solenoid valve, after: stop tap, in: laundry, without power: shut, driven by: box}}
  membrane:     {{kind: membrane, after: feed valve, in: laundry, rated: 75 gal/day at 50 psi and 25 C,
                 waste to: gully}}
  shut-off:     {{kind: automatic shut-off, on: membrane, closes at: 67 %}}
  check:        {{kind: check valve, after: membrane, in: laundry}}
  tube:         {{kind: tubing, after: check, length: 6 m, through: [cabinet]}}
  float:        {{kind: float valve, after: tube, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:    {{kind: reservoir, in: cabinet, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above tray,
                 overflow: none, starts at: {starts}}}
  pump:         {{kind: top-off pump, from: reservoir, to: reef, flow: 60 L/h, outlet: 130 cm above floor,
                 driven by: box, dry below: 60 mm, vent hole above the water: present}}
  reef:         {{kind: display tank, in: study, surface: 60 cm x 40 cm, volume: 75 L, salinity: 33 ppt,
                 free above water: 60 mm}}
sensors:
  low mark:     {{kind: level switch, type: optical, in: reef, calls at: 62 mm below rim,
                 is satisfied at: 58 mm below rim, wired to: box, contact: closes when low, read as low when: closed}}
  probe:        {{kind: leak probe, in: cabinet, at: low corner, wired to: box, contact: closes when wet,
                 read as wet when: closed, seen to work with purified water: {seen}}}
  second:       {{kind: leak probe, in: laundry, at: under the unit, wired to: box, contact: closes when wet,
                 read as wet when: closed, seen to work with purified water: 2026-11-02}}
controllers:
  box:          {{power: house power, after a restart: {{trips: kept, counts: kept}}, when it hangs: keeps last order}}
power:
  house power:  {{}}
matrix:
  - {{cause: probe wet or second wet, effect: {{feed valve: shut, pump: stopped}}, until: re-armed by hand when dry}}
  - {{cause: low mark low, effect: {{pump: running}}, at most: 10 min a run, per day: 9 L,
     when a run is too long: {{effect: stopped, until: re-armed by hand when the level is normal}}}}
people:
  keeper:       {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
IN_CABINET = "tube: joint blows off, in cabinet"
AT_UNIT = "membrane: joint blows off, on its feed side"


def house(seen: str = "2026-11-02", starts: str = "200 mm") -> Plant:
    design = read_text(HOUSE.format(seen=seen, starts=starts), "house.yaml")
    return lower(design)


def run(
    plant: Plant, *labels: str, who: str = "travelling", days: float = 2.0, later: tuple[Onset, ...] = ()
) -> Consequence:
    latent = {f.label for f in plant.faults if f.timing == "latent"}
    onsets = tuple(Onset(label, 0.0 if label in latent else 3600.0) for label in labels) + later
    return judge(plant, engine.run(plant, Scenario(who, days * DAY, onsets, STARTS[who]), compiled=True))


# --- protections that were reached and did not act -------------------------------------------------------------------


def test_probe_that_works_shuts_the_valve_and_nothing_has_failed() -> None:
    told = run(house(), IN_CABINET)
    assert (told.failed, told.unordered, told.still_running) == ((), (), False)


def test_blind_probe_is_named_with_the_valve_behind_it_and_its_reason() -> None:
    """No fault of the run silences it: its answer is unknown, and taken so."""
    told = run(house(seen="unknown"), IN_CABINET)
    assert (told.failed, told.unordered) == (("feed valve", "probe"), ("feed valve",))
    (silent,) = [m for m in told.moments if m.kind == "silent"]
    assert silent.text == (
        "probe, the probe in cabinet, lies wet and says nothing: it is taken as blind to purified water until it has "
        "been seen to work with it (see “seen to work with purified water”)"
    )
    assert told.still_running


@pytest.mark.parametrize("fault", ["electrically dead", "wire cut"])
def test_probe_that_lies_wet_and_dead_is_named_with_the_valve_behind_it(fault: str) -> None:
    told = run(house(), IN_CABINET, f"probe: {fault}")
    assert (told.failed, told.unordered) == (("feed valve", "probe"), ("feed valve",))
    assert [m.text for m in told.moments if m.kind == "silent"] == [
        "probe, the probe in cabinet, lies wet and says nothing"
    ]


@pytest.mark.slow
def test_valve_with_a_blind_probe_of_its_own_is_named(repository: Path) -> None:
    """Purified water runs over the probe of the battery valve, which nobody has seen to work with it."""
    design = read(repository / "examples" / "two_tanks.yaml")
    told = run(lower(design), "check: joint blows off")
    assert (told.failed, told.unordered) == (("cell valve",), ())
    (silent,) = [m for m in told.moments if m.kind == "silent"]
    assert "the probe of cell valve in laundry lies wet and the valve does nothing: it is taken as blind" in silent.text
    assert silent.text.endswith("(see “probe: seen to work with purified water”)")
    seen = design.with_unknown("cell valve", "probe: seen to work with purified water", "seen")
    assert run(lower(seen), "check: joint blows off").failed == ()


def test_probe_put_aside_is_named_though_no_water_touches_it() -> None:
    told = run(house(), IN_CABINET, "probe: moved away")
    assert (told.failed, told.unordered) == (("feed valve", "probe"), ("feed valve",))
    assert [m for m in told.moments if m.kind == "silent"] == []


def test_blocked_overflow_has_failed_only_where_water_came_to_it() -> None:
    """Water stands at its marks below the overflow until a float sticks open."""
    text = HOUSE.format(seen="2026-11-02", starts="200 mm").replace(
        "overflow: none", "overflow: {at: 285 mm, bore: 20 mm, to: gully}"
    )
    plant = lower(read_text(text, "house.yaml"))
    blocked = "reservoir: overflow blocked"
    alone, both = run(plant, blocked), run(plant, blocked, "float: stuck open")
    assert (alone.on_floors, alone.failed) == (0.0, ())
    assert both.by_place["cabinet"] > 0.0
    assert "reservoir" in both.failed
    assert "reservoir" not in run(plant, "float: stuck open").failed


def test_dead_probe_that_no_water_reaches_has_not_failed() -> None:
    told = run(house(), AT_UNIT, "probe: electrically dead")
    assert (told.failed, told.unordered) == ((), ())


def test_valve_that_another_probe_has_shut_is_not_named() -> None:
    """The cabinet's probe is blind, but the one beside the unit sees house water and shuts the valve."""
    told = run(house(seen="unknown"), IN_CABINET, later=(Onset(AT_UNIT, 36000.0),))
    assert told.failed == ("probe",)


def test_box_that_hangs_is_named_and_so_is_the_valve_that_it_did_not_shut() -> None:
    told = run(house(), IN_CABINET, "box: hangs")
    assert (told.failed, told.unordered) == (("box", "feed valve"), ("feed valve",))


def test_valve_that_was_told_to_and_sticks_is_no_unordered_one() -> None:
    told = run(house(), IN_CABINET, "feed valve: does not close")
    assert (told.failed, told.unordered) == (("feed valve",), ())


# --- water -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("labels", [
    (), (IN_CABINET, "probe: electrically dead"), (AT_UNIT, "second: electrically dead"), ("reservoir: cracks",),
    ("reef: seam leaks",),
])  # fmt: skip
def test_water_that_came_is_water_that_went_or_is_there(labels: tuple[str, ...]) -> None:
    water = run(house(), *labels).water
    went = water.to_drain + water.off_floors + water.dried + water.evaporated
    assert water.supply + water.before == pytest.approx(went + water.lying + water.after, rel=1e-9)
    assert min(water.supply, water.before, water.to_drain, water.evaporated, water.after) > 0.0


def test_drain_counts_floor_water_apart_from_waste_water() -> None:
    told = run(house(), AT_UNIT, "second: electrically dead")
    water = told.water
    assert told.on_floors == told.by_place["laundry"]
    assert told.on_floors == pytest.approx(water.off_floors + water.lying + water.dried, rel=1e-9)
    assert told.onward["laundry"] == ("gully", water.off_floors)
    assert told.on_floors + water.to_drain < water.supply  # nothing is counted twice
    text = next(m.text for m in told.moments if m.part == "laundry" and "gully" in m.text)
    assert text == "the water in laundry has come to gully, and runs off there"
    assert not any("holds no more" in m.text for m in told.moments)


def test_places_in_a_row_say_what_went_on_and_whereto() -> None:
    told = run(house(), IN_CABINET, "probe: electrically dead", days=14.0)
    assert {place: to for place, (to, _) in told.onward.items()} == {"study": "hall", "cabinet": "study"}
    assert told.by_place["study"] == pytest.approx(told.onward["cabinet"][1], rel=1e-9)
    assert told.by_place["hall"] == pytest.approx(told.onward["study"][1], rel=1e-9)
    assert told.on_floors == pytest.approx(told.by_place["study"], rel=1e-9)  # each litre once
    assert any(m.text == "cabinet holds no more; the water goes on to study" for m in told.moments)


# --- tanks, reservoirs, people ---------------------------------------------------------------------------------------


def test_emptied_tank_has_no_salinity_at_the_end() -> None:
    (reef,) = run(house(), "reef: seam leaks", days=14.0).tanks
    assert reef.end is None
    assert reef.highest > 33.0
    (whole,) = run(house(), days=1.0).tanks
    assert whole.end == pytest.approx(33.0, abs=0.3)


def test_extremes_of_a_drained_tank_are_those_of_a_tank_not_of_top_off_trickling_through() -> None:
    (reef,) = run(house(), "reef: seam leaks", days=14.0).tanks
    assert reef.lowest > 5.0


def test_reservoir_drawn_down_to_the_pump_s_inlet_counts_as_empty() -> None:
    """Its feed is shut; the pump draws down to 60 mm, where 9.6 L are left that it cannot draw."""
    told = run(house(starts="80 mm"), "feed valve: stuck shut", days=14.0)
    assert told.reservoir_empty is not None
    assert told.water.after > 9e-3
    assert run(house(starts="80 mm"), days=14.0).reservoir_empty is None


@pytest.mark.slow
def test_return_pump_that_draws_air_is_put_beside_what_first_kept_its_top_off_at_rest(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    told = run(plant, "riser: burst, in study", who="at home", days=14.0)
    act = told.return_pump_dry_after
    assert told.return_pump_dry is not None
    assert act is not None
    assert act.text == "keeper shuts stop tap by hand and unplugs the top-off pumps"
    assert act.time < told.return_pump_dry
    false = run(plant, "study probe: reports water on a dry floor", days=14.0)  # the order came first, and still stands
    assert false.return_pump_dry_after is not None
    assert false.return_pump_dry_after.text.startswith("level box orders top-off pump stopped")
    alone = run(plant, "top-off pump: does not run", days=14.0)  # dry as well, by the fault itself
    assert alone.return_pump_dry is not None
    assert alone.return_pump_dry_after is not None
    assert alone.return_pump_dry_after.text == "top-off pump: does not run"


# --- purity ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("litres", "ppm"), [(0.1, 94.0), (0.25, 41.0), (1.0, 14.8), (5.0, 7.8), (10.0, 6.9)])
def test_mean_product_of_one_start_as_in_the_dossier(litres: float, ppm: float) -> None:
    """Rows of our hydraulics reference: 30 mL of 300 ppm for each start, 6 ppm in between; computed by other code."""
    made = Product("membrane", litres * 1e-3, 1.0, 0.300, 0.006, False)
    assert made.mean() * 1e3 == pytest.approx(ppm, abs=0.6 if litres < 1.0 else 0.06)


def test_product_of_an_ordinary_week_has_its_starts_and_strengths() -> None:
    plant = house(starts="250 mm")
    (made,) = run(plant, days=7.0).products
    assert made.feed == pytest.approx(0.240)
    assert made.steady == pytest.approx(0.02 * 0.240, rel=0.05)  # a rejection of 98 %
    assert made.starts >= 1.0
    assert made.volume > 0.0
    assert made.mean() > made.steady
    assert not made.followed


@pytest.fixture(scope="module")
def first_float(repository: Path) -> Plant:
    return lower(read(repository / "examples" / "first_float.yaml"), "winter")


def test_leak_that_comes_back_at_every_fill_is_not_told_as_stopped(first_float: Plant) -> None:
    told = run(first_float, "membrane: waste line off after the restrictor", days=1.0)
    assert told.still_running
    assert (told.stopped, told.stopped_by) == (None, None)
    assert told.reopenings > 4  # the top-off runs every three hours or so
    assert told.pauses is not None
    assert told.pauses < DAY


def test_power_cut_that_ends_the_water_is_named(first_float: Plant) -> None:
    cut = "living room circuit: trips until someone comes"
    onsets = (Onset("top-off pump: runs on", 0.0), Onset(cut, 5400.0))
    told = judge(first_float, engine.run(first_float, Scenario("travelling", 0.5 * DAY, onsets), compiled=True))
    assert told.first_water is not None
    assert told.first_water < 5400.0
    assert told.stopped == pytest.approx(5400.0, abs=300.0)
    assert told.stopped_by == f"{cut}{RAN_OUT}"  # the return pump stands, too, and the tank drains down for a while


def told_alone(plant: Plant, label: str, awaits: str = "") -> Consequence:
    onset = Onset(label, -1.0, awaits)
    return judge(plant, engine.run(plant, Scenario("travelling", DAY, (onset,)), compiled=True))


def test_box_that_hangs_while_it_drives_is_the_box_that_hangs_once_its_pump_starts(first_float: Plant) -> None:
    own = told_alone(first_float, "small box: hangs while it drives top-off pump")
    typed = told_alone(first_float, "small box: hangs", "top-off pump starts")
    same = replace(own, faults=typed.faults, moments=())
    assert repr(same) == repr(replace(typed, moments=()))
    assert own.on_floors > 0.01
    assert own.failed == ("small box",)
    assert not any(m.text == "top-off pump stops" for m in own.moments)


def test_what_a_fault_brings_about_in_the_first_moment_has_come_about(first_float: Plant) -> None:
    """The pump runs on from the first moment; the tank cracks once it has started, so at once."""
    onsets = (Onset("top-off pump: runs on", 0.0), Onset("reef: seam leaks", -1.0, "top-off pump starts"))
    told = judge(first_float, engine.run(first_float, Scenario("travelling", DAY, onsets), compiled=True))
    assert [m.time for m in told.moments if m.text.startswith("reef: seam leaks")] == [0.0]
    assert told.marks == ()


def test_box_whose_outputs_stop_when_it_hangs_stops_the_pump_it_drives(repository: Path) -> None:
    design = read(repository / "examples" / "first_float.yaml")
    stops = lower(design.with_unknown("small box", "when it hangs", "outputs stopped"), "winter")
    told = told_alone(stops, "small box: hangs while it drives top-off pump")
    assert told.on_floors == 0.0
    assert sum(m.text == "top-off pump starts" for m in told.moments) <= 1


def test_box_drives_what_it_orders_to_act_and_not_what_it_only_stops(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"), "winter")
    driven = {f.label for f in plant.faults if f.timing == "triggered"}
    assert driven == {f"level box: hangs while it drives {pump}" for pump in ("small doser", "top-off pump")}


def test_salinity_at_the_end_lies_between_the_extremes(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"), "winter")
    for tank in run(plant, "reef: seam leaks", days=3.0).tanks:
        assert tank.end is None or tank.lowest <= tank.end <= tank.highest, tank


def test_pump_that_runs_on_stops_when_its_plug_is_pulled(first_float: Plant) -> None:
    told = run(first_float, "top-off pump: runs on", who="at home", days=1.0)
    pulled = next(m.time for m in told.moments if m.kind == "act" and "unplugs" in m.text)
    assert any(m.time == pulled and m.text == "top-off pump stops" for m in told.moments)
    assert not any(m.time > pulled and m.text == "top-off pump starts" for m in told.moments)


def test_place_is_told_as_full_when_it_is() -> None:
    plant = house()
    scenario = Scenario(
        "travelling",
        DAY,
        (Onset(IN_CABINET, 3600.0), Onset("feed valve: does not close", 0.0), Onset("float: stuck open", 0.0)),
    )
    trace = engine.run(plant, scenario, compiled=True, rows=400)
    told = judge(plant, trace)
    wet = [m.time for m in told.moments if m.text.startswith("first water in")]
    assert wet
    assert told.first_water is not None
    assert told.first_water < min(wet) < told.first_water + 60.0  # a spoonful is no first water yet
    full = {e.ref: e.time for e in trace.events if e.code == prim.E_POOL_FULL}
    assert full
    for place, time in full.items():
        column, cap = len(plant.stores) + place, plant.arrays.place_cap[place]
        held = dict(zip(trace.row_time, (row[column] for row in trace.row_value), strict=True))
        assert max(v for t, v in held.items() if t < time) < cap * (1.0 - 1e-6)
        assert min(v for t, v in held.items() if t >= time) > 0.99 * cap


@pytest.mark.slow
def test_membrane_whose_shut_off_goes_to_and_fro_is_given_no_purity(first_float: Plant) -> None:
    (made,) = run(first_float, "check: lets water back", days=14.0).products
    assert made.starts > 1e5
    assert not made.stood
    (sound,) = run(first_float, days=14.0).products
    assert sound.stood


def test_valve_that_does_not_close_is_told_to_shut_and_stays_open(repository: Path) -> None:
    plant = lower(read(repository / "examples" / "two_tanks.yaml"), "winter")
    onsets = (Onset("feed valve: does not close", 0.0), Onset("float: stuck open", 3600.0))
    told = judge(plant, engine.run(plant, Scenario("travelling", DAY, onsets), compiled=True))
    texts = [m.text for m in told.moments]
    assert "feed valve is told to shut, and stays open" in texts
    assert "feed valve shuts" not in texts
    assert "feed valve" in told.failed
    sound = judge(plant, engine.run(plant, Scenario("travelling", DAY, onsets[1:]), compiled=True))
    assert "feed valve shuts" in [m.text for m in sound.moments]


BELOW = """
format: 1
title: A tube end drawn lower than its tank (invented)
shown in: metric
supply: {pressure: 5 bar, temperature: {winter: 6 C, summer: 20 C}, dissolved solids: 90 ppm}
places:
  bath: {kind: room, size: 2 m x 2 m, floor: glazed tile}
water:
  unit: {kind: membrane, after: supply, in: bath, measured: {product: 200 mL/min, waste: 500 mL/min, water: 15 C}}
  ball: {kind: float valve, after: unit, fills: can, starts to shut at: 190 mm, quite shut at: 195 mm}
  can:  {kind: reservoir, in: bath, footprint: 20 cm x 20 cm, rim: 220 mm, overflow: none}
  lift: {kind: top-off pump, from: can, to: tank, flow: 300 L/h, outlet: 40 cm above floor, driven by: box}
  tank: {kind: display tank, in: bath, bottom: 50 cm above floor, surface: 100 cm x 50 cm, volume: 200 L,
         salinity: 36 ppt, free above water: 10 mm}
sensors:
  low:  {kind: level switch, in: tank, calls at: 390 mm, is satisfied at: 399 mm, wired to: box, read as low when: open,
         contact: opens when low}
  wet:  {kind: leak probe, in: bath, at: low corner, wired to: box, contact: opens when wet, read as wet when: open,
         seen to work with purified water: 2026-10-01}
controllers:
  box:  {power: circuit, after a restart: {trips: kept, counts: kept}, when it hangs: outputs stopped}
matrix:
  - {cause: low low, effect: {lift: running}}
  - {cause: wet wet, effect: {lift: stopped}, until: re-armed by hand}
"""


def test_a_tube_drawn_below_the_bottom_of_a_tank_takes_no_more_than_there_is() -> None:
    """The end cannot hang there: the balance of this siphon once closed with a tank that held less than nothing."""
    plant = lower(read_text(BELOW, "below.yaml"))
    trace = engine.run(plant, Scenario("travelling", 7 * DAY), compiled=True)
    assert trace.place_total[plant.arrays.store_rref[plant.stores.index("can")]] > 0.1  # it runs back, and over
    assert min(trace.volume) >= 0.0


@pytest.mark.slow
def test_a_torn_membrane_and_a_spent_resin_show_in_what_the_vessels_get(repository: Path) -> None:
    """By hand: ten times what passes, of nearly the same feed: the tear is taken so."""
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    scenarios = [Scenario("travelling", 4 * DAY, tuple(Onset(label, 0.0) for label in labels)) for labels in (
        (), ("membrane: torn",), ("resin: exhausted",),
    )]  # fmt: skip
    (sound,), (torn,), (spent,) = (
        judge(plant, engine.run(plant, scenario, compiled=True)).products for scenario in scenarios
    )
    assert torn.sound == pytest.approx(sound.steady, rel=0.05)
    assert torn.steady == pytest.approx(10.0 * sound.steady, rel=0.1)
    assert (sound.sound, sound.spent, sound.followed) == (0.0, (), True)
    assert (spent.spent, spent.followed) == (("resin",), False)
    assert spent.steady == pytest.approx(sound.steady, rel=0.01)


def test_what_is_noticed_when_nothing_fails_too_is_no_notice_of_a_fault(repository: Path) -> None:
    """A message of every day, told to the keeper at the same time with and without the leak."""
    from dewpond.app.drilling import beside_the_ordinary
    from dewpond.study.drills import normal
    from dewpond.study.study import with_usual_notices

    plant = lower(read(repository / "examples" / "first_float.yaml"))
    leak = Scenario(
        "travelling", DAY, (Onset("stop tap: joint weeps, behind the valve", 3600.0),), STARTS["travelling"]
    )
    trace = engine.run(plant, leak, compiled=True)
    assert judge(plant, trace).first_noticed is None
    seen = replace(plant, says={s: replace(say, kind="notice") for s, say in plant.says.items()})
    assert judge(seen, trace).first_noticed is not None
    usual = with_usual_notices(seen, [engine.run(seen, normal("travelling", DAY).scenario, compiled=True)])
    assert usual.noticed_anyway["travelling"]
    assert judge(usual, trace).first_noticed is None
    assert beside_the_ordinary(seen, trace, "").told.first_noticed is None  # as a drill does it, no further than needed
