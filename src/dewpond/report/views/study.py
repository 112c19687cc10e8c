"""The report of a study, from what to act on down to the figures it stands on."""

from __future__ import annotations

from collections.abc import Sequence

from dewpond.report import story
from dewpond.report.views import answers, by_floor, cautions, failures, findings, flows, lines, matters, rulers
from dewpond.report.views.blocks import Block, Fold, Grid, Items, Report, Section, Story, Text
from dewpond.report.views.drains import LEAVES, SPOONFUL, Ground
from dewpond.report.views.failures import FAR, Astray
from dewpond.report.views.register import register_blocks
from dewpond.report.views.schematic import schematic_blocks
from dewpond.report.views.shown import Shown, count, joined, shown_in
from dewpond.report.views.stories import Courses, story_blocks
from dewpond.study.drained import rooms
from dewpond.study.outcome import Outcome, StudyResult

FRESHER = 0.05  # below its lowest salinity when nothing fails: too much fresh water has come [g/kg]; our prior
MOST_CHANGES = 12
FEW = 3  # labels that are told one by one


def study_report(result: StudyResult, charts: Courses | None = None) -> Report:
    """Everything a study found. ``charts``: charts of levels and water of the worst runs, as far as they were made."""
    shown = shown_in(result.design.shown_in)
    bad = failures.bad_pairs(result)
    sections = (
        Section("matters", "What matters most", (Items(matters.sentences(result, shown, bad), numbered=True),)),
        Section("cautions", "Before you touch anything", cautions.general(result.design)),
        Section("drawing", "The installation drawn", schematic_blocks(result.design), brief=False),
        Section("act", "What to act on", act(result, shown)),
        Section("short", "Counted", short(result, shown, bad)),
        Section(
            "flows",
            "Does it work at all: flows, pressures, filling",
            flows.flow_blocks(result.flows, result.design, shown),
        ),
        Section(
            "tanks",
            "The tank when nothing fails",
            (
                tank_grid(result, shown),
                *_normal_story(result, shown),
                *(
                    Text(text, "caution")
                    for one in result.normal[:1]
                    for text in rulers.not_used(result.design, one.told, shown)
                ),
            ),
        ),
        Section("failures", "All failures", (*_bars(result, shown), *register_blocks(result, shown, bad))),
        Section("answers", "Answers that are unknown or left out", unknown(result, shown)),
        Section("stories", "The worst faults, told", story_blocks(result, shown, charts or {}, bad), brief=False),
        Section("assumed", "What was assumed", assumed(result), brief=False),
        Section("limits", "What was not considered", not_considered(result)),
        Section("kinds", "Cautions for each kind of part", (cautions.of_kinds(result.design),), brief=False),
    )
    return Report(result.design.title, _subtitle(result), sections)


def _subtitle(result: StudyResult) -> str:
    made, copied = result.counts.made, result.counts.copied
    runs = f"{count(made, 'run')} made" + (f", {copied} copied from faults alone" if copied else "")
    unfinished = "" if result.finished else " Stopped before its end: what follows is not everything."
    studied = f"Study of {result.design.file}, {result.season}{story.how_full(result.start)}."
    return f"{studied} {runs[0].upper()}{runs[1:]}.{unfinished}"


def short(result: StudyResult, shown: Shown, bad: failures.Bad | None = None) -> tuple[Block, ...]:
    """The main sentences, one for each way of being there. ``bad`` as in matters.sentences."""
    ground = Ground.under(result)
    blocks: list[Block] = [Text(text, "lead") for text in (*_stopped(result), *_unasked(result, shown))]
    for who, horizon in result.who:
        alone_ = failures.singles(result, who)
        if alone_:
            blocks.append(Text(_in_short(alone_, who, horizon, shown, ground), "lead"))
            blocks += [Text(text) for text in _no_fill(result, who, horizon, shown)]
            blocks += _held_in_short(alone_, who, result)
            blocks += [Text(text, "lead") for text in _wasted_in_short(alone_, who, shown, ground)]
            blocks += [Text(text, "lead") for text in _tanks_in_short(alone_, who, result, shown)]
    blocks += [Text(text) for text in by_floor.of_study(result, shown_in(result.design.shown_in))]
    pairs = failures.pairs(result)
    if pairs:
        number = len(failures.bad_pairs(result) if bad is None else bad)
        blocks.append(Text(
            f"Of {count(len(pairs), 'run')} with two faults, in each order that can differ, {number} do clearly more "
                "than the two faults alone add up to."
        ))  # fmt: skip
    return (*blocks, *map(Text, _dry_floors(result, ground)))


def _stopped(result: StudyResult) -> list[str]:
    """What a study that was stopped did not come to: said before all else."""
    if result.finished:
        return []
    left, missing = result.not_run, []
    if left.alone:
        missing.append(f"{count(left.alone, 'run')} of single faults")
    if left.answers:
        keys = joined([f"{part}, “{key}”" for part, key in left.answers])
        missing.append(f"the other answer to what is unknown or left out ({keys})")
    made = len(failures.pairs(result))
    missing.append(f"{left.pairs} or more runs of two faults" if made else "every run of two faults: no pairs were run")
    return [f"This study was stopped before its end. What is missing: {'; '.join(missing)}."]


def _unasked(result: StudyResult, shown: Shown) -> list[str]:
    """What goes wrong although nothing fails: said before all else."""
    return story.unasked(result.normal, shown)


def _in_short(outcomes: list[Outcome], who: str, horizon: float, shown: Shown, ground: Ground) -> str:
    wet = [o for o in outcomes if any(told.on_floors > SPOONFUL for told in o.each)]
    span = shown.duration(horizon)
    start = f"While {story.WHO_WORDS[who]} ({span}): "
    dry = sum(o.lasts for o in outcomes if o not in wet)
    kept = f" With {dry} more it is still running at the end, into trays or drains only." if dry else ""
    if not wet:
        return f"{start}none of the {len(outcomes)} single faults tried puts water on a floor.{kept}"
    lasting = _on_all([[told.still_running for told in o.each] for o in wet])
    unseen = _on_all([[told.first_noticed is None for told in o.each] for o in wet])
    worst = wet[0]
    ranged = by_floor.litres(worst, shown, ground)
    about = f"about {shown.litres(ground.most(worst))} onto floors"
    most = f"{ranged.removesuffix(by_floor.BY_FLOOR)} onto floors, by how they lie" if ranged else about
    middle = shown.litres(_median([ground.most(o) for o in wet]))
    there = " even where it is most" if any(o.floors for o in wet) else " there"
    half = f"; half of the {len(wet)} bring less than {middle}{there}" if len(wet) > 1 else ""
    full = tuple(dict.fromkeys(room for told in worst.each for room in ground.overfull(told)))
    leaves = f" (more than can stand in {joined(full)}: it {LEAVES})" if full else ""
    return (
        f"{start}{len(wet)} of {len(outcomes)} single faults {_verb('put', len(wet))} water on a floor. "
        f"Noticed by nobody and nothing: {unseen}. Still running at the end: {lasting}. "
        f"Most water comes with “{worst.faults[0]}”: {most}, taken by no drain{leaves}"
        f"{half}."
        f"{_drained(wet, shown, ground)}{kept}"
    )


def _verb(word: str, number: int) -> str:
    """ "1 puts", "2 put", "none puts"."""
    return word if number > 1 else f"{word}s"


def _drained(outcomes: list[Outcome], shown: Shown, ground: Ground) -> str:
    """What floor drains take away, and with what most."""
    taken = [(ground.most_taken(o), o) for o in outcomes]
    litres, worst = max(taken, key=lambda pair: pair[0])
    if litres <= 0.0:
        return ""
    number = sum(volume > 0.0 for volume, _ in taken)
    return (
        f" With {number} of them a floor drain takes water away, most with “{worst.faults[0]}”: {shown.litres(litres)} "
        "as long as it is clear."
    )


def _no_fill(result: StudyResult, who: str, horizon: float, shown: Shown) -> list[str]:
    """A run too short for a fill shows nothing of what leaks only while water is made."""
    made = [p.volume for o in result.normal if o.who == who for p in o.told.products]
    if not made or max(made) > SPOONFUL:
        return []
    span = shown.duration(horizon)
    text = (
        f"In these {span} no membrane makes water when nothing fails: what leaks only during a fill wets nothing then"
    )
    return [f"{text}, and shows in the longer run."]


def _held_in_short(outcomes: list[Outcome], who: str, result: StudyResult) -> list[Block]:
    """With how many single faults a protection acts and no water gets out, and by what: told apart by whether too much
    had come by then. What acts when nothing fails is no work of a fault."""
    usual = {t.tank: t.lowest for o in result.normal if o.who == outcomes[0].who for t in o.told.tanks}
    anyway = {words for o in result.normal if o.who == outcomes[0].who for words in story.held_back(o)}
    held: tuple[list[tuple[str, str]], list[tuple[str, str]]] = [], []
    for outcome in outcomes:
        words = [one for one in story.held_back(outcome) if one not in anyway]
        if words:
            too_much = any(t.lowest < usual.get(t.tank, 0.0) - FRESHER for t in outcome.told.tanks)
            held[not too_much].append((outcome.faults[0], words[0]))
    of = f"of the {len(outcomes)} single faults"
    ended, needless = held
    blocks: list[Block] = []
    if ended:
        blocks += [
            Text(
                f"A protection ended a run that had brought too much, and no water got out, {who}, with {len(ended)} "
                f"{of}. What would have come without it was not tried."
            ),
            _by_words(ended),
        ]
    if needless:
        blocks += [
            Text(
                f"Something was stopped before any tank had got more than usual, and no water got out, {who}, with "
                f"{len(needless)} {of}. It was right where a vessel would have run over or a pump drawn air; where a "
                "report was false or power was away, it may starve a tank."
            ),
            _by_words(needless),
        ]
    return blocks


def _by_words(rows: list[tuple[str, str]]) -> Items:
    """What acted, each with the faults (label, words) with which it did: with all of them, or with one of many."""
    by: dict[str, list[str]] = {}
    for label, words in rows:
        by.setdefault(words, []).append(label)
    return Items(
        tuple(
            f"{words} ({joined(labels) if len(labels) <= FEW else f'{len(labels)} faults, such as {labels[0]}'})"
            for words, labels in by.items()
        )
    )


def _wasted_in_short(outcomes: list[Outcome], who: str, shown: Shown, ground: Ground) -> list[str]:
    """How many single faults waste water that nobody sees, and the worst of them."""
    unseen = [(ground.wasted(o.told), o) for o in outcomes if o.told.on_floors <= SPOONFUL and ground.wasted(o.told)]
    if not unseen:
        return []
    litres, worst = max(unseen, key=lambda pair: pair[0])
    return [
        (
            f"Down the drain, {who}: with {len(unseen)} of the {len(outcomes)} single faults no floor gets wet, but "
            f"clearly more runs straight to the drain than the {shown.litres(ground.usual[who])} when nothing fails. "
            f"Most with “{worst.faults[0]}”: about {shown.litres(litres)}."
        )
    ]


def _tanks_in_short(outcomes: list[Outcome], who: str, result: StudyResult, shown: Shown) -> list[str]:
    """How many single faults drive a tank far from its salinity, or let a return pump draw air."""
    astray = Astray.of(result, who)
    if not astray.usual:
        return []
    far = sum(any(astray.by(tank) > FAR for tank in o.told.tanks) for o in outcomes)
    dry = sum(o.told.return_pump_dry is not None for o in outcomes)
    return [
        (
            f"The tank, {who}: {far or 'none'} of the {len(outcomes)} single faults {_verb('drive', far)} a "
            f"salinity more than {shown.salinity(FAR)} {astray.words}, and with {dry or 'none'} a return pump "
            "draws air."
        )
    ]


def _on_all(rows: Sequence[Sequence[bool]]) -> str:
    """With how many faults something is so on all the floors that fit, and with how many more on some of them only."""
    some = sum(any(row) and not all(row) for row in rows)
    more = f", and on some floors only with {some} more" if some else ""
    return f"{_of(sum(map(all, rows)), len(rows))}{more}"


def _of(number: int, every: int) -> str:
    return f"{'all' if number == every else number or 'none'} of these {every}"


def _median(volumes: list[float]) -> float:
    return sorted(volumes)[len(volumes) // 2]


def _dry_floors(result: StudyResult, ground: Ground) -> list[str]:
    """The rooms that nothing wets, and those that water comes to on some of the floors that fit only."""
    tried = len(result.failures)
    wetted = [ground.wetted(o) for o in result.failures]
    dry, found = [], []
    for room in rooms(result.design):
        wets = [(o, wet[room]) for o, wet in zip(result.failures, wetted, strict=True) if room in wet]
        if not wets:
            dry.append(room)
        elif all(number < len(o.each) for o, number in wets):
            worst, number = max(wets, key=lambda row: row[1] / len(row[0].each))
            floors = f", on {number} of {len(worst.each)} floors" if worst.floors and worst.floors.every else ""
            found.append(
                f"Onto the floor of {room} water comes on some floors only: with {len(wets)} of the {tried} things "
                f"tried, oftenest with “{' + '.join(worst.faults)}” ({worst.who}{floors})."
            )
    if dry:
        found.insert(0, f"None of the {tried} things tried puts water on the floor of {joined(dry, 'or')}.")
    return found


def act(result: StudyResult, shown: Shown) -> tuple[Block, ...]:
    """Findings of checks and runs."""
    every = findings.all_findings(result.findings, result.remarks, result.design, shown)
    if not every:
        return (Text("Nothing: neither the checks nor the runs object to anything they look at."),)
    return (*findings.notices(every), *lines.open_lines(result, shown))


def tank_grid(result: StudyResult, shown: Shown) -> Grid:
    """Salinity when nothing fails, and the furthest it is driven by a single fault."""
    lone = failures.singles(result)
    rows = []
    for tank in result.tanks:
        lows = [(t.lowest, o.faults[0]) for o in lone for t in o.told.tanks if t.tank == tank.tank]
        highs = [(t.highest, o.faults[0]) for o in lone for t in o.told.tanks if t.tank == tank.tank]
        low, high = min(lows, default=(tank.lowest, "")), max(highs, default=(tank.highest, ""))
        rows.append((
            tank.tank, shown.litres(tank.volume), shown.salinity(tank.start),
            f"{shown.salinity(tank.lowest)} to {shown.salinity(tank.highest)}",
            f"{shown.salinity(low[0])} ({low[1]})", f"{shown.salinity(high[0])} ({high[1]})",
        ))  # fmt: skip
    head = ("tank", "water", "salinity", "when nothing fails", "lowest by one fault", "highest by one fault")
    return Grid("Salinity of each tank and what mixes with it", head, tuple(rows), (1,), wide=4)


def _normal_story(result: StudyResult, shown: Shown) -> tuple[Block, ...]:
    return tuple(Fold(f"The run in which nothing fails, {o.who}", (_told(o, result, shown),)) for o in result.normal)


def _told(outcome: Outcome, result: StudyResult, shown: Shown) -> Story:
    """A run told, held against the runs in which nothing fails."""
    return story.tell(outcome, result.design, shown, result.unknowns, result.normal)


def _bars(result: StudyResult, shown: Shown) -> tuple[Block, ...]:
    """How to read the table, and a chart for each way of being there."""
    ground = Ground.under(result)
    blocks: list[Block] = [Text(
        "Times are counted from the start of the run; “noticed” and “stopped” from the first water. A hidden fault "
        "stands since before; others begin after 1 h. “To the drain” is what runs straight there without lying on a "
        f"floor, told where it is clearly more than when nothing fails ({_usual(ground, shown)}).", "quiet",
    )]  # fmt: skip
    for who, horizon in result.who:
        title = f"Water that came onto floors, taken by no drain, {who}, {shown.duration(horizon)}"
        bars = failures.litre_bars(title, failures.singles(result, who), shown, ground)
        if bars is not None:
            blocks.append(bars)
    return tuple(blocks)


def _usual(ground: Ground, shown: Shown) -> str:
    return ", ".join(f"{who} {shown.litres(volume)}" for who, volume in ground.usual.items())


def unknown(result: StudyResult, shown: Shown) -> tuple[Block, ...]:
    """Which unknown answers matter."""
    design = result.design
    if not design.unknowns:
        return (Text("No answer is unknown: every key that could be is given."),)
    untried = [u for u in design.unknowns if (u.part, u.key) in result.not_run.answers]
    open_ = (answers.open_grid(answers.UNTRIED, design, untried, shown),) if untried else ()
    folds = tuple(
        Fold(f"What changes with the other answer: {e.part}, {e.key}",
             (answers.changed_grid(e, design, shown, MOST_CHANGES),))
        for e in result.unknowns if e.changes
    )  # fmt: skip
    tried = (answers.effect_grid(design, result.unknowns, shown),) if result.unknowns else ()
    return (*tried, *folds, *open_)


def assumed(result: StudyResult) -> tuple[Block, ...]:
    """Figures and models that stand in for what nobody has measured."""
    return (answers.assumed_fold(result.design), cautions.notes_of_kinds(result.design))


def not_considered(result: StudyResult) -> tuple[Block, ...]:
    """What the study leaves out, so that nobody takes it for more than it is."""
    seasons = "the other season: this is the " + result.season + "; ask for the other one with --season"
    asked = {who for who, _ in result.who}
    left = [words for who, words in story.WHO_WORDS.items() if who not in asked]
    elsewhere = [f"other places to be; not run: {joined(left)} (--who)"] if left else []
    return (Items((seasons, *elsewhere, *cautions.NOT_CONSIDERED)),)
