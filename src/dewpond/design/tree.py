"""Bytes of a file -> text -> a tree of strings with line numbers, or findings about what stands in the way.

The tree is built from the parser's events, not by its loader: nothing is recursive, so that a file of brackets cannot
overrun the stack; both places of a duplicate key are known; and no value is anything but the text that was typed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from dewpond.design.desk import Desk, both_lines, shown
from dewpond.design.messages import GLUED

LARGEST = 1_000_000  # bytes
DEEPEST = 12  # levels of lists and groups in each other
_NOT_TEXT = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_GLUED = re.compile(r"\s*(?:- )?([A-Za-z][\w ]*)(?<!\d):([^\s/:].*)")  # a key whose colon has no space behind it
_TABBED = re.compile(r"[ ]*\t[ \t]*(?=[^\s#])")
_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True, slots=True)
class Value:
    """A text as typed, without its quotation marks."""

    text: str
    line: int


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    nodes: tuple[Node, ...]
    line: int


@dataclass(frozen=True, slots=True)
class Group:
    """Keys with their values, in the order of the file; no key twice."""

    pairs: tuple[tuple[Value, Node], ...]
    line: int

    def get(self, key: str) -> Node | None:
        """What stands after a key; None when the key is not there."""
        return next((node for name, node in self.pairs if name.text == key), None)


Node = Value | Items | Group
_NO_KEY = Value("", 0)  # in place of a key that is none


class _UnreadableError(Exception):
    """The rest of the file is not worth looking at; the finding is on the desk."""


def decode(data: bytes, desk: Desk) -> str | None:
    """The text of a file; None when it is not a text, with the finding on the desk."""
    if len(data) > LARGEST:
        desk.add("D004", desk.file, None, limit=f"{LARGEST // 1_000_000} MB")
        return None
    if data.startswith(_UTF16):
        desk.add("D007", desk.file, 1, guess=", but in UTF-16")
        return None
    try:
        return data.decode("utf-8-sig")  # some editors put an invisible mark before the text
    except UnicodeDecodeError as error:
        if not _binary(data, desk):
            line = data.count(b"\n", 0, error.start) + 1
            desk.add("D007", desk.file, line, guess="")
        return None


def _binary(data: bytes, desk: Desk) -> bool:
    """True, with a finding, if bytes that are not UTF-8 hold signs that no text of any coding has."""
    foreign = re.search(rb"[\x00-\x08\x0b\x0c\x0e-\x1f]", data)
    if foreign:
        line = data.count(b"\n", 0, foreign.start()) + 1
        desk.add("D006", desk.file, line, number=foreign[0][0])
    return foreign is not None


def build(text: str, desk: Desk) -> Group | None:
    """The tree of a design's text; None when it cannot be read, with the findings on the desk."""
    foreign = _NOT_TEXT.search(text)
    if foreign:
        line = text.count("\n", 0, foreign.start()) + 1
        desk.add("D006", desk.file, line, number=ord(foreign[0]))
        return None
    if _tabs(text, desk):
        return None
    try:
        # A tab between words is no fault: it reads as a space.
        root = _Builder(desk).build(yaml.parse(text.replace("\t", " "), Loader=yaml.CBaseLoader))
    except yaml.MarkedYAMLError as error:
        _report_syntax(error, text, desk)
        return None
    except _UnreadableError:
        return None
    if root is None or (isinstance(root, Value) and not root.text):
        desk.add("D005", desk.file, 1)
        return None
    if not isinstance(root, Group):
        desk.add("D022", desk.file, root.line)
        return None
    return root


def _tabs(text: str, desk: Desk) -> bool:
    lines = [number for number, line in enumerate(text.split("\n"), 1) if _TABBED.match(line)]
    if lines:
        few = ", ".join(map(str, lines[:5]))
        named = f"line{'s' * (len(lines) > 1)} {few}" + f" and {len(lines) - 5} more" * (len(lines) > 5)
        desk.add("D009", desk.file, lines[0], lines=named)
    return bool(lines)


def _report_syntax(error: Any, text: str, desk: Desk) -> None:
    """Puts the parser's complaint into words of ours where it is a common one."""
    problem, context = error.problem or "", error.context or ""
    mark, opened = error.problem_mark, error.context_mark
    line = mark.line + 1 if mark else 1
    where = desk.file
    glued = _without_a_space(text, (line, line - 1))  # what comes of it may show in the next line only
    if glued:
        desk.add("D026", where, glued[0], near=glued[1])
    elif "mapping values are not allowed" in problem:
        desk.add("D011", where, line)
    elif "quoted scalar" in context and "end of stream" in problem:
        desk.add("D012", where, opened.line + 1)
    elif "did not find expected ','" in problem:
        desk.add("D013", where, line, opened=opened.line + 1)
    elif "nesting depth" in problem:
        desk.add("D019", where, line, limit=DEEPEST)
    elif "cannot start any token" in problem:
        desk.add("D014", where, line, sign=shown(_line_of(text, mark.line)[mark.column :][:1]))
    elif problem == "found unexpected ':'":
        desk.add("D024", where, line)
    elif problem == "could not find expected ':'":
        desk.add("D026", where, opened.line + 1, near="")
    elif re.search("expected key|expected '-' indicator|sequence entries are not allowed", problem):
        before, rest = _line_of(text, mark.line)[: mark.column], _line_of(text, mark.line)[mark.column :]
        if before.strip():
            desk.add("D027", where, line, rest=shown(rest))
        else:
            desk.add("D025", where, line)
    else:
        desk.add("D010", where, line, problem=problem or "the text breaks off")


def _without_a_space(text: str, lines: tuple[int, ...]) -> tuple[int, str] | None:
    """The first of these lines whose colon has no space behind it, and how it should read."""
    for line in lines:
        found = _GLUED.match(_line_of(text, line - 1)) if line > 0 else None
        if found:
            return line, GLUED.format(line=shown(f"{found[1]}: {found[2]}"))
    return None


def _line_of(text: str, number: int) -> str:
    """A line by its number from 0, as the parser counts them; it also breaks lines at rarer signs than editors do."""
    lines = re.split("\r\n|[\n\r\x85\u2028\u2029]", text)
    return lines[number] if number < len(lines) else ""


@dataclass
class _Open:
    """A list or group that is still being read. For a group `key` is the key that waits for its value."""

    line: int
    is_group: bool
    nodes: list[Node] = field(default_factory=list)
    pairs: list[tuple[Value, Node]] = field(default_factory=list)
    lines: dict[str, int] = field(default_factory=dict)
    key: Value | None = None


class _Builder:
    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.open: list[_Open] = []
        self.root: Node | None = None

    def build(self, events: Iterator[Any]) -> Node | None:
        """The root of the tree; None for a file without content. Raises _UnreadableError."""
        for event in events:
            line = event.start_mark.line + 1
            name = type(event)
            if name is yaml.ScalarEvent:
                if event.anchor is not None or event.tag is not None:
                    self._refuse_marks(event, line)
                self._put(Value(self._visible(event.value, line), line))
            elif name is yaml.MappingStartEvent or name is yaml.SequenceStartEvent:
                self._refuse_marks(event, line)
                self._enter(_Open(line, name is yaml.MappingStartEvent))
            elif name is yaml.MappingEndEvent or name is yaml.SequenceEndEvent:
                done = self.open.pop()
                self._put(Group(tuple(done.pairs), done.line) if done.is_group else Items(tuple(done.nodes), done.line))
            elif name is yaml.AliasEvent:
                self.desk.add("D015", self._where(), line, sign=f"*{shown(event.anchor)}")
                self._put(Value("", line))
            elif name is yaml.DocumentStartEvent and self.root is not None:
                self.desk.add("D018", self.desk.file, line)
                break
        return self.root

    def _visible(self, text: str, line: int) -> str:
        """The text without signs that no text has; a backslash between quotation marks can bring them in."""
        foreign = _NOT_TEXT.search(text)
        if foreign is None:
            return text
        self.desk.add("D029", self._where(), line, number=ord(foreign[0]))
        return _NOT_TEXT.sub("", text)

    def _where(self) -> str:
        keys = [level.key.text for level in self.open if level.key is not None]
        return ": ".join(shown(key) for key in keys[:2]) or self.desk.file

    def _refuse_marks(self, event: Any, line: int) -> None:
        """Anchors and tags are refused in words; what they are tied to is read all the same."""
        if event.anchor is not None:
            self.desk.add("D015", self._where(), line, sign=f"&{shown(event.anchor)}")
        if event.tag is not None:
            self.desk.add("D017", self._where(), line, tag=shown(event.tag.replace("tag:yaml.org,2002:", "!!")))

    def _enter(self, opened: _Open) -> None:
        if len(self.open) == DEEPEST:
            self.desk.add("D019", self._where(), opened.line, limit=DEEPEST)
            raise _UnreadableError
        self.open.append(opened)

    def _put(self, node: Node) -> None:
        """Puts a finished node where it belongs."""
        if not self.open:
            self.root = node
            return
        top = self.open[-1]
        if not top.is_group:
            top.nodes.append(node)
        elif top.key is None:
            top.key = self._key(node)
        else:
            key, top.key = top.key, None
            if key is _NO_KEY:
                return
            if key.text == "<<":
                self.desk.add("D016", self._where(), key.line)
            elif key.text in top.lines:
                lines = both_lines(top.lines[key.text], key.line)
                self.desk.add("D020", self._where(), key.line, shown(key.text), lines=lines)
            else:
                top.lines[key.text] = key.line
                top.pairs.append((key, node))

    def _key(self, node: Node) -> Value:
        if isinstance(node, Value):
            return Value(node.text.strip(), node.line)
        self.desk.add("D021", self._where(), node.line)
        return _NO_KEY
