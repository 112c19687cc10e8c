"""The command `dewpond probes`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE


@click.command(short_help="Where probes should stand on a floor, and what they are worth.")
@FILE
@click.option("-k", "number", type=click.IntRange(1, 8), metavar="NUMBER",
              help="How many probes are placed anew, besides those that stay. Left out: as many as FILE has with a "
              "spot and that do not stay, or one.")  # fmt: skip
@click.option("--keep", multiple=True, metavar="NAME",
              help="A probe that stays where it is, 'all' or 'none'; may be given several times. Left out: none "
              "stays.")  # fmt: skip
@click.option("--not", "barred", multiple=True, metavar="AREA",
              help="Where none may be laid anew, from corner to corner, such as '1 m x 0 m to 2 m x 1 m'; may be given "
              "several times.")  # fmt: skip
@click.option("--rope", default="2 m", show_default=True, metavar="LENGTH",
              help="Of a straight rope that is tried instead.")  # fmt: skip
@click.option("--tray", default="60 cm x 40 cm", show_default=True, metavar="SIZE",
              help="Of a tray with a probe in it that is tried instead.")  # fmt: skip
@click.option("--rim", default="30 mm", show_default=True, metavar="HEIGHT", help="Of that tray.")
@click.option("--floors", "members", type=click.IntRange(20, 200), default=20, show_default=True,
              help="How many floors are tried. More of them make figures finer, and take longer in "
              "proportion.")  # fmt: skip
@click.option("--seed", type=click.IntRange(0, 1_000_000), default=0, show_default=True,
              help="Of the floors: the same seed gives the same ones.")  # fmt: skip
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def probes(
    file: str,
    number: int | None,
    keep: tuple[str, ...],
    barred: tuple[str, ...],
    rope: str,
    tray: str,
    rim: str,
    members: int,
    seed: int,
    page: str | None,
    as_json: bool,
) -> int:
    """Where probes should stand on the floors that FILE has plans of, so that a leak is felt after the fewest litres.

    The best of so many on average and in the worst case, what those of now are worth and what each of them adds, a rope
    or a tray instead, which one more reading would tell most, and how each probe is tried with a can of water.

    Exit code: 0 the question was answered, 1 it was answered and a reading contradicts the others, 2 wrong use, a file
    that cannot be used, or one of which this cannot be answered, 130 stopped by hand.
    """
    from dewpond.app import probing

    return probing.probes(file, number, keep, barred, (rope, tray, rim), (members, seed), page, as_json)
