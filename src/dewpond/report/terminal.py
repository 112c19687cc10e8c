"""Reports as plain text, 80 columns wide unless told otherwise. Nothing is said by colour alone, or by style."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final, Literal

from dewpond.report.views.blocks import (
    Bars,
    Block,
    Curves,
    FloorMap,
    Fold,
    Grid,
    Items,
    Notice,
    Register,
    Report,
    Schematic,
    Section,
    Story,
    Text,
)
from dewpond.report.views.shown import KEEPS, NOTHING, plain, unbroken

WIDTH: Final = 80
LEAST_FIRST: Final = 30  # a first column that gets less stands on a line of its own
LEAST_WIDE: Final = 24  # and a later one that may break its lines, below
FEW_BREAK: Final = 0.34  # share of the rows that may break for a long cell before all of them are told otherwise
LONGEST_WORD: Final = 14  # longer ones may be broken
INDENT: Final = "    "
REPEATED: Final = "again"  # sort of a line that stands for many rounds
GAP: Final = "  "
LEVELS: Final = {"error": "MUST BE PUT RIGHT", "warning": "TO ACT ON", "note": "NOTE"}
BARS: Final = " ▁▂▃▄▅▆▇█"
ASCII_BARS: Final = " .:-=+*#@"
PLAIN: Final = str.maketrans("\u2013\u2014“”\u2019²³µ°é▸↻■", '--""\'23uoe>o#')

Style = Literal["title", "head", "strong", "quiet", "plain"]


@dataclass(frozen=True)
class Printed:
    """One line of text and what it is, for terminals that can print bold."""

    text: str
    style: Style = "plain"


def render(report: Report, width: int = WIDTH, ascii_only: bool = False) -> str:
    """The report as one text, ending in a line feed."""
    return "".join(f"{line.text}\n" for line in lines(report, width, ascii_only))


def lines(report: Report, width: int = WIDTH, ascii_only: bool = False) -> list[Printed]:
    """The report line by line. ``ascii_only``: for terminals that cannot show more."""
    every = list(_report(report, width, ascii_only))
    if ascii_only:
        every = [Printed(_plain(line.text), line.style) for line in every]
    return [Printed(line.text.rstrip(), line.style) for line in every]


def _plain(text: str) -> str:
    return text.translate(PLAIN).encode("ascii", "replace").decode()


def show(every: Sequence[Printed], width: int) -> None:
    """Print to a terminal, titles in bold."""
    from rich.console import Console
    from rich.text import Text as Styled

    styles = {"title": "bold underline", "head": "bold", "strong": "bold", "quiet": "dim", "plain": ""}
    console = Console(width=max(width, 20), highlight=False, soft_wrap=True)
    for line in every:
        console.print(Styled(line.text, styles[line.style]))


def _report(report: Report, width: int, ascii_only: bool) -> Iterator[Printed]:
    yield from (Printed(text, "title") for text in _wrap(report.title, width))
    yield from (Printed(text, "quiet") for text in _wrap(report.subtitle, width))
    for section in report.sections:
        if section.brief:
            yield Printed("")
            yield from _section(section, width, ascii_only)


def _section(section: Section, width: int, ascii_only: bool) -> Iterator[Printed]:
    titles = _wrap(section.title, width)
    yield from (Printed(text, "head") for text in titles)
    yield Printed(("-" if ascii_only else "─") * max(map(len, titles)), "head")
    shown = [block for block in section.blocks if not isinstance(block, Fold | Bars | Schematic)]
    for number, block in enumerate(shown):
        if number and not (isinstance(block, Items) and isinstance(shown[number - 1], Text)):
            yield Printed("")
        yield from _block(block, width, ascii_only)


def _block(block: Block, width: int, ascii_only: bool) -> Iterator[Printed]:
    if isinstance(block, Text):
        head = "Caution: " if block.tone == "caution" else ""
        style: Style = {"quiet": "quiet", "lead": "strong"}.get(block.tone, "plain")  # type: ignore[assignment]
        yield from (Printed(text, style) for text in _wrap(head + block.text, width))
    elif isinstance(block, Items):
        for number, item in enumerate(block.items, 1):
            sign = f"{number}. " if block.numbered else "- "
            yield from (Printed(text) for text in _wrap(item, width, sign, " " * len(sign)))
    elif isinstance(block, Notice):
        yield from _notice(block, width)
    elif isinstance(block, Grid):
        yield from _grid(block, width)
    elif isinstance(block, Register):
        for number, part in enumerate(block.parts):
            yield from [Printed("")] * (number > 0)
            yield from _grid(part, width)
    elif isinstance(block, Curves):
        yield from _curves(block, width, ascii_only)
    elif isinstance(block, FloorMap):
        yield from _floor(block, width, ascii_only)
    elif isinstance(block, Story):
        yield from _story(block, width)


def _wrap(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    kept = unbroken(text)
    room = width - max(len(first), len(rest))
    lines = textwrap.wrap(
        kept if max(map(len, kept.split(" "))) <= room else text, width, initial_indent=first, subsequent_indent=rest,
        break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace(KEEPS, " ") for line in lines] or [first.rstrip()]


def _notice(notice: Notice, width: int) -> Iterator[Printed]:
    yield from (Printed(t, "strong") for t in _wrap(f"{LEVELS[notice.level]}: {notice.where}", width))
    yield from (Printed(t) for t in _wrap(notice.what, width, "  ", "  "))
    for line in f"{notice.remedy} [{notice.code}]".split("\n"):
        yield from (Printed(t) for t in _wrap(line, width, "  ", "  "))


def _story(story: Story, width: int) -> Iterator[Printed]:
    when = max((len(line.clock) for line in story.lines), default=0)
    sort = max((len(line.sort) for line in story.lines), default=0)
    before = ""
    for line in story.lines:
        head = "" if line.clock == before else line.clock
        before = "" if line.sort == REPEATED else line.clock  # what follows is no part of what repeats
        start = f"{head:<{when}}{GAP}{line.sort:<{sort}}{GAP if sort else ''}"
        yield from (Printed(text) for text in _wrap(line.text, width, start, " " * len(start)))
    yield Printed("")
    for text in story.ending:
        yield from (Printed(t) for t in _wrap(text, width))


# --- tables ----------------------------------------------------------------------------------------------------------


def _grid(grid: Grid, width: int) -> Iterator[Printed]:
    yield from (Printed(text, "strong") for text in _wrap(grid.caption, width))
    rows = grid.rows[: grid.brief]
    if not rows:
        yield Printed("  nothing")
        return
    widths = _widths([grid.head, *rows], width)
    least = LEAST_FIRST if grid.wide == 0 else LEAST_WIDE
    own = min(least, max(len(row[grid.wide]) for row in rows))
    if widths[grid.wide] < own:
        held = _widths([grid.head, *rows], width, {grid.wide: own})
        widths = held if held[grid.wide] == own and _few_break(rows, held) else widths
    if widths[grid.wide] < own:
        yield from _stacked(grid, rows, width)
    else:
        for row in (grid.head, *rows):
            yield from _row(row, widths, grid.right, "quiet" if row is grid.head else "plain")
    left = len(grid.rows) - len(rows)
    if left > 0:
        yield Printed(f"and {left} more rows, on the page (--page) and in --json", "quiet")
    elif grid.more:
        yield from (Printed(text, "quiet") for text in _wrap(grid.more, width))


def _stacked(grid: Grid, rows: Sequence[tuple[str, ...]], width: int) -> Iterator[Printed]:
    """A table too wide for its wide column: that one stands on lines of its own, above the others or below them. So
    does a last column of words that would get too little, named in each row that has something there."""
    above = grid.wide == 0
    others = [i for i in range(len(grid.head)) if i != grid.wide]
    indent = INDENT if above else ""
    cut = [[row[i] for i in others] for row in (grid.head, *rows)]
    widths = _widths(cut, width - len(indent))
    last = others[-1]
    note = above and last not in grid.right and widths[-1] < min(LEAST_WIDE, max(len(row[last]) for row in rows))
    if note:
        others.pop()
        cut = [[row[i] for i in others] for row in (grid.head, *rows)]
        widths = _widths(cut, width - len(indent))
    if _breaks_words(cut, widths):
        yield from _cards(grid, rows, width)
        return
    right = [others.index(i) for i in grid.right if i in others]
    own = "" if above else INDENT
    for row, rest in zip((grid.head, *rows), cut, strict=True):
        style: Style = "quiet" if row is grid.head else "plain"
        told = [Printed(indent + line.text, style) for line in _row(rest, widths, right, style)]
        alone = [Printed(text, style) for text in _wrap(row[grid.wide], width, own, own)]
        yield from [*alone, *told] if above else [*told, *alone]
        if note and row is not grid.head and row[last] != NOTHING:
            named = f"{grid.head[last]}: {row[last]}"
            yield from (Printed(text, style) for text in _wrap(named, width, indent, indent + GAP))


def _breaks_words(rows: Sequence[Sequence[str]], widths: Sequence[int]) -> bool:
    """Whether a word of ordinary length is cut in two by columns of these widths."""
    return any(
        len(word) > widths[i] for row in rows for i, cell in enumerate(row) for word in cell.split()
        if len(word) <= LONGEST_WORD
    )  # fmt: skip


def _cards(grid: Grid, rows: Sequence[tuple[str, ...]], width: int) -> Iterator[Printed]:
    """A table of which no two columns fit beside each other: row by row, each cell named by its column."""
    for first, *rest in rows:
        yield from (Printed(text) for text in _wrap(first, width))
        for head, cell in zip(grid.head[1:], rest, strict=True):
            if cell != NOTHING:
                yield from (Printed(text) for text in _wrap(f"{head}: {cell}", width, INDENT, INDENT + GAP))


def _few_break(rows: Sequence[Sequence[str]], widths: Sequence[int]) -> bool:
    """Whether cells fit columns of these widths but for a long one here and there."""
    breaks = sum(any(len(cell) > room for cell, room in zip(row, widths, strict=True)) for row in rows)
    return breaks <= FEW_BREAK * len(rows) and not _breaks_words(rows, widths)


def _widths(rows: Sequence[Sequence[str]], width: int, held: Mapping[int, int] = MappingProxyType({})) -> list[int]:
    """Columns as wide as their widest entry; while that is too much, the widest one gives, down to what it is ``held``
    at, and words are broken last of all."""
    columns = range(len(rows[0]))
    widths = [max(len(row[i]) for row in rows) for i in columns]
    words = [max(len(word) for row in rows for word in [*row[i].split(), ""]) for i in columns]
    room = width - len(GAP) * (len(widths) - 1)
    for least in ([held.get(i, min(word, LONGEST_WORD)) for i, word in enumerate(words)], [1] * len(widths)):
        while sum(widths) > room and any(widths[i] > least[i] for i in columns):
            gives = [i for i in columns if widths[i] > least[i]]
            widths[max(gives, key=lambda i: widths[i])] -= 1
    return widths


def _row(cells: Sequence[str], widths: Sequence[int], right: Sequence[int], style: Style) -> Iterator[Printed]:
    columns = [_wrap(cell, width) for cell, width in zip(cells, widths, strict=True)]
    for number in range(max(map(len, columns))):
        parts = []
        for i, (column, width) in enumerate(zip(columns, widths, strict=True)):
            text = column[number] if number < len(column) else ""
            parts.append(text.rjust(width) if i in right else text.ljust(width))
        yield Printed(GAP.join(parts), style)


# --- charts ----------------------------------------------------------------------------------------------------------


def _curves(chart: Curves, width: int, ascii_only: bool) -> Iterator[Printed]:
    """Each line as a row of bars, over its own range, with the lowest and highest value beside it."""
    yield Printed(f"{chart.title} [{chart.unit}]", "strong")
    name = min(max(len(curve.name) for curve in chart.curves), 18)
    room = width - name - 3 - 20
    steps = ASCII_BARS if ascii_only else BARS
    for curve in chart.curves:
        low, high = min(curve.values), max(curve.values)
        moves = plain(low) != plain(high)  # else what would be drawn is the last digits
        drawn = "".join(_bar(v, low, high if moves else low, steps) for v in sampled(chart.times, curve.values, room))
        edge = "|" if ascii_only else "│"
        span = f"{plain(low)} to {plain(high)}" if moves else f"always {plain(low)}"
        yield Printed(f"{curve.name[:name]:<{name}} {edge}{drawn}{edge} {span}")
    first, end = "0", f"{plain(chart.times[-1])} {chart.time_unit}"
    if chart.ticks:
        first, end = chart.ticks[0], chart.ticks[-1]
    yield Printed(f"{'':<{name}}  {first}{end:>{max(room - len(first), 1)}}", "quiet")


def _bar(value: float, low: float, high: float, steps: str) -> str:
    flat = 0.5 if value > 0.0 else 0.0  # what stays is neither full nor empty
    share = (value - low) / (high - low) if high > low else flat
    return steps[1 + round(share * (len(steps) - 2))]


def sampled(times: Sequence[float], values: Sequence[float], count: int) -> list[float]:
    """The highest value in each of `count` equal stretches of time; where a stretch has none, the last one before."""
    first, last = times[0], times[-1]
    span = (last - first) / count or 1.0
    bins: list[list[float]] = [[] for _ in range(count)]
    for time, value in zip(times, values, strict=True):
        bins[min(int((time - first) / span), count - 1)].append(value)
    drawn, before = [], values[0]
    for held in bins:
        drawn.append(max(held) if held else before)
        before = held[-1] if held else before
    return drawn


def _floor(drawn: FloorMap, width: int, ascii_only: bool) -> Iterator[Printed]:
    """A sketch, with what its signs are; what it cannot show is said before it."""
    from dewpond.report.drawing.sketch import sketch

    yield from (Printed(text, "strong") for text in _wrap(drawn.title, width))
    yield from (Printed(text) for text in _wrap(drawn.description, width))
    yield Printed("")
    for line in sketch(drawn, min(width, WIDTH) - 2, ascii_only):
        yield from (Printed(text) for text in ([line] if len(line) <= width else _wrap(line, width)))
