"""Several processes: the same outcomes in the same order, and none outlives the one that started it."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from dewpond.study.workers import KILLED

# Stands in for a study: a drill is a number, the plant a word; at "sleep" a worker leaves its number and never ends.
SCRIPT = """
import os, signal, sys, time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from dewpond.app.stops import interrupt
from dewpond.study.workers import PORTION, several

def run(plant, drill, compiled):
    if plant == "sleep":
        Path(sys.argv[1], str(os.getpid())).touch()
        time.sleep(600)
    if plant == "dies" or (plant.startswith("dies once") and drill == 5):
        if not Path(sys.argv[1], "died").exists() or plant == "dies":
            Path(sys.argv[1], "died").touch()
            os.kill(os.getpid(), 9)
    return plant, drill, compiled

submit = ProcessPoolExecutor.submit

def slowly(pool, *given):
    handed_out = submit(pool, *given)
    time.sleep(0.5)
    return handed_out

if __name__ == "__main__":
    signal.signal(signal.SIGINT, interrupt)  # as the program has it: of two that come together the second is the first
    with several(run, True, 2) as many:
        drills = range(2 * PORTION + 1)
        left = many("left", drills)
        taken = [next(left) for _ in drills]  # nobody asks whether there are more
        if "slowly" in sys.argv[2]:  # it dies before all are handed out
            ProcessPoolExecutor.submit = slowly
        again = list(many(sys.argv[2], drills))
        wanted = [[(plant, drill, True) for drill in drills] for plant in ("left", sys.argv[2])]
        print([taken, again] == wanted)
"""
PATIENCE = 20.0  # [s]


def alive(number: int) -> bool:
    """True while a process runs; one that has ended but was not yet fetched by anybody does not."""
    try:
        state = Path(f"/proc/{number}/stat").read_text("utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in "ZX"


def started(folder: Path, plant: str, errors: int = subprocess.DEVNULL) -> subprocess.Popen[str]:
    script = folder / "script.py"
    script.write_text(SCRIPT, "utf-8")
    command = [sys.executable, str(script), str(folder), plant]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=errors, text=True, start_new_session=True)


@pytest.mark.slow
def test_outcomes_come_back_in_the_order_of_the_drills_to_who_asked_for_them(tmp_path: Path) -> None:
    out, _ = started(tmp_path, "quick").communicate(timeout=60)
    assert out == "True\n"


@pytest.mark.slow
@pytest.mark.parametrize("plant", ["dies once", "dies once, handed out slowly"])
def test_worker_that_is_killed_is_replaced(tmp_path: Path, plant: str) -> None:
    out, _ = started(tmp_path, plant).communicate(timeout=60)
    assert (tmp_path / "died").exists()
    assert out == "True\n"


@pytest.mark.slow
def test_workers_that_are_killed_again_and_again_end_it_in_words(tmp_path: Path) -> None:
    parent = started(tmp_path, "dies", subprocess.PIPE)
    _, told = parent.communicate(timeout=60)
    assert parent.returncode == 1
    assert f"DewpondError: {KILLED}" in told


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes as Linux shows them")
@pytest.mark.parametrize("how", ["SIGKILL", "SIGTERM", "SIGINT to all of them, and again"])
def test_workers_end_when_their_parent_is_killed_or_interrupted(tmp_path: Path, how: str) -> None:
    parent = started(tmp_path, "sleep")
    end = time.monotonic() + PATIENCE
    while len(workers := [int(path.name) for path in tmp_path.iterdir() if path.name.isdigit()]) < 2:
        assert time.monotonic() < end, "the workers did not begin"
        time.sleep(0.05)
    assert all(alive(worker) for worker in workers)
    if how.startswith("SIGINT"):  # as from a keyboard: an impatient one
        for _ in range(2):
            os.killpg(parent.pid, signal.SIGINT)
            time.sleep(0.05)
    else:
        os.kill(parent.pid, getattr(signal, how))
    parent.wait(PATIENCE)
    end = time.monotonic() + PATIENCE
    try:
        while any(alive(worker) for worker in workers):
            assert time.monotonic() < end, "a worker outlives its parent"
            time.sleep(0.05)
    finally:
        for worker in filter(alive, workers):
            os.kill(worker, signal.SIGKILL)
        assert parent.stdout is not None
        parent.stdout.close()
