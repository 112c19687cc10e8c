"""What is asked about rulers and a log once a year is reckoned beside them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from dewpond.errors import Finding

if TYPE_CHECKING:
    from dewpond.design.model import Design
    from dewpond.study.year.model import Evidence, Reading, Year

RULED, TOP_OFF, SALINITY = "measured evaporation", "top-off", "salinity"
MUCH = (
    "Was the feed shut, did the top-off run a water change, does water run out somewhere? Is the unit right: mm or cm?"
)
LITTLE = "Did the feed run meanwhile, or the top-off stand still? Is the unit right: mm or cm?"
MUCH_LOGGED = (
    "Is the unit right: mL or L, litres or gallons? Has the decimal sign slipped? Is it a meter's total? Does a tank "
    "leak?"
)
LITTLE_LOGGED = (
    "Is the unit right: mL or L, litres or gallons? Has the decimal sign slipped? Is all that was put in written?"
)
GRAVITY = (1.0, 1.04)  # that salt water of a tank may have [1]


def of_measured(made: Year, design: Design, readings: Sequence[Reading], log: str | None) -> tuple[Finding, ...]:
    """Rulers whose day is yet to come, and what says many times, or a small part of, what was reckoned; a log that is a
    running total, or whose salinity is no tank's. ``log``: its file."""
    file, known = design.file, design.key_lines
    rulers = tuple(
        Finding(
            "Y001", "warning", f"water: {name}", "The day of its ruler is yet to come; the ruler is left out.",
            "Check the year, and the clock of this computer.", file, known.get((name, RULED)), RULED,
        )
        for name in made.ahead
    )  # fmt: skip
    far = tuple(_far(one, design, log) for one in made.calibration.evidence if one.far)
    return (*far, *rulers, *_running(made, design, log), *_salinity(made, design, readings, log))


def _far(one: Evidence, design: Design, log: str | None) -> Finding:
    from dewpond.report.views.shown import about
    from dewpond.study.year.model import LOG

    measure, follows = "Measure again, or take it out", "the whole year follows it."
    if one.sort == LOG:
        return Finding(
            "Y003", "warning", "readings",
            f"Its litres are {about(one.factor)} times what is reckoned for their days.",
            f"{MUCH_LOGGED if one.factor > 1.0 else LITTLE_LOGGED} Put it right, or leave the log out: {follows}",
            log, None, TOP_OFF,
        )  # fmt: skip
    return Finding(
        "Y002", "warning", f"water: {one.of}",
        f"Its ruler says {about(one.factor)} times what is reckoned for its days.",
        f"{MUCH if one.factor > 1.0 else LITTLE} {measure}: {follows}",
        design.file, design.key_lines.get((one.of, RULED)), RULED,
    )  # fmt: skip


def _running(made: Year, design: Design, log: str | None) -> Iterator[Finding]:
    from dewpond.report.views.shown import shown_in

    found = made.calibration.running
    if found is not None:
        shown = shown_in(design.shown_in)
        first, last, rise = (shown.litres(volume, digits=3) for volume in (found.first, found.last, found.rise))
        yield Finding(
            "Y004", "warning", "readings",
            f"Its litres only ever rise, from {first} in line {found.lines[0]} to {last} in line {found.lines[1]}, by "
            f"some {rise} a day: that looks like the running total of a meter, not like what was put in. They are left "
            "out.",
            "Write in each line how much the total has risen since the line before.", log, found.lines[0], TOP_OFF,
        )  # fmt: skip


def _salinity(made: Year, design: Design, readings: Sequence[Reading], log: str | None) -> Iterator[Finding]:
    """Salinities that are none of any tank's: of each the first line, and all lines of it."""
    from dewpond.care.readings_days import stretches
    from dewpond.design.desk import listed
    from dewpond.report.views.shown import joined, shown_in
    from dewpond.study.year.drift import astray

    shown = shown_in(design.shown_in)
    far = astray(readings, [one.start for one in made.drifts])
    own = joined([f"the {shown.salinity(one.start)} of {one.tank}" for one in made.drifts])
    gravities = [one for one in far if GRAVITY[0] <= (one.salinity or 0.0) <= GRAVITY[1]]
    for those, is_gravity in ((gravities, True), ([one for one in far if one not in gravities], False)):
        if not those:
            continue
        lines = sorted(one.line for one in those)
        read = next(one.salinity or 0.0 for one in those if one.line == lines[0])
        got = f"{read:.3f} ppt" if is_gravity else shown.salinity(read)
        ask = (
            f"Is {read:.3f} a specific gravity? Then name the column `salinity (sg)`."
            if is_gravity
            else "Look for a slipped decimal sign, at the unit, and whether this was the tank's water."
        )
        yield Finding(
            "Y005", "warning", "readings",
            f"Its salinity {got} is far from {own}; it is left out in these lines: {listed(stretches(lines))}.",
            ask, log, lines[0], SALINITY,
        )  # fmt: skip
