"""How the lines of a schematic run: level and upright only, each net on a track of its own in every channel.

Upright channel ``c`` lies left of column ``c``, level channel ``r`` above row ``r``. Water leaves a symbol on its right
and enters on the left of the next; reports and orders come and go at its top. A net is all that leaves one part (or all
that reports to one box): its lines may share a track, with a dot where they part.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from dewpond.report.views.blocks import Wire, WireSort

TRACK: Final = 6.0  # from line to line [px]
CLEAR: Final = 8.0  # beside the outermost line of a channel
SIDE_STEP: Final = 5.0  # between lines that reach one side of a symbol
TOP_STEP: Final = 8.0

Net = tuple[int, WireSort]
Seat = tuple[int, int]  # row, column


@dataclass
class Channel:
    """The nets of one channel, and over which stretch each runs."""

    spans: dict[Net, tuple[int, int]] = field(default_factory=dict)
    tracks: dict[Net, int] = field(default_factory=dict)

    def take(self, net: Net, one: int, other: int) -> None:
        """Let the net run from one to the other, on top of where it runs already."""
        low, high = self.spans.get(net, (one, one))
        self.spans[net] = (min(low, one, other), max(high, one, other))

    def settle(self) -> None:
        """Give every net a track: the first in which nothing else runs along there."""
        ends: list[int] = []
        for net, (low, high) in sorted(self.spans.items(), key=lambda item: (item[1], item[0])):
            at = next((k for k, end in enumerate(ends) if end < low), len(ends))
            ends[at : at + 1] = [high]
            self.tracks[net] = at

    @property
    def width(self) -> float:
        """Room that the tracks need [px]."""
        count = len(set(self.tracks.values()))
        return 2 * CLEAR + TRACK * max(count - 1, 0)

    def offset(self, net: Net) -> float:
        """Of the net's track from the start of the channel [px]."""
        return CLEAR + TRACK * self.tracks[net]


@dataclass(frozen=True)
class Route:
    """A wire on the grid. ``turns``: the channels it runs along, from start to end: ("V", c) or ("H", r)."""

    wire: Wire
    net: Net
    turns: tuple[tuple[str, int], ...]
    straight: bool


@dataclass
class Plan:
    """Routes, channels, and in which order nets reach each side of each mark."""

    routes: list[Route]
    upright: dict[int, Channel]
    level: dict[int, Channel]
    sides: dict[tuple[int, str], list[Net]]  # (mark, "left" | "right" | "top")

    def side_offset(self, mark: int, side: str, net: Net) -> float:
        """How far from the middle of a symbol's side a net meets it: what leaves above, what enters below [px]."""
        nets = self.sides[mark, side]
        if side == "top":
            step = min(TOP_STEP, 44.0 / max(len(nets) - 1, 1))
            return step * (nets.index(net) - (len(nets) - 1) / 2)
        step = min(SIDE_STEP, 13.0 / len(nets))
        return step * (nets.index(net) + 1) * (1 if side == "left" else -1)


def net_of(wire: Wire) -> Net:
    """The net a wire belongs to."""
    return (wire.end if wire.sort == "report" else wire.start, wire.sort)


def is_signal(wire: Wire) -> bool:
    """Whether it comes and goes at the top of the symbols."""
    return wire.sort in ("report", "order", "on")


def plan(wires: tuple[Wire, ...], seats: dict[int, Seat]) -> Plan:
    """Routes of all wires between marks on their seats."""
    made = Plan([], {}, {}, {})
    joined: set[tuple[int, int]] = set()
    for wire in wires:
        start, end = seats[wire.start], seats[wire.end]
        near = start[0] == end[0] and end[1] == start[1] + 1
        straight = near and not is_signal(wire) and (wire.start, wire.end) not in joined
        if straight:
            joined.add((wire.start, wire.end))
            turns: tuple[tuple[str, int], ...] = ()
        elif is_signal(wire):
            turns = _over_the_top(wire, start, end)
        else:
            turns = _round(start, end)
        route = Route(wire, net_of(wire), turns, straight)
        made.routes.append(route)
        _take(made, route, start, end)
    for channel in (*made.upright.values(), *made.level.values()):
        channel.settle()
    return made


def _over_the_top(wire: Wire, start: Seat, end: Seat) -> tuple[tuple[str, int], ...]:
    """Up, along a trunk beside the box that gives the orders or hears the reports, and down."""
    if start[0] == end[0]:
        return (("H", start[0]),)
    trunk = end[1] if wire.sort == "report" else start[1] + 1
    return (("H", start[0]), ("V", trunk), ("H", end[0]))


def _round(start: Seat, end: Seat) -> tuple[tuple[str, int], ...]:
    """Out on the right, in on the left."""
    if start[1] + 1 == end[1]:
        return (("V", end[1]),)
    return (("V", start[1] + 1), ("H", max(start[0], end[0])), ("V", end[1]))


def _take(made: Plan, route: Route, start: Seat, end: Seat) -> None:
    """Enter a route in its channels, and its ends at the sides of its marks."""
    top = is_signal(route.wire)
    if not route.straight:
        for mark, side in ((route.wire.start, "top" if top else "right"), (route.wire.end, "top" if top else "left")):
            nets = made.sides.setdefault((mark, side), [])
            if route.net not in nets:
                nets.append(route.net)
    turns = route.turns
    for at, (way, number) in enumerate(turns):
        along = 0 if way == "V" else 1
        before, after = (
            2 * seat[along] + 1 if not 0 <= k < len(turns) else 2 * turns[k][1]
            for k, seat in ((at - 1, start), (at + 1, end))
        )
        channels = made.upright if way == "V" else made.level
        channels.setdefault(number, Channel()).take(route.net, before, after)
