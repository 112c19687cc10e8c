"""Where the water parts: how it is shared, when the waste ends, and what runs back from one branch into the other.

Expected figures: Torricelli's law for a vessel that runs out (closed form), Hagen and Poiseuille with Borda's losses
for two branches side by side (a second way, solved here), and litres counted by hand.
"""

import math

import pytest
from scipy.optimize import brentq

from dewpond.parts.manifold import KIND as MANIFOLD
from dewpond.parts.tee import KIND as TEE
from dewpond.physics import water
from dewpond.plant import primitives as prim
from dewpond.plant.plant import Plant
from tests.parts.recording import lowered
from tests.plant.houses import HOUR, Ill, Told, plant_of, run

UNIT = """
format: 1
title: One unit, two reservoirs (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}, dissolved solids: 240 ppm}}
places:
  laundry:     {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  gully:       {{kind: waste drain, in: laundry}}
  study:       {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:    {{kind: hand valve, after: supply, in: laundry}}
  membrane:    {{kind: membrane, after: stop tap, in: laundry, rated: 75 gal/day at 50 psi and 25 C, waste to: gully}}
  shut-off:    {{kind: automatic shut-off, on: membrane, closes at: 67 %}}
  check:       {{kind: check valve, after: membrane, in: laundry}}
  fork:        {{kind: {fork}, after: check, in: laundry}}
  tube a:      {{kind: tubing, after: fork, length: 2 m, through: [study]}}
  float a:     {{kind: float valve, after: tube a, fills: tank a, starts to shut at: 250 mm, quite shut at: 265 mm}}
  tank a:      {{kind: reservoir, in: study, footprint: {size_a}, rim: 300 mm, bottom: 2 cm above floor,
                overflow: none, starts at: 240 mm}}
  tube b:      {{kind: tubing, after: fork, length: 20 m, through: [study]}}
  float b:     {{kind: float valve, after: tube b, fills: tank b, starts to shut at: 250 mm, quite shut at: 265 mm}}
  tank b:      {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
                overflow: none, starts at: {start_b}}}
"""
BACK = """
format: 1
title: A high and a low reservoir (invented)
supply: {{pressure: 4 bar, temperature: {{winter: 8 C, summer: 18 C}}}}
places:
  study:       {{kind: room, size: 4 m x 3 m, floor: glazed tile}}
water:
  stop tap:    {{kind: hand valve, after: supply, in: study}}
  feed valve:  {{kind: solenoid valve, after: stop tap, in: study, without power: shut, driven by: box}}
  tee:         {{kind: tee, after: feed valve, in: study}}
  high float:  {{kind: float valve, after: {behind}, fills: high, starts to shut at: 250 mm,
                quite shut at: 265 mm{end}}}
  high:        {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 150 cm above floor,
                overflow: none, starts at: 200 mm}}
  low float:   {{kind: float valve, after: tee, fills: low, starts to shut at: 250 mm, quite shut at: 265 mm}}
  low:         {{kind: reservoir, in: study, footprint: 40 cm x 40 cm, rim: 300 mm, bottom: 2 cm above floor,
                overflow: none, starts at: 50 mm}}
{more}
controllers:
  box:         {{power: box circuit, when it hangs: keeps last order}}
"""
G, AREA, SEAT = 9.80665, 0.16, 3e-3  # [m/s2], of a reservoir [m2], of a float [m]
SUBMERGED = ", outlet: 3 cm above bottom"
STUCK_SHUT = Ill("feed valve: stuck shut", 0.0)


def unit(fork: str = "tee", start_b: str = "200 mm", size_a: str = "40 cm x 40 cm") -> Plant:
    return plant_of(UNIT.format(fork=fork, start_b=start_b, size_a=size_a))


def two_heights(end: str = SUBMERGED, behind: str = "tee", more: str = "") -> Plant:
    return plant_of(BACK.format(end=end, behind=behind, more=more))


def after(plant: Plant, hours: float, *ills: Ill) -> Told:
    return run(plant, "travelling", hours * HOUR, ills, compiled=True)


def through(told: Told, part: str, law: int | None = None) -> list[int]:
    """The edges of a part, those of one law."""
    laws = told.plant.arrays.edge_law
    return [link.edge for link in told.plant.links if link.part == part and law in (None, laws[link.edge])]


def flow(told: Told, part: str, law: int | None = None) -> float:
    (edge,) = through(told, part, law)
    return told.trace.flow[edge]


def waste(told: Told) -> float:
    """What runs through the waste tube at the end of a run [m3/s]."""
    a = told.plant.arrays
    ends = [one.edge for one in told.plant.links if one.part == "membrane" and a.node_kind[one.outlet] == prim.AIR]
    return sum(told.trace.flow[edge] for edge in ends)


def is_shut(told: Told) -> bool:
    """Whether the unit draws nothing; of its waste, only what its housing still gives back."""
    return abs(flow(told, "stop tap")) < 1e-12 and abs(waste(told)) < 1e-9


def volume(told: Told, vessel: str) -> float:
    return told.trace.volume[told.plant.stores.index(vessel)]


# --- the unit's water is shared --------------------------------------------------------------------------------------


@pytest.mark.parametrize("fork", ["tee", "manifold, outlets: 2", "manifold, outlets: 5"])
def test_product_is_shared_and_nothing_of_it_lost(fork: str) -> None:
    told = after(unit(fork), 0.25)
    made = flow(told, "membrane", prim.MEMBRANE)
    shares = flow(told, "float a"), flow(told, "float b")
    assert made > 1e-6
    assert sum(shares) == pytest.approx(made, rel=1e-5)  # the tubes still fill, by drops a day
    assert flow(told, "fork") == pytest.approx(made, rel=1e-5)
    assert shares[0] > shares[1] > 0.0  # 2 m of tube against 20 m


def test_shares_are_those_of_two_branches_side_by_side() -> None:
    """Laminar tubes after Hagen and Poiseuille, two elbows of 3 velocity heads, the seat of each float; equal ends."""
    told = after(unit(), 0.25)
    made = flow(told, "membrane", prim.MEMBRANE)
    rho, mu, bore = water.density(281.15), water.viscosity(281.15), 4.318e-3
    assert 4.0 * made * rho / (math.pi * bore * mu) < 2000.0  # Reynolds

    def loss(flow: float, length: float) -> float:
        laminar = 128.0 * mu * length * flow / (math.pi * bore**4)
        elbows = 6.0 * 0.5 * rho * (flow / (math.pi / 4.0 * bore**2)) ** 2
        seat = 0.5 * 1000.0 * (flow / (0.7 * math.pi / 4.0 * SEAT**2)) ** 2
        return laminar + elbows + seat

    share = brentq(lambda flow: loss(flow, 2.0) - loss(made - flow, 20.0), 0.0, made)
    assert 0.6 * made < share < 0.95 * made
    assert flow(told, "float a") == pytest.approx(share, rel=1e-3)


def test_litres_of_a_fill_add_up() -> None:
    """What the membrane has made lies in the two reservoirs, but for millilitres in its housing and the tubes."""
    told = after(unit(), 6.0)
    (edge,) = through(told, "membrane", prim.MEMBRANE)
    filled = volume(told, "tank a") + volume(told, "tank b") - AREA * (0.240 + 0.200)
    assert filled > 5e-3
    assert told.trace.moved[edge] == pytest.approx(filled, abs=30e-6)


# --- the shut-off waits for both floats ------------------------------------------------------------------------------


def test_waste_ends_only_when_both_floats_are_shut() -> None:
    """Reservoir a is full after minutes, b hours later: until then the waste runs."""
    plant = unit()
    made = flow(after(plant, 0.25), "membrane", prim.MEMBRANE)
    full = AREA * (0.265 - 0.200) / made / HOUR  # the last litres of b, all of the product [h]
    one, both = after(plant, 0.7 * full), after(plant, 2.0 * full + 6.0)
    mark = 0.99 * 0.265 * AREA
    assert volume(one, "tank a") > mark > volume(one, "tank b")
    assert flow(one, "float a") < 0.02 * made
    assert waste(one) > 2.0 * made
    assert min(volume(both, "tank a"), volume(both, "tank b")) > mark
    assert is_shut(both)


@pytest.mark.parametrize("stuck", ["a", "b"])
def test_waste_runs_on_while_one_float_is_stuck_open(stuck: str) -> None:
    other = {"a": "b", "b": "a"}[stuck]
    told = after(unit(), 48.0, Ill(f"float {stuck}: stuck open", 0.0))
    assert waste(told) > 1e-6
    assert not is_shut(told)
    assert flow(told, f"float {stuck}") == pytest.approx(flow(told, "membrane", prim.MEMBRANE), rel=0.02)
    assert volume(told, f"tank {other}") == pytest.approx(AREA * 0.265, rel=0.03)  # full, and shut all the time
    assert told.consequence.rim_first.keys() == {f"tank {stuck}"}
    assert told.consequence.still_running


def test_one_float_stuck_shut_leaves_the_other_reservoir_filled() -> None:
    told = after(unit(), 24.0, Ill("float a: stuck shut", 0.0))
    assert volume(told, "tank a") == pytest.approx(AREA * 0.240, rel=1e-6)
    assert volume(told, "tank b") == pytest.approx(AREA * 0.265, rel=0.01)
    assert is_shut(told)


# --- from one branch into the other ----------------------------------------------------------------------------------


@pytest.mark.parametrize("minutes", [1.0, 5.0, 10.0])
def test_high_reservoir_runs_back_into_the_low_one_after_torricelli(minutes: float) -> None:
    """Closed form: through two seats of 3 mm in a row into the open air h below, sqrt(h) falls evenly with time.

    h = 1.50 m + 0.20 m of water - 0.32 m, the height of the low float's end; no water comes from the supply.
    """
    told = after(two_heights(), minutes / 60.0, STUCK_SHUT)
    seats = 2.0 * 0.5 * 1000.0 / (0.7 * math.pi / 4.0 * SEAT**2) ** 2  # dp = seats Q^2
    c = math.sqrt(water.density(281.15) * G / seats)
    h = (math.sqrt(1.38) - 0.5 * c / AREA * 60.0 * minutes) ** 2
    lost = AREA * (1.38 - h)
    assert AREA * 0.200 - volume(told, "high") == pytest.approx(lost, rel=1e-3)
    assert volume(told, "low") - AREA * 0.050 == pytest.approx(lost, rel=1e-3)
    assert flow(told, "high float") == pytest.approx(-c * math.sqrt(h), rel=2e-3)


def test_high_reservoir_stops_running_back_when_the_low_float_shuts() -> None:
    """By hand: the low one takes 0.16 m2 x 215 mm up to its mark, the high one holds 170 mm above its outlet."""
    told = after(two_heights(), 24.0, STUCK_SHUT)
    assert volume(told, "high") == pytest.approx(AREA * 0.030, abs=2e-4)
    assert volume(told, "low") == pytest.approx(AREA * 0.220, abs=2e-4)


@pytest.mark.parametrize(
    ("end", "behind", "more"),
    [
        ("", "tee", ""),  # the float lets out above the water
        (SUBMERGED, "hold", "  hold: {kind: check valve, after: tee, in: study}\n"),
    ],
)
def test_air_gap_or_check_valve_holds_the_high_reservoir(end: str, behind: str, more: str) -> None:
    told = after(two_heights(end, behind, more), 6.0, STUCK_SHUT)
    assert volume(told, "high") == pytest.approx(AREA * 0.200, abs=1e-6)


def test_burst_of_one_branch_empties_the_submerged_reservoir_of_the_other() -> None:
    """The supply is shut; what leaks at the tee, half a metre above the floor, is the high reservoir."""
    told = after(two_heights(), 6.0, STUCK_SHUT, Ill("low float: stuck shut", 0.0), Ill("tee: joint blows off", HOUR))
    assert told.consequence.on_floors == pytest.approx(AREA * 0.170, rel=0.02)


# --- what they ask for -----------------------------------------------------------------------------------------------


def test_joints_are_its_outlets_and_one() -> None:
    """One tube end in, one for each outlet; or as many as were counted."""

    def ends(kind: object, **given: object) -> float:
        asked = lowered(kind, {key.replace("_", " "): value for key, value in given.items()})  # type: ignore[arg-type]
        return sum(leak["sites"] for leak in asked.leaks("joint weeps"))

    assert ends(TEE) == 3
    assert [ends(MANIFOLD, outlets=n) for n in (2, 4, 8)] == [3, 5, 9]
    assert (ends(TEE, tube_ends=0), ends(MANIFOLD, outlets=4, tube_ends=12)) == (0, 12)


def test_wider_tubes_lose_less_and_leak_more() -> None:
    narrow, wide = (lowered(TEE, {"size": size}) for size in ("1/4 in", "3/8 in"))
    ratio = (6.35 / 4.318) ** 4
    assert narrow.only("orifice")["k"] / wide.only("orifice")["k"] == pytest.approx(ratio)
    areas = [asked.leaks("joint blows off")[0]["area"] for asked in (narrow, wide)]
    assert areas[1] / areas[0] == pytest.approx(math.sqrt(ratio))
