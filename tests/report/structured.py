"""A small interpreter for the part of IEC 61131-3 Structured Text that we write, so that its meaning can be run.

Written from the standard blocks' definitions (TON, SR, R_TRIG: IEC 61131-3, tables 43 to 46, from memory), not from our
writer. Knows assignments, calls of blocks, IF/ELSIF/ELSE, BOOL, TIME [s], REAL and INT expressions.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

TOKEN = re.compile(r"\s*(T#[0-9a-z]+|[A-Za-z_][A-Za-z0-9_]*|\d+\.\d+|\d+|:=|>=|[-+().,;:])")
UNITS = {"d": 86400.0, "h": 3600.0, "m": 60.0, "s": 1.0, "ms": 0.001}
START = {"BOOL": False, "TIME": 0.0, "REAL": 0.0, "INT": 0}


def tokens(text: str) -> list[str]:
    """Words and signs; comments end at the first sign that ends one."""
    text = re.sub(r"\(\*.*?\*\)", " ", text, flags=re.DOTALL)
    found, at = [], 0
    text = text.rstrip()
    while at < len(text):
        match = TOKEN.match(text, at)
        assert match, f"not understood: {text[at : at + 40]!r}"
        found.append(match[1])
        at = match.end()
    return found


def seconds(literal: str) -> float:
    return sum(float(n) * UNITS[u] for n, u in re.findall(r"(\d+)(ms|[dhms])", literal.removeprefix("T#")))


class Ton:
    """Q once IN has been true for PT without a break."""

    def __init__(self) -> None:
        self.q, self.since = False, None

    def call(self, now: float, **given: Any) -> None:
        if not given["IN"]:
            self.q, self.since = False, None
            return
        self.since = now if self.since is None else self.since
        self.q = now - self.since >= given["PT"] - 1e-9


class Sr:
    """Set beats reset."""

    def __init__(self) -> None:
        self.q1 = False

    def call(self, now: float, **given: Any) -> None:  # noqa: ARG002
        self.q1 = given["S1"] or (self.q1 and not given["R"])


class RTrig:
    """Q in the one scan in which CLK has become true; the memory begins as false."""

    def __init__(self) -> None:
        self.q, self.before = False, False

    def call(self, now: float, **given: Any) -> None:  # noqa: ARG002
        self.q = given["CLK"] and not self.before
        self.before = given["CLK"]


BLOCKS = {"TON": Ton, "SR": Sr, "R_TRIG": RTrig}


@dataclass
class Parsed:
    """A function block: name, the type of each variable by section, and its statements."""

    name: str
    sections: dict[str, dict[str, str]] = field(default_factory=dict)
    body: list[Any] = field(default_factory=list)


def blocks(text: str) -> dict[str, Parsed]:
    """Every function block of a text, by name."""
    left, found = _Reader(tokens(text)), {}
    while not left.done():
        block = left.block()
        assert block.name not in found, f"{block.name} twice"
        found[block.name] = block
    return found


class _Reader:
    def __init__(self, words: list[str]) -> None:
        self.words, self.at = words, 0

    def done(self) -> bool:
        return self.at == len(self.words)

    def peek(self) -> str:
        return self.words[self.at] if self.at < len(self.words) else ""

    def next(self, wanted: str = "") -> str:
        word = self.peek()
        assert not wanted or word == wanted, f"{wanted} expected, {word} found"
        self.at += 1
        return word

    def block(self) -> Parsed:
        self.next("FUNCTION_BLOCK")
        made = Parsed(self.next())
        declared: set[str] = set()
        while self.peek() in ("VAR", "VAR_INPUT", "VAR_OUTPUT"):
            section = self.next()
            if self.peek() == "RETAIN":
                section += f" {self.next()}"
            own = made.sections.setdefault(section, {})
            while self.peek() != "END_VAR":
                name = self.next()
                self.next(":")
                assert name.lower() not in declared, f"{name} declared twice"
                declared.add(name.lower())
                own[name] = self.next()
                self.next(";")
            self.next()
        made.body = self.statements("END_FUNCTION_BLOCK")
        self.next("END_FUNCTION_BLOCK")
        return made

    def statements(self, *ends: str) -> list[Any]:
        found = []
        while self.peek() not in ends:
            found.append(self.branches() if self.peek() == "IF" else self.simple())
        return found

    def branches(self) -> Any:
        cases, other = [], []
        self.next("IF")
        while True:
            condition = self.expression()
            self.next("THEN")
            cases.append((condition, self.statements("ELSIF", "ELSE", "END_IF")))
            if self.next() == "ELSIF":
                continue
            if self.words[self.at - 1] == "ELSE":
                other = self.statements("END_IF")
                self.next()
            self.next(";")
            return ("if", cases, other)

    def simple(self) -> Any:
        name = self.next()
        if self.next() == ":=":
            value = self.expression()
            self.next(";")
            return ("set", name, value)
        given = {}
        while self.peek() != ")":
            key = self.next()
            self.next(":=")
            given[key] = self.expression()
            if self.peek() == ",":
                self.next()
        self.next(")")
        self.next(";")
        return ("call", name, given)

    def expression(self) -> Any:
        return self.chain(("OR",), lambda: self.chain(("AND",), self.compared))

    def chain(self, signs: tuple[str, ...], part: Any) -> Any:
        left = part()
        while self.peek() in signs:
            left = (self.next(), left, part())
        return left

    def compared(self) -> Any:
        left = self.chain(("+", "-"), self.unary)
        if self.peek() == ">=":
            return (self.next(), left, self.chain(("+", "-"), self.unary))
        return left

    def unary(self) -> Any:
        word = self.next()
        if word == "NOT":
            return ("NOT", self.unary())
        if word == "(":
            inside = self.expression()
            self.next(")")
            return inside
        if word == "BOOL_TO_INT":
            self.next("(")
            inside = self.expression()
            self.next(")")
            return ("INT", inside)
        if word.startswith("T#"):
            return ("value", seconds(word))
        if word in ("TRUE", "FALSE"):
            return ("value", word == "TRUE")
        if word[0].isdigit():
            return ("value", float(word))
        if self.peek() == ".":
            self.next()
            return ("member", word, self.next().lower())
        return ("name", word)


class Instance:
    """A function block in a box: what it holds, and what a power cut leaves of it."""

    def __init__(self, block: Parsed) -> None:
        self.block = block
        self.values: dict[str, Any] = {}
        self.kinds = {name: kind for section in block.sections.values() for name, kind in section.items()}
        self.now = 0.0
        self._fresh(("VAR RETAIN", "VAR", "VAR_INPUT", "VAR_OUTPUT"))

    def _fresh(self, sections: tuple[str, ...]) -> None:
        for section in sections:
            for name, kind in self.block.sections.get(section, {}).items():
                self.values[name] = BLOCKS[kind]() if kind in BLOCKS else START[kind]

    def cut(self) -> None:
        """The power goes and comes back: only what is retained is still there."""
        self._fresh(("VAR", "VAR_INPUT", "VAR_OUTPUT"))

    def scan(self, now: float, inputs: Mapping[str, Any]) -> dict[str, Any]:
        """One call; inputs that the block does not have are left out. Returns its outputs."""
        self.now = now
        own = self.block.sections.get("VAR_INPUT", {})
        for name in own:
            self.values[name] = inputs[name]
        self._run(self.block.body)
        return {name: self.values[name] for name in self.block.sections.get("VAR_OUTPUT", {})}

    def _run(self, statements: list[Any]) -> None:
        for statement in statements:
            if statement[0] == "set":
                _, name, value = statement
                assert name not in self.block.sections.get("VAR_INPUT", {}), f"{name} is an input"
                made, kind = self._of(value), self.kinds[name]
                assert isinstance(made, bool) == (kind == "BOOL"), f"{name} is a {kind}"
                self.values[name] = made
            elif statement[0] == "call":
                self.values[statement[1]].call(self.now, **{k: self._of(v) for k, v in statement[2].items()})
            else:
                chosen = next((body for condition, body in statement[1] if self._of(condition)), statement[2])
                self._run(chosen)

    def _of(self, node: Any) -> Any:
        what, *rest = node
        if what == "value":
            return rest[0]
        if what == "name":
            return self.values[rest[0]]
        if what == "member":
            return getattr(self.values[rest[0]], rest[1])
        inner = [self._of(one) for one in rest]
        if what in ("NOT", "AND", "OR"):
            assert all(isinstance(one, bool) for one in inner), f"{what} of what is no BOOL"
            return not inner[0] if what == "NOT" else all(inner) if what == "AND" else any(inner)
        if what == "INT":
            return int(inner[0])
        return inner[0] >= inner[1] - 1e-9 if what == ">=" else inner[0] + inner[1] * (1 if what == "+" else -1)
