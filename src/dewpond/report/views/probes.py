"""Probes: where they should stand, what those of now are worth, what else would do, and how they are tested."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from dewpond.design.model import Design
from dewpond.errors import Finding
from dewpond.floor.placement import Placed
from dewpond.report.views.blocks import Block, Grid, Items, Report, Section, Text
from dewpond.report.views.findings import notices
from dewpond.report.views.floor_known import known_findings
from dewpond.report.views.floor_poured import chosen
from dewpond.report.views.probes_drains import DOWN, Drains
from dewpond.report.views.probes_map import maps
from dewpond.report.views.probes_more import More
from dewpond.report.views.probes_tests import own_pour, test_blocks
from dewpond.report.views.probes_words import Words
from dewpond.report.views.shown import NOTHING, count, joined, sentence, shown_in
from dewpond.study.probes.model import POINT, ROPE, TRAY, Option, Probes

HEAD: Final = ("on average", "worst case", "unseen")
OTHER: Final = (
    "“On other floors”: chosen by one half of the floors and tried on the other half. That is nearer to what to expect "
    "on your own floor, for a choice is flattered by the floors that it was made for."
)
ALIKE: Final = 0.05  # of a mean: what differs by less is no better on floors that are known so little; our prior
NO_WORSE: Final = 0.005
HOW: Final = (
    (
        "Litres are those spilled at the leak when the first probe gets wet: every place at which a part may leak, "
        "on every floor that fits the readings of the file. Every leak counts alike; how likely each of them is does "
        "not stand in these figures."
    ),
    (
        "Unseen is what no probe feels and no floor drain takes. {cap} are counted then, for further the water is not "
        "followed. That makes an average look better than it is: read the share of the unseen beside it. Where a floor "
        "drain takes the water first, what lies by then is counted: the rest runs on, but onto no floor, and no probe "
        "feels it. The share of that stands under “down a drain” where there is one."
    ),
    (
        "Spots {apart} apart were tried, and those of the present probes; none in walls, on rims and plinths, in "
        "openings and drains, nor under a vessel that stands on the floor. Whether a cable reaches there, and whether "
        "somebody kicks it away, only you can see."
    ),
    (
        "Of one and of two probes no choice among these spots is better on average; of more the best of many "
        "exchanges is told. {worst}"
    ),
    (
        "A rope lies straight, along or across the plan or on a slant of 45 degrees, without crossing a rim or a "
        "plinth. A tray is taken as level: a probe anywhere in it is wet once the tray holds its area times the "
        "thickness of a puddle. What runs along a tube out of the tray is not caught."
    ),
    (
        "Water is followed slowly, as from a weak leak; a burst runs ahead and sideways. Water that leaves a storey is "
        "not followed to the next one. Spray, wicking and a rug on the floor are not in it."
    ),
)  # fmt: skip


def probes_findings(design: Design, found: Probes) -> tuple[Finding, ...]:
    """What is known of the floors, as `dewpond floor` tells it."""
    return tuple(known_findings(design, found.looked))


def probes_report(design: Design, found: Probes) -> Report:
    """The whole answer."""
    return Report(design.title, f"Where probes should stand, by {design.file}", tuple(_View(found, design).sections()))


class _View:
    def __init__(self, found: Probes, design: Design) -> None:
        self.found, self.design = found, design
        self.shown = shown_in(design.shown_in)
        self.words, self.drains = Words(found, design, self.shown), Drains(found)
        self.head = (*HEAD, DOWN) if self.drains.any else HEAD

    def sections(self) -> Iterator[Section]:
        act = notices(probes_findings(self.design, self.found))
        if act:
            yield Section("findings", "What to act on, and to know", act)
        yield Section("places", "Where they should stand", tuple(self._places()))
        yield Section("number", "How many", (self._curve(), Text(self._enough())))
        if self.found.present is not None:
            yield Section("present", "Those of now", tuple(self._present()))
        yield Section("other", "A rope or a tray instead", tuple(self._others()))
        yield Section("reading", "Which one more reading would tell most", tuple(More(self.found, self.words).blocks()))
        yield Section("tests", "To be tried with a can of water", tuple(test_blocks(self.found, self.words)))
        yield Section("how", "How these were got", (Items(tuple(self._how())),))

    # -- where they should stand ---------------------------------------------------------------------------------------
    def _places(self) -> Iterator[Block]:
        yield Text(self._lead(), "lead")
        best = self.found.chosen
        yield from self._spots("Best on average:", best.average)
        unseen = self.drains.with_new(best.average)
        if unseen:
            yield Text(unseen)
        watched = self.found.watched
        if watched is not None:
            yield from self._spots(
                f"If water must not run unseen into a drain either: {self._worth(watched)}.", watched
            )
            yield Text(self.drains.beside(watched))
        yield from maps(self.found, self.design, self.shown)
        strays = self._strays()
        if strays:
            yield Text(strays)
        if set(best.worst.spots) != set(best.average.spots):
            yield from self._spots(f"Best in the worst case: {self._worth(best.worst)}.", best.worst)
            yield Text(self._trade())
        yield Text(self._try_first(), "quiet")
        gaps = self._gaps()
        if gaps:
            yield Text(gaps, "caution")

    def _lead(self) -> str:
        found = self.found
        new = count(found.number, "probe")
        stays = f" besides {joined(found.asked.stay)}" if found.asked.stay else ""
        told = f"{new} placed anew{stays}, best on average: {self._worth(found.chosen.average)}."
        if found.watched is not None:
            told += (
                f" If water must not run unseen into a drain either, as many elsewhere: {self._worth(found.watched)}."
            )
        if found.present is None:
            return told
        return f"{told} Those of now ({joined(found.now)}): {self._worth(found.present)}. {self._compared()}"

    def _worth(self, placed: Placed) -> str:
        never = self.words.share(placed.never)
        felt = "none goes on unseen on any floor" if never == "none" else f"{never} of the cases go on unseen"
        if self.drains.any:
            felt += f", {self.words.share(self.words.drained(placed))} run unseen into a floor drain"
        return f"{self.words.average(placed)} on average, {self.words.worst(placed)} in the worst case, {felt}"

    def _compared(self) -> str:
        """The present places against the best of as many."""
        same, present = self.found.same, self.found.present
        if same is None or present is None or same.number == self.found.number:
            if same is None or present is None:
                return ""
            better = present.expected - (same.crossed or same.average).expected
            more = self.words.drained(same.average) > self.words.drained(present)
            but = " But then more runs unseen into a floor drain, and that counts for nothing here." if more else ""
            if better <= ALIKE * present.expected:
                return f"So those of now stand about as well as can be told of so many.{but}"
            spares = f"So moving them spares about {self.shown.litres(better)}"
            return f"{spares}, on floors that the choice was not made for.{but}"
        return f"As many as those of now, where they would stand best: {self._worth(same.average)}."

    def _spots(self, caption: str, placed: Placed) -> Iterator[Block]:
        yield Text(caption)
        items = []
        for column in placed.spots:
            one = self.found.cases.columns[column]
            stays = " (stays)" if column in self.found.stays else ""
            first = self.words.share(self.words.first(placed, column))
            items.append(
                f"{self.words.what(one)}{stays}: {self.words.where(one)}; the first to feel it in {first} of the cases"
            )
        yield Items(tuple(items), numbered=True)

    def _strays(self) -> str:
        """How exactly the spots are to be kept."""
        told = []
        for number, (column, far) in enumerate(zip(self.found.chosen.average.spots, self.found.stray, strict=True), 1):
            if far is not None:
                size = self.found.looked[self.found.cases.columns[column].storey].storey.frame.size
                told.append(f"{self.words.length(far * size)} for number {number}")
        if not told:
            return ""
        lengths = {one.partition(" for ")[0] for one in told}
        so_far = f"{lengths.pop()} for each" if len(lengths) == 1 else joined(told)
        return (
            "A probe beside its spot lets more by: the nearest spot at which the average is a tenth more lies so far "
            f"away: {so_far}."
        )

    def _trade(self) -> str:
        one, two = self.found.chosen.average, self.found.chosen.worst
        if self.words.average(one) == self.words.average(two):
            return f"The best in the worst case is as good on average, with {self.words.worst(two)} in the worst case."
        return (
            f"The best in the worst case gives {self.words.worst(two)} instead of {self.words.worst(one)} then, "
            f"for {self.words.average(two)} instead of {self.words.average(one)} on average."
        )

    def _try_first(self) -> str:
        """How a spot is written down."""
        new = [self.found.cases.columns[k] for k in self.found.chosen.average.spots]
        at = next((self.words.what(one) for one in new if one.sort == POINT), "0.4 m x 0.3 m")
        return (
            f"Before a probe is moved: write its new spot, as in `{at}`, behind its name among the `spots` of its plan,"
            " and ask `dewpond study` what that changes."
        )

    def _gaps(self) -> str:
        """What was not looked at."""
        told = []
        if self.found.unplanned:
            told.append(f"there is no plan of {joined(self.found.unplanned)}, in which parts may leak as well")
        if self.found.spotless:
            told.append(f"{joined(self.found.spotless)} {_has(self.found.spotless)} no spot in any plan")
        gaps = [sentence(f"not looked at: {'; '.join(told)}")] if told else []
        return " ".join((*gaps, *self._taken()))

    def _taken(self) -> Iterator[str]:
        """Where parts are taken to leak that have no spot."""
        like: dict[tuple[str, str], list[str]] = {}
        for looked in self.found.looked:
            for site in looked.sites:
                if site.like:
                    like.setdefault((site.like, site.place), []).append(site.part)
        for (other, place), parts in like.items():
            yield sentence(f"{joined(parts)} {_has(parts)} no spot in {place}: taken to leak {_like(other)}")

    # -- how many ------------------------------------------------------------------------------------------------------
    def _curve(self) -> Grid:
        bare = self.found.asked.stay
        rows = [
            (str(step.number), self.words.average(step.average), self.words.share(step.average.never),
             *self._down(step.average),
             self.words.average(step.crossed) if step.crossed else NOTHING,
             self.words.share(step.crossed.never) if step.crossed else NOTHING,
             self.words.worst(step.worst))
            for step in self.found.steps
        ]  # fmt: skip
        down = (DOWN,) if self.drains.any else ()
        head = ("anew", "on average", "unseen", *down, "on other floors", "unseen", "best worst case")
        caption = f"What so many are worth besides {joined(bare)}" if bare else "What so many are worth"
        return Grid(caption, head, tuple(rows), tuple(range(len(head))))

    def _enough(self) -> str:
        """What one more would spare."""
        number, steps = self.found.number, self.found.steps
        if number >= len(steps):
            return "There is no spot for one more."
        crossed = [one.crossed.expected for one in steps[:number] if one.crossed]
        enough = 1 + crossed.index(min(crossed)) if crossed else number
        if enough < number:
            return f"{OTHER} More than {enough} spare nothing there that can be told."
        here, more = (one.crossed or one.average for one in steps[number - 1 : number + 1])
        spared = here.expected - more.expected
        if spared <= ALIKE * here.expected:
            return f"{OTHER} One more would spare next to nothing there."
        return f"{OTHER} One more would spare another {self.shown.litres(spared)} there."

    # -- those of now --------------------------------------------------------------------------------------------------
    def _present(self) -> Iterator[Block]:
        present = self.found.present
        assert present is not None
        rows = [("all of them", *self._figures(present), NOTHING)]
        for one in self.found.lost:
            lost = one.without.expected - present.expected
            told = self.shown.litres(lost) if lost > NO_WORSE * present.expected else "next to nothing"
            rows.append((f"without {one.name}", *self._figures(one.without), told))
        head = ("", *self.head, "it spares")
        yield Grid("What they are worth, and what is lost if one is taken away", head, tuple(rows),
                   tuple(range(1, len(head))))  # fmt: skip
        unseen = self.drains.of_now()
        if unseen:
            yield Text(unseen)
        idle = [
            one.name for one in self.found.lost
            if one.without.expected - present.expected <= NO_WORSE * present.expected
            and self.words.drained(one.without) <= self.words.drained(present)
            and not any(own_pour(k, self.found, self.words) for k in present.spots if self._name(k) == one.name)
        ]  # fmt: skip
        if idle and len(self.found.lost) > 1:
            yield Text(
                f"{sentence(joined(idle))[:-1]} {'adds' if len(idle) == 1 else 'add'} next to nothing to the others "
                "for the leaks that are looked at here: moved to one of the spots above it would."
            )

    def _name(self, column: int) -> str:
        return self.found.cases.columns[column].name

    # -- ropes and trays -----------------------------------------------------------------------------------------------
    def _others(self) -> Iterator[Block]:
        number, chosen = self.found.number, self.found.chosen.average
        rows = [(count(number, "probe"), *self._figures(chosen))]
        if number > 1:
            rows.insert(0, ("1 probe", *self._figures(self.found.steps[0].average)))
        if self.found.watched is not None:
            rows.append((f"{count(number, 'probe')}, drains watched", *self._figures(self.found.watched)))
        rows += [(self._named(one), *self._figures(one.placed)) for one in self.found.options]
        if self.found.present is not None:
            rows.append(("as it is now", *self._figures(self.found.present)))
        stays = f", {joined(self.found.asked.stay)} besides" if self.found.asked.stay else ""
        yield Grid(f"The same leaks on the same floors{stays}", ("laid", *self.head), tuple(rows),
                   tuple(range(1, 1 + len(self.head))))  # fmt: skip
        if self.found.options:
            yield Items(tuple(f"{self._named(one)}: {self._lies(one)}" for one in self.found.options))
        have = {one.sort for one in self.found.options}
        for sort, what in ((ROPE, f"rope of {self.words.length(self.found.asked.rope)}"), (TRAY, self._tray())):
            if sort not in have:
                yield Text(f"Nowhere is there room for a straight {what}." if sort == ROPE else
                           f"Nowhere a {what} fits so that it catches a leak.")  # fmt: skip
        if TRAY in have:
            yield Text(self._holds())

    def _figures(self, placed: Placed) -> tuple[str, ...]:
        """In the order of the head."""
        never = self.words.share(placed.never)
        return (self.words.average(placed), self.words.worst(placed), never, *self._down(placed))

    def _down(self, placed: Placed) -> tuple[str, ...]:
        return (self.words.share(self.words.drained(placed)),) if self.drains.any else ()

    def _named(self, one: Option) -> str:
        return f"1 {one.sort}" if one.number == 1 else f"1 {one.sort}, {count(one.number - 1, 'probe')}"

    def _lies(self, one: Option) -> str:
        told = []
        for column in one.placed.spots:
            spotted = self.found.cases.columns[column]
            if column in self.found.stays:
                continue
            leaks = f" (it catches {self.words.leaks(spotted, column) or 'few leaks'})" if spotted.sort == TRAY else ""
            where = f", {self.words.where(spotted)}" if spotted.sort in (ROPE, TRAY) else ""
            told.append(f"{self.words.what(spotted)}{where}{leaks}")
        return "; ".join(told)

    def _tray(self) -> str:
        long, deep = self.found.asked.tray
        return f"tray of {self.words.length(long)} x {self.words.length(deep)}"

    def _holds(self) -> str:
        """By its area, its rim and the film: what wets it, and what it holds."""
        from dewpond.physics.film import ORDINARY_FLOOR

        (long, deep), rim = self.found.asked.tray, self.found.asked.rim
        wet = [self.shown.litres(long * deep * film) for film in ORDINARY_FLOOR]
        return (
            f"Level, a {self._tray()} is wet all over at {wet[1]} ({wet[0]} to {wet[2]}), and with a rim of "
            f"{self.shown.height(rim)} it holds about {self.shown.litres(long * deep * (rim + ORDINARY_FLOOR[1]))} "
            "before anything runs over. Tilted a little towards its probe it tells far sooner. A tray goes under a "
            "vessel before that is filled: never lift one with water in it."
        )

    def _how(self) -> Iterator[str]:
        sure = all(step.worst.exact for step in self.found.steps)
        worst = (
            "Of the worst case no choice is better." if sure
            else "Of the worst case the search was given up before its end: one a little better may exist."
        )  # fmt: skip
        floors = {len(one.fitted.floors) for one in self.found.looked if one.wetted}
        leaks = sum(len(one.wetted) for one in self.found.looked)
        on = joined([str(one) for one in sorted(floors)])
        yield f"{count(leaks, 'leak')} on {on} floors: {len(self.found.cases.sites)} cases."
        for one in self.found.looked:
            yield from chosen(one)
        for text in HOW:
            yield text.format(cap=self.words.cap(), apart=self.words.length(self.found.apart), worst=worst)


def _has(names: Sequence[str]) -> str:
    return "has" if len(names) == 1 else "have"


def _like(other: str) -> str:
    """Where: as a site has it, the name of a part or words that begin with an article."""
    return f"in {other}" if other.startswith("the middle") else f"where {other} may"
