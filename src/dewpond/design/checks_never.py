"""Findings about rows that never act, always act, or add nothing: causes that no state of the house can make so, and
votes that no puddle can win.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from itertools import pairwise
from typing import Final

from dewpond.design import messages as m
from dewpond.design import messages_rows as r
from dewpond.design.checks_levels import Shown
from dewpond.design.checks_matrix import row_title
from dewpond.design.checks_orders import GOES, Wants, wants
from dewpond.design.checks_unseen import onward
from dewpond.design.desk import Desk, listed
from dewpond.design.lying import places_of
from dewpond.design.model import Cause, Design, Row, Term, cause_text
from dewpond.design.scout import Scouted
from dewpond.vocabulary import Word

DEAD_BAND: Final = "hysteresis"  # key of a switch with one mark

Span = tuple[float, float]  # heights of the water between which something can be so [m above the bottom]
Heights = dict[str, dict[str, list[float]]]  # level switch -> vessel -> its marks [m above the bottom]
Others = dict[Term, dict[Wants, tuple[int, Row]]]  # each condition of a cause -> the cause -> the row and its number


def check_never(design: Design, found: Scouted, desk: Desk, shown: Shown, whole: bool) -> None:
    """All that a row's cause shows by itself, and (if the file was read as a `whole`) rows that repeat others."""
    marks: Heights = {}
    for mark in found.marks:
        if mark.part in found.states:
            marks.setdefault(mark.part, {}).setdefault(mark.vessel, []).append(mark.height)
    for number, row in enumerate(design.rows, 1):
        terms = row.cause.terms
        if terms and all(term.word in found.states.get(term.part, ()) for term in terms):
            where = row_title(row, number)
            if not _never(row, where, design, found, marks, desk, shown):
                _vote(row, where, design, found, desk)
                if whole:
                    _always(row, where, found, desk)
    if whole:
        _repeats(design, found, desk)


# -- what can be so at once --------------------------------------------------------------------------------------------
def _so(part: str, terms: Collection[Term], found: Scouted) -> list[tuple[str, int]]:
    """For each state that a part can be in, how many of the terms hold then. One with a single word may be without."""
    known = found.states[part]
    states = known if len(known) > 1 else [*known, ""]
    own = [term for term in terms if term.part == part]
    return [(state, sum((term.word == state) != term.negated for term in own)) for state in states]


def _parts(cause: Cause) -> list[str]:
    return list(dict.fromkeys(term.part for term in cause.terms))


def _never(
    row: Row, where: str, design: Design, found: Scouted, marks: Heights, desk: Desk, shown: Shown
) -> bool:  # fmt: skip
    """Whether the cause can never be so, by the words alone or by the heights of marks in one vessel."""
    cause = row.cause
    need = len(cause.terms) if cause.op == "all" else cause.need
    most = {part: max(count for _, count in _so(part, cause.terms, found)) for part in _parts(cause)}
    if sum(most.values()) < need:
        if cause.op == "vote":  # of "and" the matrix tells it
            why = r.ONLY_SO_MANY.format(count=len(cause.terms), most=sum(most.values()))
            desk.add("D110", where, row.line, "cause", why=why)
        return True
    for vessel in dict.fromkeys(vessel for part in most for vessel in marks.get(part, ())):
        looking = [part for part in most if vessel in marks.get(part, ())]
        if len(looking) < 2:
            continue
        spans = {part: _spans(part, marks[part][vessel], design, found) for part in looking}
        others = sum(count for part, count in most.items() if part not in looking)
        if others + _most_at_once(cause, spans, found) < need:
            told = [term for term in cause.terms if term.part in looking]
            words = {"vessel": vessel, "terms": listed(_told(term, spans[term.part], shown) for term in told)}
            starts = any(word in GOES for _, word in row.effects)
            desk.add("D215" if starts else "D216", where, row.line, "cause", **words)
            return True
    return False


def _spans(part: str, heights: list[float], design: Design, found: Scouted) -> dict[str, Span]:
    """State of a level switch -> where the water may stand meanwhile, with all that lies between its marks."""
    low, high = min(heights), max(heights)
    dead = (design.part(part).get(DEAD_BAND) or 0.0) if low == high else 0.0
    if Word.LOW in found.states[part]:
        return {Word.LOW: (-math.inf, high + dead), Word.NORMAL: (low, math.inf)}
    return {Word.HIGH: (low - dead, math.inf), Word.NORMAL: (-math.inf, high)}


def _most_at_once(cause: Cause, spans: Mapping[str, Mapping[str, Span]], found: Scouted) -> int:
    """How many of the terms about switches of one vessel can hold at once, at any height of the water."""
    ends = sorted({end for own in spans.values() for span in own.values() for end in span if math.isfinite(end)})
    heights = [ends[0] - 1.0, *(0.5 * (a + b) for a, b in pairwise(ends)), ends[-1] + 1.0]
    counted = {part: _so(part, cause.terms, found) for part in spans}
    return max(
        sum(
            max((count for state, count in counted[part] if _within(height, own.get(state))), default=0)
            for part, own in spans.items()
        )
        for height in heights
    )


def _within(height: float, span: Span | None) -> bool:
    return span is not None and span[0] < height < span[1]


def _told(term: Term, spans: Mapping[str, Span], shown: Shown) -> str:
    """Where the water stands while a condition holds, in words."""
    state = next(word for word in spans if (word == term.word) != term.negated)
    low, high = spans[state]
    text, height = (r.LOW_SO, high) if low == -math.inf else (r.HIGH_SO, low)
    word = m.NOT.format(word=term.word) if term.negated else term.word
    return text.format(part=term.part, word=word, height=shown(height, "height"))


def _always(row: Row, where: str, found: Scouted, desk: Desk) -> None:
    """A cause that cannot but hold, of a row that only tells; of others it is said what their orders do."""
    cause = row.cause
    least = sum(min(count for _, count in _so(part, cause.terms, found)) for part in _parts(cause))
    if cause.op != "all" and least >= cause.need and row.tell and not row.effects:
        desk.add("D217", where, row.line, "cause", message=r.THE_MESSAGE.format(name=row.tell))


# -- votes -------------------------------------------------------------------------------------------------------------
def _vote(row: Row, where: str, design: Design, found: Scouted, desk: Desk) -> None:
    """A vote that no puddle can win, and one that another word says better."""
    cause = row.cause
    count = len(cause.terms)
    need = count if cause.op == "all" else cause.need
    probes = [term for term in cause.terms if (term.word, term.negated) == (Word.WET, False)]
    lies = {term.part: places_of(design.part(term.part)) for term in probes}
    others = count - len(probes)
    named = list(dict.fromkeys(place for places in lies.values() for place in places))
    if need - others > 1 and all(lies.values()) and all(place in found.floors for place in named):
        wet = (set(onward(begun, design, found)) for begun in found.floors)
        most = max(sum(bool(reached & set(places)) for places in lies.values()) for reached in wet)
        if most + others < need:
            places = listed(named)
            desk.add("D228", where, row.line, "cause", need=need, places=places)
            return
    if cause.op == "vote" and count > 1 and need in (1, count):
        every = need == count
        same = cause_text(Cause("all" if every else "any", need, cause.terms))
        words = {"joint": "and" if every else "or", "means": r.AND_TO_ALL if every else r.ANY_DOES}
        desk.add("D227", where, row.line, "cause", need=need, count=count, same=f'"{same}"', **words)


# -- rows that repeat others -------------------------------------------------------------------------------------------
def _repeats(design: Design, found: Scouted, desk: Desk) -> None:
    """Rows of which another does all: the same orders, for a cause that holds whenever theirs does, and no later."""
    alike: dict[tuple[object, ...], Others] = {}
    told = [(number, row) for number, row in enumerate(design.rows, 1) if row.cause.terms]
    for number, row in told:
        cause = wants(row.cause, found.states)
        own = alike.setdefault(_orders(row), {})
        for term in cause[0]:
            known = own.setdefault(term, {})
            if cause not in known or row.lasting < known[cause][1].lasting:
                known[cause] = number, row
    for number, row in told:
        other = min(_before(number, row, alike[_orders(row)], found), key=lambda one: one[0], default=None)
        if other is not None:
            words = {"other": row_title(other[1], other[0]), "other_line": other[1].line}
            desk.add("D223", row_title(row, number), row.line, None, **words)


def _orders(row: Row) -> tuple[object, ...]:
    """All that a row does, but for when."""
    limits = row.at_most, row.gap, row.per_day, row.too_long
    return tuple(sorted(row.effects)), row.until, row.rearm_when, row.by, row.tell, limits


def _before(number: int, row: Row, others: Others, found: Scouted) -> Iterator[tuple[int, Row]]:
    terms, need = wants(row.cause, found.states)
    # A cause that covers this one has all but need - 1 of its terms, so of any `need` of them at least one.
    rarest = sorted(terms, key=lambda term: len(others[term]))[:need]
    for (asked, least), (place, other) in (one for term in rarest for one in others[term].items()):
        covers = need - len(terms - asked) >= least and other.lasting <= row.lasting
        back = least - len(asked - terms) >= need and row.lasting <= other.lasting  # then the later one is told
        if place != number and covers and not (back and place > number):
            yield place, other
