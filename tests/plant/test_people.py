"""People and messages: who is where, who sees or hears what, when somebody acts, and what that ends."""

import pytest

from dewpond.plant.laying import lay, state_at, turns_of
from dewpond.plant.plant import STARTS, Scenario
from tests.plant.houses import HOUR, KEEPER, STOP_ON_WATER, Ill, Told, design, plant_of, run

LITRE = 1e-3
DAY = 24 * HOUR
MINUTE = 60.0
WET = "probe: reports water on a dry floor"
CUT = "box circuit: trips until someone comes"
LEAK = "float: joint blows off"  # in the study
CALLS = "low mark: float stuck low"
DEAF = "keeper: does not hear the message"
WARN = "{cause: probe wet, lasting: 5 s, effect: {}, tell: leak message}"
PUMP = "{cause: low mark low, effect: {pump: running}}"
MESSAGE = "messages:\n  leak message: {priority: now, path: [box, keeper]}"
PASSED_ON = "messages:\n  leak message: {priority: now, path: [box, keeper], unanswered for 45 min: neighbour}"
TWO = KEEPER + "\n  neighbour: {reaches the stop tap in: 2 h}"
WARNED = design(WARN, messages=MESSAGE, at_rest="open")  # nobody but people can shut the water off
NEIGHBOURED = design(WARN, messages=PASSED_ON, people=TWO, at_rest="open")
READ = 60.0  # a message is read a minute after it went out: the program's assumption
HEARD = 1.0


def acts(told: Told, person: str = "keeper") -> list[float]:
    return told.at(f"{person} shuts stop tap by hand")


def near(*times: float) -> list[object]:
    return [pytest.approx(t, abs=0.1) for t in times]


# --- where they are ---------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("who", "first"), [("at home", 1), ("asleep", 0), ("out", 0), ("travelling", 0)])
def test_keeper_awake_at_home_sees_the_puddle_others_do_not_yet(who: str, first: int) -> None:
    told = run(plant_of(WARNED), who, 2 * HOUR, [Ill(LEAK, 0.5 * HOUR), Ill(DEAF, 0.0)])
    assert len(told.at("keeper sees the water in study")) == first


def test_day_goes_round_from_the_state_at_the_start() -> None:
    """Asleep 23 to 7, out 9 to 18, at home in between: rows of the timetable over two days, from each start."""
    plant = plant_of(WARNED)
    (keeper,) = plant.residents
    assert keeper.day == (("asleep", 8 * HOUR), ("out", 9 * HOUR), ("at home", 7 * HOUR))

    def rows(who: str, signal: int) -> list[tuple[float, int]]:
        arrays = lay(plant, Scenario(who, 2 * DAY, (), STARTS[who]))
        table = zip(arrays.tt_time, arrays.tt_sig, arrays.tt_value, strict=True)
        return [(0.0, arrays.sig_start[signal]), *((t / HOUR, v) for t, s, v in table if s == signal)]

    assert rows("asleep", keeper.awake)[:5] == [(0.0, 0), (8.0, 1), (10.0, 0), (19.0, 1), (24.0, 0)]
    assert rows("asleep", keeper.home)[:5] == [(0.0, 1), (8.0, 1), (10.0, 0), (19.0, 1), (24.0, 1)]
    assert rows("out", keeper.home)[:5] == [(0.0, 0), (9.0, 1), (14.0, 1), (22.0, 1), (24.0, 0)]
    assert rows("at home", keeper.awake)[:5] == [(0.0, 1), (5.0, 0), (13.0, 1), (15.0, 0), (24.0, 1)]
    assert rows("travelling", keeper.home) == [(0.0, 0)]
    assert rows("travelling", keeper.travelling) == [(0.0, 1)]


DAYS = [(awake, asleep) for awake in range(25) for asleep in range(25 - awake)]  # hours; out for the rest


def test_whatever_the_hours_each_state_lasts_so_long_and_holds_when_its_runs_begin() -> None:
    for awake, asleep in DAYS:
        hours = {"at home": awake, "asleep": asleep, "out": 24 - awake - asleep}
        day = tuple((state, hours[state] * HOUR) for state in ("asleep", "out", "at home"))
        states = [state_at(day, ten * 10.0 * MINUTE) for ten in range(24 * 6)]
        turns = turns_of(day)
        for state, number in hours.items():
            assert states.count(state) == 6 * number, hours
            if 1 <= hours["out"] <= 15 and 2 <= asleep <= 14 and awake >= 1:
                assert state_at(day, STARTS[state]) == state, hours
        for ten, state in enumerate(states):
            assert state == states[ten - 1] or any(abs(turn - ten * 10.0 * MINUTE) < 1.0 for turn in turns), hours


def test_keeper_who_comes_home_sees_what_has_lain_there() -> None:
    """Out for nine hours; the puddle is there all the time; it is seen so long after coming home as the design says."""
    plant = plant_of(WARNED)
    at_home, out = (run(plant, who, 14 * HOUR, [Ill(LEAK, 60.0), Ill(DEAF, 0.0)]) for who in ("at home", "out"))
    (seen_at_home,), (seen_later,) = (told.at("keeper sees the water in study") for told in (at_home, out))
    # at home the puddle must first grow to what is seen; that takes seconds from a blown joint
    assert seen_later - 9 * HOUR == pytest.approx(seen_at_home - 60.0, abs=60.0)
    assert seen_later > 9 * HOUR


def test_water_in_rooms_of_others_is_seen_by_nobody_of_the_house() -> None:
    flat = WARNED.replace(
        "  study:        {", "  flat below:   {kind: room, size: 4 m x 3 m, floor: glazed tile}\n"
        "  study:        {leads to: flat below, floor height: 2.7 m, a litre covers: 2 m2, "
    )  # fmt: skip
    ours, theirs = (
        run(plant_of(text), "at home", 6 * HOUR, [Ill(LEAK, 60.0), Ill(DEAF, 0.0)])
        for text in (flat, flat.replace("flat below:   {", "flat below:   {whose: others, "))
    )
    for told in (ours, theirs):
        assert told.consequence.by_place["flat below"] > LITRE
        assert len(told.at("keeper sees the water in study")) == 1
    assert (len(ours.at("keeper sees the water in flat below")), len(theirs.at("keeper sees"))) == (1, 1)


def test_one_person_who_finds_water_in_two_places_at_once_is_named_once() -> None:
    """Both lay there when the keeper came home."""
    flat = WARNED.replace(
        "  study:        {", "  den:          {kind: room, size: 4 m x 3 m, floor: glazed tile}\n"
        "  study:        {leads to: den, floor height: 2.7 m, a litre covers: 2 m2, "
    )  # fmt: skip
    ill = [Ill(LEAK, 60.0), Ill(DEAF, 0.0), Ill("probe: electrically dead", 0.0)]
    told = run(plant_of(flat), "out", 12 * HOUR, ill).consequence
    assert told.noticed_by == "keeper sees the water in den and study"


# --- what they do -----------------------------------------------------------------------------------------------------
def test_keeper_acts_so_long_after_noticing_as_it_takes_to_get_there() -> None:
    told = run(plant_of(WARNED), "at home", 3 * HOUR, [Ill(LEAK, 600.0), Ill(DEAF, 0.0)])
    (seen,) = told.at("keeper sees the water in study")
    assert acts(told) == near(seen + 10 * MINUTE)
    said = told.consequence
    assert said.stopped == pytest.approx(seen + 10 * MINUTE, abs=60.0)
    assert said.stopped_by is not None
    assert "keeper shuts stop tap by hand" in said.stopped_by
    assert not said.still_running


def test_message_reaches_the_keeper_at_home_and_the_tap_is_shut() -> None:
    told = run(plant_of(WARNED), "at home", HOUR, [Ill(WET, 600.0)])
    assert told.consequence.messages == ((pytest.approx(605.0 + READ), "leak message"),)
    assert told.at("keeper is told") == near(605.0 + READ + HEARD)
    assert acts(told) == near(605.0 + READ + HEARD + 10 * MINUTE)


def test_what_one_has_shut_another_finds_shut() -> None:
    """Both are told at the same moment; the neighbour comes two hours later."""
    both = design(WARN, messages=MESSAGE.replace("keeper]", "keeper, neighbour]"), people=TWO, at_rest="open")
    told = run(plant_of(both), "at home", 3 * HOUR, [Ill(WET, 600.0)])
    heard = 605.0 + READ + HEARD
    assert acts(told) == near(heard + 10 * MINUTE)
    assert acts(told, "neighbour") == []
    assert told.at("neighbour would do the same, and finds it done") == near(heard + 2 * HOUR)


@pytest.mark.parametrize(
    ("ill", "goes_out", "heard"),
    [(DEAF, 1, 0), ("box: hangs", 0, 0), ("box: dies", 0, 0), ("probe: wire cut", 0, 0)],
)
def test_message_path_is_as_strong_as_its_weakest_link(ill: str, goes_out: int, heard: int) -> None:
    told = run(plant_of(WARNED), "at home", HOUR, [Ill(ill, 0.0), Ill(WET, 600.0)])
    assert len(told.consequence.messages) == goes_out
    assert len(told.at("keeper is told")) == len(acts(told)) == heard


def test_message_that_is_cut_short_by_a_power_cut_is_not_sent() -> None:
    told = run(plant_of(WARNED), "at home", HOUR, [Ill(WET, 600.0), Ill("box circuit: cut for 9 h", 620.0)])
    assert told.consequence.messages == ()


def test_message_is_sent_again_when_power_comes_back_and_the_probe_is_still_wet() -> None:
    told = run(plant_of(WARNED), "at home", HOUR, [Ill(WET, 600.0), Ill(CUT, 620.0, 300.0)])
    assert [t for t, _ in told.consequence.messages] == near(920.0 + 5.0 + READ)


def test_travelling_keeper_hears_but_cannot_act() -> None:
    told = run(plant_of(WARNED), "travelling", DAY, [Ill(WET, 600.0), Ill(LEAK, 600.0)])
    assert len(told.at("keeper is told")) == 1
    assert acts(told) == []
    assert told.consequence.still_running


@pytest.mark.parametrize("who", ["travelling", "asleep", "out"])
def test_neighbour_is_told_after_45_minutes_without_an_answer_and_comes(who: str) -> None:
    """Three quarters of an hour, then two hours' way. Whoever sleeps eight hours does not answer in that time."""
    told = run(plant_of(NEIGHBOURED), who, 6 * HOUR, [Ill(WET, 600.0)])
    sent = 605.0 + READ
    assert told.at("neighbour is told") == near(sent + 45 * MINUTE + HEARD)
    assert acts(told, "neighbour") == near(sent + 45 * MINUTE + HEARD + 2 * HOUR)
    assert acts(told) == []


def test_neighbour_is_left_alone_when_the_keeper_has_acted() -> None:
    told = run(plant_of(NEIGHBOURED), "at home", 6 * HOUR, [Ill(WET, 600.0)])
    assert len(acts(told)) == 1
    assert told.at("neighbour is told") == []


def test_neighbour_is_told_when_a_muted_telephone_keeps_the_keeper_from_hearing() -> None:
    told = run(plant_of(NEIGHBOURED), "at home", 6 * HOUR, [Ill(WET, 600.0), Ill(DEAF, 0.0)])
    assert told.at("keeper is told") == []
    assert len(acts(told, "neighbour")) == 1


def test_neighbour_sees_nothing_by_chance() -> None:
    """Comes only when told: with the message path dead, the water runs on."""
    told = run(plant_of(NEIGHBOURED), "travelling", 2 * DAY, [Ill(LEAK, 600.0), Ill("box: dies", 0.0)])
    assert acts(told, "neighbour") == acts(told) == []
    assert told.consequence.still_running


def test_whoever_acts_also_pulls_the_plugs_of_the_pumps() -> None:
    told = run(
        plant_of(design(PUMP, WARN, messages=MESSAGE)), "at home", 2 * HOUR, [Ill(CALLS, 300.0), Ill(WET, 600.0)]
    )
    (act,) = acts(told)
    runs = told.changes("pump", "pump starts")
    assert runs == [(0.0, 0), (pytest.approx(300.0), 1), (pytest.approx(act), 0)]


def test_water_in_a_tray_is_noticed_later_than_water_in_the_room() -> None:
    """The same two minutes of leak over a tray that holds them, hidden under the cabinet."""
    tray = WARNED.replace(
        "water:\n", "  tray:         {kind: tray, in: study, size: 2 m x 2 m, rim: 100 mm}\nwater:\n", 1
    )
    tray = tray.replace("through: [laundry, study]", "through: [laundry, study, tray]", 1)
    tray = tray.replace("fills: reservoir, starts", "in: tray, fills: reservoir, starts", 1)
    ills = [Ill(LEAK, 60.0, 120.0), Ill(DEAF, 0.0)]
    on_floor, in_tray = (run(plant_of(text), "at home", 5 * DAY, ills) for text in (WARNED, tray))
    (seen,) = on_floor.at("keeper sees the water in study")
    assert in_tray.consequence.by_place.keys() == {"tray"}
    assert in_tray.at("keeper sees the water in study") == []
    (found,) = in_tray.at("keeper sees the water in tray")
    assert found > seen + HOUR


def test_two_minutes_of_leak_are_noticed_once_and_the_tap_is_shut_once() -> None:
    told = run(plant_of(WARNED), "at home", 2 * DAY, [Ill(LEAK, 600.0, 120.0), Ill(DEAF, 0.0)])
    assert len(told.at("keeper sees the water in study")) == 1
    assert len(acts(told)) == 1
    first = min(told.at("probe reports water") + told.at("keeper sees the water in study"))
    assert told.consequence.first_noticed == pytest.approx(first)


# --- a circuit without power ------------------------------------------------------------------------------------------
def test_who_is_at_home_switches_a_tripped_circuit_on_again_half_an_hour_later() -> None:
    told = run(plant_of(WARNED), "at home", 2 * HOUR, [Ill(CUT, 600.0)])
    assert told.at("keeper finds box circuit without power") == near(600.0 + 30 * MINUTE)
    assert told.at("power is back on box circuit") == near(600.0 + 30 * MINUTE)
    assert told.at("trips until someone comes is over") == near(600.0 + 30 * MINUTE)


def test_a_circuit_that_trips_again_is_found_again_and_stays_dead_until_then() -> None:
    """Half an hour of being at home with a dead circuit before it is found, each time: the person's default."""
    told = run(plant_of(WARNED), "at home", 4 * HOUR, [Ill(CUT, 600.0), Ill(CUT, 2 * HOUR)])
    assert told.at("keeper finds box circuit without power") == near(600.0 + 30 * MINUTE, 2.5 * HOUR)
    assert told.at("power is back on box circuit") == near(600.0 + 30 * MINUTE, 2.5 * HOUR)


def test_a_tripped_circuit_waits_for_the_keeper_to_come_home_and_be_awake() -> None:
    out = run(plant_of(WARNED), "out", 12 * HOUR, [Ill(CUT, 600.0)])  # nine hours out, then at home
    assert out.at("power is back on box circuit") == near(9 * HOUR + 30 * MINUTE)
    assert not run(plant_of(WARNED), "travelling", 3 * DAY, [Ill(CUT, 600.0)]).at("power is back on box circuit")


def test_nobody_brings_back_the_power_of_a_cut() -> None:
    told = run(plant_of(WARNED), "at home", 4 * HOUR, [Ill("box circuit: cut for 9 h", 600.0)])
    assert told.at("keeper finds box circuit without power") == near(600.0 + 30 * MINUTE)
    assert not told.at("power is back on box circuit")


def test_who_is_told_and_not_at_home_is_said_to_be_able_to_do_nothing() -> None:
    away = run(plant_of(WARNED), "travelling", 2 * HOUR, [Ill(LEAK, 600.0)])
    assert away.at("keeper is told")
    assert away.at("keeper is not at home, and can do nothing from there") == near(away.at("keeper is told")[0] + 1.0)
    home = run(plant_of(WARNED), "at home", 2 * HOUR, [Ill(LEAK, 600.0)])
    assert home.at("keeper is told")
    assert not home.at("can do nothing from there")


def test_who_sleeps_is_told_on_waking_and_then_acts_before_leaving() -> None:
    told = run(plant_of(WARNED), "asleep", 9 * HOUR, [Ill(WET, 600.0)])  # asleep for eight hours, then out
    assert told.at("keeper is told") == near(8 * HOUR + HEARD)
    assert acts(told) == near(8 * HOUR + HEARD + 10 * MINUTE)
    assert not told.at("can do nothing from there")


def test_message_is_read_on_waking_even_if_its_cause_is_over_by_then() -> None:
    """The probe is wet for half an hour of the night; what has been sent lies on the phone all the same."""
    told = run(plant_of(WARNED), "asleep", 9 * HOUR, [Ill(WET, 600.0, 30 * MINUTE)])
    assert told.at("keeper is told") == near(8 * HOUR + HEARD)
    assert acts(told) == near(8 * HOUR + HEARD + 10 * MINUTE)


def test_a_message_that_is_not_urgent_makes_nobody_shut_the_water_off() -> None:
    text = design(WARN, messages=MESSAGE.replace("priority: now", "priority: today"), at_rest="open")
    told = run(plant_of(text), "at home", 6 * HOUR, [Ill(WET, 600.0)])
    assert told.at("keeper is told")
    assert not acts(told)


def test_a_message_for_the_log_tells_nobody() -> None:
    text = design(WARN, messages=MESSAGE.replace("priority: now", "priority: log only"), at_rest="open")
    assert not run(plant_of(text), "at home", 6 * HOUR, [Ill(WET, 600.0)]).at("keeper is told")


def test_a_box_that_hangs_notices_nothing_and_ends_no_run() -> None:
    row = "{cause: low mark low, effect: {pump: running}, at most: 4 min a run, until: cause ends}"
    plant = plant_of(design(row, STOP_ON_WATER, people=""))
    hung = run(plant, "travelling", 6 * HOUR, [Ill(CALLS, 600.0), Ill("box: hangs", 700.0), Ill(LEAK, 800.0)])
    assert hung.at("pump starts")
    assert not hung.at("ends its order to run pump")
    assert hung.consequence.first_water is not None
    assert hung.consequence.first_noticed is None
    sound = run(plant, "travelling", 6 * HOUR, [Ill(CALLS, 600.0), Ill(LEAK, 800.0)])
    assert sound.at("ends its order to run pump")
    assert sound.consequence.first_noticed is not None


def test_a_box_without_power_is_not_said_to_hear_that_a_probe_has_dried() -> None:
    told = run(plant_of(WARNED), "travelling", 6 * HOUR, [Ill(LEAK, 60.0), Ill(CUT, HOUR, HOUR)])
    assert len(told.at("probe reports water")) == 1
    assert told.at("probe no longer reports water") == []
    dry = run(plant_of(WARNED), "travelling", 6 * HOUR, [Ill(WET, HOUR, 2 * HOUR), Ill(CUT, 2 * HOUR, 2 * HOUR)])
    assert len(dry.at("probe no longer reports water")) == 1
    assert dry.at("probe no longer reports water")[0] > 4 * HOUR - 1.0  # heard when the power is back


def test_each_message_is_told_to_each_person_when_it_comes() -> None:
    rows = (
        "{cause: probe wet, effect: {}, tell: leak message}",
        "{cause: second probe wet, effect: {}, tell: other message}",
    )
    paths = MESSAGE + "\n  other message: {priority: today, path: [box, keeper]}"
    told = run(plant_of(design(*rows, messages=paths)), "travelling", 6 * HOUR,
               [Ill(WET, HOUR), Ill("second probe: reports water on a dry floor", 2 * HOUR)])  # fmt: skip
    assert told.at("keeper is told") == near(HOUR + READ + HEARD, 2 * HOUR + READ + HEARD)


# --- what counts as an answer -----------------------------------------------------------------------------------------
@pytest.mark.parametrize("who", ["travelling", "at home"])
def test_message_that_is_acknowledged_and_no_more_is_passed_on_to_nobody(who: str) -> None:
    """Sound, the keeper who travels does nothing and the neighbour is told 45 min later; brushed off, nobody comes."""
    off = Ill("keeper: acknowledges, and does nothing", 0.0)
    heard = 605.0 + READ + HEARD
    sound, brushed = (
        run(plant_of(NEIGHBOURED), who, 12 * HOUR, ill) for ill in ([Ill(WET, 600.0)], [off, Ill(WET, 600.0)])
    )
    assert brushed.at("keeper acknowledges the message") == near(heard)
    assert acts(brushed) == acts(brushed, "neighbour") == []
    if who == "travelling":
        assert acts(sound, "neighbour") == near(heard + 45 * MINUTE + 2 * HOUR)
    else:
        assert acts(sound) == near(heard + 10 * MINUTE)


def test_who_taps_messages_away_still_acts_on_water_that_is_seen() -> None:
    told = run(
        plant_of(WARNED), "at home", 3 * HOUR, [Ill("keeper: acknowledges, and does nothing", 0.0), Ill(LEAK, 600.0)]
    )
    (seen,) = told.at("keeper sees the water in study")
    assert acts(told) == near(seen + 10 * MINUTE)


def test_message_goes_on_being_sent_and_is_heard_once_the_phone_is_no_longer_muted() -> None:
    """Out since 9:00, muted for eight hours from then on; home and awake at 18:00, 10 min from the tap."""
    told = run(plant_of(WARNED), "out", 12 * HOUR, [Ill("keeper: phone muted for 8 h", 0.0, 8 * HOUR), Ill(WET, 600.0)])
    assert told.at("keeper is told") == near(8 * HOUR + HEARD)
    assert acts(told) == near(9 * HOUR + 10 * MINUTE)
