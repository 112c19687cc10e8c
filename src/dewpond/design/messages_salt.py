"""The text about salt that is missing in new water: D272. See ``messages``."""

from __future__ import annotations

from typing import Final

from dewpond.design.texts import warning

SALT: Final = {
    "D272": warning(
        'Its new water comes from "{vessel}", which holds purified water: the salinity of "{tank}" falls from {was} to '
        "about {falls} in {days} days.",
        "Name the vessel in which salt water is mixed, and write of it that it `holds: salt water`, with its "
        "`salinity`; storage bins and reservoirs hold purified water.",
    ),
}
