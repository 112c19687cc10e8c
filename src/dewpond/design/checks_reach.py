"""Findings about marks that the water does not come to or never leaves, and about rows that hold themselves: a stop
that comes before the run is over, or that keeps low what it waits for.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.checks_layers import behind, upstream
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_lines import HOUR, brought_into
from dewpond.design.checks_matrix import row_title
from dewpond.design.checks_orders import GOES, STOPS
from dewpond.design.desk import Desk
from dewpond.design.model import Design, Term
from dewpond.design.rows import CAUSE_ENDS
from dewpond.design.scout import Mark, Scouted
from dewpond.vocabulary import Word

DEAD_BAND: Final = "hysteresis"  # key of a switch with one mark

Looking = Mapping[str, list[Mark]]  # sensor that a row asks for -> its marks, the lowest first


class Bodies:
    """Which vessels circulate together, and the marks in each.

    of: vessel -> the name under which it goes; together: that name -> all that go under it; marks: vessel -> (part,
    height [m above the bottom]).
    """

    def __init__(self, found: Scouted) -> None:
        self.of = {name: spec.mixed_with or name for name, spec in found.vessels.items()}
        self.together: dict[str, list[str]] = {}
        for name, body in self.of.items():
            self.together.setdefault(body, []).append(name)
        self.marks: dict[str, list[tuple[str, float]]] = {}
        for mark in found.marks:
            self.marks.setdefault(mark.vessel, []).append((mark.part, mark.height))

    def beside(self, vessel: str) -> list[str]:
        """A vessel and those with which its water circulates."""
        return self.together[self.of[vessel]]


def check_reach(design: Design, found: Scouted, desk: Desk, say: Say, shown: Shown) -> None:
    """All of them."""
    asked = {term.part for row in design.rows for term in row.cause.terms}
    looking: dict[str, list[Mark]] = {}
    for mark in sorted(found.marks, key=lambda one: one.height):
        if mark.part in asked and mark.part in found.states and mark.key:
            looking.setdefault(mark.part, []).append(mark)
    bodies = Bodies(found)
    _always_low(design, found, looking, bodies, say, shown)
    _never_high(design, found, looking, bodies, say, shown)
    _stopped_before(design, found, looking, say, shown)
    _held_low(design, found, looking, bodies, desk)


def _always_low(design: Design, found: Scouted, looking: Looking, bodies: Bodies, say: Say, shown: Shown) -> None:
    """A mark for low water where the water stands, or above; of a switch that starts what fills, others tell that."""
    starts = {t.part for row in design.rows if any(word in GOES for _, word in row.effects) for t in row.cause.terms}
    stands: dict[str, float] = {}
    for part, marks in looking.items():
        low = marks[0]
        if Word.LOW not in found.states[part] or part in starts:
            continue
        if low.vessel not in stands:
            stands[low.vessel] = _stands(low.vessel, found, bodies)
        if stands[low.vessel] <= low.height < found.vessels[low.vessel].rim:
            words = {"height": shown(low.height, "height"), "stands": shown(stands[low.vessel], "height")}
            say("D218", part, low.key, vessel=low.vessel, **words)


def _stands(vessel: str, found: Scouted, bodies: Bodies) -> float:
    """The highest at which the water of a vessel stands while all is well [m above the bottom]: as a tank has it, else
    where a float is quite shut; the rim where neither tells."""
    spec, fillers = found.vessels[vessel], found.fills.get(vessel, set())
    if any(found.vessels[name].tank for name in bodies.beside(vessel)):
        return spec.start
    line = fillers.union(*(upstream(name, found) for name in fillers)) - {vessel}
    return max((height for name, height in bodies.marks[vessel] if name in line), default=spec.rim)


def _never_high(design: Design, found: Scouted, looking: Looking, bodies: Bodies, say: Say, shown: Shown) -> None:
    """A mark for high water above an overflow that takes all that can come."""
    ways = found.ways.ways()
    for part, marks in looking.items():
        high, spec = marks[-1], found.vessels[marks[-1].vessel]
        crest = min((height for name, height in bodies.marks[high.vessel] if name == high.vessel), default=spec.rim)
        whole = len(bodies.beside(high.vessel)) == 1 and not spec.tank
        if Word.HIGH not in found.states[part] or high.vessel not in found.weirs or not whole:
            continue
        if not crest < high.height <= spec.rim:
            continue
        weir, full = found.weirs[high.vessel]
        head = high.height - crest
        takes = min(weir * head**1.5, full * head**0.5)
        brings = sum(flow for flow, _ in brought_into(high.vessel, ways, design, found))
        if 0.0 < brings <= takes:
            words = {"runs": shown(crest, "height"), "height": shown(high.height, "height")}
            words |= {"takes": shown(takes * HOUR, "volume"), "brings": shown(brings * HOUR, "volume")}
            say("D219", part, high.key, vessel=high.vessel, **words)


def _stopped_before(design: Design, found: Scouted, looking: Looking, say: Say, shown: Shown) -> None:
    """A mark for high water that stops a pump before the mark at which the pump would rest."""
    rests: dict[tuple[str, str], float] = {}  # (pump, vessel) -> the lowest height at which a row lets it rest
    for part, term in _single(design, (Word.RUNNING,), Word.LOW):
        marks = looking.get(term.part)
        if marks:
            dead = (design.part(term.part).get(DEAD_BAND) or 0.0) if len(marks) == 1 else 0.0
            rest = marks[-1].height + dead
            rests[part, marks[0].vessel] = min(rest, rests.get((part, marks[0].vessel), rest))
    told = set()
    for part, term in _single(design, (Word.STOPPED,), Word.HIGH):
        marks = looking.get(term.part)
        if not marks or term.part in told:
            continue
        until, height = rests.get((part, marks[0].vessel)), marks[-1].height
        if until is not None and found.vessels[marks[0].vessel].start < height <= until:
            told.add(term.part)
            words = {"height": shown(height, "height"), "rest": shown(until, "height")}
            say("D235", term.part, marks[-1].key, part=part, **words)


def _single(design: Design, words: tuple[str, ...], state: str) -> list[tuple[str, Term]]:
    """(part, term) of rows that give a part one of the orders as soon as a single sensor is in that state."""
    return [
        (part, term)
        for row in design.rows
        if row.cause.op == "any" or len(row.cause.terms) == 1
        for term in row.cause.terms
        if (term.word, term.negated) in ((state, False), (Word.NORMAL, True))
        for part, word in row.effects
        if word in words
    ]


def _held_low(design: Design, found: Scouted, looking: Looking, bodies: Bodies, desk: Desk) -> None:
    """A stop that lasts as long as a vessel is low which only the stopped part fills."""
    runs: dict[str, set[str]] = {}  # part -> sensors by which rows start it
    for row in design.rows:
        for part, word in row.effects:
            if word in GOES:
                runs.setdefault(part, set()).update(term.part for term in row.cause.terms)
    for number, row in enumerate(design.rows, 1):
        if row.until != CAUSE_ENDS or not (row.cause.op == "any" or len(row.cause.terms) == 1):
            continue
        low = [term.part for term in row.cause.terms if _tells_low(term, found) and term.part in looking]
        for part, word in row.effects if low else ():
            vessel = _only_fills(part, [name for name in low if name not in runs.get(part, ())], looking, bodies, found)
            never = Word.RUNNING in found.orders.get(part, ()) and part not in runs  # of which another finding tells
            if word in STOPS and vessel and not never:
                words = {"part": part, "word": word, "vessel": vessel}
                desk.add("D234", row_title(row, number), row.line, "effect", **words)


def _tells_low(term: Term, found: Scouted) -> bool:
    known = found.states.get(term.part, ())
    return Word.LOW in known and (term.word, term.negated) in ((Word.LOW, False), (Word.NORMAL, True))


def _only_fills(part: str, sensors: list[str], looking: Looking, bodies: Bodies, found: Scouted) -> str:
    """The vessel of the first of the sensors that nothing fills but through that part; empty where there is none."""
    through = {part, *behind([part], found)} if sensors else set()
    for sensor in sensors:
        vessel = looking[sensor][0].vessel
        fillers = set().union(*(found.fills.get(name, set()) for name in bodies.beside(vessel)))
        if fillers and fillers <= through:
            return vessel
    return ""
