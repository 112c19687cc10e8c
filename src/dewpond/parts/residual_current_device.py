"""A residual-current device (RCD, GFCI): it cuts what hangs on it when current leaks to earth, and so guards people.

Water at a socket or a cracked heater trips it, and then everything behind it is dead: the pump that floods, but also
the box and the valve that were to stop the flood. It fails by tripping for nothing, and unseen by not tripping: the
plant runs on as before, and the water stands under voltage.

Sources: about 3 in 100 that stand in houses do not trip when tried, in one survey 7 in 100 (from memory); how often one
trips for nothing, our prior.
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, Port, ProofTest, Rate, Source
from dewpond.parts.plumbing import MONTH
from dewpond.parts.sensing import STAYS_WET

TRIPS_IT, DOES_NOT = "trips it", "does not trip it"
AT_ONCE = 1.0  # what has not tripped by then does not trip, and the next one before it does [s]

PARAMS = (
    Param(
        "power", "part", "The power circuit before it, or the one that it is plugged into.", roles=("circuit",),
        also=("circuit", "plugged into", "powered by", "behind"),
    ),
    Param(
        "socket in", "place", "The place where water reaches a socket or plug behind it first; left out: none.",
        default=None, also=("socket", "outlet in", "plug in", "power strip in"),
    ),
    Param(
        "wet from", "volume", "Litres lying in that place from which the socket stands in water: the area times its "
        "height.",
        default=None, low=1e-5, high=2.0, usual=(0.2e-3, 0.2), also=("reached by", "wet at", "floods at"),
    ),
    Param(
        "purified water", "word", "Whether purified water at the socket trips it, which hardly conducts.",
        default=TRIPS_IT, words=(TRIPS_IT, DOES_NOT), unknown=(TRIPS_IT, DOES_NOT),
        find_out="Nobody can try that without danger: leave it unknown. Dust and salt on a floor make water conduct.",
    ),
    Param(
        "trips from", "dissolved solids", "Dissolved matter of water that trips it where purified water does not.",
        default=0.03, low=1e-3, high=1.0, usual=(4e-3, 0.2),
        source=Source(
            "30 mA at 230 V through contacts with 1 to 5 cm of area over distance (our prior), 1 uS/cm for 0.5 mg/L; "
            "5 mA at 120 V a third of it", "derived", 4e-3, 0.065,
        ),
    ),
)  # fmt: skip

FOR_NOTHING = Fault(
    "trips for nothing", "event",
    "It drops out although nothing leaks, until somebody at home finds out and switches it on again.",
    "everything behind it is dead, and other circuits have power",
    Rate(0.2, "per year", 5.0, Source("damp plugs, pumps that add up, a thunderstorm", "our prior", 0.04, 1.0)),
)  # fmt: skip
DOES_NOT_TRIP = Fault(
    "does not trip", "latent",
    "It does not cut when current leaks: all that hangs on it runs on, and whoever touches the water may be hurt.",
    "press its test button: does everything behind it stand still?",
    Rate(
        0.005, "per year", 3.0,
        Source("3 to 7 in 100 found not to trip (from memory), taken as ten years old", "derived", 0.0015, 0.015),
    ),
)  # fmt: skip


def _flooded(p: PartView, b: Lowering) -> int:
    """Signal: its socket stands in water that conducts."""
    place, litres = p["socket in"], p["wet from"]
    water = b.pool_above(place, litres, STAYS_WET * litres)
    flooded = b.all(water, b.pool_salty(place, p["trips from"])) if p["purified water"] == DOES_NOT else b.any(water)
    b.say(water, f"water stands at the socket of {p.name} in {place}")
    return flooded


def lower(p: PartView, b: Lowering) -> None:
    """It cuts while current leaks, and stays off until somebody who is at home switches it on and it holds.

    What leaks behind it is unplugged or not as that part has it; a socket in the water goes on leaking.
    """
    before, own, works = b.circuit(p["power"]), b.circuit(p.name), b.any(b.always(True))
    never, again = b.always(False), b.switched_on(p.name)
    leaks = b.any(b.earth_leakage(p.name), *([_flooded(p, b)] if p["socket in"] else []))
    tripped = b.latch(b.all(leaks, works, before), again, never)
    b.feed(p.name, b.all(before, b.no(tripped)))
    live = b.on_delay(b.all(leaks, own), AT_ONCE)
    b.leaks_to_earth(p["power"], live)
    b.say(tripped, f"{p.name} trips: current leaks to earth", f"{p.name} holds again", kind="stop")
    b.say(own, f"power is back on {p.name}", f"{p.name} loses power")
    b.say(
        live,
        f"{p.name} does not cut a current that leaks: whoever touches the water may be hurt",
        kind="harm",
    )
    b.fault(FOR_NOTHING.name, [("force", own, 0.0)], until=again)
    b.fault(DOES_NOT_TRIP.name, [("force", works, 0.0)])


def check(p: PartView) -> list[Finding]:
    """A socket and the litres that reach it come together."""
    if (p["socket in"] is None) == (p["wet from"] is None):
        return []
    missing, there = ("wet from", "socket in") if p["wet from"] is None else ("socket in", "wet from")
    return [
        Finding(
            "residual-current-socket",
            "error",
            p.name,
            f'"{there}" is given without "{missing}".',
            "Give both: the place whose water reaches the socket first, and the litres in it from which it does.",
            key=there,
        )
    ]


KIND = Kind(
    word="residual-current device",
    also=(
        "RCD",
        "GFCI",
        "residual current circuit breaker",
        "ground fault interrupter",
        "earth leakage breaker",
        "RCBO",
    ),
    section="power",
    role="circuit",
    summary="A device that cuts all that hangs on it when current leaks to earth; other parts name it in `power` as "
    "they would a power circuit.",
    fails="It trips for nothing and leaves everything behind it dead, or unseen it does not trip when it should.",
    params=PARAMS,
    ports=(Port("out", "signal", must_join=False),),
    faults=(FOR_NOTHING, DOES_NOT_TRIP),
    lower=lower,
    check=check,
    symbol='<path d="M2 10 H12 M28 10 H38 M12 10 L26 3" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<circle cx="32" cy="10" r="3.5" fill="none" stroke="currentColor"/>'
    '<path d="M32 13.5 V18 H20 V7" fill="none" stroke="currentColor" stroke-dasharray="2 1.5"/>',
    example="study device: {kind: residual-current device, power: study circuit, socket in: cabinet tray, "
    "wet from: 5 L}",
    tests=(
        ProofTest(
            "test button",
            "Press its test button, look at what stands still, and switch it on again.",
            "It drops out at once, all that hangs on it stands still and nothing else does; after switching on, "
            "nothing fills or pumps that was shut off before.",
            3.0 * MONTH,
        ),
    ),
    cautions=(
        (
            "It protects people, not the floor. Never bridge one that trips, and have one that does not trip "
            "changed by a licensed electrician."
        ),
        "Water at a socket: stay out of it, and switch the circuit off at the board first.",
        (
            "One device for all means that one trip takes the pumps, the box, the valve and the messages at once: "
            "put what guards against water behind another one than what brings it."
        ),
        "Power strips hang above and beside the water, never on the floor or in the tray.",
    ),
    notes=(
        "Counted apart from the trips of the circuit before it, which stand for its fuse.",
        "Of two behind each other the inner one trips first; the outer one only if the inner one does not.",
        (
            "Whoever finds it dead finds what leaks and unplugs it, then it holds; a socket in the water keeps it "
            "off until half of the litres that reached it have dried up."
        ),
        "One socket is followed, the one that the water comes to first; and whether somebody is hurt is not.",
        (
            "Water at the socket is taken to find a way to earth; in a dry plastic tray it may find none, and "
            "nothing trips."
        ),
    ),
)
