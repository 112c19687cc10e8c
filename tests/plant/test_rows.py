"""Rows of the cause-and-effect matrix, from the words of a design file to the order an actuator gets.

Each timeline is made by hand from what the row says. Sensors are moved by faults that begin and end on the second.
"""

import pytest

from dewpond.plant import primitives as prim
from tests.plant.houses import HOUR, STOP_ON_WATER, TOP_OFF, Ill, Told, controller, design, plant_of, run

LITRE = 1e-3
DAY = 86400.0
CALLS = "low mark: float stuck low"  # the sump is called low, whatever is in it
HIGH = "high mark: wires touch"  # reported high
WET = "probe: reports water on a dry floor"
ALSO_WET = "second probe: reports water on a dry floor"
CUT = "box circuit: trips until someone comes"
RUN_ON_CALL = "{cause: low mark low, effect: {pump: running}}"
STOP_ON_HIGH = "{cause: high mark high, effect: {pump: stopped}}"
SECOND_BOX = (
    "  cut-out: {power: tank circuit, after a restart: {trips: kept, counts: kept}, when it hangs: keeps last order}"
)
TWO_BOXES = f"{controller()}\n{SECOND_BOX}"
STOP_BY_THE_OTHER = "{cause: high mark high, effect: {pump: stopped}, by: cut-out}"


def pump(told: Told) -> list[tuple[float, int]]:
    return told.changes("pump", "pump starts")


def valve(told: Told) -> list[tuple[float, int]]:
    return told.changes("feed valve", "feed valve opens")


def near(*changes: tuple[float, int]) -> list[tuple[object, int]]:
    return [(pytest.approx(t, abs=1e-3), v) for t, v in changes]


# --- causes -----------------------------------------------------------------------------------------------------------
def test_demand_runs_the_pump_as_long_as_its_cause() -> None:
    told = run(plant_of(design(RUN_ON_CALL)), "travelling", 600.0, [Ill(CALLS, 100.0, 50.0)])
    assert pump(told) == near((0.0, 0), (100.0, 1), (150.0, 0))


@pytest.mark.parametrize(("seconds", "trips"), [(3.0, False), (4.9, False), (6.0, True)])
def test_cause_must_last_as_long_as_the_row_says(seconds: float, trips: bool) -> None:
    row = "{cause: probe wet, lasting: 5 s, effect: {feed valve: shut}, until: re-armed by hand when dry}"
    told = run(plant_of(design(row)), "travelling", 600.0, [Ill(WET, 100.0, seconds)])
    assert valve(told) == near((0.0, 1), *([(105.0, 0)] if trips else []))


# cause -> the rows of its table (probe wet, second probe wet, high mark high) in which it is true
CAUSES = {
    "probe wet or second probe wet": ["100", "010", "110", "101", "011", "111"],
    "probe wet and second probe wet": ["110", "111"],
    "probe wet and high mark not high": ["100", "110"],
    "probe dry": ["000", "010", "001", "011"],
    '"2 of: probe wet, second probe wet, high mark high"': ["110", "101", "011", "111"],
    '"3 of: probe wet, second probe wet, high mark high"': ["111"],
}


@pytest.mark.parametrize("cause", CAUSES)
def test_cause_is_true_in_the_right_rows_of_its_table(cause: str) -> None:
    plant = plant_of(design(f"{{cause: {cause}, effect: {{feed valve: shut}}}}"))
    for row in range(8):
        facts = f"{row:03b}"
        ills = [Ill(label, 10.0) for label, fact in zip((WET, ALSO_WET, HIGH), facts, strict=True) if fact == "1"]
        told = run(plant, "travelling", 30.0, ills)
        assert valve(told)[-1][1] == int(facts not in CAUSES[cause]), facts


@pytest.mark.parametrize("fault", ["probe: wire cut", "probe: electrically dead", "probe: moved away"])
def test_probe_that_fails_makes_its_row_blind(fault: str) -> None:
    """Water on the floor all the same: a joint in the study blows off, and only the sound probe shuts the valve."""
    plant = plant_of(design(STOP_ON_WATER))
    leak = Ill("float: joint blows off", 60.0)
    assert valve(run(plant, "travelling", HOUR, [leak]))[-1][1] == 0
    assert valve(run(plant, "travelling", HOUR, [leak, Ill(fault, 0.0)])) == near((0.0, 1))


def test_wire_that_breaks_looks_wet_where_an_open_contact_is_read_as_wet() -> None:
    text = design(STOP_ON_WATER).replace(
        "wired to: box, contact: closes when wet,\n                 read as wet when: closed, seen to",
        "wired to: box, contact: opens when wet,\n                 read as wet when: open, seen to", 1)  # fmt: skip
    told = run(plant_of(text), "travelling", 300.0, [Ill("probe: wire cut", 100.0)])
    assert valve(told) == near((0.0, 1), (100.0, 0))


# --- stops and demands ------------------------------------------------------------------------------------------------
def test_any_stop_wins_over_a_demand_and_gives_way_when_its_cause_ends() -> None:
    told = run(
        plant_of(design(RUN_ON_CALL, STOP_ON_HIGH)), "travelling", 900.0, [Ill(CALLS, 100.0), Ill(HIGH, 200.0, 100.0)]
    )
    assert pump(told) == near((0.0, 0), (100.0, 1), (200.0, 0), (300.0, 1))


def test_stop_wins_whatever_the_order_of_the_rows() -> None:
    ills = [Ill(HIGH, 50.0, 100.0), Ill(CALLS, 100.0)]
    for rows in ((RUN_ON_CALL, STOP_ON_HIGH), (STOP_ON_HIGH, RUN_ON_CALL)):
        assert pump(run(plant_of(design(*rows)), "travelling", 600.0, ills)) == near((0.0, 0), (150.0, 1))


def test_stop_of_another_box_wins_too_and_works_when_the_first_box_hangs() -> None:
    text = design(RUN_ON_CALL, STOP_BY_THE_OTHER, controllers=TWO_BOXES, high_wired_to="cut-out")
    plant = plant_of(text)
    told = run(plant, "travelling", 900.0, [Ill(CALLS, 100.0), Ill(HIGH, 200.0, 100.0)])
    assert pump(told) == near((0.0, 0), (100.0, 1), (200.0, 0), (300.0, 1))
    hung = run(plant, "travelling", 900.0, [Ill(CALLS, 100.0, 60.0), Ill("box: hangs", 150.0), Ill(HIGH, 500.0)])
    assert pump(hung) == near((0.0, 0), (100.0, 1), (500.0, 0))


def test_pump_behind_two_boxes_rests_when_either_is_dead() -> None:
    text = design(RUN_ON_CALL, STOP_BY_THE_OTHER, controllers=TWO_BOXES, high_wired_to="cut-out")
    for dead in ("box: dies", "cut-out: dies"):
        told = run(plant_of(text), "travelling", 900.0, [Ill(CALLS, 100.0), Ill(dead, 200.0, 100.0)])
        assert pump(told) == near((0.0, 0), (100.0, 1), (200.0, 0), (300.0, 1)), dead


def test_actuator_that_nobody_orders_stays_at_rest() -> None:
    told = run(plant_of(design(RUN_ON_CALL)), "travelling", 600.0, [Ill(WET, 100.0)])
    assert valve(told) == near((0.0, 0))


# --- boxes that die, hang and restart ---------------------------------------------------------------------------------
def test_dead_box_lets_the_valve_fall_to_its_rest() -> None:
    told = run(plant_of(design(STOP_ON_WATER)), "travelling", 600.0, [Ill(CUT, 100.0, 100.0)])
    assert valve(told) == near((0.0, 1), (100.0, 0), (200.0, 1))


def test_valve_that_is_open_without_power_opens_when_its_tripped_box_dies() -> None:
    told = run(
        plant_of(design(STOP_ON_WATER, at_rest="open")), "travelling", 600.0,
        [Ill(WET, 50.0, 20.0), Ill(CUT, 100.0, 100.0)],
    )  # fmt: skip
    assert valve(told) == near((0.0, 1), (50.0, 0), (100.0, 1), (200.0, 0))


@pytest.mark.parametrize(("hung", "goes_on"), [("keeps last order", True), ("outputs stopped", False)])
def test_hung_box_keeps_or_drops_its_order_as_the_file_says(hung: str, goes_on: bool) -> None:
    plant = plant_of(design(TOP_OFF, STOP_ON_WATER, controllers=controller(hung=hung)))
    ills = [Ill(CALLS, 100.0, 100.0), Ill("box: hangs", 150.0), Ill(WET, 400.0)]
    told = run(plant, "travelling", 900.0, ills)
    # it sees neither that the call has ended nor that the run is too long nor that a probe is wet
    assert pump(told) == near((0.0, 0), (100.0, 1), *([] if goes_on else [(150.0, 0)]))
    assert valve(told) == near((0.0, 1), *([] if goes_on else [(150.0, 0)]))


def test_box_that_comes_round_sees_what_it_missed() -> None:
    told = run(plant_of(design(STOP_ON_WATER)), "travelling", 900.0, [Ill("box: hangs", 100.0, 200.0), Ill(WET, 150.0)])
    assert valve(told) == near((0.0, 1), (300.0, 0))


@pytest.mark.parametrize(("trips", "opens"), [("kept", False), ("cleared", True)])
def test_latch_is_kept_or_cleared_through_a_power_cut_as_the_file_says(trips: str, opens: bool) -> None:
    plant = plant_of(design(STOP_ON_WATER, controllers=controller(trips=trips)))
    told = run(plant, "travelling", 900.0, [Ill(WET, 50.0, 20.0), Ill(CUT, 100.0, 100.0)])
    assert valve(told) == near((0.0, 1), (50.0, 0), *([(200.0, 1)] if opens else []))
    assert told.consequence.still_running is False


def test_trip_without_rearming_ends_with_its_cause() -> None:
    told = run(plant_of(design("{cause: probe wet, effect: {feed valve: shut}}")), "travelling", 600.0,
               [Ill(WET, 100.0, 60.0)])  # fmt: skip
    assert valve(told) == near((0.0, 1), (100.0, 0), (160.0, 1))
    assert told.at("box no longer orders feed valve shut because of probe wet") == near_times(160.0)


def near_times(*times: float) -> list[object]:
    return [pytest.approx(t, abs=1e-3) for t in times]


def test_box_that_waits_after_a_restart_gives_no_orders_until_then() -> None:
    text = design(TOP_OFF, controllers=controller(more="waits after a restart: 5 min"))
    told = run(plant_of(text), "travelling", HOUR, [Ill(CALLS, 900.0), Ill(CUT, 1000.0, 60.0)])
    first_stop = [(1000.0, 0)]
    assert pump(told)[:4] == near((0.0, 0), (900.0, 1), *first_stop, (1360.0, 1))


# --- limits of a run --------------------------------------------------------------------------------------------------
def test_run_ends_at_its_limit_and_a_new_call_may_run_again() -> None:
    told = run(plant_of(design(TOP_OFF)), "travelling", HOUR, [Ill(CALLS, 100.0, 900.0), Ill(CALLS, 1500.0, 60.0)])
    assert pump(told) == near((0.0, 0), (100.0, 1), (340.0, 0), (1500.0, 1), (1560.0, 0))
    ended = "box ends its order to run pump: that has lasted too long, and waits until low mark low is over"
    assert told.at(ended) == pytest.approx([340.0], abs=0.1)


TOO_LONG = (
    "{cause: low mark low, effect: {pump: running}, at most: 4 min a run, "
    "when a run is too long: {effect: stopped, until: re-armed by hand when the level is normal, tell: level message}}"
)
LEVEL_MESSAGE = "messages:\n  level message: {priority: today, path: [box, keeper]}"


def test_run_too_long_locks_until_somebody_rearms_and_tells() -> None:
    plant = plant_of(design(TOO_LONG, messages=LEVEL_MESSAGE))
    told = run(plant, "travelling", 3 * HOUR, [Ill(CALLS, 100.0, 900.0), Ill(CALLS, 5000.0)])
    assert pump(told) == near((0.0, 0), (100.0, 1), (340.0, 0))
    assert [(t, name) for t, name in told.consequence.messages] == [(pytest.approx(400.0, abs=1e-3), "level message")]
    assert told.at("that has lasted too long, and waits until somebody re-arms it")


@pytest.mark.parametrize(("trips", "runs_again"), [("kept", False), ("cleared", True)])
def test_lock_of_a_run_too_long_is_a_trip_through_a_power_cut(trips: str, runs_again: bool) -> None:
    plant = plant_of(design(TOO_LONG, messages=LEVEL_MESSAGE, controllers=controller(trips=trips)))
    told = run(plant, "travelling", 1500.0, [Ill(CALLS, 100.0), Ill(CUT, 600.0, 60.0)])
    assert pump(told)[:3] == near((0.0, 0), (100.0, 1), (340.0, 0))
    assert pump(told)[3:] == near(*([(660.0, 1), (900.0, 0)] if runs_again else []))


def test_gap_keeps_the_pump_at_rest_between_two_runs() -> None:
    row = "{cause: low mark low, effect: {pump: running}, at most: 4 min a run, gap: 20 min}"
    told = run(plant_of(design(row)), "travelling", HOUR, [Ill(CALLS, 100.0, 60.0), Ill(CALLS, 400.0, 1200.0)])
    # the first run ends at 160; the second call waits until 1360 and runs until it ends
    assert pump(told) == near((0.0, 0), (100.0, 1), (160.0, 0), (1360.0, 1), (1600.0, 0))


def pumped(told: Told) -> float:
    """What the pump has moved in the run [m3]."""
    laws = told.plant.arrays.edge_law
    (edge,) = [link.edge for link in told.plant.links if link.part == "pump" and laws[link.edge] == prim.PUMP]
    return told.trace.moved[edge]


def test_most_of_a_day_rests_the_pump_until_midnight() -> None:
    """Two litres a day at 8 in the morning under a call that never ends: again at midnight, sixteen hours later."""
    row = "{cause: low mark low, effect: {pump: running}, at most: 60 min a run, per day: 2 L}"
    plant = plant_of(design(row))
    told = run(plant, "travelling", 40 * HOUR, [Ill(CALLS, 600.0)], clock=8 * HOUR)
    times = [t for t, _ in pump(told)]
    second_of_midnight = 70.0 * LITRE / HOUR  # while the count is put back it counts nothing
    assert [v for _, v in pump(told)] == [0, 1, 0, 1, 0]
    assert times[1] == pytest.approx(600.0)
    assert times[2] - times[1] == pytest.approx(times[4] - times[3], rel=0.02)  # the reservoir is lower by then
    assert times[3] == pytest.approx(16 * HOUR, abs=1.01)
    assert pumped(told) == pytest.approx(4.0 * LITRE, abs=2e-3 * LITRE + second_of_midnight)


@pytest.mark.parametrize(("counts", "litres"), [("kept", 2.0), ("cleared", 4.0)])
def test_count_of_the_day_is_kept_or_cleared_through_a_power_cut(counts: str, litres: float) -> None:
    row = "{cause: low mark low, effect: {pump: running}, at most: 60 min a run, per day: 2 L}"
    plant = plant_of(design(row, controllers=controller(counts=counts)))
    told = run(plant, "travelling", 4 * HOUR, [Ill(CALLS, 600.0), Ill(CUT, 2 * HOUR, 60.0)], clock=8 * HOUR)
    assert pumped(told) == pytest.approx(litres * LITRE, rel=2e-3)


def test_pump_that_runs_on_heeds_no_order_but_needs_power() -> None:
    plant = plant_of(design(RUN_ON_CALL, STOP_ON_HIGH))
    told = run(plant, "travelling", 900.0, [Ill("pump: runs on", 100.0), Ill(HIGH, 200.0), Ill(CUT, 300.0, 100.0)])
    assert pump(told) == near((0.0, 0), (100.0, 1), (300.0, 0), (400.0, 1))


# --- what the rows do to the water ------------------------------------------------------------------------------------
def test_trip_ends_the_water_of_a_blown_joint_and_names_itself() -> None:
    plant = plant_of(design(STOP_ON_WATER))
    leak = Ill("float: joint blows off", 600.0)
    guarded, bare = (
        run(plant, "travelling", 6 * HOUR, [leak]),
        run(plant, "travelling", 6 * HOUR, [leak, Ill("probe: wire cut", 0.0)]),
    )
    said = guarded.consequence
    assert said.first_water == pytest.approx(600.0, abs=1.0)
    (tripped,) = guarded.at("box orders feed valve shut")
    assert said.stopped == pytest.approx(tripped, abs=30.0)
    assert said.stopped_by is not None
    assert "orders feed valve shut" in said.stopped_by or "feed valve shuts" in said.stopped_by
    assert not said.still_running
    assert said.reopenings == 0
    assert said.on_floors < 0.05 * bare.consequence.on_floors
    assert bare.consequence.still_running
    assert bare.consequence.stopped is None


def test_cleared_latch_lets_the_water_start_again_by_itself() -> None:
    """The classical mistake: the controller forgets its trip in a power cut, and the dried probe says nothing."""
    leak, cut = Ill("float: joint blows off", 600.0), Ill(CUT, 30 * HOUR, 600.0)
    counts = {}
    for trips in ("kept", "cleared"):
        plant = plant_of(design(STOP_ON_WATER, controllers=controller(trips=trips)))
        said = run(plant, "travelling", 3 * DAY, [leak, Ill("probe: wire cut", 24 * HOUR), cut]).consequence
        counts[trips] = said.reopenings, said.still_running
    assert counts == {"kept": (0, False), "cleared": (1, True)}
