"""Puts every question to every thing in the house that it is about.

A question is first put to a machine in which much is free to change of itself; only where that breaks the rule is it
put to the whole one, and only where that does are delays given their time. What is free only adds behaviour, so what
holds there holds.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from dewpond.design.model import Claim, Design
from dewpond.parts.base import Kind
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.proof import replay
from dewpond.proof.chatter import restarts
from dewpond.proof.claims import divided, of_claims, told
from dewpond.proof.cures import Doctor
from dewpond.proof.dosing import Dose, doses, overdosed
from dewpond.proof.draft import hanging_on, order_of
from dewpond.proof.flooding import before, credited, runs_on
from dewpond.proof.layers import Layer, causes_of, layers, opens_wet, stays_shut
from dewpond.proof.prover import ONE, TWO, Known, Prover, cases_of, verdict_of
from dewpond.proof.reading import read_rules
from dewpond.proof.search import MOST_STATES
from dewpond.proof.sensing import cries, hidden, re_armed_blindly, sleeps, wires
from dewpond.proof.starving import dries, late, untold
from dewpond.proof.verdicts import ALONE, BROKEN, WHOLE, Case, Pairs, Proof, Verdict
from dewpond.proof.water import onward

Heard = Callable[[int, int, str], None]


# -- each layer alone --------------------------------------------------------------------------------------------------
def of_layers(p: Prover) -> Iterator[Verdict]:
    """What a trip makes of its sensors and of hands, and whether what it has shut stays shut."""
    stores = {gate: dose.store for dose in doses(p.plant) for gate in dose.gates}
    for layer in layers(p.plant):
        about = f"{layer.part}: {layer.says}"
        causes = causes_of(p.plant, layer.trip, order_of(p.plant, layer.gate))
        latched = any(s in p.plant.rearms for s in causes)
        if not counts_time(p.plant, causes):
            m, found = p.put(cries(p.plant, layer), 0)
            cases = cases_of(m, found, replay.ever(layer.trip))
            if layer.by_water:
                asleep = [p.put(asked, 0) for asked in sleeps(p.plant, layer)]
                if all(one.breaches for _, one in asleep):  # a row may ask that another probe is dry
                    cases = (*cases, *cases_of(*asleep[0]))
                found = replace(found, finished=all(one.finished for _, one in asleep))
            yield verdict_of("IL-01", ALONE, about, found, cases, 0)
        if layer.by_water or latched:
            yield from _stays_shut(p, layer, about)
        blind = re_armed_blindly(p.plant, layer, stores.get(layer.gate, -1))
        if blind is not None:
            faults = 0 if layer.by_water else ONE
            m, found = p.put(blind, faults)
            check = replay.reopens(order_of(p.plant, layer.gate), layer.trip)
            yield verdict_of("IL-12", ALONE, about, found, cases_of(m, found, check), faults)


def _stays_shut(p: Prover, layer: Layer, about: str) -> Iterator[Verdict]:
    check = replay.reopens(order_of(p.plant, layer.gate), layer.trip)
    m, found = p.near_first(partial(stays_shut, p.plant, layer), p.most_faults)
    ruled: dict[str, list[Case]] = {"IL-02": [], "IL-03": [], "IL-11": [], "IL-18": []}
    trip = m.position(layer.trip)
    if layer.by_water:  # what opens of itself, or forgets, must not hide that it opens without power
        cuts = [fault.label for fault in p.plant.faults if is_power(p.plant, fault.label)]
        still, open_wet = p.put(opens_wet(p.plant, layer, cuts), ONE)
        ruled["IL-02"] += cases_of(still, open_wet, check)
        found = replace(found, finished=found.finished and open_wet.finished)
    wet = {frozenset(case.faults) for case in ruled["IL-02"]}
    for case in cases_of(m, found, check):
        assert case.breach is not None
        end = case.breach.way[-1][1] if case.breach.way else case.breach.start
        cut = has_cut(p.plant, case)
        hung = all(p.roles.get(p.plant.fault(label).part) == "box" for labels in case.faults for label in labels)
        rule = "IL-18" if hung and not cut else "IL-02" if end.bits[trip] else "IL-11"
        rule = rule if case.faults else "IL-03"
        if rule != "IL-02" or frozenset(case.faults) not in wet:
            ruled[rule].append(case)
    if layer.by_water and ruled["IL-03"]:
        p.reopening.add(layer.part)
    for rule, cases in ruled.items():
        yield verdict_of(rule, ALONE, about, found, tuple(cases), p.most_faults)


def counts_time(plant: Plant, signals: Collection[int]) -> bool:
    """Whether a trip hangs on how long or how much something has run."""
    a = plant.arrays
    marks = (int(a.sig_arg[s]) for s in signals if a.sig_op[s] == prim.L_THRESHOLD)
    return any(a.thr_kind[k] == prim.T_COUNTER for k in marks)


def has_cut(plant: Plant, case: Case) -> bool:
    """Whether one of the faults of a case takes the power from a circuit."""
    return any(is_power(plant, label) for labels in case.faults for label in labels)


def is_power(plant: Plant, label: str) -> bool:
    """Whether a fault takes the power from a circuit."""
    return any(what == "force" and number in plant.circuits for what, number, _ in plant.fault(label).patches)


def of_sensors(p: Prover) -> Iterator[Verdict]:
    """Broken wires that nobody is told of."""
    trips = {layer.trip for layer in layers(p.plant) if layer.by_water}
    for fault in wires(p.plant):
        m, found = p.put(hidden(p.plant, fault, sorted(trips)), ONE)
        yield verdict_of("IL-15", ALONE, fault.part, found, cases_of(m, found, replay.silent), ONE)


# -- the whole ---------------------------------------------------------------------------------------------------------
def of_spills(p: Prover, pairs: list[Pairs], claims: Sequence[Claim]) -> Iterator[Verdict]:
    """Whether the supply's water that gets out is stopped, by what, and with how many faults it is not."""
    plant = p.plant
    valves = {layer.part for layer in layers(plant)} | {plant.gates[gate] for gate in by_hand_moved(plant)}
    for spill, mine in divided(plant, claims):
        about = told(spill.labels)
        stands = before(plant, spill)
        own = credited(plant, spill, p.compiled)
        faults = max(p.most_faults, TWO)  # what lets it out is one of them
        m, found = p.put(runs_on(plant, spill, spill.gates), faults)
        cases = p.seen(cases_of(m, found, replay.runs_on))
        names = tuple(dict.fromkeys(layer.part for layer in own))
        places = tuple(plant.places[place].name for place in onward(plant, spill.place))
        alone = tuple(case for case in cases if len(case.faults) <= ONE)
        if stands:
            yield verdict_of("IL-04", WHOLE, about, found, (), faults)
            yield verdict_of("IL-05", WHOLE, about, found, alone, faults)
        elif {plant.fault(label).part for label in spill.labels} - valves:
            yield verdict_of("IL-04", WHOLE, about, found, alone, faults)
        if len(names) > 1 and not mine:  # else what is claimed is asked
            yield verdict_of("IL-06", WHOLE, about, found, cases, faults, bears=TWO)
        unheard: tuple[Case, ...] = ()
        pair = {label for case in cases if len(case.faults) <= TWO for labels in case.faults for label in labels}
        if own and pair and plant.messages:  # only what runs on can run on untold
            m, nobody = p.put(runs_on(plant, spill, spill.gates, untold=True, only=pair), TWO)
            unheard = p.seen(cases_of(m, nobody, replay.runs_on_untold))
            stuck = tuple(case for case in unheard if any(holds_gate(plant, label) for (label, *_) in case.faults))
            yield verdict_of("IL-14", WHOLE, about, nobody, stuck, TWO, bears=TWO)
        again = tuple(name for name in names if name in p.reopening)
        lines = tuple(claim.line for claim in mine)
        pairs.append(Pairs(about, places, names, again, cases, unheard, found.finished, lines))


def holds_gate(plant: Plant, label: str) -> bool:
    """Whether a fault keeps something open that a layer shuts."""
    gates = {layer.gate for layer in layers(plant)}
    return any(what == "low" and number in gates for what, number, _ in plant.fault(label).patches)


def by_hand_moved(plant: Plant) -> Iterator[int]:
    """Gates that a hand moves and no layer does."""
    shut = {layer.gate for layer in layers(plant)}
    a = plant.arrays
    for gate in plant.gates:
        order = order_of(plant, gate)
        if gate not in shut and order >= 0 and a.gate_kind[gate] == prim.G_SIGNAL:
            yield gate


def of_vessels(p: Prover) -> Iterator[Verdict]:
    """Whether a pump brings too much, and whether it chatters."""
    for dose in doses(p.plant):
        about = p.plant.stores[dose.store]
        m, found = p.put(overdosed(p.plant, dose), p.most_faults)
        ruled: dict[str, list[Case]] = {"IL-08": [], "IL-08b": [], "IL-18": []}
        for case in cases_of(m, found, replay.stands_above(dose.store, dose.bears)):
            ruled[_dosing_rule(p, case)].append(case)
        for rule, cases in ruled.items():
            told_of = verdict_of(rule, WHOLE, about, found, tuple(cases), p.most_faults)
            yield replace(told_of, bears=(dose.bears, dose.why))
        if high := [layer.trip for layer in layers(p.plant) if layer.gate in dose.gates and is_high(p.plant, layer)]:
            yield from _limit_alone(p, dose, high, about)
        for gate in dose.gates:
            m, found = p.put(restarts(p.plant, dose, gate), 0)
            yield verdict_of("IL-16", ALONE, p.plant.gates[gate], found, cases_of(m, found), 0)


def of_dryness(p: Prover) -> Iterator[Verdict]:
    """Whether somebody is told before a vessel is dry, and soon enough."""
    drawn = {store for dose in doses(p.plant) for store in dose.sources}
    for dry in dries(p.plant):
        about, untold_with = f"{dry.name}: {dry.word}", set[tuple[tuple[str, ...], ...]]()
        for any_cause, rule, faults in ((True, "IL-09", 0), (False, "IL-10", ONE)):
            m, found = p.put(untold(p.plant, dry, any_cause), faults)
            if found.breaches:
                m, found = p.put(untold(p.plant, dry, any_cause, timed=True), faults)
            cases = cases_of(m, found, None if any_cause else replay.untold(dry.store, dry.mark))
            untold_with |= {case.faults for case in cases}
            yield verdict_of(rule, WHOLE, about, found, cases, faults)
        if p.plant.called and dry.store not in drawn:  # what a reservoir lacks, its tank lacks much later
            m, found = p.put(late(p.plant, dry), ONE)
            cases = cases_of(m, found, replay.late_told(dry.store, dry.mark))
            cases = tuple(case for case in cases if case.faults not in untold_with)
            yield verdict_of("IL-09", WHOLE, f"{about}, told in time", found, cases, ONE)


def is_high(plant: Plant, layer: Layer) -> bool:
    """Whether a layer trips by a level, and by no count: nor by how long what it stops has run without a pause, which
    hangs on the trip itself."""
    a = plant.arrays
    ins = a.sig_in[a.sig_in_at[layer.trip] : a.sig_in_at[layer.trip + 1]]
    limits = layer.trip in hanging_on(plant, [entry if entry >= 0 else -1 - entry for entry in ins])
    counts = counts_time(plant, causes_of(plant, layer.trip, order_of(plant, layer.gate)))
    return not layer.by_water and not limits and not counts


def _limit_alone(p: Prover, dose: Dose, high: Collection[int], about: str) -> Iterator[Verdict]:
    """What limits a run by itself, as if no high mark stopped it: while a sensor sticks, and the power comes and goes.
    What a relay that welds or a box that hangs does is not for a limit to end."""
    m, found = p.put(overdosed(p.plant, dose, without=high), p.most_faults)
    ruled: dict[str, list[Case]] = {"IL-08": [], "IL-08b": []}
    for case in cases_of(m, found):
        labels = [label for labels in case.faults for label in labels]
        ours = (p.roles.get(p.plant.fault(label).part) == "sensor" or is_power(p.plant, label) for label in labels)
        rule = _dosing_rule(p, case)
        if all(ours) and rule in ruled:
            ruled[rule].append(case)
    for rule, cases in ruled.items():
        told_of = verdict_of(rule, ALONE, f"{about}, by its limits", found, tuple(cases), p.most_faults)
        yield replace(told_of, bears=(dose.bears, dose.why))


def _dosing_rule(p: Prover, case: Case) -> str:
    """Which rule an overdose breaks: by a box that hangs, by what repeats, or by a run that is too long."""
    assert case.breach is not None
    assert case.machine is not None
    parts = {p.plant.fault(label).part for labels in case.faults for label in labels}
    if len(case.faults) == ONE and all(p.roles.get(part) == "box" for part in parts):
        return "IL-18"
    cut = has_cut(p.plant, case)
    again = any(event.kind == "press" for event, _ in case.breach.way)
    return "IL-08b" if cut or again else "IL-08"


def _with_runs(p: Prover, verdict: Verdict) -> Verdict:
    """A broken rule with its cases tried in the engine."""
    return replace(verdict, cases=p.seen(verdict.cases)) if verdict.verdict == BROKEN else verdict


def _tell(heard: Heard, number: int, groups: int, what: str, verdicts: Sequence[Verdict], states: int) -> None:
    """How far a proof is, also in the midst of a long question."""
    heard(number, groups, f"{what}, {len(verdicts)} answers, {states:,} states")


GROUPS = (
    "each layer alone",
    "sensors",
    "water that gets out",
    "what the file claims",
    "vessels that are filled",
    "vessels that run dry",
    "the file",
)


def _asked(p: Prover, design: Design, kinds: Mapping[str, Kind], pairs: list[Pairs]) -> tuple[Iterator[Verdict], ...]:
    """The verdicts of each of the GROUPS, asked as they are read."""
    return (
        of_layers(p),
        of_sensors(p),
        of_spills(p, pairs, design.claims),
        of_claims(p, design.claims),
        of_vessels(p),
        of_dryness(p),
        read_rules(design, kinds),
    )


def prove(
    design: Design,
    plant: Plant,
    kinds: Mapping[str, Kind],
    most_faults: int,
    *,
    compiled: bool,
    most_states: int = MOST_STATES,
    tried: bool = True,
    cured: bool = False,
    heard: Heard | None = None,
) -> Proof:
    """All rules, with at most so many faults at a time; ``tried``: ways in which a rule is broken, or water runs on,
    are tried in the engine; ``cured``: what mends each rule is looked for."""
    known: Known = {}

    def prover(of: Design, house: Plant, faults: int, runs: bool) -> Prover:
        roles = {part.name: kinds[part.kind].role for part in of.parts}
        return Prover(house, roles, faults, compiled, most_states, runs, known=known)

    def again(edited: Design) -> tuple[tuple[Iterator[Verdict], ...], list[Pairs]]:
        runs_on_with: list[Pairs] = []
        p = prover(edited, lower(edited, plant.season), ONE, runs=False)
        return _asked(p, edited, kinds, runs_on_with), runs_on_with

    p = prover(design, plant, most_faults, tried)
    pairs: list[Pairs] = []
    found: list[tuple[int, Verdict]] = []
    verdicts: list[Verdict] = []
    steps = len(GROUPS) + cured
    stopped = False
    try:
        for number, group in enumerate(_asked(p, design, kinds, pairs)):
            p.heard = None if heard is None else partial(_tell, heard, number, steps, GROUPS[number], verdicts)
            for verdict in group:
                found.append((number, verdict))
                # one by one: who stops it is told those, and how many there are is shown meanwhile
                verdicts.append(_with_runs(p, verdict))
        doctor = Doctor(design, plant, kinds, found, again)
        for place, (number, _) in enumerate(found if cured else ()):
            verdicts[place] = doctor.healed(number, verdicts[place])
            if heard is not None:
                heard(len(GROUPS), steps, f"what would mend it, {place + 1} of {len(found)} answers")
    except KeyboardInterrupt:  # what was found until then is told
        stopped = True
    classes = tuple(labels for labels in p.merged if len(labels) > 1)
    faults = len({label for labels in p.merged for label in labels})
    return Proof(most_faults, tuple(verdicts), tuple(pairs), p.states, p.steps, p.depth, faults, classes, stopped)
