"""An edit of a design: what to write in the file, where, and the design that comes of it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, NamedTuple

from dewpond.design.checks_layers import URGENT
from dewpond.design.handy import quoted
from dewpond.design.model import KEY_SEPARATOR, Design, Row, cause_text
from dewpond.parts.base import Kind, Param, PartView
from dewpond.plant import primitives as prim
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.plant import Plant
from dewpond.proof.asking.claims import divided
from dewpond.proof.questions.dosing import Dose, doses
from dewpond.proof.questions.layers import Layer, causes_of, layers
from dewpond.proof.questions.water import Spill
from dewpond.proof.signals import order_of
from dewpond.proof.verdicts import Case, Verdict, told
from dewpond.vocabulary import Word

THE_DAY: Final = "<the day>"  # stands for a date that only the keeper can write
WRITE_IT: Final = f"; where {THE_DAY} stands, write the day of that test, such as 2026-11-20"
LIMITED: Final = ", by its limits"  # end of what a verdict on limits by themselves is about
HANGS: Final = "when it hangs"  # key of a box with a program
MEMORY: Final = "after a restart"  # key of what a box remembers
WIRED: Final = "wired to"  # key of a sensor
PROBE: Final = "probe"  # key of a valve that has one of its own
MARKS: Final = ("at", "calls at")  # keys of a switch's mark: one of them is given
NO_ROWS: Final = "as the matrix, which has no row yet,"
GOES: Final = (Word.RUNNING, Word.OPEN)


class Edit(NamedTuple):
    """text: what to do, in the file's own syntax between ` and `; line: of what it changes; design: what comes of it,
    None for what cannot be tried."""

    text: str
    line: int
    design: Design | None


@dataclass(frozen=True)
class Matter:
    """A rule that is broken, with what it is about."""

    design: Design
    plant: Plant
    kinds: Mapping[str, Kind]
    verdict: Verdict

    @property
    def case(self) -> Case:
        return self.verdict.cases[0]

    @property
    def parts_failed(self) -> frozenset[str]:
        """The parts whose faults the first case has."""
        return frozenset(self.plant.fault(labels[0]).part for labels in self.case.faults)

    def layer(self) -> Layer | None:
        """The layer that it is about."""
        return next((one for one in layers(self.plant) if f"{one.part}: {one.says}" == self.verdict.about), None)

    def spill(self) -> Spill | None:
        """The water that gets out."""
        every = (spill for spill, _ in divided(self.plant, self.design.claims))
        return next((spill for spill in every if told(spill.labels) == self.verdict.about), None)

    def dose(self) -> Dose | None:
        """The vessel that is filled too high."""
        name = self.verdict.about.removesuffix(LIMITED)
        return next((dose for dose in doses(self.plant) if self.plant.stores[dose.store] == name), None)

    def param(self, part: PartView, key: str) -> Param:
        """The declaration of a key of a part."""
        return next(param for param in self.kinds[part.kind].params if param.key == key)

    def has(self, part: PartView, key: str) -> bool:
        """Whether a part of this kind has that key."""
        return any(param.key == key for param in self.kinds[part.kind].params)

    def boxes(self, thinking: bool) -> list[PartView]:
        """The boxes with a program, or those that cannot hang: a contact moved by a wire."""
        found = [part for part in self.design.parts if self.kinds[part.kind].role == "box"]
        return [part for part in found if self.has(part, HANGS) == thinking]

    def line(self, part: str, key: str = "") -> int:
        """The line of a key of a part, or of the part where it was left out."""
        return self.design.key_lines.get((part, key), self.design.lines[part])

    def last_row(self) -> int:
        """The line behind which a row may be added: of the last one, or the last line in the file."""
        rows = self.design.rows
        return rows[-1].line if rows else self.design.text.rstrip().count("\n") + 1

    def rows_of(self, part: str, says: str = "") -> list[Row]:
        """The rows that order a part, that whose cause a trip says it comes of at their head."""
        own = [row for row in self.design.rows if part in dict(row.effects)]
        return sorted(own, key=lambda row: not says.endswith(cause_text(row.cause)))


def sensors_of(m: Matter, layer: Layer) -> list[PartView]:
    """The parts whose marks a trip hangs on, in the order of the file."""
    a = m.plant.arrays
    causes = causes_of(m.plant, layer.trip, order_of(m.plant, layer.gate))
    owners = {m.plant.parts[a.sig_owner[s]] for s in causes if a.sig_op[s] == prim.L_THRESHOLD and a.sig_owner[s] >= 0}
    return [part for part in m.design.parts if part.name in owners]


def owner_of(m: Matter, layer: Layer) -> PartView:
    """The part that trips: a box, or a valve with a probe of its own."""
    return m.design.part(m.plant.parts[m.plant.arrays.sig_owner[layer.trip]])


# -- a vessel that is filled ------------------------------------------------------------------------------------------
def marks_in(m: Matter, store: int, signals: Collection[int] | None = None) -> Iterator[tuple[str, float, float]]:
    """The marks in a vessel, of all ``signals`` or of these: whose, and its upper and lower one [m]."""
    a = m.plant.arrays
    for signal in range(len(a.sig_op)) if signals is None else signals:
        k, owner = int(a.sig_arg[signal]), a.sig_owner[signal]
        here = a.sig_op[signal] == prim.L_THRESHOLD and (a.thr_kind[k], a.thr_ref[k]) == (prim.T_LEVEL, store)
        if here and owner >= 0:
            yield m.plant.parts[owner], a.thr_on[k], a.thr_off[k]


def fills(m: Matter, dose: Dose) -> list[Row]:
    """The rows that run the pumps of a vessel."""
    pumps = {m.plant.gates[gate] for gate in dose.gates}
    return [row for row in m.design.rows if any(part in pumps and word in GOES for part, word in row.effects)]


def usual(m: Matter, dose: Dose) -> float:
    """The level at which what fills a vessel ends [m]."""
    callers = {term.part for row in fills(m, dose) for term in row.cause.terms}
    marks = [on for owner, on, _ in marks_in(m, dose.store) if owner in callers]
    return min(float(max(marks, default=0.0)), dose.bears)


def room(m: Matter, dose: Dose) -> float:
    """What a vessel takes from there to what it bears [m3]."""
    a = m.plant.arrays
    return float(volume_of(a, dose.store, dose.bears) - volume_of(a, dose.store, usual(m, dose)))


# -- designs changed ---------------------------------------------------------------------------------------------------
def with_key(design: Design, part: str, key: str, value: Any) -> Design:
    """The same with another value of a key of a part; one that nobody knew is known then."""
    view = design.part(part)
    changed = replace(view, values={**view.values, key: value}, given=view.given | {key})
    mine = [u for u in design.unknowns if u.part == part and u.key.split(KEY_SEPARATOR)[0] == key]
    unknowns = tuple(u for u in design.unknowns if u not in mine)
    return replace(design, parts=tuple(changed if p is view else p for p in design.parts), unknowns=unknowns)


def with_row(design: Design, row: Row, **changes: Any) -> Design:
    """The same with a row changed."""
    rows = tuple(replace(one, **changes) if one.id == row.id else one for one in design.rows)
    return replace(design, rows=rows)


def with_new_row(design: Design, row: Row) -> Design:
    """The same with one more row, at the end of the matrix."""
    return replace(design, rows=(*design.rows, replace(row, id=f"row {len(design.rows) + 1}")))


def message_for(design: Design, urgent: bool) -> str | None:
    """The message for what must be seen to now, or today; None where there is none."""
    found = sorted(design.messages, key=lambda one: (one.priority == URGENT) != urgent)
    return found[0].name if found else None


# -- texts -------------------------------------------------------------------------------------------------------------
def of_part(name: str, *keys: str) -> str:
    """Keys of a part to be written."""
    return f"for “{name}” write `{', '.join(keys)}`"


def of_own_probe(name: str, *keys: str) -> str:
    """Keys to be written of the probe of a valve's own."""
    return f"for “{name}” write in its probe `{', '.join(keys)}`"


def in_row(*keys: str) -> str:
    """Keys of a row to be written."""
    return f"in this row write `{', '.join(keys)}`"


def new_row(design: Design, text: str) -> str:
    """A row to be added: behind the last one, or as the first one of its section."""
    return f"behind this row add `- {{{text}}}`" if design.rows else f"{NO_ROWS} write `matrix: [{{{text}}}]`"


def by_line(text: str, line: int) -> str:
    """The same with the line of "this row", for a text that begins elsewhere."""
    return text.replace("this row", f"the row of line {line}")


def mapping(values: Mapping[str, Any]) -> str:
    """Words in one line, as in a file, with maps and lists in it."""
    return "{" + ", ".join(f"{quoted(key)}: {_typed(value)}" for key, value in values.items()) + "}"


def listed(names: Sequence[str]) -> str:
    """Names in one line, as in a file."""
    return f"[{', '.join(map(quoted, names))}]"


def _typed(value: Any) -> str:
    if isinstance(value, Mapping):
        return mapping(value)
    return listed(value) if isinstance(value, tuple) else quoted(str(value))


Edits = Iterator[Edit]
