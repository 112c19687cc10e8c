"""The installation as a drawing: which parts stand where, and which lines run between them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.parts.base import Param, PartView
from dewpond.report.views.blocks import Area, Block, Fold, Items, Mark, Schematic, Text, Wire, WireSort
from dewpond.report.views.shown import joined

# Keys that name what the water comes from, and what water that is; all others name where it goes.
UPSTREAM: Final[dict[str, WireSort]] = {"after": "water", "from": "water", "waste of": "waste"}
BESIDE: Final = ("in", "on")  # those that name what a part sits in or on
WATCHED: Final = ("fills", "holds back")  # those that name a vessel whose level a part that leads on looks at only
WATER: Final = {"source", "line", "device", "vessel"}
WET: Final = ("supply", "water")  # sections through which water runs
GROUND: Final = (*WET, "places", "sensors")  # sections whose parts stand somewhere
ORDERS: Final = "controllers"
BOXES: Final = "Boxes, and what carries their orders"
OTHERS: Final = "Power, people and work, without their lines"
TITLE: Final = "The installation as the file describes it"
SORTS: Final[Mapping[WireSort, str]] = {
    "water": "Water runs",
    "waste": "Waste runs",
    "on": "What sits on or in something",
    "report": "Sensors report",
    "order": "Boxes drive",
}
TO: Final = {"on": "with"}


def schematic_blocks(design: Design) -> tuple[Block, ...]:
    """The drawing, and the same in words."""
    drawn = schematic(design)
    return (
        Text("Drawn from the file alone. If a part stands elsewhere, or a line runs otherwise, put the file right."),
        drawn,
        Fold("The drawing in words", (Items(tuple(in_words(drawn))),), printed=False),
    )


def schematic(design: Design) -> Schematic:
    """Areas, marks and wires, in the order in which the water meets them."""
    places = [part for part in design.parts if is_area(part)]
    where = standing(design)
    leading = {part.get("after") for part in design.parts}
    wires = [wire for part in design.parts for wire in wires_of(part, part.name in leading)]
    wires += [wire for wire in _row_wires(design) if wire not in wires]
    marked = {part.name for part in design.parts if not is_area(part)}
    lines = [(a, b, sort) for a, b, sort in dict.fromkeys(wires) if a in marked and b in marked and a != b]
    ranks = ranked(design, lines)
    parts = sorted((part for part in design.parts if part.name in marked), key=lambda part: ranks[part.name])
    groups = [name for name, of in ((BOXES, ORDERS), (OTHERS, "")) if any(_group(p) == of for p in parts)]
    numbers = {part.name: number for number, part in enumerate(places)}
    group_at = {name: len(places) + number for number, name in enumerate(groups)}
    areas = [
        Area(
            part.name, _leads(part), -1 if (outer := where.get(part.name, "")) == part.name else numbers.get(outer, -1)
        )
        for part in places
    ]
    marks = []
    for part in parts:
        group = _group(part)
        at = numbers.get(where.get(part.name, ""), -1)
        if group != "ground":
            at = group_at[BOXES if group == ORDERS else OTHERS]
        marks.append(Mark(part.name, note(part, numbers, marked), KINDS[part.kind].symbol, at))
    index = {mark.name: number for number, mark in enumerate(marks)}
    return Schematic(
        TITLE,
        "Parts in the order in which the water meets them, each in the place where it stands. "
        f"Power lines are left out. {len(marks)} parts, {len(places)} places.",
        (*areas, *(Area(name, group=True) for name in groups)),
        tuple(marks),
        tuple(Wire(index[a], index[b], sort) for a, b, sort in lines),
    )


def is_area(part: PartView) -> bool:
    """Whether a part is drawn as a rectangle: a place, but for a drain."""
    kind = KINDS[part.kind]
    return kind.section == "places" and kind.role != "drain"


def _group(part: PartView) -> str:
    """Where a part is drawn: on the ground, among the boxes, or among what has no lines."""
    section = KINDS[part.kind].section
    return "ground" if section in GROUND else ORDERS if section == ORDERS else ""


def named(part: PartView) -> Iterator[tuple[Param, str, str]]:
    """(key, its name with the keys outside it, the name it holds) for every key that names one part or place."""

    def walk(params: tuple[Param, ...], values: Mapping[str, Any], before: str) -> Iterator[tuple[Param, str, str]]:
        for param in params:
            value = values.get(param.key)
            if param.takes in ("part", "place") and isinstance(value, str):
                yield param, before + param.key, value
            elif param.takes in ("parts", "places") and isinstance(value, tuple):
                yield from ((param, before + param.key, one) for one in value)
            elif isinstance(value, Mapping):
                yield from walk(param.fields, value, f"{before}{param.key} ")

    yield from walk(KINDS[part.kind].params, part.values, "")


def standing(design: Design) -> dict[str, str]:
    """Part -> the place it stands in; one that does not say stands where that stands which it is joined to."""
    parts = {part.name: part for part in design.parts}
    found: dict[str, str] = {}

    def of(name: str, asked: frozenset[str]) -> str:
        if name in found or name not in parts or name in asked:
            return found.get(name, "")
        part = parts[name]
        keys = [(key, value) for _, key, value in named(part) if " " not in key or key == "drains to"]
        held = [value for key, value in keys if key == "in"]
        if is_area(part):
            outer = held[0] if held and held[0] in parts and is_area(parts[held[0]]) else ""
            return "" if _rings(outer, name, parts) else outer
        through = [value for param, _, value in named(part) if param.takes == "places"]
        order = (*BESIDE, "fills", "drains to", "from", "to", "after")
        for value in (*held, *through, *(v for wanted in order for key, v in keys if key == wanted)):
            other = parts.get(value)
            if other is not None:
                place = value if is_area(other) else of(value, asked | {name})
                if place:
                    return place
        return ""

    for part in design.parts:
        found[part.name] = of(part.name, frozenset())
    return found


def _rings(outer: str, name: str, parts: Mapping[str, PartView]) -> bool:
    """Whether places stand in each other."""
    seen = {name}
    while outer:
        if outer in seen:
            return True
        seen.add(outer)
        outer = parts[outer].get("in") or "" if outer in parts else ""
    return False


def wires_of(part: PartView, leads_on: bool = False) -> Iterator[tuple[str, str, WireSort]]:
    """(from, to, sort) of the lines that a part's keys speak of; ``leads_on``: another part comes after it."""
    section = KINDS[part.kind].section
    link = next((value for param, _, value in named(part) if "link" in param.roles), "")
    for param, key, value in named(part):
        roles = set(param.roles)
        if section in WET and "drain" in roles:
            yield part.name, value, "waste"
        elif section in WET and roles & WATER:
            if key in BESIDE:
                yield value, part.name, "on"
            elif key in UPSTREAM:
                yield value, part.name, UPSTREAM[key]
            elif not (leads_on and key in WATCHED):
                yield part.name, value, "water"
        elif section == "sensors" and "box" in roles:
            yield part.name, value, "report"
        elif "box" in roles:
            yield value, link or part.name, "order"
        elif "link" in roles:
            yield value, part.name, "order"


def _row_wires(design: Design) -> Iterator[tuple[str, str, WireSort]]:
    """Lines that only the matrix speaks of: a box that orders what another one drives, or what nothing drives."""
    driven = {
        part.name: value for part in design.parts for param, _, value in named(part)
        if "box" in param.roles and KINDS[part.kind].section in WET
    }  # fmt: skip
    wired = {
        part.name: value for part in design.parts for param, _, value in named(part)
        if "box" in param.roles and KINDS[part.kind].section == "sensors"
    }  # fmt: skip
    for row in design.rows:
        hears = next((wired[term.part] for term in row.cause.terms if term.part in wired), "")
        for name, _ in row.effects:
            box = row.by or hears
            if box and (name not in driven or (row.by and driven[name] != row.by)):
                yield box, name, "order"


def ranked(design: Design, lines: list[tuple[str, str, WireSort]]) -> dict[str, tuple[int, int]]:
    """Part -> its place in the order of drawing: the order of the water, then that of the file; a sensor comes right
    after the vessel it hangs in."""
    names = [part.name for part in design.parts]
    before: dict[str, set[str]] = {name: set() for name in names}
    for a, b, sort in lines:
        if sort in ("water", "waste", "on"):
            before[b].add(a)
    ranks: dict[str, tuple[int, int]] = {}
    left = list(names)
    while left:
        ready = (name for name in left if not any(other in left for other in before[name]))
        chosen = next(ready, left[0])  # in a ring of water something must come first
        left.remove(chosen)
        ranks[chosen] = (len(ranks), 0)
    for number, part in enumerate(design.parts):
        if KINDS[part.kind].section == "sensors":
            holder = next((v for param, key, v in named(part) if key == "in" and "vessel" in param.roles), "")
            ranks[part.name] = (ranks.get(holder, (2 * len(names), 0))[0], 1 + number)
        elif KINDS[part.kind].role == "drain":  # last in its place, so that it parts no line of water
            ranks[part.name] = (3 * len(names), number)
    return ranks


def note(part: PartView, areas: Mapping[str, int], marks: set[str]) -> str:
    """What the lines do not show: a sensor's vessel, the rooms that a tube runs through, an overflow to a room."""
    told = []
    through = [value for param, _, value in named(part) if param.takes == "places"]
    if through:
        told.append(f"through {joined(through)}")
    for param, key, value in named(part):
        if param.takes == "places":
            continue
        section = KINDS[part.kind].section
        if (section == "sensors" and key == "in" and value in marks) or (
            section in WET and value in areas and (" " in key and key != "in")
        ):
            told.append(f"{key} {value}")
    return "; ".join(told)


def _leads(part: PartView) -> str:
    """Where water goes that a place does not keep."""
    return "; ".join(f"{key} {value}" for param, key, value in named(part) if param.takes == "place" and key != "in")


def in_words(drawn: Schematic) -> Iterator[str]:
    """Where everything stands and what leads where, for those who do not see the drawing."""
    loose = [mark.name for mark in drawn.marks if mark.area < 0]
    if loose:
        yield f"In no place: {joined(loose)}."
    for number, area in enumerate(drawn.areas):
        names = [mark.name for mark in drawn.marks if mark.area == number]
        names += [inner.name for inner in drawn.areas if inner.inside == number]
        yield f"{area.name}{f' ({area.note})' if area.note else ''}: {joined(names) if names else 'nothing'}."
    for sort, words in SORTS.items():
        for start, mark in enumerate(drawn.marks):
            ends = [drawn.marks[wire.end].name for wire in drawn.wires if (wire.start, wire.sort) == (start, sort)]
            if ends:
                yield f"{words}: {mark.name} {TO.get(sort, 'to')} {joined(ends)}."
