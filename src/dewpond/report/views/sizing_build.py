"""Leads and coils, water hammer, open ends, and how far tubes and leads reach."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from dewpond.design.cables import ADVISED, GUIDES, METRIC, Lead
from dewpond.design.handy import at_most
from dewpond.design.reach import RESERVE, SensorLead, Shopping, Tube
from dewpond.parts.cables import WIRES
from dewpond.report.views.blocks import Block, Grid, Items, Text
from dewpond.report.views.shown import NOTHING, Shown, count, joined
from dewpond.study.sizing.hammer import Knock, Slam
from dewpond.study.sizing.open_ends import ABOVE, BACK, DOWN, FILLED, HELD, NO, RUNS_OFF, YES, End
from dewpond.study.sizing.sizing import Sizing

MM2 = 1e-6
LEAST_KNOCK = 1e4  # a smaller rise is none [Pa]


# -- leads -------------------------------------------------------------------------------------------------------------
def lead_blocks(leads: Sequence[Lead], shown: Shown) -> Iterator[Block]:
    """What arrives at the end of each lead, and how long it may be."""
    wired = [lead for lead in leads if lead.length is not None]
    if wired:
        rows = [
            (lead.part, _draws(lead, shown), f"{shown.amount(lead.length or 0.0, 'length')} of {lead.gauge}",
             f"{shown.amount(lead.drop, 'voltage')}, {100.0 * lead.share:.2g} %",
             shown.amount(lead.voltage - lead.drop, "voltage", 3), _pull(lead))
            for lead in wired
        ]  # fmt: skip
        head = ("part", "draws", "lead", "lost in it", "arrives", "pulls when hot")
        yield Grid("What the leads leave", head, tuple(rows), (3, 4, 5))
        yield Text(
            "Both conductors count, at the current that the part is made for. Up to 5 % lost is the usual advice, 10 % "
            "is what most coils bear (from memory). A coil held for long is some 80 K hotter and pulls with three "
            "quarters of its force: it is least sure just then.",
            "quiet",
        )
    for lead in leads:
        if lead.length is None or not lead.drawn_told:
            yield Text(_guide(lead, shown))


def _draws(lead: Lead, shown: Shown) -> str:
    told = f"{shown.amount(lead.power, 'power')} at {shown.amount(lead.voltage, 'voltage')}"
    return told if lead.drawn_told else f"{told} (taken)"


def _pull(lead: Lead) -> str:
    return f"{100.0 * lead.hot_pull:.2g} %" if lead.coil else NOTHING


def _guide(lead: Lead, shown: Shown) -> str:
    guides = GUIDES if shown.system == "US" else METRIC
    told = joined(
        [f"{at_most(lead.longest(gauge, ADVISED), 'length', shown.system)[1]} of {_gauge(gauge)}" for gauge in guides],
        "or",
    )
    if lead.drawn_told:
        return (
            f"How {lead.part} is wired is not said (`cable: {{length: ..., gauge: ...}}`). At {_draws(lead, shown)} a "
            f"lead takes 5 % of that when it is {told}; 10 % when twice as long."
        )
    what, key = ("its coil", "coil") if lead.coil else ("it", "motor")
    return (
        f"What {what} draws is not said for {lead.part} (`{key}: 8 W at 12 V`, printed on it). If it were "
        f"{shown.amount(lead.power, 'power')} at {shown.amount(lead.voltage, 'voltage')} (our prior, 3 to 15 W), its "
        f"lead would take 5 % of that when it is {told}; 10 % when twice as long."
    )


def _gauge(gauge: str) -> str:
    """With its section beside it, for shops that know only the other."""
    if gauge.endswith("mm2"):
        return gauge.replace("mm2", "mm²")
    return f"{gauge} ({WIRES[gauge] / MM2:.2g} mm²)"


# -- hammer ------------------------------------------------------------------------------------------------------------
def hammer_blocks(slams: Sequence[Slam], shown: Shown) -> Iterator[Block]:
    """How far the pressure rises when a valve shuts."""
    if not slams:
        return
    rows = [_knock(slam, knock, shown) for slam in slams for knock in slam.knocks]
    head = ("valve", "while", "runs", "rise", "before it then")
    yield Grid("When a valve shuts", head, tuple(rows), (2, 3, 4))
    for slam in slams:
        yield Text(_slam(slam, shown))


def _knock(slam: Slam, knock: Knock, shown: Shown) -> tuple[str, ...]:
    rise = _range(knock.low, knock.high, shown) if knock.high >= LEAST_KNOCK else "next to none"
    when = "tube off behind it" if knock.broke else "a fill"
    return slam.part, when, shown.flow(knock.flow), rise, f"up to {shown.pressure(slam.peak(knock))}"


def _range(low: float, high: float, shown: Shown) -> str:
    one, other = shown.pressure(low), shown.pressure(high)
    if one == other:
        return one
    number, _, unit = one.rpartition(" ")
    return f"{number} to {other}" if other.endswith(f" {unit}") else f"{one} to {other}"


def _slam(slam: Slam, shown: Shown) -> str:
    least, most = (shown.amount(time, "duration") for time in slam.time)
    time = f"{least} (as the file says)" if slam.told else f"{least} to {most} (from memory)"
    if least == most and not slam.told:
        time = f"{least} (taken)"
    tube = f"{shown.amount(slam.length, 'length')} of tube lie before it"
    if not slam.tube_told:
        tube = (
            f"no tube is described before it, so {shown.amount(slam.length, 'length')} of 1/4 in are taken (our prior)"
        )
    joints = joined([*(name for name in slam.joints if name != slam.part), "its own joints"])
    bears = f"{slam.weakest} bears least, {shown.pressure(slam.bears)}{'' if slam.bears_told else ' (taken)'}"
    over = [knock for knock in slam.knocks if slam.peak(knock) > slam.bears]
    advice = " Mount it near the supply, short and rigid." if over else ""
    return f"{slam.part} shuts in {time}; {tube}. It is felt by {joints}; {bears}.{advice}"


# -- open ends ---------------------------------------------------------------------------------------------------------
def end_blocks(ends: Sequence[End], shown: Shown) -> Iterator[Block]:
    """Each open end: its place over the water, what runs on through it, and what it can draw back."""
    if not ends:
        return
    rows = [
        (end.part, end.into or "a drain", _over(end, shown), _gap(end, shown), _at_rest(end, shown)) for end in ends
    ]
    head = ("end of", "in", "its water", "over the rim", "at rest")
    yield Grid("Open ends, with the vessels as high as they usually get", head, tuple(rows), wide=4)
    yield Items(tuple(_rules(ends, shown)))


def _over(end: End, shown: Shown) -> str:
    if end.level is None:
        return NOTHING
    apart = end.height - end.level
    return f"{shown.height(abs(apart))} {'over' if apart >= 0.0 else 'under'}"


def _gap(end: End, shown: Shown) -> str:
    if end.gap is None:
        return "not said"
    if end.gap < 0.0:
        return f"{shown.height(-end.gap)} below"
    return shown.height(end.gap)


def _at_rest(end: End, shown: Shown) -> str:
    """What runs through it while its pump stands still, or when its supply sags."""
    passive = end.passive
    if passive is None or end.back != NO:
        if end.sort == RUNS_OFF:
            return "not looked at"
        return {NO: "draws air", HELD: f"{end.holder} holds", DOWN: f"runs to {end.holder}", YES: "draws back"}[
            end.back
        ]
    if not passive.open:
        return "shut or vented"
    if passive.flows == ABOVE:
        return f"stands up to {shown.height(passive.mark - passive.source_level)} more"
    return {NO: "stands", YES: "runs on", BACK: "runs back"}[passive.flows]


def _rules(ends: Sequence[End], shown: Shown) -> Iterator[str]:
    wanted: dict[tuple[float, float], list[str]] = {}
    for end in ends:
        if end.us > 0.0 and end.sort in (FILLED, RUNS_OFF) and (end.gap is None or end.gap < max(end.us, end.europe)):
            wanted.setdefault((end.us, end.europe), []).append(end.part)
    for (us, europe), parts in wanted.items():
        yield (
            f"For their bore an air gap over the rim is {shown.amount(us, 'height')} in the United States and "
            f"{shown.amount(europe, 'height')} in Europe, and less, or nothing, is said of {joined(parts)}. It is "
            "asked for where drinking water could be drawn back; which ends that are, the local code says."
        )
    if any(end.passive is not None and end.passive.open for end in ends):
        yield (
            "A pump at rest is an open tube: what keeps it from running on is an end above the highest water of both "
            "vessels, or a hole to the air above them; air at its end does not."
        )
    if any(end.sort == RUNS_OFF and end.gap is None for end in ends):
        yield (
            "A waste tube pushed into a trap can draw dirty water up: let it end in air over its drain, and describe "
            "it as a part of its own, so that its end is looked at."
        )


# -- reach -------------------------------------------------------------------------------------------------------------
def reach_blocks(sizing: Sizing, shown: Shown) -> Iterator[Block]:
    """Each tube against the way that it must go, and what there is to buy."""
    if sizing.tubes:
        rows = [_tube(tube, shown) for tube in sizing.tubes]
        head = ("tube", "has", "up and down", "right across", "it")
        yield Grid("Tubes against their way", head, tuple(rows), (1, 2, 3))
    if sizing.sensor_leads:
        own = [
            (lead.part, shown.amount(lead.length, "length"), _up_to(lead, shown), lead.box)
            for lead in sizing.sensor_leads
        ]
        yield Grid("Leads of sensors against their height", ("sensor", "has", "goes up by", "to"), tuple(own), (1,))
    bought = tuple(_shopping(sizing.shopping, shown))
    if bought:
        yield Items(bought)


def _tube(tube: Tube, shown: Shown) -> tuple[str, ...]:
    length = shown.amount(tube.length, "length") + ("" if tube.told else " (taken)")
    across = shown.amount(tube.crossing, "length") if tube.crossed else NOTHING
    word = "is too short" if tube.too_short else "must cut corners" if tube.tight else "may reach"
    return tube.part, length, shown.amount(tube.rise, "length") if tube.rise > 0.0 else "level", across, word


def _up_to(lead: SensorLead, shown: Shown) -> str:
    if lead.up is None:
        return "not said: `in` of its box"
    up = shown.amount(lead.up, "length") if lead.up > 0.0 else "no floor"
    return f"{up}: too short" if lead.too_short else up


def _shopping(bought: Shopping, shown: Shown) -> Iterator[str]:
    extra = 1.0 + RESERVE
    for size, metres in bought.tubes.items():
        name = f"{size} tube" if size else "tube of an own bore"
        yield (
            f"{name}: {shown.amount(metres, 'length')} in this file; with a tenth more (our prior) "
            f"{shown.amount(_up(metres * extra), 'length', 3)}"
        )
    for gauge, metres in bought.leads.items():
        name = f"lead of {gauge.replace('mm2', 'mm²')}" if gauge else "leads of sensors"
        yield (
            f"{name}: {shown.amount(metres, 'length')} in this file; with a tenth more "
            f"{shown.amount(_up(metres * extra), 'length', 3)}"
        )
    if bought.without:
        yield f"without a length (`lead: ...`): {joined(bought.without)}"
    if bought.ends:
        yield f"{count(bought.ends, 'tube end')} to push in, each of which can leak"


def _up(metres: float) -> float:
    """Up to the next whole half of a metre."""
    return math.ceil(2.0 * metres - 1e-6) / 2.0
