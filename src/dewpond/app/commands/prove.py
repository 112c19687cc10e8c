"""The command `dewpond prove`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FAULTS, FILE, MOST_STATES, SEASON


@click.command(short_help="Search the shut-off logic in every order of events.")
@FILE
@FAULTS
@MOST_STATES
@SEASON
@click.option("--page", type=click.Path(dir_okay=False), help="Write everything as one HTML file.")
@AS_JSON
def prove(file: str, faults: int, most_states: int, season: str, page: str | None, as_json: bool) -> int:
    """Search the shut-off logic in every order of events.

    What a run tries in one order is searched here in all of them: does what has tripped stay shut, is water stopped
    wherever a probe sees it, does no pump bring too much, is somebody told. The search is complete for what it looks
    at, and says what it leaves out.

    Exit code: 0 all rules hold with each answer that the file leaves open, 1 a rule is broken or a search was not
    finished, 2 wrong use or a file that cannot be used.
    """
    from dewpond.app import proving

    return proving.prove(file, faults, most_states, season, page, as_json)
