"""The texts of the checks on rows that never act, and on delays, votes and orders that cannot be meant: D215-D238. See
``messages``.
"""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import note, warning

ROWS: Final = {
    "D215": warning(
        'This row never acts: no height of the water in "{vessel}" makes enough of this so at once: {terms}.',
        "Check the marks and the words. If either shall do alone, write a row for each.",
    ),
    "D216": note(
        'No height of the water in "{vessel}" makes enough of this so at once: {terms}. Only a switch that fails makes '
        "this row act.",
        "Leave it, if it shall find out switches that contradict each other; else correct the cause or the marks.",
    ),
    "D217": warning(
        "The cause always holds, whatever happens: {message} is sent once, at the beginning, and tells nothing.",
        "Take out the states of which one always is.",
    ),
    "D218": warning(
        'It tells of low water at {height}, and the water in "{vessel}" stands at {stands} while all is well: it '
        "reports low water all the time.",
        "Measure both from the bottom of the vessel, and set the mark below where the water stands.",
    ),
    "D219": note(
        'The overflow of "{vessel}" runs from {runs} on, and with the water at this mark, {height}, it takes {takes} '
        "an hour; no more than {brings} come. The water gets to this mark only when the overflow is blocked.",
        "Set the mark below the overflow, if it shall see that the vessel is too full; leave it, if it shall see that "
        "the overflow is blocked.",
    ),
    "D223": note(
        "This row adds nothing: whenever it acts, {other} (line {other_line}) orders and tells the same already.",
        "Take one of the two out, or check which sensor or time was meant.",
    ),
    "D227": note(
        "The cause wants {need} of {count}, and that is the same as {same}. {means}",
        'Write it so, with "{joint}" between the conditions, or correct the number.',
    ),
    "D228": warning(
        "The cause wants {need} at once, and no water reaches so many of these places: {places}. A leak in one of them "
        "makes the row do nothing.",
        'Join the probes with "or"; to keep a false report from stopping anything, lay two in the same place.',
    ),
    "D234": warning(
        'The row holds "{part}" {word} while "{vessel}" is low, and nothing else fills that: it stays low, and so the '
        "row never ends.",
        "Check which vessel is meant. If this is to stop a leak, write `until: re-armed by hand`, and tell somebody.",
    ),
    "D235": warning(
        'It stops "{part}" at {height}, and the row that runs it lets it rest only at {rest}: the stop comes first, '
        "time and again, and the start is given anew as soon as it ends.",
        "Set the mark for high water above that at which an ordinary run ends, or check both heights.",
    ),
}

LOW_SO: Final = '"{part}" is {word} only below {height}'
HIGH_SO: Final = '"{part}" is {word} only above {height}'
THE_MESSAGE: Final = 'the message "{name}"'
ONLY_SO_MANY: Final = "of the {count} at most {most} can be so at once, for each part is in one state at a time"
AND_TO_ALL: Final = "One of them that is dead, and the row never acts."
ANY_DOES: Final = "One of them that reports falsely, and the row acts."
AS_WRITTEN: Final = ", as the file says"
AT_LEAST_SO: Final = " at least, even covered and in damp air"
ITS_MESSAGE: Final = 'what is said below "when a run is too long"'
ITS_END: Final = "this limit"
A_CLOCK: Final = "a clock"
A_MEMORY: Final = "a memory"
A_COUNTER: Final = "a counter"
