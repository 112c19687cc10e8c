"""What is told of each way of filling in any house: what it needs, and what can still go wrong with it."""

from __future__ import annotations

from typing import NamedTuple

from dewpond.study.ways.model import AT_HOME, BUTTON, CARRYING, FROM_MARK, NOT_AWAY, PERMANENT, WINDOW


class Said(NamedTuple):
    """What is told of a way in any house: parts that it needs, and what can still go wrong with it."""

    needs: str
    wrong: tuple[str, ...]


TOLD = {
    CARRYING: Said(
        "cans with lids, and a tap at the unit; nothing is plumbed to the reservoir",
        (
            ("A can that fills unwatched runs over at the unit, which goes on until somebody comes: stand beside "
             "it, or "
            "hang a float valve into the can."),
            "A round that is forgotten leaves the reservoir dry.",
            "A full can is heavy on stairs, and one that is dropped wets a floor once.",
        ),
    ),
    BUTTON: Said(
        "a button with a timer that ends by itself, and a valve in the feed that is shut without power",
        (
            "A valve that does not close (dirt, a relay stuck) makes it a permanent float.",
            "Pressed twice it gives twice as much: the timer must not begin anew while it runs.",
            "Nobody presses while everybody is away, or when it is forgotten: the reservoir runs dry.",
        ),
    ),
    WINDOW: Said(
        "a time switch, and a valve in the feed that is shut without power",
        (
            "With a float that stays open the same litres come again the next day, and on every day after it.",
            ("A clock that stops while it is on makes it a permanent float; one that loses the time in a power cut "
            "moves the window."),
            "A valve that does not close makes it a permanent float, too.",
        ),
    ),
    AT_HOME: Said(
        "a hand valve within reach, or a button with a timer; and the habit",
        (
            "Forgotten open it is a permanent float, asleep and out as well.",
            "Forgotten shut, the reservoir runs dry.",
            "A leak that begins while it is open is seen only where somebody looks.",
        ),
    ),
    NOT_AWAY: Said(
        "a hand valve that is easy to reach, and a reservoir that lasts a journey",
        (
            "On every ordinary day, at work and asleep, it is a permanent float.",
            "Forgotten open on a journey, nothing is gained by it.",
            ("A journey that takes longer than the reservoir lasts leaves the tank without top-off: nobody is "
             "told unless "
            "a low reservoir sends a message."),
        ),
    ),
    FROM_MARK: Said(
        "a switch at a low mark and one at a high mark, a valve in the feed that is shut without power, a longest "
        "time for "
        "a fill that ends it for good and tells somebody, and a float above them as the second stop",
        (
            "A high switch that stays dry fills on until the longest time is over.",
            "A longest time that a power cut clears begins anew with every cut.",
            "A low switch that stays dry leaves the reservoir empty: somebody has to be told.",
        ),
    ),
    PERMANENT: Said(
        "a float valve, and all that this program asks for: a valve that a probe shuts, an overflow, somebody who "
        "is told",
        (
            "A float that stays open, or a joint that gives, has water without end behind it.",
            ("It throttles near its mark: the unit starts again and again, and each start sends a slug of salt to "
            "the resin."),
            "Nobody looks into a reservoir that is always full: a leak from it does not show.",
        ),
    ),
}  # fmt: skip
