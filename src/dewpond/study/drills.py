"""Which runs a study makes: every fault alone, and every two faults in each order that can differ.

A drill is a run key: it holds all that its run depends on beside the plant, so equal drills give equal bytes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from dewpond.plant.plant import DAY, STARTS, Lying, Onset, Plant, PlantFault, Scenario, contrary

SINCE_BEFORE = 0.0  # what stands since before stands from the first moment, in a plant in its ordinary state [s]
BEGINS = 3600.0  # when an initiator or an event comes, after the start of a run [s]
SOON = 600.0  # a second event comes so long after the first, or after a protection has acted [s]
UNSEEN = 60.0  # a protection lets go unseen so long after it has acted [s]
WAITS = -1.0  # the time of a fault that waits for something
USUAL = {"latent": SINCE_BEFORE, "triggered": WAITS}  # any other begins

# Where the people are, and for how long [s].
LENGTHS = {"travelling": 14.0 * DAY, "at home": DAY, "asleep": DAY, "out": DAY}
WHO: tuple[tuple[str, float], ...] = tuple((who, LENGTHS[who]) for who in ("travelling", "at home"))

# The orders, in words that may be shown.
NOTHING_FAILS = "nothing fails"
STANDING = "standing since before"
LATER = "begins after 1 h"
BY_ITSELF = "comes at its own moment"
BOTH_STANDING = "both standing since before"
STANDING_FIRST = "the first standing since before, the second begins after 1 h"
BOTH_LATER = "both begin after 1 h"
ONE_SOON = "the first begins after 1 h, the second 10 min later"
AFTER_TRIP = "the first, then the second once a protection has acted"
STANDING_THEN = "the first standing since before, the second comes at its own moment"
THEN_BY_ITSELF = "the first begins, then the second comes at its own moment"
BY_ITSELF_FIRST = "the first comes at its own moment, the second 10 min later"
BOTH_BY_THEMSELVES = "each comes at its own moment"


class Drill(NamedTuple):
    """A run key. ``horizon``: length of the run [s]; ``order``: one of the words above; ``lying``: the floor it happens
    on, None where none has a plan."""

    faults: tuple[Onset, ...]
    order: str
    who: str
    horizon: float
    lying: Lying | None = None

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(onset.label for onset in self.faults)

    @property
    def scenario(self) -> Scenario:
        return Scenario(self.who, self.horizon, self.faults, STARTS[self.who], self.lying)


@dataclass(frozen=True)
class Pair:
    """A drill with two faults. ``same_as``: (number of the fault that must have met nothing, drill of the other one
    alone) - the outcome of any of these may be copied."""

    drill: Drill
    same_as: tuple[tuple[int, Drill], ...] = ()


def normal(who: str, horizon: float) -> Drill:
    """The run in which nothing fails."""
    return Drill((), NOTHING_FAILS, who, horizon)


def single(fault: PlantFault, who: str, horizon: float) -> Drill:
    """The run of one fault: a latent one stands since before, a triggered one comes at its moment, any other after an
    hour."""
    order = {"latent": STANDING, "triggered": BY_ITSELF}.get(fault.timing, LATER)
    return Drill((usual(fault),), order, who, horizon)


def usual(fault: PlantFault) -> Onset:
    """A fault at the time at which it comes if nothing else is said."""
    return Onset(fault.label, USUAL.get(fault.timing, BEGINS))


def singles(plant: Plant, who: tuple[tuple[str, float], ...] = WHO) -> tuple[Drill, ...]:
    """Every fault of the plant alone, in the order of the plant, for each way of being there."""
    return tuple(single(fault, name, horizon) for name, horizon in who for fault in plant.faults)


def couples(plant: Plant) -> Iterator[tuple[PlantFault, PlantFault]]:
    """Every two faults that can stand together. One part has one hidden fault and one leak at a time."""
    for number, one in enumerate(plant.faults):
        for other in plant.faults[number + 1 :]:
            alike = _sort(one) == _sort(other)
            if (one.part != other.part or not alike) and not contrary(one, other):
                yield one, other


def _sort(fault: PlantFault) -> str:
    """The timing of a fault; one that comes at a moment of its own is as hidden as one that stands."""
    return "latent" if fault.timing == "triggered" else fault.timing


@dataclass(frozen=True)
class Alone:
    """What the run of each fault alone showed, by label. ``tripped``: when the first protection acted after it [s];
    ``came``: when a fault with a moment of its own came [s]. None: none did, it did not."""

    tripped: Mapping[str, float | None]
    came: Mapping[str, float | None]


def pairs(one: PlantFault, other: PlantFault, who: str, horizon: float, alone: Alone) -> Iterator[Pair]:
    """The drills of two faults in each order that can differ."""
    for first, second in ((one, other), (other, one)):
        timings = (first.timing, second.timing)
        if timings == ("triggered", "triggered"):
            if first is one:
                yield Pair(Drill((usual(one), usual(other)), BOTH_BY_THEMSELVES, who, horizon), ())
        elif "triggered" in timings:
            yield from _by_itself(first, second, who, horizon, alone)
        else:
            yield from _by_the_clock(first, second, first is one, who, horizon)
        yield from _after_trip(first, second, who, horizon, alone)


def _by_the_clock(first: PlantFault, second: PlantFault, once: bool, who: str, horizon: float) -> Iterator[Pair]:
    """Two faults that come at times of the clock. ``once``: this is the order in which a pair is made whose order makes
    no difference."""
    own, then = usual(first), usual(second)
    timings = (first.timing, second.timing)
    if timings == ("latent", "latent"):
        if once:
            same = (1, single(first, who, horizon)), (0, single(second, who, horizon))
            yield Pair(Drill((own, then), BOTH_STANDING, who, horizon), same)
    elif first.timing == "latent":
        yield Pair(Drill((own, then), STANDING_FIRST, who, horizon), ((0, single(second, who, horizon)),))
    elif timings == ("initiator", "initiator"):
        if once:
            yield Pair(Drill((own, then), BOTH_LATER, who, horizon))
    elif second.timing != "latent":
        yield Pair(Drill((own, Onset(second.label, BEGINS + SOON)), ONE_SOON, who, horizon))


def _by_itself(first: PlantFault, second: PlantFault, who: str, horizon: float, alone: Alone) -> Iterator[Pair]:
    """Two faults of which one comes at a moment of its own: the other before it, and 10 min after it."""
    lone = [single(fault, who, horizon) for fault in (first, second)]
    if second.timing == "triggered":
        came = alone.came[second.label]
        own = usual(first)
        if first.timing == "latent":
            yield Pair(Drill((own, usual(second)), STANDING_THEN, who, horizon), ((0, lone[1]), (1, lone[0])))
            return
        same: tuple[tuple[int, Drill], ...] = ((1, lone[0]),)
        if came is not None and came <= BEGINS:  # halfway to that moment, or it would not be the first
            own, same = Onset(first.label, came / 2.0), ()
        yield Pair(Drill((own, usual(second)), THEN_BY_ITSELF, who, horizon), same)
    elif second.timing != "latent":
        came = alone.came[first.label]
        if came is not None and came + SOON < horizon:
            yield Pair(Drill((usual(first), Onset(second.label, came + SOON)), BY_ITSELF_FIRST, who, horizon))


def _after_trip(first: PlantFault, second: PlantFault, who: str, horizon: float, alone: Alone) -> Iterator[Pair]:
    """The second fault once a protection has acted on the first. No leak waits for that, and what has a moment of its
    own comes then."""
    tripped = alone.tripped[first.label]
    if tripped is None or second.timing in ("initiator", "triggered"):
        return
    begun = alone.came.get(first.label) if first.timing == "triggered" else BEGINS
    if first.timing != "latent" and second.timing == "event" and tripped == begun:
        return  # the event 10 min later is the same run
    wait = UNSEEN if second.timing == "latent" else SOON
    if tripped + wait < horizon:
        same = ((1, single(first, who, horizon)),) if second.timing == "latent" else ()
        yield Pair(Drill((usual(first), Onset(second.label, tripped + wait)), AFTER_TRIP, who, horizon), same)
