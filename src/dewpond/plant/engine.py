"""Run a scenario on a plant and hand back its trace. The clock is the run's own: 0 s is the start."""

from __future__ import annotations

from dewpond.plant import compile as ways
from dewpond.plant import primitives as prim
from dewpond.plant.laying import lay
from dewpond.plant.onset import steadied
from dewpond.plant.plant import Plant, Scenario
from dewpond.plant.primitives import State
from dewpond.plant.trace import Event, Trace

MOST_STEPS = 150_000
FEW_STEPS = 2000  # interpreted, that is soon done beside making the machine code


def run(
    plant: Plant,
    scenario: Scenario,
    *,
    rows: int = 0,
    compiled: bool | None = False,
    tolerance: float = 1.0,
    most_steps: int = MOST_STEPS,
) -> Trace:
    """One run. ``rows``: room for chart rows; ``compiled`` chooses the way, never the bytes (None: by machine code,
    where that has to be made first as soon as a run takes many steps); ``tolerance`` scales how far a vessel's inflow
    may change within a step (1 is the default); after ``most_steps`` it is broken off."""
    if compiled is None and not ways.KERNEL.is_made():
        few = min(FEW_STEPS, most_steps)
        begun = run(plant, scenario, rows=rows, tolerance=tolerance, most_steps=few)
        if begun.steps < few:
            return begun
    arrays = lay(plant, scenario)
    if tolerance != 1.0:
        const = list(arrays.const)
        const[3] = tolerance
        arrays = arrays._replace(const=const)
    state = ways.run_once(
        arrays, len(plant.parts), scenario.horizon, most_steps=most_steps, rows=rows, compiled=compiled is not False
    )
    return read(plant, scenario, state, rows)


def read(plant: Plant, scenario: Scenario, state: State, rows: int) -> Trace:
    """The trace that a finished state holds."""
    count = min(int(state.clock[prim.C_EVENTS]), len(state.event_time))
    events = (
        Event(
            float(state.event_time[i]), int(state.event_code[i]), int(state.event_ref[i]), float(state.event_value[i])
        )
        for i in range(count)
    )
    kept = int(state.clock[prim.C_ROWS]) if rows else 0
    width = len(plant.stores) + len(plant.places)
    return Trace(
        scenario=scenario,
        events=steadied(events),
        events_lost=int(state.clock[prim.C_EVENTS]) - count,
        listed_until=float(state.clock[prim.C_UNLISTED]) or float("inf"),
        row_time=tuple(float(v) for v in state.row_time[:kept]),
        row_value=tuple(tuple(float(v) for v in state.row_value[i * width : (i + 1) * width]) for i in range(kept)),
        volume=_floats(state.volume),
        pool=_floats(state.pool),
        place_total=_floats(state.place_total),
        place_over=_floats(state.place_over),
        place_taken=_floats(state.place_taken),
        total=_floats(state.total),
        salt=_floats(state.salt),
        low_conc=_floats(state.low_conc),
        high_conc=_floats(state.high_conc),
        spring=_floats(state.spring),
        starts=_floats(state.starts),
        moved=_floats(state.moved),
        flow=_floats(state.flow),
        pressure=_floats(state.pressure),
        asked=tuple(int(v) for v in state.asked),
        seen=tuple(int(v) for v in state.seen),
        meant=tuple(int(v) for v in state.meant),
        ordinary=tuple(int(v) for v in state.ordinary),
        least=_floats(state.least),
        most=_floats(state.most),
        driven=tuple(int(v) for v in state.driven),
        signal=tuple(int(v) for v in state.signal),
        flutter=int(state.clock[prim.C_FLUTTER]),
        wet=bool(state.clock[prim.C_WET] > 0.0),
        ended=float(state.clock[prim.C_ENDED]),
        doubtful=int(state.clock[prim.C_DOUBTFUL]),
        steps=int(state.clock[prim.C_STEPS]),
        solves=int(state.clock[prim.C_SOLVES]),
        end=float(state.clock[prim.C_NOW]),
    )


def _floats(values: list[float]) -> tuple[float, ...]:
    return tuple(float(v) for v in values)
