"""The command `prove`: reads, searches with progress, hands the result to a face."""

from __future__ import annotations

import time

from dewpond.app import work
from dewpond.errors import UsageError

LONG = 60.0  # after which it is said that fewer faults take less time [s]
SOONER = " (--faults 1 is done much sooner)"


def prove(file: str, faults: int, most_states: int, season: str, page: str | None, as_json: bool) -> int:
    """See the command."""
    from dewpond.parts import KINDS
    from dewpond.plant.lower import lower
    from dewpond.proof import proving
    from dewpond.proof.compile import SEARCH
    from dewpond.report.views.proof import exit_code, proof_report

    design = work.read_sound(file, as_json, "prove")
    work.may_write(page, file)
    plant = lower(design, season)
    if not SEARCH.is_made():
        work.note("The search is being compiled; that is done once, and takes a minute or two.")
    began = time.monotonic()
    with work.progress("starting: each layer alone", "kinds of question", work.PATIENCE) as heard:

        def tell(done: int, total: int, what: str) -> None:
            long = faults > 1 and time.monotonic() - began > LONG
            heard(done, total, what + SOONER if long else what)

        found = proving.prove(
            design, plant, KINDS, faults, compiled=True, most_states=most_states, answered=True, cured=True,
            heard=tell,
        )  # fmt: skip
    report = proof_report(design, plant, found)
    page = work.where_to(page, not found.stopped, len(found.verdicts), "answer")
    unwritten: UsageError | None = None
    if page is not None:
        from dewpond.report.page import render

        try:
            work.write(page, render(report))
        except UsageError as error:
            unwritten = error  # what was worked out is told all the same
    if as_json:
        from dewpond.report import proof_records

        work.print_json(proof_records.proof(design, plant, found))
    else:
        work.print_report(report)
    if unwritten is not None:
        raise unwritten
    return exit_code(found)
