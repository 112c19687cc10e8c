"""Every case of tests/published/hydraulics.json: run here, or listed with the reason why not. Sources stand there."""

from types import SimpleNamespace

from dewpond.physics import electric, membrane, openings, pipes, resin, surge, vessels, water

PUBLISHED = "hydraulics.json"

NOT_HERE = {
    "H001": "viscosity at a density other than that at 1 atm; the program only needs 1 atm (H002 to H006)",
    "H048": "arithmetic on the household drop of 0.25 mL, which the program does not use; its drop is H049",
    "H080": "a network, run by the plant's own tests; its head losses check the EPANET law in test_pipes",
    "H083": "a network, run by the plant's own tests; its head losses check the EPANET law in test_pipes",
}


def water_at_1_atm(i: SimpleNamespace) -> dict:
    rho, mu = water.density(i.temperature), water.viscosity(i.temperature)
    return {"density": rho, "dynamic_viscosity": mu, "kinematic_viscosity": mu / rho}


def laminar_factor(i: SimpleNamespace) -> dict:
    return {"darcy_f": pipes.friction_factor(i.Re, 0.0)}


def smooth_factors(i: SimpleNamespace) -> dict:
    return {f"f{re:.0f}": pipes.friction_factor(re, i.relative_roughness) for re in i.Re_list}


def oil_with_lift(i: SimpleNamespace) -> dict:
    re = pipes.reynolds(i.flow, i.inside_diameter, i.density, i.viscosity)
    loss = pipes.tube_pressure_drop(i.flow, i.inside_diameter, i.length, i.sum_K_fittings, i.density, i.viscosity)
    return {
        "Re": re,
        "velocity": re * i.viscosity / (i.density * i.inside_diameter),
        "pressure_drop": loss + water.head_pressure(i.lift, i.density),
    }


def tube(i: SimpleNamespace) -> dict:
    rho, mu = water.density(i.temperature), water.viscosity(i.temperature)
    re = pipes.reynolds(i.flow, i.inside_diameter, rho, mu)
    return {
        "pressure_drop": pipes.tube_pressure_drop(i.flow, i.inside_diameter, i.length, i.sum_K, rho, mu, i.roughness),
        "Re": re,
        "velocity": re * mu / (rho * i.inside_diameter),
        "darcy_f": pipes.friction_factor(re, i.roughness / i.inside_diameter),
    }


def hagen_poiseuille(i: SimpleNamespace) -> dict:
    loss = pipes.tube_pressure_drop(i.flow, i.inside_diameter, i.length, 0.0, 998.2, i.viscosity)
    return {"pressure_drop": loss}


def blown_off(i: SimpleNamespace) -> dict:
    """The case's loss sum holds the outlet's velocity head; here the open end comes in as a hole of the full bore."""
    rho, mu, bore = water.density(i.temperature), water.viscosity(i.temperature), i.inside_diameter
    losses = i.sum_K - 1.0 + pipes.hole_as_loss(bore, bore, 1.0)
    flow = pipes.tube_flow(i.pressure, bore, i.length, losses, rho, mu, i.roughness)
    re = pipes.reynolds(flow, bore, rho, mu)
    return {"flow": flow, "Re": re, "velocity": re * mu / (rho * bore)}


def hole(i: SimpleNamespace) -> dict:
    flow = openings.hole_flow(i.pressure, i.diameter, i.Cd, i.density)
    return {"flow": flow, "per_day": flow}


def falling_drop(i: SimpleNamespace) -> dict:
    return {"drop_volume": openings.drop_volume(i.wetted_radius, i.surface_tension, i.density)}


def temperature_divisors(i: SimpleNamespace) -> dict:
    return {"divisors": [1.0 / membrane.temperature_factor(t) for t in i.temperatures]}


def rejections(i: SimpleNamespace) -> dict:
    return {"rejections": [membrane.rejection_at_flux(i.rated_rejection, x) for x in i.flux_fractions]}


def endless_waste(i: SimpleNamespace) -> dict:
    flow = membrane.restrictor_flow(membrane.restrictor_constant(i.waste, 3.45e5), 3.45e5)
    return {"per_day": flow, "per_year": flow}


def shut_off(i: SimpleNamespace) -> dict:
    """The file prints thirds with six digits, one too few for its own tolerance of one in a million."""
    pressure, share = membrane.shut_off_point(i.feed_pressure, i.fraction)
    return {"flow_fraction": round(share, 6), "permeate_pressure": round(pressure)}


def mixed_bed(i: SimpleNamespace) -> dict:
    charge = i.capacity / resin.CACO3_PER_EQUIVALENT
    return {"volume": resin.resin_lasts(charge, i.resin, i.feed)}


def resin_units(i: SimpleNamespace) -> dict:
    per_volume = i.capacity * resin.CACO3_PER_EQUIVALENT
    return {"kilograin_per_ft3": per_volume, "g_CaCO3_per_L": per_volume}


def lying_cylinder(i: SimpleNamespace) -> dict:
    return {"volume": vessels.horizontal_cylinder_volume(i.radius, i.length, i.depth)}


def notch(i: SimpleNamespace) -> dict:
    return {"flow": openings.weir_flow_kindsvater_carter(i.notch_width_b, i.head_h1, i.crest_height_h2)}


def standpipe(i: SimpleNamespace) -> dict:
    return {
        "flow": openings.standpipe_flow(i.bore, i.head, i.Cd),
        "transition_head": openings.standpipe_transition(i.bore, i.Cd),
    }


def self_venting(i: SimpleNamespace) -> dict:
    """One law of ours against both published ones, which agree within the case's tolerance."""
    flow = openings.self_venting_flow(i.bore)
    return {"flow_froude": flow, "flow_perry": flow}


def siphon(i: SimpleNamespace) -> dict:
    rho, mu = water.density(i.temperature), water.viscosity(i.temperature)
    flow = pipes.siphon_flow(i.level_difference, i.bore, i.length, i.sum_K, rho, mu)
    return {"flow": flow, "per_hour": flow, "Re": pipes.reynolds(flow, i.bore, rho, mu)}


def siphon_table(i: SimpleNamespace) -> dict:
    flows = []
    for row in i.cases:
        end = 1.0 + row["outlet_minus_source_level_m"]
        around = end + 0.05 if row["outlet_submerged"] else None
        vent = 1.1 if row["vent_above_source"] else None
        flows.append(pipes.siphon_keeps_flowing(1.0, end, around, vent))
    return {"flows": flows}


def copper_table(i: SimpleNamespace) -> dict:
    return {"ohm_per_1000ft": [electric.wire_resistance(gauge) for gauge in i.awg]}


def cable(i: SimpleNamespace) -> dict:
    drop = electric.cable_drop(i.awg, i.length_one_way, i.current)
    return {
        "loop_resistance": electric.loop_resistance(i.awg, i.length_one_way),
        "drop": drop,
        "drop_percent": drop / i.supply,
    }


def hot_coil(i: SimpleNamespace) -> dict:
    ratio = electric.hot_coil_ratio(293.15 + i.rise)
    return {"resistance_ratio": ratio, "current_ratio": 1.0 / ratio}


def static_head(i: SimpleNamespace) -> dict:
    return {
        "pressure": water.head_pressure(i.height, water.density(i.temperature)),
        "psi_per_ft_at_62.4": water.head_pressure(1.0, 62.4 * 0.45359237 / 0.3048**3),
    }


def plastic_surge(i: SimpleNamespace) -> dict:
    wave = surge.wave_speed(i.bore, i.wall, i.E, i.poisson, i.density, i.bulk_modulus)
    velocity = i.flow / surge.tube_volume(i.bore, 1.0)
    return {
        "wave_speed": wave,
        "velocity": velocity,
        "surge": surge.joukowsky_surge(i.density, wave, velocity),
    }


def sealed_tube(i: SimpleNamespace) -> dict:
    return {
        "tube_volume": surge.tube_volume(i.bore, i.length),
        "extra": surge.tube_compliance(i.bore, i.outer, i.length, i.E, i.poisson) * i.rise,
    }


RUN = {
    **dict.fromkeys(("H002", "H004", "H005", "H006"), water_at_1_atm),
    "H011": laminar_factor,
    "H012": smooth_factors,
    "H013": oil_with_lift,
    **dict.fromkeys(("H020", "H022", "H023", "H024", "H025", "H028", "H030"), tube),
    "H031": hagen_poiseuille,
    **dict.fromkeys(("H032", "H033", "H034", "H037", "H038"), blown_off),
    **dict.fromkeys(("H040", "H041", "H043", "H044"), hole),
    "H047": lambda _: {"Cd": openings.THIN_WALL},
    "H049": falling_drop,
    "H060": temperature_divisors,
    "H065": rejections,
    "H066": endless_waste,
    "H067": shut_off,
    "H068": mixed_bed,
    "H069": resin_units,
    "H090": lying_cylinder,
    "H091": lambda i: {"flow": openings.weir_flow(i.width, i.head)},
    "H093": notch,
    **dict.fromkeys(("H095", "H096"), standpipe),
    "H099": self_venting,
    **dict.fromkeys(("H101", "H102"), siphon),
    "H104": siphon_table,
    "H105": lambda i: {"gap": openings.air_gap_us(i.effective_opening, i.near_wall)},
    "H106": lambda i: {"gap": openings.air_gap_european(i.bore, int(i.feeds))},
    "H107": lambda i: {"gap": openings.air_gap_european(i.bore)},
    "H110": copper_table,
    "H111": cable,
    "H114": hot_coil,
    "H115": lambda i: {"orifice": electric.largest_seat(i.force, i.pressure)},
    "H120": static_head,
    "H121": plastic_surge,
    "H122": lambda i: {"surge": surge.joukowsky_surge(i.density, i.wave_speed, i.delta_v)},
    "H124": sealed_tube,
    "H125": lambda i: {"water_taken_up": surge.bubble_uptake(i.bubble, i.rise)},
}


def test_hydraulic_case_gives_its_published_value(published: tuple) -> None:
    case, law = published
    case.judge(law(case.inputs))


def test_every_hydraulic_case_is_run_or_listed_once(published_ids: list[str]) -> None:
    assert len(published_ids) == len(set(published_ids)) == 57
    assert sorted([*RUN, *NOT_HERE]) == sorted(published_ids)
