"""A log of readings, written by hand or by a device as CSV -> readings by day, with all that is wrong with it.

What cannot be used at all is refused, with everything that was found. A single line that cannot be used is left out
and named; the rest is used. Nothing is guessed and nothing is left out in silence.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from pathlib import Path
from typing import Final

from dewpond import units
from dewpond.care.readings_columns import COLUMNS
from dewpond.care.readings_days import each_day_once, spanned, stretches, tell_if_nothing_counts, without_dry_air
from dewpond.care.readings_signs import decimal_sign, ways_to_read
from dewpond.care.readings_words import (
    CELLS_HINT,
    COMMA_HINT,
    DAYS_HINT,
    NEGATIVE_HINT,
    NOT_SAID,
    NOT_SAID_HINT,
    SLIP_HINT,
    TEXTS,
    WAYS,
    WAYS_HINT,
)
from dewpond.design.desk import did_you_mean, listed, shown
from dewpond.errors import DesignError, Finding, Level, UnitError
from dewpond.study.year.model import Reading

LARGEST: Final = 5_000_000  # bytes
MOST_FOUND: Final = 200  # findings that are told one by one
FAR: Final = 4.0  # times the median, from which a figure is asked about
OLD: Final = 3  # years
UTF16: Final = (b"\xff\xfe", b"\xfe\xff")


DATE: Final = ("date", "day", "when", "on")
NOTE: Final = ("note", "notes", "remark", "remarks", "comment", "event", "aside")
OWN_UNIT: Final = {"litres": "L", "liters": "L", "gallons": "US gal", "rh": "%"}
ASIDE: Final = re.compile("change|clean|stop|pause|stood|refill|leak|spill|moved|maintenance|off")
"""Words of a note by which a day says nothing of evaporation."""
UNSAID: Final = {"?", "??", "x", "unknown"}
"""Cells that say that there was something, and not how much."""
HOLES: Final = {"", "-", "--", "n/a", "na", "nan", "none", "null", *UNSAID}
_HEAD = re.compile(r"(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\])]*?)\s*[\])]\s*")
_ISO = re.compile(r"(\d{4})[-./](\d{1,2})[-./](\d{1,2})(?:[T ].*)?")
_OTHER = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:[T ,].*)?")
_BARE = re.compile(r"[+-]?[\d.,\s]+(?:[eE][+-]?\d+)?")
_FOREIGN = re.compile(rb"[\x00-\x08\x0b\x0c\x0e-\x1f]")


@dataclass
class Log:
    """A file that is being read: what was found, and what stands in which column."""

    file: str
    today: int
    findings: list[Finding] = field(default_factory=list)
    date: int = -1
    note: int = -1
    decimal: str = "."  # sign of its decimals; empty: it does not show
    lost: set[int] = field(default_factory=set)  # lines of which not even the day is known
    unread: set[int] = field(default_factory=set)  # lines whose litres cannot be used
    loose: set[int] = field(default_factory=set)  # lines whose litres stand for nobody knows how many days
    columns: dict[str, tuple[int, str, str]] = field(default_factory=dict)  # key -> place, unit or "", as named

    def add(self, code: str, line: int | None = None, key: str | None = None, **words: object) -> None:
        """Note a finding."""
        told = TEXTS[code]
        what, remedy = (text.format(line=line, **words) for text in (told.what, told.remedy))
        self.findings.append(Finding(code, told.level, "readings", what, remedy.strip(), self.file, line, key))

    def named(self, key: str) -> str:
        """The name of a column as it stands in the file; empty where there is none."""
        return self.columns[key][2] if key in self.columns else ""

    def refuse(self, code: str, line: int | None = None, **words: object) -> DesignError:
        """The error with this and all that was found before."""
        self.add(code, line, None, **words)
        return DesignError(self.sorted())

    def sorted(self) -> tuple[Finding, ...]:
        """In the order of the lines; of very many the first, and the lines of the others."""
        found = sorted(self.findings, key=lambda f: (f.line or 0, f.code))
        left = found[MOST_FOUND:]
        if left:
            lines = sorted({one.line for one in left if one.line is not None})
            level: Level = "error" if any(one.level == "error" for one in left) else "warning"
            told = TEXTS["R033"]
            what = told.what.format(got=len(left), lines=listed(stretches(lines)))
            found = [*found[:MOST_FOUND], Finding("R033", level, "readings", what, told.remedy, self.file)]
        return tuple(found)


def read_readings(path: str | Path, today: int) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """The readings of a file, by day, and what was remarked. ``today``: ordinal of the last day that can be read.

    Raises DesignError with all findings when nothing of it can be used.
    """
    log = Log(str(path), today)
    return parse_readings(_text(Path(path), log), log)


def _text(path: Path, log: Log) -> str:
    try:
        if not path.exists():
            raise log.refuse("R001")
        if not path.is_file():
            raise log.refuse("R002", reason="it is no file")
        with path.open("rb") as file:
            data = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        raise log.refuse("R002", reason=getattr(error, "strerror", None) or "its name") from None
    if len(data) > LARGEST:
        raise log.refuse("R003", limit=f"{LARGEST // 1_000_000} MB")
    if data.startswith(UTF16):  # as a spreadsheet saves "Unicode text"
        try:
            data = data.decode("utf-16").encode()
        except UnicodeDecodeError:
            raise log.refuse("R006", 1, guess=", but in UTF-16 that is cut short or spoilt") from None
    foreign = _FOREIGN.search(data)
    if foreign:
        raise log.refuse("R005", data.count(b"\n", 0, foreign.start()) + 1, number=foreign[0][0])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise log.refuse("R006", data.count(b"\n", 0, error.start) + 1, guess="") from None


def parse_readings(text: str, log: Log) -> tuple[tuple[Reading, ...], tuple[Finding, ...]]:
    """The same of a text."""
    rows = list(_rows(text, log))
    if not rows:
        raise log.refuse("R004")
    (line, head), *below = rows
    _columns(head, line, log)
    if not below:
        raise log.refuse("R014", line)
    if any(f.level == "error" for f in log.findings):
        raise DesignError(log.sorted())
    order = _order([(at, cells[log.date]) for at, cells in below if len(cells) > log.date], log)
    parts = _parter(text)
    figures = [cells[at] for _, cells in below for at, _, _ in log.columns.values() if at < len(cells)]
    log.decimal = decimal_sign(figures, parts)
    readings = [one for at, cells in below if (one := _reading(at, cells, len(head), order, parts, log)) is not None]
    if any(f.level == "error" for f in log.findings):
        raise DesignError(log.sorted())
    kept = _checked(readings, log)
    if not kept:
        raise log.refuse("R015")
    return tuple(kept), log.sorted()


def _parter(text: str) -> str:
    """What parts the cells: of the usual signs the one that the head holds most often."""
    lines = [line for line in text.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    told = re.fullmatch(r"sep=(.)\s*", lines[0], re.IGNORECASE) if lines else None
    if told:
        return told[1]
    head = lines[0] if lines else ""
    return max((";", "\t", ","), key=lambda sign: (head.count(sign), sign == ","))


def _rows(text: str, log: Log) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) without empty lines and remarks."""
    reader = csv.reader(text.splitlines(keepends=True), delimiter=_parter(text), skipinitialspace=True, strict=True)
    try:
        for cells in reader:
            joined = "".join(cells).strip()
            if joined and not joined.startswith("#") and not re.fullmatch(r"sep=.?", joined, re.IGNORECASE):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise log.refuse("R016", reader.line_num, reason=str(error)) from None


# --- the first line ---------------------------------------------------------------------------------------------------


def _columns(head: Sequence[str], line: int, log: Log) -> None:
    """Finds out what stands where; refused where that cannot be."""
    while head and not head[-1]:
        head = head[:-1]
    if any(_ISO.fullmatch(cell) or _OTHER.fullmatch(cell) or _BARE.fullmatch(cell) for cell in head if cell):
        raise log.refuse("R007", line, got=shown(", ".join(head)))
    known = {word: key for key, column in COLUMNS.items() for word in (key, *column.also.split("|"))}
    words = [*known, *DATE, *NOTE]
    for place, cell in enumerate(head):
        name, unit = _name_and_unit(cell, known)
        if name in DATE and log.date < 0:
            log.date = place
        elif name in NOTE and log.note < 0:
            log.note = place
        elif name in known:
            key = known[name]
            if key in log.columns:
                log.add("R011", line, one=log.columns[key][2], other=shown(cell))
            else:
                log.columns[key] = (place, unit, shown(cell))
        elif cell:
            near = did_you_mean(name, words)
            log.add("R020", line, got=shown(cell), near=near, known=listed(["date", *COLUMNS, "note"]))
    if log.date < 0:
        log.add("R008", line)
    if not {"top-off", "air", "humidity", "salinity"} & set(log.columns):
        log.add("R009", line, got=shown(", ".join(head)), known=listed(["date", *COLUMNS, "note"]))


def _name_and_unit(cell: str, known: Mapping[str, str]) -> tuple[str, str]:
    """`top-off (L)`, `air C`, `litres` -> a name in small letters, and its unit if one is named."""
    found = _HEAD.fullmatch(cell)
    name, unit = (found["name"], found["unit"]) if found else (cell, "")
    name = " ".join(name.replace("_", " ").casefold().split())
    if not found and name not in known and name not in (*DATE, *NOTE):
        first, _, last = cell.replace("_", " ").rpartition(" ")
        short = " ".join(first.casefold().split())
        if short in known and _is_unit(last, COLUMNS[known[short]].quantity):
            name, unit = short, last
    return name, unit or OWN_UNIT.get(name, "")


def _is_unit(word: str, quantity: str) -> bool:
    try:
        units.parse(f"1 {word}", quantity)
    except UnitError:
        return False
    return True


# --- one line ---------------------------------------------------------------------------------------------------------


def _order(cells: Sequence[tuple[int, str]], log: Log) -> str:
    """Whether day or month comes first in dates that do not begin with the year: `day`, `month`, or empty."""
    firsts, seconds = [], []
    some = ""
    for line, cell in cells:
        found = _OTHER.fullmatch(cell)
        if found and found[2] != ".":  # with points the day comes first
            some = some or cell
            if int(found[1]) > 12:
                firsts.append((line, cell))
            elif int(found[3]) > 12:
                seconds.append((line, cell))
    if firsts and seconds:
        (line, one), (there, other) = firsts[0], seconds[0]
        log.add("R013", line, got=one, other=other, there=there)
    elif some and not firsts and not seconds:
        log.add("R012", None, got=some)
    return "day" if firsts else "month" if seconds else ""


def _reading(line: int, cells: list[str], wanted: int, order: str, parts: str, log: Log) -> Reading | None:
    """One line, its days 0 where the file does not say; None where not even its day is known."""
    while len(cells) > wanted and not cells[-1]:
        cells = cells[:-1]
    if len(cells) != wanted:
        comma = parts == "," and len(cells) > wanted
        hint = COMMA_HINT if comma else CELLS_HINT.format(parts="a tab" if parts == "\t" else f'"{parts}"')
        log.add("R021", line, got=len(cells), wanted=wanted, hint=hint)
        log.lost.add(line)
        return None
    day = _day(cells[log.date], order)
    if day is None or day > log.today:
        log.lost.add(line)
    if day is None:
        if order or not _OTHER.fullmatch(cells[log.date]):  # else it was told of all of them
            log.add("R022", line, got=shown(cells[log.date]) or "the cell is empty")
        return None
    if day > log.today:
        log.add("R023", line, got=date.fromordinal(day).isoformat())
        return None
    values = {key: _value(key, cells[place], unit, name, line, log) for key, (place, unit, name) in log.columns.items()}
    holds = any(value is not None for key, value in values.items() if key != "days")
    if not holds and not any(f.line == line for f in log.findings):
        log.add("R031", line)
    if line in log.loose:
        values["top-off"] = None
    note = cells[log.note] if log.note >= 0 else ""
    aside = note if ASIDE.search(note.casefold()) else ""
    return Reading(
        day, line, values.get("top-off"), values.get("days") or 0.0, values.get("air"), values.get("humidity"),
        values.get("water"), values.get("supply"), values.get("salinity"), shown(aside),
    )  # fmt: skip


def _day(cell: str, order: str) -> int | None:
    found = _ISO.fullmatch(cell)
    try:
        if found:
            return date(int(found[1]), int(found[2]), int(found[3])).toordinal()
        other = _OTHER.fullmatch(cell)
        if other and (order or other[2] == "."):
            first, second = int(other[1]), int(other[3])
            day, month = (second, first) if order == "month" and other[2] != "." else (first, second)
            return date(int(other[4]), month, day).toordinal()
    except ValueError:
        return None
    return None


def _value(key: str, cell: str, unit: str, name: str, line: int, log: Log) -> float | None:
    """A figure [SI]; None where there is none, or where it is left out."""
    column = COLUMNS[key]
    if cell.casefold() in HOLES and not (key == "top-off" and cell.casefold() in UNSAID):
        return None
    bare = bool(_BARE.fullmatch(cell))
    if bare and not unit and column.quantity != "count":
        if not any(f.code == "R010" and f.key == key for f in log.findings):
            log.add("R010", line, key, got=name, example=column.example)
        return None
    value = _figure(key, cell, unit if bare else "", name, line, log)
    if value is None:
        {"top-off": log.unread, "days": log.loose}.get(key, set()).add(line)
    return value


def _figure(key: str, cell: str, unit: str, name: str, line: int, log: Log) -> float | None:
    """What a cell that is not empty says; None where that cannot be used."""
    column = COLUMNS[key]

    def left_out(code: str, **words: object) -> float | None:
        log.add(code, line, key, column=name, **words)
        return None

    if cell.casefold() in UNSAID:
        return left_out("R024", what=NOT_SAID.format(got=shown(cell)), remedy=NOT_SAID_HINT)
    found: dict[str, float] = {}
    for text in ways_to_read(cell, log.decimal):
        typed = f"{text} {unit}".strip()
        try:
            found[typed] = (
                float(text.replace(",", ".")) if column.quantity == "count" else units.parse(typed, column.quantity)
            )
        except UnitError as error:
            return left_out("R024", what=error.what, remedy=error.remedy)
        except ValueError:
            return left_out("R024", what=f'"{shown(cell)}" is no number.', remedy=DAYS_HINT)
    can_be = {text: value for text, value in found.items() if column.low <= value <= column.high}
    if len(can_be) > 1:
        one, other = can_be
        typed = f"{shown(cell)} {unit}".strip()
        return left_out("R024", what=WAYS.format(got=typed), remedy=WAYS_HINT.format(one=one, other=other))
    if not can_be:
        typed, value = next(iter(found.items()))
        limits = " to ".join(_text_of(end, column.quantity) for end in (column.low, column.high))
        hint = NEGATIVE_HINT if key == "top-off" and value < 0.0 else DAYS_HINT if key == "days" else SLIP_HINT
        return left_out("R025", got=shown(typed), limits=limits, hint=hint)
    return next(iter(can_be.values()))


def _text_of(value: float, quantity: str) -> str:
    return f"{value:g}" if quantity == "count" else units.show(value, quantity, "metric", 3)


# --- all lines --------------------------------------------------------------------------------------------------------


def _checked(readings: Sequence[Reading], log: Log) -> list[Reading]:
    """By day: each once, in order, and what is odd about them."""
    for before, after in pairwise(readings):
        if after.day < before.day:
            log.add("R028", after.line, got=after.line)
            break
    by_day: dict[int, Reading] = {}
    dropped = set()
    for one in sorted(readings, key=_is_empty):  # a line without a figure is no other figure for its day
        other = by_day.setdefault(one.day, one)
        if other is not one and not _is_empty(one):
            same = other._replace(line=0) == one._replace(line=0)
            log.add("R027" if same else "R026", one.line, got=date.fromordinal(one.day).isoformat(), other=other.line)
            dropped |= set() if same else {one.day}
    all_ = [by_day[day] for day in sorted(by_day)]
    bare = [one for one in all_ if one.day not in dropped]
    days_unread = {one.day for one in all_ if one.line in log.unread}
    days = spanned(all_, log.lost, days_unread, log.loose, COLUMNS["days"].high, log.add)
    kept = [one for one in days if one.day not in dropped and not _is_empty(by_day[one.day])]
    kept = without_dry_air(each_day_once(kept, log.add), log.named("humidity"), log.add)
    _far_off(kept, log)
    tell_if_nothing_counts(kept, log.named("top-off"), log.add)
    covered = {day for one in bare for day in range(one.day - max(round(one.days), 1) + 1, one.day + 1)}
    if kept:
        holes = kept[-1].day - kept[0].day + 1 - len({day for day in covered if kept[0].day <= day <= kept[-1].day})
        if holes > 0:
            log.add("R030", None, got=holes)
        year = date.fromordinal(log.today).year - OLD
        old = sum(date.fromordinal(one.day).year < year for one in kept)
        if old:
            log.add("R032", None, got=old, year=year)
    return kept


def _is_empty(one: Reading) -> bool:
    return all(value is None for value in (one.top_off, one.air, one.humidity, one.water, one.supply, one.salinity))


def _far_off(kept: Sequence[Reading], log: Log) -> None:
    """Litres a day that are many times, or a small part of, the usual ones."""
    if "top-off" not in log.columns:
        return
    rates = {one.line: one.top_off / one.days for one in kept if one.top_off is not None and not one.aside}
    ordered = sorted(rates.values())
    usual = ordered[len(ordered) // 2] if len(ordered) >= 5 else 0.0
    for line, rate in rates.items():
        if usual > 0.0 and not usual / FAR <= rate <= usual * FAR:
            name = log.columns["top-off"][2]
            shown_ = [units.show(value, "volume", "metric", 2) + " a day" for value in (rate, usual)]
            log.add("R029", line, "top-off", column=name, got=shown_[0], usual=shown_[1])
