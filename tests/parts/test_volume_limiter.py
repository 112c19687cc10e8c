"""The volume limiter: how much it lets through in one draw, what ends a draw, what it never counts, and how it fails.

Litres are closed forms: what runs behind it is its setting, however fast it runs and wherever it comes out.
"""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.volume_limiter import KIND
from dewpond.physics import water
from dewpond.plant.plant import DAY, Plant
from dewpond.proof.questions.flooding import before, credited
from dewpond.proof.questions.water import counted, spills
from dewpond.study.matrix.build import build
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

LITRE = 1e-3
HOUSE = """
format: 1
title: A litre stop (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}}}
places:
  laundry:    {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  study:      {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:   {{kind: hand valve, after: supply, in: laundry}}
  litre stop: {{kind: volume limiter, after: stop tap, in: laundry, {keys}}}
  tube:       {{kind: tubing, after: litre stop, length: 6 m, through: [laundry, study]}}
  float:      {{kind: float valve, after: tube, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir:  {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
               starts at: {level}}}
people:
  keeper:     {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
{more}
"""
SETTING = "lets through at most: 40 L"
LEAKS = ("tube: burst, in study", "tube: burst, in laundry", "tube: pin hole, in study", "float: joint blows off")
SHUTS = "litre stop shuts: so much has run in one draw"


def house(keys: str = SETTING, level: str = "265 mm", more: str = "") -> Plant:
    return plant_of(HOUSE.format(keys=keys, level=level, more=more))


def leaking(plant: Plant, *ills: Ill, leak: str = LEAKS[0], days: float = 2.0) -> Told:
    return run(plant, "travelling", days * DAY, [Ill(leak, HOUR), *ills], compiled=True)


# --- what it bounds --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("leak", LEAKS)
@pytest.mark.parametrize("litres", [5.0, 40.0, 120.0])
def test_every_flood_behind_it_is_its_setting(leak: str, litres: float) -> None:
    """Nothing else draws: what has gone through it is what lies on the floor, but for what the tube gives back (under
    10 mL) and, of a wide hole, the drops that its seat no longer lets by."""
    told = leaking(house(f"lets through at most: {litres} L"), leak=leak)
    assert told.consequence.on_floors / LITRE == pytest.approx(litres, abs=0.02)
    assert told.consequence.stopped_by == SHUTS
    assert not told.consequence.still_running


def test_time_to_its_setting_is_that_of_the_outflow() -> None:
    """A burst in the laundry: stop tap 12 and limiter 10 L/min at 1 bar, and a hole of 4.3 mm, in series at 4 bar."""
    losses = sum(1e5 / (flow * LITRE / 60.0) ** 2 for flow in (12.0, 10.0))
    hole = water.density(281.15) / (2.0 * (0.7 * math.pi / 4.0 * 4.318e-3**2) ** 2)
    flow = math.sqrt(4e5 / (losses + hole))
    told = leaking(house(), leak=LEAKS[1])
    (shut,) = told.at(SHUTS)
    assert shut - HOUR == pytest.approx(40.0 * LITRE / flow, rel=5e-3)


def test_what_stands_behind_it_still_runs_out() -> None:
    """The reservoir cracks: what it held is on the floor as well, on top of the litres that its float let in."""
    told = leaking(house(), leak="reservoir: cracks", days=30.0)
    stood = 0.4 * 0.4 * 0.265
    assert told.consequence.on_floors == pytest.approx(40.0 * LITRE + stood, rel=0.03)


# --- draws -----------------------------------------------------------------------------------------------------------


def test_an_ordinary_fill_below_its_setting_does_not_shut_it() -> None:
    """From 65 to 265 mm of 40 cm x 40 cm: 32 L."""
    assert not run(house(level="65 mm"), "travelling", DAY, compiled=True).at(SHUTS)


def test_a_fill_above_its_setting_shuts_it_in_the_middle() -> None:
    """41.6 L wanted, 40 L let through: the reservoir stands 10 mm below where the fill would have ended."""
    told = run(house(level="5 mm"), "travelling", DAY, compiled=True)
    assert told.at(SHUTS)
    filled = float(told.trace.volume[0]) - 0.4 * 0.4 * 0.005
    assert filled == pytest.approx(40.0 * LITRE, abs=0.02 * LITRE)


@pytest.mark.parametrize(("pause", "shuts"), [(30.0, True), (90.0, False)])
def test_draws_add_up_unless_nothing_runs_for_so_long_between_them(pause: float, shuts: bool) -> None:
    """Two bursts of five minutes at 4.6 L/min or so, 23 L each; a draw is over after a minute."""
    burst = Ill(LEAKS[0], HOUR, 300.0)
    again = Ill("tube: burst, in laundry", HOUR + 300.0 + pause, 200.0)
    told = run(house(), "travelling", 3.0 * HOUR, [burst, again], compiled=True)
    assert bool(told.at(SHUTS)) is shuts


def test_it_stays_shut_to_the_end_of_the_run() -> None:
    told = leaking(house(), days=14.0)
    assert told.changes("litre stop", SHUTS) == [(0.0, 0), (told.at(SHUTS)[0], 1)]


# --- what it never counts --------------------------------------------------------------------------------------------


def test_a_weep_below_its_least_flow_runs_on_for_ever() -> None:
    """A hole of 0.2 mm lets out 2.2 L/h at 4 bar; its wheel needs 3 L/h."""
    told = leaking(house(), leak="tube: joint weeps, in study", days=10.0)
    assert not told.at(SHUTS)
    assert told.consequence.still_running
    hole = 0.7 * math.pi / 4.0 * 0.2e-3**2 * math.sqrt(2.0 * 4e5 / water.density(281.15))
    assert told.consequence.on_floors == pytest.approx(hole * (10.0 * DAY - HOUR), rel=0.02)


def test_a_wheel_that_turns_more_easily_ends_the_same_weep() -> None:
    told = leaking(house(f"{SETTING}, least flow: 1 L/h"), leak="tube: joint weeps, in study", days=10.0)
    assert told.consequence.on_floors / LITRE == pytest.approx(40.0, abs=0.02)


def test_what_it_hides_is_told_in_litres_a_day() -> None:
    (note,) = [f for f in check(read_text(HOUSE.format(keys=SETTING, level="265 mm", more=""), "h.yaml"))
               if f.code == "limiter-blind"]  # fmt: skip
    assert "72 L a day" in note.what  # 0.05 L/min


# --- faults ----------------------------------------------------------------------------------------------------------


def test_one_that_does_not_shut_is_told_to_and_lets_it_run() -> None:
    told = leaking(house(), Ill("litre stop: does not shut", 0.0))
    assert told.consequence.still_running
    assert told.consequence.on_floors > 1000.0 * LITRE
    assert told.consequence.failed == ("litre stop",)
    assert told.at("litre stop is told to shut, and stays open")


def test_flat_cells_leave_it_open_and_only_one_with_cells_has_them() -> None:
    told = leaking(house(f"{SETTING}, works by: cells"), Ill("litre stop: cells flat", 0.0))
    assert told.consequence.still_running
    assert told.consequence.failed == ("litre stop",)
    assert told.at("has let through more than its litres, and does nothing")
    assert not any(fault.name == "cells flat" for fault in house().faults)


def test_one_that_shuts_too_soon_shuts_at_a_third() -> None:
    told = leaking(house(), Ill("litre stop: shuts too soon", 0.0))
    assert told.consequence.on_floors / LITRE == pytest.approx(40.0 / 3.0, abs=0.02)
    sound, slipped = (run(house(level="65 mm"), "travelling", DAY, ills, compiled=True)
                      for ills in ((), [Ill("litre stop: shuts too soon", 0.0)]))  # fmt: skip
    assert not sound.at(SHUTS)
    assert slipped.at(SHUTS), "an ordinary fill of 32 L is too much for it then"


def test_one_that_is_stuck_shut_lets_nothing_through() -> None:
    told = leaking(house(), Ill("litre stop: stuck shut", 0.0))
    assert told.consequence.on_floors / LITRE < 0.05


def test_one_whose_seat_leaks_drips_on_when_it_has_shut() -> None:
    """A two-hundredth of its opening at 4 bar: 0.005 x 10 L/min x 2 = 6 L/h; the rest of the way hardly counts."""
    tight, leaky = (leaking(house(), *ills, leak=LEAKS[1]) for ills in ((), (Ill("litre stop: seat leaks", 0.0),)))
    (shut,) = leaky.at("litre stop shuts")
    drips = 0.005 * 10.0 * LITRE / 60.0 * 2.0 * (2.0 * DAY - shut)
    assert leaky.consequence.on_floors - tight.consequence.on_floors == pytest.approx(drips, rel=0.02)


# --- the file --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "keys",
    ["lets through at most: 40", "lets through at most: none", "lets through at most: 0 L", "least flow: 1 L/h",
     f"{SETTING}, works by: magic", f"{SETTING}, draw ends after: -1 s"],
)  # fmt: skip
def test_bad_input_is_told(keys: str) -> None:
    with pytest.raises(DesignError) as told:
        read_text(HOUSE.format(keys=keys, level="265 mm", more=""), "h.yaml")
    assert all(finding.where and finding.what and finding.remedy for finding in told.value.findings)


def test_a_day_for_cells_that_it_does_not_have_is_objected_to() -> None:
    text = HOUSE.format(keys=f"{SETTING}, cells fitted: 2026-03-01", level="265 mm", more="")
    assert "limiter-cells" in {finding.code for finding in check(read_text(text, "h.yaml"))}
    (cells,) = (fault for fault in KIND.faults if fault.name == "cells flat")
    assert cells.timing == "latent"


# --- as a protection -------------------------------------------------------------------------------------------------


def test_the_proof_counts_on_it_for_what_runs_fast_enough_and_for_nothing_else() -> None:
    plant = house()
    own = {
        label: layer for spill in spills(plant) for label in spill.labels for layer in [credited(plant, spill, True)]
    }
    stops = {label for label, found in own.items() if [one.part for one in found] == ["litre stop"]}
    assert set(LEAKS) <= stops
    weeps = {label for label in own if "weeps" in label}
    assert len(weeps) > 3
    assert not weeps & stops
    assert all(counted(plant, label) for label in stops)
    (first,) = (spill for spill in spills(plant) if "stop tap: joint blows off, behind the valve" in spill.labels)
    assert before(plant, first) == (), "it guards only what lies behind it"


def test_the_matrix_says_by_what_it_acts_and_that_it_is_armed_by_hand() -> None:
    (line,) = (one for one in build(read_text(HOUSE.format(keys=SETTING, level="265 mm", more=""), "h.yaml")).lines
               if one.whose == "litre stop")  # fmt: skip
    assert (line.litres, line.latched, line.orders) == (pytest.approx(0.04), True, {"litre stop": "shut"})


def test_the_checks_take_it_for_a_valve_that_shuts_by_itself() -> None:
    claim = "claims:\n  - {water in: study, is stopped by: litre stop}"
    found = check(read_text(HOUSE.format(keys=SETTING, level="265 mm", more=claim), "h.yaml"))
    assert not {"D242", "D243"} & {finding.code for finding in found}
    assert not [finding for finding in found if finding.code == "D181" and "tube" in finding.what]
