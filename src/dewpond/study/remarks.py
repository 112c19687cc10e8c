"""What runs show that no look at the file can. Codes and SI numbers; the words are made in ``report``.

S200  still running at the end of a run in which everybody is away
S201  water gets out although nothing fails
S202  a vessel runs over although nothing fails
S203  water runs on through a pump that has stopped (siphon)
S204  water runs backwards through a part
S205  an answer that is "unknown" decides outcomes
S206  a return pump draws air, or a reservoir runs empty, although nothing fails
S207  the membrane makes no water at this pressure, or with what stands shut before its vessels
S208  runs that were not resolved
S209  water runs straight to a drain to the end of the run, and nobody and nothing notices
S210  an answer that is "unknown" was not tried both ways, as the study was stopped
S211  a reading (jugs) asks for more water than can reach the part
S212  a pressure noted with a reading is not the one that the rest of the design leaves there
S213  a reading shows much less, or more, than what is printed on the part
S214  much water reaches a floor and no drain before something ends it, with everybody away
S215  a tank's salinity wanders off although nothing fails
S216  a shut-off opens and shuts without rest although nothing fails
S217  a shut-off flutters, neither open nor shut, although nothing fails
S218  what a gauge shows at rest is not the pressure that the design leaves there
S219  what a gauge shows while filling is not
S230 to S234  what sizing showed: ``study.sizing.sizing``
S235  a part that counts the water through itself trips although nothing fails
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from dewpond.plant import primitives as prim
from dewpond.plant.balance import stages
from dewpond.plant.moments import NOT_A_FLOOD
from dewpond.plant.plant import DAY, Plant
from dewpond.plant.trace import Trace
from dewpond.study.drained import taken, undrained
from dewpond.study.flows import PRODUCT, Flows
from dewpond.study.outcome import LITRES, SHARE, NotRun, Outcome, Remark, UnknownEffect, wasted

FLOOD = 5e-3  # more on a floor is a flood, even where it ends [m3]; our prior
DRIFTS = 1.0  # a salinity that moves by more in a run in which nothing fails is no ordinary one [g/kg]; our prior
RESTLESS = 500.0  # a shut-off that starts more often in an ordinary day wears and wastes [1/day]; our prior
SEEN = 0.5e-3  # less water is not remarked on [m3]
TO_AND_FRO = 1e-6  # so much for each start of a shut-off goes to and fro with it, not back [m3]; our prior

GAUGED = ("at rest", "while filling")  # readings of a gauge
NO_CHECK = "no check valve"  # why a shut-off does not rest
DOUBTS = {"starved": "S211", "pressure": "S212", "rating": "S213", "at rest": "S218", "while filling": "S219"}


def endless(outcomes: Sequence[Outcome], away: str, rooms: Collection[str] = ()) -> Iterator[Remark]:
    """Single faults whose water still runs at the end although everybody was away. ``rooms``: those in whose floor a
    drain may be; the worst is that with most water which none takes, on the worst of the floors that fit."""
    lasting = [o for o in outcomes if len(o.faults) == 1 and o.who == away and o.lasts]
    if lasting:
        lasting.sort(key=lambda o: (-max(_left(o, rooms)), -o.told.on_floors))  # the worst is named first
        horizon = max(o.told.horizon for o in lasting)
        labels = tuple(o.faults[0] for o in lasting)
        floors = sum(any(told.on_floors > NOT_A_FLOOD for told in o.each) for o in lasting)
        some = sum(not all(told.still_running for told in o.each) for o in lasting)
        numbers = {"after": horizon, "count": len(lasting), "floors": floors} | ({"some": some} if some else {})
        yield Remark("S200", "warning", labels, numbers | _worst(lasting, rooms))


def ended(outcomes: Sequence[Outcome], away: str, rooms: Collection[str] = ()) -> Iterator[Remark]:
    """Single faults that flood a floor before something ends their water, everybody away. ``rooms`` as in endless."""
    alone = [o for o in outcomes if len(o.faults) == 1 and o.who == away and not o.lasts]
    floods = sorted((o for o in alone if max(_left(o, rooms)) > FLOOD), key=lambda o: -max(_left(o, rooms)))
    if floods:
        numbers = {"flood": FLOOD, "count": len(floods)}
        yield Remark("S214", "note", tuple(o.faults[0] for o in floods), numbers | _worst(floods, rooms))


def _left(outcome: Outcome, rooms: Collection[str]) -> list[float]:
    """What came onto floors and no drain took, on each floor that fits the plans [m3]."""
    return [undrained(told, rooms) for told in outcome.each]


def _worst(found: Sequence[Outcome], rooms: Collection[str]) -> dict[str, float]:
    """Of faults, the worst first: what it brings, by floor at least and at most, and the most that drains take with any
    of them [m3]."""
    litres = _left(found[0], rooms)
    drained = max(sum(volume for _, volume in taken(told, rooms).values()) for o in found for told in o.each)
    numbers = {"litres": max(litres)}
    if max(litres) - min(litres) > LITRES:
        numbers["least"] = min(litres)
    return numbers | ({"drained": drained} if drained > 0.0 else {})


def wasting(outcomes: Sequence[Outcome], normal: Sequence[Outcome], away: str) -> Iterator[Remark]:
    """Single faults that send water down the drain unseen while no place gets wet and everybody is away."""
    usual = next((o.told.water.to_drain for o in normal if o.who == away), 0.0)
    unseen = [o for o in outcomes if len(o.faults) == 1 and o.who == away and o.told.first_noticed is None]
    found = [(wasted(o.told, usual), o) for o in unseen if not any(v > SEEN for v in o.told.by_place.values())]
    found = sorted((pair for pair in found if pair[0] > 0.0), key=lambda pair: -pair[0])
    if found:
        worst, first = found[0]
        labels = tuple(o.faults[0] for _, o in found)
        numbers = {"litres": worst, "usual": usual, "after": first.told.horizon, "count": len(found)}
        yield Remark("S209", "warning", labels, numbers)


def without_faults(plant: Plant, trace: Trace, outcome: Outcome, bare: bool = False) -> Iterator[Remark]:
    """What goes wrong in the run in which nothing fails. Where a siphon runs, its part is named last: it may be why.
    ``bare``: a shut-off without a check valve behind its membrane."""
    told = outcome.told
    found = siphons(plant, trace)
    why = tuple(part for part, _ in found)
    if told.first_water is not None and told.on_floors > 0.0:
        yield Remark("S201", "warning", why, {"litres": told.on_floors, "after": told.first_water})
    for vessel, time in told.rim_first.items():
        yield Remark("S202", "warning", (vessel, *why), {"after": time})
    for part, moved in found:
        yield Remark("S203", "warning", (part,), {"litres": moved})
    for word, since in (("return pump dry", told.return_pump_dry), ("reservoir empty", told.reservoir_empty)):
        if since is not None:
            yield Remark("S206", "warning", (word, *why), {"after": since})
    starved = told.return_pump_dry is not None or told.reservoir_empty is not None
    for tank in () if starved else told.tanks:
        if tank.highest - tank.lowest > DRIFTS:
            numbers = {"low": tank.lowest, "high": tank.highest, "after": told.horizon}
            if tank.end is not None:
                numbers["end"] = tank.end
            yield Remark("S215", "warning", (tank.tank, *why), numbers)
    for product in told.products:
        a_day, drained = product.starts * DAY / told.horizon, told.water.to_drain * DAY / told.horizon
        if trace.flutter and a_day > 0.0:
            yield Remark("S217", "warning", (product.membrane,), {"litres": drained})
        elif a_day > RESTLESS:
            why = (NO_CHECK,) if bare else ()
            yield Remark("S216", "warning", (product.membrane, *why), {"count": a_day, "litres": drained})


def siphons(plant: Plant, trace: Trace) -> list[tuple[str, float]]:
    """(part, volume [m3]) that ran through passive ways, which are open only while a pump stands still; not of a pump
    that leaks, through which water runs to its leak."""
    a, through = plant.arrays, dict[str, float]()
    faults = (plant.fault(onset.label) for onset in trace.scenario.onsets)
    leaking = {fault.part for fault in faults if fault.timing == "initiator"}
    for edge, gate in enumerate(a.edge_gate):
        if gate >= 0 and a.gate_kind[gate] == prim.G_PRIMED and abs(trace.moved[edge]) > SEEN:
            part = plant.parts[a.edge_owner[edge]]
            through[part] = max(through.get(part, 0.0), abs(trace.moved[edge]))
    return [(part, volume) for part, volume in through.items() if part not in leaking]


def backwards(plant: Plant, trace: Trace) -> list[tuple[str, float]]:
    """(part, volume [m3]) for parts through which, over the run, more water ran back than forth by one of their ways.

    Left out is what goes to and fro with a shut-off that flutters: its moves are reckoned as means over many starts,
    and a check valve's way forth and its way back then both carry water that never was anywhere else.
    """
    a, back = plant.arrays, dict[str, float]()
    sloshed = TO_AND_FRO * max(trace.starts, default=0.0)
    for link in plant.links:
        moved, gate = -trace.moved[link.edge], a.edge_gate[link.edge]
        passive = gate >= 0 and a.gate_kind[gate] == prim.G_PRIMED
        if moved > SEEN and (passive or (not trace.flutter and moved > sloshed)):
            back[link.part] = max(back.get(link.part, 0.0), moved)
    return list(back.items())


def back_flows(outcomes: Sequence[Outcome], normal: Sequence[Outcome] = ()) -> Iterator[Remark]:
    """Parts through which water ran backwards in the run of some single fault, and clearly more than when nothing
    fails, with these faults, the worst first."""
    found: dict[str, dict[str, float]] = {}
    usual = {(o.who, part): moved for o in normal for part, moved in o.backwards}
    for o in outcomes:
        for part, moved in o.backwards if len(o.faults) == 1 else ():
            if moved <= usual.get((o.who, part), 0.0) + max(SEEN, SHARE * moved):
                continue
            most = found.setdefault(part, {})
            most[o.faults[0]] = max(most.get(o.faults[0], 0.0), moved)
    for part, most in found.items():
        labels = sorted(most, key=lambda label: -most[label])
        yield Remark("S204", "note", (part, *labels), {"litres": most[labels[0]]})


def unknowns(effects: Sequence[UnknownEffect]) -> Iterator[Remark]:
    """Answers "unknown" that decide what a failure does."""
    decided: dict[tuple[str, str], dict[str, None]] = {}  # more than one other answer may have been tried
    for effect in effects:
        decided.setdefault((effect.part, effect.key), {}).update(dict.fromkeys(effect.faults))
    for answer, faults in decided.items():
        if faults:
            yield Remark("S205", "warning", answer, {"count": len(faults)})


def untried(not_run: NotRun) -> Iterator[Remark]:
    """Answers "unknown" of which a study that was stopped cannot say what they decide."""
    for part, key in not_run.answers:
        yield Remark("S210", "warning", (part, key), {})


def filling(plant: Plant, table: Flows) -> Iterator[Remark]:
    """Membranes that make nothing, and readings that cannot be true."""
    for doubt in plant.doubts:
        numbers = {} if doubt.what == "starved" else {"said": doubt.said, "reckoned": doubt.reckoned}
        held = held_by(plant, doubt.part) if doubt.what in GAUGED else ()
        yield Remark(DOUBTS[doubt.what], "warning", (doubt.part, *held), numbers)
    for one in table.short:
        numbers = {"has": one.volume, "litres": one.takes} if not one.ordinary else {"has": one.volume}
        yield Remark("S235", "warning" if one.ordinary else "note", (one.part, one.since), numbers)
    works = {row.part for row in table.rows if row.way == PRODUCT}
    later = {name for name, edge in plant.membranes if edge in stages(plant)}
    for name in dict.fromkeys(name for name, _ in plant.membranes):
        if name not in works and (not works or name in later):  # one that a hand's tap holds back is not meant
            yield Remark("S207", "warning", (name, *table.shut), {})


def held_by(plant: Plant, part: str) -> tuple[str, ...]:
    """What holds the pressure before a part: the nearest such part up its line, if there is one."""
    a = plant.arrays
    own = [e for e, owner in enumerate(a.edge_owner) if owner >= 0 and plant.parts[owner] == part]
    todo = list(dict.fromkeys(a.edge_a[e] for e in own))
    for node in todo:  # grows while it is walked
        for edge, end in enumerate(a.edge_b):
            if end != node:
                continue
            if a.edge_law[edge] == prim.REGULATOR:
                return (plant.parts[a.edge_owner[edge]],)
            if a.edge_a[edge] not in todo:
                todo.append(a.edge_a[edge])
    return ()


def of_tables(tables: Iterable[tuple[Plant, Flows]]) -> tuple[Remark, ...]:
    """What the fills of both seasons show, each once: all that counts on their flows says it. ``tables``: by plant and
    table of each season."""
    seen = [remark for plant, table in tables for remark in filling(plant, table)]
    return tuple({(remark.code, remark.parts): remark for remark in reversed(seen)}.values())


def doubtful(outcomes: Sequence[Outcome]) -> Iterator[Remark]:
    """How many runs hold steps that were not resolved."""
    marked = [o for o in outcomes if any(mark.startswith("doubtful") for mark in o.told.marks)]
    if marked:
        labels = tuple(dict.fromkeys(" + ".join(o.faults) for o in marked))
        yield Remark("S208", "note", labels, {"count": len(marked), "of": len(outcomes)})
