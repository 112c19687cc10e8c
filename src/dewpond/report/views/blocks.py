"""What a view is made of. Faces lay blocks out; they add no word and no number of their own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

Tone = Literal["plain", "lead", "quiet", "caution"]


@dataclass(frozen=True)
class Text:
    """A paragraph. Tones: ``lead`` says what matters most, ``quiet`` is an aside, ``caution`` protects people."""

    text: str
    tone: Tone = "plain"


@dataclass(frozen=True)
class Items:
    """Short texts below each other. ``numbered``: in an order that matters."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Notice:
    """Something to know or to act on: level ("error", "warning", "note"), stable code, place, what, remedy (of one or
    more lines)."""

    level: str
    code: str
    where: str
    what: str
    remedy: str


@dataclass(frozen=True)
class Grid:
    """A table. ``right``: numbers of the columns set flush right; ``wide``: the column that may break its lines.

    ``more`` says what was left out of a long table; empty when nothing was. ``brief``: rows shown on a terminal.
    ``whole``: no row of it is folded on the page, however long it is.
    """

    caption: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    wide: int = 0
    more: str = ""
    brief: int = 10_000
    whole: bool = False


@dataclass(frozen=True)
class Pick:
    """Something by which the rows of a register are chosen: what is asked, and the answers there are.

    ``by``: the column whose figure hangs on the answer; -1 for none."""

    name: str
    options: tuple[str, ...]
    by: int = -1


@dataclass(frozen=True)
class Entry:
    """One row of a register.

    cells  what stands in it
    keys   for each cell the number by which it is sorted, None where it is sorted by its words or says nothing
    picks  for each Pick the numbers of the options that hold for the row, each with its figure in the column ``by``
    """

    cells: tuple[str, ...]
    keys: tuple[float | None, ...]
    picks: tuple[Mapping[int, float], ...]


@dataclass(frozen=True)
class Register:
    """A long table to sort and to choose from. ``right``: columns of numbers; ``wide``: those that may break their
    lines; ``parts``: the same as tables, for faces on which nothing can be chosen."""

    caption: str
    head: tuple[str, ...]
    entries: tuple[Entry, ...]
    picks: tuple[Pick, ...]
    right: tuple[int, ...]
    wide: tuple[int, ...]
    parts: tuple[Grid, ...]


@dataclass(frozen=True)
class Curve:
    """One line of a chart, in the unit of its axis."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True)
class Curves:
    """Lines over one axis, of time unless ``across`` says what else; ``ticks`` name its whole numbers from 1 on."""

    title: str
    description: str  # for somebody who does not see it
    time_unit: str
    unit: str
    times: tuple[float, ...]
    curves: tuple[Curve, ...]
    across: str = "time since the start"
    ticks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bar:
    """One bar: value in the chart's unit, the same as text, and a word that tells it from the others without colour."""

    label: str
    value: float
    shown: str
    group: str


@dataclass(frozen=True)
class Bars:
    """Bars on a logarithmic axis, the longest first."""

    title: str
    description: str
    unit: str
    bars: tuple[Bar, ...]


WireSort = Literal["water", "waste", "report", "order", "on"]


@dataclass(frozen=True)
class Area:
    """What is drawn as a rectangle behind its parts: a room, a tray in it, or a group that stands nowhere.

    ``inside``: the number of the area it lies in, -1 for none. ``group``: it is no place, and stands below them."""

    name: str
    note: str = ""
    inside: int = -1
    group: bool = False


@dataclass(frozen=True)
class Mark:
    """A part as it is drawn: its symbol (SVG within 40 x 20), and the number of the area it stands in, -1 for none."""

    name: str
    note: str
    symbol: str
    area: int = -1


@dataclass(frozen=True)
class Wire:
    """A line between two marks, by their numbers. Sorts: ``water``, ``waste`` (to a drain), ``report`` (a sensor to its
    box), ``order`` (a box to what it drives), ``on`` (sits on it)."""

    start: int
    end: int
    sort: WireSort


@dataclass(frozen=True)
class Schematic:
    """The installation drawn. Areas and marks are in the order in which they are laid out."""

    title: str
    description: str
    areas: tuple[Area, ...]
    marks: tuple[Mark, ...]
    wires: tuple[Wire, ...]


FloorKind = Literal["outline", "wall", "furniture", "rim", "opening", "patch"]
SpotKind = Literal["leak", "probe", "drain", "joint", "present", "best"]


@dataclass(frozen=True)
class FloorShape:
    """What lies on a floor: corners in their order (right, up) [m]; of an opening the two ends of its line.
    ``outline``: that of a room; ``rim``: that of a tray; ``wall``: solid ground within a room."""

    kind: FloorKind
    label: str
    corners: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class FloorMark:
    """What is marked on a floor: its spots (right, up) [m], several for a way or for several places. ``present``: a
    probe as it stands now, ``best``: a better place for one."""

    name: str
    kind: SpotKind
    cells: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class FloorFrame:
    """The grid of a map: low corner of its first cell (right, up) and side of a cell [m]; rows upwards, columns to the
    right."""

    origin: tuple[float, float]
    size: float
    rows: int
    columns: int


@dataclass(frozen=True)
class FloorMap:
    """A floor seen from above, and where water gets to.

    shares    (label such as "5 L", share of the floors on which a cell is wet, 0 to 1), shape (rows, columns); NaN
              where no water enters; from the least water to the most, as are the next
    contours  (label, whether a cell is wet on at least half of the floors)
    changed   share after less share before at the middle one of ``shares``, shape (rows, columns), -1 to 1; None where
              nothing was tried, or nothing changed
    ruler     length of the scale bar [m], and the same as text
    """

    title: str
    description: str  # for somebody who does not see it
    plan: tuple[FloorShape, ...]
    marks: tuple[FloorMark, ...]
    frame: FloorFrame
    shares: tuple[tuple[str, Any], ...]
    contours: tuple[tuple[str, Any], ...]
    changed: Any = None
    ruler: tuple[float, str] = (1.0, "1 m")


@dataclass(frozen=True)
class Line:
    """One line of a story: when, what, and a word for what sort of thing it is (may be empty)."""

    clock: str
    text: str
    sort: str


@dataclass(frozen=True)
class Story:
    """A run told in order, and what came of it."""

    lines: tuple[Line, ...]
    ending: tuple[str, ...]


@dataclass(frozen=True)
class Fold:
    """Blocks behind a title, for those who want them; left out on a terminal. ``printed``: on paper they stand open,
    else only if a reader has opened them."""

    title: str
    blocks: tuple[Block, ...]
    printed: bool = True


Block = Text | Items | Notice | Grid | Register | Curves | Bars | Schematic | FloorMap | Story | Fold


@dataclass(frozen=True)
class Section:
    """A part of a report. ``key`` is an address within a page; ``tag`` says which faces show it."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    brief: bool = True  # shown on a terminal too


@dataclass(frozen=True)
class Report:
    """A whole answer: what a face shows from top to bottom."""

    title: str
    subtitle: str
    sections: tuple[Section, ...] = field(default=())
