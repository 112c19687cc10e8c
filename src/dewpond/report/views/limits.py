"""Limits that protect: what to set, why, what the file has, and where no value will do."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from dewpond.errors import FINDINGS, FINE, Finding
from dewpond.physics.series import AT_95
from dewpond.report.views import findings
from dewpond.report.views.blocks import Block, Grid, Items, Notice, Report, Section, Text
from dewpond.report.views.limits_advice import PARTS, Advice, by_season, worst
from dewpond.report.views.limits_costs import Costs
from dewpond.report.views.limits_values import settable, up_to, value_text
from dewpond.report.views.limits_words import NAMES
from dewpond.report.views.shown import NOTHING, Shown, about, count, joined, plain, sentence, shown_in
from dewpond.study.limits import model
from dewpond.study.limits.limits import Fed, Limits
from dewpond.study.limits.model import ABSENT, INSIDE, NUISANCE, OUTSIDE, SUMMER, WINTER, Asked, Limit, Need, Ruled
from dewpond.study.year.model import LOG

STANDINGS: Final = {OUTSIDE: "outside", NUISANCE: "inside, see below", INSIDE: "inside", ABSENT: NOTHING}
PAST_SOFT: Final = {
    "small": "too small, see below", "large": "too large, see below", "both": "too small and too large, see below",
}  # fmt: skip
FROM: Final = (model.WAIT, model.BAND, model.CALL, model.HIGH_MARK)  # more is no worse, up to what bounds it above
RECKONED: Final = "What evaporates is reckoned from surface, room air and water unless the file has it"
NOTHING_MEASURED: Final = (
    "; until it is measured, it may be 1.6 times as much or as little. A week of top-off makes all of this narrower."
)
NOTES: Final = (
    (
        "No limit here follows what was dosed lately, and none should: a slow leak would teach the cap to allow "
        "itself. "
        "Change a limit by your own hand, when the heating goes on and when it goes off, and after a month of your own "
        "figures."
    ),
    (
        "Flows, marks and drain-down are those of the plant that runs are made of; pumps are caught in short runs "
        "with the reservoir full and nearly empty. What is not in the file is not counted: a filter sock that clogs, "
        "a return pump that is turned down at night."
    ),
)


def exit_code(found: Limits) -> int:
    """1 where a limit in the file lies outside its bounds."""
    return FINDINGS if found.outside else FINE


def limits_report(found: Limits, fills: Sequence[Finding] = ()) -> Report:
    """The whole answer; ``fills``: what its fills showed, said before all else."""
    shown = shown_in(found.design.shown_in)
    view = _View(found, shown)
    act = [Section("fills", "What fills and readings show", findings.notices(fills))] if fills else []
    sections = [*act, *view.first(), *view.fed(), *view.held(), view.notes()]
    return Report(found.design.title, f"Limits that protect, of {found.design.file}", tuple(sections))


class _View:
    def __init__(self, found: Limits, shown: Shown) -> None:
        self.found, self.shown = found, shown
        self.advice, self.costs = Advice(shown), Costs(shown, found.asked)

    def first(self) -> Iterator[Section]:
        """What to act on."""
        notices = [self._notice(rule) for rule in self.found.outside]
        notices += [self._clash(rule) for rule in self.found.rules if not rule.outside and rule.clash]
        turns = [rule for rule in self.found.rules if rule.right_for]
        notices += [
            Notice("note", "limit-season", self._where(rule), self.advice.for_one_season(rule), "") for rule in turns
        ]
        if notices:
            yield Section("findings", "What to act on", tuple(notices))
            return
        said = "The file has nothing that is pumped or filled."
        if self.found.rules:
            said = f"Of {count(len(self.found.rules), 'limit')} looked at, none in the file lies outside its bounds."
        yield Section("findings", "What to act on", (Text(said),))

    def _notice(self, rule: Ruled) -> Notice:
        """A value of the file that lies outside."""
        if rule.clash:
            said = f"The file has {self.advice.has(rule)}, and no value will do."
            return Notice("warning", "limit-outside", self._where(rule), said, " ".join(self.advice.advice(rule)))
        told: dict[str, str] = {}
        for season, limit in rule.seasons.items():
            has = limit.has
            if limit.standing != OUTSIDE or has is None:
                continue
            bound = limit.lowest() if has < limit.least else limit.highest()
            if bound is not None:
                text = self.advice.value(limit, bound.value)
                said = f"at least {text}" if has < limit.least else up_to(text, bound.value)
                told[season] = said if said in "".join(told.values()) else f"{said}: {self.advice.words.bound(bound)}"
        if len(told) > 1 and told[WINTER].startswith(told[SUMMER]):
            told = {f"{WINTER} and in {SUMMER}": told[WINTER]}
        texts = [f"The file has {self.advice.has(rule)}.", *(f"In {season} {text}." for season, text in told.items())]
        return Notice(
            "warning", "limit-outside", self._where(rule), " ".join(texts), " ".join(self.advice.advice(rule))
        )

    def _clash(self, rule: Ruled) -> Notice:
        """Bounds that no value satisfies, of something that the file does not set."""
        told, change = (" ".join(texts) for texts in (self.advice.contradictions(rule), self.advice.changes(rule)))
        return Notice("note", "limit-clash", self._where(rule), told, change)

    def _where(self, rule: Ruled) -> str:
        line = f", line {rule.entry.line}" if rule.entry is not None and rule.entry.line else ""
        return f"{rule.subject}: {NAMES[rule.what]}{line}"

    # -- what the matrix starts ----------------------------------------------------------------------------------------
    def fed(self) -> Iterator[Section]:
        for number, one in enumerate(self.found.fed, 1):
            feed = one.feed
            vessel = joined([feed.basin.plant.stores[store] for _, store in feed.fills])
            blocks = (Text(self._lead(one), "lead"), self._grid(one.rules), *self._each(one.rules, one))
            named = feed.row.id if feed.row.id.startswith("row ") else f"row {feed.row.id}"
            yield Section(f"feed-{number}", f"{feed.part} into {vessel} ({named})", blocks)

    def _lead(self, one: Fed) -> str:
        feed = one.feed
        every = [flow for each in one.feeds.values() for flow in (each.weak, each.strong)]
        least, most = (self.shown.flow(flow, max(every)) for flow in (min(every), max(every)))
        gives = most if least == most else f"{least} to {most}"
        lost = {season: f"{self._need(need)} a day" for season, need in one.needs.items() if need.mean > 0.0}
        told = f"It brings {gives}. "
        if lost:
            known = "measured" if all(need.known for need in one.needs.values()) else "reckoned, not measured"
            if self._measured() and feed.basin.tank:
                says = "says" if len(self._measured()) == 1 else "say"
                known = f"reckoned, and moved towards what {joined(self._measured())} {says}"
            names = list(dict.fromkeys(basin.name for basin, _ in feed.fills))
            told += f"{joined(names)} {'wants' if len(names) == 1 else 'want'} {by_season(lost, 'and')} ({known})."
        else:
            told += f"Nothing is known to be lost from {feed.basin.name}."
        if one.beside:
            told += f" {joined(one.beside)} bring water into it as well: the most of a day is for all of them together."
        return told

    def _measured(self) -> tuple[str, ...]:
        """What was measured and counts."""
        known = self.found.calibration
        if known is None:
            return ()
        return tuple("the log" if one.sort == LOG else f"the ruler in {one.of}" for one in known.evidence)

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
                cells = [self.advice.advised(rule.seasons[s]) for s in (WINTER, SUMMER)]
            rows.append((NAMES[rule.what], *cells, self._range(rule), self.advice.has(rule), self._standing(rule)))
        head = ("limit", "in winter", "in summer", "all the year", "the file has", "which is")
        return Grid("What to set, and what may be set all the year", head, tuple(rows))

    def _standing(self, rule: Ruled) -> str:
        if rule.right_for:
            return f"right for {rule.right_for}"
        known = [limit for limit in rule.seasons.values() if limit.has is not None]
        if worst(rule) != NUISANCE or any(limit.least > 0.0 or limit.most < math.inf for limit in known):
            return STANDINGS[worst(rule)]
        # all its bounds are soft: a value past one of them lies inside nothing
        small = any((limit.has or 0.0) < limit.free for limit in known)
        large = any((limit.has or 0.0) > limit.top for limit in known)
        return PAST_SOFT["both" if small and large else "small" if small else "large"]

    def _from(self, limit: Limit) -> str:
        return "no value will do" if limit.advised is None else f"from {settable(limit, limit.advised, self.shown)}"

    def _asks(self, limit: Limit) -> str:
        return value_text(limit.free, limit.quantity, self.shown)

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
            leave = rule.what != model.RUN or not self.costs.cap_first(one)
            advice = self.advice.advice(rule, leave)
            told = [f"{sentence(NAMES[rule.what])[:-1]}.", *advice, *self.costs.of(rule, one)]
            yield Text(" ".join(told))
            yield Items(tuple(self.advice.reasons(rule)))

    def held(self) -> Iterator[Section]:
        for number, one in enumerate(self.found.held, 1):
            yield Section(f"vessel-{number}", one.vessel, (self._grid(one.rules), *self._each(one.rules, None)))

    def _calibrated(self) -> Iterator[str]:
        """What rulers and a log made of the estimate."""
        known = self.found.calibration
        if known is None:
            return
        if not known.evidence:
            yield "What was measured says nothing here and is not counted: `dewpond year` tells why."
            return
        off = math.exp(AT_95 * known.spread)
        each = [f"{tank} {about(factor)}" for tank, factor in zip(known.tanks, known.factors, strict=True)]
        by_tank = f" Tanks may differ: taken are {joined(each)} times." if known.told_apart else ""
        yield (
            f"Of what was measured {joined(self._measured())} {'is' if len(self._measured()) == 1 else 'are'} counted, "
            "as in `dewpond year`: in both seasons "
            f"{plain(float(f'{known.factor:.2g}'))} times what is reckoned evaporates, and it may be "
            f"{plain(float(f'{off:.2g}'))} times as much or as little as that.{by_tank}"
        )

    def _scatter(self) -> str:
        """Where the figure for one day and the next comes from."""
        asked = self.found.asked
        if asked.logged != Asked.logged:
            return f"(from {count(asked.logged, 'figure')} of the log)"
        return "(common practice, no source, 8 to 30 %)" if asked.varies == Asked.varies else "(yours)"

    def notes(self) -> Section:
        """What was taken, and what is not known."""
        asked = self.found.asked
        taken = (
            f"Taken: away for {asked.away} days; somebody measures salinity, and looks, every {plain(asked.measured)} "
            f"days when you are at home, and nobody does while you are away: {plain(asked.unseen)} days at the "
            f"longest; until then salinity may fall by {plain(asked.drop)} ppt; one day's top-off differs from the "
            f"next by {plain(float(f'{100.0 * asked.varies:.2g}'))} % {self._scatter()}. Your own figures: --away, "
            "--measured, --drop, --varies."
        )
        told = [taken, *self._calibrated()]
        if self.found.fixed:
            ratio = plain(float(f"{self.found.ratio:.2g}"))
            told.append(
                f"For {joined(self.found.fixed)} the file has one figure all the year. By the air of the rooms {ratio} "
                "times as much evaporates in winter as in summer: measure in both."
            )
        known = all(need.known for one in self.found.fed for need in one.needs.values())
        reckoned = RECKONED + ("." if known or self._measured() else NOTHING_MEASURED)
        return Section("notes", "How these were got", (Items((*told, reckoned, *NOTES)),))
