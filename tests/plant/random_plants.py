"""Random small plants, made from a seed: trees and loops of tubes, floats, weirs, pumps, membranes, places, leaks.

They need not be good plumbing. They must be plants whose water and dissolved matter can be accounted for.
"""

from __future__ import annotations

import random

from dewpond.plant import primitives as prim
from tests.plant.nets import DAY, LITRE, PER_MINUTE, Bench, Fault, const

HORIZON = 0.25 * DAY

BORES = (0.004, 0.004318, 0.006, 0.00635, 0.009525)


def random_plant(seed: int) -> Bench:
    """A plant with one to four vessels, a network under pressure, and faults, from ``seed`` alone."""
    rng = random.Random(seed)
    bench = Bench(constants=const(rng.uniform(995.0, 1000.0), nu=rng.uniform(0.8e-6, 1.6e-6)))
    add_places(bench, rng)
    add_vessels(bench, rng)
    joints = add_network(bench, rng)
    for store in range(len(bench.net.stores)):
        if rng.random() < 0.75:
            add_float(bench, rng, rng.choice(joints), store)
        if rng.random() < 0.3:
            add_weir(bench, rng, store)
        if rng.random() < 0.5:
            air = bench.air()
            bench.flow(bench.tap(store), air, rng.uniform(0.5, 8.0) * LITRE / DAY, air_gate(bench, store), passage=0.0)
    if rng.random() < 0.6:
        add_membrane(bench, rng, rng.choice(joints))
    for _ in range(rng.randrange(3)):
        add_pump(bench, rng)
    for store in range(1, len(bench.net.stores)):
        if bench.net.stores[store][0] == bench.net.stores[store - 1][0]:  # two vessels on one shelf, joined below
            bench.tube(bench.tap(store - 1), bench.tap(store), rng.choice(BORES), rng.uniform(0.5, 4.0), 2.0)
    add_leaks(bench, rng, joints)
    return bench


def air_gate(bench: Bench, store: int) -> int:
    """Evaporation stops with the last of the water."""
    return bench.net.gate(prim.G_LEVEL, store, -1, 0.01, 0.002, -1.0)


def add_places(bench: Bench, rng: random.Random) -> None:
    count = rng.randint(1, 4)
    for i in range(count):
        last = i == count - 1
        kind = rng.choice((prim.R_NONE, prim.R_DRAIN)) if last else prim.R_PLACE
        holds = 1e30 if kind == prim.R_NONE else rng.uniform(0.0, 6.0) * LITRE
        drying = rng.choice((3600.0, 6.0 * 3600.0, 3.0 * DAY, 1e9))
        bench.place(holds, kind, i + 1 if kind == prim.R_PLACE else 0, drying)


def any_receiver(bench: Bench, rng: random.Random) -> tuple[int, int]:
    return rng.choice(((prim.R_DRAIN, 0), (prim.R_PLACE, rng.randrange(len(bench.net.places)))))


def add_vessels(bench: Bench, rng: random.Random) -> None:
    for i in range(rng.randint(1, 4)):
        area, rim = rng.uniform(0.02, 0.4), rng.uniform(0.2, 0.6)
        kind, ref = any_receiver(bench, rng)
        body = rng.randrange(len(bench.net.bodies)) if i > 0 and rng.random() < 0.25 else bench.body(rng.uniform(0, 36))
        wider = rng.uniform(0.5, 2.0)
        heights = (0.0, 0.5 * rim, rim + 0.5)
        volumes = (0.0, 0.5 * rim * area, 0.5 * rim * area + (0.5 * rim + 0.5) * area * wider)
        level = rng.uniform(0.05, 0.95) * rim
        z = bench.net.stores[-1][0] if i > 0 and rng.random() < 0.3 else rng.uniform(0.0, 1.5)
        bench.store_of_table(heights, volumes, rim, level, z, body, kind, ref)


def add_network(bench: Bench, rng: random.Random) -> list[int]:
    """Mains and a tree of tubes with some loops; returns its junctions."""
    mains = bench.mains(rng.uniform(1.5, 5.0) * 1e5, rng.uniform(0.0, 1.0), rng.uniform(0.0, 0.4))
    joints = [bench.junction(rng.uniform(0.0, 1.0))]
    bench.tube(mains, joints[0], rng.choice(BORES), rng.uniform(1.0, 8.0), rng.uniform(0.0, 10.0))
    for _ in range(rng.randint(1, 5)):
        node = bench.junction(rng.uniform(0.0, 1.0))
        start = rng.choice(joints)
        if rng.random() < 0.2:
            bench.check(start, node, 3e-6, rng.uniform(2e3, 1e4))
        else:
            bench.tube(start, node, rng.choice(BORES), rng.uniform(0.5, 12.0), rng.uniform(0.0, 10.0))
        joints.append(node)
    for _ in range(rng.randrange(3)):
        if len(joints) > 2:
            a, b = rng.sample(joints, 2)
            bench.tube(a, b, rng.choice(BORES), rng.uniform(0.5, 12.0), rng.uniform(0.0, 10.0))
    for joint in joints[1:]:
        if rng.random() < 0.25:  # somebody opens a tap for a while, now and then
            times = sorted(rng.uniform(0.0, HORIZON) for _ in range(4))
            order = bench.timed(*((t, 1 - k % 2) for k, t in enumerate(times)), start=0)
            kind, ref = any_receiver(bench, rng)
            end = bench.net.node(prim.AIR, 0.8, rkind=kind, rref=ref)
            bench.orifice(joint, end, rng.uniform(0.3e-6, 3e-6), bench.order_gate(order), rng.choice((1.0, 0.1)))
    return joints


def rim_level(bench: Bench, store: int) -> float:
    heights, volumes = bench.net.tables[store]
    rim = bench.net.stores[store][1]
    k = 0 if rim <= volumes[1] else 1
    return heights[k] + (rim - volumes[k]) * (heights[k + 1] - heights[k]) / (volumes[k + 1] - volumes[k])


def add_float(bench: Bench, rng: random.Random, joint: int, store: int) -> None:
    rim = rim_level(bench, store)
    shut = rng.uniform(0.5, 0.95) * rim
    gate = bench.float_gate(store, shut - rng.uniform(0.01, 0.03), shut, rng.choice((-1.0, 0.005, 0.05)))
    outlet = bench.net.stores[store][0] + rng.choice((rim + 0.02, 0.3 * rim))  # above the water, or under it
    bench.orifice(joint, bench.spout(store, outlet), rng.uniform(1e-7, 3e-6), gate)
    if rng.random() < 0.4:
        bench.faults.append(Fault([(prim.P_GATE_LOW, gate, rng.choice((1.0, 0.05)))], rng.uniform(0.0, HORIZON)))


def add_weir(bench: Bench, rng: random.Random, store: int) -> None:
    crest = bench.net.stores[store][0] + rng.uniform(0.6, 0.9) * rim_level(bench, store)
    lower = [k for k in range(len(bench.net.stores)) if bench.net.stores[k][0] < bench.net.stores[store][0]]
    if lower and rng.random() < 0.5:
        end = bench.spout(rng.choice(lower), crest)
    else:
        kind, ref = any_receiver(bench, rng)
        end = bench.net.node(prim.AIR, crest, rkind=kind, rref=ref)
    bore = rng.uniform(0.012, 0.032)
    bench.weir(store, end, 0.414 * (2.0 * 9.80665) ** 0.5 * 3.14159 * bore, 0.6 * 0.7854 * bore * bore * 4.43)


def add_membrane(bench: Bench, rng: random.Random, joint: int) -> None:
    """A membrane with its waste, its shut-off on the pressure ratio, a check valve, and a filling behind a float."""
    feed, product = bench.junction(0.6), bench.spring(0.6, rng.uniform(1e-12, 1e-10))
    shut_off = bench.net.gate(prim.G_RATIO, product, joint, a=0.66, b=0.5)
    bench.orifice(joint, feed, 3e-6, shut_off)
    bench.orifice(feed, bench.drain_end(0.2), 0.6 * PER_MINUTE / 26.0)
    bench.membrane(feed, product, rng.uniform(2.0, 8.0) * LITRE / 3600.0 / 3e5, rng.uniform(0.0, 3e4), 0.03)
    behind = bench.junction(0.6)
    bench.check(product, behind, 3e-6, 3e3)
    store = rng.randrange(len(bench.net.stores))
    end = bench.junction(0.9)
    tube = bench.tube(behind, end, 0.004318, rng.uniform(3.0, 12.0), 6.0)
    bench.net.edges[tube][8] = 0.5  # a resin half spent
    add_float(bench, rng, end, store)


def add_pump(bench: Bench, rng: random.Random) -> None:
    """A pump that a level switch starts, over a crest, so that a siphon may follow."""
    source = rng.randrange(len(bench.net.stores))
    goal = rng.randrange(len(bench.net.stores))
    if source == goal:
        return
    mark = rng.uniform(0.3, 0.8) * rim_level(bench, goal)
    low = -1 - bench.level_above(goal, mark, mark - 0.01)
    wet = bench.level_above(source, 0.03, 0.01)
    run = bench.net.signal(prim.L_VOTE, 2.0, [low, wet])
    running = bench.net.signal(prim.L_ON_DELAY, rng.choice((0.0, 5.0, 60.0)), [run])
    foot = bench.junction(bench.net.stores[source][0])
    bench.pump(
        bench.tap(source), foot, rng.uniform(8e3, 4e4), rng.uniform(0.5, 6.0) * PER_MINUTE, bench.order_gate(running)
    )
    top = bench.net.stores[goal][0] + rng.choice((0.1, 0.7))
    bench.tube(foot, bench.spout(goal, top), rng.choice(BORES), rng.uniform(0.5, 4.0), 3.0)
    if rng.random() < 0.5:
        siphon = bench.net.gate(prim.G_PRIMED, bench.net.positive(running))
        mouth = bench.junction(bench.net.stores[source][0])
        bench.orifice(bench.tap(source), mouth, 1e-5, bench.float_gate(source, 0.012, 0.01))  # sucks air below
        bench.tube(mouth, foot, 0.006, 0.3, 2.0, siphon)


def add_leaks(bench: Bench, rng: random.Random, joints: list[int]) -> None:
    for joint in joints:
        if rng.random() < 0.5:
            gate = bench.slot()
            end = bench.open_end(bench.net.nodes[joint][1], rng.randrange(len(bench.net.places)))
            bench.orifice(joint, end, rng.choice((2e-8, 5e-7, 1e-5)), gate)
            lasts = rng.choice((1e30, rng.uniform(60.0, 7200.0)))
            bench.faults.append(Fault([(prim.P_GATE_LOW, gate, 1.0)], rng.uniform(0.0, HORIZON), lasts))
    for store in range(len(bench.net.stores)):
        if rng.random() < 0.25:
            gate = bench.slot()
            z = bench.net.stores[store][0] + rng.choice((0.0, 0.05))
            end = bench.open_end(z, rng.randrange(len(bench.net.places)))
            bench.orifice(bench.tap(store), end, rng.uniform(1e-8, 1e-5), gate)
            bench.faults.append(Fault([(prim.P_GATE_LOW, gate, 1.0)], rng.uniform(0.0, HORIZON)))
