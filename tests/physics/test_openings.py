"""Holes, weirs, overflows, drops and air gaps against fluids, scipy and published rules."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dewpond.physics import openings
from dewpond.physics.water import G

L_PER_MIN = 1e-3 / 60.0
# Britannica, 11th edition, Hydraulics: head in feet, coefficient of a 0.196 sq in hole.
BRITANNICA = [(1.0, 0.620), (2.0, 0.613), (4.0, 0.608), (10.0, 0.605), (20.0, 0.603)]


@pytest.mark.parametrize(("feet", "coefficient"), BRITANNICA)
def test_thin_wall_coefficient_lies_within_3_percent_britannica(feet: float, coefficient: float) -> None:
    assert coefficient == pytest.approx(openings.THIN_WALL, rel=0.03), feet


def test_hole_flows_backwards_under_negative_pressure() -> None:
    assert openings.hole_flow(-4e5, 1e-3, 0.62, 999.1) == -openings.hole_flow(4e5, 1e-3, 0.62, 999.1)


def test_falling_head_takes_the_time_of_the_ode_scipy() -> None:
    from scipy.integrate import solve_ivp

    surface, hole, cd, start, stop = 0.12, 1e-5, 0.62, 0.25, 0.04

    def fall(_: float, h: list[float]) -> list[float]:
        return [-cd * hole * math.sqrt(2.0 * G * h[0]) / surface]

    def reached(_: float, h: list[float]) -> float:
        return h[0] - stop

    reached.terminal = True
    run = solve_ivp(fall, (0.0, 1e5), [start], events=reached, rtol=1e-10, atol=1e-12)
    assert openings.falling_head_time(surface, hole, cd, start, stop) == pytest.approx(run.t_events[0][0], rel=1e-6)


def test_falling_head_refuses_a_level_that_rises() -> None:
    with pytest.raises(ValueError, match="lower level"):
        openings.falling_head_time(0.12, 1e-5, 0.62, 0.1, 0.2)


@given(st.floats(1.1e-3, 7.0e-3))
def test_falling_drop_keeps_part_of_tates_volume_harkins_brown(radius: float) -> None:
    drop = openings.drop_volume(radius, 0.07274, 998.2)
    whole = 2.0 * math.pi * radius * 0.07274 / (998.2 * G)
    assert 0.59 < drop / whole < 0.73
    # The part that falls must be the table's at the ratio that the drop itself makes.
    ratio = radius / drop ** (1.0 / 3.0)
    nearest = min(openings.HARKINS_BROWN, key=lambda row: abs(row[0] - ratio))
    assert drop / whole == pytest.approx(nearest[1], abs=0.013)


def test_table_of_falling_drops_is_evenly_spaced_and_smooth_harkins_brown() -> None:
    ratios, parts = zip(*openings.HARKINS_BROWN, strict=True)
    assert ratios == pytest.approx([0.30 + 0.05 * i for i in range(19)])
    bends = [a - 2.0 * b + c for a, b, c in zip(parts, parts[1:], parts[2:], strict=False)]
    assert max(abs(bend) for bend in bends) < 0.007


@pytest.mark.parametrize("radius", [0.2e-3, 20e-3])
def test_drop_outside_the_table_is_refused(radius: float) -> None:
    with pytest.raises(ValueError, match="where the law holds"):
        openings.drop_volume(radius, 0.07274, 998.2)


@pytest.mark.parametrize(("head", "crest", "width"), [(0.2, 0.5, 1.0), (0.05, 0.2, 0.3), (0.1, 0.4, 0.5)])
def test_notch_is_kindsvater_carter_fluids(head: float, crest: float, width: float) -> None:
    from fluids.open_flow import Q_weir_rectangular_Kindsvater_Carter as wanted

    assert openings.weir_flow_kindsvater_carter(width, head, crest) == pytest.approx(wanted(head, crest, width))


@pytest.mark.parametrize(("head", "crest", "width"), [(0.2, 0.5, 1.0), (0.05, 0.2, 0.3), (0.1, 0.4, 0.5)])
def test_francis_lies_within_5_percent_of_the_laboratory_kindsvater_carter(
    head: float, crest: float, width: float
) -> None:
    francis = openings.weir_flow(width, head, contractions=2)
    assert francis == pytest.approx(openings.weir_flow_kindsvater_carter(width, head, crest), rel=0.05)


@pytest.mark.parametrize(("width", "head", "crest"), [(0.1, 0.1, 0.4), (0.5, 0.02, 0.4), (0.5, 0.1, 0.04)])
def test_notch_outside_its_range_is_refused(width: float, head: float, crest: float) -> None:
    with pytest.raises(ValueError, match="where the law holds"):
        openings.weir_flow_kindsvater_carter(width, head, crest)


@given(st.floats(1e-6, 1e-2), st.floats(0.05, 1.0))
def test_weir_head_is_the_weir_flow_turned_round(flow: float, width: float) -> None:
    assert openings.weir_flow(width, openings.weir_head(flow, width)) == pytest.approx(flow, rel=1e-9)


# Bore in mm; standpipe at 5, 10, 20 mm over the lip; self-venting; side outlet half full and to the crown, before the
# factor 0.8. L/min. Computed independently for the project's reference on hydraulics, section 4.
OVERFLOWS = [
    (12.0, 1.28, 1.80, 2.55, 0.70, 0.40, 1.35),
    (20.0, 2.44, 5.01, 7.08, 2.50, 1.43, 4.84),
    (25.4, 3.10, 8.08, 11.4, 4.55, 2.60, 8.79),
    (32.0, 3.91, 11.1, 18.1, 8.11, 4.64, 15.7),
]


@pytest.mark.parametrize("row", OVERFLOWS)
def test_overflows_carry_the_tabled_litres_dossier(row: tuple[float, ...]) -> None:
    bore = row[0] * 1e-3
    found = [openings.standpipe_flow(bore, head * 1e-3) for head in (5.0, 10.0, 20.0)]
    found.append(openings.self_venting_flow(bore))
    found += [openings.side_outlet_flow(bore, head) / 0.8 for head in (0.5 * bore, bore)]
    assert [flow / L_PER_MIN for flow in found] == pytest.approx(row[1:], rel=0.01)


@given(st.floats(5e-3, 60e-3), st.floats(0.05, 1.0))
def test_side_outlet_passes_the_most_that_its_head_allows_scipy(bore: float, part: float) -> None:
    """Critical flow is the largest that a given head can drive through any depth: found here by plain search."""
    from scipy.optimize import minimize_scalar

    head = part * bore

    def flow(angle: float) -> float:
        depth = 0.5 * bore * (1.0 - math.cos(angle))
        area = 0.25 * bore**2 * (angle - math.sin(angle) * math.cos(angle))
        return area * math.sqrt(2.0 * G * max(0.0, head - depth))

    full = math.acos(1.0 - 2.0 * part)
    best = minimize_scalar(lambda angle: -flow(angle), bounds=(0.0, full), method="bounded", options={"xatol": 1e-9})
    assert openings.side_outlet_flow(bore, head) == pytest.approx(-0.8 * best.fun, rel=1e-6)


@given(st.floats(5e-3, 60e-3), st.floats(0.5, 1.0))
def test_standpipe_meets_its_two_laws_without_a_jump_swmm(bore: float, cd: float) -> None:
    join = openings.standpipe_transition(bore, cd)
    below, above = (openings.standpipe_flow(bore, join * x, cd) for x in (1.0 - 1e-9, 1.0 + 1e-9))
    assert below == pytest.approx(above, rel=1e-8)


@given(st.floats(5e-3, 60e-3), st.floats(0.0, 0.2), st.floats(0.0, 0.05))
def test_overflow_swallows_more_under_more_head(bore: float, head: float, more: float) -> None:
    assert openings.standpipe_flow(bore, head + more) >= openings.standpipe_flow(bore, head)
    assert openings.weir_flow(0.3, head + more) >= openings.weir_flow(0.3, head)


def test_nothing_overflows_below_the_lip() -> None:
    assert openings.standpipe_flow(0.02, -0.01) == 0.0
    assert openings.side_outlet_flow(0.02, 0.0) == 0.0
    assert openings.weir_flow(0.3, -0.01, contractions=2) == 0.0


def test_side_outlet_above_its_crown_is_refused() -> None:
    with pytest.raises(ValueError, match="head over the side outlet"):
        openings.side_outlet_flow(0.02, 0.021)


@pytest.mark.parametrize("bore_mm", [12.0, 25.4, 50.0])
def test_self_venting_agrees_with_perry_from_memory(bore_mm: float) -> None:
    gpm = (bore_mm / 25.4 / 0.92) ** 2.5
    perry = gpm * 3.785411784 * L_PER_MIN
    assert openings.self_venting_flow(bore_mm * 1e-3) == pytest.approx(perry, rel=0.03)


def test_air_gaps_follow_the_printed_rules_food_code_and_en1717() -> None:
    assert openings.air_gap_us(0.020) == pytest.approx(0.040)
    assert openings.air_gap_us(4.318e-3) == 0.0254
    assert openings.air_gap_us(4.318e-3, near_walls=True) == pytest.approx(1.5 * 0.0254)
    assert openings.air_gap_us(0.020, near_walls=True) == pytest.approx(0.060)
    assert openings.air_gap_european(0.020, feeds=2) == pytest.approx(0.080)
    with pytest.raises(ValueError, match="must be above 0"):
        openings.air_gap_us(0.0)
