"""The classical mistakes of shut-off logic, each planted alone in the sound two-tank house: a finding names it, or a
run that fails; the house itself draws no finding. Numbers are those of the project's list (IL-01 to IL-18)."""

from __future__ import annotations

from pathlib import Path

import pytest

from dewpond.design.checks import check
from dewpond.design.reader import read_text
from dewpond.errors import DesignError, Finding
from dewpond.plant import engine
from dewpond.plant.consequence import Consequence, judge
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, STARTS, Onset, Scenario

LITRE = 1e-3
OWN_VALVE = (
    "cell valve:   {kind: battery leak valve, after: stop tap,   in: laundry, probe: {in: laundry, at: under the "
    "unit}, cells fitted: 2026-03-01,\n                 when its probe dries: stays shut}"
)
SAME_BOX = (
    "cell valve:   {kind: solenoid valve, after: stop tap, in: laundry, without power: shut, needs at least: 0.3 bar, "
    "driven by: cellar box}"
)
LEAK_ROW = "small doser: stopped}, until: re-armed by hand when dry, tell: leak message}"
# number -> (the mistake, what is changed in the file, the code that names it)
MISTAKES: dict[str, tuple[str, list[tuple[str, str]], str]] = {
    "IL-01": (
        "wrong contact sense",
        [
            (
                "at: low corner, wired to: cellar box, contact: closes when wet, read as wet when: closed",
                "at: low corner, wired to: cellar box, contact: closes when wet, read as wet when: open",
            )
        ],
        "D104",
    ),
    "IL-02": ("opens on loss of power", [("without power: shut, needs", "without power: open, needs")], "D158"),
    "IL-03": ("opens again when the probe is dry", [(LEAK_ROW, "small doser: stopped}, until: cause ends}")], "D157"),
    "IL-04": (
        "valve behind what may leak",
        [
            (
                "cell valve:   {kind: battery leak valve, after: stop tap,",
                "cell valve:   {kind: battery leak valve, after: filters,",
            ),
            ("kind: pre-filters,        after: feed valve", "kind: pre-filters,        after: stop tap"),
            ("kind: membrane,           after: filters", "kind: membrane,           after: feed valve"),
        ],
        "D181",
    ),
    "IL-05": (
        "probe in another room",
        [("study probe:  {kind: leak probe, in: study,", "study probe:  {kind: leak probe, in: laundry,")],
        "D165",
    ),
    "IL-06": (
        "two layers on one box",
        [
            (OWN_VALVE, SAME_BOX),
            ("effect: {feed valve: shut, top-off", "effect: {feed valve: shut, cell valve: shut, top-off"),
        ],
        "D159",
    ),
    "IL-07": ("nobody proved that the message arrives", [(", heard after a wetted probe: 2026-11-02", "")], "D205"),
    "IL-08": ("limit longer than the tank can stand", [("at most: 4 min a run", "at most: 4 h a run")], "D127"),
    "IL-08b": (
        "limit forgotten in a power cut",
        [
            (
                "level box:    {power: study circuit, after a restart: {trips: kept, counts: kept}",
                "level box:    {power: study circuit, after a restart: {trips: kept, counts: cleared}",
            )
        ],
        "D202",
    ),
    "IL-09": (
        "starves with nobody told",
        [("  - {cause: reservoir low low, lasting: 2 h, effect: {}, tell: level message}\n", "")],
        "D161",
    ),
    "IL-10": (
        "message through the box that failed",
        [
            (
                (
                    "  heartbeat:     {from: [cellar box, level box], every: 15 min, path: [router], missed: 2, "
                    "watched: outside the house, tell: [keeper, neighbour]}\n"
                ),
                "",
            )
        ],
        "D190",
    ),
    "IL-11": (
        "restart clears the latch",
        [
            (
                "cellar box:   {power: laundry circuit, after a restart: {trips: kept",
                "cellar box:   {power: laundry circuit, after a restart: {trips: cleared",
            )
        ],
        "D201",
    ),
    "IL-12": ("re-armed while wet", [("until: re-armed by hand when dry", "until: re-armed by hand")], "D203"),
    "IL-13": (
        "pause forgotten",
        [
            ("power:\n  house", "work:\n  rest: {kind: pause, lasts: 10 min}\n\npower:\n  house"),
            (
                "  - {cause: reservoir low low",
                (
                    "  - {cause: rest begun, effect: {top-off pump: stopped}, until: cause ends}\n"
                    "  - {cause: reservoir low low"
                ),
            ),
        ],
        "D204",
    ),
    "IL-16": (
        "chatter",
        [("calls at: 232 mm, is satisfied at: 240 mm", "calls at: 239.5 mm, is satisfied at: 240 mm")],
        "D180",
    ),
    "IL-17": ("two drivers fight", [("combination: any stop wins\n", "")], "D105"),
    "IL-18": (
        "frozen outputs, and no stop of another box",
        [
            ("until: cause ends, by: pump cut-out, tell", "until: cause ends, tell"),
            ("at: 320 mm, wired to: pump cut-out", "at: 320 mm, wired to: level box"),
            (
                (
                    "  pump cut-out: {kind: relay, power: study circuit, without power: cuts the lead}      # a "
                    "contact in the lead of the top-off pump: works when every box hangs\n"
                ),
                "",
            ),
        ],
        "D189",
    ),
}


@pytest.fixture(scope="module")
def house(repository: Path) -> str:
    return (repository / "examples" / "two_tanks.yaml").read_text(encoding="utf-8")


def found_in(text: str) -> tuple[Finding, ...]:
    try:
        return check(read_text(text, "house.yaml"))
    except DesignError as error:
        return error.findings


def drilled(text: str, *onsets: Onset, days: float = 2.0) -> Consequence:
    plant = lower(read_text(text, "house.yaml"), "winter")
    return judge(
        plant, engine.run(plant, Scenario("travelling", days * DAY, onsets, STARTS["travelling"]), compiled=True)
    )


def test_sound_house_draws_nothing(house: str) -> None:
    assert found_in(house) == ()


@pytest.mark.parametrize("number", MISTAKES)
def test_mistake_planted_alone_is_found(house: str, number: str) -> None:
    _, changes, code = MISTAKES[number]
    text = house
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    found = [f for f in found_in(text) if f.code == code]
    assert found
    assert all(f.what and f.remedy and f.line for f in found)


def test_valve_that_never_proves_that_it_moved_is_named_by_a_run(house: str) -> None:
    """IL-14: the solenoid is told to shut and does not; the run says so, and the valve with its own cells is what is
    left. In the cabinet that one's probe lies dry, so the water runs on."""
    burst = Onset("riser: burst, in study", 3600.0)
    sound, stuck = (drilled(house, *faults, burst) for faults in ((), (Onset("feed valve: does not close", 0.0),)))
    assert not sound.failed
    assert "feed valve" in stuck.failed
    assert stuck.on_floors > sound.on_floors + 10.0 * LITRE


def test_wire_break_that_nothing_notices_is_named_by_a_run(house: str) -> None:
    """IL-15: a contact that closes when wet reads dry for ever once its wire is cut; the run names the dead probe, and
    more water comes before the next one sees it."""
    burst = Onset("riser: burst, in study", 3600.0)
    sound, cut = (drilled(house, *faults, burst) for faults in ((), (Onset("study probe: wire cut", 0.0),)))
    assert "study probe" in cut.failed
    assert cut.on_floors > sound.on_floors + LITRE
