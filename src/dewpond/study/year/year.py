"""An ordinary year put together: the course of the air, what evaporates, what the unit does for it, what that wears."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from dewpond.design.model import Design
from dewpond.parts.base import Kind
from dewpond.physics.evaporation import latent_heat
from dewpond.physics.membrane import STANDSTILL_VOLUME
from dewpond.physics.resin import ionic_load
from dewpond.physics.seasons import MONTH_DAYS, YEAR_DAYS, month_starts
from dewpond.physics.series import AT_95, PRIOR_SPREAD, lasts
from dewpond.physics.water import density
from dewpond.plant.kernel.vessels import volume_of
from dewpond.plant.lower import lower
from dewpond.plant.plant import Plant
from dewpond.plant.trace import Trace
from dewpond.study.filling import NO_FLOW, drawn, look
from dewpond.study.flows import Flows, flows_and_days
from dewpond.study.full import full_level
from dewpond.study.remarks import of_tables
from dewpond.study.shut import stood_shut
from dewpond.study.year import feeding
from dewpond.study.year.calibrate import calibrate, told_spread
from dewpond.study.year.curve import Course, course
from dewpond.study.year.drift import astray, drift
from dewpond.study.year.exchange import exchanges
from dewpond.study.year.feeding import Body
from dewpond.study.year.model import DAY, RISKS, Calibration, Coil, Drift, Jugs, Month, Reading, Ruler, Span, Trip, Year
from dewpond.study.year.supplied import supplied, trip_of
from dewpond.study.year.unit import LEAST_MADE, Unit, at, unit
from dewpond.study.year.wear import dues
from dewpond.vocabulary import Word

READ_TO = 0.7e-3  # error of a fall between two looks at a ruler [m]; half a millimetre each, our prior
IDLE = 0.2  # share of what is needed below which the unit does not feed the tanks in ordinary days; our prior
MORE = 1.25  # what it makes over what is needed, from which something else takes water too; our prior
RULED, GAS, CHANGED, EVERY = "measured evaporation", "carbon dioxide", "of", "every"
GAS_SPREAD = 4.0  # over the default of carbon dioxide, and 2.5 below; its source tells both


@dataclass(frozen=True)
class Basis:
    """All that the days of a year are reckoned from. One unit and one course; flows [m3/s]."""

    course: Course
    cold: Unit
    warm: Unit
    open: frozenset[str]  # vessels of tanks
    bodies: Mapping[str, frozenset[str]]  # tank -> its vessels
    main: int  # the largest open water
    beside: (
        float  # topped off besides what evaporates from tanks: skimmers, a reservoir's own loss; less what is brought
    )
    changed: float  # by water changes
    calibration: Calibration
    gas: Span
    feeds: Mapping[str, tuple[frozenset[str], float, float]]  # reservoir -> vessels, beside, usable [m3]
    fed: bool  # the unit makes what is needed
    given: bool  # what all tanks evaporate stands in the file


def year(
    design: Design,
    kinds: Mapping[str, Kind],
    readings: Sequence[Reading] = (),
    *,
    today: int,
    coldest: int = 1,
    south: bool | None = None,
    heard: Callable[[str], None] | None = None,
) -> Year:
    """The year of a checked design. ``today``: ordinal of the day from which undated parts are counted; ``coldest``:
    month 1 to 12 in the middle of which the winter figures hold; ``south``: handed on; ``heard``: hears what
    is worked out."""
    plants = [lower(design, season) for season in ("winter", "summer")]
    found = []
    for one in plants:
        if heard is not None:
            heard(f"fills and ordinary days of {one.season}")
        found.append(flows_and_days(one))
    plant, table, first = plants[0], found[0][0], found[0][1]
    days = supplied(plant, first)
    traded = exchanges(plant, days)
    tanks = feeding.bodies(plant, days, traded)
    line = course(plants[0].waters, plants[1].waters, coldest, readings)
    needs = [feeding.evaporating(one) + sum(body.net for body in tanks) for one in plants]
    trips = [trip_of(one, run, need) for one, (_, run), need in zip(plants, found, needs, strict=True)]
    units = [
        _tripped(unit(one, *seen), trip, need)
        for one, seen, trip, need in zip(plants, found, trips, needs, strict=True)
    ]
    fed = _feeds(units, needs, trips, first.end)
    basis = _basis(design, plant, days, tanks, line, units, readings, today, fed)
    months = tuple(_month(basis, number) for number in range(12))
    ends = [_day(basis, line.coldest + half * YEAR_DAYS / 2.0) for half in (0, 1)]
    made = sum(one.made for one in units) / 2.0
    need = sum(month.need.middle for month in months) / (YEAR_DAYS * DAY)
    plain = sum(needs) / 2.0
    mean = at(units[0], units[1], 0.5 * (units[0].water + units[1].water))
    return Year(
        months=months,
        winter=ends[0],
        summer=ends[1],
        coldest=coldest,
        south=south,
        today=today,
        calibration=basis.calibration,
        reservoirs=feeding.reservoirs(plant, traded),
        dues=tuple(dues(design, kinds, months, mean.through, today)),
        drifts=tuple(_drifts(design, tanks, days, readings)),
        coils=tuple(_coils(design, kinds, plants, found)),
        jugs=tuple(_jugs(design, table)),
        has_unit=bool(plant.membranes),
        wet=any(one.wet for one, _ in found),
        idle=bool(plant.membranes) and not basis.fed and need > 0.0,
        more=made - plain if basis.fed and made > MORE * plain else 0.0,
        gas=basis.gas,
        gas_given=_gas(design)[1],
        told=_told(design, tanks),
        ahead=tuple(one.vessel for one in _rulers(design, plant) if one.day > today),
        exchanges=traded,
        drains=mean.drains,
        long_fill=mean.long,
        shut={part: tuple(_opened_by(design, part)) for part in stood_shut(plant, first)},
        heeds=table.heeds,
        gates=mean.gates,
        broken={one.season: one.days for one, _ in found if not one.whole},
        trips=tuple(trip for trip in trips if trip is not None),
        remarks=of_tables((one, table) for one, (table, _) in zip(plants, found, strict=True)),
    )


def _basis(
    design: Design,
    plant: Plant,
    days: Trace,
    tanks: Sequence[Body],
    line: Course,
    units: Sequence[Unit],
    readings: Sequence[Reading],
    today: int,
    fed: bool,
) -> Basis:
    bodies: dict[str, frozenset[str]] = {}
    for body in tanks:
        if body.vessels not in bodies.values():  # two tanks over one sump are one water
            bodies[body.tank] = body.vessels
    open_ = frozenset(name for vessels in bodies.values() for name in vessels)
    own = {water.vessel: water.rate for water in plant.waters if water.vessel not in open_}
    lost = {body.tank: body.net for body in tanks}
    filled = {"": open_}
    beside = {"": sum(lost.values())}
    feeds = {}
    for one in feeding.reservoirs(plant, [one for body in tanks for one in body.brought]):
        vessels = frozenset(name for body in tanks if body.tank in one.tanks for name in body.vessels)
        filled[one.vessel] = vessels
        beside[one.vessel] = sum(lost[tank] for tank in one.tanks) + own.get(one.vessel, 0.0)
        off = beside[one.vessel] + sum(own.get(other, 0.0) for other, _ in one.behind)
        feeds[one.vessel] = (vessels, off, one.whole)
    season = [line.evaporation(line.coldest + half * YEAR_DAYS / 2.0, open_).middle for half in (0, 1)]
    ratio = season[0] / season[1] if season[1] > 0.0 else 1.0
    doses = feeding.doses(plant, days)
    told = _told(design, tanks)
    given = bool(told) and len(told) == len(tanks)
    before = told_spread(ratio) if given else PRIOR_SPREAD
    rulers = [one for one in _rulers(design, plant) if one.day <= today]
    found = calibrate(line, readings, rulers, bodies, filled, beside, doses, before)
    main = max(range(len(line.cold)), key=lambda n: line.cold[n].area, default=0)
    return Basis(
        line, units[0], units[1], open_, bodies, main, sum(lost.values()) + sum(own.values()),
        sum(volume for _, volume, _ in _changes(design)), found, _gas(design)[0], feeds,
        fed, given,
    )  # fmt: skip


def _tripped(one: Unit, trip: Trip | None, need: float) -> Unit:
    """The unit with what still comes of the ``need`` [m3/s] after something has shut it off."""
    return one if trip is None else replace(one, comes=min(trip.late / need, 1.0))


def _feeds(units: Sequence[Unit], needs: Sequence[float], trips: Sequence[Trip | None], span: float) -> bool:
    """Whether the unit feeds the tanks in ordinary days: it makes a good part of what is needed, or, where it cannot
    make that much, what it can; of both seasons, or of one where something shuts it off in the other. needs [m3/s];
    span [s]: of the days."""
    made = [one.made if trip is None else trip.late for one, trip in zip(units, trips, strict=True)]
    can = [one.can for one in units]
    each = list(zip(made, can, needs, strict=True))
    if not any(trips):
        each = [(sum(made) / 2.0, sum(can) / 2.0, needs[0])]
    return any(
        makes * span > LEAST_MADE and makes > IDLE * min(need, most) and most > NO_FLOW for makes, most, need in each
    )


def _opened_by(design: Design, part: str) -> Iterator[str]:
    """The rows of the matrix that order a part open."""
    for number, row in enumerate(design.rows, 1):
        if (part, Word.OPEN) in row.effects:
            yield f"row {number}" if row.id == f"row {number}" else f"row {number} ({row.id})"


def _told(design: Design, tanks: Sequence[Body]) -> tuple[str, ...]:
    """Tanks whose evaporation the file gives."""
    return tuple(body.tank for body in tanks if design.part(body.tank).get("evaporation") is not None)


def _rulers(design: Design, plant: Plant) -> Iterator[Ruler]:
    a = plant.arrays
    for part in design.parts:
        read = part.get(RULED)
        if read:
            store = plant.stores.index(part.name)
            level = full_level(plant, store)
            fell = float(volume_of(a, store, level) - volume_of(a, store, max(level - read["fell"], 0.0)))
            error = READ_TO * fell / read["fell"]
            yield Ruler(part.name, fell, error, read["over"], date.fromisoformat(read["on"]).toordinal())


def _changes(design: Design) -> Iterator[tuple[str, float, float]]:
    """Water changes that say how often: vessel, [m3/s] on average, salinity [g/kg]."""
    for part in design.parts:
        if part.get(EVERY) and part.get("litres"):
            yield part[CHANGED], part["litres"] / part[EVERY], part["salinity"]


def _gas(design: Design) -> tuple[Span, bool]:
    """Carbon dioxide of the supply [kg/m3], and whether the file gives it."""
    for part in design.parts:
        if GAS in part.values:
            gas = part[GAS]
            given = GAS in part.given
            return (Span(gas, gas, gas) if given else Span(gas / 2.5, gas, GAS_SPREAD * gas)), given
    return Span(0.0, 0.0, 0.0), False


def _spread(basis: Basis, day: float) -> Span:
    """Evaporation of a day with what was measured: the estimate's own before, what is left of it after."""
    known = basis.calibration
    raw = basis.course.evaporation(day, basis.open)
    if not known.evidence and not basis.given:
        return raw
    factor, spread = known.of(_reckoned(basis, [day], basis.open))
    middle, off = raw.middle * factor, math.exp(AT_95 * spread)
    return Span(middle / off, middle, middle * off)


def _reckoned(basis: Basis, over: Sequence[float], vessels: frozenset[str]) -> dict[str, float]:
    """What was reckoned for some vessels of each tank, on average of some days [m3/s]."""
    return {
        tank: sum(basis.course.evaporation(day, own & vessels).middle for day in over) / len(over)
        for tank, own in basis.bodies.items()
    }


@dataclass
class Sums:
    """What a stretch of days adds up to."""

    evaporation: list[float]
    need: list[float]
    product: list[float]
    waste: list[float]
    slug: list[float]
    load: list[float]
    running: float = 0.0
    starts: float = 0.0
    fill: float = 0.0
    heat: float = 0.0
    supply: float = 0.0
    can: float = 0.0
    air: float = 0.0
    humidity: float = 0.0


def _add(basis: Basis, day: float, sums: Sums) -> None:
    """One day more."""
    line = basis.course
    seen = line.waters(day)[basis.main] if line.cold else None
    share = line.share(day)
    water = basis.cold.water + share * (basis.warm.water - basis.cold.water)
    now = at(basis.cold, basis.warm, water)
    gone = _spread(basis, day)
    can = now.can * DAY
    for end in range(3):
        need = max(gone[end] + basis.beside + basis.changed, 0.0) * DAY
        product = min(need * now.comes, can) if basis.fed else 0.0
        starts = now.starts_in(product, DAY)
        slug = starts * STANDSTILL_VOLUME[end] * max(now.feed - now.steady, 0.0)
        sums.evaporation[end] += gone[end]
        sums.need[end] += need
        sums.product[end] += product
        sums.waste[end] += product * now.waste
        sums.slug[end] += slug
        sums.load[end] += ionic_load(now.steady, basis.gas[end]) * product + ionic_load(slug, 0.0)
        if end == 1:
            sums.starts += starts
            sums.running += product / now.product if now.product > 0.0 else 0.0
    sums.fill = max(sums.fill, now.fill)
    sums.can += can
    if seen is not None:
        sums.heat += gone.middle * DAY * density(seen.water) * latent_heat(seen.water)
        sums.air += seen.air
        sums.humidity += seen.humidity
    sums.supply += water


def _closed(basis: Basis, number: int, sums: Sums, days: int, over: Sequence[float]) -> Month:
    read = basis.course.read.get(number)
    month = Month(
        number=number + 1,
        days=days,
        supply=sums.supply / days,
        air=sums.air / days,
        humidity=sums.humidity / days,
        read=read[2] if read else 0,
        evaporation=Span(*(gone / days for gone in sums.evaporation)),
        need=Span(*sums.need),
        product=Span(*sums.product),
        waste=Span(*sums.waste),
        running=sums.running,
        starts=sums.starts,
        fill=sums.fill,
        slug=Span(*sums.slug),
        load=Span(*sums.load),
        heat=sums.heat,
        can=sums.can,
    )
    return replace(month, lasts=_lasts(basis, over))


def _lasts(basis: Basis, over: Sequence[float]) -> dict[str, tuple[float, float]]:
    """Days that each reservoir lasts with its feed shut, with the mean need of these days."""
    known = basis.calibration
    found = {}
    for name, (vessels, beside, usable) in basis.feeds.items():
        factor, unsure = known.of(_reckoned(basis, over, vessels))
        gone = sum(basis.course.evaporation(day, vessels).middle for day in over) / len(over) * factor
        mean = (gone + beside) * DAY
        if mean > 0.0:
            share = gone * DAY / mean  # of the need that weather and the estimate move
            daily, spread = known.daily * share, unsure * share
            first, second = (lasts(usable, mean, risk, daily, known.likeness, spread) for risk in RISKS)
            found[name] = (first, second)
    return found


def _empty() -> Sums:
    evaporation, need, product, waste, slug, load = ([0.0] * 3 for _ in range(6))
    return Sums(evaporation, need, product, waste, slug, load)


def _month(basis: Basis, number: int) -> Month:
    """One month, day by day."""
    first, sums = month_starts()[number], _empty()
    over = [first + day + 0.5 for day in range(MONTH_DAYS[number])]
    for day in over:
        _add(basis, day, sums)
    return _closed(basis, number, sums, len(over), over)


def _day(basis: Basis, day: float) -> Month:
    """The coldest or the warmest day: with the figures of the design, whatever was read in that month."""
    bare = replace(basis, course=replace(basis.course, read={}, kept={}))
    sums = _empty()
    _add(bare, day, sums)
    starts = month_starts()
    number = sum(start <= day % YEAR_DAYS for start in starts[1:-1])
    return _closed(bare, number, sums, 1, [day])


def _drifts(design: Design, tanks: Sequence[Body], days: Trace, readings: Sequence[Reading]) -> Iterator[Drift]:
    salt = [float(design.part(body.tank)["salinity"]) for body in tanks]
    far = astray(readings, salt)
    kept = [one for one in readings if one not in far]
    for body, salinity in zip(tanks, salt, strict=True):
        changes = [(volume, new) for vessel, volume, new in _changes(design) if vessel in body.vessels]
        changed = sum(volume for volume, _ in changes)
        new = sum(volume * salt for volume, salt in changes) / changed if changed > 0.0 else salinity
        own = kept if len(tanks) == 1 else ()  # a log does not say which of several tanks it read
        yield drift(body, salinity, days.end, changed, new, own)


def _coils(
    design: Design, kinds: Mapping[str, Kind], plants: Sequence[Plant], found: Sequence[tuple[Flows, Trace]]
) -> Iterator[Coil]:
    for part in design.parts:
        held = kinds[part.kind].held
        told = held(part) if held else None
        if told is not None:
            both = [
                feeding.coil(plant, days, part.name, told.takes, told.open)
                for plant, (_, days) in zip(plants, found, strict=True)
            ]
            yield replace(both[0], share=sum(one.share for one in both) / len(both))


def _jugs(design: Design, table: Flows) -> Iterator[Jugs]:
    """What a fill would be by the print on the element, where jugs were filled as well."""
    for part in design.parts:
        if part.get("measured") and part.get("rated"):
            bare = replace(part, values={**part.values, "measured": None})
            other = replace(design, parts=tuple(bare if p is part else p for p in design.parts))
            plant = lower(other, table.season)
            _, made, lost = drawn(plant, look(plant).turns[0][0])
            yield Jugs(part.name, (made, lost), (table.product, table.waste))
