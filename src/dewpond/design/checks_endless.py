"""Findings about what goes on for ever, or never begins, though no part has failed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.design.checks_layers import upstream
from dewpond.design.checks_levels import Say
from dewpond.design.desk import listed
from dewpond.design.model import Design
from dewpond.design.scout import Scouted

ON: Final = "on"  # key of a shut-off that names its membrane


def check_endless(design: Design, found: Scouted, say: Say) -> None:
    """All of them."""
    for membrane in sorted(found.membranes):
        _waste(membrane, design, found, say)
    for pump, source, vessel in _between(found):
        if _circulates(source, found) and not _circulates(vessel, found):
            say("D170", pump, "from", source=source, vessel=vessel)
    if not found.hands and (found.membranes or found.ends):
        for name in found.people:
            if design.part(name).get("day"):
                say("D171", name)
                break


def _waste(membrane: str, design: Design, found: Scouted, say: Say) -> None:
    """A membrane whose waste runs on while the vessel behind it is full."""
    behind = {part.name for part in design.parts if membrane in set(upstream(part.name, found))}
    filled = sorted(vessel for vessel, fillers in found.fills.items() if fillers & behind)
    filled = filled or sorted(behind & found.vessels.keys())  # by hand
    if not filled:
        return
    shut_offs = [name for name in sorted(found.shut_offs) if design.part(name).get(ON) == membrane]
    ends = sorted({filler for vessel in filled for filler in found.fills[vessel] & behind})
    bare = [end for end in ends if not ({end, *upstream(end, found)} & behind & found.one_way)]
    for name in shut_offs if bare else ():
        say("D167", name, membrane=membrane)
    before = {membrane, *upstream(membrane, found)}
    looking = {mark.part for mark in found.marks if mark.vessel in filled and mark.part in found.states}
    by_level = any(
        part in before and any(term.part in looking for term in row.cause.terms)
        for row in design.rows
        for part, _ in row.effects
    )
    if not shut_offs and not by_level:
        say("D168", membrane, vessel=listed(filled))


def _between(found: Scouted) -> Iterator[tuple[str, str, str]]:
    """(pump, the vessel it draws from, the vessel it fills)."""
    for vessel, fillers in found.fills.items():
        for source, drawers in found.draws.items():
            for pump in sorted(fillers & drawers & found.orders.keys()):
                yield pump, source, vessel


def _circulates(vessel: str, found: Scouted) -> bool:
    """Whether a vessel shares its water with a tank, or is one."""
    spec = found.vessels[vessel]
    return spec.tank or any(other.tank and other.mixed_with == vessel for other in found.vessels.values())
