"""The cause of a row, "tray probe wet or study probe wet", in the words of the file -> Cause."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Sequence
from typing import Any

from dewpond.design import messages as m
from dewpond.design.desk import did_you_mean, listed, shown
from dewpond.design.model import LONGEST_NAME, Cause, Term

_VOTE = re.compile(r"(?P<need>\d{1,3}) of\s*:\s*(?P<terms>.*)", re.ASCII | re.DOTALL)
_JOIN = re.compile(r"(?:^|\s+)(?P<word>and|or)(?:\s+|$)", re.IGNORECASE)
_NOT = "not "  # where English has it first
_SPACE = re.compile(r"\s")
_COMMA = re.compile(r"\s*,\s*")


class CauseError(Exception):
    """A cause that cannot be read: the code of the finding and the words that fill its text. `again`: what it says
    more than once."""

    def __init__(self, code: str, again: Sequence[str] = (), **words: Any) -> None:
        super().__init__(code, words)
        self.code = code
        self.again = again
        self.words = words


def read_cause(text: str, names: Collection[str]) -> tuple[Cause, list[str]]:
    """The cause that a text says, and what it says more than once, which counts once; the longest name among `names`
    that fits is a term's part, the rest its state.

    Raises CauseError.
    """
    vote = _VOTE.fullmatch(text)
    if vote:
        said, _ = _terms(vote["terms"], names, _COMMA, text)
        terms, again = _once(said)
        need = int(vote["need"])
        if not 1 <= need <= len(terms):
            raise CauseError("D075", again, need=need, count=len(terms))
        return Cause("vote", need, terms), again
    said, joins = _terms(text, names, _JOIN, text)
    terms, again = _once(said)
    if len(joins) > 1:
        raise CauseError("D072")
    if joins == {"and"}:
        return Cause("all", len(terms), terms), again
    return Cause("any", 1, terms), again


def _once(said: tuple[Term, ...]) -> tuple[tuple[Term, ...], list[str]]:
    """Each condition once, and those that stand there more than once in words."""
    times = Counter(said)
    again = [f"{t.part} {m.NOT.format(word=t.word) if t.negated else t.word}" for t in times if times[t] > 1]
    return tuple(times), again


def _terms(text: str, names: Collection[str], join: re.Pattern[str], whole: str) -> tuple[tuple[Term, ...], set[str]]:
    """All terms and the words that join them. A name that holds "and" or "or" is taken whole."""
    terms: list[Term] = []
    joins: set[str] = set()
    rest = text.strip()
    while True:
        name = _first_name(rest, names)
        after = join.search(rest, len(name))
        term = rest[: after.start()] if after else rest
        terms.append(_term(term.strip(), name, names, whole))
        if after is None:
            return tuple(terms), joins
        joins.add(str(after.groupdict().get("word", ",")).lower())
        rest = rest[after.end() :]


def _first_name(text: str, names: Collection[str]) -> str:
    """The longest name with which a text begins, a space behind it; empty when it begins with none."""
    ends = [found.start() for found in _SPACE.finditer(text[: LONGEST_NAME + 1])]
    return next((text[:end] for end in reversed(ends) if text[:end] in names), "")


def _term(text: str, name: str, names: Collection[str], whole: str) -> Term:
    if not text:
        raise CauseError("D073", got=shown(whole), why=m.NOTHING_BETWEEN)
    if not name:
        if text in names:
            raise CauseError("D073", got=shown(whole), why=m.NO_STATE.format(part=shown(text)))
        rest = text.removeprefix(_NOT)
        part = _first_name(rest, names) if rest != text else ""
        if part:
            right = shown(f"{part} {m.NOT.format(word=rest[len(part) :].strip())}")
            raise CauseError("D073", got=shown(whole), why=m.NOT_FIRST.format(right=right))
        guess = re.sub(r"\s+not$", "", text.rpartition(" ")[0].strip()) or text
        known = m.KNOWN.format(names=listed(names, 12))
        raise CauseError("D074", got=shown(guess), near=did_you_mean(guess, names), known=known)
    state = text[len(name) :].strip()
    negated = state.startswith("not ")
    return Term(name, state.removeprefix("not ").strip(), negated)
