"""Where findings are put into words and collected."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import Final

from dewpond.design.likeness import looks_alike, nearest
from dewpond.design.messages import GLUED, IN_TWO_LINES, LOOK_ALIKE, NEAREST, TEXTS, TWICE_IN_LINE
from dewpond.errors import Finding

__all__ = ("Desk", "TooManyError", "both_lines", "did_you_mean", "finding", "in_order", "listed", "nearest", "shown")

LONGEST_SHOWN: Final = 60  # characters of the user's own text that a message repeats
MOST_FOUND: Final = 500  # findings after which a file is read no further


def shown(text: str, most: int = LONGEST_SHOWN) -> str:
    """The user's own text in one line and of no more than `most` characters, as messages repeat it."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"{line[: most - 3]}..." if len(line) > most else line


def glued(typed: str, words: Collection[str]) -> str:
    """What a key lacks whose colon has no space behind it: a hint with a space behind; empty where it is none of
    ``words``."""
    head, colon, value = typed.partition(":")
    return GLUED.format(line=shown(f"{head}: {value}")) if colon and value and head in words else ""


def did_you_mean(got: str, known: Iterable[str], also: Mapping[str, str] | None = None) -> str:
    """A question about the nearest known word, with a space behind; empty when no word is near. `also`: see nearest."""
    word = nearest(got, known, also=also)
    if word and looks_alike(got) and not looks_alike(word):
        return LOOK_ALIKE.format(word=word)
    return NEAREST.format(word=word) if word else ""


def listed(words: Iterable[str], most: int = 30) -> str:
    """Words in a row, with commas; long lists are cut."""
    every = list(words)
    return ", ".join(every[:most]) + (f" and {len(every) - most} more" if len(every) > most else "")


def both_lines(first: int, second: int) -> str:
    """Where something stands that should stand there once."""
    return (TWICE_IN_LINE if first == second else IN_TWO_LINES).format(first=first, second=second)


def finding(
    code: str, where: str, file: str, line: int | None = None, key: str | None = None, **words: object
) -> Finding:
    """The finding of that code; `words`, key and line fill its text. KeyError when a word is missing (our mistake)."""
    text = TEXTS[code]
    words |= {"key": key, "line": line}
    return Finding(code, text.level, where, text.what.format(**words), text.remedy.format(**words), file, line, key)


class TooManyError(Exception):
    """So much is wrong with the file that looking further helps nobody; what was found is on the desk."""


class Desk:
    """Where everything that is found in one file is collected."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.findings: list[Finding] = []

    def add(self, code: str, where: str, line: int | None, key: str | None = None, **words: object) -> None:
        """Notes a finding; arguments as for `finding`. Raises TooManyError when the desk is full."""
        self.take(finding(code, where, self.file, line, key, **words))

    def take(self, found: Finding) -> None:
        """Notes a finding that somebody else put into words. Raises TooManyError when the desk is full."""
        self.findings.append(found)
        if len(self.findings) >= MOST_FOUND:
            self.findings.append(finding("D023", found.where, self.file, found.line, limit=MOST_FOUND))
            raise TooManyError

    def sorted(self) -> tuple[Finding, ...]:
        """All findings in the order of the file."""
        return in_order(self.findings)


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings in the order of the lines they speak of; those about the whole file come first."""
    return tuple(sorted(findings, key=lambda f: (f.line or 0, f.code, f.key or "")))
