"""The search twice, as the engine's kernel: interpreted for small questions, compiled by numba for all others.

``python -m dewpond.proof.search`` fills the folder of its machine code; set-up does so once.

Machine and work space lie end to end in one array of whole numbers; what is found keeps arrays of its own: they grow.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import accumulate, chain
from pathlib import Path

from dewpond.plant import flatten, primitives
from dewpond.plant.flatten import Layout
from dewpond.plant.machine_code import MachineCode
from dewpond.proof import kernel, tables
from dewpond.proof.kernel import keeping, walking
from dewpond.proof.tables import Found, Tables, Work

FLAT = Layout({"t": Tables, "w": Work}, "dewpond.proof.kernel", "I")


def _sources() -> list[Path]:
    return sorted(Path(str(kernel.__file__)).parent.glob("*.py"))


def _keyed_by() -> list[Path]:
    return [Path(str(module.__file__)) for module in (primitives, tables, flatten)]


def _flat(sources: Sequence[str]) -> str:
    return flatten.flat_source(sources, FLAT)


SEARCH = MachineCode("search", _sources, _keyed_by, _flat)


def walker(t: Tables, w: Work, compiled: bool) -> Callable[..., int]:
    """kernel.walking.walk for a machine; ``compiled`` chooses the way, never what is found."""
    if not compiled:
        return lambda *given: walking.walk(t, w, *given)
    import numpy as np

    lists = [*t, *w]
    lengths = [len(values) for values in lists]
    starts = list(accumulate(lengths, initial=0))[:-1]
    whole = np.array(list(chain.from_iterable(lists)), dtype=np.int64)
    offsets = np.array([*starts, *lengths], dtype=np.int64)
    floats = np.zeros(1)
    return lambda *given: SEARCH.call("walk", floats, whole, offsets, *given)


def place(old: Found, more: Found, compiled: bool) -> None:
    """See kernel.keeping.place."""
    if compiled:
        SEARCH.call("place", old, more)
    else:
        keeping.place(old, more)
