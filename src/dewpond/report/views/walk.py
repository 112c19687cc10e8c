"""A short walk with a cup of water, the plug and the button: every cell of the matrix made to happen once by hand.

One wetting, or one float lifted, checks all effects of its cause, and the latch and the button on the way. What a hand
cannot do, or only in hours, is listed instead of left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.plant.rows import GOES
from dewpond.proof.asking.reading import ENDS
from dewpond.report.views import sheet
from dewpond.report.views.blocks import Block, Items, Report, Section, Text
from dewpond.report.views.hands import LEFT_SO, LONG, SLACK, Hands, Step, capital
from dewpond.report.views.plugs import plug_steps
from dewpond.report.views.restarts import restart
from dewpond.report.views.shown import Shown, joined, sentence, shown_in
from dewpond.study.matrix.model import TELLS, Line, Matrix, Sensor
from dewpond.vocabulary import Word

TITLE: Final = "Dewpond walk"
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
    "Floats, switches and tubes are back, pauses ended, plugs in; nothing is still tripped or waits for a button.",
    "See that water flows again: open a fill, and look. A supply that is left shut starves the tank days later.",
    "Put date and initials on the sheet, for the rows that you have seen.",
)
BY_HAND: Final = "What a hand cannot do, or not in a walk"


@dataclass(frozen=True)
class Walk:
    """The steps in order, and (number of a line, key of an effect, why not) for each cell that is in none; the key is
    empty for a limit, which is no cell. before: what to know of this house before one begins."""

    steps: tuple[Step, ...]
    left: tuple[tuple[str, str, str], ...]
    before: tuple[str, ...] = ()


def walk(design: Design, matrix: Matrix) -> Walk:
    """The walk of a design."""
    return _Walker(design, matrix, shown_in(design.shown_in)).walk()


def walk_blocks(made: Walk) -> tuple[Block, ...]:
    """The walk as blocks of a report."""
    if not made.steps:
        return (Text("There is nothing to walk: no row, and nothing that acts by itself."),)
    blocks: list[Block] = [Text("Before you begin"), Items((*BEFORE, *made.before))]
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
        self.hands = Hands(design, matrix, shown)
        self.left = self.hands.left
        self.messages = {message.name: message for message in design.messages}
        self.pauses: set[str] = set()  # of which it has been said that they end by themselves
        self.unanswered = {message.name for message in design.messages if message.then and message.unanswered_after}

    def walk(self) -> Walk:
        """Demands first, for what is to be stopped must run; then trips, pauses, plugs, and what acts by itself."""
        rows = [line for line in self.matrix.lines if line.sort == "row"]
        steps = [step for line in sorted(rows, key=_demands_first) for step in self._row(line)]
        steps += plug_steps(self.hands)
        steps += [step for line in self.matrix.lines if line.sort == "own" for step in self._own(line)]
        for name in [name for name in self.messages if name in self.unanswered]:
            number = next((line.number for line in self.matrix.lines if line.tells == name), None)
            wait = self.shown.duration(self.messages[name].unanswered_after)
            why = f"that {name}, left unanswered for {wait}, reaches {self.messages[name].then}: try it on a free day"
            self.left += [(number, "", why)] if number else []
        return Walk(tuple(steps), tuple(self.left), tuple(self._refusing(rows)))

    def _refusing(self, rows: list[Line]) -> Iterator[str]:
        """Pumps that may not run again in a later step, and that this is no fault."""
        held = dict[str, str]()
        for line in rows:
            rests = [f"rests {self.shown.duration(line.limits.gap)} between two runs"] if line.limits.gap else []
            most = line.limits.per_day
            gives = [f"gives at most {self.shown.litres(most)} a day"] if most is not None else []
            for part in (part for part, word in line.orders.items() if word in GOES and (rests or gives)):
                held.setdefault(part, f"{part} {joined([*rests, *gives])}")
        if held:
            yield (
                f"{capital('; '.join(held.values()))}. So {'each' if len(held) > 1 else 'it'} may refuse to run in a "
                "later step, which is no fault: wait, go on another day, or set more for the walk, and back afterwards."
            )

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
        said = [self.hands.run_all(_stopped(line)), f"{capital(joined([self.hands.make(term) for term in first]))}."]
        if line.lasting:
            said.append(f"Wait {self.shown.duration(line.lasting)}.")
        if others and cause.op != "all":
            each = "each of the others" if len(others) > 1 else "the other one"
            rest = "; ".join(self.hands.make(term) for term in others)
            said.append(f"Once all is put back, do the same with {each} ({rest}); it is enough then to see one effect.")
        return " ".join(text for text in said if text)

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
            message = self.messages.get(effect.name)
            path = message.path if message else ()
            said = f"{effect.name} arrives{f' at {path[-1]}' if path else ''}, and is heard"
            if message and effect.name in self.unanswered and (message.unanswered_after or 0.0) <= LEFT_SO:  # once
                self.unanswered.discard(effect.name)
                wait = self.shown.duration(message.unanswered_after)
                said += f"; leave it unanswered, and {message.then} is told after {wait}: go on only then"
            return said
        moved = "the stream ends" if line.orders[key] == Word.SHUT else ""
        return f"{effect.name} is {line.orders[key]}{f': {moved}' if moved else ''}"

    def _put_back(self, line: Line, runs: list[Line]) -> str:
        by_itself = self._ends_by_itself(line)
        back, ends = capital(self.hands.undo(line, by_itself)), self.hands.end_all(_stopped(line))
        back = " ".join([*by_itself.values(), *([f"{back}."] if back else [])])
        latched = [one for one in (line, *runs) if one.latched and not one.only_asks]
        if not latched:
            return f"{back} All is then as before, by itself. {ends}".strip()
        said = []
        if any(one.rearm_when for one in latched):
            said.append("Press the button while the cause still stands: nothing may change.")
        ran = restart(self.hands, [one for one in latched if one.sort == "run"])
        said += [f"Empty the bucket, and leave the cause standing. {ran}"] if ran else []
        forgets = ran and not all(self.matrix.box(box).keeps_trips for one in latched for box in one.carried)
        said.append(back if forgets else f"{back} What has tripped stays so.")
        said.append(restart(self.hands, [one for one in latched if one.sort == "row"]))
        said.append(f"Press the button ({sheet.until_words(latched[0])}): all is as before.")
        return " ".join(text for text in (*said, ends) if text)

    def _ends_by_itself(self, line: Line) -> dict[str, str]:
        """The pauses of a row whose end is waited for, once, with what is said of it; of a longer one it is left."""
        said = {}
        for term in self.hands.first(line):
            after = self.design.part(term.part).get(ENDS)
            if after is None or term.part in self.pauses or not self.hands.acts(term):
                continue
            self.pauses.add(term.part)
            wait = self.shown.duration(after)
            if after > LEFT_SO:
                self.left.append(
                    (line.number, "", f"that {term.part} ends by itself after {wait}: try it on a free day")
                )
                continue
            said[term.part] = (
                f"Do not end {term.part}: see that it ends by itself after {wait} (within {SLACK:.0%}). Else end it by "
                "hand, and write that down."
            )
        return said

    def _caution(self, line: Line) -> str:
        said = []
        sensors = {self.matrix.asked(term): self.matrix.sensor(term) for term in line.cause.terms} if line.cause else {}
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


def _stopped(line: Line) -> list[str]:
    """What a row stops, and so must act before."""
    return [part for part, word in line.orders.items() if word not in GOES]


def _not_seen(sensor: Sensor) -> str:
    return f"Nobody has yet seen {sensor.part} find purified water: take no other for this."
