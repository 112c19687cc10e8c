"""Each layer alone, and each sensor: what a trip makes of its sensors, of hands, of the power and of time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from dewpond.plant.plant import Plant
from dewpond.proof import replay
from dewpond.proof.prover import ONE, Prover, cases_of, has_cut, verdict_of
from dewpond.proof.questions.dosing import doses
from dewpond.proof.questions.layers import (
    Layer,
    causes_of,
    counts_time,
    layers,
    levels_of,
    opens_full,
    opens_wet,
    shuts,
    stays_shut,
)
from dewpond.proof.questions.sensing import cries, hidden, re_armed_blindly, sleeps, wires
from dewpond.proof.search import Search
from dewpond.proof.signals import order_of, power_cuts
from dewpond.proof.verdicts import ALONE, Case, Verdict


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
        elif levels_of(p.plant, causes) and not counts_time(p.plant, causes):
            yield from _stays_shut_full(p, layer, about)
        blind = re_armed_blindly(p.plant, layer, stores.get(layer.gate, -1))
        if blind is not None:
            faults = 0 if layer.by_water else ONE
            m, found = p.put(blind, faults)
            check = replay.reopens(order_of(p.plant, layer.gate), layer.trip)
            yield verdict_of("IL-12", ALONE, about, found, cases_of(m, found, check), faults)


def _stays_shut(p: Prover, layer: Layer, about: str) -> Iterator[Verdict]:
    check = replay.reopens(order_of(p.plant, layer.gate), layer.trip)
    m, found = p.near_first(partial(stays_shut, p.plant, layer), p.most_faults)
    found = _if_it_shuts(p, layer, found)
    ruled: dict[str, list[Case]] = {"IL-02": [], "IL-03": [], "IL-11": [], "IL-18": []}
    trip = m.position(layer.trip)
    if layer.by_water:  # what opens of itself, or forgets, must not hide that it opens without power
        still, open_wet = p.put(opens_wet(p.plant, layer, power_cuts(p.plant)), ONE)
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
    if layer.ends_water and ruled["IL-03"]:
        p.reopening.add(layer.part)
    for rule, cases in ruled.items():
        yield verdict_of(rule, ALONE, about, found, tuple(cases), p.most_faults)


def _stays_shut_full(p: Prover, layer: Layer, about: str) -> Iterator[Verdict]:
    """What trips by a level and ends with it: whether the power alone opens it while the level stands still."""
    m, found = p.put(opens_full(p.plant, layer, power_cuts(p.plant)), ONE)
    found = _if_it_shuts(p, layer, found)
    ruled: dict[str, list[Case]] = {"IL-02": [], "IL-11": []}
    for case in cases_of(m, found):
        ruled["IL-02" if _without_power(p.plant, case) else "IL-11"].append(case)
    for rule, cases in ruled.items():
        yield verdict_of(rule, ALONE, about, found, tuple(cases), ONE)


def _if_it_shuts(p: Prover, layer: Layer, found: Search) -> Search:
    """What was found of whether a layer stays shut; what never shuts cannot be said to stay so."""
    _, once = p.put(shuts(p.plant, layer), 0)
    return found if once.breaches else replace(found, finished=False)


def _without_power(plant: Plant, case: Case) -> bool:
    """Whether a circuit that a case takes the power from is still without at its end."""
    m, breach = case.machine, case.breach
    assert m is not None
    assert breach is not None
    end = breach.way[-1][1] if breach.way else breach.start
    patches = (patch for labels in case.faults for patch in plant.fault(labels[0]).patches)
    cut = (number for what, number, _ in patches if what == "force" and number in plant.circuits)
    return any(number in m.numbers and not end.bits[m.position(number)] for number in cut)


def of_sensors(p: Prover) -> Iterator[Verdict]:
    """Broken wires that nobody is told of."""
    trips = {layer.trip for layer in layers(p.plant) if layer.by_water}
    for fault in wires(p.plant):
        m, found = p.put(hidden(p.plant, fault, sorted(trips)), ONE)
        yield verdict_of("IL-15", ALONE, fault.part, found, cases_of(m, found, replay.silent()), ONE)
