"""Every single and every double fault of the two-tank example, cold and warm, and the page of it.

Cold: the kernel is compiled, and no run is kept from before. Warm: the same study again. Give `all` to have people at
home, asleep, out and travelling; without it, travelling and at home. This takes minutes, so it is a script of its own.
"""

from __future__ import annotations

import hashlib
import resource
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from _table import show

from dewpond.app import remembered
from dewpond.design.reader import read
from dewpond.report.page import render
from dewpond.report.views.study import study_report
from dewpond.study.drills import LENGTHS, WHO
from dewpond.study.outcome import StudyResult
from dewpond.study.study import run_study

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "two_tanks.yaml"
MEGABYTE = 1e6


def studied(who: tuple[tuple[str, float], ...]) -> tuple[StudyResult, float]:
    """The study on two processes, and its wall time [s]."""
    start = time.perf_counter()
    result = run_study(read(EXAMPLE), who=who, workers=2, memory=remembered.Remembered())
    return result, time.perf_counter() - start


def rows_of(result: StudyResult, spent: float) -> list[tuple[str, str]]:
    """Work and cost of one study; the work is asserted."""
    counts = result.counts
    pairs = sum(len(o.faults) == 2 for o in result.failures)
    beats = sum(len(o.beats) for o in result.failures)
    assert result.finished
    assert counts.made + counts.copied == counts.planned
    assert pairs > 10_000 * len(result.who)
    return [
        ("wall time", f"{spent:.1f} s (aim 5 s warm)"),
        ("runs", f"{counts.planned}, of them {counts.copied} copied from a fault alone"),
        ("of two faults", str(pairs)),
        ("lines told", str(beats)),
    ]


def digest(result: StudyResult) -> str:
    """Changes with any outcome: two results need not be held at a time to be compared."""
    whole = hashlib.sha256()
    for outcome in result.failures:
        of_a_set = sorted(outcome.idle)  # in no order of its own
        whole.update(repr((replace(outcome, idle=frozenset()), of_a_set)).encode())
    return whole.hexdigest()


def main() -> None:
    who = tuple(LENGTHS.items()) if "all" in sys.argv[1:] else WHO
    with tempfile.TemporaryDirectory() as folder:
        remembered.runs_folder = lambda: Path(folder) / "runs"
        cold, spent = studied(who)
        used = sum(sum(resource.getrusage(whose)[:2]) for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
        rows = [*rows_of(cold, spent), ("processor time", f"{used:.0f} s, compiling included")]
        show(f"bench_pairs: {len(who)} places to be, cold", rows)
        first = digest(cold)
        del cold
        warm, spent = studied(who)
        assert digest(warm) == first
        studying = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        kept = sum(path.stat().st_size for path in (Path(folder) / "runs").iterdir())
    start = time.perf_counter()
    page = render(study_report(warm))
    drawn = time.perf_counter() - start
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    workers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    show(
        f"bench_pairs: {len(who)} places to be, warm",
        [
            *rows_of(warm, spent),
            ("kept on the disk", f"{kept / MEGABYTE:.1f} MB"),
            ("page", f"{drawn:.1f} s, {len(page.encode()) / MEGABYTE:.2f} MB (aim 10 s in all, 1.5 MB)"),
            ("memory", f"{own:.0f} MB here with the page drawn (aim 500 MB), {studying:.0f} MB before"),
            ("in a worker", f"{workers:.0f} MB at most"),
        ],
    )


if __name__ == "__main__":
    main()
