"""A water replacement pair: two slow pumps, one takes old water out day by day, the other puts new salt water in.

No two pumps give the same. The difference is hidden by the top-off, which holds the level: with q_out taken and q_in
put in, the salinity drifts to S_new q_in / q_out with the time constant V / q_out, and no alarm is raised. With 10 %
less in than out, 5 L a day and 300 L, 35 falls to 32.3 in a season. One pump that stops, new water that is used up, or
a tube that siphons does more, and faster. Sources: the balance of salt; how unlike two such pumps are, our prior; rates
of motor pumps NUREG/CR-6928 (2020 update, second-hand) doubled.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from dewpond.errors import Finding
from dewpond.parts.base import Fault, Kind, Level, Lowering, Param, PartView, ProofTest, Rate, Source, Upkeep, amount
from dewpond.parts.clocks import AFTER_A_CUT, CLOCK_FAULTS, KEEPS, Times, by_the_clock
from dewpond.parts.plumbing import (
    DAY,
    IN_IF_ELSEWHERE,
    JOINT_FAULTS,
    JOINT_NOTE,
    MONTH,
    PRIOR,
    YEAR,
    disc,
    drain_gates,
    leak_at_joints,
    powered,
    tube_ends,
)
from dewpond.parts.pumping import DOES_NOT_RUN, DRY_BAND, DRY_BELOW, FLOW, NO_MORE, OUTLET, RUNS_ON
from dewpond.parts.rollers import BORE, LENGTH, past_the_rollers, way_in
from dewpond.physics.pipes import FREE_OUTLET, SHARP_ENTRY

HOUR = 3600.0
OUT, IN = "out", "in"
PUMPS = {OUT: "the out pump", IN: "the in pump"}
UNLIKE = 1.3  # jugs that are so far from a portion are asked about [1]; our prior

JUG = Param(OUT, "volume", "What the out pump gave.", low=1e-6, high=0.1, usual=(5e-6, 0.02))
PARAMS = (
    Param(
        "of", "part", "The sump or tank whose water is replaced.", roles=("vessel",), also=("tank", "sump", "in tank"),
    ),
    Param(
        "from", "part", "The vessel of new salt water: one that `holds: salt water`.", roles=("vessel",),
        also=("new water from", "mixing vessel", "source"),
    ),
    Param(
        "waste to", "part", "The drain in which the out tube ends; left out: a drain that is always clear.",
        default=None, roles=("drain", "place"), also=("drain", "old water to"),
    ),
    IN_IF_ELSEWHERE,
    Param(
        "a day", "volume", "What is replaced in a day.", low=0.05e-3, high=0.1, usual=(0.2e-3, 0.04),
        also=("litres", "litres a day", "daily volume"),
    ),
    Param(
        "portions", "count", "In how many portions a day.", default=12, low=1, high=96, usual=(1, 48),
        source=Source("every two hours", PRIOR, 1.0, 48.0), also=("times a day", "doses"),
    ),
    Param(
        "begins at", "time of day", "The time of day of one of its portions.", default=0.0,
        source=Source("midnight, as most are set", PRIOR), also=("first at", "starts at", "from time"),
    ),
    replace(
        FLOW, default=3e-3 / HOUR, low=0.05e-3 / HOUR, high=60e-3 / HOUR, usual=(0.2e-3 / HOUR, 20e-3 / HOUR),
        help="How fast each of the two pumps while it runs.",
        source=Source("a small pump with rollers", PRIOR, 1e-3 / HOUR, 6e-3 / HOUR),
    ),
    Param(
        "measured", "map", "What each gave in one portion, in a jug of its own; left out: the mismatch is assumed.",
        default=None, fields=(JUG, replace(JUG, key=IN, help="What the in pump gave.")), also=("jugs", "calibrated"),
    ),
    Param(
        "mismatch", "fraction", "By how much one gives less than the other; used where no jugs were filled.",
        default=0.07, low=0.0, high=0.5, usual=(0.0, 0.2),
        source=Source("two pumps and tubes of one make, set once", PRIOR, 0.0, 0.1), also=("difference", "error"),
        moot_with="measured",
    ),
    Param(
        "gives less", "word", "Which of the two gives less; used where no jugs were filled.", words=(IN, OUT),
        default="unknown", unknown=(IN, OUT), also=("weaker", "weaker pump"), moot_with="measured",
        find_out="Let both run into jugs for one portion, and write what each gave as `measured: {out: ..., in: ...}`.",
    ),
    Param(
        "takes down to", "level", "Level in the sump or tank below which the out pump draws air.",
        default=Level(0.05, "bottom"), also=("out inlet", "out tube hangs at"), usual=(0.0, 1.5),
        source=Source("its tube hangs near the bottom", PRIOR, 0.02, 0.3),
    ),
    Param(
        "out tube ends at", "height", "Height of the end of the out tube above the floor of the room it ends in.",
        default=0.0, low=-2.0, high=4.0, usual=(-0.5, 2.0), source=Source("in a floor drain", PRIOR, 0.0, 1.0),
    ),
    replace(OUTLET, help="Height of the end of the in tube, where the new water comes out."),
    DRY_BELOW,
    Param(
        "power", "part", "The power circuit of both pumps; left out: they have power whatever happens.", default=None,
        roles=("circuit",), also=("circuit", "plugged into", "powered by"),
    ),
    KEEPS,
    tube_ends(4),
    Param("tubes changed on", "date", "When the tubes between the rollers were changed last.", default=None),
)  # fmt: skip

OUT_STOPS = replace(
    DOES_NOT_RUN, name="out pump stops", reveals="a sump that stands higher, new water that is used",
    what="The out pump does not pump: new water comes in on top, the water rises, and the top-off rests.",
)  # fmt: skip
IN_STOPS = replace(
    DOES_NOT_RUN, name="in pump stops", reveals="new water that is not used; a salinity that falls",
    what="The in pump does not pump: old water goes out, and the top-off makes it up with fresh.",
)  # fmt: skip
USED_UP = Fault(
    "new water used up", "latent", "Nobody has mixed new water: the in pump draws air, the top-off makes up for it.",
    "a look into its vessel",
    Rate(0.5, "per year", 3.0, Source("a week of illness or of work", PRIOR, 0.1, 3.0)),
)  # fmt: skip
OUT_RUNS_ON = replace(
    RUNS_ON, name="out pump runs on", what="The out pump runs day and night: the top-off makes it up with fresh water.",
    reveals="the sound of it, a salinity that falls",
)  # fmt: skip
IN_RUNS_ON = replace(
    RUNS_ON, name="in pump runs on", what="The in pump runs day and night until nothing is left: the water rises.",
    reveals="the sound of it, new water that is used up",
)  # fmt: skip
SIPHONS_OUT = Fault(
    "out tube siphons", "latent",
    "The rollers of the out pump no longer shut its tube: old water runs out through it by gravity, all day.",
    "a drop at the end of the out tube while the pump rests",
    Rate(0.1, "per year", 5.0, Source("tubes grow soft within a year; no statistics are known", PRIOR, 0.02, 0.5)),
)  # fmt: skip
SIPHONS_IN = replace(
    SIPHONS_OUT, name="in tube siphons",
    what="The rollers of the in pump no longer shut its tube: water runs through by gravity, either way.",
    reveals="new water that falls while the pump rests",
)  # fmt: skip
SPLIT = Fault(
    "tube split", "initiator",
    "The tube that its rollers squeeze has split: what it pumps falls where it stands.",
    "water or salt below the pump heads; a level that only falls",
)  # fmt: skip


class Given(NamedTuple):
    """What each of the two gives in a day [m3]."""

    out: float
    into: float


def given(p: PartView) -> Given:
    """By the jugs, else by the setting and the mismatch that is assumed."""
    jugs = p["measured"]
    if jugs is not None:
        return Given(p["portions"] * jugs[OUT], p["portions"] * jugs[IN])
    less = (1.0 - p["mismatch"]) * p["a day"]
    return Given(p["a day"], less) if p["gives less"] == IN else Given(less, p["a day"])


def portion_lasts(p: PartView) -> float:
    """How long the pumps run for one portion as it is set [s]."""
    return float(p["a day"] / p["portions"] / p[FLOW.key])


def lower(p: PartView, b: Lowering) -> None:
    """Two pumps that run by one clock, each with its own flow, tubes, rollers and joints."""
    live = powered(p["power"] or "", b)
    due = by_the_clock(b, Times(p["begins at"], portion_lasts(p), DAY / p["portions"]), live, p[KEEPS.key])
    running = p["portions"] * portion_lasts(p)
    amounts = given(p)
    _out(p, b, due, live, amounts.out / running)
    _in(p, b, due, live, amounts.into / running)


def _ordered(b: Lowering, due: int, live: int, stops: str, runs_on: str) -> int:
    """The signal that a pump runs, with what keeps it from stopping or running."""
    order = b.any(due)
    b.fault(stops, [("force", order, 0.0)])
    b.fault(runs_on, [("force", order, 1.0)])
    return b.all(order, live)


def _out(p: PartView, b: Lowering, due: int, live: int, flow: float) -> None:
    """Out of the tank down into a drain; where that backs up, over the floor of its room."""
    vessel, to = p["of"], p["waste to"]
    spec, down_to = b.vessel(vessel), b.vessel_level(vessel, p["takes down to"])
    z, place = spec.bottom + down_to, p["in"] or spec.place
    running = _ordered(b, due, live, OUT_STOPS.name, OUT_RUNS_ON.name)
    tap, joint = b.tap(vessel), b.junction(z)
    b.fixed_flow(tap, joint, flow, b.gate_level(vessel, down_to + DRY_BAND, down_to, also=running))
    inlet = way_in(b, tap, z, b.gate_level(vessel, down_to + DRY_BAND, down_to))
    past_the_rollers(b, SIPHONS_OUT.name, running, inlet, joint, z)
    gates = drain_gates(b, to)
    room = (b.part(to)["in"] if len(gates) > 1 else to) if to else place
    end = b.place_height(room) + p["out tube ends at"]
    ends = [b.open_end(end, to) if to else b.drain_end(end)]
    if len(gates) > 1:
        ends.append(b.open_end(end, room))
    for where, gate in zip(ends, gates, strict=True):
        b.tube(joint, where, BORE, LENGTH, SHARP_ENTRY + FREE_OUTLET, gate)
    _leaks(p, b, joint, z, place, PUMPS[OUT])


def _in(p: PartView, b: Lowering, due: int, live: int, flow: float) -> None:
    """Out of the vessel of new water into the tank, for as long as there is some."""
    new, vessel = p["from"], p["of"]
    spec, dry = b.vessel(new), b.vessel_level(new, p[DRY_BELOW.key])
    z, place = spec.bottom + dry, p["in"] or spec.place
    running = _ordered(b, due, live, IN_STOPS.name, IN_RUNS_ON.name)
    tap, joint = b.tap(new), b.junction(z)
    draws = b.gate_level(new, dry + DRY_BAND, dry, also=running)
    b.fixed_flow(tap, joint, flow, draws)
    b.fault(USED_UP.name, [("high", draws, 0.0)])
    inlet = way_in(b, tap, z, b.gate_level(new, dry + DRY_BAND, dry))
    past_the_rollers(b, SIPHONS_IN.name, running, inlet, joint, z)
    b.tube(joint, b.spout(vessel, b.height(p, p[OUTLET.key], vessel)), BORE, LENGTH, SHARP_ENTRY + FREE_OUTLET)
    nothing_left = b.no(b.level_above(new, dry + DRY_BAND, dry + NO_MORE * DRY_BAND))
    b.say(b.all(running, nothing_left), f"{p.name} draws air: {new} is down to its inlet", kind="harm")
    _leaks(p, b, joint, z, place, PUMPS[IN])


def _leaks(p: PartView, b: Lowering, joint: int, z: float, place: str, which: str) -> None:
    """What lies behind the rollers of one pump may leak; half of the tube ends are counted at each."""
    where = f"of {which}"
    b.leak(joint, z, place, SPLIT.name, disc(BORE), where=where, cuts=True)
    leak_at_joints(b, joint, z, place, 0.5 * p["tube ends"], BORE, where)


def check(p: PartView) -> list[Finding]:
    """The portions of a day fit into it, two vessels are two, and the jugs fit the setting."""
    found = []
    if portion_lasts(p) >= 0.99 * DAY / p["portions"]:
        found.append(
            Finding(
                "pair-too-slow", "error", p.name,
                f"At {amount(p[FLOW.key], 'flow')} the pumps need more than a day for {amount(p['a day'], 'volume')}.",
                "Correct the flow of the pumps, or what is replaced in a day.", key=FLOW.key,
            )
        )  # fmt: skip
    if p["of"] == p["from"]:
        found.append(
            Finding(
                "pair-one-vessel", "warning", p.name, "It takes its new water from the vessel whose water it replaces.",
                "Name the vessel in which new salt water is mixed.", key="from",
            )
        )  # fmt: skip
    jugs, portion = p["measured"], p["a day"] / p["portions"]
    for pump, jug in jugs.items() if jugs is not None else ():
        if not 1.0 / UNLIKE <= jug / portion <= UNLIKE:
            found.append(
                Finding(
                    "pair-jugs", "warning", p.name,
                    f"In one portion {PUMPS[pump]} gave {amount(jug, 'volume')}; as it is set, a portion is "
                    f"{amount(portion, 'volume')}.",
                    "Measure one portion of each in a jug, or correct the litres a day and the portions.",
                    key="measured",
                )
            )  # fmt: skip
    return found


DRIFTS = (
    "A tank whose level a top-off holds drifts to the salinity of the new water times what comes in over what goes "
    "out, with the volume over what goes out as its time constant."
)
KIND = Kind(
    word="water replacement pair",
    also=(
        "automatic water change", "automatic water replacement", "auto water change", "AWC", "continuous water change",
        "metering pumps",
    ),
    section="water",
    role="line",
    summary="Two slow pumps: one takes old water out of the tank day by day, the other puts new salt water in.",
    fails="The two give unlike amounts, one stops or runs on, the new water is used up, or a tube siphons; the top-off "
    "hides it, and the salinity drifts.",
    params=PARAMS,
    ports=(),
    faults=(
        *CLOCK_FAULTS, OUT_STOPS, IN_STOPS, USED_UP, OUT_RUNS_ON, IN_RUNS_ON, SIPHONS_OUT, SIPHONS_IN, SPLIT,
        *JOINT_FAULTS,
    ),
    lower=lower,
    check=check,
    tests=(
        ProofTest(
            "two jugs",
            "Let both pumps run one portion into a jug each, with their tubes' ends where they always are.",
            "The jugs are alike to a twentieth: write down both.",
            2.0 * MONTH,
        ),
        ProofTest(
            "no drop",
            "While the pumps rest, hold the end of the out tube over a jug, lower than the water in the tank.",
            "Not a drop follows in ten minutes.",
            3.0 * MONTH,
        ),
    ),
    upkeep=(
        Upkeep("Change both tubes between the rollers together, and fill the two jugs anew.", YEAR, "tubes changed on"),
        Upkeep("Measure the salinity of the tank: nothing else shows that the two pumps drift apart.", DAY * 7.0),
    ),
    symbol='<path d="M2 18 V10 a6 6 0 0 1 12 0 V18 M26 18 V10 a6 6 0 0 1 12 0 V18" fill="none" stroke="currentColor" '
    'stroke-width="1.5"/><circle cx="8" cy="10" r="2" fill="currentColor"/><circle cx="32" cy="10" r="2" '
    'fill="currentColor"/><path d="M17 7 H23 L21 5 M23 13 H17 L19 15" fill="none" stroke="currentColor"/>',
    example="water pair: {kind: water replacement pair, of: big sump, from: salt bucket, waste to: floor drain, "
    "a day: 5 L, portions: 24, measured: {out: 208 mL, in: 198 mL}, outlet: 45 cm above floor, power: study circuit}",
    cautions=(
        "Measure the salinity every week: a tenth of a difference costs some units in a season, and no alarm tells.",
        "Let both pumps stop together: on one circuit, with one clock.",
        "Fix the end of the out tube above its drain, not in it, and let none hang deeper than what may be lost.",
        "Unplug both before you put a finger near their rollers.",
    ),
    notes=(
        DRIFTS,
        "Both run by one clock of their own; no row of the matrix stops them, but a circuit that is dead does.",
        "Without jugs one is taken to give 7 % less (our prior, 0 to 10 %); which of the two is tried both ways.",
        "The new water is as salty as the file says of its vessel; storage bins and reservoirs hold purified water.",
        "New water is not mixed within a run: what its vessel holds at the start is all there is.",
        "Each pump stands as low as the inlet of its tube; its tube has a bore of 4 mm and is 2 m long (our prior).",
        "Worn rollers leave a hole of 0.3 mm (our prior, 0.1 to 1 mm), open while the pump rests.",
        "Of a split tube all falls that its pump gives.",
        AFTER_A_CUT,
        JOINT_NOTE,
    ),
)  # fmt: skip
