"""The command `dewpond sources`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON


@click.command(short_help="Print every default figure, and where it comes from.")
@AS_JSON
def sources(as_json: bool) -> int:
    """Print every default figure with its source, its grade and its spread."""
    from dewpond.app import work
    from dewpond.report.views.sources import every_figure, sources_report

    if as_json:
        from dewpond.report import records

        work.print_json(records.sources(every_figure()))
    else:
        work.print_report(sources_report())
    return 0
