"""The pages that scripts write from the code say what the code says today."""

import importlib.util
from pathlib import Path
from types import ModuleType
from xml.etree import ElementTree

import pytest

from dewpond.parts import KINDS


@pytest.fixture(scope="module")
def kinds(repository: Path) -> ModuleType:
    """The script that writes the page of kinds."""
    spec = importlib.util.spec_from_file_location("kinds", repository / "docs" / "kinds.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_page_of_kinds_is_what_the_kinds_declare(kinds: ModuleType, repository: Path) -> None:
    assert (repository / "docs" / "kinds.md").read_text("utf-8") == kinds.page()
    assert (repository / "docs" / "kinds.svg").read_text("utf-8") == kinds.symbols()


def test_page_of_kinds_tells_every_key_fault_and_caution(kinds: ModuleType) -> None:
    sections = dict(zip(KINDS, kinds.page().split("\n## ")[1:], strict=True))
    for word, kind in KINDS.items():
        assert sections[word].startswith(f"{word}\n")
        for param in kind.params:
            assert f"| `{param.key}` | {param.help}" in sections[word]
        for fault in kind.faults:
            assert f"| {fault.name} | {fault.what} | {fault.reveals} |" in sections[word]
        for text in (*kind.cautions, *kind.notes):
            assert f"- {text}" in sections[word]


def test_sheet_of_symbols_is_a_drawing_with_every_word(kinds: ModuleType) -> None:
    drawing = ElementTree.fromstring(kinds.symbols())
    assert {mark.text for mark in drawing.iter("{http://www.w3.org/2000/svg}text")} >= set(KINDS)


@pytest.mark.parametrize(
    ("days", "told"), [(1, "day"), (14, "14 days"), (30, "month"), (180, "6 months"), (365, "year"), (730, "2 years"),
                       (0.5, "0.5 days")],
)  # fmt: skip
def test_span_is_told_in_the_largest_unit_that_goes_into_it(kinds: ModuleType, days: float, told: str) -> None:
    assert kinds.span(days * 86400.0) == told
