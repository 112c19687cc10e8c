"""Findings about salt that is not where it is meant to be: water that is replaced by purified water."""

from __future__ import annotations

import math
from typing import Final

from dewpond.design.checks_levels import Say, Shown
from dewpond.design.model import Design
from dewpond.design.scout import Scouted

FAR_BELOW: Final = 0.1  # of the tank's dissolved matter: less is no new water for it [1]; our prior, 0.05 to 0.3
BRACKISH: Final = 0.5  # less dissolved matter is fresh water, which nothing freshens [kg/m3]
DAYS: Final = 30  # after so many days its salinity is told [1]
A_DAY: Final = "a day"  # key of what takes water and brings new: how much


def check_salt(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """What takes water out of a tank and brings purified water in its stead. (A top-off takes none.)"""
    body = {name: spec.mixed_with or name for name, spec in found.vessels.items()}
    for part in design.parts:
        drawn = {v for v in found.vessels if part.name in found.draws.get(v, ())}
        filled = {v for v in found.vessels if part.name in found.fills.get(v, ())}
        for vessel in sorted(filled & drawn):
            together = [name for name in found.vessels if body[name] == body[vessel]]
            salty = max(together, key=lambda name: found.vessels[name].dissolved)
            holds = found.vessels[salty].dissolved
            new = [v for v in sorted(drawn) if body[v] != body[vessel]]
            for source in new if holds > BRACKISH else ():
                left = found.vessels[source].dissolved
                litres = sum(found.vessels[name].volume_at(found.vessels[name].start) for name in together)
                if left < FAR_BELOW * holds and part.get(A_DAY) and litres > 0.0:
                    was = float(design.part(salty).get("salinity") or 0.0)
                    falls = was * (left / holds + (1.0 - left / holds) * math.exp(-part[A_DAY] * DAYS / litres))
                    words = {"was": shown(was, "salinity"), "falls": shown(float(f"{falls:.2g}"), "salinity")}
                    say("D272", part.name, "from", vessel=source, tank=salty, days=DAYS, **words)
