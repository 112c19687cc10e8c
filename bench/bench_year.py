"""A year from nothing, as a whole process, beside `dewpond --help` and `dewpond flows`; then the year alone.

Aim: under 1 s from nothing, machine code made before. The work is asserted: twelve months of whole days, whose product
is what evaporates.
"""

from __future__ import annotations

import json
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

from _table import best_of, milliseconds, show

from dewpond.design.reader import read
from dewpond.parts import KINDS
from dewpond.study.year.year import year

ROOT = Path(__file__).resolve().parent.parent
COMMAND = Path(sys.executable).with_name("dewpond")
EXAMPLE = "examples/two_tanks.yaml"
TODAY = date(2026, 11, 28).toordinal()
GOES = 5


def whole(*words: str) -> tuple[float, str]:
    """Wall time of one process [s], and what it printed."""
    start = time.perf_counter()
    done = subprocess.run([COMMAND, *words], cwd=ROOT, check=True, capture_output=True, text=True)
    return time.perf_counter() - start, done.stdout


def main() -> None:
    rows = []
    for words in (("year", EXAMPLE), ("flows", EXAMPLE), ("--help",)):
        goes = sorted(whole(*words)[0] for _ in range(GOES))
        rows.append((f"dewpond {words[0]}", f"best {goes[0]:.2f} s, middle {goes[GOES // 2]:.2f} s"))
    told = json.loads(whole("year", EXAMPLE, "--json")[1])
    days = [month["days"] for month in told["months"]]
    made = sum(month["product_middle_litres"] for month in told["months"])
    gone = sum(month["evaporation_a_day_middle_litres"] * month["days"] for month in told["months"])
    assert (len(days), sum(days)) == (12, 365)
    assert abs(made - gone) < 1e-3 * gone
    assert made > 1000.0
    design = read(ROOT / EXAMPLE)
    alone = best_of(GOES, lambda: year(design, KINDS, today=TODAY))
    rows.append(("the year alone, machine code loaded", milliseconds(alone)))
    rows.append(("work of a year", f"365 days, {made:.0f} L made, {len(told['dues'])} parts that are due"))
    show("bench_year: an ordinary year of two tanks", rows)


if __name__ == "__main__":
    main()
