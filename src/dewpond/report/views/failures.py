"""What each failure does, as rows: alone, and together with another one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.report.views.blocks import Bar, Bars, Grid
from dewpond.report.views.shown import NOTHING, Shown, joined
from dewpond.study import drills
from dewpond.study.outcome import Outcome, StudyResult, worse

HEAD = ("on floors", "first water", "noticed", "stopped", "starts again", "tank")
ORDERS = {
    drills.BOTH_STANDING: "both hidden",
    drills.STANDING_FIRST: "first hidden",
    drills.BOTH_LATER: "at once",
    drills.ONE_SOON: "10 min apart",
    drills.AFTER_TRIP: "after a trip",
}
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


def bad_pairs(result: StudyResult) -> list[tuple[Outcome, float]]:
    """Pairs that do clearly more than their two faults alone add up to, each with that sum on floors [m3]; those that
    add most come first. Of several orders each is told."""
    lone = {(o.faults[0], o.who): o.told for o in result.failures if len(o.faults) == 1}
    chosen = []
    for outcome in pairs(result):
        alone = [lone[label, outcome.who] for label in outcome.faults]
        if worse(outcome.told, *alone):
            chosen.append((outcome, sum(told.on_floors for told in alone)))
    return sorted(chosen, key=lambda pair: (pair[1] - pair[0].told.on_floors, severity(pair[0])))


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
        if tank.end is None:
            words.append(f"{tank.tank} empty")
    if told.return_pump_dry is not None:
        words.append("return pump draws air")
    if told.reservoir_empty is not None:
        words.append("reservoir empty")
    return "; ".join(words) or NOTHING


def single_grid(caption: str, outcomes: Sequence[Outcome], shown: Shown) -> Grid:
    """Faults alone; the caption says who is where."""
    rows = [(" + ".join(o.faults), *row(o, shown)) for o in outcomes]
    return told_grid(caption, ("fault", *HEAD), rows, (1, 2, 3, 4))


def pair_grid(caption: str, bad: Sequence[tuple[Outcome, float]], shown: Shown, most: int) -> Grid:
    """Two faults together. Ways in which one part fails that come to the same are told in one row; a long list is cut,
    and says so."""
    rows = merged([
        (*o.faults, f"{ORDERS[o.told.order]}, {o.who}", shown.litres(added), *row(o, shown)) for o, added in bad
    ])  # fmt: skip
    left = len(rows) - most
    more = f"and {left} more, none of which adds more water than the last one shown" if left > 0 else ""
    told = [(f"{one} + {other}", *rest) for one, other, *rest in rows[:most]]
    return told_grid(caption, ("faults", "how", "alone add up to", *HEAD), told, (2, 3, 4, 5, 6), more)


def told_grid(
    caption: str, head: tuple[str, ...], rows: list[tuple[str, ...]], right: tuple[int, ...], more: str = ""
) -> Grid:
    """A table without the columns that say nothing in any row."""
    keep = [i for i in range(len(head)) if any(r[i] != NOTHING for r in rows) or not rows]
    cut = tuple(tuple(r[i] for i in keep) for r in rows)
    return Grid(
        caption,
        tuple(head[i] for i in keep),
        cut,
        tuple(keep.index(i) for i in right if i in keep),
        more=more,
        brief=BRIEF,
    )


def merged(rows: Sequence[tuple[str, ...]]) -> list[tuple[str, ...]]:
    """Rows (one fault, other fault, outcome ...) with those joined that differ in one fault of one part only."""
    for position in (0, 1):
        groups: dict[tuple[str, ...], list[str]] = {}
        for r in rows:
            part, _, name = r[position].partition(": ")
            key = (part, *r[:position], *r[position + 1 :])
            groups.setdefault(key, []).append(name)
        joined_rows = []
        for (part, *rest), names in groups.items():
            rest.insert(position, f"{part}: {joined(names, 'or')}")
            joined_rows.append(tuple(rest))
        rows = joined_rows
    return list(rows)


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


def floors(design: Design) -> tuple[str, ...]:
    """The places whose floor people walk on: not trays, which lie in another place, and not drains."""
    return tuple(p.name for p in design.parts if KINDS[p.kind].role == "place" and not p.get("in"))
