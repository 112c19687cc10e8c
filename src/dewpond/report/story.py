"""A run in plain words: what happened when, in the order of causes, and what came of it.

Names are the design's own; times are clock times of the house. Nothing is judged: no outcome is called good or bad.
"""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.design.model import Design
from dewpond.physics.membrane import STANDSTILL_VOLUME
from dewpond.plant.balance import Product
from dewpond.plant.consequence import FLUTTERS, Consequence
from dewpond.plant.moments import FAULT_DASH, OVER
from dewpond.plant.stopping import BY_ITSELF
from dewpond.report.shut_for_good import for_good, stays_shut
from dewpond.report.views import answers, by_floor, by_floor_ends
from dewpond.report.views.blocks import Line, Story
from dewpond.report.views.drains import LEAVES, SPOONFUL, Ground
from dewpond.report.views.shown import TO_AND_FRO, Shown, clock, joined, restless, sentence, times
from dewpond.study.beats import Beat, Beats
from dewpond.study.drills import SINCE_BEFORE
from dewpond.study.outcome import Outcome, UnknownEffect
from dewpond.study.starting import ABOUT_TO_CALL, AS_WRITTEN, JUST_FILLED

LEAST_WORSE = 0.05  # of the steady purity: less is not worth a word; our prior
PURER = 0.03  # a product that the starts make worse by less is told only where nothing fails [kg/m3]
HALF = 0.5  # a drain that takes more than this share of a place's water takes "all but" the rest
HELD = "acted, and no water got out"
STUCK = "asked to act, and could not"
UNORDERED = "never told to shut, because of that"
IMPURE = 1.5  # times the strength of a sound membrane's product from which it is told
WIDE = 1.0  # span of a salinity that is told although nothing fails [g/kg]
SALT_MOVED = 0.1  # a salinity that stays within so much of where it was is not told [g/kg]
MOST_TOLD, BEGINNING = 3, 2  # of the texts of a round: told whole, or so many of a longer one
SORTS = {
    "fault": "fault", "water": "water", "harm": "harm", "trip": "acts", "stop": "acts", "act": "by hand",
    "notice": "noticed", "found": "noticed", "silent": "silent", "message": "message", "again": "again",
}  # fmt: skip
WHO_WORDS = {
    "travelling": "everybody is travelling",
    "at home": "somebody is at home and awake",
    "asleep": "everybody is asleep",
    "out": "everybody is out for the day",
}


def how_full(start: str) -> str:
    """How full the vessels are at first, to follow other words; nothing where it is as the file says."""
    words = {JUST_FILLED: "vessels just filled", ABOUT_TO_CALL: "vessels about to be filled"}
    return "" if start == AS_WRITTEN else f"; {words.get(start, start)}"


def tell(
    outcome: Outcome,
    design: Design,
    shown: Shown,
    effects: Sequence[UnknownEffect] = (),
    normal: Sequence[Outcome] = (),
) -> Story:
    """The story of a run.

    effects  what the other answers to an "unknown" change, as far as they were tried
    normal   the runs in which nothing fails, as far as they are known
    """
    lines = [_line(beat, outcome.who) for beat in outcome.beats]
    if not lines:
        lines.append(Line(clock(0.0, outcome.who), "nothing happens that would show", ""))
    return Story(tuple(lines), tuple(ending(outcome, design, shown, effects, normal)))


def unasked(outcomes: Sequence[Outcome], shown: Shown) -> list[str]:
    """What goes wrong in runs in which nothing fails, the longest first: a sentence for each that shows something of
    another kind than those before it."""
    said: set[str] = set()
    sentences = []
    for outcome in sorted(outcomes, key=lambda o: -o.told.horizon):
        wrong = {f"locked {one.part}": for_good(one, outcome.who) for one in outcome.locked}
        wrong |= _wrong(outcome.told, shown)
        found = {what: text for what, text in wrong.items() if what not in said}
        said |= found.keys()
        if found:
            told = outcome.told
            span = f"{shown.duration(told.horizon)} ({told.who})"
            sentences.append(f"Although nothing fails, within {span}: {joined(list(found.values()))}.")
    return sentences


def _wrong(told: Consequence, shown: Shown) -> dict[str, str]:
    """What goes wrong in a run in which nothing fails: its kind, and the words."""
    found = {}
    if told.on_floors > SPOONFUL:
        found["floor"] = f"about {shown.litres(told.on_floors)} reach a floor"
    found |= {f"over {vessel}": f"{vessel} runs over" for vessel in told.rim_first}
    if told.return_pump_dry is not None:
        found["air"] = "a return pump draws air"
    if told.reservoir_empty is not None:
        found["empty"] = "a reservoir runs empty"
    for tank in told.tanks:
        if tank.end is None:
            found[f"empty {tank.tank}"] = f"{tank.tank} is empty at the end"
        if tank.highest - tank.lowest > WIDE:
            low, high = shown.salinity(tank.lowest), shown.salinity(tank.highest)
            found[f"salt {tank.tank}"] = f"the salinity of {tank.tank} moves between {low} and {high}"
    return found


def as_text(story: Story) -> str:
    """The same as one paragraph, for JSON."""
    told = " ".join(sentence(f"{line.clock}: {line.text}") for line in story.lines)
    return " ".join([told, *story.ending])


def _line(beat: Beat, who: str) -> Line:
    sort = SORTS.get(beat.kind, "")
    if not beat.again:
        since = " (since before)" if beat.kind == "fault" and beat.time <= SINCE_BEFORE else ""
        return Line(clock(beat.time, who), beat.text + since, sort)
    again = "once more" if beat.again == 1 else f"{beat.again} more times"
    if restless(beat.again, beat.until - beat.time):
        return Line(clock(beat.time, who), f"this {TO_AND_FRO} until {clock(beat.until, who)}: {round_of(beat)}", sort)
    last, until = clock(beat.last, who), clock(beat.until, who)
    ends = f" (it ends on {until})" if until != last else ""
    return Line(clock(beat.time, who), f"this repeats {again}, the last time on {last}{ends}: {round_of(beat)}", sort)


def round_of(beat: Beat) -> str:
    """What comes again and again: how a round begins, and which parts have their turn later in it."""
    told = beat.texts if len(beat.texts) <= MOST_TOLD else beat.texts[:BEGINNING]
    words = " \N{EN DASH} ".join(told)
    if len(told) == len(beat.texts):
        return words
    silent = [part for part in beat.parts if part and not any(part in text for text in told)]
    return f"{words}, and so on" + (f" with {joined(silent)}" if silent else "")


def ending(
    outcome: Outcome,
    design: Design,
    shown: Shown,
    effects: Sequence[UnknownEffect] = (),
    normal: Sequence[Outcome] = (),
) -> list[str]:
    """What came of a run: litres, who noticed, what stopped it, whether it starts again, the tank, what is unknown."""
    told, ground = outcome.told, Ground.of(design, normal)
    span = shown.duration(told.horizon)
    sentences = [*by_floor_ends.headline(outcome, shown, ground), _litres(told, shown, span, ground)]
    sentences += _wasted(told, shown, span, ground)
    sentences += [*_held_back(outcome), *(stays_shut(one, outcome.who) for one in outcome.locked)]
    sentences += [*_noticed(told, shown, span), *_stopped(outcome, span), *_siphons(outcome, shown)]
    sentences += _tanks(told, shown)
    sentences += [*_purity(told, shown), *_failed(told)]
    sentences += by_floor.sentences(outcome, design, shown, ground)
    sentences += hangs_on(told, design, shown, effects)
    sentences += [sentence(mark) for mark in told.marks]
    if outcome.copied_from is not None:
        sentences.append(
            f"The other fault changes nothing: it met nothing when “{outcome.copied_from}” was tried alone."
        )
    return sentences


def _litres(told: Consequence, shown: Shown, span: str, ground: Ground) -> str:
    wet = {place: volume for place, volume in told.by_place.items() if volume > SPOONFUL}
    if told.first_water is None or not wet:
        if ground.wasted(told) or ground.large(told):
            return f"No floor and no tray gets wet within {span}."
        few = max(told.by_place.values(), default=0.0)
        if told.first_water is not None and few > 0.0:
            return sentence(f"{by_floor_ends.a_little(few, shown)} out of the plumbing within {span}")
        return f"No water gets out of the plumbing within {span}."
    taken = ground.taken(told)
    each = joined([
        f"{place} gets {shown.litres(v)}{'' if place in taken else passed_on(told, place, shown)}"
        for place, v in wet.items()
    ])  # fmt: skip
    first = shown.duration(told.first_water)
    since = f"The first water gets out {first} after the start." if told.first_water > 0.0 else ""
    if told.on_floors > SPOONFUL:
        floor = f"About {shown.litres(told.on_floors)} reach a floor within {span}"
        only = next(iter(wet))
        onward = "" if only in taken else passed_on(told, only, shown)
        text = f"{floor}: {each}." if len(wet) > 1 else f"{floor}: all of it in {only}{onward}."
    else:
        text = sentence(f"{by_floor_ends.hardly(told.on_floors, shown)} within {span}: {each}")
    drained = [
        f"{drain} takes {_all_but(volume, told.by_place[place], shown)} of what {place} gets."
        for place, (drain, volume) in taken.items()
    ]
    full = ground.overfull(told)
    leaves = [f"That is more than can stand in {joined(full)}: it {LEAVES}."] if full else []
    return " ".join([text, *leaves, *map(sentence, drained), since]).strip()


def _all_but(taken: float, received: float, shown: Shown) -> str:
    """How much of the water of a place its drain took."""
    left = received - taken
    if shown.litres(left) == shown.litres(0.0):
        return "all"
    return f"all but {shown.litres(left)}" if left < HALF * received else shown.litres(taken)


def _wasted(told: Consequence, shown: Shown, span: str, ground: Ground) -> list[str]:
    """Water that nobody sees, since it runs straight to the drain."""
    litres = f"About {shown.litres(told.water.to_drain)}"
    if ground.wasted(told):
        usual = shown.litres(ground.usual[told.who])
        return [f"{litres} run straight to the drain within {span}; when nothing fails it is {usual}."]
    if ground.large(told):
        return [f"{litres} run straight to the drain within {span}: nearly all that is drawn from the supply."]
    return []


def held_back(outcome: Outcome) -> tuple[str, ...]:
    """Protections that acted in a run in which no water got out, in words. That water would have come without them is
    not said: no such run was made."""
    if outcome.told.first_water is not None:
        return ()
    return tuple(dict.fromkeys(line.text for line in outcome.beats.lines if line.kind == "trip" and line.text))


def _held_back(outcome: Outcome) -> list[str]:
    texts = held_back(outcome)
    return [f"{sentence(f'{HELD}: {joined(texts)}')} What would have come without it was not tried."] if texts else []


def _siphons(outcome: Outcome, shown: Shown) -> list[str]:
    back = dict(outcome.backwards)
    way = {True: "back through it, out of what it fills,", False: "through it"}
    return [
        f"{sentence(part).removesuffix('.')} is a siphon: {shown.litres(volume)} run {way[part in back]} while it "
        "stands still."
        for part, volume in outcome.siphons
    ]


def passed_on(told: Consequence, place: str, shown: Shown) -> str:
    """In brackets, what of the water that a place received went on from there; empty when nothing did."""
    whereto, volume = told.onward.get(place, ("", 0.0))
    gone = _all_but(volume, told.by_place.get(place, 0.0), shown)
    return f" (of which {gone} go on to {whereto})" if volume > SPOONFUL else ""


def _failed(told: Consequence) -> list[str]:
    """Protections that were reached and did not act."""
    rows = ((STUCK, stuck(told)), (UNORDERED, told.unordered))
    return [sentence(f"{words}: {joined(names)}") for words, names in rows if names]


def stuck(told: Consequence) -> tuple[str, ...]:
    """Protections that were reached and could not act, without the valves that were not told because of that, and
    without one that ended the water all the same."""
    ended = told.stopped_by or ""
    return tuple(name for name in told.failed if name not in told.unordered and not ended.startswith(f"{name} "))


def _purity(told: Consequence, shown: Shown) -> list[str]:
    """What the starts of a membrane after a standstill do to its product, where that is clearly more than usual."""
    sentences = []
    for product in told.products:
        sentences += _impure(product, shown)
        worse = product.mean() - product.steady
        if product.starts <= 0.0 or worse < LEAST_WORSE * product.steady or (told.faults and worse < PURER):
            continue
        flutters = any(mark.startswith(FLUTTERS) for mark in told.marks)
        if flutters or not product.stood:
            sentences.append(never_stood(product, told.horizon, shown, flutters))
            continue
        text = (
            f"{product.membrane} starts about {_about(product.starts, shown)}: with the first water after each "
            f"standstill its product holds about {shown.dissolved(product.mean())} on average instead of "
            f"{shown.dissolved(product.steady)} ({spread(product, shown)}; our prior)"
        )
        sentences.append(sentence(f"{text}, and what stands behind it wears sooner" if product.followed else text))
    return sentences


def _impure(product: Product, shown: Shown) -> list[str]:
    """What a torn membrane or a spent resin lets into the vessels."""
    holds = shown.dissolved(product.steady)
    said = []
    if product.volume > 0.0 and product.steady > IMPURE * product.sound > 0.0:
        said.append(
            f"The product of {product.membrane} holds about {holds} instead of {shown.dissolved(product.sound)}."
        )
    if product.volume > 0.0 and product.spent:
        takes = "takes" if len(product.spent) == 1 else "take"
        said.append(f"{joined(product.spent)} {takes} nothing out of it any more: the vessels get about {holds}.")
    return [sentence(text) for text in said]


def _about(number: float, shown: Shown) -> str:
    """ "once", "120 times"."""
    return times(int(shown.count_of(number)))


def never_stood(product: Product, span: float, shown: Shown, flutters: bool = False) -> str:
    """A shut-off that goes to and fro: the water behind the membrane does not stand between its moves."""
    moves = f"opens and shuts about {_about(product.starts, shown)} in {shown.duration(span)}"
    if flutters or restless(round(product.starts), span):
        moves = TO_AND_FRO
    return (
        f"The shut-off of {product.membrane} {moves}, with hardly any product in between: how pure that is, is not "
        "worked out."
    )


def spread(product: Product, shown: Shown) -> str:
    """The same with little and with much water standing on the product side."""
    low, _, high = STANDSTILL_VOLUME
    return f"{shown.dissolved(product.mean(low))} to {shown.dissolved(product.mean(high))}"


def _noticed(told: Consequence, shown: Shown, span: str) -> list[str]:
    if told.first_noticed is None:
        if told.first_water is None:
            return []
        by_itself = told.stopped_by is not None and not told.stopped_by.startswith(BY_ITSELF)
        return [f"Nobody {'hears of' if by_itself else 'and nothing notices'} it within {span}."]
    after = told.first_noticed - (told.first_water or 0.0)
    if told.first_water is None or after == 0.0:
        when = f"on {clock(told.first_noticed, told.who)}"
    else:
        when = f"{shown.duration(abs(after))} {'after' if after > 0.0 else 'before'} the first water"
    first = f"First noticed {when}: {told.noticed_by}."
    if told.first_known is None:
        return [f"{first} Nobody is told of it, and nobody sees it, within {span}."]
    if told.first_known > told.first_noticed:
        return [first, f"The first person to know of it does so on {clock(told.first_known, told.who)}."]
    return [first]


def _stopped(outcome: Outcome, span: str) -> list[str]:
    told = outcome.told
    if told.first_water is None:
        return []
    again = f"It starts again by itself {times(told.reopenings)}" if told.reopenings else ""
    if restless(told.reopenings, told.horizon):
        again = f"It {TO_AND_FRO}"
        if told.pauses is not None:
            return [f"It {TO_AND_FRO} within {span}, and nothing has ended its cause."]
    if told.pauses is not None:
        last = f"the last time it stopped on {clock(told.pauses, told.who)}, and nothing has ended its cause"
        return [f"It stops and comes back by itself {times(told.reopenings)} within {span}; {last}."]
    if told.still_running:
        return [f"Nothing has stopped it when the {span} are over.", *([f"{again} in between."] if again else [])]
    assert told.stopped is not None
    first = f"No more water gets out after {clock(told.stopped, told.who)}: {told.stopped_by}."
    if again:
        return [first, f"{again}."]
    open_ = _open_again(told, outcome.beats)
    if open_ is not None:
        when = clock(open_.time, told.who)
        return [first, f"But on {when} {open_.text}: as long as nobody has ended the cause, the water may come back."]
    on = f"on this floor, but does on {outcome.again} of {len(outcome.each)}"
    rest = on if outcome.again else f"within {span}"
    return [first, f"It does not start again by itself {rest}."]


def _open_again(told: Consequence, beats: Beats) -> Beat | None:
    """That a valve which had shut opens again once the water has ended, with a fault that is not over, and no hand has
    shut the water off."""
    faults = {beat.text.partition(FAULT_DASH)[0] for beat in beats if beat.kind == "fault"}
    if told.by_hand or all(OVER.format(label) in faults for label in told.faults):
        return None
    stopped = told.stopped or 0.0
    shut = {beat.part for beat in beats if beat.kind in ("trip", "stop") and beat.time <= stopped}
    late = (beat for beat in beats if beat.time > stopped and beat.part in shut)
    return next((beat for beat in late if beat.text.startswith(f"{beat.part} opens")), None)


def _tanks(told: Consequence, shown: Shown) -> list[str]:
    sentences = []
    for tank in told.tanks:
        if tank.highest - tank.lowest > SALT_MOVED:
            low, high = shown.salinity(tank.lowest), shown.salinity(tank.highest)
            end = "and empty at the end" if tank.end is None else f"{shown.salinity(tank.end)} at the end"
            sentences.append(f"{tank.tank}: salinity between {low} and {high}, {end}.")
        elif tank.end is None:
            sentences.append(f"{tank.tank} is empty at the end.")
    if told.return_pump_dry is not None:
        first = clock(told.return_pump_dry, told.who)
        sentences.append(f"The return pump of {told.return_pump_dry_of} draws air, the first time on {first}.")
        act = told.return_pump_dry_after
        if act is not None:
            since = clock(act.time, told.who)
            if act.kind == "harm":  # what is left in a vessel is still pumped
                sentences.append(f"Little or nothing had topped the tank up any more: from {since} {act.text}.")
            else:
                sentences.append(f"From {since} until then no pump had topped the tank up: {act.text}.")
    if told.reservoir_empty is not None:
        first = clock(told.reservoir_empty, told.who)
        sentences.append(
            f"{told.reservoir_empty_of} is all but empty, or down to a pump's inlet, the first time on {first}."
        )
    if told.overdosed is not None:
        first = clock(told.overdosed, told.who)
        sentences.append(f"More went through {told.overdosed_by} than the tank bears, the first time on {first}.")
    return sentences


def hangs_on(told: Consequence, design: Design, shown: Shown, effects: Sequence[UnknownEffect]) -> list[str]:
    """Whether this outcome hangs on an answer that is unknown, and how to find out."""
    sentences = []
    for effect in effects:
        alike = [c for c in effect.changes if c.taken.who == told.who and bool(c.taken.faults) == bool(told.faults)]
        changes = [c for c in alike if set(c.taken.faults) <= set(told.faults)]
        if not changes:
            continue
        left_out = answers.said(design, effect) == answers.LEFT_OUT
        key = f"an answer that is unknown, {effect.part}, “{effect.key}”{' (left out of the file)' if left_out else ''}"
        if changes[0].taken.faults == told.faults:
            taken, other = (answers.value_text(design, effect, value, shown) for value in (effect.taken, effect.other))
            here, there = answers.both(changes[0], shown)
            text = f"This hangs on {key}. Taken was {taken}: {here}; with {other}: {there}."
        else:
            label = " + ".join(changes[0].taken.faults)
            text = f"This may hang on {key}: it decides what “{label}” alone does."
        sentences.append(f"{text} To find out: {effect.find_out or 'try it out.'}")
    return sentences
