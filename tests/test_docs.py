"""The pages that scripts write from the code say what the code says today."""

import importlib.util
import math
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

from dewpond.design.causes import read_cause
from dewpond.design.checks import check
from dewpond.design.claims import CLAIM_PARAMS
from dewpond.design.floors import FEET, FLATNESS, PLAN_PARAMS, PLINTH, READINGS
from dewpond.design.messages import LEVELS
from dewpond.design.model import Design
from dewpond.design.reader import HEAD, LISTS, read_text, sections_of
from dewpond.design.rows import (
    CAUSE_ENDS,
    HEARTBEAT_PARAMS,
    MESSAGE_PARAMS,
    PRIORITIES,
    RE_ARMED,
    ROW_PARAMS,
    UNANSWERED,
)
from dewpond.parts import KINDS
from dewpond.parts.base import Param
from dewpond.vocabulary import QUANTITIES


@pytest.fixture(scope="module")
def kinds(repository: Path) -> ModuleType:
    """The script that writes the page of kinds."""
    spec = importlib.util.spec_from_file_location("kinds", repository / "docs" / "kinds.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_pages_of_kinds_are_what_the_kinds_declare(kinds: ModuleType, repository: Path) -> None:
    written = {path.name: path.read_text("utf-8") for path in (repository / "docs" / "kinds").iterdir()}
    assert written == kinds.pages()
    assert len(written) == len(KINDS)
    assert (repository / "docs" / "kinds.md").read_text("utf-8") == kinds.index()
    assert (repository / "docs" / "kinds.svg").read_text("utf-8") == kinds.symbols()


@pytest.mark.slow
def test_page_of_a_kind_tells_every_key_fault_and_caution(kinds: ModuleType) -> None:
    for word, kind in KINDS.items():
        page = kinds.pages()[kinds.file_name(kind)]
        assert page.startswith(f"# {word}\n")
        for param in kind.params:
            assert f"| `{param.key}` | {param.help}" in page
        for fault in kind.faults:
            assert f"| {fault.name} | {fault.what} | {fault.reveals} |" in page
        for text in (*kind.cautions, *kind.notes):
            assert f"- {text}" in page


def test_page_of_a_kind_gives_every_default_figure_with_its_source(kinds: ModuleType) -> None:
    figures = 0
    for kind in KINDS.values():
        rows = {row[0]: row for param in kind.params for row in kinds.keys(param)}
        for param in kind.params:
            if param.takes in QUANTITIES and isinstance(param.default, float):
                assert param.source is not None, (kind.word, param.key)
                assert rows[f"`{param.key}`"][3], (kind.word, param.key)
                assert param.source.text in rows[f"`{param.key}`"][4]
                figures += 1
    assert figures > 50


def test_index_of_kinds_leads_to_every_page(kinds: ModuleType) -> None:
    for word, kind in KINDS.items():
        assert f"| [{word}](kinds/{kinds.file_name(kind)}) | {kind.summary} |" in kinds.index()


def test_sheet_of_symbols_is_a_drawing_with_every_word(kinds: ModuleType) -> None:
    drawing = ElementTree.fromstring(kinds.symbols())
    assert {mark.text for mark in drawing.iter("{http://www.w3.org/2000/svg}text")} >= set(KINDS)


def test_pages_of_kinds_say_from_where_every_level_counts(kinds: ModuleType) -> None:
    rows = {row[0]: row[2] for kind in KINDS.values() for param in kind.params for row in kinds.keys(param)}
    assert rows["`starts to shut at`"].startswith("a height, from the bottom of the vessel unless")
    assert rows["`outlet`"].startswith("a height with the word from where")
    assert rows["`bottom`"].startswith("a height with the word from where")


@pytest.mark.parametrize(
    ("days", "told"), [(1, "day"), (14, "14 days"), (30, "month"), (180, "6 months"), (365, "year"), (730, "2 years"),
                       (0.5, "0.5 days")],
)  # fmt: skip
def test_span_is_told_in_the_largest_unit_that_goes_into_it(kinds: ModuleType, days: float, told: str) -> None:
    assert kinds.span(days * 86400.0) == told


# --- the page on the design file -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def told(repository: Path) -> str:
    """The page on the design file."""
    return (repository / "docs" / "design_file.md").read_text("utf-8")


@pytest.fixture(scope="module")
def example(told: str) -> Design:
    """Its grey blocks, one below the other."""
    return read_text("\n".join(re.findall(r"```yaml\n(.*?)```", told, re.DOTALL)), "design_file.md")


def keys_of(params: Sequence[Param]) -> Iterator[str]:
    """Every key, with those inside it."""
    for param in params:
        yield param.key
        yield from keys_of([field for field in param.fields if field.key != "item"])


def test_example_of_the_design_file_is_read_and_the_checks_object_to_nothing(example: Design) -> None:
    assert [*example.notes, *check(example)] == []
    assert (len(example.rows), len(example.claims), len(example.messages), len(example.heartbeats)) == (5, 2, 2, 1)
    assert example.title.endswith("(invented)")


def test_example_of_the_design_file_has_a_part_in_every_section(example: Design) -> None:
    for section in (*sections_of(KINDS), *LISTS):
        assert f"\n{section}:" in example.text
    assert {KINDS[part.kind].section for part in example.parts} == set(sections_of(KINDS))


def test_page_on_the_design_file_names_every_key_of_head_rows_and_messages(told: str) -> None:
    for key in ("format", *keys_of((*HEAD, *ROW_PARAMS, *CLAIM_PARAMS, *MESSAGE_PARAMS, *HEARTBEAT_PARAMS))):
        assert f"`{key}`" in told or f"\n### {key}\n" in told or f"**{key}**" in told, key
    assert f"`{UNANSWERED.key} 45 min`" in told
    for word in (*PRIORITIES, *LEVELS.split(", "), CAUSE_ENDS, f"{RE_ARMED} by hand"):
        assert f"`{word}`" in told, word


def test_page_on_the_design_file_names_every_key_and_word_of_a_plan(told: str, example: Design) -> None:
    chapter = told[told.index("\n## Floors\n") :]
    for key in (*keys_of(PLAN_PARAMS), *(key for params in READINGS.values() for key in keys_of(params)), "spots"):
        assert f"`{key}`" in chapter or key in {"wall", "spot"}, key
    for word in (*FLATNESS, *READINGS, FEET, PLINTH):
        assert f"`{word}`" in chapter, word
    (plan,) = example.plans
    assert {read.by for read in plan.readings} == set(READINGS)
    assert all((plan.walls, plan.openings, plan.furniture, plan.patches, plan.joints, plan.hollows, plan.spots))


def test_page_on_the_design_file_tells_how_exact_a_reading_is_taken(told: str) -> None:
    within = {by: {p.key: p.default for p in params}.get("within") for by, params in READINGS.items()}
    assert (within["water tube"], within["laser"], within["batten"]) == (1e-3, 1e-3, None)
    for by, text in (
        ("water tube", "1 mm"),
        ("laser", "1 mm"),
        ("batten", "0.5 mm each metre"),
        ("marble", "20 degrees"),
    ):
        (row,) = re.findall(rf"^\| `{by}` \|.*$", told, re.MULTILINE)
        assert row.endswith(f"| {text} |")
    assert within["marble"] == pytest.approx(math.radians(20.0))
    assert within["phone"] == pytest.approx(math.radians(0.1))
    assert math.tan(math.radians(0.1)) * 1e3 == pytest.approx(1.7, abs=0.05)  # mm each metre


@pytest.mark.parametrize(
    ("written", "op", "need", "negated"),
    [
        ("tray probe wet", "any", 1, 0),
        ("tray probe wet or room probe wet", "any", 1, 0),
        ("low mark low and tray probe dry", "all", 2, 0),
        ("low mark low and tray probe not wet", "all", 2, 1),
        ('"2 of: tray probe wet, room probe wet, unit probe wet"', "vote", 2, 0),
    ],
)
def test_causes_of_the_page_are_read_as_it_says(
    told: str, example: Design, written: str, op: str, need: int, negated: int
) -> None:
    assert f"| `cause: {written}` |" in told
    cause, _ = read_cause(written.strip('"'), [part.name for part in example.parts])
    assert (cause.op, cause.need, sum(term.negated for term in cause.terms)) == (op, need, negated)


def test_example_shuts_the_main_valve_of_the_house_by_hand(example: Design) -> None:
    first = next(part for part in example.parts if part.get("after") == "supply")
    assert KINDS[first.kind].word == "hand valve"
    assert example.part("keeper")["shuts"] == first.name


def test_pages_of_kinds_tell_how_to_describe_the_main_valve_of_the_house(kinds: ModuleType, example: Design) -> None:
    (line,) = re.findall(r"`(house valve: \{[^}]*\})`", "".join(kinds.pages().values()))
    words = [" ".join(text.split()) for text in (line, example.text)]
    assert words[0].removesuffix("}") in words[1]


def test_readme_leads_to_the_page_on_the_design_file(repository: Path) -> None:
    readme = (repository / "README.md").read_text("utf-8")
    assert "(docs/design_file.md)" in readme
    assert "main valve of the house is only considered if" in readme
