"""Parts that no box drives: on a timer, on a circuit, or with a switch in their lead; whole runs against figures by
hand."""

from itertools import pairwise

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from tests.plant.houses import HOUR, Ill, Told, run

BEGINS = 18.0 * HOUR  # of a run at home, by the clock
DOSER = "kind: dosing pump, flow: 1.2 L/h, dry below: 20 mm"  # its rollers give that at any height
TIMER = "  timer: {kind: time switch, power: wall, on from: 20:00, for: 90 min, its time in a power cut: kept}"
RELAY = "{kind: relay, power: wall, without power: cuts the lead}"
HOUSE = """
format: 1
title: A vessel, a pump and a tub without a controller (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 240 ppm}}
places:
  study: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  drain: {{kind: waste drain, in: study}}
water:
  tap:   {{kind: hand valve, after: supply, in: study}}
  valve: {{kind: {valve_kind}, after: tap, in: study, without power: {rests}, {valve}}}
  float: {{kind: float valve, after: valve, fills: stock, starts to shut at: 400 mm, quite shut at: 410 mm}}
  stock: {{kind: reservoir, in: study, footprint: 50 cm x 40 cm, rim: 500 mm, starts at: 300 mm,
          bottom: 50 cm above floor}}
  pump:  {{{kind}, from: stock, to: tub, outlet: 90 cm above floor, {pump}}}
  tub:   {{kind: sump, in: study, footprint: 50 cm x 40 cm, rim: 300 mm, running level: 100 mm,
          rises when the return pump stops: 12 mm, return chamber: 20 cm x 40 cm, return pump needs: 40 mm}}
  tank:  {{kind: display tank, drains to: tub, surface: 90 cm x 50 cm, volume: 200 L, salinity: 35 ppt,
          evaporation: 4.8 L/day, power: wall}}
{sensors}
controllers:
{boxes}
power:
  wall: {{kind: power circuit}}
{timer}
matrix:
{rows}
"""
MARK = """sensors:
  mark: {{kind: level switch, in: tub, {at}, wired to: relay, contact: closes when {word},
         read as {word} when: closed}}
"""
LOW = MARK.format(at="calls at: 90 mm, is satisfied at: 100 mm", word="low")
HIGH = MARK.format(at="at: 118 mm", word="high")


def text_of(
    pump: str = "power: timer", valve: str = "power: timer", rests: str = "shut", kind: str = DOSER, sensors: str = "",
    boxes: str = "", rows: str = "", timer: str = TIMER, valve_kind: str = "solenoid valve",
) -> str:  # fmt: skip
    """The test house with these keys of its two parts, and these sections."""
    return HOUSE.format(pump=pump, valve=valve, rests=rests, kind=kind, sensors=sensors, boxes=boxes, rows=rows,
                        timer=timer, valve_kind=valve_kind)  # fmt: skip


def house(**own: str) -> Plant:
    return lower(read_text(text_of(**own), "house.yaml"))


def changes(told: Told, part: str, words: str) -> list[tuple[float, bool]]:
    """(hour of the clock, whether so): at the start, and each change after it."""
    return [((BEGINS + t) / HOUR, bool(v)) for t, v in told.changes(part, words)]


def lived(plant: Plant, hours: float, *ills: Ill) -> Told:
    return run(plant, "at home", hours * HOUR, ills, compiled=True)


def gain(told: Told, vessel: str) -> float:
    """Litres that a vessel has won in a run."""
    number = told.plant.stores.index(vessel)
    return 1e3 * (told.trace.volume[number] - told.plant.arrays.store_start[number])


def spans(*hours: float, first: bool) -> list[object]:
    return [pytest.approx((hour, (n % 2 == 0) == first), abs=1e-3) for n, hour in enumerate((18.0, *hours))]


# --- on a timer ------------------------------------------------------------------------------------------------------


def test_valve_that_is_shut_without_power_is_open_within_the_hours_of_its_timer() -> None:
    told = lived(house(), 48.0)
    assert changes(told, "valve", "valve opens") == spans(20.0, 21.5, 44.0, 45.5, first=False)


def test_valve_that_is_open_without_power_is_shut_within_them() -> None:
    told = lived(house(rests="open"), 48.0)
    assert changes(told, "valve", "valve opens") == spans(20.0, 21.5, 44.0, 45.5, first=True)


def test_ball_valve_with_a_spring_is_open_within_them_and_a_turn_longer() -> None:
    told = lived(house(rests="shut by a spring", valve_kind="motorised ball valve"), 24.0)
    assert changes(told, "valve", "valve opens") == spans(20.0, 21.5 + 10.0 / HOUR, first=False)


def test_litres_of_a_window_are_flow_times_its_length() -> None:
    """1.2 L/h for 1.5 h are 1.8 L, once in a day, out of a vessel that nothing fills."""
    off = "  off: {kind: time switch, power: wall, on from: 12:00, for: 1 s, its time in a power cut: kept}"
    plant = house(valve="power: off", timer=f"{TIMER}\n{off}")
    assert gain(lived(plant, 12.0), "stock") == pytest.approx(-1.8, abs=1e-3)
    assert gain(lived(plant, 2.0), "stock") == pytest.approx(0.0, abs=1e-6)
    assert gain(lived(plant, 2.5), "stock") == pytest.approx(-0.6, abs=1e-3)


@pytest.mark.parametrize(("fault", "hours"), [("contact welded", 11.0), ("contact burnt", 0.0)])
def test_a_welded_timer_runs_it_on_and_a_burnt_one_never(fault: str, hours: float) -> None:
    plant = house()
    told = lived(plant, 12.0, Ill(f"timer: {fault}", HOUR))
    assert sum(b - a for a, b in pairs(told, "pump", "pump starts", 30.0)) == pytest.approx(hours, abs=1e-3)


def pairs(told: Told, part: str, words: str, end: float) -> list[tuple[float, float]]:
    """Spans (hours of the clock) in which it is so; the last one ends with the run."""
    seen = changes(told, part, words)
    ends = [hour for hour, _ in seen[1:]] + [end]
    return [(hour, ends[n]) for n, (hour, so) in enumerate(seen) if so]


def test_transfer_pump_on_a_timer_runs_by_it_and_by_no_hand() -> None:
    plant = house(kind="kind: transfer pump, flow: 30 L/h, dry below: 20 mm")
    told = lived(plant, 24.0)
    assert changes(told, "pump", "pump starts") == spans(20.0, 21.5, first=False)
    assert not [f.label for f in plant.faults if f.part == "pump" and ("left" in f.label or "runs on" in f.label)]


# --- on a circuit that nothing switches ------------------------------------------------------------------------------


@pytest.mark.parametrize("power", ["power: wall", "tube ends: 2"])
def test_on_a_plain_circuit_or_none_it_acts_all_the_time(power: str) -> None:
    told = lived(house(pump=power, valve=power), 24.0)
    assert changes(told, "valve", "valve opens") == spans(first=True)
    assert changes(told, "pump", "pump starts") == spans(first=True)


def test_power_cut_ends_it_and_its_end_begins_it() -> None:
    told = lived(house(pump="power: wall", valve="power: wall"), 24.0, Ill("wall: cut for an hour", 2.0 * HOUR, HOUR))
    assert changes(told, "valve", "valve opens") == spans(20.0, 21.0, first=True)
    assert changes(told, "pump", "pump starts") == spans(20.0, 21.0, first=True)


# --- a switch in the lead --------------------------------------------------------------------------------------------

DRIVEN = {"pump": "power: wall, driven by: relay", "boxes": f"  relay: {RELAY}", "sensors": LOW}
CALLS = "  - {cause: mark low, effect: {pump: running}, until: cause ends}"


@pytest.mark.parametrize(
    "own",
    [
        {**DRIVEN, "rows": CALLS},
        {**DRIVEN, "pump": "power: wall", "rows": CALLS.replace("until:", "by: relay, until:")},
    ],
)
def test_pump_runs_from_mark_to_mark_for_the_band_over_what_it_gives_less_what_evaporates(own: dict[str, str]) -> None:
    """20 cm x 40 cm x 10 mm are 0.8 L; 1.2 L/h come and 0.2 L/h go: 0.8 h. Then 0.8 L at 0.2 L/h: 4 h of rest."""
    seen = changes(lived(house(**own), 48.0), "pump", "pump starts")
    gaps = [b - a for (a, _), (b, _) in pairwise(seen[1:])]
    runs, rests = (gaps[::2], gaps[1::2]) if seen[1][1] else (gaps[1::2], gaps[::2])
    assert len(runs) > 5
    assert runs == [pytest.approx(0.8, rel=0.03)] * len(runs)
    assert rests == [pytest.approx(4.0, rel=0.03)] * len(rests)


def test_switch_in_the_lead_cuts_a_pump_on_a_timer_and_lets_it_run_again() -> None:
    """From 100 to 118 mm in 0.08 m2 are 1.44 L, and 1.0 L an hour stays: after 1.44 h it stops, welded timer or not."""
    own = {"boxes": f"  relay: {RELAY}", "sensors": HIGH}
    row = "  - {cause: mark high, effect: {pump: stopped}, by: relay, until: cause ends}"
    welded = Ill("timer: contact welded", 1.0)
    with_it = lived(house(rows=row, **own), 24.0, welded)
    without = lived(house(), 24.0, welded)
    assert len(pairs(without, "pump", "pump starts", 42.0)) == 1
    first, second, *_ = pairs(with_it, "pump", "pump starts", 42.0)
    assert first == pytest.approx((18.0, 18.0 + 1.44), abs=0.03)
    assert second[0] > first[1]
    both = lived(house(rows=row, **own), 24.0, welded, Ill("relay: contact welded, in the lead of pump", 1.0))
    assert len(pairs(both, "pump", "pump starts", 42.0)) == 1


def test_relay_without_power_cuts_what_it_stands_before() -> None:
    own = {"boxes": f"  relay: {RELAY.replace('wall', 'other')}", "sensors": HIGH}
    row = "  - {cause: mark high, effect: {pump: stopped}, by: relay, until: cause ends}"
    told = lived(house(pump="power: wall", rows=row, **own, timer=f"{TIMER}\n  other: {{kind: power circuit}}"), 2.0,
                 Ill("other: cut for an hour", 600.0))  # fmt: skip
    assert changes(told, "pump", "pump starts")[1] == pytest.approx((18.0 + 1.0 / 6.0, False), abs=1e-3)


def test_a_day_of_the_whole_house_loses_no_water() -> None:
    """What came in is in the vessels, on the floor, in the drain or in the air."""
    water = lived(house(), DAY / HOUR).consequence.water
    assert water.supply > 0.0


# --- what is told of it ----------------------------------------------------------------------------------------------


def codes(**own: str) -> set[str]:
    return {finding.code for finding in check(read_text(text_of(**own), "house.yaml"))}


def test_what_a_timer_or_a_relay_runs_is_not_asked_for_rows_or_for_limits_that_neither_knows() -> None:
    assert not {"D111", "D113", "D280"} & codes()
    assert not {"D111", "D113", "D280"} & codes(**DRIVEN, rows=CALLS)


def test_what_nothing_switches_is_told() -> None:
    assert "D280" in codes(valve="power: wall")
    assert "D280" in codes(pump="power: wall")
    assert "D280" not in codes(
        pump="power: small", timer=f"{TIMER}\n  small: {{kind: low-voltage supply, power: timer}}"
    )


def test_a_pump_on_a_timer_is_asked_for_a_switch_for_high_water() -> None:
    row = "  - {cause: mark high, effect: {pump: stopped}, by: relay, until: cause ends}"
    assert "D112" in codes()
    assert "D112" not in codes(boxes=f"  relay: {RELAY}", sensors=HIGH, rows=row)
