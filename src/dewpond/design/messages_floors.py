"""The texts about plans of floors: D300 on. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error

FLOORS: Final = {
    "D300": error(
        "The plans of floors stand under the names of their rooms, each with keys of its own.",
        "For instance: {example}",
    ),
    "D301": error(
        'A plan is given for "{got}", and no place with a floor is called so.',
        "{near}Places that may have one: {known}.",
    ),
    "D302": error("The spots are names with where they stand, a line each.", "For instance: {example}"),
    "D303": error(
        '"{got}" shall stand on this floor, and no part is called so.',
        '{near}Write the name of a part, or "probe of ..." for the probe of a device that has its own.',
    ),
    "D304": error(
        "A reading says by what it was made and what it gave, in braces behind a hyphen.", "For instance: {example}"
    ),
    "D305": error('A reading by "{got}" is not known.', "{near}Known are: {known}."),
}

PLAN: Final = "floor of {place}"
READING: Final = "reading {number}, {where}"
NOTHING_YET: Final = "none in this file"
EXAMPLE_PLAN: Final = "study: {outline: [0 m x 0 m, 4.2 m x 3.5 m]}"
EXAMPLE_SPOTS: Final = "study probe: 0.3 m x 0.4 m"
EXAMPLE_READING: Final = "- {by: water tube, at: 1 m x 0.5 m, height: 12 mm}"
SCHEMA_FLOORS: Final = (
    "The floors of rooms seen from above: outlines, openings, what stands where, what was read of them."
)
SCHEMA_PLAN: Final = "One floor. Every spot is so far to the right x so far up, from one corner for the whole storey."
SCHEMA_SPOTS: Final = (
    "Where parts stand: a spot, two corners of what covers an area, or the corners of the way that a tube takes."
)
SCHEMA_READINGS: Final = "What was read of the floor, each reading with its accuracy."
SCHEMA_BY: Final = "What the reading was made with."
