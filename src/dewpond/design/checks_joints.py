"""How many parts have their water from one outlet of another: one, unless that one is made to part the water."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import NamedTuple

from dewpond.design import messages as m
from dewpond.design.desk import listed
from dewpond.design.model import Design
from dewpond.parts.base import Kind, PartView

Say = Callable[..., None]  # code, part, key, and the words of the text


class Follower(NamedTuple):
    """A part that has its water from another, and the key in which it says so."""

    part: str
    key: str


def check_joints(design: Design, kinds: Mapping[str, Kind], certain: Collection[str], say: Say) -> None:
    """More parts after one than it has outlets; and one alone after a part that is there to part the water.

    certain: parts of which nothing is unread that could come after them.
    """
    made = [word for word, kind in kinds.items() if any(port.follow != 1 for port in kind.ports)]
    split = m.MADE_FOR_IT.format(kinds=listed(made)) if made else ""
    for (name, port), own in followers(design, kinds).items():
        part = design.part(name)
        room, key = outlets(part, port, kinds)
        words = {"part": name, "has": m.ONE_OUTLET if room == 1 else m.OUTLETS.format(count=room)}
        count = m.COUNT_AGAIN.format(key=key) if key else ""
        for number in range(room, len(own)):
            before = listed(one.part for one in own[:number])
            same = [one.part for one in own[:number] if _fill_the_same(one.part, own[number].part, design)]
            more = (m.ONE_BEHIND.format(other=same[-1]) if same else "") + count
            say("D153", own[number].part, own[number].key, **words, names=before, split=split, count=more)
        for at in (q for q in kinds[part.kind].ports if q.name == port and q.alone in part.given):
            say("D199", name, at.alone, told=at.alone, taker=own[0].part, leads=own[0].key)
        if len(own) == 1 < room and name in certain:
            say("D154", name, None, **words, alone=own[0].part)


def _fill_the_same(one: str, other: str, design: Design) -> bool:
    """Whether two floats fill one vessel: they guard each other one behind the other, not side by side."""
    vessel = design.part(one).get("fills")
    return vessel is not None and vessel == design.part(other).get("fills")


def followers(design: Design, kinds: Mapping[str, Kind]) -> dict[tuple[str, str], list[Follower]]:
    """(part, port) -> all that have their water there, in the order of the file; parts that are there only."""
    found: dict[tuple[str, str], list[Follower]] = {}
    there = {part.name for part in design.parts}
    for part in design.parts:
        for param in kinds[part.kind].params:
            if param.joins and part.get(param.key) in there:
                found.setdefault((part[param.key], param.joins), []).append(Follower(part.name, param.key))
    return found


def outlets(part: PartView, port: str, kinds: Mapping[str, Kind]) -> tuple[int, str]:
    """How many parts may have their water from a port, and the key that says so, if one does."""
    own = next((one for one in kinds[part.kind].ports if one.name == port and one.carries == "water"), None)
    if own is None:
        return 0, ""
    return (int(part[own.follow]), own.follow) if isinstance(own.follow, str) else (own.follow, "")
