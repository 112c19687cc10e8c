"""One box as something that runs: states of sensors in, orders and messages out, in time.

By the same rules as `logic`, from one moment at which something may change to the next, so that hours cost nothing. It
can be made to do one thing wrong (`Wrong`), to see which vectors would find that out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Final, NamedTuple

from dewpond.study.matrix.logic import BoxLogic, Limit, Output, Rule

CLOSE: Final = 1e-6  # what is nearer than this is over [s]


class Wrong(NamedTuple):
    """One thing done wrong that no other logic of a box would do.

    what  "cause overridden" (a button undoes a trip whose cause stands, until that has ended), "level" (the button
          counts as long as it is down), "taped" (down as power comes back, it counts), "demand wins" (over a stop),
          "day not put back", "falls the other way" (a part without current)
    key   of what: number of a row, of two rows, a part, or empty
    """

    what: str
    box: str
    key: tuple[str, ...] = ()


class Timer(NamedTuple):
    """What runs out next: in how long, and how long it was set to [s]."""

    left: float
    whole: float


class BoxMachine:
    """One box that has power."""

    def __init__(self, logic: BoxLogic, wrong: Iterable[Wrong] = ()) -> None:
        self.logic, self.box = logic, logic.box
        self.wrong = {(one.what, one.key) for one in wrong if one.box == logic.box.name}
        self.tripped: dict[str, bool] = {}
        self.locked: dict[tuple[str, str], bool] = {}
        self.ran: dict[tuple[str, str], float] = defaultdict(float)  # by (number of a row, part) [s]
        self.today: dict[str, float] = defaultdict(float)
        self.restart()

    def restart(self) -> None:
        """Power is back: what is not kept is forgotten, and what is down already is not pressed."""
        if not self.box.keeps_trips:
            self.tripped = {}
        self.locked = {
            (limit.rule.line.number, limit.part): True
            for limit in self.logic.limits
            if limit.kept and self.locked.get((limit.rule.line.number, limit.part))
        }
        if not self.box.keeps_counts:
            self.ran.clear()
            self.today.clear()
        self.cut_short = {(limit.rule.line.number, limit.part) for limit in self.logic.limits}
        self.up = 0.0
        self.first = True
        self.button = ("taped", ()) not in self.wrong
        self.stood: dict[str, float | None] = {}
        self.overridden: set[str] = set()
        self.out: dict[str, bool] = {}
        self.span: dict[str, float | None] = {}  # how long its output has been as it is [s]
        self.told: set[str] = set()

    def scan(self, states: Mapping[str, bool], button: bool, turns: bool, step: float) -> None:
        """`step` [s] after the last scan; turns: the day begins with it."""
        self._time(step, turns)
        ready = self.up >= self.box.wait - CLOSE
        level = ("level", ()) in self.wrong
        press = button and ready and (level or not self.button)
        self.button = button
        self.told = set()
        trips: dict[str, bool] = {}
        wants: dict[tuple[str, str], bool] = {}
        sees: dict[str, bool] = {}
        for rule in self.logic.rules:
            number = rule.line.number
            seen = sees[number] = ready and _holds(rule, states)
            acts = self._lasted(rule, seen, step)
            trips[number] = (
                self._trip(rule, acts, seen, press) if rule.latched else self._stops(rule, acts, seen, ready)
            )
            if rule.tells and trips[number] and ready:
                self.told.add(rule.tells)
            for limit in (one for one in self.logic.limits if one.rule.line.number == number):
                wants[number, limit.part] = self._wants(limit, acts, seen, press, ready)
        before = dict(self.out)
        for output in self.logic.outputs:
            self.out[output.effect.name] = ready and self._orders(output, trips, wants)
        self._put_back(sees, ready)
        for part, out in self.out.items():
            if self.first or out != before.get(part):
                self.span[part] = 0.0
        self.first = False

    def _time(self, step: float, turns: bool) -> None:
        if self.first:
            return
        self.up += step
        for part, out in self.out.items():
            span = self.span[part]
            self.span[part] = None if span is None else span + step
            if turns and ("day not put back", (part,)) not in self.wrong:
                self.today[part] = 0.0
            elif out:
                self.today[part] += step
        for limit in self.logic.limits:
            if self.out.get(limit.part):
                self.ran[limit.rule.line.number, limit.part] += step

    def _lasted(self, rule: Rule, seen: bool, step: float) -> bool:
        number = rule.line.number
        if not seen:
            self.stood[number] = None
            self.overridden.discard(number)
            return False
        before = self.stood.get(number)
        now = 0.0 if before is None else before + step
        self.stood[number] = now
        return now >= rule.lasting - CLOSE and number not in self.overridden

    def _trip(self, rule: Rule, acts: bool, seen: bool, press: bool) -> bool:
        number = rule.line.number
        if press and seen and ("cause overridden", (number,)) in self.wrong:
            self.overridden.add(number)
            self.tripped[number] = False
        elif acts:
            self.tripped[number] = True
        elif press and not (rule.rearm_if_clear and seen):
            self.tripped[number] = False
        return self.tripped.get(number, False)

    def _stops(self, rule: Rule, acts: bool, seen: bool, ready: bool) -> bool:
        """What a stop does that ends with its cause: that lasts anew after a restart, but it has not ended."""
        number = rule.line.number
        if not rule.stops or acts:
            self.tripped[number] = acts
        elif ready and not seen:
            self.tripped[number] = False
        return self.tripped.get(number, False)

    def _put_back(self, sees: Mapping[str, bool], ready: bool) -> None:
        """A run that the box itself ends is over; one that a power cut ended goes on, or ends with its cause."""
        for limit in self.logic.limits:
            number, out = limit.rule.line.number, self.out.get(limit.part, False)
            key = number, limit.part
            if out or self.locked.get(key) or (ready and not sees[number]):
                self.cut_short.discard(key)
            if ready and not out and key not in self.cut_short:
                self.ran[key] = 0.0

    def _wants(self, limit: Limit, acts: bool, seen: bool, press: bool, ready: bool) -> bool:
        wanted, part = acts, limit.part
        if limit.at_most is not None:
            key, after = (limit.rule.line.number, part), limit.after
            if ready and self.ran[key] >= limit.at_most - CLOSE:
                self.locked[key] = True
            elif after is not None and after.latched:
                if press and not (after.rearm_when and seen):
                    self.locked[key] = False
            elif ready and not seen:
                self.locked[key] = False
            locked = self.locked.get(key, False)
            if after is not None and after.tells and locked and ready:
                self.told.add(after.tells)
            wanted = wanted and not locked
        if limit.gap is not None:
            rested = self.span.get(part)
            wanted = wanted and bool(self.out.get(part) or (rested is not None and rested >= limit.gap - CLOSE))
        most = _day(limit)
        return wanted and (most is None or self.today[part] < most - CLOSE)

    def _orders(self, output: Output, trips: Mapping[str, bool], wants: Mapping[tuple[str, str], bool]) -> bool:
        stops = [rule.line.number for rule in output.stops if trips[rule.line.number]]
        if output.dead:
            return False
        if output.to_stop:
            return bool(stops)
        part = output.effect.name
        asked = [one.rule.line.number for one in output.demands if wants.get((one.rule.line.number, part))]
        if output.demands and not asked:
            return False
        won = {stop for stop in stops for one in asked if ("demand wins", (stop, one, part)) in self.wrong}
        return not set(stops) - won

    def timers(self) -> Iterator[Timer]:
        """All that is running out."""
        if self.up < self.box.wait - CLOSE:
            yield Timer(self.box.wait - self.up, self.box.wait)
        for rule in self.logic.rules:
            stood = self.stood.get(rule.line.number)
            if stood is not None and stood < rule.lasting - CLOSE:
                yield Timer(rule.lasting - stood, rule.lasting)
        for limit in self.logic.limits:
            part, span, most = limit.part, self.span.get(limit.part), _day(limit)
            if not self.out.get(part):
                if limit.gap is not None and span is not None and span < limit.gap - CLOSE:
                    yield Timer(limit.gap - span, limit.gap)
                continue
            ran = self.ran[limit.rule.line.number, part]
            if limit.at_most is not None and ran < limit.at_most - CLOSE:
                yield Timer(limit.at_most - ran, limit.at_most)
            if most is not None and self.today[part] < most - CLOSE:
                yield Timer(most - self.today[part], most)


def _holds(rule: Rule, states: Mapping[str, bool]) -> bool:
    return sum(states[asked.sensor] != asked.negated for asked in rule.asked) >= rule.need


def _day(limit: Limit) -> float | None:
    """Longest run time in a day [s]; None without a most, or where only a meter could tell it."""
    return limit.day / limit.flow if limit.day is not None and limit.flow else None
