"""A ruler that was read and that runs do not use: they evaporate by the figures of the tanks."""

from __future__ import annotations

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import DAY
from dewpond.report.views.shown import Shown, joined

RULED, GIVEN = "measured evaporation", "evaporation"


def not_used(design: Design, told: Consequence, shown: Shown) -> tuple[str, ...]:
    """That a run of a design with a ruler evaporates by other figures, how much, and what to write instead."""
    ruled = [part.name for part in design.parts if part.get(RULED)]
    if not ruled or told.horizon <= 0.0:
        return ()
    may = {word for word, kind in KINDS.items() if any(param.key == GIVEN for param in kind.params)}
    tanks = [part.name for part in design.parts if part.kind in may and part.get(GIVEN) is None]
    a_day = shown.litres(told.water.evaporated * DAY / told.horizon)
    figures = f"the figures of {joined(tanks)}" if tanks else "the “evaporation” that the file gives"
    what = (
        f"The ruler in {joined(ruled)} (“{RULED}”) is not used in runs: by {figures} this one evaporates {a_day} a "
        "day. `dewpond year` and `dewpond limits` do use it, so their litres may be others."
    )
    if not tanks:
        return (what,)
    return (f"{what} Write what the ruler says of each tank as its “{GIVEN}”, and runs have it too.",)
