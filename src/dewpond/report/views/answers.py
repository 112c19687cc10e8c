"""What a keeper answered with "unknown" or left out, and what was assumed in place of an answer."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dewpond.design.model import KEY_SEPARATOR, Design, Unknown
from dewpond.design.showing import shown_value
from dewpond.parts import KINDS
from dewpond.report.views.blocks import Fold, Grid, Text
from dewpond.report.views.shown import Shown, count
from dewpond.study.outcome import UnknownEffect

LEFT_OUT = "left out"
UNKNOWN = "Answered with “unknown”, or left out"
UNTRIED = f"{UNKNOWN}, and not tried both ways, as the study was stopped"


def said(design: Design, unknown: Unknown | UnknownEffect) -> str:
    """What the file says about a key that nobody knows."""
    here = next(u for u in design.unknowns if (u.part, u.key) == (unknown.part, unknown.key))
    return "unknown" if here.written else LEFT_OUT


def value_text(design: Design, unknown: Unknown | UnknownEffect, value: Any, shown: Shown) -> str:
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
        faults = {" + ".join(change.taken.faults) for change in effect.changes}
        matters = f"changes {count(len(faults), 'single fault')}" if faults else "changes nothing that was tried"
        rows.append((
            effect.part, effect.key, said(design, effect), value_text(design, effect, effect.taken, shown),
            value_text(design, effect, effect.other, shown), matters, effect.find_out,
        ))  # fmt: skip
    head = ("part", "key", "in the file", "taken", "also tried", "does it matter?", "how to find out")
    return Grid(f"{UNKNOWN}, and tried both ways over all single faults", head, tuple(rows), wide=6)


def changed_grid(effect: UnknownEffect, design: Design, shown: Shown, most: int) -> Grid:
    """What the other answer changes, fault by fault."""
    taken = value_text(design, effect, effect.taken, shown)
    other = value_text(design, effect, effect.other, shown)
    rows = [
        (
            " + ".join(c.taken.faults), c.taken.who, shown.litres(c.taken.on_floors), shown.litres(c.other.on_floors),
            shown.litres(c.taken.water.to_drain), shown.litres(c.other.water.to_drain),
        )
        for c in effect.changes
    ]  # fmt: skip
    head = ("fault", "who", f"on floors: {taken}", f"on floors: {other}", f"straight to the drain: {taken}",
            f"straight to the drain: {other}")  # fmt: skip
    more = f"and {len(rows) - most} more" if len(rows) > most else ""
    return Grid(f"{effect.part}, {effect.key}", head, tuple(rows[:most]), (2, 3, 4, 5), more=more)


def assumed_fold(design: Design) -> Fold:
    """Every figure that the keeper did not give."""
    rows = tuple((a.part, a.key, a.value, a.grade, a.source) for a in design.assumed)
    grid = Grid("Assumed", ("part", "key", "taken", "whose figure", "why"), rows, wide=4)
    text = Text("Write the key into the design file when you know better; measured figures count most.", "quiet")
    return Fold(f"{count(len(rows), 'figure')} that the file does not give and that were assumed", (text, grid))
