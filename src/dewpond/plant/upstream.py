"""Where the water of an edge comes from."""

from __future__ import annotations

from collections.abc import Collection

from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant


def upstream(plant: Plant, edge: int, ends: Collection[int] = ()) -> list[int]:
    """Edges through which water comes to an edge, the nearest first, as far as a supply or a vessel; what lies beyond
    one of the ``ends`` is left out."""
    a = plant.arrays
    into = plant.once("into", lambda: _into(plant))
    todo, found = [a.edge_a[edge]], list[int]()
    for node in todo:  # grows while it is walked
        if a.node_kind[node] not in (prim.JUNCTION, prim.SPRING):
            continue
        for one in into.get(node, ()):
            found.append(one)
            if one not in ends and a.edge_a[one] not in todo:
                todo.append(a.edge_a[one])
    return found


def _into(plant: Plant) -> dict[int, list[int]]:
    a = plant.arrays
    found: dict[int, list[int]] = {}
    for one, end in enumerate(a.edge_b):
        found.setdefault(end, []).append(one)
    return found
