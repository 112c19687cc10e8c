"""The plug pulled in a walk while something is tripped: a box that forgets must show it by what then acts.

So something else has to call for the part all the while, and one has to wait for longer than the box waits after a
restart and the part rests between two runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dewpond.plant.rows import GOES, STOPS
from dewpond.report.views.hands import LEFT_SO, Hands, capital
from dewpond.report.views.shown import joined
from dewpond.study.matrix.model import Box, Line


@dataclass(frozen=True)
class _Sign:
    """A part by which a box shows that it has forgotten, `wait` [s] after its plug is in. `again`: the row whose cause
    must be made anew, as another box counts its run meanwhile; else None."""

    box: Box
    part: str
    wait: float
    again: Line | None
    per_day: float | None  # most that it gives in a day [m3]


def restart(hands: Hands, lines: Sequence[Line]) -> str:
    """What to do and to expect, for all boxes that have tripped at once; empty where a hand learns nothing. Why, is
    then left with the hands. A line of a run too long is tried with its cause standing, a row with its cause over."""
    signs: list[_Sign] = []
    carried = [(line, box) for line in lines for box in line.carried if set(line.orders.values()) & set(STOPS)]
    for line, name in carried:
        box = hands.matrix.box(name)
        parts = [part for part in line.carried[name] if line.orders.get(part) in STOPS]
        found = [sign for sign in (_sign(hands, line, box, part) for part in parts) if sign]
        if not parts or any(sign.box is box for sign in signs):
            continue
        best = min(found, key=lambda sign: sign.wait, default=None)
        asked = f"whether {name} remembers this trip in a power cut"
        if best is None:
            hands.left.append((line.number, "", f"{asked}: {joined(parts)} would rest then in any case"))
        elif best.wait > LEFT_SO:
            wait = hands.shown.duration(best.wait)
            hands.left.append((line.number, "", f"{asked}: {best.part} would rest for {wait} in any case"))
        else:
            signs.append(best)
    return _told(hands, signs) if signs else ""


def _sign(hands: Hands, line: Line, box: Box, part: str) -> _Sign | None:
    demand = hands.demand(part)
    if line.sort == "run":
        demand = next(row for row in hands.matrix.lines if row.number == line.number.partition(".")[0])
    if demand is None:
        return _Sign(box, part, box.wait, None, None) if hands.matrix.effect(part).go == GOES[0] else None
    limits, flow = demand.limits, hands.matrix.effect(part).flow
    if limits.per_day and limits.at_most and flow and flow * limits.at_most >= limits.per_day:
        return None  # its most of a day holds it back
    calls = {term.part for term in hands.first(demand) if hands.acts(term)}
    if line.sort == "row" and calls & {term.part for term in hands.first(line) if hands.acts(term)}:
        return None  # what calls for it is over with the cause
    again = demand if box.name not in demand.carried and limits.at_most else None
    return _Sign(box, part, box.wait + (limits.gap or 0.0) + demand.lasting, again, limits.per_day)


def _told(hands: Hands, signs: list[_Sign]) -> str:
    many = len(signs) > 1
    boxes, them = joined([sign.box.name for sign in signs]), "them" if many else "it"
    wait = max(sign.wait for sign in signs)
    said = []
    again = list({sign.again.number: sign.again for sign in signs if sign.again}.values())
    if again:
        said.append(f"{capital(joined([hands.undo(row) for row in again if hands.undo(row)]))}.")
    said.append(f"Pull the plug{'s' if many else ''} of {boxes} for a minute and put {them} in again.")
    said += [f"Then {joined([hands.make(term) for term in hands.first(row)])} once more." for row in again]
    why = ", for only then would a box that forgets let anything act" if wait else ""
    said.append(f"Wait {hands.beyond(wait)}{why}: {'; '.join(_verdict(hands, sign) for sign in signs)}.")
    for sign in signs:
        if sign.per_day:
            most = hands.shown.litres(sign.per_day)
            said.append(f"Had {sign.part} given its {most} of the day, it would rest in any case.")
    return " ".join(said)


def _verdict(hands: Hands, sign: _Sign) -> str:
    effect, name = hands.matrix.effect(sign.part), sign.box.name
    if sign.box.keeps_trips:
        said = f"{sign.part} is still {effect.stop}, so {name} is still tripped; if {effect.go}, it has forgotten"
    else:
        said = f"{sign.part} is {effect.go} again, as {name} has forgotten its trip"
    return f"not known, so write it down; taken was that {said}" if "trips" in sign.box.not_known else said
