"""What every kind of part must keep, walked over all of them without exception."""

import ast
import inspect
import math
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
import yaml

from dewpond.errors import LEVELS
from dewpond.parts import KINDS
from dewpond.parts.base import (
    GRADES,
    REQUIRED,
    ROLES,
    TIMINGS,
    Fault,
    Kind,
    Level,
    Lowering,
    Param,
    PartView,
    Rate,
    Source,
)
from dewpond.vocabulary import QUANTITIES
from tests.parts.recording import Recording, lowered, refused, sample, sampled

PLAIN = {
    "word",
    "text",
    "count",
    "date",
    "time of day",
    "flag",
    "size",
    "part",
    "parts",
    "place",
    "places",
    "level",
    "map",
}
TAKES = PLAIN | {"compound", "list"} | set(QUANTITIES)
FIGURES = {"count", "size", "level"} | set(QUANTITIES)
SECTIONS = {"supply", "places", "water", "sensors", "controllers", "power", "people", "work"}
MANY = 6  # keys that may be left out, up to which all their combinations are tried
MEASURED = {"bottom", "rim", "floor", "tray"}
BARE_FIGURE = re.compile(r"\d ?(?:mm|cm|m|in|ft|mL|L|gal|bar|psi|C|F)\b")
VERDICTS = re.compile(r"\b(safe|safely|unsafe|leak-proof|certified|complies|comply|guaranteed)\b", re.IGNORECASE)
every_kind = pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))


def own_module(kind: Kind) -> Path:
    return Path(inspect.getfile(kind.lower))


def every_param(params: tuple[Param, ...]) -> Iterator[Param]:
    """Params and those inside them."""
    for param in params:
        yield param
        yield from every_param(param.fields)


def is_known(source: Source) -> bool:
    spread = source.low is None or source.high is None or source.low <= source.high
    return bool(source.text) and source.grade in GRADES and spread


def numbers(value: Any) -> list[float]:
    """The figures in a default."""
    if isinstance(value, Level):
        return [value.value]
    if isinstance(value, tuple):
        return [float(one) for one in value if isinstance(one, int | float)]
    return [float(value)] if isinstance(value, int | float) and not isinstance(value, bool) else []


def answers(kind: Kind) -> Iterator[tuple[dict[str, Any], dict[str, PartView]]]:
    """Ways to fill a part in, each with the parts that it names.

    Which of the keys that may be left out are there, and each word that a key may be.
    """
    house: dict[str, PartView] = {}
    left_out = [param for param in kind.params if param.default is None]
    counts = range(len(left_out) + 1) if len(left_out) <= MANY else (0, 1, len(left_out))
    choices = []
    for param in kind.params:
        words: tuple[Any, ...] = (*param.words, *param.unknown)
        if param.takes in ("map", "level") and param.words:
            words = (*words, sample(param, house))
        choices += [{param.key: word} for word in words]
    for group in (group for count in counts for group in combinations(left_out, count)):
        given = {param.key: sample(param, house) for param in group}
        yield from (({**given, **choice}, house) for choice in ({}, *choices))


def variants(kind: Kind) -> Iterator[Recording]:
    """The kind lowered, filled in in every way that its own check lets pass."""
    made = 0
    for given, house in answers(kind):
        if not refused(kind, sampled(kind, "it", house, given)):
            made += 1
            yield lowered(kind, given, house)
    assert made, "its own check objects to everything"


# --- the folder ------------------------------------------------------------------------------------------------------


def test_folder_holds_the_kinds_by_word_in_order(package: Path) -> None:
    assert list(KINDS) == sorted(KINDS)
    assert all(word == kind.word for word, kind in KINDS.items())
    declared = [
        path for path in (package / "parts").glob("*.py") if re.search(r"^KIND\b", path.read_text(), re.MULTILINE)
    ]
    assert {own_module(kind) for kind in KINDS.values()} == set(declared)
    assert len(declared) == len(KINDS) > 10


def test_files_that_are_no_kind_are_used_by_kinds(package: Path) -> None:
    kinds = {own_module(kind) for kind in KINDS.values()}
    shared = {path for path in (package / "parts").glob("*.py") if path not in kinds and path.name != "__init__.py"}
    imported = {name for path in kinds | shared for name in imports(path)}
    assert {f"dewpond.parts.{path.stem}" for path in shared} <= imported


def test_parts_start_quickly_without_heavy_libraries() -> None:
    heavy = ["numpy", "scipy", "numba", "pydantic", "rich", "yaml", "dewpond.units", "dewpond.plant"]
    code = f"import sys, dewpond.parts; print([name for name in {heavy} if name in sys.modules])"
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"


def imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found


@every_kind
def test_file_is_named_after_the_kind(kind: Kind) -> None:
    assert own_module(kind).stem == kind.word.replace(" ", "_").replace("-", "_")


@every_kind
def test_no_part_imports_or_names_another_kind(kind: Kind) -> None:
    others = {own_module(other).stem for other in KINDS.values()} - {own_module(kind).stem}
    assert not {f"dewpond.parts.{stem}" for stem in others} & imports(own_module(kind))
    tree = ast.parse(own_module(kind).read_text(encoding="utf-8"))
    compared = {
        side.value
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        for side in (node.left, *node.comparators)
        if isinstance(side, ast.Constant)
    }
    assert not compared & set(KINDS)


# --- the declaration -------------------------------------------------------------------------------------------------


@every_kind
def test_kind_says_what_it_is(kind: Kind) -> None:
    assert kind.section in SECTIONS
    assert kind.role in ROLES
    assert (kind.role == "vessel") == (kind.store is not None)
    for text in (kind.summary, kind.fails, *kind.cautions, *kind.notes):
        assert text[:1].isupper() or text[:1].isdigit(), text
        assert text.rstrip().endswith("."), text
    assert len({port.name for port in kind.ports}) == len(kind.ports)
    assert all(port.carries in ("water", "signal") for port in kind.ports)
    assert inspect.getmodule(kind.lower).__doc__, "its file says what it is, how it fails, and the sources"


def test_one_kind_of_a_section_at_most_and_one_circuit_is_the_usual_one() -> None:
    usual = [kind for kind in KINDS.values() if kind.usual]
    assert len({kind.section for kind in usual}) == len(usual)
    circuits = [kind for kind in KINDS.values() if kind.role == "circuit"]  # a circuit that is only named is one
    assert len(circuits) == 1 or [kind for kind in circuits if kind.usual]


@every_kind
def test_texts_hold_no_verdict(kind: Kind) -> None:
    texts = [kind.summary, kind.fails, *kind.cautions, *kind.notes]
    texts += [text for fault in kind.faults for text in (fault.what, fault.reveals)]
    texts += [text for param in every_param(kind.params) for text in (param.help, param.find_out)]
    texts += [text for test in kind.tests for text in (test.steps, test.accept)]
    assert [text for text in texts if VERDICTS.search(text)] == []


@every_kind
def test_params_are_complete(kind: Kind) -> None:
    for group in (kind.params, *(param.fields for param in every_param(kind.params))):
        assert len({param.key for param in group}) == len(group)
    for param in every_param(kind.params):
        assert param.takes in TAKES, param.key
        assert param.help.endswith("."), param.key
        assert set(param.roles) <= set(ROLES), param.key
        assert (param.takes == "word") <= bool(param.words), param.key
        assert (param.takes in ("map", "compound", "list")) == bool(param.fields), param.key
        assert bool(param.has) <= (param.takes in ("part", "parts")), param.key
        assert bool(param.unknown) <= bool(param.find_out), param.key
        assert (param.takes == "list") <= (len(param.fields) == 1), param.key
        if param.takes == "compound":
            assert re.findall(r"\{([^}]+)\}", param.pattern) == [one.key for one in param.fields]
        if param.takes in QUANTITIES:
            assert None not in (param.low, param.high), f"{param.key} needs a range"
        if param.low is not None and param.high is not None:
            assert param.low < param.high, param.key


@every_kind
def test_what_a_key_asks_of_a_part_some_kind_has(kind: Kind) -> None:
    for param in every_param(kind.params):
        fitting = [one for one in KINDS.values() if one.role in param.roles]
        if param.has:
            assert any(set(param.has) <= {key.key for key in one.params} for one in fitting), param.key
        if param.joins:
            assert any(param.joins in {port.name for port in one.ports} for one in fitting), param.key


@every_kind
def test_outlets_are_counted_and_what_comes_after_a_part_says_at_which(kind: Kind) -> None:
    counts = {param.key: param for param in kind.params if param.takes == "count"}
    for port in kind.ports:
        least = counts[port.follow].low if isinstance(port.follow, str) else port.follow
        assert least is not None, port.name
        assert least >= 1, port.name
    for param in kind.params:
        assert bool(param.joins) <= (param.takes == "part"), param.key
        assert bool(param.joins) >= (param.key == "after"), param.key


def allowed(param: Param, value: Any) -> bool:
    """A value that the key may take."""
    if value is None or value is REQUIRED or value == "unknown":
        return True
    if param.takes == "map" and isinstance(value, dict):
        fields = {one.key: one for one in param.fields}
        return set(value) <= set(fields) and all(allowed(fields[key], one) for key, one in value.items())
    if isinstance(value, str) and param.words:
        return value in param.words
    if isinstance(value, Level) and value.measured not in MEASURED:
        return False
    low = -math.inf if param.low is None else param.low
    high = math.inf if param.high is None else param.high
    return all(low <= number <= high for number in numbers(value))


@every_kind
def test_defaults_and_values_tried_are_allowed(kind: Kind) -> None:
    for param in every_param(kind.params):
        assert all(allowed(param, value) for value in (param.default, *param.unknown)), param.key
        assert (param.default == "unknown") <= bool(param.unknown), param.key
        if param.unknown:  # left out and answered "unknown" come to the same
            assert param.default in (REQUIRED, "unknown", param.unknown[0]), param.key


@every_kind
def test_every_figure_by_default_has_a_source(kind: Kind) -> None:
    for param in every_param(kind.params):
        sources = [param.source] if param.source else [one.source for one in param.fields if one.source]
        assert all(is_known(source) for source in sources), param.key
        is_map = isinstance(param.default, dict)
        if (param.takes in FIGURES and numbers(param.default)) or (
            is_map and any(numbers(v) for v in param.default.values())
        ):
            assert sources, f"{param.key}: where does {param.default} come from?"
        if param.source and param.source.low is not None and param.takes in QUANTITIES:
            assert all(param.source.low <= n <= (param.source.high or math.inf) for n in numbers(param.default)), (
                param.key
            )


@every_kind
def test_faults_are_complete(kind: Kind) -> None:
    assert len({fault.name for fault in kind.faults}) == len(kind.faults)
    for fault in kind.faults:
        assert fault.timing in TIMINGS, fault.name
        assert fault.name == fault.name.strip().lower(), fault.name
        assert ":" not in fault.name, f"{fault.name}: the colon parts it from the part's name"
        assert fault.what.endswith("."), fault.name
        assert len(fault.reveals) > 5, fault.name
        assert (fault.lasts is None) or (fault.timing == "event" and fault.lasts > 0.0), fault.name
        if fault.rate:
            assert is_known(fault.rate.source), fault.name
            assert fault.rate.error_factor >= 1.0, fault.name
            assert fault.rate.median > 0.0, fault.name
            low, high = fault.rate.source.low, fault.rate.source.high
            assert (low or 0.0) <= fault.rate.median <= (high or math.inf), fault.name


@every_kind
def test_tests_and_upkeep_are_complete(kind: Kind) -> None:
    for test in kind.tests:
        assert test.every > 0.0, test.name
        assert test.steps.endswith("."), test.name
        assert test.accept.endswith((".", "?")), test.name
    dates = {param.key for param in kind.params if param.takes == "date"}
    for work in kind.upkeep:
        assert work.every > 0.0, work.what
        assert work.date_key == "" or work.date_key in dates, work.what


@every_kind
def test_symbol_is_well_formed_and_fits_its_box(kind: Kind) -> None:
    drawing = ElementTree.fromstring(f"<svg>{kind.symbol}</svg>")
    assert len(drawing) > 0
    for mark in drawing.iter():
        assert mark.tag in {"svg", "path", "circle", "rect", "line", "text", "g", "polyline", "polygon"}, mark.tag
        if mark.tag == "circle":
            x, y, r = (float(mark.attrib[key]) for key in ("cx", "cy", "r"))
            assert 0.0 <= x - r <= x + r <= 40.0, mark.attrib
            assert 0.0 <= y - r <= y + r <= 20.0, mark.attrib
        for x, y in end_points(mark.attrib.get("d", "")):
            assert 0.0 <= x <= 40.0, (mark.attrib["d"], x)
            assert 0.0 <= y <= 20.0, (mark.attrib["d"], y)


def end_points(path: str) -> Iterator[tuple[float, float]]:
    """Where the pen of an SVG path stands after each stroke."""
    steps = {"m": 2, "l": 2, "h": 1, "v": 1, "q": 4, "t": 2, "c": 6, "s": 4, "a": 7, "z": 0}
    x = y = 0.0
    for letter, text in re.findall(r"([A-Za-z])([^A-Za-z]*)", path):
        figures = [float(one) for one in re.findall(r"-?\d*\.?\d+", text)]
        size = steps[letter.lower()]
        assert size == 0 or len(figures) % size == 0, (letter, text)
        for at in range(0, len(figures), size or 1):
            dx, dy = (x, y) if letter.islower() else (0.0, 0.0)
            if letter in "hH":
                x = figures[at] + dx
            elif letter in "vV":
                y = figures[at] + dy
            else:
                x, y = figures[at + size - 2] + dx, figures[at + size - 1] + dy
            yield x, y


@every_kind
def test_example_is_one_part_with_keys_of_the_kind(kind: Kind) -> None:
    assert "\n" not in kind.example
    parsed = yaml.load(kind.example, Loader=yaml.BaseLoader)
    assert isinstance(parsed, dict)
    assert len(parsed) == 1
    (keys,) = parsed.values()
    assert keys.pop("kind", kind.word) == kind.word
    keys.pop("id", None)
    assert set(keys) <= {param.key for param in kind.params}
    needed = {param.key for param in kind.params if param.default is REQUIRED}
    assert needed <= set(keys), "an example a keeper can copy"


# --- the lowering ----------------------------------------------------------------------------------------------------


@every_kind
def test_lowering_ties_the_faults_it_declares_and_no_other(kind: Kind) -> None:
    declared, tied = {fault.name for fault in kind.faults}, set()
    for recording in variants(kind):
        pairs = recording.tied()
        assert len(set(pairs)) == len(pairs), "one name and place for two faults"
        tied |= {name for name, _ in pairs}
    assert tied == declared


@every_kind
def test_a_triggered_fault_and_no_other_is_tied_to_a_signal_that_brings_it(kind: Kind) -> None:
    timing = {fault.name: fault.timing for fault in kind.faults}
    for recording in variants(kind):
        for fault in recording.every("fault"):
            assert (fault["trigger"] is not None) is (timing[fault["name"]] == "triggered"), fault["name"]


@every_kind
def test_orders_reach_an_actuator_and_a_hand_reaches_a_valve(kind: Kind) -> None:
    for recording in variants(kind):
        order = recording.always(True)
        for follow in (*recording.hands, *recording.asides):
            before = len(recording.every("define"))
            follow(order)
            assert len(recording.every("define")) == before + 1
        for *_, obey in recording.actuators:
            before = len(recording.every("define"))
            obey(order, order)
            assert len(recording.every("define")) > before


@every_kind
def test_checks_say_what_is_wrong_and_what_to_do(kind: Kind) -> None:
    for given, house in answers(kind):
        for finding in kind.check(sampled(kind, "it", house, given)) if kind.check else []:
            assert finding.level in LEVELS
            assert finding.where == "it"
            assert finding.what.endswith(".")
            assert not BARE_FIGURE.search(finding.what), "figures go through amount"
            assert finding.remedy.endswith(".")
            assert finding.key in {None} | {param.key for param in kind.params}


@every_kind
def test_vessel_states_a_rising_level_table_that_holds_its_start_and_rim(kind: Kind) -> None:
    if kind.store is None:
        assert kind.role != "vessel"
        return
    for recording in variants(kind):
        spec = kind.store(recording.part_view, recording)
        assert len(spec.heights) == len(spec.volumes) >= 2
        assert all(a < b for a, b in zip(spec.heights, spec.heights[1:], strict=False))
        assert all(a < b for a, b in zip(spec.volumes, spec.volumes[1:], strict=False))
        assert spec.heights[0] == 0.0 <= spec.volumes[0]
        assert 0.0 <= spec.start <= spec.rim == spec.heights[-1]
        assert spec.volume_at(spec.rim) == pytest.approx(spec.volumes[-1])
        assert spec.place
        assert spec.dissolved >= 0.0


def test_recording_answers_the_whole_protocol() -> None:
    asked = {name for name, _ in inspect.getmembers(Lowering, inspect.isfunction) if not name.startswith("_")}
    assert asked == {name for name in asked if callable(getattr(Recording, name, None))}
    assert len(asked) > 50


# --- the contract itself, on planted faults --------------------------------------------------------------------------

SOUND = KINDS["check valve"]
LENGTH = Param("spare", "length", "A spare key.", default=1.0, low=0.0, high=2.0)
LEAKY = Fault("drips", "initiator", "It drips.", "a wet floor")
PLANTED = {
    "fault that nothing ties": ("lowering_ties_the_faults", {"faults": (*SOUND.faults, LEAKY)}),
    "fault tied but not declared": ("lowering_ties_the_faults", {"faults": SOUND.faults[1:]}),
    "timing unknown": ("faults_are_complete", {"faults": (replace(LEAKY, timing="sometimes"),)}),
    "rate from nowhere": (
        "faults_are_complete",
        {"faults": (replace(LEAKY, rate=Rate(1.0, "per year", 3.0, Source("somebody", "hearsay"))),)},
    ),
    "figure without source": ("every_figure_by_default", {"params": (*SOUND.params, LENGTH)}),
    "default that unknown does not take": ("defaults_and_values", {"params": (replace(LENGTH, unknown=(0.5, 1.0)),)}),
    "default out of range": ("defaults_and_values", {"params": (*SOUND.params, replace(LENGTH, default=3.0))}),
    "quantity unknown": ("params_are_complete", {"params": (*SOUND.params, replace(LENGTH, takes="furlong"))}),
    "quantity without range": ("params_are_complete", {"params": (*SOUND.params, replace(LENGTH, low=None))}),
    "key twice": ("params_are_complete", {"params": (*SOUND.params, LENGTH, LENGTH)}),
    "symbol not well formed": ("symbol_is_well_formed", {"symbol": '<path d="M0 0">'}),
    "symbol beyond its box": ("symbol_is_well_formed", {"symbol": '<path d="M0 0 h30 h11"/>'}),
    "example that lacks a key": ("example_is_one_part", {"example": "check: {kind: check valve}"}),
    "example that is two lines": ("example_is_one_part", {"example": SOUND.example.replace(", in", ",\n in")}),
    "verdict": ("texts_hold_no_verdict", {"summary": "It is safe."}),
    "other name than its file": ("file_is_named", {"word": "non-return valve"}),
    "vessel without a store": ("kind_says_what_it_is", {"role": "vessel"}),
}


@pytest.mark.parametrize("name", PLANTED)
def test_planted_breach_of_the_contract_is_noticed(name: str) -> None:
    part_of_name, changes = PLANTED[name]
    (promise,) = (test for word, test in globals().items() if word.startswith(f"test_{part_of_name}"))
    promise(SOUND)
    with pytest.raises((AssertionError, ElementTree.ParseError)):
        promise(replace(SOUND, **changes))
