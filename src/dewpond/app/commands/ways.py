"""The command `dewpond ways`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, SEASON

NO_FLOAT = (
    "In this file no vessel is filled from the supply through a float valve, so nothing can be laid side by side.",
    "Describe the reservoir with its float as it is or is meant to be, and ask again.",
)


@click.command(short_help="Ways of filling, from carrying to a permanent float.")
@FILE
@SEASON
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def ways(file: str, season: str, page: str | None, as_json: bool) -> int:
    """Ways of filling, from carrying to a permanent float, side by side for this house.

    Minutes a week, litres past a float that stays open and litres on floors, how long the tank lasts with nobody there,
    starts of the unit and what they cost the resin, what each needs and what can still go wrong. No verdict.

    Exit code: 0 the question was answered, 2 wrong use or a file that cannot be used.
    """
    from datetime import UTC, datetime

    from dewpond.app import work
    from dewpond.errors import UsageError
    from dewpond.parts import KINDS
    from dewpond.report.views.ways import ways_report
    from dewpond.study.ways.house import looked_at
    from dewpond.study.year.year import year

    with work.patience():
        design = work.read_sound(file, as_json, "ways")
        work.may_write(page, file)
        today = datetime.now(UTC).toordinal()
        try:
            house, rows = looked_at(design, KINDS, year(design, KINDS, today=today), season)
        except ValueError:
            raise UsageError(*NO_FLOAT) from None
    report = ways_report(design, season, house, rows)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if as_json:
        from dewpond.report import ways_records

        work.print_json(ways_records.ways(design, season, house, rows))
    else:
        work.print_report(report)
    return 0
