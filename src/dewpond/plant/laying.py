"""A scenario laid over a plant: the timetable of people, clocks and midnights, faults and floor; and a person's day."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.plant.build import PATCHES
from dewpond.plant.on_floor import on_floor, past_drains
from dewpond.plant.plant import DAY, NEVER, STARTS, Onset, Plant, PlantFault, Resident, Scenario, Window
from dewpond.plant.primitives import Arrays
from dewpond.plant.resting import at_rest


def lay(plant: Plant, scenario: Scenario) -> Arrays:
    """The plant's arrays with the timetable of people, clocks and midnights, and the scenario's faults and floor laid
    in."""
    start = list(plant.arrays.sig_start)
    a = plant.arrays
    rows = list(zip(a.tt_time, a.tt_sig, a.tt_value, strict=True))
    for resident in plant.residents:
        rows += _presence(resident, scenario, start)
    for signal, window in plant.clocks.items():
        rows += _windows(signal, window, scenario, start)
    if plant.midnight >= 0:
        t = DAY - scenario.clock
        while t < scenario.horizon:
            rows += [(t, plant.midnight, 1), (t + 1.0, plant.midnight, 0)]
            t += DAY
    rows.sort()
    start = plant.once(("at rest", *start), lambda: at_rest(plant.arrays, start))
    chosen = [plant.fault(o.label) for o in scenario.onsets]
    awaited = [_awaited(plant, o, fault) for o, fault in zip(scenario.onsets, chosen, strict=True)]
    at, kinds, refs, values = [0], [], [], []
    past = past_drains(plant, scenario.lying)
    for fault in chosen:
        for what, number, value in fault.patches:
            if what == "holds" and value > plant.arrays.place_cap[number] and number in past:
                continue
            kinds.append(PATCHES[what])
            refs.append(number)
            values.append(float(value))
        at.append(len(kinds))
    a = plant.arrays if scenario.lying is None else on_floor(plant, scenario.lying)
    return a._replace(
        sig_start=start,
        tt_time=[r[0] for r in rows],
        tt_sig=[r[1] for r in rows],
        tt_value=[r[2] for r in rows],
        fault_time=[NEVER if signal is None else o.time for o, signal in zip(scenario.onsets, awaited, strict=True)],
        fault_signal=[signal or 0 for signal in awaited],
        fault_delay=[o.delay for o in scenario.onsets],
        fault_end=[f.lasts for f in chosen],
        fault_until=[f.until for f in chosen],
        patch_at=at,
        patch_kind=kinds,
        patch_ref=refs,
        patch_value=values,
    )


def _awaited(plant: Plant, onset: Onset, fault: PlantFault) -> int | None:
    """The signal a fault waits for, as the kernel reads it; 0 for one that does not wait, None: it waits in vain."""
    if onset.time >= 0.0:
        return 0
    return plant.triggers.get(onset.awaits) if onset.awaits else fault.trigger


def _presence(resident: Resident, scenario: Scenario, start: list[int]) -> list[tuple[float, int, int]]:
    """Timetable of one person by the clock, from the hour of the start on; who travels is away all the time."""
    away = scenario.who == "travelling"
    start[resident.travelling] = int(away)
    state = "out" if away else state_at(resident.day, scenario.clock)
    start[resident.home], start[resident.awake] = int(state != "out"), int(state == "at home")
    if away:
        return []
    rows: list[tuple[float, int, int]] = []
    turns = sorted((turn - scenario.clock) % DAY or DAY for turn in turns_of(resident.day))
    for t in (day * DAY + turn for day in range(int(scenario.horizon / DAY) + 1) for turn in turns):
        now = state_at(resident.day, (scenario.clock + t) % DAY)
        if t < scenario.horizon and now != state:
            rows += [(t, resident.home, int(now != "out")), (t, resident.awake, int(now == "at home"))]
            state = now
    return rows


def _windows(signal: int, window: Window, scenario: Scenario, start: list[int]) -> list[tuple[float, int, int]]:
    """Timetable of a clock: day 0 is the one in which the run begins. A window that is open then ends within it."""
    first = window.begins - scenario.clock
    number = math.floor(-(first + window.lasts) / window.every)  # it ends before the run, or as it begins
    rows: list[tuple[float, int, int]] = []
    while (opens := first + number * window.every) < scenario.horizon:
        number += 1
        if opens <= 0.0 < opens + window.lasts:
            start[signal] = 1
        elif opens > 0.0:
            rows.append((opens, signal, 1))
        if 0.0 < opens + window.lasts < scenario.horizon:
            rows.append((opens + window.lasts, signal, 0))
    return rows


def _stretches(day: Sequence[tuple[str, float]]) -> tuple[tuple[str, float, float], ...]:
    """(state, clock at which it begins, length) of a day [s]: out about nine in the morning and back by six, asleep by
    eleven at night and up before leaving; at home in between. So everybody is out, at home, asleep at the hour at which
    a run of that kind begins."""
    out, asleep = (dict(day).get(state, 0.0) for state in ("out", "asleep"))
    leaves = min(STARTS["out"], STARTS["at home"] - out)
    lies_down = min(STARTS["asleep"], leaves + DAY - asleep)
    return (("out", leaves, out), ("asleep", lies_down, asleep))


def state_at(day: Sequence[tuple[str, float]], clock: float) -> str:
    """``at home`` (and awake), ``asleep`` or ``out``, at a time of the clock [s]."""
    within = (state for state, begin, length in _stretches(day) if (clock - begin) % DAY < length)
    return next(within, "at home")


def turns_of(day: Sequence[tuple[str, float]]) -> list[float]:
    """Times of the clock at which the state may change [s]."""
    return [turn % DAY for _, begin, length in _stretches(day) for turn in (begin, begin + length)]
