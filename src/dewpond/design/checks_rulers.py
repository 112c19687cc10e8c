"""Findings about a ruler in a vessel: what it says has to fit into the vessel, and to what evaporates behind it."""

from __future__ import annotations

from decimal import Decimal
from typing import Final

from dewpond.design.checks_levels import Say, Shown
from dewpond.design.desk import listed
from dewpond.design.model import Design
from dewpond.design.scout import Scouted
from dewpond.parts.vessels import RULER

FAR: Final = 3.0  # times what is reckoned in winter's air, from which a ruler is asked about; our prior
DAY: Final = 86400.0


def check_rulers(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    for part in design.parts:
        read = part.get(RULER.key)
        if read and part.name in found.vessels:
            _ruler(part.name, read["fell"], read["over"], found, say, shown)


def _ruler(vessel: str, fell: float, over: float, found: Scouted, say: Say, shown: Shown) -> None:
    """``fell`` [m] in ``over`` [s]."""
    spec, drawers = found.vessels[vessel], found.draws.get(vessel, set())
    inlets = [mark.height for mark in found.marks if mark.vessel == vessel and mark.part in drawers]
    most = spec.rim - min(inlets, default=0.0)
    if fell > most:
        words = {"fell": shown(fell, "height"), "most": shown(most, "height")}
        say("D290", vessel, RULER.key, **words)
        return
    tanks = _behind(vessel, drawers, found)
    reckoned = sum(found.evaporates.get(name, 0.0) for name in tanks)
    top = max(spec.start, fell)
    left = spec.volume_at(top) - spec.volume_at(top - fell)
    flow = left / over - found.evaporates.get(vessel, 0.0)
    if reckoned > 0.0 and flow > FAR * reckoned:
        named = [name for name in tanks if found.evaporates.get(name)]
        times = f"{Decimal(f'{flow / reckoned:.2g}'):f}"
        words = {"fell": shown(fell, "height"), "over": shown(over, "duration"), "times": times}
        words |= {"litres": _litres(left / over, shown), "reckoned": _litres(reckoned, shown)}
        say("D291", vessel, RULER.key, tanks=listed(named), **words)


def _behind(vessel: str, drawers: set[str], found: Scouted) -> list[str]:
    """The vessels that are topped up out of one, with those that circulate with them."""
    filled = {name for name, fillers in found.fills.items() if fillers & drawers and name in found.vessels}
    bodies = {found.vessels[name].mixed_with or name for name in filled} - {vessel}
    return [name for name, spec in found.vessels.items() if (spec.mixed_with or name) in bodies]


def _litres(flow: float, shown: Shown) -> str:
    """What a flow brings in a day, two digits."""
    return shown(float(f"{flow * DAY:.1e}"), "volume")
