"""A design -> its matrix: the rows of the file, runs that are too long, and what shuts or sounds by itself.

Who carries a row out, and which words a part obeys, is asked of the same code that lowers the rows for a run.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from dewpond.design.lying import places_of
from dewpond.design.model import KEY_SEPARATOR, Design, Row
from dewpond.design.scout import scout
from dewpond.parts import KINDS
from dewpond.parts.base import PartView
from dewpond.plant.house import House
from dewpond.plant.rows import GOES, STOPS, boxes_of, drivers
from dewpond.study.matrix.model import (
    BYPASS,
    PERMITS,
    RE_ARMED,
    TELLS,
    TRIPS,
    TRIPS_WHILE,
    Alone,
    Box,
    Effect,
    Limits,
    Line,
    Losses,
    Matrix,
    Sensor,
    SensorSort,
    message_key,
)

NO_LIMITS: Final = Limits(None, None, None)
READ_AS, WHEN = "read as ", " when"  # key of a sensor around the state it reports
# Keys that several kinds share.
WITHOUT_POWER, DRIES, STAYS_SHUT = "without power", "when its probe dries", "stays shut"
LITRES = "lets through at most"  # key of a valve that shuts once so much has run through it
PROBE, SEEN, HANGS, RESTART = "probe", "seen to work with purified water", "when it hangs", "after a restart"
THROUGH, OVER, WITHOUT_ORDERS, CLOCK_OF = "through", "ordered over", "without orders", "by the clock of"


def build(design: Design) -> Matrix:
    """The matrix of a checked design; its lines are empty when the file has no rows and nothing acts by itself."""
    house = House(design, "winter")
    house.lay()
    maker = _Maker(design, house)
    lines = [*maker.rows(), *maker.own()]
    effects = maker.effects(lines)
    return Matrix(design.title, design.file, tuple(lines), effects, maker.sensors(), maker.boxes(effects),
                  tuple(maker.alone(effects)))  # fmt: skip


class _Maker:
    def __init__(self, design: Design, house: House) -> None:
        self.design = design
        self.house = house
        self.unknown = {(u.part, u.key) for u in design.unknowns}
        self.carriers = [[box.part.name for box in boxes_of(house, row)] for row in design.rows]

    def _role(self, name: str) -> str:
        return KINDS[self.house.views[name].kind].role

    # -- rows ----------------------------------------------------------------------------------------------------------
    def rows(self) -> Iterator[Line]:
        """Each row of the file, and behind it the runs that it lets last too long."""
        for number, row in enumerate(self.design.rows, 1):
            carried = {box: self._mine(row, box) for box in self.carriers[number - 1]}
            orders = {part: word for part, word in row.effects if any(part in mine for mine in carried.values())}
            marks = {part: self._mark(row, part, word) for part, word in orders.items()}
            if row.tell:
                marks[message_key(row.tell)] = TELLS
            own_id = "" if row.id == f"row {number}" else row.id
            limits = Limits(row.at_most, row.gap, row.per_day) if set(orders.values()) & set(GOES) else NO_LIMITS
            yield Line(
                str(number), "row", own_id, row.cause, "", "", "", None, row.lasting, orders, carried,
                row.until, row.rearm_when, limits, row.tell, marks,
            )  # fmt: skip
            runs = [part for part, word in orders.items() if word in GOES and row.at_most is not None]
            for count, part in enumerate(runs, 1):
                yield self._too_long(row, f"{number}.{count}", part, carried)

    def _mine(self, row: Row, box: str) -> tuple[str, ...]:
        """The parts of a row that get their order from one of its boxes."""
        return tuple(part for part, _ in row.effects if row.by or box in drivers(self.house, part))

    def _mark(self, row: Row, part: str, word: str) -> str:
        work = [term for term in row.cause.terms if self._role(term.part) == "work"]
        held_off = any(term.negated for term in work)
        if word in STOPS:
            if len(work) == len(row.cause.terms) and not held_off:
                return BYPASS
            return (TRIPS if row.until == RE_ARMED else TRIPS_WHILE) + (BYPASS if held_off else "")
        return PERMITS + (BYPASS if held_off or self._paused(part) else "")

    def _paused(self, part: str) -> bool:
        """Whether work that somebody has begun holds a part at rest."""
        orders = ((row, dict(row.effects).get(part)) for row in self.design.rows)
        return any(word in STOPS and self._mark(row, part, word) == BYPASS for row, word in orders)

    def _too_long(self, row: Row, number: str, part: str, carried: Mapping[str, tuple[str, ...]]) -> Line:
        after = row.too_long
        until, when = (after.until, after.rearm_when) if after else ("cause ends", "")
        tells = after.tell if after else None
        marks = {part: TRIPS if until == RE_ARMED else TRIPS_WHILE, **({message_key(tells): TELLS} if tells else {})}
        boxes = {box: (part,) for box, mine in carried.items() if part in mine}
        limits = Limits(row.at_most, None, None)
        return Line(
            number, "run", "", row.cause, part, "", "", None, 0.0, {part: self._stop(part)}, boxes, until, when, limits,
            tells, marks,
        )  # fmt: skip

    def _stop(self, part: str) -> str:
        actuator = self.house.actuators[part]
        return actuator.acting if actuator.acting in STOPS else actuator.resting

    # -- what acts by itself -------------------------------------------------------------------------------------------
    def own(self) -> Iterator[Line]:
        """Valves with a probe of their own, what only makes a noise, floats, and what shuts the feed by pressure."""
        loud = {name for name, _, _ in self.house.noises}
        shut_offs = scout(self.design, KINDS).shut_offs
        count = 0
        for part in self.design.parts:
            kind = KINDS[part.kind]
            probe = part.get(PROBE) or part.values
            where, spot, level, word = str(probe.get("in") or ""), str(probe.get("at") or ""), None, STOPS[0]
            mark = TRIPS_WHILE
            if part.name in loud:
                word, mark = "", TELLS
            elif kind.role == "device":
                mark = TRIPS if part.get(DRIES) in (None, STAYS_SHUT) else TRIPS_WHILE
                where = "" if part.get(LITRES) else where
            elif kind.settles is not None:
                self.house.enter(part)
                where, level = kind.settles(part, self.house)
                spot = ""
            elif part.name in shut_offs:
                where = spot = ""
            else:
                continue
            count += 1
            yield Line(
                f"A{count}", "own", "", None, part.name, where, spot, level, 0.0, {part.name: word} if word else {},
                {}, RE_ARMED if mark == TRIPS else "cause ends", "", NO_LIMITS, None, {part.name: mark},
                (part.name, DRIES) in self.unknown, part.get(LITRES),
            )  # fmt: skip

    # -- columns -------------------------------------------------------------------------------------------------------
    def effects(self, lines: list[Line]) -> tuple[Effect, ...]:
        """All that some line acts on: parts that obey orders, what acts by itself, messages; each in file order."""
        marked = {name for line in lines for name in line.marks}
        told = {line.tells for line in lines}
        own = {line.whose: line for line in lines if line.sort == "own"}
        parts = [self._ordered(part) for part in self.design.parts if part.name in self.house.actuators]
        return (
            *(effect for effect in parts if effect.key in marked),
            *(self._itself(part, own[part.name]) for part in self.design.parts if part.name in own),
            *(
                Effect(message_key(message.name), message.name, "message")
                for message in self.design.messages
                if message.name in told
            ),
        )

    def _ordered(self, part: PartView) -> Effect:
        actuator = self.house.actuators[part.name]
        stop = self._stop(part.name)
        go = actuator.resting if stop == actuator.acting else actuator.acting
        leads = [row.by for row in self.design.rows if row.by and part.name in dict(row.effects)]
        driven = drivers(self.house, part.name)
        boxes = tuple(dict.fromkeys([*driven, *leads]))
        flow = part.get("flow")
        losses = self._losses(part, actuator.resting)
        return Effect(
            part.name, part.name, "ordered", stop, go, actuator.resting, boxes, actuator.power, losses,
            float(flow) if isinstance(flow, float) else None, bool(driven),
        )  # fmt: skip

    def alone(self, effects: Iterable[Effect]) -> Iterator[Alone]:
        """Parts that act while they have power, and of which no line says anything, in file order."""
        named = {effect.name for effect in effects if effect.sort == "ordered"}
        for part in self.design.parts:
            own = self.house.actuators.get(part.name)
            if own is not None and part.name not in named and not drivers(self.house, part.name):
                yield Alone(part.name, own.acting, own.power, self._losses(part, own.resting))

    def _losses(self, part: PartView, rests: str) -> Losses:
        """A part that says nothing of power falls to its rest; a dead box and a broken wire are like no power."""
        alone = str(part.get(WITHOUT_POWER) or rests)
        through = str(part.get(THROUGH) or "")
        via = self.house.views.get(through)
        over = str(via.get(OVER) or "") if via else ""
        lost = str(via.get(WITHOUT_ORDERS)) if via and over else None
        not_known = {"power"} if (part.name, WITHOUT_POWER) in self.unknown else set()
        if over and (through, WITHOUT_ORDERS) in self.unknown:
            not_known.add("orders")
        return Losses(alone, alone, lost, over, through, frozenset(not_known))

    def _itself(self, part: PartView, line: Line) -> Effect:
        if not line.orders:
            return Effect(part.name, part.name, "own")
        alone = str(part.get(WITHOUT_POWER) or "")
        losses = Losses(alone, "", None, "", "", frozenset()) if alone else None
        return Effect(part.name, part.name, "own", STOPS[0], GOES[0], GOES[0], losses=losses)

    # -- sensors and boxes ---------------------------------------------------------------------------------------------
    def sensors(self) -> dict[str, Sensor]:
        """All that the causes of the file ask, by name, in its order."""
        terms = [term for row in self.design.rows for term in row.cause.terms]
        found = {}
        for part in self.design.parts:
            told = list(self._told(part))
            for state, otherwise in told:
                sensor = self._sensor(part, state, otherwise)
                if any(sensor.is_asked(term) for term in terms):
                    found[part.name if len(told) == 1 else f"{part.name} {state}"] = sensor
        return found

    def _told(self, part: PartView) -> Iterator[tuple[str, str]]:
        """What a part tells of: for each thing its word, and that for the contrary, "not" before it where it has
        none."""
        words = {signal: word for (name, word), signal in self.house.conditions.items() if name == part.name}
        for signal, word in words.items():
            if signal >= 0 or -1 - signal not in words:
                yield word, words.get(-1 - signal, f"not {word}")

    def _sensor(self, part: PartView, state: str, otherwise: str) -> Sensor:
        keys = [key for key in part.values if key.startswith(READ_AS) and key.endswith(WHEN) and part[key]]
        where = " and ".join(places_of(part))
        spot = str(part.get("at") or "") if keys and "type" not in part.values else ""
        wired, by = str(part.get("wired to") or ""), str(part.get(CLOCK_OF) or "")
        if not keys:
            sort: SensorSort = "clock" if by else "reading" if wired else "work"
            return Sensor(part.name, sort, state, "", "", by or wired, where, spot, "", otherwise)
        seen = str(part.get(SEEN) or "")
        contact = str(part.get("contact") or "")
        return Sensor(part.name, "contact", state, contact, str(part[keys[0]]), wired, where, spot, seen, otherwise)

    def boxes(self, effects: Iterable[Effect]) -> tuple[Box, ...]:
        """All boxes that carry out something or stand in a lead, in file order."""
        used = {name for names in self.carriers for name in names} | {name for e in effects for name in e.boxes}
        found = []
        for part in self.design.parts:
            if part.name not in self.house.boxes or part.name not in used:
                continue
            box = self.house.boxes[part.name]
            keys = {
                "trips": f"{RESTART}{KEY_SEPARATOR}trips", "counts": f"{RESTART}{KEY_SEPARATOR}counts",
                "hangs": HANGS, WITHOUT_POWER: WITHOUT_POWER,
            }  # fmt: skip
            not_known = {word for word, key in keys.items() if (part.name, key) in self.unknown}
            if (part.name, RESTART) in self.unknown:
                not_known |= {"trips", "counts"}
            found.append(
                Box(
                    part.name, str(part.get("power") or ""), box.keeps_trips, box.keeps_counts,
                    float(part.get("waits after a restart") or 0.0), part.get(HANGS) is not None, box.hang_keeps_order,
                    box.lets_without_power, frozenset(not_known),
                )
            )  # fmt: skip
        return tuple(found)
