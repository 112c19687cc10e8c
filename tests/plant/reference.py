"""A second way to reckon whole runs: slow, plain, of fixed steps, from the figures of a design and from our references.

Nothing of the program is used. State goes forward by explicit Euler steps, flows are those of a network at rest at each
moment, one unknown solved by bracketing (scipy). Houses are written out again in SI numbers by hand, beside their text.
Sources: "hydraulics" and "tank" are our own dossiers, with the section; what is not there is the meaning that the
design's keys have in docs/kinds.md, named by kind and key.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import gsw
from fluids.friction import Churchill_1977
from scipy.optimize import brentq

G = 9.80665  # hydraulics 0
RHO, NU = 999.10, 1.1386e-6  # water of 15 C, hydraulics 0, first table: all houses here have water of 15 C
PLASTIC = 1.5e-6  # roughness of drawn plastic [m], hydraulics 1.2
QUARTER, SIX = 4.318e-3, 6.0e-3  # bores of 1/4 in and 8x6 tube [m], hydraulics 1.1
ELBOW = 3.0  # velocity heads, hydraulics 1.3
TUBE_HOLE = 0.7  # discharge coefficient of a hole in a tube wall, hydraulics 2
SHORT = 60.0  # a pause shorter than this is none [s], docs/method.md "Water has ended"
CUP = 0.1e-3  # docs/method.md [m3]
NOTHING = 1e-9  # outflow below this is none [m3/s]

Loss = Callable[[float], float]


def orifice(k: float) -> Loss:
    """Pressure lost by a square law [Pa]."""
    return lambda q: k * q * q


def kv(flow: float) -> float:
    """k of a valve that lets ``flow`` [m3/s] through at 1 bar."""
    return 1e5 / (flow * flow)


def hole(bore: float) -> float:
    """k of a round hole [Pa/(m3/s)2]: Q = Cd A (2 dp / rho)^0.5, hydraulics 2."""
    area = TUBE_HOLE * math.pi * bore * bore / 4.0
    return 1000.0 / (2.0 * area * area)


def tube(bore: float, length: float, heads: float, nu: float = NU, rho: float = RHO) -> Loss:
    """Straight tube by Churchill 1977 with fittings, hydraulics 1.2."""
    area = math.pi * bore * bore / 4.0

    def lost(q: float) -> float:
        if q <= 0.0:
            return 0.0
        v = q / area
        re = v * bore / nu
        f = 64.0 / re if re < 100.0 else Churchill_1977(re, PLASTIC / bore)
        return float((f * length / bore + heads) * rho * v * v / 2.0)

    return lost


def series(drive: float, *losses: Loss) -> float:
    """Flow [m3/s] that ``drive`` [Pa] sends through what stands in a row."""
    if drive <= 0.0:
        return 0.0
    return float(brentq(lambda q: sum(loss(q) for loss in losses) - drive, 0.0, 1e-2, xtol=1e-14, rtol=1e-10))


# --- floors -----------------------------------------------------------------------------------------------------------
def drying_flux(celsius: float, humidity: float) -> float:
    """What still water as warm as the air loses [kg/(m2.s)]: Shah 2014 with dry-air densities, tank 1.2 (b); vapour
    pressure by Magnus (WMO-No. 8), not the formula of the program."""
    pw = 611.2 * math.exp(17.62 * celsius / (243.12 + celsius))
    pr = humidity * pw
    rho_w, rho_r = ((101325.0 - p) / (287.055 * (celsius + 273.15)) for p in (pw, pr))
    w_w, w_r = (0.621945 * p / (101325.0 - p) for p in (pw, pr))
    natural = 35.0 * rho_w * (rho_r - rho_w) ** (1.0 / 3.0) * (w_w - w_r)
    return float(max(natural, 5.0e-5 * (pw - pr)) / 3600.0)


STILL = drying_flux(21.0, 0.35)  # room in winter: 21 C, 35 %, kind room, "air temperature" and "air humidity"
TILE = 2.0 * 2.727e-3 * math.sin(math.radians(20.0))  # film of 40 degrees [m], kind room, "a litre covers"
TRAY_FILM = 2.7e-3  # [m], kind tray
DOORS = 0.5  # evaporation behind cabinet doors, tank 1.4


@dataclass
class Place:
    """Water on a floor or in a tray: a film that grows, then a depth; what it cannot hold goes on."""

    area: float
    film: float = TILE
    holds: float = math.inf
    flux: float = STILL
    volume: float = 0.0
    came: float = 0.0
    passed: float = 0.0

    def step(self, inflow: float, dt: float) -> float:
        """Take ``inflow`` [m3/s] for ``dt`` [s]; what runs on [m3/s]."""
        wetted = min(self.area, self.volume / self.film)
        self.came += inflow * dt
        self.volume = max(self.volume + dt * (inflow - wetted * self.flux / 998.0), 0.0)
        on = max(self.volume - self.holds, 0.0)
        self.volume -= on
        self.passed += on
        return on / dt


def tile(length: float, width: float, *, leads_on: bool) -> Place:
    """A tiled room; one that leads on holds a film over its whole floor (kind room)."""
    area = length * width
    return Place(area, holds=area * TILE if leads_on else math.inf)


def tray(length: float, width: float, rim: float) -> Place:
    """A tray holds area x (rim + film) (kind tray), and dries behind doors."""
    area = length * width
    return Place(area, TRAY_FILM, area * (rim + TRAY_FILM), DOORS * STILL)


# --- when water gets out ----------------------------------------------------------------------------------------------
@dataclass
class Spill:
    """When water got out of the plumbing, and when something was done about it."""

    rows: list[tuple[float, float, float]] = field(default_factory=list)  # (begin, end, rate) [s], [m3/s]
    acts: list[tuple[float, str]] = field(default_factory=list)

    def note(self, t: float, dt: float, rate: float) -> None:
        """Outflow [m3/s] during one step; equal rates in a row are one stretch."""
        if rate <= NOTHING:
            return
        if self.rows and self.rows[-1][1] == t and self.rows[-1][2] == rate:
            self.rows[-1] = (self.rows[-1][0], t + dt, rate)
        else:
            self.rows.append((t, t + dt, rate))

    @property
    def episodes(self) -> list[list[tuple[float, float, float]]]:
        """Stretches of outflow with pauses of a minute between them."""
        found: list[list[tuple[float, float, float]]] = []
        for row in self.rows:
            if found and row[0] - found[-1][-1][1] < SHORT:
                found[-1].append(row)
            else:
                found.append([row])
        return found

    @staticmethod
    def end(episode: list[tuple[float, float, float]]) -> float:
        """Dated back to when water last came at a third of the rate of one cup before (docs/method.md)."""
        came, total = [0.0], 0.0
        for begin, end, rate in episode:
            total += rate * (end - begin)
            came.append(total)
        told = episode[0][0]
        for number, (_, end, rate) in enumerate(episode):
            if came[number + 1] < CUP:
                before = max(r for _, _, r in episode[: number + 1])
            else:
                before = episode[bisect.bisect_right(came, came[number + 1] - CUP) - 1][2]
            if rate >= before / 3.0:
                told = end
        return told


@dataclass(frozen=True)
class Result:
    """What is compared. Volumes [m3], times [s], salinity [g/kg]."""

    places: dict[str, float]
    drain: float
    first: float | None
    stopped: float | None
    stopper: str | None
    reopenings: int
    running: bool
    reservoir_empty: float | None = None
    return_dry: float | None = None
    lowest: float | None = None
    highest: float | None = None
    last: float | None = None
    act: float | None = None  # the last thing that was done about the water


def outcome(spill: Spill, horizon: float, places: dict[str, Place], drain: float, **more: float | None) -> Result:
    """Told in the terms of the program: first, stopped, by what, how often again."""
    episodes = spill.episodes
    ends = [spill.end(one) for one in episodes]
    by_act = [next((w for at, w in reversed(spill.acts) if end - 900.0 <= at <= end + 1.0), None) for end in ends]
    runs = bool(episodes) and episodes[-1][-1][1] > horizon - SHORT
    again = sum(1 for number in range(1, len(episodes)) if by_act[number - 1] is not None)
    runs = runs or again > 1  # water that keeps coming back has not been stopped (docs/json.md, "still running")
    return Result(
        {name: p.came for name, p in places.items() if p.came > 0.0},
        drain,
        episodes[0][0][0] if episodes else None,
        ends[-1] if ends and not runs else None,
        by_act[-1] if ends and not runs else None,
        again,
        runs,
        act=spill.acts[-1][0] if spill.acts else None,
        **more,
    )


# --- houses on the feed side ------------------------------------------------------------------------------------------
@dataclass
class Feed:
    """A burst fed by the house supply through what stands before it; a probe, a person, or neither ends it.

    drive: pressure at rest at the burst [Pa]; losses: all that stands before it; valve: whether the probe's valve is
    among them; opens_again: that valve opens when its probe is dry.
    """

    drive: float
    losses: tuple[Loss, ...]
    rooms: dict[str, Place]
    at: float
    probe: float = math.inf  # water at which the probe is wet [m3]; dry again at half of it (kind leak probe, note)
    valve: str = ""
    opens_again: bool = False
    sees: float = math.inf  # time for which a person must have been about with water lying [s]
    seen_from: float = 0.5e-3  # [m3], kind person, "sees puddles from"
    walks: float = 0.0  # [s]

    def run(self, horizon: float, dt: float) -> Result:
        """The whole run in steps of ``dt`` [s]."""
        spill, full = Spill(), series(self.drive, *self.losses)
        wet = shut = tap_shut = False
        since: float | None = None
        first = next(iter(self.rooms.values()))
        for step in range(round(horizon / dt)):
            t = step * dt
            wet = first.volume >= (0.5 if wet else 1.0) * self.probe
            if wet and not shut and self.valve:
                shut = True
                spill.acts.append((t, self.valve))
            elif shut and not wet and self.opens_again:
                shut = False
            if first.volume >= self.seen_from and since is None:
                since = t
            if since is not None and not tap_shut and t >= since + self.sees + self.walks:
                tap_shut = True
                spill.acts.append((t, "stop tap"))
            out = full if t >= self.at and not shut and not tap_shut else 0.0
            spill.note(t, dt, out)
            for place in self.rooms.values():
                out = place.step(out, dt)
        return outcome(spill, horizon, self.rooms, 0.0)


def osmotic(strength: float) -> float:
    """Osmotic pressure of water of 15 C [Pa]: ASTM D4516, hydraulics 3.1; strength [mg/L]."""
    return 1e3 * 0.2654 * strength * 288.15 / (1000.0 - strength / 1000.0)


def mean_strength(feed: float, recovery: float) -> float:
    """Along the feed side, D4516, hydraulics 3.1."""
    return feed * math.log(1.0 / (1.0 - recovery)) / recovery


@dataclass(frozen=True)
class Element:
    """75 gal/day at 50 psi, 25 C (250 mg/L, 15 % recovery, no back-pressure: hydraulics 3.1), restrictor 0.8 L/min at
    3.45 bar, in water of 15 C and 240 mg/L; rejection 98 %. Pressures [Pa] at the height of the membrane."""

    feed: float
    before: tuple[Loss, ...]  # from the supply to the membrane
    back: Callable[[float], float]  # pressure at the membrane's product side when it gives so much
    rejection: float = 0.98
    tds: float = 240.0

    def permeability(self) -> float:
        """In this water: Q = Q_rated NDP / NDP_rated TCF, TCF = exp(3020 (1/298 - 1/288)), hydraulics 3.1."""
        strength = mean_strength(250.0, 0.15) * self.rejection
        rated = 50.0 * 6894.757 - osmotic(strength) * 298.15 / 288.15
        return 75.0 * 3.785412e-3 / 86400.0 / rated * math.exp(3020.0 * (1.0 / 298.0 - 1.0 / 288.0))

    def flows(self, *, makes: bool = True) -> tuple[float, float]:
        """(product, waste) [m3/s]; ``makes``: its product has somewhere to go."""
        a, restrictor = self.permeability(), 3.45e5 / (0.8e-3 / 60.0) ** 2

        def product(inside: float, waste: float) -> float:
            def excess(q: float) -> float:
                strength = mean_strength(self.tds, max(q, 1e-12) / (q + waste)) * self.rejection
                return a * (inside - self.back(q) - osmotic(strength)) - q

            return float(brentq(excess, 0.0, 1e-4, xtol=1e-15)) if makes else 0.0

        def balance(inside: float) -> float:
            waste = math.sqrt(inside / restrictor)
            through = product(inside, waste) + waste
            return self.feed - sum(loss(through) for loss in self.before) - inside

        inside = float(brentq(balance, 0.3 * self.feed, self.feed, xtol=1e-3))
        waste = math.sqrt(inside / restrictor)
        return product(inside, waste), waste


def purified(
    product: float, waste: float, reservoir: tuple[float, float, float] | None, rooms: dict[str, Place], horizon: float,
    dt: float, at: float = 0.0,
) -> Result:  # fmt: skip
    """A membrane that runs for ever into a reservoir (area [m2], start and rim [m]), or out of a burst from ``at``."""
    spill, level, drain = Spill(), reservoir[1] if reservoir else 0.0, 0.0
    for step in range(round(horizon / dt)):
        t, out = step * dt, 0.0
        flows = t >= at
        if flows:
            drain += waste * dt
        if reservoir is None:
            out = product if flows else 0.0
        else:
            level += product * dt / reservoir[0]
            if level > reservoir[2]:
                out, level = (level - reservoir[2]) * reservoir[0] / dt, reservoir[2]
                out = product if abs(out - product) < 1e-6 * product else out  # rounding, so that stretches are one
        spill.note(t, dt, out)
        for place in rooms.values():
            out = place.step(out, dt)
    return outcome(spill, horizon, rooms, drain)


# --- a tank with its sump and its reservoir ---------------------------------------------------------------------------
def salinity(conc: float) -> float:
    """[g/kg] of dissolved matter [kg/m3] at 25 C, TEOS-10."""
    return float(brentq(lambda s: s * 1e-3 * gsw.rho_t_exact(s, 25.0, 0.0) - conc, 0.0, 120.0))


@dataclass
class Tank:
    """The house of ``TANK`` in the tests, in SI; heights are above the floor of the study."""

    limit: float = math.inf  # longest run [s], after which the box locks the pump
    res_area: float = 0.60 * 0.40
    res_bottom: float = 0.02
    res_start: float = 0.36
    dry: float = 0.04
    lift: float = 1.5  # kind top-off pump, "lifts at most"
    measured: float = 60e-3 / 3600.0
    outlet: float = 0.60
    sump_bottom: float = 0.10
    whole: float = 0.80 * 0.40
    chamber: float = 0.20 * 0.40
    baffle: float = 0.28
    sump_rim: float = 0.40
    run_level: float = 0.24
    rises: float = 0.06
    needs: float = 0.12
    calls: float = 0.232
    satisfied: float = 0.240
    area: float = 1.0 * 0.5
    water: float = 0.250
    free: float = 0.02
    turnover: float = 10.0 / 3600.0  # of its volume [1/s], kind display tank, "return flow"
    evaporates: float = 6e-3 / 86400.0
    places: dict[str, Place] = field(default_factory=lambda: {"study": tile(4, 3, leads_on=True),
                                                              "hall": tile(4, 3, leads_on=False)})  # fmt: skip

    def sump_volume(self, level: float) -> float:
        """Below the baffle only the chamber moves, above it the whole sump (kind sump)."""
        held = (self.whole - self.chamber) * self.baffle
        return held + self.chamber * min(level, self.baffle) + self.whole * max(level - self.baffle, 0.0)

    def sump_level(self, volume: float) -> float:
        """The same turned round."""
        full = self.sump_volume(self.baffle)
        if volume > full:
            return self.baffle + (volume - full) / self.whole
        return self.baffle - (full - volume) / self.chamber

    def pump(self) -> Callable[[float, float], float]:
        """Flow of the top-off pump [m3/s] from the level of the reservoir above its bottom and that of the sump.

        H (1 - (Q/Qm)^2) through the flow measured at the start (kind top-off pump, notes), 2 m of 8x6 tube with sharp
        entry 0.5 and outlet 1.0 (hydraulics 1.3); less while it draws air within 5 mm of its inlet (kind notes).
        """
        line = tube(SIX, 2.0, 1.5)
        calm = tube(SIX, 2.0, 1.5, 1e-6, 1000.0)
        used = (1000.0 * G * (self.outlet - self.res_bottom - self.res_start) + calm(self.measured)) / (
            1000.0 * G * self.lift
        )
        most = self.measured / math.sqrt(1.0 - used)
        shut_off = 1000.0 * G * self.lift

        @cache
        def flow(res: float, sump: float) -> float:
            open_ = min(max((res - self.dry) / 5e-3, 0.0), 1.0)
            if open_ <= 0.0:
                return 0.0
            up = RHO * G * (max(self.outlet, self.sump_bottom + sump) - self.res_bottom - res)
            return series(shut_off - up, orifice(shut_off / (most * open_) ** 2), line)

        return lambda res, sump: flow(round(res, 5), round(sump, 4))

    def run(
        self, horizon: float, dt: float, *, runs_on: bool = False, hangs_driving: bool = False, no_pump: bool = False,
        stuck_low: bool = False, blocked: float = math.inf, dark: tuple[float, float] = (math.inf, math.inf),
    ) -> Result:  # fmt: skip
        """The whole run. Times of the faults [s]; ``dark``: from when to when all is without power."""
        pump, spill = self.pump(), Spill()
        depth = self.water / self.area
        rim = depth + self.free
        head = (self.sump_volume(self.run_level + self.rises) - self.sump_volume(self.run_level)) / self.area
        back = self.turnover * self.water
        weir = back / head**1.5  # so that it stands at the design's level (kind display tank)
        at_most = weir * max(0.05, 2.0 * head)
        res, tank, sump = self.res_start, self.water, self.sump_volume(self.run_level)
        salt = 35.0 * 1e-3 * gsw.rho_t_exact(35.0, 25.0, 0.0) * (tank + sump)
        from_tank = self.evaporates * self.area / (self.area + DOORS * self.whole)  # tank 1.4: sump in a cabinet half
        from_sump = self.evaporates - from_tank
        low = lock = hung = False
        ran = 0.0
        most = least = salt / (tank + sump)
        empty: float | None = None
        dry: float | None = None
        for step in range(round(horizon / dt)):
            t = step * dt
            power = not dark[0] <= t < dark[1]
            level, conc = self.sump_level(sump), salt / (tank + sump)
            most, least = max(most, conc), min(least, conc)
            low = stuck_low or (level < self.satisfied if low else level < self.calls)
            wants = low and not lock
            hung = hung or (hangs_driving and wants and power)
            on = power and not no_pump and (wants or hung or runs_on)
            ran = ran + dt if on else 0.0
            if ran >= self.limit - 1e-9 and not hung and not lock:
                lock = True
                spill.acts.append((t + dt, "pump"))
            if empty is None and res < self.dry + 1e-3:  # a fifth of its 5 mm: kind top-off pump, "dry below"
                empty = t
            if dry is None and power and level < self.needs:
                dry = t
            added = pump(res, level) if on else 0.0
            up = back * min(max((level - self.needs + 0.02) / 0.02, 0.0), 1.0) if power else 0.0
            over = tank / self.area - (depth - head)
            down = min(weir * over**1.5, at_most * over**0.5) if over > 0.0 and t < blocked else 0.0
            res -= added * dt / self.res_area
            sump += (added + down - up - from_sump) * dt
            tank += (up - down - from_tank) * dt
            lost = max(tank - self.area * rim, 0.0)
            tank -= lost
            spilt = max(sump - self.sump_volume(self.sump_rim), 0.0)
            sump -= spilt
            salt -= conc * (lost + spilt)
            out = (lost + spilt) / dt
            spill.note(t, dt, out)
            for place in self.places.values():
                out = place.step(out, dt)
        return outcome(
            spill, horizon, self.places, 0.0, reservoir_empty=empty, return_dry=dry, lowest=salinity(least),
            highest=salinity(most), last=salinity(salt / (tank + sump)),
        )  # fmt: skip
