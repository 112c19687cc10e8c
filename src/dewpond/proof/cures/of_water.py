"""Edits that may cure how water that gets out is stopped, and told."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from dewpond.design.checks_layers import DRIES
from dewpond.design.handy import free_name, quoted
from dewpond.design.lying import places_of
from dewpond.design.model import Cause, Design, Row, Term, cause_text
from dewpond.design.rows import CAUSE_ENDS
from dewpond.parts.base import PartView
from dewpond.plant.plant import PlantFault
from dewpond.proof.asking.claims import divided
from dewpond.proof.cures.edits import (
    PROBE,
    THE_DAY,
    WIRED,
    WRITE_IT,
    Edit,
    Edits,
    Matter,
    in_row,
    listed,
    message_for,
    new_row,
    of_own_probe,
    of_part,
    sensors_of,
    with_key,
    with_new_row,
    with_row,
)
from dewpond.proof.cures.of_parts import fitted, inner, kind_with
from dewpond.proof.cures.stopped import BEHIND, SIPHONED, never_stops
from dewpond.proof.prover import TWO
from dewpond.proof.questions.flooding import before
from dewpond.proof.questions.layers import layers
from dewpond.proof.questions.water import Spill, onward
from dewpond.proof.verdicts import Case
from dewpond.vocabulary import Word

SEEN: Final = "seen to work with purified water"  # key of a probe
AFTER: Final = "after"  # key: whence a part has its water
CUP: Final = f", but only once you have poured a cup of purified water over it and seen it act{WRITE_IT}"
NEVER, DONE = "never", "seen"  # what may stand in the place of the day
SPOT: Final = "where its water goes"
LASTING = 5.0  # of a cause that tells of water [s]; our prior


# -- valves ------------------------------------------------------------------------------------------------------------
def moved_ahead(m: Matter) -> Edits:
    """IL-04: a valve that shuts by itself is put right behind the stop tap, or the supply where there is none: one that
    is there, else a new one with a probe of its own where the water ends. First all at once, of which the file claims
    that they stop this water, and that do not stand before it."""
    guards = {layer.part for layer in layers(m.plant) if layer.ends_water}
    sources = {part.name for part in m.design.parts if m.kinds[part.kind].role == "source"}
    first = next((part for part in m.design.parts if part.get(AFTER) in sources), None)
    if first is None:
        return
    head = str(first[AFTER]) if first.name in guards else first.name
    valves = [part.name for part in m.design.parts if part.name in guards and part.get(AFTER) not in (None, head)]
    claimed = _claimed_behind(m)
    together = [part.name for part in m.design.parts if part.name in claimed & guards and part.get(AFTER) is not None]
    for moved in ([together] if len(together) > 1 else []) + [[valve] for valve in valves]:
        edited, text = _moved(m, moved, head)
        yield Edit(f"put {' and '.join(moved)} right behind {head}: {text}", m.line(moved[0], AFTER), edited)
    if not guards:
        yield from _new_valve(m, head)


def _claimed_behind(m: Matter) -> set[str]:
    """The parts of which the file claims that they stop this water, and that do not stand before it."""
    spill = m.spill()
    if spill is None:
        return set()
    named = {name for own, claims in divided(m.plant, m.design.claims) if own == spill for one in claims
             for name in one.layers}  # fmt: skip
    return named - {layer.part for layer in before(m.plant, spill)}


def _moved(m: Matter, valves: Sequence[str], head: str) -> tuple[Design, str]:
    """Valves that stand one behind the other right behind the head of the water, in this order; what had its water from
    one of them has it from where that one had it, and what had it from the head, from the last of them."""
    whence = {part.name: str(part[AFTER]) for part in m.design.parts if part.get(AFTER) is not None}
    goes = dict[str, str]()
    for name, behind in whence.items():
        if name in valves:
            continue
        new = behind
        while new in valves:
            new = whence[new]
        goes |= {name: valves[-1] if new == head else new}
    goes |= dict(zip(valves, [head, *valves], strict=False))
    changed = {name: goes[name] for name in [*valves, *whence] if goes[name] != whence[name]}
    return _led(m.design, changed)


def _behind(m: Matter, head: str, valve: str) -> dict[str, str]:
    """What had its water from one part has it from a valve behind that."""
    return {part.name: valve for part in m.design.parts if part.get(AFTER) == head}


def _led(design: Design, goes: Mapping[str, str]) -> tuple[Design, str]:
    """Parts that have their water from others, and what to write for that."""
    for name, behind in goes.items():
        design = with_key(design, name, AFTER, behind)
    return design, ", ".join(of_part(name, f"{AFTER}: {quoted(behind)}") for name, behind in goes.items())


def _new_valve(m: Matter, head: str) -> Edits:
    """A valve with a probe and cells of its own."""
    spill, kind, where = m.spill(), kind_with(m, DRIES, PROBE, AFTER), m.design.part(head).get("in")
    if spill is None or kind is None or where is None:
        return
    place = m.plant.places[list(onward(m.plant, spill.place))[-1]].name
    params = {param.key: param for param in kind.params}
    own = {"in": place, "at": SPOT, SEEN: THE_DAY}
    keys = {AFTER: head, "in": str(where), DRIES: params[DRIES].words[0], PROBE: own}
    name = free_name(m.design, "leak valve")
    new = fitted(m.design, kind, name, head, keys, {PROBE: inner(params[PROBE], {**own, SEEN: DONE})})
    if new is not None:
        edited, text = _led(new.design, _behind(m, head, name))
        yield Edit(f"a valve with a probe and cells of its own: {new.text}, and {text}{CUP}", m.line(head), edited)


# -- probes ------------------------------------------------------------------------------------------------------------
def seen_by(m: Matter) -> Edits:
    """IL-05: a probe that lies in the water is tried with purified water."""
    spill = m.spill()
    if spill is None:
        return
    wet = {m.plant.places[place].name for place in onward(m.plant, spill.place)}
    found = (part for layer in before(m.plant, spill) for part in sensors_of(m, layer))
    for part in dict.fromkeys(part.name for part in found):
        view = m.design.part(part)
        inner = view.get(PROBE)
        own = inner if isinstance(inner, Mapping) else view.values
        lies = {own.get("in")} if own is inner else set(places_of(view))
        if not lies & wet or own.get(SEEN) != NEVER:
            continue
        if own is inner:
            edited = with_key(m.design, part, PROBE, {**own, SEEN: DONE})
            yield Edit(f"{of_own_probe(part, f'{SEEN}: {THE_DAY}')}{CUP}", m.line(part, PROBE), edited)
        else:
            edited = with_key(m.design, part, SEEN, DONE)
            yield Edit(f"{of_part(part, f'{SEEN}: {THE_DAY}')}{CUP}", m.line(part, SEEN), edited)


def probe_laid(m: Matter) -> Edits:
    """IL-05: the probe of a valve's own is laid where the water comes."""
    spill = m.spill()
    if spill is None:
        return
    yield from _laid(m, spill, [layer.part for layer in before(m.plant, spill)])


def _laid(m: Matter, spill: Spill, valves: Sequence[str]) -> Edits:
    """The same for these of the valves."""
    places = [m.plant.places[place].name for place in onward(m.plant, spill.place)]
    for name in dict.fromkeys(valves):
        own = m.design.part(name).get(PROBE)
        if not isinstance(own, Mapping) or own["in"] in places:
            continue
        for place in places:
            text = (
                f"lay the probe of {name} in {place}, and {of_own_probe(name, f'in: {quoted(place)}', f'at: {SPOT}')}"
            )
            edited = with_key(m.design, name, PROBE, {**own, "in": place, "at": SPOT})
            yield Edit(text, m.line(name, PROBE), edited)


def probe_added(m: Matter) -> Edits:
    """IL-05, IL-14: one more probe where the water comes, wired as one that is there, in the row that has that one."""
    spill = m.spill()
    if spill is None:
        return
    for row in wet_rows(m):
        model, kind = m.design.part(row.cause.terms[0].part), kind_with(m, "in", "at", WIRED, SEEN)
        if row.cause.op != "any" or SEEN not in model.values or kind is None:
            continue
        for place in (m.plant.places[place].name for place in onward(m.plant, spill.place)):
            name = free_name(m.design, "{} probe", place)
            contact, reads = "opens when wet", str(Word.OPEN)
            keys = {"in": place, "at": SPOT, WIRED: model[WIRED], "contact": contact}
            keys |= {"read as wet when": reads, SEEN: THE_DAY}
            new = fitted(m.design, kind, name, model.name, keys, {SEEN: DONE})
            if new is None:
                continue
            cause = replace(row.cause, terms=(*row.cause.terms, Term(name, str(Word.WET))))
            said = f"cause: {quoted(cause_text(cause))}"
            text = f"one more probe: {new.text}, and in the row of line {row.line} write `{said}`{CUP}"
            yield Edit(text, m.line(model.name), with_row(new.design, row, cause=cause))


def wet_rows(m: Matter) -> Iterator[Row]:
    """Rows that a probe sets off."""
    for row in m.design.rows:
        if any((term.word, term.negated) == (Word.WET, False) for term in row.cause.terms):
            yield row


# -- who is told -------------------------------------------------------------------------------------------------------
def tells(m: Matter) -> Edits:
    """IL-14: a row of a probe in the water tells somebody."""
    spill = m.spill()
    message = message_for(m.design, urgent=True)
    if spill is None or message is None:
        return
    wet = {m.plant.places[place].name for place in onward(m.plant, spill.place)}
    told = [part for row in m.design.rows for part in (term.part for term in row.cause.terms)]
    rows = [row for row in wet_rows(m) if row.tell is None]
    rows.sort(key=lambda row: not any(wet & {*places_of(m.design.part(term.part))} for term in row.cause.terms))
    for row in rows:
        yield Edit(in_row(f"tell: {quoted(message)}"), row.line, with_row(m.design, row, tell=message))
    for part in m.design.parts:
        if part.get(WIRED) and wet & {*places_of(part)} and SEEN in part.values and part.name not in told:
            yield telling(m, part, str(Word.WET), LASTING, "5 s", message)


def telling(m: Matter, part: PartView, word: str, lasting: float, shown: str, message: str) -> Edit:
    """A row that only tells."""
    cause = Cause("any", 1, (Term(part.name, word),))
    row = Row("", m.last_row(), cause, lasting, (), CAUSE_ENDS, "", None, None, None, None, None, message)
    text = new_row(
        m.design, f"cause: {quoted(cause_text(cause))}, lasting: {shown}, effect: {{}}, tell: {quoted(message)}"
    )
    return Edit(text, m.last_row(), with_new_row(m.design, row))


# -- what two hang on --------------------------------------------------------------------------------------------------
def shared(m: Matter) -> Edits:
    """IL-06: which of those claimed never stops this water; else which thing they have in common, which nothing that a
    text in the file cures."""
    spill = m.spill()
    if spill is None:
        return
    named = m.verdict.claimed or tuple(dict.fromkeys(layer.part for layer in before(m.plant, spill)))
    never = {name: why for name in named if (why := never_stops(m, spill, name))}
    names = [name for name in named if name not in never]
    if never and m.verdict.claimed:
        yield from _not_of_two(m, spill, never)
        return
    faults = [fault for case in m.verdict.cases for fault in _beside(m, case, spill.labels)]
    many, both = " and ".join(names), "both" if len(names) == TWO else "all"
    for part in dict.fromkeys(fault.part for fault in faults):
        way = next(fault.label for fault in faults if fault.part == part)
        own = "box" if m.kinds[m.design.part(part).kind].role == "box" else "probe"
        text = (
            f"{many} {both} hang on {part} (it takes no more than “{way}”): give one of them a {own} and a power of "
            "its own, or take a valve with a probe and cells of its own"
        )
        if part in names:  # what fails is one of them, and the others do not hang on it
            text = f"of {many} none but {part} stops this water alone: with “{way}” it runs on"
        yield Edit(text, m.design.lines[part], None)


def _not_of_two(m: Matter, spill: Spill, never: Mapping[str, str]) -> Edits:
    """IL-06, where some of those claimed never stop this water: they are moved, their probes laid where it comes, or
    less is claimed."""
    if any(why == BEHIND for why in never.values()):
        yield from moved_ahead(m)
    yield from _laid(m, spill, [name for name, why in never.items() if "probe" in why])
    yield from claims_less(m)


def claims_less(m: Matter) -> Edits:
    """IL-04, IL-05, IL-06: which of those claimed never stop this water, and what may be claimed of it."""
    spill = m.spill()
    claim = next((one for one in m.design.claims if one.line == m.verdict.line), None) if m.verdict.claimed else None
    if spill is None or claim is None:
        return
    never = {name: why for name in claim.layers if (why := never_stops(m, spill, name))}
    names, reasons = [name for name in claim.layers if name not in never], set(never.values())
    if not never:
        return
    said = [
        f"{name} does not stop this water at all, for {why if why == SIPHONED or 'probe' in why else f'it {why}'}"
        for name, why in never.items()
    ]
    comes = " or ".join(m.plant.places[place].name for place in onward(m.plant, spill.place))
    todo = ["put it before the leak"] if BEHIND in reasons else []
    todo += [f"lay a probe that trips it in {comes}"] if any("probe" in why for why in reasons) else []
    kept = quoted(names[0]) if len(names) == 1 else listed(names)
    less = f"write `is stopped by: {kept}`" if names else "leave it out"
    yield Edit(f"{'; '.join(said)}: {', or '.join([*todo, f'claim less: {less}'])}", m.verdict.line, None)


def _beside(m: Matter, case: Case, leaks: tuple[str, ...]) -> list[PlantFault]:
    """What fails beside the leak; nothing where more than one thing does."""
    others = [labels[0] for labels in case.faults if leaks[0] not in labels]
    return [m.plant.fault(label) for label in others] if len(others) == 1 else []
