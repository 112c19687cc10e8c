"""`dewpond matrix`: what it prints and writes, and what it leaves alone."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.errors import FINE, WRONG_USE

FIRST, TWO = "examples/first_float.yaml", "examples/two_tanks.yaml"
NAMES = {"matrix.csv", "settings.csv", "truth_table.csv", "vectors.csv", "logic.st", "walk.txt"}
Dewpond = Callable[..., tuple[int, str, str]]


def test_sheet_is_printed(dewpond: Dewpond) -> None:
    code, out, err = dewpond("matrix", TWO)
    assert (code, err) == (FINE, "")
    assert "1  tray probe wet or study probe wet or shaft probe wet, for 5 s" in out


@pytest.mark.parametrize("file", [FIRST, pytest.param(TWO, marks=pytest.mark.slow)])
def test_json_is_one_document(dewpond: Dewpond, file: str) -> None:
    code, out, _ = dewpond("matrix", file, "--json")
    assert code == FINE
    assert json.loads(out)["schema"] == "dewpond.matrix/1"


@pytest.mark.slow
def test_files_go_into_a_folder_that_is_made_and_may_be_written_again(dewpond: Dewpond, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    assert dewpond("matrix", FIRST, "--into", str(folder))[0] == FINE
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert set(before) == NAMES
    assert dewpond("matrix", TWO, "--into", str(folder))[0] == FINE
    after = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert set(after) == NAMES
    assert all(after[name] != before[name] for name in NAMES)


@pytest.mark.parametrize("name", sorted(NAMES))
def test_a_file_of_somebody_else_stays_and_nothing_is_written(dewpond: Dewpond, tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine")
    code, out, err = dewpond("matrix", TWO, "--into", str(tmp_path))
    assert (code, out) == (WRONG_USE, "")
    assert f"{name} is there already" in err
    assert "Traceback" not in err
    assert [path.name for path in tmp_path.iterdir() if path.name in NAMES] == [name]
    assert (tmp_path / name).read_text() == "mine"


def test_a_folder_that_cannot_be_made_is_said_in_words(dewpond: Dewpond, tmp_path: Path) -> None:
    code, _, err = dewpond("matrix", TWO, "--into", str(tmp_path / "no" / "out"))
    assert (code, "does not exist" in err) == (WRONG_USE, True)
    (tmp_path / "file").write_text("mine")
    code, _, err = dewpond("matrix", TWO, "--into", str(tmp_path / "file"))
    assert (code, "no folder" in err) == (WRONG_USE, True)
    code, _, err = dewpond("matrix", TWO, "--into", str(tmp_path / ("x" * 300)))
    assert code == WRONG_USE
    assert "Traceback" not in err


def test_page_is_written_and_the_design_never(dewpond: Dewpond, tmp_path: Path) -> None:
    page = tmp_path / "sheet.html"
    assert dewpond("matrix", TWO, "--page", str(page))[0] == FINE
    assert page.read_text("utf-8").lower().startswith("<!doctype html")
    assert dewpond("matrix", TWO, "--page", TWO)[0] == WRONG_USE


@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_a_file_with_an_error_is_refused(dewpond: Dewpond, as_json: tuple[str, ...]) -> None:
    code, out, err = dewpond("matrix", "tests/bad_designs/order_unknown.yaml", *as_json)
    assert code == WRONG_USE
    assert "D108" in (out if as_json else err)
