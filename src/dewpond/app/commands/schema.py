"""The command `dewpond schema`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON


@click.command(short_help="Print the JSON Schema of design files, for editors.")
@AS_JSON
def schema(as_json: bool) -> int:
    """Print the JSON Schema of design files, for editors that complete and check."""
    from dewpond.app import work
    from dewpond.design.schema import json_schema

    if as_json:
        from dewpond.report import records

        work.print_json(records.schema(json_schema()))
    else:
        work.print_json(json_schema())
    return 0
