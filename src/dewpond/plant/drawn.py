"""Pressure at a point of the plumbing while a known flow is drawn there and nowhere else: what a reading was taken at.

Steady, everything on the way quite open, as while somebody fills a jug. The kernel's own solver works it out, so that
the run that follows gives the reading back.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from dewpond.physics import water
from dewpond.plant import compile as ways
from dewpond.plant import primitives as prim
from dewpond.plant.build import Net

# Drawn where nothing is said to be: else the pressure behind what shuts is whatever it was before [m3/s].
A_DROP = 1e-12


def pressure_at(net: Net, const: Sequence[float], node: int, z: float, flow: float) -> float | None:
    """Gauge pressure at height ``z`` [m] at a node while ``flow`` [m3/s] is drawn there -> [Pa].

    const: as ``Arrays.const``. None when no source leads there. At or below nothing, the supply cannot give that much.
    """
    way = _ways(net, node)
    if not any(net.nodes[n][0] == prim.FIXED for n in (node, *(int(end) for edge in way for end in edge[:2]))):
        return None
    bare = Net(nodes=[_still(row) for row in net.nodes])
    for a, b, law, *p in way:
        bare.edge(int(a), int(b), int(law), p=p[1:5])
    end = bare.node(prim.AIR, z, rkind=prim.R_DRAIN)
    bare.edge(node, end, prim.FLOW, p=(max(flow, A_DROP),))
    state = ways.run_once(bare.arrays(const), 1, 1.0)
    return float(state.pressure[node]) - const[0] * water.G * z


def _still(row: tuple[int, float, int, float, float, int, int]) -> tuple[int, float, int, float, float, int, int]:
    """A node that takes nothing up while flows are steady; of the rest of the house nothing takes part."""
    return row if row[0] == prim.FIXED else (prim.JUNCTION, *row[1:])


def _ways(net: Net, node: int) -> list[list[float]]:
    """The edges that lie between a source and the node; what leads elsewhere stands still."""
    passes = (prim.JUNCTION, prim.SPRING, prim.FIXED)
    regulated = {(edge[0], edge[1]) for edge in net.edges if edge[2] == prim.REGULATOR}
    left = [
        edge
        for edge in net.edges
        if all(net.nodes[int(end)][0] in passes for end in edge[:2])
        and (edge[2] == prim.REGULATOR or (edge[0], edge[1]) not in regulated)  # past one, only what fails lets water
    ]
    while True:
        ends = Counter(int(end) for edge in left for end in edge[:2])
        dead = {n for n, count in ends.items() if count == 1 and n != node and net.nodes[n][0] != prim.FIXED}
        if not dead:
            return left
        left = [edge for edge in left if not dead & {int(end) for end in edge[:2]}]
