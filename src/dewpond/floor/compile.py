"""The kernel of the floor twice, as the engine's: interpreted, and compiled by numba.

``python -m dewpond.floor.compile`` fills the folder of its machine code; set-up does so once.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from dewpond.floor import cells, kernel
from dewpond.floor.cells import Cells, Work, level_floor, work_space
from dewpond.floor.kernel import spreading
from dewpond.plant import flatten
from dewpond.plant.flatten import Layout
from dewpond.plant.machine_code import MachineCode

AS_IT_IS = Layout({}, "dewpond.floor.kernel", "F")  # arrays are handed on as they stand


def _sources() -> list[Path]:
    return sorted(Path(str(kernel.__file__)).parent.glob("*.py"))


def _keyed_by() -> list[Path]:
    return [Path(str(module.__file__)) for module in (cells, flatten)]


def _flat(sources: Sequence[str]) -> str:
    return flatten.flat_source(sources, AS_IT_IS)


SPREAD = MachineCode("floor", _sources, _keyed_by, _flat)


def spread(g: Cells, x: Work, leak: int, most: float, compiled: bool = True) -> int:
    """See kernel.spreading.spread; ``compiled`` chooses the way, never the bytes."""
    if compiled:
        return SPREAD.call("spread", g, x, int(leak), float(most))
    lists = [values.tolist() for values in x]
    slow = g._replace(**{name: values.tolist() for name, values in g._asdict().items() if name != "columns"})
    count: Any = spreading.spread(slow, Work(*lists), leak, most)
    for values, made in zip(x, lists, strict=True):
        values[:] = made
    return int(count)


def warm() -> None:
    """Compile everything once, on the smallest floor there is."""
    floor = level_floor(0.02, 2, 2, 2.7e-3)
    found = floor.cells()
    spread(found, work_space(found), floor.number(0, 0), 1.0)


if __name__ == "__main__":
    warm()
