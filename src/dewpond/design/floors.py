"""The section ``floors`` of a design file -> FloorPlan: one plan for each room that has one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, Final

from dewpond import units
from dewpond.design import messages_floors as m
from dewpond.design.desk import did_you_mean, listed, shown
from dewpond.design.plan import PROBE_OF, Area, FloorPlan, Furniture, Hollow, Joint, Opening, Patch, Read
from dewpond.design.tree import Group, Items, Node, Value
from dewpond.design.values import BAD, Book, Declared, Place, Values
from dewpond.errors import UnitError
from dewpond.parts.base import Param, Source
from dewpond.physics.film import SURFACES

FINISHED: Final = "finished"
FLATNESS: Final = (FINISHED, "raised demand", "old", "conventional slab", "flat slab", "very flat slab")
FEET, PLINTH = "feet", "plinth"
MM: Final = 1e-3
DEGREE: Final = math.pi / 180.0
PRIOR, TRADE, MEMORY = "our prior", "common practice, no source", "from memory"

SPOT = Param(
    "spot", "size", "So far to the right x so far up, seen from above, from the corner that serves the storey.",
    low=0.0, high=100.0,
)  # fmt: skip
WHERE = "Corners in their order; two are opposite corners of a rectangle."


def _area(key: str, help_: str) -> Param:
    return Param(key, "list", f"{help_} {WHERE}", fields=(SPOT,))


def _spot(key: str, help_: str) -> Param:
    return Param(key, "size", help_, low=0.0, high=100.0)


OPENING: Final = (
    Param("between", "list", "The two ends of the opening, on the outline of the room.", fields=(SPOT,)),
    Param("sill", "height", "Height of the sill above the floor of this room, at its lowest.", default=0.0, low=0.0,
          high=0.5, usual=(0.0, 0.06), source=Source("no sill", PRIOR, 0.0, 0.02), also=("threshold",)),
    Param("leads to", "place", "The place behind it; left out: one of which the file tells nothing.", default=None,
          also=("to", "into")),
)  # fmt: skip
FURNITURE: Final = (
    _area("area", "What it covers."),
    Param("stands on", "word", "Feet let water pass, a plinth only when that stands high enough.", words=(FEET, PLINTH),
          default=FEET, source=Source("on feet", PRIOR)),
    Param("gap", "height", "How high water stands before it passes under the plinth.", default=MM, low=0.0, high=0.1,
          usual=(0.0, 0.02), source=Source("boards stand on the floor, and are not tight", PRIOR, 0.0, 5 * MM)),
    Param("what", "text", "What it is.", default=""),
)  # fmt: skip
PATCH: Final = (
    _area("area", "Where it lies."),
    Param("floor", "word", "What it is made of; left out: what the room is.", words=tuple(SURFACES), default=None),
    Param("raised by", "height", "How much higher it lies than the floor of the room; below nought: lower.",
          default=0.0, low=-0.3, high=0.5, usual=(-0.06, 0.1)),
)  # fmt: skip
JOINT: Final = (
    _area("area", "Where the gap, the hole for a pipe or the edge of the boards is."),
    Param("takes", "flow", "The most that runs away through it; left out: nobody knows, and nothing, 0.2 L/min and all "
          "that comes are tried on different floors.", default=None, low=0.0, high=2e-3,
          source=Source("0, 0.2 L/min and all, a third of the floors each", PRIOR)),
    Param("leads to", "place", "The place below; left out: one of which the file tells nothing.", default=None,
          also=("to", "into")),
)  # fmt: skip
HOLLOW: Final = (
    Param("under", "part", "The heavy part that presses it in."),
    Param("depth", "height", "How much lower the floor lies beneath it.", low=0.0, high=0.05, usual=(0.5 * MM, 0.02)),
    Param("reaches", "length", "How far from it the floor lies level again.", default=0.6, low=0.0, high=5.0,
          usual=(0.1, 2.0), source=Source("some boards or the width of a beam", PRIOR, 0.3, 1.5)),
)  # fmt: skip


def _maps(key: str, help_: str, fields: tuple[Param, ...], also: tuple[str, ...] = ()) -> Param:
    return Param(key, "list", help_, default=(), also=also, fields=(Param(key, "map", help_, fields=fields),))


PLAN_PARAMS: Final = (
    _area("outline", "The walls of the room."),
    Param("flatness", "word", "What is taken of the floor before anything is read of it.", words=FLATNESS,
          default=FINISHED, source=Source(
              "finished: DIN 18202, table 3, line 3 (second-hand); raised demand: line 4; old: twice as uneven",
              PRIOR), also=("standard", "evenness")),
    Param("walls", "list", "Areas that no water enters: inner walls, a chimney, what is built in.", default=(),
          fields=(_area("wall", "What it covers."),), also=("solid", "closed")),
    _maps("openings", "Doors and stairs, by which water leaves the room.", OPENING, ("doors", "door", "stairs")),
    _maps("furniture", "What stands on the floor and lets water pass beneath it.", FURNITURE, ("cabinets", "cabinet")),
    _maps("patches", "Parts of the floor of another surface, or higher or lower.", PATCH, ("steps", "rugs")),
    _maps("joints", "Gaps and holes through which water leaves for the place below.", JOINT, ("gaps", "holes")),
    _maps("hollows", "What a heavy tank presses into the floor.", HOLLOW, ("hollow",)),
)  # fmt: skip

BY = "by"
AT = _spot("at", "Where it was read.")
FROM = _spot("from", "Where the lower end of the figure is: where it begins.")
TO = _spot("to", "Where it ends.")
HEIGHT = Param("height", "height", "Height of the floor there above a level line, the same for all of the room.",
               low=-2.0, high=3.0)  # fmt: skip
RISES = Param("rises", "height", "How much higher the floor is at the end than at the beginning.", low=-0.3, high=0.3,
              usual=(-0.06, 0.06))  # fmt: skip


def _within(takes: str, value: float | None, text: str, low: float, high: float) -> Param:
    return Param("within", takes, "How exact it is (one standard deviation).", default=value, low=low, high=high,
                 source=Source(text, MEMORY))  # fmt: skip


POURED = Param("poured", "volume", "How much was poured, slowly.", low=0.02e-3, high=20e-3, usual=(0.1e-3, 5e-3))
READINGS: Final[Mapping[str, tuple[Param, ...]]] = {
    "water tube": (AT, HEIGHT, _within("height", MM, "water-tube level at home, 0.5 to 1 mm", 0.05 * MM, 0.05)),
    "laser": (AT, HEIGHT, _within("height", MM, "line laser at home, 0.5 to 1 mm", 0.05 * MM, 0.05)),
    "batten": (FROM, TO, RISES, _within("height", None, "left out: 0.5 mm for each metre between its ends",
                                        0.05 * MM, 0.05)),
    "phone": (
        FROM, TO,
        Param("angle", "angle", "By how much the floor rises that way: the mean of two readings, the phone turned "
              "round between them.", low=-10.0 * DEGREE, high=10.0 * DEGREE, usual=(-2.0 * DEGREE, 2.0 * DEGREE)),
        _within("angle", 0.1 * DEGREE, "after turning it round", 0.005 * DEGREE, 2.0 * DEGREE),
    ),
    "marble": (FROM, TO, _within("angle", 20.0 * DEGREE, "it starts above 2 to 5 mm/m", DEGREE, 90.0 * DEGREE)),
    "cup": (
        AT, POURED,
        Param("puddle", "size", "The puddle's longest way across x the way across it.", low=0.02, high=3.0,
              usual=(0.05, 1.5)),
    ),
    "pour": (
        AT, POURED,
        Param("outline", "list", "The edge of the puddle, as many corners as it needs.", default=None, fields=(SPOT,)),
        Param("probe", "part", "The probe that lay there.", default=None, roles=("sensor", "device")),
        Param("after", "volume", "When it acted: what had been poured; left out: it did not.", default=None,
              low=0.0, high=20e-3),
    ),
}  # fmt: skip
"""What was read -> its keys."""
_ASIDE: Final = ("spots", "readings")
_BETWEEN_SPOTS: Final = re.compile(r"\s*[,;/]\s+|\s+(?:to|and|[-/])\s+")


def read_floors(node: Node | None, book: Book) -> tuple[FloorPlan, ...]:
    """The plans that can be read; what cannot goes to the desk."""
    if node is None or (isinstance(node, Value) and not node.text):
        return ()
    if not isinstance(node, Group):
        book.desk.add("D300", "floors", node.line, example=m.EXAMPLE_PLAN)
        return ()
    read = (_plan(name, inner, book) for name, inner in node.pairs)
    return tuple(plan for plan in read if plan is not None)


def _plan(key: Value, node: Node, book: Book) -> FloorPlan | None:
    place, where = key.text.strip(), m.PLAN.format(place=shown(key.text))
    floors = [one.name for one in book.names.values() if one.kind and one.kind.role == "place"]
    if place not in book.names or (book.names[place].kind and place not in floors):
        near = did_you_mean(place, floors)
        rooms = [name for name in floors if not _lies_in(book.names[name])]
        book.desk.add("D301", where, key.line, got=shown(place), near=near, known=listed(rooms) or m.NOTHING_YET)
        return None
    if not isinstance(node, Group):
        book.desk.add("D300", where, node.line, example=m.EXAMPLE_PLAN)
        return None
    reader = _PlanReader(where, node, book)
    values = Values(book, where, m.SAMPLE_PLAN, "D071").group(
        PLAN_PARAMS, node, Place(where, where, "", key.line), _ASIDE
    )
    spots, readings = reader.spots(), reader.readings()
    if BAD in values.values() or spots is None or readings is None:
        return None
    return _made(place, values, spots, readings, key.line, reader)


class _PlanReader:
    """Reads of one plan what its declaration cannot say: names with their spots, and readings of several sorts."""

    def __init__(self, where: str, group: Group, book: Book) -> None:
        self.where, self.group, self.book = where, group, book
        self.lines: dict[str, int] = {}

    def line_of(self, key: str, number: int) -> int:
        """Line of one of a list."""
        node = self.group.get(key)
        return node.nodes[number].line if isinstance(node, Items) else self.group.line

    def spots(self) -> dict[str, Area] | None:
        """None if some cannot be read."""
        node = self.group.get("spots")
        if node is None or (isinstance(node, Value) and not node.text):
            return {}
        if not isinstance(node, Group):
            self.book.desk.add("D302", self.where, node.line, "spots", example=m.EXAMPLE_SPOTS)
            return None
        found: dict[str, Any] = {}
        for name, line, inner in _joined(node):
            self.lines[name] = line
            found[name] = self._named(name, inner, line)
        return None if BAD in found.values() else found

    def _named(self, name: str, node: Node, line: int) -> Any:
        known = self._may_stand()
        if name not in known:
            near = did_you_mean(name, known)
            self.book.desk.add("D303", self.where, line, "spots", got=shown(name), near=near)
            return BAD
        values = Values(self.book, self.where, m.EXAMPLE_PLAN)
        place = Place(self.where, self.where, f"spots: {name}", line)
        if isinstance(node, Items):
            return values.value(Param("spots", "list", SPOT.help, fields=(SPOT,)), node, place)
        several = _without_brackets(node.text) if isinstance(node, Value) else []
        if several:
            words = {"name": name, "count": len(several), "spots": ", ".join(several)}
            self.book.desk.add("D353", self.where, line, place.key, **words)
            return BAD
        read = values.value(SPOT, node, place)
        return BAD if read is BAD else (read,)

    def _may_stand(self) -> list[str]:
        """Names of what may stand somewhere: parts, and the probes that belong to one."""
        every = self.book.names.values()
        return [one.name for one in every] + [f"{PROBE_OF}{one.name}" for one in every if _has_probe(one)]

    def readings(self) -> tuple[Read, ...] | None:
        """None if some cannot be read."""
        node = self.group.get("readings")
        if node is None or (isinstance(node, Value) and not node.text):
            return ()
        if not isinstance(node, Items):
            self.book.desk.add("D304", self.where, node.line, "readings", example=m.EXAMPLE_READING)
            return None
        read = [self._reading(number, item) for number, item in enumerate(node.nodes, 1)]
        return None if None in read else tuple(one for one in read if one is not None)

    def _reading(self, number: int, item: Node) -> Read | None:
        where = m.READING.format(number=number, where=self.where)
        by = item.get(BY) if isinstance(item, Group) else None
        if not isinstance(item, Group) or not isinstance(by, Value):
            self.book.desk.add("D304", where, item.line, "readings", example=m.EXAMPLE_READING)
            return None
        if by.text not in READINGS:
            near = did_you_mean(by.text, READINGS)
            self.book.desk.add("D305", where, by.line, BY, got=shown(by.text), near=near, known=listed(READINGS))
            return None
        reader = Values(self.book, where, m.SAMPLE_READINGS[by.text], "D071")
        values = reader.group(READINGS[by.text], item, Place(where, where, "", item.line), (BY,))
        if BAD in values.values():
            return None
        return Read(by.text, {key: value for key, value in values.items() if value is not None}, item.line)


def _joined(group: Group) -> Iterator[tuple[str, int, Node]]:
    """(name, line, where it stands) of all spots; corners that a comma in braces parts go together."""
    name, line = "", 0
    where: Node | None = None
    for key, inner in group.pairs:
        text = key.text.strip()
        if isinstance(where, Value) and isinstance(inner, Value) and not inner.text.strip() and _is_spot(text):
            where = replace(where, text=f"{where.text}, {text}")
            continue
        if where is not None:
            yield name, line, where
        name, line, where = text, key.line, inner
    if where is not None:
        yield name, line, where


def _without_brackets(text: str) -> list[str]:
    """The spots of a text that has several; none: it has one, or something else."""
    spots = _BETWEEN_SPOTS.split(text.strip())
    return spots if len(spots) > 1 and all(map(_is_spot, spots)) else []


def _is_spot(text: str) -> bool:
    try:
        units.parse_pair(text, "length")
    except UnitError:
        return False
    return True


def _lies_in(one: Declared) -> bool:
    """Whether a place lies in another, as a tray does."""
    return one.kind is not None and any(param.key == "in" for param in one.kind.params)


def _has_probe(one: Declared) -> bool:
    return one.kind is not None and any(param.key == "probe" and param.takes == "map" for param in one.kind.params)


def _made(
    place: str, values: Mapping[str, Any], spots: dict[str, Area], readings: tuple[Read, ...], line: int,
    reader: _PlanReader,
) -> FloorPlan:  # fmt: skip
    at = reader.line_of
    return FloorPlan(
        place=place,
        outline=values["outline"],
        flatness=values["flatness"],
        walls=tuple(values["walls"]),
        openings=tuple(
            Opening(one["between"], one["sill"], one["leads to"] or "", at("openings", k))
            for k, one in enumerate(values["openings"])
        ),
        furniture=tuple(
            Furniture(one["area"], one["stands on"] == PLINTH, one["gap"], one["what"], at("furniture", k))
            for k, one in enumerate(values["furniture"])
        ),
        patches=tuple(
            Patch(one["area"], one["floor"] or "", one["raised by"], at("patches", k))
            for k, one in enumerate(values["patches"])
        ),
        joints=tuple(
            Joint(one["area"], one["takes"], one["leads to"] or "", at("joints", k))
            for k, one in enumerate(values["joints"])
        ),
        hollows=tuple(
            Hollow(one["under"], one["depth"], one["reaches"], at("hollows", k))
            for k, one in enumerate(values["hollows"])
        ),
        spots=spots,
        readings=readings,
        line=line,
        lines=reader.lines,
    )  # fmt: skip
