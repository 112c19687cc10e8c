"""The SVG of a floor seen from above: how far water gets, in one large picture, and on how many floors in small ones.

Black and white say all of it: dense hatching, wide hatching and dots; whole, dashed and dotted edges. The blue helps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from html import escape
from typing import Any, Final

import numpy as np

from dewpond.report.drawing.contours import area, loops
from dewpond.report.drawing.floor_plan import (
    REACH,
    SAID,
    SIGN,
    SIGNS,
    View,
    away,
    outlines,
    pairs,
    places,
    sampled,
    sign_boxes,
    signs,
    view,
    wall_samples,
)
from dewpond.report.drawing.ink import closed, opening
from dewpond.report.drawing.ink import number as _n
from dewpond.report.drawing.labels import NEARBY, RISE, STEP, THROUGH, Name, Places, broken, within, written
from dewpond.report.drawing.layout import BOLD, Box, wrapped
from dewpond.report.drawing.rooms import Rooms, Things
from dewpond.report.views.blocks import FloorMap, FloorShape
from dewpond.report.views.shown import joined

BROAD: Final = 660.0  # width of the drawing [px]
PHONE: Final = 320.0  # what a phone of 360 has between its margins, and a screen of 375 beside a scroll bar
FLOORS: Final = "{title}: on how many floors"
LARGE, SMALL_ONES = "large", "small"  # pictures in a drawing
MARGIN: Final = 30.0  # round the floor, for what does not fit onto it
NAME: Final = 12.0  # letters
SMALL: Final = 11.0
TITLE: Final = 13.0
MOST_METRE: Final = 600.0  # a metre is drawn no longer: a shaft stays a shaft
LEAST_PIXELS: Final = 9.0  # a patch of water smaller than that is left out [px2]
FINE: Final = 0.1  # for patches of a cell or two [cells]
OFF: Final = 0.35  # how far an edge may be off [px]
MOST_POINTS: Final = 9000  # of all edges; with more they are drawn less finely
INK: Final = "#16425b"
TINT: Final = "#2f7fae"
OFF_WALLS: Final = 9.0  # litres stand on their line where it is no nearer to a wall [px]
THINGS: Final = ("rim", "furniture")  # that stand about, and have names of their own
LONE: Final = 9.0  # litres stand where no other line is nearer [px]
APART: Final = 6.0  # spots of a line at which they are tried [px]
SMALL_LINE: Final = 5.0  # a line that is no longer than so many of its litres is not covered by them
EDGE: Final = 3.0  # of a shape: so far from it its name begins [px]
FEW_SPOTS: Final = 12  # of a line beside which they stand where it is
GAP: Final = 12.0  # between the small pictures
# least share of the floors: tint, edge's width and dashes, pattern, what it is
STEPS: Final = (
    (0.05, "#eff5f9", 0.7, "1 2", "dots", "wet on at least 5 % of the floors"),
    (0.5, "#d3e4ee", 0.9, "4 2.5", "wide", "wet on at least half of the floors"),
    (0.95, "#a3c6da", 1.2, "", "dense", "wet on at least 95 % of the floors"),
)
CHANGES: Final = (
    (0.25, "plus", "wet on more floors than before: a quarter of them or more"),
    (0.5, "pluses", "wet on more floors than before: half of them or more"),
    (-0.25, "minus", "wet on fewer floors than before: a quarter of them or more"),
    (-0.5, "minuses", "wet on fewer floors than before: half of them or more"),
)
PATTERNS: Final = {
    "few": (9, '<circle cx="2" cy="2" r="0.8" fill="{ink}"/><circle cx="6.5" cy="6.5" r="0.8" fill="{ink}"/>'),
    "dots": (5, '<circle cx="2.5" cy="2.5" r="0.7" fill="{ink}"/>'),
    "wide": (6, '<path d="M-1 1L1-1M0 6L6 0M5 7L7 5" stroke="{ink}" stroke-width="0.8"/>'),
    "dense": (3, '<path d="M-1 1L1-1M0 3L3 0M2 4L4 2" stroke="{ink}" stroke-width="0.9"/>'),
    "plus": (10, '<path d="M2.5 5H7.5M5 2.5V7.5" stroke="{ink}" stroke-width="0.9"/>'),
    "pluses": (6, '<path d="M0.5 3H5.5M3 0.5V5.5" stroke="{ink}" stroke-width="1.3"/>'),
    "minus": (10, '<path d="M2.5 5H7.5" stroke="{ink}" stroke-width="0.9"/>'),
    "minuses": (5, '<path d="M0.5 2.5H4.5" stroke="{ink}" stroke-width="1.3"/>'),
}


def svg(drawn: FloorMap, prefix: str = "m", narrow: bool = False) -> str:
    """The drawing. ``prefix`` keeps its ids apart from others in a page; ``narrow``: for a phone."""
    return _Drawing(drawn, prefix, PHONE if narrow else BROAD).whole((LARGE, SMALL_ONES))


def parts(drawn: FloorMap, prefix: str = "m", narrow: bool = False) -> list[str]:
    """The same as two drawings, between which a page of paper may end: the large picture, and the small ones if there
    are any."""
    wide = PHONE if narrow else BROAD
    large = _Drawing(drawn, f"{prefix}l", wide).whole((LARGE,))
    has_small = bool(drawn.shares) or drawn.changed is not None
    return [large, *([_Drawing(drawn, f"{prefix}s", wide).whole((SMALL_ONES,))] if has_small else [])]


@dataclass
class _Drawing:
    drawn: FloorMap
    prefix: str
    wide: float
    high: float = 0.0
    coarse: float = 1.0
    points: int = 0
    lettered: dict[str, str] = field(default_factory=dict)
    marks: list[str] = field(default_factory=list)

    def whole(self, what: tuple[str, ...]) -> str:
        while True:
            self.high, self.points, self.lettered, self.marks = 6.0, 0, {}, [self._patterns()]
            if LARGE in what:
                self._title(self.drawn.title)
                self._large()
            else:
                self._title(FLOORS.format(title=self.drawn.title))
            if SMALL_ONES in what:
                self._small()
            if self.points <= MOST_POINTS:
                break
            self.coarse *= 3.0
        title = self.drawn.title if LARGE in what else FLOORS.format(title=self.drawn.title)
        head = opening(self.wide, self.high, self.wide, self.prefix, title, self.drawn.description)
        return "\n".join([head, *self.marks, "</svg>"]) + "\n"

    def _title(self, text: str) -> None:
        for line in wrapped(text, BOLD * TITLE, self.wide - 12.0):
            at = f'x="6" y="{_n(self.high + RISE * TITLE)}" font-size="{_n(TITLE)}" font-weight="bold"'
            self.marks.append(f'<text class="title" {at}>{escape(line)}</text>')
            self.high += STEP * TITLE

    def _patterns(self) -> str:
        made = [
            f'<pattern id="{self.prefix}-{name}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
            f"{mark.format(ink=INK)}</pattern>"
            for name, (size, mark) in PATTERNS.items()
        ]
        return f"<defs>{''.join(made)}</defs>"

    # -- edges ---------------------------------------------------------------------------------------------------------
    def _edges(self, wet: Any, seen: View) -> list[Any]:
        """Closed lines about the wet cells, in pixels."""
        a_cell = self.drawn.frame.size * seen.scale
        tolerance, least = self.coarse * OFF / a_cell, self.coarse**2 * LEAST_PIXELS / a_cell**2
        lines = loops(wet, tolerance, least)
        if not lines and wet.any():  # the largest drop there is, however small
            lines = [max(loops(wet, FINE, FINE), key=area)]
        found = [seen.cells(self.drawn.frame, line) for line in lines]
        self.points += sum(map(len, found))
        return found

    # -- the large picture ---------------------------------------------------------------------------------------------
    def _large(self) -> None:
        drawn, size = self.drawn, self.drawn.frame.size
        most_high = 1.0 * self.wide if self.wide > PHONE else 1.25 * self.wide
        seen = view(drawn, MARGIN, self.high + MARGIN, self.wide - 2 * MARGIN, most_high, MOST_METRE)
        floor = seen.box
        rooms = Rooms([[*map(seen.at, one.corners)] for one in drawn.plan if one.kind == "outline"])
        things = Things([[*map(seen.at, one.corners)] for one in drawn.plan if one.kind in THINGS])
        names = Places(Box(3.0, self.high, self.wide - 6.0, floor.high + 2 * MARGIN), rooms, things)
        edges = [self._edges(wet, seen) for _, wet in drawn.contours]
        farthest = self._edges(_share_of(drawn.shares[-1][1], STEPS[0][0]), seen) if drawn.shares and edges else []
        if farthest:
            fill = f'fill="url(#{self.prefix}-few)" fill-rule="evenodd"'
            self.marks.append(f'<path class="farthest" d="{closed(farthest)}" {fill}/>')
        for lines in reversed(edges):
            if lines:
                self.marks.append(f'<path d="{closed(lines)}" fill="{TINT}" fill-opacity="0.13" fill-rule="evenodd"/>')
        for number, lines in enumerate(edges):
            wide = 2.2 - 1.3 * number / max(len(edges) - 1, 1)
            for line in lines:
                self.marks.append(
                    f'<path class="contour" data-contour="{number}" d="{closed([line])}" fill="none" stroke="{INK}" '
                    f'stroke-width="{_n(wide)}" stroke-linejoin="round"/>'
                )
        self.marks += outlines(drawn.plan, seen)
        for mark in drawn.marks:
            self.marks += signs(mark, seen, size)
            names.sign(sign_boxes(mark, seen, size))
        names.avoid(wall_samples(drawn.plan, seen, 4.0))
        for lines in edges:
            for line in lines:
                names.avoid(sampled(np.vstack([line, line[:1]]), 5.0))
        self._names(names, seen, edges)
        self.marks += [written(put) for put in names.put]
        self.high = floor.bottom + MARGIN + 8.0
        self._ruler(seen, floor)
        self._told("Named by letters:", "; ".join(f"{letter}: {text}" for text, letter in self.lettered.items()))
        self._told("Without room for their names:", "; ".join(name.text for name in names.lost))
        self._key(self._large_key(edges, farthest))
        nowhere = [text for (text, _), lines in zip(drawn.contours, edges, strict=True) if not lines]
        self._told("No spot is wet on half of the floors after", joined(nowhere))

    def _names(self, names: Places, seen: View, edges: list[list[Any]]) -> None:
        """Doors and rooms first, so that these are told apart; litres, since they stand on their lines; then signs, and
        what stands about."""
        for number, shape in self._shapes("opening"):
            (x1, y1), (x2, y2) = seen.at(shape.corners[0]), seen.at(shape.corners[-1])
            middle = 0.5 * (x1 + x2), 0.5 * (y1 + y2)
            home = self._before(names.rooms, shape, middle)
            names.beside(Name(shape.label, "way", number, SMALL), [middle], SIGN, home=home, leads=False)
        roomless = [number for number, _ in self._shapes("outline") if not self._within(names, seen, number)]
        self._litres(names, seen, edges)
        for number, mark in sorted(enumerate(self.drawn.marks), key=lambda one: one[1].kind != "best"):
            where = [seen.at(spot) for spot in places(mark, self.drawn.frame.size)]
            letter = Name(self._letter(mark.name), "letter", number, NAME, bold=True)
            name, best = Name(mark.name, "mark", number, NAME), mark.kind == "best"
            if not names.beside(name, where, REACH, None if best else letter, THROUGH if best else NEARBY):
                self.lettered[mark.name] = letter.text
        for number in roomless:
            self._beside(names, seen, number)
        for kind in ("rim", "furniture", "patch"):
            for number, _ in self._shapes(kind):
                if not self._within(names, seen, number):
                    self._beside(names, seen, number)

    def _litres(self, names: Places, seen: View, edges: list[list[Any]]) -> None:
        """Put litres on their line, where it keeps off the walls and off the lines of others."""
        walls = wall_samples([s for s in self.drawn.plan if s.kind in ("outline", "wall")], seen, 4.0)
        every = [[sampled(np.vstack([line, line[:1]]), APART) for line in lines] for lines in edges]
        for number, ((text, _), lines) in enumerate(zip(self.drawn.contours, edges, strict=True)):
            if not lines:
                continue
            name = Name(text, "litres", number, SMALL, bold=True, ink=INK)
            longest = max(range(len(lines)), key=lambda k, lines=lines: abs(area(lines[k])))  # type: ignore[misc]
            line = every[number][longest]
            others = [each for k, those in enumerate(every) if k != number for each in those]
            alone = away(line, np.vstack(others), LONE) if others else line
            line = alone if len(alone) else line
            small = APART * len(line) < SMALL_LINE * name.extent()[0]
            if small or not names.over(name, pairs(away(line, walls, OFF_WALLS))):
                names.beside(name, pairs(line[:: 1 + len(line) // FEW_SPOTS]), 0.0)

    def _shapes(self, kind: str) -> list[tuple[int, FloorShape]]:
        """Those of a kind that have a name, with their numbers."""
        return [(k, shape) for k, shape in enumerate(self.drawn.plan) if shape.label and shape.kind == kind]

    def _before(self, rooms: Rooms, door: FloorShape, at: tuple[float, float]) -> int:
        """The room from which one reads where a door leads: not the one that it names."""
        labels = [shape.label for shape in self.drawn.plan if shape.kind == "outline"]
        those = [k for k, label in enumerate(labels) if door.label != f"to {label}"]
        return rooms.nearest(at, those)

    def _within(self, names: Places, seen: View, number: int) -> bool:
        """Put the name of a shape into it, over several lines if need be; whether there is room."""
        ends = [*map(seen.at, self.drawn.plan[number].corners)]
        for name in broken(self._named(number)):
            wide, high = name.extent()
            spots = [
                (x, y) for x, y in within(ends, name)
                if not names.things.foreign(Box(x - wide / 2, y - high / 2, wide, high), ends)
            ]  # fmt: skip
            if names.over(name, spots):
                return True
        return False

    def _beside(self, names: Places, seen: View, number: int) -> None:
        """Put it beside one of its sides."""
        shape = self.drawn.plan[number]
        ends = [*map(seen.at, shape.corners)]
        middle = sum(x for x, _ in ends) / len(ends), sum(y for _, y in ends) / len(ends)
        home = sum(s.kind == "outline" for s in self.drawn.plan[:number])
        sides = zip(ends, [*ends[1:], *ends[:1]], strict=True)
        spots = [(0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])) for a, b in sides]
        home = home if shape.kind == "outline" else names.rooms.of(middle)
        letter = Name(self._letter(shape.label), "lettered", number, SMALL, bold=True, ink="#444")
        if not names.beside(self._named(number), spots, EDGE, letter, NEARBY, home):
            self.lettered[shape.label] = letter.text

    def _letter(self, text: str) -> str:
        """What stands for a name: one letter, also where two things have it."""
        return self.lettered.get(text) or _letter(len(self.lettered))

    def _named(self, number: int) -> Name:
        shape = self.drawn.plan[number]
        if shape.kind == "outline":
            return Name(shape.label, shape.kind, number, NAME, bold=True)
        return Name(shape.label, shape.kind, number, SMALL, ink="#444")

    def _ruler(self, seen: View, floor: Box) -> None:
        long, text = self.drawn.ruler
        wide, y = long * seen.scale, self.high
        x = max(floor.x, 4.0)
        ends = "".join(f"M{_n(x + at)} {_n(y - 4)}v8" for at in (0.0, 0.5 * wide, wide))
        self.marks.append(f'<path class="ruler" d="M{_n(x)} {_n(y)}h{_n(wide)}{ends}" stroke="black" fill="none"/>')
        self.marks.append(
            f'<text class="ruler" x="{_n(x + wide + 7)}" y="{_n(y + 4)}" font-size="{_n(SMALL)}">{escape(text)}</text>'
        )
        self.high += 18.0

    def _told(self, what: str, which: str) -> None:
        """What the picture cannot show, below it; nothing if there is none."""
        for line in wrapped(f"{what} {which}.", SMALL, self.wide - 12.0) if which else ():
            at = f'x="6" y="{_n(self.high + RISE * SMALL)}" font-size="{_n(SMALL)}"'
            self.marks.append(f'<text class="told" {at}>{escape(line)}</text>')
            self.high += STEP * SMALL
        self.high += 8.0 * bool(which)

    def _large_key(self, edges: list[list[Any]], farthest: list[Any]) -> Iterator[tuple[str, str]]:
        for kind, said in SAID.items():
            if any(mark.kind == kind for mark in self.drawn.marks):
                yield f'<g transform="translate(17 0)">{SIGNS[kind]}</g>', said
        if any(edges):
            sample = f'<path d="M2 3Q10-7 17 0T32-3" fill="none" stroke="{INK}" stroke-width="1.6"/>'
            yield sample, "so far it is wet on at least half of the floors, once so much water has come"
        if farthest:
            sample = f'<rect x="2" y="-7" width="30" height="14" fill="url(#{self.prefix}-few)"/>'
            yield sample, f"wet on at least 5 % of the floors after {self.drawn.shares[-1][0]}"

    # -- the small pictures --------------------------------------------------------------------------------------------
    def _small(self) -> None:
        panels = [(text, self._shared(share)) for text, share in self.drawn.shares]
        if panels:
            self._panels(panels)
            self._key(
                (
                    self._sample(
                        tint, f'stroke="{INK}" stroke-width="{_n(wide)}" stroke-dasharray="{dashes}"', pattern
                    ),
                    said,
                )
                for _, tint, wide, dashes, pattern, said in reversed(STEPS)
            )
        if self.drawn.changed is not None:
            self._panels([(f"what the test changed{self._at_middle()}", self._altered)])
            self._key((self._sample("white", f'stroke="{INK}"', pattern), said) for _, pattern, said in CHANGES)

    def _at_middle(self) -> str:
        shares = self.drawn.shares
        return f", after {shares[len(shares) // 2][0]}" if shares else ""

    def _sample(self, tint: str, edge: str, pattern: str) -> str:
        size = 'x="2" y="-7" width="30" height="14"'
        return f'<rect {size} fill="{tint}"/><rect {size} fill="url(#{self.prefix}-{pattern})" {edge}/>'

    def _panels(self, panels: list[tuple[str, Any]]) -> None:
        """So many small pictures in rows."""
        columns = min(len(panels), 3 if self.wide > PHONE else 2)
        wide = min((self.wide - 12.0 - GAP * (columns - 1)) / columns, 0.5 * BROAD)
        for first in range(0, len(panels), columns):
            self.high += 16.0
            lowest = self.high
            for column, (text, draw) in enumerate(panels[first : first + columns]):
                left = 6.0 + column * (wide + GAP)
                seen = replace(view(self.drawn, left, self.high + 7.0, wide, 1.2 * wide, MOST_METRE), left=left)
                self.marks.append(
                    f'<text class="panel" x="{_n(left)}" y="{_n(self.high)}" font-size="{_n(NAME)}" '
                    f'font-weight="bold">{escape(text)}</text>'
                )
                self.marks += draw(seen)
                self.marks += outlines(self.drawn.plan, seen, small=True)
                for mark in self.drawn.marks:
                    self.marks += signs(mark, seen, self.drawn.frame.size, small=True)
                lowest = max(lowest, seen.box.bottom)
            self.high = lowest + 10.0

    def _shared(self, share: Any) -> Any:
        def draw(seen: View) -> Iterator[str]:
            for least, tint, wide, dashes, pattern, _ in STEPS:
                lines = self._edges(_share_of(share, least), seen)
                if lines:
                    d = closed(lines)
                    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
                    yield f'<path d="{d}" fill="{tint}" fill-rule="evenodd"/>'
                    yield (
                        f'<path class="share" d="{d}" fill="url(#{self.prefix}-{pattern})" fill-rule="evenodd" '
                        f'stroke="{INK}" stroke-width="{_n(wide)}"{dashed}/>'
                    )

        return draw

    def _altered(self, seen: View) -> Iterator[str]:
        changed = np.nan_to_num(self.drawn.changed)
        for least, pattern, _ in CHANGES:
            lines = self._edges(changed >= least - 1e-9 if least > 0.0 else changed <= least + 1e-9, seen)
            if lines:
                dashed = "" if least > 0.0 else ' stroke-dasharray="4 2.5"'
                d = closed(lines)
                yield f'<path d="{d}" fill="white" fill-rule="evenodd"/>'
                yield (
                    f'<path class="changed" d="{d}" fill="url(#{self.prefix}-{pattern})" fill-rule="evenodd" '
                    f'stroke="{INK}" stroke-width="0.8"{dashed}/>'
                )

    # -- what everything is --------------------------------------------------------------------------------------------
    def _key(self, entries: Any) -> None:
        """Samples with their words, in as many columns as fit."""
        columns = 2 if self.wide > PHONE else 1
        wide = (self.wide - 12.0) / columns
        rows: list[float] = [self.high] * columns
        for sample, said in entries:
            column = rows.index(min(rows))
            lines = wrapped(said, SMALL, wide - 48.0)
            x, y = 6.0 + column * wide, rows[column] + 10.0
            letters = f'font-size="{_n(SMALL)}"'
            texts = "".join(
                f'<text class="key" x="40" y="{_n(4.0 + k * STEP * SMALL)}" {letters}>{escape(line)}</text>'
                for k, line in enumerate(lines)
            )
            self.marks.append(f'<g transform="translate({_n(x)} {_n(y)})">{sample}{texts}</g>')
            rows[column] += 6.0 + max(STEP * SMALL * len(lines), 14.0)
        self.high = max(rows) + 8.0


def _letter(number: int) -> str:
    """a to z, then aa and so on."""
    before, last = divmod(number, 26)
    return (_letter(before - 1) if before else "") + chr(ord("a") + last)


def _share_of(share: Any, least: float) -> Any:
    """Cells that are wet on so many of the floors."""
    return np.nan_to_num(share) >= least - 1e-9
