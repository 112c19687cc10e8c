"""Findings about the matrix and the messages as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping
from typing import Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.design import messages_claims as words_of
from dewpond.design.desk import Desk, did_you_mean, listed, nearest, shown
from dewpond.design.model import Design, Heartbeat, Message, Row, Term
from dewpond.design.rows import OUTSIDE, RE_ARMED
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView
from dewpond.vocabulary import Word

_NEARLY = 0.85  # likeness from which a step of a path is taken for the name of a part mistyped
_PASSES_ON: Final = ("box", "link")  # roles of what a message goes through
LONG_WET: Final = 600.0  # wait with a wet probe that costs more than it spares [s]; our prior, 1 to 30 min
WITHOUT_POWER, HANGS = "without power", "when it hangs"  # keys of boxes
_AT_REST: Final = (Word.SHUT, Word.STOPPED)


def check_matrix(
    design: Design, kinds: Mapping[str, Kind], found: Scouted, unsound: Collection[str], desk: Desk, whole: bool
) -> None:
    """Findings about rows, and (if the file was read as a `whole`) about what no row does."""
    matrix = _Matrix(design, kinds, found, unsound, desk, whole)
    for number, row in enumerate(design.rows, 1):
        matrix.row(row, row_title(row, number))
    matrix.drivers()
    if whole:
        matrix.actuators()
        matrix.sensors()


def _stops_what_is_wet(row: Row) -> bool:
    wet = any(term.word == Word.WET and not term.negated for term in row.cause.terms)
    return wet and any(word in _AT_REST for _, word in row.effects)


def row_title(row: Row, number: int) -> str:
    """What messages call a row: its own id, else its number from 1."""
    return m.ROW.format(number=number if row.id == f"row {number}" else row.id)


def boxes_of(part: PartView, kind: Kind) -> tuple[str, ...]:
    """The boxes that a part says it is driven by or wired to, in the order of its keys."""
    names: list[str] = []
    for param in kind.params:
        value = part.get(param.key)
        if param.roles == ("box",) and value:
            names += [value] if isinstance(value, str) else value
    return tuple(dict.fromkeys(names))


def undriven(design: Design, kinds: Mapping[str, Kind], found: Scouted) -> list[PartView]:
    """The parts that obey orders and are driven by no box: each acts while it has power and what is in its lead lets
    it."""
    return [p for p in design.parts if p.name in found.orders and not boxes_of(p, kinds[p.kind])]


def plain_boxes(design: Design, kinds: Mapping[str, Kind]) -> set[str]:
    """The boxes whose contact does something without power, and that have no program which could hang: relays."""
    keys = {
        part.name: {p.key for p in kinds[part.kind].params} for part in design.parts if kinds[part.kind].role == "box"
    }
    return {name for name, own in keys.items() if WITHOUT_POWER in own and HANGS not in own}


class _Matrix:
    def __init__(
        self,
        design: Design,
        kinds: Mapping[str, Kind],
        found: Scouted,
        unsound: Collection[str],
        desk: Desk,
        whole: bool,
    ) -> None:
        self.whole = whole
        self.design = design
        self.views = {part.name: part for part in design.parts}
        self.kinds = kinds
        self.relays = plain_boxes(design, kinds)
        self.found = found
        self.unsound = unsound
        self.desk = desk

    def _kind(self, name: str) -> Kind:
        return self.kinds[self.views[name].kind]

    def boxes(self, name: str) -> tuple[str, ...]:
        return boxes_of(self.views[name], self._kind(name))

    # -- one row -------------------------------------------------------------------------------------------------------
    def row(self, row: Row, where: str) -> None:
        """Everything about one row."""
        for term in row.cause.terms:
            if self._is_sound(term.part):
                self._term(row, where, term)
        for part, word in row.effects:
            if self._is_sound(part):
                self._effect(row, where, part, word)
        if row.lasting > LONG_WET and _stops_what_is_wet(row):
            lasting = units.show(row.lasting, "duration", "metric", 2)
            self.desk.add("D132", where, row.line, "lasting", lasting=lasting)
        if row.cause.op == "all":
            self._contradictions(row, where)
        named = [*(term.part for term in row.cause.terms), *(part for part, _ in row.effects)]
        if not self.whole or not all(self._is_sound(name) for name in named):
            return
        if not row.by and not any(self.boxes(name) for name in named):
            self.desk.add("D124", where, row.line)
        if row.until == RE_ARMED and row.tell is None:
            self.desk.add("D119", where, row.line)

    def _is_sound(self, name: str) -> bool:
        return name in self.views and name not in self.unsound

    def _term(self, row: Row, where: str, term: Term) -> None:
        known = self.found.states.get(term.part, [])
        if not known:
            kind = self._kind(term.part).word
            self.desk.add("D107", where, row.line, "cause", part=term.part, word=shown(term.word), kind=kind)
        elif term.word not in known:
            near = did_you_mean(term.word, known)
            words = {"part": term.part, "word": shown(term.word), "known": listed(known), "near": near}
            self.desk.add("D106", where, row.line, "cause", **words)

    def _effect(self, row: Row, where: str, part: str, word: str) -> None:
        known = self.found.orders.get(part)
        if known is None:
            self.desk.add("D109", where, row.line, "effect", part=part, kind=self._kind(part).word)
            return
        orders = [word, row.too_long.word] if row.too_long is not None else [word]
        for order in orders:
            if order not in known:
                meant = next((one for one in known if one.startswith(order)), order)  # stop, run
                words = {"part": part, "word": shown(order), "known": listed(known), "near": did_you_mean(meant, known)}
                self.desk.add("D108", where, row.line, "effect", **words)
        if self.whole and word == Word.RUNNING and row.at_most is None and not self._by_wire(row, part):
            self.desk.add("D113", where, row.line, "at most", part=part)
        if self.whole and word == Word.RUNNING and self.design.messages:
            self._ended_unseen(row, where, part)

    def _by_wire(self, row: Row, part: str) -> bool:
        """Whether a relay carries an order out, which knows no limits."""
        return bool(self.relays & {row.by, *self.boxes(part)})

    def _ended_unseen(self, row: Row, where: str, part: str) -> None:
        """A run that its limit ends, while nobody is told although somebody could be."""
        too_long = row.too_long
        if row.at_most is None or (too_long is not None and too_long.tell is not None):
            return
        locked = too_long is not None and too_long.until == RE_ARMED
        after = m.IS_LOCKED.format(word=too_long.word) if locked and too_long is not None else m.MAY_RUN_AGAIN
        words = {"part": part, "after": after, "add": m.ADD_TOO_LONG if too_long is None else m.ADD_TELL}
        system: units.System = "US" if self.design.shown_in == "US" else "metric"
        at_most = units.show(row.at_most, "duration", system, 2)
        known = listed(message.name for message in self.design.messages)
        self.desk.add("D139", where, row.line, "at most", at_most=at_most, known=known, **words)

    def _contradictions(self, row: Row, where: str) -> None:
        """Two conditions on one part that exclude each other. A part is in one of its states at a time."""
        asked: dict[str, list[Term]] = {}
        for term in row.cause.terms:
            before = asked.setdefault(term.part, [])
            if term in before:
                continue
            for one in before:
                same = one.word == term.word
                if same or not (one.negated or term.negated):  # the same word twice differs in "not"
                    first, second = (m.NOT.format(word=t.word) if t.negated else t.word for t in (one, term))
                    why = m.ASKS_BOTH.format(part=one.part, first=first, second=second)
                    self.desk.add("D110", where, row.line, "cause", why=why)
                    return
            before.append(term)

    # -- all rows together ---------------------------------------------------------------------------------------------
    def drivers(self) -> None:
        """Parts that more than one box gives orders to, while the file does not say which of them wins."""
        if self.design.combination:
            return
        told: set[str] = set()
        for row in self.design.rows:
            for part, _ in row.effects:
                if part in told or not self._is_sound(part):
                    continue
                drivers = list(dict.fromkeys([*self.boxes(part), *self._drivers_by_row(part)]))
                if len(drivers) > 1:
                    told.add(part)
                    where = m.PART.format(section=self._kind(part).section, name=part)
                    line = self.design.lines[part]
                    self.desk.add("D105", where, line, "combination", actuator=part, drivers=listed(drivers))

    def _drivers_by_row(self, part: str) -> Iterator[str]:
        for row in self.design.rows:
            if row.by and part in dict(row.effects):
                yield row.by

    def actuators(self) -> None:
        """Parts that obey orders and get none; pumps that are only ever stopped."""
        ordered = {pair for row in self.design.rows for pair in row.effects}
        for name, (resting, acting) in self.found.orders.items():
            if not self.boxes(name):
                continue  # it acts without an order
            said = {word for part, word in ordered if part == name}
            if not said or (acting == Word.RUNNING and said <= {resting}):
                where = m.PART.format(section=self._kind(name).section, name=name)
                self.desk.add("D111", where, self.design.lines[name], name=name, resting=resting, acting=acting)

    def sensors(self) -> None:
        """Sensors that no cause names."""
        asked = {term.part for row in self.design.rows for term in row.cause.terms}
        for name, states in self.found.states.items():
            if name not in asked and self._kind(name).role == "sensor":
                where = m.PART.format(section=self._kind(name).section, name=name)
                self.desk.add("D137", where, self.design.lines[name], name=name, word=states[0])


def check_messages(design: Design, kinds: Mapping[str, Kind], people: Collection[str], desk: Desk) -> None:
    """Messages that reach nobody, that no row sends, or whose path names what is taken to work."""
    _watchers(design, kinds, desk)
    nobody = set()
    sent = {name for row in design.rows for name in (row.tell, row.too_long.tell if row.too_long else None)}
    for message in design.messages:
        where = m.MESSAGE.format(name=message.name)
        if not {*people} & {*message.path, message.then}:
            nobody.add(message.name)  # what its path names may be meant for a person
            desk.add("D122", where, message.line, "path", known=listed(people) or m.NOBODY)
        if message.name not in sent:
            desk.add("D123", where, message.line, name=message.name)
        if message.then in message.path:
            desk.add("D236", where, message.line, "unanswered", who=message.then)
    both: tuple[Message | Heartbeat, ...] = (*design.messages, *design.heartbeats)
    for told in both:
        tells = told.tell if isinstance(told, Heartbeat) else (told.then,) if told.then else ()
        key = "tell" if isinstance(told, Heartbeat) else "unanswered"
        for name in tells:
            if name not in people:
                where = m.MESSAGE.format(name=told.name)
                words = {"near": did_you_mean(name, people), "known": listed(people) or m.NOBODY}
                desk.add("D152", where, told.line, key, got=shown(name), **words)
        twice = [step for step, times in Counter(told.path).items() if times > 1]
        if twice:
            where = m.MESSAGE.format(name=told.name)
            desk.add("D237", where, told.line, "path", steps=listed(map(shown, twice)))
        _path(told, design, kinds, told.name in nobody, desk)


def _path(told: Message | Heartbeat, design: Design, kinds: Mapping[str, Kind], to_nobody: bool, desk: Desk) -> None:
    """Steps of a path that are no part, nearly one, or a part that passes nothing on."""
    names = {part.name: part.kind for part in design.parts}
    where = m.MESSAGE.format(name=told.name)
    for step in dict.fromkeys(told.path):
        if step in names and kinds[names[step]].section == "people":
            continue
        near = "" if step in names else nearest(step, names, _NEARLY)
        if near:
            desk.add("D118", where, told.line, "path", got=shown(step), near=near)
        elif step in names and kinds[names[step]].role not in _PASSES_ON:
            desk.add("D246", where, told.line, "path", got=step, so=words_of.OF_THE_KIND.format(kind=names[step]))
        elif step not in names and not to_nobody:
            desk.add("D246", where, told.line, "path", got=shown(step), so=words_of.NO_PART)


def _watchers(design: Design, kinds: Mapping[str, Kind], desk: Desk) -> None:
    """Signs of life for which nothing waits of which it is known when it works."""
    names = {part.name: part.kind for part in design.parts}
    known = [OUTSIDE, *(name for name, kind in names.items() if kinds[kind].role in _PASSES_ON)]
    for beat in design.heartbeats:
        if beat.watched not in known:
            where = m.MESSAGE.format(name=beat.name)
            kind = names.get(beat.watched)
            so = words_of.OF_THE_KIND.format(kind=kind) if kind else words_of.NO_PART
            words = {"near": "" if kind else did_you_mean(beat.watched, known), "known": listed(known[1:]) or m.NOBODY}
            desk.add("D245", where, beat.line, "watched", got=shown(beat.watched), so=so, outside=OUTSIDE, **words)
