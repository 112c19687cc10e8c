"""Pressures, bores, surges and leads of small designs against published cases; other supplies against a second way."""

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from scipy.optimize import brentq

from dewpond.design.cables import leads
from dewpond.design.model import Design
from dewpond.design.reader import read, read_text
from dewpond.parts import KINDS
from dewpond.plant import primitives as prim
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.report.views.blocks import Grid, Text
from dewpond.report.views.shown import shown_in
from dewpond.report.views.sizing_water import pressure_blocks, what_if_blocks
from dewpond.study.filling import look
from dewpond.study.flows import flows
from dewpond.study.sizing import sizing
from dewpond.study.sizing.bores import stretches
from dewpond.study.sizing.hammer import Slam, slams
from dewpond.study.sizing.losses import budgets
from dewpond.study.sizing.servos import servos
from dewpond.study.sizing.what_if import case, cases, under
from tests.parts.test_booster_pump import text as boosted

L_MIN, L_H, BAR = 1e-3 / 60.0, 1e-3 / 3600.0, 1e5


@pytest.fixture(scope="module")
def published(repository: Path) -> Mapping[str, Any]:
    """Cases of the published file by their number."""
    raw = json.loads((repository / "tests" / "published" / "hydraulics.json").read_text("utf-8"))
    return {one["id"]: one for one in (raw["cases"] if isinstance(raw, dict) else raw)}


def house(line: str, pressure: str = "4 bar", winter: str = "10 C", more: str = "") -> Design:
    """A supply, what ``line`` says, and a float that fills a tub; all at one height but for the float's end."""
    return read_text(
        f"""format: 1
title: A line (invented)
supply: {{pressure: {pressure}, temperature: {{winter: {winter}, summer: 25 C}}, dissolved solids: 300 ppm, in: shed}}
places:
  shed: {{kind: room, size: 3 m x 2 m, floor: glazed tile}}
  gully: {{kind: waste drain, in: shed}}
  loft: {{kind: room, size: 3 m x 2 m, floor: glazed tile, floor height: 2.6 m, leads to: shed}}
water:
{line}
  tub: {{kind: reservoir, in: shed, footprint: 50 cm x 40 cm, rim: 500 mm, overflow: none}}
{more}
""",
        "line.yaml",
    )


TUBE = (
    "  tube: {{kind: tubing, after: supply, size: {size}, length: {length} m, through: [shed], elbows: 0, "
    "height: 50 cm}}\n  ball: {{kind: float valve, after: tube, fills: tub, starts to shut at: 400 mm, "
    "quite shut at: 420 mm, seat: 12 mm}}"
)


def heads(plant: Plant, k: float) -> Plant:
    """The plant with so many velocity heads lost in each of its tubes."""
    a = plant.arrays
    p4 = [k if law == prim.TUBE else own for law, own in zip(a.edge_law, a.edge_p4, strict=True)]
    return replace(plant, arrays=a._replace(edge_p4=p4))


@pytest.mark.parametrize(
    ("number", "size"),
    [("H020", "1/4 in"), ("H022", "6x4"), ("H023", "3/8 in"), ("H024", "1/4 in"), ("H025", "1/4 in"), ("H028", "8x6"),
     ("H030", "3/8 in")],
)  # fmt: skip
def test_pressure_that_a_tube_takes_is_the_published_one(published: Mapping[str, Any], number: str, size: str) -> None:
    """The supply is turned up until the published flow runs; then the budget of the fill must show the drop."""
    inputs = {key: one["value"] for key, one in published[number]["inputs"].items()}
    design = house(TUBE.format(size=size, length=inputs["length"]), winter=f"{inputs['temperature']} C")
    plant, flow = heads(lower(design), inputs["sum_K"]), inputs["flow"] * L_MIN

    def runs(pressure: float) -> Plant:
        return under(plant, pressure, plant.water_temperature)

    def excess(pressure: float) -> float:
        looked = look(runs(pressure))
        return looked.turns[0][0].flow[next(iter(looked.filled))] - flow

    turned = runs(brentq(excess, 1e2, 9e5, rtol=1e-5))
    (budget,) = budgets(turned, design, look(turned))
    (loss,) = [loss for loss in budget.losses if loss.part == "tube"]
    assert loss.flow == pytest.approx(flow, rel=1e-3)
    drop = published[number]["expected"]["pressure_drop"]["value"] * 1e3
    assert loss.lost == pytest.approx(drop, rel=published[number]["tolerance"]["rel"])
    assert budget.given == pytest.approx(budget.lift + sum(one.lost for one in budget.losses), abs=0.1)


def test_lift_is_the_static_head_of_h120(published: Mapping[str, Any]) -> None:
    """A metre of water at 20 C is 9.79 kPa."""
    low, high = (
        house(TUBE.format(size="1/4 in", length=5), winter="20 C").text.replace(
            "rim: 500 mm", f"rim: 500 mm, bottom: {b}"
        )
        for b in ("0 cm above floor", "100 cm above floor")
    )
    lifts = []
    for text in (low, high):
        design = read_text(text, "lift.yaml")
        (budget,) = budgets(plant := lower(design), design, look(plant))
        lifts.append(budget.lift)
    assert lifts[1] - lifts[0] == pytest.approx(published["H120"]["expected"]["pressure"]["value"] * 1e3, rel=1e-3)


# -- the membrane ------------------------------------------------------------------------------------------------------
ELEMENT = (
    "  membrane: {kind: membrane, after: supply, in: shed, rated: 75 gal/day at 50 psi and 25 C, "
    "restrictor: 0.8 L/min at 3.45 bar}\n"
    "  ball: {kind: float valve, after: membrane, fills: tub, starts to shut at: 400 mm, quite shut at: 420 mm, "
    "outlet: 2 m above floor}"
)
# Product [L/h] and parts of waste, by temperature [C] and pressure [bar]; 300 ppm, a lift of 1.5 m. Each cell was
# worked out by a solver of its own from the laws of physics.membrane.
TABLE = {
    25: {2.5: (7.7, 5.3), 3.45: (11.1, 4.3), 5.5: (18.6, 3.3)},
    15: {2.5: (5.4, 7.5), 3.45: (7.9, 6.1), 5.5: (13.1, 4.6)},
    10: {2.5: (4.5, 9.0), 3.45: (6.5, 7.3), 5.5: (10.9, 5.6)},
    5: {2.5: (3.7, 10.9), 3.45: (5.4, 8.9), 5.5: (9.0, 6.7)},
}


def test_weaker_and_colder_supply_gives_the_table_of_a_75_gallon_element() -> None:
    """All twelve cells from one plant, that of 25 C and 3.45 bar, turned to the others; the inlet takes some 1 %."""
    plant = lower(house(ELEMENT, "3.45 bar", "25 C"))
    for celsius, row in TABLE.items():
        for bar, (product, waste) in row.items():
            got = case(under(plant, bar * BAR, celsius + 273.15), bar * BAR, celsius + 273.15)
            assert got.product / L_H == pytest.approx(product, rel=0.025), (celsius, bar)
            assert got.waste_ratio == pytest.approx(waste, rel=0.025), (celsius, bar)


def test_turned_plant_is_the_one_read_with_such_a_supply() -> None:
    """Second way: the design itself written with 2 bar and 5 C, and lowered anew."""
    found = cases(lower(house(ELEMENT, "4.2 bar", "16 C")))
    assert [(one.pressure / BAR, round(one.water - 273.15)) for one in found] == [
        (4.2, 16),
        (2.0, 16),
        (4.2, 5),
        (2.0, 5),
    ]
    for one in found:
        anew = lower(house(ELEMENT, f"{one.pressure / BAR} bar", f"{one.water - 273.15:.2f} C"))
        again = case(anew, one.pressure, one.water)
        assert one.product == pytest.approx(again.product, rel=0.01)
        assert one.waste_ratio == pytest.approx(again.waste_ratio, rel=0.01)


def test_temperature_is_that_of_h060(published: Mapping[str, Any]) -> None:
    """What a net pressure makes at other temperatures, by the divisors of the maker's chart."""
    plant = lower(house(ELEMENT, "4 bar", "25 C"))
    made = {}
    for celsius in (25, *published["H060"]["inputs"]["temperatures"]["value"]):
        turned = under(plant, 4.0 * BAR, celsius + 273.15)
        (budget,) = budgets(turned, house(ELEMENT, "4 bar", "25 C"), look(turned))
        (driven,) = budget.driven
        (through,) = [loss for loss in budget.losses if loss.drives]
        made[celsius] = through.flow / driven.net
    for celsius, divisor in zip(*(published["H060"][side][key]["value"] for side, key in
                                  (("inputs", "temperatures"), ("expected", "divisors"))), strict=True):  # fmt: skip
        assert made[25] / made[celsius] == pytest.approx(divisor, rel=0.002)


def test_net_pressure_is_what_the_laws_say_of_the_pressures_around_it() -> None:
    """At its rated point an element makes what is printed on it, so that the share must be that of the flows."""
    design = house(ELEMENT, "3.45 bar", "25 C")
    plant = lower(design)
    (budget,) = budgets(plant, design, look(plant))
    (driven,) = budget.driven
    (through,) = [loss for loss in budget.losses if loss.drives]
    assert driven.share == pytest.approx(through.flow / (75 * 3.785412e-3 / 86400.0), rel=1e-3)
    assert budget.losses[0].part == "membrane"


def test_two_floors_up_nothing_comes_at_a_weak_supply() -> None:
    """8 m of lift are 0.79 bar; 0.9 bar before a membrane leave nothing after what is dissolved has had its share."""
    text = ELEMENT.replace("2 m above floor", "8 m above floor")
    (now,) = cases(lower(house(text, "0.9 bar", "5 C")))
    assert now.unreached == ("tub",)
    assert cases(lower(house(text, "4 bar", "5 C")))[0].unreached == ()


def test_shut_off_that_cannot_close_is_told() -> None:
    """To close at two thirds, the salt must hold back less than a third of the pressure: 1.2 g/L hold back 1 bar."""
    more = "  shut: {kind: automatic shut-off, on: membrane, closes at: 67 %}\n"
    line = ELEMENT.replace(
        "  ball:", f"  check: {{kind: check valve, after: membrane, in: shed}}\n{more}  ball:"
    ).replace("after: membrane, fills", "after: check, fills")
    closes = {}
    for solids in ("300 ppm", "1200 ppm"):
        text = house(line, "4 bar", "20 C").text.replace("300 ppm", solids)
        closes[solids] = [one.closes for one in cases(lower(read_text(text, "salt.yaml")))]
    assert closes["300 ppm"] == [True] * 4
    assert closes["1200 ppm"][0] is True
    assert closes["1200 ppm"][-1] is False


# -- tubes -------------------------------------------------------------------------------------------------------------
def test_burst_is_limited_by_its_tube_as_in_h034(published: Mapping[str, Any]) -> None:
    """4 bar at the head of 5 m of 1/4 in: 3.83 L/min, of which a hole at the end may take a little."""
    line = (
        "  tube: {kind: tubing, after: supply, size: 1/4 in, length: 5 m, through: [shed], elbows: 0, height: 50 cm}\n"
        "  tap: {kind: hand valve, after: tube, in: shed, flow at 1 bar: 160 L/min}\n"
        "  ball: {kind: float valve, after: tap, fills: tub, starts to shut at: 400 mm, quite shut at: 420 mm}"
    )
    from dewpond.study.sizing.ways import broken, lets_out, widest_break

    plant = heads(lower(house(line, winter="15 C")), 8.0)  # and some 2 of a hole of its bore, 1 / 0.7^2
    fault = widest_break(plant, "tap")
    assert fault is not None
    spilt = lets_out(plant, fault, broken(plant, fault))
    assert spilt == pytest.approx(published["H034"]["expected"]["flow"]["value"] * L_MIN, rel=0.02)


def test_wider_tube_changes_a_line_as_if_the_file_said_so() -> None:
    """Second way: the same house read with 3/8 in. Its burst is where the tube begins."""
    one, other = (lower(house(TUBE.format(size=size, length=8))) for size in ("1/4 in", "3/8 in"))
    (now,), (wide,) = (stretches(plant, look(plant)) for plant in (one, other))
    assert (now.size, now.other, now.carries, wide.other) == ("1/4 in", "3/8 in", "line", "1/4 in")
    assert now.other_fill == pytest.approx(wide.fill, rel=0.01)
    assert now.other_burst == pytest.approx(wide.burst, rel=0.01)
    assert wide.other_fill == pytest.approx(now.fill, rel=0.01)
    assert now.wider
    assert not wide.wider
    assert now.gain > 1.0


def test_stretches_of_a_unit_are_told_by_what_they_carry() -> None:
    line = (
        "  inlet: {kind: tubing, after: supply, length: 2 m, through: [shed]}\n"
        + ELEMENT.replace("after: supply", "after: inlet").replace("after: membrane, fills", "after: riser, fills")
        + "\n  riser: {kind: tubing, after: membrane, length: 5 m, through: [shed, loft]}\n"
        "  waste: {kind: waste line, waste of: membrane, in: shed, to: gully, length: 2 m}"
    )
    plant = lower(house(line))
    found = {one.part: one for one in stretches(plant, look(plant))}
    assert {name: one.carries for name, one in found.items()} == {"inlet": "feed", "riser": "product", "waste": "waste"}
    assert abs(found["riser"].gain) < 0.05
    assert found["riser"].burst == pytest.approx(found["riser"].other_burst, rel=0.01)  # the membrane makes no more
    assert found["inlet"].other_burst > 1.5 * found["inlet"].burst


# -- hammer ------------------------------------------------------------------------------------------------------------
BOX = "controllers:\n  box: {power: circuit}\npower:\n  circuit: {}\n"
VALVE = (
    "  tube: {{kind: tubing, after: supply, size: {size}, length: 10 m, through: [shed], elbows: 0, height: 50 cm}}\n"
    "  valve: {{{kind}, after: tube, in: shed, driven by: box}}\n"
    "  ball: {{kind: float valve, after: valve, fills: tub, starts to shut at: 400 mm, quite shut at: 420 mm, "
    "seat: 12 mm}}"
)
QUICK = "kind: solenoid valve, without power: open, flow at 1 bar: 160 L/min, closes in: 10 ms"
ROWS = {  # surge [bar] by the wave speeds of Wylie and Streeter: soft polyethylene of 0.3 to 0.6 GPa
    ("1/4 in", 0.2): (0.5, 0.7), ("1/4 in", 1.0): (2.6, 3.6), ("3/8 in", 1.0): (1.2, 1.7),
    ("1/4 in", 3.8): (10.0, 14.0),
}  # fmt: skip


def slam(size: str, kind: str, flow: float) -> Slam:
    """The valve of a line through which so much runs [L/min]."""
    design = house(VALVE.format(size=size, kind=kind), more=BOX)
    plant = lower(design)

    def turned(pressure: float) -> Plant:
        return under(plant, pressure, plant.water_temperature)

    def excess(pressure: float) -> float:
        looked = look(turned(pressure))
        return looked.turns[0][0].flow[next(iter(looked.filled))] - flow * L_MIN

    right = turned(brentq(excess, 1e3, 9e5, rtol=1e-4))
    (found,) = slams(right, design, look(right))
    return found


@pytest.mark.parametrize(("size", "flow"), ROWS)
def test_fast_valve_knocks_as_in_the_table_of_surges(size: str, flow: float) -> None:
    found = slam(size, QUICK, flow)
    knock = found.knocks[0]
    assert (found.told, found.tube_told, found.joints) == (True, True, ("tube", "valve"))
    low, high = ROWS[size, flow]
    assert knock.low / BAR == pytest.approx(low, rel=0.1)  # the table has two digits, or one
    assert knock.high / BAR == pytest.approx(high, rel=0.1)


def test_surge_of_h121_lies_between_the_two_stiffnesses(published: Mapping[str, Any]) -> None:
    knock = slam("1/4 in", QUICK, 1.0).knocks[0]
    assert knock.velocity == pytest.approx(published["H121"]["expected"]["velocity"]["value"], rel=2e-3)
    assert knock.low / BAR < published["H121"]["expected"]["surge"]["value"] < knock.high / BAR


def test_slow_valve_hardly_knocks() -> None:
    """A rigid column of 10 m, 1.14 m/s, stopped in 10 s: 1.14 kPa, and no more than twice that."""
    found = slam("1/4 in", "kind: motorised ball valve, without power: open by a spring, turning time: 10 s", 1.0)
    knock = found.knocks[0]
    assert knock.low == pytest.approx(1000.0 * 10.0 * 1.138 / 10.0, rel=0.02)
    assert knock.high == pytest.approx(2.0 * knock.low, rel=1e-6)
    assert found.peak(knock) == pytest.approx(found.rests + knock.high)


def test_valve_that_shuts_on_a_break_is_remarked_and_a_slow_one_not() -> None:
    codes = {}
    for kind in (QUICK, "kind: motorised ball valve, without power: open by a spring, flow at 1 bar: 160 L/min"):
        design = house(VALVE.format(size="1/4 in", kind=kind).replace("seat: 12 mm", "seat: 1 mm"), more=BOX)
        plant = lower(design)
        fits = sizing.size(design, plant, flows(plant))
        codes[kind] = [(one.code, one.level) for one in sizing.remarks(fits)]
    assert list(codes.values()) == [[("S232", "note")], []]


# -- valves that the water moves ---------------------------------------------------------------------------------------
def test_servo_gets_what_its_flow_makes(repository: Path) -> None:
    """Kv 0.15 m3/h at 0.84 L/min: (0.84 * 0.06 / 0.15)^2 bar."""
    design = read(repository / "examples" / "two_tanks.yaml")
    plant = lower(design)
    (one,) = servos(plant, look(plant))
    kv = one.flow * 3600.0 / 0.15
    assert one.makes / BAR == pytest.approx(kv * kv, rel=1e-3)
    assert (one.part, one.needs / BAR) == ("feed valve", pytest.approx(0.3))
    assert one.shut / BAR == pytest.approx(3.6, rel=1e-2)


# -- leads -------------------------------------------------------------------------------------------------------------
def wired(cable: str, coil: str = "9.6 W at 12 V") -> Design:
    kind = f"kind: solenoid valve, without power: shut, coil: {coil}, cable: {cable}"
    return house(VALVE.format(size="1/4 in", kind=kind), more=BOX)


def test_lead_of_h111_loses_what_is_published(published: Mapping[str, Any]) -> None:
    (lead,) = leads(wired("{length: 10 m, gauge: 22 AWG}"), KINDS)
    expected = published["H111"]["expected"]
    assert lead.current == pytest.approx(0.8)
    assert lead.loop == pytest.approx(expected["loop_resistance"]["value"], rel=0.005)
    assert lead.drop == pytest.approx(expected["drop"]["value"], rel=0.005)
    assert 100.0 * lead.share == pytest.approx(expected["drop_percent"]["value"], rel=0.005)


def test_wires_are_those_of_the_table_of_h110(published: Mapping[str, Any]) -> None:
    """A lead of 500 ft has a loop of 1000 ft."""
    gauges, ohms = published["H110"]["inputs"]["awg"]["value"], published["H110"]["expected"]["ohm_per_1000ft"]["value"]
    for gauge, ohm in zip(gauges, ohms, strict=True):
        (lead,) = leads(wired(f"{{length: 500 ft, gauge: {gauge} AWG}}"), KINDS)
        assert lead.loop == pytest.approx(ohm, rel=0.005)


def test_hot_coil_pulls_as_in_h114_and_less_behind_a_lead(published: Mapping[str, Any]) -> None:
    (short,), (long,) = (leads(wired(f"{{length: {metres} m, gauge: 22 AWG}}"), KINDS) for metres in (0.1, 10))
    assert short.hot_pull == pytest.approx(published["H114"]["expected"]["current_ratio"]["value"], rel=0.002)
    cold = 12.0 / 0.8  # by Ohm's law: 12 V over the hot coil and both conductors, against 0.8 A
    assert long.hot_pull == pytest.approx(12.0 / (1.3144 * cold + 1.05906) / 0.8, rel=1e-3)


def test_longest_lead_loses_just_that_share() -> None:
    (lead,) = leads(wired("{length: 10 m, gauge: 0.5 mm2}"), KINDS)
    for gauge in ("22 AWG", "0.5 mm2"):
        metres = lead.longest(gauge, 0.05)
        (again,) = leads(wired(f"{{length: {metres:.6f} m, gauge: {gauge}}}"), KINDS)
        assert again.share == pytest.approx(0.05, rel=1e-4)


def test_coil_of_which_nothing_is_said_is_taken_and_says_so() -> None:
    design = house(VALVE.format(size="1/4 in", kind="kind: solenoid valve, without power: shut"), more=BOX)
    (lead,) = leads(design, KINDS)
    assert (lead.drawn_told, lead.length, lead.drop, lead.coil) == (False, None, 0.0, True)
    assert lead.longest("22 AWG", 0.05) > 0.0


def test_a_pump_is_told_as_what_it_adds_and_what_parts_take_adds_up_to_supply_and_pump() -> None:
    """By hand: what all parts and the lift take is what the supply and the pump give."""
    design = read_text(boosted(), "house.yaml")
    plant = lower(design, "winter")
    (budget,) = budgets(plant, design, look(plant))
    (pump,) = [one for one in budget.losses if one.part == "booster"]
    assert pump.lost < -1.0 * BAR
    assert budget.whole == pytest.approx(budget.given - pump.lost - min(budget.lift, 0.0), abs=1.0)
    taken = sum(one.lost for one in budget.losses if one is not pump) + max(budget.lift, 0.0)
    assert taken == pytest.approx(budget.whole, rel=1e-3)
    table = flows(plant)
    found = sizing.size(design, plant, table)
    assert found.boosters == ("booster",)
    shown = shown_in("metric")
    cells = {
        row[0]: row[2:] for block in pressure_blocks(found, shown) if isinstance(block, Grid) for row in block.rows
    }
    assert cells["booster"] == (f"adds {shown.pressure(-pump.lost)}", "—")
    shares = [int(share.split()[0]) for _, share in cells.values() if share.endswith(" %") and "under" not in share]
    assert 90 <= sum(shares) <= 102


def test_a_house_that_has_a_booster_pump_is_offered_no_second_one() -> None:
    for supply in ("1.6 bar", "0.5 bar"):
        design = read_text(boosted(supply), "house.yaml")
        plant = lower(design, "winter")
        found = sizing.size(design, plant, flows(plant))
        told = " ".join(one.text for one in what_if_blocks(found, shown_in("metric")) if isinstance(one, Text))
        assert "booster" in told
        assert "a booster pump" not in told
    without = house(ELEMENT, "1.6 bar")
    plant = lower(without, "winter")
    assert sizing.size(without, plant, flows(plant)).boosters == ()
