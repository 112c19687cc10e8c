"""Closed forms for sumps and chambers against fluids, scipy and worked tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import vessels

DAY = 86400.0
LITRES_A_DAY = 1e-3 / DAY


@pytest.mark.parametrize("depth", [0.0, 0.01, 0.10, 0.15, 0.29, 0.30])
def test_lying_cylinder_holds_what_the_library_says_fluids(depth: float) -> None:
    from fluids.geometry import V_horiz_conical

    wanted = V_horiz_conical(D=0.30, L=0.6, a=0.0, h=depth)
    assert vessels.horizontal_cylinder_volume(0.15, 0.6, depth) == pytest.approx(wanted, rel=1e-9, abs=1e-12)


@given(st.floats(0.0, 0.30))
def test_lying_cylinder_halves_add_up_geometry(depth: float) -> None:
    both = sum(vessels.horizontal_cylinder_volume(0.15, 0.6, h) for h in (depth, 0.30 - depth))
    assert both == pytest.approx(0.6 * math.pi * 0.15**2, rel=1e-9)


# Fill rate in L/h, hours to overflow, hours until a power cut would overflow; 54 L free, 31.2 L drain down, 4 L/day.
ENDLESS = [(2.0, 29.5, 12.4), (10.0, 5.5, 2.3), (200.0, 16.0 / 60.0, 7.0 / 60.0)]


@pytest.mark.parametrize(("fill", "to_overflow", "to_latent"), ENDLESS)
def test_endless_top_off_overflows_when_the_table_says_dossier(
    fill: float, to_overflow: float, to_latent: float
) -> None:
    flow, evaporation = fill * 1e-3 / 3600.0, 4.0 * LITRES_A_DAY
    assert vessels.time_to_volume(54e-3, flow, evaporation) / 3600.0 == pytest.approx(to_overflow, rel=0.02)
    assert vessels.time_to_volume(22.8e-3, flow, evaporation) / 3600.0 == pytest.approx(to_latent, rel=0.03)


def test_balanced_flows_never_fill_a_volume() -> None:
    assert vessels.time_to_volume(1e-3, 1e-6, 1e-6) == math.inf


@pytest.mark.parametrize(("inlet", "wanted"), [(0.025, 0.222), (0.100, 0.125)])
def test_vortex_submergence_gives_the_worked_depths_hi98(inlet: float, wanted: float) -> None:
    assert vessels.vortex_submergence(inlet, 3.0 / 3600.0) == pytest.approx(wanted, abs=1e-3)


@given(st.floats(0.01, 1.0), st.floats(1e-3, 0.1), st.floats(1e-8, 1e-6), st.floats(2.0, 1000.0))
def test_fill_cycle_puts_in_what_evaporates_continuity(
    surface: float, band: float, evaporation: float, ratio: float
) -> None:
    pump = ratio * evaporation
    run, pause = vessels.fill_cycle(surface, band, pump, evaporation)
    assert pump * run == pytest.approx(evaporation * (run + pause), rel=1e-9)


def test_pump_weaker_than_the_evaporation_is_refused() -> None:
    with pytest.raises(ValueError, match="pump flow less evaporation"):
        vessels.fill_cycle(0.06, 0.01, 1e-8, 2e-8)
