"""The command `dewpond ways`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, SEASON
from dewpond.study.ways import model

REFUSED = {
    model.NO_FLOAT: (
        "In this file no vessel is filled from the supply through a float valve, so nothing can be laid side by side.",
        "Describe the reservoir with its float as it is or is meant to be, and ask again.",
    ),
    model.NO_WATER: (
        "In a fill no water comes through the float valve of this file, so no way of filling can be reckoned.",
        "Ask `dewpond flows` where the pressure goes, mend what keeps the water away, and ask again.",
    ),
    model.NOT_JOINED: (
        "In this file no tank is topped up out of what a float valve fills, or out of what is pumped on from there.",
        "Describe the pump or the tube from the filled vessel to the reservoir or tank (`from`, `to`), and ask again.",
    ),
    model.NOTHING_USABLE: (
        "The reservoirs of this file begin so low that nothing can be drawn from them.",
        "Write how full they usually are (`starts at`), or where what draws from them runs dry, and ask again.",
    ),
    model.NO_NEED: (
        "In this season the tanks of this file need no water, so no way of filling can be reckoned.",
        "Measure what evaporates (`measured evaporation`), or ask for the other season (--season).",
    ),
}


@click.command(short_help="Ways of filling, from carrying to a permanent float.")
@FILE
@SEASON
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def ways(file: str, season: str, page: str | None, as_json: bool) -> int:
    """Ways of filling, from carrying to a permanent float, side by side for this house.

    Minutes a week, litres past a float that stays open and litres on floors, how long the tank lasts with nobody there,
    starts of the unit and what they cost the resin, what each needs and what can still go wrong. No verdict.

    Exit code: 0 the question was answered, 2 wrong use, a file that cannot be used, or one of which this
    cannot be answered.
    """
    from datetime import UTC, datetime

    from dewpond.app import work
    from dewpond.errors import Finding
    from dewpond.parts import KINDS
    from dewpond.report.views.ways import ways_report
    from dewpond.study.ways.house import looked_at
    from dewpond.study.year.year import year

    with work.patience() as at:
        design = work.read_sound(file, as_json, "ways")
        work.may_write(page, file)
        made = year(design, KINDS, today=datetime.now(UTC).toordinal(), heard=at)
        found = work.as_findings(design, made.remarks)
        at("the ways side by side")
        try:
            house, rows = looked_at(design, KINDS, made, season)
        except model.ComparisonError as reason:
            what, remedy = REFUSED[str(reason)]
            why = Finding("W001", "warning", "the whole installation", what, remedy, file)
            return work.unanswered((why, *found), "Ways of filling", file, as_json, "ways")
    report = ways_report(design, season, house, rows, found)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if as_json:
        from dewpond.report import ways_records

        work.print_json(ways_records.ways(design, season, house, rows, found))
    else:
        work.print_report(report)
    return 0
