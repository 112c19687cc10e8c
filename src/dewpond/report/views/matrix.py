"""The matrix of causes and effects as a sheet: what acts on what, how, and how each part must be set up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from dewpond.design.model import Design
from dewpond.report.views import cautions, sheet
from dewpond.report.views.blocks import Block, Grid, Items, Report, Section, Text
from dewpond.report.views.shown import NOTHING, Shown, count, shown_in
from dewpond.report.views.walk import walk, walk_blocks
from dewpond.study.matrix.model import Effect, Line, Matrix

ACROSS: Final = 5  # effects beside each other: more do not fit on a terminal
DATE, INITIALS = "________", "____"  # to be filled in by hand
NO_ROWS: Final = (
    "There is no matrix in this file: no row says what a sensor shuts, stops, runs or tells. A row such as "
    "`{{cause: tray probe wet, effect: {{feed valve: shut}}, until: re-armed by hand when dry}}` under `matrix:` makes "
    "one; docs/design_file.md goes through it.{own}"
)
OWN_ONLY: Final = " What follows is what acts by itself."
COMMISSION: Final = (
    "Date and initials are for the day on which somebody has made the cause happen, seen each effect of its row, and "
    "seen that all works again afterwards. After a change of box, sensor or valve the rows that it touches begin anew."
)

MORE: Final = (
    "`--page` writes a page with the settings part by part and a walk by which every cell is tried by hand; `--into` "
    "makes files of them, with truth tables and the logic of each box as Structured Text."
)


def matrix_report(design: Design, matrix: Matrix) -> Report:
    """The sheet, what stands behind each row, and how to set up each part."""
    shown = shown_in(design.shown_in)
    sections = [Section("matrix", "Causes and effects", tuple(_sheet(matrix, shown)))]
    if any(line.sort != "own" for line in matrix.lines):
        sections.append(Section("rows", "How each row acts", (_how(matrix, shown),)))
    if any(effect.stop for effect in matrix.effects):
        sections.append(
            Section("positions", "Where each part goes when something is lost", tuple(_lost(matrix, shown)))
        )
    if any(effect.sort == "ordered" for effect in matrix.effects):
        grids = tuple(settings_grid(effect, matrix, shown) for effect in matrix.effects if effect.sort == "ordered")
        sections.append(Section("settings", "To enter in a device, part by part", (_HOW_TO_ENTER, *grids), brief=False))
    if matrix.lines:
        sections.append(
            Section(
                "walk",
                "A walk with a cup of water, the plug and the button",
                walk_blocks(walk(design, matrix)),
                brief=False,
            )
        )
        care: tuple[Block, ...] = (*cautions.general(design), cautions.of_kinds(design))
        sections.append(Section("cautions", "Cautions", care, brief=False))
        sections.append(Section("more", "What else there is", (Text(MORE),)))
    return Report(design.title, f"Causes and effects of {design.file}", tuple(sections))


_HOW_TO_ENTER: Final = Text(
    "Plain facts, in no device's own language: enter them in whatever box you own, and try each as the walk says."
)


def _sheet(matrix: Matrix, shown: Shown) -> Iterator[Block]:
    rows = [line for line in matrix.lines if line.sort != "own"]
    own = [line for line in matrix.lines if line.sort == "own"]
    if not rows:
        yield Text(NO_ROWS.format(own=OWN_ONLY if own else ""))
    columns = [effect for effect in matrix.effects if effect.sort != "own"]
    groups = [columns[at : at + ACROSS] for at in range(0, len(columns), ACROSS)]
    for number, group in enumerate(groups, 1):
        part = f", part {number} of {len(groups)}" if len(groups) > 1 else ""
        yield _crossing(f"Causes down, effects across{part}", group, rows, matrix, shown)
    if own:
        yield Grid(
            "What acts by itself: no box, no row of the file",
            ("cause", "effect", "mark", "until", "date", "initials"),
            tuple(
                (numbered(line, matrix, shown), _own_effect(line), *line.marks.values(),
                 sheet.until_words(line) if line.orders else "the probe is dry", DATE, INITIALS)
                for line in own
            ),
        )  # fmt: skip
    if matrix.alone:
        yield Grid(
            "What no box drives and no row names: its power alone decides",
            ("part", "so", "without power", "date", "initials"),
            tuple(
                (one.name, sheet.alone_words(one), sheet.without_power(one.losses), DATE, INITIALS)
                for one in matrix.alone
            ),
        )
    if matrix.lines:
        yield Items(sheet.LEGEND)
        if any(len(effect.boxes) > 1 for effect in columns):
            yield Text(sheet.ANY_STOP)
        yield Text(COMMISSION, "quiet")


def _crossing(caption: str, group: Sequence[Effect], rows: Sequence[Line], matrix: Matrix, shown: Shown) -> Grid:
    """Some columns with all rows that have a mark there."""
    head = ("cause", *(column_head(effect) for effect in group), "date", "initials")
    told = tuple(
        (
            numbered(line, matrix, shown),
            *(line.marks.get(e.key, NOTHING) for e in group),
            DATE,
            INITIALS,
        )
        for line in rows
        if any(effect.key in line.marks for effect in group)
    )
    return Grid(caption, head, told)


def numbered(line: Line, matrix: Matrix, shown: Shown) -> str:
    """The cause of a line behind its number, as the sheet names it everywhere."""
    return f"{line.number}  {sheet.cause_words(line, matrix, shown)}"


def column_head(effect: Effect) -> str:
    """The name of a column, with the position to which it is ordered."""
    return f"{effect.name} ({effect.stop})" if effect.stop else effect.name


def _own_effect(line: Line) -> str:
    return f"{line.whose} ({line.orders[line.whose]})" if line.orders else f"{line.whose} (sounds)"


def _how(matrix: Matrix, shown: Shown) -> Grid:
    """What a mark does not say. Columns in which nothing stands are left out."""
    lines = [line for line in matrix.lines if line.sort != "own"]
    columns = {
        "cause": [numbered(line, matrix, shown) for line in lines],
        "in the file": [line.id for line in lines],
        "carried out by": [sheet.carried_words(line) for line in lines],
        "until": [sheet.until_words(line) for line in lines],
        "limits": [sheet.limits_words(line.limits, shown) if line.sort == "row" else "" for line in lines],
    }
    said = {head: cells for head, cells in columns.items() if any(cells)}
    rows = zip(*([cell or NOTHING for cell in cells] for cells in said.values()), strict=True)
    return Grid("Row by row", tuple(said), tuple(rows))


def _lost(matrix: Matrix, shown: Shown) -> Iterator[Block]:
    parts = [effect for effect in matrix.effects if effect.stop]
    yield Grid(
        "Part by part",
        ("part", "a cause orders", "while no cause acts", "without power", "box dead or wire broken", "network down"),
        tuple(
            (effect.name, effect.stop, sheet.unasked(effect, matrix), sheet.position_without_power(effect),
             sheet.position_without_signal(effect), sheet.position_without_network(effect))
            for effect in parts
        ),
    )  # fmt: skip
    if matrix.boxes:
        yield Grid(
            "Box by box",
            ("box", "after a restart", "when it hangs"),
            tuple((box.name, sheet.memory_words(box, shown), sheet.box_hangs(box)) for box in matrix.boxes),
            wide=1,
        )


SETTINGS_HEAD: Final = ("cause", "order", "contact and how it is read", "until", "limits", "by", "tells")


def settings_rows(effect: Effect, matrix: Matrix, shown: Shown) -> list[tuple[str, ...]]:
    """Every line that acts on a part, with all that must be entered for it."""
    return [
        (
            numbered(line, matrix, shown), line.orders.get(effect.name, ""),
            sheet.senses_words(line, matrix), sheet.until_words(line), sheet.limits_words(line.limits, shown),
            ", ".join(box for box, parts in line.carried.items() if effect.name in parts), line.tells or "",
        )
        for line in matrix.lines
        if effect.key in line.marks and line.sort != "own"
    ]  # fmt: skip


def settings_grid(effect: Effect, matrix: Matrix, shown: Shown) -> Grid:
    """One part with its positions and its causes."""
    leads = sheet.lead_words(effect)
    also = f"; also in its lead: {leads}" if leads else ""
    caption = f"{effect.name}: {sheet.ordered_words(effect, matrix)}; driven by {sheet.driver_words(effect)}{also}"
    lost = [f"without power {sheet.position_without_power(effect)}"]
    lost.append(f"box dead or wire broken {sheet.position_without_signal(effect)}")
    if effect.losses is not None and effect.losses.network is not None:
        lost.append(f"network down {sheet.position_without_network(effect)}")
    lost.append(f"when a box hangs {sheet.hang_words(effect, matrix)}")
    rows = tuple(tuple(cell or NOTHING for cell in row) for row in settings_rows(effect, matrix, shown))
    said = f"{count(len(rows), 'cause')}. {'; '.join(lost)}."
    return Grid(caption, SETTINGS_HEAD, rows, more=said[0].upper() + said[1:])
