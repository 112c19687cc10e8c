"""What a keeper answered with "unknown" or left out, and what was assumed in place of an answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, Protocol

from dewpond.design.model import KEY_SEPARATOR, Design, Unknown
from dewpond.design.showing import shown_value
from dewpond.parts import KINDS
from dewpond.plant.consequence import Consequence
from dewpond.report.views.blocks import Fold, Grid, Text
from dewpond.report.views.shown import Shown, clock, count
from dewpond.study import outcome
from dewpond.study.outcome import Change, UnknownEffect
from dewpond.units import show

Volume = Callable[[float], str]
LEFT_OUT = "left out"
NORMAL = "nothing fails"
UNKNOWN = "Answered with “unknown”, or left out"
UNTRIED = f"{UNKNOWN}, and not tried both ways, as the study was stopped"


class Asked(Protocol):
    """A key that nobody knows, of a part."""

    @property
    def part(self) -> str:
        """The part."""

    @property
    def key(self) -> str:
        """Its key."""


def said(design: Design, unknown: Asked) -> str:
    """What the file says about a key that nobody knows."""
    here = next(u for u in design.unknowns if (u.part, u.key) == (unknown.part, unknown.key))
    return "unknown" if here.written else LEFT_OUT


def value_text(design: Design, unknown: Asked, value: Any, shown: Shown) -> str:
    """A value tried for an "unknown", as a keeper would write it."""
    params = KINDS[design.part(unknown.part).kind].params
    outer, *inner = unknown.key.split(KEY_SEPARATOR)
    param = next(p for p in params if p.key == outer)
    for key in inner:
        param = next(p for p in param.fields if p.key == key)
    return shown_value(value, param, shown.system)


def open_grid(caption: str, design: Design, unknowns: Sequence[Unknown], shown: Shown) -> Grid:
    """Keys that nobody knows: what was taken, and how to find out."""
    rows = tuple((u.part, u.key, said(design, u), value_text(design, u, u.taken, shown), u.find_out) for u in unknowns)
    return Grid(caption, ("part", "key", "in the file", "taken", "how to find out"), rows, wide=4)


def effect_grid(design: Design, effects: tuple[UnknownEffect, ...], shown: Shown) -> Grid:
    """Every "unknown": what was taken, what else was tried, and whether it matters."""
    rows = []
    for effect in effects:
        matters = f"changes {count(len(effect.faults), 'single fault')}" if effect.faults else ""
        if any(not change.taken.faults for change in effect.changes):
            matters += f"{', and ' if matters else 'changes only '}the run in which nothing fails"
        matters = matters or "changes nothing that was tried"
        rows.append((
            effect.part, effect.key, said(design, effect), value_text(design, effect, effect.taken, shown),
            value_text(design, effect, effect.other, shown), matters, effect.find_out,
        ))  # fmt: skip
    head = ("part", "key", "in the file", "taken", "also tried", "does it matter?", "how to find out")
    return Grid(f"{UNKNOWN}, and tried both ways over all single faults", head, tuple(rows), wide=6)


def changed_grid(effect: UnknownEffect, design: Design, shown: Shown, most: int) -> Grid:
    """What the other answer changes, fault by fault: on each side only that in which they differ."""
    taken = value_text(design, effect, effect.taken, shown)
    other = value_text(design, effect, effect.other, shown)
    rows = [(" + ".join(c.taken.faults) or NORMAL, c.taken.who, *both(c, shown)) for c in effect.changes]
    more = f"and {len(rows) - most} more" if len(rows) > most else ""
    head = ("fault", "who", f"taken: {taken}", f"tried: {other}")
    return Grid(f"{effect.part}, {effect.key}", head, tuple(rows[:most]), wide=3, more=more)


def both(change: Change, shown: Shown) -> tuple[str, str]:
    """The two outcomes of a change, each told by that in which they differ; the two never read alike."""
    most = max(v for told in (change.taken, change.other) for v in (told.on_floors, told.water.to_drain))
    for digits in (2, 3, 4, 6):
        volume = partial(shown.litres, beside=most, digits=digits)
        here, there = (
            "; ".join(dict.fromkeys(TOLD[aspect](told, shown, volume, digits) for aspect in change.what))
            for told in (change.taken, change.other)
        )
        if here != there:
            break
    return here, there


def _floors(told: Consequence, _shown: Shown, volume: Volume, _digits: int) -> str:
    return f"{volume(told.on_floors)} on floors"


def _drain(told: Consequence, _shown: Shown, volume: Volume, _digits: int) -> str:
    return f"{volume(told.water.to_drain)} straight to the drain"


def _first(told: Consequence, shown: Shown, _volume: Volume, digits: int) -> str:
    if told.first_water is None:
        return "no water gets out"
    return f"first water after {show(told.first_water, 'duration', shown.system, digits)}"


def _noticed(told: Consequence, _shown: Shown, _volume: Volume, _digits: int) -> str:
    if told.first_noticed is None:
        return "nobody and nothing notices"
    return f"noticed on {clock(told.first_noticed, told.who)}: {told.noticed_by}"


def _stopped(told: Consequence, shown: Shown, _volume: Volume, digits: int) -> str:
    if told.first_water is None:
        return "no water gets out"
    if told.still_running:
        return f"water still {'comes back' if told.pauses is not None else 'gets out'} at the end"
    return f"last water {show(told.stopped or 0.0, 'duration', shown.system, digits)} after the start"


def _salinity(told: Consequence, shown: Shown, _volume: Volume, digits: int) -> str:
    def at(value: float) -> str:
        return show(value, "salinity", shown.system, digits + 1)

    return ", ".join(f"{tank.tank} {at(tank.lowest)} to {at(tank.highest)}" for tank in told.tanks)


# An aspect of an outcome in a few words, with so many digits.
TOLD: Mapping[str, Callable[[Consequence, Shown, Volume, int], str]] = {
    outcome.FLOORS: _floors,
    outcome.DRAIN: _drain,
    outcome.FIRST: _first,
    outcome.NOTICED: _noticed,
    outcome.STOPPED: _stopped,
    outcome.AIR: lambda told, *_: f"{'no' if told.return_pump_dry is None else 'a'} return pump draws air",
    outcome.EMPTY: lambda told, *_: f"{'no' if told.reservoir_empty is None else 'a'} reservoir runs empty",
    outcome.SALINITY: _salinity,
}


def assumed_fold(design: Design) -> Fold:
    """Every figure that the keeper did not give."""
    rows = tuple((a.part, a.key, a.value, a.grade, a.source) for a in design.assumed)
    grid = Grid("Assumed", ("part", "key", "taken", "whose figure", "why"), rows, wide=4)
    text = Text("Write the key into the design file when you know better; measured figures count most.", "quiet")
    return Fold(f"{count(len(rows), 'figure')} that the file does not give and that were assumed", (text, grid))
