"""Of a house under construction, what runs in its lines and what its vessels hold, for parts that look at it.

The half of ``parts.measuring.Measuring`` that is no mark; the marks stand in ``wiring``.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Collection

from dewpond.parts.base import PartView, StoreSpec
from dewpond.plant import primitives as prim
from dewpond.plant.saying import Saying

HOT = ("taken from", "mixer tap")  # key of a supply, and what lets hot water into it


class Measured(Saying):
    """What ``House`` makes of nodes, edges and vessels is declared here, and made there."""

    specs: dict[str, StoreSpec]
    supply: PartView | None
    names: list[str]
    hot: int | None = None

    @abstractmethod
    def tap(self, vessel: str) -> int: ...

    @abstractmethod
    def outlet(self, part_name: str, port: str = "out") -> int: ...

    @abstractmethod
    def enter(self, part: PartView) -> None: ...

    @abstractmethod
    def lower_part(self, part: PartView) -> None: ...

    def water_at(self, part_name: str) -> tuple[int, bool]:
        holds = part_name in self.specs
        return (self.tap if holds else self.outlet)(part_name), holds

    def water_of(self, vessel: str) -> float:
        body = self.specs[vessel].mixed_with or vessel
        together = (s for n, s in self.specs.items() if (s.mixed_with or n) == body)
        return sum(spec.volume_at(spec.start) for spec in together)

    def hot_water(self) -> int | None:
        if self.hot is None and self.supply is not None and self.supply.get(HOT[0]) == HOT[1]:
            self.hot = self.any(self.always(False))
        return self.hot

    def delivery(self, pump: str) -> tuple[int, int]:
        current = self.current
        self.lower_part(self.views[pump])
        self.enter(current)
        lifts = self.flow_edge(pump)
        return lifts, [*self._own(pump, (prim.TUBE,)), lifts][0]

    def flow_edge(self, part: str) -> int:
        """The edge whose flow is what a pump or valve that has been lowered delivers."""
        return (self._own(part, (prim.PUMP, prim.FLOW)) or self._own(part) or [-1])[0]

    def _own(self, part: str, laws: Collection[int] = ()) -> list[int]:
        """Edges of a part; ``laws``: those that follow one of these."""
        owner = self.names.index(part)
        return [i for i, e in enumerate(self.net.edges) if int(e[9]) == owner and (not laws or int(e[2]) in laws)]
