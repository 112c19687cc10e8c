"""The kernel twice: interpreted for single questions, compiled by numba for many.

``python -m dewpond.plant.compile`` fills the folder of its machine code; set-up does so once.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from pathlib import Path
from typing import Any, NamedTuple, cast

from dewpond.plant import flatten, kernel, primitives
from dewpond.plant.flatten import PLANT
from dewpond.plant.kernel.run import run as run_plain
from dewpond.plant.machine_code import MachineCode
from dewpond.plant.primitives import Arrays, State

EVENT_ROOM = 40_000
MOST_LAYOUTS = 64
_layouts: dict[tuple[Any, ...], _Layout] = {}


def kernel_files() -> list[Path]:
    """The files whose functions are compiled, by name."""
    return sorted(Path(str(kernel.__file__)).parent.glob("*.py"))


def _keyed_by() -> list[Path]:
    return [Path(str(m.__file__)) for m in (primitives, flatten)]


def _flat(sources: Sequence[str]) -> str:
    return flatten.flat_source(sources, PLANT)


KERNEL = MachineCode("kernel", kernel_files, _keyed_by, _flat)


class _Layout(NamedTuple):
    """Where the lists of plant and state stand in the two flat arrays: how long those are, begin and length of each
    list as the kernel reads them, and the slices of the state."""

    floats: int
    ints: int
    table: Any
    slices: tuple[slice, ...]


def _layout(a: Arrays, parts: int, rows: int) -> _Layout:
    """The layout for a plant; worked out once for all plants of one shape."""
    shape = (parts, rows, *_lengths(a), tuple(a.isl_node_at), tuple(a.isl_store_at))
    known = _layouts.get(shape)
    if known is None:
        known = _laid_out(a, parts, rows)
        if len(_layouts) >= MOST_LAYOUTS:
            _layouts.clear()
        _layouts[shape] = known
    return known


def _lengths(a: Arrays) -> list[int]:
    return [len(values) for values in cast("list[list[float]]", list(a))]


def _laid_out(a: Arrays, parts: int, rows: int) -> _Layout:
    import numpy as np

    sizes = state_sizes(a, parts, rows)
    lengths = [*_lengths(a), *(sizes[name] for name in State._fields)]
    starts = []
    total = [0, 0]  # of floats and of integers
    for is_int, length in zip(PLANT.is_int, lengths, strict=True):
        starts.append(total[is_int])
        total[is_int] += length
    slices = tuple(slice(starts[k], starts[k] + lengths[k]) for k in range(len(a), len(lengths)))
    return _Layout(max(total[0], 1), max(total[1], 1), np.array(starts + lengths, dtype=np.int64), slices)


def run_flat(a: Arrays, parts: int, end: float, most_steps: int, rows: int, row_step: float) -> State:
    """Run the compiled kernel on flat copies and a fresh state; returns the state as numpy arrays."""
    import numpy as np

    layout = _layout(a, parts, rows)
    f = np.zeros(layout.floats, dtype=np.float64)
    i = np.zeros(layout.ints, dtype=np.int64)
    given = cast("list[list[float]]", list(a))
    kinds = PLANT.is_int[: len(given)]
    floats = list(chain.from_iterable(values for values, is_int in zip(given, kinds, strict=True) if not is_int))
    ints = list(chain.from_iterable(values for values, is_int in zip(given, kinds, strict=True) if is_int))
    f[: len(floats)] = floats
    i[: len(ints)] = ints
    views: list[Any] = [
        (i if is_int else f)[where] for is_int, where in zip(PLANT.is_int[len(given) :], layout.slices, strict=True)
    ]
    state = State(*views)
    state.clock[primitives.C_ROW_STEP] = row_step
    KERNEL.call("run", f, i, layout.table, end, most_steps)
    return state


def state_sizes(a: Arrays, parts: int, rows: int) -> dict[str, int]:
    """Length of every list of the state for a plant with so many ``parts`` and room for so many chart ``rows``."""
    n_node, n_edge, n_gate = len(a.node_kind), len(a.edge_a), len(a.gate_kind)
    n_store, n_body, n_place = len(a.store_z), len(a.body_start), len(a.place_cap)
    n_thr, n_sig, n_fault, n_isl = len(a.thr_kind), len(a.sig_op), len(a.fault_time), len(a.isl_edge_at) - 1
    unknowns = max(
        [(a.isl_node_at[i + 1] - a.isl_node_at[i]) + (a.isl_store_at[i + 1] - a.isl_store_at[i]) for i in range(n_isl)],
        default=0,
    )
    return {
        "clock": 20, "cup": 9, "cut": n_edge, "pool_late": n_place,
        "moved": n_edge, "volume": n_store, "flow": n_edge, "move": n_edge, "pressure": n_node,
        "spring": n_node, "bit": n_gate, "opening": n_gate, "low": n_gate, "high": n_gate, "scale": n_edge,
        "source": n_node, "passage": n_edge, "cap": n_place, "at_rim": n_store, "pool": n_place, "pool_salt": n_place,
        "pool_full": n_place, "pool_in": n_place, "thr_bit": n_thr, "signal": n_sig, "due": n_sig, "force": n_sig,
        "counter": len(a.cnt_edge), "salt": n_body, "conc": n_node, "sliding": n_isl, "starts": n_gate,
        "fault_on": n_fault, "fault_due": n_fault, "asked": parts, "seen": n_sig, "meant": n_sig, "least": n_gate,
        "ordinary": n_sig, "most": n_gate, "driven": n_gate, "total": 9, "place_total": n_place,
        "place_over": n_place, "place_taken": n_place,
        "low_conc": n_body, "high_conc": n_body, "spill": n_store, "spring_salt": n_node,
        "event_time": EVENT_ROOM, "event_code": EVENT_ROOM, "event_ref": EVENT_ROOM, "event_value": EVENT_ROOM,
        "row_time": rows, "row_value": rows * (n_store + n_place), "unknown": n_node, "matrix": unknowns * unknowns,
        "rhs": unknowns,
        "col": unknowns, "net": n_store, "net_before": n_store, "live": n_store, "try_flow": n_edge,
        "open_edge": n_edge, "lin_y": n_edge, "lin_w": n_edge, "lin_c": n_edge, "lin_u": n_edge, "open_flow": n_edge,
        "shut_flow": n_edge, "early_flow": n_edge, "last_spring": n_node, "open_pressure": n_node,
        "own_spring": n_node,
        "q_start": n_edge, "end_flow": n_edge, "end_pressure": n_node, "kept": n_store, "kept_spring": n_node,
        "solved_at": len(a.isl_store), "held": n_isl, "net_mid": n_store, "evenly": n_isl, "slid": n_isl,
        "stale": n_isl, "was_open": n_gate, "turned": n_gate, "dwell": n_gate, "flutter": n_gate, "rate": n_store,
        "rate0": n_store, "rate_first": n_store, "busy": n_isl, "starts_rate": n_isl, "body_conc": n_body,
        "body_next": n_body, "body_full": n_body, "body_v0": n_body, "body_v1": n_body, "body_in": n_body,
        "body_out": n_body, "pool_rate": n_place, "pool_salt_in": n_place,
        "vin": n_store, "vout": n_store, "level_p": n_store,
    }  # fmt: skip


def fresh_state(a: Arrays, parts: int, rows: int = 0, row_step: float = 0.0) -> State:
    """An empty state for a plant, as plain lists. ``rows``: room for chart rows, at least ``row_step`` [s] apart."""
    sizes = state_sizes(a, parts, rows)
    whole = PLANT.is_int[len(a) :]
    fields: list[list[Any]] = [
        [0 if is_int else 0.0] * sizes[name] for name, is_int in zip(State._fields, whole, strict=True)
    ]
    state = State(*fields)
    state.clock[primitives.C_ROW_STEP] = row_step
    return state


def run_once(
    a: Arrays, parts: int, end: float, *, most_steps: int = 200_000, rows: int = 0, compiled: bool = False
) -> State:
    """One run from a fresh state; ``compiled`` chooses the way, never the bytes."""
    row_step = end / rows if rows else 0.0
    if compiled:
        return run_flat(a, parts, float(end), most_steps, rows, row_step)
    state = fresh_state(a, parts, rows, row_step)
    run_plain(a, state, float(end), most_steps)
    return state


def warm() -> None:
    """Compile everything once, on the smallest plant there is."""
    from dewpond.plant.build import Net

    net = Net()
    net.bodies.append(0.0)
    net.stores.append((0.0, 0.1, 0, primitives.R_DRAIN, 0, 0.01, -1))
    net.tables.append(((0.0, 1.0), (0.0, 0.1)))
    net.places.append((1.0, primitives.R_DRAIN, 0, 1e5, 1e30, -1))
    supply = net.node(primitives.FIXED, 0.0, value=1e5)
    net.edge(supply, net.node(primitives.SPOUT, 1.2, ref=0), primitives.ORIFICE, p=(1e12,))
    arrays = net.arrays((998.0, 9.80665, 1e-6, 1.0, 120.0, 86400.0, 1e-3))
    run_once(arrays, 1, 10.0, compiled=True)


if __name__ == "__main__":
    warm()
