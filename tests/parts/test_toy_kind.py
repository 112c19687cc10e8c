"""One kind is one file: a toy kind, dropped into a folder, is found by everything, and no other file knows of it.

The toy is invented: a column of glass beads that the water rises through. It needs no law that is not there.
"""

import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from dewpond import parts
from dewpond.design.model import Design
from dewpond.design.reader import read_text
from dewpond.design.schema import json_schema
from dewpond.errors import DesignError
from dewpond.parts import KINDS, kinds_in
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY
from dewpond.report import records, terminal
from dewpond.report.page import render
from dewpond.report.views import cautions
from dewpond.report.views.sources import every_figure, sources_report
from dewpond.report.views.study import study_report
from dewpond.study.flows import flows
from dewpond.study.outcome import StudyResult
from dewpond.study.study import run_study
from tests.parts import test_contract as contract

WORD, STEM = "bead column", "bead_column"
CAUTION = "Beads on a tiled floor roll a long way: open it over a tray."
NOTE = "The beads are taken as equal (our prior)."
SOURCE = "beads of 3 mm in a column of an inch, invented for this test"
CLUMPED, CRACK = "column: beads clump", "column: glass cracks"
TOY = f'''"""A column of beads. It fails by clumping and by cracking; all its figures are invented."""

from dewpond.parts.base import Fault, Kind, Param, Port, Rate, Source
from dewpond.parts.plumbing import AFTER, HEIGHT, IN, PRIOR, height_in_place, loss_of_heads

INVENTED = Source("{SOURCE}", PRIOR, 0.1, 0.2)


def lower(p, b):
    """An opening that clumped beads narrow, and a leak below them."""
    z = height_in_place(p, b)
    inlet, outlet = b.outlet(p["after"]), b.port("out", z)
    way = b.orifice(inlet, outlet, loss_of_heads(100.0 * p["depth of beads"], 4e-3))
    b.fault("beads clump", [("scale", way, 1e4)])
    b.leak(inlet, z, p["in"], "glass cracks", 3e-7)


KIND = Kind(
    word="{WORD}",
    section="water",
    role="line",
    summary="A glass column of beads that the water rises through.",
    fails="The beads clump, or the glass cracks.",
    params=(
        AFTER,
        IN,
        HEIGHT,
        Param("depth of beads", "length", "How deep the beads lie.", 0.15, 0.05, 0.4, source=INVENTED),
    ),
    ports=(Port("in"), Port("out")),
    faults=(
        Fault("beads clump", "latent", "The beads stick together: little water comes through.", "a slow fill",
              Rate(0.15, "per year", 5.0, INVENTED)),
        Fault("glass cracks", "initiator", "The glass has a crack that water runs from.", "a wet foot",
              Rate(0.12, "per year", 5.0, INVENTED)),
    ),
    lower=lower,
    symbol='<path d="M0 10 H14 M26 10 H40 M14 2 H26 V18 H14 Z" fill="none" stroke="currentColor"/>',
    example="column: {{kind: {WORD}, after: tube, in: laundry}}",
    cautions=("{CAUTION}",),
    notes=("{NOTE}",),
)
'''  # fmt: skip
LINE = f"  column: {{kind: {WORD}, after: tube, in: shed}}\n"
SHORT = (("travelling", 0.5 * DAY),)


@pytest.fixture(scope="module", autouse=True)
def dropped(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """The file lies in a folder, and the package's path goes through that folder too."""
    folder = tmp_path_factory.mktemp("more parts")
    (folder / f"{STEM}.py").write_text(TOY, encoding="utf-8")
    before, path = dict(KINDS), parts.__path__
    assert WORD not in before
    parts.__path__ = [*path, str(folder)]
    KINDS.update(kinds_in([str(folder)]))
    yield
    parts.__path__ = path
    KINDS.clear()
    KINDS.update(before)
    del sys.modules[f"dewpond.parts.{STEM}"]
    delattr(parts, STEM)


@pytest.fixture(scope="module")
def text(repository: Path) -> str:
    """The tub of the study's tests, with a column before its float."""
    plain = (repository / "tests" / "study" / "small.yaml").read_text("utf-8")
    assert plain.count("after: tube,") == 1
    head, ball, tail = plain.partition("  ball: ")
    return f"{head}{LINE}{ball}{tail.replace('after: tube,', 'after: column,')}"


@pytest.fixture(scope="module")
def design(text: str) -> Design:
    return read_text(text, "tub")


@pytest.fixture(scope="module")
def studied(design: Design) -> StudyResult:
    return run_study(design, pairs=False, compiled=True, who=SHORT)


def test_no_file_of_the_package_knows_the_toy(package: Path) -> None:
    sources = list(package.rglob("*.py"))
    assert len(sources) > 80
    assert [path for path in sources if WORD in (told := path.read_text("utf-8")) or STEM in told] == []


def test_folder_alone_lists_the_toy_and_the_path_lists_it_among_the_others() -> None:
    assert list(kinds_in(parts.__path__)) == sorted(KINDS)
    assert list(kinds_in(parts.__path__[-1:])) == [WORD]


@pytest.mark.parametrize(
    "promise",
    [test for name, test in vars(contract).items()
     if name.startswith("test_") and "kind" in test.__code__.co_varnames[: test.__code__.co_argcount]],
)  # fmt: skip
def test_toy_keeps_the_contract(promise: object) -> None:
    promise(KINDS[WORD])  # type: ignore[operator]


def test_reader_fills_in_what_the_file_leaves_out(design: Design) -> None:
    column = design.part("column")
    assert (column.kind, column["after"], column["depth of beads"]) == (WORD, "tube", 0.15)
    assert any((a.part, a.key, a.source) == ("column", "depth of beads", SOURCE) for a in design.assumed)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        (LINE.replace(WORD, "bead colum"), f"{WORD}"),
        (LINE.replace("in: shed", "in: shed, depth of bead: 12 cm"), "depth of beads"),
        (LINE.replace("in: shed", "in: shed, depth of beads: 3 m"), "0.4 m"),
        (LINE.replace("in: shed", "in: shed, depth of beads: 3 L"), "length"),
        (LINE.replace(", in: shed", ""), "in"),
    ],
)
def test_reader_objects_to_what_does_not_fit_the_toy_and_says_what_would(text: str, line: str, told: str) -> None:
    assert text.count(LINE) == 1
    with pytest.raises(DesignError) as refused:
        read_text(text.replace(LINE, line), "tub")
    mine = [f for f in refused.value.findings if "column" in f.where]
    assert any(told in f"{f.key} {f.what} {f.remedy}" for f in mine), refused.value.findings


def test_schema_describes_the_toy() -> None:
    keys = json_schema()["$defs"][WORD]
    assert keys["required"] == ["after", "in"]
    assert "How deep the beads lie." in keys["properties"]["depth of beads"]["description"]
    assert WORD in json_schema()["properties"]["water"]["additionalProperties"]["properties"]["kind"]["enum"]


def test_table_of_sources_holds_its_default_and_its_rates() -> None:
    mine = {figure.what: figure for figure in every_figure() if figure.kind == WORD}
    assert {"depth of beads", "how often: beads clump", "how often: glass cracks"} <= set(mine)
    assert mine["depth of beads"].source == SOURCE
    assert mine["how often: beads clump"].value == "0.15 per year"
    assert SOURCE.split(",", maxsplit=1)[0] in " ".join(terminal.render(sources_report()).split())


def test_flows_have_a_row_of_the_toy_and_clumped_beads_slow_the_fill(design: Design) -> None:
    plant = lower(design)
    rows = {row.part: row for row in flows(plant).rows}
    assert rows["column"].flow > 0.0
    assert rows["column"].flow == pytest.approx(rows["ball"].flow, rel=1e-6)
    assert rows["column"].inlet > rows["column"].outlet
    assert {CLUMPED, CRACK} <= {fault.label for fault in plant.faults}


def test_every_fault_of_the_toy_is_tried_and_told(studied: StudyResult) -> None:
    told = {outcome.faults[0]: outcome.told for outcome in studied.failures}
    assert told[CRACK].on_floors > 1e-3
    assert told[CRACK].by_place["shed"] == told[CRACK].on_floors
    assert told[CLUMPED].on_floors == 0.0
    failures = {failure["faults"][0]: failure for failure in records.study(studied)["failures"]}
    assert "glass cracks" in failures[CRACK]["story"]


@pytest.mark.slow
def test_report_carries_its_faults_cautions_and_notes(studied: StudyResult) -> None:
    report = study_report(studied)
    page = render(report)
    assert CRACK in page
    assert f"{WORD}: {CAUTION}" in page
    assert f"{WORD}: {NOTE}" in page
    assert cautions.of_parts(studied.design, ["column"]) == (f"{WORD}: {CAUTION}",)


def test_page_of_kinds_and_sheet_of_symbols_hold_the_toy(repository: Path) -> None:
    spec = importlib.util.spec_from_file_location("kinds", repository / "docs" / "kinds.py")
    assert spec is not None
    assert spec.loader is not None
    docs = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(docs)
    page = docs.pages()[docs.file_name(KINDS[WORD])]
    for words in (f"# {WORD}", CAUTION, NOTE, "How deep the beads lie.", "glass cracks", KINDS[WORD].example):
        assert words in page
    assert KINDS[WORD].symbol in docs.symbols()
