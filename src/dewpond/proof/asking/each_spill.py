"""Each way in which the supply's water can get out: what stops it, and what it runs on with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dewpond.design.model import Claim
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from dewpond.proof import replay
from dewpond.proof.asking.claims import divided
from dewpond.proof.prover import ONE, TWO, Prover, cases_of, verdict_of
from dewpond.proof.questions.flooding import before, credited, runs_on
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.water import onward
from dewpond.proof.signals import order_of
from dewpond.proof.verdicts import WHOLE, Case, Pairs, Verdict, told


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
        cases = p.seen(cases_of(m, found, replay.runs_on()))
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
        if own and pair:  # only what runs on can run on untold
            m, nobody = p.put(runs_on(plant, spill, spill.gates, untold=True, only=pair), TWO)
            unheard = p.seen(cases_of(m, nobody, replay.runs_on_untold()))
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
