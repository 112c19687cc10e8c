"""The matrix and the messages of a design file -> Row, Message and Heartbeat."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from dewpond.design import messages as m
from dewpond.design.causes import CauseError, read_cause
from dewpond.design.desk import both_lines, did_you_mean, glued, listed, shown
from dewpond.design.model import Cause, Heartbeat, Message, Row, TooLong
from dewpond.design.tree import Group, Items, Node, Value
from dewpond.design.values import BAD, Book, Place, Values
from dewpond.parts.base import Param

CAUSE_ENDS: Final = "cause ends"
RE_ARMED: Final = "re-armed"
PRIORITIES: Final = ("now", "today", "this week", "log only")
_UNTIL = re.compile(r"re-armed by hand(?: when (?P<when>.+))?")
_UNANSWERED = re.compile(r"unanswered for (?P<time>.+)")

UNTIL = Param("until", "text", "Until when the order stands: cause ends, or re-armed by hand when ...", CAUSE_ENDS)
TELL = Param("tell", "text", "The message that is sent.", None)
ROW_PARAMS: Final = (
    Param("id", "text", "A short name that stays the same when rows are moved.", None),
    Param("cause", "text", 'What must be so: "tray probe wet or study probe wet".'),
    Param(
        "lasting",
        "duration",
        "How long the cause must stand before the row acts.",
        0.0,
        low=0.0,
        high=14 * 86400.0,
        usual=(0.0, 86400.0),
    ),
    Param("effect", "map", "Which part gets which order: {feed valve: shut}.", None),
    UNTIL,
    Param(
        "at most",
        "duration",
        "The longest run.",
        None,
        low=1.0,
        high=86400.0,
        usual=(5.0, 43200.0),
        trailing=("a run", "per run"),
    ),
    Param(
        "gap",
        "duration",
        "The shortest pause between two runs.",
        None,
        low=0.0,
        high=14 * 86400.0,
        usual=(0.0, 86400.0),
    ),
    Param("per day", "volume", "The most that may be pumped in a day.", None, low=1e-6, high=10.0, usual=(1e-5, 0.3)),
    Param(
        "when a run is too long",
        "map",
        "What follows when a run reaches the longest time.",
        None,
        fields=(
            Param("effect", "text", "The order that then stands, as in `effect: stopped`."),
            Param("until", "text", "Until when it stands.", "re-armed by hand"),
            TELL,
        ),
    ),
    Param("by", "part", "What carries the row out, where it is not what drives the part.", None, roles=("box",)),
    TELL,
)
_TEXTS = (Param("item", "text", "One of the list."),)
OUTSIDE: Final = "outside the house"  # where a watcher stands that no fault of the house stops
HEARD = "The last day on which it was heard to arrive"
MESSAGE_PARAMS: Final = (
    Param("priority", "word", "How soon somebody must act.", words=PRIORITIES),
    Param("path", "list", "All that must work for the message to arrive, in order.", fields=_TEXTS),
    Param("heard", "date", f"{HEARD}, in any way.", None),
    Param("heard after a wetted probe", "date", f"{HEARD} after a probe was really wetted.", None),
)
UNANSWERED = Param(
    "unanswered for",
    "duration",
    "After how long without an answer the next one is told.",
    low=1.0,
    usual=(60.0, 86400.0),
)
HEARTBEAT_PARAMS: Final = (
    Param("from", "parts", "The boxes that send it.", roles=("box",)),
    Param("every", "duration", "How often.", low=1.0, high=14 * 86400.0, usual=(30.0, 2 * 86400.0)),
    Param("path", "list", "All that must work for it to arrive.", fields=_TEXTS),
    Param("missed", "count", "How many may stay away before somebody is told.", 2, low=1, high=100),
    Param("watched", "text", f"Who watches for it: `{OUTSIDE}`, or a box or a network of the file.", OUTSIDE),
    Param("tell", "list", "Who is told.", fields=_TEXTS),
)


def read_rows(node: Node | None, book: Book, messages: Mapping[str, Any]) -> tuple[Row, ...]:
    """The rows, as far as they can be read; what cannot goes to the desk."""
    if node is None or (isinstance(node, Value) and not node.text):
        return ()
    if not isinstance(node, Items):
        book.desk.add("D070", "matrix", node.line, example=m.EXAMPLE_ROW)
        return ()
    rows: dict[str, Row] = {}
    for number, item in enumerate(node.nodes, 1):
        where = m.ROW.format(number=number)
        if not isinstance(item, Group):
            book.desk.add("D070", where, item.line, example=m.EXAMPLE_ROW)
            continue
        row = _Row(book, messages, where, item).read(number)
        if row.id in rows:
            book.desk.add(
                "D081", where, row.line, "id", got=shown(row.id), lines=both_lines(rows[row.id].line, row.line)
            )
        rows[row.id] = row
    return tuple(rows.values())


_NO_CAUSE: Final = Cause("any", 1, ())


class _Row:
    def __init__(self, book: Book, messages: Mapping[str, Any], where: str, group: Group) -> None:
        self.book = book
        self.messages = messages
        self.where = where
        self.items = group
        # Rows are no parts: their keys belong to an owner that no part can be called.
        self.place = Place(where, where, "", group.line)
        self.sound = True

    def read(self, number: int) -> Row:
        params = [p for p in ROW_PARAMS if p.key != "effect"]
        reader = Values(self.book, self.where, "", "D071")
        values = reader.group(params, self.items, self.place, ("effect",))
        cause = self._cause(values["cause"])
        effects = self._effects(self.items.get("effect"))
        until, when = self._until(values["until"], "until")
        tell = self._tell(values["tell"], "tell")
        too_long = self._too_long(values["when a run is too long"])
        if too_long is not None and self.items.get("at most") is None:
            self._add("D080", "when a run is too long")
        if not effects and tell is None and self.sound and self.items.get("tell") is None:
            self._add("D077", None)
        # A row with an error is kept as well, for the checks to look at what is left of it; no design is made of it.
        kept = {key: None if value is BAD else value for key, value in values.items()}
        return Row(
            kept["id"] or f"row {number}", self.items.line, cause or _NO_CAUSE, kept["lasting"] or 0.0, effects, until,
            when, kept["at most"], kept["gap"], kept["per day"], too_long, kept["by"], tell,
        )  # fmt: skip

    def _add(self, code: str, key: str | None, line: int | None = None, **words: object) -> None:
        self.sound = False
        if line is None:
            line = self._line(key)
        self.book.desk.add(code, self.where, line, key, **words)

    def _line(self, key: str | None) -> int:
        first = (key or "").split(":")[0]
        return next((name.line for name, _ in self.items.pairs if name.text == first), self.items.line)

    def _cause(self, text: Any) -> Any:
        if text is BAD:
            return None
        try:
            cause, again = read_cause(text, self.book.names)
            self._told_again(again)
            # Without its sensors, "sump low low" reads as the sump being "low low".
            mute = [term for term in cause.terms if "sensor" in self.book.absent and not self._tells(term.part)]
            for term in mute:
                self.book.lacks(("sensor",), f"{term.part} {term.word}".rpartition(" ")[0])
            if mute:
                self.sound = False
                return None
            return cause
        except CauseError as error:
            self._told_again(error.again)
            if error.code == "D074" and self.book.lacks(("sensor",), error.words["got"]):
                self.sound = False
            else:
                self._add(error.code, "cause", **error.words)
            return None

    def _tells(self, name: str) -> bool:
        """Whether a part outside the section of sensors tells of something: work, and what is wired to a box."""
        kind = self.book.names[name].kind if name in self.book.names else None
        return kind is not None and (kind.role == "work" or any(param.key == "wired to" for param in kind.params))

    def _told_again(self, again: Sequence[str]) -> None:
        if again:
            got = listed(map(shown, again), 6)
            self.book.desk.add("D082", self.where, self._line("cause"), "cause", got=got)

    def _effects(self, node: Node | None) -> tuple[tuple[str, str], ...]:
        if node is None or (isinstance(node, Value) and not node.text):
            return ()
        if not isinstance(node, Group):
            example = "effect: {feed valve: shut}"
            got = m.SHAPES["list" if isinstance(node, Items) else "text"]
            self._add("D050", "effect", wanted=m.SHAPES["map"], got=got, example=example)
            return ()
        effects = []
        for name, order in node.pairs:
            part = name.text.strip()
            if part not in self.book.names and self.book.lacks(("line",), part):
                self.sound = False
            elif part not in self.book.names:
                every = self.book.names.values()
                fit = [d.name for d in every if d.kind and any(p.key == "driven by" for p in d.kind.params)]
                known = m.FITTING.format(names=listed(fit, 12))
                near = glued(part, [*self.book.names]) or did_you_mean(part, fit)
                self._add("D076", "effect", name.line, got=shown(part), near=near, known=known)
            elif not isinstance(order, Value) or not order.text.strip():
                self._add("D051", f"effect: {shown(part)}", name.line, example=f"{part}: shut", unknown="")
            else:
                effects.append((part, order.text.strip()))
        return tuple(effects)

    def _until(self, text: Any, key: str) -> tuple[str, str]:
        if text is BAD or text == CAUSE_ENDS:
            return CAUSE_ENDS, ""
        found = _UNTIL.fullmatch(text)
        if found:
            return RE_ARMED, found["when"] or ""
        self._add("D078", key, got=shown(text))
        return CAUSE_ENDS, ""

    def _tell(self, name: Any, key: str) -> str | None:
        if name is BAD or name is None:
            return None
        if name in self.messages:
            return str(name)
        if self.book.lacks(("message",), str(name)):
            self.sound = False
            return None
        known = m.KNOWN_MESSAGES.format(names=listed(self.messages, 12)) if self.messages else m.HAS_NO_MESSAGES
        self._add("D079", key, got=shown(name), near=did_you_mean(name, self.messages), known=known)
        return None

    def _too_long(self, values: Any) -> TooLong | None:
        if values is BAD or values is None:
            return None
        key = "when a run is too long"
        until, when = self._until(values["until"], f"{key}: until")
        return TooLong(values["effect"], until, when, self._tell(values["tell"], f"{key}: tell"))


def declared_messages(node: Node | None, book: Book) -> dict[str, tuple[Value, Group]]:
    """The messages by name with their keys, unread, so that rows can be checked against them."""
    if node is None or (isinstance(node, Value) and not node.text):
        return {}
    if not isinstance(node, Group):
        book.desk.add("D034", "messages", node.line, got="messages", example=m.EXAMPLE_MESSAGE)
        return {}
    found = {}
    for name, keys in node.pairs:
        if isinstance(keys, Group):
            found[name.text] = (name, keys)
        else:
            got = m.SHAPES["list" if isinstance(keys, Items) else "text" if keys.text else "nothing"]
            where = m.MESSAGE.format(name=shown(name.text))
            book.desk.add("D038", where, name.line, got=got, example=m.EXAMPLE_MESSAGE)
    return found


def read_messages(
    declared: Mapping[str, tuple[Value, Group]], book: Book
) -> tuple[tuple[Message, ...], tuple[Heartbeat, ...]]:
    """The messages and heartbeats that can be used; what cannot goes to the desk."""
    messages, heartbeats = [], []
    for name, (key, group) in declared.items():
        where = m.MESSAGE.format(name=shown(name))
        place = Place(where, where, "", key.line)
        listed_ = _as_lists(group, ("path", "tell"))
        if group.get("from") is not None or group.get("every") is not None:
            values = Values(book, where, "", "D071").group(HEARTBEAT_PARAMS, listed_, place)
            if BAD not in values.values():
                heartbeats.append(Heartbeat(name, key.line, *(values[param.key] for param in HEARTBEAT_PARAMS)))
        else:
            message = _message(name, listed_, book, place)
            if message is not None:
                messages.append(message)
    return tuple(messages), tuple(heartbeats)


def _message(name: str, group: Group, book: Book, place: Place) -> Message | None:
    late = [(key, node) for key, node in group.pairs if _UNANSWERED.fullmatch(key.text)]
    reader = Values(book, place.where, "", "D071")
    values = reader.group(MESSAGE_PARAMS, group, place, [key.text for key, _ in late])
    after, then = None, None
    for key, node in late:
        here = place.inner(shown(key.text), key.line)
        after = reader.value(UNANSWERED, Value(key.text.removeprefix("unanswered for "), key.line), here)
        then = reader.value(Param(key.text, "text", "Who is told next."), node, here)
    if BAD in (*values.values(), after, then):
        return None
    heard, heard_wet = values["heard"], values["heard after a wetted probe"]
    return Message(name, place.line, values["priority"], values["path"], after, then, heard, heard_wet)


def _as_lists(group: Group, keys: Sequence[str]) -> Group:
    """The same keys, with a single word in place of a list made into a list of one."""
    pairs = [
        (key, Items((node,), node.line) if key.text in keys and isinstance(node, Value) and node.text else node)
        for key, node in group.pairs
    ]
    return Group(tuple(pairs), group.line)
