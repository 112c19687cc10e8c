"""The texts about what a design file claims of its protections: D240-D244; and about words of messages that no part is
called: D245, D246; and what looks at no water: D247. See ``messages``.
"""

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
    "D245": error(
        '"{got}" shall watch for the sign of life, and {so}: nothing says when it would miss one.',
        "{near}Write `{outside}`, or the box or the network that watches for it; here: {known}.",
    ),
    "D246": warning(
        'The path names "{got}", and {so}: it is taken to work, whatever fails.',
        "If the message goes through it, describe it in the section controllers, as a network for instance; else take "
        "it out of the path.",
    ),
    "D247": error(
        'It looks at what comes out of "{part}", and nothing comes out of it there: no part comes after it.',
        "Name the part behind which it really sits, or the vessel that it hangs in.",
    ),
}

NO_PART: Final = "no part is called so"
OF_THE_KIND: Final = "that is of the kind {kind}, which passes no message on"
BOTH_GIVEN: Final = "both are given"
NONE_GIVEN: Final = "neither is given"
THESE_DO: Final = "Name one that does: {names}."
NONE_DOES: Final = "The file has none that does."
OR_A_ROW: Final = " Or add a row that orders it so while a probe is wet."
