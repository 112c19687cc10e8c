"""What the file claims of its protections, held against what a search finds.

A claim names layers of which each shall stop by itself the water that gets out somewhere. Each is asked alone, with
nothing else failed; then only those named are counted, and the smallest sets of faults with which the water runs on
must be larger than their number: what lets it out, and one fault for each. Whatever else stands there does not count.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from dewpond.design.model import Claim
from dewpond.plant.plant import Plant
from dewpond.proof import replay
from dewpond.proof.prover import ONE, Prover, cases_of, verdict_of
from dewpond.proof.questions.flooding import runs_on
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.water import Spill, narrowed, spills
from dewpond.proof.verdicts import ALONE, BROKEN, READ, WHOLE, Case, Verdict, told


def divided(plant: Plant, claims: Sequence[Claim]) -> Iterator[tuple[Spill, tuple[Claim, ...]]]:
    """Every spill with the claims that speak of it; where they speak of some of its faults only, in two or more."""
    for spill in spills(plant):
        alike: dict[tuple[Claim, ...], list[str]] = {}
        for label in spill.labels:
            mine = tuple(claim for claim in claims if _speaks_of(plant, claim, spill, label))
            alike.setdefault(mine, []).append(label)
        for mine, labels in alike.items():
            yield narrowed(spill, labels), mine


def _speaks_of(plant: Plant, claim: Claim, spill: Spill, label: str) -> bool:
    """Whether a claim is about the water that one fault of a spill lets out."""
    return claim.name == (plant.places[spill.place].name if claim.into else plant.fault(label).part)


def of_claims(p: Prover, claims: Sequence[Claim]) -> Iterator[Verdict]:
    """Every claim, spill by spill. One that speaks of no water at all is broken: nothing could hold of it."""
    every = list(divided(p.plant, claims))
    for claim in claims:
        own = [spill for spill, mine in every if claim in mine]
        for spill in own:
            yield from _of_spill(p, claim, spill)
        if not own:
            yield Verdict("IL-06", READ, claim.about, BROKEN, (Case(()),), line=claim.line, claimed=claim.layers)


def _of_spill(p: Prover, claim: Claim, spill: Spill) -> Iterator[Verdict]:
    plant, about = p.plant, told(spill.labels)
    gates = {name: _gates_of(plant, name) for name in claim.layers}
    for name, own in gates.items():
        m, found = p.put(runs_on(plant, spill, own, only=spill.labels), ONE)
        stands = all(own & way for way in spill.ways)
        cases = cases_of(m, found)
        if not stands and not cases:  # nothing that it shuts could stop this water
            cases = (Case((spill.labels,)),)
        alone = verdict_of("IL-05" if stands else "IL-04", ALONE, about, found, cases, ONE)
        yield replace(alone, line=claim.line, claimed=(name,))
        if stands and name in p.reopening:  # what has stopped comes back
            yield Verdict("IL-03", ALONE, about, BROKEN, (Case((spill.labels,)),), line=claim.line, claimed=(name,))
    many = len(claim.layers)
    if many > 1:
        named = frozenset().union(*gates.values())
        others = {layer.gate for layer in layers(plant) if layer.ends_water} - named
        faults = max(p.most_faults, many)  # what lets it out is one of them
        m, found = p.put(runs_on(plant, spill, named), faults)
        # what is not counted here stops it in a run all the same
        cases = cases_of(m, found, None if others.intersection(spill.gates) else replay.runs_on())
        whole = verdict_of("IL-06", WHOLE, about, found, cases, faults, bears=many)
        yield replace(whole, line=claim.line, claimed=claim.layers)


def _gates_of(plant: Plant, name: str) -> frozenset[int]:
    """The gates of a part that water on a floor shuts, or so much that has run."""
    return frozenset(layer.gate for layer in layers(plant) if layer.ends_water and layer.part == name)
