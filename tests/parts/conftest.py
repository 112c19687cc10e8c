"""A bench for parts: it takes the place of the plant, keeps what a part asked for, and works out its signals.

Not a second plant: no water flows here. A signal is worked out from facts that the test states ("the level is above
the mark"), so that contacts, wires and latches can be tried against a truth table made by hand.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pytest

from dewpond.parts.base import REQUIRED, Floor, Kind, Level, PartView


@dataclass
class Gate:
    """What was asked of a gate: its kind, and the signal it follows."""

    kind: str
    signal: int = 0


@dataclass
class Bench:
    """Implements what the parts under test ask of the lowering."""

    floors: dict[str, Floor] = field(default_factory=dict)
    parts: dict[str, PartView] = field(default_factory=dict)
    heights: dict[str, float] = field(default_factory=dict)
    seasons: dict[str, float] = field(default_factory=lambda: {"air": 294.15, "humidity": 0.5, "supply": 4e5})
    nodes: list[tuple[Any, ...]] = field(default_factory=list)
    state: dict[int, bool] = field(default_factory=dict)
    forced: dict[int, bool] = field(default_factory=dict)
    conditions: dict[str, int] = field(default_factory=dict)
    said: list[tuple[int, str, str, str]] = field(default_factory=list)
    faults: dict[str, list[tuple[str, int, float]]] = field(default_factory=dict)
    until: dict[str, int] = field(default_factory=dict)
    trigger: dict[str, int] = field(default_factory=dict)
    leaks: list[tuple[Any, ...]] = field(default_factory=list)
    gates: list[Gate] = field(default_factory=list)
    edges: list[tuple[Any, ...]] = field(default_factory=list)
    ends: list[tuple[Any, ...]] = field(default_factory=list)
    places: list[tuple[Any, ...]] = field(default_factory=list)
    boxes: list[dict[str, Any]] = field(default_factory=list)
    people: list[dict[str, Any]] = field(default_factory=list)
    behind: tuple[str, ...] = ()  # circuits behind the one that is lowered

    # -- the house
    def season(self, name: str, _place: str = "") -> float:
        return self.seasons[name]

    def part(self, name: str) -> PartView:
        return self.parts[name]

    def place_height(self, place: str) -> float:
        return self.heights.get(place, 0.0)

    def vessel_level(self, vessel: str, level: Level) -> float:
        assert level.measured == "bottom", f"the bench knows no rim of {vessel}"
        return level.value

    def place(self, floor: Floor, next_place: str | None, to_drain: bool, drying: float) -> int:
        self.places.append((floor, next_place, to_drain, drying))
        return 100 + len(self.places)

    def place_number(self, place: str) -> int:
        return sorted(self.floors).index(place)

    def floor(self, place: str) -> Floor:
        return self.floors[place]

    def backed_up(self, place: str) -> int:
        return self._node("backed up", place)

    # -- nodes and edges
    def outlet(self, part_name: str, port: str = "out") -> int:
        return self._end("outlet", part_name, port)

    def port(self, port: str, z: float) -> int:
        return self._end("port", port, z)

    def _end(self, *what: Any) -> int:
        self.ends.append(what)
        return len(self.ends) - 1

    def orifice(self, a: int, b: int, k: float, gate: int = -1) -> int:
        self.edges.append((self.ends[a], self.ends[b], k, gate))
        return len(self.edges) - 1

    def leak(
        self, node: int, z: float, place: str, fault: str, area: float, cd: float = 0.7, where: str = "",
        sites: float = 1.0, cuts: bool = False,
    ) -> None:  # fmt: skip
        del cuts
        self.leaks.append((self.ends[node], z, place, fault, area, cd, where, sites))

    def gate_signal(self, signal: int) -> int:
        self.gates.append(Gate("signal", signal))
        return len(self.gates) - 1

    # -- logic
    def _node(self, *what: Any) -> int:
        self.nodes.append(what)
        return len(self.nodes) - 1

    def no(self, signal: int) -> int:
        return -1 - signal

    def always(self, value: bool) -> int:
        return self._node("always", value)

    def vote(self, need: int, signals: Sequence[int]) -> int:
        return self._node("vote", need, tuple(signals))

    def any(self, *signals: int) -> int:
        return self.vote(1, signals)

    def all(self, *signals: int) -> int:
        return self.vote(len(signals), signals)

    def latch(self, set_: int, reset: int, forget: int) -> int:
        return self._node("latch", set_, reset, forget)

    def rearm(self, what: str) -> int:
        return self._node("rearm", what)

    def hold(self, signal: int, freeze: int) -> int:
        return self._node("hold", signal, freeze)

    def level_above(self, vessel: str, on: float, off: float) -> int:
        assert on >= off
        return self._node("level", vessel, on, off)

    def pool_above(self, place: str, on: float, off: float) -> int:
        assert on > off
        return self._node("pool", place, on, off)

    def touches(self, place: str, on: float, off: float, measured: bool) -> int:  # noqa: ARG002
        return self.any(self.pool_above(place, on, off))

    def pool_salty(self, place: str, on: float) -> int:
        return self._node("salty", place, on)

    def circuit(self, name: str) -> int:
        known = [number for number, node in enumerate(self.nodes) if node == ("circuit", name)]
        return known[0] if known else self._node("circuit", name)

    def switched_on(self, circuit: str) -> int:
        known = [number for number, node in enumerate(self.nodes) if node == ("switched on", circuit)]
        return known[0] if known else self._node("switched on", circuit)

    def listens(self, box: str) -> int:
        assert box
        return self._node("always", True)

    def circuits_behind(self, name: str) -> tuple[str, ...]:
        return (name, *self.behind)

    def who(self, person: str, state: str) -> int:
        return self._node("who", person, state)

    def say(self, signal: int, true: str, false: str = "", kind: str = "note") -> None:
        self.said.append((signal, true, false, kind))

    def condition(self, word: str, signal: int, meant: bool = False) -> None:
        del meant
        self.conditions[word] = signal

    def box(self, powered: int, alive: int, **rest: Any) -> None:
        self.boxes.append({"powered": powered, "alive": alive, **rest})

    def person(self, **rest: Any) -> None:
        self.people.append(rest)

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
        assert lasts is None
        assert name not in self.faults, f"{name} is tied twice"
        assert (where, sites) == ("", 1.0), "none of these parts has several sites of one fault"
        self.faults[name] = list(patches)
        if until is not None:
            self.until[name] = until
        if trigger is not None:
            self.trigger[name] = trigger

    # -- for tests
    def fail(self, *names: str) -> None:
        """Apply the forces of these faults, instead of those applied before."""
        self.forced = {
            signal: bool(value) for name in names for what, signal, value in self.faults[name] if what == "force"
        }

    def now(self, signal: int, **facts: bool) -> bool:
        """The signal, given facts by the kind of node: level, pool, salty, circuit, who. Latches remember."""
        if signal < 0:
            return not self.now(-1 - signal, **facts)
        value = self.forced[signal] if signal in self.forced else self._work_out(signal, **facts)
        self.state[signal] = value
        return value

    def _work_out(self, signal: int, **facts: bool) -> bool:
        kind, *rest = self.nodes[signal]
        if kind == "always":
            return bool(rest[0])
        if kind == "vote":
            return sum(self.now(one, **facts) for one in rest[1]) >= rest[0]
        if kind == "latch":
            set_, reset, forget = (self.now(one, **facts) for one in rest)
            return set_ or (self.state.get(signal, False) and not reset and not forget)
        if kind == "hold":
            return self.state.get(signal, False) if self.now(rest[1], **facts) else self.now(rest[0], **facts)
        return facts.get(kind, False) if kind == "rearm" else facts[kind]

    def node(self, kind: str) -> tuple[Any, ...]:
        """The only node of a kind."""
        found = [node for node in self.nodes if node[0] == kind]
        assert len(found) == 1, found
        return found[0]


def make_view(kind: Kind, name: str, given: Mapping[str, Any]) -> PartView:
    """A part of that kind with its defaults, "unknown" answered as the reader answers it: by the first value tried."""

    def filled(params: Sequence[Any], keys: Mapping[str, Any]) -> dict[str, Any]:
        assert set(keys) <= {param.key for param in params}, set(keys) - {param.key for param in params}
        values = {}
        for param in params:
            value = keys.get(param.key, param.default)
            assert value is not REQUIRED, f"{param.key} must be given"
            value = param.unknown[0] if value == "unknown" else value
            values[param.key] = filled(param.fields, value) if param.takes == "map" and value is not None else value
        return values

    return PartView(name.replace(" ", "-"), name, kind.word, filled(kind.params, given), frozenset(given))


@pytest.fixture
def bench() -> Bench:
    """A bench with two floors: a room of 15 m2 that leads nowhere and a tray of 0.36 m2."""
    return Bench(floors={"study": Floor(15.0, 2.7e-3, 1e30), "tray": Floor(0.36, 2.7e-3, 0.36 * 0.0427)})


@pytest.fixture
def lowered(bench: Bench) -> Callable[..., Bench]:
    """Lowers one part on the bench: `lowered(KIND, "name", {"key": value})`."""

    def lower(kind: Kind, name: str, given: Mapping[str, Any]) -> Bench:
        view = make_view(kind, name, given)
        bench.behind = given.get("feeds", ())
        assert kind.check is None or kind.check(view) == []
        kind.lower(view, bench)  # type: ignore[arg-type]  # the bench does only what these parts ask
        return bench

    return lower


@pytest.fixture
def view() -> Callable[[Kind, str, Mapping[str, Any]], PartView]:
    """Makes a part without lowering it."""
    return make_view
