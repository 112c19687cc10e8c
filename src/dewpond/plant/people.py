"""People and messages: who sees water or is told of it, and what that person then does.

A person who lives there acts only while at home: shuts the hand valve and unplugs the top-off pumps, once, after the
time it takes to get there; what was left running by hand is shut with them. Somebody who does not live there (a
neighbour) comes only when told. Only a message of the priority "now" makes anybody act. Whoever sleeps reads it on
waking; whoever has only just left home turns back.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from dewpond.design.model import Message
from dewpond.plant.house import House
from dewpond.plant.kept import Person
from dewpond.plant.plant import Called, Resident, is_told, sees_in

ON_THE_WAY = 60.0  # a message takes so long to be read [s]; our prior
HEARS = 1.0  # [s]
MISSED = "{name} stays away"
URGENT, WEEKLY, LOG_ONLY = "now", "this week", "log only"


class Call(NamedTuple):
    """A message that lies on somebody's phone. ``life``: it tells only that a sign of life stays away; arrived: the
    signal that it arrives, -1 where somebody else is called before; soon: it is not left for a week."""

    signal: int
    urgent: bool
    life: bool = False
    arrived: int = -1
    soon: bool = True


def wire(house: House) -> tuple[tuple[Resident, ...], tuple[Called, ...], dict[int, str]]:
    """Join people, messages and hand valves. Returns the residents, whom messages call and, by signal, the messages
    sent."""
    told: dict[str, list[Call]] = {p.part.name: [] for p in house.people}
    sent: dict[int, str] = {}
    shut: dict[str, list[int]] = {name: [] for name, _ in house.hands}
    acts: dict[str, int] = {p.part.name: house.later() for p in house.people}
    brushed: dict[str, int] = {p.part.name: house.later() for p in house.people}
    by_name = {m.name: m for m in house.design.messages}
    for name in dict.fromkeys(n for n, _ in house.told):
        signals = [s for n, s in house.told if n == name]
        if name in by_name:
            send(house, by_name[name], house.any(*signals), told, sent, (acts, brushed))
    watch_heartbeats(house, told, sent)
    for person in house.people:
        house.enter(person.part)
        act = live(house, person, told[person.part.name], brushed[person.part.name])
        house.define(acts[person.part.name], act)
        valve = person.shuts or (house.hands[0][0] if house.hands else "")
        if valve in shut:
            shut[valve].append(act)
    for name, follow in house.hands:
        if shut[name]:
            house.enter(house.views[name])
            follow(house.any(*shut[name]))
    for name, follow in house.asides if acts else ():
        house.enter(house.views[name])
        follow(house.any(*acts.values()))
    if house.pulled >= 0 and acts:
        house.net.signals[house.pulled].inputs = [*acts.values()]
    find_dead_circuits(house)
    residents = tuple(
        Resident(p.part.name, p.present, p.awake, house.who(p.part.name, "travelling"), day_of(p))
        for p in house.people
        if p.part.get("day")
    )
    called = tuple(
        Called(
            p.part.name,
            _within(p),
            tuple(call.arrived for call in told[p.part.name] if call.arrived >= 0),
            tuple(call.arrived for call in told[p.part.name] if call.arrived >= 0 and call.soon),
        )
        for p in house.people
    )
    return residents, called, sent


def _within(person: Person) -> float:
    """By when somebody who is called is there at the latest [s]: who lives there may have gone out, or to bed."""
    away = (seconds for state, seconds in day_of(person) if state != "at home") if person.part.get("day") else ()
    return person.reach + max(away, default=0.0)


def send(
    house: House,
    message: Message,
    cause: int,
    told: dict[str, list[Call]],
    sent: dict[int, str],
    answers: tuple[dict[str, int], ...],
) -> None:
    """A message goes out while every box on its path has power and works; people on the path hear of it. Each of the
    ``answers`` of somebody on the path, acting or brushing it off, is one after which nobody else is told."""
    arrived = house.on_delay(house.all(cause, *works(house, message.path)), ON_THE_WAY)
    sent[arrived] = message.name
    house.net.logged[arrived] = 2
    if message.priority == LOG_ONLY:
        return
    urgent = message.priority == URGENT
    first = [n for n in message.path if n in told]
    come = lies(house, arrived)
    for name in first:
        told[name].append(Call(come, urgent, arrived=arrived, soon=message.priority != WEEKLY))
    if message.unanswered_after is not None and message.then in told:
        waiting = house.all(come, *(house.no(answer[n]) for answer in answers for n in first))
        late = house.on_delay(waiting, message.unanswered_after)
        told[str(message.then)].append(Call(late, urgent, arrived=-1 if first else late))


def lies(house: House, arrived: int) -> int:
    """The signal that a message lies on a phone from when it has ``arrived``, however soon its cause is over."""
    never = house.always(False)
    return house.latch(arrived, never, never)


def works(house: House, names: Iterable[str]) -> list[int]:
    """What must be true for a path to work; what no part is called, or has no say, is taken to work."""
    need = []
    for name in names:
        if name in house.boxes:
            need += [house.boxes[name].powered, house.boxes[name].alive]
        elif name in house.networks:
            need.append(house.networks[name])
    return need


def watch_heartbeats(house: House, told: dict[str, list[Call]], sent: dict[int, str]) -> None:
    """A sign of life that stays away is told by whoever waits for it: a box, or somebody outside the house."""
    for beat in house.design.heartbeats:
        if beat.senders[0] in house.views:
            house.enter(house.views[beat.senders[0]])
        arrives = house.all(*works(house, [*beat.senders, *beat.path]))
        stays_away = house.on_delay(house.no(arrives), beat.every * beat.missed)
        tells = house.on_delay(house.all(stays_away, *works(house, [beat.watched])), ON_THE_WAY)
        sent[tells] = MISSED.format(name=beat.name)
        house.net.logged[tells] = 2
        for name in beat.tell:
            if name in told:
                told[name].append(Call(lies(house, tells), urgent=False, life=True, arrived=tells))


def hear(house: House, person: Person, calls: list[Call], near: int) -> int:
    """The signal "this person has been told to act now"; ``near``: is at home or can turn back."""
    name, never = person.part.name, house.always(False)
    awake = house.no(house.all(person.present, house.no(person.awake)))
    urgent = []
    for call in calls:
        heard = house.latch(house.on_delay(house.all(call.signal, person.hears, awake), HEARS), never, never)
        house.say(heard, is_told(name), "", "found" if call.life else "notice")
        if call.urgent:
            urgent.append(heard)
    called = house.any(*urgent)
    if person.part.get("day"):
        just = house.all(called, house.no(house.on_delay(called, ON_THE_WAY)), house.no(near))
        away = house.latch(house.on_delay(just, HEARS), never, never)
        house.say(away, f"{name} is not at home, and can do nothing from there")
    return called


def hear_noises(house: House, person: Person, near: int) -> int:
    """The signal "this person has heard an alarm in the house": at home and awake, on waking and before leaving, or
    asleep where it wakes."""
    never = house.always(False)
    heard = []
    up = house.all(near, house.no(house.all(person.present, house.no(person.awake))))
    for name, noise, wakes in house.noises:
        ear = house.any(person.present, up) if wakes else up
        hears = house.latch(house.on_delay(house.all(noise, ear), HEARS), never, never)
        house.say(hears, f"{person.part.name} hears {name}", "", "notice")
        heard.append(hears)
    return house.any(*heard)


def live(house: House, person: Person, calls: list[Call], brushed: int) -> int:
    """The signal "this person has shut the water off"; what was seen or heard is not forgotten. ``brushed``: to be
    defined, the person has acknowledged a message without doing anything."""
    name = person.part.name
    never = house.always(False)
    lives_here = bool(person.part.get("day"))
    here = house.all(person.present, person.awake)
    knows = []
    for place in house.place_numbers:
        part = house.views[place]
        if house.role(part) != "place" or not house.floor(place).ours:
            continue  # nobody looks into a drain, or goes into the rooms of others
        after = person.sees_hidden_after if part.get("in") else person.sees_after
        lying = house.pool_above(place, person.sees_from, 0.5 * person.sees_from)
        # on an open floor somebody must be about for so long at a time; hidden water is found after so long in all
        waited = house.timed(house.all(here, lying), after, house.no(lying)) if part.get("in") else None
        sees = house.latch(waited or house.on_delay(house.all(here, lying), after), never, never)
        if lives_here:
            house.say(sees, sees_in(name, place), "", "notice")
            knows.append(sees)
    near = house.any(person.present, house.off_delay(person.present, person.reach + ON_THE_WAY))
    called = hear(house, person, calls, near) if calls else never
    off = house.all(called, person.brushes_off)
    house.define(brushed, off)
    house.say(off, f"{name} acknowledges the message, and does nothing")
    called = house.all(called, house.no(off))
    noise = hear_noises(house, person, near) if lives_here else never
    finds = house.all(house.any(*knows), here)
    able = house.any(finds, house.all(house.any(noise, called), near)) if lives_here else called
    act = house.latch(house.on_delay(able, person.reach), never, never)
    valve = person.shuts or (house.hands[0][0] if house.hands else "")
    does = f"shuts {valve} by hand and unplugs the top-off pumps" if valve else "unplugs the top-off pumps"
    house.say(act, f"{name} {does}", "", "act")
    return act


def find_dead_circuits(house: House) -> None:
    """Who is at home finds a circuit without power, and switches it on again if its own switch has dropped out."""
    found: dict[str, list[int]] = {name: [] for name in house.resets}
    never = house.always(False)
    for person in house.people:
        if not person.part.get("day"):
            continue
        house.enter(person.part)
        here = house.all(person.present, person.awake)
        for name, finders in found.items():
            dead = house.all(here, house.no(house.circuit(name)))
            back = house.circuit(name)  # what goes dead again is to be found again
            finds = house.latch(house.on_delay(dead, person.sees_dead_after), back, never)
            house.say(finds, f"{person.part.name} finds {name} without power", "", "found")
            finders.append(finds)
    for name, reset in house.resets.items():
        house.define(reset, house.any(*found[name]))


def day_of(person: Person) -> tuple[tuple[str, float], ...]:
    """The day in its order: asleep, out, at home."""
    day = person.part["day"]
    rows = [("asleep", "asleep"), ("out", "out"), ("at home", "at home awake")]
    return tuple((state, float(day[key])) for state, key in rows if day.get(key))
