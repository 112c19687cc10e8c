"""Puts one question, and keeps count of what that took."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field, replace

from dewpond.plant.plant import Plant
from dewpond.proof.machine import Failing, Machine
from dewpond.proof.questions.sensing import says_anyway
from dewpond.proof.replay import tried
from dewpond.proof.search import MOST_STATES, Search, search
from dewpond.proof.signals import calls, is_power
from dewpond.proof.verdicts import BROKEN, HOLDS, UNFINISHED, Case, Check, Verdict

DEPTHS = (6, 8)  # how near to a trip what it hangs on is looked at first; our prior
FEW_STATES = 65_536  # with which a question to a freer machine is given up; our prior
MOST_TRIED = 12  # cases of one thing that are tried in the engine
ONE, TWO = 1, 2  # faults that a rule must bear; of water that gets out, what let it out is one of them

Asked = tuple[Machine, int]
Known = dict[Hashable, tuple[int, int, Search]]  # by question: faults and states that were allowed, and what was found


@dataclass
class Prover:
    """Puts questions, and keeps count. roles: of the parts, by name; heard: told now and then how many states all
    questions have come to; known: what has been found before, of this design or of one that is much like it."""

    plant: Plant
    roles: Mapping[str, str]
    most_faults: int
    compiled: bool
    most_states: int = MOST_STATES
    tried: bool = False  # cases are tried in the engine
    states: int = 0
    steps: int = 0
    depth: int = 0
    reopening: set[str] = field(default_factory=set)  # parts that open again by themselves
    merged: dict[tuple[str, ...], None] = field(default_factory=dict)
    heard: Callable[[int], None] | None = None
    known: Known = field(default_factory=dict)

    def without_standing(self) -> None:
        """A message that is sent while all stands as at first tells nobody of anything new: it does not count then."""
        said = {s for s in calls(self.plant) if self.put(says_anyway(self.plant, s), 0)[1].breaches}
        called = (
            one._replace(
                signals=tuple(s for s in one.signals if s not in said), soon=tuple(s for s in one.soon if s not in said)
            )
            for one in self.plant.called
        )
        self.plant = replace(self.plant, called=tuple(called)) if said else self.plant

    def put(self, asked: Asked, faults: int, most_states: int | None = None) -> tuple[Machine, Search]:
        """One question."""
        m, bad = asked
        found = self._found(m, bad, faults, most_states or self.most_states)
        self.states += found.states
        self.steps += found.steps
        self.depth = max(self.depth, found.depth)
        self.merged |= dict.fromkeys(fault.labels for fault in m.faults)
        return m, found

    def _found(self, m: Machine, bad: int, faults: int, most_states: int) -> Search:
        """What was found of the same question before, with as many faults or more; else it is looked for."""
        same = (
            m.ops,
            m.args,
            m.ins,
            m.start,
            m.pulses,
            m.turning,
            m.quantities,
            m.faults,
            *sorted(m.due.items()),
            m.settled,
            bad,
        )
        allowed, states, found = self.known.get(same, (-1, 0, None))
        if found is not None and (allowed, states) == (faults, most_states):
            return found
        if found is not None and found.finished and allowed >= faults:
            return replace(found, breaches=tuple(one for one in found.breaches if len(one.faults) <= faults))
        heard = self.heard
        told = None if heard is None else lambda states: heard(self.states + states)
        found = search(m, bad, faults, compiled=self.compiled, most_states=most_states, heard=told)
        self.known[same] = faults, most_states, found
        return found

    def seen(self, cases: tuple[Case, ...]) -> tuple[Case, ...]:
        """The first cases with whether a run of the plant comes to the same."""
        if not self.tried:
            return cases
        few = [n < MOST_TRIED and len(case.faults) <= TWO and case.confirmed is None for n, case in enumerate(cases)]
        return tuple(
            tried(self.plant, case, compiled=self.compiled) if run else case
            for case, run in zip(cases, few, strict=True)
        )

    def near_first(self, make: Callable[..., Asked], faults: int) -> tuple[Machine, Search]:
        """A question to a machine that may be cut short at a depth: first to the shorter ones. What breaks it there
        must do so in the whole one, with those faults alone; then there is nothing else."""
        for depth in DEPTHS:
            m, found = self.put(make(depth), faults, FEW_STATES)
            if found.finished and not found.breaches:
                return m, found
            if found.finished:
                sets = named(m, found)
                whole, same = self.put(make(0, labels_of(sets)), faults)
                if named(whole, same) == sets:
                    return whole, same
        return self.put(make(0, None), faults)

    def clocks_last(self, make: Callable[..., Asked], faults: int) -> tuple[Machine, Search]:
        """A question in time, first with what goes by the clock at any moment: several clocks that know nothing of each
        other have very many times in common. What breaks it there must do so by the clock, with those faults alone;
        then there is nothing else, nor is there where each set that does not holds as many faults as may come.

        Both machines do more than the house, each in its own way: with more clocks less is known of what they show
        together. Where the one with clocks is broken by what does not break the other, that one has the last word."""
        if not self.plant.clocks:
            return self.put(make(), faults)
        m, found = self.put(make(clocks=False), faults)
        if not found.breaches:
            return m, found
        sets = named(m, found)
        whole, same = self.put(make(only=labels_of(sets)), faults)
        kept = named(whole, same)
        if found.finished and any(not any(one <= other for one in sets) for other in kept):
            return m, found
        refuted = sets - kept
        if not found.finished or not same.finished or all(len(one) == faults for one in refuted):
            return whole, replace(same, finished=found.finished and (same.finished or not refuted))
        return self.put(make(), faults)


def named(m: Machine, found: Search) -> frozenset[frozenset[tuple[str, ...]]]:
    """The smallest sets of faults, by their labels."""
    return frozenset(frozenset(m.faults[f].labels for f in breach.faults) for breach in found.breaches)


def labels_of(sets: frozenset[frozenset[tuple[str, ...]]]) -> set[str]:
    """All labels in sets of faults."""
    return {label for labels in sets for one in labels for label in one}


def cases_of(m: Machine, found: Search, check: Check | None = None) -> tuple[Case, ...]:
    """How a rule is broken, the smallest sets of faults first. What may come again by another fault that does the same
    is told once where it comes once."""
    cases: dict[tuple[Failing, ...], Case] = {}
    for breach in found.breaches:
        kinds = [m.faults[f]._replace(labels=()) for f in breach.faults]
        own = [
            tuple(label for one in m.faults if one._replace(labels=()) == kind for label in one.labels)
            if kinds.count(kind) == 1
            else m.faults[f].labels
            for f, kind in zip(breach.faults, kinds, strict=True)
        ]
        cases.setdefault(tuple(sorted(kinds, key=repr)), Case(tuple(own), m, breach, check))
    return tuple(sorted(cases.values(), key=lambda case: (len(case.faults), case.faults)))


def verdict_of(
    rule: str, setting: str, about: str, found: Search, cases: tuple[Case, ...], faults: int, bears: int = ONE
) -> Verdict:
    """A rule is broken by what takes no more faults than it must bear; sets of more are told beside."""
    broken = any(len(case.faults) <= bears for case in cases)
    verdict = BROKEN if broken else HOLDS if found.finished else UNFINISHED
    return Verdict(rule, setting, about, verdict, cases, found.states, found.depth, faults)


def has_cut(plant: Plant, case: Case) -> bool:
    """Whether one of the faults of a case takes the power from a circuit."""
    return any(is_power(plant, label) for labels in case.faults for label in labels)
