"""A design file -> Design, or every finding at once.

The values are checked against the declarations of the kinds in plain Python, without a model library: each value goes
through the unit parser and the names of other parts anyway, findings need the lines and the keeper's own words, and
reading stays as quick as the start of the program demands.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, get_args

from dewpond import units
from dewpond.design import messages as m
from dewpond.design.checks import check
from dewpond.design.claims import read_claims
from dewpond.design.desk import Desk, TooManyError, both_lines, did_you_mean, glued, listed, nearest, shown
from dewpond.design.floors import read_floors
from dewpond.design.likeness import seen_as
from dewpond.design.model import LONGEST_NAME, Design, slug
from dewpond.design.rows import declared_messages, read_messages, read_rows
from dewpond.design.tree import LARGEST, Group, Items, Node, Value, build, decode
from dewpond.design.values import BAD, Book, Declared, Place, Values
from dewpond.errors import DesignError
from dewpond.parts import KINDS
from dewpond.parts.base import ROLES, Kind, Param, PartView
from dewpond.vocabulary import Word

FORMAT: Final = 1
HEAD: Final = (
    Param("title", "text", "What the installation is called.", None),
    Param("shown in", "word", "The units in which results are shown.", "metric", words=get_args(units.System)),
    Param("zone", "text", "The time zone of the house, as region and city.", "UTC"),
    Param("combination", "word", "What counts when two drivers order one part.", "", words=("any stop wins",)),
)
ASIDE: Final = ("kind", "id")  # keys of every part that its kind does not declare
LONGEST_TITLE: Final = 200  # characters
LISTS: Final = ("floors", "matrix", "claims", "messages")
_VERY_LIKE: Final = 0.8  # likeness from which a misspelt kind is read as the one it is like
_NO_NAME = re.compile(r"[^\w .()/+'&-]")
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


def read(path: str | Path, kinds: Mapping[str, Kind] = KINDS) -> Design:
    """The design in a file. Raises DesignError with all findings, in the order of the lines."""
    desk = Desk(str(path))
    text = decode(_bytes(Path(path), desk), desk)
    if text is None:
        raise DesignError(desk.sorted())
    return _read(text, desk, kinds)


def read_text(text: str, file: str, kinds: Mapping[str, Kind] = KINDS) -> Design:
    """The design in a text; `file` is what messages call it. Raises DesignError with all findings."""
    return _read(text, Desk(file), kinds)


def _bytes(path: Path, desk: Desk) -> bytes:
    """The beginning of a file, one byte longer than what is read at most. Raises DesignError."""
    code, words = "D003", {}
    try:
        if path.exists() and not (path.is_file() or path.is_dir()):
            code = "D028"  # a pipe without a writer would be waited for without end
        else:
            with path.open("rb") as file:
                return file.read(LARGEST + 1)
    except FileNotFoundError:
        code = "D001"
    except IsADirectoryError:
        code = "D002"
    except OSError as error:
        words["reason"] = error.strerror or type(error).__name__
    except ValueError:  # a name that no file can have
        code = "D001"
    desk.add(code, desk.file, None, **words)
    raise DesignError(desk.sorted())


def _read(text: str, desk: Desk, kinds: Mapping[str, Kind]) -> Design:
    try:
        root = build(text, desk)
        if root is None:
            raise DesignError(desk.sorted())
        reader = _Reader(root, text, desk, kinds)
        design = reader.design()
        if any(finding.level == "error" for finding in desk.findings):
            # What can be said of the sound parts is said now, so that nobody has to check the file twice.
            desk.findings += check(replace(design, notes=()), kinds, reader.broken) if design else ()
            raise DesignError(desk.sorted())
    except TooManyError:
        raise DesignError(desk.sorted()) from None
    assert design is not None
    return design


def sections_of(kinds: Mapping[str, Kind]) -> dict[str, dict[str, Kind]]:
    """The kinds of each section, by word; the sections in the order in which a design is usually written."""
    order = sorted(kinds.values(), key=lambda kind: (ROLES.index(kind.role), kind.word))
    sections: dict[str, dict[str, Kind]] = {}
    for kind in order:
        sections.setdefault(kind.section, {})[kind.word] = kind
    return sections


def usual_kind(kinds: Iterable[Kind]) -> Kind | None:
    """Of these, the kind of a part that does not say its own: the only one, or the usual one; None: it must be said."""
    among = tuple(kinds)
    return among[0] if len(among) == 1 else next((kind for kind in among if kind.usual), None)


def is_single(kinds: Mapping[str, Kind]) -> bool:
    """True for the section that is itself a part, named like the section: the supply."""
    return all(kind.role == "source" for kind in kinds.values())


class _Reader:
    def __init__(self, root: Group, text: str, desk: Desk, kinds: Mapping[str, Kind]) -> None:
        self.root = root
        self.text = text
        self.desk = desk
        self.sections = sections_of(kinds)
        self.all_kinds = kinds
        self.names: dict[str, Declared] = {}
        self.keys: dict[str, Group] = {}
        circuit = usual_kind(kind for kind in kinds.values() if kind.role == "circuit")
        self.book = Book(desk, self.names, circuit)
        self.ids: dict[str, str] = {}
        self.looks: dict[str, str] = {}  # names by what the eye takes them for
        self.meant: dict[str, Node] = {}  # sections whose name is misspelt, by what seems to be meant
        self.unsure: set[str] = set()  # parts whose kind is not certain
        self.broken: Collection[str] = ()

    def design(self) -> Design | None:
        """The design as far as it can be made out; None when nothing can. `broken` names the parts it lacks."""
        if not self._format():
            return None
        head = self._head()
        for section, kinds in self.sections.items():
            self._declare(section, kinds, self._section(section))
        self.book.absent = self._absent()
        parts = [part for name in self.keys if (part := self._part(self.names[name])) is not None]
        declared = declared_messages(self._section("messages"), self.book)
        rows = read_rows(self._section("matrix"), self.book, declared)
        claims = read_claims(self._section("claims"), self.book)
        messages, heartbeats = read_messages(declared, self.book)
        plans = read_floors(self._section("floors"), self.book)
        self._tell_of_absent_sections()
        implied = [part for name in self.book.implied if (part := self._implied(name)) is not None]
        if not self.names and not self.desk.findings:
            self.desk.add("D045", self.desk.file, self.root.line)
        parts.sort(key=lambda part: self.names[part.name].line)
        self.broken = (self.names.keys() | self.book.implied.keys()) - {part.name for part in parts + implied}
        return Design(
            FORMAT, shown(head["title"] or Path(self.desk.file).stem, LONGEST_TITLE), head["shown in"], head["zone"],
            tuple(parts + implied), rows, claims, messages, heartbeats, head["combination"],
            {name: declared.line for name, declared in self.names.items()} | self.book.implied,
            self.book.key_lines, frozenset(part.name for part in implied), tuple(self.book.assumed),
            tuple(self.book.unknowns), self.desk.sorted(), self.text, self.desk.file, plans,
        )  # fmt: skip

    # -- head of the file ----------------------------------------------------------------------------------------------
    def _format(self) -> bool:
        """True if the rest of the file can be expected to be in the format that is read here."""
        known = FORMAT
        node = self.root.get("format")
        if node is None:
            self.desk.add("D030", m.HEAD, self.root.line, "format")
            return True
        line = next(key.line for key, _ in self.root.pairs if key.text == "format")
        got = node.text if isinstance(node, Value) else ""
        if got.isascii() and got.isdigit() and int(got[:9]) > known:
            self.desk.findings.clear()  # another format may allow what this one refuses
            self.desk.add("D032", m.HEAD, line, "format", got=shown(got), known=known)
            return False
        if got != str(known):
            self.desk.add("D031", m.HEAD, line, "format", got=shown(got), known=known)
        return True

    def _head(self) -> dict[str, Any]:
        own = [param.key for param in HEAD]
        every = ["format", *own, *self.sections, *LISTS]
        there = {key.text for key, _ in self.root.pairs}
        missing = [word for word in every if word not in there]
        for key, node in self.root.pairs:
            if key.text not in every:
                near = nearest(key.text, missing)
                question = did_you_mean(key.text, [near] if near else [])
                got = shown(key.text)
                self.desk.add("D033", got or m.HEAD, key.line, got, got=got, near=question, known=listed(every))
                self.meant.setdefault(near, node)
        pairs = tuple(pair for pair in self.root.pairs if pair[0].text in own)
        place = Place(m.HEAD, "", "", self.root.line)
        head = Values(self.book, "").group(HEAD, Group(pairs, self.root.line), place)
        if head["shown in"] is not BAD:
            self.book.system = head["shown in"]
        if head["zone"] is not BAD:
            self._zone(head["zone"])
        return {param.key: param.default if head[param.key] is BAD else head[param.key] for param in HEAD}

    def _zone(self, zone: str) -> None:
        from zoneinfo import ZoneInfo, available_timezones

        try:
            ZoneInfo(zone)
        except (ValueError, OSError, KeyError):
            line = self.book.key_lines["", "zone"]
            near = did_you_mean(zone, available_timezones())
            self.desk.add("D046", m.HEAD, line, "zone", got=shown(zone), near=near)

    def _absent(self) -> dict[str, str]:
        """Role of a part -> the section in which such parts stand, for sections that the file does not have."""
        absent: dict[str, str] = {"message": "messages"} if self._is_absent("messages") else {}
        for section, kinds in self.sections.items():
            if self._is_absent(section):
                absent |= {kind.role: section for kind in kinds.values()}
        return absent

    def _is_absent(self, section: str) -> bool:
        node = self._section(section)
        return (
            node is None or (isinstance(node, Value) and not node.text) or (isinstance(node, Group) and not node.pairs)
        )

    def _tell_of_absent_sections(self) -> None:
        for section, names in self.book.lacking.items():
            kinds = self.sections.get(section, {})
            holds = listed(kinds) or m.HOLDS_MESSAGES
            example = next((kind.example for kind in kinds.values()), m.EXAMPLE_MESSAGE)
            if not kinds or not is_single(kinds):
                example = f"{section}: {{{example}}}"
            words = {"holds": holds, "names": listed(map(shown, names), 6), "example": example}
            self.desk.add("D047", m.HEAD, self.root.line, section, **words)

    def _section(self, name: str) -> Node | None:
        return self.root.get(name) or self.meant.get(name)

    # -- which parts there are -----------------------------------------------------------------------------------------
    def _declare(self, section: str, kinds: Mapping[str, Kind], node: Node | None) -> None:
        """Notes the name and the kind of every part of a section, before any key is read."""
        if node is None or (isinstance(node, Value) and not node.text):
            return
        example = next(iter(kinds.values())).example
        if not isinstance(node, Group):
            self.desk.add("D034", section, node.line, got=section, example=example)
        elif is_single(kinds):
            line = next((key.line for key, _ in self.root.pairs if key.text == section), node.line)
            self._declare_part(section, kinds, Value(section, line), node)
        else:
            for name, keys in node.pairs:
                if isinstance(keys, Group):
                    self._declare_part(section, kinds, name, keys)
                elif isinstance(keys, Value) and not keys.text and usual_kind(kinds.values()):
                    self._declare_part(section, kinds, name, Group((), name.line))
                else:
                    got = m.SHAPES["list" if isinstance(keys, Items) else "text" if keys.text else "nothing"]
                    where = m.PART.format(section=section, name=shown(name.text))
                    meant = kinds.get(keys.text) if isinstance(keys, Value) else None
                    self.desk.add("D038", where, name.line, got=got, example=meant.example if meant else example)
                    if not _name_fault(name.text):  # others may name it all the same
                        self.names.setdefault(name.text, Declared(name.text, meant, section, name.line))

    def _declare_part(self, section: str, kinds: Mapping[str, Kind], key: Value, group: Group) -> None:
        name = key.text.strip()
        where = section if name == section else m.PART.format(section=section, name=shown(name))
        why = _name_fault(name)
        if why:
            self.desk.add("D042", where, key.line, name=shown(name), why=why)
            return
        if name in self.names:
            first = self.names[name].line
            self.desk.add("D041", where, key.line, name=shown(name), lines=both_lines(first, key.line))
            return
        kind, sure = self._kind(kinds, where, key, group)
        if not sure:
            self.unsure.add(name)
        self.names[name] = Declared(name, kind, section, key.line)
        self.keys[name] = group

    def _kind(self, kinds: Mapping[str, Kind], where: str, key: Value, group: Group) -> tuple[Kind | None, bool]:
        """The kind of a part, and whether it is certain: a misspelt one is read as the one it is very like."""
        node = group.get("kind")
        known = listed(kinds)
        if node is None:
            kind = usual_kind(kinds.values())
            if kind is None:
                near = next(filter(None, (glued(name.text, ["kind"]) for name, _ in group.pairs)), "")
                self.desk.add("D037", where, key.line, "kind", near=near, known=known)
            return kind, kind is not None
        line = next(name.line for name, _ in group.pairs if name.text == "kind")
        got = node.text if isinstance(node, Value) else ""
        if got in kinds:
            return kinds[got], True
        if got in self.all_kinds:
            right = self.all_kinds[got].section
            self.desk.add("D036", where, line, "kind", got=shown(got), right=right, known=known)
            return self.all_kinds[got], False
        also = {other: kind.word for kind in self.all_kinds.values() for other in kind.also}
        near = did_you_mean(got, kinds, also) or did_you_mean(got, self.all_kinds, also)
        self.desk.add("D035", where, line, "kind", got=shown(got), near=near, known=known)
        return kinds.get(nearest(got, kinds, _VERY_LIKE)), False

    # -- one part ------------------------------------------------------------------------------------------------------
    def _part(self, declared: Declared) -> PartView | None:
        group, kind, name = self.keys[declared.name], declared.kind, declared.name
        where = declared.section if name == declared.section else m.PART.format(section=declared.section, name=name)
        part_id = self._id(name, group, where, declared.line)
        if kind is None:
            return None
        self.book.key_lines.update({(name, key.text): key.line for key, _ in group.pairs if key.text in ASIDE})
        reader = Values(self.book, kind.word, kind.example)
        values = reader.group(kind.params, group, Place(where, name, "", declared.line), ASIDE)
        if BAD in values.values() or part_id is None or name in self.unsure:
            return None
        given = frozenset(key.text for key, _ in group.pairs if key.text not in ASIDE)
        return PartView(part_id, name, kind.word, values, given)

    def _id(self, name: str, group: Group, where: str, line: int) -> str | None:
        node = group.get("id")
        part_id = slug(name)
        if node is not None:
            line = next(key.line for key, _ in group.pairs if key.text == "id")
            part_id = node.text if isinstance(node, Value) else ""
            if len(part_id) > LONGEST_NAME or not _ID.fullmatch(part_id):
                self.desk.add("D043", where, line, "id", got=shown(part_id), example=slug(name))
                return None
        twin = self.looks.setdefault(seen_as(name), name)
        if slug(twin) != slug(name):
            self.desk.add("D048", where, line, first=twin, second=name)
            return None
        first = self.ids.setdefault(part_id, name)
        if first != name:
            self.desk.add("D044", where, line, "id", got=shown(part_id), first=first, second=name)
            return None
        return part_id

    def _implied(self, name: str) -> PartView | None:
        """A power circuit that parts name and no line declares: all of it is assumed."""
        kind = self.book.circuit
        assert kind is not None
        line = self.book.implied[name]
        place = Place(m.PART.format(section=kind.section, name=shown(name)), name, "", line)
        why = _name_fault(name)
        if why:
            self.desk.add("D042", place.where, line, name=shown(name), why=why)
            return None
        part_id = self._id(name, Group((), line), place.where, line)
        values = Values(self.book, kind.word, kind.example).group(kind.params, Group((), line), place)
        if BAD in values.values() or part_id is None:
            return None
        return PartView(part_id, name, kind.word, values, frozenset())


def _name_fault(name: str) -> str:
    """Why a part cannot be called so; empty when it can."""
    if not name:
        return m.NAME_EMPTY
    if name == Word.UNKNOWN:
        return m.NAME_UNKNOWN
    if len(name) > LONGEST_NAME:
        return m.NAME_LONG.format(limit=LONGEST_NAME)
    sign = _NO_NAME.search(name)
    return m.NAME_SIGN.format(sign=shown(sign[0]) or m.INVISIBLE) if sign else ""
