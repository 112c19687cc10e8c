"""The cause-and-effect matrix becomes logic: each row in the box that carries it out, each actuator under its boxes.

Rules: a stop wins over a demand, whichever box says it. A box without power orders nothing, so what it drives rests. A
hung box keeps its last order, or drops it, as the file says. Two boxes on one actuator stand in its lead one behind the
other: it acts only while both let it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from dewpond.design.model import Cause, Row, cause_text
from dewpond.parts import KINDS
from dewpond.parts.base import Lead
from dewpond.plant.house import House
from dewpond.plant.kept import Actuator, Box
from dewpond.plant.plant import BECAUSE
from dewpond.vocabulary import Word

STOPS = ("shut", "stopped")
GOES = ("open", "running")


@dataclass
class Orders:
    """What one box says to one actuator: signals that demand, signals that stop."""

    goes: list[int] = field(default_factory=list)
    stops: list[int] = field(default_factory=list)


class Asks(NamedTuple):
    """Of a row in one box, as signals: the box looks (it is ready and alive), it sees the cause, that has lasted."""

    ready: int
    seen: int
    active: int


def wire(house: House) -> None:
    """Lower every row, then give each actuator its order. Told messages are left in ``house.told`` for the people."""
    for name, listens in house.listening.items():
        house.enter(house.boxes[name].part)
        house.define(listens, house.all(house.boxes[name].powered, house.boxes[name].alive))
    orders: dict[str, dict[str, Orders]] = {name: {} for name in house.actuators}
    running: dict[tuple[str, str], int] = {}
    for row in house.design.rows:
        for box in boxes_of(house, row):
            house.enter(box.part)
            lower_row(house, row, box, orders, running)
    for name, actuator in house.actuators.items():
        house.enter(actuator.part)
        obey(house, actuator, orders[name], running)


def boxes_of(house: House, row: Row) -> list[Box]:
    """The box that carries a row out: ``by``, else the drivers of what it acts on, else where its sensors end."""
    if row.by:
        return [house.boxes[row.by]]
    names: list[str] = []
    for part, _ in row.effects:
        names += drivers(house, part)
    if not names:
        for term in row.cause.terms:
            box = ends_at(house, term.part)
            if box in house.boxes:
                names.append(box)
                break
    return [house.boxes[n] for n in dict.fromkeys(names) if n in house.boxes]


def ends_at(house: House, part: str) -> str:
    """The box at which the wire of a sensor ends, or whose clock it is; empty for none."""
    view = house.views[part]
    keys = (param.key for param in KINDS[view.kind].params if param.roles == ("box",))
    return next((str(view[key]) for key in keys if view.get(key)), "")


def drivers(house: House, part: str) -> list[str]:
    """The box that a part says it is driven by; others stand in its lead by the ``by`` of their rows."""
    driver = house.views[part].get("driven by")
    return [str(driver)] if driver else []


def cause_signal(house: House, cause: Cause) -> int:
    """The signal that is true while the cause of a row holds."""
    terms = []
    for term in cause.terms:
        signal = house.conditions[term.part, term.word]
        terms.append(house.no(signal) if term.negated else signal)
    return house.vote(cause.need if cause.op == "vote" else len(terms) if cause.op == "all" else 1, terms)


def lower_row(
    house: House, row: Row, box: Box, orders: dict[str, dict[str, Orders]], running: dict[tuple[str, str], int]
) -> None:
    """One row in one box: its trips go to ``orders`` as stops, its demands, under their limits, as goes."""
    ready = house.all(box.ready, box.alive)
    seen = house.all(cause_signal(house, row.cause), ready)
    active = house.on_delay(seen, row.lasting) if row.lasting > 0.0 else seen
    forget = house.always(False) if box.keeps_trips else house.no(box.powered)
    mine = [(p, w) for p, w in row.effects if row.by or box.part.name in drivers(house, p)]
    stops = [(p, w) for p, w in mine if w in STOPS]
    goes = [(p, w) for p, w in mine if w in GOES]
    trip = active
    if row.until == "re-armed":
        what = f"{box.part.name} after “{cause_text(row.cause)}”"
        trip = house.latch(active, rearmed(house, what, row.rearm_when, ready, seen), forget)
    elif stops and row.lasting > 0.0:  # a cause that lasts anew after a restart has not ended
        trip = house.latch(active, house.all(ready, house.no(seen)), forget)
    for part, _ in stops:
        orders[part].setdefault(box.part.name, Orders()).stops.append(trip)
    if stops:
        what = " and ".join(f"{p} {w}" for p, w in stops)
        meant = all(term.part in house.meant for term in row.cause.terms)  # no protection
        kind = "note" if meant else "trip"
        house.say(trip, f"{box.part.name} orders {what}, {BECAUSE} {cause_text(row.cause)}", "", kind)
        if row.until != "re-armed":  # a box that is dead or hangs lifts nothing
            standing = house.latch(trip, house.all(ready, house.no(trip)), house.always(False))
            house.say(standing, "", f"{box.part.name} no longer orders {what} {BECAUSE} {cause_text(row.cause)}")
    for part, _ in goes:
        demand = limited(house, row, box, Asks(ready, seen, active), part, running)
        orders[part].setdefault(box.part.name, Orders()).goes.append(demand)
    if row.tell:
        house.told.append((row.tell, house.all(trip, ready)))


def rearmed(house: House, what: str, when: str, ready: int, cause: int) -> int:
    """The signal that somebody re-arms a box that is ready; with words of ``when`` that may be, only without its
    cause."""
    pressed = house.all(house.rearm(what), ready)
    return house.all(pressed, house.no(cause)) if when else pressed


def limited(house: House, row: Row, box: Box, asks: Asks, part: str, running: dict[tuple[str, str], int]) -> int:
    """A demand under its limits: longest run, gap between runs, most in a day, and what follows a run too long."""
    run = running.setdefault((part, box.part.name), house.later())
    need = [asks.active]
    if row.at_most is not None:
        need.append(house.no(locked(house, row, box, asks, part, run)))
    if row.gap is not None:  # nobody knows how long a box without power has been so: it rests anew
        busy = house.any(run, house.no(box.powered))
        resting = house.all(house.off_delay(busy, row.gap), house.no(run))
        need.append(house.no(resting))
    if row.per_day is not None:
        edge = house.flow_edge(part)
        if edge >= 0:
            put_back = house.always(False) if box.keeps_counts else house.no(box.powered)
            full = house.counted(edge, row.per_day, put_back, run, house.all(box.powered, box.alive))
            need.append(house.no(full))
            rests = house.all(full, box.ready, box.alive)
            house.say(rests, f"{box.part.name} orders {part} no more until midnight: it has given its most", "", "note")
    return house.all(*need)


def locked(house: House, row: Row, box: Box, asks: Asks, part: str, run: int) -> int:
    """The signal that a row holds a part off after too long a run.

    A run that the box itself ends, for whatever reason, is over, and the next one begins anew. One that a power cut or
    a hang ends is not: its count stands until the part runs again, or the box sees that the cause is over.
    """
    assert row.at_most is not None
    latched = row.too_long is not None and row.too_long.until == "re-armed"
    ready, never = asks.ready, house.always(False)
    ended = house.all(ready, house.no(asks.seen))  # a cause that has yet to last is not over
    reset = ended
    if latched and row.too_long is not None:
        what = f"{box.part.name} after too long a run of {part}"
        reset = rearmed(house, what, row.too_long.rearm_when, ready, asks.seen)
    lock, forgets = house.later(), house.no(box.powered)
    cut_short = house.latch(house.no(ready), house.any(run, ended, lock), never)
    put_back = house.all(ready, house.no(run), house.no(cut_short))
    over = house.timed(run, row.at_most, put_back if box.keeps_counts else house.any(put_back, forgets))
    keeps = box.keeps_trips if latched else box.keeps_counts
    house.define(lock, house.latch(house.all(over, ready), reset, never if keeps else forgets))
    word = dict(row.effects)[part]
    order = f"to run {part}" if word == str(Word.RUNNING) else f"to hold {part} {word}"
    until = "somebody re-arms it" if latched else f"{cause_text(row.cause)} is over"
    text = f"{box.part.name} ends its order {order}: that has lasted too long, and waits until {until}"
    house.say(lock, text, "", "trip")
    if row.too_long is not None and row.too_long.tell:
        house.told.append((row.too_long.tell, house.all(lock, ready)))
    return lock


def obey(house: House, actuator: Actuator, said: dict[str, Orders], running: dict[tuple[str, str], int]) -> None:
    """The order of an actuator: what drives it gives it, and it acts only while every other box in its lead lets it.

    What nothing drives acts while it has power, and every box in its lead lets it.
    """
    name = actuator.part.name
    driven = drivers(house, name)
    names = list(dict.fromkeys([*driven, *said]))
    names = [n for n in names if n in house.boxes]
    demanded = any(o.goes for o in said.values())
    ordered = any(o.goes or o.stops for o in said.values())
    if driven and (not ordered or (actuator.acting == "running" and not demanded)):
        actuator.follow(house.always(False), house.always(True))  # a pump that nobody starts stays at rest
        return
    to_stop = actuator.acting in STOPS  # any box that says so shuts it
    lets = {box: let(house, house.boxes[box], said.get(box, Orders()), to_stop) for box in names}
    others = names[len(driven) :]
    if to_stop:
        order, lead = house.any(*lets.values()) if names else house.always(True), house.always(True)
    else:
        order = lets[names[0]] if driven else house.always(True)
        lead = house.all(*(lets[box] for box in others))
    via = str(actuator.part.get("through") or "")
    if via in house.passing:
        house.enter(house.views[via])
        order = house.passing[via](name, order)
    final = house.all(order, lead)
    for box, own in lets.items():
        orders = said.get(box, Orders())
        house.enter(house.boxes[box].part)
        house.boxes[box].leads(Lead(name, own, final, bool(orders.stops if to_stop else orders.goes)))
        if (name, box) in running:
            house.define(running[name, box], own)
    house.enter(actuator.part)
    actuator.follow(order, lead)


def let(house: House, box: Box, said: Orders, to_stop: bool) -> int:
    """The signal with which a box lets a part act (or, of one that acts to stop, makes it)."""
    stop = house.any(*said.stops)
    goes = house.all(house.any(*said.goes), house.no(stop)) if said.goes else house.no(stop)
    wish = stop if to_stop else goes
    kept = house.hold(wish, house.no(box.alive)) if box.hang_keeps_order else house.all(wish, box.alive)
    held = house.all(kept, box.ready)
    return house.any(held, house.no(box.powered)) if box.lets_without_power else held
