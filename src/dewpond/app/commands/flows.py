"""The command `dewpond flows`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, SEASONS


@click.command(short_help="Flows, pressures, waste, and how long a fill takes.")
@FILE
@click.option("--season", type=click.Choice(SEASONS), help="Only this season; both if left out.")
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def flows(file: str, season: str | None, page: str | None, as_json: bool) -> int:
    """Flows and pressures part by part during a fill, waste, and how long a fill takes; and whether what is built fits.

    The second half looks at the coldest season asked for: where the pressure goes, what a weaker or colder supply would
    do, other sizes of tube, leads and coils, water hammer, open ends, and how far tubes and leads reach.
    """
    from dewpond.app import work
    from dewpond.plant.lower import lower
    from dewpond.report.views.flows import flow_report
    from dewpond.study.flows import flows as computed
    from dewpond.study.remarks import of_tables
    from dewpond.study.sizing import sizing

    with work.patience() as at:
        design = work.read_sound(file, as_json, "flows")
        work.may_write(page, file)
        plants = [lower(design, one) for one in ([season] if season else SEASONS)]
        tables = []
        for plant in plants:
            at(f"fills and ordinary days of {plant.season}")
            tables.append(computed(plant))
        at("whether what is built fits")
        coldest, table = min(zip(plants, tables, strict=True), key=lambda one: one[0].water_temperature)
        fits = sizing.size(design, coldest, table)
    remarks = [*of_tables(zip(plants, tables, strict=True)), *sizing.remarks(fits)]
    report = flow_report(design, tables, remarks, fits)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if as_json:
        from dewpond.report import records

        work.print_json(records.flows(design, tables, remarks, fits))
    else:
        work.print_report(report)
    return 0
