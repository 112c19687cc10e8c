"""What tells a box something, and what goes by the clock, put into a grown random house; and all further kinds."""

from __future__ import annotations

import random
from collections.abc import Callable

from tests.plant import further_lines as lines
from tests.plant.design_text import Draft
from tests.plant.further_house import House

KEPT = ("kept", "lost", "unknown")


def _hours(rng: random.Random) -> dict[str, object]:
    """When a clock's time comes; within the first day more often than not."""
    return {
        "on_from": f"{rng.randrange(24):02}:{rng.choice(('00', '30'))}", "for": f"{rng.randrange(1, 14)} h",
        "every": rng.choice(("2 days", "3 days")) if rng.random() < 0.2 else None,
        "its_time_in_a_power_cut": rng.choice(KEPT),
    }  # fmt: skip


# -- sensors -----------------------------------------------------------------------------------------------------------
def conductivity(house: House, rng: random.Random) -> None:
    """In the line behind the membrane or a resin, in a vessel, or in a tank."""
    line = [*house.membranes, *house.of("deionising resin")]
    if house.sumps and rng.random() < 0.4:
        reads, word, limit = rng.choice(house.sumps), "low", {"salinity_limit": f"{rng.randrange(300, 345) / 10} ppt"}
    else:
        reads, word = rng.choice(line or house.vessels), "high"
        limit = {"limit": f"{rng.choice((2, 10, 40))} ppm"}
        if rng.random() < 0.3:
            limit = {"conductivity_limit": f"{rng.choice((5, 30, 90))} uS/cm"}
    name = house.put("sensors", "meter of salts", "conductivity meter", reads=reads, **limit, **house.wired(rng, word))
    house.stops(rng, f"{name} {word}", ("cause ends", "re-armed by hand"))


def thermometer(house: House, rng: random.Random) -> None:
    if rng.random() < 0.6:
        house.draft.supply["taken from"] = "mixer tap"
    reads = rng.choice([house.of("hand valve")[0], *house.feed[:-1]])
    above = f"{rng.randrange(30, 45)} C" if rng.random() < 0.5 else None
    keys = {"reads": reads, "hot_above": above, **house.wired(rng, "hot")}
    name = house.put("sensors", "warmth", "feed thermometer", **keys)
    house.stops(rng, f"{name} hot", ("cause ends", "re-armed by hand"))


def button(house: House, rng: random.Random) -> None:
    """Opens a valve, which is shut otherwise, or runs a pump."""
    valves = house.ordered()
    orders = [f"{valve}: open" for valve in valves] + [f"{pump}: running" for pump in house.pumps]
    name = house.put(
        "sensors", "fill", "fill button", runs_for=f"{rng.randrange(3, 60)} min", pressed_by=rng.choice(house.people),
        pressed_every=rng.choice(("1 day", "2 days")), pressed_at_about=f"{rng.randrange(24):02}:00",
        while_it_is_held_down=rng.choice(("its time ends all the same", "its time begins anew and again", "unknown")),
        power=house.circuit(rng) if rng.random() < 0.4 else None, **house.wired(rng, "pressed"),
    )  # fmt: skip
    house.row(f"{name} pressed", f"{{{rng.choice(orders)}}}")


def away(house: House, rng: random.Random) -> None:
    """Shuts or stops something, or lets a tank be topped off only while somebody is at home."""
    turned = rng.choice(("for a journey", "on leaving the house", "on leaving and at bedtime"))
    keys = {"turned_by": rng.choice(house.people), "turned": turned, **house.wired(rng, "away")}
    name = house.put("sensors", "holiday switch", "away switch", **keys)
    if not _also(house, rng, f"{name} at home", 0.4):
        house.stops(rng, f"{name} away")


def window(house: House, rng: random.Random) -> None:
    """A tank is topped off, or nothing flows, within these hours."""
    name = house.put("sensors", "hours", "time window", by_the_clock_of=house.box(rng), **_hours(rng))
    if not _also(house, rng, f"{name} due", 0.6):
        house.stops(rng, f"{name} due")


def _also(house: House, rng: random.Random, condition: str, chance: float) -> bool:
    """A row that runs a pump asks for this as well, if there is one and it comes out so."""
    runs = [row for row in house.rows if ": running" in row["effect"] and " or " not in row["cause"]]
    if not runs or rng.random() >= chance:
        return False
    rng.choice(runs)["cause"] += f" and {condition}"
    return True


# -- power -------------------------------------------------------------------------------------------------------------
def timer(house: House, rng: random.Random) -> None:
    """In the lead of something that takes orders, or of a valve of its own that nothing else switches."""
    name = house.put("power", "timer", "time switch", power=house.circuit(rng), **_hours(rng))
    driven = [*house.valves, *house.pumps]
    if driven and rng.random() < 0.6:
        house.draft.parts[rng.choice(driven)].keys["power"] = name
        return
    line = house.product or house.feed
    house.before(rng, rng.choice(line), "timed valve", "solenoid valve", without_power="shut", power=name)


# -- all of them -------------------------------------------------------------------------------------------------------
FURTHER: dict[str, tuple[float, Callable[[House, random.Random], None]]] = {
    "pressure regulator": (0.2, lines.regulator),
    "pressure gauge": (0.2, lines.gauge),
    "softener": (0.2, lines.softener),
    "volume limiter": (0.2, lines.limiter),
    "booster pump": (0.25, lines.booster),
    "flow meter": (0.25, lines.meter),
    "bladder tank": (0.3, lines.bladder),
    "auto flush": (0.35, lines.flush),
    "transfer pump": (0.25, lines.transfer),
    "dosing vessel": (0.3, lines.stirrer),
    "tube clips": (0.3, lines.clips),
    "water replacement pair": (0.3, lines.pair),
    "conductivity meter": (0.2, conductivity),
    "feed thermometer": (0.2, thermometer),
    "fill button": (0.2, button),
    "away switch": (0.2, away),
    "time window": (0.2, window),
    "time switch": (0.2, timer),
}
"""Kind -> the share of houses that get one where they can have it, and what puts it in."""


def add(draft: Draft, seed: int) -> None:
    """Some of the further kinds, each by a stream of chance of its own."""
    house = House(draft, seed)
    for kind, (share, put) in FURTHER.items():
        rng = random.Random(f"newer {seed} {kind}")
        if rng.random() < share:
            put(house, rng)
