"""A water change: so many litres are taken out of the tank or its sump, and as many of new salt water put back.

In between the water is low, and an automatic top-off fills it up with fresh water unless somebody pauses it: then the
new water comes on top, the salinity is down and the sump too full. It is forgotten half way, and the top-off fills it
up as soon as its pause ends by itself; or the new water is not salty enough. Closed form of a change of V litres in T:
the salinity ends at S0 (1 - V / T) + S1 V / T. How often each slip comes: omissions 0.003 to 0.01 (THERP, from memory)
and 0.02 (HEART, task E, second-hand).
"""

from __future__ import annotations

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Lowering, Param, PartView, ProofTest, Rate, Source, amount
from dewpond.parts.plumbing import DAY, LEFT_BY_HAND, MONTH, PRIOR
from dewpond.physics.seawater import density

HOUR, MINUTE = 3600.0, 60.0
WEAK = 0.8  # salinity of new water that is not salty enough, over what it should be [1]; our prior, 0.5 to 0.95

PARAMS = (
    Param(
        "of", "part", "The sump or tank out of which the water is taken, and into which the new water goes.",
        roles=("vessel",), also=("in", "tank", "from"),
    ),
    Param(
        "litres", "volume", "How much is changed.", low=0.1e-3, high=5.0, usual=(1e-3, 0.5), also=("volume", "amount"),
    ),
    Param(
        "salinity", "salinity", "Salinity of the new water.", default=35.0, low=0.0, high=42.0, usual=(0.0, 40.0),
        source=Source("sea water", "published", 30.0, 36.0),
    ),
    Param(
        "taken out at", "flow", "How fast the old water leaves.", default=300e-3 / HOUR, low=1e-3 / HOUR,
        high=10.0 / HOUR, usual=(20e-3 / HOUR, 3.0 / HOUR),
        source=Source("a hose into a bucket, 5 L/min", PRIOR, 60e-3 / HOUR, 1.2 / HOUR),
    ),
    Param(
        "put back at", "flow", "How fast the new water is put in.", default=300e-3 / HOUR, low=1e-3 / HOUR,
        high=10.0 / HOUR, usual=(20e-3 / HOUR, 3.0 / HOUR),
        source=Source("a small pump or a can, 5 L/min", PRIOR, 60e-3 / HOUR, 1.2 / HOUR),
    ),
    Param(
        "between", "duration", "How long the water stands low in between.", default=10.0 * MINUTE, low=1.0, high=DAY,
        usual=(MINUTE, 6.0 * HOUR), source=Source("wiping the glass, changing buckets", PRIOR, 2.0 * MINUTE, HOUR),
    ),
    Param(
        "every", "duration", "How often it is done; left out: a year does without it.", default=None, low=DAY,
        high=400.0 * DAY, usual=(DAY, 100.0 * DAY), also=("how often", "interval"),
    ),
    Param(
        "ends by itself after", "duration", "The time after which its pause ends by itself; left out: only by hand.",
        default=None, low=1.0, high=7.0 * DAY, usual=(MINUTE, DAY),
        also=("timeout", "automatic return", "returns after"),
    ),
)  # fmt: skip

EACH_TIME = Rate(0.02, "each time", 3.0, Source("HEART, task E, 0.02 (second-hand)", "derived", 0.007, 0.06))

DONE = Fault("is done", "event", "Somebody changes the water, with the pause begun and ended in time.", "a bucket")
NOT_PAUSED = Fault(
    "top-off not paused", "event",
    "Somebody changes the water and forgets the pause: the top-off makes the low water up with fresh.",
    "a top-off pump that starts during the change", EACH_TIME,
)  # fmt: skip
WEAK_WATER = Fault(
    "new water not salty enough", "event", "The new water has four fifths of the salt that it should have.",
    "measure each new batch before it goes in, after it has mixed for a day", EACH_TIME,
)  # fmt: skip
HALF_WAY = Fault(
    "forgotten half way", "event",
    "The old water is out, and the new does not go in: when its pause ends by itself, if it does, the top-off makes it "
    "up with fresh water.",
    "a low sump, and a bucket of new water beside it", LEFT_BY_HAND,
)  # fmt: skip


def lower(p: PartView, b: Lowering) -> None:
    """Two fixed flows, one after the other, and a condition for the matrix while the change goes on."""
    vessel, volume = p["of"], p["litres"]
    out_in = volume / p["taken out at"]
    begins = out_in + p["between"]
    ends = begins + volume / p["put back at"]
    doing, unpaused, weak, left = (b.any(b.always(False)) for _ in range(4))
    paused = b.all(doing, b.no(unpaused))
    if p["ends by itself after"] is not None:
        paused = b.all(paused, b.no(b.on_delay(doing, p["ends by itself after"])))
    b.condition("begun", paused, meant=True)
    b.say(doing, f"{p.name}: water is taken out of {vessel}", f"{p.name}: all of it is over")
    b.say(paused, f"{p.name}: its pause begins", f"{p.name}: its pause is over")
    taking = b.all(doing, b.no(b.on_delay(doing, out_in)))
    putting = b.all(b.on_delay(doing, begins), b.no(b.on_delay(doing, ends)), b.no(left))
    b.say(putting, f"{p.name}: new water is put into {vessel}")
    _streams(p, b, taking, putting, weak, left)
    course = ("force", doing, 1.0)
    b.fault(DONE.name, [course], lasts=ends)
    b.fault(NOT_PAUSED.name, [course, ("force", unpaused, 1.0)], lasts=ends)
    b.fault(WEAK_WATER.name, [course, ("force", weak, 1.0)], lasts=ends)
    b.fault(HALF_WAY.name, [course, ("force", left, 1.0)])


def check(p: PartView) -> list[Finding]:
    """Its pause must not end by itself before the new water is in."""
    ends = p["ends by itself after"]
    needs = p["litres"] / p["taken out at"] + p["between"] + p["litres"] / p["put back at"]
    if ends is None or ends >= needs:
        return []
    return [
        Finding(
            "change-ends-first", "warning", p.name,
            f"Its pause ends by itself after {amount(ends, 'duration')}; until the new water is in it takes "
            f"{amount(needs, 'duration')}: the top-off makes the low water up with fresh meanwhile.",
            "Let it end by itself some time after the change is over.", key="ends by itself after",
        )
    ]  # fmt: skip


def _streams(p: PartView, b: Lowering, taking: int, putting: int, weak: int, left: int) -> None:
    """Old water goes where new water comes from, so that a whole change counts for nothing in what the house gives;
    that of one forgotten half way is down the drain."""
    spec, tap, back = b.vessel(p["of"]), b.tap(p["of"]), p["put back at"]
    z, dry = spec.bottom + spec.rim, 0.01
    salt = p["salinity"] * 1e-3 * density(p["salinity"], b.season("air", spec.place))
    new, weaker = b.source(0.0, z, salt), b.source(0.0, z, WEAK * salt)
    for end, also in ((new, b.no(left)), (b.drain_end(z), left)):
        b.fixed_flow(tap, end, p["taken out at"], b.gate_level(p["of"], dry, 0.5 * dry, also=b.all(taking, also)))
    b.fixed_flow(new, tap, back, b.gate_signal(b.all(putting, b.no(weak))))
    b.fixed_flow(weaker, tap, back, b.gate_signal(b.all(putting, weak)))


KIND = Kind(
    word="water change",
    also=("salt water change", "partial water change", "WC"),
    section="work",
    role="work",
    summary="Water is taken out and new salt water put back; rows of the matrix say what rests while it is begun.",
    fails="Nobody pauses the top-off, the new water is not salty enough, or it is forgotten half way.",
    params=PARAMS,
    ports=(),
    faults=(DONE, NOT_PAUSED, WEAK_WATER, HALF_WAY),
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "pause first",
            "Begin the pause, take a litre out of the sump, wait for longer than the top-off's delay, and put it back.",
            "The top-off pump stays still meanwhile, and works again when the pause is over.",
            6.0 * MONTH,
        ),
    ),
    symbol='<path d="M4 6 V18 H18 V6 M22 6 V18 H36 V6" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    '<path d="M12 12 V3 H28 V10 M25 7 L28 10 L31 7" fill="none" stroke="currentColor" stroke-width="1.5"/>',
    example="water change: {kind: water change, of: big sump, litres: 30 L, ends by itself after: 2 h}",
    cautions=(
        "Measure the salinity and temperature of new water before it goes in, and that of the tank the day after.",
        "A pause that ends by itself fills a low sump with fresh water: end the change, or pull the top-off's plug.",
        "Unplug heater and return pump before the water falls: a heater in air cracks.",
    ),
    notes=(
        "Whoever does it does it at its rates to the end. It comes once in a run.",
        "New water that is not salty enough has four fifths of its salt (our prior, 0.5 to 0.95).",
        "The return pump is not stopped for it: where a sump gives more than its chamber holds, it draws air.",
        "Old water is not counted as sent down the drain, but where the change is forgotten half way.",
        "The new water has the temperature of the room, and takes up no time to mix in.",
    ),
)
