"""The command `dewpond check`."""

from __future__ import annotations

import click

from dewpond.app.commands.options import AS_JSON, FILE


@click.command(short_help="Read FILE and say all that is wrong with it, at once.")
@FILE
@AS_JSON
def check(file: str, as_json: bool) -> int:
    """Read FILE and say all that is wrong with it, at once.

    Exit code: 0 nothing to act on, 1 findings to act on, 2 the file cannot be used.
    """
    from dewpond.app import work
    from dewpond.design.checks import check as checked
    from dewpond.report.views.checked import check_report
    from dewpond.report.views.findings import exit_code

    with work.patience():
        design = work.read(file, as_json, "check")
        found = checked(design)
    if any(one.level == "error" for one in found):
        work.refuse(found, file, as_json, "check")
    if as_json:
        from dewpond.report import records

        work.print_json(records.check(file, found))
    else:
        work.print_report(check_report(design, found))
    return exit_code(found)
