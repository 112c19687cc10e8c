"""A pump that raises the pressure before a membrane, with the pressure switches that start and stop it.

A switch on its inlet stops it while the supply brings nothing, one behind the membrane stops it when that line is full:
when the float has shut. Without power, water goes through it at house pressure. It fails by not running, by running on
(the switch behind the membrane is stuck: the pressure there rises to what it can give, and joints and housings bear
that), by a switch on its inlet that is stuck, and at its joints. Curve: one falling with the square of the flow, as
EPANET's. Switch pressures as sold: from memory. Rates: motor pumps of NUREG/CR-6928 (2020 update, second-hand) doubled;
switches our priors.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source, Upkeep
from dewpond.parts.plumbing import (
    AFTER,
    BEARS,
    HEIGHT,
    IN,
    JOINT_FAULTS,
    JOINT_NOTE,
    MEMORY,
    MONTH,
    POWER,
    PRIOR,
    height_in_place,
    loss_of_flow,
    powered,
    tube_ends,
)
from dewpond.parts.pumping import DOES_NOT_RUN
from dewpond.parts.valves import leak_on_both_sides
from dewpond.physics.pressure import head_at_rest

MOST = 2.0  # what it gives against nothing, over the flow at which it is rated [1]; our prior, 1.3 to 3
SUCTION = loss_of_flow(10e-3 / 60.0, 1e5)  # its strainer and inlet: 10 L/min at 1 bar; our prior, 5 to 20
THROUGH = loss_of_flow(4e-3 / 60.0, 1e5)  # through its valves while it stands: 4 L/min at 1 bar; our prior, 2 to 10
OPENS = 5e3  # at which its valves begin to open [Pa]; our prior, 0 to 0.1 bar
NONE = "none"
NO_PRIOR = "no statistics are known to us"


def pair(stops: tuple[str, float, float], again: tuple[str, float, float], source: Source) -> tuple[Param, Param]:
    """The two pressures of a switch, at which it stops the pump and lets it start again: words, usual, highest [Pa]."""
    return (
        Param("stops at", "pressure", *stops[:2], 0.02e5, stops[2], usual=(0.1e5, min(6e5, stops[2])), source=source),
        Param("starts at", "pressure", *again[:2], 0.03e5, again[2], usual=(0.2e5, min(5e5, again[2])), source=source),
    )


LOW_SOLD = Source("small switches, set to about 5 and 10 psi", MEMORY, 0.1e5, 1.4e5)
HIGH_SOLD = Source("stops at 40 psi and starts again at 20, as small ones are sold", MEMORY, 0.7e5, 4.2e5)
LOW = pair(("Below this pressure it stops.", 0.3e5, 4e5), ("From this pressure on it runs.", 0.7e5, 6e5), LOW_SOLD)
HIGH = pair(
    ("From this pressure on it stops.", 2.8e5, 10e5), ("Below this pressure it runs again.", 1.4e5, 8e5), HIGH_SOLD
)

PARAMS = (
    AFTER,
    IN,
    HEIGHT,
    Param(
        "adds",
        "compound",
        "What it adds to the pressure at a flow, as on its plate, or by gauges before and behind it: 3 bar at 1 L/min.",
        pattern="{pressure} at {flow}",
        fields=(
            Param("pressure", "pressure", "It adds.", low=0.1e5, high=12e5, usual=(1e5, 8e5)),
            Param(
                "flow",
                "flow",
                "At this flow.",
                low=0.05e-3 / 60.0,
                high=20e-3 / 60.0,
                usual=(0.2e-3 / 60.0, 8e-3 / 60.0),
            ),
        ),
        also=("head", "boost", "pressure", "rated"),
    ),
    Param(
        "gives at most",
        "flow",
        "What comes out of it against nothing: a jug and a clock, with its outlet in the open.",
        default=None,
        low=0.06e-3 / 60.0,
        high=60e-3 / 60.0,
        usual=(0.3e-3 / 60.0, 20e-3 / 60.0),
        source=Source("left out: twice the flow at which it adds what it says", PRIOR),
        also=("open flow", "max flow", "maximum flow"),
    ),
    Param(
        "low switch",
        "map",
        "The pressure switch on its inlet, which stops it when the supply brings nothing, or the word none.",
        default={field.key: field.default for field in LOW},
        words=(NONE,),
        fields=LOW,
        source=LOW_SOLD,
        also=("low pressure switch", "inlet switch", "LPS"),
    ),
    Param(
        "high switch",
        "map",
        "The pressure switch behind the membrane, which stops it when that line is full, or the word none.",
        default=NONE,
        words=(NONE,),
        fields=(
            Param("after", "part", "The part behind which it stands, as the check valve there.", roles=("line",)),
            *HIGH,
        ),
        source=HIGH_SOLD,
        also=("high pressure switch", "tank switch", "tank full switch", "HPS", "full switch"),
    ),
    Param(
        "waits before it starts",
        "duration",
        "How long its switches must let it before it starts; 0 s where nothing delays it.",
        default=10.0,
        low=0.0,
        high=3600.0,
        usual=(0.0, 300.0),
        source=Source("switch boxes with a delay; a plain switch has none", PRIOR, 0.0, 60.0),
        also=("start delay", "delay", "rests for"),
    ),
    POWER,
    BEARS,
    tube_ends(4),
    Param("looked at on", "date", "When its strainer was cleaned and its switches were tried last.", default=None),
)

FAULTS = (
    DOES_NOT_RUN,
    Fault(
        "runs on",
        "latent",
        "The switch behind the membrane is stuck: it does not stop when the line there is full, and the pressure rises "
        "to all that it can give.",
        "listen to it an hour after the reservoir is full; a gauge behind the membrane",
        Rate(0.03, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.006, 0.15)),
    ),
    Fault(
        "runs without a supply",
        "latent",
        "The switch on its inlet is stuck: it runs on, dry, when the supply brings nothing.",
        "shut the tap before it while it runs: it stops within a minute",
        Rate(0.03, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.006, 0.15)),
    ),
    Fault(
        "low switch stuck",
        "latent",
        "The switch on its inlet does not close: it never runs, and water goes through it at house pressure.",
        "a gauge behind it that stands no higher than the one before it",
        Rate(0.03, "per year", 5.0, Source(NO_PRIOR, PRIOR, 0.006, 0.15)),
    ),
    *JOINT_FAULTS,
)


def most(p: PartView) -> float:
    """What it gives against nothing [m3/s]."""
    return float(p["gives at most"] or MOST * p["adds"]["flow"])


def head(p: PartView) -> float:
    """What it adds when nothing flows [Pa]."""
    return head_at_rest(p["adds"]["pressure"], p["adds"]["flow"], most(p))


def told_to_run(p: PartView, b: Lowering, suction: int) -> int:
    """The signal that it runs: its switches, its wait, its power, with the faults of each."""
    supplied = full = -1
    if p["low switch"] != NONE:
        supplied = b.pressure_above(suction, p["low switch"]["starts at"], p["low switch"]["stops at"])
    if p["high switch"] != NONE:
        high = p["high switch"]
        full = b.any(b.pressure_above(b.outlet(high["after"], feels=True), high["stops at"], high["starts at"]))
    lets = b.any(supplied if supplied >= 0 else b.always(True))
    wanted = b.all(lets, b.no(full)) if full >= 0 else lets
    wait = p["waits before it starts"]
    live = b.any(powered(p["power"] or "", b))
    running = b.any(b.all(b.on_delay(wanted, wait) if wait > 0.0 else wanted, live))
    b.say(running, f"{p.name} starts", f"{p.name} stops")
    b.fault(DOES_NOT_RUN.name, [("force", running, 0.0)])
    if full >= 0:
        b.fault("runs on", [("force", full, 0.0)])
    if supplied >= 0:
        b.fault("runs without a supply", [("force", lets, 1.0)])
        b.fault("low switch stuck", [("force", lets, 0.0)])
        b.say(b.all(running, b.no(supplied)), f"{p.name} runs dry: the supply brings nothing", kind="harm")
    return running


def lower(p: PartView, b: Lowering) -> None:
    """Through its strainer to the pump, and beside that through its valves; joints leak on both sides."""
    z = height_in_place(p, b)
    inlet, suction, outlet = b.outlet(p["after"]), b.junction(z), b.port("out", z)
    b.orifice(inlet, suction, SUCTION)
    running = told_to_run(p, b, suction)
    b.pump(suction, outlet, head(p), most(p), b.gate_signal(running))
    b.check(suction, outlet, OPENS, THROUGH)
    leak_on_both_sides(p, b, suction, outlet, z)


def check(p: PartView) -> list[Finding]:
    """Its curve falls, and each switch has a difference between its two pressures."""
    found = []
    if most(p) <= p["adds"]["flow"] * 1.02:
        what = "At the flow at which it adds pressure, it gives all that it can already."
        remedy = "'gives at most' is what comes out of it against nothing, and more than the flow in 'adds'."
        found.append(Finding("booster-curve", "error", p.name, what, remedy, key="gives at most"))
    for key, rising in (("low switch", True), ("high switch", False)):
        told = p[key]
        if told == NONE or (told["starts at"] > told["stops at"]) == rising:
            continue
        above = "above" if rising else "below"
        what = f"The pressure at which it starts again does not lie {above} the one at which it stops."
        remedy = "Read both off a gauge while it stops and starts; between them lies what the switch lets pass."
        found.append(Finding("booster-switch", "error", p.name, what, remedy, key=key))
    return found


KIND = Kind(
    word="booster pump",
    also=("booster", "pressure pump", "RO pump", "diaphragm pump"),
    section="water",
    role="line",
    summary="A pump that raises the pressure before the membrane, with the switches that start and stop it.",
    fails="It does not run, runs on when the line behind the membrane is full, runs dry, or leaks at its joints.",
    params=PARAMS,
    ports=(Port("in"), Port("out")),
    faults=FAULTS,
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "stops when full",
            "Lift the float by hand until it is shut, while it runs. Keep a gauge behind the membrane in sight.",
            "It stops within a few minutes, at the pressure written down, and starts when the float falls.",
            6.0 * MONTH,
        ),
        ProofTest(
            "stops without water",
            "Shut the tap before it while it runs.",
            "It stops within a minute, and starts again when the tap is open.",
            6.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep(
            "Clean its strainer; try both switches; feel its head and look at its joints.", 12.0 * MONTH, "looked at on"
        ),
    ),
    symbol='<path d="M0 10 H12 M28 10 H40" stroke="currentColor" stroke-width="2"/>'
    '<circle cx="20" cy="10" r="8" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M16 5 L28 10 L16 15 Z M20 10 V6" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="booster: {kind: booster pump, after: filters, in: laundry, adds: 3.5 bar at 1 L/min, "
    "gives at most: 1.8 L/min, high switch: {after: check, stops at: 2.8 bar, starts at: 1.4 bar}, "
    "power: laundry circuit}",
    cautions=(
        (
            "Electricity beside water: fed through a residual-current device, its lead in a loop below its socket, "
            "nothing of it on the floor. Unplug it before you open a joint."
        ),
        "What stands behind it must bear what it adds and the supply's highest pressure together.",
        "Shut the water and let the pressure out before you open a housing.",
        "It hums, and shakes what it hangs on: its joints want tubes that are not under strain.",
    ),
    notes=(
        "It adds less and less, with the square of the flow, and nothing at what it gives at most.",
        "While it stands, water goes through its valves one way: 4 L/min at 1 bar (our prior, 2 to 10).",
        "Its strainer and inlet take 1 bar at 10 L/min (our prior, 5 to 20).",
        (
            "Without a switch behind the membrane it runs as long as the supply brings water, and only a valve before "
            "it takes it that."
        ),
        "While it stands and nothing shuts the feed, waste runs on at house pressure.",
        "Its motor protection, and that it wears when it runs dry, are left out.",
        JOINT_NOTE,
    ),
)
