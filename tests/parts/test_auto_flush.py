"""A flush valve: waste by the square laws of what lies in its way, by hand; its clock, its orders, its faults."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError
from dewpond.parts.auto_flush import KIND
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Plant, Scenario
from dewpond.plant.trace import Trace
from tests.parts.recording import sampled

HOUR, BAR, LPM = 3600.0, 1e5, 1e-3 / 60.0
HOUSE = """
format: 1
title: A unit with a flush valve (invented)
shown in: metric
supply: {{pressure: 3 bar, temperature: {{winter: 12 C, summer: 12 C}}, dissolved solids: 200 ppm, in: study}}
places:
  study: {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
  bath:  {{kind: room, size: 3 m x 3 m, floor: glazed tile}}
  pipe:  {{kind: waste drain, in: bath, type: standpipe}}
water:
{before}
  membrane:  {{kind: membrane, after: {first}, in: study, waste to: pipe,
              measured: {{product: 150 mL/min, waste: 600 mL/min, water: 12 C, pressure: 3 bar}}}}
{flush}
  shut-off:  {{kind: automatic shut-off, on: membrane, closes at: 67 %}}
  check:     {{kind: check valve, after: membrane, in: study}}
  float:     {{kind: float valve, after: check, fills: box, starts to shut at: 250 mm, quite shut at: 265 mm}}
  box:       {{kind: reservoir, in: study, footprint: {area}, rim: 300 mm, starts at: {start} mm}}
{more}
"""
FLUSH = "  flush: {kind: auto flush, on: membrane, lasts: 30 s, every: 1 h}"
WIDE = "1 m x 1 m"  # rises so little that the flow is the same for a day
BOX = """
sensors:
  low mark: {kind: level switch, in: box, calls at: 100 mm, is satisfied at: 200 mm, wired to: brain,
             contact: closes when low, read as low when: closed}
controllers:
  brain: {power: circuit, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}
matrix:
  - {id: fill, cause: low mark low, effect: {feed: open, flush: open}, until: cause ends}
"""


def house(
    flush: str = FLUSH, area: str = WIDE, start: int = 10, before: str = "", first: str = "supply", more: str = ""
) -> Plant:
    text = HOUSE.format(flush=flush, area=area, start=start, before=before, first=first, more=more)
    return lower(read_text(text, "house.yaml"))


def run(plant: Plant, time: float, *labels: str) -> Trace:
    onsets = tuple(Onset(label, 0.0) for label in labels)
    return engine.run(plant, Scenario("travelling", time, onsets, STARTS["travelling"]), compiled=True)


def drained(plant: Plant, time: float, *labels: str) -> float:
    """Litres down the drain."""
    return 1e3 * float(run(plant, time, *labels).total[prim.V_DRAIN])


def open_waste(pressure: float) -> float:
    """Waste while it is open [m3/s]: product left out, all losses with the square of the flow.

    Inlet 5 L/min at 1 bar; restrictor 600 mL/min at what is left of 3 bar by the jugs, a hundredth of it behind; beside
    it 1.5 velocity heads in 4.318 mm and a Kv of 0.15 m3/h.
    """
    inlet = BAR / (5.0 * LPM) ** 2
    restrictor = (3.0 * BAR - inlet * (0.75 * LPM) ** 2) / (0.6 * LPM) ** 2
    valve = 1.5 * 1000.0 / (2.0 * (math.pi / 4.0 * 4.318e-3**2) ** 2) + BAR / (0.15 / HOUR) ** 2
    beside = (1.0 / math.sqrt(valve) + 1.0 / math.sqrt(0.99 * restrictor)) ** -2
    return math.sqrt(pressure / (inlet + beside + 0.01 * restrictor))


def test_stuck_open_waste_runs_at_the_rate_of_the_losses_in_its_way() -> None:
    """3.4 L/min in place of 0.6; the product takes a little pressure from it."""
    assert drained(house(), HOUR, "flush: stuck open") == pytest.approx(3600e3 * open_waste(3.0 * BAR), rel=0.02)
    assert drained(house(flush=""), HOUR) == pytest.approx(36.0, rel=0.02)


def test_by_its_clock_it_is_open_for_its_time_once_each_hour() -> None:
    """Of 3600 s, 30 at 3.4 L/min and the rest at 0.6."""
    usual = drained(house(flush=""), HOUR) / HOUR
    flushed = drained(house(), 4.0 * HOUR)
    more = 30.0 * (1e3 * open_waste(3.0 * BAR) - usual)
    assert flushed == pytest.approx(4.0 * (HOUR * usual + more), rel=5e-3)
    assert more > 1.3


def test_stuck_shut_it_is_as_if_there_were_none() -> None:
    assert drained(house(), 6.0 * HOUR, "flush: stuck shut") == pytest.approx(
        drained(house(flush=""), 6.0 * HOUR), rel=1e-6
    )


def test_without_power_it_is_shut() -> None:
    flush = FLUSH.replace("every", "power: flush circuit, every")
    plant = house(flush, more="power:\n  mains: {feeds: [flush circuit]}")
    assert drained(plant, 6.0 * HOUR, "mains: cut for 9 h") == pytest.approx(
        drained(house(flush=""), 6.0 * HOUR), rel=1e-6
    )


def test_behind_a_narrow_way_an_open_one_takes_the_pressure_from_the_product() -> None:
    """A litre a minute through the filter takes 0.9 bar: with 1.7 L/min to waste next to nothing is left to press."""
    before = "  filters: {kind: pre-filters, after: supply, in: study, bowls: 1, drop of a bowl: 0.9 bar}"
    plant = house(before=before, first="filters")
    sound, stuck = (run(plant, HOUR, *labels) for labels in ((), ("flush: stuck open",)))
    assert sum(one.volume[0] for one in (sound, stuck)) > 0.02
    made = [one.volume[0] - 0.01 for one in (sound, stuck)]
    assert made[1] < 0.3 * made[0]


def test_a_strong_one_that_sticks_open_keeps_the_shut_off_from_shutting() -> None:
    """With the bin full and the float shut: nothing runs, but for a flush; stuck, the mains for a whole day."""
    flush = FLUSH.replace("every", "flow at 1 bar: 20 L/min, every")
    before = "  filters: {kind: pre-filters, after: supply, in: study, bowls: 1, drop of a bowl: 0.9 bar}"
    plant = house(flush, "50 cm x 40 cm", 265, before, "filters")
    assert drained(plant, DAY) < 50.0
    assert drained(plant, DAY, "flush: stuck open") > 1000.0


def test_drain_that_backs_up_sends_the_flush_over_its_floor() -> None:
    plant = house()
    trace = run(plant, HOUR, "flush: stuck open", "pipe: backs up")
    places = {place.name: 1e3 * v for place, v in zip(plant.places, trace.place_total, strict=True)}
    assert places["bath"] == pytest.approx(3600e3 * open_waste(3.0 * BAR), rel=0.02)
    assert places["study"] == 0.0


def test_driven_with_the_feed_it_flushes_at_each_start_and_no_longer() -> None:
    """30 s at the start, though the order stands until the box is filled two hours later."""
    valve = (
        "  feed: {kind: solenoid valve, after: supply, in: study, without power: shut, driven by: brain, "
        "flow at 1 bar: 60 L/min}"
    )
    flush = "  flush: {kind: auto flush, on: membrane, lasts: 30 s, driven by: brain}"
    driven = house(flush, "30 cm x 30 cm", 10, valve, "feed", BOX)
    without = house("", "30 cm x 30 cm", 10, valve, "feed", BOX.replace(", flush: open", ""))
    more = 30.0 * (1e3 * open_waste(3.0 * BAR) - 600e-3 / 60.0)
    for time in (60.0, 1800.0):
        assert drained(driven, time) - drained(without, time) == pytest.approx(more, rel=0.03), time
    assert drained(driven, 15.0) - drained(without, 15.0) == pytest.approx(0.5 * more, rel=0.03)
    assert run(driven, 6.0 * HOUR).volume[0] == pytest.approx(0.2 * 0.09, rel=0.01)


def test_its_joint_lets_water_out_at_the_feed_side() -> None:
    plant = house()
    trace = run(plant, HOUR, "flush: joint weeps")
    (study,) = (v for place, v in zip(plant.places, trace.place_total, strict=True) if place.name == "study")
    assert 1e3 * study == pytest.approx(3600e3 * 0.7 * math.pi / 4 * 4e-8 * math.sqrt(2 * 2.97 * BAR / 1000), rel=0.05)


def test_checks_object_to_one_that_never_shuts_and_to_two_clocks() -> None:
    assert KIND.check is not None
    for given, codes in (
        ({"driven by": None}, []),
        ({"driven by": None, "lasts": 60.0, "every": 100.0}, ["flush-always"]),
        ({"driven by": "brain", "every": 3600.0}, ["flush-two-clocks"]),
        ({"driven by": "brain"}, []),
    ):
        assert [one.code for one in KIND.check(sampled(KIND, "flush", {}, given))] == codes


def test_sound_design_has_no_finding_about_it() -> None:
    text = HOUSE.format(flush=FLUSH, area=WIDE, start=10, before="", first="supply", more="")
    assert [f for f in check(read_text(text, "h")) if f.where == "water: flush"] == []


@pytest.mark.parametrize(
    "keys",
    ["on: check", "on: membrane, lasts: 18 L", "on: membrane, evry: 2 h", "lasts: 18 s", "on: membrane, every: 1 s"],
)
def test_bad_input_is_told_at_its_part(keys: str) -> None:
    with pytest.raises(DesignError) as refused:
        house(f"  flush: {{kind: auto flush, {keys}}}")
    assert any("flush" in one.where for one in refused.value.findings)
