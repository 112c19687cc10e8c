"""Bounds of limits in words: each formula with the design's own figures put in."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Final

from dewpond.design.checks_top_off import UNSURE
from dewpond.plant.plant import DAY
from dewpond.report.views import limits_counts as counts
from dewpond.report.views.shown import Shown, about, joined, plain
from dewpond.study.limits import model
from dewpond.study.limits.model import Bound

Figures = Mapping[str, float]

NAMES: Final[Mapping[str, str]] = {
    model.RUN: "longest run", model.DAY: "most in a day", model.GAP: "pause between runs",
    model.WAIT: "wait after a restart", model.BAND: "between the two marks", model.CALL: "mark that calls",
    model.HIGH_MARK: "mark for high water", model.FREEBOARD: "from water to rim", model.STOCK: "reservoir, usable",
    model.COUNT: "litres before it trips",
    model.OVERFLOW: "overflow", model.FILL: "timeout of a fill", model.WINDOW: "fill window a day",
}  # fmt: skip


class Words:
    """Says why a limit may not be smaller or larger."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown

    def bound(self, bound: Bound) -> str:
        """The reason of a bound, without its value."""
        if bound.shares:
            return self.wanted_by_all(bound)
        return SAYS[bound.code](self, bound.figures, bound.by)

    def litres(self, volume: float) -> str:
        return self.shown.litres(volume)

    def a_day(self, flow: float) -> str:
        """A slow loss [m3/s]."""
        return f"{self.litres(flow * DAY)} a day"

    def flow(self, flow: float) -> str:
        return self.shown.flow(flow)

    def time(self, seconds: float) -> str:
        return self.shown.duration(seconds)

    def height(self, height: float) -> str:
        return self.shown.height(height)

    def salt(self, salinity: float) -> str:
        return self.shown.salinity(salinity)

    def days(self, days: float) -> str:
        return "1 day" if days == 1.0 else f"{plain(days)} days"

    def given(self, f: Figures) -> str:
        """What a tank under pressure takes of the room."""
        if f.get("gives", 0.0) <= 0.0:
            return ""
        return f" (less {self.litres(f['gives'])} that the pressure tank on the line gives of its own)"

    def no_room(self, f: Figures) -> str:
        """Of a pressure tank that is too large for what is free."""
        return f"does not hold the {self.litres(f['gives'])} that the pressure tank on the line gives of its own"

    # -- a run ---------------------------------------------------------------------------------------------------------
    def a_run(self, f: Figures, _: str) -> str:
        if math.isinf(f["normal"]):
            return (
                f"it brings {self.flow(f['flow'])}, no more than the {self.a_day(f['loses'])} that are lost: its runs "
                "never end"
            )
        used = "are drawn" if f.get("stock") else "evaporate" if f["pumped"] else "are used"
        lost = f", less {self.a_day(f['loses'])} that {used}"
        whence = " from a reservoir that is nearly empty" if f["pumped"] else ""
        return (
            f"an ordinary run brings the {self.litres(f['band'])} between the two marks, at "
            f"{self.flow(f['flow'])}{whence}{lost if f['loses'] > 0.0 else ''}"
        )

    def twice(self, f: Figures, _: str) -> str:
        if not f["pumped"]:
            return f"twice an ordinary fill of {self.time(f['normal'])} (common practice, no source, 1.5 to 2)"
        return f"twice an ordinary run of {self.time(f['normal'])}, so that a pump weakened to half is let through"

    def arrears(self, f: Figures, _: str) -> str:
        if f["flow"] <= f["loses"]:
            return (
                f"it brings {self.flow(f['flow'])}, no more than the {self.a_day(f['loses'])} that evaporate when much "
                "does: it never makes good what a power cut leaves"
            )
        return (
            f"after {self.time(f['without'])} without top-off (a power cut, and the pause or wait after it) it has "
            f"to bring {self.litres(f['owed'])} at once: the {self.litres(f['band'])} between the marks and "
            f"{self.a_day(f['loses'])} that evaporate when much does, at {self.flow(f['flow'])}"
        )

    def rim(self, f: Figures, _: str) -> str:
        if f["space"] <= 0.0 and f["gives"] > 0.0:
            return f"what is free up to the rim {self.no_room(f)}"
        return f"{self.flow(f['flow'])} fill the {self.litres(f['space'])} up to the rim by then{self.given(f)}"

    def drain_down(self, f: Figures, _: str) -> str:
        if f["space"] <= 0.0:
            return (
                f"the {self.litres(f['free'])} up to the rim do not even hold the {self.litres(f['drains'])} that "
                "drain down when the return pump stops"
            )
        return (
            f"{self.flow(f['flow'])} fill the {self.litres(f['space'])} of room by then that are left: "
            f"{self.litres(f['free'])} up to the rim, less {self.litres(f['drains'])} that drain down when the "
            "return pump stops"
        )

    def salt_of_a_run(self, f: Figures, _: str) -> str:
        return (
            f"{self.flow(f['flow'])} bring {self.litres(f['space'])} by then, which takes {self.litres(f['water'])} "
            f"from {self.salt(f['salinity'])} to {self.salt(f['salinity'] - f['drop'])}, the change from which "
            "animals are at risk (common practice, no source)"
        )

    # -- a day ---------------------------------------------------------------------------------------------------------
    def need(self, f: Figures, _: str) -> str:
        who = "what draws from it, and the air, take" if f.get("stock") else "the tank loses"
        return f"{who} {self.litres(f['mean'])} on a mean day; with less it runs short"

    def nuisance(self, f: Figures, _: str) -> str:
        return (
            f"ordinary days exceed it with a chance of 1 % in all the days away: a mean of {self.litres(f['mean'])}, "
            f"one day differing from the next by {self.litres(f['deviation'])}, both as if known from "
            f"{plain(f['logged'])} days"
        )

    def day_after(self, f: Figures, _: str) -> str:
        run = f", and the {self.litres(f['band'])} of one run" if f["band"] > 0.0 else ""
        return f"a mean day, and {self.time(f['cut'])} of power cut that the day before was short of{run}"

    def unseen(self, f: Figures, does: str) -> str:
        """For how long nobody measures or looks, and why."""
        if f["away"]:
            told = f"the {self.days(f['days'])} for which you are away, while nobody {does}"
        else:
            told = f"{self.days(f['days'])}, until somebody {does}"
        return f"{told} ({plain(f['caps'])} caps, since each midnight frees another)"

    def two_caps(self, f: Figures) -> str:
        """Of caps that a midnight parts."""
        waste = f" (here with the waste water, {about(f['counted'])} parts for one)" if f["counted"] > 1.02 else ""
        return f"two caps that a midnight parts may come one right after the other{waste}, and together bring no more"

    def salt_of_days(self, f: Figures, _: str) -> str:
        if f["parted"]:
            return (
                f"{self.two_caps(f)} than the {self.litres(f['fresh'])} that take {self.litres(f['water'])} from "
                f"{self.salt(f['salinity'])} to {self.salt(f['salinity'] - f['drop'])}"
            )
        return (
            f"{self.litres(f['low'])} evaporate even when little does; beyond that {self.litres(f['fresh'])} in "
            f"{self.unseen(f, 'measures')} take {self.litres(f['water'])} from "
            f"{self.salt(f['salinity'])} to {self.salt(f['salinity'] - f['drop'])}"
        )

    def room(self, f: Figures, _: str) -> str:
        spare = max(f["spare"], 0.0)
        if spare <= 0.0 and f["gives"] > 0.0:
            return f"what is free up to the rim {self.no_room(f)}"
        if spare <= 0.0:
            return (
                f"the {self.litres(f['free'])} up to the rim do not even hold the {self.litres(f['drains'])} that "
                "drain down when the return pump stops: there is no room for any water too much"
            )
        less = f", less {self.litres(f['drains'])} that drain down" if f["drains"] > 0.0 else ""
        if f["parted"]:
            up = "" if spare == f["free"] else f" ({self.litres(f['free'])} up to the rim{less}{self.given(f)})"
            return f"{self.two_caps(f)} than the {self.litres(spare)} that are free{up or ' up to the rim'}"
        return (
            f"{self.litres(f['low'])} evaporate even when little does; beyond that {self.litres(spare)} in "
            f"{self.unseen(f, 'looks')} fill what is free: {self.litres(f['free'])} up to the "
            f"rim{less}{self.given(f)}"
        )

    # -- pauses --------------------------------------------------------------------------------------------------------
    def third(self, f: Figures, _: str) -> str:
        return (
            f"a third of the {self.time(f['between'])} from one run to the next ({self.litres(f['band'])} between "
            f"the marks, {self.a_day(f['loses'])} lost): else a contact that chatters, or a box that is re-armed, "
            "undoes the run limit (our prior)"
        )

    def whole(self, f: Figures, _: str) -> str:
        return (
            f"the next run is due after {self.time(f['between'])}: with a longer pause the water stands lower than "
            "meant"
        )

    def starves(self, f: Figures, _: str) -> str:
        return (
            f"runs of {self.time(f['at most'])} at {self.flow(f['flow'])} no longer make good "
            f"{self.a_day(f['loses'])}, when much {'is drawn' if f.get('stock') else 'evaporates'}"
        )

    def dry(self, f: Figures, _: str) -> str:
        return (
            f"{self.litres(f['left'])} above where the return pump draws air are gone by then, at "
            f"{self.a_day(f['loses'])} when much evaporates"
        )

    def settles(self, f: Figures, _: str) -> str:
        return (
            f"{self.litres(f['drains'])} that drained down and {self.litres(f['film'])} held back on baffles (our "
            f"prior) have to be lifted first, at {self.flow(f['returned'])}: until then the water stands too low, "
            "and calls"
        )

    def hold_off(self, f: Figures, _: str) -> str:
        return (
            f"three times the {self.time(f['settles'])} in which the water settles, and at least 5 min (common "
            "practice, no source)"
        )

    # -- marks ---------------------------------------------------------------------------------------------------------
    def ripples(self, _f: Figures, _: str) -> str:
        return "ripples go from one mark to the other (common practice, no source)"

    def waves(self, _f: Figures, _: str) -> str:
        waves = f"{self.height(2e-3)} to {self.height(6e-3)}"
        return f"waves go from one mark to the other, and start and stop the pump (our prior, {waves})"

    def half_room(self, f: Figures, _: str) -> str:
        return (
            f"then twice an ordinary run, its limit, brings {self.litres(f['space'])}, all that rim and salinity "
            "bear beyond the upper mark"
        )

    def dry_at_rest(self, f: Figures, _: str) -> str:
        if f["without"] <= 0.0:
            return f"the return pump draws air below {self.height(f['dry'])}"
        return (
            f"the return pump draws air below {self.height(f['dry'])}, and {self.litres(f['lost'])} are lost while "
            f"the pump rests for {self.time(f['without'])}"
        )

    def dry_in_cut(self, f: Figures, _: str) -> str:
        return (
            f"after {self.time(f['without'])} without top-off {self.litres(f['lost'])} are lost, and the return pump "
            f"draws air below {self.height(f['dry'])}"
        )

    def below_upper(self, f: Figures, _: str) -> str:
        return f"it must lie below the upper mark at {self.height(f['upper'])}"

    def above_water(self, f: Figures, _: str) -> str:
        return (
            f"the water usually stands at {self.height(f['stands'])} at most; a mark is unsure by {self.height(UNSURE)}"
        )

    def above_drained(self, f: Figures, _: str) -> str:
        return (
            f"{self.litres(f['drains'])} that drain down raise the water to {self.height(f['risen'])} each time the "
            "return pump stops: a lower mark reports that as high water"
        )

    def below_rim(self, f: Figures, _: str) -> str:
        return f"the rim lies at {self.height(f['rim'])}"

    def room_to_drain(self, f: Figures, _: str) -> str:
        return (
            f"from there the {self.litres(f['drains'])} that drain down when the return pump stops just stay below "
            f"the rim at {self.height(f['rim'])}"
        )

    def drains(self, f: Figures, _: str) -> str:
        return (
            f"so much of the height is taken by the {self.litres(f['drains'])} that drain down when the return pump "
            "stops"
        )

    def drains_and_run(self, f: Figures, _: str) -> str:
        return (
            f"the same with the {self.litres(f['brings'])} before it that one run brings when it lasts up to its limit"
        )

    # -- a reservoir ---------------------------------------------------------------------------------------------------
    def days_away(self, f: Figures, _: str) -> str:
        return (
            f"{self.days(f['days'])} at {self.litres(f['mean'])}, and for a chance of 1 % that it runs out "
            f"{self.litres(2.33 * f['spread'])} more, since dry days come in rows"
        )

    def dumped_salt(self, f: Figures, by: str) -> str:
        return f"pumped into {by} at one go, more lowers its salinity by over {plain(f['drop'])} ppt"

    def dumped_room(self, f: Figures, by: str) -> str:
        when = ", at the latest when the return pump stops" if f["drains"] > 0.0 else ""
        return f"pumped into {by} at one go, more comes over the rim{when}"

    def rim_of_run(self, f: Figures, _: str) -> str:
        return (
            f"{self.flow(f['flow'])} fill the {self.litres(f['space'])} from the mark that calls up to the rim by then"
        )

    def rim_when_full(self, f: Figures, _: str) -> str:
        return (
            f"called by a false mark when it is full already, {self.flow(f['flow'])} fill the "
            f"{self.litres(f['space'])} up to the rim by then: past this only a switch for high water stops it"
        )

    def whole_run(self, f: Figures, _: str) -> str:
        return f"one run brings the {self.litres(f['band'])} between the two marks at once"

    def rim_in_a_day(self, f: Figures, _: str) -> str:
        return (
            f"{self.litres(f['low'])} are drawn even when little is; beyond that {self.litres(f['space'])} from the "
            "mark that calls up to the rim are filled within the day; on the next day only a switch for high water "
            "stops it"
        )

    def as_a_run(self, f: Figures, _: str) -> str:
        return (
            f"as long as a run of {self.time(f['lasts'])}: else a contact that chatters, or a box that is re-armed, "
            "undoes the run limit (our prior)"
        )

    def drawn_in_pause(self, f: Figures, _: str) -> str:
        return (
            f"{self.litres(f['wants'])} are drawn in the pause of {self.time(f['between runs'])} between two runs, at "
            f"{self.a_day(f['loses'])} when much is drawn: a run brings no less"
        )

    def inlet_to_rim(self, f: Figures, _: str) -> str:
        return (
            f"what draws from it draws air below {self.height(f['dry'])}, and the rim lies at {self.height(f['rim'])}"
        )

    def inlet_in_pause(self, f: Figures, _: str) -> str:
        lost = f", and {self.litres(f['lost'])} are drawn in the pause between two runs" if f["lost"] > 0.0 else ""
        return f"what draws from it draws air below {self.height(f['dry'])}{lost}"

    def worst(self, _: Figures, by: str) -> str:
        how = f" and “{by}”" if by else ""
        return f"the worst that may come, with what should shut it stuck open{how}"

    def a_fill(self, f: Figures, _: str) -> str:
        return f"{self.litres(f['volume'])} from empty at {self.flow(f['flow'])}"

    def slow_fill(self, f: Figures, _: str) -> str:
        return f"one and a half times the slowest fill, {self.time(f['slowest'])} (common practice, no source)"

    def twice_slow(self, f: Figures, _: str) -> str:
        return f"twice the slowest fill, {self.time(f['slowest'])} (common practice, no source)"

    def rim_of_fill(self, f: Figures, _: str) -> str:
        return (
            f"{self.flow(f['flow'])} fill all {self.litres(f['holds'])} up to the rim by then{self.given(f)}, and it "
            "has no overflow"
        )

    def wanted(self, f: Figures, _: str) -> str:
        return f"{self.litres(f['wanted'])} for the day at {self.flow(f['flow'])}"

    def wanted_by_all(self, bound: Bound) -> str:
        """Of vessels that share one line."""
        each = joined([f"{self.litres(wanted)} for {vessel}" for vessel, wanted in bound.shares.items()])
        flow = self.flow(bound.figures["flow"])
        return f"{each}, one after the other at {flow}: they share one line, so the times add"

    def above_float(self, f: Figures, by: str) -> str:
        if f["space"] <= 0.0 and f["gives"] > 0.0:
            return (
                f"what {by} has free above its float {self.no_room(f)}: should the float stick, it runs over however "
                "short the window is"
            )
        return (
            f"{self.flow(f['flow'])} fill the {self.litres(f['space'])} from a full {by} up to its rim by then"
            f"{self.given(f)}, should its float stick"
        )


SAYS: Final[Mapping[str, Callable[[Words, Figures, str], str]]] = {
    "a run": Words.a_run, "twice a run": Words.twice, "arrears": Words.arrears, "rim": Words.rim,
    "drain-down": Words.drain_down, "salt of a run": Words.salt_of_a_run, "need": Words.need,
    "nuisance": Words.nuisance, "day after a cut": Words.day_after, "salt of days": Words.salt_of_days,
    "space": Words.room, "third of the pause": Words.third, "whole pause": Words.whole, "starves": Words.starves,
    "dry": Words.dry, "settles": Words.settles, "hold-off": Words.hold_off, "dry before": Words.dry,
    "ripples": Words.ripples, "waves": Words.waves, "half of the room": Words.half_room,
    "dry at a rest": Words.dry_at_rest, "dry in a cut": Words.dry_in_cut, "ripples below": Words.below_upper,
    "waves below": Words.below_upper, "above the water": Words.above_water,
    "above what drains down": Words.above_drained, "below the rim": Words.below_rim,
    "room to drain down": Words.room_to_drain, "drains down": Words.drains,
    "drains after a run": Words.drains_and_run, "days away": Words.days_away, "dumped salt": Words.dumped_salt,
    "dumped room": Words.dumped_room, "worst inflow": Words.worst, "a fill": Words.a_fill,
    "slow fill": Words.slow_fill, "twice a slow fill": Words.twice_slow, "rim of a fill": Words.rim_of_fill,
    "wanted in a day": Words.wanted, "room above the float": Words.above_float,
    "rim of a run": Words.rim_of_run, "rim when full": Words.rim_when_full, "a whole run": Words.whole_run,
    "rim in a day": Words.rim_in_a_day, "as long as a run": Words.as_a_run, "drawn in a pause": Words.drawn_in_pause,
    "ordinary count": counts.ordinary, "margin of a count": counts.margin, "empty count": counts.empty,
    "rim of a count": counts.rim,
    "inlet to rim": Words.inlet_to_rim, "inlet in a pause": Words.inlet_in_pause,
}  # fmt: skip
