"""The texts about what a design file claims of its protections: D240-D244. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, warning

CLAIMS: Final = {
    "D240": error(
        "The claims must be a list: a hyphen, then the keys of the claim in braces.", "For instance: {example}"
    ),
    "D241": error(
        "A claim speaks of the water from one part or of the water in one place, and here {got}.",
        "Write one of the two keys, for instance: {example}",
    ),
    "D242": warning(
        '"{part}" does not stop the water by itself: no row with a probe in its cause orders it {rests}, and it has no '
        "probe of its own.",
        "{known}",
    ),
    "D243": warning(
        "The claim speaks of {about}, and none of the supply's water can get out there, as the file has it.",
        "Name the part that the water comes out of, or the place that it comes to first, and look whether one is "
        "missing in the file.",
    ),
    "D244": error(
        "Two claims speak of {about}, {lines}: the one says that it is stopped by {first}, the other by {second}.",
        "Keep one of them, with all protections of which each stops that water by itself.",
    ),
}

BOTH_GIVEN: Final = "both are given"
NONE_GIVEN: Final = "neither is given"
THESE_DO: Final = "Name one that does: {names}."
NONE_DOES: Final = "The file has none that does."
OR_A_ROW: Final = " Or add a row that orders it so while a probe is wet."
