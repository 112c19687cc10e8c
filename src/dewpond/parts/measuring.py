"""What a part may ask of the water that runs in a line, while it is lowered: a part of ``lowering.Lowering``."""

from __future__ import annotations

from typing import Protocol


class Measuring(Protocol):
    """How much runs, how much has run, and what it carries."""

    def flow_above(self, edge: int, on: float, off: float) -> int:
        """True while more than ``on`` [m3/s] runs forward through an edge, false again below ``off``.

        Where a shut-off goes to and fro faster than is followed, its mean flow counts.
        """

    def passed(self, edge: int, volume: float, put_back: int, while_: int) -> int:
        """So much [m3] has gone forward through an edge, while ``while_`` was true, since ``put_back`` last was."""

    def at_midnight(self) -> int:
        """True for a moment at each midnight of the house."""

    def concentration_above(self, at: int, on: float, off: float) -> int:
        """Dissolved matter [kg/m3] of the water that has come last to a node of a line, or of the vessel that the node
        is a tap of. Before any water has come there, it is that of nothing."""

    def water_at(self, part_name: str) -> tuple[int, bool]:
        """For one that only looks: a node of the water of a vessel, and True; or of what has come through another part,
        and False."""

    def delivery(self, pump: str) -> tuple[int, int]:
        """Of a pump of the design: the edge that lifts its water, and the tube in which that goes on."""

    def water_of(self, vessel: str) -> float:
        """Water at the start in a vessel and in all that water circulates through with it [m3]."""

    def hot_water(self) -> int | None:
        """True while hot water comes from the supply; None where none can."""
