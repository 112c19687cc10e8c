"""Where the pressure of a fill goes, what a weaker or colder supply makes of it, and what another tube would."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from dewpond.physics.membrane import RATED_FEED
from dewpond.report.views.blocks import Block, Grid, Text
from dewpond.report.views.shown import NOTHING, Shown, joined
from dewpond.study.filling import NO_FLOW, Fill
from dewpond.study.sizing.bores import PRODUCT, Stretch
from dewpond.study.sizing.losses import Budget, Driven
from dewpond.study.sizing.servos import Servo
from dewpond.study.sizing.sizing import LONG_DUTY, WEAK_SHARE, Sizing
from dewpond.study.sizing.what_if import COLD, WEAK, Case

DAY = 86400.0
WORTH = 0.05  # gain of a fill from which another tube is worth a thought [1]; our prior
EVEN = 0.005  # less is none [1]
LEVEL = 100.0  # a centimetre of water [Pa]
MOST = 6  # fills that have a table each
ABSURD = 100.0  # parts of waste for one of product


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.01 else "under 1 %"


def pressure_blocks(sizing: Sizing, shown: Shown) -> Iterator[Block]:
    """Part by part, for each fill."""
    for budget in sizing.budgets[:MOST]:
        yield Text(_where_it_goes(budget, shown))
        for driven in budget.driven:
            yield Text(_driven(driven, shown))
        yield _losses(budget, shown)
    if len(sizing.budgets) > MOST:
        yield Text(f"And {len(sizing.budgets) - MOST} more fills, on the same lines.", "quiet")


def _where_it_goes(budget: Budget, shown: Shown) -> str:
    tight = [loss for loss in budget.losses if not loss.drives]
    most = max(tight, key=lambda loss: loss.lost, default=None)
    lift = f"lifting it takes {shown.pressure(budget.lift)}"
    if abs(budget.lift) < LEVEL:
        lift = "its end is as high as that"
    elif budget.lift < 0.0:
        lift = f"its fall gives {shown.pressure(-budget.lift)} more"
    if budget.source:
        start = f"{budget.vessel} is filled out of {budget.source}, by gravity: {lift}"
    else:
        start = f"The supply has {shown.pressure(budget.given)} for the fill of {budget.vessel}: {lift}"
    if most is None or most.lost <= 0.0:
        return f"{start}."
    share = f", {_percent(most.lost / budget.whole)} of what there is" if budget.whole > 0.0 else ""
    rest = "of all else on its way " if len(tight) < len(budget.losses) else ""
    pumps = [f"{one.part} adds {shown.pressure(-one.lost)}" for one in budget.losses if one.lost < -LEVEL]
    start = f"{start}; {joined(pumps)}" if pumps else start
    return f"{start}, and {rest}{most.part} takes most, {shown.pressure(most.lost)}{share}."


def _driven(driven: Driven, shown: Shown) -> str:
    before, behind, salt, net = (
        shown.pressure(value) for value in (driven.before, driven.behind, driven.osmotic, driven.net)
    )
    text = (
        f"At {driven.part} {before} stand on the side of the supply and {behind} on the other, and what is dissolved "
        f"holds back {salt}: {net} drive the water through"
    )
    if driven.share is None or driven.rated is None:
        return f"{text}. The file has no rating to set that against (`rated: ...`, printed on the element)."
    rated = f"{text}, {_percent(driven.share)} of the {shown.pressure(driven.rated)} at which it was rated"
    taken = f"(reckoned with {shown.dissolved(RATED_FEED)} in the water of that test)"
    return f"{rated} {taken}." if driven.share >= WEAK_SHARE else f"{rated} {taken}: it is weakly driven."


def _losses(budget: Budget, shown: Shown) -> Grid:
    def row(name: str, flow: str, value: float) -> tuple[str, ...]:
        if value < -LEVEL:
            return name, flow, f"adds {shown.pressure(-value)}", NOTHING
        share = _percent(max(value, 0.0) / budget.whole) if budget.whole > 0.0 and abs(value) >= 1.0 else NOTHING
        return name, flow, shown.pressure(value), share

    rows = [
        row(f"{loss.part}, through its membrane" if loss.drives else loss.part, shown.flow(loss.flow), loss.lost)
        for loss in budget.losses
    ]
    if budget.lift > 0.0:
        rows.append(row("lift up to its end", "", budget.lift))
    caption = f"What each part takes of the pressure, filling {budget.vessel}"
    return Grid(caption, ("part", "flow", "takes", "share"), tuple(rows), (1, 2, 3))


# -- what if -----------------------------------------------------------------------------------------------------------
def what_if_blocks(sizing: Sizing, shown: Shown) -> Iterator[Block]:
    """A table of the cases, and whether a booster pump is needed."""
    if not sizing.cases:
        return
    first = sizing.cases[0]
    made = first.product > NO_FLOW
    vessels = list(dict.fromkeys(fill.vessel for fill in first.fills))
    head = ["supply"]
    if made:
        head += ["purified", "waste for 1"]
    head += [f"{vessel} full in" for vessel in vessels[:MOST]]
    rows = []
    for case in sizing.cases:
        row = [f"{shown.pressure(case.pressure)}, {shown.temperature(case.water)}"]
        if made:
            ratio = case.waste_ratio
            flow = shown.flow(case.product, first.product) if case.product > NO_FLOW else "none"
            row += [flow, f"{ratio:.2g}" if ratio < ABSURD else NOTHING]
        row += [_time(case.fills, vessel, shown) for vessel in vessels[:MOST]]
        rows.append(tuple(row))
    caption = "The same fills with a weaker and a colder supply; the first row is as written"
    yield Grid(caption, tuple(head), tuple(rows), tuple(range(1, len(head))))
    if first.closes is not None:
        yield Text(_shut_off(sizing, shown))
    if len(sizing.cases) == 1:
        worst = f"no stronger than {shown.pressure(WEAK)} and no warmer than {shown.temperature(COLD)}"
        yield Text(f"The supply as written is {worst}: nothing worse was tried.")
    if made or first.unreached:
        yield Text(_booster(sizing, shown))


def _shut_off(sizing: Sizing, shown: Shown) -> str:
    """Whether it still closes once every float is shut."""
    open_still = [_case(case, sizing, shown) for case in sizing.cases if not case.closes]
    if not open_still:
        closes = "the shut-off closes" if len(sizing.cases) == 1 else "the shut-off closes in all of these"
        return f"Once every float is shut, {closes}."
    if len(open_still) == len(sizing.cases) > 1:
        return "The shut-off does not close in any of these, even with every float shut: the waste runs on."
    return f"The shut-off does not close, even with every float shut, if {joined(open_still, 'or')}: the waste runs on."


def _time(fills: Sequence[Fill], vessel: str, shown: Shown) -> str:
    times = [fill.time for fill in fills if fill.vessel == vessel]
    least = min(times, default=float("inf"))
    return shown.duration(least) if least != float("inf") else "never"


def _booster(sizing: Sizing, shown: Shown) -> str:
    """If .. then, never a purchase. A house that has a booster pump is offered no second one."""
    has, ask = bool(sizing.boosters), f"ask whether {joined(sizing.boosters)} runs, and what it gives"
    for case in sizing.cases:
        if case.unreached:
            return (
                f"If {_case(case, sizing, shown)}, no water comes to {joined(case.unreached)}: then "
                + (
                    f"{ask}; or let the vessel stand"
                    if has
                    else "a booster pump before the unit, or a vessel that stands"
                )
                + " lower."
            )
    if not sizing.daily:
        return "What ordinary days take is not known here, so nothing is said of a booster pump."
    daily = shown.litres(sizing.daily)
    for case in sizing.cases:
        duty = sizing.duty(case) or 0.0
        if duty > LONG_DUTY:
            runs = f"the unit must run {shown.duration(duty * DAY)} a day" if duty <= 1.0 else "the unit cannot make it"
            return f"If {_case(case, sizing, shown)}, {runs} for the {daily} that ordinary days take: then " + (
                f"{ask}; else a larger element."
                if has
                else "a booster pump before it, or a larger element, is worth its noise."
            )
    worst = sizing.cases[-1]
    duty = sizing.duty(worst) or 0.0
    even = "Even if" if len(sizing.cases) > 1 else "As"
    return (
        f"{even} {_case(worst, sizing, shown)}, the unit runs {shown.duration(duty * DAY)} a day for the {daily} that "
        "ordinary days take: "
        + (
            f"no more than {joined(sizing.boosters)} gives is needed."
            if has
            else "a booster pump would gain time that is not needed, though less waste."
        )
    )


def _case(case: Case, sizing: Sizing, shown: Shown) -> str:
    if case == sizing.cases[0]:
        return "the supply is as written"
    return f"the supply has {shown.pressure(case.pressure)} at {shown.temperature(case.water)}"


# -- tubes -------------------------------------------------------------------------------------------------------------
def bore_blocks(sizing: Sizing, shown: Shown) -> Iterator[Block]:
    """Each stretch in its own size and in another."""
    if not sizing.stretches:
        return
    rows = [
        (one.part, one.carries, one.size or shown.height(one.bore), one.other, _gain(one), _pours(one.burst, shown),
         _pours(one.other_burst, shown))
        for one in sizing.stretches
    ]  # fmt: skip
    head = ("tube", "carries", "is", "as", "fill", "a break pours", "then")
    yield Grid("Tubes of a fill in another size", head, tuple(rows), (4, 5, 6))
    worth = [one for one in sizing.stretches if one.wider and one.gain >= WORTH]
    if worth:
        told = joined([f"{one.part} in {one.other} ({_gain(one)})" for one in worth])
        text = f"Worth a thought: {told}. What a break then pours stands beside it."
    else:
        text = "Nowhere does a wider tube gain 5 % of a fill: not worth its fittings."
    if any(one.carries == PRODUCT for one in sizing.stretches):
        text += " What breaks on the product side pours hardly more than the membrane makes, whatever its bore."
    yield Text(text)


def _gain(one: Stretch) -> str:
    return f"{one.gain * 100.0:+.0f} %" if abs(one.gain) >= EVEN else "the same"


def _pours(flow: float | None, shown: Shown) -> str:
    return NOTHING if flow is None else shown.flow(flow)


def servo_blocks(servos: Sequence[Servo], shown: Shown) -> Iterator[Block]:
    """What valves that the water moves get of it."""
    for one in servos:
        needs, makes, shut = (shown.pressure(value) for value in (one.needs, one.makes, one.shut))
        times = one.shut / one.needs
        margin = f"{times:.2g} times that" if times >= 1.0 else "less than that"
        yield Text(
            f"{one.part} is moved by the water and needs {needs}. The {shown.flow(one.flow)} of a fill make {makes} in "
            f"it when quite open; once it is shut, {shut} stand before it, {margin}."
        )
