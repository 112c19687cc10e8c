"""A lowering that builds nothing and keeps what a part asked for, whole protocol, in numbers that tests can read.

It invents the rest of the house: any part that the one under test names is made from a kind with the right role, with
the defaults and samples of ``sampled``; places lie at height 0, vessels answer with their own ``store``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

from dewpond.parts import KINDS
from dewpond.parts.base import REQUIRED, Floor, Kind, Lead, Level, Param, PartView, StoreSpec
from dewpond.parts.open_water import OpenWater

SEASON = {"water": 283.15, "air": 294.15, "humidity": 0.45, "dissolved": 0.25, "supply": 4e5}
NESTED = 3  # how deep parts may name parts that name parts


@dataclass(frozen=True)
class Asked:
    """One thing a part asked for: what, with which arguments, and the number it was given back."""

    what: str
    number: int
    values: Mapping[str, Any]

    def __getitem__(self, key: str) -> Any:
        return self.values[key]


@dataclass
class Recording:
    """Implements the whole of ``Lowering`` for one part. ``others`` are parts that the test wants to be just so."""

    part_view: PartView
    others: dict[str, PartView] = field(default_factory=dict)
    season_values: dict[str, float] = field(default_factory=lambda: dict(SEASON))
    followers: dict[str, str] = field(default_factory=dict)
    joins: tuple[str, ...] = ()  # ports of the part under test from which another has its water
    asked: list[Asked] = field(default_factory=list)
    actuators: list[tuple[str, str, str, Callable[[int, int], None]]] = field(default_factory=list)
    hands: list[Callable[[int], None]] = field(default_factory=list)
    asides: list[Callable[[int], None]] = field(default_factory=list)

    # -- for tests
    def every(self, what: str) -> list[Asked]:
        return [one for one in self.asked if one.what == what]

    def only(self, what: str) -> Asked:
        found = self.every(what)
        assert len(found) == 1, (what, found)
        return found[0]

    def by_number(self, what: str, number: int) -> Asked:
        return next(one for one in self.every(what) if one.number == number)

    def patches(self, name: str, where: str = "") -> list[tuple[str, int, float]]:
        found = [one for one in self.every("fault") if (one["name"], one["where"]) == (name, where)]
        assert len(found) == 1, (name, where, found)
        return list(found[0]["patches"])

    def tied(self) -> list[tuple[str, str]]:
        """(fault, where) of all that was tied."""
        return [(one["name"], one["where"]) for one in self.every("fault")] + [
            (one["fault"], one["where"]) for one in self.every("leak")
        ]

    def leaks(self, fault: str) -> list[Asked]:
        return [one for one in self.every("leak") if one["fault"] == fault]

    def given_back(self, kind: str, **values: Any) -> int:
        """The number of the one signal of that kind that was asked for with these arguments."""
        found = [
            one.number
            for one in self.every("signal")
            if one["kind"] == kind and all(one[key] == value for key, value in values.items())
        ]
        assert len(found) == 1, (kind, values, found)
        return found[0]

    def now(self, signal: int, facts: Mapping[int, bool]) -> bool:
        """What a signal is, from those that the test states; of a frozen hold, its value before is such a fact."""
        if signal < 0:
            return not self.now(-1 - signal, facts)
        if signal in facts:
            return facts[signal]
        asked = self.by_number("signal", signal)
        if asked["kind"] == "plugged":
            return True  # nobody has pulled a plug, unless the test says so
        if asked["kind"] == "always":
            return bool(asked["value"])
        if asked["kind"] == "later":
            defined = [one["signal"] for one in self.every("define") if one["later"] == signal]
            return bool(defined) and self.now(defined[0], facts)
        if asked["kind"] == "vote":
            return sum(self.now(one, facts) for one in asked["of"]) >= asked["need"]
        if asked["kind"] == "hold" and not self.now(asked["of"][1], facts):
            return self.now(asked["of"][0], facts)
        raise AssertionError(f"the test must say what {asked} is")

    def _note(self, what: str, **values: Any) -> int:
        self.asked.append(Asked(what, len(self.asked), values))
        return len(self.asked) - 1

    # -- the house
    def pressure_while_drawn(self, _part: str, z: float, _flow: float, _water: float) -> float:
        """As if nothing before the part took anything."""
        return self.season("supply") - 1000.0 * 9.80665 * z

    def doubt(self, what: str, said: float, reckoned: float) -> None:
        self._note("doubt", kind=what, said=said, reckoned=reckoned)

    def season(self, name: str, _place: str = "") -> float:
        return self.season_values[name]

    def part(self, name: str) -> PartView:
        if name == self.part_view.name:
            return self.part_view
        return self.others[name]

    def place_height(self, place: str) -> float:
        assert place, "a place must be named"
        return 0.0

    def height(self, part: PartView, level: Level, vessel: str = "") -> float:
        assert isinstance(part, PartView)
        if level.measured in ("floor", "tray"):
            return level.value
        spec = self.vessel(vessel or part.name)
        return spec.bottom + (level.value if level.measured == "bottom" else spec.rim - level.value)

    def vessel_level(self, vessel: str, level: Level) -> float:
        spec = self.vessel(vessel)
        return {"bottom": level.value, "rim": spec.rim - level.value}.get(level.measured, level.value - spec.bottom)

    def vessel(self, name: str) -> StoreSpec:
        view = self.part(name)
        store = KINDS[view.kind].store
        assert store is not None, f"{view.kind} holds no water"
        return store(view, self)

    # -- places
    def place(self, floor: Floor, next_place: str | None, to_drain: bool, drying: float) -> int:
        return self._note("place", floor=floor, next_place=next_place, to_drain=to_drain, drying=drying)

    def empties(self, place: int, flow: float, signal: int) -> None:
        assert self.by_number("place", place)
        assert flow > 0.0
        self._note("empties", place=place, flow=flow, signal=signal)

    def place_number(self, place: str) -> int:
        return self._note("place number", place=place)

    def backed_up(self, place: str) -> int | None:
        drain = place in self.others and KINDS[self.others[place].kind].role == "drain"
        return self._signal("backed up", place=place) if drain or place == self.part_view.name else None

    def floor(self, place: str) -> Floor:
        assert place
        return Floor(4.0, 2.7e-3, 4.0 * 2.7e-3)

    # -- nodes and edges
    def outlet(self, part_name: str, port: str = "out", feels: bool = False) -> int:
        assert part_name in self.others, f"{part_name} is not in the house"
        return self._note("node", kind="outlet", part=part_name, port=port, feels=feels)

    def port(self, port: str, z: float) -> int:
        return self._note("node", kind="port", port=port, z=z)

    def bind(self, port: str, node: int) -> None:
        self._note("bind", port=port, node=node)

    def follower(self, part_name: str) -> str:
        return self.followers.get(part_name, "")

    def joined(self, port: str = "out") -> bool:
        return port in self.joins

    def switched(self, circuit: str) -> bool:
        return "timer" in circuit  # as the tests name them

    def one_way(self, part_name: str) -> bool:
        return "check" in part_name  # as the tests name them

    def junction(self, z: float) -> int:
        return self._note("node", kind="junction", z=z)

    def spring(self, node: int, compliance: float) -> None:
        assert compliance > 0.0
        self._note("spring", node=node, compliance=compliance)

    def source(self, gauge: float, z: float, dissolved: float) -> int:
        return self._note("node", kind="source", gauge=gauge, z=z, dissolved=dissolved)

    def tap(self, vessel: str) -> int:
        self.vessel(vessel)
        return self._note("node", kind="tap", vessel=vessel)

    def cushion(self, z: float, shell: float, precharge: float, start: float) -> int:
        assert shell > 0.0 <= precharge
        assert start >= 0.0
        return self._note("node", kind="cushion", z=z, shell=shell, precharge=precharge, start=start)

    def spout(self, vessel: str, z: float) -> int:
        self.vessel(vessel)
        return self._note("node", kind="spout", vessel=vessel, z=z)

    def open_end(self, z: float, place: str) -> int:
        assert place, "water must fall on some place"
        return self._note("node", kind="open end", z=z, place=place)

    def drain_end(self, z: float) -> int:
        return self._note("node", kind="drain end", z=z)

    def evaporates(self, tap: int, water: OpenWater, opened: float, shut: float) -> None:
        air = self._note("node", kind="air end")
        self.fixed_flow(tap, air, water.rate, self.gate_level(water.vessel, opened, shut), passage=0.0)

    def _edge(self, law: str, a: int, b: int, gate: int, **values: Any) -> int:
        nodes = {one.number for one in self.every("node")}
        assert {a, b} <= nodes, f"{law} joins something that is no node"
        assert gate == -1 or gate in {one.number for one in self.every("gate")}, f"{law} has something for a gate"
        return self._note(law, a=a, b=b, gate=gate, **values)

    def tube(self, a: int, b: int, bore: float, length: float, k: float, gate: int = -1) -> int:
        assert min(bore, length) > 0.0 <= k
        return self._edge("tube", a, b, gate, bore=bore, length=length, k=k)

    def orifice(self, a: int, b: int, k: float, gate: int = -1) -> int:
        assert k > 0.0
        return self._edge("orifice", a, b, gate, k=k)

    def check(self, a: int, b: int, cracking: float, k: float, holds: bool = True) -> int:
        assert k > 0.0 <= cracking
        return self._edge("check", a, b, -1, cracking=cracking, k=k, holds=holds)

    def regulator(self, a: int, b: int, held: float, droop: float, rises: float, k: float) -> int:
        assert min(held, droop, k) > 0.0 <= rises
        return self._edge("regulator", a, b, -1, held=held, droop=droop, rises=rises, k=k)

    def membrane(self, a: int, b: int, permeability: float, osmotic: float, passage: float, gate: int = -1) -> int:
        assert permeability > 0.0 <= osmotic
        assert 0.0 <= passage <= 1.0
        return self._edge("membrane", a, b, gate, permeability=permeability, osmotic=osmotic, passage=passage)

    def pump(self, a: int, b: int, head: float, flow: float, gate: int) -> int:
        assert min(head, flow) > 0.0
        return self._edge("pump", a, b, gate, head=head, flow=flow)

    def fixed_flow(self, a: int, b: int, flow: float, gate: int = -1, passage: float = 1.0) -> int:
        assert flow >= 0.0
        return self._edge("fixed flow", a, b, gate, flow=flow, passage=passage)

    def weir(self, vessel: str, b: int, coefficient: float, full_bore: float, gate: int = -1) -> int:
        assert min(coefficient, full_bore) > 0.0
        crest = self.by_number("node", b)["z"]
        return self._edge(
            "weir", b, b, gate, vessel=vessel, crest=crest, coefficient=coefficient, full_bore=full_bore
        )  # fmt: skip

    def passage(self, edge: int, share: float) -> None:
        assert 0.0 <= share <= 1.0
        self._note("passage", edge=edge, share=share)

    # -- gates
    def _gate(self, kind: str, **values: Any) -> int:
        return self._note("gate", kind=kind, **values)

    def gate_signal(self, signal: int) -> int:
        return self._gate("signal", signal=signal)

    def gate_level(
        self, vessel: str, opened: float, shut: float, hysteresis: float = 0.0, also: int | None = None
    ) -> int:
        assert opened != shut
        assert hysteresis >= 0.0
        return self._gate("level", vessel=vessel, opened=opened, shut=shut, hysteresis=hysteresis, also=also)

    def gate_ratio(self, sensed: int, against: int, shuts: float, opens: float) -> int:
        assert 0.0 < opens < shuts < 1.0
        return self._gate("ratio", sensed=sensed, against=against, shuts=shuts, opens=opens)

    def gate_primed(self, running: int, edge_of: int = -1) -> int:
        return self._gate("primed", running=running, edge_of=edge_of)

    def gate_leak(self) -> int:
        return self._gate("leak")

    def gate_slot(self, part_name: str, slot: str) -> int:
        return self._gate("slot", part=part_name, slot=slot)

    def fill_slot(self, part_name: str, slot: str, gate: int) -> None:
        assert part_name in self.others
        self._note("fill slot", part=part_name, slot=slot, gate=gate)

    def leak(
        self, node: int, z: float, place: str, fault: str, area: float, cd: float = 0.7, where: str = "",
        sites: float = 1.0, cuts: bool = False,
    ) -> None:  # fmt: skip
        assert node in {one.number for one in self.every("node")}
        assert place, f"{fault} must wet some place"
        assert area > 0.0 <= sites
        assert 0.5 <= cd <= 1.0
        self._note(
            "leak", node=node, z=z, place=place, fault=fault, area=area, cd=cd, where=where, sites=sites, cuts=cuts
        )

    # -- logic
    def no(self, signal: int) -> int:
        return -1 - signal

    def _signal(self, kind: str, **values: Any) -> int:
        return self._note("signal", kind=kind, **values)

    def always(self, value: bool) -> int:
        return self._signal("always", value=value)

    def vote(self, need: int, signals: Sequence[int]) -> int:
        return self._signal("vote", need=need, of=tuple(signals))

    def any(self, *signals: int) -> int:
        return self.vote(1, signals)

    def all(self, *signals: int) -> int:
        return self.vote(len(signals), signals)

    def on_delay(self, signal: int, seconds: float) -> int:
        return self._signal("on delay", of=(signal,), seconds=seconds)

    def off_delay(self, signal: int, seconds: float) -> int:
        return self._signal("off delay", of=(signal,), seconds=seconds)

    def timed(self, signal: int, seconds: float, put_back: int) -> int:
        assert seconds > 0.0
        return self._signal("timed", of=(signal, put_back), seconds=seconds)

    def latch(self, set_: int, reset: int, forget: int) -> int:
        return self._signal("latch", of=(set_, reset, forget))

    def rearm(self, what: str) -> int:
        return self._signal("rearm", name=what)

    def hold(self, signal: int, freeze: int) -> int:
        return self._signal("hold", of=(signal, freeze))

    def later(self) -> int:
        return self._signal("later")

    def define(self, later: int, signal: int) -> None:
        assert self.by_number("signal", later)["kind"] == "later"
        assert not [one for one in self.every("define") if one["later"] == later], "defined twice"
        self._note("define", later=later, signal=signal)

    def level_above(self, vessel: str, on: float, off: float) -> int:
        assert on >= off
        return self._signal("level", vessel=vessel, on=on, off=off)

    def pressure_above(self, node: int, on: float, off: float) -> int:
        assert node in {one.number for one in self.every("node")}
        assert on > off > 0.0
        return self._signal("pressure", node=node, on=on, off=off)

    def pool_above(self, place: str, on: float, off: float) -> int:
        assert on >= off
        return self._signal("pool", place=place, on=on, off=off)

    def touches(self, place: str, on: float, off: float, measured: bool) -> int:
        assert measured in (True, False)
        return self.any(self.pool_above(place, on, off))

    def pool_salty(self, place: str, on: float) -> int:
        return self._signal("salty", place=place, on=on)

    def flow_above(self, edge: int, on: float, off: float) -> int:
        assert on > off > 0.0
        return self._signal("flow", edge=edge, on=on, off=off)

    def passed(self, edge: int, volume: float, put_back: int, while_: int) -> int:
        assert volume > 0.0
        return self._signal("passed", edge=edge, volume=volume, of=(put_back, while_))

    def at_midnight(self) -> int:
        return self._signal("midnight")

    def concentration_above(self, at: int, on: float, off: float) -> int:
        assert at in {one.number for one in self.every("node")}
        assert on > off >= 0.0
        return self._signal("concentration", at=at, on=on, off=off)

    def water_at(self, part_name: str) -> tuple[int, bool]:
        holds = KINDS[self.others[part_name].kind].role == "vessel"
        return self.tap(part_name) if holds else self.outlet(part_name), holds

    def hot_water(self) -> int | None:
        return self._signal("hot water") if self.part_view.get("taken from") == "mixer tap" else None

    def delivery(self, pump: str) -> tuple[int, int]:
        assert pump in self.others, f"{pump} is not in the house"
        return self._note("pump", part=pump), self._note("tube", part=pump)

    def water_of(self, vessel: str) -> float:
        spec = self.vessel(vessel)
        return spec.volume_at(spec.start)

    def who(self, person: str, state: str) -> int:
        return self._signal("who", person=person, state=state)

    def clock(self, begins: float, lasts: float, every_days: float = 1.0) -> int:
        assert 0.0 <= begins < 86400.0
        assert 0.0 < lasts < every_days * 86400.0
        return self._signal("clock", begins=begins, lasts=lasts, every_days=every_days)

    def circuit(self, name: str) -> int:
        assert name
        return self._signal("circuit", name=name)

    def feed(self, circuit: str, signal: int) -> None:
        assert circuit == self.part_view.name, "a part feeds its own circuit"
        self._note("feed", signal=signal)

    def leaks_to_earth(self, circuit: str, signal: int) -> None:
        assert circuit
        self._note("leaks to earth", circuit=circuit, signal=signal)

    def earth_leakage(self, circuit: str) -> int:
        return self._signal("earth leakage", circuit=circuit)

    def plugged(self) -> int:
        return self._signal("plugged")

    def switched_on(self, circuit: str) -> int:
        return self._signal("switched on", circuit=circuit)

    def listens(self, box: str) -> int:
        return self._signal("listens", box=box)

    def circuits_behind(self, name: str) -> tuple[str, ...]:
        assert name == self.part_view.name, "only a circuit asks what hangs behind it"
        return (name, *self.part_view["feeds"])

    def say(self, signal: int, true: str, false: str = "", kind: str = "note") -> None:
        self._note("say", signal=signal, true=true, false=false, kind=kind)

    def tally(self, word: str, whose: str, signal: int) -> None:
        self._note("tally", word=word, whose=whose, signal=signal)

    # -- between parts
    def condition(self, word: str, signal: int, meant: bool = False) -> None:
        self._note("condition", word=word, signal=signal, meant=meant)

    def actuator(self, resting: str, acting: str, power: str, follow: Callable[[int, int], None]) -> None:
        self.actuators.append((resting, acting, power, follow))

    def box(self, powered: int, alive: int, leads: Callable[[Lead], None], **rest: Any) -> None:
        assert {"keeps_trips", "keeps_counts", "hang_keeps_order", "wait"} <= set(rest)
        assert set(rest) <= {"keeps_trips", "keeps_counts", "hang_keeps_order", "wait", "lets_without_power"}
        self._note("box", powered=powered, alive=alive, **rest)
        leads(Lead("a pump", self.later(), self.later(), starts=True))

    def carries(self, signal: int) -> None:
        self._note("carries", signal=signal)

    def carried(self, name: str) -> int:
        return self._signal("carried", name=name)

    def passes_orders(self, arrive: Callable[[str, int], int]) -> None:
        self._note("passes_orders", out=arrive("a pump", self.later()))

    def sounds(self, signal: int, wakes: bool) -> None:
        self._note("sounds", signal=signal, wakes=wakes)

    def hand_shut(self, gate_signal: Callable[[int], None], run_to: bool = True) -> None:
        (self.hands if run_to else self.asides).append(gate_signal)

    def person(self, present: int, awake: int, hears: int, brushes_off: int, **rest: Any) -> None:
        assert set(rest) == {"reach", "sees_after", "sees_hidden_after", "sees_from", "sees_dead_after", "shuts"}
        self._note("person", present=present, awake=awake, hears=hears, brushes_off=brushes_off, **rest)

    # -- faults
    def fault(
        self,
        name: str,
        patches: Sequence[tuple[str, int, float]],
        where: str = "",
        sites: float = 1.0,
        until: int | None = None,
        trigger: int | None = None,
        lasts: float | None = None,
    ) -> None:
        assert patches, f"{name} changes nothing"
        for what, number, value in patches:
            self._sound(name, what, number, value)
        self._note(
            "fault",
            name=name,
            patches=tuple(patches),
            where=where,
            sites=sites,
            until=until,
            trigger=trigger,
            lasts=lasts,
        )

    def _sound(self, name: str, what: str, number: int, value: float) -> None:
        """A patch must point at a thing of its own sort, and change it by something that makes sense."""
        edges = ("tube", "orifice", "check", "regulator", "membrane", "pump", "fixed flow", "weir")
        target, allowed = {
            "low": (("gate",), 0.0 < value <= 1.0),
            "high": (("gate",), 0.0 <= value < 1.0),
            "force": (("signal",), value in (0.0, 1.0)),
            "scale": (edges, value > 0.0 and value != 1.0),
            "source": (("node",), value >= 0.0 and value != 1.0),
            "passage": (edges, 0.0 <= value <= 1.0),
            "holds": (("place number", "place"), value >= 0.0),
        }[what]
        assert self.asked[number].what in target, f"{name}: {what} points at a {self.asked[number].what}"
        assert allowed, f"{name}: {what} {value}"


def sample(param: Param, house: dict[str, PartView], depth: int = 0, step: float = 0.0) -> Any:
    """Something a keeper might answer: low in the range, the first word, a part with the right role.

    ``step`` [m] shifts a level, so that several of one part need not be the same.
    """
    if param.takes == "word":
        return param.words[0]
    if param.takes in ("part", "place"):
        return _neighbour(param, house, depth, 1)
    if param.takes in ("parts", "places"):
        return tuple(_neighbour(param, house, depth, number) for number in (1, 2))
    if param.takes in ("map", "compound"):
        return {one.key: sample(one, house, depth) for one in param.fields}
    if param.takes == "list":
        return (sample(param.fields[0], house, depth),)
    fixed = {
        "text": "here",
        "date": "2026-04-11",
        "time of day": 23400.0,
        "flag": True,
        "level": Level(0.1 + step, "bottom"),
    }
    if param.takes in fixed:
        return fixed[param.takes]
    low = 0.0 if param.low is None else param.low
    high = low + 1.0 if param.high is None else param.high
    middle = max(0.2 * (low + high), low)
    if param.takes == "count":
        return round(middle)
    return (middle, middle) if param.takes == "size" else middle


def _neighbour(param: Param, house: dict[str, PartView], depth: int, number: int) -> str:
    """The name of a part that this key may name, made if it is not there yet."""
    roles = param.roles or ("place",)
    kind = next(
        one
        for role in roles
        for one in KINDS.values()
        if one.role == role and set(param.has) <= {key.key for key in one.params}
        if not param.joins or param.joins in {port.name for port in one.ports if port.carries == "water"}
        if not param.looks or one.role == "vessel" or "out" in {port.name for port in one.ports}
    )
    name = f"{kind.word} {number}"
    if name not in house:
        assert depth < NESTED, f"parts name each other without end at {name}"
        house[name] = PartView(name, name, kind.word, {}, frozenset())  # for parts that name each other
        house[name] = sound(kind, name, house, depth + 1)
    return name


def sound(kind: Kind, name: str, house: dict[str, PartView], depth: int) -> PartView:
    """A part to which its own check does not object, with as few keys as will do."""
    left_out = [param for param in kind.params if param.default is None]
    for count in range(len(left_out) + 1):
        for group in combinations(left_out, count):
            view = sampled(kind, name, house, {param.key: sample(param, house, depth) for param in group}, depth)
            if not refused(kind, view):
                return view
    raise AssertionError(f"{kind.word}: its own check objects to everything")


def refused(kind: Kind, view: PartView) -> bool:
    """Whether its own check finds an error in the part."""
    return kind.check is not None and any(one.level == "error" for one in kind.check(view))


def sampled(
    kind: Kind, name: str, house: dict[str, PartView], given: Mapping[str, Any] | None = None, depth: int = 0
) -> PartView:
    """A part of that kind: as ``given``, else by default, else a sample.

    Levels that are samples rise from key to key; if the part's own check objects to that, they fall.
    """
    given = given or {}
    unheard_of = set(given) - {param.key for param in kind.params}
    assert not unheard_of, f"{kind.word} has no {unheard_of}"

    def answer(param: Param, step: float) -> Any:
        if param.key in given:
            value = given[param.key]
            if param.takes == "map" and isinstance(value, Mapping):
                return {one.key: value.get(one.key, one.default) for one in param.fields}
            return value
        if param.default is REQUIRED:
            return sample(param, house, depth, step)
        if param.default == "unknown":
            return param.unknown[0]
        return param.default

    def view(step: float) -> PartView:
        values = {param.key: answer(param, step * number) for number, param in enumerate(kind.params)}
        return PartView(name, name, kind.word, values, frozenset(given))

    rising = view(0.005)
    return view(-0.005) if refused(kind, rising) else rising


def lowered(
    kind: Kind,
    given: Mapping[str, Any] | None = None,
    others: Mapping[str, PartView] | None = None,
    name: str = "it",
    season: Mapping[str, float] | None = None,
    followers: Mapping[str, str] | None = None,
    joins: Sequence[str] = (),
) -> Recording:
    """What a part of that kind asks for; ``others`` are parts that should be just so, ``joins`` its ports in use."""
    house = dict(others or {})
    view = sampled(kind, name, house, given)
    recording = Recording(view, house, {**SEASON, **(season or {})}, dict(followers or {}), tuple(joins))
    kind.lower(view, recording)
    return recording
