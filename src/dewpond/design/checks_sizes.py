"""Findings about leads that lose too much on their way, and about tubes and leads that do not reach."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.cables import GUIDES, METRIC, TOLERANCE, Lead, leads
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.desk import listed
from dewpond.design.handy import at_most, system_of
from dewpond.design.model import Design
from dewpond.design.reach import tubes
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind
from dewpond.parts.cables import CABLE, COIL, MOTOR

CEILING: Final = 2.5  # a box hangs no higher in its room; our prior, 2.2 to 3 [m]
OFF: Final = 0.1  # two voltages that differ by more are not the same [1]


def check_sizes(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    for lead in leads(design, kinds):
        key = COIL if lead.coil else MOTOR
        if lead.share > TOLERANCE and lead.drawn_told:
            say("D260", lead.part, CABLE.key, **_lost(lead, design, shown))
        if lead.drawn_told and lead.gives is not None and abs(lead.gives - lead.voltage) > OFF * lead.voltage:
            words = {"voltage": shown(lead.voltage, "voltage"), "gives": shown(lead.gives, "voltage")}
            say("D264", lead.part, key, supply=_supply(design, lead.part), **words)
        _apart(lead, design, found, say, shown)
    for tube in (one for one in tubes(design, found, kinds) if one.told):
        words = {"length": shown(tube.length, "length"), "rise": shown(tube.rise, "length")}
        if tube.too_short:
            say("D261", tube.part, tube.key, **words)
        elif tube.tight:
            crossing = shown(tube.crossing, "length")
            say("D262", tube.part, tube.key, rooms=listed(tube.crossed), crossing=crossing, **words)


def _lost(lead: Lead, design: Design, shown: Shown) -> dict[str, str]:
    guides = METRIC if lead.gauge in METRIC else GUIDES
    longest = {gauge: at_most(lead.longest(gauge, TOLERANCE), "length", system_of(design)) for gauge in guides}
    told = listed(
        f"{gauge}: at most {text}" for gauge, (metres, text) in longest.items() if metres > (lead.length or 0.0)
    )
    return {
        "voltage": shown(lead.voltage, "voltage"),
        "drop": shown(lead.drop, "voltage"),
        "length": shown(lead.length or 0.0, "length"),
        "gauge": lead.gauge or "",
        "current": shown(lead.current, "current"),
        "share": f"{100.0 * lead.share:.2g}",
        "longest": f" ({told})" if told else "",
    }


def _supply(design: Design, part: str) -> str:
    view = design.part(part)
    driver = view.get("driven by")
    return str(view.get("power") or (design.part(driver).get("power") if driver else ""))


def _apart(lead: Lead, design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """A lead that cannot bridge the height between a part and the room of its box."""
    view = design.part(lead.part)
    box = str(view.get("driven by") or "")
    if not box:
        return
    own, floor = found.heights.get(str(view.get("in"))), found.heights.get(str(design.part(box).get("in")))
    if lead.length is None or own is None or floor is None:
        return
    at = own + float(view.get("height") or 0.0)
    apart = max(floor - at, at - floor - CEILING)
    if apart > lead.length:
        words = {"length": shown(lead.length, "length"), "apart": shown(apart, "height")}
        say("D263", lead.part, CABLE.key, box=box, **words)
