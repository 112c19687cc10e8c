"""Which runs a study makes, counted by hand and by brute force."""

from itertools import combinations
from types import SimpleNamespace

import pytest

from dewpond.plant.plant import DAY, STARTS, Onset, Plant, PlantFault
from dewpond.study import drills
from dewpond.study.drills import WAITS, Alone

HOUR = 3600.0


def fault(label: str, timing: str) -> PlantFault:
    part, _, name = label.partition(": ")
    return PlantFault(label, part, name, "", timing, "", 1e30, 1.0, ())


LEAK = fault("tube: bursts", "initiator")
OTHER_LEAK = fault("bowl: cracks", "initiator")
STUCK = fault("valve: sticks", "latent")
FLAT = fault("probe: flat", "latent")
CUT = fault("power: cut", "event")
OTHER_CUT = fault("supply: lost", "event")
HANGS = fault("box: hangs while it drives pump", "triggered")
OTHER_HANGS = fault("timer: hangs while it drives valve", "triggered")
NO_TRIPS: dict[str, float | None] = dict.fromkeys(
    (f.label for f in (LEAK, OTHER_LEAK, STUCK, FLAT, CUT, OTHER_CUT, HANGS, OTHER_HANGS)), None
)


def made(
    one: PlantFault, other: PlantFault, came: float | None = None, **trips: float
) -> list[tuple[tuple[Onset, ...], str]]:
    known = NO_TRIPS | {f.label: trips[f.part] for f in (one, other) if f.part in trips}
    alone = Alone(known, {f.label: came for f in (one, other) if f.timing == "triggered"})
    return [(p.drill.faults, p.drill.order) for p in drills.pairs(one, other, "travelling", DAY, alone)]


def acted(plant: Plant) -> Alone:
    """Every fault alone makes a protection act after 4000 s, and those with a moment of their own come after 3900 s."""
    late = {f.label: 3900.0 for f in plant.faults if f.timing == "triggered"}
    return Alone({f.label: 4000.0 for f in plant.faults}, late)


def test_each_fault_is_tried_alone_once_for_each_way_of_being_there(plant: Plant) -> None:
    singles = drills.singles(plant)
    assert len(singles) == 2 * len(plant.faults)
    assert {d.labels for d in singles} == {(f.label,) for f in plant.faults}
    assert {(d.who, d.horizon) for d in singles} == {("travelling", 14 * DAY), ("at home", DAY)}
    assert len(set(singles)) == len(singles)


def test_hidden_fault_stands_since_before_and_any_other_begins_after_an_hour(plant: Plant) -> None:
    for drill in drills.singles(plant):
        timing = plant.fault(drill.labels[0]).timing
        time, order = {"latent": (0.0, drills.STANDING), "triggered": (WAITS, drills.BY_ITSELF)}.get(
            timing, (HOUR, drills.LATER)
        )
        assert (drill.faults[0].time, drill.order) == (time, order)


def test_run_starts_at_the_clock_time_of_where_people_are() -> None:
    for who, horizon in drills.WHO:
        scenario = drills.normal(who, horizon).scenario
        assert (scenario.who, scenario.horizon, scenario.clock, scenario.onsets) == (who, horizon, STARTS[who], ())


def test_couples_are_all_pairs_but_those_of_one_part_and_one_timing_brute_force(plant: Plant) -> None:
    wanted = [
        (a.label, b.label) for a, b in combinations(plant.faults, 2) if not (a.part == b.part and a.timing == b.timing)
    ]
    assert [(a.label, b.label) for a, b in drills.couples(plant)] == wanted
    assert len(wanted) > 300


def test_hidden_fault_and_leak_without_a_trip_have_one_order() -> None:
    wanted = ((Onset(STUCK.label, 0.0), Onset(LEAK.label, HOUR)), drills.STANDING_FIRST)
    assert made(STUCK, LEAK) == [wanted]
    assert made(LEAK, STUCK) == [wanted]


def test_hidden_fault_also_comes_a_minute_after_the_leak_has_tripped_something() -> None:
    later = ((Onset(LEAK.label, HOUR), Onset(STUCK.label, 5060.0)), drills.AFTER_TRIP)
    assert later in made(STUCK, LEAK, tube=5000.0)
    assert len(made(STUCK, LEAK, tube=5000.0)) == 2


def test_two_hidden_faults_stand_together_and_may_follow_each_others_trip() -> None:
    both = ((Onset(STUCK.label, 0.0), Onset(FLAT.label, 0.0)), drills.BOTH_STANDING)
    assert made(STUCK, FLAT) == [both]
    assert made(STUCK, FLAT, valve=100.0) == [
        both,
        ((Onset(STUCK.label, 0.0), Onset(FLAT.label, 160.0)), drills.AFTER_TRIP),
    ]


def test_two_leaks_begin_together_once() -> None:
    assert made(LEAK, OTHER_LEAK, tube=5000.0) == [
        ((Onset(LEAK.label, HOUR), Onset(OTHER_LEAK.label, HOUR)), drills.BOTH_LATER)
    ]


def test_power_cut_comes_before_the_leak_with_it_and_after_its_trip() -> None:
    assert made(LEAK, CUT, tube=5000.0) == [
        ((Onset(LEAK.label, HOUR), Onset(CUT.label, HOUR + 600.0)), drills.ONE_SOON),
        ((Onset(LEAK.label, HOUR), Onset(CUT.label, 5600.0)), drills.AFTER_TRIP),
        ((Onset(CUT.label, HOUR), Onset(LEAK.label, HOUR + 600.0)), drills.ONE_SOON),
    ]


def test_two_events_come_in_both_orders() -> None:
    assert [faults[0].label for faults, _ in made(CUT, OTHER_CUT)] == [CUT.label, OTHER_CUT.label]


def test_what_comes_at_its_own_moment_comes_after_a_leak_and_before_it() -> None:
    after = ((Onset(LEAK.label, HOUR), Onset(HANGS.label, WAITS)), drills.THEN_BY_ITSELF)
    before = ((Onset(HANGS.label, WAITS), Onset(LEAK.label, 9600.0)), drills.BY_ITSELF_FIRST)
    assert made(LEAK, HANGS, came=9000.0) == [after, before]
    assert made(HANGS, LEAK, came=9000.0) == [before, after]
    assert made(LEAK, HANGS) == [after]  # its moment does not come when nothing else fails: the leak may bring it
    assert made(LEAK, HANGS, came=9000.0, tube=3700.0) == [
        after,
        before,
    ]  # it comes by itself once the leak has tripped


def test_leak_begins_halfway_to_a_moment_that_comes_before_the_hour_is_over() -> None:
    drilled = made(LEAK, HANGS, came=1000.0)
    assert drilled[0] == ((Onset(LEAK.label, 500.0), Onset(HANGS.label, WAITS)), drills.THEN_BY_ITSELF)
    assert drilled[1][0][1] == Onset(LEAK.label, 1600.0)


def test_hidden_fault_stands_when_another_comes_at_its_moment_and_may_follow_what_that_trips() -> None:
    standing = ((Onset(STUCK.label, 0.0), Onset(HANGS.label, WAITS)), drills.STANDING_THEN)
    assert made(STUCK, HANGS, came=9000.0) == [standing]
    later = ((Onset(HANGS.label, WAITS), Onset(STUCK.label, 9560.0)), drills.AFTER_TRIP)
    assert made(STUCK, HANGS, came=9000.0, box=9500.0) == [standing, later]


def test_two_faults_with_moments_of_their_own_are_tried_once() -> None:
    both = ((Onset(HANGS.label, WAITS), Onset(OTHER_HANGS.label, WAITS)), drills.BOTH_BY_THEMSELVES)
    assert made(HANGS, OTHER_HANGS, came=9000.0, box=9500.0) == [both]


def test_power_cut_after_a_fault_with_its_own_moment_is_tried_once_where_that_trips_at_once() -> None:
    orders = [order for _, order in made(HANGS, CUT, came=9000.0, box=9000.0)]
    assert orders == [drills.BY_ITSELF_FIRST, drills.THEN_BY_ITSELF]


def test_one_box_hangs_once() -> None:
    again = fault("box: hangs while it drives valve", "triggered")
    hidden = fault("box: dies", "latent")
    faults = (HANGS, again, hidden, LEAK)
    couples = [(a.label, b.label) for a, b in drills.couples(SimpleNamespace(faults=faults))]  # type: ignore[arg-type]
    assert couples == [(f.label, LEAK.label) for f in (HANGS, again, hidden)]


@pytest.mark.parametrize("trip", [DAY - 30.0, DAY])
def test_nothing_comes_after_a_trip_at_the_very_end_of_a_run(trip: float) -> None:
    assert [order for _, order in made(STUCK, LEAK, tube=trip)] == [drills.STANDING_FIRST]


def test_only_a_hidden_fault_can_be_what_a_copy_leaves_out(plant: Plant) -> None:
    alone = acted(plant)
    timing = {f.label: f.timing for f in plant.faults}
    copies = 0
    for one, other in drills.couples(plant):
        for pair in drills.pairs(one, other, "travelling", DAY, alone):
            for number, lone in pair.same_as:
                copies += 1
                assert timing[pair.drill.labels[number]] in ("latent", "triggered")
                assert lone.labels == (pair.drill.labels[1 - number],)
                assert lone.faults[0] == pair.drill.faults[1 - number]  # the run that is copied has the same moment
    assert copies > 100


def test_same_plant_gives_the_same_drills_in_the_same_order(plant: Plant) -> None:
    alone = acted(plant)

    def every() -> list[drills.Drill]:
        return [p.drill for a, b in drills.couples(plant) for p in drills.pairs(a, b, "at home", DAY, alone)]

    assert every() == every()
    assert len(set(every())) == len(every())
