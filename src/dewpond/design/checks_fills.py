"""Findings about what fills a vessel: floats side by side or at one mark, a line that ends elsewhere than its float or
its vacuum break looks, and a water change that the vessel cannot hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dewpond.design.checks_layers import behind, upstream
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.desk import listed
from dewpond.design.model import Design
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView

FILLS: Final = "fills"  # key of what a vessel's water shuts
INTO: Final = "into"  # key of an end over a vessel
HOLDS_BACK: Final = "holds back"  # key of what keeps a vessel's water from being drawn back
OF, LITRES, SALINITY = "of", "litres", "salinity"  # keys of a water change
APART: Final = 5e-3  # two floats shut so near to each other that nobody sees which of them does; our prior [m]
UNLIKE: Final = 5.0  # so far from the tank's salinity new water is asked about [g/kg]; our prior, 2 to 10
MOST_CHANGED: Final = 0.8  # share of a vessel's water from which a change is asked about; our prior


def check_filling(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """All of them."""
    floats: dict[str, list[str]] = {}
    for part in design.parts:
        if part.get(FILLS) and kinds[part.kind].section == "water":
            floats.setdefault(str(part[FILLS]), []).append(part.name)
            _ends_elsewhere(part.name, str(part[FILLS]), design, found, say)
        if part.get(OF) and part.get(LITRES) and kinds[part.kind].role == "work":
            _changed(part.name, str(part[OF]), float(part[LITRES]), found, say, shown)
            _unlike(part, design, found, say, shown)
        if part.get(HOLDS_BACK):
            _holds_another(part.name, str(part[HOLDS_BACK]), found, say)
    for vessel, names in floats.items():
        alone = [name for name in names if not set(names) & {*upstream(name, found), *behind([name], found)}]
        if len(alone) > 1:
            say("D206", alone[-1], None, others=listed(alone[:-1]), vessel=vessel)
        _at_one_mark(vessel, names, found, say, shown)


def _at_one_mark(vessel: str, names: list[str], found: Scouted, say: Say, shown: Shown) -> None:
    """Two floats one after the other that shut at the same height."""
    shut: dict[str, float] = {}
    for mark in found.marks:
        if mark.part in names and mark.vessel == vessel and mark.key:
            shut[mark.part] = max(mark.height, shut.get(mark.part, mark.height))
    for name in names:
        for other in upstream(name, found):
            if name in shut and other in shut and abs(shut[name] - shut[other]) < APART:
                say("D210", name, None, other=other, apart=shown(abs(shut[name] - shut[other]), "height"))


def _holds_another(name: str, vessel: str, found: Scouted, say: Say) -> None:
    """A vacuum break that names another vessel than the one its line leads into."""
    line = {name, *behind([name], found)}
    into = sorted(other for other, fillers in found.fills.items() if line & set(fillers))
    if into and vessel not in into:
        say("D211", name, HOLDS_BACK, vessel=vessel, into=listed(into))


def _ends_elsewhere(name: str, vessel: str, design: Design, found: Scouted, say: Say) -> None:
    """A float whose own water goes on to another vessel than the one that shuts it."""
    for other in sorted(behind([name], found)):
        part = design.part(other)
        into = part.get(INTO) or part.get(FILLS)
        if into and into != vessel:
            say("D207", name, FILLS, vessel=vessel, other=other, into=into)
            return


def _changed(name: str, vessel: str, litres: float, found: Scouted, say: Say, shown: Shown) -> None:
    """A change of more water than can be taken out, or of water that is no tank's."""
    spec = found.vessels.get(vessel)
    if spec is None:
        return
    holds = spec.volume_at(spec.start)
    if litres > MOST_CHANGED * holds:
        words = {"litres": shown(litres, "volume"), "holds": shown(holds, "volume")}
        say("D208", name, LITRES, vessel=vessel, **words)
    elif not (spec.tank or any(other.mixed_with == vessel for other in found.vessels.values()) or spec.mixed_with):
        say("D209", name, OF, vessel=vessel)


def _unlike(part: PartView, design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """A change with water of another salinity than that of the tank."""
    vessel, new = str(part[OF]), part.get(SALINITY)
    spec = found.vessels.get(vessel)
    if spec is None or new is None:
        return
    together = [vessel, str(spec.mixed_with), *(n for n, other in found.vessels.items() if other.mixed_with == vessel)]
    for name in together:
        old = design.part(name).get(SALINITY) if name in found.vessels and found.vessels[name].tank else None
        if old is not None and abs(new - old) > UNLIKE:
            words = {"new": shown(new, "salinity"), "old": shown(old, "salinity")}
            say("D214", part.name, SALINITY, tank=name, **words)
