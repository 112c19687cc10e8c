"""The proof: every order of events with one, two and three faults, and how that grows with the parts of a house.

The example first, with its states counted and the most memory that the process held; then designs grown at random, 10,
20 and 40 parts, from three seeds, with two faults. Only the search is timed; runs of the engine that try what was found
are left out.
"""

from __future__ import annotations

import math
import resource
import sys
import time
from pathlib import Path

from _table import show

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # the grower of the tests is one level up

from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.plant.lower import lower
from dewpond.proof.proving import prove
from dewpond.proof.verdicts import UNFINISHED, Proof
from tests.plant.random_designs import random_design

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "two_tanks.yaml"
SIZES = (10, 20, 40)
SEEDS = (1, 2, 3)
CAP = 1_000_000


def proved(text: str, faults: int) -> tuple[float, Proof]:
    """Seconds, and what was found."""
    design = read_text(text, "proved.yaml")
    plant = lower(design)
    start = time.perf_counter()
    found = prove(design, plant, KINDS, faults, compiled=True, most_states=CAP, tried=False)
    return time.perf_counter() - start, found


def figure(seconds: float, found: Proof) -> str:
    open_ = sum(verdict.verdict == UNFINISHED for verdict in found.verdicts)
    return (
        f"{seconds:7.2f} s  {found.states:10,} states  {found.steps:11,} changes  {len(found.verdicts):4} answers, "
        f"{open_} not finished  {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0:5.0f} MB at most so far"
    )


def main() -> None:
    """Print both tables."""
    text = EXAMPLE.read_text("utf-8")
    proved(text, 0)  # the machine code is loaded
    rows = []
    for faults in (1, 2, 3):
        seconds, found = min((proved(text, faults) for _ in range(2)), key=lambda one: one[0])
        assert found.states > 10_000
        assert found.verdicts
        rows.append((f"{faults} failed", figure(seconds, found)))
    show(f"{read(EXAMPLE).title}, {len(read(EXAMPLE).parts)} parts", rows)
    grown = []
    for size in SIZES:
        several = [proved(random_design(seed, size).text(), 2) for seed in SEEDS]
        assert all(found.verdicts for _, found in several)
        grown.append((size, sum(seconds for seconds, _ in several), [found for _, found in several]))
    show(
        "Grown at random, two failed, three seeds together",
        [
            (f"{size} parts", f"{seconds:7.2f} s  {sum(found.states for found in several):10,} states")
            for size, seconds, several in grown
        ],
    )
    (first, low, _), (last, high, _) = grown[0], grown[-1]
    print(f"  exponent of the time over the parts: {math.log(high / low) / math.log(last / first):.2f}")


if __name__ == "__main__":
    main()
