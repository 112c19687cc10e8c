"""What a run means: litres where, noticed when and by what, stopped by what, what happened to the tank.

Numbers are SI; words are the design's own names. Nothing is judged here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from dewpond.physics import seawater
from dewpond.plant import failing, stopping
from dewpond.plant import primitives as prim
from dewpond.plant.asked import asked
from dewpond.plant.balance import Balance, Product, balance, products
from dewpond.plant.moments import Moment, spilled, tell
from dewpond.plant.noticing import JUST, notices_of
from dewpond.plant.on_floor import onward
from dewpond.plant.ordering import in_order
from dewpond.plant.plant import DAY, Plant, is_told, sees_in
from dewpond.plant.trace import Event, Trace

MOST_NAMED = 3  # of those who notice something at one moment
FLUTTERS = "borderline"  # how the mark of a shut-off begins that is neither open nor shut
UNSURE = (FLUTTERS, "doubtful")  # how marks begin that make figures rough ones
BROKEN_OFF = "doubtful: broken off"  # how the mark of a run begins that was not followed to its end
EMPTIED = 0.01  # a tank with a smaller part of its first water than this is empty [1]


class TankHarm(NamedTuple):
    """Salinity [g/kg] of one tank while it held water; ``end`` is None when it is empty at the end of the run."""

    tank: str
    lowest: float
    highest: float
    end: float | None


@dataclass(frozen=True, slots=True)  # a study holds tens of thousands
class Consequence:
    """One run told in numbers. Volumes [m3], times [s] from the start, None for "never".

    on_floors: water that reached a room's floor; by_place: what each place received, trays and rooms alike, so
    that water that goes from one to the next is in both; onward: of that, whereto a place passed water on, and
    how much; water: where all of it came from and went to; first_water: first water out of the plumbing;
    reopenings: how often water began again after it had ended; still_running: water was getting out at the end,
    or kept coming back; asked: parts that had to act or were looked at; failed: protections that were reached and
    did not act; unordered: those of them that were never told to, because others failed;
    return_pump_dry_after: the order or the hand that had kept its top-off at rest; first_known: when the first person
    knew of something; marks: ``doubtful``, ``borderline`` notes.
    """

    faults: tuple[str, ...]
    order: str
    who: str
    horizon: float
    on_floors: float
    by_place: Mapping[str, float]
    onward: Mapping[str, tuple[str, float]]
    water: Balance
    products: tuple[Product, ...]
    first_water: float | None
    first_noticed: float | None
    noticed_by: str | None
    first_known: float | None
    stopped: float | None
    stopped_by: str | None
    reopenings: int
    still_running: bool
    tanks: tuple[TankHarm, ...]
    return_pump_dry: float | None  # first time [s]
    return_pump_dry_of: str | None  # the tank
    return_pump_dry_after: Moment | None
    reservoir_empty: float | None
    reservoir_empty_of: str | None  # the vessel
    messages: tuple[tuple[float, str], ...]
    starts: float
    asked: tuple[str, ...]
    failed: tuple[str, ...]
    unordered: tuple[str, ...]
    marks: tuple[str, ...]
    moments: tuple[Moment, ...]
    rim_first: Mapping[str, float]  # vessel -> first time its rim ran over [s]
    pauses: float | None = None  # water that keeps coming back by itself pauses since then [s]
    overdosed: float | None = None  # first time that more of something went into a tank than it bears [s]
    overdosed_by: str | None = None  # the part that it came from
    by_hand: bool = False  # a hand has shut off the supply from where water got out, and it is so at the end


def broken_off(told: Consequence) -> bool:
    """Whether a run was not followed to its end: what is told of its end is how it stood then."""
    return any(mark.startswith(BROKEN_OFF) for mark in told.marks)


def unsure(told: Consequence) -> bool:
    """Whether a run is only borderline, or was not resolved."""
    return any(mark.startswith(UNSURE) for mark in told.marks)


def salinity_of(conc: float, temperature: float) -> float:
    """Salinity [g/kg] of dissolved matter [kg/m3] at a temperature [K]; fixed point of S = 1000 c / rho(S)."""
    s = conc
    for _ in range(8):
        s = 1000.0 * conc / seawater.density(min(s, 42.0), temperature)
    return s


def judge(plant: Plant, trace: Trace, order: str = "") -> Consequence:
    """The consequence of a trace."""
    told = in_order(plant, trace, tell(plant, trace))
    moments = tuple(moment for _, moment in told)
    by_place = {p.name: v for p, v in zip(plant.places, trace.place_total, strict=True) if v > 0.0}
    waters = [(e.time, e.value > 0.0) for e in trace.events if e.code == prim.E_WATER]
    begins = [t for t, on in waters if on]
    done = stopping.acts(plant, trace, told)
    leaks = [
        e.time
        for e in trace.events
        if e.code == prim.E_FAULT
        and e.value > 0.0
        and plant.fault(trace.scenario.onsets[e.ref].label).timing == "initiator"
    ]
    reopenings = stopping.reopenings(done, waters, leaks)
    returns = not trace.wet and stopping.comes_back(done, waters, trace.end, leaks)
    running = trace.wet or returns
    first_water = begins[0] if begins else None
    notices = notices_of(plant, trace, told, first_water, leaks)
    noticed = [m for m in notices if m.time == notices[0].time]
    stopped = trace.ended if begins and not running else None
    closed = stopping.closed_itself(plant, trace)
    words = ("return pump dry", "reservoir empty", "overdose")
    (dry, tank), (empty, vessel), (overdose, doser) = (_first(plant, trace, word) for word in words)
    messages = tuple(
        (e.time, plant.messages[e.ref])
        for e in trace.events
        if e.code == prim.E_SIGNAL and e.ref in plant.messages and e.value > 0.0
    )
    stuck = failing.stuck(plant, trace)
    unordered = failing.unordered(plant, trace, stuck)
    rims: dict[str, float] = {}
    for e in trace.events:
        if e.code == prim.E_RIM and spilled(plant, trace, e.ref):
            rims.setdefault(plant.stores[e.ref], e.time)
    return Consequence(
        faults=tuple(o.label for o in trace.scenario.onsets),
        order=order,
        who=trace.scenario.who,
        horizon=trace.end if trace.end < trace.scenario.horizon - 1.0 else trace.scenario.horizon,
        on_floors=_on_floors(plant, trace),
        by_place=by_place,
        onward={
            place.name: (to, v)
            for place, to, v in zip(
                plant.places, onward(plant, trace.scenario.lying).names, trace.place_over, strict=True
            )
            if v > 0.0 and to
        },
        water=balance(plant, trace),
        products=products(plant, trace),
        first_water=first_water,
        first_noticed=noticed[0].time if noticed else None,
        noticed_by=_by(noticed, messages) or None,
        first_known=next((m.time for m in notices if m.part in plant.people), None),
        stopped=stopped,
        stopped_by=None if stopped is None else stopping.stopper(done, waters, leaks, closed),
        reopenings=len(stopping.pauses(waters, leaks)) if running else reopenings,
        still_running=running,
        tanks=_tanks(plant, trace),
        return_pump_dry=dry.time if dry else None,
        return_pump_dry_of=tank,
        return_pump_dry_after=stopping.stilled(plant, trace, told, dry) if dry else None,
        reservoir_empty=empty.time if empty else None,
        reservoir_empty_of=vessel,
        messages=messages,
        starts=sum(trace.starts),
        asked=asked(plant, trace),
        failed=tuple(name for name in plant.parts if name in {*stuck, *unordered}),
        unordered=unordered,
        marks=_marks(trace),
        moments=moments,
        rim_first=rims,
        pauses=trace.ended if returns else None,
        overdosed=overdose.time if overdose else None,
        overdosed_by=doser,
        by_hand=stopping.shut_by_hand(plant, trace, told),
    )


def _by(noticed: Sequence[Moment], messages: Sequence[tuple[float, str]]) -> str:
    """Who or what noticed, all at one moment; of whoever is told something just then, also what."""
    texts: list[str] = []
    for m in noticed:
        told = m.text == is_told(m.part)
        sent = [name for time, name in messages if m.time - JUST <= time <= m.time] if told else []
        sees = sees_in(m.part, "")
        again = any(text.startswith(sees) for text in texts)  # one person, another place: told in one go
        text = m.text.removeprefix(sees) if again else m.text
        texts.append(f"{text} (“{sent[-1]}”)" if sent else text)
    more = len(texts) - MOST_NAMED
    return " and ".join([*texts[:MOST_NAMED], f"{more} more"] if more > 1 else texts)


def _on_floors(plant: Plant, trace: Trace) -> float:
    """What reached rooms, counted once even where one room leads on to another."""
    total, goes = 0.0, onward(plant, trace.scenario.lying)
    for i, place in enumerate(plant.places):
        if place.is_floor:
            total += trace.place_total[i]
            if goes.kinds[i] == prim.R_PLACE and plant.places[goes.numbers[i]].is_floor:
                total -= trace.place_over[i]
    return max(total, 0.0)


def _tanks(plant: Plant, trace: Trace) -> tuple[TankHarm, ...]:
    rows = []
    for store in plant.tanks:
        body = plant.arrays.store_body[store]
        water = sum(v for v, b in zip(trace.volume, plant.arrays.store_body, strict=True) if b == body)
        low, high = (salinity_of(c, plant.tank_temperature) for c in (trace.low_conc[body], trace.high_conc[body]))
        empty = trace.volume[store] < EMPTIED * plant.arrays.store_start[store]
        end = None if empty else salinity_of(trace.salt[body] / water, plant.tank_temperature)
        low, high = (low, high) if end is None else (min(low, end), max(high, end))
        rows.append(TankHarm(plant.stores[store], low, high, end))
    return tuple(rows)


def _first(plant: Plant, trace: Trace, word: str) -> tuple[Event, str] | tuple[None, None]:
    """The event with which a tallied signal first came true, and what it is true of."""
    whose = dict(plant.tallies.get(word, ()))
    happened = (e for e in trace.events if e.code == prim.E_SIGNAL and e.ref in whose and e.value > 0.0)
    return next(((e, whose[e.ref]) for e in happened), (None, None))


def in_vain(label: str) -> str:
    """The mark of a fault that waited in vain."""
    return f"did not come, for what it waits for did not happen: {label}"


def _marks(trace: Trace) -> tuple[str, ...]:
    marks = []
    came = {e.ref for e in trace.events if e.code == prim.E_FAULT}
    for number, onset in enumerate(trace.scenario.onsets):
        if number not in came:
            late = f"did not come, for the run ended before: {onset.label}"
            marks.append(in_vain(onset.label) if onset.time < 0.0 else late)
    if trace.doubtful:
        steps = "1 step was" if trace.doubtful == 1 else f"{trace.doubtful} steps were"
        marks.append(f"doubtful: {steps} not resolved")
    if trace.flutter:
        marks.append(f"{FLUTTERS}: the shut-off flutters, neither open nor shut; reckoned as open half the time")
    if trace.events_lost:
        marks.append(f"doubtful: {trace.events_lost} events were not kept")
    if math.isfinite(trace.listed_until):
        days = trace.listed_until / DAY
        marks.append(f"what pumps and switches did again and again is told for the first {days:.1f} days only")
    if trace.end < trace.scenario.horizon - 1.0:
        marks.append(
            f"{BROKEN_OFF} after {trace.end / DAY:.1f} days, for it took too many steps; every figure is for "
            "the time until then"
        )
    return tuple(marks)
