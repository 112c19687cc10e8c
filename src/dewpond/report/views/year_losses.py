"""What a year takes out of a tank beside its water: salt that is carried off, heat, and the power of held coils."""

from __future__ import annotations

import math
from collections.abc import Iterator

from dewpond.report.views.shown import Shown, count, joined, sentence
from dewpond.study.year.model import DAY, Drift, Prices, Reservoir, Span, Year

KWH = 3.6e6  # [J]
FALLS = 0.3  # a month: a slope that a hobby instrument shows [g/kg]; our prior
LONGEST = 3650.0  # days; further ahead no reservoir is reckoned
LITTLE = 0.05  # change of salinity that is not worth a sentence [g/kg]


def days_of(days: float) -> str:
    """ "14 days", "20 h"; "no end" where nothing is used up."""
    if days >= LONGEST:
        return "no end" if math.isinf(days) else "10 years or more"
    if days < 1.0:
        return f"{days * 24.0:.0f} h"
    return count(round(days), "day") if days >= 9.5 else f"{days:.2g} days"


def with_behind(one: Reservoir) -> str:
    """ "reservoir", "reservoir with bin"."""
    return f"{one.vessel} with {joined([vessel for vessel, _ in one.behind])}" if one.behind else one.vessel


def refilled(year: Year, shown: Shown) -> Iterator[str]:
    """Which vessels stand behind a reservoir, and what that asks for."""
    for one in year.reservoirs:
        if one.behind:
            told = joined([f"{shown.litres(volume)} in {vessel}" for vessel, volume in one.behind])
            yield (
                f"Of the {shown.litres(one.whole)} that {one.vessel} has to give, {shown.litres(one.usable)} stand in "
                f"it and {told}: only while what refills it has power and is not stopped."
            )


def salinity(year: Year, shown: Shown) -> Iterator[str]:
    """Where each tank goes when nobody corrects it."""
    for one in year.drifts:
        if one.start <= LITTLE:
            continue
        yield _drifts(one, year, shown)
        if one.read is not None:
            yield f"The salinities that were read move by {one.read * 30.0:+.1f} ppt a month.{_points_to(one, year)}"


def _points_to(one: Drift, year: Year) -> str:
    """What a falling salinity says together with the top-off that was logged."""
    falls = one.read is not None and one.read * 30.0 <= -FALLS and one.read * 30.0 < one.month - one.start - FALLS
    if not falls:
        return ""
    if year.calibration.factor > 1.0:
        return " Falling, with more put in than reckoned: look for a leak of the tank, or for salt water carried off."
    return " Falling, with no more put in than reckoned: look for fresh water that came in earlier, or the instrument."


def new_water(year: Year, shown: Shown) -> Iterator[str]:
    """How long the vessels last from which a tank's water is exchanged."""
    for one in year.exchanges:
        if one.flow > 0.0:
            yield (
                f"{sentence(one.vessel)[:-1]} is no reservoir: {one.part} draws {shown.litres(one.flow * DAY)} a day "
                f"from it for {one.tank}, in place of what it takes out. Its {shown.litres(one.usable)} last "
                f"{days_of(one.lasts / DAY)}: by then somebody has to have mixed new water, for once it is empty the "
                "top-off makes all of it up with fresh water, and the salinity falls faster than is told below."
            )


def new_water_made(year: Year, prices: Prices, shown: Shown) -> Iterator[str]:
    """What the vessels of new water take in a year, that no month counts."""
    for one in year.exchanges:
        made = one.flow * 365.0 * DAY
        if made <= 0.0:
            continue
        if not one.by_unit:
            yield (
                f"Not counted: {shown.litres(made)} a year of new water that is carried into {one.vessel} for "
                f"{one.part}; where this unit makes it, that is as much product, and its waste, on top."
            )
            continue
        lost = made * year.long_fill
        cost = f": {money(Span(made + lost, made + lost, made + lost), prices.water, prices)}" if prices.water else ""
        yield (
            f"Not counted: {shown.litres(made)} a year of product and {shown.litres(lost)} of waste for the new water "
            f"of {one.vessel}, from which {one.part} draws {shown.litres(one.flow * DAY)} a day{cost}. It is filled by "
            "hand, in long fills."
        )


def money(span: Span, price: float, prices: Prices) -> str:
    """ "about 21 EUR (18 to 24)" of volumes [m3]."""
    unit = f" {prices.money}" if prices.money else ""
    low, middle, high = (f"{float(f'{amount * price:.2g}'):g}" for amount in span)
    return f"about {middle}{unit} ({low} to {high})" if low != high else f"about {middle}{unit}"


def _instead(one: Drift, year: Year, shown: Shown) -> str:
    """What comes in place of what goes."""
    if one.brought <= 0.0:
        return "fresh water comes in their place"
    vessels = joined([each.vessel for each in year.exchanges if each.tank == one.tank])
    # two digits: that a bin is colder than the tank alone makes some tenths of a gram
    strength = f"of {shown.amount(one.new, 'salinity')}" if one.new > LITTLE else "of fresh water"
    given = f"{shown.litres(one.brought * DAY)} {strength} come from {vessels}"
    return f"{given}; the top-off makes up the rest" if one.brought < one.lost else given


def _drifts(one: Drift, year: Year, shown: Shown) -> str:
    if one.lost <= 0.0 and one.changed <= 0.0:
        return (
            f"{sentence(one.tank)[:-1]} stays at {shown.salinity(one.start)} as far as the file tells: nothing carries "
            "salt off. Splash, salt creep and what sticks to nets are not counted; measure every week."
        )
    why = []
    if one.lost > 0.0:
        why.append(f"{shown.litres(one.lost * DAY)} of its water a day go and {_instead(one, year, shown)}")
    if one.changed > 0.0:
        why.append(f"water changes put back {shown.litres(one.changed * DAY)} a day on average")
    text = (
        f"{sentence(one.tank)[:-1]}: {joined(why)}. Uncorrected, {shown.salinity(one.start)} become "
        f"{shown.salinity(one.month)} after 30 days and {shown.salinity(one.year)} after a year"
    )
    if one.unit is not None:
        text += f"; it has moved by 1 ppt after {days_of(one.unit)}"
    if year.trips:
        return f"{text}. That is while the top-off is supplied; once it is not, the level falls and the salinity rises."
    return f"{text}. No alarm shows this, for the top-off holds the level."


def energy(year: Year, prices: Prices) -> Iterator[str]:
    """Heat that evaporation takes, and coils that are held."""
    heat = year.total("heat")
    if heat > 0.0:
        cold, warm = (month.heat / month.days / DAY for month in (year.winter, year.summer))
        yield (
            f"Evaporation takes {_watts(cold)} out of the water on the coldest days and {_watts(warm)} on the warmest, "
            f"{_energy(heat)} over the year. The heater gives at most that; pumps, lamps and a warm room give part."
            f"{_power_cost(heat, prices, most=True)}"
        )
    for coil in year.coils:
        if coil.share > 0.01:
            used = coil.takes * coil.share * 365.0 * DAY
            yield (
                f"The coil of {coil.part} is held {100.0 * coil.share:.0f} % of the time: {_watts(coil.takes)}, "
                f"{_energy(used)} a year.{_power_cost(used, prices)}"
            )
    if prices.water is None and year.has_unit and not year.idle:
        yield 'Water is not priced: give `--price-of-water`, such as "4.20 EUR per m3".'
    if prices.power is None and heat > 0.0:
        yield 'Power is not priced: give `--price-of-power`, such as "0.30 EUR per kWh".'


def _watts(power: float) -> str:
    return f"{float(f'{power:.2g}'):g} W"


def _energy(joules: float) -> str:
    return f"{float(f'{joules / KWH:.2g}'):g} kWh"


def _power_cost(joules: float, prices: Prices, most: bool = False) -> str:
    if prices.power is None:
        return ""
    cost = f"{float(f'{joules * prices.power:.2g}'):g}{f' {prices.money}' if prices.money else ''}"
    return f" That is {'at most ' if most else ''}{cost} a year."
