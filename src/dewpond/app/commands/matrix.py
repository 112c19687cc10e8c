"""The command `dewpond matrix`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE


@click.command(short_help="Causes and effects as a sheet, and as files to enter in a device.")
@FILE
@click.option("--page", type=click.Path(dir_okay=False), help="Write the sheet as one HTML file.")
@click.option(
    "--into",
    type=click.Path(),
    metavar="FOLDER",
    help="Write matrix.csv, settings.csv, truth_table.csv, vectors.csv, logic.st (IEC 61131-3 Structured Text) and "
    "walk.txt into this folder, which is made if it is not there.",
)
@AS_JSON
def matrix(file: str, page: str | None, into: str | None, as_json: bool) -> int:
    """Causes and effects as a sheet, and as files to enter in a device.

    The sheet has a row for each cause and a column for each effect, with date and initials for the day on which each
    was tried. The files are in no device's own language.

    Exit code: 0 the question was answered, 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import work
    from dewpond.report.export.files import MARKS, files
    from dewpond.report.views.matrix import matrix_report
    from dewpond.study.matrix.build import build

    with work.patience():
        design = work.read_sound(file, as_json, "matrix")
        work.may_write(page, file)
        work.may_write_into(into, MARKS, file)
        made = build(design)
        report = matrix_report(design, made)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if into is not None:
        work.write_into(into, files(design, made))
    if as_json:
        from dewpond.report import matrix_records

        work.print_json(matrix_records.matrix(design, made))
    else:
        work.print_report(report)
    return 0
