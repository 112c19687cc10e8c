"""A short walk with a cup of water, the plug and the button: every cell of the matrix made to happen once by hand.

One wetting, or one float lifted, checks all effects of its cause, and the latch and the button on the way. What a hand
cannot do, or only in hours, is listed instead of left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from dewpond.design.model import Design, Term
from dewpond.parts import KINDS
from dewpond.plant.rows import GOES
from dewpond.report.views import sheet
from dewpond.report.views.blocks import Block, Items, Report, Section, Text
from dewpond.report.views.shown import Shown, joined, sentence, shown_in
from dewpond.study.matrix.model import PERMITS, TELLS, Box, Line, Matrix, Sensor
from dewpond.vocabulary import Word

TITLE: Final = "Dewpond walk"
LONG: Final = 900.0  # nobody stands and waits for longer [s]
SLACK: Final = 0.05  # of a longest run that its box may be early or late [1]; our prior
BEFORE: Final = (
    "Electricity first: no plug, power strip or supply where water of the cup, or of a bucket that runs over, will go.",
    "Cables hang in drip loops. Hands out of water in which a pump or a heater has power: unplug it, or use holders.",
    "Have ready: a cup of purified water from the reservoir, a saucer, towels, a bucket, a watch, and this sheet.",
    "Tap water proves nothing about a probe that is to find purified water.",
    "Tell the household, and whoever gets the messages, that they will come.",
    "Lead the water that you let run into the bucket, so that you see it run, and see it end.",
)
AFTER: Final = (
    "Rinse every probe that was wet with purified water, dry it, lay it back on its spot, and see its box say dry.",
    "Floats and switches are back, pauses ended, plugs in; nothing is still tripped or waits for a button.",
    "See that water flows again: open a fill, and look. A supply that is left shut starves the tank days later.",
    "Put date and initials on the sheet, for the rows that you have seen.",
)
BY_HAND: Final = "What a hand cannot do, or not in a walk"


@dataclass(frozen=True)
class Step:
    """What to do, what to expect, what to put back. covers: (number of a line, key of an effect)."""

    title: str
    do: str
    expect: str
    put_back: str
    caution: str
    covers: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Walk:
    """The steps in order, and (number of a line, key of an effect, why not) for each cell that is in none; the key is
    empty for a limit, which is no cell."""

    steps: tuple[Step, ...]
    left: tuple[tuple[str, str, str], ...]


def walk(design: Design, matrix: Matrix) -> Walk:
    """The walk of a design."""
    return _Walker(design, matrix, shown_in(design.shown_in)).walk()


def walk_blocks(made: Walk) -> tuple[Block, ...]:
    """The walk as blocks of a report."""
    if not made.steps:
        return (Text("There is nothing to walk: no row, and nothing that acts by itself."),)
    blocks: list[Block] = [Text("Before you begin"), Items(BEFORE)]
    for number, step in enumerate(made.steps, 1):
        blocks.append(Text(f"{number}. {step.title}", "lead"))
        if step.caution:
            blocks.append(Text(step.caution, "caution"))
        said = (("Do", step.do), ("Expect", step.expect), ("Put back", step.put_back))
        blocks.append(Items(tuple(f"{head}: {text}" for head, text in said if text)))
    blocks += [Text("At the end", "lead"), Items(AFTER)]
    if made.left:
        whys = dict.fromkeys((number, why) for number, _, why in made.left)
        blocks += [Text(BY_HAND, "lead"), Items(tuple(f"{number}: {why}" for number, why in whys))]
    return tuple(blocks)


def walk_report(design: Design, made: Walk) -> Report:
    """The walk by itself, to be printed and taken along."""
    return Report(f"{TITLE}: {design.title}", "A cup of water, the plug and the button", (
        Section("walk", "Step by step", walk_blocks(made)),
    ))  # fmt: skip


class _Walker:
    def __init__(self, design: Design, matrix: Matrix, shown: Shown) -> None:
        self.design, self.matrix, self.shown = design, matrix, shown
        self.left: list[tuple[str, str, str]] = []
        self.paths = {message.name: message.path for message in design.messages}

    def walk(self) -> Walk:
        """Demands first, for what is to be stopped must run; then trips, pauses, plugs, and what acts by itself."""
        rows = [line for line in self.matrix.lines if line.sort == "row"]
        steps = [step for line in sorted(rows, key=_demands_first) for step in self._row(line)]
        steps += [self._plug(box) for box in self.matrix.boxes if self._driven(box)]
        steps += self._wires()
        steps += self._network()
        steps += [step for line in self.matrix.lines if line.sort == "own" for step in self._own(line)]
        return Walk(tuple(steps), tuple(self.left))

    def _leave(self, line: Line, why: str) -> None:
        self.left += [(line.number, key, why) for key in line.marks]

    # -- rows ----------------------------------------------------------------------------------------------------------
    def _row(self, line: Line) -> Iterator[Step]:
        runs = [run for run in self.matrix.lines if run.sort == "run" and run.number.startswith(f"{line.number}.")]
        if not line.carried:
            self._leave(line, "no box carries it out")
            return
        if line.lasting > LONG:
            wait = self.shown.duration(line.lasting)
            why = f"its cause must last {wait}: leave it so overnight, or set the delay to some seconds for the walk"
            for one in (line, *runs):
                self._leave(one, f"{why}, and back")
            return
        short = [run for run in runs if (run.limits.at_most or 0.0) <= LONG]
        for run in runs:
            if run not in short:
                wait = self.shown.duration(run.limits.at_most)
                self._leave(run, f"a run lasts {wait} before it is too long: stay with a jug, or set less for the walk")
        if line.limits.per_day is not None:
            most = self.shown.litres(line.limits.per_day)
            self.left.append((line.number, "", f"its most of {most} a day: compare what the reservoir loses in a day"))
        covered = [line, *short]
        yield Step(
            f"Row {line.number}: {sheet.cause_words(line, self.matrix, self.shown)}",
            self._do(line), self._expect(line, short), self._put_back(line, short), self._caution(line),
            tuple((one.number, key) for one in covered for key in one.marks),
        )  # fmt: skip

    def _do(self, line: Line) -> str:
        cause = line.cause
        assert cause is not None
        terms = list(cause.terms)
        first, others = terms[: cause.need], terms[cause.need :]
        said = [*self._first_run(line), f"{_capital(joined([self._make(term) for term in first]))}."]
        if line.lasting:
            said.append(f"Wait {self.shown.duration(line.lasting)}.")
        if others and cause.op != "all":
            each = "each of the others" if len(others) > 1 else "the other one"
            rest = "; ".join(self._make(term) for term in others)
            said.append(f"Once all is put back, do the same with {each} ({rest}); it is enough then to see one effect.")
        return " ".join(said)

    def _first_run(self, line: Line) -> Iterator[str]:
        """What is to be stopped must act before."""
        for part, word in line.orders.items():
            if word in GOES:
                continue
            effect = self.matrix.effect(part)
            demand = next((one for one in self.matrix.lines if PERMITS in one.marks.get(part, "")), None)
            if demand is not None:
                yield f"Let {part} run first, as in row {demand.number}."
            elif effect.go == GOES[0]:
                yield f"Let water run through {part} first, into the bucket."

    def _make(self, term: Term) -> str:
        """How a hand brings a condition about."""
        sensor = self.matrix.sensors[term.part]
        acts = (term.word == sensor.state) != term.negated
        where = f" ({sheet.place_words(sensor)})" if sheet.place_words(sensor) else ""
        if sensor.sort == "work":
            return f"begin {sensor.part}" if acts else f"see that {sensor.part} is not begun"
        if sensor.state == Word.WET:
            if not acts:
                return f"see that {sensor.part}{where} is dry"
            return f"lay {sensor.part}{where} in the saucer and pour purified water over it"
        lifted = f"take {sensor.part}{where} out of the water; one with a float: let the float hang down"
        dipped = f"hold {sensor.part}{where} under water in the cup; one with a float: lift the float by hand"
        return lifted if (sensor.state == Word.LOW) == acts else dipped

    def _expect(self, line: Line, runs: list[Line]) -> str:
        said = [self._effect(line, key) for key in line.marks]
        for run in runs:
            time = run.limits.at_most or 0.0
            slack = f"within {SLACK:.0%}"
            until = "and does not start again by itself" if run.latched else "until the cause is over"
            said.append(f"{run.whose} is {run.orders[run.whose]} after {self.shown.duration(time)} ({slack}), {until}")
            said += [self._effect(run, key) for key, mark in run.marks.items() if mark == TELLS]
        return sentence("; ".join(said))

    def _effect(self, line: Line, key: str) -> str:
        effect = self.matrix.effect(key)
        if effect.sort == "message":
            path = self.paths.get(effect.name, ())
            return f"{effect.name} arrives{f' at {path[-1]}' if path else ''}, and is heard"
        moved = "the stream ends" if line.orders[key] == Word.SHUT else ""
        return f"{effect.name} is {line.orders[key]}{f': {moved}' if moved else ''}"

    def _put_back(self, line: Line, runs: list[Line]) -> str:
        assert line.cause is not None
        back = f"{_capital(joined(list(dict.fromkeys(self._undo(term) for term in line.cause.terms))))}."
        latched = [one for one in (line, *runs) if one.latched and not one.only_asks]
        if not latched:
            return f"{back} All is then as before, by itself."
        said = []
        if any(one.rearm_when for one in latched):
            said.append("Press the button while the cause still stands: nothing may change.")
        said.append(f"{back} What has tripped stays so; wait ten minutes.")
        said += [self._restart(self.matrix.box(box)) for one in latched[:1] for box in one.carried]
        said.append(f"Press the button ({sheet.until_words(latched[0])}): all is as before.")
        return " ".join(said)

    def _undo(self, term: Term) -> str:
        sensor = self.matrix.sensors[term.part]
        if sensor.sort == "work":
            return f"end {sensor.part}"
        return f"dry {sensor.part} and lay it back" if sensor.state == Word.WET else f"put {sensor.part} back"

    def _restart(self, box: Box) -> str:
        """The plug pulled while something is tripped."""
        then = "it is still tripped" if box.keeps_trips else "it has forgotten that it was tripped"
        known = "not known, so write it down; taken was that " if "trips" in box.not_known else ""
        return f"Pull the plug of {box.name} for a minute and put it in again: {known}{then}."

    def _caution(self, line: Line) -> str:
        said = []
        sensors = {term.part: self.matrix.sensors[term.part] for term in line.cause.terms} if line.cause else {}
        said += [_not_seen(s) for s in sensors.values() if s.state == Word.WET and s.seen in ("never", "unknown")]
        for part, word in line.orders.items():
            flow, most = self.matrix.effect(part).flow, line.limits.at_most
            if word in GOES and flow and most:
                litres = self.shown.litres(flow * most)
                said.append(f"A whole run of {part} gives {litres}: lead the end of its tube into the bucket.")
            elif word in GOES:
                said.append(f"Nothing ends a run of {part} by itself: lead its tube into the bucket, and stay.")
        gap = line.limits.gap
        if gap:
            said.append(f"It rests {self.shown.duration(gap)} between two runs: a second try must wait so long.")
        return " ".join(said)

    # -- plugs and networks --------------------------------------------------------------------------------------------
    def _driven(self, box: Box) -> list[str]:
        return [e.name for e in self.matrix.effects if e.sort == "ordered" and box.name in e.boxes]

    def _plug(self, box: Box) -> Step:
        parts = [self.matrix.effect(name) for name in self._driven(box)]
        said = [f"{effect.name}: {sheet.position_without_signal(effect)}" for effect in parts]
        if box.lets_without_power:
            said = [f"{joined([effect.name for effect in parts])} may act as if {box.name} were not there"]
        if box.wait:
            said.append(f"after the plug is in again, no order for {self.shown.duration(box.wait)}")
        return Step(
            f"The plug of {box.name}", f"While {joined([e.name for e in parts])} may act, pull it for a minute.",
            sentence("; ".join(said)), "Put the plug in.", "Dry hands, by the plug and not by its lead.", (),
        )  # fmt: skip

    def _wires(self) -> Iterator[Step]:
        """A broken wire is an open contact: what its input makes of that."""
        silent: list[str] = []
        loud: list[str] = []
        for sensor in self.matrix.sensors.values():
            if sensor.sort == "contact":
                (loud if sensor.read_when == "open" else silent).append(f"{sensor.part} ({sensor.state})")
        said = [f"reported at once: {joined(loud)}"] if loud else []
        said += [f"never reported any more: {joined(silent)}"] if silent else []
        if said:
            yield Step(
                "A broken wire", "Unplug the lead of each sensor for a moment, one after the other.",
                sentence("; ".join(said)), "Plug it in again, and re-arm what has tripped.", "", (),
            )  # fmt: skip

    def _network(self) -> Iterator[Step]:
        over: dict[str, list[str]] = {}
        for effect in self.matrix.effects:
            if effect.losses is not None and effect.losses.network is not None:
                words = f"{effect.name}: {sheet.position_without_network(effect)}"
                over.setdefault(effect.losses.over, []).append(words)
        for name, said in over.items():
            yield Step(
                f"Without {name}", f"Unplug {name} while each of these acts, and wait ten minutes.",
                sentence("; ".join(said)), f"Plug {name} in again.", "", (),
            )  # fmt: skip

    # -- what acts by itself -------------------------------------------------------------------------------------------
    def _own(self, line: Line) -> Iterator[Step]:
        kind = KINDS[self.design.part(line.whose).kind]
        if not kind.tests:
            self._leave(line, f"no test by hand is known for {line.whose}")
            return
        test = kind.tests[0]
        again = "Arm it again by hand, and see that water flows." if line.latched else ""
        yield Step(
            f"{line.number}, {line.whose} by itself: {test.name}", test.steps, test.accept, again, "",
            tuple((line.number, key) for key in line.marks),
        )  # fmt: skip


def _demands_first(line: Line) -> bool:
    return not any(word in GOES for word in line.orders.values())


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]


def _not_seen(sensor: Sensor) -> str:
    return f"Nobody has yet seen {sensor.part} find purified water: take no other for this."
