"""All failures in one table: every fault alone, and the pairs that do more than their two faults add up to.

Of pairs there may be tens of thousands. Kept on a page are those that do clearly more than their two faults alone add
up to, ways in which one part fails alike joined into one row, and of these rows the MOST_PAIRS that add most water; how
many there are besides is said below the table. --json holds them all.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from dewpond.plant.consequence import Consequence
from dewpond.report.views import failures
from dewpond.report.views.blocks import Entry, Grid, Pick, Register, Text
from dewpond.report.views.by_floor_ends import between
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.failures import FAR, HEAD, ORDERS
from dewpond.report.views.shown import NOTHING, Shown, count
from dewpond.study.outcome import LITRES, Outcome, StudyResult

MOST_PAIRS: Final = 400  # rows of a page: with 300 of faults alone and the charts it stays far below 1.5 MB
LOOKED_AT: Final = 5  # so many times more runs are put into words, as several may come to one row
CAPTION: Final = "All failures"
NO_PAIRS: Final = (
    "No pairs were run: what two faults do together is not told here. A study without --singles runs them."
)
NONE: Final = "no place gets wet"
ALONE, TWO = "one fault alone", "two faults together"
WATER: Final = ("still running at the end", failures.STARTED_AGAIN, "ends", "no water gets out")
TANK: Final = ("salinity far off", "return pump draws air", "reservoir empty", "tank empty at the end", "none of these")
FIRST: Final = ("faults", "who is where", "where", "alone add up to")  # and after them those of HEAD


def register_blocks(result: StudyResult, shown: Shown, bad: failures.Bad) -> tuple[Register | Grid | Text, ...]:
    """Every fault alone, the worst first, then the pairs that add most; and what is left out."""
    rows = _Rows(result, shown)
    entries = [rows.entry(o.faults[0], o, o.who, None) for o in failures.singles(result)]
    pairs, left = rows.pairs(bad)
    head = (*FIRST, *HEAD)
    said = [i for i in range(len(head)) if any(e.cells[i] != NOTHING for e in (*entries, *pairs))]
    column = {head[i]: number for number, i in enumerate(said)}
    made = Register(
        CAPTION,
        tuple(column),
        tuple(
            Entry(tuple(e.cells[i] for i in said), tuple(e.keys[i] for i in said), e.picks) for e in (*entries, *pairs)
        ),
        (
            Pick("who is where", rows.who),
            Pick("faults", (ALONE, TWO) if pairs else (ALONE,)),
            Pick("water in", (*rows.places, NONE), column.get("where", -1)),
            Pick("water", WATER),
            Pick("the tank", TANK),
        ),
        tuple(number for name, number in column.items() if name not in ("faults", "who is where", "where", "tank")),
        tuple(column[name] for name in ("faults", "where", "tank") if name in column),
        parts(result, shown),
    )
    return (made, *first_pairs(pairs), *left_out(len(failures.pairs(result)), len(bad), left))


def parts(result: StudyResult, shown: Shown) -> tuple[Grid, ...]:
    """The faults alone as tables, one for each way of being there."""
    ground = Ground.under(result)
    return tuple(
        failures.single_grid(
            f"Each fault alone, {who}, {shown.duration(horizon)}", failures.singles(result, who), shown, ground
        )
        for who, horizon in result.who
    )


def first_pairs(pairs: Sequence[Entry]) -> tuple[Grid, ...]:
    """The pairs that add most once more by themselves: in the table they stand below all faults alone."""
    if not pairs:
        return ()
    rows = [entry.cells for entry in pairs[: failures.BRIEF]]
    caption = f"Two faults together: the {len(rows)} that add most water" if len(rows) > 1 else "Two faults together"
    return (failures.told_grid(caption, (*FIRST, *HEAD), rows, tuple(range(3, len(FIRST) + len(HEAD) - 1))),)


def left_out(every: int, bad: int, left: int) -> tuple[Text, ...]:
    """What the table does not hold of the runs with two faults: ``bad`` of them do more, ``left`` of these are too
    many for a page."""
    if not every:
        return (Text(NO_PAIRS),)
    if not bad:
        return (
            Text(f"None of the {count(every, 'run')} with two faults does clearly more than the two alone add up to."),
        )
    held = f"the {bad - left} of them that add most water" if left else "all of them"
    return (
        Text(
            f"Of the {count(every, 'run')} with two faults, in each order that can differ, {bad} do clearly more than "
            f"the two alone add up to; the table holds {held}. All others were tried as well, and are in the output of "
            "--json. “First hidden”: the first stands since before, the second begins after 1 h. “At once”: both begin "
            "after 1 h. “After a trip”: the second comes once a protection has acted on the first.",
            "quiet",
        ),
    )


class _Rows:
    """Makes the rows: what options there are is the same for all of them."""

    def __init__(self, result: StudyResult, shown: Shown) -> None:
        self.shown = shown
        self.ground = Ground.under(result)
        self.start = {tank.tank: tank.start for tank in result.tanks}
        self.who = tuple(who for who, _ in result.who)
        every = [told for o in result.failures for told in o.each]
        wet = {place for told in every for place, v in told.by_place.items() if v > SPOONFUL}
        taken = {drain for told in every for drain, _ in self.ground.taken(told).values()}
        self.places = tuple(p.name for p in result.design.parts if p.name in wet - taken)

    def entry(self, name: str, outcome: Outcome, who: str, added: float | None) -> Entry:
        """``added``: what the two faults of a pair bring alone [m3]; None: it is one fault."""
        told, shown, ground = outcome.told, self.shown, self.ground
        each = {place: [one.by_place.get(place, 0.0) for one in outcome.each] for place in self.places}
        wet = {place: max(volumes) for place, volumes in each.items()}
        wet = {place: volume for place, volume in wet.items() if volume > SPOONFUL}
        most = max([*wet.values(), added or 0.0], default=0.0)
        first = sorted(wet, key=lambda place: -wet[place])
        where = ", ".join(f"{place} {_litres(each[place], most, shown)}" for place in first)
        cells = failures.row(outcome, shown, ground, added or 0.0)
        return Entry(
            (name, who, where or NOTHING, NOTHING if added is None else shown.litres(added, most), *cells),
            (None, None, max(wet.values(), default=None), added, *self._keys(outcome, cells)),
            (
                {self.who.index(told.who): 0.0},
                {0 if added is None else 1: 0.0},
                {self.places.index(place): v for place, v in wet.items()} or {len(self.places): 0.0},
                dict.fromkeys(_water(outcome), 0.0),
                dict.fromkeys(_tank(told, self.start), 0.0),
            ),
        )

    def pairs(self, bad: failures.Bad) -> tuple[list[Entry], int]:
        """Rows of the pairs that add most, and how many runs are left out. Ways in which one part fails that come to
        the same are one row; of thousands of runs, those that cannot come to be shown are not put into words."""
        entries: dict[tuple[str, ...], Entry] = {}
        rows = []
        for outcome, added in bad[: LOOKED_AT * MOST_PAIRS]:
            told = outcome.told
            entry = self.entry("", outcome, f"{told.who}, {ORDERS[told.order]}", added)
            rows.append((*outcome.faults, *entry.cells))
            entries.setdefault((*map(_part, outcome.faults), *entry.cells), entry)
        made, shown = [], 0
        for (one, other, *rest), number in failures.merged(rows)[:MOST_PAIRS]:
            entry = entries[(_part(one), _part(other), *rest)]
            shown += number
            made.append(Entry((f"{one} + {other}", *entry.cells[1:]), entry.keys, entry.picks))
        return made, len(bad) - shown

    def _keys(self, outcome: Outcome, cells: Sequence[str]) -> tuple[float | None, ...]:
        """A number for each cell that failures.row makes; what never comes is later than anything."""
        told, ground = outcome.told, self.ground
        never = math.inf
        lasts = never if told.still_running else (told.stopped or 0.0) - (told.first_water or 0.0)
        noticed = never if told.first_noticed is None else told.first_noticed - (told.first_water or 0.0)
        keys: tuple[float | None, ...] = (
            ground.most(outcome), ground.most_taken(outcome), ground.wasted(told),
            told.first_water, noticed, lasts, float(told.reopenings), _harm(told, self.start),
        )  # fmt: skip
        return tuple(None if cell == NOTHING else key for key, cell in zip(keys, cells, strict=True))


def _litres(volumes: Sequence[float], most: float, shown: Shown) -> str:
    """What a place gets, by floor [m3]."""
    low, high = min(volumes), max(volumes)
    return between(low, high, shown) if high - low > LITRES else shown.litres(high, most)


def _part(label: str) -> str:
    return label.partition(": ")[0]


def _water(outcome: Outcome) -> list[int]:
    """Numbers of WATER."""
    if outcome.told.first_water is None:
        return [3]
    ends = not all(told.still_running for told in outcome.each)
    return [*([0] if outcome.lasts else []), *([2] if ends else []), *([1] if outcome.again else [])]


def _off(told: Consequence, start: Mapping[str, float]) -> float:
    """How far tanks get from their salinity at most [g/kg]."""
    return max(
        (abs(v - start.get(t.tank, v)) for t in told.tanks for v in (t.lowest, t.highest)),
        default=0.0,
    )  # fmt: skip


def _tank(told: Consequence, start: Mapping[str, float]) -> list[int]:
    """Numbers of TANK."""
    harms = (
        _off(told, start) > FAR,
        told.return_pump_dry is not None,
        told.reservoir_empty is not None,
        any(tank.end is None for tank in told.tanks),
    )
    return [number for number, harm in enumerate(harms) if harm] or [len(harms)]


def _harm(told: Consequence, start: Mapping[str, float]) -> float:
    """By what the tank column is sorted: an empty tank, then a pump that draws air, then salinity."""
    empty = any(tank.end is None for tank in told.tanks)
    return 1e4 * empty + 1e3 * (told.return_pump_dry is not None) + _off(told, start)
