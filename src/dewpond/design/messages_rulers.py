"""The texts of the checks on rulers in vessels: D290, D291. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, warning

RULERS: Final = {
    "D290": error(
        "Its water fell {fell}, as the file says, and from its rim down to where nothing is drawn any more there are "
        "{most}.",
        "Write how far its water fell between two looks with the feed shut. Mind the unit: mm or cm.",
    ),
    "D291": warning(
        "{fell} in {over} are {litres} a day: {times} times the {reckoned} a day that evaporate from {tanks} in "
        "winter's air by surface, room and water, or by the file.",
        "Was the feed shut, did the top-off run a water change or a first filling, does water run out somewhere? Is "
        "the unit right, mm or cm? Measure again before you count on it.",
    ),
}
