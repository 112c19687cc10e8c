"""What each failure does, as rows: alone, and together with another one."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from dewpond.plant.consequence import TankHarm, unsure
from dewpond.report.views import by_floor
from dewpond.report.views.blocks import Bar, Bars, Grid
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.shown import NOTHING, Shown, joined, restless, times
from dewpond.study import drills
from dewpond.study.outcome import Outcome, StudyResult, worse

UNDRAINED = "onto floors, taken by no drain"
HEAD = (
    UNDRAINED, "taken by a floor drain", "to the drain", "first water", "noticed", "stopped", "starts again",
    "tank",
)  # fmt: skip
ORDERS = {
    drills.BOTH_STANDING: "both hidden",
    drills.STANDING_FIRST: "first hidden",
    drills.BOTH_LATER: "at once",
    drills.ONE_SOON: "10 min apart",
    drills.AFTER_TRIP: "after a trip",
    drills.STANDING_THEN: "first hidden, then as it comes",
    drills.THEN_BY_ITSELF: "second as it comes",
    drills.BY_ITSELF_FIRST: "first as it comes",
    drills.BOTH_BY_THEMSELVES: "each as it comes",
}
BRIEF = 12  # rows on a terminal
MOST_BARS = 20
FAR = 1.0  # a tank further than this from where it was has been harmed [g/kg]; our prior
Bad = list[tuple[Outcome, float]]  # runs of two faults, and what the two bring alone onto floors [m3]
STARTED_AGAIN = "starts again by itself"
RUNS_ON = "runs on to the end"
ENDED = "ends"


def severity(outcome: Outcome, ground: Ground) -> tuple[float, ...]:
    """Sort key: most water that came onto floors and no drain took first, on the worst of the floors that fit; then
    most through floor drains, then longest, then tanks that are driven far, then most water wasted, then the tank's
    salinity."""
    told = outcome.told
    swing = max((t.highest - t.lowest for t in told.tanks), default=0.0)
    return (
        -ground.most(outcome), -told.on_floors, -float(outcome.lasts), -sum(told.by_place.values()),
        -swing if swing > FAR else 0.0, -ground.wasted(told), -swing,
    )  # fmt: skip


def singles(result: StudyResult, who: str = "") -> list[Outcome]:
    """Outcomes of faults alone, the worst first."""
    chosen = [o for o in result.failures if len(o.faults) == 1 and who in ("", o.who)]
    ground = Ground.under(result)
    return sorted(chosen, key=lambda o: severity(o, ground))


@dataclass(frozen=True)
class Astray:
    """Between what salinities [g/kg] each tank goes when nothing fails, for one way of being there."""

    usual: Mapping[str, tuple[float, float]]

    @classmethod
    def of(cls, result: StudyResult, who: str) -> Astray:
        """From the run in which nothing fails there, where that is known; else from the first such run."""
        plain = next((o.told.tanks for o in result.normal if o.who == who), ())
        return cls({tank.tank: (tank.lowest, tank.highest) for tank in plain or result.tanks})

    def by(self, tank: TankHarm) -> float:
        """How far a tank goes beyond that [g/kg]."""
        low, high = self.usual[tank.tank]
        return max(low - tank.lowest, tank.highest - high)

    @property
    def words(self) -> str:
        """From where that is told."""
        wanders = any(high - low > FAR for low, high in self.usual.values())
        return "beyond where it goes when nothing fails" if wanders else "from where it was"


def bad_pairs(result: StudyResult) -> Bad:
    """Pairs that do clearly more than their two faults alone add up to, each with what these bring onto floors, taken
    by no drain [m3]; those that add most come first, rough ones after them. Of several orders each is told."""
    ground = Ground.under(result)
    lone = {(o.faults[0], o.who): o.told for o in result.failures if len(o.faults) == 1}
    chosen = []
    for outcome in pairs(result):
        alone = [lone[label, outcome.who] for label in outcome.faults]
        if worse(outcome.told, *alone):
            chosen.append((outcome, sum(map(ground.undrained, alone)), sum(told.on_floors for told in alone)))
    chosen.sort(
        key=lambda c: (
            unsure(c[0].told), c[1] - ground.undrained(c[0].told), c[2] - c[0].told.on_floors, severity(c[0], ground),
        )
    )  # fmt: skip
    return [(outcome, added) for outcome, added, _ in chosen]


def pairs(result: StudyResult) -> list[Outcome]:
    """Outcomes of two faults together, in the order of the study."""
    return [o for o in result.failures if len(o.faults) == 2]


def row(outcome: Outcome, shown: Shown, ground: Ground, beside: float = 0.0) -> tuple[str, ...]:
    """One failure in one line of a table, without its names. ``beside``: another volume in its row [m3]."""
    told = outcome.told
    stopped = NOTHING
    if told.first_water is not None:
        stopped = "never" if told.still_running else shown.duration((told.stopped or 0.0) - told.first_water)
    again = times(told.reopenings) if told.reopenings else "on some floors" if outcome.again else NOTHING
    if restless(told.reopenings, told.horizon):
        again = "without rest"
    stopped = str(by_floor.stopped(outcome, shown) or stopped)
    first = shown.duration(told.first_water) if told.first_water is not None else NOTHING
    taken = ground.most_taken(outcome)
    wasted = ground.wasted(told)
    most = max(ground.undrained(told), taken, wasted, beside)  # of a row: its unit is that of all
    litres = by_floor.litres(outcome, shown, ground) or shown.litres(ground.undrained(told), most)
    gone = by_floor.taken(outcome, shown, ground) or (shown.litres(taken, most) if taken else NOTHING)
    words = [word for word in ("doubtful", "borderline") if any(mark.startswith(word) for mark in told.marks)]
    if words:
        litres += f" ({', '.join(words)})"
    return (
        litres, gone, shown.litres(wasted, most) if wasted else NOTHING, first, noticed(outcome, shown), stopped, again,
        tank_text(outcome, shown),
    )  # fmt: skip


def noticed(outcome: Outcome, shown: Shown) -> str:
    """How long after the first water it is noticed, or before it, be it by a probe that tells nobody."""
    told = outcome.told
    ranged = by_floor.noticed(outcome, shown)
    if ranged:
        unheard = told.first_noticed is not None and told.first_known is None
        return f"{ranged}, nobody told" if unheard else str(ranged)
    if told.first_noticed is None:
        return NOTHING if told.first_water is None else "never"
    after = told.first_noticed - (told.first_water or 0.0)
    when = shown.duration(after) if after >= 0.0 else f"{shown.duration(-after)} before"
    return when if told.first_known is not None else f"{when}, nobody told"


def tank_text(outcome: Outcome, shown: Shown) -> str:
    """What happened to the tanks, in a few words."""
    told, words = outcome.told, []
    for tank in told.tanks:
        if tank.highest - tank.lowest > 0.15:
            low, high = shown.salinity(tank.lowest), shown.salinity(tank.highest)
            words.append(f"{tank.tank} {low.removesuffix(' ppt')} to {high}")
        if tank.end is None:
            words.append(f"{tank.tank} empty")
    if told.return_pump_dry is not None:
        words.append("return pump draws air")
    if told.reservoir_empty is not None:
        words.append(f"{told.reservoir_empty_of} empty")
    if told.overdosed is not None:
        words.append(f"overdose from {told.overdosed_by}")
    return "; ".join(words) or NOTHING


def single_grid(caption: str, outcomes: Sequence[Outcome], shown: Shown, ground: Ground) -> Grid:
    """Faults alone; the caption says who is where."""
    rows = [(" + ".join(o.faults), *row(o, shown, ground)) for o in outcomes]
    return told_grid(caption, ("fault", *HEAD), rows, (1, 2, 3, 4, 5, 6))


def told_grid(caption: str, head: tuple[str, ...], rows: list[tuple[str, ...]], right: tuple[int, ...]) -> Grid:
    """A table without the columns that say nothing in any row."""
    keep = [i for i in range(len(head)) if any(r[i] != NOTHING for r in rows) or not rows]
    cut = tuple(tuple(r[i] for i in keep) for r in rows)
    return Grid(
        caption,
        tuple(head[i] for i in keep),
        cut,
        tuple(keep.index(i) for i in right if i in keep),
        brief=BRIEF,
    )


def merged(rows: Sequence[tuple[str, ...]]) -> list[tuple[tuple[str, ...], int]]:
    """Rows (one fault, other fault, outcome ...) with those joined that differ in one fault of one part only, and how
    many each joins."""
    counted = [(row, 1) for row in rows]
    for position in (0, 1):
        groups: dict[tuple[str, ...], tuple[list[str], list[int]]] = {}
        for r, number in counted:
            part, _, name = r[position].partition(": ")
            names, numbers = groups.setdefault((part, *r[:position], *r[position + 1 :]), ([], []))
            names.append(name)
            numbers.append(number)
        counted = []
        for (part, *rest), (names, numbers) in groups.items():
            rest.insert(position, f"{part}: {joined(names, 'or')}")
            counted.append((tuple(rest), sum(numbers)))
    return counted


def litre_bars(title: str, outcomes: Sequence[Outcome], shown: Shown, ground: Ground) -> Bars | None:
    """The wettest failures as bars; None when on no floor is any that no drain takes."""
    wet = [(o, ground.most(o)) for o in outcomes if ground.most(o) > SPOONFUL][:MOST_BARS]
    if not wet:
        return None
    unit = shown.unit("volume", math.sqrt(wet[0][1] * wet[-1][1]))
    bars = []
    for o, litres in wet:
        group = RUNS_ON if o.lasts else STARTED_AGAIN if o.told.reopenings else ENDED
        text = by_floor.litres(o, shown, ground) or shown.litres(litres)
        bars.append(Bar(" + ".join(o.faults), unit.of(litres), text, group))
    worst = f"most with {bars[0].label}: {bars[0].shown}; least of those shown with {bars[-1].label}: {bars[-1].shown}."
    return Bars(
        title,
        f"Bars of water that came onto floors and no drain took, for {len(bars)} faults, {worst}",
        unit.text,
        tuple(bars),
    )
