"""The texts of the checks on parts that no box drives: D280-D283. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import error, warning

UNDRIVEN: Final = {
    "D280": warning(
        "Nothing drives it, nothing stands in its lead, and nothing switches what feeds it: it is {acting} as long as "
        "it has power, day and night.",
        "Plug it into a timer: `timer: {{kind: time switch, ...}}` in the section power, and `power: timer` here. Or "
        "name what switches it: `driven by: ...`, with a relay that a level switch is wired to, or a controller.",
    ),
    "D281": error(
        'Nothing carries out what this row orders of "{part}": no box drives that part, and the row does not say by '
        "which.",
        'Write `driven by: {box}` at "{part}"; or `by: {box}` in the row, where that stands in its lead behind '
        "a timer.",
    ),
    "D282": error(
        'Its orders pass "{through}", and nothing gives it any: "driven by" is left out.',
        "Name what switches that socket in `driven by`; or take `through` out, and name in `power` what it is plugged "
        "into.",
    ),
    "D283": warning(
        "Nothing drives it, and without power it {stays}: once open, it stays open, whatever switches its power.",
        "On a timer take a valve that is shut without power; or let a controller drive it: `driven by: ...`.",
    ),
}
