"""Which sensors to force so that one cause, or one input of it, decides what is seen; a trial under construction."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from functools import cached_property
from itertools import combinations
from math import comb
from typing import Final

from dewpond.study.matrix.bench import Device, Force, House
from dewpond.study.matrix.logic import Limit, Output, Rule
from dewpond.study.matrix.machine import CLOSE
from dewpond.study.matrix.trial import Step, Trial

SOON: Final = 1.0  # within which anything that follows at once must have followed [s]
SLACK: Final = 0.05  # by which a box may be early or late [1], as in the walk
UNPLUGGED: Final = 10.0  # a plug that is out for less may not be missed [s]; our prior
MOST_STATES: Final = 4096  # states of the sensors that are looked through
PAUSE: Final = 60.0  # long enough to see that nothing comes back by itself [s]
State = frozenset[str]  # sensors that are in the state that they report


Maker = Callable[[], Trial | None]


class BlurredError(Exception):
    """Two things follow each other so closely that a watch does not tell them apart."""


class Planner:
    """The causes of a device, and the states of its sensors by what holds in them."""

    def __init__(self, sound: Device) -> None:
        self.sound = sound
        self.sensors = tuple(dict.fromkeys(s for logic in sound.logics for s in logic.sensors))
        self.rules = {r.line.number: r for logic in sound.logics for r in logic.rules}
        self.limits = [limit for logic in sound.logics for limit in logic.limits]

    @cached_property
    def states(self) -> dict[State, frozenset[str]]:
        """State -> rows whose cause holds in it; the fewest sensors first."""
        found, count = {}, 0
        for raised in range(len(self.sensors) + 1):
            count += comb(len(self.sensors), raised)
            if count > MOST_STATES:
                break
            for chosen in combinations(self.sensors, raised):
                state = frozenset(chosen)
                found[state] = frozenset(n for n, rule in self.rules.items() if _holds(rule, state))
        return found

    def find(self, true: Collection[str], false: Collection[str]) -> State | None:
        """The simplest state in which these causes hold and those do not."""
        wanted, barred = set(true), set(false)
        fits = (s for s, holds in self.states.items() if wanted <= holds and not barred & holds)
        return next(fits, None)

    def pair(
        self, number: str, sensor: str, true: Collection[str], false: Collection[str]
    ) -> tuple[State, State] | None:
        """Two states that differ in one sensor only: without and with the cause of a row."""
        wanted, barred = set(true) - {number}, set(false) - {number}
        for state, holds in self.states.items():
            other = state ^ {sensor}
            also = self.states.get(other)
            if sensor in state or also is None or (number in holds) == (number in also):
                continue
            if all(wanted <= one and not barred & one for one in (holds, also)):
                return (other, state) if number in holds else (state, other)
        return None

    @cached_property
    def quiet(self) -> State:
        """The simplest state with the fewest causes, demands counted before trips, and those before what only tells."""
        demands = {limit.rule.line.number for limit in self.limits}
        stops = {n for n, rule in self.rules.items() if rule.stops}
        return min(
            self.states,
            key=lambda s: (
                len(self.states[s] & demands),
                len(self.states[s] & stops),
                len(self.states[s]),
                len(s),
                sorted(s),
            ),
        )

    # -- who acts on what ----------------------------------------------------------------------------------------------
    def stops(self, part: str) -> list[str]:
        """Rows that stop a part, in any box."""
        return [n for n, rule in self._by_part if part in rule.stops]

    def demands(self, part: str) -> list[str]:
        """Rows that let it act."""
        return [n for n, rule in self._by_part if part in rule.demands]

    @cached_property
    def _by_part(self) -> list[tuple[str, Rule]]:
        found = {}
        for logic in self.sound.logics:
            for rule in logic.rules:
                found[rule.line.number, logic.box.name] = rule
        return [(number, rule) for (number, _), rule in found.items()]

    def tells(self, message: str) -> list[str]:
        """Rows that send a message."""
        return [n for n, rule in self.rules.items() if rule.tells == message]

    def boxes(self, number: str) -> list[str]:
        """Boxes that carry a row out."""
        return [one.box.name for one in self.sound.logics if any(rule.line.number == number for rule in one.rules)]

    def wait(self, box: str) -> float:
        """How long a box gives no order after a restart [s]."""
        return next(logic.box.wait for logic in self.sound.logics if logic.box.name == box)

    def limits_of(self, part: str) -> Iterator[Limit]:
        """All limits that a part is held to."""
        return (limit for limit in self.limits if limit.part == part)

    def gap(self, part: str = "") -> float:
        """The longest pause of a part, or of all [s]."""
        return max((x.gap or 0.0 for x in self.limits if not part or x.part == part), default=0.0)


def _holds(rule: Rule, state: State) -> bool:
    return sum((asked.sensor in state) != asked.negated for asked in rule.asked) >= rule.need


class Draft:
    """A trial under construction, with the sound device beside it that says what to expect."""

    def __init__(self, planner: Planner) -> None:
        self.planner, self.house = planner, House(planner.sound)
        self.state: State = frozenset()
        self.ran_out = 0.0  # what has run out, one behind the other, since something was forced [s]
        self.steps: list[Step] = []
        self.shown: list[str] = []
        self.house.apply(self.move(planner.quiet))
        rules = [planner.rules[n] for n in planner.states[planner.quiet]]
        waits = [logic.box.wait for logic in planner.sound.logics]
        longest = planner.gap() + max(waits, default=0.0) + max((r.lasting for r in rules), default=0.0)
        tolerance = max(SOON, SLACK * longest)
        self.house.advance(longest + tolerance)
        forces = tuple(Force("sensor", name, name in self.state) for name in planner.sensors)
        self._note(forces, longest, tolerance)

    def move(self, state: State) -> tuple[Force, ...]:
        """What brings the sensors into a state; to be done."""
        names = [name for name in self.planner.sensors if (name in state) != (name in self.state)]
        self.state = state
        return tuple(Force("sensor", name, name in state) for name in names)

    def _note(self, forces: tuple[Force, ...], wait: float, tolerance: float) -> None:
        self.steps.append(Step(forces, wait, tolerance, self.house.outputs(), self.house.tripped()))

    @property
    def now(self) -> dict[str, str]:
        """What is so."""
        return dict(self.steps[-1].expect)

    def do(self, *forces: Force, within: float = SOON) -> Draft:
        """Force, and see what follows at once, or within so long [s]."""
        self.ran_out = 0.0
        self.house.apply(forces)
        self.house.advance(within)
        self._note(forces, 0.0, within)
        return self

    def go(self, state: State) -> Draft:
        """Bring the sensors into a state, and let delays of what now holds run out."""
        before = self.planner.states[self.state]
        forces = self.move(state)
        if forces:
            self.do(*forces)
        new = [self.planner.rules[n] for n in self.planner.states[state] - before]
        for lasting in sorted({rule.lasting for rule in new if rule.lasting > SOON}):
            self.until(1.2 * lasting)
        return self

    def until(self, most: float) -> bool:
        """Wait for the next change, at most so long [s]; whether one has come."""
        before, left = self.house.outputs(), most
        while left > CLOSE:
            timer = self.house.timer()
            if timer is None or timer.left > left:
                self.house.advance(left)
                break
            self.house.advance(timer.left)
            left -= timer.left
            self.ran_out += timer.whole  # one may have begun as another ended, and each may be late
            if self.house.outputs() != before:
                break
        changed = self.house.outputs()
        waited = most - left if changed != before else most
        tolerance = max(SOON, SLACK * (self.ran_out if changed != before else most))
        self.house.advance(tolerance)
        if self.house.outputs() != changed:
            raise BlurredError
        self._note((), waited, tolerance)
        return changed != before

    def press(self, boxes: Sequence[str]) -> Draft:
        """Press the buttons of these boxes, and let go."""
        return self.do(*presses(boxes))

    def restart(self, box: str, taped: bool = False) -> Draft:
        """Pull the plug of a box and put it in again, perhaps with its button held down; wait until it orders again."""
        self.do(Force("power", box, False), within=UNPLUGGED)
        if taped:
            self.do(Force("button", box, True))
        self.do(Force("power", box, True))
        self._delays(self.planner.wait(box))
        gap = max((self.planner.gap(o.effect.name) for o in self._outputs(box)), default=0.0)
        if gap:
            self.until(1.2 * gap)
        if taped:
            self.do(Force("button", box, False))
        return self

    def _delays(self, wait: float) -> None:
        """A box waits after its restart, and causes that stand must last anew."""
        lasting = max((self.planner.rules[n].lasting for n in self.planner.states[self.state]), default=0.0)
        if wait + lasting > SOON and self.until(1.2 * (wait + lasting)) and wait and lasting > SOON:
            self.until(1.2 * lasting)

    def _outputs(self, box: str) -> tuple[Output, ...]:
        return next(logic.outputs for logic in self.planner.sound.logics if logic.box.name == box)

    def show(self, *what: str) -> Draft:
        """Say what the steps up to here have shown."""
        self.shown += [one for one in what if one not in self.shown]
        return self

    def trial(self, title: str, row: str) -> Trial:
        """What has come of it."""
        return Trial(title, row, tuple(self.steps), tuple(self.shown))


def presses(boxes: Sequence[str]) -> tuple[Force, ...]:
    """Buttons pressed and let go."""
    return tuple(Force("button", box, down) for box in boxes for down in (True, False))


def cell(number: str, key: str, fired: bool) -> str:
    """What a trial shows of a cell."""
    return f"{number} on {key}: {'fired' if fired else 'not fired'}"


def alone(number: str, sensor: str, key: str) -> str:
    """What a trial shows of an input."""
    return f"{number} on {key}: {sensor} alone"


def beats(stop: str, demand: str, part: str) -> str:
    """What a trial shows of two rows on one part."""
    return f"{stop} beats {demand} on {part}"
