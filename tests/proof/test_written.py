"""Names that stand in the way or must be quoted, sections that are not there: what is told as a cure is read."""

import re
from functools import cache
from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.cures.written import is_read
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import BROKEN, Cure, is_told_first
from dewpond.proof.verdicts import told as told_of
from dewpond.report.views.blocks import Grid
from dewpond.report.views.proof import proof_report
from tests.proof.applied import applied

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
TWO_TANKS = (EXAMPLES / "two_tanks.yaml").read_text("utf-8")
SHAFT = "  shaft probe:  {kind: leak probe, in: wall shaft"
PROBE = "{kind: leak probe, in: study, at: door, wired to: cellar box, contact: opens when wet, read as wet when: open}"
MIXING_DAY = (EXAMPLES / "mixing_day.yaml").read_text("utf-8")
NO_BEAT = re.sub(r"  heartbeat:.*\n", "", TWO_TANKS)


def renamed(text: str, old: str, new: str) -> str:
    """A house in which a name is another one, quoted where it must be; a circuit keeps its own."""
    bare = new if re.fullmatch(r"\w[\w ()]*", new) else f'"{new}"'
    changed = re.sub(rf"(?<![\w-]){re.escape(old)}(?![\w-]| circuit)", lambda _: bare, text)
    assert changed != text
    return changed


def amidst(name: str) -> str:
    """A house with one more probe of this name."""
    assert SHAFT in TWO_TANKS
    return TWO_TANKS.replace(SHAFT, f"  {name}: {PROBE}\n{SHAFT}")


def without(text: str, *sections: str) -> str:
    """A house that lacks sections."""
    blocks = re.split(r"^(?=\w)", text, flags=re.MULTILINE)
    assert {block.split(":")[0] for block in blocks} >= set(sections)
    return "".join(block for block in blocks if block.split(":")[0] not in sections)


@cache
def told(text: str) -> tuple[Cure, ...]:
    """The cures of a house that were tried, each once; all are read when they are written into its file."""
    design = read_text(text, "house.yaml")
    proof = prove(design, lower(design), KINDS, 1, compiled=True, tried=False, cured=True)
    cures = {cure.text: cure for verdict in proof.verdicts for cure in verdict.cures if cure.rule_holds}
    for cure in cures.values():
        read_text(applied(text, cure), "house.yaml")  # raises where it is refused
        assert is_read(design, cure.text, cure.line)
    return tuple(cures.values())


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "words"),
    [
        (amidst("Laundry probe"), "add `laundry probe 2: {"),
        (amidst("laundry-probe"), "add `laundry probe 2: {"),
        (TWO_TANKS.replace(SHAFT, SHAFT.replace("{", "{id: laundry-probe, ")), "add `laundry probe 2: {"),
        (renamed(TWO_TANKS, "level message", "laundry probe"), "add `laundry probe 2: {"),
        # the longest name has 60 letters, by D042
        (
            renamed(renamed(TWO_TANKS, "laundry", "L" * 56), "big sump", "S" * 56),
            f"add `{'L' * 54} probe: {{|add `low {'S' * 51} mark: {{",
        ),
        (
            renamed(renamed(TWO_TANKS, "laundry", "&laundry"), "level message", "level: low"),
            'add `"&laundry probe": {kind: leak probe, in: "&laundry", |effect: {}, tell: "level: low"}`',
        ),
        (
            renamed(renamed(TWO_TANKS, "laundry", "- laundry"), "level message", "level, #2"),
            'add `"- laundry probe": {kind: leak probe, in: "- laundry", |effect: {}, tell: "level, #2"}`',
        ),
        (
            renamed(NO_BEAT, "laundry", "'laundry'"),
            "add `\"'laundry' probe\": {kind: leak probe, in: \"'laundry'\", |add `heartbeat: {from: [cellar box",
        ),
        (renamed(NO_BEAT, "level message", "heartbeat"), "add `heartbeat 2: {from: [cellar box"),
        (renamed(NO_BEAT, "neighbour", "heartbeat"), "add `heartbeat 2: {from: [cellar box"),
    ],
    ids=lambda text: text[:40] if len(text) < 200 else "house",
)
def test_what_is_told_is_read_whatever_things_are_called(text: str, words: str) -> None:
    cures = told(text)
    assert all(any(one in cure.text for cure in cures) for one in words.split("|"))


@pytest.mark.parametrize(
    ("text", "line", "wanted"),
    [
        ("for “cell valve” write in its probe `seen to work with purified water: <the day>`", 24, True),
        ("for “cell valve” write in its probe `seen to work with purified water: soon`", 24, False),
        ("for “cell valve” write `when its probe dries: stays shut`", 24, True),
        ("for “cellar valve” write `when its probe dries: stays shut`", 24, False),  # there is none
        (f"behind tray probe add `bath probe: {PROBE}`", 51, True),
        (f"behind tray probe add `study probe: {PROBE}`", 51, False),  # it is there
        (f"behind tray probe add `Study-probe: {PROBE}`", 51, False),  # the same to the reader
        (f"behind tray probe add `&probe: {PROBE}`", 51, False),
        ("behind the matrix add `combination: any stop wins`", 74, False),  # it stands there
        ("behind this row add `- {cause: low mark low, effect: {}, tell: level message}`", 74, True),
        ("behind this row add `- {cause: low mark low, effect: {}, tell: level: message}`", 74, False),
        ("in this row write `at most: 85 min`", 72, True),
        ("in the row of line 72 write `at most: 85 min`", 1, True),
        ("in this row write `at most: 85 min`", 71_000, False),
        ("as the matrix, which has no row yet, write `matrix: [{cause: low mark low, effect: {}}]`", 74, False),
        ("take `at most: 85 min` and write it somewhere", 72, False),
    ],
)  # fmt: skip
def test_a_text_that_the_reader_refuses_is_no_cure(text: str, line: int, wanted: bool) -> None:
    assert is_read(read_text(TWO_TANKS, "house.yaml"), text, line) is wanted


@pytest.mark.slow
@pytest.mark.parametrize("empty", ["", "matrix:\n", "matrix: []\n"])
def test_the_first_row_of_all_is_told_as_a_section(empty: str) -> None:
    text = without(MIXING_DAY, "matrix", "combination") + empty
    rows = [cure for cure in told(text) if "{cause: " in cure.text]
    assert any("write `matrix: [{cause: stock low low, lasting: 10 min, effect: {}, t" in cure.text for cure in rows)
    assert any("and as the matrix, which has no row yet, write `matrix: [{cause: low" in cure.text for cure in rows)
    assert not any("this row" in cure.text or "the row of line" in cure.text for cure in rows)
    lines = text.splitlines()
    assert all(lines[cure.line - 1].strip() for cure in rows)


@pytest.mark.slow
@pytest.mark.parametrize("sections", [("sensors",), ("messages",)])
def test_what_needs_a_section_that_is_not_there_is_told_in_words(sections: tuple[str, ...]) -> None:
    text = without(MIXING_DAY, "matrix", "combination", *sections)
    design = read_text(text, "house.yaml")
    proof = prove(design, lower(design), KINDS, 1, compiled=True, tried=False, cured=True)
    dry = [cure for v in proof.verdicts if v.rule == "IL-09" and v.verdict == BROKEN for cure in v.cures]
    assert {cure.line for cure in dry} == {design.lines["reservoir"], design.lines["sump"]}
    assert all(cure.rule_holds is None and "with a row and a message" in cure.text for cure in dry)


@pytest.mark.slow
def test_a_name_with_words_in_brackets_loses_nothing() -> None:
    """The same house with another name has the same answers, cures and sets of faults."""
    name = "filters (and meter)"
    ways, pairs = [], []
    for text in (TWO_TANKS, renamed(TWO_TANKS, "filters", name)):
        design = read_text(text, "house.yaml")
        plant = lower(design)
        proof = prove(design, plant, KINDS, 1, compiled=True, tried=False, cured=True)
        ways.append(
            {(v.rule, v.about.replace(name, "filters"), v.verdict, v.cures, v.stopped_by) for v in proof.verdicts}
        )
        blocks = next(one for one in proof_report(design, plant, proof).sections if one.key == "pairs").blocks
        rows = next(block for block in blocks if isinstance(block, Grid)).rows
        pairs.append([[cell.replace(name, "filters") for cell in row] for row in rows])
    assert any(about.startswith("filters: ") and cures for _, about, _, cures, _ in ways[0])
    assert ways[0] == ways[1]
    assert pairs[0] == pairs[1]


@pytest.mark.parametrize(
    ("labels", "others"),
    [
        (("filters: bowl cracks",), ("filters: bowl", "filters")),
        (("filters (and meter): bowl cracks", "membrane: joint weeps"), ("filters", "membrane: joint weeps")),
        (("riser: burst, in hall (and stairs)", "check: joint weeps"), ("riser: burst, in hall",)),
        (("riser: burst, in hall (and stairs)",), ("riser: burst, in hall",)),
    ],
)
def test_the_fault_that_is_told_of_some_is_known_by_it(labels: tuple[str, ...], others: tuple[str, ...]) -> None:
    assert is_told_first(labels[0], told_of(labels))
    assert not any(is_told_first(other, told_of(labels)) for other in others)
