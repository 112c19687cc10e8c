"""Findings about times and limits that cannot be meant together: delays longer than what they wait for, pauses longer
than the tank bears, limits that are never reached or that limit nothing.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from typing import Final

from dewpond.design import messages as m
from dewpond.design import messages_rows as r
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_matrix import row_title
from dewpond.design.checks_orders import GOES, STOPS
from dewpond.design.checks_shared import WAITS, carried_out_by, drying
from dewpond.design.checks_top_off import DRIEST, TopOff
from dewpond.design.desk import Desk, listed
from dewpond.design.model import Design, Heartbeat, Row
from dewpond.design.rows import CAUSE_ENDS
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind
from dewpond.vocabulary import Word

DAY: Final = 86400.0  # [s]
LASTS, ENDS = "lasts", "ends by itself after"  # keys of a pause


def check_row_limits(design: Design, found: Scouted, desk: Desk, shown: Shown) -> None:
    """What a row shows by itself, with the work that it asks for."""
    for number, row in enumerate(design.rows, 1):
        where = row_title(row, number)
        _limits_nothing(row, where, found, desk)
        _outlasted(row, where, design, found, desk, shown)
        _started_all_the_same(row, where, design, desk)


def _limits_nothing(row: Row, where: str, found: Scouted, desk: Desk) -> None:
    """Limits of a row that starts nothing, an end of its own for one that only starts, a limit that ends nothing."""
    known = [(part, word) for part, word in row.effects if part in found.orders]
    goes = [part for part, word in known if word in GOES]
    given = {"at most": row.at_most, "gap": row.gap, "per day": row.per_day}
    keys = [key for key, value in given.items() if value is not None]
    if len(known) < len(row.effects):
        return
    if keys and not goes:
        desk.add("D224", where, row.line, keys[0], keys=listed(f"`{key}`" for key in keys))
    if goes and row.until != CAUSE_ENDS and len(goes) == len(known):
        desk.add("D225", where, row.line, "until", parts=listed(goes))
    if goes and row.too_long is not None and row.too_long.word in found.orders[goes[0]] and row.too_long.word in GOES:
        words = {"part": goes[0], "word": row.too_long.word, "stop": found.orders[goes[0]][0]}
        desk.add("D226", where, row.line, "when a run is too long", **words)


def _outlasted(row: Row, where: str, design: Design, found: Scouted, desk: Desk, shown: Shown) -> None:
    """A row that lets something rest during a piece of work, and waits until that is over."""
    if row.cause.op == "vote" or not any(word in STOPS for _, word in row.effects):
        return
    for term in row.cause.terms:
        work = design.part(term.part) if term.part in found.states and not term.negated else None
        ends = [work[key] for key in (LASTS, ENDS) if work.get(key)] if work is not None else []
        if ends and row.lasting >= min(ends):
            words = {"lasting": shown(row.lasting, "duration"), "over": shown(min(ends), "duration")}
            desk.add("D220", where, row.line, "lasting", work=term.part, **words)
            return


def _started_all_the_same(row: Row, where: str, design: Design, desk: Desk) -> None:
    """A row whose box still starts by another row what this one holds off until somebody comes."""
    if row.too_long is None or row.too_long.until == CAUSE_ENDS:
        return
    for part, box in _started(row, design):
        others = [
            row_title(other, number)
            for number, other in enumerate(design.rows, 1)
            if other is not row and (part, box) in _started(other, design)
        ]
        if others:
            desk.add("D239", where, row.line, "when a run is too long", part=part, others=listed(others))


def _started(row: Row, design: Design) -> list[tuple[str, str]]:
    """(part, box) of what a row runs or opens."""
    known = {part.name: part for part in design.parts}
    goes = [known[part] for part, word in row.effects if word in GOES and part in known]
    return [(part.name, str(row.by or part.get("driven by"))) for part in goes]


def check_limits(design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, say: Say, shown: Shown) -> None:
    """What the limits of a row come to with its pump, and what the tank bears meanwhile."""
    top_off = TopOff(design, found, desk)
    pumps: dict[str, list[tuple[str, float]]] = {}
    for pump, vessel, flow in top_off.pumps():
        pumps.setdefault(pump.name, []).append((vessel, flow))
    told: set[str] = set()
    for number, row in enumerate(design.rows, 1):
        where = row_title(row, number)
        for part in (part for part, word in row.effects if word == Word.RUNNING):
            for vessel, flow in pumps.get(part, ()):
                _daily(row, vessel, flow, where, top_off, desk, shown)
                _rests(row, vessel, where, design, top_off, desk, shown)
                boxes = carried_out_by(row, design, kinds) - told
                told |= _waits(row, boxes, vessel, design, top_off, say, shown)
    for beat in design.heartbeats:
        _missed_late(beat, design, kinds, found, desk, shown)


# -- litres ------------------------------------------------------------------------------------------------------------
def _daily(row: Row, vessel: str, flow: float, where: str, top_off: TopOff, desk: Desk, shown: Shown) -> None:
    """What can come in a day: too little for what evaporates, less than the limit of the day, or all in one run."""
    rest = max(row.gap or 0.0, row.lasting)
    said = sum(top_off.views[name].get("evaporation") or 0.0 for name in top_off.body(vessel)) * DAY
    lost = said or top_off.area(vessel) * DRIEST * DAY
    mean = flow * DAY * row.at_most / (row.at_most + rest) if row.at_most is not None else flow * DAY
    if row.at_most is not None and rest > 0.0 and mean < lost:
        words = {"most": shown(mean, "volume"), "at_most": shown(row.at_most, "duration")}
        words |= {"rest": shown(rest, "duration"), "lost": shown(lost, "volume"), "vessel": vessel}
        key = "gap" if row.gap == rest else "lasting"
        desk.add("D229", where, row.line, key, whose=r.AS_WRITTEN if said else r.AT_LEAST_SO, **words)
        return
    if row.per_day is None or row.per_day < lost:  # of which others tell
        return
    most = flow * _running(row.at_most, rest)
    if row.per_day > most:
        desk.add("D230", where, row.line, "per day", most=shown(most, "volume"))
    if row.at_most is not None and row.per_day < row.at_most * flow:
        words = {"per_day": shown(row.per_day, "volume"), "after": shown(row.per_day / flow, "duration")}
        acts = r.ITS_MESSAGE if row.too_long is not None and row.too_long.tell else r.ITS_END
        desk.add("D231", where, row.line, "at most", at_most=shown(row.at_most, "duration"), acts=acts, **words)


def _running(at_most: float | None, rest: float) -> float:
    """For how long a pump runs in a day at most [s], begun at once, with so long a rest after each run."""
    if at_most is None or rest <= 0.0:
        return DAY
    rounds = math.floor(DAY / (at_most + rest))
    return rounds * at_most + min(at_most, DAY - rounds * (at_most + rest))


# -- what the tank bears -----------------------------------------------------------------------------------------------
def _left(vessel: str, height: float, design: Design, found: Scouted) -> tuple[float, float] | None:
    """(water above where the return pump draws air [m3], how long it lasts at the latest [s])."""
    own = drying(vessel, design, found)
    if own is None or height <= own.dry:
        return None
    spec = found.vessels[vessel]
    litres = spec.volume_at(height) - spec.volume_at(own.dry)
    return litres, litres / own.slow


def _calls(row: Row, vessel: str, top_off: TopOff) -> tuple[float, float] | None:
    """The heights at which a row's switch for low water calls, and lets the pump rest."""
    for term in row.cause.terms:
        marks = top_off.heights.get((term.part, vessel), {})
        if marks and term.word == Word.LOW and not term.negated:
            return min(marks.values()), top_off.rest(row, vessel, 0.0)
    return None


def _rests(row: Row, vessel: str, where: str, design: Design, top_off: TopOff, desk: Desk, shown: Shown) -> None:
    """A wait before a run, or a pause after it, in which the return pump comes to draw air."""
    calls = _calls(row, vessel, top_off)
    if calls is None:
        return
    for key, seconds, height in (("lasting", row.lasting, calls[0]), ("gap", row.gap or 0.0, calls[1])):
        left = _left(vessel, height, design, top_off.found)
        if left is not None and seconds > left[1]:
            desk.add("D232", where, row.line, key, **_words(seconds, vessel, height, left, shown))


def _waits(
    row: Row, boxes: Collection[str], vessel: str, design: Design, top_off: TopOff, say: Say, shown: Shown
) -> set[str]:
    """Boxes that, with power back, give no order for longer than the tank bears."""
    calls = _calls(row, vessel, top_off)
    left = _left(vessel, calls[0], design, top_off.found) if calls else None
    late = {box for box in boxes if left is not None and (design.part(box).get(WAITS) or 0.0) > left[1]}
    for box in sorted(late):
        assert calls is not None
        assert left is not None
        say("D232", box, WAITS, **_words(design.part(box)[WAITS], vessel, calls[0], left, shown))
    return late


def _words(seconds: float, vessel: str, height: float, left: tuple[float, float], shown: Shown) -> dict[str, str]:
    words = {"rests": shown(seconds, "duration"), "vessel": vessel, "height": shown(height, "height")}
    return words | {"litres": shown(left[0], "volume"), "latest": shown(left[1], "duration")}


def _missed_late(
    beat: Heartbeat, design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, shown: Shown
) -> None:
    """A sign of life that is missed only when the return pump has long drawn air."""
    driven = {
        part
        for row in design.rows
        for part, word in row.effects
        if word in GOES and carried_out_by(row, design, kinds) & set(beat.senders)
    }
    for vessel, spec in found.vessels.items():
        left = _left(vessel, spec.start, design, found) if found.fills.get(vessel, set()) & driven else None
        if left is not None and beat.every * beat.missed > left[1]:
            words = {"missed": shown(beat.every * beat.missed, "duration"), "latest": shown(left[1], "duration")}
            desk.add("D233", m.MESSAGE.format(name=beat.name), beat.line, "every", vessel=vessel, **words)
            return
