"""What ordinary days show of a tank while it is supplied, and what ended that in the days as the file begins them."""

from __future__ import annotations

from dataclasses import replace

from dewpond.plant import engine
from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Event, Trace
from dewpond.study.counters import counters, is_reached
from dewpond.study.full import full_level
from dewpond.study.ordinary import ordinary
from dewpond.study.year.exchange import exchanges, lasting
from dewpond.study.year.model import Trip

NEVER_REACHED = 1e9  # litres that no count comes to [m3]
TOO_SOON = 3600.0  # what goes wrong before says nothing of a day [s]
RUNS_SHORT = ("harm", "trip")  # kinds of words; see ``Lowering.say``
LESS = 0.9  # of what is needed, from which it is taken as what is needed; our prior


def supplied(plant: Plant, days: Trace) -> Trace:
    """Ordinary days in which what a tank needs is there: every vessel full at their beginning, nothing that counts
    water shutting it off, and no longer than new water lasts and nothing runs short. ``days``: as the file begins."""
    lifted = _lifted(plant, days)
    run = days if lifted is plant else engine.run(lifted, ordinary(lifted, days.scenario.horizon), compiled=None)
    end = min(lasting(lifted, run), _until(lifted, run))
    return run if end >= run.end else engine.run(lifted, ordinary(lifted, end), compiled=None)


def _lifted(plant: Plant, days: Trace) -> Plant:
    """The plant without the counts that were reached, and with its reservoirs full; itself where that is the same."""
    a = plant.arrays
    marks, start = list(a.thr_on), list(a.store_start)
    reached = {one.edge for one in counters(plant) if one.acts and is_reached(one, days)}
    for mark, kind in enumerate(a.thr_kind):
        if kind == prim.T_COUNTER and a.cnt_edge[a.thr_ref[mark]] in reached:
            marks[mark] = NEVER_REACHED
    for store in range(plant.vessels):
        start[store] = max(start[store], float(volume_of(a, store, full_level(plant, store))))
    if marks == list(a.thr_on) and start == list(a.store_start):
        return plant
    return replace(plant, arrays=a._replace(thr_on=marks, store_start=start))


def _until(plant: Plant, days: Trace) -> float:
    """Before anything that a tank hangs on ran short or tripped [s]: whole days, if it is more than one."""
    parts = {one.part for one in exchanges(plant, days)}  # when these run short is asked of ``lasting``
    first = min(
        (e.time for e in days.events if e.time > TOO_SOON and _says(plant, e, RUNS_SHORT, parts)), default=days.end
    )
    return first - first % DAY if DAY <= first < days.end else first


def _says(plant: Plant, event: Event, kinds: tuple[str, ...], but: set[str]) -> bool:
    say = plant.says.get(event.ref) if event.code == prim.E_SIGNAL else None
    return say is not None and say.kind in kinds and say.part not in but and (event.value > 0.0) == say.when


def trip_of(plant: Plant, days: Trace, needs: float) -> Trip | None:
    """What shut off in ordinary days, if they brought less of what a tank ``needs`` [m3/s] afterwards: the first."""
    event = next((e for e in days.events if _says(plant, e, ("trip",), set()) and _shuts_off(plant, e.ref)), None)
    if event is None:
        return None
    say = plant.says[event.ref]
    half = engine.run(plant, ordinary(plant, 0.5 * days.end), compiled=None)
    edges = [edge for _, edge in plant.membranes]
    late = sum(max(days.moved[edge] - half.moved[edge], 0.0) for edge in edges) / (0.5 * days.end)
    if late >= LESS * needs:
        return None
    return Trip(plant.season, say.part, say.true if say.when else say.false, event.time, late)


def _shuts_off(plant: Plant, signal: int) -> bool:
    """Whether something hangs on a signal that draws from no vessel: it lies on the way to them."""
    a, gates = plant.arrays, plant.hanging((signal,))
    return any(g in gates and a.node_kind[a.edge_a[edge]] != prim.TAP for edge, g in enumerate(a.edge_gate))
