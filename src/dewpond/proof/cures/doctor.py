"""What mends a house that breaks a rule: edits of its design, each tried before it is told as a cure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import chain
from typing import Final

from dewpond.design.checks import check
from dewpond.design.model import Design
from dewpond.parts.base import Kind
from dewpond.plant.plant import Plant
from dewpond.proof.cures import of_dryness, of_layers, of_vessels, of_water
from dewpond.proof.cures.edits import Edit, Edits, Matter
from dewpond.proof.cures.stopped import stopped_by
from dewpond.proof.cures.written import is_read
from dewpond.proof.prover import TWO
from dewpond.proof.search import UnsettledError
from dewpond.proof.verdicts import ALONE, BROKEN, HOLDS, UNFINISHED, Cure, Pairs, Verdict

MOST_TRIES = 12  # of a verdict
MOST_TOLD = 2  # cures of a verdict that are told
UNTOLD = "IL-14"

Groups = Sequence[Iterator[Verdict]]  # the verdicts of each group of questions, asked as they are read
Again = Callable[[Design], tuple[Groups, Sequence[Pairs]]]

MAKERS: Final[Mapping[str, tuple[Callable[[Matter], Edits], ...]]] = {
    "IL-01": (of_layers.turned_sense,),
    "IL-02": (of_layers.shuts_unpowered,),
    "IL-03": (of_layers.stays_shut,),
    "IL-04": (of_water.moved_ahead, of_water.claims_less),
    "IL-05": (of_water.seen_by, of_water.probe_laid, of_water.probe_added, of_water.claims_less),
    "IL-06": (of_water.shared,),
    "IL-07": (of_layers.heard,),
    "IL-08": (of_vessels.not_too_long,),
    "IL-08b": (of_vessels.stopped_by_limits,),
    "IL-09": (of_dryness.told_before_dry,),
    "IL-10": (of_dryness.told_all_the_same,),
    "IL-11": (of_layers.remembers,),
    "IL-12": (of_layers.re_armed_when,),
    "IL-13": (of_layers.ends_itself,),
    "IL-14": (of_water.tells, of_water.probe_added),
    "IL-15": (of_layers.opens_when_cut,),
    "IL-16": (of_layers.rests,),
    "IL-17": (of_layers.stops_win,),
    "IL-18": (of_vessels.stopped_by_contact,),
}


@dataclass
class Doctor:
    """Finds what mends a design. verdicts: what was found of it, each with the number of its group; again: asks all
    groups of another design, with one fault at a time where a rule must bear one, and lists what its water runs on
    with as that is asked."""

    design: Design
    plant: Plant
    kinds: Mapping[str, Kind]
    verdicts: Sequence[tuple[int, Verdict]]
    again: Again
    tried: dict[tuple[str, int], _Trial] = field(default_factory=dict)

    @cached_property
    def objections(self) -> frozenset[tuple[str, str]]:
        """What the checks object to in the design as it stands."""
        return _objections(self.design)

    def healed(self, group: int, verdict: Verdict) -> Verdict:
        """A broken rule with what mends it, and what would have stopped its first case."""
        if verdict.verdict != BROKEN or not verdict.cases:
            return verdict
        m = Matter(self.design, self.plant, self.kinds, verdict)
        return replace(verdict, cures=self._cures(m, group), stopped_by=stopped_by(m))

    def _cures(self, m: Matter, group: int) -> tuple[Cure, ...]:
        """One that breaks nothing else, if there is one, and beside it one that brings up only what was not asked
        before, for that may be the smaller work; else the least harmful one and what cannot be tried."""
        sound, harmful, untried = list[Cure](), list[Cure](), list[Cure]()
        tries = 0
        for edit in chain.from_iterable(make(m) for make in _makers(m.verdict)):
            if edit.design is None:
                untried.append(Cure(edit.text, edit.line, None))
                continue
            tries += 1
            if tries > MOST_TRIES:
                break
            cure = self._tried(m.verdict, group, edit)
            if cure is not None and not cure.also_broken:
                sound.append(cure)
                break
            harmful += [cure] if cure is not None else []
        if sound:
            asked = {(v.rule, _head(v.about)) for _, v in self.verdicts}
            mild = [one for one in harmful if not asked & {(rule, _head(about)) for rule, about in one.also_broken}]
            return (*sound, *mild)[:MOST_TOLD]
        harmful.sort(key=lambda cure: len(cure.also_broken))
        return (*harmful[:1], *untried)[:MOST_TOLD]

    def _tried(self, verdict: Verdict, group: int, edit: Edit) -> Cure | None:
        """The edit as a cure; None where the rule is broken all the same, or the search was cut off."""
        trial = self.tried.get((edit.text, edit.line))
        if trial is None:
            trial = self.tried[edit.text, edit.line] = _Trial(*self._asked(edit))
        try:
            if not _holds(verdict, trial.group(group), trial.pairs):
                return None
            broken = self._broken_by_it(trial.all())
        except UnsettledError:
            return None
        return None if broken is None else Cure(edit.text, edit.line, True, broken)

    def _asked(self, edit: Edit) -> tuple[Groups, Sequence[Pairs]]:
        """The groups of an edited design; none where the checks object to it, or the reader to what is told of it."""
        assert edit.design is not None
        if _objections(edit.design) - self.objections or not is_read(self.design, edit.text, edit.line):
            return (), ()
        return self.again(edit.design)

    def _broken_by_it(self, after: Sequence[Verdict]) -> tuple[tuple[str, str], ...] | None:
        """Rules that held before and now do not, and of what; None where that was not found out. What is asked in other
        words then, as of a row that has changed, stands for what is not asked any more of the same part or vessel."""
        was = [v for _, v in self.verdicts]
        asked, asks = {_question(v) for v in was}, {_question(v) for v in after}
        bad = Counter(_question(v) for v in was if v.verdict != HOLDS)
        gone = Counter(_of_same(v) for v in was if v.verdict != HOLDS and _question(v) not in asks)
        found = []
        for v in (v for v in after if v.verdict != HOLDS):
            left, key = (bad, _question(v)) if _question(v) in asked else (gone, _of_same(v))
            left[key] -= 1
            if left[key] < 0:
                if v.verdict == UNFINISHED:
                    return None
                found.append((v.rule, v.about))
        return tuple(dict.fromkeys(found))


@dataclass
class _Trial:
    """What is found of an edited design, asked group by group and as far as it is needed."""

    groups: Groups
    pairs: Sequence[Pairs]
    found: dict[int, tuple[Verdict, ...]] = field(default_factory=dict)

    def group(self, number: int) -> tuple[Verdict, ...]:
        """The verdicts of one group; none where nothing was asked. Raises UnsettledError. The first one is asked before
        all others, which are told by it what opens again by itself."""
        for one in (0, number) if self.groups else ():
            if one not in self.found:
                self.found[one] = tuple(self.groups[one])
        return self.found.get(number, ())

    def all(self) -> list[Verdict]:
        """Those of all groups. Raises UnsettledError."""
        return [verdict for number in range(len(self.groups)) for verdict in self.group(number)]


def _objections(design: Design) -> frozenset[tuple[str, str]]:
    return frozenset((finding.code, finding.where) for finding in check(design) if finding.level != "note")


def _makers(verdict: Verdict) -> tuple[Callable[[Matter], Edits], ...]:
    """What proposes edits for a rule. A box that hangs opens a valve only where that opens without power."""
    if verdict.rule == "IL-18" and verdict.setting == ALONE:
        return MAKERS["IL-02"]
    return MAKERS.get(verdict.rule, ())


def _holds(before: Verdict, after: Sequence[Verdict], pairs: Sequence[Pairs]) -> bool:
    """Whether the same rule was asked of the same thing, and held; of a layer whose words have changed with its row,
    of all layers of its part. Where water no longer runs on with two faults, nobody need be told that it does. Of a
    valve that now stands before a leak, as it is claimed, it is asked whether it stops it."""
    asked = before.rule, before.setting, before.claimed
    if before.claimed and before.rule == "IL-04" and not any((v.rule, v.setting, v.claimed) == asked for v in after):
        asked = "IL-05", before.setting, before.claimed
    mine = [v for v in after if (v.rule, v.setting, v.claimed) == asked]
    same = [v for v in mine if v.about == before.about]
    if before.rule == UNTOLD and not same:
        own = [pair for pair in pairs if pair.about == before.about and pair.finished]
        return bool(own) and not any(len(case.faults) <= TWO for pair in own for case in pair.cases)
    same = same or [v for v in mine if _head(v.about) == _head(before.about)]
    return bool(same) and all(v.verdict == HOLDS for v in same)


def _question(v: Verdict) -> tuple[str, str, tuple[str, ...], str]:
    """What was asked."""
    return v.rule, v.setting, v.claimed, v.about


def _of_same(v: Verdict) -> tuple[str, str, tuple[str, ...], str]:
    """What was asked, whatever the words for what is asked of a part or vessel."""
    return v.rule, v.setting, v.claimed, _head(v.about)


def _head(about: str) -> str:
    """The part or vessel at the head of what a verdict is about; no name has a colon."""
    return about.split(": ", maxsplit=1)[0]
