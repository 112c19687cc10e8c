"""Findings on lines and on what protections share: their figures by hand, and the case beside each that gets none."""

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.checks_layers import behind
from dewpond.design.reader import read, read_text
from dewpond.design.scout import scout
from dewpond.errors import Finding
from dewpond.parts import KINDS

Told = Callable[..., list[Finding]]


@pytest.fixture
def told(repository: Path) -> Told:
    """Findings of a code for a planted design with texts exchanged."""

    def find(name: str, code: str, *changes: tuple[str, str]) -> list[Finding]:
        text = (repository / "tests" / "bad_designs" / f"{name}.yaml").read_text(encoding="utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        return [one for one in check(read_text(text, "house.yaml")) if one.code == code]

    return find


def test_burst_before_every_valve_is_a_hole_behind_the_stop_tap(told: Told) -> None:
    """By hand: 3.6 bar at 0.5 m, a tap of 12 L/min at 1 bar, a hole of 4.318 mm with 0.7; the drill gives the same."""
    (found,) = told("line_before_every_valve", "D181")
    pressure = 3.6e5 + 1000.0 * 9.80665 * 0.4
    tap = 1e5 / (12e-3 / 60.0) ** 2
    hole = 1000.0 / (2.0 * (0.7 * math.pi / 4.0 * 4.318e-3**2) ** 2)
    hourly = math.sqrt(pressure / (tap + hole)) * 3600.0 * 1000.0
    assert hourly == pytest.approx(806.0, rel=0.002)
    assert "lead-in (806 L an hour)" in found.what


def test_what_stands_behind_a_valve_that_shuts_by_itself_is_not_named(told: Told) -> None:
    before, after = "after: stop tap, size", "after: feed valve, size"
    moved = [
        (before, after),
        ("valve, after: lead-in", "valve, after: stop tap"),
        ("after: feed valve, in", "after: lead-in, in"),
    ]
    assert told("line_before_every_valve", "D181", *moved) == []


def test_vessel_lets_out_what_it_holds(told: Told) -> None:
    """By hand: 40 cm x 40 cm x 49 cm."""
    (found,) = told("line_from_a_bin_without_valve", "D182")
    assert "lets out the 78.4 L" in found.what


@pytest.mark.parametrize(
    ("end", "litres"), [("3 cm", "22.2 L"), ("15 cm", "16.2 L"), ("28 cm", "600 mL"), ("29 cm", "")]
)
def test_leak_draws_a_vessel_back_to_the_end_or_to_the_leak(told: Told, end: str, litres: str) -> None:
    """By hand: 40 cm x 30 cm, water at 285 mm, the tube at 10 cm: the higher of the end and the tube counts."""
    found = told("float_ends_under_water", "D184", ("outlet: 3 cm above bottom", f"outlet: {end} above bottom"))
    assert [litres in one.what for one in found] == [True] * bool(litres)


def test_check_valve_right_before_the_float_keeps_the_water_in(told: Told) -> None:
    """Behind the membrane alone it does not: the tube between lies on the wrong side of it."""
    near = ("after: riser, fills", "after: end check, fills")
    valve = ("  float: ", "  end check: {kind: check valve, after: riser, in: tray}\n  float: ")
    assert told("float_ends_under_water", "D184", near, valve) == []


@pytest.mark.parametrize(("pressure", "count"), [("5.9 bar", 0), ("5.92 bar", 1)])
def test_night_pressure_is_held_against_the_usual_class(told: Told, pressure: str, count: int) -> None:
    """By hand: 120 psi over 1.4 are 5.91 bar."""
    assert len(told("pressure_above_the_usual_class", "D185", ("6.2 bar", pressure))) == count


def test_part_made_for_more_bears_more(told: Told) -> None:
    assert told("pressure_above_the_bowls", "D185", ("bears at most: 6 bar", "bears at most: 8.6 bar")) == []


def test_brass_before_the_membrane_harms_nobody(told: Told) -> None:
    (found,) = told("brass_behind_the_membrane", "D186", ("wetted parts: brass", "wetted parts: plastic"))
    assert "taken as brass" in found.what  # an electric valve of which nothing is said
    assert "feed valve" not in found.where


@pytest.mark.parametrize(("at_most", "count"), [("3 h", 1), ("4 h", 0)])
def test_fill_from_mark_to_mark_takes_so_long_in_winter(told: Told, at_most: str, count: int) -> None:
    """By hand: 24 L at 6.4 L/h, which the table of flows gives as 0.1 L/min, are 3.8 h."""
    assert len(told("fill_cut_short", "D187", ("at most: 1 h a run", f"at most: {at_most} a run"))) == count


def test_fill_flow_is_near_what_the_engine_finds(repository: Path) -> None:
    from dewpond.plant.lower import lower
    from dewpond.study.flows import flows

    design = read(repository / "tests" / "bad_designs" / "fill_cut_short.yaml")
    way = scout(design, KINDS, season="winter").ways.way_into("float", "reservoir")
    assert way is not None
    (fill,) = flows(lower(design, "winter"), compiled=False).fills
    assert fill.flow <= way.flow(0.32) <= 1.1 * fill.flow  # the waste takes some more of the pressure


def test_pump_stopped_by_another_box_or_by_outputs_that_fall(told: Told) -> None:
    """By hand: 60 cm x 40 cm x 60 mm are 14.4 L, at 6 L/h 2.4 h."""
    (found,) = told("stopped_by_what_runs_it", "D189")
    assert "takes 14.4 L, which is there after 2.4 h" in found.what
    assert told("stopped_by_what_runs_it", "D189", ("keeps last order", "outputs stopped")) == []
    relay = (
        "  box: {power",
        "  cut-out: {kind: relay, power: study circuit, without power: cuts the lead}\n  box: {power",
    )
    by = ("effect: {pump: stopped}}", "effect: {pump: stopped}, by: cut-out}")
    assert told("stopped_by_what_runs_it", "D189", relay, by) == []


@pytest.mark.parametrize(("lead", "count"), [("2 m", 1), ("2.69 m", 1), ("2.7 m", 0), ("9 m", 0)])
def test_lead_must_bridge_the_storey(told: Told, lead: str, count: int) -> None:
    assert len(told("lead_that_ends_too_soon", "D193", ("lead: 2 m", f"lead: {lead}"))) == count


def test_box_below_may_hang_under_its_ceiling(told: Told) -> None:
    """Of a lead from above nothing is certain, however short; two leads must still meet at the box."""
    below = ("box: {in: study", "box: {in: laundry")
    above = ("in: tray, at: low corner,", "in: tray, at: low corner, lead: 1 m,")
    assert told("lead_that_ends_too_soon", "D193", below, above) == []
    (found,) = told("lead_that_ends_too_soon", "D193", below, above, ("lead: 2 m", "lead: 1 m"))
    assert "2.7 m above that of" in found.what


@pytest.mark.parametrize(("mark", "count"), [("260 mm", 1), ("274 mm", 1), ("280 mm", 0)])
def test_high_mark_lies_above_what_drains_down(told: Told, mark: str, count: int) -> None:
    """By hand: 220 mm running level and 55 mm: 275 mm."""
    found = told("high_mark_within_the_drain_down", "D194", ("at: 260 mm", f"at: {mark}"))
    assert len(found) == count


def test_wait_or_kept_counts_end_the_runs_of_a_flickering_mains(told: Told) -> None:
    """By hand: 20 min at 6 L/h are 2 L."""
    (found,) = told("counts_lost_and_no_wait", "D196")
    assert "up to 2 L" in found.what
    kept = ("when it hangs", "after a restart: {trips: kept, counts: kept}, when it hangs")
    assert told("counts_lost_and_no_wait", "D196", kept) == []


def test_watcher_with_a_buffer_outlives_the_sender(told: Told) -> None:
    buffered = (
        ("power: laundry circuit,", "power: small supply,"),
        (
            "power:\n",
            "power:\n  small supply: {kind: low-voltage supply, power: laundry circuit, buffer: 8 h}\n",
        ),
    )
    assert told("watcher_fed_together_with_the_sender", "D160", *buffered) == []
    short = (buffered[0], (buffered[1][0], buffered[1][1].replace("8 h", "1 h")))
    assert len(told("watcher_fed_together_with_the_sender", "D160", *short)) == 1


def test_what_lies_behind_is_found_by_following_the_water(repository: Path) -> None:
    found = scout(read(repository / "examples" / "bin_and_branch.yaml"), KINDS)
    assert behind(["tee"], found) == {"bin tube", "bin float", "resin", "riser", "riser check", "high float"}


def test_overflow_takes_less_than_the_float_brings(told: Told) -> None:
    """By hand: 5 mm over a thin hole of 4 mm, 0.62 A (2 g H)^0.5, are 8.8 L/h at most; a wider one takes all."""
    (found,) = told("overflow_too_small", "D198")
    full = 0.62 * math.pi / 4.0 * 4e-3**2 * math.sqrt(2.0 * 9.80665 * 5e-3) * 3600e3
    assert full == pytest.approx(8.78, rel=0.01)
    takes = float(found.what.split("takes ")[1].split(" L")[0])
    assert takes <= full * 1.01
    assert told("overflow_too_small", "D198", ("bore: 4 mm", "bore: 20 mm")) == []


BELOW = "float:      {kind: float valve, after: riser, fills: reservoir,"
UNDER = "quite shut at: 285 mm}"


@pytest.mark.parametrize(
    ("changes", "drawn"),
    [
        ({UNDER: "quite shut at: 285 mm, outlet: 2 cm above bottom}"}, True),
        (  # an end in the air above the rim
            {
                UNDER: "quite shut at: 285 mm}\n"
                "  end: {kind: air gap, after: float, in: study, into: reservoir, gap: 50 mm}"
            },
            False,
        ),
        (  # and one that lets air in above the vessel
            {
                UNDER: "quite shut at: 285 mm, outlet: 2 cm above bottom}",
                BELOW: "break: {kind: vacuum break, after: riser, in: study, holds back: reservoir, "
                "above its rim: 20 cm}\n  float:      {kind: float valve, after: break, fills: reservoir,",
            },
            False,
        ),
    ],
)
def test_end_in_air_or_behind_a_vacuum_break_draws_nothing_back(
    repository: Path, changes: dict[str, str], drawn: bool
) -> None:
    """The riser runs below the reservoir's water, and its check valve is taken out."""
    text = (repository / "tests" / "bad_designs" / "message_never_heard.yaml").read_text(encoding="utf-8")
    text = text.replace("  check:      {kind: check valve, after: membrane, in: laundry}\n", "").replace(
        "riser:      {kind: tubing, after: check,", "riser:      {kind: tubing, after: membrane,"
    )
    for old, new in changes.items():
        assert old in text
        text = text.replace(old, new)
    assert ("D184" in {f.code for f in check(read_text(text, "ends.yaml"))}) is drawn
