"""What is asked of probes, what may be laid on a floor to feel water, and what is answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

import numpy as np

from dewpond.design.plan import Area, Spot
from dewpond.floor.placement import Placed
from dewpond.floor.sites import Cell
from dewpond.floor.wetting import CAP, Spread
from dewpond.study.floors import Looked

POINT, ROPE, TRAY, NOW = "point", "rope", "tray with a probe", "now"
APART: Final = 0.1  # between two spots that are tried [m]; a head is about 3 cm wide, and puddles are wider
MOST_SPOTS: Final = 2000  # tried of each sort; on larger floors they lie farther apart
NO_PLAN, NO_LEAK, NO_SPOT, TOO_MANY = "no plan", "no leak", "no spot", "too many"


class ProbesError(Exception):
    """Why nothing can be told of a sound design: one of the reasons above."""


@dataclass(frozen=True)
class Asked:
    """What is asked: ``number`` of probes to be placed (None: as many as stand there and do not stay), names of those
    that ``stay``, areas that are ``barred`` to new ones, length of a straight rope, and size and rim of a tray [m];
    litres that count where nothing is felt [m3]."""

    number: int | None = None
    stay: tuple[str, ...] = ()
    barred: tuple[Area, ...] = ()
    rope: float = 2.0
    tray: tuple[float, float] = (0.6, 0.4)
    rim: float = 0.03
    cap: float = CAP


@dataclass(frozen=True)
class Spotted:
    """Something that feels water: sort, number of its storey, its cells (of a point one, of a rope its two ends, of a
    tray two opposite corners, of a probe that lies there now all), and its name if it has one."""

    sort: str
    storey: int
    cells: tuple[Cell, ...]
    name: str = ""


@dataclass(frozen=True)
class Cases:
    """What everything is asked of: every leak on every floor that fits the readings, each case alike.

    columns  what may be laid, the probes of the file first
    litres   shape (cases, columns): spilled when it feels water [m3]; inf: never
    drained  shape (cases,): spilled when a floor drain takes all that comes after [m3]; inf: none does
    half     shape (cases,): to which half of the floors it belongs, True and False; a floor told twice is in one
    sites    for each case (storey, number of the leak there, member)
    """

    columns: tuple[Spotted, ...]
    litres: Any
    drained: Any
    half: Any
    sites: tuple[tuple[int, int, int], ...]

    @cached_property
    def counted(self) -> Any:
        """What lies on the floors when it feels water, or when a drain takes the rest: shape (cases, columns) [m3]."""
        return np.minimum(self.litres, self.drained[:, None])

    def lost_to_drain(self, columns: Sequence[int]) -> Any:
        """Whether a floor drain takes the water and none of some columns ever feels it, so that nothing stops it: shape
        (cases,): True and False."""
        felt = self.litres[:, list(columns)].min(axis=1, initial=np.inf)
        return np.isfinite(self.drained) & np.isinf(felt)


@dataclass(frozen=True)
class Step:
    """So many probes anew: the best on average, the best in the worst case, and what those best on average by one half
    of the floors are worth on the other; None: that cannot be told."""

    number: int
    average: Placed
    worst: Placed
    crossed: Placed | None


@dataclass(frozen=True)
class Option:
    """One rope or one tray: its sort, how many things are laid anew (probes all but it), and what it is worth."""

    sort: str
    number: int
    placed: Placed


@dataclass(frozen=True)
class Lost:
    """A probe of the file: what all of them are worth without it."""

    name: str
    without: Placed


@dataclass(frozen=True)
class Pour:
    """A test of a probe: pour slowly at a spot, and see whether it acts.

    probe   name, or empty for a spot at which one should stand; ``column``: its number
    leak    the part whose leak is played, in its ``place``; ``cell``: where to pour
    acts    poured when it acts, on the floors that fit [m3]
    drained share of the floors on which a floor drain takes all that comes, and it never acts [1]
    poured  what to have at hand [m3]; 0: more than anybody should pour
    """

    probe: str
    column: int
    storey: int
    leak: str
    place: str
    cell: Cell
    acts: Spread
    drained: float
    poured: float


@dataclass(frozen=True)
class Drained:
    """Of the leaks in a place, the share of so many floors on which a floor drain takes the water and no probe feels
    it: of the leak with the least and of that with the most [1]."""

    place: str
    least: float
    most: float
    floors: int


HEIGHT, POUR = "height", "pour"


@dataclass(frozen=True)
class More:
    """One more reading: by what (a height, a pour test), where, at which leak and beside the probe of which column a
    pour test, and what it saves on average, at least and at most [m3]."""

    by: str
    storey: int
    cell: Cell
    leak: str
    column: int
    saved: float
    least: float
    most: float


@dataclass(frozen=True)
class Telling:
    """What of one more reading can be told: those that save more than chance gives, the best first. ``unclear``: where
    there is none, the best of those that only look so; ``chance``: what chance gives the best at least [m3]."""

    told: tuple[More, ...]
    unclear: More | None
    chance: float


@dataclass(frozen=True)
class Probes:
    """The whole answer.

    number   placed anew; ``now``: names of the probes of the file that have a spot, ``spotless``: those that have none
    present  what those of the file are worth; None: there are none
    lost     what each of them alone adds
    steps    for 1 to ``number`` and one more; ``same``: as many anew as the file has besides those that stay
    watched  as many as ``number``, best on average where water that a floor drain takes unseen counts as running on to
             the cap; None: that leaves no less to the drains than the best on average does
    pours    tests of the probes of the file, or of those to be placed where it has none
    stray    how far from its spot the nearest one lies at which each of those best on average would let a tenth more
             by [cells]; None: it stays
    apart    between two spots that were tried [m]
    """

    asked: Asked
    number: int
    looked: tuple[Looked, ...]
    cases: Cases
    now: tuple[str, ...]
    spotless: tuple[str, ...]
    unplanned: tuple[str, ...]
    present: Placed | None
    lost: tuple[Lost, ...]
    steps: tuple[Step, ...]
    same: Step | None
    options: tuple[Option, ...]
    watched: Placed | None
    pours: tuple[Pour, ...]
    more: Telling
    stray: tuple[float | None, ...]
    apart: float

    @property
    def stays(self) -> tuple[int, ...]:
        """Columns of the probes that stay."""
        return tuple(k for k, one in enumerate(self.cases.columns) if one.sort == NOW and one.name in self.asked.stay)

    @property
    def chosen(self) -> Step:
        """The probes that were asked for."""
        return self.steps[self.number - 1]

    def drained(self, columns: Sequence[int]) -> tuple[Drained, ...]:
        """What a floor drain takes while some columns feel nothing; places of which it does so on no floor are left
        out."""
        lost, shares = self.cases.lost_to_drain(columns), dict[tuple[str, int], list[float]]()
        begin = 0
        for one in self.looked:
            floors = len(one.fitted.floors)
            for leak in one.wetted:
                shares.setdefault((leak.site.place, floors), []).append(float(lost[begin : begin + floors].mean()))
                begin += floors
        return tuple(
            Drained(place, min(each), max(each), floors) for (place, floors), each in shares.items() if max(each) > 0.0
        )

    def spot(self, storey: int, cell: Cell) -> Spot:
        """The middle of a cell (right, up) [m]."""
        return self.looked[storey].storey.frame.spot(*cell)
