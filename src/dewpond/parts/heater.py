"""A heater in a vessel: it keeps the water warm, and pays with its watts for the heat that evaporation takes.

It must stay under water: bare glass with its power on cracks or scorches in minutes. It cracks, and then current leaks
into the water and from there to earth; that trips a residual-current device before it, if there is one. Its thermostat
sticks, on or off; how warm the water gets is not followed.

Sources: latent heat, 28 W for each litre a day (2.44 MJ/kg at 25 C, steam tables); how often one cracks or sticks, our
priors. No statistics of such heaters are known to us.
"""

from __future__ import annotations

from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import MONTH, PRIOR, YEAR

BAND = 3e-3  # above its mark at which it counts as under water again [m]
AT_ONCE = 2.0  # what has not been cut by then is not cut [s]
DRY = "heater dry"

PARAMS = (
    Param(
        "in", "part", "The vessel whose water it heats.", roles=("vessel",),
        also=("sump", "tank", "stands in", "heats"),
    ),
    Param(
        "rated", "power", "What it takes while it heats, as printed on it.", low=1.0, high=5000.0, usual=(10.0, 1500.0),
        also=("watts", "wattage", "W"),
    ),
    Param(
        "must stay under water to", "level", "The mark on it, or the height, up to which water must stand.",
        also=("minimum water level", "minimum level", "water line", "must stay under water", "needs"),
    ),
    Param(
        "power", "part", "The power circuit that feeds it.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by"),
    ),
)  # fmt: skip

FEEL = "a thermometer that is none of its own"
CRACKED = Fault(
    "cracked", "event", "Its glass has a crack: current leaks into the water, and whoever reaches into it may be hurt.",
    "a tingle, or a residual-current device that trips with it and holds without it",
    Rate(0.01, "per year", 5.0, Source("glass, knocks, a hot one that is splashed", PRIOR, 0.002, 0.05)),
)  # fmt: skip
STUCK_ON = Fault(
    "stuck on", "event",
    "Its thermostat no longer switches it off: it heats without end; how warm the water gets is not followed.",
    FEEL,
    Rate(0.02, "per year", 3.0, Source("contacts that weld with every cycle", PRIOR, 0.007, 0.06)),
)  # fmt: skip
STUCK_OFF = Fault(
    "stuck off", "event", "It no longer heats: the water cools towards the room; how far is not followed.", FEEL,
    Rate(0.05, "per year", 3.0, Source("burnt out, contacts, a fuse in its plug", PRIOR, 0.017, 0.15)),
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """No water moves by it: it may stand dry under power, leak current, and heat without end or not at all.

    Whoever finds its circuit dead while it is cracked pulls its plug.
    """
    vessel, fed, never = p["in"], b.circuit(p["power"]), b.always(False)
    mark = b.vessel_level(vessel, p["must stay under water to"])
    covered = b.level_above(vessel, mark + BAND, mark)
    cracked, on, off = (b.any(b.always(False)) for _ in range(3))
    pulled = b.latch(b.all(cracked, b.switched_on(p["power"])), never, never)
    live, leaks = b.all(fed, b.no(pulled)), b.all(cracked, b.no(pulled))
    dry = b.all(live, b.no(off), b.no(covered))
    b.say(
        dry, f"{p.name} stands dry with its power on: it cracks or scorches", f"{p.name} is under water or off again",
        kind="harm",
    )  # fmt: skip
    b.tally(DRY, vessel, dry)
    b.leaks_to_earth(p["power"], leaks)
    b.say(
        b.on_delay(b.all(leaks, live), AT_ONCE),
        f"current leaks from {p.name} into the water of {vessel}: whoever reaches into it may be hurt",
        f"{p.name} is cut off: no current leaks from it",
        kind="harm",
    )
    b.say(pulled, f"the plug of {p.name} is pulled by hand")
    b.say(b.all(on, live), f"{p.name} heats without end", f"{p.name} heats no longer")
    b.say(off, f"{p.name} heats no more")
    b.fault(CRACKED.name, [("force", cracked, 1.0)])
    b.fault(STUCK_ON.name, [("force", on, 1.0)])
    b.fault(STUCK_OFF.name, [("force", off, 1.0)])


KIND = Kind(
    word="heater",
    also=("aquarium heater", "heating rod", "immersion heater", "heating element", "titanium heater"),
    section="water",
    role="line",
    summary="A heater in a sump or tank, which must stay under water while its power is on.",
    fails="It stands dry when the water falls and cracks or scorches; it cracks, and current leaks into the water; its "
    "thermostat sticks on or off.",
    params=PARAMS,
    ports=(),
    faults=(CRACKED, STUCK_ON, STUCK_OFF),
    lower=lower,
    symbol='<path d="M2 6 q4 -3 8 0 t8 0 t8 0 t8 0" fill="none" stroke="currentColor"/>'
    '<rect x="17" y="2" width="6" height="16" rx="3" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M20 8 l-1.5 2 l3 2 l-3 2 l1.5 2" fill="none" stroke="currentColor"/>',
    example="heater: {kind: heater, in: big sump, rated: 300 W, must stay under water to: 160 mm, "
    "power: study circuit}",
    tests=(
        ProofTest(
            "look at it",
            "Unplug it, wait a quarter of an hour, lift it out, and look for cracks, drops inside and burnt spots. "
            "Hold it against another thermometer for a day afterwards.",
            "Glass, seal and cord are whole, and the water stays within a degree of what is set.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(Upkeep("Change it before it is old: seals and thermostat age together.", 4.0 * YEAR),),
    cautions=(
        "Unplug it and let it cool for a quarter of an hour before the water falls below its mark.",
        "Never top up cold water over one that has stood dry: hot glass bursts. Unplug it first.",
        "Feed it through a residual-current device (RCD, GFCI): a cracked one puts voltage on the water.",
        "A return chamber is the first to fall when the top-off fails: a heater stands better before the last baffle.",
    ),
    notes=(
        "The temperature of the water is not followed: neither a stuck thermostat nor a cut cools or heats it here.",
        (
            "Its watts change nothing in a run; they stand ready for what a year of energy costs. Evaporation takes "
            "28 W for each litre a day, and most of that the heater pays in winter."
        ),
        (
            "It counts as dry as soon as the water is below its mark while there is power, whether it heats just "
            "then or not; that it really cracks then is not taken for granted."
        ),
        (
            "Below a baffle, its vessel's level is that of the return chamber: one that stands before the baffle stays "
            "covered for longer."
        ),
        "Whoever finds its circuit dead while it is cracked finds it out and pulls its plug, for the rest of the run.",
        "A current that leaks trips at once what is made for it; from a plastic vessel without earth it may not.",
    ),
)
