"""What no single key can show: findings over the whole design."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import partial
from typing import Any, Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.design.checks_claims import check_claims
from dewpond.design.checks_endless import check_endless
from dewpond.design.checks_fills import check_filling
from dewpond.design.checks_floors import check_floors
from dewpond.design.checks_forgotten import check_forgotten
from dewpond.design.checks_joints import check_joints
from dewpond.design.checks_layers import check_layers, check_servos, layers_of
from dewpond.design.checks_levels import check_levels
from dewpond.design.checks_limits import check_limits, check_row_limits
from dewpond.design.checks_lines import check_fills, check_lines
from dewpond.design.checks_matrix import check_matrix, check_messages, row_title
from dewpond.design.checks_never import check_never
from dewpond.design.checks_orders import check_orders
from dewpond.design.checks_places import check_places
from dewpond.design.checks_reach import check_reach
from dewpond.design.checks_rulers import check_rulers
from dewpond.design.checks_salt import check_salt
from dewpond.design.checks_shared import check_shared
from dewpond.design.checks_sizes import check_sizes
from dewpond.design.checks_top_off import TopOff
from dewpond.design.checks_undriven import check_undriven
from dewpond.design.checks_unseen import check_unseen
from dewpond.design.checks_wired import check_wired
from dewpond.design.desk import Desk, TooManyError, in_order, nearest, shown
from dewpond.design.model import Design, Row
from dewpond.design.scout import Scouted, scout
from dewpond.design.showing import with_amounts
from dewpond.errors import Finding
from dewpond.parts import KINDS
from dewpond.parts.base import Kind, PartView
from dewpond.vocabulary import Word

_OPPOSITE: Final = {"wet": "dry", "dry": "wet", "low": "high", "high": "low", "hot": "cold"}
_CONTACT = re.compile(r"(?P<verb>closes|opens) when (?P<state>\w+)")
_READ_AS = re.compile(r"read as (?P<state>\w+) when")
_NAMING: Final = ("part", "parts", "place", "places")  # what a key may take that names others
_NEARLY = 0.88  # likeness from which two names are taken for the same one mistyped


def check(
    design: Design, kinds: Mapping[str, Kind] = KINDS, broken: Collection[str] | None = None
) -> tuple[Finding, ...]:
    """Everything the checks object to, with what the reader remarked, in the order of the file.

    broken  None: the whole file was read. Else some of it was not, and these parts are missing from the design; then
            only what is certain all the same is said, and nothing is called absent.
    """
    if not design.parts:
        return design.notes
    checks = _Checks(design, kinds, broken)
    with suppress(TooManyError):  # then what lies on the desk is told
        checks.all()
    return in_order([*design.notes, *checks.desk.findings])


class _Checks:
    def __init__(self, design: Design, kinds: Mapping[str, Kind], broken: Collection[str] | None) -> None:
        self.design = design
        self.kinds = kinds
        self.desk = Desk(design.file)
        self.whole = broken is None
        self.unsound = set(broken or ())

    def all(self) -> None:
        """Puts everything on the desk. Raises TooManyError."""
        for part in self.design.parts:
            self._own_check(part)
            self._contact(part)
        rings = list(self._place_rings())
        self._spread_unsoundness(rings)
        found = scout(self.design, self.kinds, self.unsound)
        self._water(found)
        check_joints(self.design, self.kinds, self._certain() if self.whole else (), self._add)
        self._marks(found)
        self._circuits()
        self._sizes(found)
        self._top_off(found)
        show = partial(units.show, system=self._system(), digits=3)
        check_levels(self.design, found, self._add, show)
        check_places(self.design, self.kinds, found, self._add, show)
        check_orders(self.design, found, self.desk)
        check_never(self.design, found, self.desk, show, self.whole)
        check_servos(self.design, found, self._add, show)
        check_matrix(self.design, self.kinds, found, self.unsound, self.desk, self.whole)
        check_claims(self.design, self.kinds, found, self.desk, self.whole and not self.unsound)
        check_floors(self.design, self.kinds, found, self.desk, show, self.whole)
        if self.whole:
            self._absences(found)
            check_row_limits(self.design, found, self.desk, show)
            if not self.unsound:
                check_layers(self.design, self.kinds, found, self.desk, show)
                check_salt(self.design, found, self._add, show)
                check_unseen(self.design, self.kinds, found, self._add, show)
                check_endless(self.design, found, self._add)
                layers = layers_of(self.design, self.kinds, found)
                check_lines(self.design, self.kinds, found, list(layers), self._add, show)
                check_fills(self.design, scout(self.design, self.kinds, season="winter"), self.desk, show)
                check_shared(self.design, self.kinds, found, self._add, show)
                check_filling(self.design, self.kinds, found, self._add, show)
                check_forgotten(self.design, self.kinds, found, self.desk, show)
                check_reach(self.design, found, self.desk, self._add, show)
                check_limits(self.design, self.kinds, found, self.desk, self._add, show)
                check_wired(self.design, self.kinds, self.desk)
                check_sizes(self.design, self.kinds, found, self._add, show)
                check_rulers(self.design, found, self._add, show)
                check_undriven(self.design, self.kinds, found, self.desk, self._add)
            people = [part.name for part in self.design.parts if self.kinds[part.kind].section == "people"]
            check_messages(self.design, self.kinds, people, self.desk)

    # -- helpers -------------------------------------------------------------------------------------------------------
    def _where(self, name: str) -> str:
        section = self.kinds[self.design.part(name).kind].section
        return section if section == name else m.PART.format(section=section, name=name)

    def _line(self, name: str, key: str | None = None) -> int:
        return self.design.key_lines.get((name, key or ""), self.design.lines[name])

    def _add(self, code: str, name: str, key: str | None = None, **words: object) -> None:
        self.desk.add(code, self._where(name), self._line(name, key), key, **words)

    def _names(self, part: PartView, takes: Collection[str]) -> Iterator[tuple[str, str]]:
        """(key, name) of everything the part names."""
        for param in self.kinds[part.kind].params:
            value = part.get(param.key)
            if param.takes in takes and value:  # left out, it may be None or empty
                yield from ((param.key, name) for name in ([value] if isinstance(value, str) else value))

    def _spread_unsoundness(self, rings: list[list[str]]) -> None:
        """Parts that name an unsound part cannot be lowered either."""
        known = {part.name for part in self.design.parts}
        leaning: dict[str, set[str]] = {}
        for part in self.design.parts:
            for _, name in self._names(part, _NAMING):
                leaning.setdefault(name, set()).add(part.name)
        todo = {*self.unsound, *(name for ring in rings for name in ring), *(leaning.keys() - known)}
        self.unsound.clear()
        while todo:
            name = todo.pop()
            self.unsound.add(name)
            todo |= leaning.get(name, set()) - self.unsound

    # -- one part at a time --------------------------------------------------------------------------------------------
    def _own_check(self, part: PartView) -> None:
        own = self.kinds[part.kind].check
        for finding in own(part) if own else ():
            what, remedy = (with_amounts(text, self._system()) for text in (finding.what, finding.remedy))
            where, line = self._where(part.name), self._line(part.name, finding.key)
            self.desk.take(replace(finding, what=what, remedy=remedy, where=where, file=self.design.file, line=line))
            if finding.level == "error":
                self.unsound.add(part.name)

    def _contact(self, part: PartView) -> None:
        """What the contact does and how the input reads it are two facts: here they are held against each other."""
        contact = _CONTACT.fullmatch(str(part.get("contact")))
        for key, value in part.values.items():
            read = _READ_AS.fullmatch(key)
            if not (contact and read and value):
                continue
            closed_is = contact["state"] if contact["verb"] == "closes" else _OPPOSITE.get(contact["state"])
            read_as = read["state"] if value == "closed" else _OPPOSITE.get(read["state"])
            if closed_is and read_as and closed_is != read_as:
                self._add(
                    "D104", part.name, key, contact=contact[0], reading=value, state=read["state"],
                    opposite=_OPPOSITE[read["state"]],
                )  # fmt: skip

    def _circuits(self) -> None:
        circuits = [part.name for part in self.design.parts if self.kinds[part.kind].role == "circuit"]
        for name in sorted(self.design.implied):
            line = self.design.lines[name]
            before = [c for c in circuits if c not in self.design.implied or self.design.lines[c] < line]
            near = nearest(name, before, _NEARLY)
            if near:
                self._add("D116", name, got=shown(name), near=near)

    # -- water ---------------------------------------------------------------------------------------------------------
    def _place_rings(self) -> Iterator[list[str]]:
        """Places that lie in, or lead to, each other in a ring, and circuits that feed each other."""
        leads: dict[str, dict[str, set[str]]] = {}
        for part in self.design.parts:
            takes = {"place": ("place",), "circuit": ("part", "parts")}.get(self.kinds[part.kind].role, ())
            for key, name in self._names(part, takes):
                leads.setdefault(key, {}).setdefault(part.name, set()).add(name)
        for key, graph in leads.items():
            for ring in rings_in(graph):
                self._add("D125", ring[0], key, ring=" - ".join([*ring, ring[0]]))
                yield ring

    def _water(self, found: Scouted) -> None:
        for ring in rings_in(found.follows):
            self._add("D101", ring[0], "after", ring=" - ".join([*ring, ring[0]]))

    def _marks(self, found: Scouted) -> None:
        told = set()
        for mark in [*found.marks, *found.own]:
            rim = found.vessels[mark.vessel].rim
            if (mark.part, mark.key) in told or not mark.key:
                continue
            told.add((mark.part, mark.key))
            words: dict[str, Any] = {"vessel": mark.vessel, "height": self._shown(abs(mark.height))}
            if mark.height > rim:
                self._add("D114", mark.part, mark.key, rim=self._shown(rim), **words)
            elif mark.height < 0.0:
                self._add("D115", mark.part, mark.key, **words)

    def _sizes(self, found: Scouted) -> None:
        """Trays and vessels that are larger than the place they stand in."""
        areas = {name: spec.area_at_rim for name, spec in found.vessels.items()}
        stands_in = {name: spec.place for name, spec in found.vessels.items() if self.design.part(name).get("in")}
        for name, floor in found.floors.items():
            if self.design.part(name).get("in"):
                areas[name], stands_in[name] = floor.area, self.design.part(name)["in"]
        for name, place in stands_in.items():
            if place in found.floors and areas[name] > found.floors[place].area:
                own, has = (
                    units.show(area, "area", self._system()) for area in (areas[name], found.floors[place].area)
                )
                self._add("D131", name, None, own=own, place=place, floor=has)

    def _top_off(self, found: Scouted) -> None:
        """Pumps that are too strong for their tank, and rows whose limits do not fit."""
        top_off = TopOff(self.design, found, self.desk)
        runs: dict[str, list[tuple[int, Row]]] = {}
        for number, row in enumerate(self.design.rows, 1):
            for part, word in row.effects:
                if word == Word.RUNNING:
                    runs.setdefault(part, []).append((number, row))
        for pump, vessel, flow in top_off.pumps():
            own = runs.get(pump.name, [])
            top_off.strong(vessel, flow, [r for _, r in own], self._where(pump.name), self._line(pump.name, "flow"))
            for number, row in own:
                top_off.row(row, vessel, flow, row_title(row, number))
                for sensor, key, words in top_off.rests(row, vessel):
                    self._add("D148", sensor, key, pump=pump.name, vessel=vessel, **words)

    def _system(self) -> units.System:
        return "US" if self.design.shown_in == "US" else "metric"

    def _shown(self, height: float) -> str:
        return units.show(height, "height", self._system(), 3)

    def _certain(self) -> set[str]:
        """Sound parts that no unsound part names: what that one does to them is not known."""
        asked = {
            name for part in self.design.parts if part.name in self.unsound for _, name in self._names(part, _NAMING)
        }
        return {part.name for part in self.design.parts} - self.unsound - asked

    def _absences(self, found: Scouted) -> None:
        """What is missing; said only when no line of the file was left unread."""
        roles = {part.name: self.kinds[part.kind].role for part in self.design.parts}
        if "source" not in roles.values():
            self.desk.add("D120", self.design.file, None)
        certain = self._certain()
        for part in self.design.parts:
            if part.name not in certain:
                continue
            for port in self.kinds[part.kind].ports:
                free = port.name != "in" and (part.name, port.name) not in found.ports
                if port.carries == "water" and port.must_join and free:
                    self._add("D100", part.name, port=port.name)
            for param in self.kinds[part.kind].params:
                seen = part.get(param.key) if param.looks else None
                if seen and seen not in found.vessels and (seen, "out") not in found.ports:
                    self._add("D247", part.name, param.key, part=seen)
            spec = found.vessels.get(part.name)
            by_hand = bool(found.follows[part.name])  # it stands at the end of a line of its own: a tap over it
            if spec is not None and not spec.mixed_with and not by_hand:  # else water goes round through both
                if not found.fills[part.name]:
                    self._add("D102", part.name)
                if not found.draws[part.name] and not spec.tank:  # a tank evaporates
                    self._add("D103", part.name)


def rings_in(graph: Mapping[str, Collection[str]]) -> Iterator[list[str]]:
    """The rings that a walk along the graph runs into, each begun at its first name in the alphabet."""
    done: dict[str, bool] = {}  # False: on the way just now
    for start in sorted(graph):
        if start in done:
            continue
        way, todo = [start], [iter(sorted(graph[start]))]
        done[start] = False
        while way:
            name = next(todo[-1], None)
            if name is None:
                done[way.pop()] = True
                todo.pop()
            elif name not in done:
                done[name] = False
                way.append(name)
                todo.append(iter(sorted(graph.get(name, ()))))
            elif not done[name]:
                ring = way[way.index(name) :]
                least = ring.index(min(ring))
                yield ring[least:] + ring[:least]
