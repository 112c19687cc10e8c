"""The command `floor`: reads, spills with progress, hands the result to a face."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from dewpond.app import work
from dewpond.app.planned import no_plan, tell_compiling, typed
from dewpond.design.desk import did_you_mean, listed
from dewpond.errors import UsageError
from dewpond.study.floors import Asked, look, too_fine
from dewpond.units import show

if TYPE_CHECKING:
    from dewpond.design.model import Design
    from dewpond.floor.sites import Site
    from dewpond.study.floors import Looked

FINEST, COARSEST = 1e-3, 0.1  # of a cell [m]
SLOWEST, FASTEST = 1e-4 / 86400.0, 1.0 / 60.0  # of a leak, 0.1 L a day to 1000 L/min [m3/s]
MOST_VOLUMES = 8
LEAST = 1e-5  # a puddle of less is none [m3]
GB, FEW = 1e9, 10.0


def asked(members: int, seed: int, cell: str | None, rate: str) -> Asked:
    """What was typed. Raises UsageError."""
    size = None if cell is None else typed(cell, "--cell", "length", FINEST, COARSEST)
    return Asked(cell=size, members=members, seed=seed, rate=typed(rate, "--rate", "flow", SLOWEST, FASTEST))


def volumes(text: str) -> tuple[float, ...]:
    """Litres that were typed, with commas between them, from few to many [m3]. Raises UsageError."""
    words = [word.strip() for word in text.removesuffix("L").split(",")]
    try:
        found = sorted({1e-3 * float(word) for word in words})
    except ValueError:
        found = []
    if not found or len(found) > MOST_VOLUMES or not all(LEAST <= one <= Asked.cap for one in found):
        raise UsageError(
            f"--litres: {work.short(text)!r} cannot be used.",
            f"Give up to {MOST_VOLUMES} numbers from {1e3 * LEAST:g} to {1e3 * Asked.cap:g} with commas between them, "
            "such as '1, 2, 5'.",
        )
    return tuple(found)


def floor(
    file: str, leak: str | None, want: Asked, litres: tuple[float, ...], page: str | None, into: str | None,
    as_json: bool,
) -> int:  # fmt: skip
    """See the command."""
    from dewpond.report.export import floor_files
    from dewpond.report.views.findings import exit_code
    from dewpond.report.views.floor import floor_findings, floor_report
    from dewpond.study.spills import spilled

    design = work.read_sound(file, as_json, "floor")
    work.may_write(page, file)
    if not design.plans:
        return work.unanswered((no_plan(design),), "Floors", file, as_json, "floor")
    work.may_write_into(into, floor_files.marks(design), file)
    _afford(design, want)
    found = tuple(spilled(one, litres) for one in _looked(design, want, leak))
    report = floor_report(design, found, want)
    unwritten: UsageError | None = None
    try:
        if page is not None:
            from dewpond.report.page import render

            work.write(page, render(report))
        texts = floor_files.files(design, found) if into is not None else {}
        if into is not None and texts:
            work.write_into(into, texts)
        elif into is not None:
            work.note(f"No part can leak on these floors; nothing was written into {work.short(into)}.")
    except UsageError as error:
        unwritten = error  # what was worked out is told all the same
    if as_json:
        from dewpond.report import floor_records

        work.print_json(floor_records.floors(design, found, want))
    else:
        work.print_report(report)
    if unwritten is not None:
        raise unwritten
    return exit_code(floor_findings(design, found, want))


def _afford(design: Design, want: Asked) -> None:
    """Raises UsageError where cells are so fine that nobody would wait for them."""
    found = too_fine(design, want)
    if found is not None:
        finest = math.ceil(found.finest * 1e4 - 1e-6) / 10.0  # of a millimetre
        raise UsageError(
            f"--cell: such cells are too many for {found.rooms}: {found.cells:,} on each of {found.floors} floors, "
            f"about {found.memory / GB:.2g} GB of memory, {show(found.making, 'duration')} to make the floors and "
            f"{show(found.spilling, 'duration')} more for each leak.",
            f"The finest that can be afforded with so many floors is --cell '{finest:g} mm'.",
        )


def _looked(design: Design, want: Asked, leak: str | None) -> tuple[Looked, ...]:
    """Raises UsageError where no part may leak so."""
    from dewpond.parts import KINDS

    known: dict[str, None] = {}

    def wanted(site: Site) -> bool:
        known.update({site.part: None, site.label: None})
        together = str(leak).removesuffix(f" in {site.place}").replace(", ", " or ").split(" or ")
        return leak in (site.part, site.label) or (len(together) > 1 and site.part in together and not site.comes)

    tell_compiling()
    with work.progress("starting: the floors", "steps", work.PATIENCE) as heard:
        try:
            return look(
                design, KINDS, want, wanted if leak else None,
                lambda done, total: heard(done, total, "floors, and water on them"),
            )  # fmt: skip
        except LookupError:
            every = list(known)
            near = did_you_mean(str(leak), every) if every else ""
            raise UsageError(
                f"--leak: {work.short(str(leak))!r} is no part that can leak on a floor of which there is a plan.",
                f"{near}Known are: {listed(every) or 'none in this file'}.",
            ) from None
