"""The tank itself, with the return pump that fills it from a sump, if it has one.

Everything that evaporates leaves here; salt stays. It fails by its overflow being blocked (the return pump then empties
its chamber over the rim, while top-off replaces it with fresh water), by the return pump stopping (the tank drains down
into the sump) and at its seams. Evaporation: Shah (2014) times how much the water is moved, see
``physics.evaporation``.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, ProofTest, Source, StoreSpec, amount
from dewpond.parts.open_water import OpenWater
from dewpond.parts.plumbing import (
    IN_IF_ELSEWHERE,
    MONTH,
    PRIOR,
    TRADE,
    check_bottom,
    disc,
    loss_of_hole,
    powered,
)
from dewpond.physics.evaporation import FACTORS
from dewpond.physics.seawater import density

CRACK = 1e-6  # area of a leaking seam at its bottom [m2]; our prior, 0.1 to 10 mm2
TURNOVER = 10.0 / 3600.0  # return flow over the tank's volume [1/s]
GULP = 0.02  # from the level the return pump needs, down to where it gives nothing [m]; our prior, 10 to 50 mm
LEAST_DRAIN_DOWN = 2e-3  # head over the weir, where no rise in the sump was measured [m]
STANDS_STILL = 3600.0  # from when on water that does not circulate is told as harm [s]; our prior, 1 to 6 h
CROWDED = 0.05  # head at which the drain swallows no more than its pipe can [m]; our prior, 30 to 100 mm
UNCOVERED = "open"
HOLE, NO_HOLE = "present", "absent"
RETURN_TUBE = 0.025  # bore of a return tube [m]; our prior, 12 to 50 mm
# What check asks about; common practice, no source.
SHALLOW, DEEP = (0.05, 0.1), (2.5, 1.2)  # depth that cannot be and that is unusual [m]
BETWEEN_SALTS = (1.0, 5.0)  # salinity too high for a fresh-water tank and too low for any other [g/kg]
ROUND = (0.5, 40.0)  # return flow over the tank's volume [1/h]
DRIEST = 0.03  # evaporation from a square metre, fan and all [m3/day]
USUALLY_DRIES = (2e-3, 9e-3)  # the same in most tanks: as much as its level falls in a day [m]

PARAMS = (
    IN_IF_ELSEWHERE,
    Param(
        "bottom", "level", "Height of its bottom above the floor or the tray it stands on.",
        default=Level(0.75, "floor"), source=Source("a usual cabinet", TRADE, 0.5, 1.0), usual=(0.0, 2.0),
        bare="",
    ),
    Param(
        "drains to", "part", "The sump into which its overflow drains; left out: it has none.", default=None,
        roles=("vessel",), has=("return chamber", "footprint", "return pump needs", "rises when the return pump stops"),
        also=("overflows to", "overflow to"),
    ),
    Param(
        "surface", "size", "Length and width of its water.", low=0.05, high=10.0,
        also=("size", "footprint", "dimensions", "water surface", "area"), usual=(0.15, 4.0),
    ),
    Param(
        "volume", "volume", "Water in it while all runs, without the sump.", low=1e-3, high=20.0,
        also=("capacity", "contents", "litres", "water volume"), usual=(0.005, 5.0),
    ),
    Param(
        "salinity", "salinity", "Its salinity; 0 ppt for a fresh-water tank.", low=0.0, high=42.0,
        also=("salt", "salt content"),
    ),
    Param(
        "free above water", "height", "From the water up to the rim, while all runs.", default=0.06, low=0.0, high=1.0,
        source=Source("a rimless tank with an overflow", PRIOR, 0.02, 0.1),
        also=("freeboard", "free height"), usual=(0.01, 0.3),
    ),
    Param(
        "water temperature", "temperature", "Of its water.", default=298.15, low=283.15, high=308.15,
        usual=(285.15, 304.15),
        source=Source("25 C", TRADE, 296.15, 300.15),
    ),
    Param(
        "return flow", "flow", "What the return pump gives: a bucket and a clock at the end of its tube.", default=None,
        low=10e-3 / 3600.0, high=50.0 / 3600.0,
        source=Source("left out: ten times its volume an hour; 5 to 10 times is usual", TRADE),
        also=("turnover", "circulation"), usual=(0.05 / 3600.0, 15.0 / 3600.0),
    ),
    Param(
        "nozzle below water", "length",
        "How far the end of the return tube lies under the water; left out: it ends above it.", default=None,
        low=1e-3, high=1.0, also=("return outlet depth", "nozzle depth"), usual=(5e-3, 0.3),
    ),
    Param(
        "break hole", "word", "A small hole in the return tube just under the water, which lets air in when the pump "
        "stops.", default=HOLE, words=(HOLE, NO_HOLE), also=("siphon break", "anti-siphon hole"),
    ),
    Param(
        "evaporation", "flow", "What evaporates, sump and all: a week of top-off, or a ruler; left out: reckoned.",
        default=None, low=0.0, high=0.2 / 86400.0,
        source=Source("left out: Shah 2014, times the movement of the water, times all open water; divide and "
                      "multiply by 1.6 until it is measured", "published"),
        also=("evaporates", "daily top-off"), usual=(0.0, 0.03 / 86400.0),
    ),
    Param(
        "water is", "word", "How much its surface is moved.", default="circulated",
        words=("glass-calm", "circulated", "strongly moved"),
    ),
    Param("covered by", "word", "What lies on it.", default=UNCOVERED,
          words=(UNCOVERED, "mesh screen", "glass lid with gaps")),
    Param("power", "part", "The power circuit of the return pump.", default=None, roles=("circuit",)),
)  # fmt: skip

FAULTS = (
    Fault(
        "display overflow blocked", "initiator",
        "A snail, a plant or a fish blocks its overflow: the return pump lifts the water of its chamber over the rim.",
        "a level that stands higher than usual",
    ),
    Fault("return pump stops", "event", "The return pump stops: the tank drains down into the sump.", "silence"),
    Fault(
        "break hole clogged", "latent",
        "Salt or algae have closed it: when the return pump stops, the tank runs back through it down to its nozzle.",
        "unplug the return pump, and mark how far the sump rises",
    ),
    Fault("seam leaks", "initiator", "A seam near its bottom leaks: a steady trickle of tank water.", "water below it"),
)  # fmt: skip


def place_of(p: PartView, b: Lowering) -> str:
    """Where it stands: its own place, else that of its sump."""
    return str(p["in"] or b.part(p["drains to"])["in"])


def surface_of(p: PartView) -> float:
    """Its open water [m2]."""
    return float(p["surface"][0] * p["surface"][1])


def store(p: PartView, b: Lowering) -> StoreSpec:
    """Straight walls: its volume over its surface gives the depth, and the rim lies above that."""
    surface = surface_of(p)
    depth = p["volume"] / surface
    rim = depth + p["free above water"]
    floor = p if p["in"] else b.part(p["drains to"])
    return StoreSpec(
        bottom=b.height(floor, p["bottom"]),
        heights=(0.0, rim),
        volumes=(0.0, surface * rim),
        rim=rim,
        start=depth,
        dissolved=p["salinity"] * 1e-3 * density(p["salinity"], p["water temperature"]),
        place=place_of(p, b),
        mixed_with=p["drains to"] or "",
        tank=True,
    )


def open_waters(p: PartView, b: Lowering) -> tuple[OpenWater, ...]:
    """The open water of the tank, and of its sump, if it has one: as warm and as salty."""
    air, humidity = (b.season(word, place_of(p, b)) for word in ("air", "humidity"))
    parts = [(p.name, surface_of(p), 1.0 if p["covered by"] == UNCOVERED else FACTORS[p["covered by"]].value)]
    if p["drains to"]:
        below = b.part(p["drains to"])
        shut_in = below.get("stands in")
        lets = FACTORS[shut_in].value if shut_in in FACTORS else 1.0
        parts.append((p["drains to"], below["footprint"][0] * below["footprint"][1], lets))
    moved, whole = FACTORS[p["water is"]].value, sum(area * lets for _, area, lets in parts)
    return tuple(
        OpenWater(
            vessel, area, lets, moved, p["water temperature"], p["salinity"], air, humidity,
            None if p["evaporation"] is None else p["evaporation"] * area * lets / whole,
        )
        for vessel, area, lets in parts
    )  # fmt: skip


def drain_down(p: PartView, b: Lowering) -> float:
    """How far the tank's own level falls when the return pump stops [m], from how far the sump then rises."""
    sump = b.vessel(p["drains to"])
    rise = b.part(p["drains to"])["rises when the return pump stops"]
    arrives = sump.volume_at(sump.start + rise) - sump.volume_at(sump.start)
    return max(arrives / surface_of(p), LEAST_DRAIN_DOWN)


def circulate(p: PartView, b: Lowering) -> None:
    """Return pump up, weir down: at rest with each other at the levels of the design."""
    spec, sump = b.vessel(p.name), p["drains to"]
    flow = p["return flow"] or TURNOVER * p["volume"]
    needs = b.vessel_level(sump, b.part(sump)["return pump needs"])
    live = b.any(powered(p["power"] or "", b))
    pump = b.gate_level(sump, needs, max(needs - GULP, 0.1 * needs), also=live)
    b.fixed_flow(b.tap(sump), b.tap(p.name), flow, pump)
    head = drain_down(p, b)
    crest = spec.bottom + spec.start - head
    coefficient = flow / head**1.5
    clear = b.gate_signal(b.always(True))
    b.weir(p.name, b.spout(sump, crest), coefficient, coefficient * max(CROWDED, 2.0 * head), clear)
    b.fault("display overflow blocked", [("high", clear, 0.0)])
    b.fault("return pump stops", [("force", live, 0.0)])
    b.say(b.no(live), f"the return pump of {p.name} stops", f"the return pump of {p.name} starts again")
    b.say(
        b.on_delay(b.no(live), STANDS_STILL),
        f"{p.name} has stood without circulation for an hour",
        f"{p.name} circulates again",
        kind="harm",
    )
    run_back(p, b, live)
    dry = b.all(live, b.no(b.level_above(sump, needs + 1e-3, needs)))
    b.say(
        dry, f"the return pump of {p.name} draws air", f"the return pump of {p.name} is under water again", kind="harm"
    )
    b.tally("return pump dry", p.name, dry)


def run_back(p: PartView, b: Lowering, live: int) -> None:
    """The stopped return pump as a siphon, down to its nozzle, where no hole lets air in."""
    deep = p["nozzle below water"]
    if deep is None:
        return
    spec = b.vessel(p.name)
    closed = b.any(b.always(p["break hole"] == NO_HOLE))
    runs = b.all(closed, b.no(live))
    nozzle = b.spout(p.name, spec.bottom + spec.start - deep)
    b.orifice(nozzle, b.tap(p["drains to"]), loss_of_hole(disc(RETURN_TUBE)), b.gate_signal(runs))
    b.say(runs, f"{p.name} runs back through its return tube", f"{p.name} no longer runs back through its return tube")
    b.fault("break hole clogged", [("force", closed, 1.0)])


def lower(p: PartView, b: Lowering) -> None:
    """Evaporation from tank and sump, circulation between them, and the seam that may leak."""
    spec = b.vessel(p.name)
    tap = b.tap(p.name)
    b.leak(tap, spec.bottom, spec.place, "seam leaks", CRACK)
    for water in open_waters(p, b):
        b.evaporates(tap if water.vessel == p.name else b.tap(water.vessel), water, 0.01, 0.005)
    if p["drains to"]:
        circulate(p, b)


def _implied(p: PartView) -> list[Finding]:
    """What its figures say about each other: depth, salinity, how often its water goes round, what evaporates."""
    found = []

    def ask(code: str, what: str, remedy: str, key: str, *, cannot: bool = False) -> None:
        found.append(Finding(code, "error" if cannot else "warning", p.name, what, remedy, key=key))

    depth = p["volume"] / surface_of(p)
    if not SHALLOW[1] <= depth <= DEEP[1]:
        ask(
            "tank-depth",
            f"Its volume over its surface makes water {amount(depth, 'height')} deep; "
            f"{amount(SHALLOW[1], 'height')} to {amount(DEEP[1], 'height')} would be usual.",
            "Measure length and width of the water and its depth: all three together make the volume. Mind the units.",
            "volume", cannot=not SHALLOW[0] <= depth <= DEEP[0],
        )  # fmt: skip
    if BETWEEN_SALTS[0] < p["salinity"] < BETWEEN_SALTS[1]:
        ask(
            "tank-salinity",
            f"A salinity of {amount(p['salinity'], 'salinity')} is much for a fresh-water tank and little for any "
            "other.",
            f"Did you mean {amount(10.0 * p['salinity'], 'salinity', 3)}? Look at the instrument and what its scale "
            "counts.",
            "salinity",
        )  # fmt: skip
    flow = p["return flow"]
    if flow is not None and not ROUND[0] <= flow * 3600.0 / p["volume"] <= ROUND[1]:
        ask(
            "tank-return-flow",
            f"The return pump would move its water {flow * 3600.0 / p['volume']:.2g} times an hour; 5 to 10 is usual.",
            "Hold a bucket under the end of the return tube, and look at the clock and at the unit.",
            "return flow",
        )  # fmt: skip
    if p["evaporation"] is not None and p["evaporation"] * 86400.0 > DRIEST * surface_of(p):
        daily = p["evaporation"] * 86400.0
        ask(
            "tank-evaporation",
            f"{amount(daily, 'volume')} a day would lower its water by {amount(daily / surface_of(p), 'height')} a "
            f"day; {amount(USUALLY_DRIES[0], 'height')} to {amount(USUALLY_DRIES[1], 'height')} is usual.",
            "Check the figure and its unit; if it is right, look for a leak or a fan, or for a large sump.",
            "evaporation",
        )  # fmt: skip
    for key in ("return flow", "power"):
        if key in p.given and not p["drains to"]:
            ask(
                "tank-without-sump", f'"{key}" has no effect: the tank drains into no sump.',
                "Add 'drains to: ...' with the name of its sump, or take the key out.", key,
            )  # fmt: skip
    return found


def check(p: PartView) -> list[Finding]:
    """It must stand somewhere, and its figures must fit each other."""
    found = check_bottom(p) + _implied(p)
    if p["in"] or p["drains to"]:
        return found
    return [
        *found,
        Finding(
            "tank-place-missing",
            "error",
            p.name,
            "It says neither in which room it stands nor which sump it drains to.",
            "Add 'in: ...' with the name of the room, or 'drains to: ...' with the name of its sump.",
            key="in",
        ),
    ]


KIND = Kind(
    word="display tank",
    also=("tank", "aquarium", "main tank", "fish tank", "reef"),
    section="water",
    role="vessel",
    summary="The tank with its animals, and the return pump that fills it from its sump.",
    fails="Its overflow is blocked, its return pump stops or draws air, or a seam leaks.",
    params=PARAMS,
    ports=(),
    faults=FAULTS,
    lower=lower,
    check=check,
    store=store,
    tests=(
        ProofTest(
            "block the overflow",
            "Standing by, with the top-off unplugged and a towel at hand, hold the overflow shut. Let go when the "
            "return pump draws air, or when the tank is a finger's breadth below its rim.",
            "The return pump draws air first.",
            12.0 * MONTH,
        ),
    ),
    symbol='<path d="M3 2 V18 H37 V2" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M3 5 H37" stroke="currentColor" stroke-dasharray="4 2"/>'
    '<path d="M14 12 q6 -5 12 0 q-6 5 -12 0 M14 12 l-4 -3 v6 Z" fill="none" stroke="currentColor"/>',
    example="reef: {kind: display tank, drains to: big sump, surface: 120 cm x 60 cm, volume: 410 L, salinity: 35 ppt}",
    cautions=(
        "Mains electricity beside salt water: a residual-current device, and leads that hang in a loop.",
        "Salinity kills by where it ends and how long it stays there, upward as well as downward.",
    ),
    notes=(
        "Water of tank and sump counts as mixed at all times, also while the return pump stands still.",
        "The weir and the end of the return tube are one curve: through the return flow, and through what drains down.",
        "Below the level it needs, the return pump gives evenly less, and nothing 20 mm further down (our prior).",
        "Return flow decides only how fast things happen. Without a power circuit the return pump never loses power.",
        "Salt water carried away by splash and salt creep is not counted, by a skimmer only where it is described.",
        "A tank that runs back does so through a return tube of 25 mm (our prior, 12 to 50 mm), down to its nozzle.",
        "A leaking seam is 1 mm2 at the bottom (our prior, 0.1 to 10 mm2).",
    ),
)
