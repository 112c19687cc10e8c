"""What a box does with the rows of a file, in plain Python from the words of the file and of plant.rows: the other side
of the comparison with the Structured Text. Knows nothing of how that is written.

Rules: a stop wins over a demand, whichever box says it. A box that is not ready orders nothing. A trip that is to be
re-armed stays until a button is pressed anew, with its cause gone where the row says "when"; a cause that stands beats
the button. Limits look at what this box ordered up to now.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from dewpond.design.model import Design, Row

Says = Mapping[tuple[str, str], bool]


class BoxModel:
    """One box of a design. It is scanned again and again."""

    def __init__(self, design: Design, name: str) -> None:
        self.design, self.name = design, name
        part = design.part(name)
        memory = part.get("after a restart") or {"trips": "cleared", "counts": "cleared"}
        self.trips_kept, self.counts_kept = (memory[key] == "kept" for key in ("trips", "counts"))
        self.wait = part.get("waits after a restart") or 0.0
        self.rows = [(n, row) for n, row in enumerate(design.rows) if self._is_mine(row)]
        self.tripped: dict[int, bool] = defaultdict(bool)
        self.locked: dict[tuple[int, str], bool] = defaultdict(bool)
        self.ran: dict[tuple[int, str], float] = defaultdict(float)
        self.today: dict[str, float] = defaultdict(float)
        self.restart()

    def _drives(self, part: str) -> bool:
        return bool(self.design.part(part).get("driven by") == self.name)

    def _is_mine(self, row: Row) -> bool:
        if row.by:
            return row.by == self.name
        if row.effects:
            return any(self._drives(part) for part, _ in row.effects)
        wired = [self.design.part(term.part).get("wired to") for term in row.cause.terms]
        return bool([box for box in wired if box][:1] == [self.name])

    def restart(self) -> None:
        """Power is back: what is not kept is forgotten."""
        if not self.trips_kept:
            self.tripped.clear()
        for (number, part), _ in list(self.locked.items()):
            if not (self.trips_kept if self._hand(number) else self.counts_kept):
                self.locked[number, part] = False
        if not self.counts_kept:
            self.ran.clear()
            self.today.clear()
        self.up = 0.0
        self.first = True
        self.button = self.midnight = True  # what is down already is not pressed
        self.stood: dict[int, float | None] = defaultdict(lambda: None)
        self.out: dict[str, bool] = {}
        self.rested: dict[str, Any] = defaultdict(lambda: None)
        self.resumed: set[tuple[int, str]] = set()  # demands that have run, or ended, since power is back

    def _hand(self, number: int) -> bool:
        after = self.design.rows[number].too_long
        return after is not None and after.until == "re-armed"

    def scan(self, says: Says, button: bool, midnight: bool, step: float) -> tuple[dict[str, bool], dict[str, bool]]:
        """``step`` [s] after the last scan. Returns (part -> it gets current, message -> it is told)."""
        self._time(step, midnight)
        ready = self.up >= self.wait - 1e-9
        press = button and not self.button and ready
        self.button = button
        stops: dict[str, bool] = defaultdict(bool)
        goes: dict[str, bool | None] = defaultdict(lambda: None)
        told: dict[str, bool] = {}
        for number, row in self.rows:
            seen = ready and self._holds(row, says)
            acts = self._lasted(number, seen, row.lasting, step)
            trip = self._trip(number, row, acts, seen, press, ready)
            if row.tell:
                told[row.tell] = told.get(row.tell, False) or (trip and ready)
            for part, word in row.effects:
                if not (row.by or self._drives(part)):
                    continue
                if word in ("shut", "stopped"):
                    stops[part] |= trip
                else:
                    wanted = self._limited(number, row, part, acts, seen, press, ready, told)
                    goes[part] = bool(goes[part]) or wanted
        self.out.update(self._orders(ready, stops, goes))
        self._put_back(says, ready)
        self._settle(step)
        self.first = False
        return dict(self.out), told

    def _trip(self, number: int, row: Row, acts: bool, seen: bool, press: bool, ready: bool) -> bool:
        """What stops lasts until it is re-armed, or until its cause is seen to be over; what tells, while it acts."""
        if row.until == "re-armed":
            over = press and not (row.rearm_when and seen)
        elif any(word in ("shut", "stopped") for _, word in row.effects):
            over = ready and not seen
        else:
            over = True
        self.tripped[number] = acts or (self.tripped[number] and not over)
        return self.tripped[number]

    def _put_back(self, says: Says, ready: bool) -> None:
        """A run that the box ends is over; one that a power cut ended goes on, or ends with its cause."""
        for number, row in self.rows:
            over = ready and not self._holds(row, says)
            for key in ((number, part) for part, _ in row.effects):
                out = self.out.get(key[1], False)
                if out or over or self.locked[key]:
                    self.resumed.add(key)
                if ready and not out and key in self.resumed:
                    self.ran[key] = 0.0

    def _time(self, step: float, midnight: bool) -> None:
        if not self.first:
            self.up += step
        turns = midnight and not self.midnight
        self.midnight = midnight
        for part in self.design.parts:
            name = part.name
            for number, _ in self.rows:
                if self.out.get(name):
                    self.ran[number, name] += step
            if turns:
                self.today[name] = 0.0
            elif self.out.get(name):
                self.today[name] += step

    def _holds(self, row: Row, says: Says) -> bool:
        held = sum(says[term.part, term.word] != term.negated for term in row.cause.terms)
        need = {"any": 1, "all": len(row.cause.terms), "vote": row.cause.need}[row.cause.op]
        return held >= need

    def _lasted(self, number: int, seen: bool, lasting: float, step: float) -> bool:
        if not seen:
            self.stood[number] = None
            return False
        before = self.stood[number]
        self.stood[number] = 0.0 if before is None else before + step
        return bool((self.stood[number] or 0.0) >= lasting - 1e-9)

    def _limited(
        self, number: int, row: Row, part: str, acts: bool, seen: bool, press: bool, ready: bool, told: dict[str, bool]
    ) -> bool:
        wanted = acts
        if row.at_most is not None:
            after = row.too_long
            if ready and self.ran[number, part] >= row.at_most - 1e-9:
                self.locked[number, part] = True
            elif after is not None and after.until == "re-armed":
                if press and not (after.rearm_when and seen):
                    self.locked[number, part] = False
            elif ready and not seen:
                self.locked[number, part] = False
            if after is not None and after.tell:
                told[after.tell] = told.get(after.tell, False) or (self.locked[number, part] and ready)
            wanted = wanted and not self.locked[number, part]
        if row.gap is not None:
            rested = self.rested[part]
            wanted = wanted and bool(self.out.get(part) or (rested is not None and rested >= row.gap - 1e-9))
        if row.per_day is not None:
            flow: Any = self.design.part(part).get("flow")
            wanted = wanted and self.today[part] * flow < row.per_day - 1e-12
        return wanted

    def _orders(self, ready: bool, stops: Mapping[str, bool], goes: Mapping[str, bool | None]) -> dict[str, bool]:
        found = {}
        for part in self.design.parts:
            ordered = [(row, word) for row in self.design.rows for p, word in row.effects if p == part.name]
            if not ordered or not (self._drives(part.name) or any(row.by == self.name for row, _ in ordered)):
                continue
            name = part.name
            if str(part.get("without power")).startswith("open"):
                found[name] = ready and stops[name]
            elif "from" in part.values and not any(word == "running" for _, word in ordered):
                found[name] = False
            else:
                asked = goes[name]
                found[name] = ready and not stops[name] and (asked is None or asked)
        return found

    def _settle(self, step: float) -> None:
        """What is at rest rests on: counted from the scan in which it began."""
        for part, out in self.out.items():
            before = self.rested[part]
            self.rested[part] = None if out else 0.0 if before is None else before + step
