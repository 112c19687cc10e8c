"""The signals of a house under construction: gates of logic, delays and latches, marks, counters, people, circuits."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from dewpond.parts import KINDS
from dewpond.parts.base import PartView, switched
from dewpond.plant import primitives as prim
from dewpond.plant.build import Net
from dewpond.plant.plant import DAY, Window

BELLOWS = 1e-13  # what the bellows of a pressure switch give way: 0.01 mL for each bar [m3/Pa]; our prior, 0.001 to 0.1


class Wiring:
    """The logical half of ``parts.lowering.Lowering``, which tells what each method means.

    views: the parts by name; places, vessels: names in the order of their numbers.
    """

    def __init__(self, views: Mapping[str, PartView], places: Sequence[str], vessels: Sequence[str]) -> None:
        self.net = Net()
        self.views = views
        self.place_numbers = {name: number for number, name in enumerate(places)}
        self.vessel_numbers = {name: number for number, name in enumerate(vessels)}
        self.presence: dict[tuple[str, str], int] = {}
        self.circuits: dict[str, int] = {}
        self.resets: dict[str, int] = {}
        self.leaking: dict[str, int] = {}
        self.listening: dict[str, int] = {}
        self.networks: dict[str, int] = {}
        self.midnight = -1
        self.clocks: dict[int, Window] = {}
        self.rearms: dict[int, str] = {}
        self.touching: list[tuple[int, str, int, bool]] = []  # owner, place, signal of the threshold, measured

    def no(self, signal: int) -> int:
        return -1 - signal

    def always(self, value: bool) -> int:
        return self.net.signal(prim.L_CONST, float(value), start=int(value))

    def vote(self, need: int, signals: Sequence[int]) -> int:
        return self.net.signal(prim.L_VOTE, float(need), signals)

    def any(self, *signals: int) -> int:
        return self.vote(1, signals)

    def all(self, *signals: int) -> int:
        return self.vote(len(signals), signals)

    def on_delay(self, signal: int, seconds: float) -> int:
        return self.net.signal(prim.L_ON_DELAY, seconds, [signal])

    def off_delay(self, signal: int, seconds: float) -> int:
        return self.net.signal(prim.L_OFF_DELAY, seconds, [signal])

    def latch(self, set_: int, reset: int, forget: int) -> int:
        return self.net.signal(prim.L_LATCH, 0.0, [set_, reset, forget])

    def rearm(self, what: str) -> int:
        pressed = self.net.signal(prim.L_TIMETABLE)
        self.rearms[pressed] = what
        return pressed

    def hold(self, signal: int, freeze: int) -> int:
        return self.net.signal(prim.L_HOLD, 0.0, [signal, freeze])

    def later(self) -> int:
        return self.vote(1, [])

    def define(self, later: int, signal: int) -> None:
        self.net.signals[later].inputs = [signal]

    def level_above(self, vessel: str, on: float, off: float) -> int:
        return self.net.threshold(prim.T_LEVEL, self.vessel_numbers[vessel], on, min(off, on - 0.0005))

    def pressure_above(self, node: int, on: float, off: float) -> int:
        self.net.make_spring(node, BELLOWS)
        return self.net.threshold(prim.T_PRESSURE, node, on, min(off, 0.999 * on))

    def pool_above(self, place: str, on: float, off: float) -> int:
        return self.net.threshold(prim.T_POOL, self.place_numbers[place], on, min(off, 0.999 * on))

    def touches(self, place: str, on: float, off: float, measured: bool) -> int:
        lying = self.pool_above(place, on, off)
        self.touching.append((self.net.owner, place, lying, measured))
        return self.any(lying)

    def pool_salty(self, place: str, on: float) -> int:
        return self.net.threshold(prim.T_POOL_SALT, self.place_numbers[place], on, 0.9 * on)

    def flow_above(self, edge: int, on: float, off: float) -> int:
        return self.net.threshold(prim.T_FLOW, edge, on, min(off, 0.9 * on))

    def concentration_above(self, at: int, on: float, off: float) -> int:
        return self.net.threshold(prim.T_CONC, at, on, min(off, 0.999 * on))

    def at_midnight(self) -> int:
        if self.midnight < 0:
            self.midnight = self.net.signal(prim.L_TIMETABLE)
        return self.midnight

    def passed(self, edge: int, volume: float, put_back: int, while_: int) -> int:
        return self._counter(edge, volume, self.any(put_back), while_)

    def counted(self, edge: int, volume: float, put_back: int, ordered: int, awake: int) -> int:
        """A day's volume [m3] has gone through an edge while it was ordered. A midnight while its box is not ``awake``
        is one that it does not learn of."""
        return self._counter(edge, volume, self.any(put_back, self.all(self.at_midnight(), awake)), ordered)

    def timed(self, signal: int, seconds: float, put_back: int) -> int:
        return self._counter(-1, seconds, self.any(put_back), signal)

    def _counter(self, edge: int, most: float, put_back: int, when: int) -> int:
        self.net.counters.append((edge, put_back, self.any(when)))
        return self.net.threshold(prim.T_COUNTER, len(self.net.counters) - 1, most, 0.5 * most)

    def who(self, person: str, state: str) -> int:
        key = (person, state)
        if key not in self.presence:
            self.presence[key] = self.net.signal(prim.L_TIMETABLE)
        return self.presence[key]

    def clock(self, begins: float, lasts: float, every_days: float = 1.0) -> int:
        signal = self.net.signal(prim.L_TIMETABLE)
        self.clocks[signal] = Window(begins, lasts, every_days * DAY)
        assert 0.0 < lasts < every_days * DAY, "a window ends before it begins again"
        return signal

    def circuit(self, name: str) -> int:
        if name not in self.circuits:
            self.circuits[name] = self.net.signal(prim.L_TIMETABLE, start=1)
        return self.circuits[name]

    def feed(self, circuit: str, signal: int) -> None:
        fed = self.net.signals[self.circuit(circuit)]
        fed.op, fed.arg, fed.inputs = prim.L_VOTE, 1.0, [signal]

    def switched(self, circuit: str) -> bool:
        return switched(self.views, KINDS, circuit)

    def leaks_to_earth(self, circuit: str, signal: int) -> None:
        self.net.signals[self.earth_leakage(circuit)].inputs.append(signal)

    def earth_leakage(self, circuit: str) -> int:
        if circuit not in self.leaking:
            self.leaking[circuit] = self.later()
        return self.leaking[circuit]

    def switched_on(self, circuit: str) -> int:
        if circuit not in self.resets:
            self.resets[circuit] = self.later()
        return self.resets[circuit]

    def listens(self, box: str) -> int:
        if box not in self.listening:
            self.listening[box] = self.later()
        return self.listening[box]

    def carried(self, name: str) -> int:
        if name not in self.networks:
            self.networks[name] = self.later()
        return self.networks[name]

    def circuits_behind(self, name: str) -> tuple[str, ...]:
        names = [name]
        for one in names:  # grows as it goes; a circuit may be named without being described
            fed = (self.views[one].get("feeds") or ()) if one in self.views else ()
            names += [other for other in fed if other not in names]
        return tuple(names)
