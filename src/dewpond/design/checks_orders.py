"""Findings about rows whose orders cannot be meant: started and stopped by the same cause, or run while full."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Final

from dewpond.design import messages as m
from dewpond.design.checks_matrix import row_title
from dewpond.design.desk import Desk
from dewpond.design.model import Cause, Design, Row, Term, cause_text
from dewpond.design.scout import Scouted
from dewpond.vocabulary import Word

GOES: Final = (Word.OPEN, Word.RUNNING)
STOPS: Final = (Word.SHUT, Word.STOPPED)

Wants = tuple[frozenset[Term], int]  # conditions, each once, and how many of them must hold
Stops = dict[Term, dict[Wants, tuple[int, Row]]]  # each condition of a cause -> the cause -> the row and its number


def check_orders(design: Design, found: Scouted, desk: Desk) -> None:
    """All of them."""
    stops, sensors = _stops(design, found), _sensors(found)
    fills: dict[str, list[str]] = {}
    for vessel, fillers in sorted(found.fills.items()):
        for part in fillers:
            fills.setdefault(part, []).append(vessel)
    for number, row in enumerate(design.rows, 1):
        where = row_title(row, number)
        _the_wrong_way(row, where, design, found, desk)
        for part, word in row.effects:
            if word not in GOES or part not in found.orders:
                continue
            stop = _always_stopped(row, stops.get(part, {}), found)
            if stop is not None:
                words: dict[str, object] = {"part": part, "go": word, "stop": dict(stop[1].effects)[part]}
                words |= {"other": row_title(stop[1], stop[0]), "other_line": stop[1].line}
                desk.add("D146", where, row.line, "effect", **words)
            for vessel in fills.get(part, ()):
                beside = sensors.get(_body(found, vessel), {})
                term = _runs_while_full(row.cause, found.states, beside, vessel)
                if term is not None:
                    state = m.NOT.format(word=term.word) if term.negated else term.word
                    words = {"part": part, "vessel": vessel, "sensor": term.part, "state": state}
                    desk.add("D147", where, row.line, "cause", **words)


def _the_wrong_way(row: Row, where: str, design: Design, found: Scouted, desk: Desk) -> None:
    """A row that stops something while all is well, or opens it when a probe is wet."""
    well = [holds_while_well(term) for term in row.cause.terms]
    need = len(well) if row.cause.op == "all" else row.cause.need
    wet = any(term.word == Word.WET and not term.negated for term in row.cause.terms)
    for part, word in row.effects:
        code = ""
        asked = {term.part for term in row.cause.terms}
        runs = any(
            one == part and other in GOES and asked & {term.part for term in some.cause.terms}
            for some in design.rows
            for one, other in some.effects
        )  # by the same sensor in its other state
        if word in STOPS and not runs and sum(well) >= need:
            code = "D169"
        elif word == Word.OPEN and wet:
            code = "D172"
        if code and part in found.orders:
            desk.add(code, where, row.line, "effect", part=part, word=word, cause=cause_text(row.cause))


def holds_while_well(term: Term) -> bool:
    """Whether a condition is so on an ordinary day: a level that is neither low nor high, a probe that is dry."""
    ordinary = term.word in (Word.NORMAL, Word.DRY)
    return ordinary != term.negated


# -- one cause, two orders ---------------------------------------------------------------------------------------------
def wants(cause: Cause, states: Mapping[str, list[str]]) -> Wants:
    """What a cause wants. Of a part that is in one of two states, "not low" is the other one."""
    plain = set()
    for term in cause.terms:
        others = [word for word in states.get(term.part, ()) if word != term.word]
        two = term.negated and len(others) == 1 and term.word in states[term.part]
        plain.add(Term(term.part, others[0]) if two else term)
    return frozenset(plain), len(plain) if cause.op == "all" else cause.need


def _stops(design: Design, found: Scouted) -> dict[str, Stops]:
    """Part -> the rows that stop it; of several with one cause the one that waits the shortest."""
    stops: dict[str, Stops] = {}
    for number, row in enumerate(design.rows, 1):
        asked = wants(row.cause, found.states)
        for part in (part for part, word in row.effects if word in STOPS):
            for term in asked[0]:
                known = stops.setdefault(part, {}).setdefault(term, {})
                if asked not in known or row.lasting < known[asked][1].lasting:
                    known[asked] = number, row
    return stops


def _always_stopped(row: Row, stops: Stops, found: Scouted) -> tuple[int, Row] | None:
    """The first row that stops a part whenever `row` starts it, and no later; None where there is none."""
    terms, need = wants(row.cause, found.states)
    fit = []
    for (others, least), stop in (one for term in terms for one in stops.get(term, {}).items()):
        # The fewest of the others that hold while `need` of the own ones do.
        if need - len(terms - others) >= least and stop[1].lasting <= row.lasting:
            fit.append(stop)
    return min(fit, key=lambda stop: stop[0], default=None)


# -- what fills a full vessel ------------------------------------------------------------------------------------------
def _body(found: Scouted, vessel: str) -> str:
    """The name under which a vessel and all that circulates with it go."""
    spec = found.vessels.get(vessel)
    return (spec.mixed_with if spec else "") or vessel


def _sensors(found: Scouted) -> dict[str, dict[str, set[str]]]:
    """Vessels that circulate together -> sensor that watches one of them -> which."""
    sensors: dict[str, dict[str, set[str]]] = {}
    for mark in found.marks:
        sensors.setdefault(_body(found, mark.vessel), {}).setdefault(mark.part, set()).add(mark.vessel)
    return sensors


def _runs_while_full(
    cause: Cause, states: Mapping[str, list[str]], sensors: Mapping[str, Collection[str]], vessel: str
) -> Term | None:
    """The term by which a cause holds while a vessel is high or not low, if no sensor of it, or of one of those that
    circulate with it, keeps the cause from holding while all are full."""
    known = [term for term in cause.terms if term.part in sensors and term.word in states.get(term.part, ())]
    full = [term for term in known if _is_full(term, states[term.part])]
    if cause.op != "any" and len(full) < len(known):
        return None
    return next((term for term in full if vessel in sensors[term.part]), None)


def _is_full(term: Term, known: list[str]) -> bool:
    """True for a term that holds while the water is high, or not low."""
    watched = next((word for word in (Word.HIGH, Word.LOW) if word in known), None)
    if watched is None or len(known) != 2:
        return False
    holds = (term.word == watched) != term.negated  # while the sensor reports what it watches for
    return holds == (watched == Word.HIGH)
