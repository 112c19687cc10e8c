"""The keys of one part, row or message -> words and SI numbers, as its declaration (a list of Param) says.

Everything that is wrong is put on the desk, and reading goes on: a key that cannot be used is left out of the result.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Final

from dewpond import units
from dewpond.design import messages as m
from dewpond.design.desk import Desk, did_you_mean, glued, listed, nearest, shown
from dewpond.design.hints import hint, same_length, within
from dewpond.design.model import KEY_SEPARATOR, Assumed, Unknown
from dewpond.design.showing import allowed, example, shown_value
from dewpond.design.tree import Group, Items, Node, Value
from dewpond.errors import UnitError
from dewpond.parts.base import REQUIRED, Kind, Level, Param
from dewpond.vocabulary import QUANTITIES, Word

YEARS: Final = (1990, 2099)  # between which any upkeep lies; a year outside is mistyped
LONGEST_VALUE: Final = 300  # characters of a quantity, a word or a name
LONGEST_TEXT: Final = 4000  # of a free text, such as a cause
BAD: Final = object()  # stands for a value that was refused
_REFUSED = {"wrong-quantity": "D066", "ambiguous": "D067", "unit-missing": "D068", "unit-unknown": "D069"}
_LEVEL = re.compile(r"(?P<height>.+?)\s+(?P<side>above|below)\s+(?:the\s+|its\s+)?(?P<measured>\w+)")
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}")
_DIGITS = re.compile(r"\d{1,9}", re.ASCII)


@dataclass(frozen=True)
class Declared:
    """What is known of a part before its keys are read."""

    name: str
    kind: Kind | None  # None: not said, or not known; told already
    section: str
    line: int


@dataclass
class Book:
    """What reading fills besides the values themselves."""

    desk: Desk
    names: Mapping[str, Declared]
    circuit: Kind | None  # the kind of a part that is named as a power circuit and declared nowhere
    system: units.System = "metric"
    implied: dict[str, int] = field(default_factory=dict)
    assumed: list[Assumed] = field(default_factory=list)
    unknowns: list[Unknown] = field(default_factory=list)
    key_lines: dict[tuple[str, str], int] = field(default_factory=dict)
    absent: Mapping[str, str] = field(default_factory=dict)  # role -> the section for it, which the file does not have
    lacking: dict[str, dict[str, None]] = field(default_factory=dict)  # such sections -> names asked of them
    _texts: dict[int, str] = field(default_factory=dict)

    def lacks(self, roles: Collection[str], name: str) -> bool:
        """True, with a note, if a name is not known because the whole section for most such parts is not there."""
        missing = [self.absent[role] for role in roles if role in self.absent]
        most = len(set(missing)) == 1 and 2 * len(missing) > len(roles)  # what else may be named stands elsewhere
        section = name if name in missing else missing[0] if most else ""
        if not section:
            return False
        self.lacking.setdefault(section, {})[name] = None
        return True

    def default_text(self, param: Param) -> str:
        """The default of a key as a text; worked out once for all parts of a kind."""
        text = self._texts.get(id(param))
        if text is None:
            text = m.NOT_GIVEN if param.default is None else shown_value(param.default, param, self.system)
            self._texts[id(param)] = text
        return text


@dataclass(frozen=True, slots=True)
class Place:
    """Where in the file a value stands: `where` in the keeper's words, `owner` the part, `key` the path of keys."""

    where: str
    owner: str
    key: str
    line: int

    def inner(self, key: str, line: int | None = None) -> Place:
        """The place of a key inside this one."""
        path = f"{self.key}{KEY_SEPARATOR}{key}" if self.key else key
        return Place(self.where, self.owner, path, self.line if line is None else line)


class Values:
    """Reads keys. `label` is what messages call the thing they belong to, `sample` a line of a file with its keys."""

    def __init__(self, book: Book, label: str, sample: str = "", unknown_key: str = "D039") -> None:
        self.book = book
        self.label = label
        self.sample = sample
        self.unknown_key = unknown_key

    # -- groups of keys ------------------------------------------------------------------------------------------------
    def group(self, params: Sequence[Param], group: Group, place: Place, aside: Collection[str] = ()) -> dict[str, Any]:
        """Values by key, defaults included. Keys in `aside` are somebody else's. A refused value is BAD."""
        known = {param.key: param for param in params}
        values: dict[str, Any] = {}
        meant = set()
        every = [*known, *aside]
        there = {key.text for key, _ in group.pairs}
        missing = [word for word in every if word not in there]
        for key, node in group.pairs:
            if key.text in aside:
                continue
            here = place.inner(key.text, key.line)
            param = known.get(key.text)
            if param is None:
                split = glued(key.text, missing)
                near = key.text.partition(":")[0] if split else nearest(key.text, missing, also=others(params))
                meant.add(near)
                self._add(
                    self.unknown_key, here, kind=self.label, got=shown(key.text), known=listed(every),
                    near=split or did_you_mean(key.text, [near] if near else [], others(params)),
                )  # fmt: skip
                continue
            self.book.key_lines.setdefault((here.owner, here.key), key.line)
            values[key.text] = self.value(param, node, here)
        for param in params:
            if param.key not in values:
                values[param.key] = self._absent(param, place.inner(param.key), param.key in meant)
        for param in params:
            if param.moot_with and values.get(param.moot_with) is not None:
                self._settled(place.inner(param.key))
        return values

    def _settled(self, place: Place) -> None:
        """Take back what was asked or assumed of a key, as another one says it."""
        whose = (place.owner, place.key)
        self.book.unknowns = [one for one in self.book.unknowns if (one.part, one.key) != whose]
        self.book.assumed = [one for one in self.book.assumed if (one.part, one.key) != whose]

    def _absent(self, param: Param, place: Place, meant: bool) -> Any:
        """The default of a key that was not written; BAD when it must be (`meant`: it stands there misspelt)."""
        if param.default is REQUIRED:
            if not meant:
                self._add("D040", place, help=_sentence(param.help), example=self._example(param, place),
                          unknown=_or_unknown(param))  # fmt: skip
            return BAD
        if param.default == Word.UNKNOWN and param.unknown:
            return self._unknown(param, place, written=False)
        if isinstance(param.default, dict) and all(inner.default is not REQUIRED for inner in param.fields):
            return self._inner_group(param, Group((), place.line), place)  # with all that the keys inside assume
        if param.source is not None:
            text = self.book.default_text(param)
            self.book.assumed.append(Assumed(place.owner, place.key, text, param.source.text, param.source.grade))
        return param.default

    # -- one value -----------------------------------------------------------------------------------------------------
    def value(self, param: Param, node: Node, place: Place) -> Any:
        """The value of one key, or BAD with a finding."""
        shape = {"map": Group, "list": Items}.get(param.takes, Value)
        several = param.takes in ("parts", "places")
        if isinstance(node, Value):
            text = node.text.strip()
            if not text:
                return self._add("D051", place, example=self._example(param, place), unknown=_or_unknown(param))
            if text.casefold() == Word.UNKNOWN and param.unknown:
                return self._unknown(param, place, written=True)
            if param.takes in ("map", "level") and text in param.words:
                return text
            if several:
                return self._names(param, [node], place)
            if shape is Value:
                return self._text(param, text, place)
        elif isinstance(node, Group) and param.takes == "map":
            return self._inner_group(param, node, place)
        elif isinstance(node, Items) and several:
            return self._names(param, node.nodes, place)
        elif isinstance(node, Items) and param.takes == "list":
            if not node.nodes:
                return self._add("D051", place, example=self._example(param, place), unknown=_or_unknown(param))
            read = [self.value(param.fields[0], item, replace(place, line=item.line)) for item in node.nodes]
            return BAD if BAD in read else tuple(read)
        wanted = "list" if several else {Value: "text", Group: "map", Items: "list"}[shape]
        got = {Value: "text", Group: "map", Items: "list"}[type(node)]
        return self._add("D050", place, wanted=m.SHAPES[wanted], got=m.SHAPES[got], example=self._example(param, place))

    def _inner_group(self, param: Param, node: Group, place: Place) -> Any:
        values = Values(self.book, f"{self.label} ({param.key})", "", self.unknown_key)
        read = values.group(param.fields, node, place)
        return BAD if BAD in read.values() else read

    def _unknown(self, param: Param, place: Place, *, written: bool) -> Any:
        taken = param.unknown[0]
        self.book.unknowns.append(Unknown(place.owner, place.key, param.unknown, taken, param.find_out, written))
        return taken

    def _text(self, param: Param, text: str, place: Place) -> Any:
        for words in param.trailing:
            text = text.removesuffix(f" {words}")
        limit = LONGEST_TEXT if param.takes == "text" else LONGEST_VALUE
        if len(text) > limit:
            return self._add("D057", place, count=len(text), limit=limit)
        if text.casefold() == Word.UNKNOWN and text not in param.words:
            return self._add("D060", place, help=_sentence(param.help), example=self._example(param, place))
        if param.takes in QUANTITIES and param.takes != "count":
            return self._quantity(param, text, param.takes, place)
        read: dict[str, Callable[[Param, str, Place], Any]] = {
            "text": lambda _param, text, _place: text,
            "word": self._word,
            "flag": self._flag,
            "count": self._count,
            "date": self._date,
            "time of day": self._time_of_day,
            "size": self._size,
            "level": self._level,
            "compound": self._compound,
            "part": self._one_name,
            "place": self._one_name,
        }
        return read[param.takes](param, text, place)

    def _quantity(self, param: Param, text: str, quantity: str, place: Place) -> Any:
        try:
            value = units.parse(text, quantity)
        except UnitError as error:
            level = _LEVEL.fullmatch(text)
            if level and error.code == "unit-unknown":
                return self._add("D156", place, got=shown(text), height=level["height"], help=_sentence(param.help))
            return self._refused(error, place)
        if not within(param.low, param.high, value):
            limits = allowed(param.low, param.high, text, quantity, self.book.system)
            return self._out_of_range("D053", param, text, quantity, place, allowed=limits)
        if param.usual is not None and not param.usual[0] <= value <= param.usual[1]:
            usual = allowed(*param.usual, text, quantity, self.book.system)
            self._out_of_range("D063", param, text, quantity, place, usual=usual)
        return value

    def _out_of_range(self, code: str, param: Param, text: str, quantity: str, place: Place, **limits: str) -> object:
        near = hint(param, text, quantity)
        return self._add(code, place, got=shown(text), near=near, help=_sentence(param.help), **limits)

    def _refused(self, error: UnitError, place: Place) -> Any:
        return self._add(_REFUSED.get(error.code, "D052"), place, what=error.what, remedy=error.remedy)

    def _word(self, param: Param, text: str, place: Place) -> Any:
        if text in param.words:
            return text
        same = same_length(text, param.words)
        if same:
            return same
        known = dict.fromkeys([*map(str, param.words), *([str(Word.UNKNOWN)] if param.unknown else [])])
        near = did_you_mean(text, known, param.trade)
        return self._add("D054", place, got=shown(text), near=near, known=listed(known))

    def _flag(self, param: Param, text: str, place: Place) -> Any:
        word = self._word(param, text, place)
        return word if word is BAD else word == param.words[0]

    def _count(self, param: Param, text: str, place: Place) -> Any:
        if not _DIGITS.fullmatch(text):
            return self._add("D055", place, got=shown(text))
        return int(text) if self._quantity(param, text, "count", place) is not BAD else BAD

    def _date(self, _param: Param, text: str, place: Place) -> Any:
        try:
            if not _DATE.fullmatch(text):
                raise ValueError
            day = date.fromisoformat(text)
            if day.year < YEARS[0]:
                raise ValueError
            if day.year > YEARS[1]:  # in the future on whatever day the file is read
                return self._add("D091", place, got=shown(text))
            return day.isoformat()
        except ValueError:
            return self._add("D056", place, got=shown(text))

    def _time_of_day(self, _param: Param, text: str, place: Place) -> Any:
        try:
            return units.time_of_day(text)
        except UnitError as error:
            return self._refused(error, place)

    def _size(self, param: Param, text: str, place: Place) -> Any:
        try:
            sides = units.parse_pair(text, "length")
        except UnitError as error:
            return self._refused(error, place)
        for side in sides:
            if not within(param.low, param.high, side):
                limits = allowed(param.low, param.high, "", "length", self.book.system)
                return self._out_of_range("D053", param, text, "size", place, allowed=limits)
        if param.usual is not None and not all(param.usual[0] <= side <= param.usual[1] for side in sides):
            usual = allowed(*param.usual, "", "length", self.book.system)
            self._out_of_range("D063", param, text, "size", place, usual=usual)
        return sides

    def _level(self, param: Param, text: str, place: Place) -> Any:
        found = _LEVEL.fullmatch(text)
        if not found:
            value = self._quantity(param, text, "height", place)
            if value is not BAD and not param.bare:
                return self._add("D090", place, got=shown(text), known=m.LEVELS)
            return value if value is BAD else Level(value, param.bare)
        measured = found["measured"]
        if measured not in m.LEVELS.split(", "):
            near = did_you_mean(measured, m.LEVELS.split(", "))
            bare = m.BARE.format(bare=param.bare) if param.bare else ""
            return self._add("D058", place, got=shown(measured), near=near, known=m.LEVELS, bare=bare)
        # Below the rim counts as positive, since no mark lies above it; so does above everything else.
        downwards = measured == "rim"
        usual = (found["side"] == "below") == downwards
        value = self._quantity(param if usual else replace(param, low=None), found["height"], "height", place)
        return value if value is BAD else Level(value if usual else -value, measured)

    def _compound(self, param: Param, text: str, place: Place) -> Any:
        pieces = re.split(r"\{(\w[\w ]*)\}", param.pattern)
        pattern = "".join(
            rf"(?P<f{number // 2}>.+?)" if number % 2 else re.escape(piece).replace(r"\ ", r"\s+")
            for number, piece in enumerate(pieces)
        )
        found = re.fullmatch(pattern, text)
        if not found:
            form = re.sub(r"[{}]", "", param.pattern)
            return self._add("D059", place, got=shown(text), pattern=form, example=self._example(param, place))
        fields = {f.key: f for f in param.fields}
        read = {
            key: self._text(fields[key], found[f"f{number}"].strip(), place.inner(key))
            for number, key in enumerate(pieces[1::2])
        }
        return BAD if BAD in read.values() else read

    # -- names of other parts ------------------------------------------------------------------------------------------
    def _names(self, param: Param, nodes: Sequence[Node], place: Place) -> Any:
        if not nodes:
            return self._add("D051", place, example=self._example(param, place), unknown=_or_unknown(param))
        names = []
        for node in nodes:
            here = replace(place, line=node.line)
            if not isinstance(node, Value) or not node.text.strip():
                example_ = self._example(param, place)
                return self._add("D050", here, wanted=m.SHAPES["list"], got=m.SHAPES["nothing"], example=example_)
            name = self._one_name(param, node.text.strip(), here)
            if name in names and name is not BAD:
                name = self._add("D065", here, got=shown(name))
            names.append(name)
        return BAD if BAD in names else tuple(names)

    def _one_name(self, param: Param, text: str, place: Place) -> Any:
        roles = param.roles or (("place",) if param.takes in ("place", "places") else ())
        named = self.book.names.get(text)
        if named is None:
            if roles == ("circuit",) and self.book.circuit is not None:
                self.book.implied.setdefault(text, place.line)
                return text
            if self.book.lacks(roles, text):
                return BAD
            fit = self._fitting_names(param, roles, place)
            near = did_you_mean(text, [*fit, *self.book.names])
            return self._add("D061", place, got=shown(text), near=near, known=_fitting(fit))
        if text != place.owner and _fits(named, param, roles):
            return text
        known = _fitting(self._fitting_names(param, roles, place))
        if text == place.owner:
            return self._add("D064", place, help=_sentence(param.help), known=known)
        wanted = m.OR.join(m.ROLES[role] for role in roles) or m.WITH_KEYS.format(keys=listed(param.has))
        if param.joins:
            wanted = m.WITH_KEYS.format(keys=listed(param.has)) if param.has else m.LEADS_ON
        if param.looks:
            wanted = m.LEADS_ON if "vessel" not in roles else m.OR.join((m.LEADS_ON, m.ROLES["vessel"]))
        word = named.kind.word if named.kind else ""
        return self._add("D062", place, got=shown(text), kind=word, wanted=wanted, known=known)

    def _fitting_names(self, param: Param, roles: Sequence[str], place: Place) -> list[str]:
        every = self.book.names.values()
        return [d.name for d in every if d.kind and d.name != place.owner and _fits(d, param, roles)]

    # -- findings ------------------------------------------------------------------------------------------------------
    def _example(self, param: Param, place: Place) -> str:
        return example(param, self.sample if KEY_SEPARATOR not in place.key else "")

    def _add(self, code: str, place: Place, **words: object) -> Any:
        self.book.desk.add(code, place.where, place.line, place.key, **words)
        return BAD


def _fits(named: Declared, param: Param, roles: Sequence[str]) -> bool:
    if named.kind is None:
        return True
    if roles and named.kind.role not in roles:
        return False
    if param.joins and param.joins not in {port.name for port in named.kind.ports if port.carries == "water"}:
        return False
    if param.looks and named.kind.role != "vessel" and "out" not in {port.name for port in named.kind.ports}:
        return False
    return not param.has or set(param.has) <= {p.key for p in named.kind.params}


def _fitting(names: Sequence[str]) -> str:
    return m.FITTING.format(names=listed(names, 12)) if names else m.NONE_FITS


def _or_unknown(param: Param) -> str:
    if not param.unknown:
        return ""
    how = m.FIND_OUT.format(how=param.find_out.rstrip(".")) if param.find_out else ""
    return m.OR_UNKNOWN.format(key=param.key) + how


def _sentence(text: str) -> str:
    text = text.strip().rstrip(".")
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def others(params: Sequence[Param]) -> dict[str, str]:
    """Other words that people use for keys, each with the key."""
    return {other: param.key for param in params for other in param.also}
