"""Regulators, pumps in a pressure line and pressure switches in runs of the kernel.

Against closed forms, and against the EPANET 2.2 engine (through wntr) with its own reducing valve and pump curve.
"""

import json
import math
import random
from pathlib import Path

import pytest

from dewpond.physics import pressure
from dewpond.plant import primitives as prim
from dewpond.plant.primitives import State
from tests.plant.epanet import G_EPANET, OPTIONS, ROUGH, WATER
from tests.plant.nets import PER_MINUTE, RHO, Bench, Fault, G, balance, frozen

BAR = 1e5
HOLE = 4e-7  # effective area of the outlet [m2]: a litre a minute at 8.5 bar
OPEN = 2e-6  # and of the regulator's open valve


def gauge(bench: Bench, state: State, node: int) -> float:
    return float(state.pressure[node]) - bench.constants[0] * bench.constants[1] * bench.net.nodes[node][1]


def regulated(supply: float, held: float, droop: float, rises: float, hole: float) -> tuple[Bench, int, int]:
    """Mains, a regulator a metre up, an outlet through a hole at the same height."""
    bench = Bench()
    behind = bench.junction(1.0)
    edge = bench.regulator(bench.mains(supply), behind, held, droop, rises, OPEN)
    bench.orifice(behind, bench.open_end(1.0, bench.place()), hole)
    return bench, edge, behind


def two_regions(supply: float, held: float, droop: float, rises: float, hole: float) -> tuple[float, float]:
    """Flow and pressure behind it, by algebra: the lower of the two that throttling and the open valve would let."""
    left = supply - RHO * G
    k, k0 = RHO / (2.0 * hole * hole), RHO / (2.0 * OPEN * OPEN)

    def throttling(top: float, slope: float) -> float:  # k q^2 + slope q - top = 0
        return (-slope + math.sqrt(slope * slope + 4.0 * k * top)) / (2.0 * k)

    flow = throttling(held, droop)
    if flow < pressure.LOCKING_FLOW:
        flow = throttling(held + rises, droop + rises / pressure.LOCKING_FLOW)
    flow = min(flow, math.sqrt(left / (k + k0)))
    return flow, k * flow * flow


@pytest.mark.parametrize("supply", [0.9, 2.0, 2.9, 3.2, 3.6, 6.0, 10.0])
@pytest.mark.parametrize("hole", [HOLE, 5e-9, 3e-6])
@pytest.mark.parametrize("droop", [1e-3, 0.4])
def test_regulator_gives_the_flow_of_the_two_region_algebra(supply: float, hole: float, droop: float) -> None:
    given = supply * BAR, 3.0 * BAR, droop * BAR / PER_MINUTE, 0.3 * BAR, hole
    bench, edge, behind = regulated(*given)
    state = bench.run(60.0)
    flow, after = two_regions(*given)
    assert state.clock[prim.C_DOUBTFUL] == 0.0
    # holes let a little through in proportion, to have a slope at rest
    assert state.flow[edge] == pytest.approx(flow, rel=1e-6, abs=1.01e-9)
    assert gauge(bench, state, behind) == pytest.approx(after, rel=1e-2 if hole < HOLE else 2e-4)


def test_regulator_at_rest_stands_at_lock_up_and_lets_nothing_back() -> None:
    """A shut line behind it rises to what it is set to and what it rises by; a higher pressure there stays."""
    bench = Bench()
    low, high = bench.spring(0.4, 1e-12), bench.spring(0.4, 1e-12)
    edge = bench.regulator(bench.mains(6.0 * BAR), low, 3.0 * BAR, 1e9, 0.3 * BAR)
    back = bench.regulator(bench.mains(2.0 * BAR), high, 3.0 * BAR, 1e9, 0.3 * BAR)
    pushed = bench.net.edge(bench.mains(5.0 * BAR), high, prim.CHECK, -1, (1e15, 0.0))
    state = bench.run(3600.0)
    assert state.clock[prim.C_DOUBTFUL] == 0.0
    # a spring that takes up less than a millionth of a millilitre a second stands still
    assert gauge(bench, state, low) == pytest.approx(3.3 * BAR, abs=50.0)
    assert state.moved[edge] == pytest.approx(1e-12 * 3.3 * BAR, rel=2e-4)
    assert gauge(bench, state, high) == pytest.approx(5.0 * BAR - RHO * G * 0.4, abs=50.0)
    assert state.moved[back] <= 1e-12 * 2.0 * BAR
    assert state.moved[pushed] > 0.0


def test_regulator_behind_a_valve_that_shuts_holds_what_stands_there_and_opens_again() -> None:
    """Nothing hangs on the stretch between a shut valve and the regulator: its pressure falls with the line behind."""
    bench = Bench()
    opened = bench.timed((600.0, 0), (1200.0, 1), start=1)
    before, behind = bench.junction(), bench.spring(0.0, 1e-12)
    bench.orifice(bench.mains(6.0 * BAR), before, OPEN, bench.order_gate(opened))
    edge = bench.regulator(before, behind, 3.0 * BAR, 0.1 * BAR / PER_MINUTE, 0.2 * BAR, OPEN)
    out = bench.orifice(behind, bench.open_end(0.0, bench.place()), HOLE)
    shut, again = bench.run(1100.0), bench.run(1800.0)
    assert (shut.clock[prim.C_DOUBTFUL], again.clock[prim.C_DOUBTFUL]) == (0.0, 0.0)
    assert shut.flow[edge] == pytest.approx(0.0, abs=1e-13)
    assert again.flow[edge] == pytest.approx(two_regions(6e5 + RHO * G, 3e5, 1e4 / PER_MINUTE, 2e4, HOLE)[0], abs=4e-9)
    assert again.moved[out] == pytest.approx(again.moved[edge], rel=1e-4)


@pytest.mark.slow
def test_random_lines_with_a_regulator_settle_and_agree_in_both_ways() -> None:
    """Plain Python and numba to the byte; water to 1e-9; pressure behind it as physics says, or its valve is open."""
    for seed in range(25):
        rng = random.Random(seed)
        bench = Bench()
        supply, held = rng.uniform(0.5, 9.0) * BAR, rng.uniform(1.0, 6.0) * BAR
        droop, rises = rng.uniform(0.001, 1.0) * BAR / PER_MINUTE, rng.uniform(0.0, 0.5) * BAR
        before, behind, far = (bench.junction(rng.uniform(0.0, 2.0)) for _ in range(3))
        if rng.random() < 0.5:
            behind = bench.spring(1.0, 1e-12)
        bench.tube(bench.mains(supply), before, 0.004318, rng.uniform(0.5, 9.0), 3.0)
        edge = bench.regulator(before, behind, held, droop, rises, rng.uniform(1e-6, 1e-5))
        bench.tube(behind, far, 0.004318, rng.uniform(0.5, 9.0), 3.0)
        store = bench.store(0.12, 0.5, 0.2)
        bench.orifice(far, bench.spout(store, 0.45), 1.2e-6, bench.float_gate(store, 0.25, 0.265, 0.01))
        slot = bench.slot()
        bench.orifice(far, bench.open_end(0.0, bench.place()), rng.uniform(1e-9, 5e-6), slot)
        bench.faults.append(Fault([(prim.P_GATE_LOW, slot, 1.0)], time=1800.0, lasts=900.0))
        for horizon in (300.0, 2000.0, 7200.0):
            state = bench.run(horizon)
            assert frozen(state) == frozen(bench.run(horizon, compiled=True)), seed
            assert state.clock[prim.C_DOUBTFUL] == 0.0, seed
            lost = balance(bench.arrays(), state)
            assert abs(lost.water) < 1e-9 * lost.water_handled
            flow = float(state.flow[edge])
            if flow > 1e-7:
                wanted = pressure.regulated_pressure(flow, held, rises, droop)
                wide = bench.net.edges[edge][4] * flow * flow
                most = float(state.pressure[before]) - wide - RHO * G * bench.net.nodes[behind][1]
                assert gauge(bench, state, behind) == pytest.approx(min(wanted, most), rel=1e-4), (seed, horizon)


# --- against EPANET ---------------------------------------------------------------------------------------------------
def engine(text: str, folder: Path, links: list[str], nodes: list[str]) -> tuple[dict[str, float], dict[str, float]]:
    """Flows [L/min] and heads [m] of EPANET 2.2 inside wntr."""
    from wntr.epanet.toolkit import ENepanet
    from wntr.epanet.util import EN

    source = folder / "net.inp"
    source.write_text(text, encoding="utf-8")
    run = ENepanet()
    run.ENopen(str(source), str(folder / "net.rpt"), "")
    try:
        run.ENopenH()
        run.ENinitH(0)
        run.ENrunH()
        flows = {n: run.ENgetlinkvalue(run.ENgetlinkindex(n), EN.FLOW) for n in links}
        heads = {n: run.ENgetnodevalue(run.ENgetnodeindex(n), EN.HEAD) for n in nodes}
        run.ENcloseH()
    finally:
        run.ENclose()
    return flows, heads


@pytest.mark.slow
@pytest.mark.parametrize(("main", "setting"), [(60.0, 30.0), (60.0, 20.0), (35.0, 30.0), (25.0, 30.0), (45.0, 10.0)])
def test_regulator_without_droop_is_the_reducing_valve_of_epanet(main: float, setting: float, tmp_path: Path) -> None:
    """A tube, a reducing valve, a tube to the open: throttling, and open where the supply is too weak."""
    rows = ["[TITLE]", "valve", "[JUNCTIONS]", " A 1.0 0", " B 1.0 0", "[RESERVOIRS]", f" MAIN {main}", " OUT 0.5"]
    rows += ["[PIPES]", f" P1 MAIN A 4 6.35 {ROUGH} 6 Open", f" P2 B OUT 9 4.318 {ROUGH} 8 Open"]
    rows += ["[VALVES]", f" V A B 6.35 PRV {setting} 10"]
    flows, heads = engine("\n".join([*rows, OPTIONS]), tmp_path, ["P1", "V"], ["A", "B"])
    bench = Bench(constants=WATER)
    a, b = bench.junction(1.0), bench.junction(1.0)
    area = 0.25 * math.pi * 0.00635**2 / math.sqrt(10.0)  # ten velocity heads
    bench.tube(bench.mains(1000.0 * G_EPANET * main), a, 0.00635, 4.0, 6.0)
    edge = bench.regulator(a, b, 1000.0 * G_EPANET * setting, 1e3, 0.0, area)
    bench.tube(b, bench.mains(1000.0 * G_EPANET * 0.5), 0.004318, 9.0, 8.0)
    state = bench.run(1.0)
    assert state.flow[edge] / PER_MINUTE == pytest.approx(flows["V"], rel=0.01)
    for name, node in (("A", a), ("B", b)):
        assert state.pressure[node] / (1000.0 * G_EPANET) == pytest.approx(heads[name], rel=0.005), name
    throttles = main > setting
    assert (heads["B"] == pytest.approx(setting + 1.0, abs=0.01)) == throttles


@pytest.mark.parametrize(("main", "lift", "most"), [(20.0, 40.0, 2.0), (30.0, 60.0, 1.2), (5.0, 30.0, 6.0)])
@pytest.mark.slow
def test_pump_in_a_pressure_line_is_that_of_epanet_and_of_the_quadratic(
    main: float, lift: float, most: float, tmp_path: Path
) -> None:
    """EPANET's curve through three points with exponent 2; by hand the root of one quadratic, the outlet being a hole.

    Its exponent comes from the two other points, 1 to 4 at half the flow."""
    hole = 4e-7
    k = 1000.0 / (2.0 * hole * hole) * PER_MINUTE**2 / (1000.0 * G_EPANET)  # [m/(L/min)2]
    k_minor = k * 2.0 * G_EPANET * (0.25 * math.pi * 0.02**2 / PER_MINUTE) ** 2
    rows = ["[TITLE]", "pump", "[JUNCTIONS]", " A 0 0", "[RESERVOIRS]", f" MAIN {main}", " OUT 0", "[PIPES]"]
    rows += [f" P A OUT 0.001 20 {ROUGH} {k_minor} Open", "[PUMPS]", " U MAIN A HEAD C", "[CURVES]", f" C 0 {lift}"]
    rows += [f" C {0.5 * most} {0.75 * lift}", f" C {most} 0"]
    flows, heads = engine("\n".join([*rows, OPTIONS]), tmp_path, ["U"], ["A"])
    bench = Bench(constants=WATER)
    a = bench.junction()
    pump = bench.pump(bench.mains(1000.0 * G_EPANET * main), a, 1000.0 * G_EPANET * lift, most * PER_MINUTE)
    bench.orifice(a, bench.open_end(0.0, bench.place()), hole)
    state = bench.run(1.0)
    by_hand = math.sqrt((main + lift) / (k + lift / most**2))
    assert state.flow[pump] / PER_MINUTE == pytest.approx(by_hand, rel=5e-4)  # a hole has a slope at rest
    assert state.flow[pump] / PER_MINUTE == pytest.approx(flows["U"], rel=2e-3)
    assert state.pressure[a] / (1000.0 * G_EPANET) == pytest.approx(heads["A"], rel=4e-3)


def test_regulator_set_above_its_supply_leaves_the_published_network_as_it_is(repository: Path) -> None:
    """H080: with an open valve of no loss to speak of in its first pipe, the flows and heads are the published ones."""
    cases = json.loads((repository / "tests" / "published" / "hydraulics.json").read_text("utf-8"))["cases"]
    case = next(c for c in cases if c["id"] == "H080")
    bench = Bench(constants=WATER)
    first, t, ro = bench.junction(), bench.junction(), bench.junction(0.3)
    main = bench.mains(1000.0 * G_EPANET * 40.0)
    valve = bench.regulator(main, first, 1000.0 * G_EPANET * 45.0, 1e3, 0.0, 1e-3)
    pipes = [bench.tube(first, t, 0.00635, 5.0, 6.0)]
    pipes += [bench.tube(t, bench.mains(1000.0 * G_EPANET * 0.5), 0.004318, 10.0, 4.0)]
    pipes += [bench.tube(t, ro, 0.004318, 3.0, 3.0)]
    bench.flow(ro, bench.drain_end(), 0.8 * PER_MINUTE)
    state = bench.run(1.0)
    for name, edge in zip(("P1", "P2", "P3"), pipes, strict=True):
        assert state.flow[edge] / PER_MINUTE == pytest.approx(case["expected"][f"flow_{name}"]["value"], rel=0.01)
    assert state.flow[valve] == pytest.approx(float(state.flow[pipes[0]]), rel=1e-9)


# --- pressure switches ------------------------------------------------------------------------------------------------
GIVES = 2e-11  # [m3/Pa]
PER_BAR = 1e-11  # conductance of the membrane [m3/(s.Pa)]


def switched(on: float, off: float, shut_at: float = 60.0) -> tuple[Bench, int, int]:
    """A membrane fills a line that gives way; its outlet shuts at ``shut_at`` and opens ten minutes later."""
    bench = Bench()
    line = bench.spring(0.0, GIVES)
    edge = bench.membrane(bench.mains(4.0 * BAR), line, PER_BAR, 0.0, 0.02)
    opened = bench.timed((shut_at, 0), (shut_at + 600.0, 1), start=1)
    bench.orifice(line, bench.open_end(0.0, bench.place()), 5e-6, bench.order_gate(opened))
    high = bench.pressure_above(line, on, off)
    bench.log(high)
    return bench, high, edge


@pytest.mark.parametrize("mark", [0.5, 2.0, 3.6, 3.99])
def test_pressure_switch_turns_when_the_exponential_reaches_its_mark(mark: float) -> None:
    """p = P (1 - exp(-t / (C R))): a line that fills through a membrane, closed form."""
    bench, high, _ = switched(mark * BAR, 0.1 * BAR)
    changes = bench.changes(bench.run(3600.0), high)
    wanted = 60.0 + GIVES / PER_BAR * math.log(4.0 / (4.0 - mark))
    assert [value for _, value in changes] == [1, 0]
    assert changes[0][0] == pytest.approx(wanted, abs=0.005 + 0.01 * (wanted - 60.0))
    assert changes[1][0] == pytest.approx(660.0, abs=0.1)


def test_pressure_switch_above_what_comes_never_turns() -> None:
    bench, high, _ = switched(4.01 * BAR, 1.0 * BAR)
    state = bench.run(86400.0)
    assert bench.changes(state, high) == []
    assert state.clock[prim.C_STEPS] < 60.0


def test_pressure_switch_that_shuts_the_feed_holds_the_line_where_it_turned() -> None:
    """Overshoot is what comes in the last look: less than a hundredth of the mark."""
    bench = Bench()
    line, feed = bench.spring(0.0, GIVES), bench.junction()
    high = bench.pressure_above(line, 2.5 * BAR, 1.0 * BAR)
    bench.orifice(bench.mains(4.0 * BAR), feed, 1e-6, bench.order_gate(-1 - high))
    bench.membrane(feed, line, PER_BAR, 0.0, 0.02)
    bench.log(high)
    state = bench.run(86400.0)
    assert [value for _, value in bench.changes(state, high)] == [1]
    assert gauge(bench, state, line) == pytest.approx(2.5 * BAR, rel=1e-6)


def test_pressure_switch_on_the_supply_follows_its_loss_and_return() -> None:
    bench = Bench()
    main = bench.mains(3.0 * BAR)
    low = bench.pressure_above(main, 1.0 * BAR, 0.5 * BAR)
    bench.orifice(main, bench.open_end(0.0, bench.place()), HOLE)
    bench.log(low)
    bench.faults.append(Fault([(prim.P_SCALE_SOURCE, main, 0.0)], time=100.0, lasts=50.0))
    assert bench.changes(bench.run(1000.0), low) == [(100.0, 0), (150.0, 1)]


def test_runs_with_pressure_switches_are_the_same_in_both_ways_and_lose_no_water() -> None:
    for mark in (0.7, 2.2, 3.9):
        bench, _, _ = switched(mark * BAR, 0.3 * BAR)
        state = bench.run(7200.0)
        assert frozen(state) == frozen(bench.run(7200.0, compiled=True))
        lost = balance(bench.arrays(), state)
        assert abs(lost.water) < 1e-9 * lost.water_handled
