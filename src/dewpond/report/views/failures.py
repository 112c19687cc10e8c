"""What each failure does, as rows: alone, and together with another one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.report.views.blocks import Bar, Bars, Grid
from dewpond.report.views.shown import NOTHING, Shown
from dewpond.study.outcome import Outcome, StudyResult, worse

HEAD = ("on floors", "first water", "noticed", "stopped", "starts again", "tank")
BRIEF = 12  # rows on a terminal
MOST_BARS = 20
LEAST_BAR = 1e-5  # [m3]
STARTED_AGAIN = "starts again by itself"
RUNS_ON = "runs on to the end"
ENDED = "ends"


def severity(outcome: Outcome) -> tuple[float, ...]:
    """Sort key: most water first, then longest, then the tank's salinity."""
    told = outcome.told
    swing = max((t.highest - t.lowest for t in told.tanks), default=0.0)
    return (-told.on_floors, -float(told.still_running), -sum(told.by_place.values()), -swing)


def singles(result: StudyResult, who: str = "") -> list[Outcome]:
    """Outcomes of faults alone, the worst first."""
    chosen = [o for o in result.failures if len(o.faults) == 1 and who in ("", o.who)]
    return sorted(chosen, key=severity)


def bad_pairs(result: StudyResult) -> list[Outcome]:
    """Pairs that do what neither fault does alone, the worst first; of several orders each is told."""
    lone = {(o.faults[0], o.who): o.told for o in result.failures if len(o.faults) == 1}
    chosen = [
        o for o in result.failures
        if len(o.faults) == 2 and worse(o.told, *(lone[label, o.who] for label in o.faults))
    ]  # fmt: skip
    return sorted(chosen, key=severity)


def pairs(result: StudyResult) -> list[Outcome]:
    """Outcomes of two faults together, in the order of the study."""
    return [o for o in result.failures if len(o.faults) == 2]


def row(outcome: Outcome, shown: Shown) -> tuple[str, ...]:
    """One failure in one line of a table, without its names."""
    told = outcome.told
    noticed = NOTHING
    if told.first_noticed is not None:
        noticed = shown.duration(max(told.first_noticed - (told.first_water or 0.0), 0.0))
    elif told.first_water is not None:
        noticed = "never"
    stopped = NOTHING
    if told.first_water is not None:
        stopped = "never" if told.still_running else shown.duration((told.stopped or 0.0) - told.first_water)
    again = f"{told.reopenings} times" if told.reopenings > 1 else "once" if told.reopenings else NOTHING
    first = shown.duration(told.first_water) if told.first_water is not None else NOTHING
    litres = shown.litres(told.on_floors)
    words = [word for word in ("doubtful", "borderline") if any(mark.startswith(word) for mark in told.marks)]
    if words:
        litres += f" ({', '.join(words)})"
    return (litres, first, noticed, stopped, again, tank_text(outcome, shown))


def tank_text(outcome: Outcome, shown: Shown) -> str:
    """What happened to the tanks, in a few words."""
    told, words = outcome.told, []
    for tank in told.tanks:
        if tank.highest - tank.lowest > 0.15:
            low, high = shown.salinity(tank.lowest), shown.salinity(tank.highest)
            words.append(f"{tank.tank} {low.removesuffix(' ppt')} to {high}")
    if told.return_pump_dry is not None:
        words.append("return pump draws air")
    if told.reservoir_empty is not None:
        words.append("reservoir empty")
    return "; ".join(words) or NOTHING


def single_grid(caption: str, outcomes: Sequence[Outcome], shown: Shown) -> Grid:
    """Faults alone; the caption says who is where."""
    rows = tuple((" + ".join(o.faults), *row(o, shown)) for o in outcomes)
    return Grid(caption, ("fault", *HEAD), rows, (1, 2, 3, 4), brief=BRIEF)


def pair_grid(caption: str, outcomes: Sequence[Outcome], shown: Shown, most: int) -> Grid:
    """Two faults together, with their order; a long list is cut, and says so."""
    rows = tuple((" + ".join(o.faults), o.told.order, o.who, *row(o, shown)) for o in outcomes[:most])
    left = len(outcomes) - most
    more = f"and {left} more, none with more water than the last one shown" if left > 0 else ""
    return Grid(caption, ("faults", "order", "who", *HEAD), rows, (3, 4, 5, 6), more=more, brief=BRIEF)


def litre_bars(title: str, outcomes: Sequence[Outcome], shown: Shown) -> Bars | None:
    """The wettest failures as bars; None when no floor gets wet."""
    wet = [o for o in outcomes if o.told.on_floors > LEAST_BAR][:MOST_BARS]
    if not wet:
        return None
    unit = shown.unit("volume", math.sqrt(wet[0].told.on_floors * wet[-1].told.on_floors))
    bars = []
    for o in wet:
        group = RUNS_ON if o.told.still_running else STARTED_AGAIN if o.told.reopenings else ENDED
        text = shown.litres(o.told.on_floors)
        bars.append(Bar(" + ".join(o.faults), unit.of(o.told.on_floors), text, group))
    worst = f"most with {bars[0].label}: {bars[0].shown}; least of those shown with {bars[-1].label}: {bars[-1].shown}."
    return Bars(title, f"Bars of water on floors for {len(bars)} faults, {worst}", unit.text, tuple(bars))
