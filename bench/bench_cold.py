"""Whole processes from nothing: `dewpond --help`, and one drill of fourteen days on an example, with their memory.

Aims: help under 0.3 s, one drill under 1.5 s, under 400 MB. Shared machines move these times by a factor of two.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

from _table import show

ROOT = Path(__file__).resolve().parent.parent
COMMAND = Path(sys.executable).with_name("dewpond")
FAULT = "float: stuck open"
DRILL = ("drill", "examples/first_float.yaml", "--fault", FAULT, "--who", "travelling", "--for", "14d")
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
    show("bench_cold: whole processes, cold", rows)


if __name__ == "__main__":
    main()
