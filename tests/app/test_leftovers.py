"""What the program leaves on a machine: folders of compiled kernels, and those no longer than they are of use."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from dewpond.plant import compile as ways

DAY = 86400.0
# Takes up the folder of the kernel here and in two workers, and tells which it is. Nothing is compiled.
SCRIPT = """
from dewpond.plant import compile as ways
from dewpond.study.workers import PORTION, several

def run(plant, drill, compiled):
    return ways.KERNEL.home() / "kernel_flat.py"

if __name__ == "__main__":
    here = run(None, None, True)
    with several(run, True, 2) as many:
        print(*{here, *many(None, range(4 * PORTION))}, sep="\\n")
"""


def former(base: Path, letter: str, days: float) -> Path:
    """A folder of a kernel that was last taken up so many days ago."""
    folder = base / "dewpond" / f"kernel-{letter * 16}"
    folder.mkdir(parents=True)
    (folder / "run.o").write_text("machine code")
    moment = folder.stat().st_mtime - days * DAY
    os.utime(folder, (moment, moment))
    return folder


@pytest.fixture
def base(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An empty cache."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


def test_new_kernel_throws_away_former_ones_that_are_neither_new_nor_in_use(base: Path) -> None:
    days = {"a": 40.0, "b": 0.5, "c": 30.0, "d": 0.2, "e": 2.0}
    folders = {letter: former(base, letter, age) for letter, age in days.items()}
    foreign = base / "dewpond" / "kernel-notes"
    foreign.mkdir()
    os.utime(foreign, (0.0, 0.0))
    ways.KERNEL.home()
    left = {letter for letter, folder in folders.items() if folder.exists()}
    assert left == {"b", "d"}  # with the new one: three
    assert foreign.exists()
    assert (ways.KERNEL.folder() / "kernel_flat.py").is_file()


@pytest.mark.slow
def test_former_kernels_in_use_stay_however_many_and_few_stay_however_old(base: Path) -> None:
    in_use = [former(base, letter, 0.1) for letter in "abcdef"]
    ways.KERNEL.home()
    assert all(folder.exists() for folder in in_use)


def test_two_former_kernels_stay_however_old(base: Path) -> None:
    old = [former(base, "a", 100.0), former(base, "b", 200.0)]
    ways.KERNEL.home()
    assert all(folder.exists() for folder in old)


@pytest.mark.slow
def test_kernel_that_is_taken_up_again_counts_as_in_use(base: Path) -> None:
    own = ways.KERNEL.folder()
    own.mkdir(parents=True)
    os.utime(own, (0.0, 0.0))
    others = [former(base, letter, 50.0) for letter in "abcd"]
    ways.KERNEL.home()
    assert own.stat().st_mtime > others[0].stat().st_mtime + 40 * DAY
    assert all(folder.exists() for folder in others)  # thrown away only when a new one is made


@pytest.mark.slow
def test_kernel_that_cannot_be_kept_is_shared_by_the_workers_and_gone_at_the_end(tmp_path: Path) -> None:
    blocked, room, script = tmp_path / "cache", tmp_path / "room", tmp_path / "script.py"
    blocked.write_text("not a folder")
    room.mkdir()
    script.write_text(SCRIPT, "utf-8")
    around = {**os.environ, "XDG_CACHE_HOME": str(blocked), "TMPDIR": str(room), "TEMP": str(room), "TMP": str(room)}
    done = subprocess.run(
        [sys.executable, str(script)], env=around, capture_output=True, text=True, timeout=120, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    (source,) = (Path(line) for line in done.stdout.splitlines())
    assert source.parent.parent == room
    assert source.parent.name.startswith("dewpond-kernel-")
    assert list(room.iterdir()) == []
