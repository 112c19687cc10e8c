"""Kinds of the water's way that are put into a grown random house: in its feed, behind its membrane, at a tank."""

from __future__ import annotations

import random

from dewpond.parts import KINDS
from tests.plant.further_house import House


def _tenths(rng: random.Random, low: int, high: int, unit: str) -> str:
    """A figure with one decimal, drawn between so many tenths."""
    return f"{rng.randrange(low, high) / 10} {unit}"


# -- in the feed -------------------------------------------------------------------------------------------------------
def regulator(house: House, rng: random.Random) -> None:
    falls = f"{_tenths(rng, 1, 8, 'bar')} at {rng.randrange(1, 4)} L/min" if rng.random() < 0.5 else None
    house.before(
        rng, rng.choice(house.feed), "regulator", "pressure regulator", set_to=_tenths(rng, 15, 45, "bar"),
        rises_at_rest_by=_tenths(rng, 0, 8, "bar") if rng.random() < 0.5 else None, falls_under_flow=falls,
    )  # fmt: skip


def gauge(house: House, rng: random.Random) -> None:
    reads = f"{{while filling: {_tenths(rng, 15, 40, 'bar')}, at rest: {_tenths(rng, 20, 55, 'bar')}}}"
    line = house.feed if rng.random() < 0.7 or not house.product else house.product
    house.before(
        rng, rng.choice(line), "gauge", "pressure gauge", reads=reads if rng.random() < 0.5 else None,
        read_on="2026-04-11" if rng.random() < 0.5 else None,
    )  # fmt: skip


def softener(house: House, rng: random.Random) -> None:
    own = rng.random() < 0.5
    house.before(
        rng, rng.choice(house.feed), "softener", "softener", resin=f"{rng.randrange(4, 25)} L",
        regenerates_every=rng.choice(("12 h", "20 h", "2 d", "7 d")),
        regeneration_lasts=f"{rng.randrange(20, 90)} min", water_for_it=f"{rng.randrange(20, 150)} L",
        rinse_water_to=rng.choice([*house.drains, *house.drains, house.rooms[0], None]),
        power=house.circuit(rng) if own else None,
    )  # fmt: skip


def limiter(house: House, rng: random.Random) -> None:
    house.before(
        rng, rng.choice(house.feed), "litre stop", "volume limiter",
        lets_through_at_most=f"{rng.choice((8, 20, 60, 150))} L",
        draw_ends_after=rng.choice(("20 s", "5 min")) if rng.random() < 0.4 else None,
        works_by=rng.choice(("a spring", "cells")),
    )  # fmt: skip


def booster(house: House, rng: random.Random) -> None:
    """Before the membrane, or in a weak feed without one; its high switch stands behind the membrane."""
    feed = house.feed[-1]
    behind = [house.membranes[0]] if house.membranes and feed in house.membranes else []
    behind += [name for name in house.product[:-1] if house.draft.parts[name].kind == "check valve"]
    high = None
    if behind and rng.random() < 0.8:
        high = f"{{after: {rng.choice(behind)}, stops at: {_tenths(rng, 24, 32, 'bar')}}}"
    house.before(
        rng, feed, "booster", "booster pump", adds=f"{_tenths(rng, 15, 40, 'bar')} at 1 L/min",
        gives_at_most=_tenths(rng, 15, 24, "L/min"), high_switch=high, power=house.circuit(rng),
        low_switch="none" if rng.random() < 0.2 else None,
        waits_before_it_starts=rng.choice(("0 s", "20 s")) if rng.random() < 0.4 else None,
    )  # fmt: skip


def meter(house: House, rng: random.Random) -> None:
    """A flow meter in the feed or behind the membrane, and a row that asks how much, or for how long."""
    line = house.feed if rng.random() < 0.6 or not house.product else house.product
    much = f"{rng.choice((5, 30, 120))} L" if rng.random() < 0.6 else None
    name = house.before(
        rng, rng.choice(line), "meter", "flow meter", wired_to=house.box(rng), too_much_above=much,
        counted_since=rng.choice(("midnight", "put back by hand")) if much else None,
        least_flow=rng.choice(("0.02 L/min", "0.2 L/min")) if rng.random() < 0.5 else None,
    )  # fmt: skip
    if much:
        house.stops(rng, f"{name} too much", ("cause ends", "re-armed by hand"))
    else:
        house.stops(rng, f"{name} running", lasting=rng.choice(("20 min", "3 h")))


# -- behind the membrane -----------------------------------------------------------------------------------------------
def bladder(house: House, rng: random.Random) -> None:
    if not house.product:
        return
    house.before(
        rng, rng.choice(house.product), "pressure tank", "bladder tank", volume=f"{rng.randrange(4, 25)} L",
        precharge=_tenths(rng, 4, 9, "bar") if rng.random() < 0.5 else None,
        stands_at=_tenths(rng, 10, 25, "bar") if rng.random() < 0.5 else None,
    )  # fmt: skip


def flush(house: House, rng: random.Random) -> None:
    """By a clock of its own, or by that of a box."""
    if not house.membranes:
        return
    by_box = rng.random() < 0.4
    name = house.put(
        "water", "flush", "auto flush", on=house.membranes[0], lasts=f"{rng.randrange(10, 60)} s",
        every=None if by_box else rng.choice(("45 min", "2 h", "6 h")), driven_by=house.box(rng) if by_box else None,
        power=house.circuit(rng) if rng.random() < 0.5 else None,
    )  # fmt: skip
    if by_box:
        window = house.put(
            "sensors", "flush hour", "time window", by_the_clock_of=house.draft.parts[name].keys["driven by"],
            on_from=f"{rng.randrange(24):02}:15", **{"for": f"{rng.randrange(2, 30)} min"},
            its_time_in_a_power_cut=rng.choice(("kept", "lost")),
        )  # fmt: skip
        house.row(f"{window} due", f"{{{name}: open}}")


# -- at vessels and tanks ----------------------------------------------------------------------------------------------
def transfer(house: House, rng: random.Random) -> None:
    """From a bin or reservoir into another vessel: by hand, or by a mark there and a box."""
    ends = [*house.vessels, *house.buckets]
    if len(ends) < 2:
        return
    source = rng.choice(house.of("storage bin") or house.vessels)
    to = rng.choice([name for name in ends if name != source])
    by_box = to in house.vessels and rng.random() < 0.5
    box = house.box(rng) if by_box else None
    pump = house.put(
        "water", "mover", "transfer pump", **{"from": source}, to=to, flow=f"{rng.randrange(20, 90) * 10} L/h",
        outlet=f"{rng.randrange(1000, 2000, 10)} mm above floor", lifts_at_most=f"{rng.randrange(7, 10)} m",
        hose_bore=f"{rng.randrange(10, 20)} mm", driven_by=box, power=house.circuit(rng),
        vent_hole_above_the_water="present" if rng.random() < 0.3 else None,
    )  # fmt: skip
    if box:
        low = rng.randrange(60, 120, 5)
        mark = house.put(
            "sensors", "stock call", "level switch", **{"in": to}, calls_at=f"{low} mm",
            is_satisfied_at=f"{low + rng.randrange(15, 60, 5)} mm", wired_to=box, contact="closes when low",
            read_as_low_when="closed",
        )  # fmt: skip
        house.row(f"{mark} low", f"{{{pump}: running}}", at_most=f"{rng.randrange(2, 15)} min a run", gap="10 min")


def stirrer(house: House, rng: random.Random) -> None:
    if not house.pumps:
        return
    pump = rng.choice(house.pumps)
    limit = {"harmful_above": f"{rng.randrange(5, 40) / 10} L/day"} if rng.random() < 0.5 else {}
    if limit and rng.random() < 0.5:
        limit["harmful_in_one_run"] = f"{rng.randrange(100, 400, 10)} mL"
    place = rng.choice([*house.rooms, *house.trays])
    house.put("water", "stirrer", "dosing vessel", on=pump, **{"in": place}, holds="lime water", **limit)


def clips(house: House, rng: random.Random) -> None:
    """On some of the parts that have tube ends."""
    ended = [
        name
        for name in house.names
        if any(p.key == "tube ends" for p in KINDS[house.draft.parts[name].kind].params)
    ]  # fmt: skip
    on = rng.sample(ended, min(len(ended), rng.randrange(1, 6)))
    house.put(
        "water", "clips", "tube clips", on=f"[{', '.join(on)}]", sort=rng.choice(("collet locks", "pipe clips")),
        ends=rng.randrange(1, 20) if rng.random() < 0.4 else None,
    )  # fmt: skip


def pair(house: House, rng: random.Random) -> None:
    """New salt water out of a bucket of its own, filled over a tee, into a sump or a tank that is topped off."""
    tanks = [*house.sumps, *(name for name in house.of("display tank") if "in" in house.draft.parts[name].keys)]
    if not tanks:
        return
    tee = house.before(rng, (house.product or house.feed)[-1], "salt tee", "tee")
    rim = rng.randrange(400, 700, 5)
    bucket = house.put(
        "water", "salt bucket", "mixing vessel", after=tee, **{"in": house.rooms[0]}, rim=f"{rim} mm",
        footprint=f"{rng.randrange(300, 500, 5)} mm x {rng.randrange(300, 450, 5)} mm", holds="salt water",
        stands_usually=f"{rng.randrange(rim // 3, rim * 3 // 4)} mm", salinity=f"{rng.randrange(33, 37)} ppt",
    )  # fmt: skip
    litres, portions = rng.randrange(10, 80) / 10, rng.choice((4, 12, 24, 48))
    each = 1000.0 * litres / portions
    jugs = f"{{out: {each * rng.uniform(0.85, 1.15):.1f} mL, in: {each * rng.uniform(0.85, 1.15):.1f} mL}}"
    house.put(
        "water", "pair", "water replacement pair", of=rng.choice(tanks), **{"from": bucket}, a_day=f"{litres} L",
        waste_to=rng.choice([*house.drains, None]), portions=portions,
        outlet=f"{rng.randrange(90, 150)} cm above floor",
        measured=jugs if rng.random() < 0.6 else None, power=house.circuit(rng) if rng.random() < 0.7 else None,
        takes_down_to=f"{rng.randrange(50, 120)} mm above bottom",
        its_time_in_a_power_cut=rng.choice(("kept", "lost", "unknown")),
    )  # fmt: skip
