"""Vectors in the real engine: the sound design passes every one that can be run there, and a file with a mistake in it
fails one. And the Structured Text, wrongly written, fails one."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.study.matrix.bench import device
from dewpond.study.matrix.build import build
from dewpond.study.matrix.logic import box_logics
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.scenarios import scenarios
from dewpond.study.matrix.trial import Trial, fails
from dewpond.study.matrix.vectors import vectors
from tests.plant.houses import controller, design
from tests.report.matrix_houses import EXAMPLES, HOUSES, MORE
from tests.report.structured import blocks
from tests.study.benches import ALL, Entered, design_of, text_of
from tests.study.forced_runs import left_out, run_fails

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
RELAY = f"{controller()}\n  relay: {{kind: relay, power: wall, without power: cuts the lead}}"


@cache
def file_of(name: str) -> str:
    """The text of an example or a small house."""
    if name in EXAMPLES:
        return (ROOT / "examples" / f"{name}.yaml").read_text("utf-8")
    rows, controllers, at_rest = HOUSES[name]
    return design(*rows, controllers=controllers, messages=MORE, at_rest=at_rest)


@cache
def sound(name: str) -> tuple[Plant, Matrix, tuple[Trial, ...]]:
    of = design_of(name, ROOT)
    matrix = build(of)
    return lower(of, "winter"), matrix, vectors(matrix).trials


# --- the engine -------------------------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", ALL)
def test_the_sound_design_passes_in_the_engine(name: str) -> None:
    """All that were chosen, and all others that could have been."""
    plant, matrix, chosen = sound(name)
    every = {trial.title + trial.row: trial for trial in (*chosen, *scenarios(device(matrix, box_logics(matrix))))}
    ran, positions, messages = 0, 0, 0
    for trial in every.values():
        if left_out(trial):
            continue
        failed, seen, told = run_fails(plant, trial, matrix)
        assert failed == ""
        ran, positions, messages = ran + 1, positions + seen, messages + told
    assert ran >= 1
    assert positions > 0 or not any(effect.sort == "ordered" for effect in matrix.effects)
    if name in ("two_tanks", "bin_and_branch", "waits"):
        assert messages > 50


def test_few_vectors_are_left_out_of_the_engine_and_why() -> None:
    _, _, chosen = sound("two_tanks")
    assert [left_out(trial) for trial in chosen if left_out(trial)] == [
        "a part that acts by itself is not set off by hand"
    ] * 3


def put(old: str, new: str, count: int = 1) -> Callable[[str], str]:
    """A change of a file: the first place only, unless said otherwise."""
    return lambda text: text.replace(old, new, count)


LAUNDRY, STUDY = (f"{circuit} circuit, after a restart: {{trips: " for circuit in ("laundry", "study"))
RE_ARMED = "until: re-armed by hand when dry"
WRONG_FILES: dict[str, tuple[str, Callable[[str], str]]] = {
    "trips forgotten in the cellar": (
        "two_tanks", put(f"{LAUNDRY}kept, counts", f"{LAUNDRY}cleared, counts"),
    ),
    "trips forgotten at the pumps": (
        "two_tanks", put(f"{STUDY}kept", f"{STUDY}cleared"),
    ),
    "counts forgotten at the pumps": (
        "two_tanks",
        put(
            f"{STUDY}kept, counts: kept",
            f"{STUDY}kept, counts: cleared",
        ),
    ),
    "not latched": ("two_tanks", put(RE_ARMED, "until: cause ends")),
    "re-armed while wet": ("two_tanks", put(RE_ARMED, "until: re-armed by hand")),
    "a probe reversed": (
        "two_tanks",
        put("at: behind the cabinet, wired to: cellar box, contact: closes when wet, read as wet when: closed",
            "at: behind the cabinet, wired to: cellar box, contact: closes when wet, read as wet when: open"),
    ),
    "a high mark reversed": ("two_tanks", put("contact: opens when high, read as high when: open",
                                              "contact: opens when high, read as high when: closed")),
    "a probe left out": ("two_tanks", put("tray probe wet or study probe wet or shaft probe wet",
                                          "tray probe wet or study probe wet")),
    "and for or": ("two_tanks", put("tray probe wet or study probe wet or shaft probe wet",
                                    "tray probe wet and study probe wet and shaft probe wet")),
    "two of three": ("two_tanks", put("cause: tray probe wet or study probe wet or shaft probe wet",
                                      'cause: "2 of: tray probe wet, study probe wet, shaft probe wet"')),
    "no delay": ("two_tanks", put("lasting: 5 s, ", "")),
    "ten times the delay": ("two_tanks", put("lasting: 5 s, ", "lasting: 50 s, ")),
    "an effect left out": ("two_tanks", put("top-off pump: stopped, small doser: stopped", "top-off pump: stopped")),
    "no longest run": ("two_tanks", put("at most: 4 min a run", "at most: 40 min a run")),
    "a limit of each call": ("two_tanks", put("until: re-armed by hand when the level is normal", "until: cause ends")),
    "a limit re-armed while called for": (
        "two_tanks", put("until: re-armed by hand when the level is normal", "until: re-armed by hand"),
    ),
    "no pause": ("two_tanks", put("gap: 20 min, ", "")),
    "no most in a day": ("two_tanks", put("per day: 9 L, ", "")),
    "half as much in a day": ("two_tanks", put("per day: 9 L", "per day: 4.5 L")),
    "no wait after a restart": ("two_tanks", put("waits after a restart: 5 min, ", "")),
    "another message": ("two_tanks", put("tell: leak message", "tell: level message")),
    "no message of a run too long": (
        "two_tanks", put("until: re-armed by hand when the level is normal, tell: level message",
                         "until: re-armed by hand when the level is normal"),
    ),
    "the cut-out left out": ("two_tanks", put(", by: pump cut-out", "")),
    "the cut-out lets without power": ("two_tanks", put("power: cuts the lead", "power: lets current through")),
    "the valve falls open": ("two_tanks", put("without power: shut, needs", "without power: open, needs")),
    "a pause that nothing heeds": ("mixing_day", put("water change begun or feeding begun", "water change begun")),
    "one of two": ("vote", put("2 of: probe wet, second probe wet, high mark high",
                               "probe wet or second probe wet or high mark high")),
    "three of three": ("vote", put("2 of: probe wet, second probe wet, high mark high",
                                   "probe wet and second probe wet and high mark high")),
    "a negation lost": ("negations and all", put("feeding not begun", "feeding begun")),
    "no high cut": ("negations and all", put("{cause: high mark not normal, effect: {pump: stopped}}",
                                             "{cause: high mark not normal, effect: {feed valve: shut}}")),
    "forgotten, where it keeps": ("blind re-arming", put("trips: kept", "trips: cleared")),
}  # fmt: skip


@pytest.mark.parametrize("mistake", WRONG_FILES)
def test_a_file_with_a_mistake_in_it_fails_in_the_engine(mistake: str) -> None:
    name, change = WRONG_FILES[mistake]
    text = file_of(name)
    wrong = change(text)
    assert wrong != text
    _, matrix, chosen = sound(name)
    plant = lower(read_text(wrong, "wrong.yaml"), "winter")
    assert any(run_fails(plant, trial, matrix)[0] for trial in chosen if not left_out(trial))


# --- the Structured Text ----------------------------------------------------------------------------------------------
WRONG_TEXTS: dict[str, tuple[str, Callable[[str], str]]] = {
    "nothing retained": ("trip and limits, all kept", put("VAR RETAIN", "VAR", 9)),
    "all retained": ("trip and limits, nothing kept", put("\nVAR\n", "\nVAR RETAIN\n", 9)),
    "level for edge": ("blind re-arming", put("Button.Q", "ReArm", 9)),
    "a taped button counts": ("blind re-arming", put(" AND Scanned", "", 9)),
    "re-armed within the delay": ("trip and limits, all kept", put("R := Press AND NOT Row_1_Seen", "R := Press")),
    "no latch": ("trip and limits, all kept", put("NOT Row_1_Trip.Q1", "NOT Row_1_Lasts.Q", 9)),
    "sense reversed": ("while it lasts", put("Wet := Probe", "Wet := NOT Probe")),
    "no delay": ("while it lasts", put("PT := T#8s", "PT := T#0s")),
    "one of two is enough": ("vote", put(">= 2", ">= 1")),
    "all for any": ("trip and limits, all kept", put("Probe_Wet OR", "Probe_Wet AND")),
    "a demand beats a stop": ("pause", put(" AND NOT Row_2_Seen", "")),
    "no wait": ("waits", put("Ready := Started.Q", "Ready := TRUE")),
    "no longest run": ("limit put back by the cause", put(">= T#15s", ">= T#15h")),
    "a run that was cut short begins anew": ("trip and limits, all kept", put(" AND Row_2_Pump_Resumed", "")),
    "a stop lifted while its cause lasts anew": ("while it lasts", put("NOT Row_1_Trip.Q1", "NOT Row_1_Lasts.Q")),
    "no pause": ("trip and limits, all kept", put("PT := T#20s", "PT := T#0s")),
    "no day": ("a day's most", lambda text: re.sub(r" AND NOT \(Pump_Run_Today[^)]*\)", "", text)),
    "the day never put back": ("a day's most", put("Day.Q AND Scanned", "FALSE")),
    "nobody told": ("only told", put("Ready AND (Row_1", "FALSE AND (Row_1")),
    "the cut-out lets it": ("two boxes", put("Ready AND NOT Row_2_Seen;", "Ready;")),
}  # fmt: skip


@pytest.mark.parametrize("mistake", WRONG_TEXTS)
def test_a_text_with_a_mistake_in_it_fails(mistake: str) -> None:
    name, change = WRONG_TEXTS[mistake]
    _, matrix, chosen = sound(name)
    text = text_of(matrix)
    wrong = change(text)
    assert wrong != text
    of, parsed = design_of(name, ROOT), blocks(wrong)
    assert any(fails(trial, Entered(of, matrix, parsed)) for trial in chosen)


@pytest.mark.parametrize("by", ["box", "relay"])
def test_a_pump_that_only_what_is_in_its_lead_stops_passes_in_the_engine(by: str) -> None:
    """Nothing drives it: on a plain circuit it runs until its switch for high water says so."""
    row = f"{{cause: high mark high, effect: {{pump: stopped}}, by: {by}, until: cause ends}}"
    text = design(row, controllers=RELAY, high_wired_to=by)
    driven = "outlet: 45 cm above floor,\n                 driven by: box}"
    assert text.count(driven) == 1
    of = read_text(text.replace(driven, "outlet: 45 cm above floor, power: wall}"), "house.yaml")
    plant, matrix = lower(of, "winter"), build(of)
    trials = [trial for trial in scenarios(device(matrix, box_logics(matrix))) if not left_out(trial)]
    failed = [(trial.title, run_fails(plant, trial, matrix)[0]) for trial in trials]
    assert len(failed) > 2
    assert [one for one in failed if one[1]] == []
