"""All files that `dewpond matrix --into` writes, and by what each is known as one of ours."""

from __future__ import annotations

from typing import Final

from dewpond.design.model import Design
from dewpond.report import terminal
from dewpond.report.export import structured_text, tables
from dewpond.report.views.shown import shown_in
from dewpond.report.views.walk import TITLE, walk, walk_report
from dewpond.study.matrix.model import Matrix
from dewpond.study.matrix.vectors import vectors

MARKS: Final = {
    "matrix.csv": tables.MATRIX_MARK,
    "settings.csv": tables.SETTINGS_MARK,
    "truth_table.csv": tables.TRUTH_MARK,
    "vectors.csv": tables.VECTORS_MARK,
    "logic.st": structured_text.MARK,
    "walk.txt": TITLE,
}


def files(design: Design, matrix: Matrix) -> dict[str, str]:
    """Name -> text of each file."""
    shown = shown_in(design.shown_in)
    return {
        "matrix.csv": tables.matrix_csv(matrix, shown),
        "settings.csv": tables.settings_csv(matrix, shown),
        "truth_table.csv": tables.truth_csv(matrix),
        "vectors.csv": tables.vectors_csv(vectors(matrix).trials, matrix, shown),
        "logic.st": structured_text.structured_text(matrix, shown),
        "walk.txt": terminal.render(walk_report(design, walk(design, matrix))),
    }
