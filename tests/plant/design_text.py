"""A design under construction, written out as the text of a file: in any order, under any names."""

from __future__ import annotations

import random
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

SECTIONS = ("places", "water", "sensors", "controllers", "power", "work", "people")
TOKEN = re.compile(r"@\d+@")


@dataclass
class Part:
    """A line of the file: its section, its kind, and its keys in the words of the file, names as tokens."""

    section: str
    kind: str
    keys: dict[str, str]


@dataclass
class Draft:
    """All of a design; ``names``: token -> the name it is written as."""

    parts: dict[str, Part] = field(default_factory=dict)
    rows: list[dict[str, str]] = field(default_factory=list)
    messages: dict[str, dict[str, str]] = field(default_factory=dict)
    supply: dict[str, str] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)

    def name(self, word: str) -> str:
        """A token for a new name that begins with a word; a number keeps it apart from the others."""
        token = f"@{len(self.names)}@"
        known = set(self.names.values())
        number = next(n for n in range(1, 99) if (f"{word} {n}" if n > 1 else word) not in known)
        self.names[token] = f"{word} {number}" if number > 1 else word
        return token

    def has(self, kind: str) -> bool:
        return any(part.kind == kind for part in self.parts.values())

    def follows(self, token: str) -> bool:
        """Whether a part comes after this one."""
        return any(part.keys.get("after") == token for part in self.parts.values())

    def text(
        self,
        names: Mapping[str, str] | None = None,
        rng: random.Random | None = None,
        ids: Mapping[str, str] | None = None,
    ) -> str:
        """The file. ``names``: others to write for the tokens; ``rng`` deals sections and parts anew; ``ids``: token ->
        id, to be written beside the name. Rows keep their order: they have no names."""
        sections = [("supply", [_line("supply", self.supply)])]
        for section in SECTIONS:
            lines = []
            for token, part in self.parts.items():
                if part.section == section:
                    own = {"kind": part.kind, **({"id": ids[token]} if ids else {}), **part.keys}
                    lines.append(f"  {_line(token, own)}")
            sections.append((section, lines))
        sections.append(("messages", [f"  {_line(token, keys)}" for token, keys in self.messages.items()]))
        sections.append(("matrix", [f"  - {_braces(row)}" for row in self.rows]))
        if rng:
            rng.shuffle(sections)
            for section, lines in sections:
                if section != "matrix":
                    rng.shuffle(lines)
        head = ["format: 1", "title: A random house (invented)", "zone: Europe/Lisbon", "combination: any stop wins"]
        for section, lines in sections:
            if section != "supply" and lines:
                head.append(f"{section}:")
            head += lines
        said = names or self.names
        return TOKEN.sub(lambda found: said[found[0]], "\n".join(head)) + "\n"


def _line(name: str, keys: Mapping[str, str]) -> str:
    return f"{name}: {_braces(keys)}"


def _braces(keys: Mapping[str, str]) -> str:
    return f"{{{', '.join(f'{key}: {value}' for key, value in keys.items())}}}"
