"""The walk: what is done in it would show the fault that it looks for. Times and figures are those of the houses."""

import re
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.report import terminal
from dewpond.report.views.hands import LEFT_SO, Step
from dewpond.report.views.walk import Walk, walk, walk_report
from dewpond.study.matrix.build import build
from tests.plant.houses import controller, design
from tests.report.matrix_houses import EXAMPLES, HOUSES, LIMITS, MORE, SECOND, TRIP, house
from tests.report.rows_model import BoxModel

GAP = LIMITS.replace("gap: 20 s", "gap: 20 min")
NEIGHBOUR = """  keeper: {day: {at home awake: 7 h, asleep: 8 h, out: 9 h}, travelling: 2 weeks a year,
           reaches the stop tap in: 10 min when at home}
  neighbour: {reaches the stop tap in: 2 h}"""


def walked(of: Design) -> Walk:
    return walk(of, build(of))


def two_tanks(repository: Path) -> Walk:
    return walked(read(repository / "examples" / "two_tanks.yaml"))


def made(*rows: str, controllers: str = "", messages: str = MORE, **more: str) -> Design:
    return read_text(design(*rows, controllers=controllers, messages=messages, **more), "house.yaml")


def step_of(of: Walk, title: str) -> Step:
    (step,) = [step for step in of.steps if step.title.startswith(title)]
    return step


def waits(text: str) -> float:
    """The time [s] waited for after the plug is in again."""
    (minutes,) = re.findall(r"in again\..* Wait (\d+) min", text)
    return 60.0 * float(minutes)


# --- the plug, while something is tripped -----------------------------------------------------------------------------
def says_of(of: Design, *held: str) -> dict[tuple[str, str], bool]:
    """What all sensors report while only these are in the state that they report."""
    return {(t.part, t.word): t.part in held for row in of.rows for t in row.cause.terms}


def run(box: BoxModel, of: Design, lasts: float, *held: str) -> bool:
    """Whether the pump ran at any moment of so many seconds in which these sensors were held."""
    scans = [box.scan(says_of(of, *held), False, False, 1.0)[0]["pump"] for _ in range(int(lasts))]
    return any(scans)


@pytest.mark.parametrize("trips", ["kept", "cleared"])
@pytest.mark.parametrize("number", ["1", "2"])
def test_a_box_that_forgets_shows_it_within_the_wait_and_no_other(number: str, trips: str) -> None:
    trip = TRIP.replace("feed valve: shut, ", "")  # by the valve it would be seen sooner
    of = made(trip, GAP, controllers=controller(trips=trips, more="waits after a restart: 5 min"))
    step = step_of(walked(of), f"Row {number}:")
    box = BoxModel(of, "box")
    run(box, of, 1500.0)  # at rest for longer than its wait and its gap
    if number == "2":  # held low all the while, until the run is too long
        assert step.put_back.index("Pull the plug") < step.put_back.index("Put low mark back")
        assert run(box, of, 60.0, "low mark")
    else:  # running; wetted, dried, not re-armed, and the mark is still held low
        assert step.put_back.index("Dry probe") < step.put_back.index("Pull the plug")
        assert step.put_back.index("Pull the plug") < step.put_back.index("Press the button (")
        assert step.put_back.endswith("Put low mark back.")
        assert run(box, of, 20.0, "low mark")
        run(box, of, 10.0, "low mark", "probe")
    assert not run(box, of, 10.0, "low mark")
    box.restart()
    assert run(box, of, waits(step.put_back), "low mark") is (trips == "cleared")


def test_wait_is_longer_than_wait_and_gap(repository: Path) -> None:
    made_of = two_tanks(repository)
    for title in ("Row 1:", "Row 2:"):  # top-off pump: 5 min after a restart, 20 min between runs
        assert 25 * 60 < waits(step_of(made_of, title).put_back) < 30 * 60


def test_a_valve_that_nothing_else_holds_is_looked_at_after_the_wait_of_its_box() -> None:
    box = controller(more="waits after a restart: 4 min")
    back = step_of(walked(made(HOUSES["blind re-arming"][0][0], controllers=box)), "Row 1:").put_back
    assert 240.0 < waits(back) <= 360.0
    assert "feed valve is still shut" in back
    assert "if open, it has forgotten" in back


def test_a_pump_that_rests_in_any_case_proves_nothing_and_is_left_with_the_reason() -> None:
    day = made(GAP.replace("per day: 2 L", "per day: 0.5 L"))  # 40 s at 60 L/h are 0.67 L
    hours = made(GAP.replace("gap: 20 min", "gap: 2 h"))
    for of, why in ((day, "pump would rest then in any case"), (hours, "pump would rest for 2 h in any case")):
        found = walked(of)
        assert "Pull the plug" not in step_of(found, "Row 1:").put_back
        assert [left for _, _, left in found.left if "remembers this trip" in left and left.endswith(why)]


def test_a_run_that_another_box_counts_is_begun_anew_behind_the_plug() -> None:
    trip = "{cause: high mark high, effect: {pump: stopped}, until: re-armed by hand, by: cut-out}"
    back = step_of(walked(made(LIMITS, trip, controllers=f"{controller()}\n{SECOND}")), "Row 2:").put_back
    assert back.index("Put low mark back.") < back.index("Pull the plug of cut-out") < back.index("once more")


def test_nothing_is_said_to_stay_tripped_once_its_box_has_forgotten() -> None:
    for trips, stays in (("kept", True), ("cleared", False)):
        of = made(LIMITS, controllers=controller(trips=trips))
        assert ("What has tripped stays so" in step_of(walked(of), "Row 1:").put_back) is stays


# --- what must run before, and is put back ----------------------------------------------------------------------------
@pytest.mark.parametrize("name", [*EXAMPLES, *HOUSES])
def test_what_made_a_pump_run_is_put_back(repository: Path, name: str) -> None:
    of = read(repository / "examples" / f"{name}.yaml") if name in EXAMPLES else house(name)
    for step in walked(of).steps:
        for mark in ("low mark", "lagoon mark"):
            if f"{mark} low" in step.do and "run first" in step.do:
                assert f"put {mark} back" in step.put_back.lower(), step.title
    report = terminal.render(walk_report(of, walked(of)))
    assert max(len(line) for line in report.splitlines()) <= 80


# --- wires ------------------------------------------------------------------------------------------------------------
def test_broken_wires_are_told_by_how_their_inputs_read_an_open_contact(repository: Path) -> None:
    found = two_tanks(repository)
    step = step_of(found, "A broken wire")
    loud, _, silent = step.expect.partition("never")
    assert "high mark (high): as in row 3, at once" in loud
    assert "tray probe (wet)" in silent
    assert "reservoir low" not in step.expect  # told only after 2 h
    assert [why for number, _, why in found.left if number == "6" and "broken wire of reservoir low" in why]


def broken(*rows: str, of: str) -> Step:
    text = design(*rows, messages=MORE)
    start = text.index(f"  {of}:")
    there = text[start:].replace("read as low when: closed", "read as low when: open", 1)
    return step_of(walked(read_text(text[:start] + there, "house.yaml")), "A broken wire")


def test_a_wire_that_starts_a_pump_is_said_before_it_is_pulled() -> None:
    step = broken(LIMITS, of="low mark")
    assert step.caution == "Unplugging low mark starts pump: lead its tube into the bucket first."
    assert "low mark (low): as in row 1, at once" in step.expect
    assert not step_of(walked(made(LIMITS)), "A broken wire").caution  # closed when low: a broken wire starts nothing


def test_a_wire_that_alone_brings_nothing_about_is_not_waited_for() -> None:
    both = "{cause: low mark low and high mark high, effect: {pump: running}, at most: 1 h a run}"
    step = broken(both, of="low mark")
    assert "low mark (low): nothing, for alone it brings no row about" in step.expect
    assert not step.caution
    assert broken(both.replace("high mark high", "high mark not high"), of="low mark").caution


# --- power, signs of life, messages -----------------------------------------------------------------------------------
def test_a_valve_that_opens_without_power_is_unplugged_while_it_is_to_be_shut() -> None:
    title = "Feed valve without power"
    step = step_of(walked(made(TRIP, at_rest="open")), title)
    assert "probe wet" in step.do
    assert step.do.index("see it shut") < step.do.index("Pull its plug while that still stands")
    assert "this is the danger" in step.expect
    assert step.put_back.endswith("Press the button.")
    assert not [step for step in walked(made(TRIP, at_rest="shut")).steps if step.title.startswith(title)]
    assert "Not known, so write it down" in step_of(walked(made(TRIP, at_rest="unknown")), title).expect
    spring = design(TRIP, messages=MORE, at_rest="open by a spring").replace("solenoid valve", "motorised ball valve")
    assert "this is the danger" in step_of(walked(read_text(spring, "house.yaml")), title).expect
    slow = walked(made(TRIP.replace("lasting: 5 s", "lasting: 2 h"), at_rest="open"))
    assert not [step for step in slow.steps if step.title.startswith(title)]
    assert [why for _, _, why in slow.left if "feed valve stays shut without power: its cause must last 2 h" in why]


def test_plugs_are_out_for_longer_than_signs_of_life_may_be_missed(repository: Path) -> None:
    found = two_tanks(repository)
    for title in ("The plug of cellar box", "The plug of level box", "Without router"):
        step = step_of(found, title)
        (out,) = re.findall(r"for (\d+) min\.", step.do)
        assert 30 < int(out) < 40  # two of 15 min
        assert "keeper and neighbour told after 30 min that heartbeat stays away" in step.expect
    assert "heartbeat" not in step_of(found, "The plug of pump cut-out").expect


def test_router_is_unplugged_and_the_rows_still_act(repository: Path) -> None:
    step = step_of(two_tanks(repository), "Without router")
    assert "bring row 1 about" in step.do
    assert "leak message does not arrive" in step.expect
    assert "feed valve shut" in step.expect


def test_a_first_message_is_left_unanswered_once(repository: Path) -> None:
    found = two_tanks(repository)
    assert "neighbour is told after 45 min" in step_of(found, "Row 1:").expect
    assert len([step for step in found.steps if "unanswered" in step.expect]) == 1
    assert not [why for _, _, why in found.left if "unanswered" in why]


def test_a_message_that_waits_for_hours_is_left_with_the_reason() -> None:
    said = MORE.replace("path: [box, keeper]}", "path: [box, keeper], unanswered for 3 h: neighbour}", 1)
    assert LEFT_SO < 3 * 3600.0
    found = walked(made(TRIP, messages=said, people=NEIGHBOUR))
    assert not [step for step in found.steps if "unanswered" in step.expect]
    assert [why for _, _, why in found.left if "left unanswered for 3 h, reaches neighbour" in why]


def test_house_power_is_switched_off_with_all_that_it_feeds(repository: Path) -> None:
    step = step_of(two_tanks(repository), "House power off")
    for words in ("feed valve: shut", "small doser: stopped", "leak message and level message cannot be sent"):
        assert words in step.expect.lower()
    assert "the danger" not in step.expect
    assert not [step for step in walked(house("while it lasts")).steps if " off" in step.title]
    power = "power:\n  house power: {feeds: [box circuit, tank circuit]}\n"
    off = step_of(walked(made(TRIP, at_rest="open", messages=MORE + power)), "House power off")
    assert "feed valve: open; " in off.expect.lower()
    assert "this is the danger" in off.expect


def test_what_runs_on_demand_is_not_expected_to_stop_where_nothing_made_it_run(repository: Path) -> None:
    step = step_of(two_tanks(repository), "Without router")
    assert "stopped" not in step.expect
    assert "feed valve shut, if its orders need no router" in step.expect
    assert step.do.startswith("Let water run through feed valve first, into the bucket. Unplug router")


# --- pauses, and what may refuse --------------------------------------------------------------------------------------
REST = "{cause: feeding begun, effect: {pump: stopped}}"


@pytest.mark.parametrize(("ends", "tried"), [("40 min", True), ("2 h", False)])
def test_that_a_pause_ends_by_itself_is_tried_or_left_with_the_reason(ends: str, tried: bool) -> None:
    messages = MORE.replace("lasts: 10 min}", f"lasts: 10 min, ends by itself after: {ends}}}")
    found = walked(made(LIMITS, REST, REST, messages=messages))
    back = step_of(found, "Row 2:").put_back
    assert (f"see that it ends by itself after {ends}" in back) is tried
    assert ("End feeding" in back) is not tried
    assert [(n, why) for n, _, why in found.left if "ends by itself" in why] == (
        [] if tried else [("2", f"that feeding ends by itself after {ends}: try it on a free day")]
    )
    assert "End feeding" in step_of(found, "Row 3:").put_back  # once is enough


def test_a_pause_that_nothing_ends_is_ended_by_hand() -> None:
    found = walked(made(LIMITS, REST))
    assert step_of(found, "Row 2:").put_back.startswith("End feeding.")
    assert not any("ends by itself" in why for _, _, why in found.left)


def test_a_pump_that_may_refuse_a_later_step_is_told_once_before_one_begins() -> None:
    found = walked(made(GAP, REST))
    assert len(found.before) == 1
    assert found.before[0].startswith(
        "Pump rests 20 min between two runs and gives at most 2 L a day. So it may refuse"
    )
    told = " ".join(terminal.render(walk_report(made(GAP), found)).split())
    assert told.index("So it may refuse to run") < told.index("1. Row 1:")
    assert not walked(made(TRIP)).before


def test_probes_of_one_row_are_told_together_and_re_armed_between() -> None:
    """What has tripped shows nothing of the next probe."""
    text = design(TRIP, messages=MORE).replace("read as wet when: closed", "read as wet when: open")
    step = step_of(walked(read_text(text, "house.yaml")), "A broken wire")
    assert step.expect.count("as in row 1") == 1
    assert "probe (wet) and second probe (wet): each as in row 1, after 5 s" in step.expect
    assert "Before the next one plug it in again, and re-arm what has tripped" in step.do
