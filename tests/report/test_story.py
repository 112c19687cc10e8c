"""Runs told in words: clock times, litres, who noticed, what stopped it, whether it starts again."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.plant.balance import Product
from dewpond.plant.consequence import TankHarm
from dewpond.plant.moments import Moment
from dewpond.report import story
from dewpond.report.views import drill, failures
from dewpond.report.views.drains import Ground
from dewpond.report.views.shown import Shown
from dewpond.study.beats import Beat
from dewpond.study.outcome import Change, Outcome, UnknownEffect

Make = Callable[..., Outcome]
HOUR = 3600.0


def test_lines_carry_the_clock_of_the_house(outcome: Make, design: Design, metric: Shown) -> None:
    told = story.tell(
        outcome(
            Beat(HOUR, "fault", "tube: burst, in shed", "tube"),
            Beat(HOUR + 90.0, "trip", "leak stop shuts", "leak stop"),
            Beat(
                40 * HOUR,
                "again",
                "",
                "pump",
                41,
                13 * 24 * HOUR,
                ("pump", "mark"),
                ("mark falls", "pump starts"),
                13 * 24 * HOUR,
            ),
            faults=("tube: burst, in shed",),
        ),
        design,
        metric,
    )
    assert [(line.clock, line.text, line.sort) for line in told.lines] == [
        ("day 1, 09:00", "tube: burst, in shed", "fault"),
        ("day 1, 09:01", "leak stop shuts", "acts"),
        (
            "day 3, 00:00",
            "this repeats 41 more times, the last time on day 14, 08:00: mark falls \N{EN DASH} pump starts",
            "again",
        ),
    ]


def test_long_round_is_told_by_its_beginning_and_whoever_follows() -> None:
    texts = ("mark falls", "pump starts", "mark rises", "pump stops")
    beat = Beat(0.0, "again", "", "", 9, 9.0, ("mark", "pump"), texts)
    assert story.round_of(beat) == "mark falls \N{EN DASH} pump starts, and so on"
    assert story.round_of(beat._replace(texts=texts[1:])) == "pump starts \N{EN DASH} mark rises \N{EN DASH} pump stops"
    three = beat._replace(parts=("", "mark", "pump", "valve"))
    assert story.round_of(three) == "mark falls \N{EN DASH} pump starts, and so on with valve"


def test_fault_that_stands_since_before_is_told_as_such(outcome: Make, design: Design, metric: Shown) -> None:
    told = story.tell(outcome(Beat(0.0, "fault", "ball: stuck open", "ball")), design, metric)
    assert [(line.clock, line.text) for line in told.lines] == [("day 1, 08:00", "ball: stuck open (since before)")]


@pytest.mark.parametrize(
    ("who", "start"), [("travelling", "day 1, 08:00"), ("at home", "day 1, 18:00"), ("asleep", "day 1, 23:00")]
)
def test_run_begins_at_the_hour_of_where_people_are(
    outcome: Make, design: Design, metric: Shown, who: str, start: str
) -> None:
    told = story.tell(outcome(faults=(), who=who), design, metric)
    assert [(line.clock, line.text) for line in told.lines] == [(start, "nothing happens that would show")]


def test_dry_run_says_so_and_nothing_else(outcome: Make, design: Design, metric: Shown) -> None:
    assert story.tell(outcome(), design, metric).ending == ("No water gets out of the plumbing within 14 days.",)


def test_water_that_runs_on_is_told_with_litres_and_place(outcome: Make, design: Design, metric: Shown) -> None:
    ending = story.tell(
        outcome(on_floors=0.0312, by_place={"shed": 0.0312}, first_water=HOUR, still_running=True, failed=("ball",)),
        design,
        metric,
    ).ending
    assert ending == (
        "About 31 L reach a floor within 14 days: all of it in shed. The first water gets out 60 min after the start.",
        "Nobody and nothing notices it within 14 days.",
        "Nothing has stopped it when the 14 days are over.",
        "Asked to act, and could not: ball.",
    )


def test_water_that_is_stopped_and_comes_again_is_told_so(outcome: Make, design: Design, metric: Shown) -> None:
    ending = story.tell(
        outcome(
            on_floors=0.004,
            by_place={"tray": 0.012, "shed": 0.004},
            first_water=HOUR,
            first_noticed=3 * HOUR,
            noticed_by="keeper sees the water in shed",
            first_known=3 * HOUR,
            stopped=5 * HOUR,
            stopped_by="leak stop shuts",
            reopenings=2,
        ),
        design,
        metric,
    ).ending
    assert ending[0].startswith("About 4 L reach a floor within 14 days: tray gets 12 L and shed gets 4 L.")
    assert ending[1:] == (
        "First noticed 2 h after the first water: keeper sees the water in shed.",
        "No more water gets out after day 1, 13:00: leak stop shuts.",
        "It starts again by itself 2 times.",
    )
    once = outcome(by_place={"tray": 0.012}, first_water=HOUR, stopped=5 * HOUR, stopped_by="it is shut", reopenings=1)
    assert story.tell(once, design, metric).ending[-1] == "It starts again by itself once."


def test_notice_before_the_first_water_is_told_so(outcome: Make, design: Design, metric: Shown) -> None:
    early = {"by_place": {"tray": 0.012}, "first_water": 5 * HOUR, "noticed_by": "a message", "still_running": True}
    for noticed, when in ((2 * HOUR, "3 h before the first water"), (5 * HOUR, "on day 1, 13:00")):
        ending = story.tell(outcome(first_noticed=noticed, **early), design, metric).ending
        assert ending[1] == (
            f"First noticed {when}: a message. Nobody is told of it, and nobody sees it, within 14 days."
        )
        told = story.tell(outcome(first_noticed=noticed, first_known=noticed + HOUR, **early), design, metric).ending
        assert told[1:3] == (
            f"First noticed {when}: a message.",
            f"The first person to know of it does so on day 1, {8 + int(noticed / HOUR) + 1:02}:00.",
        )


def test_water_kept_by_a_tray_leaves_the_floor_dry_in_words(outcome: Make, design: Design, metric: Shown) -> None:
    told = outcome(by_place={"tray": 0.0004}, first_water=0.0, stopped=60.0, stopped_by="it ran out by itself")
    ending = story.tell(told, design, metric).ending
    assert ending[0] == "No floor gets wet within 14 days: tray gets 400 mL."
    few = outcome(on_floors=2e-6, by_place={"tray": 4e-4, "shed": 2e-6}, first_water=0.0, still_running=True)
    assert story.ending(few, design, metric)[0] == (
        "No more than 2 mL comes onto floors within 14 days: tray gets 400 mL."
    )
    less = outcome(on_floors=2e-6, by_place={"shed": 2e-6}, first_water=0.0, still_running=True)
    assert story.ending(less, design, metric)[0] == "No more than 2 mL comes out of the plumbing within 14 days."
    assert ending[-1] == "It does not start again by itself within 14 days."


def test_tank_is_told_when_its_salinity_moves(outcome: Make, design: Design, metric: Shown, reef: TankHarm) -> None:
    ending = story.tell(
        outcome(
            tanks=(reef,),
            return_pump_dry=HOUR,
            return_pump_dry_of="reef",
            reservoir_empty=2 * HOUR,
            reservoir_empty_of="tub",
        ),
        design,
        metric,
    ).ending
    assert ending[1:] == (
        "reef: salinity between 33.1 ppt and 35 ppt, 33.2 ppt at the end.",
        "The return pump of reef draws air, the first time on day 1, 09:00.",
        "tub is all but empty, or down to a pump's inlet, the first time on day 1, 10:00.",
    )
    still = TankHarm("reef", 35.0, 35.05, 35.0)
    assert len(story.tell(outcome(tanks=(still,)), design, metric).ending) == 1


def test_tank_that_is_empty_at_the_end_is_told_so_and_has_no_salinity(
    outcome: Make, design: Design, metric: Shown
) -> None:
    for tank, told in (
        (TankHarm("reef", 34.5, 39.4, None), "reef: salinity between 34.5 ppt and 39.4 ppt, and empty at the end."),
        (TankHarm("reef", 35.0, 35.0, None), "reef is empty at the end."),
    ):
        ending = story.tell(outcome(tanks=(tank,)), design, metric).ending
        assert ending[1:] == (told,)


def test_dry_pump_is_put_down_to_who_pulled_the_plugs(outcome: Make, design: Design, metric: Shown) -> None:
    pulled = Moment(HOUR, "act", "keeper unplugs the top-off pumps", "keeper")
    ending = story.tell(
        outcome(return_pump_dry=30 * HOUR, return_pump_dry_of="reef", return_pump_dry_after=pulled), design, metric
    ).ending
    assert ending[1:] == (
        "The return pump of reef draws air, the first time on day 2, 14:00.",
        "From day 1, 09:00 until then no pump had topped the tank up: keeper unplugs the top-off pumps.",
    )
    empty = Moment(HOUR, "harm", "reservoir is all but empty", "reservoir")  # of what is left some is pumped still
    ending = story.tell(
        outcome(return_pump_dry=30 * HOUR, return_pump_dry_of="reef", return_pump_dry_after=empty), design, metric
    ).ending
    assert (
        ending[2] == "Little or nothing had topped the tank up any more: from day 1, 09:00 reservoir is all but empty."
    )


def test_water_that_goes_on_is_told_with_the_place_that_it_came_through(
    outcome: Make, design: Design, metric: Shown
) -> None:
    told = outcome(
        on_floors=0.012, by_place={"tray": 0.012, "shed": 0.004}, onward={"tray": ("shed", 0.004)}, first_water=HOUR,
        still_running=True,
    )  # fmt: skip
    first = story.tell(told, design, metric).ending[0]
    assert "tray gets 12 L (of which 4 L go on to shed) and shed gets 4 L." in first


def test_valve_that_nobody_ordered_is_told_apart_from_what_kept_silent(
    outcome: Make, design: Design, metric: Shown
) -> None:
    told = outcome(failed=("probe", "feed valve"), unordered=("feed valve",))
    assert story.tell(told, design, metric).ending[1:] == (
        "Asked to act, and could not: probe.",
        "Never told to shut, because of that: feed valve.",
    )


def test_valve_that_opens_again_with_the_cause_standing_is_told(outcome: Make, design: Design, metric: Shown) -> None:
    fault = Beat(HOUR, "fault", "ball: stuck open \N{EN DASH} It does not shut.", "ball")
    shuts = Beat(2 * HOUR, "trip", "leak stop shuts", "leak stop")
    opens = Beat(30 * HOUR, "note", "leak stop opens again by itself", "leak stop")
    over = Beat(20 * HOUR, "fault", "ball: stuck open is over", "ball")
    told = {"faults": ("ball: stuck open",), "first_water": HOUR, "stopped": 2 * HOUR, "stopped_by": "leak stop shuts"}

    def said(*beats: Beat, by_hand: bool = False) -> str:
        return " ".join(story.tell(outcome(*beats, by_hand=by_hand, **told), design, metric).ending)

    assert "It does not start again by itself" in said(fault, shuts, opens, by_hand=True)
    assert "But on day 2, 14:00 leak stop opens again by itself: as long as nobody has ended the cause" in said(
        fault, shuts, opens
    )
    assert "It does not start again by itself" in said(fault, shuts)
    assert "It does not start again by itself" in said(fault, shuts, over, opens)


def test_starts_that_spoil_the_product_are_told_where_nothing_fails_or_where_they_do_much(
    outcome: Make, design: Design, metric: Shown
) -> None:
    # 250 starts, 5 L, 30 mL of 300 ppm each: more than all of it, so the water never stood
    few = Product("membrane", 0.1, 250.0, 0.300, 0.006, True)
    many = few._replace(volume=5e-3)
    assert story.tell(outcome(products=(few,)), design, metric).ending[1:] == ()
    (usual,) = story.tell(outcome(products=(few,), faults=()), design, metric).ending[1:]
    # by hand: 6 + 250 x 30 mL x 294 / 100 L = 28 ppm; 17 with 15 mL, 43 with 50 mL
    assert usual == (
        "Membrane starts about 250 times: with the first water after each standstill its product holds about 28 ppm on "
        "average instead of 6 ppm (17 ppm to 43 ppm; our prior), and what stands behind it wears sooner."
    )
    assert story.tell(outcome(products=(many,)), design, metric).ending[1] == (
        "The shut-off of membrane opens and shuts about 250 times in 14 days, with hardly any product in between: how "
        "pure that is, is not worked out."
    )
    flutters = outcome(products=(many._replace(starts=190000.0),))
    assert (
        story.tell(flutters, design, metric)
        .ending[1]
        .startswith("The shut-off of membrane goes to and fro without rest, with hardly any product")
    )


def test_what_never_rests_is_not_counted(outcome: Make, design: Design, metric: Shown) -> None:
    often = Beat(HOUR, "again", "", "valve", 190000, 25 * HOUR, ("valve",), ("valve shuts", "valve opens"))
    wet = {
        "first_water": HOUR,
        "on_floors": 1.0,
        "by_place": {"shed": 1.0},
        "still_running": True,
        "horizon": 24 * HOUR,
    }
    told = outcome(often, reopenings=190000, pauses=24 * HOUR, **wet)
    text = story.as_text(story.tell(told, design, metric))
    assert "this goes to and fro without rest until day 2, 09:00: valve shuts \N{EN DASH} valve opens" in text
    assert "It goes to and fro without rest within 24 h, and nothing has ended its cause." in text
    assert "190000" not in text
    ground = Ground(frozenset({"shed"}), {})
    assert failures.row(told, metric, ground)[6] == "without rest"
    # by hand: 24 h hold 2880 times 30 s
    assert failures.row(outcome(reopenings=2880, **wet), metric, ground)[6] == "2880 times"
    assert failures.row(outcome(reopenings=2881, **wet), metric, ground)[6] == "without rest"
    ending = story.ending(outcome(reopenings=190000, **wet), design, metric)
    assert "It goes to and fro without rest in between." in ending
    assert dict(drill.numbers(told, design, metric).rows)["started again by itself"] == "goes to and fro without rest"


def test_marks_and_copies_are_told(outcome: Make, design: Design, metric: Shown) -> None:
    copied = outcome(marks=("doubtful: 3 steps were not resolved",)).copied(("a: b", "ball: stuck open"), "")
    ending = story.ending(copied, design, metric, ())
    assert ending[-2:] == [
        "Doubtful: 3 steps were not resolved.",
        "The other fault changes nothing: it met nothing when “ball: stuck open” was tried alone.",
    ]


def test_answer_that_decides_is_told_with_how_to_find_out(outcome: Make, repository: Path, metric: Shown) -> None:
    first_float = read(repository / "examples" / "first_float.yaml")
    nothing = outcome().told.water
    taken = outcome(faults=("float: seeps",), water=nothing._replace(to_drain=1.0))
    other = outcome(faults=("float: seeps",), water=nothing._replace(to_drain=0.5))
    effect = UnknownEffect("shut-off", "closes at", 0.5, 0.7, "Look.", (Change(taken.told, other.told, ("drain",)),))
    told = story.hangs_on(taken.told, first_float, metric, (effect,))
    assert told == [
        (
            "This hangs on an answer that is unknown, shut-off, “closes at”. Taken was 50 %: 1000 L straight to the "
            "drain; with 70 %: 500 L straight to the drain. To find out: Look."
        )
    ]
    pair = outcome(faults=("float: seeps", "tube: burst"))
    assert story.hangs_on(pair.told, first_float, metric, (effect,)) == [
        (
            "This may hang on an answer that is unknown, shut-off, “closes at”: it decides what “float: seeps” alone "
            "does. To find out: Look."
        )
    ]
    box = replace(effect, part="small box", key="when it hangs", taken=None, other=None)
    assert story.hangs_on(pair.told, first_float, metric, (box,))[0].startswith(
        "This may hang on an answer that is unknown, small box, “when it hangs” (left out of the file): "
    )
    assert story.hangs_on(outcome(faults=("tube: burst",)).told, first_float, metric, (effect,)) == []
    usual = replace(effect, changes=(Change(outcome(faults=()).told, other.told, ("drain",)),))
    assert story.hangs_on(taken.told, first_float, metric, (usual,)) == []  # told once, where nothing fails
    assert len(story.hangs_on(outcome(faults=()).told, first_float, metric, (usual,))) == 1


def test_us_design_is_told_in_gallons(outcome: Make, design: Design) -> None:
    told = outcome(on_floors=0.0312, by_place={"shed": 0.0312}, first_water=HOUR, still_running=True)
    assert "About 8.2 US gal reach a floor" in story.tell(told, design, Shown("US")).ending[0]


def test_text_for_json_is_lines_and_ending(outcome: Make, design: Design, metric: Shown) -> None:
    told = story.tell(outcome(Beat(HOUR, "water", "water gets out", ""), faults=()), design, metric)
    assert story.as_text(told) == ("Day 1, 09:00: water gets out. No water gets out of the plumbing within 14 days.")
