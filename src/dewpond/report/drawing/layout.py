"""Where everything of a schematic stands: areas in bands below each other, their parts in rows from left to right.

All marks keep to one grid of columns, with channels between columns and above rows, in which alone lines turn. So no
symbol meets another one, and no line a name. Channels are as wide as the lines need (``routes``).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from dewpond.report.views.blocks import Mark, Schematic

CELL: Final = 108.0  # width of a column [px]
FRAME_WIDE: Final = 52.0  # round a symbol
FRAME_HIGH: Final = 30.0
NAME_SIZE: Final = 11.0  # letters
NOTE_SIZE: Final = 9.5
NAME_STEP: Final = 13.0  # from line to line
NOTE_STEP: Final = 11.0
MARGIN: Final = 8.0
INSET: Final = 7.0  # of an area in another one
HEAD_SIZE: Final = 12.0
HEAD_STEP: Final = 15.0
BOLD: Final = 1.12  # bold letters are so much wider than plain ones; measured on DejaVu Sans
NARROW_LETTERS: Final = frozenset("fijlrtI1 .,:;'|!()[]/-")
WIDE_LETTERS: Final = frozenset("mwMWGOQDH@%&+=<>~#")


@dataclass(frozen=True)
class Box:
    """A rectangle [px]."""

    x: float
    y: float
    wide: float
    high: float

    @property
    def right(self) -> float:
        return self.x + self.wide

    @property
    def bottom(self) -> float:
        return self.y + self.high

    @property
    def middle(self) -> tuple[float, float]:
        return self.x + self.wide / 2, self.y + self.high / 2


@dataclass(frozen=True)
class Step:
    """One step from top to bottom: an area opens or closes, or a row of marks."""

    what: str  # open, close, row
    area: int = -1
    marks: tuple[int, ...] = ()


def text_width(text: str, size: float) -> float:
    """A width that the text will not exceed, whichever plain font draws it [px]."""
    return size * sum(
        0.45 if c in NARROW_LETTERS else 1.02 if c in WIDE_LETTERS or ord(c) > 0x24F else 0.78 if c.isupper() else 0.66
        for c in text
    )


def wrapped(text: str, size: float, wide: float) -> list[str]:
    """Lines that fit; a word that does not is broken."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if text_width(longer, size) <= wide:
            line = longer
            continue
        if line:
            lines.append(line)
        line = ""
        for letter in word:
            if line and text_width(line + letter, size) > wide:
                lines.append(line)
                line = ""
            line += letter
    return [*lines, line] if line else lines


def head_width(text: str) -> float:
    """A width that the name of an area will not exceed [px]."""
    return BOLD * text_width(text, HEAD_SIZE)


def head_lines(text: str, wide: float) -> list[str]:
    """The name of an area over so much width [px]."""
    return wrapped(text, BOLD * HEAD_SIZE, wide)


def name_lines(mark: Mark) -> list[str]:
    """The name of a part as it stands below its symbol."""
    return wrapped(mark.name, NAME_SIZE, CELL)


def note_lines(mark: Mark) -> list[str]:
    """What stands below its name in smaller letters."""
    return wrapped(mark.note, NOTE_SIZE, CELL)


def label_height(mark: Mark) -> float:
    """Of name and note together."""
    return len(name_lines(mark)) * NAME_STEP + len(note_lines(mark)) * NOTE_STEP + 4.0


def steps(drawn: Schematic, columns: int) -> list[Step]:
    """Areas and rows from top to bottom; in an area, whatever comes first among marks and areas stands first."""
    found: list[Step] = []

    def first(area: int) -> int:
        own = [i for i, mark in enumerate(drawn.marks) if mark.area == area]
        inner = [first(k) for k, one in enumerate(drawn.areas) if one.inside == area]
        return min([*own, *inner], default=len(drawn.marks) + area)

    def lay(area: int) -> None:
        if area >= 0:
            found.append(Step("open", area))
        marks = [i for i, mark in enumerate(drawn.marks) if mark.area == area]
        inner = sorted(
            (k for k, one in enumerate(drawn.areas) if one.inside == area),
            key=lambda k: (drawn.areas[k].group, first(k), k),
        )
        before = [k for k in inner if marks and first(k) < marks[0]]
        for k in before:
            lay(k)
        found.extend(Step("row", area, tuple(marks[at : at + columns])) for at in range(0, len(marks), columns))
        for k in inner:
            if k not in before:
                lay(k)
        if area >= 0:
            found.append(Step("close", area))

    lay(-1)
    return found


def depth(drawn: Schematic, area: int) -> int:
    """How many areas an area lies in; 0 for none."""
    inside = drawn.areas[area].inside
    return 0 if inside < 0 else 1 + depth(drawn, inside)
