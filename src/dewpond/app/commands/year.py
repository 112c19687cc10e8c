"""The command `dewpond year`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
          "December")  # fmt: skip


@click.command(short_help="What an ordinary year evaporates, wastes, wears out and costs.")
@FILE
@click.option(
    "--readings",
    metavar="CSV",
    help="A log: a line a day, with a date and what was read, such as top-off (L), air (C), humidity (%), salinity "
    "(ppt). See docs/year.md.",
)
@click.option(
    "--coldest",
    type=click.Choice(MONTHS, case_sensitive=False),
    help="The month in the middle of which the winter figures hold. Left out: by the time zone of FILE.",
)
@click.option(
    "--price-of-water", metavar="PRICE", help="Such as '4.20 EUR per m3', waste water with it. Left out: not priced."
)
@click.option("--price-of-power", metavar="PRICE", help="Such as '0.30 EUR per kWh'. Left out: not priced.")
@click.option("--today", metavar="DATE", help="Count from this day, such as 2026-11-28, instead of today.")
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def year(
    file: str,
    readings: str | None,
    coldest: str | None,
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

    month = None if coldest is None else MONTHS.index(coldest) + 1
    return yearly.tell(file, readings, month, (price_of_water, price_of_power), today, page, as_json)
