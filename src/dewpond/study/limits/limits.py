"""All limits of a design, in winter and in summer."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import Final

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.physics.evaporation import SPREAD
from dewpond.physics.series import AT_95
from dewpond.plant.lower import lower
from dewpond.plant.plant import DAY, Plant
from dewpond.study.clocks import owner
from dewpond.study.counters import counters
from dewpond.study.filling import Fill, Looked, fill_of, look
from dewpond.study.full import full_level
from dewpond.study.limits import caps, counts, runs, stocks, vessels, windows
from dewpond.study.limits.basin import Basin, basins
from dewpond.study.limits.feeds import Feed, Marks, cushioned, feeds, high_marks
from dewpond.study.limits.model import (
    NO_NEED,
    SEASONS,
    SUMMER,
    WINTER,
    Asked,
    Entry,
    Limit,
    Need,
    Ruled,
)
from dewpond.study.lines import Line, a_day, clock_of, lines
from dewpond.study.year.model import Calibration

WAITS: Final = "waits after a restart"  # key of a box
OPEN_FOR: Final = "for"  # key of a clock
EVAPORATION: Final = "evaporation"  # key of a vessel: measured, not reckoned


@dataclass(frozen=True)
class Fed:
    """A pump or valve that the matrix starts, with its limits, and what it does to its water, by season."""

    feeds: Mapping[str, Feed]
    needs: Mapping[str, Need]
    wait: float
    beside: tuple[str, ...]  # others that bring water into the same body
    rules: tuple[Ruled, ...]

    @property
    def feed(self) -> Feed:
        """In winter."""
        return self.feeds[WINTER]


@dataclass(frozen=True)
class Held:
    """A vessel with the limits of what stands in it."""

    vessel: str
    rules: tuple[Ruled, ...]


@dataclass(frozen=True)
class Limits:
    """The whole answer.

    ratio  how many times as much would evaporate in winter as in summer, by the air of the rooms; 1 where nothing does
    fixed  tanks of which the file gives one figure for the whole year
    calibration  what rulers and a log made of the estimate; None: there is neither
    looked  the plant of each season, with its fills as they were looked at
    """

    design: Design
    asked: Asked
    fed: tuple[Fed, ...]
    held: tuple[Held, ...]
    ratio: float
    fixed: tuple[str, ...]
    calibration: Calibration | None = None
    looked: tuple[tuple[Plant, Looked], ...] = ()

    @property
    def rules(self) -> tuple[Ruled, ...]:
        """Every limit, in order."""
        rules = [*(one.rules for one in self.fed), *(one.rules for one in self.held)]
        return tuple(rule for own in rules for rule in own)

    @property
    def outside(self) -> tuple[Ruled, ...]:
        """Those whose value in the file lies outside its bounds."""
        return tuple(rule for rule in self.rules if rule.outside)


def limits(design: Design, asked: Asked = Asked(), calibration: Calibration | None = None) -> Limits:  # noqa: B008
    """The limits of a checked design. ``calibration``: what its year made of rulers and a log."""
    seen = {season: _Season(design, lower(design, season), asked, calibration) for season in SEASONS}
    fed = tuple(_fed(seen, k, asked) for k in range(len(seen[WINTER].feeds)))
    held = tuple(one for one in _held(seen, asked, fed) if one.rules)
    reckoned = _reckoned(design)
    looked = tuple((one.plant, one.looked) for one in seen.values())
    return Limits(design, asked, fed, held, _ratio(reckoned), _given(design), calibration, looked)


def _given(design: Design) -> tuple[str, ...]:
    """Tanks of which the file gives what evaporates."""
    return tuple(p.name for p in design.parts if p.values.get(EVAPORATION) is not None and _may_be_reckoned(p.kind))


def _may_be_reckoned(kind: str) -> bool:
    return any(param.key == EVAPORATION and param.default is None for param in KINDS[kind].params)


def _reckoned(design: Design) -> Design:
    """The design as if nobody had measured what evaporates."""
    parts = tuple(
        replace(p, values={**p.values, EVAPORATION: None}) if _may_be_reckoned(p.kind) else p for p in design.parts
    )
    return replace(design, parts=parts)


def _ratio(design: Design) -> float:
    """Reckoned evaporation of winter over that of summer, all tanks together."""
    lost = {s: sum(b.loses for b in basins(lower(design, s)) if b.tank) for s in SEASONS}
    return lost[WINTER] / lost[SUMMER] if lost[SUMMER] > 0.0 else 1.0


class _Season:
    """What one season shows: bodies of water, what is fed, and what each wants."""

    def __init__(self, design: Design, plant: Plant, asked: Asked, calibration: Calibration | None) -> None:
        self.design, self.plant, self.asked, self.calibration = design, plant, asked, calibration
        self.basins = basins(plant)
        self.feeds = feeds(design, plant, self.basins)
        self.given = set(_given(design))

    @cached_property
    def looked(self) -> Looked:
        return look(self.plant)

    @cached_property
    def fills(self) -> tuple[Fill, ...]:
        return tuple(fill_of(self.plant, self.looked, edge) for edge in self.looked.filled)

    @cached_property
    def lines(self) -> tuple[Line, ...]:
        return lines(self.plant)

    def gives(self, name: str) -> float:
        """What tanks under pressure give into a vessel, should its float stick [m3]."""
        store = self.plant.stores.index(name)
        return max(cushioned(self.plant, line.edges[store], store) for line in self.lines if store in line.edges)

    def need(self, basin: Basin, above: tuple[int, ...] = ()) -> Need:
        """What a body of water wants in a day: what it loses, and what is pumped out of it into others."""
        mean = basin.loses * DAY
        known = self.calibration if self.calibration is not None and self.calibration.evidence and basin.tank else None
        own = {self.plant.stores[store] for store in basin.stores}
        factor, spread = known.of(dict.fromkeys(own, 1.0)) if known is not None else (1.0, 0.0)
        gone = basin.evaporates * DAY * factor
        skimmed = mean - basin.evaporates * DAY
        if known is not None:
            mean, off = gone + skimmed, math.exp(AT_95 * spread)
            found = Need(mean, gone / off + skimmed, gone * off + skimmed, self.asked.varies * mean, True)
        elif own & self.given:
            deviation = self.asked.varies * mean
            found = Need(mean, max(mean - 2.0 * deviation, 0.0), mean + 2.0 * deviation, deviation, True)
        else:
            found = Need(mean, mean / SPREAD, mean * SPREAD, self.asked.varies * mean, mean <= 0.0)
        others = {
            f.basin.body: f.basin for f in self.feeds
            if f.source in basin.stores and f.basin.body not in (*above, basin.body)
        }  # fmt: skip
        for other in others.values():
            found = found + self.need(other, (*above, basin.body))
        return found

    def needs_of(self, feed: Feed) -> Need:
        """What all the water that a feed fills wants in a day."""
        every = {basin.body: basin for basin, _ in feed.fills}.values()
        return sum((self.need(basin) for basin in every), NO_NEED)

    def drawn(self, store: int) -> tuple[Feed, ...]:
        """What draws from a vessel: each part once."""
        return tuple({f.part: f for f in self.feeds if f.source == store}.values())

    def wants(self, store: int) -> Need:
        """What is wanted of a reservoir in a day."""
        found = NO_NEED
        for basin in {f.basin.body: f.basin for f in self.drawn(store)}.values():
            found = found + self.need(basin)
        return found


Seen = Mapping[str, _Season]


def _ruled(what: Callable[[_Season], Limit | None], seen: Seen) -> dict[str, Limit] | None:
    """A limit in every season; None where one of them has none."""
    found = {season: limit for season, one in seen.items() if (limit := what(one)) is not None}
    return found if len(found) == len(seen) else None


# -- what the matrix starts --------------------------------------------------------------------------------------------
def _fed(seen: Seen, number: int, asked: Asked) -> Fed:
    first = seen[WINTER].feeds[number]
    design = seen[WINTER].design
    matching = {s: _same(one.feeds, first) for s, one in seen.items()}
    needs = {s: one.needs_of(matching[s]) for s, one in seen.items()}
    busiest = max(needs.values(), key=lambda need: need.mean)
    box = design.part(first.box) if first.box else None
    wait = float((box.get(WAITS) if box is not None else 0.0) or 0.0)
    row = first.row

    def entry(key: str) -> Entry:
        return Entry(row.line, key, row.id)

    rules = list[Ruled]()

    def rule(found: Mapping[str, Limit | None], at: Entry | None, parts: tuple[str, ...] = ()) -> None:
        whole = {s: limit for s, limit in found.items() if limit is not None}
        if len(whole) == len(found):
            rules.append(Ruled(whole[WINTER].what, first.part, whole, at, parts))

    resting = runs.advised_rest(first, wait, busiest)
    stock = stocks.fills_a_stock(first)
    drawn = {s: one.drawn(matching[s].store) for s, one in seen.items()}
    lasts = {
        s: stocks.run_limit(f, needs[s]) if stock else runs.run_limit(f, needs[s], asked, resting)
        for s, f in matching.items()
    }
    if windows.timed(seen[WINTER].plant, first, seen[WINTER].lines) is None:  # else the window of its clock is its run
        rule(lasts, entry("at most"))
    cap = stocks.day_cap if stock else caps.day_cap
    rule({s: cap(f, needs[s], asked) for s, f in matching.items()}, entry("per day"))
    at_most = {s: row.at_most if row.at_most is not None else limit.advised or math.inf for s, limit in lasts.items()}
    gap = stocks.gap_limit if stock else runs.gap_limit
    rule({s: gap(f, needs[s], busiest, at_most[s]) for s, f in matching.items()}, entry("gap"))
    waits = Entry(_line(design, first.box, WAITS), WAITS, part=first.box) if box is not None else None
    rule({s: runs.wait_limit(f, needs[s], wait) for s, f in matching.items()}, waits, (first.box,))
    if first.low is not None:
        marks, sensor = _mark_entry(design, first.low.sensor), (first.low.sensor,)
        bands = {
            s: stocks.band_limit(f, needs[s], drawn[s]) if stock else vessels.band_limit(f, needs[s])
            for s, f in matching.items()
        }
        rule(bands, marks, sensor)
        calls = {
            s: stocks.call_limit(f, needs[s], drawn[s]) if stock else vessels.call_limit(f, needs[s], asked, resting)
            for s, f in matching.items()
        }
        rule(calls, marks, sensor)
    beside = {f.part for f in seen[WINTER].feeds if f.basin.body == first.basin.body} - {first.part}
    return Fed(matching, needs, wait, tuple(sorted(beside)), tuple(rules))


def _same(every: Iterable[Feed], first: Feed) -> Feed:
    """The same feed in another season; where nothing comes then, the first stands for it."""
    return next((f for f in every if (f.part, f.number) == (first.part, first.number)), first)


def _line(design: Design, part: str, key: str) -> int:
    return design.key_lines.get((part, key), design.lines.get(part, 0))


def _mark_entry(design: Design, sensor: str) -> Entry:
    view = design.part(sensor)
    key = next((k for k in ("calls at", "at") if view.get(k) is not None), "at")
    return Entry(_line(design, sensor, key), key, part=sensor)


# -- vessels -----------------------------------------------------------------------------------------------------------
def _held(seen: Seen, asked: Asked, fed: Sequence[Fed]) -> Iterator[Held]:
    plant = seen[WINTER].plant
    alone = [line for line in seen[WINTER].lines if len(_filled_by(seen, line, asked)) == 1]
    for store, name in enumerate(plant.stores[: plant.vessels]):
        own = [rule for line in alone if store in line.edges for rule in _window(seen, line, name, asked)]
        yield Held(name, (*_of_vessel(seen, store, name, asked, fed), *own))
    for line in seen[WINTER].lines:
        if line not in alone:
            name = clock_of(plant, line) or " + ".join(_filled_by(seen, line, asked))
            yield Held(name, tuple(_window(seen, line, name, asked)))
    for part in dict.fromkeys(counter.part for counter in counters(plant)):
        found = _ruled(partial(_count, part=part, asked=asked), seen)
        if found:
            yield Held(part, (Ruled("count", part, found, _count_entry(seen[WINTER], part, found)),))


def _count_entry(one: _Season, part: str, found: Mapping[str, Limit]) -> Entry:
    """The key that has the litres of a part that counts: the volume that its plant trips at."""
    own, has = one.design.part(part), next(iter(found.values())).has
    volumes = (param.key for param in KINDS[own.kind].params if param.takes == "volume")
    key = next(key for key in volumes if own.get(key) == has)
    return Entry(_line(one.design, part, key), key, part=part)


def _of_vessel(seen: Seen, store: int, name: str, asked: Asked, fed: Sequence[Fed]) -> Iterator[Ruled]:
    first = seen[WINTER]
    marks = [one for one in high_marks(first.design, first.plant) if one[0].store == store]
    into = [one for one in fed if store in [filled for _, filled in one.feed.fills]]
    for switch, _, _ in marks:
        found = _ruled(partial(_high, store=store, into=into, switch=switch), seen)
        if found:
            yield Ruled("high mark", name, found, _mark_entry(first.design, switch.sensor), (switch.sensor,))
    if into and not marks:
        found = _ruled(lambda one: _high(one, store, into, None), seen)
        if found:
            yield Ruled("high mark", name, found)
    for what, make in (
        ("freeboard", lambda one: _freeboard(one, store, into)),
        ("stock", lambda one: _stock(one, store, asked)),
        ("overflow", lambda one: vessels.overflow_limit(one.plant, store, [f for f in one.feeds if f.store == store])),
        ("fill", lambda one: _fill(seen, one, name)),
    ):
        found = _ruled(make, seen)
        if found:
            yield Ruled(what, name, found)


def _basin(one: _Season, store: int) -> Basin:
    return next(basin for basin in one.basins if store in basin.stores)


def _stands(one: _Season, store: int, into: Sequence[Fed]) -> float:
    """Where the water of a vessel usually is at most [m]."""
    marks = [fed.feed.low.upper for fed in into if fed.feed.low is not None and fed.feed.low.store == store]
    return max([full_level(one.plant, store), *marks])


def _high(one: _Season, store: int, into: Sequence[Fed], switch: Marks | None) -> Limit:
    return vessels.high_mark_limit(_basin(one, store), store, _stands(one, store, into), switch)


def _freeboard(one: _Season, store: int, into: Sequence[Fed]) -> Limit | None:
    basin = _basin(one, store)
    if not basin.circulation or store != basin.chamber:
        return None
    brings = max((_longest(fed, one.plant.season) for fed in into), default=0.0)
    return vessels.freeboard_limit(basin, _stands(one, store, into), brings)


def _longest(fed: Fed, season: str) -> float:
    """What the longest run brings, as the file limits it or else as advised [m3]."""
    limit = next((rule.seasons[season] for rule in fed.rules if rule.what == "run"), None)
    lasts = fed.feed.row.at_most or (limit.advised if limit is not None else None) or 0.0
    return lasts * fed.feeds[season].strong


def _stock(one: _Season, store: int, asked: Asked) -> Limit | None:
    drawn = one.drawn(store)
    if not drawn:
        return None
    refilled = any(fill.vessel == one.plant.stores[store] for fill in one.fills)
    refilled = refilled or any(feed.store == store for feed in one.feeds)
    return vessels.stock_limit(one.plant, store, drawn, one.wants(store), asked, refilled)


def _fill(seen: Seen, one: _Season, name: str) -> Limit | None:
    fill = next((f for f in one.fills if f.vessel == name), None)
    slow = [f.time for other in seen.values() for f in other.fills if f.vessel == name]
    return None if fill is None else vessels.fill_limit(one.plant, fill, max(slow), one.gives(name))


def _shares(one: _Season, line: Line, asked: Asked) -> tuple[windows.Share, ...]:
    needs = {store: one.wants(store) for store in line.edges}
    wanted = {s: caps.no_nuisance(n.mean, n.deviation, asked) if n.mean > 0.0 else 0.0 for s, n in needs.items()}
    return tuple(windows.shares(one.plant, line, one.fills, wanted))


def _filled_by(seen: Seen, line: Line, asked: Asked) -> tuple[str, ...]:
    """The vessels of a line for which something is wanted in a day."""
    return tuple(share.vessel for share in _shares(seen[WINTER], line, asked))


def _window(seen: Seen, line: Line, name: str, asked: Asked) -> Iterator[Ruled]:
    """How long a line may be open in a day: what its clock has, or a row that ends it before that."""
    first = seen[WINTER]
    has, entry = line.open_for(first.plant), None
    if line.clock is not None and first.plant.clocks[line.clock].every == DAY:  # else it is no value of the file
        part = owner(first.plant, line.clock)
        entry = Entry(_line(first.design, part, OPEN_FOR), OPEN_FOR, part=part)
    for feed in first.feeds:
        if line.clock is None or feed.row.at_most is None or windows.timed(first.plant, feed, [line]) is None:
            continue
        ends = a_day(first.plant, line.clock, feed.row.at_most)
        if has is not None and ends < has:
            has, entry = ends, Entry(feed.row.line, "at most", feed.row.id)
    found = _ruled(lambda one: windows.window_limit(_shares(one, line, asked), has), seen)
    if found:
        yield Ruled("window", name, found, entry)


def _count(one: _Season, part: str, asked: Asked) -> Limit | None:
    """After how many litres a part that counts may trip: of what the first line behind it takes."""
    plant = one.plant
    counter = next(counter for counter in counters(plant) if counter.part == part)
    marked = tuple(counts.by_marks(plant, counter, one.feeds, one.needs_of))
    if marked:
        return counts.count_limit(plant, counter, marked, None, asked)
    for line in one.lines:
        taken = tuple(counts.through_floats(plant, counter, line, one.looked, one.fills, one.wants))
        found = counts.count_limit(plant, counter, taken, line.times(plant), asked)
        if found is not None:
            return found
    return None
