"""What hands do in a walk, in words: a condition brought about and ended, a part made to run, how long to wait."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from dewpond.design.model import Design, Term
from dewpond.parts import KINDS
from dewpond.plant.rows import GOES
from dewpond.report.views import sheet
from dewpond.report.views.shown import Shown, joined
from dewpond.study.matrix.model import PERMITS, Line, Matrix, Sensor
from dewpond.vocabulary import Word

LONG: Final = 900.0  # nobody stands and waits for longer [s]
LEFT_SO: Final = 3600.0  # so long may something be left as it is, with somebody at home [s]; our prior
SLACK: Final = 0.05  # of a time that its box may be early or late [1]; our prior
# By the state that a switch for hands reports: how it is brought about, how not, and how it is ended.
TURNED: Final = {
    "pressed": ("press {part}", "see that {part} is not pressed", "wait until the time of {part} is over"),
    "away": ("turn {part} to “away”", "turn {part} to “at home”", "turn {part} to “at home”"),
}
LEAST: Final = 60.0  # to wait beyond a time, or to see that nothing happens [s]


@dataclass(frozen=True)
class Step:
    """What to do, what to expect, what to put back. covers: (number of a line, key of an effect)."""

    title: str
    do: str
    expect: str
    put_back: str
    caution: str
    covers: tuple[tuple[str, str], ...]


class Hands:
    """The words for one design. `left` gathers what no hand does: (number of a line, key of an effect, why not)."""

    def __init__(self, design: Design, matrix: Matrix, shown: Shown) -> None:
        self.design, self.matrix, self.shown = design, matrix, shown
        self.left: list[tuple[str, str, str]] = []

    def acts(self, term: Term) -> bool:
        """Whether a condition wants its sensor in the state that it reports."""
        return (term.word == self.matrix.sensor(term).state) != term.negated

    def make(self, term: Term) -> str:
        """How a hand brings a condition about."""
        sensor, acts = self.matrix.sensor(term), self.acts(term)
        where = f" ({sheet.place_words(sensor)})" if sheet.place_words(sensor) else ""
        if sensor.sort == "work":
            return f"begin {sensor.part}" if acts else f"see that {sensor.part} is not begun"
        if sensor.sort == "clock":
            return f"set the clock of {sensor.wired_to} so that {sensor.part} is {'' if acts else 'not '}{sensor.state}"
        if sensor.state in TURNED:
            return TURNED[sensor.state][not acts].format(part=f"{sensor.part}{where}")
        if _by_its_test(sensor):
            return self._tested(sensor) if acts else f"see that {sensor.part} does not report “{sensor.state}”"
        if sensor.state == Word.WET:
            if not acts:
                return f"see that {sensor.part}{where} is dry"
            return f"lay {sensor.part}{where} in the saucer and pour purified water over it"
        if sensor.sort == "reading":
            bucket = "an empty bucket" if (sensor.state == Word.LOW) == acts else "a full bucket"
            return f"hang {sensor.part}{where} over {bucket}, or its tube into it, until its box reads so"
        lifted = f"take {sensor.part}{where} out of the water; one with a float: let the float hang down"
        dipped = f"hold {sensor.part}{where} under water in the cup; one with a float: lift the float by hand"
        return lifted if (sensor.state == Word.LOW) == acts else dipped

    def _tested(self, sensor: Sensor) -> str:
        """How something else than water on a floor or a level is brought about: as its own test says."""
        tests = KINDS[self.design.part(sensor.part).kind].tests
        steps = f" ({tests[0].steps.rstrip('.')})" if tests else ""
        return f"have {sensor.part} report “{sensor.state}”{steps}"

    def first(self, line: Line) -> tuple[Term, ...]:
        """Those conditions of a row that bring its cause about."""
        return line.cause.terms[: line.cause.need] if line.cause else ()

    def undo(self, line: Line, but: Collection[str] = ()) -> str:
        """How they are ended, ``but`` for these; empty where no hand was laid on anything."""
        said = []
        for term in (term for term in self.first(line) if term.part not in but):
            sensor = self.matrix.sensor(term)
            if sensor.sort == "work":
                said += [f"end {sensor.part}"] if self.acts(term) else []
            elif sensor.sort == "clock":
                said.append(f"set the clock of {sensor.wired_to} right again")
            elif sensor.state in TURNED:
                said += [TURNED[sensor.state][2].format(part=sensor.part)] if self.acts(term) else []
            elif _by_its_test(sensor):
                said += [f"let {sensor.part} report “{sensor.otherwise}” again"] if self.acts(term) else []
            elif sensor.state == Word.WET:
                said += [f"dry {sensor.part} and lay it back"] if self.acts(term) else []
            else:
                said.append(f"put {sensor.part} back")
        return joined(list(dict.fromkeys(said)))

    def demand(self, part: str) -> Line | None:
        """The row that lets a part act; None where it needs none."""
        rows = (line for line in self.matrix.lines if line.sort == "row" and PERMITS in line.marks.get(part, ""))
        return next(rows, None)

    def run(self, part: str) -> str:
        """How a part is made to act, so that its stop is seen; empty for one that nobody lets act."""
        demand, go = self.demand(part), self.matrix.effect(part).go
        what = f"Let {part} run first" if go != GOES[0] else f"Let water run through {part} first"
        if demand is None or demand.cause is None:
            return f"{what}, into the bucket." if go == GOES[0] else ""
        limits = demand.limits
        said = [f"for at most {self.shown.duration(limits.at_most)}"] if limits.at_most else []
        said += [f"not within {self.shown.duration(limits.gap)} of its last run"] if limits.gap else []
        held = f" ({'; '.join(said)})" if said else ""
        cause = sheet.cause_words(demand, self.matrix, self.shown)
        return f"{what}, its tube in the bucket: {cause}, as in row {demand.number}{held}."

    def run_all(self, parts: list[str]) -> str:
        """The same for several."""
        return " ".join(said for said in map(self.run, parts) if said)

    def end_all(self, parts: list[str]) -> str:
        """How what made them act is put back: a sentence, empty for nothing."""
        demands = [demand for demand in map(self.demand, parts) if demand]
        said = list(dict.fromkeys(undone for undone in map(self.undo, demands) if undone))
        return f"{capital(joined(said))}." if said else ""

    def beyond(self, seconds: float) -> str:
        """A time to wait that is surely longer, in whole minutes; for nothing, one minute."""
        return self.shown.duration(math.ceil((seconds * (1.0 + SLACK) + LEAST) / 60.0) * 60.0)


def _by_its_test(sensor: Sensor) -> bool:
    """Whether a sensor is neither one for water on a floor nor one for the level of a vessel."""
    return sensor.state not in (Word.WET, Word.LOW, Word.HIGH) or not sensor.where


def capital(text: str) -> str:
    """A text with a capital at its head."""
    return text[:1].upper() + text[1:]
