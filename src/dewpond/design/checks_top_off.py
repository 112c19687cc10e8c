"""Findings about pumps that replace what evaporates: what the tank can bear, and whether the limits of a row fit it.

Salinity in its volume form, S V / (V + v): 2.6 % off the mass balance, which no finding here depends on. Amber is the
change of salinity in a day from which animals are at risk, evaporation the least of a covered tank; both common
practice, no source. What counts as soon is our prior.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.design.checks_levels import RIPPLES
from dewpond.design.desk import Desk
from dewpond.design.model import Design, Row
from dewpond.design.rows import RE_ARMED
from dewpond.design.scout import Scouted
from dewpond.parts.base import PartView
from dewpond.physics.salinity import fresh_water_to_reach
from dewpond.vocabulary import Word

AMBER: Final = 1.3  # fall of salinity in a day [g/kg]
FRESH: Final = 5.0  # salinity below which a little more fresh water matters to nothing [g/kg]
SOON: Final = 600.0  # time in which a pump that runs on should not get that far [s]; our prior, 5 to 30 min
GENTLE: Final = 4.0e-3 / 3600.0  # a pump that gives a day's evaporation of a middling tank in an hour [m3/s]
DRIEST: Final = 0.5e-3 / 86400.0  # what evaporates from a covered tank at least [m3/s for each m2]
USUAL: Final = (
    4.0e-3 / 86400.0
)  # what evaporates from an open tank in a heated room [m3/s for each m2]; our prior, 2 to 9
WAVES: Final = 3.5e-3  # where pumps and weirs keep water moving, it goes up and down so much [m]; our prior, 2 to 6 mm
CUT: Final = 9.0 * 3600.0  # a long power cut [s]; our prior


# How far a mark may lie above the running level [m]: what a ruler on moving water, or the dead band of a float, makes
# unsure. Common practice, no source.
UNSURE: Final = 5e-3


DEAD_BAND: Final = "hysteresis"  # key of a switch with one mark


class TopOff:
    """Looks at every pump that orders start and stop, and at the rows that run it."""

    def __init__(self, design: Design, found: Scouted, desk: Desk) -> None:
        self.views = {part.name: part for part in design.parts}
        self.found = found
        self.desk = desk
        self.bodies: dict[str, list[str]] = {}
        for name, spec in found.vessels.items():
            self.bodies.setdefault(spec.mixed_with or name, []).append(name)
        self.heights: dict[tuple[str, str], dict[str, float]] = {}  # (part, vessel) -> key -> mark
        for mark in found.marks:
            self.heights.setdefault((mark.part, mark.vessel), {})[mark.key] = mark.height
        self.told: set[tuple[str, str]] = set()
        self.system: units.System = "US" if design.shown_in == "US" else "metric"

    def pumps(self) -> Iterator[tuple[PartView, str, float]]:
        """(pump, the vessel it fills, its flow [m3/s])."""
        for vessel, fillers in self.found.fills.items():
            for name in sorted(fillers):
                flow = self.views[name].get("flow")
                if flow and Word.RUNNING in self.found.orders.get(name, ()) and vessel in self.found.vessels:
                    yield self.views[name], vessel, flow

    def body(self, vessel: str) -> list[str]:
        """The vessel and those with which water circulates."""
        return self.bodies[self.found.vessels[vessel].mixed_with or vessel]

    def water(self, vessel: str) -> float:
        """Water in the vessel and all that circulates with it [m3]."""
        return sum(spec.volume_at(spec.start) for spec in map(self.found.vessels.__getitem__, self.body(vessel)))

    def salinity(self, vessel: str) -> float:
        """Of the tank that circulates with the vessel [g/kg]; 0 without one."""
        return max((self.views[name].get("salinity") or 0.0 for name in self.body(vessel)), default=0.0)

    def bears(self, vessel: str) -> float | None:
        """Fresh water that takes the salinity down to amber [m3]; None where it matters to nothing."""
        salinity = self.salinity(vessel)
        return fresh_water_to_reach(salinity, salinity - AMBER, self.water(vessel)) if salinity > FRESH else None

    def shown(self, value: float, quantity: str) -> str:
        return units.show(value, quantity, self.system, 2)

    def before_and_after(self, vessel: str, added: float) -> dict[str, str]:
        """Salinity of a vessel as it is and with fresh water added [m3], and the water in it."""
        water, salinity = self.water(vessel), self.salinity(vessel)
        after = units.show(salinity * water / (water + added), "salinity", self.system, 3)
        before = units.show(salinity, "salinity", self.system, 3)
        return {"before": before, "after": after, "volume": self.shown(water, "volume")}

    # -- the pump ------------------------------------------------------------------------------------------------------
    def strong(self, vessel: str, flow: float, rows: Sequence[Row], where: str, line: int) -> None:
        """A pump that makes the tank too fresh before anybody can come; told mildly where the `rows` limit its runs."""
        bears = self.bears(vessel)
        if bears is None or bears / flow >= SOON:
            return
        words = self.before_and_after(vessel, bears) | {"bears": self.shown(bears / flow, "duration")}
        words |= {"flow": self.shown(flow, "flow"), "gentle": self.shown(GENTLE, "flow"), "vessel": vessel}
        limits = [row.at_most for row in rows]
        longest = max((limit for limit in limits if limit is not None), default=0.0)
        if not limits or None in limits or longest * flow > bears:
            self.desk.add("D126", where, line, "flow", **words)
            return
        ended = self.before_and_after(vessel, longest * flow)["after"]
        self.desk.add("D140", where, line, "flow", at_most=self.shown(longest, "duration"), ended=ended, **words)

    # -- the rows that run it ------------------------------------------------------------------------------------------
    def row(self, row: Row, vessel: str, flow: float, where: str) -> None:
        """Whether the limits of a row fit the tank."""
        bears, band = self.bears(vessel), self._band(row, vessel)
        self._no_gap(row, vessel, flow, where)
        if row.at_most is not None:
            self._run(row, row.at_most, vessel, flow, where)
            rises = flow - sum(self.found.evaporates.get(name, 0.0) for name in self.body(vessel))
            if band is not None and row.at_most * rises < band[2]:
                needs = self.shown(band[2] / rises, "duration") if rises > 0.0 else m.ENDLESS_RUN
                words = {"low": band[0], "high": band[1], "normal": needs}
                self.desk.add("D130", where, row.line, "at most", at_most=self.shown(row.at_most, "duration"), **words)
            self._arrears(row, row.at_most, vessel, flow, where)
        if row.per_day is None:
            return
        per_day = self.shown(row.per_day, "volume")
        if bears is not None and row.per_day > bears:
            words = self.before_and_after(vessel, row.per_day)
            self.desk.add("D128", where, row.line, "per day", per_day=per_day, vessel=vessel, **words)
        typed = sum(self.views[name].get("evaporation") or 0.0 for name in self.body(vessel)) * 86400.0
        if row.per_day < typed:
            words = {"typed": self.shown(typed, "volume"), "per_day": per_day, "vessel": vessel}
            self.desk.add("D174", where, row.line, "per day", **words)
            return
        area = self.area(vessel)
        if row.per_day < area * DRIEST * 86400.0:
            words = {"area": self.shown(area, "area"), "least": self.shown(area * DRIEST * 86400.0, "volume")}
            self.desk.add("D129", where, row.line, "per day", per_day=per_day, vessel=vessel, **words)

    def _no_gap(self, row: Row, vessel: str, flow: float, where: str) -> None:
        """Runs with no pause between, started and ended at marks that a wave carries the water from and to."""
        spec = self.found.vessels[vessel]
        for term in row.cause.terms if row.gap is None else ():
            marks = sorted(self.heights.get((term.part, vessel), {}).values())
            if term.word != Word.LOW or not marks:
                continue
            upper = marks[-1] if len(marks) > 1 else marks[0] + (self.views[term.part].get("hysteresis") or 0.0)
            if RIPPLES <= upper - marks[0] < WAVES:
                litres = spec.volume_at(upper) - spec.volume_at(marks[0])
                words = {"apart": self.shown(upper - marks[0], "height"), "litres": self.shown(litres, "volume")}
                words |= {"run": self.shown(litres / flow, "duration"), "sensor": term.part}
                self.desk.add("D195", where, row.line, "gap", **words)
                return

    def _arrears(self, row: Row, at_most: float, vessel: str, flow: float, where: str) -> None:
        """A run that is cut off, and stays so, before it has made good what evaporated in a power cut."""
        band, area = self._band(row, vessel), self.area(vessel)
        locked = row.too_long is not None and row.too_long.until == RE_ARMED
        if band is None or not locked or not area:
            return
        lost = max(area * USUAL, sum(self.found.evaporates.get(name, 0.0) for name in self.body(vessel))) * CUT
        if band[2] <= at_most * flow < band[2] + lost:
            words = {"lost": self.shown(lost, "volume"), "cut": self.shown(CUT, "duration")}
            words["band"] = self.shown(band[2], "volume")
            words |= {
                "needs": units.show((band[2] + lost) / flow, "duration", self.system, 3),
                "at_most": units.show(at_most, "duration", self.system, 3),
            }
            self.desk.add("D173", where, row.line, "at most", vessel=vessel, **words)

    def area(self, vessel: str) -> float:
        """Open water of the tanks that circulate with a vessel [m2]."""
        return sum(spec.area_at_rim for spec in map(self.found.vessels.__getitem__, self.body(vessel)) if spec.tank)

    def _run(self, row: Row, at_most: float, vessel: str, flow: float, where: str) -> None:
        """A run that lasts until its limit."""
        spec, added, bears = self.found.vessels[vessel], at_most * flow, self.bears(vessel)
        start = min(spec.start, self.rest(row, vessel, spec.start))  # where a switch that sticks may have left it
        held = spec.volume_at(start) + added
        after = spec.level_at(held)
        falls_back = self.views[vessel].get("rises when the return pump stops") or 0.0
        back = spec.volume_at(start + falls_back) - spec.volume_at(start)
        over = ""
        if after > spec.rim:
            over = m.OVER_THE_RIM
        elif back > 0.0 and spec.level_at(held + back) > spec.rim >= start + falls_back:
            over = m.OVER_LATER
        if not over and (bears is None or added <= bears):
            return
        salinity, water = self.salinity(vessel), self.water(vessel)
        salt = m.LESS_SALT.format(percent=f"{100.0 * added / (water + added):.2g}") if salinity > FRESH else ""
        band = self._band(row, vessel)
        twice = 2.0 * band[2] / flow if band else 0.0
        here = m.HERE_ABOUT.format(usual=self.shown(twice, "duration")) if band else ""
        usual = m.TWICE.format(usual=here) if twice < at_most else m.NO_LONGER
        words = {"added": self.shown(added, "volume"), "rise": self.shown(after - start, "height")}
        words |= {"over": over, "salt": salt, "usual": usual, "at_most": self.shown(at_most, "duration")}
        words["begun"] = self.shown(start, "height")
        self.desk.add("D127", where, row.line, "at most", vessel=vessel, **words)

    def rests(self, row: Row, vessel: str) -> Iterator[tuple[str, str, dict[str, str]]]:
        """(sensor, key, words) of a mark at which the pump rests only far above the level at which a tank or its sump
        stands while all is well. The level of any other vessel is nobody's wish."""
        spec = self.found.vessels[vessel]
        if not any(self.found.vessels[name].tank for name in self.body(vessel)):
            return
        for term in row.cause.terms:
            marks = self.heights.get((term.part, vessel), {})
            if term.word != Word.LOW or term.negated or not marks:
                continue
            key = max(marks, key=marks.__getitem__)
            rest = self._top(term.part, marks)
            added = spec.volume_at(rest) - spec.volume_at(spec.start)
            if (
                (term.part, key) in self.told
                or not spec.start + UNSURE < marks[key] <= rest <= spec.rim
                or added <= 0.0
            ):
                continue
            self.told.add((term.part, key))
            water, salinity = self.water(vessel), self.salinity(vessel)
            salt = m.LESS_SALT.format(percent=f"{100.0 * added / (water + added):.2g}") if salinity > FRESH else ""
            height, start = (units.show(level, "height", self.system, 3) for level in (rest, spec.start))
            when = m.AT_ONCE if min(marks.values()) > spec.start else ""
            yield term.part, key, {
                "height": height, "start": start, "added": self.shown(added, "volume"), "salt": salt, "when": when,
            }  # fmt: skip

    def _top(self, part: str, marks: Mapping[str, float]) -> float:
        """Where a switch for low water lets the pump rest [m]: at the upper of two marks, or a dead band above one."""
        return max(marks.values()) + (self.views[part].get(DEAD_BAND) or 0.0 if len(marks) == 1 else 0.0)

    def rest(self, row: Row, vessel: str, other: float) -> float:
        """Where the row's switch for low water in the vessel lets the pump rest [m]; ``other`` where it has none."""
        for term in row.cause.terms:
            marks = self.heights.get((term.part, vessel), {})
            if marks and term.word == Word.LOW and not term.negated:
                return self._top(term.part, marks)
        return other

    def _band(self, row: Row, vessel: str) -> tuple[str, str, float] | None:
        """(lower mark, upper mark, water between [m3]) of the first sensor of the cause that has two in the vessel, or
        one and a dead band above it."""
        spec = self.found.vessels[vessel]
        for term in row.cause.terms:
            marks = self.heights.get((term.part, vessel), {})
            if len(marks) == 2:
                low, high = sorted(marks, key=marks.__getitem__)
                return low, high, spec.volume_at(marks[high]) - spec.volume_at(marks[low])
            dead = self.views[term.part].get(DEAD_BAND) if len(marks) == 1 and term.word == Word.LOW else None
            if dead:
                ((low, mark),) = marks.items()
                return low, f"{low} + {DEAD_BAND}", spec.volume_at(mark + dead) - spec.volume_at(mark)
        return None
