"""A design becomes a plant: each part asks for its primitives, then rows, people and messages are wired to them.

Order: places, vessels, supply, drains, circuits, all other parts by their id, then matrix and people.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from dewpond.design.model import Design
from dewpond.parts import KINDS
from dewpond.plant import people, rows
from dewpond.plant import primitives as prim
from dewpond.plant.build import Patch
from dewpond.plant.house import House
from dewpond.plant.plant import Called, PlaceInfo, Plant, PlantFault, Resident, Touch


def lower(design: Design, season: str = "winter") -> Plant:
    """The plant of a checked design in one season (``winter`` or ``summer``)."""
    house = House(design, season)
    house.lay()
    rows.wire(house)
    residents, called, messages = people.wire(house)
    return finish(house, residents, called, messages)


def onward(house: House, place: str) -> str:
    """Where water goes that a place cannot hold: a drain, another place, or nowhere."""
    _, kind, ref, *_ = house.net.places[house.place_numbers[place]]
    if kind == prim.R_PLACE:
        return tuple(house.place_numbers)[ref]
    return str(house.views[place].get("drain") or place) if kind == prim.R_DRAIN else ""


def cut_off(house: House, fault: PlantFault) -> PlantFault:
    """A fault that cuts a joint does so to all that leads on from its node."""
    done: list[Patch] = []
    for what, number, value in fault.patches:
        if what == "cut":
            done += [("cut", edge, value) for edge in leading_on(house, number)]
        else:
            done.append((what, number, value))
    return replace(fault, patches=tuple(done))


def leading_on(house: House, node: int) -> Iterator[int]:
    """The edges by which water goes on from a node, but for holes that only a fault opens."""
    for number, edge in enumerate(house.net.edges):
        gate = int(edge[3])
        hole = gate >= 0 and house.net.gates[gate][0] == prim.G_CONST and house.net.gates[gate][3] == 0.0
        if int(edge[0]) == node and not hole:
            yield number


def finish(
    house: House, residents: tuple[Resident, ...], called: tuple[Called, ...], messages: dict[int, str]
) -> Plant:
    """Lay the arrays down and name their numbers."""
    design, net = house.design, house.net
    lead = {body: name for name, body in ((n, net.stores[i][2]) for n, i in reversed(house.vessel_numbers.items()))}
    for name, spec in house.specs.items():
        if spec.tank:
            lead[net.stores[house.vessel_numbers[name]][2]] = name
    lead |= {net.stores[len(house.vessel_numbers) + k][2]: name for k, name in enumerate(house.cushions)}
    tanks = tuple(i for n, i in house.vessel_numbers.items() if house.specs[n].tank)
    temperature = next((p["water temperature"] for p in design.parts if "water temperature" in p.values), 298.15)
    return Plant(
        arrays=net.arrays(house.constants()),
        season=house.season_name,
        parts=tuple(house.names),
        stores=(*house.vessel_numbers, *house.cushions),
        vessels=len(house.vessel_numbers),
        tanks=tanks,
        bodies=tuple(lead[b] for b in range(len(net.bodies))),
        places=tuple(
            PlaceInfo(
                n,
                KINDS[house.views[n].kind].role == "place" and house.views[n].get("in") is None,
                house.floors[n].film if n in house.floors else 0.0,
                onward(house, n),
                n in house.floors and house.floors[n].measured,
                house.role(house.views[n]) == "drain",
            )
            for n in house.place_numbers
        ),
        gates={g: house.names[row[6]] for g, row in enumerate(net.gates) if row[6] >= 0},
        says=house.says,
        trips=tuple(sorted(s for s, say in house.says.items() if say.kind == "trip")),
        faults=tuple(cut_off(house, fault) for fault in house.faults),
        tallies={word: tuple(signals) for word, signals in house.tallies.items()},
        messages=messages,
        residents=residents,
        called=called,
        midnight=house.midnight,
        clocks=house.clocks,
        rearms=house.rearms,
        links=tuple(house.links),
        water_temperature=house.water,
        tank_temperature=temperature,
        noticed_anyway={},
        idle_anyway={},
        doubts=tuple(house.doubts),
        circuits=tuple(house.circuits.values()),
        waters=tuple(house.waters),
        touches=tuple(
            Touch(house.names[owner], place, int(net.signals[signal].arg), signal, measured)
            for owner, place, signal, measured in house.touching
        ),
        membranes=tuple((house.names[int(e[9])], i) for i, e in enumerate(net.edges) if e[2] == prim.MEMBRANE),
    )
