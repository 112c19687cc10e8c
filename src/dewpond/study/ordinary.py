"""Who is there in ordinary days: nobody, so that nothing is disturbed; or who lives there, where that has a say.

A switch that is turned on leaving keeps water away while nobody is there, and a button waits for somebody who presses
it. What a house does by itself on an ordinary day is then that of a day with people in it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from dewpond.plant.plant import STARTS, Onset, Plant, Scenario

NOBODY: Final = "travelling"
SOMEBODY: Final = "at home"


def who(plant: Plant) -> str:
    """Who is taken to be there in ordinary days: SOMEBODY where a valve or a pump hangs on that, else NOBODY."""
    return SOMEBODY if heeded_by(plant) else NOBODY


def heeded_by(plant: Plant) -> tuple[str, ...]:
    """The parts, people apart, through which who is there opens and shuts something; in the order of their signals."""
    return plant.once("who is heeded", lambda: tuple(_heeding(plant)))


def _heeding(plant: Plant) -> list[str]:
    a = plant.arrays
    there = {one for resident in plant.residents for one in (resident.home, resident.awake, resident.travelling)}
    if not plant.hanging(there):
        return []
    first = (reader for signal in there for reader in plant.readers.get(signal, ()))
    # what reads of people by way of others, such as a row, is theirs
    near = sorted(s for s in set(first) if a.sig_owner[s] >= 0 and plant.parts[a.sig_owner[s]] not in plant.people)
    return list(dict.fromkeys(plant.parts[a.sig_owner[s]] for s in near if plant.hanging((s,))))


def ordinary(plant: Plant, horizon: float, faults: Sequence[Onset] = ()) -> Scenario:
    """An ordinary run of so long [s], from the hour at which such a run begins."""
    there = who(plant)
    return Scenario(there, horizon, tuple(faults), STARTS[there])
