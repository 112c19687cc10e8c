"""Reports as one HTML file: needs no network, prints in black and white, fits a phone, works by keyboard and ear."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, Final

from dewpond.report import charts
from dewpond.report.drawing.svg import svg
from dewpond.report.views.blocks import (
    Bars,
    Block,
    Curves,
    Entry,
    FloorMap,
    Fold,
    Items,
    Notice,
    Register,
    Report,
    Schematic,
    Story,
    Text,
)
from dewpond.report.views.shown import NOTHING, unbroken

if TYPE_CHECKING:
    from markupsafe import Markup

OPEN_ROWS: Final = 10  # of a table; the others are folded, and printed all the same
FEW_MORE: Final = 4  # rows are not worth a fold
WIDE: Final = "@media print, (min-width: 76.01rem)"  # there is room for a register with its head
CARDS: Final = "@media screen and (max-width: 76rem)"  # its rows are cards; the same limits as in report.css
FIRST_ROWS: Final = 40  # of a register that scripts may shorten; one button shows the rest
CHOSEN: Final = "; of a table that is chosen from, the rows that are shown"
TYPED: Final = re.compile(r"`([^`\n]+)`")
LEVELS: Final = {"error": "Must be put right", "warning": "To act on", "note": "Note"}


def render(report: Report) -> str:
    """The page as text. The same report gives the same bytes."""
    from jinja2 import Environment, PackageLoader, StrictUndefined
    from markupsafe import Markup

    drawn = 0

    def figure(chart: Curves | Bars | Schematic | FloorMap, narrow: bool = False) -> Markup:
        nonlocal drawn
        drawn += 1
        if isinstance(chart, Schematic):
            return Markup(svg(chart, f"f{drawn}", narrow))
        if isinstance(chart, FloorMap):
            from dewpond.report.drawing import floor

            return Markup("\n").join(Markup(one) for one in floor.parts(chart, f"f{drawn}", narrow))
        return Markup(charts.svg(chart, f"f{drawn}", narrow))

    env = Environment(
        loader=PackageLoader("dewpond.report", "templates"),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    env.globals["figure"] = figure
    env.globals["levels"] = LEVELS
    env.globals["nothing"] = NOTHING
    env.globals["open_rows"] = OPEN_ROWS
    env.globals["few_more"] = FEW_MORE
    env.globals["first_rows"] = FIRST_ROWS
    env.globals["begins_long"] = begins_long
    env.globals["on_paper"] = on_paper
    env.globals["columns"] = lambda block: Markup(columns(block))
    env.filters["keys"] = keys
    env.filters["said"] = said
    env.filters["picks"] = picks
    env.tests["kind"] = _is_kind
    return env.get_template("report.html").render(report=report)


def begins_long(report: Report) -> bool:
    """Whether the first section is more than a few lines, so that the list of contents stands before it."""
    return any(not isinstance(block, Text | Items | Notice) for block in report.sections[0].blocks)


def on_paper(report: Report) -> str:
    """What is printed of what is folded on the screen."""
    every = list(_all(block for section in report.sections for block in section.blocks))
    but = " but the later stories, unless they are open" if any(_later_stories(block) for block in every) else ""
    chosen = any(isinstance(block, Register) for block in every)
    return f"On paper stands everything{but}{CHOSEN if chosen else ''}."


def _all(blocks: Iterable[Block]) -> Iterator[Block]:
    for block in blocks:
        yield block
        if isinstance(block, Fold):
            yield from _all(block.blocks)


def _later_stories(block: Block) -> bool:
    return isinstance(block, Fold) and not block.printed and any(isinstance(one, Story) for one in _all(block.blocks))


def _is_kind(block: Any, name: str) -> bool:
    return type(block).__name__ == name


def said(text: str) -> Markup:
    """A text, with what stands between backticks as something to be typed."""
    from markupsafe import Markup, escape

    return Markup(TYPED.sub(r"<code>\1</code>", str(escape(unbroken(text)))))


def keys(entry: Entry) -> str:
    """The numbers by which a row is sorted, one for each cell, empty for none: "0.054;;inf"."""
    return ";".join("" if key is None else f"{key:.4g}" for key in entry.keys)


def picks(entry: Entry) -> str:
    """For each choice the options that hold for a row, with their figures where they have some: "0;1;2=0.05,3=1e-4"."""
    return ";".join(
        ",".join(f"{number}={figure:.4g}" if figure else str(number) for number, figure in pick.items())
        for pick in entry.picks
    )


def columns(block: Register) -> str:
    """Rules for the columns of a register: figures to the right, and on a phone the name of each before its cell.
    They stand once for the table instead of once for every cell."""
    rules = []
    for number, name in enumerate(block.head, 1):
        cell = f".register td:nth-child({number})"
        if number - 1 in block.right:
            rules.append(f"{WIDE} {{ {cell} {{ text-align: right; white-space: nowrap; }} }}")
        if number - 1 in block.wide:
            rules.append(f"{WIDE} {{ {cell} {{ min-width: 9rem; }} }}")
        shown = "".join(letter if letter.isalnum() or letter in " ,.-" else f"\\{ord(letter):x} " for letter in name)
        rules.append(f'{CARDS} {{ {cell}::before {{ content: "{shown}: "; }} }}')
    return "\n".join(rules)
