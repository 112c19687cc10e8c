"""Trials to choose from: for every row, box and limit what a careful person would try, fullest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from dewpond.study.matrix.bench import Device, Force
from dewpond.study.matrix.logic import BoxLogic, Rule
from dewpond.study.matrix.model import Line, Matrix, message_key
from dewpond.study.matrix.planner import (
    PAUSE,
    SOON,
    BlurredError,
    Draft,
    Maker,
    Planner,
    State,
    alone,
    beats,
    cell,
    presses,
)
from dewpond.study.matrix.runs import Run
from dewpond.study.matrix.trial import Trial

Pair = tuple[State, State]


def goals(matrix: Matrix, sound: Device) -> list[str]:
    """All that the trials together are to show, besides finding mutants."""
    found = [cell(line.number, key, fired) for line in matrix.lines for key in line.marks for fired in (True, False)]
    for logic in sound.logics:
        for rule in logic.rules:
            for key in _keys(rule):
                found += [alone(rule.line.number, asked.sensor, key) for asked in rule.asked]
        for output in logic.outputs:
            found += [
                beats(stop.line.number, limit.rule.line.number, output.effect.name)
                for stop in output.stops
                for limit in output.demands
            ]
    return list(dict.fromkeys(found))


def _keys(rule: Rule) -> list[str]:
    """Keys of the columns that a rule of one box acts on."""
    return [*rule.stops, *rule.demands, *([message_key(rule.tells)] if rule.tells else [])]


def scenarios(sound: Device) -> Iterator[Trial]:
    """Every trial that can be made of a device; one in which two things cannot be told apart is left out."""
    planner = Planner(sound)
    if not planner.sensors and not sound.own:
        return
    for make in _makers(planner):
        try:
            made = make()
        except BlurredError:
            continue
        if made is not None:
            yield made


def _makers(planner: Planner) -> Iterator[Maker]:
    for number in planner.rules:
        yield from _Row(planner, number).makers()
    for logic in planner.sound.logics:
        for limit in logic.limits:
            yield from Run(planner, limit, logic.box.name).makers()
    for logic in planner.sound.logics:
        for stopped in (False, True):
            yield lambda logic=logic, stopped=stopped: _box(planner, logic, stopped)  # type: ignore[misc]
    for line in planner.sound.own:
        yield lambda line=line: _own(planner, line)  # type: ignore[misc]


class _Row:
    """Trials of one row, in all boxes that carry it out."""

    def __init__(self, planner: Planner, number: str) -> None:
        self.planner, self.number = planner, number
        self.rule = planner.rules[number]
        mine = [rule for logic in planner.sound.logics for rule in logic.rules if rule.line.number == number]
        self.keys = list(dict.fromkeys(key for rule in mine for key in _keys(rule)))
        self.stops = list(dict.fromkeys(part for rule in mine for part in rule.stops))
        self.demands = list(dict.fromkeys(part for rule in mine for part in rule.demands))
        self.boxes = planner.boxes(number)
        self.latched = self.rule.latched and bool(self.stops or self.rule.tells)

    def makers(self) -> Iterator[Maker]:
        """Each input alone, then what a latch must bear, then stops before demands."""
        first = True
        for asked in self.rule.asked:
            for pair, keys in self._pairs(asked.sensor):
                yield lambda p=pair, k=keys, f=first, s=asked.sensor: self._cause(p, k, s, f)  # type: ignore[misc]
                if first and self.latched:
                    yield from self._latch(pair)
                first = False
        for part in self.stops:
            for demand in self.planner.demands(part):
                yield lambda p=part, d=demand: self._stop_first(p, d)  # type: ignore[misc]
                yield lambda p=part, d=demand: self._stop_after(p, d)  # type: ignore[misc]

    def _context(self, keys: Iterable[str], demand: str = "") -> tuple[set[str], set[str]]:
        """Causes that must hold for these columns to show what the row does, and causes that must not."""
        true: set[str] = set()
        false: set[str] = set()
        for key in keys:
            if key in self.stops:
                true |= {demand} if demand else set(self.planner.demands(key)[:1])
                false |= set(self.planner.stops(key))
            elif key in self.demands:
                false |= {*self.planner.stops(key), *self.planner.demands(key)}
            else:
                false |= set(self.planner.tells(self.rule.tells or ""))
        return true - {self.number}, false - {self.number} - true

    def _pairs(self, sensor: str) -> Iterator[tuple[Pair, list[str]]]:
        """The fewest pairs of states that show all columns with one sensor alone."""
        whole = self.planner.pair(self.number, sensor, *self._context(self.keys))
        if whole is not None:
            yield whole, self.keys
            return
        for key in self.keys:
            pair = self.planner.pair(self.number, sensor, *self._context([key]))
            if pair is not None:
                yield pair, [key]

    def _fire(self, draft: Draft, pair: Pair, sensor: str = "") -> Draft:
        """From the state without the cause into the one with it, and what that shows."""
        off, on = pair
        draft.go(off)
        before = draft.now
        draft.go(on)
        holds = self.planner.states[on] & self.planner.states[off]
        for key in self.keys:
            if before[key] == draft.now[key]:
                continue
            draft.show(cell(self.number, key, True), cell(self.number, key, False))
            if sensor:
                draft.show(alone(self.number, sensor, key))
            if key in self.stops:
                draft.show(
                    *(beats(self.number, demand, key) for demand in self.planner.demands(key) if demand in holds)
                )
        return draft

    def _rested(self, draft: Draft) -> Draft:
        """What is stopped has rested long enough to run again if it were let."""
        gap = max((self.planner.gap(part) for part in self.stops), default=0.0)
        if gap:
            draft.until(1.2 * gap)
        return draft

    def _cause(self, pair: Pair, keys: list[str], sensor: str, full: bool) -> Trial:
        draft = self._fire(Draft(self.planner), pair, sensor)
        if full and self.latched:
            self._rested(draft).press(self.boxes)
            self._rested(draft)
        draft.go(pair[0])
        if self.latched:
            if full:
                draft.until(PAUSE)
            draft.press(self.boxes)
        title = f"{sensor} alone" + ("" if keys == self.keys else f", on {', '.join(keys)}")
        return draft.trial(title, self.number)

    # -- what a latch must bear ----------------------------------------------------------------------------------------
    def _latch(self, pair: Pair) -> Iterator[Maker]:
        for box in self.boxes:
            for taped in (True, False):
                yield lambda b=box, t=taped: self._restart(pair, b, t)  # type: ignore[misc]
        yield lambda: self._held(pair)
        if self.rule.lasting > 1.2 * SOON:
            yield lambda: self._pressed_in_delay(pair)

    def _restart(self, pair: Pair, box: str, taped: bool) -> Trial:
        draft = self._fire(Draft(self.planner), pair).go(pair[0]).restart(box, taped).press(self.boxes)
        return draft.trial(f"{box} without power while it is tripped" + (", button held" if taped else ""), self.number)

    def _held(self, pair: Pair) -> Trial:
        draft = Draft(self.planner).do(*(Force("button", box, True) for box in self.boxes))
        self._rested(self._fire(draft, pair).go(pair[0])).until(PAUSE)
        draft.do(*(Force("button", box, False) for box in self.boxes)).press(self.boxes)
        return draft.trial("the button held down all the time", self.number)

    def _pressed_in_delay(self, pair: Pair) -> Trial:
        draft = self._rested(self._fire(Draft(self.planner), pair).go(pair[0]))
        begin = draft.move(pair[1])
        if self.rule.lasting > 4.0 * SOON:
            draft.do(*begin).press(self.boxes)
        else:  # at once, for there is no time for two steps
            draft.do(*begin, *presses(self.boxes))
        draft.go(pair[0]).press(self.boxes)
        return draft.trial("the button pressed within the delay of the cause", self.number)

    # -- stops and demands ---------------------------------------------------------------------------------------------
    def _stop_first(self, part: str, demand: str) -> Trial | None:
        """The stop stands before the demand comes."""
        barred = set(self.planner.stops(part)) - {self.number}
        stop = self.planner.find({self.number}, barred | {demand})
        both = self.planner.find({self.number, demand}, barred)
        after = self.planner.find({demand}, barred | {self.number})
        if stop is None or both is None or after is None:
            return None
        draft = Draft(self.planner).go(stop).go(both)
        before = draft.now[part]
        draft.go(after)
        if self.latched:
            draft.press(self.boxes)
        if draft.now[part] != before:
            draft.show(beats(self.number, demand, part), *(cell(self.number, part, fired) for fired in (True, False)))
        return draft.trial(f"it stands before row {demand} asks for {part}", self.number)

    def _stop_after(self, part: str, demand: str) -> Trial | None:
        """The stop comes while the demand stands."""
        for asked in self.rule.asked:
            pair = self.planner.pair(self.number, asked.sensor, *self._context([part], demand))
            if pair is not None:
                draft = self._fire(Draft(self.planner), pair).go(pair[0])
                if self.latched:
                    draft.press(self.boxes)
                return draft.trial(f"it comes while row {demand} asks for {part}", self.number)
        return None


def _box(planner: Planner, logic: BoxLogic, stopped: bool) -> Trial | None:
    """The plug of a box, while all that it has a say in may act, or while it stops what it can."""
    parts = [output.effect.name for output in logic.outputs]
    demands = {number for part in parts for number in planner.demands(part)}
    stops = {number for part in parts for number in planner.stops(part)}
    mine = {rule.line.number for rule in logic.rules}
    others = stops - mine if stopped else stops
    states = [state for state, holds in planner.states.items() if not holds & others]
    if not parts or not states:
        return None
    wanted = (mine & stops) if stopped else set()
    best = max(states, key=lambda s: (len(planner.states[s] & wanted), len(planner.states[s] & demands), -len(s)))
    draft = Draft(planner).go(best).restart(logic.box.name)
    return draft.trial(f"the plug of {logic.box.name}" + (", while it stops what it can" if stopped else ""), "")


def _own(planner: Planner, line: Line) -> Trial:
    """What acts by itself: set off, over, armed again."""
    draft = Draft(planner).do(Force("own", line.whose, True))
    draft.show(*(cell(line.number, key, fired) for key in line.marks for fired in (True, False)))
    draft.do(Force("own", line.whose, False))
    if line.latched:
        draft.do(Force("arm", line.whose, False))
    return draft.trial(f"{line.whose} by itself", line.number)
