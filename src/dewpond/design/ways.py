"""What the water meets on its way from the supply: what each part takes from the pressure, and where it can get out.

A flow is found by hand's own means: along one way, all that stands on it in a row, with nothing else running. What a
membrane sends to waste meanwhile takes some more of the pressure; it is left out, so the figures are "at most".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Final, NamedTuple

from dewpond.physics.water import G

DENSITY: Final = 1000.0  # [kg/m3]; nothing here is known to 0.3 %
MOST: Final = 1.0  # no tube of a house gives more [m3/s]
HALVINGS: Final = 80
LONGEST: Final = 300  # edges in a row; no house has as many, and a file of thousands of parts shall not take minutes


class Edge(NamedTuple):
    """A stretch between two nodes, and what it takes from the pressure [Pa] at a flow [m3/s]; less than nothing where a
    pump adds some. held: gauge pressure that it lets stand behind it at most [Pa], at the height z [m]."""

    part: str
    start: int
    end: int
    drop: Callable[[float], float]
    held: float = math.inf
    z: float = 0.0


class Site(NamedTuple):
    """Where a part may let water out: at a node, at a height [m above the datum], into a place, by a hole [m2]."""

    part: str
    node: int
    z: float
    place: str
    area: float
    cd: float  # discharge coefficient [1]


class Way(NamedTuple):
    """From a supply (gauge [Pa], height [m]) through edges, in the order of the water."""

    gauge: float
    z: float
    edges: tuple[Edge, ...]

    def flow(self, z: float, area: float = 0.0, cd: float = 1.0, over: float = 1.0) -> float:
        """What comes out at a height [m], through a hole [m2] with a discharge coefficient; without: in the open
        [m3/s]. over: pressure of the supply over the usual one [1]."""
        left = over * self.gauge - DENSITY * G * (z - self.z)
        hole = DENSITY / (2.0 * (cd * area) ** 2.0) if area else 0.0
        low, high = 0.0, MOST
        for _ in range(HALVINGS):
            flow = 0.5 * (low + high)
            takes = hole * flow * flow + self._taken(flow, over)
            low, high = (flow, high) if takes < left else (low, flow)
        return low

    def _taken(self, flow: float, over: float) -> float:
        """By all the edges at a flow [m3/s], with what stands before a regulator and not behind it [Pa]."""
        taken = 0.0
        for edge in self.edges:
            taken += edge.drop(flow)
            stands = over * self.gauge - DENSITY * G * (edge.z - self.z) - taken
            taken += max(0.0, stands - edge.held)
        return taken

    def standing(self, over: float) -> float:
        """Gauge pressure behind the last edge while nothing flows [Pa]: what regulators hold and pumps add. Heights,
        and what a check valve keeps back, are left out, and so the figure is on the high side."""
        gauge = over * self.gauge
        for edge in self.edges:
            gauge = min(gauge - min(0.0, edge.drop(0.0)), edge.held)
        return gauge


@dataclass
class Ways:
    """Written down while the parts are lowered. Nodes are numbers; ``ports`` and ``bound`` tell which are one."""

    edges: list[Edge] = field(default_factory=list)
    sites: list[Site] = field(default_factory=list)
    sources: dict[int, tuple[float, float]] = field(default_factory=dict)  # node -> gauge [Pa], height [m]
    highest: dict[int, float] = field(default_factory=dict)  # node of a source -> its pressure at most, over the usual
    ports: dict[int, tuple[str, str]] = field(default_factory=dict)
    bound: dict[tuple[str, str], int] = field(default_factory=dict)
    spouts: dict[tuple[str, str], int] = field(default_factory=dict)  # (part, vessel) -> node

    def _one(self, node: int) -> int | tuple[str, str]:
        """A name that all numbers of one node have in common."""
        seen: set[int] = set()  # parts that come after each other in a ring are another finding
        while node in self.ports and node not in seen:
            seen.add(node)
            port = self.ports[node]
            if port not in self.bound:
                return port
            node = self.bound[port]
        return node

    def ways(self) -> dict[int | tuple[str, str], Way]:
        """Every node that water from a supply reaches -> the shortest way to it."""
        leads: dict[int | tuple[str, str], list[Edge]] = {}
        for edge in self.edges:
            leads.setdefault(self._one(edge.start), []).append(edge)
        found = {self._one(node): Way(gauge, z, ()) for node, (gauge, z) in self.sources.items()}
        todo = list(found)
        for node in todo:  # grows while it is walked
            way = found[node]
            for edge in leads.get(node, ()):
                end = self._one(edge.end)
                if end not in found and len(way.edges) < LONGEST:
                    found[end] = way._replace(edges=(*way.edges, edge))
                    todo.append(end)
        return found

    def gushes(self) -> Iterator[tuple[Site, float]]:
        """Each site that water from a supply reaches, and what comes out there, of its largest hole [m3/s]."""
        ways = self.ways()
        largest: dict[tuple[str, int | tuple[str, str], str], Site] = {}
        for site in self.sites:
            key = (site.part, self._one(site.node), site.place)
            if key not in largest or site.area * site.cd > largest[key].area * largest[key].cd:
                largest[key] = site
        for (_, node, _), site in largest.items():
            if node in ways:
                yield site, ways[node].flow(site.z, site.area, site.cd)

    def way_into(self, part: str, vessel: str) -> Way | None:
        """From the supply through a part into a vessel; None where no supply leads there."""
        node = self.spouts.get((part, vessel))
        return None if node is None else self.ways().get(self._one(node))

    def ports_of(self, node: int) -> str:
        """The part to whose port a node is bound; empty when none is."""
        return next((part for (part, _), bound in self.bound.items() if bound == node), "")

    def standing(self, highest: bool = True) -> dict[str, float]:
        """Part -> the highest gauge pressure that stands at an end of one of its edges while nothing flows [Pa], with
        the supply as high as it gets, or as it usually is."""
        found: dict[str, float] = {}
        ways = self.ways()
        over = max(self.highest.values(), default=1.0) if highest else 1.0
        for edge in self.edges:
            way = ways.get(self._one(edge.start))
            if way is not None:
                behind = way._replace(edges=(*way.edges, edge)).standing(over)
                found[edge.part] = max(way.standing(over), behind, found.get(edge.part, 0.0))
        return found

    def most(self, node: int) -> float:
        """Gauge pressure of a supply at its highest [Pa]."""
        return self.sources[node][0] * self.highest.get(node, 1.0)
