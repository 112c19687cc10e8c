"""Whole runs against a second method: plain fixed steps, written from the designs' figures and our references alone.

``tests/plant/reference.py`` knows nothing of the program; each house stands here as text for the program, and in SI,
converted by hand, for the reference. Litres within 1 %, times within a step or 1 %, salinity within 0.05 g/kg; which
protection or person ended the water, how often it began again, and whether it still runs must be the same.
"""

from __future__ import annotations

import math
from functools import cache

import pytest

from dewpond.design.reader import read_text
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.stopping import BY_ITSELF
from tests.plant import reference as ref
from tests.plant.reference import (
    QUARTER,
    RHO,
    Element,
    Feed,
    G,
    Place,
    Result,
    Tank,
    hole,
    kv,
    orifice,
    purified,
    tile,
    tray,
    tube,
)

HOUR, DAY, LITRE = 3600.0, 86400.0, 1e-3
PER_MINUTE = 1e-3 / 60.0
AT = 600.0  # faults with a moment of their own come then [s]

HEAD = """
format: 1
title: A house for a second method (invented)
shown in: metric
supply: {pressure: 4 bar, temperature: {winter: 15 C, summer: 20 C}, dissolved solids: 240 ppm}
places:
  cellar:       {kind: room, size: 2 m x 2 m, floor: glazed tile}
  laundry:      {kind: room, size: 3 m x 2 m, floor: glazed tile}
  gully:        {kind: waste drain, in: laundry}
  study:        {kind: room, size: 4 m x 3 m, floor: glazed tile, leads to: hall}
  hall:         {kind: room, size: 4 m x 3 m, floor: glazed tile}
  cabinet:      {kind: tray, in: study, size: 80 cm x 45 cm, rim: 40 mm}
"""
KEEPER = """
people:
  keeper:       {day: {at home awake: 8 h, asleep: 8 h, out: 8 h}, reaches the stop tap in: 10 min}
"""
RESERVOIR = """
  float:        {kind: float valve, after: riser, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}
  reservoir:    {kind: reservoir, in: cabinet, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above tray,
                 overflow: none, starts at: 265 mm}
"""
SOLENOID = (
    HEAD
    + """
water:
  stop tap:     {kind: hand valve, after: supply, in: cellar}
  rise:         {kind: tubing, after: stop tap, length: 10 m, through: [cellar, laundry]}
  feed valve:   {kind: solenoid valve, after: rise, in: laundry, without power: shut, driven by: box}
  riser:        {kind: tubing, after: feed valve, length: 12 m, lengths: [3 m, 9 m], through: [laundry, study]}
"""
    + RESERVOIR
    + """
sensors:
  probe:        {kind: leak probe, in: study, at: low corner, wired to: box, contact: closes when wet,
                 read as wet when: closed, reached by: 3 L, seen to work with purified water: 2026-11-02}
controllers:
  box:          {power: house power, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}
power:
  house power:  {}
matrix:
  - {cause: probe wet, effect: {feed valve: shut}, until: re-armed by hand when dry}
"""
    + KEEPER
)
CELLS = (
    HEAD
    + """
water:
  stop tap:     {kind: hand valve, after: supply, in: cellar}
  cell valve:   {kind: battery leak valve, after: stop tap, in: laundry, when its probe dries: opens again,
                 probe: {in: study, at: low corner, reached by: 8 L, seen to work with purified water: 2026-11-02}}
  riser:        {kind: tubing, after: cell valve, length: 12 m, lengths: [3 m, 9 m], through: [laundry, study]}
"""
    + RESERVOIR
    + KEEPER
)
PURIFIED = (
    HEAD
    + """
water:
  stop tap:     {kind: hand valve, after: supply, in: laundry}
  membrane:     {kind: membrane, after: stop tap, in: laundry, rated: 75 gal/day at 50 psi and 25 C,
                 restrictor: 0.8 L/min at 3.45 bar, waste to: gully}
  shut-off:     {kind: automatic shut-off, on: membrane, closes at: 67 %}
  check:        {kind: check valve, after: membrane, in: laundry}
  riser:        {kind: tubing, after: check, length: 8 m, through: [laundry, study]}
"""
    + RESERVOIR
    + KEEPER
)
TANK = (
    HEAD
    + """
water:
  reservoir:    {kind: reservoir, in: study, footprint: 60 cm x 40 cm, rim: 400 mm, bottom: 2 cm above floor,
                 overflow: none, starts at: 360 mm}
  pump:         {kind: top-off pump, from: reservoir, to: sump, flow: 60 L/h, outlet: 60 cm above floor,
                 driven by: box, dry below: 40 mm, vent hole above the water: present}
  sump:         {kind: sump, in: study, bottom: 10 cm above floor, footprint: 80 cm x 40 cm, rim: 400 mm,
                 running level: 240 mm, baffle: 280 mm, rises when the return pump stops: RISES,
                 return chamber: 20 cm x 40 cm, return pump needs: 120 mm}
  reef:         {kind: display tank, drains to: sump, surface: 100 cm x 50 cm, volume: 250 L, salinity: 35 g/kg,
                 free above water: 20 mm, evaporation: 6 L/day, power: house power}
sensors:
  low mark:     {kind: level switch, type: float, in: sump, calls at: 232 mm, is satisfied at: 240 mm, wired to: box,
                 contact: closes when low, read as low when: closed}
controllers:
  box:          {power: house power, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}
power:
  house power:  {}
matrix:
  - {cause: low mark low, effect: {pump: running}LIMIT, until: cause ends}
"""
    + KEEPER
)
LIMIT = (
    ", at most: 15 min a run, "
    "when a run is too long: {effect: stopped, until: re-armed by hand when the level is normal}"
)


@cache
def plant_of(text: str) -> Plant:
    return lower(read_text(text, "house.yaml"), "winter")


def tank(rises: str = "60 mm", limit: str = "") -> str:
    return TANK.replace("RISES", rises).replace("LIMIT", limit)


def run(text: str, horizon: float, *labels: str, who: str = "travelling") -> Consequence:
    plant = plant_of(text)
    onsets = []
    for label in labels:
        timing = plant.fault(label).timing
        onsets.append(Onset(label, {"latent": 0.0, "triggered": -1.0}.get(timing, AT)))
    return judge(plant, engine.run(plant, Scenario(who, horizon, tuple(onsets), STARTS[who]), compiled=True))


def agree(told: Consequence, own: Result, step: float, stopper: str = "", end: float = 0.01) -> None:
    """Both in all that is compared; ``stopper``: words of the program for what the reference says ended the water.

    ``end``: how near the ends must lie; an ebb is followed in steps of ten minutes, right in litres, less so in time.
    """
    assert told.by_place == {name: pytest.approx(v, rel=0.01) for name, v in own.places.items()}
    assert told.water.to_drain == pytest.approx(own.drain, rel=0.01, abs=1e-6)
    assert (told.reopenings, told.still_running) == (own.reopenings, own.running)
    for one, other in (
        (told.first_water, own.first), (told.reservoir_empty, own.reservoir_empty),
        (told.return_pump_dry, own.return_dry),
    ):  # fmt: skip
        assert (one is None) == (other is None), (one, other)
        assert one is None or one == pytest.approx(other, rel=0.01, abs=2.0 * step)
    assert (told.stopped is None) == (own.stopped is None), (told.stopped, own.stopped)
    if own.stopped is not None:
        assert told.stopped == pytest.approx(own.stopped, rel=end, abs=2.0 * step)
    if own.stopper is not None:
        assert told.stopped_by is not None
        assert stopper in told.stopped_by
    elif own.stopped is not None:
        assert told.stopped_by == BY_ITSELF
    if own.last is not None:
        (salt,) = told.tanks
        assert (salt.lowest, salt.highest, salt.end) == pytest.approx((own.lowest, own.highest, own.last), abs=0.05)


# --- the feed side ----------------------------------------------------------------------------------------------------
HOLE = 4e5 + RHO * G * (0.5 - 0.1)  # supply half a metre up, tube a tenth (docs/kinds.md) [Pa]
TAP = orifice(kv(12.0 * PER_MINUTE))  # docs/kinds.md: hand valve
RISE = tube(QUARTER, 5.0, 3.0)  # 10 m and two elbows (docs/kinds.md) in two places
OPEN = orifice(hole(QUARTER))


def study_and_hall() -> dict[str, Place]:
    return {"study": tile(4, 3, leads_on=True), "hall": tile(4, 3, leads_on=False)}


def behind_the_valve(valve: float) -> tuple[ref.Loss, ...]:
    return (TAP, orifice(valve), tube(QUARTER, 3.0, 3.0), OPEN)


def test_burst_behind_a_solenoid_is_ended_by_its_probe_and_stays_ended() -> None:
    losses = (RISE, RISE, *behind_the_valve(kv(0.15 / 3600.0)))
    own = Feed(HOLE, losses, study_and_hall(), AT, 3.0 * LITRE, "feed valve").run(DAY, 0.5)
    assert own.stopper == "feed valve"
    agree(run(SOLENOID, DAY, "riser: burst, in study"), own, 0.5, "feed valve shuts")


def test_burst_before_the_solenoid_runs_on() -> None:
    own = Feed(HOLE, (TAP, RISE, OPEN), {"laundry": tile(3, 2, leads_on=False)}, AT).run(6 * HOUR, 0.5)
    agree(run(SOLENOID, 6 * HOUR, "rise: burst, in laundry"), own, 0.5)


def test_person_at_home_sees_the_water_and_shuts_the_tap() -> None:
    """After half an hour with a puddle of half a litre, and ten minutes' way."""
    losses = (RISE, RISE, *behind_the_valve(kv(0.15 / 3600.0)))
    own = Feed(HOLE, losses, study_and_hall(), AT, sees=1800.0, walks=600.0).run(4 * HOUR, 0.5)
    assert own.stopper == "stop tap"
    told = run(SOLENOID, 4 * HOUR, "riser: burst, in study", "probe: wire cut", who="at home")
    agree(told, own, 0.5, "keeper shuts stop tap by hand")


@pytest.mark.slow
def test_cell_valve_that_opens_when_its_probe_dries_lets_water_out_again_and_again() -> None:
    losses = behind_the_valve(kv(8.0 * PER_MINUTE))
    own = Feed(HOLE, losses, study_and_hall(), AT, 8.0 * LITRE, "cell valve", opens_again=True).run(6 * DAY, 0.25)
    assert own.reopenings == 12
    agree(run(CELLS, 6 * DAY, "riser: burst, in study"), own, 0.25)


INTO_UNIT = (TAP, orifice(kv(5.0 * PER_MINUTE)))  # docs/kinds.md: hand valve; membrane, its shut-off's body
AREA = math.pi * QUARTER**2 / 4.0


def back(length: float, heads: float, end: float, lift: float) -> Element:
    """The unit behind which stand a check valve (opens at 50 mbar, 10 velocity heads: docs/kinds.md), tube, an end."""
    valve, line = orifice(10.0 * 1000.0 / (2.0 * AREA * AREA)), tube(QUARTER, length, heads)
    return Element(4e5, INTO_UNIT, lambda q: 5e3 + valve(q) + line(q) + end * q * q + RHO * G * lift)


@pytest.mark.slow
def test_float_stuck_open_fills_reservoir_tray_and_room() -> None:
    product, waste = back(8.0, 6.0, hole(3e-3), 0.02 + 0.30 - 0.5).flows()
    rooms = {"cabinet": tray(0.80, 0.45, 0.04), **study_and_hall()}
    own = purified(product, waste, (0.16, 0.265, 0.30), rooms, DAY, 0.5)
    assert own.places.keys() == {"cabinet", "study", "hall"}
    agree(run(PURIFIED, DAY, "float: stuck open"), own, 0.5)


@pytest.mark.slow
def test_burst_behind_the_membrane_lets_out_product_and_waste() -> None:
    product, waste = back(4.0, 3.0, hole(QUARTER), 0.1 - 0.5).flows()
    own = purified(product, waste, None, study_and_hall(), DAY, 0.5, AT)
    agree(run(PURIFIED, DAY, "riser: burst, in study"), own, 0.5)


def test_waste_runs_for_ever_when_the_shut_off_fails() -> None:
    _, waste = back(8.0, 6.0, hole(3e-3), 0.0).flows(makes=False)
    own = purified(0.0, waste, (0.16, 0.265, 0.30), {}, 7 * DAY, 1.0)
    assert own.drain > 5.0
    agree(run(PURIFIED, 7 * DAY, "shut-off: waste water runs on"), own, 1.0)


# --- tank, sump, reservoir --------------------------------------------------------------------------------------------
@pytest.mark.slow
def test_pump_that_runs_on_empties_the_reservoir_over_the_rim_of_the_sump() -> None:
    own = Tank().run(12 * HOUR, 0.5, runs_on=True)
    assert own.places["study"] > 10.0 * LITRE
    agree(run(tank(), 12 * HOUR, "pump: runs on"), own, 0.5)


@pytest.mark.slow
def test_box_that_hangs_while_it_drives_the_pump() -> None:
    own = Tank().run(DAY, 0.5, hangs_driving=True)
    agree(run(tank(limit=LIMIT), DAY, "box: hangs while it drives pump"), own, 0.5)


@pytest.mark.slow
def test_run_limit_ends_a_run_for_good() -> None:
    """A switch that shows low water for ever: a quarter of an hour of pump, then none; the return pump runs dry."""
    own = Tank(limit=900.0).run(5 * DAY, 0.5, stuck_low=True)
    assert own.return_dry is not None
    told = run(tank(limit=LIMIT), 5 * DAY, "low mark: float stuck low")
    agree(told, own, 0.5)
    ended = [m.time for m in told.moments if m.text.startswith("box ends its order to run pump")]
    assert ended == [pytest.approx(own.act, abs=1.0)]


@pytest.mark.slow
@pytest.mark.parametrize("rises", [195, 199, 200, 201, 220])
def test_power_cut_drains_the_display_over_the_rim_of_the_sump_and_top_off_replaces_it(rises: int) -> None:
    """The trickle at the end takes half an hour; its date moves with the drain-down evenly, in both methods."""
    own = Tank(rises=rises / 1000.0).run(DAY, 0.25, dark=(AT, AT + 9 * HOUR))
    assert own.places["study"] > LITRE
    agree(run(tank(f"{rises} mm"), DAY, "house power: cut for 9 h"), own, 0.25, end=0.04)


@pytest.mark.slow
def test_blocked_overflow_sends_the_reservoir_over_the_rim_of_the_display() -> None:
    own = Tank().run(12 * HOUR, 0.25, blocked=AT)
    assert own.return_dry is not None
    agree(run(tank(), 12 * HOUR, "reef: display overflow blocked"), own, 0.25)


@pytest.mark.slow
def test_without_top_off_the_return_pump_draws_air() -> None:
    own = Tank().run(3 * DAY, 0.5, no_pump=True)
    assert own.return_dry is not None
    agree(run(tank(), 3 * DAY, "pump: does not run"), own, 0.5)
