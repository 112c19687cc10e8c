"""The examples are read without an error, say that they are invented, and show what they are there to show."""

import math
from collections import Counter
from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.geometry import extent
from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.study.drills import WAITS
from dewpond.study.flows import flows
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

BEFORE = 0.0  # since before the story begins
EXAMPLES = ("first_float", "two_tanks", "bin_and_branch", "mixing_day", "timer_only", "wet_floor")


def design(repository: Path, name: str) -> Design:
    return read(repository / "examples" / f"{name}.yaml")


def altered(repository: Path, name: str, *changes: tuple[str, str]) -> str:
    """The text of an example with texts exchanged, each of them there."""
    text = (repository / "examples" / f"{name}.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def drilled(text: str, hours: float, *ills: Ill, season: str = "winter") -> Told:
    return run(plant_of(text, season), "travelling", hours * HOUR, ills, compiled=True)


def litres(told: Told, vessel: str) -> float:
    """Litres in a vessel at the end of a run."""
    return told.trace.volume[told.plant.stores.index(vessel)] * 1e3


def roles(example: Design) -> list[str]:
    return [KINDS[part.kind].role for part in example.parts]


@pytest.mark.parametrize("name", EXAMPLES)
def test_example_is_marked_invented_at_its_head_and_in_its_title(repository: Path, name: str) -> None:
    example = design(repository, name)
    assert example.title.endswith("(invented)")
    assert "Invented house" in "\n".join(example.text.splitlines()[:3])


def test_first_float_has_nothing_that_could_stop_the_water_but_the_float(repository: Path) -> None:
    example = design(repository, "first_float")
    assert roles(example).count("device") == 0
    assert roles(example).count("sensor") == 1
    assert example.messages == ()
    found = [*example.notes, *check(example)]
    # a pump that runs as long as its switch calls, and nothing of its own that stops it
    assert {finding.code for finding in found} == {"D112", "D113", "D165", "D181"}
    assert {finding.level for finding in found} == {"warning"}


def test_two_tanks_draw_no_objection_and_every_layer_is_there(repository: Path) -> None:
    example = design(repository, "two_tanks")
    assert [*example.notes, *check(example)] == []
    assert (roles(example).count("device"), roles(example).count("box")) == (1, 4)
    assert {row.by for row in example.rows} == {None, "pump cut-out", "doser cut-out"}
    assert {message.path for message in example.messages} == {("cellar box", "router", "keeper")}
    assert [(beat.path, beat.tell) for beat in example.heartbeats] == [(("router",), ("keeper", "neighbour"))]
    assert example.implied == {"laundry circuit", "study circuit"}


def test_what_two_tanks_leave_open_is_what_a_keeper_cannot_know(repository: Path) -> None:
    unknown = {(one.part, one.key) for one in design(repository, "two_tanks").unknowns}
    assert unknown == {("shut-off", "closes at"), ("cell valve", "probe: seen to work with purified water")}


@pytest.mark.parametrize("season", ["winter", "summer"])
@pytest.mark.parametrize(
    "name",
    [pytest.param("two_tanks", marks=pytest.mark.slow), "bin_and_branch", "mixing_day", "timer_only", "wet_floor"],
)
def test_run_in_which_nothing_fails_wets_no_floor_and_keeps_the_salt(repository: Path, name: str, season: str) -> None:
    told = drilled(altered(repository, name), 14 * 24.0, season=season).consequence
    assert sum(told.by_place.values()) == 0.0
    assert (told.first_water, told.reservoir_empty, told.return_pump_dry) == (None, None, None)
    # 8 mm in the return chamber between the marks, 0.6 L at most, in 270 L or more: 0.08 of 35 ppt. In the lagoon of
    # two_tanks 2 mm of 0.24 m2 either way, 0.5 L in 75: 0.21 of 33 ppt.
    for tank in told.tanks:
        salinity, within = (33.0, 0.23) if tank.tank == "lagoon" else (35.0, 0.1)
        assert salinity - within < tank.lowest <= tank.highest < salinity + within


# -- two tanks: what each layer does for the other ---------------------------------------------------------------------
def test_cut_out_of_two_tanks_works_while_the_box_hangs_and_the_house_is_told_of_it(repository: Path) -> None:
    hangs = Ill("level box: hangs while it drives small doser", WAITS)
    told = drilled(altered(repository, "two_tanks"), 48.0, hangs)
    assert told.at("doser cut-out orders small doser stopped")
    assert told.consequence.on_floors == 0.0
    # 62 mm below the rim when it calls, 20 mm where the cut-out acts: 0.24 m2 x 42 mm are 10 L at 1.2 L/h, 8.4 h, and
    # some 0.5 h for what evaporates meanwhile
    (calls, *_), (stops, *_) = told.at("small doser starts"), told.at("doser cut-out orders")
    assert (stops - calls) / HOUR == pytest.approx(8.9, abs=0.4)
    # every 15 min, of which 2 may stay away
    (away, *_) = told.at("neighbour is told")
    assert 15.0 * 60.0 < away - calls < 46.0 * 60.0


# -- a bin and a branch; figures worked out by hand beside each --------------------------------------------------------
BIN_OPEN = "bin float: stuck open"
WITHOUT_CHECK = ("after: riser check,", "after: riser,")


def without_riser_check(repository: Path) -> str:
    """The house with the hose as it comes: nothing keeps the reservoir from running back."""
    text = altered(repository, "bin_and_branch", WITHOUT_CHECK)
    first, rest = text.index("  riser check:"), text.index("  high float:")
    return text[:first] + text[rest:]


def test_bin_and_branch_draws_no_objection_and_leaves_nothing_open(repository: Path) -> None:
    example = design(repository, "bin_and_branch")
    assert [*example.notes, *check(example)] == []
    assert example.unknowns == ()
    assert (roles(example).count("box"), roles(example).count("link")) == (3, 1)
    (run_back,) = check(read_text(without_riser_check(repository), "house.yaml"))
    assert run_back.code == "D184"
    assert "runs back into it: bin float (bin)" in run_back.what


@pytest.mark.parametrize(
    ("fault", "hours", "drawn"),
    [  # 0.12 L/min of product and 0.55 of waste make 0.67 L/min; the reservoir has 35 mm x 0.12 m2 = 4.2 L of room
        ((), 3.0, 0.0),
        ((BIN_OPEN,), 3.0, 0.67 * 180.0),
        (("high float: stuck open",), 0.5, 0.67 * 30.0),
    ],
)
def test_unit_rests_only_while_both_floats_are_shut(
    repository: Path, fault: tuple[str, ...], hours: float, drawn: float
) -> None:
    text = altered(repository, "bin_and_branch")
    told = drilled(text, hours, *(Ill(label, BEFORE) for label in fault)).consequence
    assert told.water.supply * 1e3 == pytest.approx(drawn, rel=0.03, abs=0.3)


def test_waste_runs_on_while_one_float_of_two_stands_open(repository: Path) -> None:
    told = drilled(altered(repository, "bin_and_branch"), 96.0, Ill(BIN_OPEN, BEFORE))
    water = told.consequence.water
    # Four days at 0.67 L/min are 3860 L. All of it goes to the gully, by the waste tube or by the overflow of the bin,
    # but what stands in the bin above its mark: 0.2 m2 from 500 to 540 mm, and 2 mm above the lip: 8.4 L.
    assert water.supply * 1e3 == pytest.approx(3860.0, rel=0.03)
    assert (water.supply - water.to_drain) * 1e3 == pytest.approx(8.4, abs=0.5)
    assert sum(told.consequence.by_place.values()) == 0.0
    # 4.3 L a day for the tank come out of the reservoir, and nothing comes up: 285 mm x 0.12 m2 - 17.2 L = 17 L
    assert litres(told, "reservoir") == pytest.approx(17.0, abs=0.6)


def test_reservoir_runs_back_into_the_bin_where_no_check_valve_is(repository: Path) -> None:
    # By the seventh hour the pump has run once or twice, 0.6 L each time: the float has fallen by more than the 2 mm by
    # which it sticks, and is open. With a check valve 34.2 L less that stay. Without one all goes that stands above the
    # end of the hose, 30 mm or 3.6 L are left: 30 L came back.
    held = drilled(altered(repository, "bin_and_branch"), 6.0, Ill(BIN_OPEN, BEFORE))
    lost = drilled(without_riser_check(repository), 6.0, Ill(BIN_OPEN, BEFORE))
    assert litres(held, "reservoir") == pytest.approx(33.6, abs=0.2)
    assert litres(lost, "reservoir") == pytest.approx(3.6, abs=0.3)
    assert litres(held, "reservoir") - litres(lost, "reservoir") == pytest.approx(30.0, abs=0.5)
    # They are in the gully with the bin full as in the other run.
    more = lost.consequence.water.to_drain - held.consequence.water.to_drain
    assert more * 1e3 == pytest.approx(30.0, abs=1.5)


def test_sound_floats_keep_the_reservoir_without_a_check_valve_too(repository: Path) -> None:
    told = drilled(without_riser_check(repository), 24.0)
    assert litres(told, "reservoir") == pytest.approx(34.2, abs=0.7)


def test_forgotten_bucket_lets_the_bin_out_down_to_its_fitting(repository: Path) -> None:
    told = drilled(altered(repository, "bin_and_branch"), 12.0, Ill("bucket: fill left running", HOUR))
    # 0.2 m2 from 500 to 50 mm are 90 L, and 1.6 L come in until the probe has shut the feed; 36 L stay in the bucket.
    assert told.consequence.on_floors * 1e3 == pytest.approx(90.0 + 1.6 - 36.0, abs=1.0)
    assert told.at("feed valve shuts")
    assert not told.consequence.still_running


# -- a mixing day, with its three mistakes -----------------------------------------------------------------------------
LATCHED = (
    "effect: {feed valve: shut}, until: cause ends",
    "effect: {feed valve: shut}, until: re-armed by hand when dry",
)
AHEAD = (
    ("after: stop tap,   in: utility room, bowls", "after: feed valve, in: utility room, bowls"),
    ("after: filters,    in: utility room, without power", "after: stop tap,   in: utility room, without power"),
    ("membrane,           after: feed valve", "membrane,           after: filters"),
)
LIMITED = (
    "effect: {top-off pump: running}}",
    (
        "effect: {top-off pump: running}, at most: 5 min a run, "
        "when a run is too long: {effect: stopped, until: re-armed by hand, tell: leak message}}"
    ),
)


def test_the_checks_tell_all_three_mistakes_of_a_mixing_day(repository: Path) -> None:
    example = design(repository, "mixing_day")
    found = [*example.notes, *check(example)]
    assert [(one.code, one.level) for one in found] == [(code, "warning") for code in ("D181", "D112", "D157", "D113")]
    assert example.unknowns == ()
    assert all(code in example.text for code in ("D112", "D113", "D157", "D181"))


def test_valve_of_a_mixing_day_opens_again_whenever_its_probe_is_dry(repository: Path) -> None:
    burst = Ill("tube: burst, in living room", HOUR)
    open_again = drilled(altered(repository, "mixing_day"), 14 * 24.0, burst).consequence
    latched = drilled(altered(repository, "mixing_day", LATCHED), 14 * 24.0, burst).consequence
    assert 15 <= open_again.reopenings <= 25
    assert latched.reopenings == 0
    assert open_again.pauses is not None
    assert latched.stopped is not None
    # Once is an hour of product at 0.14 L/min; what comes later finds the floor damp.
    assert latched.on_floors * 1e3 == pytest.approx(0.14 * 61.0, abs=0.3)
    assert open_again.on_floors > 10.0 * latched.on_floors


def test_pump_of_a_mixing_day_runs_over_the_rim_and_a_limit_ends_it(repository: Path) -> None:
    sticks = Ill("low mark: float stuck low", BEFORE)
    told = drilled(altered(repository, "mixing_day"), 24.0, sticks).consequence
    limited = drilled(altered(repository, "mixing_day", LIMITED), 24.0, sticks).consequence
    # 0.24 m2 up to the rim and the crest, 220 to 380 mm: 36 L at most, at 15 L/h within 2.5 h
    assert 2.0 * HOUR < told.rim_first["sump"] < 2.6 * HOUR
    assert told.on_floors > 5e-3
    assert told.tanks[0].lowest < 31.5
    assert (limited.on_floors, limited.rim_first) == (0.0, {})
    # 5 min at 15 L/h are 1.25 L in 270 L: 0.16 ppt
    assert limited.tanks[0].lowest == pytest.approx(35.0 - 0.16, abs=0.05)


def test_valve_of_a_mixing_day_stands_behind_the_bowl_that_cracks(repository: Path) -> None:
    bowl = Ill("filters: bowl cracks", HOUR)
    behind = drilled(altered(repository, "mixing_day"), 48.0, bowl)
    ahead = drilled(altered(repository, "mixing_day", *AHEAD, LATCHED), 48.0, bowl)
    for told in (behind, ahead):
        assert told.at("feed valve shuts")
    assert (behind.consequence.still_running, ahead.consequence.still_running) == (True, False)
    # 3.4 bar through a cracked bowl: litres a minute for two days, or for a minute
    assert behind.consequence.on_floors > 5.0
    assert ahead.consequence.on_floors < 0.02


@pytest.mark.parametrize(
    ("fault", "starts"),
    [  # the mark calls after 3.6 h, and the pause was begun at 3.5 h
        ("feeding: is taken", 3.5 + 10.0 / 60.0),
        ("feeding: is forgotten", 3.5 + 0.5),
        ("feeding: does not return", None),
    ],
)
def test_top_off_of_a_mixing_day_rests_while_the_pause_stands(
    repository: Path, fault: str, starts: float | None
) -> None:
    lasts = {"feeding: is taken": HOUR / 6.0, "feeding: is forgotten": 0.5 * HOUR}
    ill = Ill(fault, 3.5 * HOUR, lasts[fault]) if fault in lasts else Ill(fault, 3.5 * HOUR)
    told = drilled(altered(repository, "mixing_day"), 12.0, ill)
    (calls, *_), started = told.at("low mark reports low water"), told.at("top-off pump starts")
    assert 3.5 < calls / HOUR < 3.7
    assert [time / HOUR for time in started[:1]] == ([] if starts is None else [pytest.approx(starts, abs=0.02)])


def test_water_change_of_a_mixing_day_without_a_pause_freshens_the_tank(repository: Path) -> None:
    """The file: 20 L of 35 ppt are renewed. Paused, the salinity stays; not paused, the pump (15 L/h) tops up with
    fresh water while the old is out: some 5 L in 23 minutes, of 240 L."""
    done, slip = (
        drilled(altered(repository, "mixing_day"), 12.0, Ill(f"water change: {how}", HOUR)).consequence.tanks[0]
        for how in ("is done", "top-off not paused")
    )
    assert done.lowest == pytest.approx(35.0, abs=0.1)
    assert slip.lowest == pytest.approx(35.0 * (1.0 - 5.0 / 240.0), abs=0.3)


def test_forgotten_barrel_of_a_mixing_day_is_heard_of(repository: Path) -> None:
    told = drilled(altered(repository, "mixing_day"), 24.0, Ill("salt barrel: fill left running", HOUR))
    # 0.16 m2 x 500 mm are 80 L, at 0.14 L/min 9.5 h, and some minutes for what the reservoir takes meanwhile
    assert told.consequence.first_water is not None
    assert told.consequence.first_water / HOUR == pytest.approx(1.0 + 9.6, abs=0.3)
    assert told.at("screamer sounds")
    assert told.at("feed valve shuts")


# -- a timer and no controller -----------------------------------------------------------------------------------------
def test_timer_only_has_no_box_with_a_program_and_draws_no_objection(repository: Path) -> None:
    example = design(repository, "timer_only")
    assert [*example.notes, *check(example)] == []
    assert {part.kind for part in example.parts if KINDS[part.kind].role == "box"} == {"relay"}
    assert (example.messages, example.unknowns) == ((), ())


def test_reservoir_of_timer_only_rises_by_an_hour_of_product_and_no_more(repository: Path) -> None:
    """Half empty it takes all that the unit makes from 19:00 to 20:00, and nothing before or after."""
    text = altered(repository, "timer_only", ("overflow: none}", "overflow: none, starts at: 100 mm}"))
    before, an_hour_later, at_midnight = (drilled(text, hours) for hours in (11.0, 12.0, 16.0))  # from 08:00 on
    product = flows(plant_of(text)).fills[0].flow * 1e3 * HOUR
    assert 6.0 < product < 10.0, "0.13 L/min in an hour are 7.8 L"
    put_in = [told.consequence.water.supply * 1e3 for told in (before, an_hour_later, at_midnight)]
    assert put_in[0] == pytest.approx(0.0, abs=0.1)
    assert put_in[1] == pytest.approx(put_in[2], abs=0.1)
    pumped = 15.0 / 60.0 * sum(minutes_running(told) for told in (an_hour_later,)) - 15.0 / 60.0 * minutes_running(
        before
    )
    assert litres(an_hour_later, "reservoir") - litres(before, "reservoir") == pytest.approx(product - pumped, abs=0.3)


def minutes_running(told: Told) -> float:
    starts, stops = told.at("top-off pump starts"), told.at("top-off pump stops")
    return sum(stop - start for start, stop in zip(starts, [*stops, told.trace.end][: len(starts)], strict=True)) / 60.0


def test_a_welded_start_relay_of_timer_only_is_cut_by_the_other(repository: Path) -> None:
    text = altered(repository, "timer_only")
    label = "start relay: contact welded, in the lead of top-off pump"
    told = drilled(text, 24.0, Ill(label, HOUR))
    assert told.at("high cut-out orders top-off pump stopped")
    assert told.consequence.rim_first == {}
    both = drilled(text, 24.0, Ill(label, HOUR), Ill("high mark: float stuck low", HOUR))
    # 30.7 L up to its rim, and 245 mm x 0.12 m2 = 29.4 L above the pump's inlet: the rest comes with the timer
    assert 11.0 * HOUR < both.consequence.rim_first["sump"] < 11.8 * HOUR


# -- plans of three floors ---------------------------------------------------------------------------------------------
def test_wet_floor_draws_no_objection_and_its_three_rooms_of_one_storey_have_plans(repository: Path) -> None:
    example = design(repository, "wet_floor")
    beyond_the_drain = ("D354", "note")  # nothing was read there
    assert [(one.code, one.level) for one in (*example.notes, *check(example))] == [beyond_the_drain]
    assert example.unknowns == ()
    assert [plan.place for plan in example.plans] == ["living room", "hall", "utility room"]
    led = {(plan.place, one.leads_to) for plan in example.plans for one in (*plan.openings, *plan.joints)}
    assert led >= {("living room", "hall"), ("hall", "cellar"), ("living room", "cellar"), ("utility room", "hall")}
    probes = {part.name for part in example.parts if part.kind == "leak probe"}
    assert probes == {name for plan in example.plans for name in plan.spots if name.endswith("probe")}
    assert len(probes) == 3


def test_wet_floor_was_read_as_one_evening_allows(repository: Path) -> None:
    """Twelve heights, two battens, a cup and a pour; by hand: 1.5 L over the 0.55 m2 that were drawn are 2.7 mm, what
    a puddle stands on varnish, and the cup says the same."""
    room = design(repository, "wet_floor").plans[0]
    assert Counter(read.by for read in room.readings) == {"water tube": 12, "batten": 2, "cup": 1, "pour": 1}
    cup, pour = room.readings[-2:]
    across, up = cup["puddle"]
    assert cup["poured"] / (0.25 * math.pi * across * up) == pytest.approx(2.6e-3, abs=0.1e-3)
    assert pour["poured"] / extent(pour["outline"]) == pytest.approx(2.7e-3, abs=0.2e-3)
    assert pour["after"] < pour["poured"]
