"""The motor valve: what it does without power, how long it turns, and what sticks. Litres are worked out by hand."""

import math

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.parts.base import PartView
from dewpond.parts.motorised_ball_valve import KIND
from dewpond.physics import water
from dewpond.plant.plant import Plant
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

BOX = PartView("box", "box", "", {"power": "laundry circuit"}, frozenset())
FEED = PartView("feed", "feed", "", {}, frozenset())
HOUSE = """
format: 1
title: A motor valve (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}}}
places:
  laundry:   {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  study:     {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:  {{kind: hand valve, after: supply, in: laundry}}
  feed:      {{kind: motorised ball valve, after: stop tap, in: laundry, without power: {rests}, turning time: {turns},
              driven by: box{more}}}
  tube:      {{kind: tubing, after: feed, length: 6 m, through: [laundry, study]}}
  float:     {{kind: float valve, after: tube, fills: reservoir, starts to shut at: 250 mm, quite shut at: 265 mm}}
  reservoir: {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor}}
sensors:
  probe:     {{kind: leak probe, in: {probe}, at: corner, wired to: box, contact: closes when wet,
              read as wet when: closed, seen to work with purified water: 2026-11-02}}
controllers:
  box:       {{power: box circuit, after a restart: {{trips: kept, counts: kept}}, when it hangs: {hung}}}
matrix:
  - {{cause: probe wet, effect: {{feed: shut}}, until: re-armed by hand when dry}}
people:
  keeper:    {{day: {{at home awake: 8 h, asleep: 8 h, out: 8 h}}, reaches the stop tap in: 10 min}}
"""
LEAK = "feed: joint blows off, behind the valve"
CUT = "box circuit: cut for an hour"
WAYS = ("shut by a spring", "shut by a capacitor", "stays as it is", "open by a spring")


def house(
    rests: str = WAYS[0], turns: str = "10 s", probe: str = "laundry", hung: str = "outputs stopped", more: str = ""
) -> Plant:
    return plant_of(HOUSE.format(rests=rests, turns=turns, probe=probe, hung=hung, more=more))


def leaking(plant: Plant, *ills: Ill, hours: float = 6.0) -> Told:
    """A tube is off behind the valve from the first hour on, in the laundry; nobody is there."""
    return run(plant, "travelling", hours * HOUR, [Ill(LEAK, HOUR), *ills], compiled=True)


def is_shut(told: Told, time: float) -> bool:
    return bool([value for when, value in told.changes("feed", "feed shuts") if when <= time][-1])


def outflow() -> float:
    """Through stop tap, valve (12 L/min at 1 bar each) and the open tube end at 4 bar, in series [m3/s]: 12.2 L/min."""
    valve = 1e5 / (12e-3 / 60.0) ** 2
    hole = water.density(281.15) / (2.0 * (0.7 * math.pi / 4.0 * 4.318e-3**2) ** 2)
    return math.sqrt(4e5 / (2.0 * valve + hole))


# --- turning ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rests", WAYS)
def test_it_goes_on_passing_while_it_turns(rests: str) -> None:
    """Hand calculation: at 12.2 L/min, 60 s of turning let 11.1 L more out than 5 s do."""
    slow, quick = (leaking(house(rests, turns)) for turns in ("60 s", "5 s"))
    assert outflow() * 60e3 == pytest.approx(12.15, abs=0.01)
    more = slow.consequence.on_floors - quick.consequence.on_floors
    assert more == pytest.approx(55.0 * outflow(), rel=1e-3)
    for told, turns in ((slow, 60.0), (quick, 5.0)):
        (ordered,), (shut,) = told.at("box orders feed shut"), told.at("feed shuts")
        assert shut - ordered == pytest.approx(turns, abs=1e-6)
        assert told.consequence.stopped_by == "feed shuts"


def test_it_passes_as_soon_as_it_begins_to_open() -> None:
    """A cut of an hour shuts it by its spring; with power back it opens, and water runs at once."""
    told = leaking(house(probe="study"), Ill(CUT, 2.0 * HOUR, HOUR), hours=4.0)
    assert told.changes("feed", "feed shuts") == [(0.0, 0), (2.0 * HOUR + 10.0, 1), (3.0 * HOUR, 0)]


@pytest.mark.parametrize("rests", ["stays as it is", "shut by a capacitor"])
def test_cut_in_the_middle_of_its_turn_leaves_it_open_unless_something_turns_it_on(rests: str) -> None:
    """It has begun to turn at the order; half-way the power goes for an hour, and it begins anew when that is back."""
    plant = house(rests, "60 s")
    (ordered,) = leaking(plant).at("box orders feed shut")
    told = leaking(plant, Ill(CUT, ordered + 30.0, HOUR))
    (shut,) = told.at("feed shuts")
    assert shut == pytest.approx(ordered + (30.0 + HOUR if rests == "stays as it is" else 0.0) + 60.0, abs=0.01)


# --- without power ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rests", "fault", "runs"),
    [
        ("shut by a spring", "", 4.0 * HOUR + 10.0),
        ("shut by a capacitor", "", 4.0 * HOUR + 10.0),
        ("shut by a capacitor", "capacitor tired", 5.0 * HOUR),
        ("stays as it is", "", 5.0 * HOUR),
        ("open by a spring", "", 5.0 * HOUR),
    ],
)
def test_litres_of_a_cut_of_an_hour_by_what_it_does_without_power(rests: str, fault: str, runs: float) -> None:
    """By hand: the tube is off from hour 1 to 6, no probe sees it, and the power is away from hour 2 to 3."""
    standing = [Ill(f"feed: {fault}", 0.0)] if fault else []
    told = leaking(house(rests, probe="study"), *standing, Ill(CUT, 2.0 * HOUR, HOUR))
    assert told.consequence.on_floors == pytest.approx(runs * outflow(), rel=1e-3)


def test_capacitor_that_is_tired_does_nothing_while_there_is_power() -> None:
    told = leaking(house("shut by a capacitor"), Ill("feed: capacitor tired", 0.0))
    assert told.at("feed shuts")


def test_a_box_that_is_dead_gives_no_power_to_turn_it() -> None:
    """Its own circuit lives, but who should feed its motor does not: one that stays as it is stays open."""
    shut = {
        rests: is_shut(leaking(house(rests, probe="study"), Ill("box: dies", 2.0 * HOUR)), 6.0 * HOUR) for rests in WAYS
    }
    assert shut == dict(zip(WAYS, (True, True, False, False), strict=True))


@pytest.mark.parametrize(("hung", "shuts"), [("outputs stopped", False), ("keeps last order", False)])
def test_one_that_stays_is_not_moved_by_a_box_that_hangs(hung: str, shuts: bool) -> None:
    told = leaking(house("stays as it is", hung=hung), Ill("box: hangs", 0.0))
    assert is_shut(told, 6.0 * HOUR) is shuts


# --- faults ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["stuck where it is", "gear stripped", "does not close"])
@pytest.mark.parametrize("rests", WAYS)
def test_one_that_does_not_turn_lets_it_run_and_says_so(rests: str, fault: str) -> None:
    told = leaking(house(rests), Ill(f"feed: {fault}", 0.0))
    assert told.consequence.on_floors == pytest.approx(5.0 * HOUR * outflow(), rel=1e-3)
    assert told.consequence.still_running
    assert told.consequence.failed == ("feed",)
    assert told.at("feed is told to shut, and stays open")
    assert not told.at("feed shuts")


@pytest.mark.parametrize("fault", ["stuck where it is", "gear stripped"])
def test_stuck_while_it_is_shut_it_stays_shut(fault: str) -> None:
    """A cut shuts it by its spring; it sticks in the cut, and does not open when the power is back."""
    told = leaking(house(probe="study"), Ill(CUT, 2.0 * HOUR, HOUR), Ill(f"feed: {fault}", 2.5 * HOUR))
    assert told.changes("feed", "feed shuts") == [(0.0, 0), (2.0 * HOUR + 10.0, 1)]
    assert told.consequence.on_floors == pytest.approx((HOUR + 10.0) * outflow(), rel=1e-3)


def test_it_is_tight_when_shut_and_drips_when_its_seat_leaks() -> None:
    """By hand: a five-hundredth of its opening at 4 bar is 2.9 L/h; the other losses do not count beside that."""
    tight, leaky = (leaking(house(), *ills) for ills in ((), (Ill("feed: seat leaks", 0.0),)))
    (shut,) = tight.at("feed shuts")
    drips = 0.002 * 12e-3 / 60.0 * 2.0 * (6.0 * HOUR - shut)
    assert not tight.consequence.still_running
    assert leaky.consequence.on_floors - tight.consequence.on_floors == pytest.approx(drips, rel=0.02)
    assert drips / (6.0 * HOUR - shut) * 3.6e6 == pytest.approx(2.9, abs=0.05)


def test_capacitor_is_a_fault_only_of_one_that_has_it() -> None:
    with_it = [rests for rests in WAYS if any(f.name == "capacitor tired" for f in house(rests).faults)]
    assert with_it == ["shut by a capacitor"]


# --- what it asks for ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rests", "words"), [(way, ("shut", "open")) for way in WAYS[:3]] + [(WAYS[3], ("open", "shut"))]
)
def test_only_the_order_that_is_not_its_rest_needs_power(rests: str, words: tuple[str, str]) -> None:
    asked = lowered(KIND, {"after": "feed", "driven by": "box", "without power": rests}, {"feed": FEED, "box": BOX})
    assert asked.actuators[0][:3] == (*words, "laundry circuit")


def test_turning_time_is_five_to_fifteen_seconds_when_left_out() -> None:
    (param,) = (one for one in KIND.params if one.key == "turning time")
    assert param.source is not None
    assert (param.source.low, param.default, param.source.high) == (5.0, 10.0, 15.0)


def test_its_faults_are_those_of_the_trade() -> None:
    assert [fault.name for fault in KIND.faults if fault.timing == "latent"] == [
        "stuck where it is", "does not close", "does not open", "gear stripped", "capacitor tired", "seat leaks",
    ]  # fmt: skip


def test_one_that_stays_as_it_is_is_shut_by_nothing_that_only_cuts_its_power() -> None:
    """The socket in its lead is dead, or told to go off: without power the motor turns nothing."""
    text = HOUSE.format(rests=WAYS[2], turns="10 s", probe="laundry", hung="outputs stopped", more=", through: socket")
    text = text.replace("matrix:\n", "  socket:    {kind: switched socket, power: box circuit}\nmatrix:\n")
    assert "ball-valve-cut-off" in {f.code for f in check(read_text(text, "house.yaml"))}
    plant = plant_of(text)
    assert not is_shut(leaking(plant), 6.0 * HOUR)
    dead = Ill("socket: dead, in the lead of feed", 0.5 * HOUR)
    assert not is_shut(run(plant, "travelling", 2.0 * HOUR, [dead], compiled=True), 2.0 * HOUR)
