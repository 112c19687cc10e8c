"""All files that `dewpond matrix --into` writes, and by what each is known as one of ours."""

from __future__ import annotations

from typing import Final

from dewpond.report.export import tables
from dewpond.report.views.shown import Shown
from dewpond.study.matrix.model import Matrix

MARKS: Final = {
    "matrix.csv": tables.MATRIX_MARK,
    "settings.csv": tables.SETTINGS_MARK,
}


def files(matrix: Matrix, shown: Shown) -> dict[str, str]:
    """Name -> text of each file."""
    return {
        "matrix.csv": tables.matrix_csv(matrix, shown),
        "settings.csv": tables.settings_csv(matrix, shown),
    }
