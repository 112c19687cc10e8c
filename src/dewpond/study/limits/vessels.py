"""Marks in a vessel, the room above them, how much a reservoir may hold, and what its overflow must carry."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from dewpond.design.checks_levels import RIPPLES
from dewpond.design.checks_top_off import AMBER, UNSURE, WAVES
from dewpond.physics.statistics import run_out_probability, spread_of_sum, store_for_risk
from dewpond.plant import primitives as prim
from dewpond.plant.build import Patch
from dewpond.plant.plant import DAY, Plant
from dewpond.study.filling import Fill
from dewpond.study.full import full_level
from dewpond.study.limits.basin import Basin, forced, level, ordered_gates, rim, volume
from dewpond.study.limits.feeds import Feed, Marks, counted_edge, inlet
from dewpond.study.limits.model import (
    BAND,
    CALL,
    FILL,
    FREEBOARD,
    HIGH_MARK,
    OVERFLOW,
    STOCK,
    Asked,
    Bound,
    Limit,
    Need,
)
from dewpond.study.limits.runs import band, rest

LIKENESS: Final = 0.5  # of one day to the next; common practice, no source, 0 to 0.7
LOGGED: Final = 30  # days from which the mean counts as known [1]; our prior
RISK: Final = 0.01  # that a reservoir runs out in the days away [1]; our prior
SLACK: Final = (1.5, 2.0)  # of the slowest fill, for a timeout; common practice, no source
LOOKED_AT: Final = 300.0  # an inflow is steady after so long [s]


# -- marks -------------------------------------------------------------------------------------------------------------
def band_limit(feed: Feed, need: Need) -> Limit | None:
    """Between the mark that calls and the one that is satisfied."""
    if feed.low is None or need.mean <= 0.0:
        return None
    plant, store = feed.basin.plant, feed.low.store
    apart = feed.low.upper - feed.low.lower
    low = (Bound("ripples", RIPPLES), Bound("waves", WAVES, soft=True))
    room = min(feed.basin.spare(rest(feed)), feed.basin.fresh_for(AMBER))
    area = band(feed) / apart
    told = {"space": room, "area": area}
    high = (Bound("half of the room", 0.5 * max(room, 0.0) / area, told),) if room < math.inf else ()
    figures = {"band": band(feed), "runs": need.mean / band(feed), "between": band(feed) / (need.mean / DAY)}
    return Limit(BAND, low, high, apart, {**figures, "lower": feed.low.lower, "rim": rim(plant, store)})


def call_limit(feed: Feed, need: Need, asked: Asked, rests: float) -> Limit | None:
    """The mark at which a switch calls, above where the return pump draws air. ``rests``: after a restart [s]."""
    basin = feed.basin
    if basin.dry is None or feed.low is None or feed.low.store != basin.chamber or need.mean <= 0.0:
        return None
    plant, loses = basin.plant, need.high / DAY
    low = []
    held = volume(plant, basin.chamber, basin.dry)
    for code, without, soft in (("dry at a rest", rests, False), ("dry in a cut", asked.cut + rests, True)):
        told = {"dry": basin.dry, "loses": loses, "without": without, "lost": loses * without}
        low.append(Bound(code, level(plant, basin.chamber, held + loses * without), told, soft=soft))
    high = (
        Bound("ripples below", feed.low.upper - RIPPLES, {"upper": feed.low.upper}),
        Bound("waves below", feed.low.upper - WAVES, {"upper": feed.low.upper}, soft=True),
    )
    lasts = (volume(plant, basin.chamber, feed.low.lower) - held) / loses if loses > 0.0 else math.inf
    return Limit(CALL, tuple(low), high, feed.low.lower, {"lasts": max(lasts, 0.0), "dry": basin.dry})


def high_mark_limit(basin: Basin, store: int, stands: float, marks: Marks | None) -> Limit:
    """A mark that tells of high water, and stops what brings it. ``stands``: where the water usually is at most [m]."""
    plant = basin.plant
    told = {"stands": stands, "rim": rim(plant, store), "drains": 0.0}
    low = [Bound("above the water", stands + UNSURE, told)]
    high = Bound("below the rim", rim(plant, store), told)
    if store == basin.chamber and basin.circulation:
        told = {**told, "drains": basin.drains_down}
        risen = level(plant, store, volume(plant, store, stands) + basin.drains_down)
        low.append(Bound("above what drains down", risen, {**told, "risen": risen}, soft=True))
        high = Bound("room to drain down", basin.highest(), told)
    return Limit(HIGH_MARK, tuple(low), (high,), None if marks is None else marks.upper)


def freeboard_limit(basin: Basin, stands: float, brings: float) -> Limit:
    """From the water to the rim of a chamber into which a tank drains down. ``brings``: in the longest run [m3]."""
    plant, chamber = basin.plant, basin.chamber
    top = rim(plant, chamber)
    low = []
    for code, more, soft in (("drains down", 0.0, False), ("drains after a run", brings, True)):
        needs = top - level(plant, chamber, plant.arrays.store_rim[chamber] - basin.drains_down - more)
        low.append(Bound(code, needs, {"drains": basin.drains_down, "brings": more}, soft=soft))
    return Limit(FREEBOARD, tuple(low), (), top - stands, {"free": basin.free(stands), "spare": basin.spare(stands)})


# -- a reservoir -------------------------------------------------------------------------------------------------------
def usable(plant: Plant, store: int, drawn: Iterable[Feed]) -> float:
    """What pumps get out of a full reservoir [m3]."""
    inlets = [inlet(plant, counted_edge(plant, feed.part)) for feed in drawn]
    held = volume(plant, store, full_level(plant, store)) - volume(plant, store, min(inlets, default=0.0))
    return max(held, 0.0)


def stock_limit(
    plant: Plant, store: int, drawn: Sequence[Feed], need: Need, asked: Asked, refilled: bool
) -> Limit | None:
    """How much of a reservoir can be pumped: enough for the days away, and no more than harms nothing at once."""
    if need.mean <= 0.0:
        return None
    days = asked.away
    spread = spread_of_sum(days, need.deviation, LIKENESS, LOGGED)
    told = {"mean": need.mean, "high": need.high, "days": float(days), "spread": spread}
    wants = store_for_risk(need.mean * days, spread, RISK)
    harmless = []
    for feed in drawn:
        spare, fresh = feed.basin.spare(rest(feed)), feed.basin.fresh_for(asked.drop)
        told_of = {"spare": spare, "fresh": fresh, "drop": asked.drop, "drains": feed.basin.drains_down}
        code = "dumped salt" if fresh < spare else "dumped room"
        harmless.append(Bound(code, max(min(spare, fresh), 0.0), told_of, soft=True, by=feed.basin.name))
    has = usable(plant, store, drawn)
    figures = {
        "lasts": has / need.mean * DAY, "lasts least": has / need.high * DAY, "refilled": float(refilled),
        "runs out": run_out_probability(has, need.mean * days, spread),
    }  # fmt: skip
    low = (Bound("days away", wants, told, soft=True),)
    return Limit(STOCK, low, tuple(harmless), has, figures)


def overflow_of(plant: Plant, store: int) -> tuple[int, float] | None:
    """(edge, level of its crest above the bottom [m]) of a vessel's overflow to the outside; None without one."""
    a = plant.arrays
    for edge, law in enumerate(a.edge_law):
        one, other = a.edge_a[edge], a.edge_b[edge]
        if law == prim.WEIR and a.node_ref[one] == store and a.node_kind[other] == prim.AIR:
            return edge, a.node_z[other] - a.store_z[store]
    return None


def carries(plant: Plant, edge: int, head: float) -> float:
    """What an overflow carries with so much water over its crest [m] -> [m3/s]."""
    a, root = plant.arrays, math.sqrt(max(head, 0.0))
    return min(a.edge_p1[edge] * head * root, a.edge_p2[edge] * root) if head > 0.0 else 0.0


def head_for(plant: Plant, edge: int, flow: float) -> float:
    """Water over the crest at which an overflow carries a flow [m3/s] -> [m]."""
    a = plant.arrays
    return max(math.pow(flow / a.edge_p1[edge], 2.0 / 3.0), (flow / a.edge_p2[edge]) ** 2)


def wider_by(plant: Plant, edge: int, head: float, flow: float) -> float:
    """How many times the bore must be for an overflow to carry a flow at a head: its weir grows with the bore, its full
    pipe with the square of it."""
    a, root = plant.arrays, math.sqrt(head)
    return max(flow / (a.edge_p1[edge] * head * root), math.sqrt(flow / (a.edge_p2[edge] * root)))


def overflow_limit(plant: Plant, store: int, fed: Iterable[Feed]) -> Limit | None:
    """What the overflow of a vessel must carry: the worst that may come, not the usual. None without an overflow."""
    found = overflow_of(plant, store)
    if found is None:
        return None
    edge, crest = found
    worst, by = worst_inflow(plant, store, crest)
    for feed in fed:
        if feed.strong > worst:
            worst, by = feed.strong, feed.part
    if worst <= 0.0:
        return None
    head = rim(plant, store) - crest
    told = {"head": head, "stands": head_for(plant, edge, worst), "wider": wider_by(plant, edge, head, worst)}
    return Limit(OVERFLOW, (Bound("worst inflow", worst, told, by=by),), (), carries(plant, edge, head), told)


def worst_inflow(plant: Plant, store: int, at: float) -> tuple[float, str]:
    """(the most that comes into a vessel from the line that its float shuts [m3/s], the fault with which it does):
    all that should shut it open, the water at a level, and each fault of the line tried beside."""
    a = plant.arrays
    shut = {
        g for g, kind in enumerate(a.gate_kind)
        if kind == prim.G_LEVEL and a.gate_ref[g] == store and a.gate_b[g] > a.gate_a[g]
    }  # fmt: skip
    edges = {e for e, gate in enumerate(a.edge_gate) if gate in shut}
    line = {e for island in _islands(plant) if edges & set(island) for e in island}
    if not line:
        return 0.0, ""
    gates = {a.edge_gate[e] for e in line}
    nodes = {node for e in line for node in (a.edge_a[e], a.edge_b[e])}
    opened = tuple(("low", g, 1.0) for g in sorted(shut | (gates & set(ordered_gates(plant)))))
    held = list(a.store_start)
    held[store] = volume(plant, store, at)
    laid = replace(plant, arrays=a._replace(store_start=held))
    tried: list[tuple[tuple[Patch, ...], str]] = [((), "")]
    for fault in plant.faults:
        touches = [
            w for w, n, v in fault.patches
            if (w == "source" and n in nodes and v > 1.0) or (w == "scale" and n in line and v < 1.0)
        ]  # fmt: skip
        if touches:
            tried.append((fault.patches, fault.label))
    worst, by = 0.0, ""
    for patches, label in tried:
        trace = forced(laid, (*opened, *patches), LOOKED_AT)
        comes = sum(
            max(trace.flow[e], 0.0) for e in line
            if a.node_kind[a.edge_b[e]] in (prim.SPOUT, prim.TAP) and a.node_ref[a.edge_b[e]] == store
        )  # fmt: skip
        if comes > worst * (1.0 + 1e-6):
            worst, by = comes, label
    return worst, by


def _islands(plant: Plant) -> Iterator[list[int]]:
    a = plant.arrays
    for first, last in zip(a.isl_edge_at, a.isl_edge_at[1:], strict=False):
        yield list(a.isl_edge[first:last])


# -- filling it --------------------------------------------------------------------------------------------------------
def fill_limit(plant: Plant, fill: Fill, slowest: float, gives: float) -> Limit | None:
    """After how long a fill is ended that should be over: from the season in which it is ``slowest`` [s]. ``gives``:
    what tanks under pressure give of their own [m3]."""
    if not math.isfinite(slowest) or not math.isfinite(fill.time):
        return None
    store = plant.stores.index(fill.vessel)
    told = {"volume": fill.volume, "flow": fill.flow, "time": fill.time, "slowest": slowest}
    low = (Bound("a fill", fill.time, told), Bound("slow fill", SLACK[0] * slowest, told, soft=True))
    high = [Bound("twice a slow fill", SLACK[1] * slowest, told, soft=True)]
    if overflow_of(plant, store) is None:
        holds = max(volume(plant, store, rim(plant, store)) - volume(plant, store, 0.0) - gives, 0.0)
        high.append(Bound("rim of a fill", holds / fill.flow, {"holds": holds, "flow": fill.flow, "gives": gives}))
    return Limit(FILL, low, tuple(high), None, told)
