"""A network as EPANET input text and as a plant, and what the EPANET engine (inside wntr) makes of the text."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from pathlib import Path

from tests.plant.nets import PER_MINUTE, Bench, const

FOOT = 0.3048
G_EPANET = 32.2 * FOOT  # the engine reckons with 32.2 ft/s2
NU_EPANET = 1.1e-5 * FOOT * FOOT  # and with 1.1e-5 ft2/s at relative viscosity 1
ROUGH = 0.0015  # [mm]
WATER = const(1000.0, G_EPANET, NU_EPANET)
OPTIONS = """[OPTIONS]
 Units LPM
 Headloss D-W
 Viscosity 1.0
 Specific Gravity 1.0
 Trials 500
 Accuracy 0.00001
 HEADERROR 0.000001
 FLOWCHANGE 0.000001
 Emitter Exponent 0.5
 Quality None
[TIMES]
 Duration 0
[REPORT]
 Status No
[END]
"""


@dataclass
class Network:
    """Junctions (height [m], demand [L/min]), reservoirs (head [m]), pipes (ends, length [m], bore [mm], K)."""

    junctions: dict[str, tuple[float, float]] = field(default_factory=dict)
    reservoirs: dict[str, float] = field(default_factory=dict)
    pipes: dict[str, tuple[str, str, float, float, float]] = field(default_factory=dict)

    def text(self) -> str:
        rows = ["[TITLE]", "random", "[JUNCTIONS]", *(f" {n} {z} {q}" for n, (z, q) in self.junctions.items())]
        rows += ["[RESERVOIRS]", *(f" {n} {head}" for n, head in self.reservoirs.items()), "[PIPES]"]
        rows += [f" {n} {a} {b} {long} {bore} {ROUGH} {k} Open" for n, (a, b, long, bore, k) in self.pipes.items()]
        return "\n".join([*rows, OPTIONS])

    def plant(self) -> tuple[Bench, dict[str, int], dict[str, int]]:
        """The same as a plant; edges of the pipes and nodes by name. A reservoir is a node of fixed total pressure."""
        bench = Bench(constants=WATER)
        nodes = {n: bench.junction(z) for n, (z, _) in self.junctions.items()}
        nodes |= {n: bench.mains(1000.0 * G_EPANET * head) for n, head in self.reservoirs.items()}
        edges = {
            n: bench.tube(nodes[a], nodes[b], bore / 1000.0, long, k) for n, (a, b, long, bore, k) in self.pipes.items()
        }
        for name, (_, demand) in self.junctions.items():
            if demand:
                bench.flow(nodes[name], bench.drain_end(), demand * PER_MINUTE)
        return bench, edges, nodes


def read_network(text: str) -> Network:
    """The three tables of an EPANET input text, as the published cases have them."""
    net, section = Network(), ""
    for raw in text.splitlines():
        line = raw.partition(";")[0].strip()
        if line.startswith("["):
            section = line
        elif line and section == "[JUNCTIONS]":
            name, z, *demand = line.split()
            net.junctions[name] = (float(z), float(demand[0]) if demand else 0.0)
        elif line and section == "[RESERVOIRS]":
            name, head = line.split()
            net.reservoirs[name] = float(head)
        elif line and section == "[PIPES]":
            name, a, b, long, bore, rough, k, _ = line.split()
            assert float(rough) == ROUGH
            net.pipes[name] = (a, b, float(long), float(bore), float(k))
    return net


def epanet(net: Network, text: str, folder: Path) -> tuple[dict[str, float], dict[str, float]]:
    """Flows of the pipes [L/min] and heads of all nodes [m] of EPANET 2.2 inside wntr, from the input text."""
    from wntr.epanet.toolkit import ENepanet
    from wntr.epanet.util import EN

    source = folder / "net.inp"
    source.write_text(text, encoding="utf-8")
    engine = ENepanet()
    engine.ENopen(str(source), str(folder / "net.rpt"), "")
    try:
        engine.ENopenH()
        engine.ENinitH(0)
        engine.ENrunH()
        flows = {n: engine.ENgetlinkvalue(engine.ENgetlinkindex(n), EN.FLOW) for n in net.pipes}
        names = [*net.junctions, *net.reservoirs]
        heads = {n: engine.ENgetnodevalue(engine.ENgetnodeindex(n), EN.HEAD) for n in names}
        engine.ENcloseH()
    finally:
        engine.ENclose()
    return flows, heads


def random_network(seed: int) -> Network:
    """Mains, a tree of tubes with loops, demands, and open ends (whose K holds the outlet's velocity head)."""
    rng = random.Random(seed)
    net = Network()
    net.reservoirs["MAIN"] = round(rng.uniform(15.0, 45.0), 2)
    for i in range(rng.randint(2, 7)):
        net.junctions[f"J{i}"] = (round(rng.uniform(0.0, 3.0), 2), 0.0)
    names = list(net.junctions)
    slow = rng.random() < 0.4  # a permeate line: no mains, only what flows in
    for i, name in enumerate(names):
        start = rng.choice(names[:i]) if i else "MAIN"
        net.pipes[f"P{i}"] = (start, name, *tube(rng))
    for k in range(rng.randint(0, 2)):
        if len(names) > 3:
            a, b = rng.sample(names, 2)
            net.pipes[f"L{k}"] = (a, b, *tube(rng))
    for name in rng.sample(names, rng.randint(1, min(3, len(names)))):
        z = net.junctions[name][0]
        if slow or rng.random() < 0.4:
            net.junctions[name] = (z, round(rng.uniform(0.05, 0.5), 3))
        else:
            long, bore, k = tube(rng)
            net.reservoirs[f"O{name}"] = round(z - rng.uniform(0.0, 2.0), 2)
            net.pipes[f"Q{name}"] = (name, f"O{name}", long, bore, k + 1.0)
    return net


def tube(rng: random.Random) -> tuple[float, float, float]:
    return (
        round(rng.uniform(0.5, 15.0), 2),
        rng.choice((4.0, 4.318, 6.0, 6.35, 9.525)),
        round(rng.uniform(0.0, 12.0), 1),
    )
