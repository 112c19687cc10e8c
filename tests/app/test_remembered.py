"""What a study keeps of its runs: the same answers sooner, and nothing that a damaged or strange file can spoil."""

import os
import pickle
import subprocess
import sys
import zlib
from collections.abc import Iterator, Sequence
from hashlib import sha256
from pathlib import Path

import pytest

from dewpond.app import remembered
from dewpond.app.remembered import Remembered
from dewpond.design.model import Design
from dewpond.design.reader import read
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from dewpond.study import drills
from dewpond.study import memory as kept_by
from dewpond.study.drills import Drill
from dewpond.study.memory import key_of, remembering
from dewpond.study.outcome import Outcome
from dewpond.study.study import run_drill
from dewpond.study.workers import one_by_one

SHORT = (("travelling", DAY / 12.0),)


@pytest.fixture(scope="module")
def design(repository: Path) -> Design:
    return read(repository / "tests" / "study" / "small.yaml")


@pytest.fixture(scope="module")
def plant(design: Design) -> Plant:
    return lower(design, "winter")


@pytest.fixture
def memory(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Remembered:
    monkeypatch.setattr(remembered, "runs_folder", lambda: tmp_path / "runs")
    return Remembered()


class Counting:
    """Makes runs, and counts them."""

    def __init__(self) -> None:
        self.made = 0

    def __call__(self, plant: Plant, wanted: Sequence[Drill]) -> Iterator[Outcome]:
        for outcome in one_by_one(run_drill, compiled=True)(plant, wanted):
            self.made += 1
            yield outcome


def test_what_was_made_is_not_made_again_and_is_the_same(plant: Plant, memory: Remembered) -> None:
    wanted = drills.singles(plant, SHORT)[:9]
    run = Counting()
    first = list(remembering(run, memory)(plant, wanted[:6]))
    assert run.made == 6
    again = list(remembering(run, Remembered())(plant, wanted))
    assert run.made == 9
    assert again[:6] == first
    assert list(one_by_one(run_drill, compiled=True)(plant, wanted)) == again
    list(remembering(run, Remembered(recall=False))(plant, wanted))
    assert run.made == 18


def test_what_a_stopped_study_made_is_kept(plant: Plant, memory: Remembered, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(kept_by, "AT_A_TIME", 4)
    wanted = drills.singles(plant, SHORT)[:9]
    run = Counting()
    made = remembering(run, memory)(plant, wanted)
    for _ in range(6):
        next(made)
    made.close()  # as an interrupt does
    assert len(list(memory.recalled(key_of(plant)))) == 6
    assert len(list(memory.folder.iterdir())) == 2


def test_another_answer_season_or_program_is_another_key(
    repository: Path, plant: Plant, monkeypatch: pytest.MonkeyPatch, memory: Remembered
) -> None:
    house = read(repository / "examples" / "first_float.yaml")
    other = next(u for u in house.unknowns if any(v != u.taken for v in u.tried))
    value = next(v for v in other.tried if v != other.taken)
    changed = house.with_unknown(other.part, other.key, value)
    plants = [lower(house, "winter"), lower(house, "summer"), lower(changed, "winter")]
    assert len({key_of(p) for p in plants}) == 3
    assert key_of(lower(house, "winter")) == key_of(plants[0])
    list(remembering(Counting(), memory)(plant, drills.singles(plant, SHORT)[:2]))
    assert len(list(memory.recalled(key_of(plant)))) == 2
    monkeypatch.setattr(remembered, "code_key", lambda: "another")
    assert not list(Remembered().recalled(key_of(plant)))


KEY = """
import sys
from pathlib import Path
from dewpond.design.reader import read
from dewpond.plant import engine
from dewpond.plant.lower import lower
from dewpond.study import drills
from dewpond.study.memory import key_of
from dewpond.study.study import with_usual_notices

plant = lower(read(Path(sys.argv[1])))
scenario = drills.normal("travelling", 7200.0).scenario
print(key_of(with_usual_notices(plant, [engine.run(plant, scenario)])))
"""


@pytest.mark.slow
def test_another_process_has_the_same_key(repository: Path) -> None:
    """The order of a set differs from process to process: a key that holds one is never found again."""
    file = repository / "tests" / "study" / "small.yaml"
    keys = {
        subprocess.run(
            [sys.executable, "-c", KEY, str(file)],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(keys) == 1


class Strange:
    """Something that no study keeps; to take it up would run a command."""

    def __reduce__(self) -> tuple[object, tuple[str]]:
        return (print, ("taken up",))


@pytest.mark.parametrize("damage", ["cut", "turned", "strange", "empty", "no list", "no outcome", "pipe"])
def test_damaged_and_strange_files_are_left_out(
    damage: str, plant: Plant, memory: Remembered, capsys: pytest.CaptureFixture[str]
) -> None:
    wanted = drills.singles(plant, SHORT)[:3]
    first = list(remembering(Counting(), memory)(plant, wanted))
    (path,) = memory.folder.iterdir()
    whole = path.read_bytes()
    said = {"strange": Strange(), "no outcome": ((wanted[0], None),)}
    odd = zlib.compress(pickle.dumps(said.get(damage, 7)))
    if damage == "pipe":
        path.unlink()
        os.mkfifo(path)
        path = memory.folder / "elsewhere"
    path.write_bytes(
        {
            "cut": whole[:-10],
            "turned": whole[:50] + bytes([whole[50] ^ 1]) + whole[51:],
            "empty": b"",
        }.get(damage, sha256(odd).digest() + odd)
    )
    run = Counting()
    assert list(remembering(run, Remembered())(plant, wanted)) == first
    assert run.made == 3
    assert "taken up" not in capsys.readouterr().out


def test_the_oldest_are_forgotten_and_an_unwritable_folder_is_no_reason_to_stop(
    plant: Plant, memory: Remembered, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    wanted = drills.singles(plant, SHORT)[:3]
    list(remembering(Counting(), memory)(plant, wanted))
    (path,) = memory.folder.iterdir()
    monkeypatch.setattr(remembered, "MOST", int(1.5 * path.stat().st_size))
    list(remembering(Counting(), memory)(plant, drills.singles(plant, SHORT)[3:6]))
    assert {drill for drill, _ in Remembered().recalled(key_of(plant))} == set(drills.singles(plant, SHORT)[3:6])
    (tmp_path / "file").write_text("no folder")
    monkeypatch.setattr(remembered, "runs_folder", lambda: tmp_path / "file" / "runs")
    assert len(list(remembering(Counting(), Remembered())(plant, wanted))) == 3
