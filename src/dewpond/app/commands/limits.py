"""The command `dewpond limits`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, Within


@click.command(short_help="Limits that protect: what to set, why, and what FILE has.")
@FILE
@click.option("--away", type=click.IntRange(1, 365), default=14, show_default=True, metavar="DAYS",
              help="For how many days nobody is there, to measure or to look.")  # fmt: skip
@click.option("--measured", type=Within(0.5, 365.0), default=7.0, show_default=True, metavar="DAYS",
              help="After how many days somebody at home measures salinity, and looks, at the latest.")  # fmt: skip
@click.option("--drop", type=Within(0.1, 10.0), default=2.0, show_default=True, metavar="PPT",
              help="How far salinity may fall until then.")  # fmt: skip
@click.option("--varies", type=Within(1.0, 60.0), default=15.0, show_default=True, metavar="PERCENT",
              help="How much one day's top-off differs from the next (standard deviation over mean).")  # fmt: skip
@AS_JSON
def limits(file: str, away: int, measured: float, drop: float, varies: float, as_json: bool) -> int:
    """Limits that protect: what to set, why, what FILE has, and where no value will do.

    Longest run, most in a day, pauses, waits, marks, what must stay free below the rim, the size of a reservoir and of
    its overflow, in winter and in summer: each with its bounds, the formula with the figures of FILE put in, and what
    it costs in nuisance.

    Exit code: 0 no limit in FILE lies outside its bounds, or only in the season that it is not set for, 1 one does (one
    that is left out counts as endless), 2 wrong use or a file that cannot be used.
    """
    from datetime import UTC, datetime

    from dewpond.app import work
    from dewpond.parts import KINDS
    from dewpond.report.views.limits import exit_code, limits_report
    from dewpond.study.limits.limits import limits as computed
    from dewpond.study.limits.model import Asked
    from dewpond.study.remarks import of_fills
    from dewpond.study.year.year import RULED, year

    with work.patience():
        design = work.read_sound(file, as_json, "limits")
        ruled = None
        if any(part.get(RULED) for part in design.parts):
            ruled = year(design, KINDS, today=datetime.now(UTC).toordinal()).calibration
        found = computed(design, Asked(away, measured, drop, varies / 100.0), ruled)
        fills = work.as_findings(design, of_fills(design))
    if as_json:
        from dewpond.report import limit_records

        work.print_json(limit_records.limits(found, fills))
    else:
        work.print_report(limits_report(found, fills))
    return exit_code(found)
