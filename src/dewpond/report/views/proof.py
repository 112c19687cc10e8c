"""A proof in words: which rules hold, how each other one is broken, what runs on with two faults, what was left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from dewpond.design.model import Design, cause_text
from dewpond.errors import FINDINGS, FINE
from dewpond.plant.plant import Plant
from dewpond.proof.story import Step, begin_of, fits, steps
from dewpond.proof.verdicts import ALONE, BROKEN, HOLDS, UNFINISHED, Case, Pairs, Proof, Verdict, is_told_first
from dewpond.proof.verdicts import RULES as ORDER
from dewpond.report.views.blocks import Block, Fold, Grid, Items, Line, Notice, Report, Section, Story, Text
from dewpond.report.views.proof_claims import claimed_of, claims_of, taken_as_claimed
from dewpond.report.views.proof_cures import BELOW, beneath_of
from dewpond.report.views.proof_open import named, open_of, untried
from dewpond.report.views.proof_words import LEFT_OUT, RULES, SETTINGS
from dewpond.report.views.shown import DAY, Shown, count, joined, sentence, shown_in

MINUTE: Final = 60
STOPPED: Final = 130
TOLD = 2  # steps that make a story
MORE_LINES = 12
MORE_CASES = 8  # of a rule, that are listed
FEW_PAIRS = 6  # in a line of the table
STOPPED_EARLY: Final = (
    "STOPPED before its end: what follows was asked until then, and the rest was not; what would mend it may be "
    "missing."
)
NO_TIMES: Final = " No times were found that fit this way, and those told do not: it may not come about."
STAYS_AWAY: Final = (
    " What goes by the clock, or is pressed by it, may stay away for good here, with nothing failed: a run keeps its "
    "hours and tells more (`dewpond study`)."
)
BY_THE_CLOCK: Final = ("IL-09", "IL-10")  # rules that are asked with clocks that keep no hours
WHY: Final = {
    "rim": "there is its rim",
    "drains back": "there its rim is reached once the return pump stops",
    "salt": "there the tank has freshened by 2 g/kg",
}
NO_MORE: Final = "it runs on: nothing more need fail"
NO_SET: Final = "stopped in every case that was looked at"
TOO_LONG: Final = "has lasted too long"  # in what a trip says of a run that was
UNSEEN: Final = "not seen in a run"
TRIED: Final = {
    True: "Tried in a run of the plant: confirmed.",
    False: "Tried in a run of the plant at these moments: it did not come about; it may need others.",
    None: "Not tried in a run of the plant.",
}


def proof_report(design: Design, plant: Plant, proof: Proof) -> Report:
    """All of it."""
    shown = shown_in(design.shown_in)
    broken = [verdict for verdict in proof.verdicts if verdict.verdict == BROKEN]
    sections = [Section("answer", "What came out", tuple(_answer(proof)))]
    if broken:
        sections.append(
            Section("broken", "What is broken, and how it comes about", tuple(_broken(broken, design, plant, shown)))
        )
    if proof.open:
        told = open_of(design, proof, shown, lambda verdict: _about(verdict, design, shown), names_of)
        sections.append(Section("open", "What the file leaves open", tuple(told)))
    sections.append(Section("rules", "Rule by rule", (*_rules(proof), *_beyond(proof))))
    if any(verdict.claimed for verdict in proof.verdicts):
        sections.append(Section("claims", "What the file claims", tuple(claims_of(proof, _beside))))
    if proof.pairs:
        sections.append(Section("pairs", "What lets water run on", tuple(_pairs(proof))))
    sections.append(Section("left-out", "What was taken for granted", (Items((*LEFT_OUT, *taken_as_claimed(proof))),)))
    if proof.classes:
        classes = Items(tuple(joined(labels) for labels in proof.classes))
        sections.append(Section("classes", "Faults that do the same, taken as one", (classes,), brief=False))
    return Report(design.title, f"Proof of {design.file}: every order of events", tuple(sections))


def exit_code(proof: Proof) -> int:
    """1 when a rule is broken, with whichever answer the file leaves open, or a search was not finished, 130 when it
    was stopped by hand."""
    if proof.stopped:
        return STOPPED
    holds = all(verdict.verdict == HOLDS for verdict in proof.verdicts)
    return FINE if holds and not (proof.otherwise or _cut_off(proof) or untried(proof)) else FINDINGS


def of_rule(proof: Proof, rule: str) -> list[Verdict]:
    """What came of a rule."""
    return [verdict for verdict in proof.verdicts if verdict.rule == rule]


def _cut_off(proof: Proof) -> list[Verdict]:
    """Searches that were cut off with another answer than the one taken."""
    return [verdict for key in proof.open for other in key.others for verdict in other.unfinished]


def _answer(proof: Proof) -> Iterator[Block]:
    otherwise = {verdict.rule for verdict in proof.otherwise}
    cut = {verdict.rule for verdict in (*proof.verdicts, *_cut_off(proof)) if verdict.verdict == UNFINISHED}
    asked = [rule for rule in ORDER if of_rule(proof, rule) or rule in otherwise or rule in cut]
    bad = [rule for rule in asked if any(v.verdict == BROKEN for v in of_rule(proof, rule))]
    open_ = [rule for rule in ORDER if rule in cut]
    held = len(asked) - len({*bad, *open_, *otherwise})
    faults = "with one thing failed" if proof.most_faults == 1 else f"with up to {proof.most_faults} things failed"
    most = f" Sets of faults were looked for {faults}, at any moment and in any order."
    hold = "holds" if held == 1 else "hold"
    whose = "asked until it was STOPPED" if proof.stopped else "asked of this house"
    unasked = _unasked(proof, open_, [rule for rule in ORDER if rule not in asked])
    texts = [f"{held} of the {count(len(asked), 'rule')} {whose} {hold} whatever one thing fails{unasked}.{most}"]
    if bad:
        texts.append(f"Broken: {named(bad)}.")
    if more := otherwise.difference(bad):
        texts.append(f"Broken with another answer to what the file leaves open: {named(more)}.")
    if not asked:
        texts = [] if proof.stopped else ["There is nothing in this house that acts by itself, and no rule to ask."]
    if proof.stopped:
        texts.append(STOPPED_EARLY)
    yield Text(" ".join(texts), "lead")
    if open_:
        yield Text(
            f"NOT FINISHED: {joined(open_)}. The search was cut off before it ended; that nothing was found there says "
            "nothing. Give it more states (`--most-states`), or fewer faults (`--faults 1`).",
            "caution",
        )
    if untried(proof):
        yield Text("NOT FINISHED: an answer that the file leaves open was not asked to its end, see there.", "caution")
    if proof.stopped:
        return
    yield Text(
        f"{'Where it was finished, the' if open_ else 'The'} search ended because no new state appeared: "
        f"{proof.states:,} states, {proof.steps:,} changes tried, at most {count(proof.depth, 'event')} in a row; "
        f"{count(proof.faults, 'fault')} of the house have a say in it, "
        f"{count(len(proof.classes), 'group')} of them do the same and were taken as one."
    )
    missing = [rule for rule in ORDER if rule not in asked]
    if missing and asked:
        yield Text(f"Not asked, as nothing in this house is of their sort: {joined(missing)}.", "quiet")


def _unasked(proof: Proof, cut: Sequence[str], missing: Sequence[str]) -> str:
    """How the first sentence goes on where not all was asked; empty where all was."""
    told = ""
    if cut:
        told += f", and {len(cut)} {'was' if len(cut) == 1 else 'were'} not asked to {_their(len(cut))}: {joined(cut)}"
    if proof.stopped and missing:
        told += f"; not asked, or nothing here is of their sort: {joined(missing)}"
    left = sum(not key.tried for key in proof.open)
    if left:
        were = "was" if left == 1 else "were"
        told += (
            f"; {left} of the {count(len(proof.open), 'answer')} that the file leaves open {were} not tried to "
            f"{_their(left)}"
        )
    return told


def _their(number: int) -> str:
    return "its end" if number == 1 else "their end"


def subject(verdict: Verdict, design: Design) -> str:
    """What a verdict is about; of a trip the part that it stops, and the row, which says the rest."""
    part, _, says = verdict.about.partition(": ")
    mine = [row for row in design.rows if part in dict(row.effects)]
    rows = [row for row in mine if says.endswith(cause_text(row.cause))]
    runs = [row for row in mine if row.too_long and TOO_LONG in says]
    if verdict.claimed or verdict.setting != ALONE or not (rows or runs):
        return verdict.about
    return f"{part} (row of line {rows[0].line})" if rows else f"{part} (a run too long, row of line {runs[0].line})"


def _about(verdict: Verdict, design: Design, shown: Shown) -> str:
    """What a rule was asked of, with its line, or with what it bears."""
    if verdict.bears is not None:
        height, why = verdict.bears
        return f"{verdict.about} (bears water up to {shown.height(height)}: {WHY[why]})"
    if verdict.claimed:
        return claimed_of(verdict)
    return f"{verdict.about} (line {verdict.line})" if verdict.line else subject(verdict, design)


def _abouts(mine: Sequence[Verdict], design: Design, shown: Shown) -> str:
    """The same for all verdicts of a rule: what the file claims of several is said once."""
    plain, claims = [_about(verdict, design, shown) for verdict in mine if not verdict.claimed], dict[str, list[str]]()
    for verdict in (verdict for verdict in mine if verdict.claimed):
        claims.setdefault(claimed_of(verdict).removeprefix(verdict.about), []).append(verdict.about)
    return "; ".join([*([joined(plain)] if plain else []), *(f"{joined(of)}{said}" for said, of in claims.items())])


def _broken(broken: Sequence[Verdict], design: Design, plant: Plant, shown: Shown) -> Iterator[Block]:
    yield Text(
        "Each is told by one shortest way. Where nothing says how long a thing takes, it is told a minute after the "
        "one before; water that lies somewhere came there by whatever leak. What "
        "would mend it is told as what to write into the file: change the house first, for the file says what is there."
    )
    seen: set[tuple[str, int]] = set()
    for rule in ORDER:
        mine = [verdict for verdict in broken if verdict.rule == rule]
        if not mine:
            continue
        words = RULES[rule]
        about = _abouts(mine, design, shown)
        remedy = BELOW if all(verdict.cures for verdict in mine) else words.cure
        yield Notice("warning", rule, words.title, f"It should be so: {words.asks}. It is not for: {about}.", remedy)
        short = []
        for verdict in sorted(mine, key=lambda one: len(steps(plant, one.cases[0])) < TOLD):  # as they are printed
            first, *others = verdict.cases
            told, beneath = steps(plant, first), beneath_of(verdict, shown, seen)
            if len(told) >= TOLD:
                ending = f"{subject(verdict, design)}: {words.title}. {TRIED[first.confirmed]}"
                ending += ("" if fits(plant, first) else NO_TIMES) + _hours(verdict, plant)
                yield Story(tuple(_lines(told, shown)), (ending, *beneath))
            elif first.machine is not None:
                failed = "" if _told_in(verdict.about, first) else f": {names_of(first)}"
                short.append(
                    " ".join(
                        [
                            f"{subject(verdict, design)}{failed}. {TRIED[first.confirmed]}{_hours(verdict, plant)}",
                            *beneath,
                        ]
                    )
                )
            elif beneath:
                short.append(" ".join([f"{subject(verdict, design)}.", *beneath]))
            if others:
                same = _listed([(names_of(case), case.confirmed) for case in others], MORE_CASES)
                yield Text(f"The same with: {same}.", "quiet")
        if short:
            yield Items(tuple(short))


def _hours(verdict: Verdict, plant: Plant) -> str:
    """What is to be said of a vessel that is dry with nothing failed, in a house with clocks."""
    asked = plant.clocks and verdict.rule in BY_THE_CLOCK and not verdict.cases[0].faults
    return STAYS_AWAY if asked else ""


def names_of(case: Case) -> str:
    """The faults of a case in words; of those that do the same, the first few."""
    if not case.faults:
        return "nothing failed"
    return " + ".join(_class(labels) for labels in case.faults)


def _told_in(about: str, case: Case) -> bool:
    """Whether what a verdict is about says already what failed."""
    return len(case.faults) == 1 and any(is_told_first(label, about) for label in case.faults[0])


def _class(labels: Sequence[str]) -> str:
    left = len(labels) - 1
    return labels[0] if not left else f"{labels[0]} (or {count(left, 'other')} like it)"


def _lines(told: tuple[Step, ...], shown: Shown) -> Iterator[Line]:
    for step in told:
        text, sort = line_of(step, shown)
        yield Line(clock(begin_of(told) + step.time), sentence(text), sort)


def clock(seconds: float) -> str:
    """Time of day so long after a midnight [s], with its day where that is another one."""
    day, rest = int(seconds // DAY), int(seconds % DAY)
    text = f"{rest // 3600:02}:{rest % 3600 // MINUTE:02}:{rest % MINUTE:02}"
    return f"day {day + 1}, {text}" if day else text


def line_of(step: Step, shown: Shown) -> tuple[str, str]:
    """A step in words, and a word for its sort."""
    if step.kind == "fails":
        return step.text, "fault"
    if step.kind == "ends":
        return f"{step.text}: over", "fault"
    if step.kind == "press":
        return f"somebody re-arms {step.text}", "act"
    if step.kind == "midnight":
        return "midnight: the day's counts begin anew", "note"
    if step.what == "pool":
        much = shown.litres(step.mark)
        text = f"{much} lie in {step.text}" if step.kind == "rises" else f"{step.text} dries: less than {much} are left"
        return text, "water"
    if step.what == "level":
        way = "rises above" if step.kind == "rises" else "falls below"
        return f"the water in {step.text} {way} {shown.height(step.mark)}", "level"
    return step.text, "note"


def _rules(proof: Proof) -> Iterator[Grid]:
    """Those that are broken first."""
    rows: dict[bool, list[tuple[str, ...]]] = {True: [], False: []}
    for rule in ORDER:
        otherwise = [v for v in proof.otherwise if v.rule == rule]
        mine = of_rule(proof, rule) or otherwise
        if not mine:
            continue
        bad = sum(v.verdict == BROKEN for v in of_rule(proof, rule))
        open_ = sum(v.verdict == UNFINISHED for v in mine)
        beyond = sum(v.verdict == HOLDS and bool(v.cases) for v in mine)
        words = [f"broken for {bad} of {len(mine)}"] if bad else []
        words += [f"not finished for {open_}"] if open_ else []
        words += [f"with another answer broken for {len({v.about for v in otherwise})}"] if otherwise else []
        words = words or ["holds"]
        if beyond and not bad:
            words.append(f"until more fails ({beyond})")
        settings = joined(list(dict.fromkeys(SETTINGS[v.setting] for v in mine)))
        rows[bool(bad or open_ or otherwise)].append(
            (rule, RULES[rule].asks, settings, str(len(mine)), ", ".join(words), f"{max(v.states for v in mine):,}")
        )
    head = ("rule", "what must be so", "looked at", "asked", "answer", "most states")
    for worse, caption in ((True, "Rules that are broken, or not finished"), (False, "Rules that hold")):
        if rows[worse]:
            yield Grid(caption, head, tuple(rows[worse]), (3, 5), 1, whole=True)


def _beyond(proof: Proof) -> Iterator[Block]:
    """What breaks a rule that holds, once more fails than it must bear."""
    found = [(v, case) for v in proof.verdicts if v.verdict == HOLDS and v.rule != "IL-06" for case in v.cases]
    lines = [f"{v.rule}, {v.about}: {names_of(case)}" for v, case in found]
    if lines:
        more = (f"and {len(lines) - MORE_LINES} more; --json has all of them",) if len(lines) > MORE_LINES else ()
        yield Text("Rules that hold until more fails than they must bear, and what that is:", "quiet")
        yield Items((*lines[:MORE_LINES], *more))


def _pairs(proof: Proof) -> Iterator[Block]:
    yield Text(
        "Where the supply's water can get out, what stops it by itself when nothing else fails, and the smallest sets "
        "of faults with which it may run on until somebody shuts it by hand. Each was tried in runs of the plant; "
        f"those behind “{UNSEEN}” ended in them, or need other moments. Where water goes through a pump, a limit may "
        "end it, which depends on how wide the leak is, and no width is assumed."
    )
    rows = [
        (_marked(pair), " > ".join(pair.places), joined(_stops(pair)) or "nothing", _sets(pair)) for pair in proof.pairs
    ]
    head = ("what lets it out", "where it goes", "stopped by", "may run on with, beside that")
    yield Grid("Water that gets out", head, tuple(rows), wide=3)
    untold = [
        (pair.about, "; ".join(_beside(pair.about, case) for case in pair.untold))
        for pair in proof.pairs
        if pair.untold
    ]
    if untold:
        grid = Grid(
            "Of these, with nobody told of the water", ("what lets it out", "beside that"), tuple(untold), wide=1
        )
        yield Fold(f"{count(len(untold), 'spill')} of which nobody is told", (grid,))


def _stops(pair: Pairs) -> list[str]:
    again = " (which opens again by itself)"
    return [f"{name}{again if name in pair.reopening else ''}" for name in pair.layers]


def _sets(pair: Pairs) -> str:
    if not pair.cases:
        return NO_SET if pair.finished else "not finished"
    return _listed([(_beside(pair.about, case), case.confirmed) for case in pair.cases], FEW_PAIRS)


def _listed(sets: Sequence[tuple[str, bool | None]], most: int) -> str:
    """Sets of faults in words, with those that no run of the plant came to behind the others."""
    seen = [text for text, confirmed in sets[:most] if confirmed is not False]
    unseen = [text for text, confirmed in sets[:most] if confirmed is False]
    more = [f"and {len(sets) - most} more"] if len(sets) > most else []
    return "; ".join([*seen, *([f"{UNSEEN}: {unseen[0]}", *unseen[1:]] if unseen else []), *more])


def _marked(pair: Pairs) -> str:
    """What lets water out, with the lines that claim something of it."""
    lines = joined([str(line) for line in pair.claimed])
    return f"{pair.about} (claimed: line{'s' if len(pair.claimed) > 1 else ''} {lines})" if lines else pair.about


def _beside(about: str, case: Case) -> str:
    others = [_class(labels) for labels in case.faults if not any(is_told_first(label, about) for label in labels)]
    return " + ".join(others) or NO_MORE
