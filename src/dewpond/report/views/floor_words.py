"""What a leak comes to on a floor, as sentences: counts of floors, litres, and what comes first."""

from __future__ import annotations

import math
from collections.abc import Iterator

from dewpond.floor.storey import DRAIN, OPENING, WayOut
from dewpond.floor.wetting import Spread
from dewpond.report.views.shown import NOTHING, Shown, joined, sentence
from dewpond.study.spills import PROBE, WAY_OUT, Reached, Spill, Spilled

FEW = 50e-6  # litres below which a run of a cell's width tells no more than that it is soon wet; our prior [m3]
HALF, ALL = 0.5 - 1e-9, 1.0 - 1e-9  # shares of the floors, but for rounding


class Words:
    """For one storey."""

    def __init__(self, found: Spilled, shown: Shown) -> None:
        self.found, self.shown = found, shown
        self.floors = len(found.looked.fitted.floors)
        self.read = found.looked.fitted.read > 0 or found.looked.poured is not None

    # -- counts --------------------------------------------------------------------------------------------------------
    def of(self, share: float) -> str:
        """ "17 of 20"."""
        return f"{round(share * self.floors)} of {self.floors}"

    def on(self, share: float) -> str:
        """ "on 17 of 20 floors"."""
        if share > ALL:
            return f"on all {self.floors} floors"
        if share < 1.0 - ALL:
            return f"on none of the {self.floors} floors"
        return f"on {self.of(share)} floors"

    def which(self) -> str:
        """ "floors that fit your readings"."""
        return "floors that fit your readings" if self.read else "floors that yours may be, as nothing was read of it"

    # -- figures -------------------------------------------------------------------------------------------------------
    def litres(self, volume: float, beside: float = 0.0) -> str:
        """What was spilled by then; a dash where it never comes."""
        if math.isinf(volume):
            return NOTHING
        return f"under {self.shown.litres(FEW)}" if volume < FEW else self.shown.litres(volume, beside)

    def _by(self, volume: float) -> str:
        return f"by {self.shown.litres(max(volume, FEW))}"

    def cap(self, spill: Spill) -> str:
        """How much was followed."""
        return self.shown.litres(spill.made.cap)

    def range(self, spread: Spread) -> str:
        """ "20 mL to 1.7 L"; "from 0.5 L" where some floors have no end of it."""
        if math.isinf(spread.low):
            return NOTHING
        if math.isinf(spread.high):
            return "from the first drops" if spread.low < FEW else f"from {self.litres(spread.low)}"
        if spread.low < FEW:
            return self.litres(spread.high) if spread.high < FEW else f"up to {self.litres(spread.high)}"
        return f"{self.litres(spread.low, spread.high)} to {self.litres(spread.high)}"

    # -- names ---------------------------------------------------------------------------------------------------------
    def leak(self, spill: Spill) -> str:
        """ "riser in study", "float or tube in study", "study as it comes to kitchen"."""
        parts = [site.part for site in spill.sites if not site.comes]
        own = [f"{joined(parts, 'or')} in {spill.place}"] if parts else []
        return joined([*own, *(site.label for site in spill.sites if site.comes)], "or")

    def name(self, one: Reached) -> str:
        """A probe or a place by its name, a way out by what it is and where it leads."""
        if one.sort != WAY_OUT:
            return one.name
        ways = self.found.looked.storey.ways_out
        alike = sum(_way(other) == _way(ways[one.way]) for other in ways) > 1
        return _way(ways[one.way]) + (f" at {self._middle(ways[one.way])}" if alike else "")

    def _middle(self, way: WayOut) -> str:
        frame = self.found.looked.storey.frame
        right, up = frame.spot(*divmod(way.cells[len(way.cells) // 2], frame.columns))
        return f"{self.shown.amount(right, 'length')} x {self.shown.amount(up, 'length')}"

    # -- sentences -----------------------------------------------------------------------------------------------------
    def told(self, spill: Spill) -> Iterator[str]:
        """What comes first, then each probe, what runs onto other places, what leaves; last what is not reached."""
        yield self._first(spill)
        for one in spill.reaches:
            if one.sort == PROBE or one.spread.never < ALL:
                yield self._reach(one, spill)
        never = [self.name(one) for one in spill.reaches if one.sort != PROBE and one.spread.never >= ALL]
        if never:
            yield f"On no floor it comes to {joined(never, 'or')} before {self.cap(spill)}."

    def unseen(self, spill: Spill) -> str:
        """When the first probe of all feels it, and where a drain takes it instead."""
        drained = spill.seen.never - spill.held.never
        if drained < 1.0 - ALL:
            return self._felt(spill)
        return f"{self._felt(spill)}; {self.on(drained)} a drain takes it, and no probe ever feels it"

    def _felt(self, spill: Spill) -> str:
        if not spill.probes:
            return "no probe has a spot on this floor"
        if spill.seen.never > ALL:
            return f"on none of the {self.floors} floors a probe feels it before {self.cap(spill)}"
        told = f"on half of the floors the first probe feels it {self._by(spill.seen.middle)}"
        if math.isinf(spill.seen.low):
            return f"{self.on(spill.seen.never)} no probe feels it before {self.cap(spill)}"
        if math.isinf(spill.seen.middle):
            told = f"the first probe feels it {self._by(spill.seen.low)} on the luckiest of them"
        if spill.seen.never > 1.0 - ALL:
            return f"{self.on(spill.seen.never)} no probe feels it before {self.cap(spill)}; {told}"
        return f"{told}, on nearly all {self._by(spill.seen.high)}"

    def _first(self, spill: Spill) -> str:
        named = [f"{self.name(one)} {self.on(share)}" for one, share in spill.first if one is not None]
        none = next((share for one, share in spill.first if one is None), 0.0)
        if not named:
            return f"It comes to no probe and to no way out before {self.cap(spill)}."
        rest = f"; {self.on(none)} to none of them before {self.cap(spill)}" if none > 0.0 else ""
        return f"What it comes to first: {joined(named)}{rest}."

    def _reach(self, one: Reached, spill: Spill) -> str:
        name, does = self.name(one), {PROBE: "is wet", WAY_OUT: "takes water"}.get(one.sort, "gets water")
        stays = {PROBE: "stays dry"}.get(one.sort, "gets none")
        if one.spread.never > ALL:
            return f"{sentence(name)[:-1]} {stays} on all {self.floors} floors up to {self.cap(spill)}."
        least = min(HALF, one.before[-1])  # the first volume of those asked for by which half of the floors have it
        half = next(k for k, share in enumerate(one.before) if share >= least) if least > 0.0 else -1
        share, volume = one.before[half], self.shown.litres(self.found.volumes[half])
        never = f"; {self.on(one.spread.never)} not before {self.cap(spill)}" if one.spread.never > 1.0 - ALL else ""
        return sentence(f"{self.on(share)} {name} {does} by {volume}{never}")


def _way(way: WayOut) -> str:
    if way.by == DRAIN:
        return f"the drain “{way.leads_to}”"
    if way.by == OPENING:
        return f"the opening to {way.leads_to}" if way.leads_to else f"an opening of {way.place} that leads out"
    return f"the {way.by} to {way.leads_to}" if way.leads_to else f"a {way.by} of {way.place}"
