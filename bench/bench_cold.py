"""Whole processes from nothing: `dewpond --help`, a drill of fourteen days and a study of single faults, with memory.

Aims: help under 0.3 s, one drill under 1.5 s, under 400 MB. Shared machines move these times by a factor of two.
Memory is the largest resident set of a process; where a study starts others, that of the largest of them all.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from _table import show

from dewpond.design.reader import read
from dewpond.plant.lower import lower
from dewpond.study.drills import WHO

ROOT = Path(__file__).resolve().parent.parent
COMMAND = Path(sys.executable).with_name("dewpond")
FAULT = "float: stuck open"
DRILL = ("drill", "examples/first_float.yaml", "--fault", FAULT, "--who", "travelling", "--for", "14d")
STUDY = ("study", "examples/first_float.yaml", "--singles", "--json")
GOES = 5


def whole_process(*words: str) -> tuple[float, float, str]:
    """Wall time [s], peak memory [MB] and what was printed, of one process."""
    start = time.perf_counter()
    with subprocess.Popen([COMMAND, *words], cwd=ROOT, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        text = process.stdout.read()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode in (0, 1), f"{words} ended with {process.returncode}"
    return time.perf_counter() - start, used.ru_maxrss / 1024.0, text


def study() -> list[tuple[str, str]]:
    """A study of every fault alone, once: it takes long, and its memory hardly moves."""
    plant = lower(read(ROOT / STUDY[1]))
    seconds, memory, text = whole_process(*STUDY)
    told = json.loads(text)
    assert told["finished"]
    assert len(told["failures"]) == len(WHO) * len(plant.faults) > 100
    assert told["runs"]["made_count"] >= len(told["failures"])
    work = f"{told['runs']['made_count']} runs, {len(told['failures'])} told of, {len(text) / 1e6:.1f} MB of JSON"
    return [("dewpond study --singles", f"{seconds:.1f} s, {memory:.0f} MB (aim 400)"), ("work of the study", work)]


def main() -> None:
    rows = []
    for name, words, aim in (("--help", ("--help",), 0.3), ("drill", DRILL, 1.5)):
        goes = [whole_process(*words) for _ in range(GOES)]
        times, memory = sorted(t for t, _, _ in goes), max(m for _, m, _ in goes)
        figure = f"best {times[0]:.2f} s, middle {times[GOES // 2]:.2f} s (aim {aim} s), {memory:.0f} MB (aim 400)"
        rows.append((f"dewpond {name}", figure))
        assert all(text for _, _, text in goes)
    _, _, text = whole_process(*DRILL, "--json")
    failure = json.loads(text)["failure"]
    assert failure["faults"] == [FAULT]
    assert failure["horizon_s"] == 14 * 86400.0
    assert failure["litres_on_floors"] > 100.0
    rows.append(("work of the drill", f"14 days, {failure['litres_on_floors']:.0f} L on floors"))
    rows += study()
    show("bench_cold: whole processes, cold", rows)


if __name__ == "__main__":
    main()
