"""A card for each test of a probe by pouring: where, how much, when it should act, what it means if it does not."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from dewpond.design.plan import PROBE_OF
from dewpond.report.views.blocks import Block, Items, Text
from dewpond.report.views.floor_poured import against
from dewpond.report.views.floor_words import FEW
from dewpond.report.views.probes_words import Words
from dewpond.report.views.shown import sentence
from dewpond.study.probes.model import NOW, Pour, Probes
from dewpond.study.probes.pouring import AMOUNTS

RARE: Final = 0.05  # share of the floors that a test may miss
HALF: Final = 0.5
WRONG: Final = "pouring tells nothing, and by all that is known it stands in the wrong place"
CAUTION: Final = (
    "Electricity first: unplug what lies on the floor or stands in the way of the water, and lift plugs, sockets and "
    "power strips out of it. Pour only where nobody lives below or you can bear a wet ceiling; have towels and a "
    "bucket at hand, stop when water runs where it must not, mop up at once, and keep people off the wet floor. If you "
    "are not sure of the wiring near the floor, leave it and ask a licensed electrician."
)
SHUTS: Final = (
    "Take your own purified water: it leaves no stain, and it conducts so badly that some probes do not feel it, which "
    "is worth knowing. Pour slowly, a litre in about five minutes. A probe that acts may shut a valve and send "
    "messages: re-arm afterwards, and tell whoever gets them."
)


def test_blocks(found: Probes, words: Words) -> Iterator[Block]:
    """Cautions, then a card for each probe."""
    untold = [k for k, one in enumerate(found.cases.columns) if one.sort == NOW
              and one.name not in {pour.probe for pour in found.pours}]  # fmt: skip
    for column in untold:
        own = own_pour(column, found, words)
        if own:
            yield Text(f"{sentence(found.cases.columns[column].name)} {own}", "lead")
    if not found.pours:
        yield Text("None of these probes feels a leak on any floor that fits, so there is nothing to pour for.")
        return
    yield Text(CAUTION, "caution")
    yield Text(SHUTS)
    for one in found.pours:
        yield Text(sentence(_head(one, found, words)), "lead")
        yield Items(tuple(_card(one, found, words)))
    if any(not one.probe for one in found.pours):
        yield Text("Those are spots at which no probe stands yet: lay one there first, with its name in the file.")


def _head(one: Pour, found: Probes, words: Words) -> str:
    name = one.probe or f"a probe at {words.what(found.cases.columns[one.column])}"
    at, where = words.at(one.storey, one.cell), words.found_by(one.storey, one.cell)
    return f"{name}: pour at {at} ({where}), where {one.leak} may leak into {one.place}"


def _card(one: Pour, found: Probes, words: Words) -> Iterator[str]:
    litres, acts = words.shown.litres, one.acts
    most = AMOUNTS[-1]
    name = one.probe or "it"
    own = own_pour(one.column, found, words)
    if acts.never >= HALF:
        end = "by these floors pouring tells nothing" if own else WRONG
        yield (
            f"On {words.share(acts.never)} of the floors that fit your readings nothing comes to {name} within "
            f"{litres(most)}, and this is the leak that it feels surest: {end}."
        )
        if own:
            yield own
        yield from _lost(one, found, words, bool(own))
        yield (
            f"Pour a little purified water right over it instead: that tells whether {name} sees it, not whether it "
            "stands well."
        )
        return
    if own:
        yield own
    sure = acts.never <= RARE and math.isfinite(acts.high)
    poured = one.poured if one.poured > 0.0 else most
    if sure:
        latest = litres(max(acts.high, FEW))
        low = litres(acts.low, acts.high)
        between = f"from the first drops to {latest}" if acts.low < FEW else f"between {low} and {latest}"
        yield (
            f"Have {litres(poured)} ready. {sentence(name)[:-1]} should act {_about(acts.middle, words)}: "
            f"{between} on nine of ten floors that fit your readings."
        )
        yield (
            f"If it has not by {latest}, stop. Pour a little of the same water right over it: if it acts "
            "now, it stands in the wrong place (see the spots above). If not, touch its contacts with a wet finger: if "
            "it acts then, it does not see purified water and is no protection here; if not even then, it is broken, "
            "unplugged or not connected."
        )
    else:
        yield (
            f"Have {litres(most)} ready. {sentence(name)[:-1]} should act {_about(acts.middle, words)}; on "
            f"{words.share(acts.never)} of the floors that fit your readings it has not by {litres(most)}."
        )
        yield (
            "So if it does not act, that proves little: pour a little of the same water right over it to see that it "
            "works, and write the result down all the same."
        )
        yield from _lost(one, found, words, bool(own))
    if one.probe and found.cases.columns[one.column].sort == NOW:
        at = words.at(one.storey, one.cell)
        yield (
            f"Write what came of it among the readings of the floor: `- {{by: pour, at: {at}, "
            f"poured: {litres(max(acts.middle, FEW))}, "
            f"probe: {one.probe.removeprefix(PROBE_OF)}, after: {litres(max(acts.middle, FEW))}}}`, with your own "
            "figures: `poured` is all that you had poured when you stopped; without `after` if it did not act."
        )


def own_pour(column: int, found: Probes, words: Words) -> str:
    """What the keeper has poured for a probe of the file, where no floor agrees with it; else nothing."""
    one = found.cases.columns[column]
    if one.sort != NOW:
        return ""
    return against(found.looked[one.storey], one.name.removeprefix(PROBE_OF), words.shown)


def _lost(one: Pour, found: Probes, words: Words, stays: bool) -> Iterator[str]:
    """What a drain takes there, unseen: of so much as is poured, and of a leak that runs on."""
    whole = _drained_of(one, found)
    if max(one.drained, whole) <= RARE:
        return
    name = one.probe or "it"
    stay = f" Move {one.probe} to where water comes before the drain has it; do not take it away."
    yield (
        f"A drain in the floor takes all that comes, and {name} stays dry: of what is poured there, up to "
        f"{words.shown.litres(AMOUNTS[-1])}, on {words.share(one.drained)} of the floors; of what leaks from "
        f"{one.leak} there, followed to {words.cap()}, on {words.share(whole)} of them. Nothing is felt of such a leak "
        f"here then, and nothing stops it.{stay if one.probe and not stays else ''}"
    )


def _drained_of(one: Pour, found: Probes) -> float:
    """Share of the floors on which a drain takes the water of that leak, as long as it is followed, and the probe never
    feels it [1]."""
    sites = found.looked[one.storey].sites
    rows = [
        k for k, (storey, leak, _) in enumerate(found.cases.sites)
        if storey == one.storey and (sites[leak].part, sites[leak].place) == (one.leak, one.place)
    ]  # fmt: skip
    return float(found.cases.lost_to_drain((one.column,))[rows].mean())


def _about(volume: float, words: Words) -> str:
    """ "at about 0.8 L"; of very little "before 50 mL"."""
    return f"before {words.shown.litres(FEW)}" if volume < FEW else f"at about {words.shown.litres(volume)}"
