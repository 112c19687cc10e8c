"""Findings about claims: a protection that is none, water that cannot get out, and two claims about the same."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from dewpond.design import messages as m
from dewpond.design import messages_claims as words
from dewpond.design.claims import STOPPED_BY
from dewpond.design.desk import Desk, both_lines, listed
from dewpond.design.model import Claim, Design
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind
from dewpond.vocabulary import Word


def check_claims(design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, whole: bool) -> None:
    """All of them; of a file that was not read as a `whole`, what is certain all the same."""
    _twice(design, desk)
    if not whole or not design.claims:
        return
    stop = list(stopping(design, found))
    lets_out, comes_to = outlets(found)
    for part in design.parts:
        if kinds[part.kind].role == "drain" and lets_out:  # it may back up
            lets_out.add(part.name)
            comes_to.add(str(part.get("in")))
    for claim in design.claims:
        where = m.PART.format(section="claims", name=claim.about)
        for name in claim.layers:
            if name not in stop:
                rests = found.orders.get(name, (str(Word.SHUT), ""))[0]
                known = words.THESE_DO.format(names=listed(stop, 12)) if stop else words.NONE_DOES
                known += words.OR_A_ROW if name in found.orders else ""
                desk.add("D242", where, claim.line, STOPPED_BY, part=name, rests=rests, known=known)
        if claim.name not in (comes_to if claim.into else lets_out):
            desk.add("D243", where, claim.line, None, about=claim.about)


def _twice(design: Design, desk: Desk) -> None:
    """Claims about the same that differ."""
    first: dict[str, Claim] = {}
    for claim in design.claims:
        one = first.setdefault(claim.about, claim)
        if set(one.layers) != set(claim.layers):
            where = m.PART.format(section="claims", name=claim.about)
            told = {"first": listed(one.layers), "second": listed(claim.layers)}
            lines = both_lines(one.line, claim.line)
            desk.add("D244", where, claim.line, None, about=claim.about, lines=lines, **told)


def stopping(design: Design, found: Scouted) -> Iterator[str]:
    """The parts that a probe brings to rest by a row, or that shut by themselves, in the order of the file."""
    by_rows = {
        part
        for row in design.rows
        if any(Word.WET in found.states.get(term.part, ()) for term in row.cause.terms)
        for part, word in row.effects
        if part in found.orders and word == found.orders[part][0]
    }
    for part in design.parts:
        if part.name in by_rows or (part.name in found.trips and found.follows.get(part.name)):
            yield part.name


def outlets(found: Scouted) -> tuple[set[str], set[str]]:
    """(parts out of which the supply's water may get, places that it may come to first): no more than these, perhaps
    less, for whatever hangs together is taken to have it."""
    near: dict[str, set[str]] = {}
    pairs = [
        (name, other) for table in (found.follows, found.fills, found.draws) for name in table for other in table[name]
    ]
    pairs += [(name, spec.mixed_with) for name, spec in found.vessels.items() if spec.mixed_with]
    for one, other in pairs:
        near.setdefault(one, set()).add(other)
        near.setdefault(other, set()).add(one)
    todo = [part for node in found.ways.sources for part in [found.ways.ports_of(node)] if part]
    wet = set(todo)
    while todo:
        new = near.get(todo.pop(), set()) - wet
        wet |= new
        todo += new
    sites = [site for site in found.ways.sites if site.part in wet]
    over = {vessel: found.fills[vessel] & wet for vessel in found.vessels if vessel in wet and vessel in found.fills}
    lets_out = {site.part for site in sites}.union(*over.values())
    return lets_out, {site.place for site in sites} | {found.vessels[vessel].place for vessel in over}
