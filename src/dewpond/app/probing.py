"""The command `probes`: what was typed is read, floors are looked at with progress, the result goes to a face."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dewpond.app import work
from dewpond.app.planned import no_plan, tell_compiling, typed, typed_pair, within
from dewpond.design.desk import did_you_mean, listed
from dewpond.errors import Finding, UsageError
from dewpond.study import floors
from dewpond.study.probes import model

if TYPE_CHECKING:
    from dewpond.design.model import Design
    from dewpond.design.plan import Area

ALL, NONE = "all", "none"
LEAST, MOST = 0.05, 20.0  # of a rope, and of a side of a tray [m]
LOWEST, HIGHEST = 2e-3, 0.3  # of a rim [m]


def probes(
    file: str, number: int | None, keep: tuple[str, ...], barred: tuple[str, ...], laid: tuple[str, str, str],
    tried: tuple[int, int], page: str | None, as_json: bool,
) -> int:  # fmt: skip
    """See the command. ``laid``: rope, tray, rim; ``tried``: how many floors, and their seed."""
    from dewpond.parts import KINDS
    from dewpond.report.views.findings import exit_code
    from dewpond.report.views.probes import probes_findings, probes_report
    from dewpond.study.probes.probes import probes as computed

    rope, tray, rim = laid
    long = typed(rope, "--rope", "length", LEAST, MOST)
    sides = _sides(tray)
    high = typed(rim, "--rim", "length", LOWEST, HIGHEST)
    areas = tuple(_area(one) for one in barred)
    design = work.read_sound(file, as_json, "probes")
    work.may_write(page, file)
    asked = model.Asked(number, _stay(design, keep), areas, long, sides, high)
    tell_compiling()
    try:
        with work.progress("starting: the floors", "steps", work.PATIENCE) as heard:
            found = computed(design, KINDS, asked, floors.Asked(members=tried[0], seed=tried[1]), heard)
    except model.ProbesError as reason:
        return work.unanswered((_why(str(reason), design),), "Probes", file, as_json, "probes")
    report = probes_report(design, found)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if as_json:
        from dewpond.report import probe_records

        work.print_json(probe_records.probes(design, found))
    else:
        work.print_report(report)
    return exit_code(probes_findings(design, found))


def _area(text: str) -> Area:
    """Two opposite corners with "to" between them."""
    one, between, two = text.partition(" to ")
    if not between:
        raise UsageError(
            f"--not: {work.short(text)!r} is no area.",
            "Write two opposite corners, right x up as in the plan, such as '1 m x 0 m to 2 m x 1 m'.",
        )
    (x1, y1), (x2, y2) = typed_pair(one, "--not"), typed_pair(two, "--not")
    return (min(x1, x2), min(y1, y2)), (max(x1, x2), max(y1, y2))


def _sides(text: str) -> tuple[float, float]:
    long, deep = typed_pair(text, "--tray")
    sides = (within(one, text, "--tray", "length", LEAST, MOST) for one in (long, deep))
    return next(sides), next(sides)


def _stay(design: Design, keep: tuple[str, ...]) -> tuple[str, ...]:
    """Names of the probes that stay. Raises UsageError where one is none with a spot."""
    from dewpond.floor.sites import REACHED_BY
    from dewpond.floor.storey import probes_in
    from dewpond.parts import KINDS

    spots = {name for plan in design.plans for name in plan.spots}
    known = [name for name, _ in probes_in(design, KINDS, REACHED_BY) if name in spots]
    if keep == (ALL,) and ALL not in known:
        return tuple(known)
    if keep == (NONE,) and NONE not in known:
        return ()
    for name in keep:
        if name not in known:
            near = did_you_mean(name, [*known, ALL, NONE])
            raise UsageError(
                f"--keep: {work.short(name)!r} is no probe that has a spot in a plan of the file.",
                f"{near}Known are: {listed([*known, ALL, NONE])}.",
            )
    return tuple(dict.fromkeys(keep))


def _why(reason: str, design: Design) -> Finding:
    from dewpond.design.messages_floors import EXAMPLE_SPOTS

    if reason == model.NO_PLAN:
        return no_plan(design)
    what, remedy = {
        model.NO_LEAK: (
            "No part of the file can leak on a floor of which there is a plan.",
            "Write the plan of the room in which the parts are that hold water.",
        ),
        model.NO_SPOT: (
            "On the floors of which there are plans no spot is free on which a probe could stand.",
            "See to it that outlines, walls and the areas of vessels are as in the room, and bar less with --not.",
        ),
        model.TOO_MANY: (
            "So many probes find no room on the floors of which there are plans.",
            f"Ask for fewer (-k), or write the plans of more rooms, with spots such as `{EXAMPLE_SPOTS}`.",
        ),
    }[reason]
    return Finding("F002", "warning", "floors", what, remedy, design.file)
