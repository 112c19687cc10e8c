"""What a limit costs: runs and days that are refused although nothing is wrong, and what it lets through."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

from dewpond import units
from dewpond.design.model import cause_text
from dewpond.design.rows import RE_ARMED
from dewpond.report.views.limits_advice import ALIKE, by_season
from dewpond.report.views.limits_values import settable, times, value_text, written
from dewpond.report.views.shown import Shown, count, joined, plain
from dewpond.study.limits import caps, model, runs
from dewpond.study.limits.limits import Fed
from dewpond.study.limits.model import SUMMER, WINTER, Limit, Need, Ruled

HALF: Final = 0.5  # of a year, for each season
HALF_ONCE: Final = 0.5  # fewer are none
NEVER: Final = "never"


class Costs:
    """Says what a limit costs."""

    def __init__(self, shown: Shown, asked: model.Asked) -> None:
        self.shown, self.asked = shown, asked

    def of(self, rule: Ruled, one: Fed | None) -> Iterator[str]:
        """All that is told of one limit; ``one``: the pump or valve that it is of, if it is of one."""
        if one is not None and rule.what == model.RUN:
            yield from self._run_costs(rule, one)
        elif one is not None and rule.what == model.DAY:
            yield from self._day_costs(rule, one)
        elif rule.what == model.WAIT:
            yield from self._wait_costs(rule)
        elif rule.what == model.BAND:
            often = {s: f"{times(self._number_of(limit.figures['runs']))} a day" for s, limit in rule.seasons.items()}
            brings = rule.seasons[WINTER].figures["band"]
            yield f"A run brings {self.shown.litres(brings)}; it comes about {by_season(often, 'and')}."
        elif rule.what == model.CALL:
            lasts = {s: self.shown.duration(limit.figures["lasts"]) for s, limit in rule.seasons.items()}
            stock = rule.seasons[WINTER].figures.get("stock")
            who, much = ("what draws from it", "is drawn") if stock else ("the return pump", "evaporates")
            yield (
                f"Below this mark, with the {'pump' if stock else 'top-off'} locked, {who} draws air after "
                f"{by_season(lasts, 'and')}, when much {much}: a lock is not harmless, and its message must be heard."
            )
        elif rule.what == model.STOCK:
            yield from self._stock(rule)
        elif rule.what == model.OVERFLOW:
            yield from self._overflow(rule)
        elif rule.what == model.COUNT:
            yield self._count(rule)
        elif rule.what == model.FREEBOARD:
            f = rule.seasons[WINTER].figures
            yield f"{self.shown.litres(f['free'])} fit above the water; {self._spare(f['spare'])}."

    def _count(self, rule: Ruled) -> str:
        """What puts a count back, and what it lets through first."""
        f, has = rule.seasons[WINTER].figures, rule.seasons[WINTER].has or 0.0
        back = (
            "Its count goes on until somebody puts it back" if f["hand"]
            else "Its count begins anew once nothing has run for a while" if f["drawn"]
            else "Its count begins anew at midnight"
        )  # fmt: skip
        if not f["acts"]:
            return f"{back}. It shuts nothing: it tells, at most."
        told = f"{back}. What comes off behind it puts up to {self.shown.litres(has)} on a floor before it acts."
        if not rule.clash and any(limit.figures["empty"] > limit.most for limit in rule.seasons.values()):
            told += (
                " After an absence, with what it fills empty, it trips in the midst of the fill, for no litres do for "
                "both: re-arm it then."
            )
        return told

    def _spare(self, spare: float) -> str:
        if spare <= 0.0:
            return "what drains down takes all of it, and more"
        return f"{self.shown.litres(spare)} of them are left once the tank has drained down"

    def _run_costs(self, rule: Ruled, one: Fed) -> Iterator[str]:
        feed, row = one.feed, one.feed.row
        limit = rule.seasons[WINTER]
        at = _set(rule, limit)
        if at is None:
            return
        whose = "in the file" if limit.has == at else "advised"
        brings = at * feed.strong
        told = (
            f"With the {value_text(at, 'duration', self.shown)} {whose} a stuck run brings {self.shown.litres(brings)}"
        )
        if feed.basin.salinity > 0.0:
            told += f", and takes {feed.basin.name} to {self.shown.salinity(feed.basin.salinity_after(brings))}"
        yield f"{told}."
        if feed.low is not None and feed.pumped:
            yield self._after_a_cut(rule, one, at)
        yield from self._cap_ends_it(rule, one)
        if feed.low is not None and feed.basin.circulation and feed.low.store != feed.basin.chamber:
            yield (
                f"{feed.low.sensor} does not stand where the return pump draws: when that pump stops, "
                f"{self.shown.litres(feed.basin.drains_down)} drain down past it, and it calls for water that is not "
                "missing. Put it into the return chamber."
            )
        if feed.pumped and (row.too_long is None or row.too_long.until != RE_ARMED or not row.too_long.tell):
            yield (
                "A run that is too long should lock the pump and tell somebody: `when a run is too long` with "
                "`until: re-armed by hand` and `tell`."
            )

    def cap_first(self, one: Fed | None) -> dict[str, float]:
        """After how long the cap of a day ends a run that its own limit would let go on [s], by season; none elsewhere.
        What the file has counts, or else what is advised."""
        rules = {rule.what: rule for rule in one.rules} if one is not None else {}
        found = {}
        if one is not None and {model.RUN, model.DAY} <= set(rules):
            if any(rules[what].clash and not _is_set(rules[what]) for what in (model.RUN, model.DAY)):
                return {}
            for season, feed in one.feeds.items():
                lasts, cap = (_set(rules[what], rules[what].seasons[season]) for what in (model.RUN, model.DAY))
                if lasts and cap and lasts * feed.strong * feed.counted > cap:
                    found[season] = cap / (feed.strong * feed.counted)
        return found

    def _cap_ends_it(self, rule: Ruled, one: Fed) -> Iterator[str]:
        """The cap that comes before the run limit tells nobody: a shorter run limit, or a row that tells."""
        first = self.cap_first(one)
        if not first:
            return
        yield (
            f"The cap of a day comes first: it ends a stuck run after {self._seasons(first, 'duration')}. Then nothing "
            "locks and nobody is told, and at midnight it begins anew: a cap has no message of its own."
        )
        whole, row = rule.whole, one.feed.row
        if not rule.clash and not whole.clash and whole.advised is not None:
            text = settable(whole, whole.advised, self.shown)
            if whole.free <= whole.most and units.parse(text, "duration") < min(first.values()):
                yield (
                    f"A run limit that comes before the cap costs no nuisance: `at most: {text} a run` in line "
                    f"{row.line}, which then locks and tells."
                )
                return
        pause = max(one.wait, row.gap or 0.0, row.lasting) + (_set(rule, rule.seasons[WINTER]) or 0.0)
        hours = math.floor(pause / 3600.0) + 1
        yield (
            "No run limit below the cap is free of nuisance. So let a row of its own tell, for instance `- {cause: "
            f"{cause_text(row.cause)}, lasting: {hours} h, effect: {{}}, tell: {self._message(one)}}}`: longer than an "
            "ordinary run and the pause before it. It tells of ordinary days that the cap refuses, too."
        )

    def _message(self, one: Fed) -> str:
        """The message of the row, or else a place for its name."""
        row = one.feed.row
        told = row.too_long.tell if row.too_long is not None else row.tell
        return told or "NAME OF A MESSAGE"

    def _after_a_cut(self, rule: Ruled, one: Fed, at: float) -> str:
        """Which runs a limit ends although nothing is wrong."""
        if any(at < limit.least for limit in rule.seasons.values()):
            return "An ordinary run takes longer than that: each one is ended."
        cuts = {s: runs.longest_cut(one.feeds[s], need, at, one.wait) for s, need in one.needs.items()}
        if math.isinf(max(cuts.values())):
            return "No ordinary run trips it."
        if not any(cuts.values()):
            return "No ordinary run trips it, but the run after any power cut may."
        return (
            f"No ordinary run trips it, but the run after a power cut of more than {self._seasons(cuts, 'duration')} "
            "does."
        )

    def _seasons(self, values: Mapping[str, float], quantity: str) -> str:
        texts = {s: value_text(v, quantity, self.shown) if v < math.inf else "any length" for s, v in values.items()}
        return by_season(texts, "or")

    def _number_of(self, number: float) -> str:
        return self.shown.count_of(number) if number >= 1.0 else plain(float(f"{number:.1g}"))

    def _day_costs(self, rule: Ruled, one: Fed) -> Iterator[str]:
        limit = rule.seasons[WINTER]
        has = limit.has if limit.has is not None and math.isfinite(limit.has) else None
        counted = one.feed.counted
        texts = {} if has is None else dict.fromkeys(rule.seasons, value_text(has, "volume", self.shown, 3))
        for whose, caps_ in (("the file's", texts), ("the advised", written(rule, self.shown))):
            if whose == "the advised" and has is not None and caps_ == texts:
                continue
            told = {
                f"the {s} half of the year": self._trips(units.parse(text, "volume") / counted, one.needs[s])
                for s, text in caps_.items()
                if one.needs[s].mean > 0.0
            }
            if not told:
                continue
            cap = f"With {whose} {self._caps(caps_, len(rule.seasons))}"
            if set(told.values()) == {NEVER}:
                when = f" in {joined(list(told))}" if len(told) < len(rule.seasons) else ""
                yield f"{cap} no ordinary top-off is refused{when}."
            else:
                yield f"{cap} ordinary top-off is refused until midnight {self._each_half(told)}."
        yield from self._refused(rule, one)
        if counted > 1.0 + ALIKE:
            parts = plain(float(f"{counted:.2g}"))
            yield f"The box counts {parts} parts for one that arrives, the waste among them; so do these figures."
        yield from self._dilution(rule, one)

    def _refused(self, rule: Ruled, one: Fed) -> Iterator[str]:
        """What a refused day costs."""
        short = {}
        for season, need in one.needs.items():
            cap = _set(rule, rule.seasons[season])
            if cap is not None and cap / one.feed.counted < need.mean:
                short[season] = f"{self.shown.litres(need.mean - cap / one.feed.counted)} a day"
        if short:
            yield (
                f"Below the mean need every day is refused, and what is missing adds up: {by_season(short, 'and')}, "
                "until the water is too low."
            )
        elif any(_set(rule, limit) is not None for limit in rule.seasons.values()):
            yield "A refused day costs little, for it ends at midnight."
        else:
            return
        if self.cap_first(one):
            yield "Do not lock it, but let it be told: see the longest run."
        elif any(other.what == model.RUN for other in one.rules):
            yield "Do not lock it; the run limit is what locks and tells."

    def _caps(self, texts: Mapping[str, str], seasons: int) -> str:
        """The caps that a count is for."""
        if len(texts) == seasons:
            return f"cap of {by_season(texts, 'and')}"
        return f"cap of {joined([f'{text} in {season}' for season, text in texts.items()])}"

    def _each_half(self, told: Mapping[str, str]) -> str:
        if len(told) > 1 and len(set(told.values())) == 1:
            return f"{next(iter(told.values()))} in each half of the year"
        return joined([f"{text} in {half}" for half, text in told.items()])

    def _trips(self, cap: float, need: Need) -> str:
        """Days of a half year on which a cap is reached: at the mean, and over what the mean may be."""

        def often(mean: float) -> float:
            return HALF * caps.trips_a_year(cap, mean, need.deviation * mean / need.mean, self.asked.logged)

        if need.deviation <= 0.0:
            return NEVER if cap >= need.mean else "every day"
        usual = self._often(often(need.mean))
        about = usual if usual == NEVER else f"about {usual}"
        if need.known:
            return about
        least, most = self._often(often(need.low)), self._often(often(need.high))
        return about if least == most else f"{about} ({least} to {most})"

    def _often(self, number: float) -> str:
        if number < HALF_ONCE:
            return NEVER
        return times(self.shown.count_of(number))

    def _dilution(self, rule: Ruled, one: Fed) -> Iterator[str]:
        """The salinity of a pump that brings the cap every day."""
        limit = rule.seasons[SUMMER]
        feed, need = one.feeds[SUMMER], one.needs[SUMMER]
        if feed.basin.salinity <= 0.0:
            return
        cap = _set(rule, limit)
        if cap is None:
            return
        text = self.shown.litres(cap) if _is_set(rule) else written(rule, self.shown)[SUMMER]
        after = [
            f"{self.shown.salinity(caps.salinity_at_cap(feed, need, cap, days))} after {count(days, 'day')}"
            for days in caps.TOLD_AFTER
        ]
        yield (
            f"A leak or a false mark that brings {text} every day in summer, when as little as "
            f"{self.shown.litres(need.low)} evaporate, never trips it, and takes {feed.basin.name} to "
            f"{joined(after)}."
        )

    def _wait_costs(self, rule: Ruled) -> Iterator[str]:
        f = rule.seasons[WINTER].figures
        longest = max(f["gap"], f["lasting"])
        if longest > f["wait"]:
            what = "pause between runs" if f["gap"] >= f["lasting"] else "`lasting`"
            yield (
                f"The box itself waits {self.shown.duration(f['wait']) if f['wait'] > 0.0 else 'not at all'}; the "
                f"row's {what} of {self.shown.duration(longest)} begins anew with its start, and does the same."
            )

    def _stock(self, rule: Ruled) -> Iterator[str]:
        winter = rule.seasons[WINTER]
        has = winter.has or 0.0
        lasts = {s: limit.figures["lasts"] for s, limit in rule.seasons.items()}
        least = winter.figures["lasts least"]
        yield (
            f"It gives {self.shown.litres(has)}, which last {self._seasons(lasts, 'duration')} "
            f"({self.shown.duration(least)} when much evaporates)."
        )
        wants = max(limit.free for limit in rule.seasons.values())
        harmless = min(limit.top for limit in rule.seasons.values())
        if wants > harmless:
            yield (
                f"No size does both: {self.shown.litres(wants)} for {self.asked.away} days away, no more than "
                f"{self.shown.litres(harmless)} if all of it is pumped over at one go. Ways out: a large reservoir "
                "with a cap a day and a mark for high water that works without the box; or a small one that is fed "
                "in portions at set times; or the supply shut by hand before you leave, with the reservoir filled "
                "up."
            )
        if winter.figures["refilled"]:
            yield (
                "It fills itself: its litres no longer limit what may be pumped over. With the supply shut by hand "
                "they do again."
            )

    def _overflow(self, rule: Ruled) -> Iterator[str]:
        f = max((limit.figures for limit in rule.seasons.values()), key=lambda one: one["stands"])
        if f["wider"] > 1.0:
            yield f"It would have to be {plain(f['wider'])} times as wide."
        else:
            yield f"The water then stands {self.shown.height(f['stands'])} over its lowest point."


def _is_set(rule: Ruled) -> bool:
    """Whether the file has a value."""
    return any(limit.has is not None and math.isfinite(limit.has) for limit in rule.seasons.values())


def _set(rule: Ruled, limit: Limit) -> float | None:
    """What the file has, or else what would be advised."""
    if limit.has is not None and math.isfinite(limit.has):
        return limit.has
    return next(rule.told(season).advised for season, one in rule.seasons.items() if one is limit)
