"""Files that belong together: written all or none, whatever fails, and whenever."""

import errno
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from dewpond.app import work
from dewpond.errors import FINE, WRONG_USE, UsageError

FIRST = "examples/first_float.yaml"
NEW = {f"{number}.csv": f"new {number}" for number in range(6)}
ACTS = ("write_text", "replace", "copy2")  # a text into a new file, a file into its place, an old one kept meanwhile
Dewpond = Callable[..., tuple[int, str, str]]


def held(folder: Path) -> dict[str, str]:
    """All that lies in a folder, hidden files too."""
    return {path.name: path.read_text("utf-8") for path in folder.iterdir()}


def fail_at(monkeypatch: pytest.MonkeyPatch, act: str, number: int, error: BaseException) -> list[int]:
    """The n-th act of a sort fails, once; gives how many there were."""
    room = shutil if act == "copy2" else Path
    real, calls = getattr(room, act), [0]

    def acts(*words: object, **named: object) -> object:
        calls[0] += 1
        if calls[0] == number + 1:
            raise error
        return real(*words, **named)

    monkeypatch.setattr(room, act, acts)
    return calls


@pytest.mark.parametrize("there", [0, 3, 6])
@pytest.mark.parametrize("number", range(6))
@pytest.mark.parametrize("act", ACTS)
def test_nothing_has_changed_when_a_file_cannot_be_written(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, act: str, number: int, there: int
) -> None:
    before = {name: f"old {name}" for name in list(NEW)[:there]} | {"mine.txt": "mine"}
    for name, text in before.items():
        (tmp_path / name).write_text(text, "utf-8")
    calls = fail_at(monkeypatch, act, number, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
    if act == "copy2" and number >= there:  # so many are not kept
        work.write_into(str(tmp_path), NEW)
        assert held(tmp_path) == {"mine.txt": "mine", **NEW}
        return
    with pytest.raises(UsageError) as refused:
        work.write_into(str(tmp_path), NEW)
    assert held(tmp_path) == before
    assert calls[0] > number
    said = str(refused.value)
    assert f"cannot be written: No space left on device. No file of {work.short(str(tmp_path))} was changed." in said


@pytest.mark.parametrize("number", range(6))
@pytest.mark.parametrize("act", ["write_text", "replace"])
def test_a_folder_that_was_made_is_gone_again_when_one_is_stopped(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, act: str, number: int
) -> None:
    fail_at(monkeypatch, act, number, KeyboardInterrupt())
    with pytest.raises(KeyboardInterrupt):
        work.write_into(str(tmp_path / "out"), NEW)
    assert list(tmp_path.iterdir()) == []


def test_what_cannot_be_put_back_is_kept_and_said_where(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """As when a disk is taken out: from the third file on nothing can be moved any more."""
    for name in NEW:
        (tmp_path / name).write_text(f"old {name}", "utf-8")
    real, calls = Path.replace, [0]

    def replace(path: Path, target: Path) -> Path:
        calls[0] += 1
        if calls[0] > 2:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(path, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(UsageError) as refused:
        work.write_into(str(tmp_path), NEW)
    kept = {path for path in tmp_path.iterdir() if path.suffix == ".old"}
    assert {path.read_text("utf-8") for path in kept} >= {"old 0.csv", "old 1.csv"}
    assert all(str(path) in str(refused.value) for path in kept)


def test_command_says_it_in_words(dewpond: Dewpond, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    with monkeypatch.context() as patched:
        fail_at(patched, "replace", 4, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
        code, out, err = dewpond("matrix", FIRST, "--into", str(folder))
    assert (code, out) == (WRONG_USE, "")
    assert "No space left on device" in err
    assert "Traceback" not in err
    assert not folder.exists()
    assert dewpond("matrix", FIRST, "--into", str(folder))[0] == FINE


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="nothing is forbidden to the super-user")
@pytest.mark.parametrize("there", [False, True])
def test_a_folder_that_may_only_be_read_is_told(dewpond: Dewpond, tmp_path: Path, there: bool) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    if there:
        assert dewpond("matrix", FIRST, "--into", str(folder))[0] == FINE
    before = held(folder)
    folder.chmod(0o500)
    code, out, err = dewpond("matrix", FIRST, "--into", str(folder))
    folder.chmod(0o700)
    assert (code, out, held(folder)) == (WRONG_USE, "", before)
    assert "ermission denied" in err
