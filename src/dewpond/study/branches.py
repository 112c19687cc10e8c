"""A drill on every floor that fits a plan: from where the water of each place comes, which floors matter, what comes.

The plan is asked for water from one leak in each place: from the part that brings most of it before a probe there is
reached. It is found by a plain run, without the plan, and looked for again where a floor leads water on to a place
that stayed dry then. One number is one floor for all probes of a run.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Generator, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from dewpond.plant.consequence import Consequence
from dewpond.plant.plant import Lying, Plant
from dewpond.study.by_floor import AskedFor, ByFloor, End, Group, ProbeWets, Source, middle_of, rate_into
from dewpond.study.drained import undrained
from dewpond.study.drills import Drill
from dewpond.study.outcome import LITRES, SHARE, Outcome, differs

if TYPE_CHECKING:
    from dewpond.study.ground import Figures, Ground

Made = TypeVar("Made")
Work = Generator[Sequence[Drill], Sequence[Outcome], Made]
Sites = dict[str, AskedFor]  # place -> from where its water comes
PLAIN = Lying()


def together(
    works: Sequence[Work[Made]], run: Callable[[Sequence[Drill]], Iterator[Outcome]]
) -> Iterator[tuple[int, Made]]:
    """Number of a work, and what it comes to, as they finish. The runs that all of them want next are made in one go,
    and one that several want is made once."""
    done: list[tuple[int, Made]] = []
    wanted: dict[int, Sequence[Drill]] = {}

    def go_on(number: int, found: Sequence[Outcome] | None) -> None:
        try:
            wanted[number] = next(works[number]) if found is None else works[number].send(found)
        except StopIteration as end:
            done.append((number, end.value))

    for number in range(len(works)):
        go_on(number, None)
    while wanted:
        turn, wanted = wanted, {}
        lacks = {number: set(those) for number, those in turn.items()}
        readers: dict[Drill, list[int]] = {}
        for number, those in turn.items():
            for drill in dict.fromkeys(those):
                readers.setdefault(drill, []).append(number)
        outcomes: dict[Drill, Outcome] = {}
        for drill, outcome in zip(readers, run(tuple(readers)), strict=True):
            outcomes[drill] = outcome
            for number in readers[drill]:
                lacks[number].discard(drill)
                if not lacks[number]:
                    go_on(number, [outcomes[one] for one in turn[number]])
            yield from done
            done.clear()
    yield from done


def in_order(made: Iterator[tuple[int, Made]]) -> Iterator[Made]:
    """The same in the order of the works."""
    waiting: dict[int, Made] = {}
    turn = 0
    for number, one in made:
        waiting[number] = one
        while turn in waiting:
            yield waiting.pop(turn)
            turn += 1


@dataclass(frozen=True)
class OnOne:
    """A drill on one floor: the run that was made in the end, and from where its water came."""

    drill: Drill
    outcome: Outcome
    sites: Sites


class Branches:
    """Drills of one plant on the floors of its plans."""

    def __init__(self, plant: Plant, ground: Ground) -> None:
        self.plant, self.ground = plant, ground
        self.rooms = frozenset(one.name for one in plant.places if one.is_floor)
        self.touches = [touch for touch in plant.touches if touch.place in ground.places]

    # -- one drill -----------------------------------------------------------------------------------------------------
    def branched(self, drill: Drill, every: bool = False) -> Work[Outcome]:
        """The outcome on a floor that stands for most, see ``most_alike``, with what it is on the others;
        the plain one where no water comes into a place with a plan.

        every: run all floors. Else first those on which a probe is reached first and last, and a place takes least and
        most, also such a place as is known to get water only by then; all where these differ.
        """
        blocked = self._blocked(drill)
        if blocked:
            return (yield from Branches(self.plant, self.ground.without(blocked)).branched(drill, every))
        plain = drill._replace(lying=PLAIN)
        (first,) = yield [plain]
        sites: Sites = {}
        yield from self._learn(plain, first, sites)
        if not any(asked.site for asked in sites.values()):
            return first
        members = range(self.ground.count)
        found: dict[int, OnOne] = {}
        todo = list(members) if every else self._outer(sites)
        while todo:
            found |= yield from self._on(drill, sites, todo)
            outer = {m for one in found.values() for m in self._outer(one.sites)}
            outcomes = [one.outcome.told for one in found.values()]
            alike = not any(self._apart(outcomes[0], other) for other in outcomes[1:])
            todo = [m for m in (sorted(outer) if alike else members) if m not in found]
        return self._told(dict(sorted(found.items())))

    def followed(self, drill: Drill, on: ByFloor | None) -> Work[Outcome]:
        """The outcome of a drill on one floor: the one of another drill, or the one on which probes are reached neither
        first nor last."""
        blocked = self._blocked(drill)
        if blocked:
            return (yield from Branches(self.plant, self.ground.without(blocked)).followed(drill, on))
        sites = {asked.place: asked for asked in on.asked} if on else {}
        member = on.member if on else None
        if member is None:
            (first,) = yield [drill._replace(lying=PLAIN)]
            yield from self._learn(drill._replace(lying=PLAIN), first, sites)
            if not any(asked.site for asked in sites.values()):
                return first
            member = self._middle(sites)
        found = yield from self._on(drill, sites, [member])
        return found[member].outcome

    def _blocked(self, drill: Drill) -> frozenset[str]:
        """Drains on a plan that a fault of the drill stops, from its beginning on."""
        parts = {fault.part for fault in self.plant.faults if fault.label in drill.labels}
        return self.ground.drains & parts

    def _on(self, drill: Drill, sites: Sites, members: Sequence[int]) -> Work[dict[int, OnOne]]:
        """The drill on some floors."""
        known = {member: dict(sites) for member in members}
        found: dict[int, OnOne] = {}
        turn = list(members)
        while turn:
            drills = [drill._replace(lying=self._lying(known[member], member)) for member in turn]
            outcomes = yield drills
            again = []
            for member, run, outcome in zip(turn, drills, outcomes, strict=True):
                found[member] = OnOne(run, outcome, known[member])
                more = yield from self._learn(run, outcome, known[member])
                if more:
                    again.append(member)
            turn = again
        return found

    # -- from where the water comes ------------------------------------------------------------------------------------
    def _learn(self, drill: Drill, outcome: Outcome, sites: Sites) -> Work[bool]:
        """Add places that got water in a run and that nothing is known of yet; whether there were any with a plan."""
        more = False
        for one in outcome.fed:
            if one.place in self.ground.places and one.place not in sites:
                sources = one.sources
                if len(sources) > 1 and one.reached is not None:
                    (cut,) = yield [drill._replace(horizon=one.reached)]
                    sources = next((f.sources for f in cut.fed if f.place == one.place), sources)
                most, *others = (name for name, _ in sources)
                rate = sites[most].rate if most in sites else rate_into(one.place, outcome.told)
                site = self._site(most, one.place, sites)
                sites[one.place] = AskedFor(one.place, site, most, tuple(others), rate)
                more = more or site is not None
        return more

    def _site(self, source: str, place: str, sites: Sites) -> Source | None:
        """The leak of which the plans are asked for water from a part or a place: the one it comes from there; where it
        comes from another storey, that place itself."""
        first = sites[source].site if source in sites else None
        for site in (first, (source, place)):
            if site is not None:
                self.ground.want([site])
                if self.ground.figures(site, place):
                    return site
        return None

    def _figures(self, sites: Sites) -> dict[str, Figures]:
        found = {}
        for asked in sites.values():
            figures = self.ground.figures(asked.site, asked.place, asked.rate) if asked.site else None
            if figures:
                found[asked.place] = figures
        return found

    def _lying(self, sites: Sites, member: int) -> Lying:
        wets, holds, leads = [], [], []
        for place, figures in self._figures(sites).items():
            wets += [(part, place, float(litres[member])) for part, litres in figures.litres.items()]
            if figures.holds is not None:
                holds.append((place, self._holds(place, float(figures.holds[member]))))
                if figures.onto[member]:
                    leads.append((place, str(figures.onto[member])))
        return Lying(tuple(sorted(wets)), tuple(sorted(holds)), tuple(leads))

    def _holds(self, place: str, litres: float) -> float:
        """What a place takes: where nothing went on as far as floors were followed, what it was taken to hold without
        the plan, but no less than that [m3]."""
        if math.isfinite(litres):
            return litres
        number = [one.name for one in self.plant.places].index(place)
        return max(self.plant.arrays.place_cap[number], self.ground.cap)

    # -- which floors --------------------------------------------------------------------------------------------------
    def _rows(self, sites: Sites) -> list[Sequence[float]]:
        """Figures that differ by floor, shape (figures, members) [m3]."""
        rows = []
        for place, figures in self._figures(sites).items():
            own = {touch.part for touch in self.touches if touch.place == place and not touch.measured}
            rows += [litres for part, litres in figures.litres.items() if part in own]
            if figures.holds is not None:
                rows.append(figures.holds)
        return rows

    def _outer(self, sites: Sites) -> list[int]:
        """Numbers of the floors on which each figure is least and most, and one for each place water goes on to."""
        members, rows = range(self.ground.count), self._rows(sites)
        ends = {end(members, key=lambda member, row=row: row[member]) for row in rows for end in (min, max)}  # type: ignore[misc]
        for figures in self._figures(sites).values():
            if figures.holds is not None:
                ends |= {list(figures.onto).index(to) for to in dict.fromkeys(figures.onto)}
        return sorted(ends or {0})

    def _apart(self, one: Consequence, other: Consequence) -> bool:
        """Whether a keeper would call what comes of two floors different: also by what no drain takes."""
        volumes = undrained(one, self.rooms), undrained(other, self.rooms)
        return differs(one, other) or abs(volumes[0] - volumes[1]) > max(LITRES, SHARE * max(volumes))

    def _middle(self, sites: Sites) -> int:
        rows = self._rows(sites)
        return middle_of([min((row[member] for row in rows), default=0.0) for member in range(self.ground.count)])

    # -- what comes of it ----------------------------------------------------------------------------------------------
    def _told(self, found: Mapping[int, OnOne]) -> Outcome:
        groups = grouped([(member, one.outcome) for member, one in found.items()])
        among = most_alike([(member, one.outcome) for member, one in found.items()])
        chosen = among[middle_of([undrained(found[member].outcome.told, self.rooms) for member in among])]
        probed = {touch.place for touch in self.touches if not touch.measured}
        on = ByFloor(
            self.ground.count,
            tuple(found),
            chosen,
            found[chosen].drill.lying or PLAIN,
            tuple(one for one in found[chosen].sites.values() if one.site or one.place in probed),
            self._probes(found[chosen]),
            groups,
            self.ground.cap,
        )
        return replace(found[chosen].outcome, floors=on)

    def _probes(self, on: OnOne) -> tuple[ProbeWets, ...]:
        """When each probe is reached; not those in a place that a fault lets hold nothing."""
        figures, rows = self._figures(on.sites), []
        names = [one.name for one in self.plant.places]
        leaky = {
            names[number]
            for fault in self.plant.faults
            if fault.label in on.drill.labels
            for what, number, value in fault.patches
            if what == "holds" and value <= 0.0
        }
        broken = {fault.part for fault in self.plant.faults if fault.label in on.drill.labels}
        for touch in self.touches:
            if touch.place in leaky or touch.part in broken:
                continue
            litres = figures[touch.place].litres.get(touch.part) if touch.place in figures else None
            if litres is not None:
                shown = () if touch.measured else tuple(float(one) for one in litres)
                rows.append(ProbeWets(touch.part, touch.place, shown, touch.measured))
        return tuple(dict.fromkeys(rows))


def most_alike(found: Sequence[tuple[int, Outcome]]) -> list[int]:
    """Numbers of floors (number, outcome) that stand for most: of the fate that most of them share, whether it runs on
    and whether it is noticed, the end that most of these share, and of that the story. Of two alike the graver."""
    left = sorted(found, key=lambda one: (not one[1].told.still_running, -one[1].told.on_floors, one[0]))
    for shared in (_fate, lambda outcome: End.of(outcome.told), _story):
        counts = Counter(shared(outcome) for _, outcome in left)
        ((most, _),) = counts.most_common(1)  # of as many the first
        left = [one for one in left if shared(one[1]) == most]
    return sorted(number for number, _ in left)


def _fate(outcome: Outcome) -> Hashable:
    return outcome.told.still_running, outcome.told.first_noticed is None


def _story(outcome: Outcome) -> Hashable:
    return tuple((beat.kind, beat.text, beat.texts) for beat in outcome.beats.lines)


def grouped(found: Sequence[tuple[int, Outcome]]) -> tuple[Group, ...]:
    """Floors (number, outcome) on which the same happens in the same order, the largest group first."""
    alike: dict[Hashable, list[tuple[int, Outcome]]] = {}
    for one in found:
        alike.setdefault(_story(one[1]), []).append(one)
    groups = [Group(tuple(m for m, _ in own), tuple(outcome.told for _, outcome in own)) for own in alike.values()]
    return tuple(sorted(groups, key=lambda group: (-len(group.members), group.members)))
