"""What matters, in up to five sentences: the worst with nobody there, the same with somebody there, the tank, what is
not known, and the one next thing to do. Each is made from what the runs showed; what has nothing to say is left out."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.plant.consequence import Consequence, broken_off
from dewpond.report import story
from dewpond.report.views import answers, by_floor, failures
from dewpond.report.views.cures import COMES_BACK, HARDLY_ENDED, NEXT, PROBED, group
from dewpond.report.views.drains import SPOONFUL, Ground
from dewpond.report.views.failures import FAR
from dewpond.report.views.findings import all_findings
from dewpond.report.views.shown import Shown, count, joined, restless, sentence, times
from dewpond.study.outcome import Outcome, StudyResult, UnknownEffect

MOST: Final = 5  # sentences, the next thing to do among them
ROOMS: Final = 2  # named of those in which water ends
SHARE: Final = 0.1  # of the water that a room must hold to be named; our prior
FIND_OUT: Final = "Next: find out"
UNFINISHED: Final = "The study was stopped before its end, so that worse may be among what was not tried"
NOTHING_NEXT: Final = (
    "Neither the checks nor the runs object to anything they look at: what is left to do is to test each protection in "
    "turn, and to write into the file what was only assumed"
)
HELD: Final = ("trip", "act")  # kinds of moments: a protection acts, a hand acts
LATER: Final = 300.0  # between a notice and whoever first knows of it, so much is told [s]
CHEAPER: Final = 0.5  # an answer costs nothing: it comes first with so much of the water at stake; our prior


def sentences(result: StudyResult, shown: Shown, bad: failures.Bad | None = None) -> tuple[str, ...]:
    """At most five, in the order in which a keeper should act on them. ``bad``: the pairs that do more than their two
    faults, where they are known already."""
    ground = Ground.under(result)
    found: list[str] = [] if result.finished else [UNFINISHED]
    found += story.unasked(result.normal, shown)
    found += _floors(result, shown, ground)
    todo = _next(result, shown, ground)
    found += _tanks(result, shown)
    found += _pairs(result, failures.bad_pairs(result) if bad is None else bad, shown, ground)
    if not todo.startswith(FIND_OUT):
        found += _unknown(result, ground)
    found += _drain(result, shown, ground)
    return tuple(map(sentence, (*found[: MOST - 1], todo)))


# --- floors -----------------------------------------------------------------------------------------------------------


def _floors(result: StudyResult, shown: Shown, ground: Ground) -> Iterator[str]:
    """The worst of the first way of being there, and of the wettest other one; those in which nothing gets wet together
    in one sentence."""
    wet: list[tuple[str, float, list[Outcome], int]] = []
    dry: list[tuple[str, float]] = []
    tried = 0
    for who, horizon in result.who:
        alone = failures.singles(result, who)
        tried += len(alone)
        chosen = [o for o in alone if any(told.on_floors > SPOONFUL for told in o.each)]
        if chosen:
            wet.append((who, horizon, chosen, len(alone)))
        elif alone:
            dry.append((who, horizon))
    wettest, before = sum(every for *_, every in wet), ""
    rest = sorted(wet[1:], key=lambda row: -ground.most(row[2][0]))
    for number, (who, horizon, chosen, every) in enumerate([*wet[:1], *rest[:1]]):
        less = [story.WHO_WORDS[other] for other, *_ in rest[1:]] if number else []
        after = f"; no more comes while {joined(less, 'or')}" if less else ""
        yield _wet(who, horizon, chosen, every, shown, ground, before) + after
        if not number:
            before = chosen[0].faults[0]
    if dry:
        spans = joined([f"{story.WHO_WORDS[who]} ({shown.duration(horizon)})" for who, horizon in dry], "or")
        number = tried if len(dry) == len(result.who) else tried - wettest
        things = "things" if len(dry) > 1 else "single faults"
        yield f"None of the {number} {things} tried puts water on a floor while {spans}"


def _wet(who: str, horizon: float, wet: list[Outcome], every: int, shown: Shown, ground: Ground, before: str) -> str:
    """``before``: the worst fault of the sentence before; the first sentence also tells of floor drains."""
    worst = wet[0]
    told, label = worst.told, worst.faults[0]
    lasting = sum(all(one.still_running for one in o.each) for o in wet)
    runs = f", and with {'all of them' if lasting == len(wet) else lasting} it still runs at the end" if lasting else ""
    some = sum(o.lasts for o in wet) - lasting
    if some:
        runs += (
            f", with {some} more on some floors only"
            if lasting
            else f", and with {some} it still runs at the end on some floors"
        )
    again, some = sum(o.told.reopenings > 0 for o in wet), sum(o.again > 0 and not o.told.reopenings for o in wet)
    runs += f"; with {again} it stops and starts again by itself" if again else ""
    runs += f"; with {some}{' more' if again else ''} it starts again by itself on some floors" if some else ""
    same = "the same fault" if label == before else f"“{label}”"
    full = " (more than can stand there)" if any(map(ground.overfull, worst.each)) else ""
    text = (
        f"While {story.WHO_WORDS[who]} ({shown.duration(horizon)}), {len(wet)} of the {every} single faults tried "
        f"{'put' if len(wet) > 1 else 'puts'} water on a floor{runs}; most comes with {same}: "
        f"{_litres(worst, shown, ground)}{full}, {_noticed(worst, shown)}, {_ends(worst, shown)}"
    )
    text += " (that run was broken off: more may come)" if broken_off(told) else ""
    return text + ("" if before else _drained(wet, shown, ground))


def _rooms(told: Consequence, ground: Ground) -> list[str]:
    """Where most of the water ends, the room that holds most first."""
    lying = ground.lying(told)
    first = sorted(lying, key=lambda name: -lying[name])[:ROOMS]
    return [name for name in first if lying[name] >= SHARE * sum(lying.values())]


def _litres(outcome: Outcome, shown: Shown, ground: Ground) -> str:
    """What comes where; where that hangs on the floor, the least and the most, and every room that gets wet on any."""
    told, ranged = outcome.told, by_floor.litres(outcome, shown, ground)
    wet = ground.wetted(outcome)
    if ranged or any(number < len(outcome.each) for number in wet.values()):
        return f"{ranged or f'about {shown.litres(ground.most(outcome))}'}, {by_floor.rooms(outcome, ground)}"
    return f"about {shown.litres(ground.undrained(told))} in {joined(_rooms(told, ground))}"


def _noticed(outcome: Outcome, shown: Shown) -> str:
    """When it is noticed and by whom; where that hangs on the floor, from the soonest to the latest."""
    told, ranged = outcome.told, by_floor.noticed(outcome, shown)
    if told.first_noticed is None:
        others = f" on {ranged.never}, {ranged.when} after the first water on the others" if ranged else ""
        return f"noticed by nobody and nothing{others}"
    after = told.first_noticed - (told.first_water or 0.0)
    when = f"{shown.duration(abs(after))} {'after' if after >= 0.0 else 'before'} the first water"
    if ranged:
        when = f"{ranged.when} after the first water by floor{f', on {ranged.never} never' if ranged.never else ''}"
    known = ", of which nobody is told"
    if told.first_known is not None:
        later = told.first_known - told.first_noticed
        known = f"; somebody knows {shown.duration(later)} after that" if later > LATER else ""
    return f"noticed {when} ({told.noticed_by}{known})"


def _ends(outcome: Outcome, shown: Shown) -> str:
    """What stops it, and whether it starts again by itself; where that hangs on the floor, from the soonest to the
    latest."""
    told, ranged = outcome.told, by_floor.stopped(outcome, shown)
    again = times(told.reopenings)
    if restless(told.reopenings, told.horizon):
        again = "without rest"
    if told.still_running:
        some = f" on {ranged.never} (ended {ranged.when} after it on the others)" if ranged else ""
        if told.reopenings:
            return f"never ended{some}, starting again by itself {again}"
        return f"and stopped by nothing{some}"
    if ranged:
        never = f", on {ranged.never} never" if ranged.never else ""
        return f"ended {ranged.when} after it by floor{never} ({told.stopped_by}){_again(told, again)}"
    after = shown.duration((told.stopped or 0.0) - (told.first_water or 0.0))
    return f"ended {after} after it ({told.stopped_by}){_again(told, again)}"


def _again(told: Consequence, times: str) -> str:
    return f", having started again by itself {times}" if told.reopenings else ""


def _drained(wet: list[Outcome], shown: Shown, ground: Ground) -> str:
    """What hangs on a floor drain."""
    taken = [ground.most_taken(o) for o in wet]
    number = sum(volume > 0.0 for volume in taken)
    if not number:
        return ""
    return (
        f"; with {number} of them a floor drain takes water away, up to {shown.litres(max(taken))}, while it is clear"
    )


# --- the tank, pairs, answers, the drain ------------------------------------------------------------------------------


def _tanks(result: StudyResult, shown: Shown) -> Iterator[str]:
    """How far tanks are driven, and what starves them: in the longest run."""
    who, horizon = max(result.who, key=lambda pair: pair[1])
    astray, alone = failures.Astray.of(result, who), failures.singles(result, who)
    if not astray.usual or not alone:
        return
    span = shown.duration(horizon)
    driven = [(astray.by(tank), o, tank) for o in alone for tank in o.told.tanks if astray.by(tank) > FAR]
    far = len({o.faults for _, o, _ in driven})
    air = [o for o in alone if o.told.return_pump_dry is not None]
    if not far and not air:
        yield (
            f"None of the {len(alone)} single faults tried drives a tank's salinity more than {shown.salinity(FAR)} "
            f"{astray.words}, or lets a return pump draw air, in {span} ({who})"
        )
        return
    clauses = []
    if driven:
        _, worst, tank = max(driven, key=lambda row: row[0])
        low = shown.salinity(tank.lowest).removesuffix(" ppt")
        clauses.append(
            f"{far} of the {len(alone)} single faults {'drive' if far > 1 else 'drives'} a tank's salinity more than "
            f"{shown.salinity(FAR)} {astray.words}, {tank.tank} between {low} and {shown.salinity(tank.highest)} "
            f"with “{worst.faults[0]}”"
        )
    if air:
        stops = sum(o.told.return_pump_dry_after is not None and o.told.return_pump_dry_after.kind in HELD for o in air)
        held = (
            f", with {stops} of them because a protection or a hand had stopped the top-off: what holds water back "
            "also starves the tank"
        )
        of = len(air) if driven else f"{len(air)} of the {len(alone)} single faults"
        clauses.append(f"with {of} a return pump draws air{held if stops else ''}")
    yield f"The tank, {who} ({span}): {'; '.join(clauses)}"


def _pairs(result: StudyResult, bad: failures.Bad, shown: Shown, ground: Ground) -> Iterator[str]:
    every = failures.pairs(result)
    if not every:
        return
    if not bad:
        yield f"None of the {len(every)} runs with two faults does clearly more than the two alone add up to"
        return
    worst, added = bad[0]
    litres = ground.undrained(worst.told)
    text = (
        f"Of the {len(every)} runs with two faults, {len(bad)} {'do' if len(bad) > 1 else 'does'} clearly more than "
        "the two alone add up to"
    )
    if litres > added + SPOONFUL:
        text += (
            f"; most is added by “{' + '.join(worst.faults)}”, {worst.who}: about {shown.litres(litres)} in "
            f"{joined(_rooms(worst.told, ground))} instead of {shown.litres(added, litres)}, {_ends(worst, shown)}"
        )
    yield text


def _unknown(result: StudyResult, ground: Ground) -> Iterator[str]:
    """Which answers decide most, and how to find out the first of them."""
    effects = _deciding(result, ground)
    if not effects:
        return
    named = joined([f"“{e.key}” of {e.part} ({count(len(e.faults), 'fault')})" for e in effects[:ROOMS]])
    more = f" and {len(effects) - ROOMS} more" if len(effects) > ROOMS else ""
    yield f"What the file does not say decides what some faults do: {named}{more}"


def _deciding(result: StudyResult, ground: Ground) -> list[UnknownEffect]:
    """Answers that change what single faults do, those with most water at stake first."""
    found = [effect for effect in result.unknowns if effect.faults]
    return sorted(found, key=lambda effect: (-_at_stake(effect, ground), -len(effect.faults)))


def _at_stake(effect: UnknownEffect, ground: Ground) -> float:
    """By how much the other answer changes what comes onto floors, over all its faults [m3]."""
    return sum(abs(ground.undrained(c.other) - ground.undrained(c.taken)) for c in effect.changes if c.taken.faults)


def _drain(result: StudyResult, shown: Shown, ground: Ground) -> Iterator[str]:
    who, horizon = max(result.who, key=lambda pair: pair[1])
    alone = failures.singles(result, who)
    unseen = [o for o in alone if ground.wasted(o.told) and o.told.on_floors <= SPOONFUL]
    if unseen:
        worst = max(unseen, key=lambda o: ground.wasted(o.told))
        yield (
            f"With {len(unseen)} of the {len(alone)} single faults no floor gets wet but water runs down the drain, "
            f"most with “{worst.faults[0]}”: about {shown.litres(ground.wasted(worst.told))} in "
            f"{shown.duration(horizon)} instead of {shown.litres(ground.usual[who])}"
        )


# --- the next thing to do ---------------------------------------------------------------------------------------------


def _next(result: StudyResult, shown: Shown, ground: Ground) -> str:
    """The one next thing: what is wrong although nothing fails, else what has most water at stake, else what the checks
    ask for first."""
    every = all_findings(result.findings, result.remarks, result.design, shown)
    unasked = {remark.code for remark in result.remarks if remark.code in UNASKED}
    first = next((f for f in every if f.code in unasked), None)
    if first is None:
        text = _most_at_stake(result, ground)
        if text:
            return text
        first = next((f for f in every if f.level != "note"), None)
    if first is None:
        return NOTHING_NEXT
    return f"Next, for {first.where}: {_first_of(first.remedy)} ({first.code})"


def _first_of(text: str) -> str:
    """The first sentence of several, as a part of another one."""
    first = text.partition(". ")[0].removesuffix(".")
    return first[:1].lower() + first[1:]


UNASKED: Final = frozenset({"S201", "S202", "S203", "S206", "S207", "S215"})  # what is wrong although nothing fails


def _most_at_stake(result: StudyResult, ground: Ground) -> str:
    """A cure for the faults whose water runs on, or the answer to find out; empty where neither is at stake."""
    who, _ = max(result.who, key=lambda pair: pair[1])
    lasting = [o for o in failures.singles(result, who) if o.lasts and ground.most(o) > SPOONFUL]
    groups: dict[str, list[Outcome]] = {}
    for outcome in lasting:
        let_go = outcome.told.reopenings > 0 and any(line.kind == "trip" for line in outcome.beats.lines)
        kind = COMES_BACK if let_go else group(outcome.faults[0], result.design)
        groups.setdefault(kind, []).append(outcome)
    groups.pop("", None)
    at_stake = {kind: sum(map(ground.most, rows)) for kind, rows in groups.items()}
    kind = max(at_stake, key=lambda kind: (kind not in HARDLY_ENDED, at_stake[kind]), default="")
    effects = _deciding(result, ground)
    if effects and _at_stake(effects[0], ground) >= CHEAPER * at_stake.get(kind, 0.0):
        effect = effects[0]
        how = _first_of(effect.find_out) or "try it out"
        return (
            f"{FIND_OUT} “{effect.key}” of {effect.part}, which is {answers.said(result.design, effect)} and decides "
            f"{count(len(effect.faults), 'single fault')}: {how}"
        )
    if not kind:
        return ""
    rows, every = groups[kind], len(lasting)
    of = f"{len(rows)} of the {every} faults" if len(rows) < every else f"the {count(every, 'fault')}"
    do, until = NEXT[kind]
    tries = f"; `dewpond probes {result.design.file}` tries where" if kind in PROBED and result.design.plans else ""
    return (
        f"Next: {do}, for {of} whose water runs on ({who}), such as “{rows[0].faults[0]}” (not tried here{tries}); "
        f"{until}"
    )
