"""What sizing objects to, in words: S230 to S234."""

from __future__ import annotations

from collections.abc import Callable

from dewpond.report.views.shown import Shown
from dewpond.study.outcome import Remark

Words = tuple[str, str, str]  # where, what, remedy


def _weak(remark: Remark, shown: Shown) -> Words:
    daily = shown.litres(remark.numbers["daily"])
    if "runs" in remark.numbers:
        often = f"runs {shown.duration(remark.numbers['runs'])} a day for that, which leaves little reserve"
    else:
        often = f"makes {shown.litres(remark.numbers['makes'])}"
    return (
        remark.parts[0],
        f"Ordinary days take {daily} a day, and with this season's water it {often}.",
        (
            "Measure the pressure before it while it runs. Where that is low, a booster pump or fresh pre-filters "
            "help; where it is not, a larger element does."
        ),
    )


def _slow(remark: Remark, shown: Shown) -> Words:
    needs, makes = (shown.pressure(remark.numbers[key]) for key in ("needs", "makes"))
    return (
        remark.parts[0],
        (
            f"The {shown.flow(remark.numbers['flow'])} of a fill make {makes} in it, and it needs {needs}: it does not "
            "open fully, takes that much off the supply, and may chatter or shut badly."
        ),
        (
            "Take a direct-acting one, or one made for so little flow. Order it shut while water runs, and look "
            "that the flow ends."
        ),
    )


def _slams(remark: Remark, shown: Shown) -> Words:
    valve, weakest, *broke = remark.parts
    peak, bears = (shown.pressure(remark.numbers[key]) for key in ("peak", "bears"))
    when = "while a tube behind it has come off" if broke else "in an ordinary fill"
    return (
        valve,
        (
            f"When it shuts {when}, up to {peak} may stand before it for a moment, and {weakest} bears {bears}: "
            "its own act can open a second joint."
        ),
        (
            "Mount it near the supply, short and rigid, with no push-in joint before it that you could leave out; or "
            "take one that shuts more slowly."
        ),
    )


def _runs_on(remark: Remark, shown: Shown) -> Words:
    end, source, into = remark.parts
    if "above" not in remark.numbers:
        what = f"Its end lies under the water of {into}: when its pump stops, that runs back into {source}."
    else:
        above = shown.height(remark.numbers["above"])
        what = (
            f"When its pump stops, {source} goes on running into {into}: its water stands {above} above the end of the "
            "tube, or above the water over that."
        )
    return (
        end,
        what,
        (
            "Lift the end above the highest water of both vessels, or give the tube a hole to the air above both, "
            "pointing into the vessel. Air between the end and the water does not stop it."
        ),
    )


def _drawn_back(remark: Remark, shown: Shown) -> Words:
    end, into = remark.parts
    under = shown.height(remark.numbers["under"])
    return (
        end,
        (
            f"Its end lies {under} under the water of {into}, and nothing before it lets no water back: should the "
            "pressure fail, that is drawn into the supply."
        ),
        (
            "Let it end above the rim, in air; a check valve alone is no air gap. Which device is wanted, the local "
            "code says."
        ),
    )


SIZING: dict[str, Callable[[Remark, Shown], Words]] = {
    "S230": _weak,
    "S231": _slow,
    "S232": _slams,
    "S233": _runs_on,
    "S234": _drawn_back,
}
