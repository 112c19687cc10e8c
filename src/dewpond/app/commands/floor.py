"""The command `dewpond floor`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE


@click.command(short_help="Where leaked water goes on a floor, and which probe feels it.")
@FILE
@click.option("--leak", metavar="PART", help="Which leak: 'riser', or 'riser in study'. Left out: all of them; the "
              "picture is of the one that no probe feels and no drain takes for longest.")  # fmt: skip
@click.option("--floors", "members", type=click.IntRange(20, 200), default=20, show_default=True,
              help="How many floors are tried. With more of them shares are finer, such as one in a hundred; it takes "
              "longer in proportion.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 1_000_000), default=0, show_default=True,
              help="Of the floors: the same seed gives the same ones.")  # fmt: skip
@click.option("--cell", metavar="LENGTH", help="Side of the cells that a floor is laid out in, such as '2 cm'. Left "
              "out: 2 cm, or more in a hall.")  # fmt: skip
@click.option("--litres", default="1, 2, 5, 10, 20", show_default=True, metavar="LITRES",
              help="After how many litres puddles are told.")  # fmt: skip
@click.option("--rate", default="0.2 L/min", show_default=True, metavar="FLOW",
              help="Of the leak. Above 1 L/min water runs ahead of what is told here.")  # fmt: skip
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@click.option("--into", type=click.Path(file_okay=False), metavar="FOLDER",
              help="Write the picture (SVG, PNG) and the floor cell by cell (CSV, NPZ) into a folder.")  # fmt: skip
@AS_JSON
def floor(
    file: str,
    leak: str | None,
    members: int,
    seed: int,
    cell: str | None,
    litres: str,
    rate: str,
    page: str | None,
    into: str | None,
    as_json: bool,
) -> int:
    """Where leaked water goes on the floors that FILE has plans of: which probe feels it after how many litres, what
    leaves where to, how much floor gets wet.

    No floor is known cell by cell: many are tried, all of which fit the readings in FILE, and what is told are shares
    of them.

    Exit code: 0 the question was answered, 1 it was answered and a reading contradicts the others, 2 wrong use, a file
    that cannot be used or one without a plan, 130 stopped by hand.
    """
    from dewpond.app import spilling

    asked = spilling.asked(members, seed, cell, rate)
    return spilling.floor(file, leak, asked, spilling.volumes(litres), page, into, as_json)
