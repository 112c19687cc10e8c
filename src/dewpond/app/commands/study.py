"""The command `dewpond study`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, PLACES_TO_BE, SEASON, START


@click.command(short_help="Let everything fail, alone and in pairs.")
@FILE
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@click.option("--singles", is_flag=True, help="Every fault alone only, without pairs.")
@click.option(
    "--who",
    type=click.Choice((*PLACES_TO_BE, "all")),
    multiple=True,
    help="Where the people are at the start; more than one, or all, may be asked for. Left out: travelling, at home.",
)
@SEASON
@START
@click.option("--anew", is_flag=True, help="Make every run again, also those kept from an earlier study.")
@AS_JSON
def study(
    file: str, page: str | None, singles: bool, who: tuple[str, ...], season: str, start: str, anew: bool, as_json: bool
) -> int:
    """Let everything fail, alone and in pairs, and tell what comes of it.

    Runs are kept in the cache folder: a study that was stopped goes on where it was, and one of a design that has not
    changed takes seconds.

    Exit code: 0 nothing to act on, 1 findings to act on, of the file or of what the runs showed (no count of litres
    alone is one), 2 wrong use or a file that cannot be used, 130 stopped by hand.
    """
    from dewpond.app import work
    from dewpond.app.remembered import Remembered
    from dewpond.errors import UsageError
    from dewpond.report.views.findings import all_findings, exit_code
    from dewpond.report.views.shown import shown_in
    from dewpond.report.views.stories import Courses, courses, worst
    from dewpond.report.views.study import study_report
    from dewpond.study.drills import LENGTHS, WHO
    from dewpond.study.retrace import retrace
    from dewpond.study.study import run_study

    design = work.read_sound(file, as_json, "study")
    asked = tuple((one, LENGTHS[one]) for one in LENGTHS if one in who or "all" in who) or WHO
    work.may_write(page, file)
    with work.progress() as told:
        memory = Remembered(recall=not anew)
        result = run_study(
            design, season, not singles, told, who=asked, start=start, workers=work.cores(), memory=memory
        )
    page = work.where_to(page, result.finished, result.counts.made)
    charts: Courses = {}
    if page is not None and result.finished:  # who has stopped it does not want to wait for more runs
        charts = courses(*retrace(result, worst(result)), shown_in(design.shown_in))
    report = study_report(result, charts)
    unwritten: UsageError | None = None
    if page is not None:
        from dewpond.report.page import render

        try:
            work.write(page, render(report))
        except UsageError as error:
            unwritten = error  # what was worked out is told all the same
    if as_json:
        from dewpond.report import records

        work.print_json(records.study(result))
    else:
        work.print_report(report)
    if unwritten is not None:
        raise unwritten
    found = all_findings(result.findings, result.remarks, design, shown_in(design.shown_in))
    return exit_code(found) if result.finished else 130
