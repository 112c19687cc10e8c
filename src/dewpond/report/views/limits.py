"""Limits that protect: what to set, why, what the file has, and where no value will do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from dewpond.design.rows import RE_ARMED
from dewpond.errors import FINDINGS, FINE
from dewpond.plant.plant import DAY
from dewpond.report.views.blocks import Block, Grid, Items, Notice, Report, Section, Text
from dewpond.report.views.limits_words import CHANGE, NAMES, Words, settable, value_text
from dewpond.report.views.shown import NOTHING, Shown, count, joined, plain, sentence, shown_in
from dewpond.study.limits import caps, model, runs
from dewpond.study.limits.limits import Fed, Held, Limits
from dewpond.study.limits.model import (
    ABSENT,
    INSIDE,
    NUISANCE,
    OUTSIDE,
    SUMMER,
    WINTER,
    Bound,
    Limit,
    Need,
    Ruled,
)

STANDINGS: Final = {OUTSIDE: "outside", NUISANCE: "inside, see below", INSIDE: "inside", ABSENT: NOTHING}
ALIKE: Final = 0.02  # values of two seasons that differ by less are told as one
NEAR: Final = 0.03  # values that differ by less are the same to a keeper
HALF: Final = 0.5  # of a year, for each season
HALF_ONCE: Final = 0.5  # fewer are none
ABOVE: Final = " above bottom"
KEPT_OUT: Final = (
    "No limit here follows what was dosed lately, and none should: a slow leak would teach the cap to allow itself. "
    "Change a limit by your own hand, when the heating goes on and when it goes off, and after a month of your own figures."
)


def exit_code(found: Limits) -> int:
    """1 where a limit in the file lies outside its bounds."""
    return FINDINGS if found.outside else FINE


def limits_report(found: Limits) -> Report:
    """The whole answer."""
    shown = shown_in(found.design.shown_in)
    view = _View(found, shown)
    sections = [*view.first(), *view.fed(), *view.held(), view.notes()]
    return Report(found.design.title, f"Limits that protect, of {found.design.file}", tuple(sections))


class _View:
    def __init__(self, found: Limits, shown: Shown) -> None:
        self.found, self.shown, self.words = found, shown, Words(shown)

    # -- what stands first ---------------------------------------------------------------------------------------------
    def first(self) -> Iterator[Section]:
        """What to act on."""
        notices = [self._notice(rule) for rule in self.found.outside]
        notices += [self._clash(rule) for rule in self.found.rules if not rule.outside and rule.clash]
        if notices:
            yield Section("findings", "What to act on", tuple(notices))
            return
        said = "The file has nothing that is pumped or filled."
        if self.found.rules:
            said = f"Of {count(len(self.found.rules), 'limit')} looked at, none in the file lies outside its bounds."
        yield Section("findings", "What to act on", (Text(said),))

    def _notice(self, rule: Ruled) -> Notice:
        """A value of the file that lies outside."""
        told: dict[str, str] = {}
        for season, limit in rule.seasons.items():
            has = limit.has
            if limit.standing != OUTSIDE or has is None:
                continue
            bound = limit.lowest() if has < limit.least else limit.highest()
            if bound is not None:
                side = "at least" if has < limit.least else "at most"
                said = f"{side} {self._value(limit, bound.value)}"
                told[season] = said if said in "".join(told.values()) else f"{said}: {self.words.bound(bound)}"
        if len(told) > 1 and told[WINTER].startswith(told[SUMMER]):
            told = {f"{WINTER} and in {SUMMER}": told[WINTER]}
        said = [f"The file has {self._has(rule)}.", *(f"In {season} {text}." for season, text in told.items())]
        return Notice("warning", "limit-outside", self._where(rule), " ".join(said), " ".join(self._advice(rule)))

    def _clash(self, rule: Ruled) -> Notice:
        """Bounds that no value satisfies, of something that the file does not set."""
        told = [self._contradiction(limit, f"In {s} no value will do") for s, limit in rule.seasons.items() if limit.clash]
        return Notice("note", "limit-clash", self._where(rule), " ".join(told), " ".join(self._changes(rule)))

    def _where(self, rule: Ruled) -> str:
        line = f", line {rule.entry.line}" if rule.entry is not None and rule.entry.line else ""
        return f"{rule.subject}: {NAMES[rule.what]}{line}"

    # -- one limit -----------------------------------------------------------------------------------------------------
    def _value(self, limit: Limit, value: float) -> str:
        return value_text(value, limit.quantity, self.shown)

    def _has(self, rule: Ruled) -> str:
        limit = rule.seasons[WINTER]
        if limit.has is None or (rule.what in (model.GAP, model.WAIT) and limit.has == 0.0):
            return "none"
        return "no limit" if math.isinf(limit.has) else value_text(limit.has, limit.quantity, self.shown, 3)

    def _advised(self, limit: Limit) -> str:
        return "no value will do" if limit.advised is None else settable(limit, limit.advised, self.shown)

    def _advice(self, rule: Ruled) -> Iterator[str]:
        """What to enter, and when to change it; or what would have to change."""
        if rule.clash:
            for season, limit in rule.seasons.items():
                if limit.clash:
                    yield f"{self._contradiction(limit, f'In {season} no value will do')}"
            yield from self._changes(rule)
        elif self._worst(rule) == INSIDE or self._as_advised(rule):
            yield f"The file's {self._has(rule)} is {'inside' if self._worst(rule) == INSIDE else 'what is advised'}: leave it."
            yield from self._strain(rule)
        elif rule.what not in PARTS:
            whole = rule.whole
            if whole.clash:
                by = {s: settable(limit, limit.advised or 0.0, self.shown) for s, limit in rule.seasons.items()}
                yield (
                    f"No one value fits both seasons. {self._entered(rule, by[WINTER])} when the heating goes on, "
                    f"{by[SUMMER]} when it goes off."
                )
            elif whole.advised is not None:
                yield f"{self._entered(rule, settable(whole, whole.advised, self.shown))}, all the year."
            yield from self._strain(rule)

    def _as_advised(self, rule: Ruled) -> bool:
        """Whether the file has what is advised, but for rounding, and harms nothing."""
        has, wanted = rule.seasons[WINTER].has, rule.whole.advised
        return has is not None and wanted is not None and not rule.outside and abs(has - wanted) <= NEAR * wanted

    def _contradiction(self, limit: Limit, head: str, soft: bool = False) -> str:
        low, high = limit.lowest(soft), limit.highest()
        if low is None or high is None:
            return f"{head}."
        return (
            f"{head}: at least {self._value(limit, low.value)}, since {self.words.bound(low)}; but at most "
            f"{self._value(limit, high.value)}, since {self.words.bound(high)}."
        )

    def _changes(self, rule: Ruled) -> Iterator[str]:
        """What would have to change in the house, or in what the keeper does."""
        high = {bound.code: None for limit in rule.seasons.values() if (bound := limit.highest()) is not None
                and limit.free > limit.most}  # fmt: skip
        for code in high:
            if code in CHANGE:
                yield f"What would have to change: {CHANGE[code]}."

    def _strain(self, rule: Ruled) -> Iterator[str]:
        """Bounds of which one costs a nuisance, and no value meets both."""
        tight: dict[str, list[str]] = {}
        for season, limit in rule.seasons.items():
            if limit.free > limit.most:
                free, most = (self._value(limit, value) for value in (limit.free, limit.most))
                text = f"what would cost no nuisance, {free}, lies above what harms nothing, {most}: the harm counts."
                tight.setdefault(text, []).append(f"in {season}")
        for text, seasons in tight.items():
            yield sentence(text if len(seasons) == len(rule.seasons) else f"{joined(seasons)} {text}")
        if tight:
            yield from self._changes(rule)

    def _entered(self, rule: Ruled, text: str) -> str:
        """Where to write a value: the line and the key."""
        entry = rule.entry
        if entry is None:
            return f"{NAMES_TO_SET.get(rule.what, 'Set')} {text}"
        whose = f" ({entry.part})" if entry.part else ""
        if rule.what == model.BAND:
            return f"Set the two marks in line {entry.line}{whose} {text} apart"
        more = {model.RUN: " a run", model.CALL: ABOVE, model.HIGH_MARK: ABOVE}.get(rule.what, "")
        better = "Better in" if self._worst(rule) == NUISANCE else "Write in"
        return f"{better} line {entry.line}{whose}: `{entry.key}: {text}{more}`"

    # -- what the matrix starts ----------------------------------------------------------------------------------------
    def fed(self) -> Iterator[Section]:
        for number, one in enumerate(self.found.fed, 1):
            feed = one.feed
            vessel = feed.basin.plant.stores[feed.store]
            blocks = (Text(self._lead(one), "lead"), self._grid(one.rules), *self._each(one.rules, one))
            named = feed.row.id if feed.row.id.startswith("row ") else f"row {feed.row.id}"
            yield Section(f"feed-{number}", f"{feed.part} into {vessel} ({named})", blocks)

    def _lead(self, one: Fed) -> str:
        feed = one.feed
        flows = sorted({self.shown.flow(f) for each in one.feeds.values() for f in (each.weak, each.strong)}, key=_number)
        gives = flows[0] if len(flows) == 1 else f"{flows[0]} to {flows[-1]}"
        lost = {season: f"{self._need(need)} a day" for season, need in one.needs.items() if need.mean > 0.0}
        told = f"It brings {gives}. "
        if lost:
            known = "measured" if all(need.known for need in one.needs.values()) else "reckoned, not measured"
            told += f"{feed.basin.name} wants {self._by_season(lost, 'and')} ({known})."
        else:
            told += f"Nothing is known to be lost from {feed.basin.name}."
        if one.beside:
            told += f" {joined(one.beside)} bring water into it as well: the most of a day is for all of them together."
        return told

    def _need(self, need: Need) -> str:
        low, mid, high = (self.shown.litres(v, need.high) for v in (need.low, need.mean, need.high))
        return f"{mid} ({low} to {high})"

    def _grid(self, rules: Sequence[Ruled]) -> Grid:
        rows = []
        for rule in rules:
            if rule.what in FROM:
                cells = [self._from(rule.seasons[s]) for s in (WINTER, SUMMER)]
            elif rule.what in PARTS:
                cells = [self._asks(rule.seasons[s]) for s in (WINTER, SUMMER)]
            else:
                cells = [self._advised(rule.seasons[s]) for s in (WINTER, SUMMER)]
            rows.append((NAMES[rule.what], *cells, self._range(rule), self._has(rule), STANDINGS[self._worst(rule)]))
        head = ("limit", "in winter", "in summer", "all the year", "the file has", "which is")
        return Grid("What to set, and what may be set all the year", head, tuple(rows))

    def _from(self, limit: Limit) -> str:
        return "no value will do" if limit.advised is None else f"from {settable(limit, limit.advised, self.shown)}"

    def _asks(self, limit: Limit) -> str:
        return value_text(limit.free, limit.quantity, self.shown)

    def _worst(self, rule: Ruled) -> str:
        order = (OUTSIDE, NUISANCE, INSIDE, ABSENT)
        return min((limit.standing for limit in rule.seasons.values()), key=order.index)

    def _range(self, rule: Ruled) -> str:
        whole = rule.whole
        if whole.clash:
            return "none"
        low = value_text(whole.least, whole.quantity, self.shown) if whole.least > 0.0 else ""
        high = value_text(whole.most, whole.quantity, self.shown) if whole.most < math.inf else ""
        if low and high:
            return f"{low} to {high}"
        return f"from {low}" if low else f"up to {high}" if high else NOTHING

    def _each(self, rules: Sequence[Ruled], one: Fed | None) -> Iterator[Block]:
        """Each limit: what to do, then why."""
        for rule in rules:
            told = [f"{sentence(NAMES[rule.what])[:-1]}.", *self._advice(rule), *self._costs(rule, one)]
            yield Text(" ".join(told))
            yield Items(tuple(self._reasons(rule)))

    def _reasons(self, rule: Ruled) -> Iterator[str]:
        """Every bound with its formula, its value in both seasons, and whether it binds."""
        winter, summer = rule.seasons[WINTER], rule.seasons[SUMMER]
        for side, ones, others in (("At least", winter.low, summer.low), ("At most", winter.high, summer.high)):
            for k, bound in enumerate(ones):
                other = others[k] if k < len(others) else bound
                if math.isinf(bound.value) and math.isinf(other.value):
                    continue
                value = self._both(winter, bound, other)
                binds = self._binds(rule, bound, other)
                yield f"{side} {value}{binds}: {self.words.bound(bound)}."

    def _both(self, limit: Limit, bound: Bound, other: Bound) -> str:
        one, two = (self._value(limit, b.value) if b.value < math.inf else "without end" for b in (bound, other))
        near = abs(bound.value - other.value) <= ALIKE * max(abs(bound.value), abs(other.value))
        return one if near or one == two else f"{one} in winter, {two} in summer"

    def _binds(self, rule: Ruled, bound: Bound, other: Bound) -> str:
        """In which seasons a bound is the one that counts."""
        seasons = [
            season
            for season, one in ((WINTER, bound), (SUMMER, other))
            if one in (rule.seasons[season].lowest(soft=True), rule.seasons[season].highest(soft=True))
        ]
        if len(seasons) == 2:
            return ", which binds"
        return f", which binds in {seasons[0]}" if seasons else ""

    # -- what it costs -------------------------------------------------------------------------------------------------
    def _costs(self, rule: Ruled, one: Fed | None) -> Iterator[str]:
        if one is not None and rule.what == model.RUN:
            yield from self._run_costs(rule, one)
        elif one is not None and rule.what == model.DAY:
            yield from self._day_costs(rule, one)
        elif rule.what == model.WAIT:
            yield from self._wait_costs(rule)
        elif rule.what == model.BAND:
            often = {s: self._number_of(limit.figures["runs"]) for s, limit in rule.seasons.items()}
            brings = rule.seasons[WINTER].figures["band"]
            yield f"A run brings {self.shown.litres(brings)}; there are about {self._by_season(often, 'and')} runs a day."
        elif rule.what == model.CALL:
            lasts = {s: self.shown.duration(limit.figures["lasts"]) for s, limit in rule.seasons.items()}
            yield (
                f"Below this mark, with the top-off locked, the return pump draws air after "
                f"{self._by_season(lasts, 'and')}, when much "
                "evaporates: a lock is not harmless, and its message must be heard."
            )
        elif rule.what == model.STOCK:
            yield from self._stock(rule)
        elif rule.what == model.OVERFLOW:
            yield from self._overflow(rule)
        elif rule.what == model.FREEBOARD:
            f = rule.seasons[WINTER].figures
            yield f"{self.shown.litres(f['free'])} fit above the water; {self._spare(f['spare'])}."

    def _spare(self, spare: float) -> str:
        if spare <= 0.0:
            return "what drains down takes all of it, and more"
        return f"{self.shown.litres(spare)} of them are left once the tank has drained down"

    def _run_costs(self, rule: Ruled, one: Fed) -> Iterator[str]:
        feed, row = one.feed, one.feed.row
        limit = rule.seasons[WINTER]
        at = limit.has if limit.has is not None and math.isfinite(limit.has) else rule.whole.advised or limit.advised
        if at is None:
            return
        whose = "in the file" if limit.has == at else "advised"
        brings = at * feed.strong
        told = f"With the {value_text(at, 'duration', self.shown)} {whose} a stuck run brings {self.shown.litres(brings)}"
        if feed.basin.salinity > 0.0:
            told += f", and takes {feed.basin.name} to {self.shown.salinity(feed.basin.salinity_after(brings))}"
        yield f"{told}."
        if feed.low is not None and feed.pumped:
            cuts = {s: runs.longest_cut(one.feeds[s], need, at, one.wait) for s, need in one.needs.items()}
            yield (
                f"No ordinary run trips it, but the run after a power cut of more than {self._seasons(cuts, 'duration')} "
                "does."
            )
        if feed.pumped and (row.too_long is None or row.too_long.until != RE_ARMED or not row.too_long.tell):
            yield (
                "A run that is too long should lock the pump and tell somebody: `when a run is too long` with `until: "
                "re-armed by hand` and `tell`."
            )

    def _seasons(self, values: Mapping[str, float], quantity: str) -> str:
        texts = {s: value_text(v, quantity, self.shown) if v < math.inf else "any length" for s, v in values.items()}
        return self._by_season(texts, "or")

    def _by_season(self, texts: Mapping[str, str], last: str) -> str:
        if len(set(texts.values())) == 1:
            return next(iter(texts.values()))
        return joined([f"{text} in {s}" for s, text in texts.items()], last)

    def _number_of(self, number: float) -> str:
        return self.shown.count_of(number) if number >= 1.0 else plain(float(f"{number:.1g}"))

    def _day_costs(self, rule: Ruled, one: Fed) -> Iterator[str]:
        limit = rule.seasons[WINTER]
        has = limit.has if limit.has is not None and math.isfinite(limit.has) else None
        counted = one.feed.counted
        for whose, values in (
            ("the file's", {s: has for s in rule.seasons} if has is not None else {}),
            ("the advised", {s: one_.advised for s, one_ in rule.seasons.items()}),
        ):
            told = {
                f"the {season} half of the year": f"about {self._trips(value / counted, one.needs[season])}"
                for season, value in values.items()
                if value is not None and one.needs[season].mean > 0.0
            }
            if told:
                yield f"With {whose} cap ordinary top-off is refused until midnight {self._each_half(told)}."
        yield "A refused day costs little, for it ends at midnight: do not lock it."
        if counted > 1.0 + ALIKE:
            yield f"The box counts {plain(counted)} parts for one that arrives, the waste among them; so do these figures."
        yield from self._dilution(rule, one)

    def _each_half(self, told: Mapping[str, str]) -> str:
        if len(set(told.values())) == 1:
            return f"{next(iter(told.values()))} in half a year"
        return joined([f"{text} in {half}" for half, text in told.items()])

    def _trips(self, cap: float, need: Need) -> str:
        """Days of a half year on which a cap is reached: at the mean, and over what the mean may be."""

        def often(mean: float) -> float:
            return HALF * caps.trips_a_year(cap, mean, need.deviation * mean / need.mean)

        if need.deviation <= 0.0:
            return "never" if cap >= need.mean else "every day"
        usual = self._often(often(need.mean))
        if need.known:
            return f"{usual} times"
        return f"{usual} times ({self._often(often(need.low))} to {self._often(often(need.high))})"

    def _often(self, number: float) -> str:
        return "0" if number < HALF_ONCE else self.shown.count_of(number)

    def _dilution(self, rule: Ruled, one: Fed) -> Iterator[str]:
        """The salinity of a pump that brings the cap every day."""
        limit = rule.seasons[SUMMER]
        feed, need = one.feeds[SUMMER], one.needs[SUMMER]
        if feed.basin.salinity <= 0.0:
            return
        cap = limit.has if limit.has is not None and math.isfinite(limit.has) else rule.whole.advised or limit.advised
        if cap is None:
            return
        after = [
            f"{self.shown.salinity(caps.salinity_at_cap(feed, need, cap, days))} after {self.words.days(float(days))}"
            for days in caps.TOLD_AFTER
        ]
        yield (
            f"A leak or a false mark that brings {self.shown.litres(cap)} every day in summer, when as little as "
            f"{self.shown.litres(need.low)} evaporate, never trips it, and takes {feed.basin.name} to {joined(after)}."
        )

    def _wait_costs(self, rule: Ruled) -> Iterator[str]:
        f = rule.seasons[WINTER].figures
        longest = max(f["gap"], f["lasting"])
        if longest > f["wait"]:
            what = "pause between runs" if f["gap"] >= f["lasting"] else "`lasting`"
            yield (
                f"The box itself waits {self.shown.duration(f['wait']) if f['wait'] > 0.0 else 'not at all'}; the row's "
                f"{what} of {self.shown.duration(longest)} begins anew with its start, and does the same."
            )

    # -- vessels -------------------------------------------------------------------------------------------------------
    def held(self) -> Iterator[Section]:
        for number, one in enumerate(self.found.held, 1):
            yield Section(f"vessel-{number}", one.vessel, (self._grid(one.rules), *self._each(one.rules, None)))

    def _stock(self, rule: Ruled) -> Iterator[str]:
        winter = rule.seasons[WINTER]
        has = winter.has or 0.0
        lasts = {s: limit.figures["lasts"] for s, limit in rule.seasons.items()}
        least = winter.figures["lasts least"]
        yield (
            f"It gives {self.shown.litres(has)}, which last {self._seasons(lasts, 'duration')}"
            f" ({self.shown.duration(least)} when much evaporates)."
        )
        wants = max(limit.free for limit in rule.seasons.values())
        harmless = min(limit.top for limit in rule.seasons.values())
        if wants > harmless:
            yield (
                f"No size does both: {self.shown.litres(wants)} for {self.found.asked.away} days away, no more than "
                f"{self.shown.litres(harmless)} if all of it is pumped over at one go. Ways out: a large reservoir with a "
                "cap a day and a mark for high water that works without the box; or a small one that is fed in portions "
                "at set times; or the supply shut by hand before you leave, with the reservoir filled up."
            )
        if winter.figures["refilled"]:
            yield (
                "It fills itself: its litres no longer limit what may be pumped over. With the supply shut by hand they "
                "do again."
            )

    def _overflow(self, rule: Ruled) -> Iterator[str]:
        f = max((limit.figures for limit in rule.seasons.values()), key=lambda one: one["stands"])
        if f["wider"] > 1.0:
            yield f"It would have to be {plain(f['wider'])} times as wide."
        else:
            yield f"The water then stands {self.shown.height(f['stands'])} over its lowest point."

    # -- notes ---------------------------------------------------------------------------------------------------------
    def notes(self) -> Section:
        asked = self.found.asked
        told = [
            f"Taken: away for {asked.away} days; somebody measures salinity, and looks, every {self.words.days(asked.measured)}; "
            f"until then salinity may fall by {plain(asked.drop)} ppt; one day's top-off differs from the next by "
            f"{plain(100.0 * asked.varies)} % (common practice, no source, 8 to 30 %). Your own figures: --away, --measured, "
            "--drop, --varies.",
            "What evaporates is reckoned from surface, room air and water unless the file has it; until it is measured, "
            "it may be 1.6 times as much or as little. A week of top-off makes all of this narrower.",
            KEPT_OUT,
        ]
        if self.found.fixed:
            told.append(
                f"For {joined(self.found.fixed)} the file has one figure all the year. By the air of the rooms "
                f"{plain(float(f'{self.found.ratio:.2g}'))} times as much evaporates in winter as in summer: measure in both."
            )
        told.append(
            "Flows, marks and drain-down are those of the plant that runs are made of; pumps are caught in short runs "
            "with the reservoir full and nearly empty. What is not in the file is not counted: a filter sock that clogs, "
            "a return pump that is turned down at night."
        )
        return Section("notes", "How these were got", (Items(tuple(told)),))


PARTS: Final = (model.STOCK, model.OVERFLOW, model.FREEBOARD)  # no settings: parts of the house
FROM: Final = (model.WAIT, model.BAND, model.CALL, model.HIGH_MARK)  # more is no worse, up to what bounds it above
NAMES_TO_SET: Final = {
    model.FILL: "Where a box, a timer or a person ends the fill, end it after",
    model.WINDOW: "Where a timer or a person opens the feed, open it a day for",
    model.HIGH_MARK: "No switch for high water stops what fills it; one would stand at",
}


def _number(text: str) -> float:
    return float(text.split()[0])


__all__ = ("Held", "exit_code", "limits_report")
