"""All sizing and build checks of a design in one season, beside its flows. What they may object to:

S230  a unit runs most of the day for what ordinary days take
S231  a valve that the water moves gets too little of it in a fill
S232  a valve that shuts lets the pressure rise above what stands before it bears
S233  water runs on through an end while its pump stands still
S234  a supply that sags draws a vessel back through an end under water
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dewpond.design.cables import Lead, leads
from dewpond.design.model import Design
from dewpond.design.reach import SensorLead, Shopping, Tube, sensor_leads, shopping, tubes
from dewpond.design.scout import scout
from dewpond.parts import KINDS
from dewpond.plant.plant import DAY, Plant
from dewpond.study.filling import NO_FLOW, look
from dewpond.study.flows import Flows
from dewpond.study.outcome import Remark
from dewpond.study.sizing.bores import Stretch, stretches
from dewpond.study.sizing.hammer import Slam, slams
from dewpond.study.sizing.losses import Budget, boosters, budgets
from dewpond.study.sizing.open_ends import BACK, YES, End, ends
from dewpond.study.sizing.servos import Servo, servos
from dewpond.study.sizing.what_if import Case, cases

WEAK_SHARE = 0.6  # of the pressure of its rating below which a membrane is called weakly driven [1]; our prior
LONG_DUTY = 0.5  # share of a day that a unit may run for what is used in one [1]; our prior


@dataclass(frozen=True)
class Sizing:
    """``season``: whose water was taken. daily: product that ordinary days take, a day [m3]; None where that is not
    known. boosters: parts whose pump presses water through a membrane."""

    season: str
    budgets: tuple[Budget, ...]
    cases: tuple[Case, ...]
    daily: float | None
    stretches: tuple[Stretch, ...]
    servos: tuple[Servo, ...]
    leads: tuple[Lead, ...]
    slams: tuple[Slam, ...]
    ends: tuple[End, ...]
    tubes: tuple[Tube, ...]
    sensor_leads: tuple[SensorLead, ...]
    shopping: Shopping
    boosters: tuple[str, ...] = ()

    def duty(self, case: Case) -> float | None:
        """Share of a day in which the unit must run for what ordinary days take, in some case [1]."""
        if self.daily is None:
            return None
        return self.daily / (case.product * DAY) if case.product > NO_FLOW else float("inf")


def size(design: Design, plant: Plant, table: Flows, compiled: bool | None = None) -> Sizing:
    """The checks for the plant of one season, with its table of flows. ``compiled`` as in engine.run."""
    looked, found = look(plant, compiled), scout(design, KINDS)
    every = tubes(design, found, KINDS)
    made = sum(product.volume for product in table.products)
    return Sizing(
        plant.season,
        budgets(plant, design, looked),
        cases(plant, compiled),
        made * DAY / table.days if table.products and not table.wet else None,
        stretches(plant, looked, compiled),
        servos(plant, looked),
        leads(design, KINDS),
        slams(plant, design, looked, compiled),
        ends(plant, design),
        every,
        sensor_leads(design, found, KINDS),
        shopping(design, every, KINDS),
        boosters(plant),
    )


def remarks(sizing: Sizing) -> Iterator[Remark]:
    """What is wrong of it: codes S230 to S234."""
    yield from _weak(sizing)
    for one in sizing.servos:
        if one.makes < one.needs:
            yield Remark("S231", "note", (one.part,), {"needs": one.needs, "makes": one.makes, "flow": one.flow})
    for slam in sizing.slams:
        over = [knock for knock in slam.knocks if slam.peak(knock) > slam.bears]
        if over:
            sure = not over[0].broke and slam.rests + over[0].low > slam.bears  # the longest time, the softest tube
            numbers = {"peak": slam.peak(over[0]), "bears": slam.bears}
            told = (slam.part, slam.weakest, *([over[0].broke] if over[0].broke else []))
            yield Remark("S232", "warning" if sure else "note", told, numbers)
    for end in sizing.ends:
        if end.passive is not None and end.passive.flows in (YES, BACK):
            above = {"above": end.passive.source_level - end.passive.mark}
            numbers = above if end.passive.flows == YES else {}
            yield Remark("S233", "warning", (end.part, end.passive.source, end.into), numbers)
        if end.back == YES:
            yield Remark("S234", "warning", (end.part, end.into), {"under": (end.level or 0.0) - end.height})


def _weak(sizing: Sizing) -> Iterator[Remark]:
    """A unit that runs most of the day, or that cannot make what a day takes."""
    duty = sizing.duty(sizing.cases[0]) if sizing.cases and sizing.daily else None
    if duty is None or duty <= LONG_DUTY:
        return
    numbers = {"daily": sizing.daily or 0.0}
    numbers |= {"makes": sizing.cases[0].product * DAY} if duty > 1.0 else {"runs": duty * DAY}
    for part in dict.fromkeys(driven.part for budget in sizing.budgets for driven in budget.driven):
        yield Remark("S230", "warning" if duty > 1.0 else "note", (part,), numbers)
