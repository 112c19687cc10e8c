"""Everything that can be reported to the user, and the exit codes.

    DewpondError              anything the user is told in words, never as a traceback
    ├── DesignError           the description of the installation is at fault: carries every Finding at once
    ├── UsageError            the program was called wrongly
    └── UnitError             one typed quantity cannot be read, or could be read in more than one way

Any other exception is our own fault and ends with exit code OUR_FAULT.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

FINE = 0
FINDINGS = 1
WRONG_USE = 2
OUR_FAULT = 70

Level = Literal["error", "warning", "note"]
LEVELS: tuple[Level, ...] = ("error", "warning", "note")


@dataclass(frozen=True)
class Finding:
    """One thing the checks object to.

    code    stable short name, the same in every language and version
    level   "error" (nothing is computed), "warning" or "note"
    where   the place in the user's own words, for instance "water: riser"
    what    what is wrong, with the value got and the values allowed
    remedy  what to do about it
    file, line, key  position in the design file; line counts from 1
    """

    code: str
    level: Level
    where: str
    what: str
    remedy: str
    file: str | None = None
    line: int | None = None
    key: str | None = None

    def __post_init__(self) -> None:
        if self.level not in LEVELS:
            raise ValueError(f"level {self.level!r} is not one of {', '.join(LEVELS)}")


@dataclass(frozen=True)
class Reading:
    """One way to read an ambiguous text: what to write instead, and what that would mean in words."""

    write: str
    means: str


class DewpondError(Exception):
    """Base of all errors that are shown to the user in words."""


class DesignError(DewpondError):
    """The design cannot be used. `findings` holds all of them, in the order of the file."""

    def __init__(self, findings: tuple[Finding, ...]) -> None:
        super().__init__(findings)
        self.findings = findings

    def __str__(self) -> str:
        return "\n".join(f"{f.where}: {f.what} {f.remedy}" for f in self.findings)


class UsageError(DewpondError):
    """The program was called in a way it does not understand."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what, remedy)
        self.what = what
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.what} {self.remedy}"


class UnitError(DewpondError):
    """A typed quantity was refused.

    what      what is wrong with the text, one sentence
    remedy    the question or the advice, one or two sentences
    readings  the ways it could be read; empty when there is no sensible one
    code      stable name of the kind of refusal, for Finding.code
    """

    def __init__(
        self, what: str, remedy: str, readings: tuple[Reading, ...] = (), code: str = "quantity-not-understood"
    ) -> None:
        super().__init__(what, remedy, readings, code)
        self.what = what
        self.remedy = remedy
        self.readings = readings
        self.code = code

    def __str__(self) -> str:
        return f"{self.what} {self.remedy}"
