"""The command `dewpond year`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, COLDEST, FILE, READINGS, TODAY


@click.command(short_help="What an ordinary year evaporates, wastes, wears out and costs.")
@FILE
@READINGS
@COLDEST
@click.option(
    "--price-of-water", metavar="PRICE", help="Such as '4.20 EUR per m3', waste water with it. Left out: not priced."
)
@click.option("--price-of-power", metavar="PRICE", help="Such as '0.30 EUR per kWh'. Left out: not priced.")
@TODAY
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def year(
    file: str,
    readings: str | None,
    coldest: int | None,
    price_of_water: str | None,
    price_of_power: str | None,
    today: str | None,
    page: str | None,
    as_json: bool,
) -> int:
    """What an ordinary year evaporates, wastes, wears out and costs, month by month, while nothing fails.

    It is made from the winter and summer figures of FILE, and becomes your own by measurements: a ruler in the
    reservoir, jugs, a log of readings.

    Exit code: 0 the question was answered, 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import yearly

    return yearly.tell(file, readings, coldest, (price_of_water, price_of_power), today, page, as_json)
