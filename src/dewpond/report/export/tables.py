"""The matrix and the settings as CSV in UTF-8: one header, one record a line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from dewpond.report.views import sheet
from dewpond.report.views.matrix import column_head
from dewpond.report.views.shown import NOTHING, Shown
from dewpond.report.views.vectors import records
from dewpond.study.matrix.model import Effect, Limits, Line, Matrix
from dewpond.study.matrix.trial import Trial
from dewpond.study.matrix.truth import Table, tables

# By its first header a file is known as one of ours.
MATRIX_MARK: Final = "Dewpond matrix"
SETTINGS_MARK: Final = "Dewpond settings"
TRUTH_MARK: Final = "Dewpond truth table"
VECTORS_MARK: Final = "Dewpond test vectors"
FORMULA: Final = "=+-@\t\r"  # with one of these at its head a spreadsheet takes a text for a formula


def as_csv(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A table as text. What a spreadsheet would take for a formula is kept a text by a quote before it."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    for row in (head, *rows):
        out.writerow([_plain(cell) for cell in row])
    return text.getvalue()


def _plain(cell: str) -> str:
    cell = "" if cell == NOTHING else cell
    return f"'{cell}" if len(cell) > 1 and cell[0] in FORMULA else cell


def matrix_csv(matrix: Matrix, shown: Shown) -> str:
    """Causes down, effects across, with date and initials to be filled in."""
    head = (
        MATRIX_MARK, "cause", *(column_head(effect) for effect in matrix.effects),
        "carried out by", "until", "limits", "date", "initials",
    )  # fmt: skip
    rows = (
        (
            line.number, sheet.cause_words(line, matrix, shown),
            *(line.marks.get(effect.key, "") for effect in matrix.effects),
            sheet.carried_words(line), sheet.until_words(line), _limits(line, shown), "", "",
        )
        for line in matrix.lines
    )  # fmt: skip
    return as_csv(head, rows)


def _limits(line: Line, shown: Shown) -> str:
    return sheet.limits_words(line.limits, shown) if line.sort == "row" else ""


SETTINGS: Final = (
    SETTINGS_MARK, "a cause orders", "while no cause acts", "without power", "box dead or wire broken", "network down",
    "when a box hangs", "driven by", "also in its lead", "no.", "cause", "order", "mark", "carried out by",
    "contact and how it is read", "lasting", "until", "at most a run", "between runs", "at most a day", "tells",
)  # fmt: skip


def settings_csv(matrix: Matrix, shown: Shown) -> str:
    """A record for each part and each cause that acts on it."""
    rows = [
        (*_positions(effect, matrix), *_settings(effect, line, matrix, shown))
        for effect in matrix.effects
        if effect.stop
        for line in matrix.lines
        if effect.key in line.marks
    ]
    return as_csv(SETTINGS, rows)


def _positions(effect: Effect, matrix: Matrix) -> tuple[str, ...]:
    return (
        effect.name, effect.stop, sheet.unasked(effect, matrix), sheet.position_without_power(effect),
        sheet.position_without_signal(effect), sheet.position_without_network(effect), sheet.hang_words(effect, matrix),
        sheet.driver_words(effect), sheet.lead_words(effect),
    )  # fmt: skip


def _settings(effect: Effect, line: Line, matrix: Matrix, shown: Shown) -> tuple[str, ...]:
    by = ", ".join(box for box, parts in line.carried.items() if effect.name in parts)
    return (
        line.number, sheet.cause_words(line, matrix, shown), line.orders.get(effect.name, ""), line.marks[effect.key],
        by or sheet.carried_words(line), sheet.senses_words(line, matrix),
        shown.duration(line.lasting) if line.lasting else "", sheet.until_words(line), *_each(line.limits, shown),
        line.tells or "",
    )  # fmt: skip


def _each(limits: Limits, shown: Shown) -> tuple[str, str, str]:
    return (
        "" if limits.at_most is None else shown.duration(limits.at_most),
        "" if limits.gap is None else shown.duration(limits.gap),
        "" if limits.per_day is None else shown.litres(limits.per_day),
    )


def truth_csv(matrix: Matrix) -> str:
    """The truth table of each effect below the other: 1, 0, "-" for what does not matter in that row, and nothing in
    columns that have no say in that effect."""
    made = tables(matrix)
    inputs = tuple(dict.fromkeys(name for table in made for name in table.inputs))
    rows = [
        (table.effect, result, *(_input(name, table, known) for name in inputs))
        for table in made
        for known, result in table.rows
    ]
    return as_csv((TRUTH_MARK, "result", *inputs), rows)


def _input(name: str, table: Table, known: Mapping[str, bool]) -> str:
    if name not in table.inputs:
        return ""
    return str(int(known[name])) if name in known else "-"


def vectors_csv(trials: Sequence[Trial], matrix: Matrix, shown: Shown) -> str:
    """The test vectors, a record for each step."""
    head = (VECTORS_MARK, "step", "force", "wait [s]", "expect", "tolerance [s]")
    return as_csv(head, records(trials, matrix, shown))
