"""The steps of a walk in which something loses its power, its wire or its network, and what tells of that."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from dewpond.design.feeding import bridges
from dewpond.design.model import Heartbeat
from dewpond.parts import KINDS
from dewpond.plant.rows import GOES, STOPS
from dewpond.report.views import sheet
from dewpond.report.views.hands import LONG, Hands, Step, capital
from dewpond.report.views.shown import joined, sentence
from dewpond.study.matrix.model import Box, Effect, Line, Sensor

DANGER: Final = "this is the danger: without power nothing holds the water back"
DRY: Final = "Dry hands, by the plug and not by its lead."
FEEDS: Final = "feeds"  # key of a circuit: those behind it
WHILE_OUT: Final = 300.0  # house power off: long enough to look at everything, short for the animals [s]; our prior


def plug_steps(hands: Hands) -> Iterator[Step]:
    """Boxes, valves that open without power, wires, networks, the whole house."""
    driven = {box.name: [e for e in hands.matrix.effects if e.sort == "ordered" and box.name in e.boxes]
              for box in hands.matrix.boxes}  # fmt: skip
    yield from (_plug(hands, box, driven[box.name]) for box in hands.matrix.boxes if driven[box.name])
    senders = dict.fromkeys(name for beat in hands.design.heartbeats for name in beat.senders)
    yield from (_sender(hands, name) for name in senders if not driven.get(name))
    yield from _opening(hands)
    yield from _wires(hands)
    yield from _networks(hands)
    yield from _house_power(hands)


def _plug(hands: Hands, box: Box, parts: list[Effect]) -> Step:
    names = [effect.name for effect in parts]
    said = [f"{effect.name}: {sheet.position_without_signal(effect)}" for effect in parts]
    if box.lets_without_power:
        said = [f"{joined(names)} may act as if {box.name} were not there"]
    out, told = _missed(hands, [beat for beat in hands.design.heartbeats if box.name in beat.senders])
    said += told
    if box.wait:
        said.append(f"after the plug is in again, no order for {hands.shown.duration(box.wait)}")
    ends = hands.end_all(names)
    back = f"Put the plug in. {ends}" if box.wait else f"{ends} Put the plug in."  # the pause is seen while all calls
    return Step(
        f"The plug of {box.name}", f"{hands.run_all(names)} Pull the plug for {out or 'a minute'}.".strip(),
        sentence("; ".join(said)), back.strip(), DRY, (),
    )  # fmt: skip


def _sender(hands: Hands, name: str) -> Step:
    out, told = _missed(hands, [beat for beat in hands.design.heartbeats if name in beat.senders])
    return Step(f"The plug of {name}", f"Pull it for {out}.", sentence("; ".join(told)), "Put the plug in.", DRY, ())


def _missed(hands: Hands, beats: list[Heartbeat]) -> tuple[str, list[str]]:
    """How long a plug must be out until each of these is missed (empty for none), and who is then told."""
    if not beats:
        return "", []
    told = []
    for beat in beats:
        late = hands.shown.duration(beat.every * beat.missed)
        told.append(f"{joined(beat.tell)} told after {late} that {beat.name} stays away (watched: {beat.watched})")
    return hands.beyond(max(beat.every * beat.missed for beat in beats)), told


def _opening(hands: Hands) -> Iterator[Step]:
    """A valve that is shut by an order, and opens, or may, when its power is gone."""
    for effect in hands.matrix.effects:
        lost = effect.losses
        if effect.sort != "ordered" or effect.stop != STOPS[0] or lost is None:
            continue
        known = "power" not in lost.not_known
        opens = _opens(effect)
        rows = _trips(hands, effect.name)
        if not rows or (known and not opens):
            continue
        row = min(rows, key=lambda line: line.lasting)
        if row.lasting > LONG:
            why = f"whether {effect.name} stays shut without power: its cause must last"
            hands.left.append((row.number, "", f"{why} {hands.shown.duration(row.lasting)}"))
            continue
        said = f"does it stay shut? The file says that it opens: {DANGER}"
        if not known:
            said = f"does it stay shut? Not known, so write it down. If it opens, {DANGER}"
        boxes = f"that of {joined(effect.boxes)}, then " if effect.boxes else ""
        cause = sheet.cause_words(row, hands.matrix, hands.shown)
        yield Step(
            f"{capital(effect.name)} without power, while it is to be shut",
            f"{hands.run(effect.name)} Bring row {row.number} about ({cause}), and see it shut. Pull its plug while "
            f"that still stands: {boxes}its own, if it has one; a minute each.",
            sentence(said), _again(hands, row),
            f"Stay with the bucket, and know where to shut the water by hand. {DRY}", (),
        )  # fmt: skip


def _opens(effect: Effect) -> bool:
    """Whether it goes open without power, by itself or by a spring."""
    return effect.losses is not None and effect.losses.power.startswith(GOES[0])


def _trips(hands: Hands, part: str) -> list[Line]:
    """The rows that a box carries out and that stop a part, and start none."""
    return [
        line
        for line in hands.matrix.lines
        if line.sort == "row" and line.orders.get(part) in STOPS and not set(line.orders.values()) & set(GOES)
    ]


def _again(hands: Hands, row: Line) -> str:
    pressed = " Press the button." if row.latched and not row.only_asks else ""
    return f"Put the plugs in. {sentence(hands.undo(row))}{pressed}"


# --- wires ------------------------------------------------------------------------------------------------------------
def _wires(hands: Hands) -> Iterator[Step]:
    """A broken wire is an open contact: what its input makes of that, and what comes of it."""
    silent: list[str] = []
    comes: dict[str, list[str]] = {}  # what comes of it: the sensors of which it does
    starts: list[str] = []
    for sensor in hands.matrix.sensors.values():
        if sensor.sort == "work":
            continue
        name = f"{sensor.part} ({sensor.state})"
        if sensor.read_when != "open":  # nor do pulses come through a broken one
            silent.append(name)
            continue
        rows = _brought_about(hands, sensor)
        late = [row for row in rows if row.lasting > LONG]
        for row in late:
            wait = hands.shown.duration(row.lasting)
            why = f"a broken wire of {sensor.part} reads as {sensor.state}, but does this only after {wait}"
            hands.left.append((row.number, "", f"{why}: unplug its lead overnight"))
        soon = [row for row in rows if row not in late]
        if soon:
            comes.setdefault(joined([f"as in row {row.number}, {_after(hands, row)}" for row in soon]), []).append(name)
            goes = [part for row in soon for part, word in row.orders.items() if word in GOES]
            starts += [f"Unplugging {sensor.part} starts {part}: lead its tube into the bucket first." for part in goes]
        elif not rows:
            comes.setdefault("nothing, for alone it brings no row about", []).append(name)
    loud = [f"{joined(names)}: {'each ' if len(names) > 1 else ''}{what}" for what, names in comes.items()]
    said = [f"reported: {'; '.join(loud)}"] if loud else []
    said += [f"never reported any more: {joined(silent)}"] if silent else []
    if said:
        yield Step(
            "A broken wire", "Unplug the lead of each of these sensors, one after the other, until you have seen what "
            "comes of it; where nothing does, for a minute. Before the next one plug it in again, and re-arm what has "
            "tripped: what is tripped already shows nothing more.",
            sentence("; ".join(said)), "All leads are in, and what has tripped is re-armed.", " ".join(starts), (),
        )  # fmt: skip


def _after(hands: Hands, row: Line) -> str:
    return f"after {hands.shown.duration(row.lasting)}" if row.lasting else "at once"


def _brought_about(hands: Hands, sensor: Sensor) -> list[Line]:
    """The rows whose cause holds once this sensor alone is in the state that it reports."""
    found = []
    for row in hands.matrix.lines:
        if row.sort != "row" or row.cause is None or not any(map(sensor.is_asked, row.cause.terms)):
            continue
        before = sum(not hands.acts(term) for term in row.cause.terms)
        then = sum(hands.acts(term) == sensor.is_asked(term) for term in row.cause.terms)
        if before < row.cause.need <= then:
            found.append(row)
    return found


# --- networks and the house -------------------------------------------------------------------------------------------
def _networks(hands: Hands) -> Iterator[Step]:
    """What carries orders, messages or signs of life."""
    design = hands.design
    for name in [part.name for part in design.parts if KINDS[part.kind].role == "link"]:
        moved = [e for e in hands.matrix.effects if e.losses and e.losses.network is not None and e.losses.over == name]
        out, beats = _missed(hands, [beat for beat in design.heartbeats if name in beat.path])
        paths = {message.name for message in design.messages if name in message.path}
        rows = [line for line in hands.matrix.lines if line.sort == "row" and line.tells in paths and line.carried]
        quiet = [line for line in rows if line.lasting <= LONG and not set(line.orders.values()) & set(GOES)]
        row = quiet[0] if quiet else None
        do, said, back = [hands.run_all([e.name for e in moved])] if moved else [], [], f"Plug {name} in again"
        said += [f"{e.name}: {sheet.position_without_network(e)}" for e in moved]
        do.append(f"Unplug {name} for {out or 'ten minutes'}.")
        if row:
            cause = sheet.cause_words(row, hands.matrix, hands.shown)
            do.append(f"Meanwhile bring row {row.number} about ({cause}).")
            # what runs on demand only stands still in any case
            seen = [part for part, word in row.orders.items() if word in STOPS and _runs_by_itself(hands, part)]
            do = [hands.run_all([part for part in seen if part not in [e.name for e in moved]]), *do]
            acts = joined([f"{part} {row.orders[part]}" for part in seen])
            acts = f"{acts}, if its orders need no {name}; " if acts else ""
            said.append(f"row {row.number}: {acts}{row.tells} does not arrive")
            back = f"{sentence(hands.undo(row))} {back}; write down whether {row.tells} still comes".strip()
            back += ". Press the button" if row.latched else ""
        said += beats
        if said:
            ends = hands.end_all([e.name for e in moved])
            yield Step(
                f"Without {name}",
                " ".join(text for text in do if text),
                sentence("; ".join(said)),
                f"{back}. {ends}".strip(),
                "",
                (),
            )


def _runs_by_itself(hands: Hands, part: str) -> bool:
    effect = hands.matrix.effect(part)
    return sheet.unasked(effect, hands.matrix) == effect.go


def _house_power(hands: Hands) -> Iterator[Step]:
    """A circuit that others hang on: what all together do when it is switched off."""
    parts = {part.name: part for part in hands.design.parts}
    fed = {name for part in parts.values() for name in part.get(FEEDS) or ()}
    for main in [part for part in parts.values() if part.get(FEEDS) and part.name not in fed]:
        dead, grown = {main.name}, True
        while grown:
            more = {n for name in dead for n in (parts[name].get(FEEDS) or () if name in parts else ())}
            more |= {part.name for part in parts.values() if part.get("power") in dead and not bridges(part)}
            grown = not more <= dead
            dead |= more
        lost = [e for e in hands.matrix.effects if e.sort == "ordered" and (e.power in dead or e.name in dead)]
        said = [f"{e.name}: {sheet.position_without_power(e)}" for e in lost]
        silent = [m.name for m in hands.design.messages if dead & set(m.path)]
        said += [f"{joined(silent)} cannot be sent"] if silent else []
        if any(_opens(effect) for effect in lost):
            said.append(DANGER)
        if said:
            said.append("once it is on again, nothing fills or pumps that was shut off before")
            ran = hands.run_all([e.name for e in lost if e.stop == STOPS[0]])
            out = f"Switch {main.name} off at its switch for {hands.shown.duration(WHILE_OUT)}, and go round."
            back = hands.end_all([e.name for e in lost if e.stop == STOPS[0]])
            yield Step(
                f"{capital(main.name)} off", f"{ran} {out}".strip(), sentence("; ".join(said)),
                f"Switch it on, and see that return pump and heater work again. {back}".strip(),
                "Tell the household; save what a computer has open. Tanks are without pump and heater meanwhile.", (),
            )  # fmt: skip
