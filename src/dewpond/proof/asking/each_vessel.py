"""Each vessel that a pump fills, and each that must not run dry."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial

from dewpond.plant.plant import Plant
from dewpond.proof import replay
from dewpond.proof.prover import ONE, Prover, cases_of, has_cut, verdict_of
from dewpond.proof.questions.chatter import restarts
from dewpond.proof.questions.dosing import Dose, doses, overdosed
from dewpond.proof.questions.layers import Layer, causes_of, counts_time, layers
from dewpond.proof.questions.starving import dries, late, untold
from dewpond.proof.signals import calls, hanging_on, is_power, order_of
from dewpond.proof.verdicts import ALONE, WHOLE, Case, Verdict


def of_vessels(p: Prover) -> Iterator[Verdict]:
    """Whether a pump brings too much, and whether it chatters."""
    for dose in doses(p.plant):
        about = p.plant.stores[dose.store]
        m, found = p.clocks_last(partial(overdosed, p.plant, dose), p.most_faults)
        ruled: dict[str, list[Case]] = {"IL-08": [], "IL-08b": [], "IL-18": []}
        for case in cases_of(m, found, replay.stands_above(dose.store, dose.bears, dose.above)):
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
            cases = cases_of(m, found, None if any_cause else replay.late_told(dry.store, dry.mark, harms=False))
            untold_with |= {case.faults for case in cases}
            yield verdict_of(rule, WHOLE, about, found, cases, faults)
        if calls(p.plant):
            harms = dry.store not in drawn  # what a reservoir lacks, its tank lacks much later
            m, found = p.put(late(p.plant, dry, harms), ONE)
            cases = cases_of(m, found, replay.late_told(dry.store, dry.mark, harms))
            cases = tuple(case for case in cases if not any(set(one) <= set(case.faults) for one in untold_with))
            yield verdict_of("IL-09", WHOLE, f"{about}, told {'in time' if harms else 'before'}", found, cases, ONE)


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
    m, found = p.clocks_last(partial(overdosed, p.plant, dose, high), p.most_faults)
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
