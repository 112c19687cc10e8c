"""The kernel's own copies of the laws, against the pure functions of physics, against other libraries, and by slope."""

import itertools
import math
import random

import numpy as np
import pytest

from dewpond.physics import membrane, openings, pipes, pressure, vessels, water
from dewpond.plant import primitives as prim
from dewpond.plant.compile import fresh_state
from dewpond.plant.kernel import crossings, islands, laws, marks, puddles
from dewpond.plant.kernel import vessels as tables
from dewpond.plant.kernel.marks import STAGE
from dewpond.plant.kernel.matrix import clear, eliminate
from tests.plant.nets import DAY, DRAWN, LITRE, NU, PER_MINUTE, RHO, Bench, G

REYNOLDS = [1000.0, 1500.0, 2000.0, 2300.0, 2800.0, 3400.0, 4000.0, 6000.0, 2e4, 1e5, 1e6]
ROUGH = [0.0, 1e-5, 2.4e-4, 3.5e-4, 1e-3, 1e-2]
FLOWS = [1e-3 * PER_MINUTE, 0.05 * PER_MINUTE, 0.3 * PER_MINUTE, 0.7 * PER_MINUTE, 1.1 * PER_MINUTE, 4.0 * PER_MINUTE]


def one_edge(law: int, *p: float) -> Bench:
    """A plant of a single edge between two junctions."""
    bench = Bench()
    bench.net.edge(bench.junction(), bench.junction(), law, p=p)
    return bench


def edges_of_every_law() -> dict[str, Bench]:
    hole = RHO / (2.0 * 1e-12)
    return {
        "tube": one_edge(prim.TUBE, 0.004318, 6.0, DRAWN / 0.004318, 7.0),
        "smooth short tube": one_edge(prim.TUBE, 0.009525, 0.3, 0.0, 0.0),
        "orifice": one_edge(prim.ORIFICE, hole),
        "membrane": one_edge(prim.MEMBRANE, 2e-11, 2.5e4),
        "pump": one_edge(prim.PUMP, 2e4, 2e4 / (2.0 * PER_MINUTE) ** 2),
        "check": one_edge(prim.CHECK, hole, 5e3),
        "regulator": one_edge(prim.REGULATOR, hole, 3e5, 1e9, 2e4),
    }


@pytest.mark.parametrize("rough", ROUGH)
def test_friction_of_the_kernel_is_that_of_physics(rough: float) -> None:
    for re in REYNOLDS:
        factor, _ = laws.friction(re, rough)
        assert factor == pytest.approx(pipes.friction_factor(re, rough), rel=1e-13)


@pytest.mark.parametrize("rough", ROUGH)
def test_friction_of_the_kernel_is_churchill_1977_as_in_fluids(rough: float) -> None:
    from fluids.friction import Churchill_1977

    for re in REYNOLDS:
        assert laws.friction(re, rough)[0] == pytest.approx(Churchill_1977(Re=re, eD=rough), rel=1e-9)


def test_slope_of_friction_is_that_of_finite_differences() -> None:
    for rough in ROUGH:
        for re in REYNOLDS:
            d = 1e-5
            low, high = laws.friction(re * math.exp(-d), rough)[0], laws.friction(re * math.exp(d), rough)[0]
            by_difference = (math.log(high) - math.log(low)) / (2.0 * d)
            assert laws.friction(re, rough)[1] == pytest.approx(by_difference, rel=1e-5, abs=1e-7)


def test_tube_loses_what_physics_says() -> None:
    a = one_edge(prim.TUBE, 0.004318, 6.0, DRAWN / 0.004318, 7.0).arrays()
    for q in FLOWS:
        for sign in (1.0, -1.0):
            lost, _ = laws.law(a, 0, sign * q, 1.0, 1.0)
            wanted = pipes.tube_pressure_drop(sign * q, 0.004318, 6.0, 7.0, RHO, NU * RHO)
            assert lost == pytest.approx(wanted, rel=1e-9)


def test_tube_law_has_no_step_where_it_turns_from_laminar_to_churchill() -> None:
    a = one_edge(prim.TUBE, 0.004318, 6.0, DRAWN / 0.004318, 0.0).arrays()
    at_1000 = 1000.0 * NU * math.pi * 0.004318 / 4.0
    below, above = (laws.law(a, 0, at_1000 * f, 1.0, 1.0)[0] for f in (1.0 - 1e-12, 1.0 + 1e-12))
    assert above == pytest.approx(below, rel=1e-6)


@pytest.mark.parametrize("name", edges_of_every_law())
def test_slope_of_every_law_is_that_of_finite_differences(name: str) -> None:
    a = edges_of_every_law()[name].arrays()
    for opening in (1.0, 0.3):
        for scale in (1.0, 2.5):
            for q in [*FLOWS, *(-q for q in FLOWS)]:
                d = 1e-4 * abs(q)
                low, _ = laws.law(a, 0, q - d, opening, scale)
                high, _ = laws.law(a, 0, q + d, opening, scale)
                assert laws.law(a, 0, q, opening, scale)[1] == pytest.approx((high - low) / (2.0 * d), rel=2e-5)


@pytest.mark.parametrize("name", edges_of_every_law())
def test_every_law_loses_more_pressure_at_more_flow(name: str) -> None:
    a = edges_of_every_law()[name].arrays()
    flows = np.linspace(-6.0 * PER_MINUTE, 6.0 * PER_MINUTE, 401)
    lost = [laws.law(a, 0, float(q), 0.7, 1.0)[0] for q in flows]
    assert all(high > low for low, high in itertools.pairwise(lost))


def test_regulator_of_the_kernel_holds_what_that_of_physics_holds() -> None:
    bench = Bench()
    bench.regulator(bench.junction(), bench.junction(1.5), 3e5, 1e9, 2e4)
    a = bench.arrays()
    for q in (0.0, 0.3 * pressure.LOCKING_FLOW, *FLOWS):
        held, fall = laws.held_behind(a, 0, q)
        assert held - RHO * G * 1.5 == pytest.approx(pressure.regulated_pressure(q, 3e5, 2e4, 1e9), rel=1e-12)
        d = 1e-4 * q + 1e-12
        by_difference = (held - laws.held_behind(a, 0, q + d)[0]) / d
        assert fall == pytest.approx(by_difference, rel=1e-4)


def test_orifice_passes_what_torricelli_says() -> None:
    """Within 1e-9 m3/s: so little (a drop in fifty seconds) the kernel adds in proportion, to have a slope at rest."""
    diameter = 2e-3
    k = RHO / (2.0 * (0.62 * math.pi * diameter**2 / 4.0) ** 2)
    a = one_edge(prim.ORIFICE, k).arrays()
    q = openings.hole_flow(4e5, diameter, 0.62, RHO)
    near = pytest.approx(4e5, rel=1.01e-9 / (0.5 * q))
    assert laws.law(a, 0, q, 1.0, 1.0)[0] == near
    assert laws.law(a, 0, 0.5 * q, 0.5, 1.0)[0] == near  # half the opening is half the area


def test_membrane_passes_the_product_that_physics_reckons() -> None:
    """A 75 gal/day element at 12 C, 3 bar of feed, 0.2 bar behind it, 0.8 L/min of waste."""
    feed, back, waste, dissolved, rejection, temperature = 3e5, 2e4, 0.8 * PER_MINUTE, 0.3, 0.98, 285.15
    element = membrane.permeability(75.0 * 3.785411784e-3 / DAY, 3.447e5, 0.0, 0.25, 0.15, rejection, 298.15)
    product = membrane.product_flow(element, feed, back, waste, dissolved, rejection, temperature)
    recovery = product / (product + waste)
    driving = membrane.net_driving_pressure(feed, back, dissolved, recovery, rejection, temperature)
    bench = Bench()
    conductance = element * membrane.temperature_factor(temperature)
    edge = bench.membrane(bench.mains(feed), bench.mains(back), conductance, feed - back - driving, 0.02)
    state = bench.run(10.0)
    assert state.flow[edge] == pytest.approx(product, rel=1e-9)
    assert state.moved[edge] == pytest.approx(10.0 * product, rel=1e-9)


def test_check_valve_opens_at_its_cracking_pressure_and_only_forward() -> None:
    bench = Bench()
    for gauge in (4e3, 2e4):
        drain = bench.place()
        middle = bench.junction()
        bench.orifice(bench.mains(gauge), middle, 1e-6)
        bench.check(middle, bench.open_end(0.0, drain), 1e-6, 5e3)
    backward = bench.junction()
    bench.check(backward, bench.mains(4e5), 1e-6, 5e3)
    bench.orifice(bench.mains(2e5), backward, 1e-6)
    state = bench.run(60.0)
    assert state.moved[1] == pytest.approx(0.0, abs=1e-12)
    # two like holes in series under what the spring leaves over
    assert state.flow[3] == pytest.approx(1e-6 * math.sqrt(2.0 * 0.5 * 1.5e4 / RHO), abs=1e-9)
    assert state.moved[4] == pytest.approx(0.0, abs=1e-12)


def test_check_valve_that_ends_under_the_water_of_a_vessel_lets_none_back() -> None:
    """Against the same line without one, which drains the vessel by the square law."""
    bench = Bench()
    drain, moved = bench.place(), []
    for checked in (True, False):
        vessel = bench.store(0.1, 0.5, 0.4)
        middle = bench.junction()
        bench.orifice(middle, bench.open_end(0.0, drain), 1e-6)
        spout = bench.spout(vessel, 0.1)
        if checked:
            bench.check(middle, spout, 1e-6, 0.0)
        else:
            bench.orifice(spout, middle, 1e-6)
        moved.append(len(bench.net.edges) - 1)
    state = bench.run(60.0)
    assert state.moved[moved[0]] == pytest.approx(0.0, abs=1e-12)
    # two like holes in series under 0.4 m of water
    assert state.moved[moved[1]] == pytest.approx(60.0 * 1e-6 * math.sqrt(2.0 * G * 0.4 / 2.0), rel=0.01)


@pytest.mark.parametrize("bore", [0.012, 0.020, 0.032])
def test_weir_of_the_kernel_is_the_standpipe_of_physics(bore: float) -> None:
    bench = Bench()
    store = bench.store(0.1, 0.5, 0.2)
    rim = 0.414 * math.sqrt(2.0 * G) * math.pi * bore
    full = 0.6 * math.pi * bore * bore / 4.0 * math.sqrt(2.0 * G)
    bench.weir(store, bench.drain_end(0.2), rim, full)
    a = bench.arrays()
    for head in (1e-4, 1e-3, 3e-3, 5e-3, 0.01, 0.02, 0.05):
        flow, slope = laws.weir(a, 0, head, 1.0)
        assert flow == pytest.approx(openings.standpipe_flow(bore, head), rel=1e-9)
        d = 1e-6 * head
        by_difference = (laws.weir(a, 0, head + d, 1.0)[0] - laws.weir(a, 0, head - d, 1.0)[0]) / (2.0 * d)
        assert slope == pytest.approx(by_difference, rel=1e-6)
    assert laws.weir(a, 0, 0.0, 1.0) == (0.0, 0.0)
    assert laws.weir(a, 0, -0.1, 1.0) == (0.0, 0.0)


def test_level_table_is_numpys_interpolation_there_and_back() -> None:
    heights = [0.0, 0.02, 0.1, 0.35, 0.6]
    volumes = [vessels.horizontal_cylinder_volume(0.3, 0.8, h) for h in heights]
    bench = Bench()
    store = bench.store_of_table(heights, volumes, 0.55, 0.2, 0.0, bench.body())
    a = bench.arrays()
    for h in np.linspace(0.0, 0.6, 61):
        v = tables.volume_of(a, store, float(h))
        assert v == pytest.approx(float(np.interp(h, heights, volumes)), rel=1e-12, abs=1e-15)
        back, area = tables.level_of(a, store, v)
        assert back == pytest.approx(float(h), rel=1e-12, abs=1e-12)
        assert area > 0.0
    _, area = tables.level_of(a, store, tables.volume_of(a, store, 0.2))
    assert area == pytest.approx((volumes[3] - volumes[2]) / 0.25, rel=1e-12)


def emptied(z: float) -> float:
    """Share of its water that a linear vessel keeps after one step of ``z`` relaxation times, in the two stages."""
    early = 1.0 / (1.0 + STAGE * z)
    return (1.0 - (1.0 - STAGE) * z * early) / (1.0 + STAGE * z)


def test_two_stages_follow_a_linear_vessel_to_the_second_order_and_bring_it_to_rest() -> None:
    """dV/dt = -V/tau over one step: exp(-z) (closed form), and Alexander's R(z) (1977) for any z."""
    missed = [abs(emptied(z) - math.exp(-z)) for z in (0.02, 0.01)]
    assert missed[0] / missed[1] == pytest.approx(8.0, rel=0.02)  # third order in one step
    for z in (0.1, 1.0, 7.0):
        published = (1.0 - (1.0 - 2.0 * STAGE) * z) / ((1.0 + STAGE * z) * (1.0 + STAGE * z))
        assert emptied(z) == pytest.approx(published, rel=1e-12)
    assert abs(emptied(1e9)) < 1e-8


def test_straight_line_through_both_stages_has_their_mean() -> None:
    """Where it has begun: at once from the closed form of a line."""
    early, late = 3.0, 7.0
    begun = early - islands.BACK * (late - early)
    assert 0.5 * (begun + late) == pytest.approx((1.0 - STAGE) * early + STAGE * late, rel=1e-12)
    assert begun + STAGE * (late - begun) == pytest.approx(early, rel=1e-12)


def test_first_root_is_the_smallest_of_numpys() -> None:
    rng = random.Random(5)
    found = 0
    for _ in range(400):
        a, b, c = (rng.uniform(-2.0, 2.0) for _ in range(3))
        roots = [r.real for r in np.roots([a, b, c]) if abs(r.imag) < 1e-12 and 0.0 < r.real <= 3.0]
        got = crossings.first_root(a, b, c, 3.0)
        if roots:
            found += 1
            assert got == pytest.approx(min(roots), rel=1e-7)
        else:
            assert got == marks.NEVER
    assert found > 100
    assert crossings.first_root(0.0, 2.0, -1.0, 3.0) == 0.5
    assert crossings.first_root(0.0, 0.0, -1.0, 3.0) == marks.NEVER


def test_elimination_solves_as_numpy_does() -> None:
    rng = np.random.default_rng(11)
    bench = Bench()
    joints = [bench.junction() for _ in range(7)]
    for a, b in itertools.pairwise(joints):
        bench.tube(a, b, 0.004, 1.0)
    state = fresh_state(bench.arrays(), 1)
    n = 7
    assert len(state.matrix) == n * n
    for _ in range(20):
        matrix, right = rng.normal(size=(n, n)), rng.normal(size=n)
        matrix[0, 0] = 0.0  # wants a pivot
        state.matrix[:] = [float(v) for v in matrix.ravel()]
        state.rhs[:] = [float(v) for v in right]
        eliminate(state, n, n - 1)
        assert state.rhs == pytest.approx(np.linalg.solve(matrix, right), rel=1e-8, abs=1e-10)


@pytest.mark.parametrize("wide", [1, 2, 3])
def test_elimination_near_the_diagonal_solves_as_numpy_does(wide: int) -> None:
    """With pivots, and with rubbish where it must not look."""
    rng = np.random.default_rng(wide)
    bench = Bench()
    joints = [bench.junction() for _ in range(9)]
    for a, b in itertools.pairwise(joints):
        bench.tube(a, b, 0.004, 1.0)
    state = fresh_state(bench.arrays(), 1)
    n = 9
    far = np.subtract.outer(np.arange(n), np.arange(n))
    for _ in range(20):
        matrix, right = rng.normal(size=(n, n)), rng.normal(size=n)
        matrix[np.abs(far) > wide] = 0.0
        matrix[np.arange(n), np.arange(n)] *= 1e-3  # wants pivots
        state.matrix[:] = [1e9] * (n * n)
        clear(state, n, wide)
        for r, c in zip(*np.nonzero(matrix), strict=True):
            state.matrix[r * n + c] = float(matrix[r, c])
        state.rhs[:] = [float(v) for v in right]
        eliminate(state, n, wide)
        assert state.rhs == pytest.approx(np.linalg.solve(matrix, right), rel=1e-6, abs=1e-8)


def test_reynolds_number_inside_the_tube_law_is_that_of_physics() -> None:
    """At Re 1000 the friction part alone is 64/Re: Hagen and Poiseuille."""
    bore, length = 0.004, 2.0
    a = one_edge(prim.TUBE, bore, length, 0.0, 0.0).arrays()
    q = 0.1 * LITRE / 60.0
    assert pipes.reynolds(q, bore, RHO, NU * RHO) < 1000.0
    assert laws.law(a, 0, q, 1.0, 1.0)[0] == pytest.approx(
        128.0 * NU * RHO * length * q / (math.pi * bore**4), rel=1e-12
    )
    assert water.density(293.15) == pytest.approx(RHO, rel=1e-4)


@pytest.mark.parametrize("x", [1e-18, 1e-9, 0.99e-3, 1.01e-3, 0.1, 0.9])
def test_exponentials_of_puddles_lose_no_digits_near_zero(x: float) -> None:
    """Held against the C library's own expm1 and log1p."""
    assert puddles.gone(x) == pytest.approx(-math.expm1(-x), rel=1e-12)
    assert puddles.log_of_rest(x) == pytest.approx(-math.log1p(-x), rel=1e-12)
