"""The flow meter: from which flow it sees, what it counts and since when, and how it fails.

Times and litres are closed forms: what a leak lets out at a known flow, counted through to a mark.
"""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.physics import water
from dewpond.plant import primitives as prim
from dewpond.plant.plant import DAY, Plant
from dewpond.proof.draft import Draft
from dewpond.report.export.files import files
from dewpond.study.matrix.build import build
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

LITRE = 1e-3
HOUSE = """
format: 1
title: A meter in the feed (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}}}
places:
  laundry:    {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  study:      {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:   {{kind: hand valve, after: supply, in: laundry}}
  feed valve: {{kind: solenoid valve, after: stop tap, in: laundry, without power: open, driven by: box,
               flow at 1 bar: 20 L/min}}
  meter:      {{kind: flow meter, after: feed valve, in: laundry, wired to: box, {keys}}}
  tube:       {{kind: tubing, after: meter, length: 6 m, through: [laundry, study]}}
  float:      {{kind: float valve, after: tube, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:  {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
               starts at: 265 mm}}
controllers:
  box:        {{power: box circuit, after a restart: {{trips: kept, counts: {counts}}}, when it hangs: outputs stopped}}
matrix:
{rows}
people:
  keeper:     {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
TOO_MUCH = "  - {cause: meter too much, effect: {feed valve: shut}, until: re-armed by hand}"
RUNNING = "  - {cause: meter running, lasting: 30 min, effect: {feed valve: shut}, until: re-armed by hand}"
BOTH = f"{TOO_MUCH}\n{RUNNING}"
LIMIT = "too much above: 60 L"
PIN_HOLE = "tube: pin hole, in study"  # 0.5 mm
WEEP = "tube: joint weeps, in study"  # 0.2 mm
SAYS = "meter reports too much"
CUT = "box circuit: cut for an hour"


def text(keys: str = LIMIT, rows: str = TOO_MUCH, counts: str = "kept") -> str:
    return HOUSE.format(keys=keys, rows=rows, counts=counts)


def house(keys: str = LIMIT, rows: str = TOO_MUCH, counts: str = "kept") -> Plant:
    return plant_of(text(keys, rows, counts))


def leaking(plant: Plant, *ills: Ill, leak: str = PIN_HOLE, days: float = 3.0) -> Told:
    """From an hour before midnight on: runs of nobody at home begin at eight in the morning."""
    return run(plant, "travelling", days * DAY, [Ill(leak, 16.0 * HOUR - HOUR), *ills], compiled=True)


def trickle(diameter: float) -> float:
    """What a hole lets out at 4 bar with the coefficient of a tube's wall [m3/s]; the losses before it hardly count."""
    return 0.7 * math.pi / 4.0 * diameter**2 * math.sqrt(2.0 * 4e5 / water.density(281.15))


# --- counting --------------------------------------------------------------------------------------------------------


def test_too_much_comes_when_so_much_has_run_since_midnight() -> None:
    """0.23 L/min from 23 o'clock on: 14 L by midnight, which count for the day before; then 60 L in 4.3 h."""
    told = leaking(house())
    (when,) = told.at(SAYS)
    assert when - 16.0 * HOUR == pytest.approx(60.0 * LITRE / trickle(0.5e-3), rel=0.01)
    assert told.consequence.on_floors == pytest.approx(60.0 * LITRE + HOUR * trickle(0.5e-3), rel=0.01)
    assert told.consequence.stopped_by == "feed valve shuts"


def test_counted_since_it_was_put_back_it_does_not_heed_midnight() -> None:
    told = leaking(house(f"{LIMIT}, counted since: put back by hand"))
    (when,) = told.at(SAYS)
    assert when - 15.0 * HOUR == pytest.approx(60.0 * LITRE / trickle(0.5e-3), rel=0.01)
    assert told.consequence.on_floors == pytest.approx(60.0 * LITRE, rel=1e-3)


def test_less_than_its_litres_in_a_day_is_never_too_much() -> None:
    """0.23 L/min is 330 L a day."""
    assert not leaking(house("too much above: 350 L"), days=10.0).at(SAYS)
    assert leaking(house("too much above: 320 L"), days=10.0).at(SAYS)


@pytest.mark.parametrize(("counts", "late"), [("kept", HOUR), ("cleared", 2.0 * HOUR)])
def test_box_without_power_counts_nothing_and_may_forget_what_it_had(counts: str, late: float) -> None:
    """A cut from one to two at night: an hour is missed, and with a count that is cleared the one before as well."""
    told = leaking(house(counts=counts), Ill(CUT, 17.0 * HOUR, HOUR))
    (when,) = told.at(SAYS)
    assert when - 16.0 * HOUR == pytest.approx(60.0 * LITRE / trickle(0.5e-3) + late, rel=0.01)


# --- running ---------------------------------------------------------------------------------------------------------


def test_running_is_told_after_its_delay_and_ends_the_same_way() -> None:
    told = leaking(house(rows=RUNNING))
    begun, ended = told.at("meter tells that water runs")[0], told.at("meter tells that none runs any more")[0]
    (shut,) = told.at("feed valve shuts")
    assert begun == pytest.approx(15.0 * HOUR + 5.0, abs=0.01)
    assert shut == pytest.approx(begun + 1800.0, abs=0.01)
    assert ended == pytest.approx(shut + 5.0, abs=0.5)
    assert told.consequence.on_floors == pytest.approx(1805.0 * trickle(0.5e-3), rel=0.01)


def test_a_valve_that_a_running_meter_shuts_for_as_long_goes_to_and_fro_and_does_not_hang_the_run() -> None:
    """Each round takes its two delays."""
    rows = "  - {cause: meter running, effect: {feed valve: shut}, until: cause ends}"
    told = leaking(house("told after: 60 s", rows), days=0.7)
    ran = 0.7 * DAY - 15.0 * HOUR
    assert len(told.at("feed valve shuts")) == pytest.approx(ran / 120.0, abs=2.0)


# --- what it never sees ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("least", "sees"), [("0.1 L/min", False), ("0.03 L/min", True)])
def test_a_weep_is_seen_only_by_a_wheel_that_it_turns(least: str, sees: bool) -> None:
    """0.2 mm at 4 bar: 0.037 L/min."""
    assert trickle(0.2e-3) * 6e4 == pytest.approx(0.037, abs=0.001)
    told = leaking(house(f"too much above: 20 L, least flow: {least}", BOTH), leak=WEEP)
    assert bool(told.at(SAYS) or told.at("meter tells that water runs")) is sees
    assert told.consequence.still_running is not sees


def test_what_it_hides_is_told_in_litres_a_day() -> None:
    (note,) = (f for f in check(read_text(text(), "h.yaml")) if f.code == "meter-blind")
    assert note.level == "note"
    assert "140 L a day" in note.what  # a tenth of a litre a minute, in two digits


# --- faults ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["wheel stuck", "wire broken"])
def test_one_that_sees_nothing_lets_it_run(fault: str) -> None:
    told = leaking(house(rows=BOTH), Ill(f"meter: {fault}", 0.0))
    assert not told.at(SAYS)
    assert not told.at("meter tells that water runs")
    assert told.consequence.still_running
    assert "meter" in told.consequence.failed


def test_one_that_misses_slow_flow_misses_a_pin_hole_and_sees_a_burst() -> None:
    """It needs 0.5 L/min then: a pin hole gives 0.23, a burst 4.6."""
    slow = Ill("meter: misses slow flow", 0.0)
    assert not leaking(house(rows=BOTH), slow).at(SAYS)
    told = leaking(house(), slow, leak="tube: burst, in study")
    assert told.at(SAYS)
    assert told.consequence.on_floors == pytest.approx(
        leaking(house(), leak="tube: burst, in study").consequence.on_floors, rel=1e-3
    )


def test_a_box_that_counts_double_says_so_at_half() -> None:
    sound, double = (leaking(house(f"{LIMIT}, counted since: put back by hand"), *ills)
                     for ills in ((), (Ill("meter: box counts double", 0.0),)))  # fmt: skip
    assert double.consequence.on_floors == pytest.approx(0.5 * sound.consequence.on_floors, rel=1e-3)


# --- the file --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "keys",
    ["too much above: 60", "least flow: 0 L/h", "counted since: yesterday", "told after: never", "running above: 5 L"],
)
def test_bad_input_is_told(keys: str) -> None:
    with pytest.raises(DesignError) as told:
        read_text(text(keys), "h.yaml")
    assert all(finding.where and finding.what and finding.remedy for finding in told.value.findings)


def test_a_mark_below_its_least_flow_is_objected_to() -> None:
    codes = {f.code for f in check(read_text(text(f"{LIMIT}, running above: 1 L/h"), "h.yaml"))}
    assert "meter-mark" in codes


def test_a_row_that_asks_for_litres_that_are_not_given_is_told_what_there_is() -> None:
    (finding,) = (one for one in check(read_text(text("told after: 5 s"), "h.yaml")) if one.code == "D106")
    assert finding.level == "error"
    assert "running" in finding.what + finding.remedy


# --- the matrix and the proof ----------------------------------------------------------------------------------------


def test_two_things_that_one_meter_tells_are_two_sensors_of_the_matrix() -> None:
    matrix = build(read_text(text(rows=BOTH), "h.yaml"))
    told = {name: (one.sort, one.state, one.otherwise, one.wired_to) for name, one in matrix.sensors.items()}
    assert told == {
        "meter running": ("reading", "running", "still", "box"),
        "meter too much": ("reading", "too much", "not too much", "box"),
    }


def test_files_of_the_matrix_name_both_as_a_device_can() -> None:
    design = read_text(text(rows=BOTH), "h.yaml")
    written = files(design, build(design))
    logic = written["logic.st"]
    assert "Meter_Too_Much : BOOL;" in logic
    assert "Meter_Running : BOOL;" in logic
    assert "meter too much" in written["truth_table.csv"]


def test_the_proof_leaves_what_runs_and_how_much_of_it_free() -> None:
    """Nothing says when a line runs, nor how fast: its marks may be passed at any time, either way; a count goes on
    only while its box counts, at no known pace, and only what puts it back does."""
    plant = house(rows=BOTH)
    d = Draft(plant, [s for s, op in enumerate(plant.arrays.sig_op) if op != prim.L_TIMETABLE])
    d.timed(flow=1.0)
    kinds = {q.kind: q for q in d.machine().quantities}
    assert (kinds[prim.T_FLOW].rises, kinds[prim.T_FLOW].falls) == (-1, -1), "always"
    assert kinds[prim.T_COUNTER].up == ()
    assert kinds[prim.T_COUNTER].rises >= 0
    assert kinds[prim.T_COUNTER].resets >= 0
