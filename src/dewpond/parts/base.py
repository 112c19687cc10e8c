"""The contract of a part: what a kind declares. What it may ask of the plant stands in ``lowering``.

A kind is one file in this folder. It declares, in this order: what it is and how it fails, parameters, ports, faults,
lowering, tests, upkeep, symbol, cautions, an example. Everything else (reading, range checks, drawing, failure list,
docs page, table of sources) is made from the declaration.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from dewpond.errors import Finding
from dewpond.parts.lowering import Lowering
from dewpond.parts.seen import Floor, Lead, Level, PartView, StoreSpec, settled

__all__ = (  # a kind needs nothing but this module
    "GRADES", "LOAD", "REQUIRED", "ROLES", "TIMINGS", "WATER", "Fault", "Floor", "Held", "Kind", "Lead", "Level",
    "Lowering", "Param", "PartView", "Port", "ProofTest", "Rate", "Source", "StoreSpec", "Upkeep", "Wear", "amount",
    "leads_on", "settled", "switched",
)  # fmt: skip


class _Required:
    def __repr__(self) -> str:
        return "must be given"


REQUIRED: Final = _Required()


def amount(value: float, quantity: str, digits: int = 2) -> str:
    """A figure [SI] inside the text of a finding, as in "{0.12 height 2}"; it is shown in the user's units."""
    return f"{{{value!r} {quantity} {digits}}}"


@dataclass(frozen=True)
class Source:
    """Where a default figure comes from."""

    text: str
    grade: str  # one of GRADES
    low: float | None = None  # spread of the figure, SI
    high: float | None = None


GRADES: Final = (
    "published",
    "derived",
    "our prior",
    "common practice, no source",
    "from memory",
)


@dataclass(frozen=True)
class Param:
    """One key of a part in the design file.

    ``takes`` is a quantity of the vocabulary (``"length"``, ``"pressure"`` ...; stored as an SI float) or one of

    * ``"word"``: one of ``words``;
    * ``"text"``, ``"count"`` (whole number), ``"date"`` (ISO, kept as text);
    * ``"time of day"``: "06:30" or "6:30 pm", stored as seconds after midnight;
    * ``"flag"`` (``words`` = true word, false word);
    * ``"size"``: two lengths, ``"40 cm x 30 cm"``, stored as ``(m, m)``;
    * ``"part"`` / ``"parts"``: name(s) of other parts; ``roles`` limits what they may be;
    * ``"place"`` / ``"places"``: name(s) of places;
    * ``"level"``: a height with its reference, stored as :class:`Level` (``"232 mm"`` from the vessel's bottom unless
      ``bare`` says otherwise, ``"58 mm below rim"``, ``"45 cm above floor"``, ``"5 cm above tray"``);
    * ``"map"``: a nested mapping with its own ``fields``, stored as a dict;
    * ``"compound"``: text such as ``"75 gal/day at 50 psi and 25 C"`` read by ``pattern``
      (``"{product} at {pressure} and {temperature}"``), stored as a dict of ``fields``;
    * ``"list"``: ``[a, b, c]``, each read as the single field of ``fields``, stored as a tuple.

    A ``level`` or a ``map`` may also be one of ``words``, stored as that word.
    """

    key: str
    takes: str
    help: str
    default: Any = REQUIRED
    low: float | None = None
    high: float | None = None
    words: tuple[str, ...] = ()
    roles: tuple[str, ...] = ()
    has: tuple[str, ...] = ()  # keys that the kind of a named part must have: "waste to" asks for a membrane
    fields: tuple[Param, ...] = ()
    pattern: str = ""
    trailing: tuple[str, ...] = ()  # words that may follow and change nothing ("when at home")
    # The values tried when the keeper answers "unknown", the one taken first; empty: not allowed. A default is either
    # "unknown" too, or that first value: left out, a figure that decides little is assumed and not tried.
    unknown: tuple[Any, ...] = ()
    find_out: str = ""  # how to find out with a cup of water and a plug
    moot_with: str = ""  # another key beside it that, once given, leaves nothing to ask or to assume here
    source: Source | None = None  # of the default
    also: tuple[str, ...] = ()  # other words that people use for the key, to ask whether this one is meant
    trade: Mapping[str, str] = field(default_factory=dict)  # the same for ``words``: what is said -> which of them
    usual: tuple[float, float] | None = None  # figures outside, though possible, are asked about [SI]
    # What a level without a word such as "above floor" is measured from; empty: the word must be given.
    bare: str = "bottom"
    joins: str = ""  # of a "part": the port of that part from which this one has its water
    looks: bool = False  # of a "part": it only looks at what comes out of that part, or at what that vessel holds


@dataclass(frozen=True)
class Port:
    """A joint of a part. ``carries`` is ``water`` or ``signal``; flow is positive from ``in`` to ``out``."""

    name: str
    carries: str = "water"
    must_join: bool = True
    follow: int | str = 1  # how many parts may have their water from it: a number, or the key that counts them
    alone: str = ""  # the key that says where it leads while no part has its water from it


@dataclass(frozen=True)
class Rate:
    """How often a fault comes. The slot stands; most rates come with the odds."""

    median: float
    unit: str  # per year, per demand, per joint made ...
    error_factor: float
    source: Source


@dataclass(frozen=True)
class Fault:
    """A way a part fails. ``timing``: ``latent`` (standing unseen since before), ``initiator`` (water or supply goes
    wrong when it starts), ``event`` (comes and goes, such as a power cut) or ``triggered`` (hidden, and comes the very
    moment that the part does something: the lowering ties it to that)."""

    name: str
    timing: str
    what: str  # one plain sentence: what is wrong
    reveals: str  # what would show it
    rate: Rate | None = None
    lasts: float | None = None  # an event ends by itself after so long [s]; None: it does not
    joint: str = ", "  # between its name and where, or with what, it is
    tube_end: bool = False  # a tube end comes off: less often where something secures it


TIMINGS: Final = ("latent", "initiator", "event", "triggered")


@dataclass(frozen=True)
class ProofTest:
    """A physical test: what to do, what to accept, how often [s]."""

    name: str
    steps: str
    accept: str
    every: float


@dataclass(frozen=True)
class Upkeep:
    """Regular work: what, how often [s], and the parameter that keeps its date, if any."""

    what: str
    every: float
    date_key: str = ""


WATER, LOAD = "water", "load"


@dataclass(frozen=True)
class Wear:
    """What uses a part up: ``water`` that runs through it [m3], or the ``load`` of what is dissolved in that [kg as
    CaCO3]. ``holds``: how much of it, low, usual and high."""

    by: str
    holds: tuple[float, float, float]


@dataclass(frozen=True)
class Held:
    """What a part takes [W] while it is held, and whether it is held ``open`` or shut."""

    takes: float
    open: bool


@dataclass(frozen=True)
class Kind:
    """Everything about one kind of part."""

    word: str  # as written in a design file: "float valve"
    section: str  # supply, places, water, sensors, controllers, power, people
    role: str  # one of ROLES
    summary: str  # what it is, one or two sentences
    fails: str  # how it fails, one or two sentences
    params: tuple[Param, ...]
    ports: tuple[Port, ...]
    faults: tuple[Fault, ...]
    lower: Callable[[PartView, Lowering], None]
    symbol: str  # SVG inside a 40 x 20 box, our own drawing
    example: str  # one YAML line
    store: Callable[[PartView, Lowering], StoreSpec] | None = None  # vessels only
    # Of what holds tube ends of other parts: part -> share of its faults of a tube end that still come [1].
    secures: Callable[[PartView, Lowering], Mapping[str, float]] | None = None
    # Of what fills a vessel and stops by itself: the vessel, and the level above its bottom at which it does [m].
    settles: Callable[[PartView, Lowering], tuple[str, float]] | None = None
    wears: Callable[[PartView], Wear | None] | None = None  # of what water uses up
    held: Callable[[PartView], Held | None] | None = None  # of what electricity holds in one position
    check: Callable[[PartView], list[Finding]] | None = None  # what no single key can show; without file and line
    tests: tuple[ProofTest, ...] = ()
    upkeep: tuple[Upkeep, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=())  # what was assumed or left out
    also: tuple[str, ...] = ()  # other words that people use for it, to ask whether this kind is meant
    one_way: bool = False  # lets no water back, so that pressure stands behind it
    usual: bool = False  # what a part is that does not say its kind, where its section has several
    switches: bool = False  # a circuit that gives power at its own hours, so that what hangs on it runs by it


def leads_on(parts: Iterable[PartView], kinds: Mapping[str, Kind], name: str, port: str) -> bool:
    """Whether one of the parts has its water from that port of the part ``name``."""
    return any(
        part.get(param.key) == name for part in parts for param in kinds[part.kind].params if param.joins == port
    )


def switched(parts: Mapping[str, PartView], kinds: Mapping[str, Kind], circuit: str) -> bool:
    """Whether a circuit, or one before it, gives its power at hours of its own. ``parts``: by name."""
    asked: list[str] = []
    while circuit in parts and circuit not in asked:
        if kinds[parts[circuit].kind].switches:
            return True
        asked.append(circuit)
        circuit = str(parts[circuit].get("power") or "")
    return False


ROLES: Final = (
    "source",
    "line",  # water runs through it
    "vessel",
    "place",
    "drain",  # where waste water leaves the house; counts as a place
    "sensor",
    "box",  # carries out rows of the matrix
    "device",  # acts by itself: probe, cells and valve in one
    "link",  # carries messages or orders
    "circuit",
    "person",
    "work",  # what people do on purpose
)
