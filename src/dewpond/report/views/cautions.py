"""What protects people, said where the act is; what was assumed and what was not considered."""

from __future__ import annotations

from collections.abc import Iterable

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.report.views.blocks import Fold, Items, Text

ELECTRICITY = (
    "Water near electricity: before you step on a wet floor, switch the circuit off at the board. Nothing you would "
    "save is worth a shock."
)
CUTTING = "Before you cut or open a tube, shut the stop tap and let the pressure out into a bucket."
LOCAL = (
    "Local codes and licensed plumbers and electricians come first. In many places fixed plumbing, saddle valves and "
    "anything that could send tank water back into the house's supply are regulated: check with the local authority."
)
ADVICE = (
    "Dewpond computes and advises. It never operates a valve, and no result here says that nothing can happen: it "
    "says what was tried and what came of it."
)
HIGH_PRESSURE = (
    "Above about 5.5 bar usual housings and push-in joints are near their limit; a pressure regulator is common then."
)
STARVES = "A shut-off that has latched also starves the tank: have some purified water standing by."

NOT_CONSIDERED = (
    "more than two faults at the same time, and two hidden faults or two leaks in the same part",
    "how likely anything is: this study says what happens, not how often",
    (
        "the shape of a floor of which the file has no plan: a puddle is an even film there, and reaches a probe once "
        "there is the water that its spot needs"
    ),
    "water that runs along a tube or behind a wall to somewhere else, and water that soaks in before it spreads",
    "leaks in the house's own pipes, and water hammer",
    "waste water that a drain sends back up: it lies in the room as it does when the waste tube is out of its drain",
    "damage by water: what is said is how much water, not what it costs",
    "smell, noise, or a neighbour below who rings at the door",
    (
        "people who look at a level, or find that a pump stands still: they find water, a circuit without power, and "
        "what they are told; and in which room they are: water in any room is seen after the same time at home"
    ),
)


def general(design: Design) -> tuple[Text, ...]:
    """The cautions that every report carries."""
    texts = [ADVICE, LOCAL, CUTTING, ELECTRICITY]
    pressures = [float(p["pressure"]) for p in design.parts if KINDS[p.kind].role == "source" and p.get("pressure")]
    if any(pressure > 5.5e5 for pressure in pressures):
        texts.append(HIGH_PRESSURE)
    if any(KINDS[p.kind].role in ("device", "box") for p in design.parts):
        texts.append(STARVES)
    return tuple(Text(text, "caution") for text in texts)


def of_kinds(design: Design) -> Fold:
    """The cautions of every kind of part in the design."""
    kinds = dict.fromkeys(p.kind for p in design.parts)
    items = [f"{KINDS[kind].word}: {text}" for kind in kinds for text in KINDS[kind].cautions]
    return Fold("Cautions for the kinds of part in this design", (Items(tuple(items)),))


def notes_of_kinds(design: Design) -> Fold:
    """What the model of every kind of part assumes or leaves out."""
    kinds = dict.fromkeys(p.kind for p in design.parts)
    items = [f"{KINDS[kind].word}: {text}" for kind in kinds for text in KINDS[kind].notes]
    return Fold("What the model of each kind of part assumes or leaves out", (Items(tuple(items)),))


def of_parts(design: Design, names: Iterable[str]) -> tuple[str, ...]:
    """The cautions of some parts' kinds, each told once."""
    kinds = dict.fromkeys(design.part(name).kind for name in names)
    return tuple(f"{KINDS[kind].word}: {text}" for kind in kinds for text in KINDS[kind].cautions)
