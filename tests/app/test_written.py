"""Files that are written: pictures and pages, where, and what becomes of what stood there."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.app import work
from dewpond.errors import WRONG_USE, UsageError
from dewpond.plant.plant import Plant
from dewpond.study import study
from dewpond.study.drills import Drill
from dewpond.study.outcome import Outcome

STOPPED = 130
SMALL = "tests/study/small.yaml"
Dewpond = Callable[..., tuple[int, str, str]]


def test_study_does_not_begin_when_its_page_could_not_be_written(dewpond: Dewpond) -> None:
    code, _, err = dewpond("study", SMALL, "--page", "no/such/folder/page.html")
    assert code == WRONG_USE
    assert "The folder of no/such/folder/page.html does not exist." in err


def stopped_after(runs: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C comes after so many runs of faults."""
    real, left = study.run_drill, iter(range(runs))

    def run(plant: Plant, drill: Drill, compiled: bool) -> Outcome:
        if next(left, None) is None:
            raise KeyboardInterrupt
        return real(plant, drill, compiled)

    monkeypatch.setattr(study, "run_drill", run)


@pytest.mark.slow
def test_study_that_was_stopped_leaves_an_earlier_page_and_writes_beside_it(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    page, beside = tmp_path / "keep.html", tmp_path / "keep.part.html"
    page.write_text("<!doctype html>earlier", "utf-8")
    stopped_after(3, monkeypatch)
    code, out, err = dewpond("study", SMALL, "--singles", "--page", str(page))
    assert code == STOPPED
    assert page.read_text("utf-8") == "<!doctype html>earlier"
    assert "3 runs made" in " ".join(out.split())
    assert "3 runs made" in beside.read_text("utf-8")
    assert err == f"Stopped before its end; {page} stays as it was. What was finished is in {beside}\n"


def test_study_that_was_stopped_before_any_run_leaves_an_earlier_page_alone(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    page = tmp_path / "keep.html"
    page.write_text("<!doctype html>earlier", "utf-8")
    stopped_after(0, monkeypatch)
    code, _, err = dewpond("study", SMALL, "--singles", "--page", str(page))
    assert code == STOPPED
    assert [(path.name, path.read_text("utf-8")) for path in tmp_path.glob("*.html")] == [
        ("keep.html", "<!doctype html>earlier")
    ]
    assert err == f"Stopped before its first run was finished; {page} stays as it was.\n"


def test_study_that_was_stopped_writes_its_page_where_there_was_none(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    page = tmp_path / "new.html"
    stopped_after(2, monkeypatch)
    code, _, err = dewpond("study", SMALL, "--singles", "--page", str(page))
    assert (code, err) == (STOPPED, "")
    assert "2 runs made" in page.read_text("utf-8")
    assert not (tmp_path / "new.part.html").exists()


@pytest.mark.parametrize("words", [("drill", "--for", "1 h", "--picture"), ("study", "--singles", "--page")])
def test_design_is_never_written_over(dewpond: Dewpond, tmp_path: Path, words: tuple[str, ...]) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(Path(SMALL).read_text(encoding="utf-8"), encoding="utf-8")
    command, *rest = words
    code, _, err = dewpond(command, str(own), *rest, str(tmp_path / "." / "own.yaml"))
    assert code == WRONG_USE
    assert "is the design itself" in err
    assert own.read_text(encoding="utf-8") == Path(SMALL).read_text(encoding="utf-8")


@pytest.mark.parametrize("words", [("drill", "--picture"), ("study", "--page")])
def test_name_that_is_too_long_is_refused_before_the_work(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, words: tuple[str, str]
) -> None:
    from dewpond.plant import engine

    def must_not_run(*_: object, **__: object) -> None:
        raise AssertionError

    monkeypatch.setattr(engine, "run", must_not_run)
    command, option = words
    for name in ("b" * 300 + ".svg", "folder" * 60 + "/x.svg"):
        code, out, err = dewpond(command, SMALL, option, str(tmp_path / name))
        assert (code, out) == (WRONG_USE, "")
        assert "cannot be written: File name too long. Name another file." in err
        assert len(err) < 300


def test_name_as_long_as_names_can_be_is_written(tmp_path: Path) -> None:
    longest = "b" * (os.pathconf(tmp_path, "PC_NAME_MAX") if hasattr(os, "pathconf") else 200)
    work.write(str(tmp_path / longest), "whole")
    assert [(path.name, path.read_text("utf-8")) for path in tmp_path.iterdir()] == [(longest, "whole")]


def test_writing_that_is_stopped_leaves_the_old_file_and_no_other(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    page = tmp_path / "page.html"
    page.write_text("old", "utf-8")

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        work.write(str(page), "new")
    assert [(path.name, path.read_text("utf-8")) for path in tmp_path.iterdir()] == [("page.html", "old")]


@pytest.mark.slow
def test_study_whose_page_cannot_be_written_tells_what_it_found_all_the_same(
    dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def full(path: str, _text: str) -> None:
        raise UsageError(f"{path} cannot be written: no space left.", "Name another file.")

    monkeypatch.setattr(work, "write", full)
    code, out, err = dewpond("study", SMALL, "--singles", "--page", str(tmp_path / "page.html"))
    assert code == WRONG_USE
    assert "Each fault alone" in out
    assert "no space left" in err


@pytest.mark.parametrize("option", ["--page", "--picture"])
def test_file_that_is_no_page_or_picture_is_not_written_over(dewpond: Dewpond, tmp_path: Path, option: str) -> None:
    other = tmp_path / "other.yaml"
    other.write_text("format: 1", "utf-8")
    words = ("study", SMALL, "--singles") if option == "--page" else ("drill", SMALL)
    code, out, err = dewpond(*words, option, str(other))
    assert (code, out) == (WRONG_USE, "")
    assert err == f"{other} is there already, and no page or picture of ours. Name another file, or move that one.\n"
    assert other.read_text("utf-8") == "format: 1"


@pytest.mark.slow
def test_picture_takes_the_place_of_an_earlier_one(dewpond: Dewpond, tmp_path: Path) -> None:
    picture = tmp_path / "levels.svg"
    for before in ("", "<svg>earlier</svg>"):
        picture.write_text(before, "utf-8")
        code, _, _ = dewpond("drill", SMALL, "--picture", str(picture))
        assert code == 0
        assert "earlier" not in picture.read_text("utf-8")
