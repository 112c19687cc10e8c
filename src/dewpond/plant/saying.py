"""What parts say of themselves for the matrix, the people and the stories, while a house is under construction."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from dewpond.parts.base import Lead, PartView
from dewpond.plant.kept import Actuator, Box, Person
from dewpond.plant.plant import Say
from dewpond.plant.wiring import Wiring


class Saying(Wiring):
    """The telling half of ``parts.lowering.Lowering``: words, orders, boxes, links and people.

    file_order: names of the parts as the file has them; current: the part being lowered.
    """

    def __init__(
        self, views: Mapping[str, PartView], places: Sequence[str], vessels: Sequence[str], file_order: Sequence[str]
    ) -> None:
        super().__init__(views, places, vessels)
        self.file_order = file_order
        self.current: PartView = views[file_order[0]]
        self.says: dict[int, Say] = {}
        self.tallies: dict[str, list[tuple[int, str]]] = {}
        self.conditions: dict[tuple[str, str], int] = {}
        self.meant: set[str] = set()  # parts whose conditions come about on purpose
        self.actuators: dict[str, Actuator] = {}
        self.boxes: dict[str, Box] = {}
        self.people: list[Person] = []
        self.hands: list[tuple[str, Callable[[int], None]]] = []
        self.asides: list[tuple[str, Callable[[int], None]]] = []
        self.pulled = -1
        self.told: list[tuple[str, int]] = []
        self.passing: dict[str, Callable[[str, int], int]] = {}
        self.noises: list[tuple[str, int, bool]] = []

    # -- words ---------------------------------------------------------------------------------------------------------
    def say(self, signal: int, true: str, false: str = "", kind: str = "note") -> None:
        when = signal >= 0
        if not when:
            signal, true, false = -1 - signal, false, true
        self.says[signal] = Say(true, false, kind, self.current.name, when)
        self.net.logged[signal] = max(self.net.logged.get(signal, 0), 1 if kind in ("note", "start") else 2)

    def tally(self, word: str, whose: str, signal: int) -> None:
        signal = self.net.positive(signal)
        self.tallies.setdefault(word, []).append((signal, whose))
        self.net.logged.setdefault(signal, 1)

    # -- between parts -------------------------------------------------------------------------------------------------
    def condition(self, word: str, signal: int, meant: bool = False) -> None:
        self.conditions[self.current.name, word] = signal
        if meant:
            self.meant.add(self.current.name)

    def actuator(self, resting: str, acting: str, power: str, follow: Callable[[int, int], None]) -> None:
        part = self.current
        self.actuators[part.name] = Actuator(part, self.net.owner, resting, acting, power, follow)

    def box(
        self,
        powered: int,
        alive: int,
        keeps_trips: bool,
        keeps_counts: bool,
        hang_keeps_order: bool,
        wait: float,
        leads: Callable[[Lead], None],
        lets_without_power: bool = False,
    ) -> None:
        never = self.always(False)
        restarted = self.latch(self.no(powered), never, never)
        ready = self.any(self.on_delay(powered, wait), self.no(restarted)) if wait > 0.0 else powered
        self.boxes[self.current.name] = Box(
            self.current,
            self.net.owner,
            powered,
            alive,
            keeps_trips,
            keeps_counts,
            hang_keeps_order,
            ready,
            leads,
            lets_without_power,
        )

    def carries(self, signal: int) -> None:
        self.define(self.carried(self.current.name), signal)

    def passes_orders(self, arrive: Callable[[str, int], int]) -> None:
        self.passing[self.current.name] = arrive

    def sounds(self, signal: int, wakes: bool) -> None:
        self.noises.append((self.current.name, signal, wakes))

    def hand_shut(self, gate_signal: Callable[[int], None], run_to: bool = True) -> None:
        if not run_to:
            self.asides.append((self.current.name, gate_signal))
            return
        self.hands.append((self.current.name, gate_signal))
        self.hands.sort(key=lambda hand: self.file_order.index(hand[0]))

    def person(
        self,
        present: int,
        awake: int,
        hears: int,
        brushes_off: int,
        reach: float,
        sees_after: float,
        sees_hidden_after: float,
        sees_from: float,
        sees_dead_after: float,
        shuts: str,
    ) -> None:
        self.people.append(
            Person(
                self.current,
                self.net.owner,
                present,
                awake,
                hears,
                brushes_off,
                reach,
                sees_after,
                sees_hidden_after,
                sees_from,
                sees_dead_after,
                shuts,
            )
        )

    def plugged(self) -> int:
        return self.no(self.unplugged())

    def unplugged(self) -> int:
        """True once a person has come and pulled the plugs of the pumps."""
        if self.pulled < 0:
            self.pulled = self.later()
        return self.pulled
