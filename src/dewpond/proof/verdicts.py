"""What a proof found: for each rule and each thing that it is about, whether it holds, and how it is broken."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from dewpond.design.model import Unknown
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.proof.machine import Machine
from dewpond.proof.search import Breach

HOLDS, BROKEN, UNFINISHED = "holds", "broken", "not finished"
ALONE, WHOLE, READ = "each layer alone", "the whole", "read in the file"
RULES = (*(f"IL-{number:02}" for number in range(1, 9)), "IL-08b", *(f"IL-{number:02}" for number in range(9, 19)))


class Check(NamedTuple):
    """Whether a run comes to what must not be, and for how long it must go on for that after the last thing that its
    story tells [s]."""

    test: Callable[[Plant, Trace], bool]
    lasts: float


@dataclass(frozen=True)
class Case:
    """One smallest set of faults with which a rule is broken: classes of faults that do the same, and the shortest way
    there in a machine; no machine where the file says so by itself. check: whether a run of the engine comes to the
    same; confirmed: whether it did, None where it was not tried."""

    faults: tuple[tuple[str, ...], ...]
    machine: Machine | None = None
    breach: Breach | None = None
    check: Check | None = field(default=None, compare=False, repr=False)
    confirmed: bool | None = None


@dataclass(frozen=True)
class Cure:
    """What would mend it. text: what to do, with what to write in the file between ` and `; line: of what that changes;
    rule_holds: the rule was asked again of the design so edited, and held; None: it cannot be tried, such as a date;
    also_broken: rules that held before and then do not, and of what."""

    text: str
    line: int
    rule_holds: bool | None
    also_broken: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Verdict:
    """rule: one of RULES; setting: ALONE, WHOLE or READ; about: a part, a spill or a vessel, in the design's words;
    most_faults: at most so many failed beside what it begins with; line: of the file, 0 for none; bears: of a vessel
    that is filled, up to which height [m] it bears that, and why, as in questions.dosing.Dose; claimed: the parts of
    which the file claims, in that line, that each stops it by itself; one alone was asked of itself; cures: what mends
    it; stopped_by: what stands in the way of its first case and why that did not act, figures as ``parts.base.amount``
    has them."""

    rule: str
    setting: str
    about: str
    verdict: str
    cases: tuple[Case, ...] = ()
    states: int = 0
    depth: int = 0
    most_faults: int = 0
    line: int = 0
    bears: tuple[float, str] | None = None
    claimed: tuple[str, ...] = ()
    cures: tuple[Cure, ...] = ()
    stopped_by: tuple[str, ...] = ()


@dataclass(frozen=True)
class Pairs:
    """What a spill takes to run on: the smallest sets of faults; layers: what stops it when nothing else fails;
    claimed: lines of the file that claim by what it is stopped."""

    about: str
    places: tuple[str, ...]
    layers: tuple[str, ...]
    reopening: tuple[str, ...]  # of these, what opens again by itself, so that the water comes back
    cases: tuple[Case, ...]
    untold: tuple[Case, ...]  # of those with two faults: with nobody told of the water
    finished: bool
    claimed: tuple[int, ...] = ()


@dataclass(frozen=True)
class Otherwise:
    """What another answer changes than the one that the proof took. broken: as found with it, and not so with the one
    taken; mended: as found with the one taken, and not so with it; unfinished: its searches that were cut off and were
    not with the one taken; whole: all was asked; False: it was stopped by hand, or does not come to rest."""

    answer: Any
    broken: tuple[Verdict, ...] = ()
    mended: tuple[Verdict, ...] = ()
    unfinished: tuple[Verdict, ...] = ()
    whole: bool = True


@dataclass(frozen=True)
class OpenAnswer:
    """A key that the file leaves open, and what came of each other answer as far as they were tried. line: of the key,
    or of its part where it was left out."""

    unknown: Unknown
    line: int
    others: tuple[Otherwise, ...]

    @property
    def untried(self) -> tuple[Any, ...]:
        """Answers that were not come to."""
        here = (self.unknown.taken, *(other.answer for other in self.others))
        return tuple(value for value in self.unknown.tried if value not in here)

    @property
    def tried(self) -> bool:
        """Whether every other answer was asked to its end."""
        return not self.untried and all(other.whole for other in self.others)


@dataclass(frozen=True)
class Proof:
    """All of it, with the answers that were taken where the file leaves one open. steps: changes tried; classes: faults
    that did the same somewhere, merged; open: what other answers change."""

    most_faults: int
    verdicts: tuple[Verdict, ...]
    pairs: tuple[Pairs, ...]
    states: int
    steps: int
    depth: int
    faults: int
    classes: tuple[tuple[str, ...], ...]
    stopped: bool = False
    open: tuple[OpenAnswer, ...] = ()

    @property
    def otherwise(self) -> tuple[Verdict, ...]:
        """Broken with another answer than the one taken."""
        return tuple(verdict for key in self.open for other in key.others for verdict in other.broken)


def told(labels: tuple[str, ...]) -> str:
    """Faults that do the same, in few words."""
    return labels[0] if len(labels) == 1 else f"{labels[0]} (and {len(labels) - 1} like it)"


def is_told_first(label: str, about: str) -> bool:
    """Whether a fault is the one that ``told`` names. A name may have words in brackets as well."""
    return about == label or first_of(about) == label


def first_of(about: str) -> str:
    """The fault that ``told`` names, without how many are like it."""
    return re.sub(r" \(and \d+ like it\)$", "", about)
