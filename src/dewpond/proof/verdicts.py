"""What a proof found: for each rule and each thing that it is about, whether it holds, and how it is broken."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.proof.machine import Machine
from dewpond.proof.search import Breach

HOLDS, BROKEN, UNFINISHED = "holds", "broken", "not finished"
ALONE, WHOLE, READ = "each layer alone", "the whole", "read in the file"
RULES = (*(f"IL-{number:02}" for number in range(1, 9)), "IL-08b", *(f"IL-{number:02}" for number in range(9, 19)))


Check = Callable[[Plant, Trace], bool]  # whether a run comes to what must not be


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
    that is filled, up to which height [m] it bears that, and why ("rim" or "salt"); claimed: the parts of which the
    file claims, in that line, that each stops it by itself; one alone was asked of itself; cures: what mends it;
    stopped_by: what stands in the way of its first case and why that did not act, figures as ``parts.base.amount`` has
    them."""

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
class Proof:
    """All of it. steps: changes tried; classes: faults that did the same somewhere, merged; hidden: broken wires that
    nothing tells."""

    most_faults: int
    verdicts: tuple[Verdict, ...]
    pairs: tuple[Pairs, ...]
    states: int
    steps: int
    depth: int
    faults: int
    classes: tuple[tuple[str, ...], ...]
    stopped: bool = False


def told(labels: tuple[str, ...]) -> str:
    """Faults that do the same, in few words."""
    return labels[0] if len(labels) == 1 else f"{labels[0]} (and {len(labels) - 1} like it)"
