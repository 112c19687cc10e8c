"""The SVG of a schematic: black on white, sorts of line told apart by dashes, names as text."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import Final

from dewpond.report.drawing.ink import number as _n
from dewpond.report.drawing.ink import opening
from dewpond.report.drawing.layout import (
    FRAME_HIGH,
    FRAME_WIDE,
    HEAD_SIZE,
    HEAD_STEP,
    MARGIN,
    NAME_SIZE,
    NAME_STEP,
    NOTE_SIZE,
    NOTE_STEP,
    name_lines,
    note_lines,
    text_width,
)
from dewpond.report.drawing.placed import COLUMNS, Path, Placed, Point, place
from dewpond.report.drawing.routes import Net
from dewpond.report.views.blocks import Schematic

PHONE: Final = 2  # columns there
SCALE: Final = 1.15  # of the symbols
# sort: width of the line, dashes, what it is
LINES: Final = {
    "water": (2.0, "", "water"),
    "waste": (1.4, "9 3 2 3", "waste, to a drain"),
    "report": (1.0, "2 3", "sensor to its box"),
    "order": (1.2, "7 3", "box to what it drives"),
    "on": (1.2, "1 2", "sits on it"),
}
KEY_STEP: Final = 16.0
KEY_SAMPLE: Final = 34.0


def svg(drawn: Schematic, prefix: str = "s", narrow: bool = False) -> str:
    """The drawing. ``prefix`` keeps its ids apart from others in a page; ``narrow``: for a phone."""
    placed = place(drawn, PHONE if narrow else COLUMNS)
    key = list(_key(drawn, placed))
    high = placed.high + KEY_STEP * max((row + 1 for row, _ in key), default=0)
    marks = [
        *_areas(placed),
        *(_stroke(net, points) for net, points in placed.strokes),
        *(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="2.2" fill="black" stroke="none"/>' for _, (x, y) in placed.dots),
        *(_tip(path) for path in placed.paths if path.wire.sort != "on"),
        *_symbols(drawn, placed),
        *_heads(placed),
        *(text for _, text in key),
    ]
    # Smaller than 9/10 names are hard to read: below that it is moved sideways instead.
    head = opening(placed.wide, high, 0.9 * placed.wide, prefix, drawn.title, drawn.description)
    return "\n".join([head, *marks, "</svg>"]) + "\n"


def _areas(placed: Placed) -> Iterator[str]:
    """Rectangles, the outer ones first."""
    for number, box in sorted(placed.areas.items(), key=lambda item: (-item[1].wide, item[1].y)):
        where = f'x="{_n(box.x)}" y="{_n(box.y)}" width="{_n(box.wide)}" height="{_n(box.high)}"'
        yield f'<rect class="area" data-area="{number}" {where} rx="4" fill="none" stroke="black" stroke-width="0.8"/>'


def _heads(placed: Placed) -> Iterator[str]:
    for head in placed.heads.values():
        for k, line in enumerate(head.lines):
            at = f'x="{_n(head.box.x)}" y="{_n(head.box.y + 12 + HEAD_STEP * k)}"'
            yield f'<text class="head" {at} font-size="{_n(HEAD_SIZE)}" font-weight="bold">{escape(line)}</text>'


def _stroke(net: Net, line: tuple[Point, ...]) -> str:
    width, dashes, _ = LINES[net[1]]
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in line)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<polyline class="{net[1]}" points="{points}" fill="none" stroke="black" stroke-width="{_n(width)}"{dashed}/>'
    )


def _tip(path: Path) -> str:
    """An arrow head at the end of a line: to the right for water, down for reports and orders."""
    x, y = path.points[-1]
    if path.points[-2][1] == y:
        points = f"{_n(x)},{_n(y)} {_n(x - 7)},{_n(y - 3)} {_n(x - 7)},{_n(y + 3)}"
    else:
        points = f"{_n(x)},{_n(y)} {_n(x - 3)},{_n(y - 7)} {_n(x + 3)},{_n(y - 7)}"
    return f'<polygon points="{points}" fill="black"/>'


def _symbols(drawn: Schematic, placed: Placed) -> Iterator[str]:
    for number, mark in enumerate(drawn.marks):
        frame, label = placed.frames[number], placed.labels[number]
        inner = f"translate({_n((FRAME_WIDE - 40 * SCALE) / 2)} {_n((FRAME_HIGH - 20 * SCALE) / 2)}) scale({_n(SCALE)})"
        size = f'width="{_n(FRAME_WIDE)}" height="{_n(FRAME_HIGH)}" rx="2"'
        texts = []
        x, y = label.middle[0], label.y
        for line in name_lines(mark):
            y += NAME_STEP
            texts.append(
                f'<text x="{_n(x)}" y="{_n(y - 2)}" font-size="{_n(NAME_SIZE)}" '
                f'text-anchor="middle">{escape(line)}</text>'
            )
        for line in note_lines(mark):
            y += NOTE_STEP
            texts.append(
                f'<text x="{_n(x)}" y="{_n(y - 2)}" font-size="{_n(NOTE_SIZE)}" '
                f'text-anchor="middle">{escape(line)}</text>'
            )
        yield (
            f'<g class="part" data-part="{escape(mark.name)}"><title>{escape(mark.name)}</title>'
            f'<g transform="translate({_n(frame.x)} {_n(frame.y)})">'
            f'<rect {size} fill="white" stroke="black" stroke-width="0.6"/><g transform="{inner}">{mark.symbol}</g></g>'
            f"{''.join(texts)}</g>"
        )


def _key(drawn: Schematic, placed: Placed) -> Iterator[tuple[int, str]]:
    """What each sort of line is, below the drawing: (its row, its mark)."""
    x, row = MARGIN, 0
    for sort in (sort for sort in LINES if any(wire.sort == sort for wire in drawn.wires)):
        width, dashes, words = LINES[sort]
        wide = KEY_SAMPLE + 6 + text_width(words, NOTE_SIZE)
        if x > MARGIN and x + wide > placed.wide - MARGIN:
            x, row = MARGIN, row + 1
        y = placed.high + KEY_STEP * row + 4
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        line = f'<path d="M{_n(x)} {_n(y)} h{_n(KEY_SAMPLE)}" stroke="black" stroke-width="{_n(width)}"{dashed}/>'
        text = f'<text x="{_n(x + KEY_SAMPLE + 6)}" y="{_n(y + 3.5)}" font-size="{_n(NOTE_SIZE)}">{words}</text>'
        yield row, line + text
        x += wide + 18
