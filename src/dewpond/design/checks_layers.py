"""Findings about what ends an outflow: whether it stays shut, what it needs, and what two layers have in common."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final, NamedTuple

from dewpond.design import messages as m
from dewpond.design.checks_levels import Say, Shown
from dewpond.design.checks_matrix import boxes_of, row_title
from dewpond.design.desk import Desk, listed
from dewpond.design.feeding import buffered, feeders, shared_feed
from dewpond.design.lying import places_of
from dewpond.design.model import Design, Row
from dewpond.design.rows import RE_ARMED
from dewpond.design.scout import Scouted
from dewpond.parts.base import Kind, PartView
from dewpond.vocabulary import Word

WITHOUT_POWER: Final = "without power"  # key that says what a valve does then
DRIES: Final = "when its probe dries"  # key of a valve with a probe of its own
OPENS_AGAIN: Final = "opens again"
URGENT: Final = "now"  # the priority of a message that makes somebody act
HOUR: Final = 3600.0
NEEDS: Final = "needs at least"  # key of a valve that the water itself must move


class Layer(NamedTuple):
    """A row that shuts a valve because a probe is wet."""

    number: int
    row: Row
    valve: PartView
    probes: frozenset[str]
    boxes: frozenset[str]
    places: frozenset[str]  # in which the probes lie


def check_layers(design: Design, kinds: Mapping[str, Kind], found: Scouted, desk: Desk, shown: Shown) -> None:
    """All of them but the one on servos."""
    layers = list(layers_of(design, kinds, found))
    for layer in layers:
        _opens_again(layer, layers, found, desk, shown)
    valves = {layer.valve.name: layer.valve for layer in layers}
    shuts = {name for name, valve in valves.items() if str(valve.get(WITHOUT_POWER)).startswith(Word.SHUT)}
    for name, valve in valves.items():
        if not shuts & set(upstream(name, found)):
            _needs_power(valve, design, kinds, desk, _behind_it(name, found, shown))
    for part in design.parts:
        if part.get(DRIES) == OPENS_AGAIN and not _unknown(part.name, DRIES, design):
            line = design.key_lines[part.name, DRIES]
            much = _behind_it(part.name, found, shown)
            desk.add("D166", _where(part.name, design, kinds), line, DRIES, much=much)
    _whispers(layers, design, desk)
    _common(layers, design, kinds, desk)
    _heartbeats(design, kinds, desk)


def layers_of(design: Design, kinds: Mapping[str, Kind], found: Scouted) -> Iterator[Layer]:
    """Every row that shuts a valve because a probe is wet, once for each valve."""
    for number, row in enumerate(design.rows, 1):
        probes = frozenset(
            term.part
            for term in row.cause.terms
            if term.word == Word.WET and not term.negated and Word.WET in found.states.get(term.part, ())
        )
        for part, word in row.effects if probes else ():
            if word == Word.SHUT and word in found.orders.get(part, ()):
                valve = design.part(part)
                driven = frozenset([row.by] if row.by else boxes_of(valve, kinds[valve.kind]))
                places = frozenset(place for probe in probes for place in places_of(design.part(probe)))
                yield Layer(number, row, valve, probes, driven, places)


def _behind_it(valve: str, found: Scouted, shown: Shown) -> str:
    """What comes out at most of a break behind a valve, in words; nothing where none is known."""
    after = set(behind([valve], found))
    most = max((flow for site, flow in found.ways.gushes() if site.part in after), default=0.0)
    return m.BEHIND_IT.format(litres=shown(most * HOUR, "volume")) if most else ""


def _opens_again(layer: Layer, layers: list[Layer], found: Scouted, desk: Desk, shown: Shown) -> None:
    """A valve that nothing keeps shut once its probe is dry."""
    kept = {
        probe
        for other in layers
        if other.valve.name == layer.valve.name and other.row.until == RE_ARMED
        for probe in other.probes
    }
    loose = sorted(layer.probes - kept)
    if layer.row.until != RE_ARMED and loose:
        where = row_title(layer.row, layer.number)
        words = {"valve": layer.valve.name, "probes": listed(loose)}
        desk.add("D157", where, layer.row.line, "until", **words, much=_behind_it(layer.valve.name, found, shown))


def _unknown(part: str, key: str, design: Design) -> bool:
    """Whether nobody knows; then both are tried, and the study tells what hangs on it."""
    return any((unknown.part, unknown.key) == (part, key) for unknown in design.unknowns)


def _where(name: str, design: Design, kinds: Mapping[str, Kind]) -> str:
    return m.PART.format(section=kinds[design.part(name).kind].section, name=name)


def _needs_power(valve: PartView, design: Design, kinds: Mapping[str, Kind], desk: Desk, much: str) -> None:
    """A valve that a power cut opens, or leaves as it is."""
    does = str(valve.get(WITHOUT_POWER) or Word.SHUT)
    if does.startswith(Word.SHUT) or _unknown(valve.name, WITHOUT_POWER, design):
        return
    line = design.key_lines.get((valve.name, WITHOUT_POWER), design.lines[valve.name])
    opens = m.A_CUT_OPENS if does.startswith(Word.OPEN) else m.A_CUT_LEAVES
    desk.add("D158", _where(valve.name, design, kinds), line, WITHOUT_POWER, does=does, opens=opens, much=much)


def _common(layers: list[Layer], design: Design, kinds: Mapping[str, Kind], desk: Desk) -> None:
    """Two valves that one failure keeps open."""
    told = set()
    circuits = {layer.valve.name: _opens_without(layer.valve, design, kinds) for layer in layers}
    for number, one in enumerate(layers):
        for other in layers[number + 1 :]:
            pair = frozenset((one.valve.name, other.valve.name))
            if len(pair) < 2 or pair in told:
                continue
            told.add(pair)
            mine, others = (_hangs_on(layer.valve.name, layers) for layer in (one, other))
            shared = [*sorted(mine[0] & others[0]), *(sorted(mine[1]) if mine[1] == others[1] else ())]
            shared += [name for name in circuits[one.valve.name] if name in circuits[other.valve.name]][:1]
            if shared:
                line = design.lines[other.valve.name]
                words = {"other": one.valve.name, "valve": other.valve.name, "shared": listed(shared)}
                desk.add("D159", _where(other.valve.name, design, kinds), line, **words)


def _opens_without(valve: PartView, design: Design, kinds: Mapping[str, Kind]) -> list[str]:
    """The circuits without which nothing shuts a valve, the nearest first; none where it then shuts by itself."""
    does = str(valve.get(WITHOUT_POWER) or Word.SHUT)
    if does.startswith(Word.SHUT) or _unknown(valve.name, WITHOUT_POWER, design):
        return []
    boxes = [design.part(name).get("power") for name in boxes_of(valve, kinds[valve.kind])]
    circuit = valve.get("power") or next((name for name in boxes if name), None)
    return feeders(str(circuit), design, kinds) if circuit else []


def _whispers(layers: list[Layer], design: Design, desk: Desk) -> None:
    """Water that is told with a message which makes nobody act."""
    priorities = {message.name: message.priority for message in design.messages}
    told = set()
    for layer in layers:
        priority = priorities.get(str(layer.row.tell))
        if priority is None or priority == URGENT or layer.number in told:
            continue
        told.add(layer.number)
        where = row_title(layer.row, layer.number)
        desk.add("D175", where, layer.row.line, "tell", message=layer.row.tell, priority=priority)


def _hangs_on(valve: str, layers: list[Layer]) -> tuple[frozenset[str], frozenset[str]]:
    """(boxes without each of which nothing shuts the valve, the probes that shut it)."""
    own = [layer for layer in layers if layer.valve.name == valve]
    return frozenset.intersection(*(one.boxes for one in own)), frozenset.union(*(one.probes for one in own))


def _heartbeats(design: Design, kinds: Mapping[str, Kind], desk: Desk) -> None:
    """A sign of life that is missed by something which dies with the sender."""
    circuits = {part.name: part.get("power") for part in design.parts if kinds[part.kind].role == "box"}
    for beat in design.heartbeats:
        if beat.watched not in circuits:
            continue
        own = circuits[beat.watched]
        waits = beat.every * beat.missed
        outlives = bool(own) and buffered(str(own), design, kinds, waits)
        for sender in beat.senders:
            theirs = circuits.get(sender)
            same = m.ITSELF if sender == beat.watched else ""
            if not same and own and theirs and not outlives:
                same = shared_feed(str(own), str(theirs), design, kinds)
            if same:
                where = m.MESSAGE.format(name=beat.name)
                desk.add("D160", where, beat.line, "watched", watched=beat.watched, sender=sender, same=same)
                break


def check_servos(design: Design, found: Scouted, say: Say, shown: Shown) -> None:
    """Valves that the water must move, where the water has no pressure to spare."""
    for part in design.parts:
        needs = part.get(NEEDS)
        if not needs:
            continue
        behind = list(upstream(part.name, found))
        vessel = next((name for name in behind if name in found.vessels), None)
        membrane = next((name for name in behind if name in found.membranes), None)
        if vessel or membrane:
            words = {"needs": shown(needs, "pressure"), "before": vessel or membrane}
            say("D163", part.name, NEEDS, why=m.BY_GRAVITY if vessel else m.BEHIND_A_MEMBRANE, **words)


def upstream(name: str, found: Scouted) -> Iterator[str]:
    """The parts whose water a part takes, the nearest first."""
    seen, todo = {name}, [name]
    while todo:
        for before in sorted(found.follows.get(todo.pop(0), ())):
            if before not in seen:
                seen.add(before)
                todo.append(before)
                yield before


def behind(names: Iterable[str], found: Scouted) -> set[str]:
    """All parts whose water comes through one of those named."""
    leads: dict[str, list[str]] = {}
    for name, before in found.follows.items():
        for one in before:
            leads.setdefault(one, []).append(name)
    reached: set[str] = set()
    todo = list(names)
    while todo:
        new = [name for name in leads.get(todo.pop(), ()) if name not in reached]
        reached.update(new)
        todo += new
    return reached
