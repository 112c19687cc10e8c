"""The texts of the checks on rows that never act, and on delays, votes and orders that cannot be meant: D215-D239. See
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
    "D220": warning(
        'The row waits for {lasting}, and "{work}" is over after {over}, as the file says: nothing rests meanwhile.',
        "Take `lasting` out: somebody has begun it on purpose, and there is nothing to wait for.",
    ),
    "D221": warning(
        "{box} carries the row out by wire, without a program, and other boxes ({wired}) have the wires of {sensors}: "
        "nothing tells {box} of it.",
        "Wire each sensor of the row to {box}, and write `wired to: {box}`; or let another box carry the row out.",
    ),
    "D223": note(
        "This row adds nothing: whenever it acts, {other} (line {other_line}) orders and tells the same already.",
        "Take one of the two out, or check which sensor or time was meant.",
    ),
    "D224": warning(
        "The row starts and opens nothing: here is nothing for {keys} to limit.",
        "Move that to the row that starts the part, or take it out.",
    ),
    "D225": warning(
        'The row starts or opens {parts}, and such an order stands only as long as its cause: "until" does nothing '
        "here.",
        "Take `until` out. To have a stop stand until somebody comes, write it into the row that stops, or below "
        "`when a run is too long`.",
    ),
    "D226": warning(
        'When a run is too long "{part}" shall be {word}, as before: that ends nothing.',
        "Write `effect: {stop}`.",
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
    "D229": warning(
        'No more than {most} a day can come so: {at_most} a run, and {rest} between two runs. Of "{vessel}" evaporate '
        "{lost} a day{whose}: it falls day by day.",
        "Shorten the pause, or let a run last longer, as far as the tank bears it.",
    ),
    "D230": note(
        '"{key}" is never reached: no more than {most} a day can come, whatever sticks.',
        "Write the most that evaporates in a day, and a quarter more; or take it out.",
    ),
    "D231": warning(
        "{per_day} are through after {after}, and the part then rests until midnight: a run hardly ever lasts "
        "{at_most}, and {acts} does not come.",
        "Let a run last less than that, about twice as long as an ordinary one; check the figures and their units.",
    ),
    "D232": warning(
        'The pump is made to rest for {rests} with the water in "{vessel}" at {height}. From there {litres} are left '
        "until the return pump draws air, after {latest} at the latest.",
        "Shorten it to well below that; check the figure and its unit.",
    ),
    "D233": warning(
        'It is missed after {missed} at the earliest, and "{vessel}", which its boxes keep filled, has run dry before: '
        "its return pump draws air {latest} after the last fill, at the latest.",
        "Let it come more often, so that somebody has the time to come.",
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
    "D236": warning(
        "{who} is told at once by its path, and again when nobody answers: then nobody new hears of it.",
        "Name somebody else for that, or take the line out.",
    ),
    "D237": warning(
        "Its path comes by {steps} twice: a way that leads back.",
        "Write each step once, in the order in which the message passes them.",
    ),
    "D238": note(
        "{box} works by wire, without a program: a plain relay lacks {what} for {keys}.",
        "Let a controller carry the row out; leave it, if this relay has one built in.",
    ),
    "D239": warning(
        'After too long a run "{part}" gets no order from this row until somebody re-arms it, but it still does from '
        "{others}: that holds off only what this row asks for.",
        "Join the causes in one row; or write a row that stops it and is re-armed by hand. Leave it, if the other may "
        "start it meanwhile.",
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
