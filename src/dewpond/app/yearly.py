"""An ordinary year: what was asked for is read, put together, and handed to the views."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING

from dewpond.app import work
from dewpond.errors import Finding, UsageError

if TYPE_CHECKING:
    from dewpond.design.model import Design
    from dewpond.study.year.model import Prices, Reading, Year

PRICE = re.compile(r"(?P<number>[\d.,]+)\s*(?P<money>[^\d\s/]*)\s*(?:/|\bper\b)\s*(?P<unit>.+)")
FIRST_YEAR, AHEAD = 2000, 10  # days to count from: not before this year, nor so many years ahead; our prior
USUAL_WATER = (0.1, 100.0)  # for a cubic metre, in a currency that is not known; our prior
USUAL_POWER = (0.01, 10.0)  # for a kilowatt-hour, likewise; our prior
ENERGY = {"kwh": 3.6e6, "mwh": 3.6e9, "wh": 3.6e3, "mj": 1e6, "j": 1.0}


def tell(
    file: str,
    log: str | None,
    coldest: int | None,
    prices: tuple[str | None, str | None],
    today: str | None,
    page: str | None,
    as_json: bool,
) -> int:
    """One year: read, reckoned, told."""
    from dewpond.app.measured import of_measured
    from dewpond.report.views.year import year_report

    now, priced = day_of(today), prices_of(*prices)
    design = work.read_sound(file, as_json, "year")
    work.may_write(page, file)
    readings, found = read_log(log, now, as_json, "year")
    with work.patience() as at:
        made = made_of(design, readings, now, coldest, at)
        remarked = (*work.as_findings(design, made.remarks), *of_shortage(made, design))
        found = (*remarked, *found, *of_measured(made, design, readings, log), *odd_prices(priced))
        report = year_report(design, made, priced, found, len(readings), chosen=coldest is not None)
    if page is not None:
        from dewpond.report.page import render

        work.write(page, render(report))
    if as_json:
        from dewpond.report import year_records

        work.print_json(year_records.year(design, made, priced, found, len(readings)))
    else:
        work.print_report(report)
    return 0


def made_of(
    design: Design,
    readings: Sequence[Reading],
    today: int,
    coldest: int | None,
    at: Callable[[str], None] | None = None,
) -> Year:
    """The year of a design. ``coldest``: the month asked for; None: that of its time zone; ``at``: hears of it."""
    from dewpond.design.hemisphere import coldest_month
    from dewpond.parts import KINDS
    from dewpond.study.year.year import year

    month, south = coldest_month(design.zone)
    return year(design, KINDS, readings, today=today, coldest=coldest or month, south=south, heard=at)


def read_log(log: str | None, today: int, as_json: bool, command: str) -> tuple[Sequence[Reading], tuple[Finding, ...]]:
    """The readings, and what was remarked of them. Raises DesignError where nothing of the file can be used."""
    if log is None:
        return (), ()
    from dewpond.care.readings import read_readings

    with work.refusals(log, as_json, command):
        return read_readings(log, today)


def of_shortage(made: Year, design: Design) -> tuple[Finding, ...]:
    """That the unit cannot make what is needed."""
    from dewpond.parts import KINDS
    from dewpond.report.views import year_lacks
    from dewpond.report.views.shown import shown_in
    from dewpond.report.views.year import LACKS

    if not year_lacks.lacks(made):
        return ()
    shown = shown_in(design.shown_in)
    gate = None if made.trips else year_lacks.narrowest(made)
    where, line = "the whole installation", None
    if gate is not None:
        where, line = f"{KINDS[design.part(gate.part).kind].section}: {gate.part}", design.lines.get(gate.part)
    what, remedy = year_lacks.shortage(made, shown), year_lacks.remedy(made, shown)
    return (Finding(LACKS, "warning", where, what, remedy, design.file, line),)


def day_of(today: str | None) -> int:
    """The ordinal of the day that is asked for, or of today. Raises UsageError."""
    now = datetime.now().astimezone().date()
    if today is None:
        return now.toordinal()
    try:
        day = date.fromisoformat(today)
    except ValueError:
        raise UsageError(
            f'"{work.short(today)}" is no day.', "Write year, month and day, such as 2026-11-28."
        ) from None
    if not FIRST_YEAR <= day.year <= now.year + AHEAD:
        raise UsageError(
            f"{day.isoformat()} is no day to count from: it must lie in the years {FIRST_YEAR} to {now.year + AHEAD}.",
            "Check the year.",
        )
    return day.toordinal()


def prices_of(water: str | None, power: str | None) -> Prices:
    """What was typed as prices: for a cubic metre and for a joule. Raises UsageError."""
    from dewpond.study.year.model import Prices

    wet, money = _price(water, "--price-of-water", "4.20 EUR per m3")
    live, other = _price(power, "--price-of-power", "0.30 EUR per kWh")
    if money and other and money != other:
        raise UsageError(f"The two prices are in {money} and in {other}.", "Give both in one currency.")
    return Prices(wet, live, money or other)


def odd_prices(prices: Prices) -> tuple[Finding, ...]:
    """Prices that are far from any usual one: most likely for another amount than was meant."""
    from dewpond.report.views.shown import about

    asked = (
        ("--price-of-water", prices.water, USUAL_WATER, 1.0, "m3", "4.20 EUR per m3"),
        ("--price-of-power", prices.power, USUAL_POWER, ENERGY["kwh"], "kWh", "0.30 EUR per kWh"),
    )
    money = f" {prices.money}" if prices.money else ""
    return tuple(
        Finding(
            "Y006", "note", option,
            f"{about(price * size)}{money} for a {unit} is far from what is paid in most places.",
            f'Is the amount right that it is paid for, and the decimal sign? Such as "{example}". Where your money '
            "counts so, leave it.",
        )
        for option, price, (low, high), size, unit, example in asked
        if price is not None and not low <= price * size <= high
    )  # fmt: skip


def _price(typed: str | None, option: str, example: str) -> tuple[float | None, str]:
    """The price of one unit inside the program, and its currency."""
    if typed is None:
        return None, ""
    found = PRICE.fullmatch(typed.strip())
    number = _number(found["number"]) if found else None
    size = _size(found["unit"].strip(), option) if found else None
    if found is None or number is None or size is None:
        raise UsageError(
            f'{option}: "{work.short(typed)}" is no price.',
            f'Write a number, a currency and for how much: "{example}".',
        )
    return number / size, found["money"]


def _number(text: str) -> float | None:
    """4.20 or 4,20; with both signs, or a sign in the midst of thousands, it is not clear."""
    text = text.replace(",", ".")
    try:
        return float(text) if text.count(".") <= 1 else None
    except ValueError:
        return None


def _size(unit: str, option: str) -> float | None:
    """What one such unit is: [m3] or [J]."""
    from dewpond import units
    from dewpond.errors import UnitError

    if option == "--price-of-power":
        return ENERGY.get(unit.casefold())
    try:
        amount = unit if unit[:1].isdigit() else f"1 {unit}"
        size = units.parse(amount, "volume")
    except UnitError:
        return None
    return size if size > 0.0 else None
