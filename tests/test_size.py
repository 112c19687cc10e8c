"""Files and functions stay small enough to be read at one sitting."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

FILE_LINES = 420
FUNCTION_LINES = 80
TEXT = {".py", ".html", ".typ", ".css", ".js"}


def sources(package: Path) -> list[Path]:
    """Every text file of the package."""
    return [path for path in sorted(package.rglob("*")) if path.suffix in TEXT]


def long_files(package: Path) -> list[str]:
    """Files above the limit, with their lines."""
    counted = {path: len(path.read_text(encoding="utf-8").splitlines()) for path in sources(package)}
    return [f"{path.relative_to(package)}: {lines}" for path, lines in counted.items() if lines > FILE_LINES]


def functions(package: Path) -> Iterator[tuple[str, int]]:
    """(file: name, lines from `def` to the end) of every function and method."""
    for path in sources(package):
        if path.suffix != ".py":
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                assert node.end_lineno is not None
                yield f"{path.relative_to(package)}: {node.name}", node.end_lineno - node.lineno + 1


def long_functions(package: Path) -> list[str]:
    """Functions above the limit, with their lines."""
    return [f"{name}: {lines}" for name, lines in functions(package) if lines > FUNCTION_LINES]


def test_no_file_is_too_long(package: Path) -> None:
    assert len(sources(package)) > 10
    assert long_files(package) == []


@pytest.mark.slow
def test_no_function_is_too_long(package: Path) -> None:
    assert sum(1 for _ in functions(package)) > 10
    assert long_functions(package) == []


def planted(lines: int) -> str:
    return "def f():\n" + "    x = 1\n" * (lines - 1)


def test_planted_long_file_and_function_are_found(tmp_path: Path) -> None:
    (tmp_path / "just.py").write_text(planted(FUNCTION_LINES))
    (tmp_path / "over.py").write_text(planted(FUNCTION_LINES + 1))
    (tmp_path / "page.css").write_text("\n" * (FILE_LINES + 1))
    assert long_files(tmp_path) == [f"page.css: {FILE_LINES + 1}"]
    assert long_functions(tmp_path) == [f"over.py: f: {FUNCTION_LINES + 1}"]
