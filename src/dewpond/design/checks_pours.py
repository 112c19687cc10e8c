"""Findings about pours that cannot both be true: of one probe, or of two puddles, poured at one spot."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from functools import partial
from typing import Final

from dewpond.design import messages_floors as m
from dewpond.design.checks_readings import SPREADS, sound, thickest, two
from dewpond.design.drawn import Drawn
from dewpond.design.geometry import TOUCH, depth, extent, meet, overlap, sides
from dewpond.design.plan import PROBE_OF, Area, Read, Spot

HAND: Final = 0.1  # spots no further apart are poured at alike, but for what lies between them [m]; our prior
# Factor, of one standard deviation, between what a probe or a puddle takes and what a keeper pours and draws [1]; our
# prior: unlike haste, a cup read by eye, an edge drawn by hand. On a floor that is still wet water goes three times as
# far and more: that is no pour alike.
REPEATS: Final = 1.3
MOST: Final = REPEATS ** (SPREADS * math.sqrt(2.0))  # times by which two pours alike do not differ [1]
ALIKE: Final = 1.0 / 3.0  # of a puddle that lies in a larger one, poured as near as HAND; our prior [1]
HEAD: Final = 0.1  # of a probe, by which its spot and a drawn edge may be off together [m]; our prior
LEAST: Final = 30e-6  # no probe takes less [m3]; our prior
Numbered = tuple[int, Read]
"""A reading with its number among those of its plan."""
Told = tuple[str, str, Mapping[str, str]]
"""A finding: its code, key and words."""


def check_pours(drawn: Drawn) -> None:
    """Each pour in itself, and against those before it; of several that contradict it the first is told."""
    every: list[Numbered] = [(number, one) for number, one in enumerate(drawn.plan.readings, 1) if one.by == "pour"]
    barred = list(_barred(drawn))
    wet = {n: extent(one["outline"]) for n, one in every if one.get("outline") is not None and sound(one["outline"])}
    for k, now in enumerate(every):
        if now[0] in wet:
            _in_puddle(now, drawn, barred)
        near = [one for one in every[:k] if math.dist(one[1]["at"], now[1]["at"]) <= HAND + TOUCH]
        way = partial(_other_way, wet=wet)
        for told, those in ((_felt, near), (partial(_covered, wet=wet), near), (way, near[-1:])):  # that one takes long
            for before in those:
                found = told(before, now, drawn)
                if found and not _parted(before[1]["at"], now[1]["at"], barred):
                    _tell(before, now, drawn, *found)
                    break


def _barred(drawn: Drawn) -> Iterator[tuple[Spot, Spot]]:
    """Edges across which a floor is another one: of walls, patches, plinths and trays."""
    plan, house = drawn.plan, drawn.house
    areas: list[Area] = [*plan.walls, *(patch.area for patch in plan.patches)]
    areas += [one.area for one in plan.furniture if one.plinth]
    areas += [drawn.footprint(name) for name in house.places_in(plan.place) & set(plan.spots)]
    for area in filter(None, areas):
        yield from sides(area)


def _parted(one: Spot, other: Spot, barred: list[tuple[Spot, Spot]]) -> bool:
    """Whether one of those edges lies between two spots."""
    return one != other and any(meet((one, other), side) for side in barred)


def _in_puddle(now: Numbered, drawn: Drawn, barred: list[tuple[Spot, Spot]]) -> None:
    """A probe on one spot against the puddle in which it lies, or does not."""
    number, read = now
    name, spots = str(read.get("probe")), drawn.plan.spots
    way = spots.get(f"{PROBE_OF}{name}") or spots.get(name) or ()
    if len(way) != 1:
        return
    deep, silent = depth(way[0], read["outline"]), read.get("after") is None
    apart = _parted(read["at"], way[0], barred)  # water lies around a tray, and not in it
    where = m.READING.format(number=number, where=drawn.where)
    words = {"name": name, "far": drawn.length(round(abs(deep), 2))}
    if silent and deep > HEAD and not apart:
        drawn.tell("D347", read.line, "probe", where, **words)
    elif not silent and deep < -HEAD:
        drawn.tell("D348", read.line, "outline", where, **words)


def _felt(before: Numbered, now: Numbered, drawn: Drawn) -> Told | None:
    """Where one has the probe act long after the other would have it, or not at all."""
    pair = (before[1], now[1])
    if pair[0].get("probe") is None or pair[0]["probe"] != pair[1].get("probe"):
        return None
    acted = [one["after"] for one in pair if one.get("after") is not None]
    if not acted or any(_until(one) > one["poured"] for one in pair):
        return None
    late = max(map(_until, pair))
    # The floor between the two spots gets wet as well: on a level one a disc that is wider by as much.
    spots = [one["at"] for one in pair]
    way = math.dist(*spots) * math.sqrt(math.pi * max(thickest(spot, drawn) for spot in spots))
    most = MOST * (math.sqrt(max(min(acted), LEAST)) + way) ** 2
    if late <= most:
        return None
    show = drawn.house.shown
    other, own = (
        m.ACTED.format(after=show(one["after"], "volume")) if one.get("after") is not None
        else m.KEPT_SILENT.format(poured=show(one["poured"], "volume"))
        for one in pair
    )  # fmt: skip
    words = {"probe": now[1]["probe"], "own": own, "other": other, "most": show(two(most), "volume")}
    return "D344", "probe", words


def _until(read: Read) -> float:
    """What had been poured when the probe acted, or in all if it did not [m3]."""
    after = read.get("after")
    return float(read["poured"] if after is None else after)


def _covered(before: Numbered, now: Numbered, drawn: Drawn, wet: Mapping[int, float]) -> Told | None:
    """Where more water covered far less floor. ``wet``: what it covered, by number of the reading [m2]."""
    if before[0] not in wet or now[0] not in wet:
        return None
    poured, areas = [one["poured"] for _, one in (before, now)], [wet[before[0]], wet[now[0]]]
    more = 1 if poured[1] >= poured[0] else 0
    if areas[more] * MOST >= areas[1 - more]:
        return None
    show = drawn.house.shown
    there, here = (
        m.COVERED.format(poured=show(much, "volume"), area=show(area, "area"))
        for much, area in zip(poured, areas, strict=True)
    )
    return "D345", "outline", {"own": here, "other": there}


def _other_way(before: Numbered, now: Numbered, drawn: Drawn, wet: Mapping[int, float]) -> Told | None:
    """Where two puddles hardly share any floor. ``wet``: see ``_covered``."""
    if before[0] not in wet or now[0] not in wet:
        return None
    less, more = sorted((before, now), key=lambda one: wet[one[0]])
    inside = overlap(less[1]["outline"], more[1]["outline"])
    if inside >= ALIKE or _covered(before, now, drawn, wet):
        return None
    show = drawn.house.shown
    poured = [show(one["poured"], "volume") for one in (now[1], before[1])]
    return "D360", "outline", {"own": poured[0], "other": poured[1]}


def _tell(before: Numbered, now: Numbered, drawn: Drawn, code: str, key: str, words: Mapping[str, str]) -> None:
    """Both readings, each with its line."""
    (number, one), (later, other) = before, now
    far = math.dist(one["at"], other["at"])
    apart = m.APART.format(far=drawn.length(far)) if far > 0.0 else m.AT_ONE_SPOT
    where = m.READING.format(number=later, where=drawn.where)
    drawn.tell(code, other.line, key, where, number=number, its_line=one.line, apart=apart, **words)
