"""A room: a floor where water can lie, and where it goes from there.

It does not fail by itself. What matters is how thick a puddle stands on its floor, how much the floor takes before the
water reaches a drain or another room, and how fast it dries.

Sources: film of a large puddle, de Gennes, Brochard-Wyart, Quere (2004), chapter 2; contact angles and soak from
memory; drying by Shah (2014) with water as warm as the air.
"""

from __future__ import annotations

import math

from dewpond.parts.base import Floor, Kind, Lowering, Param, PartView, Source
from dewpond.parts.plumbing import MEMORY, PRIOR
from dewpond.physics.evaporation import shah_flux
from dewpond.physics.film import SURFACES, drying_time
from dewpond.physics.water import density

FILMS: dict[str, float] = {word: surface.film[1] + surface.soak[1] for word, surface in SURFACES.items()}
"""Water that a square metre of each floor takes [m3/m2]."""

DRAIN_SHARE = 0.25


Pair = tuple[float, float]


def _seasons(key: str, takes: str, help_: str, taken: Pair, limits: Pair, usual: Pair) -> Param:
    """A key with a figure for winter and one for summer."""
    source = Source("a heated room in winter, a warm and moist one in summer", PRIOR, *limits)
    low, high = limits
    seasons = zip(("winter", "summer"), ("In the coldest weeks.", "In the warmest weeks."), taken, strict=True)
    fields = tuple(
        Param(season, takes, when, default=value, low=low, high=high, source=source, usual=usual)
        for season, when, value in seasons
    )
    return Param(key, "map", help_, default={"winter": taken[0], "summer": taken[1]}, fields=fields)


OURS, OTHERS = "ours", "others"

PARAMS = (
    Param(
        "size", "size", "Length and width of the floor.", low=0.05, high=30.0,
        also=("dimensions", "area"), usual=(0.2, 15.0),
    ),
    Param(
        "floor", "word", "What the floor is made of.", words=tuple(FILMS), also=("flooring", "floor covering"),
        trade={
            "parquet": "varnished wood", "laminate": "varnished wood", "hardwood": "varnished wood",
            "floorboards": "bare wood", "linoleum": "vinyl", "PVC": "vinyl", "rubber": "vinyl", "tile": "glazed tile",
            "tiles": "glazed tile", "ceramic": "glazed tile", "stone": "glazed tile", "concrete": "sealed concrete",
            "screed": "sealed concrete", "rug": "carpet",
        },
    ),
    Param(
        "a litre covers", "area", "Floor wetted by a litre poured slowly; decides over what the floor is made of.",
        default=None, low=0.05, high=3.0, usual=(0.1, 1.1),
        source=Source(
            "left out: a film by the contact angle of clean water: tile 40 degrees (1.9 mm), other floors 60 (2.7 mm); "
            "carpet with its pad soaks up 5 mm", MEMORY, 0.1, 1.05,
        ),
    ),
    Param(
        "floor height", "height", "Its floor above that of the lowest room.", default=0.0, low=-5.0, high=50.0,
        source=Source("on the lowest floor", PRIOR, 0.0, 3.0),
        also=("height", "elevation", "storey"), usual=(-5.0, 15.0),
    ),
    Param("leads to", "place", "Where water goes when this floor takes no more; left out: it stays.", default=None),
    Param("drain", "part", "The drain in its floor.", roles=("drain",), default=None),
    Param(
        "reaches the drain after", "volume", "Litres on the floor before the first of them runs into the drain.",
        default=None, low=0.0, high=1.0, usual=(0.0, 0.1),
        source=Source("left out: a quarter of what the floor takes", PRIOR, 0.0, 1.0),
    ),
    Param(
        "whose", "word", "Others: the people of the file do not go in there, and see nothing of its water.",
        words=(OURS, OTHERS), default=OURS, also=("owner", "belongs to"),
    ),
    _seasons(
        "air temperature", "temperature", "Air of the room; decides what dries and what evaporates.",
        (294.15, 299.15), (274.15, 313.15), (281.15, 308.15),
    ),
    _seasons(
        "air humidity", "humidity", "Relative humidity of the room's air.", (0.35, 0.6), (0.05, 0.95), (0.15, 0.9),
    ),
)  # fmt: skip


def floor_of(p: PartView) -> Floor:
    """How water lies in the room, from its keys."""
    length, width = p["size"]
    area = length * width
    ours = p["whose"] == OURS
    film = FILMS[p["floor"]] if p["a litre covers"] is None else 1e-3 / p["a litre covers"]
    if p["drain"]:
        before = p["reaches the drain after"]
        return Floor(area, film, DRAIN_SHARE * area * film if before is None else before, ours, before is not None)
    return Floor(area, film, area * film if p["leads to"] else math.inf, ours)


def lower(p: PartView, b: Lowering) -> None:
    """A place that holds what its floor takes, and dries as still water does in its air."""
    floor = floor_of(p)
    air = b.season("air")
    drying = drying_time(floor.film, shah_flux(air, air, b.season("humidity"), 0.0), density(air))
    b.place(floor, p["leads to"], bool(p["drain"]), drying)


KIND = Kind(
    word="room",
    also=("space", "cupboard", "closet", "shaft", "floor"),
    section="places",
    role="place",
    summary="A floor where water can lie: how big it is, what it is made of, and where water goes from it.",
    fails="It does not fail by itself; its drain may, which is a part of its own.",
    params=PARAMS,
    ports=(),
    faults=(),
    lower=lower,
    symbol='<path d="M2 4 V17 H38 V4" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M10 17 q10 -5 20 0 Z" fill="currentColor"/>',
    example="laundry: {kind: room, size: 2.6 m x 2.1 m, floor: glazed tile}",
    cautions=(
        "Water on a floor near mains electricity: switch the circuit off at the board before stepping in.",
        "A ceiling or floor that sags or drips from below may come down: keep out from under it and ask a builder.",
    ),
    notes=(
        "One pool a room: all leaks in a room feed the same puddle, and the floor is taken as level.",
        "Gaps between planks and holes for pipes, which let water through to the room below early, are not counted.",
        "A puddle deeper than its film dries from the whole floor, and no faster for being deeper.",
    ),
)
