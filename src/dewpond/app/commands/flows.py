"""The command `dewpond flows`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, SEASONS


@click.command(short_help="Flows, pressures, waste, and how long a fill takes.")
@FILE
@click.option("--season", type=click.Choice(SEASONS), help="Only this season; both if left out.")
@AS_JSON
def flows(file: str, season: str | None, as_json: bool) -> int:
    """Flows and pressures part by part during a fill, waste, and how long a fill takes."""
    from dewpond.app import work
    from dewpond.plant.lower import lower
    from dewpond.report.views.flows import flow_report
    from dewpond.study.flows import flows as computed
    from dewpond.study.remarks import filling

    with work.patience():
        design = work.read_sound(file, as_json, "flows")
        plants = [lower(design, one) for one in ([season] if season else SEASONS)]
        tables = [computed(plant) for plant in plants]
    seen = [remark for plant, table in zip(plants, tables, strict=True) for remark in filling(plant, table)]
    remarks = list({(remark.code, remark.parts): remark for remark in reversed(seen)}.values())
    if as_json:
        from dewpond.report import records

        work.print_json(records.flows(design, tables, remarks))
    else:
        work.print_report(flow_report(design, tables, remarks))
    return 0
