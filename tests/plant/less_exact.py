"""Runs of random houses that are less exact than they should be, found when newer kinds came into them.

Each is a seed, where people are, the faults, and why; each has a test that must fail, and tells when it fails no more.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import pytest

from dewpond.plant.plant import DAY, STARTS, Onset, Scenario

LESS_EXACT = [
    (4, "at home", {"stop tap: does not shut fully": 0.0, "tube: burst, in laundry": 1652.0},
     "a leak that pauses for half a second, as its tube is let off, counts as one that has ended and begun again"),
    (7, "travelling", {"float 2: does not shut tight": 0.0},
     "what seeps past a float that a small vessel lifts moves by 0.23 % of 28 L"),
    (14, "at home", {"feed valve 2: joint weeps, before the valve": 600.0},
     "of 12 mL that a line holds under pressure behind a booster, too much goes back through the membrane in one step"),
]  # fmt: skip
UNBALANCED = [
    (15, "asleep", {"reservoir: cracks": 600.0},
     "43 uL in 0.23 m3: two joints before a regulator, cut off from all water, have any number for a pressure"),
    (25, "at home", {"softener: bypass open": 0.0},
     "71 uL in 0.08 m3: at rest a bypass so wide lets by what the last digit of a pressure is worth, 5e-12 m3/s"),
    (28, "out", {"regulator: joint blows off, behind the valve": 600.0},
     "28 uL in 5.9 m3: a regulator at rest settles by turns, and the mean of two turns balances at no joint"),
]  # fmt: skip
TOLD_ALONE = {(seed, *labels) for seed, _, labels, _ in (*LESS_EXACT, *UNBALANCED)}


def told_alone(seed: int, scenario: Scenario) -> bool:
    return (seed, *(onset.label for onset in scenario.onsets)) in TOLD_ALONE


def failing(cases: Sequence[tuple[int, str, dict[str, float], str]]) -> list[Any]:
    """As cases of a test that must fail for the cause that each names."""
    marks = [[pytest.mark.slow, pytest.mark.xfail(strict=True, reason=case[3])] for case in cases]
    return [pytest.param(*case[:3], marks=own, id=str(case[0])) for case, own in zip(cases, marks, strict=True)]


def scenario_of(who: str, labels: dict[str, float]) -> Scenario:
    return Scenario(who, DAY, tuple(Onset(*one) for one in labels.items()), STARTS[who])
