"""Which runs a study makes: every fault alone, and every two faults in each order that can differ.

A drill is a run key: it holds all that its run depends on beside the plant, so equal drills give equal bytes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dewpond.plant.plant import DAY, STARTS, Onset, Plant, PlantFault, Scenario, contrary

SINCE_BEFORE = 0.0  # what stands since before stands from the first moment, in a plant in its ordinary state [s]
BEGINS = 3600.0  # when an initiator or an event comes, after the start of a run [s]
SOON = 600.0  # a second event comes so long after the first, or after a protection has acted [s]
UNSEEN = 60.0  # a protection lets go unseen so long after it has acted [s]

# Where the people are, and for how long [s]. Asleep and out lie between the two.
WHO: tuple[tuple[str, float], ...] = (("travelling", 14.0 * DAY), ("at home", DAY))

# The orders, in words that may be shown.
NOTHING_FAILS = "nothing fails"
STANDING = "standing since before"
LATER = "begins after 1 h"
BOTH_STANDING = "both standing since before"
STANDING_FIRST = "the first standing since before, the second begins after 1 h"
BOTH_LATER = "both begin after 1 h"
ONE_SOON = "the first begins after 1 h, the second 10 min later"
AFTER_TRIP = "the first, then the second once a protection has acted"


@dataclass(frozen=True)
class Drill:
    """A run key. ``horizon``: length of the run [s]; ``order``: one of the words above."""

    faults: tuple[Onset, ...]
    order: str
    who: str
    horizon: float

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(onset.label for onset in self.faults)

    @property
    def scenario(self) -> Scenario:
        return Scenario(self.who, self.horizon, self.faults, STARTS[self.who])


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
    """The run of one fault: a latent one stands since before, any other comes after an hour."""
    latent = fault.timing == "latent"
    return Drill((Onset(fault.label, begin(fault)),), STANDING if latent else LATER, who, horizon)


def begin(fault: PlantFault) -> float:
    """When a fault comes if nothing else is said [s]."""
    return SINCE_BEFORE if fault.timing == "latent" else BEGINS


def singles(plant: Plant, who: tuple[tuple[str, float], ...] = WHO) -> tuple[Drill, ...]:
    """Every fault of the plant alone, in the order of the plant, for each way of being there."""
    return tuple(single(fault, name, horizon) for name, horizon in who for fault in plant.faults)


def couples(plant: Plant) -> Iterator[tuple[PlantFault, PlantFault]]:
    """Every two faults that can stand together. One part has one hidden fault and one leak at a time."""
    for number, one in enumerate(plant.faults):
        for other in plant.faults[number + 1 :]:
            if (one.part != other.part or one.timing != other.timing) and not contrary(one, other):
                yield one, other


def pairs(
    one: PlantFault, other: PlantFault, who: str, horizon: float, trips: dict[str, float | None]
) -> Iterator[Pair]:
    """The drills of two faults in each order that can differ.

    trips  when the first protection acted in the run of each fault alone [s]; None: none did
    """
    lone = {fault.label: single(fault, who, horizon) for fault in (one, other)}
    for first, second in ((one, other), (other, one)):
        a, b = first.label, second.label
        kinds = (first.timing, second.timing)
        own = Onset(a, begin(first))
        same: tuple[tuple[int, Drill], ...] = ()
        if kinds == ("latent", "latent"):
            if first is one:
                same = ((1, lone[a]), (0, lone[b]))
                yield Pair(Drill((own, Onset(b, SINCE_BEFORE)), BOTH_STANDING, who, horizon), same)
        elif first.timing == "latent":
            yield Pair(Drill((own, Onset(b, BEGINS)), STANDING_FIRST, who, horizon), ((0, lone[b]),))
        elif kinds == ("initiator", "initiator"):
            if first is one:
                yield Pair(Drill((own, Onset(b, BEGINS)), BOTH_LATER, who, horizon))
        elif "latent" not in kinds:
            yield Pair(Drill((own, Onset(b, BEGINS + SOON)), ONE_SOON, who, horizon))
        tripped = trips[a]
        if tripped is None or second.timing == "initiator":
            continue
        wait = UNSEEN if second.timing == "latent" else SOON
        if kinds == ("initiator", "event") and tripped == BEGINS:
            continue  # the event 10 min later is the same run
        if tripped + wait < horizon:
            same = ((1, lone[a]),) if second.timing == "latent" else ()
            yield Pair(Drill((own, Onset(b, tripped + wait)), AFTER_TRIP, who, horizon), same)
