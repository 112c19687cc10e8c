"""Every case of tests/published/tank.json: run here, or listed with the reason why not. Sources stand there."""

import math
from types import SimpleNamespace

from dewpond.physics import evaporation, openings, salinity, seawater, statistics, vessels, water
from dewpond.physics.roots import bisect
from dewpond.physics.water import ZERO_CELSIUS

PUBLISHED = "tank.json"
DAY = 86400.0
AT_15, AT_20, AT_25 = ZERO_CELSIUS + 15.0, ZERO_CELSIUS + 20.0, ZERO_CELSIUS + 25.0

JUDGEMENT = "what an animal stands is a judgement on the result of a run, not a law; it belongs to the consequence"
NOT_HERE = {
    "psychro-example1": "starts from a wet bulb, which no keeper has; its pair of results is in test_evaporation",
    "husb-acropora-22": JUDGEMENT,
    "husb-acropora-28": JUDGEMENT,
    "husb-urchin-24h": JUDGEMENT,
    "husb-urchin-high": JUDGEMENT,
    "husb-coral-LC50": JUDGEMENT,
    "husb-fish-10": JUDGEMENT,
}


def from_1968(temperature: float) -> float:
    """Kelvin on today's scale, from degrees Celsius of 1968 that were only shifted by 273.15."""
    return (temperature - ZERO_CELSIUS) / 1.00024 + ZERO_CELSIUS


def saturated_ratio(i: SimpleNamespace) -> dict:
    return {
        "saturation_humidity_ratio": evaporation.humidity_ratio(
            evaporation.saturation_pressure(i.temperature), i.pressure
        )
    }


def dry_air(i: SimpleNamespace) -> dict:
    return {"dry_air_specific_volume": 1.0 / evaporation.dry_air_density(i.temperature, 0.0, i.pressure)}


def dry_air_difference(water_temperature: float, air_temperature: float, humidity: float, salt: float) -> float:
    at_water, in_room = evaporation.vapour_pressures(water_temperature, air_temperature, humidity, salt)
    return evaporation.dry_air_density(air_temperature, in_room) - evaporation.dry_air_density(
        water_temperature, at_water
    )


def shah_row(i: SimpleNamespace) -> dict:
    room = i.water_temperature, i.air_temperature, i.relative_humidity, i.salinity
    return {
        "evaporation_flux": evaporation.shah_flux(*room, i.pressure),
        "dry_air_density_difference": dry_air_difference(*room),
    }


def carrier_constants(i: SimpleNamespace) -> dict:
    """Ours, taken out of the law at two air speeds, against the imperial original and the case's own conversion."""
    room = AT_25, AT_20, 0.5, 0.0
    at_water, in_room = evaporation.vapour_pressures(*room)
    still, breeze = (
        evaporation.carrier_flux(*room, speed) * evaporation.latent_heat(AT_25) / (at_water - in_room)
        for speed in (0.0, 1.0)
    )
    assert math.isclose(still, i.a_ip, rel_tol=0.01)
    assert math.isclose(breeze - still, i.b_ip, rel_tol=0.01)
    return {"a_si": still, "b_si": breeze - still}


def carrier(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.salinity_practical)
    flux = evaporation.carrier_flux(
        i.water_temperature, i.air_temperature, i.relative_humidity, salt, i.air_speed, i.activity_factor
    )
    return {"evaporation_depth": flux / water.density(i.water_temperature)}


def shah_over_sea_water(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.salinity_practical)
    flux = evaporation.shah_flux(i.water_temperature, i.air_temperature, i.relative_humidity, salt, i.pressure)
    return {"evaporation_depth": flux / water.density(i.water_temperature)}


def winter_and_summer(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.salinity_practical)
    winter = i.water_temperature, i.winter_air, i.winter_RH, salt
    summer = i.water_temperature, i.summer_air, i.summer_RH, salt
    assert dry_air_difference(*summer) < 0.02 < dry_air_difference(*winter)
    (wet_winter, dry_winter), (wet_summer, dry_summer) = (evaporation.vapour_pressures(*x) for x in (winter, summer))
    in_winter = evaporation.shah_flux(*winter)
    return {
        "ratio_dalton": (wet_winter - dry_winter) / (wet_summer - dry_summer),
        "ratio_shah_constant_35": in_winter / evaporation.shah_flux(*summer),
        "ratio_shah_constant_40_below_0.02": in_winter / evaporation.shah_flux(*summer, constant=40.0),
    }


def activity(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.salinity_practical)
    return {"vapour_pressure_reduction": 1.0 - evaporation.water_activity(salt)}


def practical_scale(i: SimpleNamespace) -> dict:
    warm = vars(i).get("temperature_ITS90") or from_1968(i.temperature_IPTS68)
    conductivity = i.conductivity_ratio * seawater.STANDARD_CONDUCTIVITY
    found = seawater.salinity_of_conductivity(conductivity, warm, i.pressure)
    return {"practical_salinity": seawater.practical_salinity(found)}


def eos80(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.practical_salinity)
    return {"density": seawater.density(salt, from_1968(i.temperature_IPTS68))}


def standard_conductivity(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.practical_salinity)
    return {"conductivity": seawater.conductivity_of_salinity(salt, from_1968(i.temperature_IPTS68))}


def conductivities(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.practical_salinity)
    return {
        "conductivity_25C": seawater.conductivity_of_salinity(salt, AT_25),
        "conductivity_20C": seawater.conductivity_of_salinity(salt, AT_20),
    }


def gravities(i: SimpleNamespace) -> dict:
    salt = seawater.absolute_salinity(i.practical_salinity)
    sixty, four = seawater.SIXTY_FAHRENHEIT, seawater.FOUR_CELSIUS
    return {
        "density_25C": seawater.density(salt, AT_25),
        "SG_25_25": seawater.hydrometer_reading(salt, AT_25, AT_25, AT_25),
        "SG_60F_60F": seawater.hydrometer_reading(salt, sixty, sixty, sixty),
        "SG_25C_over_60F_no_glass_correction": seawater.hydrometer_reading(salt, AT_25, AT_25, sixty),
        "SG_25C_over_4C": seawater.hydrometer_reading(salt, AT_25, AT_25, four),
    }


def three_meanings(i: SimpleNamespace) -> dict:
    assert i.glass_expansion == seawater.GLASS_EXPANSION
    sixty, four = seawater.SIXTY_FAHRENHEIT, seawater.FOUR_CELSIUS
    labels = {
        "S_if_25_25": (AT_25, AT_25),
        "S_if_60F_60F_glass": (sixty, sixty),
        "S_if_25_over_4": (AT_25, four),
    }
    return {
        name: seawater.practical_salinity(
            seawater.salinity_of_hydrometer(i.hydrometer_reading, i.water_temperature, *label)
        )
        for name, label in labels.items()
    }


def reduction_table(i: SimpleNamespace) -> dict:
    label = AT_15, seawater.FOUR_CELSIUS
    found = seawater.salinity_of_hydrometer(i.hydrometer_reading_15_4, i.water_temperature, *label)
    return {
        "density_15_4": seawater.hydrometer_reading(found, AT_15, *label),
        "salinity": seawater.practical_salinity(found),
    }


def gravity_slope(i: SimpleNamespace) -> dict:
    salts = [seawater.absolute_salinity(s) for s in (i.salinity - 0.5, i.salinity + 0.5)]
    low, high = (seawater.hydrometer_reading(s, i.temperature, i.temperature, i.temperature) for s in salts)
    return {"salinity_per_0.001_SG": 0.001 / (high - low)}


def dilution(i: SimpleNamespace) -> dict:
    tank = i.volume * seawater.density(seawater.absolute_salinity(i.salinity), i.temperature)
    fresh = i.fresh_added * water.density(i.temperature)
    return {
        "salinity_mass_exact": salinity.after_fresh_water(i.salinity, tank, fresh),
        "salinity_volume_formula": salinity.after_fresh_water(i.salinity, i.volume, i.fresh_added),
    }


def evaporated(i: SimpleNamespace) -> dict:
    lost = -salinity.fresh_water_to_reach(i.salinity_start, i.salinity_end, i.volume)
    return {"days": lost / i.evaporation}


def leak_hidden_by_fresh(i: SimpleNamespace) -> dict:
    def above(time: float) -> float:
        now = salinity.loss_replaced_by_fresh(i.salinity_start, i.volume, i.leak * time)
        return now - (i.salinity_start - 0.5)

    return {
        "salinity": salinity.loss_replaced_by_fresh(i.salinity_start, i.volume, i.leak * i.days),
        "days_to_drop_0.5": bisect(above, 0.0, 100.0 * DAY),
    }


def washout(i: SimpleNamespace) -> dict:
    end, floor = salinity.overflow_washout(i.salinity_start, i.volume, i.free_space, i.fresh_total)
    at_brim, nothing = salinity.overflow_washout(i.salinity_start, i.volume, i.free_space, i.free_space)
    assert nothing == 0.0
    return {"salinity_at_overflow": at_brim, "salinity_end": end, "water_on_floor": floor}


def return_chamber(i: SimpleNamespace) -> dict:
    return {
        "fall": vessels.fall_rate(i.chamber_area, i.evaporation),
        "hours_to_air": vessels.time_to_volume(i.chamber_area * i.usable_depth, 0.0, i.evaporation),
    }


def weir(i: SimpleNamespace) -> dict:
    by_coefficient = 2.0 / 3.0 * 0.62 * math.sqrt(2.0 * water.G)
    return {
        "head_francis": openings.weir_head(i.flow, i.weir_length),
        "head_cd_0.62": openings.weir_head(i.flow, i.weir_length, by_coefficient),
    }


def drain_down(i: SimpleNamespace) -> dict:
    volume = vessels.drain_down_volume(
        i.display_area, i.weir_head, i.siphon_depth_below_crest, i.pipe_volume, i.box_volume
    )
    return {"drain_volume": volume}


def daily_cap(i: SimpleNamespace) -> dict:
    """Means are volumes of one day here, so the rates of the file are multiplied by a day and the caps divided."""
    mean, sd, n, away = i.mean * DAY, i.sd * DAY, round(i.history_days / DAY), round(i.away_days / DAY)
    known = statistics.cap_without_nuisance(mean, sd, None, away, i.trip_probability)
    honest = statistics.cap_without_nuisance(mean, sd, n, away, i.trip_probability)
    return {
        "z": (known - mean) / sd,
        "cap_known_parameters": known / DAY,
        "t_29": (honest - mean) / (sd * math.sqrt(1.0 + 1.0 / n)),
        "cap_prediction": honest / DAY,
    }


def fill_timeout(i: SimpleNamespace) -> dict:
    run, pause = vessels.fill_cycle(i.chamber_area, i.hysteresis, i.pump, i.evaporation)
    timeout = i.factor * run
    return {
        "normal_run": run,
        "timeout": timeout,
        "runs_per_day": 1.0 / (run + pause),
        "excess_if_stuck_once": (i.pump - i.evaporation) * (timeout - run),
    }


def autonomy(i: SimpleNamespace) -> dict:
    days, history = round(i.days / DAY), round(i.history_days / DAY)
    need, sd = days * i.mean * DAY, i.sd * DAY
    weather = statistics.spread_of_sum(days, sd, i.lag1)
    honest = statistics.spread_of_sum(days, sd, i.lag1, history)
    return {
        "sd_sum": weather,
        "p_runout_known_mean": statistics.run_out_probability(i.reservoir, need, weather),
        "p_runout_with_mean_uncertainty": statistics.run_out_probability(i.reservoir, need, honest),
        "reservoir_99": statistics.store_for_risk(need, honest, 0.01),
    }


def ewma(i: SimpleNamespace) -> dict:
    return {"ARL": statistics.ewma_arl(vars(i)["lambda"], i.L, i.shift)}


def named(front: str, *ends: str) -> list[str]:
    return [front + end for end in ends]


RUN = {
    **dict.fromkeys(
        ("psat-5C", "psat-25C"), lambda i: {"saturation_pressure": evaporation.saturation_pressure(i.temperature)}
    ),
    **dict.fromkeys(("Wsat-25C", "Wsat-20C-ref", "Wsat-22C-ref", "Wsat-28C-ref"), saturated_ratio),
    "dryair-v-25C": dry_air,
    **dict.fromkeys(named("shah-", "28-28-50", "28-29-50", "29-29-50", "29-30-50", "30-28-50", "30-30-50"), shah_row),
    "carrier-unit-conversion": carrier_constants,
    "carrier-25-22-50": carrier,
    "shah-25-22-50-S35": shah_over_sea_water,
    "ratio-winter-summer": winter_and_summer,
    "water-activity-35": activity,
    **dict.fromkeys(("pss78-R1", "pss78-R0.65", "pss78-fortran", "gsw-SP-from-R"), practical_scale),
    **dict.fromkeys(("eos80-S0-T0", "eos80-S35-T30", "eos80m-S0-T5", "eos80m-S0-T25", "eos80m-S35-T25"), eos80),
    "kcl-conductivity": standard_conductivity,
    **dict.fromkeys(("cond-S5", "cond-S20", "cond-S35"), conductivities),
    **dict.fromkeys(("sg-S20", "sg-S33", "sg-S35"), gravities),
    "sg-1.025-three-meanings": three_meanings,
    "hydrometer-15-4-at-22": reduction_table,
    "sg-slope": gravity_slope,
    "dilute-exact": dilution,
    "evap-to-36": evaporated,
    "leak-replaced-by-fresh": leak_hidden_by_fresh,
    "overflow-washout": washout,
    "return-chamber-fall": return_chamber,
    "weir-head": weir,
    "drain-down": drain_down,
    "daily-cap": daily_cap,
    "fill-timeout": fill_timeout,
    "autonomy-14d": autonomy,
    **dict.fromkeys(
        [
            *named("cusum2-k.5-h4-", "d0", "d0.5", "d1", "d1.5", "d3"),
            *named("cusum2-k.5-h5-", "d0", "d0.5", "d0.75", "d1", "d2"),
        ],
        lambda i: {"ARL": statistics.cusum_arl_two_sided(i.k, i.h, i.shift)},
    ),
    **dict.fromkeys(
        named("cusum1-", "k.5-h4-d0", "k.5-h5-d0", "k.5-h3-d1.5", "k0-h10-d0", "k0-h10-d0.5", "k0-h10-d1"),
        lambda i: {"ARL": statistics.cusum_arl(i.k, i.h, i.shift)},
    ),
    **dict.fromkeys(
        [
            *named("ewma-.03-2.437-", "d0", "d0.5", "d1", "d3"),
            *named("ewma-.5-3.071-", "d0", "d0.25", "d1", "d2"),
            *named("ewma-", ".5-2-d0", ".5-2-d1", ".25-3-d1"),
            *named("ewma-.1-2.814-", "d0", "d0.25", "d0.5", "d2"),
        ],
        ewma,
    ),
    **dict.fromkeys(named("shewhart-3s-", "d0", "d1", "d3"), lambda i: {"ARL": statistics.shewhart_arl(i.L, i.shift)}),
}


def test_tank_case_gives_its_published_value(published: tuple) -> None:
    case, law = published
    case.judge(law(case.inputs))


def test_every_tank_case_is_run_or_listed_once(published_ids: list[str]) -> None:
    assert len(published_ids) == len(set(published_ids)) == 88
    assert sorted([*RUN, *NOT_HERE]) == sorted(published_ids)
