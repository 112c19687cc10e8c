"""What is named as having ended the water: only what shut off the way of that water, and still stood."""

from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.reader import read, read_text
from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.certain import shut_gates
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.feeding import Way, way_out
from dewpond.plant.lower import lower
from dewpond.plant.onset import steadied
from dewpond.plant.plant import STARTS, Onset, Plant, Scenario
from dewpond.plant.stopping import BY_ITSELF, SHUTS_ITSELF, Act, comes_back, near, reopenings, stopper
from dewpond.plant.trace import Event
from tests.plant.houses import HOUR, TOP_OFF, design, plant_of

DAY = 86400.0


@pytest.fixture(scope="module")
def two_tanks(repository: Path) -> Plant:
    return lower(read(repository / "examples" / "two_tanks.yaml"))


def told(plant: Plant, *onsets: tuple[str, float], days: float = 3.0) -> Consequence:
    scenario = Scenario("travelling", days * DAY, tuple(Onset(label, time) for label, time in onsets))
    return judge(plant, engine.run(plant, scenario, compiled=True))


def test_a_box_that_ends_the_run_of_a_pump_has_not_ended_the_leak_of_its_reservoir() -> None:
    plant = plant_of(design(TOP_OFF, people=""))
    ills = ("float: stuck shut", 0.0), ("low mark: float stuck low", HOUR), ("reservoir: cracks", HOUR)
    said = told(plant, *ills)
    (ended,) = [m.time for m in said.moments if "ends its order to run pump" in m.text]
    assert said.first_water is not None
    assert said.stopped is not None
    assert said.first_water < ended < said.stopped
    assert said.stopped_by == BY_ITSELF


def test_a_valve_that_shuts_the_feed_is_named(two_tanks: Plant) -> None:
    assert told(two_tanks, ("riser: burst, in study", HOUR)).stopped_by == "feed valve shuts"


def test_what_drains_after_the_valve_has_shut_is_put_down_to_the_valve(two_tanks: Plant) -> None:
    said = told(two_tanks, ("small doser: joint blows off, before the pump", HOUR), days=14.0)
    assert said.stopped_by == "feed valve shuts; what was left then ran out"


@pytest.mark.slow
def test_a_later_fault_is_named_if_it_shuts_the_way_and_not_if_it_has_nothing_to_do_with_it(two_tanks: Plant) -> None:
    leak = ("riser: joint weeps, in laundry", HOUR)
    lost = ("supply: pressure lost", 5 * HOUR)  # for four hours
    assert told(two_tanks, leak, lost, days=0.25).stopped_by == "supply: pressure lost"
    assert told(two_tanks, leak, lost).reopenings == 1
    other = told(two_tanks, leak, ("lagoon: seam leaks", 5 * HOUR))
    assert "lagoon" not in (other.stopped_by or "")


def test_a_leak_of_the_valve_itself_does_not_hold_it_open(two_tanks: Plant) -> None:
    said = told(two_tanks, ("cell valve: joint blows off, behind the valve", HOUR))
    assert "cell valve is told to shut, and stays open" not in [m.text for m in said.moments]
    assert said.stopped_by == "cell valve shuts"


def test_an_idle_fault_has_not_stopped_the_water(two_tanks: Plant) -> None:
    """A cut wire keeps a valve open; it shuts nothing."""
    said = told(two_tanks, ("riser: burst, in study", HOUR), ("shaft probe: wire cut", 1.2 * HOUR), days=2.0)
    assert said.stopped_by == "feed valve shuts"


def test_an_order_that_a_pump_disobeys_has_not_stopped_it(repository: Path) -> None:
    """The pump runs on; the mark for low water stops it in vain, and the keeper pulls its plug later."""
    plant = lower(read(repository / "examples" / "two_tanks.yaml"))
    ills = ("top-off pump: runs on", 0.0), ("pump cut-out: contact welded, in the lead of top-off pump", 0.0)
    scenario = Scenario("at home", DAY, tuple(Onset(*ill) for ill in ills), 18.0 * HOUR)
    said = judge(plant, engine.run(plant, scenario, compiled=True))
    assert said.first_water is not None
    assert "keeper shuts stop tap by hand and unplugs" in (said.stopped_by or "")


def test_a_hand_that_comes_later_is_named_with_water_that_paused(repository: Path) -> None:
    """A line off behind the restrictor: water comes with each fill; the keeper shuts the tap before the next one."""
    plant = lower(read(repository / "examples" / "mixing_day.yaml"))
    ill = Onset("membrane: waste line off after the restrictor", HOUR)
    said = judge(plant, engine.run(plant, Scenario("at home", DAY, (ill,), 18.0 * HOUR), compiled=True))
    assert (said.stopped_by or "").startswith(f"shut-off shuts{SHUTS_ITSELF}; later keeper shuts stop tap by hand")


def test_what_certainly_follows_from_a_held_signal(two_tanks: Plant) -> None:
    wet = {n for what, n, _ in two_tanks.fault("shaft probe: wire cut").patches if what == "force"}
    assert shut_gates(two_tanks, dict.fromkeys(wet, False)) == frozenset()
    dead = {
        n for what, n, _ in two_tanks.fault("laundry circuit: trips until someone comes").patches if what == "force"
    }
    assert "feed valve" in {two_tanks.gates.get(gate) for gate in shut_gates(two_tanks, dict.fromkeys(dead, False))}


def test_who_shuts_a_line_that_lies_shut_has_changed_nothing(two_tanks: Plant) -> None:
    """The neighbour shuts the stop tap three hours after the feed valve; the reservoir still runs out then."""
    said = told(two_tanks, ("reservoir: cracks", HOUR), days=14.0)
    (hand,) = [m.time for m in said.moments if m.text.startswith("neighbour shuts stop tap")]
    assert said.stopped is not None
    assert hand < said.stopped
    assert said.stopped_by == "feed valve shuts; what was left then ran out"


def test_a_feed_valve_has_not_stopped_what_a_pump_draws_from_the_reservoir(two_tanks: Plant) -> None:
    """One box shuts the valve of the feed, the other stops the pump, both at the moment at which the probe is wet."""
    stopped_by = told(two_tanks, ("small doser: tube split", HOUR)).stopped_by or ""
    assert "orders top-off pump stopped and small doser stopped" in stopped_by


def test_what_of_a_way_is_left_when_parts_of_it_are_shut() -> None:
    """Supply 0, tap (edge 1), valve (2), vessel -1, pump (3), open end 9; and a side line (4) into the vessel."""
    way = Way({1: ((0, 1),), 2: ((1, -1),), 3: ((-1, 9),), 4: ((2, -1),)}, frozenset({9}), frozenset({0, -1}))
    assert way.fed([]) == {1, 2, 3}
    assert way.fed([2]) == {1, 2, 3} - {1, 2}
    assert way.fed([1]) == {3}  # no water comes to the valve
    assert way.fed([3]) == frozenset()
    assert way.leading_out([]) == {1, 2, 3, 4}
    assert way.leading_out([1]) == {2, 3, 4}


def test_an_act_counts_while_it_stands() -> None:
    lifted = Act(10.0, 20.0, "lifted")
    stands = Act(5.0, float("inf"), "stands")
    assert near([stands, lifted], 15.0) == lifted
    assert near([stands, lifted], 25.0) == stands
    assert stopper([stands, lifted], [(0.0, True), (5000.0, False)]) == "stands; what was left then ran out"
    assert stopper([stands], [(6.0, True), (5000.0, False)]) == BY_ITSELF  # done before the water began
    assert reopenings([stands], [(1.0, True), (6.0, False), (9.0, True), (5000.0, False)]) == 1


def test_water_that_stays_away_much_longer_than_before_has_ended() -> None:
    """Two pauses of an hour; then silence. A hand that comes in such a pause has ended it, too."""
    spells = [(0.0, True), (600.0, False), (4200.0, True), (4800.0, False), (8400.0, True), (9000.0, False)]
    assert comes_back([], spells, 9000.0 + 3600.0)
    assert not comes_back([], spells, 9000.0 + 4.0 * 3600.0)
    assert not comes_back([], spells[:2], 700.0)
    assert not comes_back([], spells[:5], 1e6)  # it is getting out
    hand = Act(10000.0, float("inf"), "somebody shuts the tap")
    assert stopper([hand], spells) == "somebody shuts the tap, before it came again"
    late = Act(20000.0, float("inf"), "somebody shuts the tap")
    assert stopper([late], spells) == BY_ITSELF


def test_water_that_has_ended_at_a_rim_has_ended(repository: Path) -> None:
    """A vessel full to its rim, all shut: what a spring in its line gives off at midnight is no water on the floor.

    Seen with the check valve at the tee, so that the tube behind it hangs on the full reservoir.
    """
    text = (repository / "examples" / "bin_and_branch.yaml").read_text(encoding="utf-8")
    for was, now in (
        ("after: riser,      in: stand tray, height: 10 cm}", "after: tee, in: garage}"),
        ("after: tee,        in: garage, volume: 0.6 L", "after: riser check, in: garage, volume: 0.6 L"),
        ("after: riser check, fills: reservoir", "after: riser, fills: reservoir"),
    ):
        assert was in text
        text = text.replace(was, now)
    said = told(lower(read_text(text, "rim.yaml")), ("high float: stuck open", 0.0), days=14.0)
    assert said.stopped_by == "feed valve shuts"
    assert (said.reopenings, said.still_running) == (0, False)


def test_water_of_another_leak_is_not_the_first_one_come_back() -> None:
    """A leak ended for good by a valve, and four days later another that empties its vessel."""
    spells = [(3600.0, True), (3700.0, False), (5 * DAY, True), (8 * DAY, False)]
    valve = Act(3650.0, float("inf"), "valve shuts")
    assert not comes_back([valve], spells, 14 * DAY, [3600.0, 5 * DAY])
    assert comes_back([], spells, 14 * DAY)
    assert reopenings([valve], spells, [3600.0, 5 * DAY]) == 0
    assert reopenings([valve], spells) == 1


@pytest.mark.parametrize(
    ("file", "label", "who", "said"),
    [
        ("first_float", "reef: seam leaks", "at home", None),  # the tank's own water leaks: nothing else is needed
        ("first_float", "float: stuck shut", "travelling", "reservoir is all but empty"),
        (
            "two_tanks",
            "feed valve: stuck shut",
            "travelling",
            "reservoir is all but empty",
        ),  # not the limit of a run in vain
        (
            "two_tanks",
            "shaft probe: reports water on a dry floor",
            "travelling",
            "level box orders top-off pump stopped",
        ),
    ],
)
def test_what_left_a_return_pump_dry(repository: Path, file: str, label: str, who: str, said: str | None) -> None:
    plant = lower(read(repository / "examples" / f"{file}.yaml"))
    time = 0.0 if plant.fault(label).timing == "latent" else HOUR
    trace = engine.run(plant, Scenario(who, 14 * DAY, (Onset(label, time),), STARTS[who]), compiled=True)
    found = judge(plant, trace)
    assert found.return_pump_dry is not None
    after = found.return_pump_dry_after
    assert (after is None) if said is None else (after is not None and after.text.startswith(said))


def test_water_that_comes_back_as_its_valve_is_powered_again_has_come_back() -> None:
    """Kept shut by a power cut it ran out; the power came, and with it the water."""
    cut = Act(100.0, 5000.0, "valve shuts")
    waters = [(50.0, True), (2000.0, False), (5000.0, True), (5100.0, False)]
    assert reopenings([cut], waters) == 1
    assert reopenings([Act(100.0, 9000.0, "another shuts")], waters) == 0
    assert reopenings([Act(100.0, 1500.0, "lifted while it still ran")], waters) == 0


def test_a_leak_fed_by_a_vessel_is_not_said_to_be_ended_by_a_float(repository: Path) -> None:
    """The sump's own water runs out by its seam, while the float shuts as ever."""
    plant = lower(read(repository / "examples" / "first_float.yaml"))
    leak = Scenario("at home", 3 * DAY, (Onset("sump: seam leaks", HOUR),), STARTS["at home"])
    said = judge(plant, engine.run(plant, leak, compiled=True))
    assert SHUTS_ITSELF not in (said.stopped_by or "")


def test_water_whose_tap_somebody_has_shut_is_not_expected_back() -> None:
    """It came and went; then a hand shut all that it came from, a little before the run ends."""
    waters = [(0.0, True), (100.0, False), (2000.0, True), (2100.0, False), (4000.0, True), (4100.0, False)]
    hand = Act(4050.0, float("inf"), "keeper shuts tap by hand", by_hand=True)
    assert comes_back([], waters, 5000.0)
    assert not comes_back([hand], waters, 5000.0)
    orders = [replace(hand, by_hand=False), replace(hand, cut=False)]
    assert [comes_back([one], waters, 5000.0) for one in orders] == [False, False]  # each ended it shortly before
    assert comes_back([replace(hand, time=500.0, by_hand=False)], waters, 5000.0)
    assert not comes_back([replace(hand, time=500.0)], waters, 5000.0)


def test_water_that_ran_back_in_the_end_had_run_forth_before(two_tanks: Plant) -> None:
    """More runs back through the unit, once all is over, than ever came: the way from the supply is the same."""
    scenario = Scenario("travelling", DAY, (Onset("riser: burst, in study", HOUR),))
    trace = engine.run(two_tanks, scenario, compiled=True)
    owners = [two_tanks.parts[owner] for owner in two_tanks.arrays.edge_owner]
    turned = tuple(-v if name == "membrane" else v for v, name in zip(trace.moved, owners, strict=True))
    feed = {edge for edge, name in enumerate(owners) if name == "feed valve" and trace.moved[edge] > 0.0}
    assert feed
    for moved in (trace.moved, turned):
        assert feed <= way_out(two_tanks, replace(trace, moved=moved)).fed([])


# -- water that has only just begun ------------------------------------------------------------------------------------
def waters(*times: float) -> list[Event]:
    """Water that gets out and stops by turns [s]."""
    return [Event(time, prim.E_WATER, 0, float(number % 2 == 0)) for number, time in enumerate(times)]


@pytest.mark.parametrize(("times", "left"), [
    ((3600.1, 3600.5, 3601.4), (3600.1,)),  # a tube is let off, and the flow behind it comes up
    ((3600.0, 3601.0, 3602.0, 3603.0, 3604.0), (3600.0,)),
    ((3600.0, 3600.5, 3601.0, 3700.0), (3600.0, 3700.0)),  # it ends later, as it would without
    ((3600.0, 3600.5), (3600.0, 3600.5)),  # it has ended
    ((3600.0, 3600.5, 3610.0), (3600.0, 3600.5, 3610.0)),  # it stood still for long
    ((3600.0, 3660.0, 3661.0), (3600.0, 3660.0, 3661.0)),  # it had run for a minute
    ((10.0, 20.0, 3600.0, 3600.5, 3601.0), (10.0, 20.0, 3600.0)),  # each time that it begins
])  # fmt: skip
def test_water_that_stands_still_for_a_moment_as_it_begins_has_not_stopped(
    times: tuple[float, ...], left: tuple[float, ...]
) -> None:
    assert [event.time for event in steadied(waters(*times))] == list(left)
    assert [event.value for event in steadied(waters(*times))] == [float(n % 2 == 0) for n in range(len(left))]


def test_what_happens_in_between_is_kept() -> None:
    first, stops, again = waters(1.0, 1.5, 2.0)
    other = Event(1.7, prim.E_SIGNAL, 3, 1.0)
    assert steadied([first, stops, other, again]) == (first, other)


def test_a_joint_that_blows_off_as_the_flow_comes_up_is_not_told_as_stopping_each_second(two_tanks: Plant) -> None:
    """The shut-off before it opens by turns of a second until the membrane's pressure is up: six ends in 11 s."""
    said = told(two_tanks, ("membrane: joint blows off, on its feed side", HOUR), days=0.1)
    assert said.first_water is not None
    ends = [moment.time - said.first_water for moment in said.moments if moment.text == "no more water gets out"]
    assert ends
    assert min(ends) > 10.0
