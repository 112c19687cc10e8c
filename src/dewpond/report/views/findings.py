"""Findings as notices: what the checks object to, and what runs showed, put into words here."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from dewpond.design.model import Design
from dewpond.errors import FINDINGS, FINE, Finding
from dewpond.parts import KINDS
from dewpond.report.views.blocks import Notice
from dewpond.report.views.cures import cures
from dewpond.report.views.findings_water import Words, ended, endless, named, wasting
from dewpond.report.views.limits_counts import trips
from dewpond.report.views.shown import Shown, about, count, joined
from dewpond.report.views.sizing_words import SIZING
from dewpond.study.outcome import Remark
from dewpond.study.remarks import NO_CHECK


def of_remark(remark: Remark, design: Design, shown: Shown) -> Finding:
    """The finding that a remark is told as."""
    where, what, remedy = WORDS[remark.code](remark, shown)
    remedy = remedy or cures(remark.parts, design)
    known = {p.name: KINDS[p.kind].section for p in design.parts}
    section = known.get(where, "")
    place = f"{section}: {where}" if section and section != where else where
    return Finding(remark.code, remark.level, place, what, remedy, design.file, design.lines.get(where))


def all_findings(findings: Sequence[Finding], remarks: Sequence[Remark], design: Design, shown: Shown) -> list[Finding]:
    """What is wrong first, then what runs showed; warnings before notes."""
    every = [*findings, *(of_remark(remark, design, shown) for remark in remarks)]
    return sorted(every, key=lambda f: ("error", "warning", "note").index(f.level))


def exit_code(findings: Sequence[Finding]) -> int:
    """1 when there is something to act on."""
    return FINDINGS if any(f.level != "note" for f in findings) else FINE


def notice(finding: Finding) -> Notice:
    """A finding as faces show it."""
    where = finding.where if finding.line is None else f"{finding.where} (line {finding.line})"
    return Notice(finding.level, finding.code, where, finding.what, finding.remedy)


def notices(findings: Sequence[Finding]) -> tuple[Notice, ...]:
    """All of them."""
    return tuple(notice(finding) for finding in findings)


def _siphon_first(parts: Sequence[str]) -> str:
    """What to do where a siphon runs as well, and may be why; empty where none does."""
    named = joined(parts)
    return (
        f"Mend the siphon through {named} first (S203), which may well be the reason; then look again." if parts else ""
    )


def _leaks_unasked(remark: Remark, shown: Shown) -> Words:
    return (
        "the whole installation",
        (
            f"Water gets out although nothing fails: {shown.litres(remark.numbers['litres'])}, the first "
            f"{shown.duration(remark.numbers['after'])} after the start."
        ),
        _siphon_first(remark.parts)
        or "Read the run with `dewpond drill FILE` without a fault, and correct marks, rims or heights.",
    )


def _runs_over(remark: Remark, shown: Shown) -> Words:
    vessel, *siphons = remark.parts
    return (
        vessel,
        f"It runs over its rim although nothing fails, {shown.duration(remark.numbers['after'])} after the start.",
        _siphon_first(siphons)
        or (
            "Lower the mark of its float, or check the rim: the vessel must hold what still comes after the mark, and "
            "what runs back when pumps stop."
        ),
    )


def _siphon(remark: Remark, shown: Shown) -> Words:
    return (
        remark.parts[0],
        (
            f"Water runs on through it while it stands still: {shown.litres(remark.numbers['litres'])} in the run in "
            "which nothing fails."
        ),
        (
            "Lift its outlet above the highest water of both vessels, the one it draws from and the one it fills, or "
            "give the tube a hole to the air above the water."
        ),
    )


def _drifts(remark: Remark, shown: Shown) -> Words:
    """Two ways apart: what mends a tank that grows saltier brings more fresh water into one that freshens."""
    low, high, end = (remark.numbers.get(key) for key in ("low", "high", "end"))
    assert low is not None
    assert high is not None
    within = f"within {shown.duration(remark.numbers['after'])} although nothing fails"
    siphon = _siphon_first(remark.parts[1:])
    if end is not None and end < 0.5 * (low + high):
        return (
            remark.parts[0],
            (
                f"Its salinity falls {within}: from {shown.salinity(high)} at most to {shown.salinity(low)} at least; "
                f"at the end it is {shown.salinity(end)}."
            ),
            siphon
            or (
                "More fresh water comes in than evaporates, or salt goes out and none comes in its stead. See in the "
                "run in which nothing fails what brings it: a mark at which a fill does not end, a skimmer, or a pair "
                "of pumps that takes more old water than it brings new, or whose new water holds too little salt."
            ),
        )
    ends = "" if end is None else f" At the end it is {shown.salinity(end)}."
    return (
        remark.parts[0],
        f"Its salinity moves between {shown.salinity(low)} and {shown.salinity(high)} {within}.{ends}",
        siphon
        or (
            "See in the run in which nothing fails what ends its top-off or does not let it run: a limit (“at most”, "
            "“per day”) must be longer than the longest ordinary run, a mark must lie where the water comes to it, and "
            "the reservoir must last."
        ),
    )


def _restless(remark: Remark, shown: Shown) -> Words:
    often, wasted = shown.count_of(remark.numbers["count"]), shown.litres(remark.numbers["litres"])
    if NO_CHECK in remark.parts:
        return (
            remark.parts[0],
            (
                f"Its shut-off opens and shuts about {often} times a day although nothing fails, and {wasted} a day "
                "run to the drain: no check valve stands behind the membrane, so that the pressure that keeps it shut "
                "leaks back at once."
            ),
            "Put a check valve into the product tube, right behind the membrane, and run the study again.",
        )
    return (
        remark.parts[0],
        (
            f"Its shut-off opens and shuts about {often} times a day although nothing fails, and {wasted} a day run to "
            "the drain: a float that stands half open at its mark takes less than the unit makes, and each start has "
            "waste before there is product."
        ),
        (
            "Have the vessel filled by turns and not drop by drop: a low and a high mark for its fill, a float that "
            "stays shut until the water has fallen by some centimetres, or a pump that draws more at a time and less "
            "often. Look up the pressure at which the shut-off closes (“closes at”): that decides how often it does."
        ),
    )


def _flutters(remark: Remark, shown: Shown) -> Words:
    wasted = shown.litres(remark.numbers["litres"])
    return (
        remark.parts[0],
        (
            "Its shut-off flutters, neither open nor shut, although nothing fails: the pressure before the membrane "
            "sags so much under flow that it closes where, at rest, it opens. Reckoned as open half the time, "
            f"{wasted} a day run to the drain; it may hold, or waste twice that."
        ),
        (
            "Look whether the waste line runs on while the vessel is full. If it does: a wider feed, fresh "
            "pre-filters, or a valve before the unit that a level switch in the vessel shuts."
        ),
    )


def _backwards(remark: Remark, shown: Shown) -> Words:
    part, *labels = remark.parts
    when = "when this fails" if len(labels) == 1 else f"at most, when one of {len(labels)} things fails"
    return (
        part,
        f"Water runs backwards through it, {shown.litres(remark.numbers['litres'])} {when}: {named(labels)}.",
        "A check valve holds it back while it is sound; an outlet above the highest water makes it impossible.",
    )


def _unknown(remark: Remark, _shown: Shown) -> Words:
    part, key = remark.parts
    number = round(remark.numbers["count"])
    return (
        part,
        f"“{key}” is unknown or left out, and it decides what {count(number, 'single fault')} would do.",
        "Find out as the section on unknown answers says, and write the answer into the file.",
    )


def _untried(remark: Remark, _shown: Shown) -> Words:
    part, key = remark.parts
    return (
        part,
        f"“{key}” is unknown or left out, and the study was stopped before its other answer was tried.",
        "Find out as the section on unknown answers says, or let the study run to its end.",
    )


def _runs_dry(remark: Remark, shown: Shown) -> Words:
    after = shown.duration(remark.numbers["after"])
    word, *siphons = remark.parts
    if word == "return pump dry":
        return (
            "the tank",
            f"A return pump draws air although nothing fails, {after} after the start.",
            _siphon_first(siphons)
            or (
                "Compare what evaporates with what the top-off pump may give, and the running level with what the "
                "return pump needs."
            ),
        )
    return (
        "the reservoir",
        f"A reservoir runs empty although nothing fails, {after} after the start.",
        _siphon_first(siphons)
        or (
            "Compare what evaporates in a day with what the membrane makes, and look whether the float's marks leave "
            "enough to draw."
        ),
    )


def _no_product(remark: Remark, _shown: Shown) -> Words:
    shut = remark.parts[1:]
    if shut:
        return (
            remark.parts[0],
            f"It makes no water in a fill: the way through {joined(shut)} stands shut.",
            "Which row opens it, which shuts it, and when? Where somebody does, describe who and by what.",
        )
    return (
        remark.parts[0],
        "It makes no water at this supply pressure and temperature.",
        "Measure the pressure in front of it while it runs; below about 2.5 bar most elements need a booster pump.",
    )


def _starved(remark: Remark, _shown: Shown) -> Words:
    return (
        remark.parts[0],
        (
            "Its jugs ask for more water than can run through what lies before it, as it is described: hardly any "
            "pressure would be left to drive it through the membrane. Its flows, and all that follows from them, are "
            "guesses."
        ),
        (
            "See whether the jugs were filled for a whole minute and in the unit noted; look at bores and lengths of "
            "the tubes before it; or write the pressure of a gauge before the membrane with the jugs (pressure: ...)."
        ),
    )


def _unlike(remark: Remark, shown: Shown) -> Words:
    noted, reckoned = (shown.pressure(max(remark.numbers[key], 0.0)) for key in ("said", "reckoned"))
    return (
        remark.parts[0],
        (
            f"With its jugs {noted} are noted before it; by the supply and what lies between, {reckoned} would stand "
            "there while so much runs. A fill is reckoned with the second, so that it will not give the jugs."
        ),
        (
            "Look at the gauge once more while water is made, and at the supply's pressure. Clogged filters, a valve "
            "half shut or a pressure reducing valve between the two take what the file does not know of."
        ),
    )


def _gauge_at_rest(remark: Remark, shown: Shown) -> Words:
    noted, reckoned = (shown.pressure(max(remark.numbers[key], 0.0)) for key in ("said", "reckoned"))
    part, *held = remark.parts
    if held:
        return (
            part,
            (
                f"It is said to show {noted} at rest; behind “{held[0]}”, which holds the pressure, {reckoned} would "
                "stand there."
            ),
            (
                f"Read it again while nothing runs, and while a thin stream runs: that is what “{held[0]}” is set to. "
                "A reading that climbs at rest means that its seat lets water by. Else look for a needle that sticks."
            ),
        )
    return (
        part,
        f"It is said to show {noted} at rest; by the supply and its height {reckoned} would stand there.",
        (
            "Read it and measure the supply's pressure within the same hour, with nothing running. Then look for what "
            "lies between and is not in the file, such as a pressure reducing valve, or for a needle that sticks."
        ),
    )


def _gauge_while_filling(remark: Remark, shown: Shown) -> Words:
    noted, reckoned = (shown.pressure(max(remark.numbers[key], 0.0)) for key in ("said", "reckoned"))
    held = remark.parts[1:]
    rests = f"what “{held[0]}” holds" if held else "the supply's pressure"
    return (
        remark.parts[0],
        (
            f"It is said to show {noted} while filling; with the water of both jugs running, {reckoned} would be left "
            "there by the supply and what lies between."
        ),
        (
            "If it shows less: a filter that clogs, a valve half shut or a kink before it. If it shows more: look at "
            f"the jugs, or for a needle that sticks. At rest it should show {rests}."
        ),
    )


def _off_rating(remark: Remark, _shown: Shown) -> Words:
    return (
        remark.parts[0],
        (
            f"By its jugs it makes {about(100.0 * remark.numbers['said'])} % of what is printed on it, at the same "
            "pressure and temperature. The jugs are taken."
        ),
        (
            "Look at the units of both, and at the thermometer. If they are right: much less comes of scale, of an "
            "old element or of a kinked tube; much more of a tear or a seal that lets salt by, which a conductivity "
            "pen shows."
        ),
    )


def _doubtful(remark: Remark, _shown: Shown) -> Words:
    number, of = round(remark.numbers["count"]), round(remark.numbers["of"])
    return (
        "the computation",
        f"{number} of {of} runs hold steps that were not resolved: {named(remark.parts)}.",
        "Take their figures as rough. They are marked “doubtful” where they are shown.",
    )


WORDS: dict[str, Callable[[Remark, Shown], Words]] = {
    "S200": endless,
    "S201": _leaks_unasked,
    "S202": _runs_over,
    "S203": _siphon,
    "S204": _backwards,
    "S205": _unknown,
    "S206": _runs_dry,
    "S207": _no_product,
    "S208": _doubtful,
    "S209": wasting,
    "S210": _untried,
    "S211": _starved,
    "S212": _unlike,
    "S213": _off_rating,
    "S214": ended,
    "S215": _drifts,
    "S216": _restless,
    "S217": _flutters,
    "S218": _gauge_at_rest,
    "S219": _gauge_while_filling,
    "S235": trips,
    **SIZING,
}
