"""Edits that may cure how a vessel is filled: what limits a run, and what stops the pump above."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from dewpond.design.checks_layers import WITHOUT_POWER
from dewpond.design.handy import at_most, free_name, mark_below, quoted, system_of
from dewpond.design.model import Cause, Design, Row, Term, TooLong, cause_text
from dewpond.design.rows import CAUSE_ENDS, RE_ARMED
from dewpond.parts.base import Level, PartView
from dewpond.plant.plant import DAY
from dewpond.proof.cures.edits import (
    HANGS,
    LIMITED,
    MARKS,
    MEMORY,
    WIRED,
    Edit,
    Edits,
    Matter,
    by_line,
    fills,
    in_row,
    mapping,
    marks_in,
    message_for,
    new_row,
    of_part,
    room,
    usual,
    with_key,
    with_new_row,
    with_row,
)
from dewpond.proof.cures.of_layers import BY_HAND, CONTACT, HIGH, NORMAL, REMEMBERS, TOGETHER
from dewpond.proof.cures.of_parts import fitted, kind_with, wired_beside
from dewpond.proof.questions.dosing import GIVES, Dose, evaporates
from dewpond.vocabulary import Word

HALF, HIGH_UP = 0.5, 0.8  # shares of a way; our prior
OF_A_DAY = 0.8  # of the day's most, after which a run is too long; our prior
SPARE = 1.5  # times what evaporates that limits must leave the pump to bring; our prior
DRIVEN, POWER = "driven by", "power"  # keys


# -- too much ----------------------------------------------------------------------------------------------------------
def stopped_by_limits(m: Matter) -> Edits:
    """IL-08b: what a run that is too long brings about, what is counted, and how much a run and a day may bring."""
    dose = m.dose()
    if dose is None:
        return
    for row in fills(m, dose):
        yield from _counts_kept(m, row)
        yield from _locked(m.design, row, [])
        yield from _less_a_day(m, dose, row)
    yield from _limited(m, dose)
    if not m.verdict.about.endswith(LIMITED):
        yield from stopped_above(m)
        yield from _both(m, dose)


def not_too_long(m: Matter) -> Edits:
    """IL-08: a run as long as the vessel bears, and what stops the pump above."""
    dose = m.dose()
    if dose is None:
        return
    alone = m.verdict.about.endswith(LIMITED)
    pumps = {m.plant.gates[gate] for gate in dose.gates}
    if not alone and m.parts_failed & pumps:  # no limit ends what runs on
        yield from stopped_above(m)
    yield from _limited(m, dose)
    if not alone and not m.parts_failed & pumps:
        yield from stopped_above(m)
    if not alone:
        yield from _both(m, dose)


def stopped_by_contact(m: Matter) -> Edits:
    """IL-18: what stops the pump above, and shorter runs besides, where a limit breaks a rule once it counts."""
    yield from stopped_above(m)
    dose = m.dose()
    if dose is not None:
        yield from _both(m, dose)


def _limited(m: Matter, dose: Dose) -> Edits:
    """Shorter runs, locked when too long until somebody re-arms them."""
    for row in fills(m, dose):
        for edited, keys, changed in _shorter(m, dose, row):
            locked = list(_locked(edited, changed, keys))
            yield from locked or [Edit(in_row(*keys), row.line, edited)]


def _both(m: Matter, dose: Dose) -> Edits:
    """What stops the pump above, the first way, and shorter runs as well."""
    above = next((edit for edit in stopped_above(m) if edit.design is not None), None)
    if above is None or above.design is None:
        return
    for limit in _limited(replace(m, design=above.design), dose):
        text = f"{above.text}; and {by_line(limit.text, limit.line)}"
        yield Edit(text, above.line, limit.design)


def stopped_above(m: Matter) -> Edits:
    """A contact in the pump's lead, by a switch below what the vessel bears: those that are there, else new ones."""
    dose = m.dose()
    if dose is None:
        return
    cutters = [part.name for part in m.boxes(thinking=False)]
    high = [part for part in m.design.parts if part.get(HIGH) is not None and part.get("in") == _vessel(m, dose)]
    for switch in high:
        by = switch[WIRED] if switch[WIRED] in cutters else next(iter(cutters), "")
        yield from _by_switch(m, dose, switch, by)
    if not high or not cutters:
        yield from _by_new_parts(m, dose, next(iter(high), None), next(iter(cutters), ""))


def _by_switch(m: Matter, dose: Dose, switch: PartView, by: str) -> Edits:
    """A switch for high water that is there is set lower, or read ``by`` a contact in the lead, or both."""
    pumps = [m.plant.gates[gate] for gate in dose.gates]
    own = [row for row in m.design.rows if any(term.part == switch.name for term in row.cause.terms)]
    stops = [row for row in own if set(pumps) & set(dict(row.effects))]
    lower = [_lowered(m, dose, switch, share, dose.bears if not stops else 0.0) for share in (HIGH_UP, HALF)]
    for design, mark in ((m.design, ""), *(one for one in lower if one is not None)):
        set_ = f"set it lower: {of_part(switch.name, mark)}" if mark else ""
        if set_ and stops:  # first the mark alone
            yield Edit(set_, _mark_line(m, switch), design)
        if not by:
            continue
        wired = with_key(design, switch.name, WIRED, by) if switch[WIRED] != by else design
        wires = f"{of_part(switch.name, f'{WIRED}: {quoted(by)}')}, once it is wired so" if wired is not design else ""
        first = "; ".join(text for text in (set_, wires) if text)
        line = m.line(switch.name, WIRED if wires else "")
        for row in (row for row in stops if row.by != by):
            text = (
                f"{first}; in the row of line {row.line} write `by: {quoted(by)}`"
                if first
                else in_row(f"by: {quoted(by)}")
            )
            yield Edit(text, line if first else row.line, with_row(wired, row, by=by))
        for tell in dict.fromkeys([_told_beside(m, pumps, by), None]) if not stops else ():
            cut, row_text = _cut_off(m, wired, switch.name, pumps, by, tell)
            text = f"{first}; {by_line(row_text, m.last_row())}" if first else row_text
            yield Edit(text, line if first else m.last_row(), cut)


def _told_beside(m: Matter, pumps: list[str], by: str) -> str | None:
    """The message of a row beside a new one: of one that the same box carries out, else of one that
    orders the pump, else the one for what must be seen to today; None where there is none."""
    same = [row.tell for row in m.design.rows if row.by == by and row.tell]
    rows = [row for row in m.design.rows if set(pumps) & set(dict(row.effects))]
    own = [row.too_long.tell for row in rows if row.too_long and row.too_long.tell]
    return next(iter([*same, *own]), message_for(m.design, urgent=False))


def _by_new_parts(m: Matter, dose: Dose, switch: PartView | None, by: str) -> Edits:
    """What is missing of a switch for high water and a contact in the pump's lead, with a row that joins them."""
    pumps = [m.plant.gates[gate] for gate in dose.gates]
    box = next((part for part in m.boxes(thinking=True) if part.name == m.design.part(pumps[0]).get(DRIVEN)), None)
    cutter, switches = kind_with(m, WITHOUT_POWER, role="box", without=HANGS), kind_with(m, "in", HIGH, WIRED)
    sensor = wired_beside(m, switches)
    if box is None or sensor is None or cutter is None or switches is None:
        return
    design, texts, line = m.design, list[str](), m.line(box.name)
    if not by:
        by = free_name(design, "{} cut-out", pumps[0])
        word = next(param.words[0] for param in cutter.params if param.key == WITHOUT_POWER)
        new = fitted(design, cutter, by, box.name, {POWER: str(box.get(POWER)), WITHOUT_POWER: word})
        if new is None:
            return
        design, texts = new.design, [new.text]
    if switch is None:
        name, aim = free_name(design, "high {} mark", _vessel(m, dose)), usual(m, dose)
        level, text = mark_below(Level(aim), HIGH_UP * (dose.bears - aim), design)
        keys = {"in": _vessel(m, dose), "at": text, WIRED: by, CONTACT: "opens when high", HIGH: str(Word.OPEN)}
        new = fitted(design, switches, name, sensor, keys, {"at": level})
        if new is None:
            return
        design, line = new.design, line if texts else m.line(sensor)
        texts.append(new.text)
    else:
        name, design = switch.name, with_key(design, switch.name, WIRED, by)
        texts.append(of_part(name, f"{WIRED}: {quoted(by)}"))
    design, row_text = _cut_off(m, design, name, pumps, by, message_for(design, urgent=False))
    said = f"{', '.join(texts)}, and {by_line(row_text, m.last_row())}"
    yield Edit(f"what cuts the pump's lead above: {said}", line, design)


def _cut_off(
    m: Matter, design: Design, switch: str, pumps: list[str], by: str, tell: str | None = None
) -> tuple[Design, str]:
    """With a row by which a high mark cuts the lead of pumps, and its words."""
    cause = Cause("any", 1, (Term(switch, str(Word.HIGH)),))
    effects = tuple((pump, str(Word.STOPPED)) for pump in pumps)
    row = Row("", m.last_row(), cause, 0.0, effects, CAUSE_ENDS, "", None, None, None, None, by, tell)
    keys = (
        f"cause: {quoted(cause_text(cause))}, effect: {mapping(dict(effects))}, until: {CAUSE_ENDS}, by: {quoted(by)}"
    )
    keys += f", tell: {quoted(tell)}" if tell else ""
    joined = "" if design.combination else f", and behind the matrix add `combination: {TOGETHER}`"
    design = replace(design, combination=design.combination or TOGETHER)
    return with_new_row(design, row), f"{new_row(design, keys)}{joined}"


def _vessel(m: Matter, dose: Dose) -> str:
    return m.plant.stores[dose.store]


def _mark_line(m: Matter, switch: PartView) -> int:
    return m.line(switch.name, next(key for key in MARKS if switch.get(key) is not None))


def _lowered(m: Matter, dose: Dose, switch: PartView, share: float, above: float) -> tuple[Design, str] | None:
    """A high mark that stands ``above`` a height lowered to a share of the way from where the vessel is filled to what
    it bears; None where it is as low."""
    key = next(key for key in MARKS if switch.get(key) is not None)
    mark = _mark_of(m, switch.name, dose.store)
    aim = usual(m, dose) + share * (dose.bears - usual(m, dose))
    if mark is None or max(aim, above) >= mark or not isinstance(switch[key], Level):
        return None
    level, text = mark_below(switch[key], aim - mark, m.design)
    design, keys = with_key(m.design, switch.name, key, level), [f"{key}: {text}"]
    if isinstance(silent := switch.get("is satisfied at"), Level):
        level, text = mark_below(silent, aim - mark, m.design)
        design, keys = with_key(design, switch.name, "is satisfied at", level), [*keys, f"is satisfied at: {text}"]
    return design, ", ".join(keys)


def _mark_of(m: Matter, sensor: str, store: int) -> float | None:
    """The upper mark of a sensor in a vessel [m]."""
    marks = [on for owner, on, _ in marks_in(m, store) if owner == sensor]
    return max(marks, default=None)


def _counts_kept(m: Matter, row: Row) -> Edits:
    for part, _ in row.effects:
        box = m.design.part(row.by or str(m.design.part(part).get("driven by")))
        memory = box.get(MEMORY)
        if isinstance(memory, dict) and memory.get("counts") != Word.KEPT:
            kept = {**memory, "counts": str(Word.KEPT)}
            text = f"{of_part(box.name, f'{MEMORY}: {mapping(kept)}')}{REMEMBERS}"
            yield Edit(text, m.line(box.name, MEMORY), with_key(m.design, box.name, MEMORY, kept))


def _locked(design: Design, row: Row, keys: list[str]) -> Edits:
    """A run that is too long is locked until a hand re-arms it; of a row with a longest run."""
    limit = row.too_long
    if row.at_most is None or (limit is not None and limit.until == RE_ARMED):
        return
    tell = (limit.tell if limit else None) or row.tell or message_for(design, urgent=False)
    told = TooLong(str(Word.STOPPED), RE_ARMED, NORMAL, tell)
    words = {"effect": Word.STOPPED, "until": f"{BY_HAND} {NORMAL}", **({"tell": tell} if tell else {})}
    text = in_row(*keys, f"when a run is too long: {mapping(words)}")
    yield Edit(text, row.line, with_row(design, row, too_long=told))


def _shorter(m: Matter, dose: Dose, row: Row) -> Iterator[tuple[Design, list[str], Row]]:
    """A run as long as the vessel bears, half of that, or one that is too long before the day's most is given, which
    would hide it; if the pump still brings what evaporates."""
    fast = GIVES * dose.flow
    whole = room(m, dose) / fast
    need = SPARE * evaporates(m.plant, dose.store) / dose.flow  # share of the time
    shown = [OF_A_DAY * row.per_day / fast] if row.per_day is not None and row.per_day / fast < whole else []
    for longest in (whole, HALF * whole, *shown) if whole > 0.0 else ():
        seconds, text = at_most(longest, "duration", system_of(m.design))
        if (row.at_most is None or seconds < row.at_most) and seconds >= need * (seconds + (row.gap or 0.0)):
            changed = replace(row, at_most=seconds)
            yield with_row(m.design, row, at_most=seconds), [f"at most: {text}"], changed


def _less_a_day(m: Matter, dose: Dose, row: Row) -> Edits:
    """Two days of it are borne; if that is more than what evaporates."""
    if not room(m, dose) > 0.0:
        return
    volume, text = at_most(HALF * room(m, dose), "volume", system_of(m.design))
    if (row.per_day is None or volume < row.per_day) and volume >= SPARE * evaporates(m.plant, dose.store) * DAY:
        yield Edit(in_row(f"per day: {text}"), row.line, with_row(m.design, row, per_day=volume))
