"""What to enter for a limit, why, and what would have to change where no value will do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

from dewpond.report.views.limits_changes import change
from dewpond.report.views.limits_values import apart, settable, up_to, value_text, written
from dewpond.report.views.limits_words import Words
from dewpond.report.views.shown import Shown, joined, sentence
from dewpond.study.limits import model
from dewpond.study.limits.model import ABSENT, INSIDE, NUISANCE, OUTSIDE, SUMMER, WINTER, Bound, Limit, Ruled

ALIKE: Final = 0.02  # values of two seasons that differ by less are told as one
ABOVE: Final = " above bottom"
AT_MOST: Final = "at most"  # key of a row, whatever ends its runs
PARTS: Final = (model.STOCK, model.OVERFLOW, model.FREEBOARD)  # no settings: parts of the house
TO_SET: Final = {
    model.FILL: "Where a box, a timer or a person ends the fill, end it after",
    model.WINDOW: "Where a timer or a person opens the feed, open it a day for",
    model.HIGH_MARK: "No switch for high water stops what fills it; one would stand at",
}


def by_season(texts: Mapping[str, str], last: str) -> str:
    """One text where both seasons have the same, else each with its season."""
    if len(set(texts.values())) == 1:
        return next(iter(texts.values()))
    return joined([f"{text} in {season}" for season, text in texts.items()], last)


def worst(rule: Ruled) -> str:
    """How the file's value stands in the season in which it stands worse."""
    order = (OUTSIDE, NUISANCE, INSIDE, ABSENT)
    return min((limit.standing for limit in rule.seasons.values()), key=order.index)


class Advice:
    """Says what to do about a limit."""

    def __init__(self, shown: Shown) -> None:
        self.shown, self.words = shown, Words(shown)

    def value(self, limit: Limit, value: float) -> str:
        """A value of a limit, two digits."""
        return value_text(value, limit.quantity, self.shown)

    def has(self, rule: Ruled) -> str:
        """What the file has."""
        limit = rule.seasons[WINTER]
        if limit.has is None or (rule.what in (model.GAP, model.WAIT) and limit.has == 0.0):
            return "none"
        return "no limit" if math.isinf(limit.has) else value_text(limit.has, limit.quantity, self.shown, 3)

    def advised(self, limit: Limit) -> str:
        """What would be set in one season."""
        return "no value will do" if limit.advised is None else settable(limit, limit.advised, self.shown)

    def advice(self, rule: Ruled, leave: bool = True) -> Iterator[str]:
        """What to enter, and when to change it; or what would have to change. ``leave``: no other limit speaks against
        a value inside its bounds."""
        if rule.clash:
            yield from self.contradictions(rule)
            yield from self.changes(rule)
        elif rule.right_for:
            yield self.for_one_season(rule)
            yield from self._strain(rule)
        elif worst(rule) == INSIDE or self._as_advised(rule):
            stands = "inside" if worst(rule) == INSIDE else "what is advised"
            yield f"The file's {self.has(rule)} is {stands}{': leave it' if leave else ''}."
            yield from self._strain(rule)
        elif rule.what not in PARTS:
            by = written(rule, self.shown)
            if rule.by_season:
                yield (
                    f"{self._no_one(rule)}. {self._entered(rule, by[WINTER])} when the heating goes on, "
                    f"{by[SUMMER]} when it goes off."
                )
            elif by:
                yield f"{self._entered(rule, by[WINTER])}, all the year."
            yield from self._strain(rule)

    def for_one_season(self, rule: Ruled) -> str:
        """A value that is right for one season, and when to change it."""
        other = SUMMER if rule.right_for == WINTER else WINTER
        text = self._entered(rule, written(rule, self.shown)[other])
        return (
            f"The file's {self.has(rule)} is right for {rule.right_for}. {self._no_one(rule)}: "
            f"when the heating goes {'off' if other == SUMMER else 'on'}, {text[0].lower()}{text[1:]}."
        )

    def _no_one(self, rule: Ruled) -> str:
        """Why each season has its own."""
        return "No one value fits both seasons" + ("" if rule.whole.clash else " without a nuisance in one of them")

    def _as_advised(self, rule: Ruled) -> bool:
        """Whether the file has what is advised, but for rounding, and harms nothing."""
        return not rule.by_season and rule.whole.as_advised and not rule.outside

    def contradictions(self, rule: Ruled) -> Iterator[str]:
        """Bounds that leave nothing between them, once for the seasons in which they are the same."""
        told: dict[str, list[str]] = {}
        for season, limit in rule.seasons.items():
            if limit.clash:
                told.setdefault(self._contradiction(limit), []).append(f"in {season}")
        for text, seasons in told.items():
            yield sentence(f"{joined(seasons)} no value will do{text}")

    def _contradiction(self, limit: Limit) -> str:
        low, high = limit.lowest(), limit.highest()
        if low is None:
            return ""
        if high is None or math.isinf(low.value):
            return f": {self.words.bound(low)}"
        least, most = apart(limit, low.value, high.value, self.shown)
        more = ", and a tenth more since no day is like another" if low.value <= high.value else ""
        return (
            f": at least {least}{more}, since {self.words.bound(low)}; but {up_to(most, high.value)}, since "
            f"{self.words.bound(high)}"
        )

    def changes(self, rule: Ruled) -> Iterator[str]:
        """What would have to change in the house, or in what the keeper does."""
        tight = (
            limit.lowest() if math.isinf(limit.least) else limit.highest()
            for limit in rule.seasons.values()
            if limit.clash or limit.free > limit.most
        )
        known = sorted((b for b in tight if b is not None), key=lambda b: -b.figures.get("bears", 0.0))
        ways = dict.fromkeys(
            change(bound) for bound in {b.code: b for b in known}.values()
        )  # the season that bears less
        yield from (f"What would have to change: {way}." for way in ways if way)

    def _strain(self, rule: Ruled) -> Iterator[str]:
        """Bounds of which one costs a nuisance, and no value meets both."""
        tight: dict[str, list[str]] = {}
        for season, limit in rule.seasons.items():
            if limit.free > limit.most:
                free, most = apart(limit, limit.free, limit.most, self.shown)
                text = f"what would cost no nuisance, {free}, lies above what harms nothing, {most}: the harm counts."
                tight.setdefault(text, []).append(f"in {season}")
        for text, seasons in tight.items():
            yield sentence(text if len(seasons) == len(rule.seasons) else f"{joined(seasons)} {text}")
        if tight:
            yield from self.changes(rule)

    def _entered(self, rule: Ruled, text: str) -> str:
        """Where to write a value: the line and the key."""
        entry = rule.entry
        if entry is None:
            return f"{TO_SET.get(rule.what, 'Set')} {text}"
        whose = f" ({entry.part})" if entry.part else ""
        if rule.what == model.BAND:
            return f"Set the two marks in line {entry.line}{whose} {text} apart"
        more = {model.CALL: ABOVE, model.HIGH_MARK: ABOVE}.get(rule.what, "")
        if entry.key == AT_MOST:
            more = " a run"
        better = "Better in" if worst(rule) == NUISANCE else "Write in"
        return f"{better} line {entry.line}{whose}: `{entry.key}: {text}{more}`"

    def reasons(self, rule: Ruled) -> Iterator[str]:
        """Every bound with its formula, its value in both seasons, and whether it binds."""
        winter, summer = rule.seasons[WINTER], rule.seasons[SUMMER]
        for side, ones, others in (("At least", winter.low, summer.low), ("At most", winter.high, summer.high)):
            for k, bound in enumerate(ones):
                other = others[k] if k < len(others) else bound
                if side == "At most" and math.isinf(bound.value) and math.isinf(other.value):
                    continue
                value = self._both(winter, bound, other)
                binds = self._binds(rule, bound, other)
                whose = " (winter's figures)" if self.words.bound(bound) != self.words.bound(other) else ""
                yield f"{side} {value}{binds}: {self.words.bound(bound)}{whose}."

    def _both(self, limit: Limit, bound: Bound, other: Bound) -> str:
        one, two = (self.value(limit, b.value) for b in (bound, other))
        near = one == two or abs(bound.value - other.value) <= ALIKE * max(abs(bound.value), abs(other.value))
        return one if near else f"{one} in winter, {two} in summer"

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
