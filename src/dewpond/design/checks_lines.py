"""Findings about lines: what stands before a stretch that breaks, behind an end under water, and what it is made of."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Final

from dewpond.design import messages as m
from dewpond.design.checks_layers import Layer, behind, upstream
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_matrix import row_title
from dewpond.design.checks_unseen import onward
from dewpond.design.desk import Desk, listed
from dewpond.design.model import Design
from dewpond.design.scout import Scouted
from dewpond.design.ways import Way
from dewpond.parts.base import Kind, PartView
from dewpond.vocabulary import Word

BEARS: Final = "bears at most"  # key of a part under pressure
CLASS: Final = 8.27e5  # 120 psi, the class of push-in joints, filter bowls and small valves; from memory [Pa]
LIMIT: Final = 5.516e5  # 80 psi: above it US codes want a reducing valve (UPC 608.2, IRC 2021 P2903.3.1) [Pa]
WETTED: Final = "wetted parts"  # key of a valve
BRASS: Final = "brass"
WASTE_OF, ENDS_AT = "waste of", "ends at"  # keys of a waste line
HOUR: Final = 3600.0
MOST: Final = 40  # parts that are named in one finding
SPOONFUL: Final = 5e-6  # less runs back into a tube anyhow [m3]


def check_lines(
    design: Design, kinds: Mapping[str, Kind], found: Scouted, layers: Iterable[Layer], say: Say, shown: Shown
) -> None:
    """All of them. `layers`: the rows that shut a valve because a probe is wet."""
    shutting = {layer.valve.name: set(layer.places) for layer in layers}
    for layer in layers:
        shutting[layer.valve.name] |= layer.places
    for part in design.parts:
        own = part.get("probe")
        if isinstance(own, Mapping) and own.get("in") and found.follows.get(part.name):
            shutting.setdefault(part.name, set()).add(str(own["in"]))
        elif part.name in found.trips and found.follows.get(part.name):
            shutting.setdefault(part.name, set())
    _unguarded(found, {*shutting, *_meant(design, found)}, say, shown)
    _by_gravity(design, found, shutting, say, shown)
    for valve, places in shutting.items():
        _elsewhere(valve, places, design, found, say)
    for (filler, vessel), end in found.ends.items():
        _drawn_back(filler, vessel, end, design, found, say, shown)
    _pressure(design, kinds, found, say, shown)
    _reduced(design, found, say, shown)
    _overflows(design, found, say, shown)
    _too_short(design, found, say, shown)
    for part in design.parts:
        before = upstream(part.name, found) if part.get(WETTED) == BRASS else ()
        membrane = next((name for name in before if name in found.membranes), None)
        if membrane:
            said = WETTED in part.given
            say("D186", part.name, WETTED if said else None, membrane=membrane, made="" if said else m.USUALLY_BRASS)


def _meant(design: Design, found: Scouted) -> Iterator[str]:
    """Parts that a row with a probe in its cause orders something that cannot be: another finding says so."""
    for row in design.rows:
        asked = {term.part: term.word for term in row.cause.terms if Word.WET in found.states.get(term.part, ())}
        wrong = any(word not in found.states[part] for part, word in asked.items())
        for part, word in row.effects if asked else ():
            if wrong or word not in found.orders.get(part, ()):
                yield part


def _unguarded(found: Scouted, shutting: Collection[str], say: Say, shown: Shown) -> None:
    """What breaks before the first valve that shuts by itself. The stop tap has to stand somewhere."""
    guarded = {*shutting, *behind(shutting, found), *found.hands}
    worst: dict[str, float] = {}
    for site, flow in found.ways.gushes():
        if site.part not in guarded:
            worst[site.part] = max(flow, worst.get(site.part, 0.0))
    if worst:
        each = listed(
            (m.AN_HOUR.format(part=part, litres=shown(flow * HOUR, "volume")) for part, flow in worst.items()),
            MOST,
        )
        say("D181", next(iter(worst)), None, parts=each)


def _too_short(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """A waste line that is shorter than the difference in height that it must bridge."""
    for part in design.parts:
        membrane, drain = (design.part(part[key]) if part.get(key) else None for key in (WASTE_OF, "to"))
        if membrane is None or drain is None:
            continue
        start, end = (found.heights.get(str(at.get("in"))) for at in (membrane, drain))
        if start is None or end is None:
            continue
        apart = abs(end + part[ENDS_AT] - start - membrane["height"])
        if apart > part["length"]:
            words = {"length": shown(part["length"], "length"), "apart": shown(apart, "height")}
            say("D212", part.name, "length", membrane=membrane.name, **words)


def _by_gravity(design: Design, found: Scouted, shutting: Mapping[str, object], say: Say, shown: Shown) -> None:
    """A line that a vessel feeds, with no valve that shuts by itself between."""
    for vessel, spec in found.vessels.items():
        fed = behind([vessel], found)
        bare = [
            part.name
            for part in design.parts
            if part.get("through")
            and part.name in fed
            and not set(_between(part.name, vessel, found)) & shutting.keys()
        ]
        if bare:
            more = m.AND_WHAT_FILLS_IT if found.fills.get(vessel) else ""
            litres = shown(spec.volume_at(spec.start), "volume")
            say("D182", bare[0], None, parts=listed(bare), vessel=vessel, litres=litres, more=more)


def _between(part: str, vessel: str, found: Scouted) -> Iterator[str]:
    """A part, and those before it as far as the vessel that feeds it."""
    yield part
    for before in upstream(part, found):
        if before == vessel:
            return
        yield before


# -- a probe that its own water never comes to -------------------------------------------------------------------------
def _elsewhere(valve: str, places: set[str], design: Design, found: Scouted, say: Say) -> None:
    """A valve whose probes lie where no water from anything behind it can come."""
    reached: set[str] = set()
    for name in _behind(valve, found):
        spec = found.vessels.get(name)
        wets = {site.place for site in found.ways.sites if site.part == name} | ({spec.place} if spec else set())
        for place in wets:
            reached |= set(onward(place, design, found))
    if reached and places and not places & reached:
        say("D183", valve, None, places=listed(sorted(places)), reached=listed(sorted(reached)))


def _behind(part: str, found: Scouted) -> set[str]:
    """A part, and all that its water comes to, through vessels and pumps as well."""
    leads: dict[str, set[str]] = {}
    for name, before in found.follows.items():
        for one in before:
            leads.setdefault(one, set()).add(name)
    for vessel, fillers in found.fills.items():
        for filler in fillers:
            leads.setdefault(filler, set()).add(vessel)
    for vessel, drawers in found.draws.items():
        leads.setdefault(vessel, set()).update(drawers)
    seen, todo = {part}, [part]
    while todo:
        new = leads.get(todo.pop(), set()) - seen
        seen |= new
        todo += new
    return seen


# -- an end under water ------------------------------------------------------------------------------------------------
def _drawn_back(part: str, vessel: str, end: float, design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """What fills a vessel from under its water, with no check valve near: a leak in the line draws it back."""
    spec = found.vessels[vessel]
    water = spec.bottom + spec.start
    if end >= water or part in found.orders or not found.follows.get(part):
        return
    line = list(_loose(part, found))
    lowest = {
        name: min(heights)
        for name in line
        if (heights := [site.z for site in found.ways.sites if site.part == name and site.z < water])
    }
    others = sorted(
        {
            f"{other} ({into})"
            for (other, into), z in found.ends.items()
            if other != part and z < water and set(line) & set(_loose(other, found))
        }
    )
    if not lowest:
        return
    left = max(end, min(lowest.values())) - spec.bottom
    litres = spec.volume_at(spec.start) - spec.volume_at(max(left, 0.0))
    if litres > SPOONFUL:
        words = {"litres": shown(litres, "volume"), "parts": listed(sorted(lowest)), "vessel": vessel}
        also = m.RUNS_INTO.format(others=listed(others)) if others else ""
        key = "outlet" if "outlet" in design.part(part).given else None
        say("D184", part, key, also=also, **words)


def _loose(part: str, found: Scouted) -> Iterator[str]:
    """The parts before a part, the nearest first, as far as the first that lets no water back."""
    seen, todo = {part}, [part]
    while todo:
        for before in sorted(found.follows.get(todo.pop(0), ())):
            if before not in seen and before not in {*found.one_way, *found.breaks, *found.vessels}:
                seen.add(before)
                todo.append(before)
                yield before


def _overflows(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """An overflow that takes less, with the water at the rim, than the worst that what fills its vessel can bring."""
    ways = found.ways.ways()
    for vessel, (weir, full) in found.weirs.items():
        spec = found.vessels[vessel]
        crest = min((mark.height for mark in found.marks if mark.part == mark.vessel == vessel), default=None)
        if spec.tank or crest is None or crest >= spec.rim:
            continue
        head = spec.rim - crest
        takes = min(weir * head**1.5, full * head**0.5)
        worst = max(brought_into(vessel, ways, design, found), default=(0.0, ""))
        if worst[0] > takes:
            words = {"brings": shown(worst[0] * HOUR, "volume"), "takes": shown(takes * HOUR, "volume")}
            words["more"] = shown((worst[0] - takes) * HOUR, "volume")
            say("D198", vessel, "overflow", filler=worst[1], **words)


# -- what it is made for -----------------------------------------------------------------------------------------------
def _pressure(design: Design, kinds: Mapping[str, Kind], found: Scouted, say: Say, shown: Shown) -> None:
    """Parts that bear less than the highest pressure that stands at them: the supply's, with what regulators hold and
    pumps add. Behind a membrane only what a shut-off keeps low is left out."""
    ways, eased = found.ways, {str(design.part(name).get("on")) for name in found.shut_offs}
    highest: dict[str, float] = {}
    for node in ways.sources:
        for name in behind([ways.ports_of(node)], found):
            highest[name] = max(ways.most(node), highest.get(name, 0.0))
    reckoned = ways.standing()
    highest = {name: reckoned.get(name, most) for name, most in highest.items()}
    pumped = max(reckoned.values(), default=0.0) > max(map(ways.most, ways.sources), default=0.0)
    low = behind([*eased, *found.vessels], found)
    too_weak: dict[bool, list[tuple[str, float]]] = {}  # whether it was said -> the parts, and what they bear
    most = 0.0
    for part in design.parts:
        if part.name not in highest or part.name in low or not _has(part, kinds, BEARS):
            continue
        bears = part.get(BEARS) or CLASS
        if highest[part.name] > bears:
            most = max(most, highest[part.name])
            too_weak.setdefault(part.get(BEARS) is not None, []).append((part.name, bears))
    if too_weak:
        weak = [*too_weak.get(True, ()), *too_weak.get(False, ())]
        names = listed((f"{name} ({shown(bears, 'pressure')})" for name, bears in weak), len(weak))
        assumed = m.TAKEN_AS_USUAL.format(bears=shown(CLASS, "pressure")) if too_weak.get(False) else ""
        key = BEARS if too_weak.get(True) else None
        code = "D271" if pumped else "D185"
        say(code, weak[0][0], key, highest=shown(most, "pressure"), parts=names, assumed=assumed)


def _reduced(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """A supply above what codes let into a house, and parts that no regulator keeps below it: those before one that
    does are on its way."""
    usual = found.ways.standing(highest=False)
    held = {edge.part for edge in found.ways.edges if edge.held <= LIMIT}
    spared = held | {before for name in held for before in upstream(name, found)}
    for node, (gauge, _) in found.ways.sources.items():
        name = found.ways.ports_of(node)
        if not name or gauge <= LIMIT:
            continue
        bare = [part.name for part in design.parts if usual.get(part.name, 0.0) > LIMIT and part.name not in spared]
        if bare or not held:
            before = m.BEFORE_A_REGULATOR.format(parts=listed(bare, MOST)) if held else ""
            key = "pressure" if "pressure" in design.part(name).given else None
            say("D270", name, key, limit=shown(LIMIT, "pressure"), bare=before)


def _has(part: PartView, kinds: Mapping[str, Kind], key: str) -> bool:
    return any(param.key == key for param in kinds[part.kind].params)


# -- a run that fills a vessel -----------------------------------------------------------------------------------------
def check_fills(design: Design, winter: Scouted, desk: Desk, shown: Shown) -> None:
    """Rows that open a valve before a float for no longer than filling from mark to mark takes in winter."""
    ways = winter.ways.ways()
    for number, row in enumerate(design.rows, 1):
        opened = {part for part, word in row.effects if word == Word.OPEN}
        at_most = row.at_most or 0.0
        for term in row.cause.terms if at_most and opened else ():
            marks = [mark for mark in winter.marks if mark.part == term.part]
            if term.word != Word.LOW or not marks:
                continue
            vessel, low = marks[0].vessel, min(mark.height for mark in marks)
            spec = winter.vessels[vessel]
            full = max(mark.height for mark in marks) if len(marks) > 1 else spec.start
            for filler in sorted(winter.fills.get(vessel, ())):
                way: Way | None = ways.get(winter.ways.spouts[filler, vessel])
                if way is None or not opened & {edge.part for edge in way.edges}:
                    continue
                flow = way.flow(winter.ends[filler, vessel])
                litres = spec.volume_at(full) - spec.volume_at(low)
                if litres > at_most * flow > 0.0:
                    words = {
                        "hourly": shown(flow * HOUR, "volume"),
                        "litres": shown(litres, "volume"),
                        "vessel": vessel,
                    }
                    words |= {
                        "needs": shown(litres / flow, "duration"),
                        "at_most": shown(at_most, "duration"),
                    }
                    desk.add("D187", row_title(row, number), row.line, "at most", **words)


def brought_into(
    vessel: str, ways: Mapping[int | tuple[str, str], Way], design: Design, found: Scouted
) -> list[tuple[float, str]]:
    """(the most that it brings [m3/s], name) of all that fills a vessel: a line not shut, and at high pressure."""
    over = max(found.ways.highest.values(), default=1.0)
    brings = []
    for filler in sorted(found.fills.get(vessel, ())):
        way = ways.get(found.ways.spouts[filler, vessel])
        flow = way.flow(found.ends[filler, vessel], over=over) if way else design.part(filler).get("flow") or 0.0
        brings.append((flow, filler))
    return brings
