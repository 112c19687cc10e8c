"""The command `dewpond drill`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE, PLACES_TO_BE, SEASON, START


@click.command(short_help="Let something fail, and tell what happens.")
@FILE
@click.option(
    "--fault",
    "faults",
    multiple=True,
    metavar="'PART: FAULT'",
    help="What fails, such as 'float: stuck open'; may be given several times.",
)
@click.option(
    "--at",
    "times",
    multiple=True,
    metavar="TIME",
    help="When it fails: '2 h' after the start; or 'once X' or '10 min after X', where X is a line of the story, such "
    "as 'feed valve shuts'; 'its own moment' for what comes with an order. One for each --fault, in the same order.",
)
@click.option(
    "--who",
    type=click.Choice(PLACES_TO_BE),
    default="travelling",
    show_default=True,
    help="Where the people are at the start.",
)
@click.option(
    "--for",
    "span",
    metavar="TIME",
    help="Length of the run, such as 14d or '36 h'. Left out: 14 days when travelling, else 1 day.",
)
@SEASON
@START
@click.option("--picture", type=click.Path(dir_okay=False), help="Write levels and litres over time as an SVG file.")
@click.option("--answers", is_flag=True, help="Try the answers that are unknown both ways, too.")
@click.option("--list", "list_them", is_flag=True, help="List the faults that FILE can have.")
@AS_JSON
def drill(
    file: str,
    faults: tuple[str, ...],
    times: tuple[str, ...],
    who: str,
    span: str | None,
    season: str,
    start: str,
    picture: str | None,
    answers: bool,
    list_them: bool,
    as_json: bool,
) -> int:
    """Let something fail, and tell what happens. Without --fault: the run in which nothing fails.

    Exit code: 0 the question was answered, however much water gets out; 2 wrong use or a file that cannot be used. What
    came of it is in the text, and in --json under failure.litres_on_floors and failure.still_running.
    """
    from dewpond.app import drilling, work

    with work.patience():
        if list_them:
            return drilling.list_faults(file, season, as_json)
        return drilling.drill(file, faults, times, who, span, season, start, picture, answers, as_json)  # fmt: skip
