"""Puts every question to every thing in the house that it is about.

A question is first put to a machine in which much is free to change of itself; only where that breaks the rule is it
put to the whole one, and only where that does are delays given their time. What is free only adds behaviour, so what
holds there holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import chain

from dewpond.design.model import Design
from dewpond.parts.base import Kind
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.proof.asking.claims import of_claims
from dewpond.proof.asking.each_layer import of_layers, of_sensors
from dewpond.proof.asking.each_spill import of_spills
from dewpond.proof.asking.each_vessel import of_dryness, of_vessels
from dewpond.proof.asking.reading import read_rules
from dewpond.proof.cures.doctor import Doctor
from dewpond.proof.open_answers import others_of, told_of, try_others
from dewpond.proof.prover import ONE, Known, Prover
from dewpond.proof.search import MOST_STATES
from dewpond.proof.story import fits
from dewpond.proof.verdicts import BROKEN, Case, Otherwise, Pairs, Proof, Verdict

Heard = Callable[[int, int, str], None]


def _with_runs(p: Prover, verdict: Verdict) -> Verdict:
    """A broken rule with its cases tried in the engine; what a run has come to stands first among those of few faults,
    and what no times fit last."""
    if verdict.verdict != BROKEN:
        return verdict
    cases = sorted(p.seen(verdict.cases), key=partial(_rank, p.plant))
    return replace(verdict, cases=tuple(cases))


def _rank(plant: Plant, case: Case) -> tuple[int, bool, bool]:
    return len(case.faults), not case.confirmed, not fits(plant, case)


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
    p.without_standing()
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
    answered: bool = False,
    cured: bool = False,
    heard: Heard | None = None,
) -> Proof:
    """All rules, with at most so many faults at a time; ``tried``: ways in which a rule is broken, or water runs on,
    are tried in the engine; ``answered``: all rules are asked again with each other answer to what the file leaves
    open; ``cured``: what mends each rule is looked for."""
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
    others: dict[int, list[Otherwise]] = {}
    answered = answered and bool(others_of(design))
    steps = len(GROUPS) + answered + cured
    stopped = False
    try:
        for number, group in enumerate(_asked(p, design, kinds, pairs)):
            p.heard = None if heard is None else partial(_tell, heard, number, steps, GROUPS[number], verdicts)
            for verdict in group:
                found.append((number, verdict))
                # one by one: who stops it is told those, and how many there are is shown meanwhile
                verdicts.append(_with_runs(p, verdict))
        if answered:
            hear = partial(heard, len(GROUPS), steps) if heard is not None else lambda _: None
            try_others(design, plant, verdicts, lambda edited: chain(*again(edited)[0]), others, hear)
        doctor = Doctor(design, plant, kinds, found, again)
        for place, (number, _) in enumerate(found if cured else ()):
            verdicts[place] = doctor.healed(number, verdicts[place])
            if heard is not None:
                heard(len(GROUPS) + answered, steps, f"what would mend it, {place + 1} of {len(found)} answers")
    except KeyboardInterrupt:  # what was found until then is told
        stopped = True
    classes = tuple(labels for labels in p.merged if len(labels) > 1)
    faults = len({label for labels in p.merged for label in labels})
    open_ = told_of(design, others) if answered else ()
    return Proof(
        most_faults, tuple(verdicts), tuple(pairs), p.states, p.steps, p.depth, faults, classes, stopped, open_
    )
