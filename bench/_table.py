"""What the benchmark scripts share: the best of several times, and a table of what was measured."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence


def best_of(count: int, act: Callable[[], object]) -> float:
    """Shortest wall time of some goes [s]: other work on the machine can only make a go longer."""
    times = []
    for _ in range(count):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return min(times)


def show(title: str, rows: Sequence[tuple[str, str]]) -> None:
    """A title and lines of name and figure."""
    width = max(len(name) for name, _ in rows)
    print(title)
    for name, figure in rows:
        print(f"  {name:<{width}}  {figure}")


def milliseconds(seconds: float) -> str:
    return f"{1000.0 * seconds:10.3f} ms"
