"""The pressure at which jugs were filled, where nobody looked at a gauge: reckoned behind what lies before the unit."""

from pathlib import Path

import pytest

from dewpond.design.reader import read_text
from dewpond.physics import pipes, water
from dewpond.plant import primitives as prim
from dewpond.plant.build import Net
from dewpond.plant.drawn import pressure_at
from dewpond.plant.lower import lower
from dewpond.study.flows import FlowRow, flows
from dewpond.study.remarks import filling

COLD, JUG = 281.15, 288.15  # water of the season and of the jugs [K]
PRODUCT, WASTE = 190e-6 / 60.0, 640e-6 / 60.0
BORE, LENGTH = 4.318e-3, 9.0
CONST = (water.density(JUG), water.G, water.viscosity(JUG) / water.density(JUG), 1.0, 120.0, 86400.0, 1e-3)


def house(repository: Path, jugs: str = "", winter: str = "15 C") -> str:
    """first_float, but with the jugs above and nine metres of narrow tube before the filters."""
    text = (repository / "examples" / "first_float.yaml").read_text("utf-8")
    (filters,) = (line for line in text.splitlines() if "kind: pre-filters" in line)
    before = filters.split("after: ")[1].split(",")[0].rstrip("}")
    longer = (
        f"  long way: {{kind: tubing, after: {before}, size: 1/4 in, length: 9 m, through: [utility room]}}\n"
        + filters.replace(f"after: {before}", "after: long way")
    )
    measured = f"measured: {{product: 190 mL/min, waste: 640 mL/min, water: 15 C{jugs}}}"
    first, rest = text.replace(filters, longer).split("measured: {", 1)
    return (first + measured + rest.split("}", 1)[1]).replace("winter: 8 C", f"winter: {winter}")


def rows(repository: Path, **changed: str) -> dict[tuple[str, str], FlowRow]:
    found = flows(lower(read_text(house(repository, **changed), "jugs.yaml"), "winter"))
    return {(row.part, row.way): row for row in found.rows}


def test_a_tube_and_a_hole_lose_what_their_laws_say() -> None:
    """Closed form: laminar or Churchill friction and k Q2, each worked out by ``physics``."""
    net = Net()
    source = net.node(prim.FIXED, 1.0, value=4e5, rkind=prim.R_SUPPLY)
    middle, inlet, elsewhere = (net.node(prim.JUNCTION, z) for z in (1.0, 0.0, 0.0))
    net.edge(source, middle, prim.TUBE, p=(BORE, LENGTH, 1.5e-6 / BORE, 6.0))
    net.edge(middle, inlet, prim.ORIFICE, net.gate(prim.G_SIGNAL, 0), p=(3e12,))
    net.edge(middle, elsewhere, prim.ORIFICE, p=(1e9,))  # leads on to other things, which stand still
    net.edge(elsewhere, net.node(prim.AIR, 0.0, rkind=prim.R_DRAIN), prim.ORIFICE, p=(1e9,))
    flow = PRODUCT + WASTE
    lost = pipes.tube_pressure_drop(flow, BORE, LENGTH, 6.0, CONST[0], CONST[2] * CONST[0]) + 3e12 * flow * flow
    for z in (0.0, 2.0):
        assert pressure_at(net, CONST, inlet, z, flow) == pytest.approx(
            4e5 - lost + CONST[0] * water.G * (1.0 - z), abs=5.0
        )
    assert lost > 2e4
    assert pressure_at(net, CONST, source, 1.0, flow) == pytest.approx(4e5)


def test_two_ways_side_by_side_share_the_flow() -> None:
    """Two equal holes in parallel lose a quarter of what one does."""
    net = Net()
    source, inlet = net.node(prim.FIXED, 0.0, value=3e5), net.node(prim.JUNCTION, 0.0)
    one, other = net.node(prim.JUNCTION, 0.0), net.node(prim.JUNCTION, 0.0)
    for a, b in ((source, one), (one, inlet), (source, other), (other, inlet)):
        net.edge(a, b, prim.ORIFICE, p=(1e15,))
    flow = 1e-5
    assert pressure_at(net, CONST, inlet, 0.0, flow) == pytest.approx(
        3e5 - 2.0 * 1e15 * (0.5 * flow) ** 2, abs=20.0
    )  # 10 Pa: what keeps the law of a hole sloping at no flow


def test_where_no_source_leads_nothing_is_known() -> None:
    net = Net()
    a, b = net.node(prim.JUNCTION, 0.0), net.node(prim.JUNCTION, 0.0)
    net.edge(a, b, prim.ORIFICE, p=(1e9,))
    assert pressure_at(net, CONST, b, 0.0, 1e-5) is None


def test_a_fill_in_water_as_warm_as_the_jugs_gives_the_jugs_back(repository: Path) -> None:
    """Waste to a thousandth. The product meets what lies behind the membrane, which a jug held there did not: by the
    law it falls with the pressure that drives it, 0.3 bar of osmosis taken off."""
    found = rows(repository)
    assert found["membrane", "waste"].flow == pytest.approx(WASTE, rel=2e-3)
    made = found["membrane", "product"]
    driving = made.inlet - 0.3e5
    assert made.flow / PRODUCT == pytest.approx(1.0 - made.outlet / driving, abs=4e-3)
    assert made.flow == pytest.approx(PRODUCT, rel=0.04)


@pytest.mark.slow
def test_the_same_pressure_is_found_by_noting_what_the_table_of_flows_shows(repository: Path) -> None:
    """Second way: write the pressure before the membrane with the jugs, look at the table, write that, until both
    agree."""
    bar = 3.8
    for _ in range(6):
        bar = rows(repository, jugs=f", pressure: {bar:.6f} bar")["membrane", ""].inlet / 1e5
    noted, reckoned = rows(repository, jugs=f", pressure: {bar:.6f} bar"), rows(repository)
    for key in (("membrane", "product"), ("membrane", "waste")):
        assert reckoned[key].flow == pytest.approx(noted[key].flow, rel=2e-3)
    assert bar < 3.7  # that the tube and the filters take something


def test_water_of_the_jugs_counts_and_not_that_of_the_season(repository: Path) -> None:
    """In colder water the waste stays, for the restrictor does not care; the product falls by the factor of the law."""
    from dewpond.physics.membrane import temperature_factor

    warm, cold = rows(repository), rows(repository, winter="8 C")
    assert cold["membrane", "waste"].flow == pytest.approx(WASTE, rel=0.01)
    cool, mild = cold["membrane", "product"], warm["membrane", "product"]
    driving = (cool.inlet - cool.outlet - 0.3e5) / (mild.inlet - mild.outlet - 0.3e5)  # less water, less pushes back
    factor = temperature_factor(COLD) / temperature_factor(JUG)
    assert cool.flow / mild.flow == pytest.approx(factor * driving, rel=5e-3)


def test_jugs_that_the_supply_cannot_fill_are_remarked(repository: Path) -> None:
    text = house(repository).replace("waste: 640 mL/min", "waste: 15 L/min")
    plant = lower(read_text(text, "jugs.yaml"), "winter")
    assert [(one.part, one.what) for one in plant.doubts] == [("membrane", "starved")]
    assert "S211" in [one.code for one in filling(plant, flows(plant))]
    assert lower(read_text(house(repository), "jugs.yaml"), "winter").doubts == ()


@pytest.mark.parametrize(("bar", "told"), [(5.5, True), (1.5, True), (3.6, False), (3.0, False)])
def test_a_pressure_noted_with_the_jugs_that_does_not_fit_the_supply_is_remarked(
    repository: Path, bar: float, told: bool
) -> None:
    plant = lower(read_text(house(repository, jugs=f", pressure: {bar} bar"), "jugs.yaml"), "winter")
    assert ("S212" in [one.code for one in filling(plant, flows(plant))]) is told
