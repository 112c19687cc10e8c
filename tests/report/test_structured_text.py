"""Structured Text: it parses, its names are sound, and it means what the rows mean; wrongly written, it does not."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.report.export.function_block import comment, time
from dewpond.report.export.identifiers import KEYWORDS, Identifiers
from dewpond.report.export.structured_text import structured_text
from dewpond.report.views.shown import Shown
from dewpond.study.matrix.build import build
from tests.plant.houses import Ill, design, plant_of, run
from tests.plant.random_designs import random_design
from tests.report.matrix_houses import EXAMPLES, HOUSES, LIMITS, MORE, TRIP, house
from tests.report.rows_model import BoxModel
from tests.report.structured import Instance, blocks, seconds

METRIC = Shown("metric")
IDENTIFIER = re.compile(r"[A-Za-z][A-Za-z0-9]*(_[A-Za-z0-9]+)*")


def text_of(of: Design) -> str:
    return structured_text(build(of), METRIC)


def plain(name: str) -> str:
    """How a simple name is spelled as an identifier."""
    return "_".join(word.capitalize() for word in name.replace("-", " ").split())


# --- it parses --------------------------------------------------------------------------------------------------------
@pytest.mark.slow
@pytest.mark.parametrize("name", [*EXAMPLES, *HOUSES])
def test_an_open_parser_takes_it(repository: Path, name: str) -> None:
    parse = pytest.importorskip("blark.parse")
    of = read(repository / "examples" / f"{name}.yaml") if name in EXAMPLES else house(name)
    text = text_of(of)
    result = parse.parse_source_code(text)
    assert result.exception is None
    taken = [str(item.name) for item in result.transform().items]
    assert taken == list(blocks(text))
    assert taken


@pytest.mark.slow
def test_the_open_parser_refuses_what_is_broken() -> None:
    parse = pytest.importorskip("blark.parse")
    result = parse.parse_source_code(text_of(house("waits")).replace("END_IF", ""))
    assert result.exception is not None


# --- names, comments, times -------------------------------------------------------------------------------------------
NAMES = ["low mark", "Low  mark", "low-mark", "LOW_MARK", "été", "größe", "水位", "鱼缸", "2nd probe", "if", "", "_",
         "TON", "x" * 200, "a__b", "*)", "naïve 水", "é"]  # fmt: skip


@pytest.mark.slow
def test_every_name_becomes_an_identifier_of_its_own() -> None:
    for words in ({}, {"after": "Closed"}, {"before": "FB"}):
        dealt = Identifiers()
        made = [dealt.take(name, **words) for name in NAMES]
        assert len({one.lower() for one in made}) == len(NAMES)
        for one in made:
            assert IDENTIFIER.fullmatch(one), one
            assert one.lower() not in KEYWORDS
            assert len(one) < 60


@pytest.mark.slow
def test_names_keep_what_can_be_written() -> None:
    dealt = Identifiers()
    assert [dealt.take(name) for name in ("tray probe", "größe", "2nd probe", "水位", "if")] == [
        "Tray_Probe", "Grosse", "Part_2nd_Probe", "Part", "If_2",
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", ["a *) b", "(* a", "*)", "(*)", "a\nb", "*" * 5 + ")" * 3])
def test_a_name_ends_no_comment(name: str) -> None:
    inside = comment(name)
    assert "*)" not in inside
    assert "(*" not in inside
    assert "\n" not in inside


@pytest.mark.slow
@pytest.mark.parametrize(
    ("length", "told"),
    [(0.0, "T#0s"), (5.0, "T#5s"), (0.25, "T#250ms"), (90.0, "T#1m30s"), (7200.0, "T#2h"), (90061.5, "T#1d1h1m1s500ms"),
     (1e-6, "T#1ms")],
)  # fmt: skip
def test_times_are_written_and_read_back(length: float, told: str) -> None:
    assert time(length) == told
    assert seconds(told) == pytest.approx(length, abs=1e-3)


@pytest.mark.slow
def test_odd_names_of_a_whole_house_are_written_soundly() -> None:
    text = design(TRIP.replace("when dry", "when dry *) (* again"), LIMITS, messages=MORE)
    odd = {
        "second probe": "水 probe", "low mark": "été", "feed valve": "END_IF", "behind the cabinet": "behind *) it",
        "under the valve": "(* 鱼缸", "A house for tests": "A *) house (* for tests",
    }  # fmt: skip
    for old, new in odd.items():
        text = text.replace(old, new)
    made = text_of(read_text(text, "odd.yaml"))
    (block,) = blocks(made).values()
    assert set(block.sections["VAR_OUTPUT"]) >= {"END_IF_Energise", "Pump_Energise"}
    assert set(block.sections["VAR_INPUT"]) >= {"Probe_Closed", "Probe_2_Closed", "Ete_Closed"}
    assert "水 probe (laundry, ( * 鱼缸)" in made
    parse = pytest.importorskip("blark.parse")
    assert parse.parse_source_code(made).exception is None


@pytest.mark.slow
def test_a_house_without_boxes_or_rows_is_said_in_words(repository: Path) -> None:
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    text = re.sub(r"matrix:\n.*?\n\n", "", text, flags=re.DOTALL)
    made = text_of(read_text(text, "none.yaml"))
    assert blocks(made) == {}
    assert "No box carries out a row" in made


# --- it means what the rows mean --------------------------------------------------------------------------------------
def world(of: Design, rng: random.Random, now: dict[str, bool]) -> dict[tuple[str, str], bool]:
    """Turns some contacts over, and begins and ends work; what the inputs make of them, by (part, word)."""
    says = {}
    for part in of.parts:
        if KINDS[part.kind].role == "work":
            now[f"{part.name} begun"] = now.get(f"{part.name} begun", False) != (rng.random() < 0.06)
            says[part.name, "begun"] = now[f"{part.name} begun"]
        if part.get("contact"):
            key = f"{part.name} closed"
            now[key] = now.get(key, rng.random() < 0.5) != (rng.random() < 0.09)
            state = next(w for w in ("wet", "low", "high") if part.get(f"read as {w} when"))
            is_so = now[key] == (part[f"read as {state} when"] == "closed")
            says[part.name, state] = is_so
            says[part.name, {"wet": "dry"}.get(state, "normal")] = not is_so
    return says


def differs(of: Design, text: str, seed: int, scans: int = 400) -> str:
    """Runs all boxes of a text and of the file side by side; the first difference, empty for none."""
    rng = random.Random(f"scan {seed}")
    parsed = blocks(text)
    names = [part.name for part in of.parts if f"FB_{plain(part.name)}" in parsed]
    assert len(names) == len(parsed) > 0
    pairs = {name: (Instance(parsed[f"FB_{plain(name)}"]), BoxModel(of, name)) for name in names}
    contacts: dict[str, bool] = {}
    clock, button, midnight = 0.0, False, False
    for scan in range(scans):
        step = rng.choice((1.0, 1.0, 1.0, 2.0, 5.0))
        clock += step
        says = world(of, rng, contacts)
        button = button != (rng.random() < 0.15)
        midnight = midnight != (rng.random() < 0.03)
        if rng.random() < 0.02:
            for instance, model in pairs.values():
                instance.cut()
                model.restart()
        for name, (instance, model) in pairs.items():
            first = model.first
            inputs = {plain(contact): closed for contact, closed in contacts.items()}
            inputs |= {"ReArm": button, "Midnight": midnight}
            given = instance.scan(clock, {**inputs, "Cycle": 0.0 if first else step})
            orders, told = model.scan(says, button, midnight, step)
            wanted = {f"{plain(part)}_Energise": on for part, on in orders.items()}
            wanted |= {f"Tell_{plain(message)}": on for message, on in told.items()}
            if given != wanted:
                return f"scan {scan} of {name}: {given} instead of {wanted}"
    return ""


@pytest.mark.slow
@pytest.mark.parametrize("name", HOUSES)
def test_text_does_what_the_rows_say(name: str) -> None:
    of = house(name)
    text = text_of(of)
    for seed in range(12):
        assert differs(of, text, seed) == "", f"seed {seed}"


RUN_TIME = "VAR RETAIN\n  Row_1_Pump_Run_Time : TIME;"


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(12))
def test_text_of_any_design_does_what_its_rows_say(seed: int) -> None:
    of = read_text(random_design(seed, 14 + 2 * seed).text(), "random.yaml")
    text = text_of(of)
    if blocks(text):
        for run_seed in range(3):
            assert differs(of, text, run_seed) == ""


# A change of the text -> the house in which it must show.
MUTANTS: dict[str, tuple[str, Callable[[str], str]]] = {
    "nothing retained": ("trip and limits, all kept", lambda text: text.replace("VAR RETAIN", "VAR")),
    "all retained": ("trip and limits, nothing kept", lambda text: text.replace("\nVAR\n", "\nVAR RETAIN\n")),
    "re-armed while held": ("blind re-arming", lambda text: text.replace("Button.Q", "ReArm")),
    "re-armed by a taped button in a restart": ("blind re-arming", lambda text: text.replace(" AND Scanned", "")),
    "re-armed while wet": (
        "trip and limits, all kept", lambda text: text.replace("R := Press AND NOT Row_1_Seen", "R := Press"),
    ),
    "reset beats set": (
        "blind re-arming",
        lambda text: re.sub(r"S1 := (\S+), R := (\S+)\)", r"S1 := \1 AND NOT \2, R := \2)", text),
    ),
    "no latch": ("trip and limits, all kept", lambda text: text.replace("NOT Row_1_Trip.Q1", "NOT Row_1_Lasts.Q")),
    "sense reversed": ("while it lasts", lambda text: text.replace("Wet := Probe", "Wet := NOT Probe")),
    "output reversed": ("while it lasts", lambda text: text.replace("Ready AND NOT Row_1", "Ready AND Row_1")),
    "no delay": ("while it lasts", lambda text: text.replace("PT := T#8s", "PT := T#0s")),
    "one of two is enough": ("vote", lambda text: text.replace(">= 2", ">= 1")),
    "all for any": ("trip and limits, all kept", lambda text: text.replace("Probe_Wet OR", "Probe_Wet AND")),
    "a negation lost": ("negations and all", lambda text: text.replace("NOT Feeding_Begun", "Feeding_Begun")),
    "a demand beats a stop": ("pause", lambda text: text.replace(" AND NOT Row_2_Seen", "")),
    "no wait after a restart": ("waits", lambda text: text.replace("Ready := Started.Q", "Ready := TRUE")),
    "longest run left out": ("limit put back by the cause", lambda text: text.replace(">= T#15s", ">= T#15h")),
    "run counted from each restart": (
        "limit put back by the cause",
        lambda text: text.replace(RUN_TIME, f"VAR\n{RUN_TIME[11:]}\nEND_VAR\nVAR RETAIN"),
    ),
    "a stop lifted while its cause lasts anew": (
        "while it lasts", lambda text: text.replace("NOT Row_1_Trip.Q1", "NOT Row_1_Lasts.Q"),
    ),
    "no pause between runs": ("trip and limits, all kept", lambda text: text.replace("PT := T#20s", "PT := T#0s")),
    "no end of the day": ("a day's most", lambda text: re.sub(r" AND NOT \(Pump_Run_Today[^)]*\)", "", text)),
    "day never put back": ("a day's most", lambda text: text.replace("Day.Q AND Scanned", "FALSE")),
    "day put back all day long": ("a day's most", lambda text: text.replace("Day.Q AND", "Midnight AND")),
    "nobody told": ("only told", lambda text: text.replace("Ready AND (Row_1", "FALSE AND (Row_1")),
    "the cut-out lets it": ("two boxes", lambda text: re.sub(r"Ready AND NOT Row_2_Seen;", "Ready;", text)),
}  # fmt: skip


@pytest.mark.parametrize("mutant", MUTANTS)
def test_text_that_is_wrong_is_found(mutant: str) -> None:
    name, change = MUTANTS[mutant]
    of = house(name)
    text = text_of(of)
    changed = change(text)
    assert changed != text
    assert any(differs(of, changed, seed) for seed in range(12))


# --- and what a run does ----------------------------------------------------------------------------------------------
LOW, HIGH = "low mark: float stuck low", "high mark: wires touch"
WET = "probe: reports water on a dry floor"
ILLS = {
    "Low_Mark_Closed": [(20.0, 30.0), (70.0, 100.0), (300.0, 20.0), (330.0, 25.0)],
    "High_Mark_Closed": [(345.0, 4.0)],
    "Probe_Closed": [(400.0, 3.0), (420.0, 10.0)],
}
LABELS = {"Low_Mark_Closed": LOW, "High_Mark_Closed": HIGH, "Probe_Closed": WET}


@pytest.mark.slow
def test_a_run_of_the_engine_turns_pump_and_valve_when_the_text_does() -> None:
    """Sensors that report wrong for a while, by the second; nobody re-arms anything in a run."""
    rows = [TRIP, LIMITS.replace("re-armed by hand when the level is normal", "cause ends"),
            "{cause: high mark high, effect: {pump: stopped}}"]  # fmt: skip
    of = design(*rows, messages=MORE)
    ills = [Ill(LABELS[name], at, lasts) for name, spans in ILLS.items() for at, lasts in spans]
    told = run(plant_of(of), "travelling", 600.0, ills)
    (block,) = blocks(text_of(read_text(of, "house.yaml"))).values()
    instance, turned, before = Instance(block), {"Pump_Energise": [], "Feed_Valve_Energise": []}, {}
    for second in range(-60, 600):
        inputs = {name: any(at <= second < at + lasts for at, lasts in spans) for name, spans in ILLS.items()}
        inputs |= {"Second_Probe_Closed": False, "ReArm": False, "Midnight": False}
        outputs = instance.scan(float(second), {**inputs, "Cycle": 0.0 if second == -60 else 1.0})
        for name, changes in turned.items():
            if second >= 0 and outputs[name] != before.get(name):
                changes.append((second, int(outputs[name])))
                before[name] = outputs[name]
    parts = {"Pump_Energise": ("pump", "pump starts"), "Feed_Valve_Energise": ("feed valve", "feed valve opens")}
    for name, (part, words) in parts.items():
        ran = told.changes(part, words)
        assert len(ran) > 1
        assert [value for _, value in ran] == [value for _, value in turned[name]], (ran, turned[name])
        for (at, _), (second, _) in zip(ran, turned[name], strict=True):
            assert second == pytest.approx(at, abs=1.5)  # a scan a second, and limits that look at the scan before
