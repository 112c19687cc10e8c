"""Lets every part be lowered onto nothing, and writes down what it asked for.

So the checks learn from the parts themselves what a sensor reports, which orders an actuator knows, what stands before
what, and which marks lie in which vessel: no kind says it twice, and none is named here.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, cast

from dewpond.design.model import KEY_SEPARATOR, Design
from dewpond.design.ways import Edge, Site, Ways
from dewpond.parts.base import Floor, Kind, Level, Lowering, PartView, StoreSpec, leads_on, settled, switched
from dewpond.parts.open_water import OpenWater
from dewpond.physics.pipes import tube_pressure_drop

# Where the design does not say: any usual weather will do.
_SEASON = {"water": 288.15, "air": 295.15, "humidity": 0.5, "dissolved": 0.2, "supply": 4e5}
IN_THE_ROOM = {"air": "air temperature", "humidity": "air humidity"}  # keys of a room
_VISCOSITY, _DENSITY = 1.3e-3, 1000.0  # of water at 10 C; what a tube takes at a burst hardly depends on it


@dataclass(frozen=True)
class Mark:
    """A height that a part watches in a vessel [m above its bottom], and the key that gives it."""

    part: str
    vessel: str
    key: str
    height: float


@dataclass
class Scouted:
    """What all parts asked for.

    states   part -> the words it may be asked for in a cause
    orders   part -> the words it obeys: at rest, acting
    follows  part -> parts whose outlet it uses
    ports    (part, port) that another part uses, or from which the part itself leads on
    fills, draws  vessel -> parts that lead into it, that take from it
    ends     (part, vessel that it leads into) -> height of its end [m above the datum]
    marks    heights watched in vessels
    vessels  what each vessel said of itself
    people   parts that can be told something
    floors   how water lies in each place
    heights  place -> its floor [m above that of the lowest room]
    own      levels inside a vessel that its own keys give
    membranes, one_way, shut_offs  parts that hold back what is dissolved, that let no water back, that shut the feed
    hands    parts that a person runs to and shuts
    loud     parts that make a noise of their own
    trips    parts that act by themselves when something is as it should not be
    no_tray  (part, key) of levels that count from a tray where there is none
    weirs    vessel -> constants of its overflow: Q = c H^1.5 [m1.5/s], at most f H^0.5 [m2.5/s]
    ways     what the water meets on its way from the supply, and where it can get out
    """

    states: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    orders: dict[str, tuple[str, str]] = field(default_factory=dict)
    follows: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    ports: set[tuple[str, str]] = field(default_factory=set)
    fills: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    draws: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    ends: dict[tuple[str, str], float] = field(default_factory=dict)
    marks: list[Mark] = field(default_factory=list)
    vessels: dict[str, StoreSpec] = field(default_factory=dict)
    people: list[str] = field(default_factory=list)
    floors: dict[str, Floor] = field(default_factory=dict)
    outlets: dict[str, float] = field(default_factory=dict)  # place -> what it lets into a drain [m3/s]
    heights: dict[str, float] = field(default_factory=dict)
    own: list[Mark] = field(default_factory=list)
    membranes: set[str] = field(default_factory=set)
    one_way: set[str] = field(default_factory=set)
    breaks: set[str] = field(default_factory=set)  # parts that let air in where the line would suck
    evaporates: dict[str, float] = field(default_factory=dict)  # vessel -> what leaves it into the air [m3/s]
    shut_offs: set[str] = field(default_factory=set)
    hands: list[str] = field(default_factory=list)
    loud: list[str] = field(default_factory=list)
    trips: set[str] = field(default_factory=set)
    no_tray: dict[tuple[str, str], None] = field(default_factory=dict)
    weirs: dict[str, tuple[float, float]] = field(default_factory=dict)
    ways: Ways = field(default_factory=Ways)


def scout(design: Design, kinds: Mapping[str, Kind], left_out: Collection[str] = (), season: str = "summer") -> Scouted:
    """What the parts ask for, those in `left_out` apart: parts that cannot be lowered, and all that lean on them.

    season: that of the supply's water, which decides what a membrane makes. The air is winter's: in heated rooms most
    evaporates then.
    """
    asker = _Asker(design, kinds, season)
    sound = [part for part in design.parts if part.name not in left_out]
    for role in ("place", "vessel", ""):
        if not role:
            asker.settle([part for part in sound if kinds[part.kind].settles])
        for part in sound:
            kind = kinds[part.kind]
            asker.current = part
            if role == "vessel" and kind.store is not None:
                asker.found.vessels[part.name] = kind.store(part, cast("Lowering", asker))
                asker.own_levels(part, kind)
            elif kind.role == role or (not role and kind.role != "place"):
                kind.lower(part, cast("Lowering", asker))
    return asker.found


class _Asker:
    """Answers what a part asks with numbers that mean nothing, but for heights, which it works out."""

    def __init__(self, design: Design, kinds: Mapping[str, Kind], season: str) -> None:
        self.design = design
        self.kinds = kinds
        self.weather = {**_SEASON, **_of_the_supply(design, kinds, season)}
        self.views = {part.name: part for part in design.parts}
        self.found = Scouted()
        self.current: PartView = design.parts[0]
        self.count = 0
        self.own_ports: dict[int, tuple[str, str]] = {}
        self.leaky: set[int] = set()  # gates that are shut until something fails
        self.taps: dict[int, str] = {}  # node -> the vessel that it draws from
        self.heights: dict[int, float] = {}  # node at a port -> its own [m above the datum]

    def __getattr__(self, name: str) -> Callable[..., int]:
        """Whatever else may be asked for: a new number each time."""
        if name.startswith("_") or not hasattr(Lowering, name):
            raise AttributeError(name)
        return self._number

    def _number(self, *_words: Any, **_named: Any) -> int:
        self.count += 1
        return self.count

    def settle(self, parts: Iterable[PartView]) -> None:
        """Let vessels start where what fills them stops, before anything else leans on their level."""
        stops, marks = [], len(self.found.marks)
        for part in parts:
            settles = self.kinds[part.kind].settles
            assert settles is not None
            self.current = part
            stops.append(settles(part, cast("Lowering", self)))
        del self.found.marks[marks:]  # each part names its marks itself, once
        self.found.vessels.update(settled(self.found.vessels, stops))

    # -- the house -----------------------------------------------------------------------------------------------------
    def season(self, name: str, place: str = "") -> float:
        at, key = self.views.get(place) or self.current, IN_THE_ROOM.get(name)
        while key and key not in at.values and at.get("in") in self.views:
            at = self.views[str(at["in"])]
        return float(at[key]["winter"]) if key and at.get(key) else self.weather[name]

    def pressure_while_drawn(self, _part: str, _z: float, _flow: float, _water: float) -> float:
        return self.weather["supply"]

    def doubt(self, _what: str, _said: float, _reckoned: float) -> None:
        pass  # a run says so

    def part(self, name: str) -> PartView:
        return self.views[name]

    def switched(self, circuit: str) -> bool:
        return switched(self.views, self.kinds, circuit)

    def circuits_behind(self, name: str) -> tuple[str, ...]:
        return (name,)

    def place_height(self, place: str) -> float:
        view = self.views[place]
        own = view.get("floor height")
        if own is not None:
            return float(own)
        return self.place_height(view["in"]) if view.get("in") else 0.0

    def height(self, part: PartView, level: Level, vessel: str = "") -> float:
        name = vessel or part.name
        if level.measured in ("bottom", "rim"):
            spec = self.found.vessels.get(name)
            return spec.bottom + self._inside(spec, level) if spec else level.value
        place = self._place_of(part) or self._place_of(self.views[name])
        if level.measured != "floor" and place in self.views and not self.views[place].get("in"):
            key = self._key_of(level)
            if key:
                self.found.no_tray[self.current.name, key] = None
        while level.measured == "floor" and place in self.views and self.views[place].get("in"):
            place = str(self.views[place]["in"])
        return (self.place_height(place) if place in self.views else 0.0) + level.value

    def _place_of(self, part: PartView) -> str:
        spec = self.found.vessels.get(part.name)
        return str(part.get("in") or (spec.place if spec else ""))

    def vessel_level(self, vessel: str, level: Level) -> float:
        height = self._in_vessel(vessel, level)
        self.found.marks.append(Mark(self.current.name, vessel, self._key_of(level), height))
        return height

    def own_levels(self, part: PartView, kind: Kind) -> None:
        """Notes the levels that a vessel gives of itself, before anything else makes use of them."""
        for param in kind.params:
            level = part.get(param.key)
            if param.bare and param.key in part.given and isinstance(level, Level):
                height = self._in_vessel(part.name, level)
                self.found.own.append(Mark(part.name, part.name, param.key, height))

    def _in_vessel(self, vessel: str, level: Level) -> float:
        spec = self.found.vessels[vessel]
        if level.measured in ("bottom", "rim"):
            return self._inside(spec, level)
        return self.height(self.views[vessel], level) - spec.bottom

    def _key_of(self, level: Level) -> str:
        """The key, or path of keys, that gives the current part this level; empty when none does."""
        for key, value in self.current.values.items():
            if value is level:
                return key
            inner = value.items() if isinstance(value, dict) else ()
            for word, one in inner:
                if one is level:
                    return f"{key}{KEY_SEPARATOR}{word}"
        return ""

    def _inside(self, spec: StoreSpec, level: Level) -> float:
        return spec.rim - level.value if level.measured == "rim" else level.value

    def place(self, floor: Floor, _next: str | None, to_drain: bool, _drying: float) -> int:
        self.found.floors[self.current.name] = floor
        if to_drain:
            self.found.outlets[self.current.name] = math.inf
        self.found.heights[self.current.name] = self.place_height(self.current.name)
        return self._number()

    def empties(self, _place: int, flow: float, _signal: int) -> None:
        self.found.outlets[self.current.name] = self.found.outlets.get(self.current.name, 0.0) + flow

    def backed_up(self, place: str) -> int | None:
        return self._number() if self.kinds[self.views[place].kind].role == "drain" else None

    def floor(self, place: str) -> Floor:
        return self.found.floors[place]

    # -- water ---------------------------------------------------------------------------------------------------------
    def outlet(self, part_name: str, port: str = "out", feels: bool = False) -> int:
        if part_name != self.current.name and not feels:
            self.found.follows[self.current.name].add(part_name)
            self.found.ports.add((part_name, port))
            if part_name in self.found.vessels:
                self.found.draws[part_name].add(self.current.name)
        node = self._number()
        self.found.ways.ports[node] = (part_name, port)
        return node

    def port(self, port: str, z: float) -> int:
        self.count += 1
        self.heights[self.count] = z
        self.own_ports[self.count] = (self.current.name, port)
        self.found.ways.ports[self.count] = (self.current.name, port)
        return self.count

    def bind(self, port: str, node: int) -> None:
        self.found.ports.add((self.current.name, port))
        self.found.ways.bound[self.current.name, port] = node

    def source(self, gauge: float, z: float, _dissolved: float) -> int:
        node = self._number()
        self.found.ways.sources[node] = (gauge, z)
        return node

    def _edge(self, a: int, *_words: Any, **_named: Any) -> int:
        """An edge that leaves a port of the part itself leads the water on: nobody else need follow."""
        if a in self.own_ports:
            self.found.ports.add(self.own_ports[a])
        return self._number()

    def pump(self, a: int, b: int, head: float, flow: float, gate: int = -1) -> int:
        return self._takes(a, b, gate, lambda q: min(0.0, head * ((q / flow) ** 2.0 - 1.0)))

    def regulator(self, a: int, b: int, held: float, _droop: float, rises: float, k: float) -> int:
        return self._takes(a, b, -1, lambda flow: k * flow * flow, held + rises, self.heights.get(b, 0.0))

    def fixed_flow(self, a: int, _b: int, _flow: float, *_words: Any, **_named: Any) -> int:
        return self._edge(a)

    def evaporates(self, tap: int, water: OpenWater, *_levels: float) -> None:
        self.found.evaporates[water.vessel] = self.found.evaporates.get(water.vessel, 0.0) + water.rate
        self._edge(tap)

    def _takes(
        self, a: int, b: int, gate: int, drop: Callable[[float], float], held: float = math.inf, z: float = 0.0
    ) -> int:
        """An edge of which it is known what it takes from the pressure [Pa] at a flow [m3/s], and what stands behind it
        at most [Pa] at the height z [m]."""
        if gate not in self.leaky:
            self.found.ways.edges.append(Edge(self.current.name, a, b, drop, held, z))
        return self._edge(a)

    def tube(self, a: int, b: int, bore: float, length: float, k: float, gate: int = -1) -> int:
        def drop(flow: float) -> float:
            return tube_pressure_drop(flow, bore, length, k, _DENSITY, _VISCOSITY)

        return self._takes(a, b, gate, drop)

    def orifice(self, a: int, b: int, k: float, gate: int = -1) -> int:
        return self._takes(a, b, gate, lambda flow: k * flow * flow)

    def weir(self, vessel: str, _b: int, coefficient: float, full_bore: float, _gate: int = -1) -> int:
        self.found.weirs[vessel] = coefficient, full_bore
        return self._number()

    def gate_leak(self) -> int:
        self.leaky.add(self._number())
        return self.count

    def leak(
        self, node: int, z: float, place: str, _fault: str, area: float, cd: float = 0.7, _where: str = "",
        sites: float = 1.0, **_named: Any,
    ) -> None:  # fmt: skip
        if sites > 0.0:
            self.found.ways.sites.append(Site(self.current.name, node, z, place, area, cd))

    def check(self, a: int, b: int, cracking: float, k: float, holds: bool = True) -> int:
        (self.found.one_way if holds else self.found.breaks).add(self.current.name)
        return self._takes(a, b, -1, lambda flow: cracking + k * flow * flow)

    def fault(self, _name: str, patches: Iterable[tuple[str, int, float]], *_words: Any, **_named: Any) -> None:
        for what, node, factor in patches:
            if what == "source":
                self.found.ways.highest[node] = max(factor, self.found.ways.highest.get(node, 1.0))

    def gate_ratio(self, *_words: Any) -> int:
        self.found.shut_offs.add(self.current.name)
        return self._number()

    def hand_shut(self, _shut: Callable[[int], None], run_to: bool = True) -> None:
        if run_to:
            self.found.hands.append(self.current.name)

    def membrane(self, a: int, b: int, permeability: float, osmotic: float, _passage: float, gate: int = -1) -> int:
        self.found.membranes.add(self.current.name)
        return self._takes(a, b, gate, lambda flow: osmotic + flow / permeability)

    def follower(self, part_name: str) -> str:
        parts = (part for part in self.design.parts if part.get("after") == part_name)
        return next((part.name for part in parts if any(q.name == "out" for q in self.kinds[part.kind].ports)), "")

    def joined(self, port: str = "out") -> bool:
        return leads_on(self.design.parts, self.kinds, self.current.name, port)

    def one_way(self, part_name: str) -> bool:
        return self.kinds[self.views[part_name].kind].one_way

    def water_at(self, part_name: str) -> tuple[int, bool]:
        holds = part_name in self.found.vessels
        if not holds:
            self.found.follows[self.current.name].add(part_name)
        return self._number(), holds

    def delivery(self, _pump: str) -> tuple[int, int]:
        return self._number(), self._number()

    def water_of(self, vessel: str) -> float:
        body = self.found.vessels[vessel].mixed_with or vessel
        together = (s for n, s in self.found.vessels.items() if (s.mixed_with or n) == body)
        return sum(spec.volume_at(spec.start) for spec in together)

    def vessel(self, name: str) -> StoreSpec:
        return self.found.vessels[name]

    def tap(self, vessel: str) -> int:
        if vessel != self.current.name:
            self.found.draws[vessel].add(self.current.name)
        self.taps[self.count + 1] = vessel
        return self._number()

    def spout(self, vessel: str, z: float) -> int:
        if vessel != self.current.name:
            self.found.fills[vessel].add(self.current.name)
            self.found.ends.setdefault((self.current.name, vessel), z)  # ways that a fault opens come later
            self.found.ways.spouts[self.current.name, vessel] = self.count + 1
        return self._number()

    # -- logic ---------------------------------------------------------------------------------------------------------
    def say(self, _signal: int, _true: str, _false: str = "", kind: str = "note") -> None:
        if kind == "trip":
            self.found.trips.add(self.current.name)

    def condition(self, word: str, _signal: int, meant: bool = False) -> None:  # noqa: ARG002 (runs ask)
        self.found.states[self.current.name].append(word)

    def sounds(self, _signal: int, _wakes: bool) -> None:
        self.found.loud.append(self.current.name)

    def person(self, *_words: Any, **_named: Any) -> None:
        self.found.people.append(self.current.name)

    def actuator(self, resting: str, acting: str, *_words: Any, **_named: Any) -> None:
        self.found.orders[self.current.name] = (resting, acting)


def _of_the_supply(design: Design, kinds: Mapping[str, Kind], season: str) -> dict[str, float]:
    """What the first supply of the design says of its water."""
    supply = next((part for part in design.parts if kinds[part.kind].role == "source"), None)
    if supply is None:
        return {}
    warm, gauge, solids = (supply.get(key) for key in ("temperature", "pressure", "dissolved solids"))
    said = {"water": warm[season] if isinstance(warm, dict) else None, "supply": gauge, "dissolved": solids}
    return {key: value for key, value in said.items() if isinstance(value, float)}
