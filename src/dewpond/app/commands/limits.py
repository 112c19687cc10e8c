"""The command `dewpond limits`."""

from __future__ import annotations

from dataclasses import replace

import click

from dewpond.app.commands.options import AS_JSON, COLDEST, FILE, READINGS, TODAY, Within


@click.command(short_help="Limits that protect: what to set, why, and what FILE has.")
@FILE
@click.option("--away", type=click.IntRange(1, 365), default=14, show_default=True, metavar="DAYS",
              help="For how many days nobody is there, to measure or to look.")  # fmt: skip
@click.option("--measured", type=Within(0.5, 365.0), default=7.0, show_default=True, metavar="DAYS",
              help="After how many days somebody at home measures salinity, and looks, at the latest.")  # fmt: skip
@click.option("--drop", type=Within(0.1, 10.0), default=2.0, show_default=True, metavar="PPT",
              help="How far salinity may fall until then.")  # fmt: skip
@click.option("--varies", type=Within(1.0, 60.0), metavar="PERCENT",
              help="How much one day's top-off differs from the next (standard deviation over mean). Left out: as the "
              "log shows it, else 15.")  # fmt: skip
@READINGS
@COLDEST
@TODAY
@AS_JSON
def limits(
    file: str,
    away: int,
    measured: float,
    drop: float,
    varies: float | None,
    readings: str | None,
    coldest: int | None,
    today: str | None,
    as_json: bool,
) -> int:
    """Limits that protect: what to set, why, what FILE has, and where no value will do.

    Longest run, most in a day, pauses, waits, marks, what must stay free below the rim, the size of a reservoir and of
    its overflow, in winter and in summer: each with its bounds, the formula with the figures of FILE put in, and what
    it costs in nuisance.

    Exit code: 0 no limit in FILE lies outside its bounds, or only in the season that it is not set for, 1 one does (one
    that is left out counts as endless), 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import work, yearly
    from dewpond.app.measured import of_measured
    from dewpond.report.views.limits import exit_code, limits_report
    from dewpond.study.flows import flows
    from dewpond.study.limits.limits import limits as computed
    from dewpond.study.limits.model import Asked
    from dewpond.study.remarks import of_tables
    from dewpond.study.year.year import RULED

    now = yearly.day_of(today)
    design = work.read_sound(file, as_json, "limits")
    log, found = yearly.read_log(readings, now, as_json, "limits")
    asked, known = Asked(away, measured, drop), None
    with work.patience():
        if log or any(part.get(RULED) for part in design.parts):
            made = yearly.made_of(design, log, now, coldest)
            known, asked = made.calibration, asked.as_logged(made.calibration)
            found = (*work.as_findings(design, made.remarks), *found, *of_measured(made, design, log, readings))
        if varies is not None:
            asked = replace(asked, varies=varies / 100.0, logged=Asked.logged)
        limited = computed(design, asked, known)
        if known is None:
            shown = of_tables((plant, flows(plant, looked=looked)) for plant, looked in limited.looked)
            found = (*work.as_findings(design, shown), *found)
    if as_json:
        from dewpond.report import limit_records

        work.print_json(limit_records.limits(limited, found))
    else:
        work.print_report(limits_report(limited, found))
    return exit_code(limited)
