"""One box as a function block of Structured Text.

A scan goes in this order: contacts as they are read, what has run since the scan before, rows, locks, demands, outputs,
messages, and at its end what begins to run or to rest. So limits look at what was ordered in the scan before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from dewpond.report.export.identifiers import Identifiers
from dewpond.report.views import sheet
from dewpond.report.views.shown import Shown, joined
from dewpond.study.matrix.logic import BoxLogic, Limit, Output, Rule
from dewpond.study.matrix.model import Matrix, Sensor


def comment(text: str) -> str:
    """A text that can stand inside a comment: one line, and nothing in it that ends the comment or begins another."""
    line = " ".join(text.split())
    for sign in ("(*", "*)"):
        while sign in line:
            line = line.replace(sign, f"{sign[0]} {sign[1]}")
    return "".join(c for c in line if c.isprintable())


def time(seconds: float) -> str:
    """T#1h30m, to the millisecond; a delay of less is one of a millisecond."""
    left = max(1, round(seconds * 1000.0)) if seconds > 0.0 else 0
    said = ""
    for unit, size in (("d", 86_400_000), ("h", 3_600_000), ("m", 60_000), ("s", 1000), ("ms", 1)):
        number, left = divmod(left, size)
        said += f"{number}{unit}" if number else ""
    return f"T#{said or '0s'}"


@dataclass
class Variables:
    """Declarations, by the section they stand in."""

    inputs: list[str] = field(default_factory=list)
    outputs: list[str] = field(default_factory=list)
    retained: list[str] = field(default_factory=list)
    plain: list[str] = field(default_factory=list)

    def sections(self) -> Iterator[str]:
        for head, lines in (
            ("VAR_INPUT", self.inputs), ("VAR_OUTPUT", self.outputs), ("VAR RETAIN", self.retained),
            ("VAR", self.plain),
        ):  # fmt: skip
            if lines:
                yield "\n".join([head, *(f"  {line}" for line in lines), "END_VAR"])


class Block:
    """One function block under construction."""

    def __init__(self, matrix: Matrix, logic: BoxLogic, shown: Shown, blocks: Identifiers) -> None:
        self.matrix, self.logic, self.box, self.shown = matrix, logic, logic.box, shown
        self.title = blocks.take(self.box.name, before="FB")
        self.names = Identifiers()
        self.vars = Variables()
        self.body: list[str] = []
        self.end: list[str] = []
        self.states: dict[str, str] = {}  # sensor -> variable that is TRUE while it is in its state
        self.seen: dict[str, str] = {}  # number of a row -> its cause, as it stands
        self.acts: dict[str, str] = {}  # -> the same once it has lasted
        self.trips: dict[str, str] = {}  # -> what it trips by
        self.demands: dict[tuple[str, str], str] = {}  # (number of a row, part) -> what it asks for
        self.told: dict[str, list[str]] = {}
        self.counters: dict[tuple[str, str], str] = {}  # (part, "day" or "meter") -> what counts it
        for word in ("Cycle", "Midnight", "ReArm", "Ready", "Press", "Button", "Day", "Started", "Scanned"):
            self.names.take(word)
        self.ordered = {o.effect.name: self.names.take(o.effect.name, "Energise") for o in logic.outputs}
        self.presses = any(r.latched for r in logic.rules) or any(
            one.after and one.after.latched for one in logic.limits
        )
        self.counts = any(one.at_most is not None for one in logic.limits)
        self.days = any(one.day is not None and one.flow for one in logic.limits)

    def text(self) -> str:
        """The whole block."""
        self._contacts()
        self._begin()
        for rule in self.logic.rules:
            self._row(rule)
        for limit in self.logic.limits:
            self._limit(limit)
        for output in self.logic.outputs:
            self._output(output)
        for message, signals in self.told.items():
            name = self.names.take(message, before="Tell")
            self.vars.outputs.append(f"{name} : BOOL; (* message: {comment(message)} *)")
            self.body.append(f"{name} := Ready AND ({' OR '.join(dict.fromkeys(signals))});")
        if self.presses or self.days:
            self.end.append("Scanned := TRUE;")
        memory = comment(sheet.memory_words(self.box, self.shown))
        kind = "" if self.box.program else " It has no program: this is what its wiring must do."
        lets = (
            " Without power itself, it lets current through to what it switches." if self.box.lets_without_power else ""
        )
        head = f"(* {comment(self.box.name)}: {memory}.{kind}{lets} *)"
        return "\n".join([
            head, f"FUNCTION_BLOCK {self.title}", *self.vars.sections(), "", *self.body,
            *(["(* at the end of a scan *)", *self.end] if self.end else []),
            "END_FUNCTION_BLOCK", "",
        ])  # fmt: skip

    # -- what comes in -------------------------------------------------------------------------------------------------
    def _contacts(self) -> None:
        for name in self.logic.sensors:
            sensor = self.matrix.sensors[name]
            state = self.names.take(sensor.part, "_".join(map(str.capitalize, sensor.state.split())))
            self.states[name] = state
            if sensor.sort != "contact":
                says = "its pulses or figure say" if sensor.sort == "reading" else "it is"
                self.vars.inputs.append(
                    f"{state} : BOOL; (* {comment(sensor.part)}: TRUE while {says} {sensor.state} *)"
                )
                continue
            contact = self.names.take(sensor.part, "Closed")
            self.vars.inputs.append(f"{contact} : BOOL; (* {comment(self._contact(sensor))} *)")
            self.vars.plain.append(f"{state} : BOOL;")
            self.body.append(f"{state} := {'' if sensor.read_when == 'closed' else 'NOT '}{contact};")

    def _contact(self, sensor: Sensor) -> str:
        wired = f"; its wire ends at {sensor.wired_to}" if sensor.wired_to != self.box.name else ""
        return (
            f"{sensor.part} ({sheet.place_words(sensor)}): contact {sensor.contact}, read as {sensor.state} when "
            f"{sensor.read_when}{wired}"
        )

    def _begin(self) -> None:
        inputs, plain = self.vars.inputs, self.vars.plain
        plain.append("Ready : BOOL;")
        if self.box.wait:
            plain.append("Started : TON;")
            self.body.append(
                f"Started(IN := TRUE, PT := {time(self.box.wait)}); (* no order so soon after a restart *)"
            )
            self.body.append("Ready := Started.Q;")
        else:
            self.body.append("Ready := TRUE;")
        if self.presses:
            inputs.append("ReArm : BOOL; (* the button at the box: TRUE while it is pressed *)")
            plain += ["Button : R_TRIG;", "Press : BOOL;"]
            self.body += ["Button(CLK := ReArm);", "Press := Button.Q AND Scanned AND Ready;"]
        if self.counts or self.days:
            inputs.append("Cycle : TIME; (* the time since this block was called last; T#0s in its first call *)")
        if self.days:
            inputs.append("Midnight : BOOL; (* TRUE for one scan or longer when the local day begins *)")
            plain.append("Day : R_TRIG;")
            self.body.append("Day(CLK := Midnight);")
        for limit in self.logic.limits:
            self._count(limit)
        if self.presses or self.days:
            plain.append("Scanned : BOOL; (* FALSE in the first scan after a start *)")

    # -- rows ----------------------------------------------------------------------------------------------------------
    def _row(self, rule: Rule) -> None:
        if not (rule.stops or rule.demands or rule.tells):
            return
        number = rule.line.number
        said = comment(sheet.cause_words(rule.line, self.matrix, self.shown))
        self.body.append(f"(* {number}: {said}; until {comment(sheet.until_words(rule.line))} *)")
        seen = self._own(number, "Seen", "BOOL")
        self.body.append(f"{seen} := Ready AND {self._cause(rule)};")
        acts = seen
        if rule.lasting > 0.0:
            lasts = self._own(number, "Lasts", "TON")
            self.body.append(f"{lasts}(IN := {seen}, PT := {time(rule.lasting)});")
            acts = f"{lasts}.Q"
        self.seen[number], self.acts[number], self.trips[number] = seen, acts, acts
        if rule.latched:
            trip = self._own(number, "Trip", "SR", kept=self.box.keeps_trips)
            clear = f" AND NOT {seen}" if rule.rearm_if_clear else ""
            self.body.append(f"{trip}(S1 := {acts}, R := Press{clear}); (* a trip beats its re-arming *)")
            self.trips[number] = f"{trip}.Q1"
        elif rule.stops and rule.lasting > 0.0 and self.box.keeps_trips:
            trip = self._own(number, "Trip", "SR", kept=True)
            self.body.append(f"{trip}(S1 := {acts}, R := Ready AND NOT {seen}); (* lasting anew, it has not ended *)")
            self.trips[number] = f"{trip}.Q1"
        if rule.tells:
            self.told.setdefault(rule.tells, []).append(self.trips[number])

    def _own(self, number: str, word: str, kind: str, kept: bool = False) -> str:
        name = self.names.take(f"Row {number}", word)
        (self.vars.retained if kept else self.vars.plain).append(f"{name} : {kind};")
        return name

    def _cause(self, rule: Rule) -> str:
        terms = [f"NOT {self.states[a.sensor]}" if a.negated else self.states[a.sensor] for a in rule.asked]
        if rule.need == 1:
            return terms[0] if len(terms) == 1 else f"({' OR '.join(terms)})"
        if rule.need == len(terms):
            return f"({' AND '.join(terms)})"
        return f"({' + '.join(f'BOOL_TO_INT({term})' for term in terms)} >= {rule.need})"

    # -- demands and their limits --------------------------------------------------------------------------------------
    def _limit(self, limit: Limit) -> None:
        number, out = limit.rule.line.number, self.ordered[limit.part]
        needs = [self.acts[number]]
        if limit.at_most is not None:
            needs.append(f"NOT {self._lock(limit, out)}.Q1")
        if limit.gap is not None:
            rest = self._of(limit, "Rested", "TON")
            self.end.append(f"{rest}(IN := NOT {out}, PT := {time(limit.gap)});")
            needs.append(f"({out} OR {rest}.Q)")
        if limit.day is not None:
            needs.append(f"NOT {self._full(limit)}")
        demand = self._of(limit, "Demand", "BOOL")
        self.demands[number, limit.part] = demand
        self.body.append(f"{demand} := {' AND '.join(needs)};")

    def _of(self, limit: Limit, word: str, kind: str, kept: bool = False) -> str:
        name = self.names.take(f"Row {limit.rule.line.number} {limit.part}", word)
        (self.vars.retained if kept else self.vars.plain).append(f"{name} : {kind};")
        return name

    def _lock(self, limit: Limit, out: str) -> str:
        """The bistable that holds a demand off after a run too long."""
        number, after = limit.rule.line.number, limit.after
        assert limit.at_most is not None
        seen = self.seen[number]
        run = self._of(limit, "Run_Time", "TIME", kept=self.box.keeps_counts)
        self.body.append(f"IF {out} THEN {run} := {run} + Cycle; END_IF;")
        over = f"{run} >= {time(limit.at_most)}"
        put_back = f"Ready AND NOT {seen}"  # a box that waits, or lets it last anew, has not seen it over
        if after is not None and after.latched:
            put_back = "Press" + (f" AND NOT {seen}" if after.rearm_when else "")
        lock = self._of(limit, "Lock", "SR", kept=limit.kept)
        until = sheet.until_words(after) if after else "the cause ends"
        self.body.append(f"(* {number}: {comment(limit.part)} has run for too long; until {comment(until)} *)")
        self.body.append(f"{lock}(S1 := Ready AND ({over}), R := {put_back});")
        if after is not None and after.tells:
            self.told.setdefault(after.tells, []).append(f"{lock}.Q1")
        self._run_ends(limit, out, run, lock)
        return lock

    def _run_ends(self, limit: Limit, out: str, run: str, lock: str) -> None:
        """A run that the box itself ends is over; one that a power cut ended goes on, or ends with its cause."""
        ended = f"Ready AND NOT {out}"
        if self.box.keeps_counts:
            resumed = self._of(limit, "Resumed", "BOOL")
            seen = self.seen[limit.rule.line.number]
            self.end.append(f"IF {out} OR {lock}.Q1 OR (Ready AND NOT {seen}) THEN {resumed} := TRUE; END_IF;")
            ended += f" AND {resumed}"
        self.end.append(f"IF {ended} THEN {run} := T#0s; END_IF;")

    def _full(self, limit: Limit) -> str:
        """Whether the day's most has been given."""
        assert limit.day is not None
        litres = limit.day * 1e3
        if limit.flow:
            return f"({self.counters[limit.part, 'day']} >= {time(limit.day / limit.flow)})"
        key = (limit.part, "meter")
        if key not in self.counters:
            self.counters[key] = self.names.take(limit.part, "Litres_Today")
            what = f"litres through {comment(limit.part)} since midnight, as a meter counts them"
            self.vars.inputs.append(f"{self.counters[key]} : REAL; (* {what} *)")
        return f"({self.counters[key]} >= {litres:.6f})"

    def _count(self, limit: Limit) -> None:
        """What a part has run today goes on while its output was TRUE up to now."""
        part, out = limit.part, self.ordered[limit.part]
        if limit.day is not None and limit.flow and (part, "day") not in self.counters:
            pace = comment(self.shown.flow(limit.flow))
            today = self._counter(part, "day", "Run_Today", f" (* stands for its litres: {pace}, as the file says *)")
            add = f"ELSIF {out} THEN {today} := {today} + Cycle;"
            self.body.append(f"IF Day.Q AND Scanned THEN {today} := T#0s; {add} END_IF;")

    def _counter(self, part: str, what: str, word: str, note: str) -> str:
        name = self.names.take(part, word)
        self.counters[part, what] = name
        (self.vars.retained if self.box.keeps_counts else self.vars.plain).append(f"{name} : TIME;{note}")
        return name

    # -- what goes out -------------------------------------------------------------------------------------------------
    def _output(self, output: Output) -> None:
        name, effect = self.ordered[output.effect.name], output.effect
        stops = [self.trips[rule.line.number] for rule in output.stops]
        demands = [self.demands[limit.rule.line.number, limit.part] for limit in output.demands]
        self.vars.outputs.append(f"{name} : BOOL; (* {comment(self._meaning(output))} *)")
        if output.dead:
            self.body.append(f"{name} := FALSE; (* no row lets it run: it stays {effect.stop} *)")
        elif output.to_stop:
            self.body.append(f"{name} := Ready AND {_any(stops) if stops else 'FALSE'};")
        else:
            asked = f" AND {_any(demands)}" if demands else ""
            stopped = f" AND NOT {_any(stops)}" if stops else ""
            self.body.append(f"{name} := Ready{asked}{stopped};")

    def _meaning(self, output: Output) -> str:
        effect = output.effect
        acting, resting = (effect.stop, effect.go) if output.to_stop else (effect.go, effect.stop)
        lost = effect.losses.power if effect.losses else resting
        if lost == resting or lost.startswith(f"{resting} "):
            falls = f"so that loss of power, of its wire or of this box leaves it {lost}"
        else:
            falls = f"but without power it is: {lost}"
        also = (
            f"; in its lead also {joined(output.others)}: it is {acting} only while every one lets it"
            if output.others
            else ""
        )
        if output.to_stop and output.others:
            also = f"; also on it {joined(output.others)}: any one makes it {acting}"
        return f"{effect.name}: TRUE = {acting}, FALSE = {resting}, {falls}{also}"


def _any(signals: list[str]) -> str:
    return signals[0] if len(signals) == 1 else f"({' OR '.join(dict.fromkeys(signals))})"
