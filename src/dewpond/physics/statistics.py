"""Control charts, reservoirs for a holiday, and the daily cap: what chance does to a series of daily volumes."""

import math

from dewpond.physics.ranges import require, require_positive

NODES = 96
"""Gauss-Legendre nodes of the run-length solvers; twice as many change no printed digit [1]."""


def shewhart_arl(limit: float, shift: float) -> float:
    """Mean number of days until a single value leaves two limits.

    1 / [Phi(-L - d) + Phi(-L + d)]

    limit: L, in standard deviations, above 0 [1].
    shift: d, of the mean, in standard deviations [1].
    Returns the average run length [1].
    Raises ValueError when the limit is not above 0.
    Source: Shewhart; the normal distribution.

    >>> round(shewhart_arl(3.0, 0.0), 1)
    370.4
    """
    require_positive("limit", limit, "1")
    return 1.0 / (_normal(-limit - shift) + _normal(-limit + shift))


def cusum_arl(reference: float, limit: float, shift: float) -> float:
    """Mean number of days until an upper cumulative sum gives alarm.

    C = max(0, C + z - k), alarm above h. Solved from Page's integral equation by Gauss-Legendre nodes, start at 0, days
    independent and normal. In a real series one day resembles the next, and false alarms come several times as often.

    reference: k, in standard deviations, 0 or more [1].
    limit: h, in standard deviations, above 0 [1].
    shift: of the mean, in standard deviations [1].
    Returns the average run length [1].
    Raises ValueError outside the range.
    Source: Page 1954; agrees with Brook and Evans 1972, Lucas and Crosier 1982, Vance 1986.

    >>> round(cusum_arl(0.5, 3.0, 1.5), 2)
    3.75
    """
    import numpy as np
    from scipy.special import ndtr

    require("reference", reference, 0.0, math.inf, "1")
    require_positive("limit", limit, "1")
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    inside = np.concatenate(([0.0], 0.5 * limit * (nodes + 1.0)))
    # Column 0 is the chance to fall back to exactly zero; the others are the density of landing between.
    step = inside[np.newaxis, :] + reference - inside[:, np.newaxis] - shift
    moves = np.exp(-0.5 * step * step) / math.sqrt(2.0 * math.pi)
    moves[:, 1:] *= 0.5 * limit * weights
    moves[:, 0] = ndtr(reference - inside - shift)
    return float(np.linalg.solve(np.eye(NODES + 1) - moves, np.ones(NODES + 1))[0])


def cusum_arl_two_sided(reference: float, limit: float, shift: float) -> float:
    """Mean number of days until an upper or a lower cumulative sum gives alarm.

    1/ARL = 1/ARL(d) + 1/ARL(-d)

    reference, limit, shift: as for cusum_arl [1].
    Returns the average run length [1].
    Raises ValueError outside the range.
    Source: Kemp 1961 (from memory); agrees with Lucas and Crosier 1982, table 1.

    >>> round(cusum_arl_two_sided(0.5, 4.0, 1.0), 2)
    8.38
    """
    return 1.0 / (1.0 / cusum_arl(reference, limit, shift) + 1.0 / cusum_arl(reference, limit, -shift))


def ewma_arl(weight: float, limit: float, shift: float) -> float:
    """Mean number of days until an exponentially weighted mean leaves two limits.

    Z = (1 - w) Z + w z, alarm beyond L [w/(2 - w)]^0.5. Integral equation by Gauss-Legendre nodes, start at 0, days
    independent and normal.

    weight: w, of the newest day, above 0 and at most 1; below 0.02 the nodes stand too far apart [1].
    limit: L, in standard deviations of Z, above 0 [1].
    shift: of the mean, in standard deviations of z [1].
    Returns the average run length [1].
    Raises ValueError outside the range.
    Source: Crowder 1987; agrees with Lucas and Saccucci 1990, table 3.

    >>> round(ewma_arl(0.25, 3.0, 1.0), 6)
    11.154267
    """
    import numpy as np

    require("weight", weight, 0.02, 1.0, "1")
    require_positive("limit", limit, "1")
    edge = limit * math.sqrt(weight / (2.0 - weight))
    nodes, weights = np.polynomial.legendre.leggauss(NODES)
    inside = np.concatenate(([0.0], edge * nodes))
    step = (inside[np.newaxis, :] - (1.0 - weight) * inside[:, np.newaxis]) / weight - shift
    moves = np.exp(-0.5 * step * step) / (math.sqrt(2.0 * math.pi) * weight)
    moves *= np.concatenate(([0.0], edge * weights))
    return float(np.linalg.solve(np.eye(NODES + 1) - moves, np.ones(NODES + 1))[0])


def spread_of_sum(days: float, deviation: float, likeness: float, history_days: int | None = None) -> float:
    """Standard deviation of the need of several days, when one day resembles the next.

    s^2 {N (1 + f)/(1 - f) - 2 f (1 - f^N)/(1 - f)^2}, plus N^2 (s^2/n)(1 + f)/(1 - f) for a mean known from n days

    days: N, 1 or more [1].
    deviation: s, of one day [m3].
    likeness: f, correlation from day to day, 0 or more and below 1 [1].
    history_days: n, days from which the mean was taken; None when it is certain [1].
    Returns the standard deviation of the sum [m3].
    Raises ValueError outside the range.
    Source: sum of an autoregressive series of the first order, any time-series text.

    >>> round(spread_of_sum(14, 0.6e-3, 0.5) * 1e3, 2), round(spread_of_sum(14, 0.6e-3, 0.5, 30) * 1e3, 2)
    (3.7, 4.55)
    """
    require("days", days, 1, math.inf, "1")
    require("likeness of days", likeness, 0.0, 0.999, "1")
    inflation = (1.0 + likeness) / (1.0 - likeness)
    end = 2.0 * likeness * (1.0 - math.pow(likeness, days)) / (1.0 - likeness) ** 2
    variance = deviation**2 * (days * inflation - end)
    if history_days is not None:
        require("days of history", history_days, 1, math.inf, "1")
        variance += days**2 * deviation**2 / history_days * inflation
    return math.sqrt(variance)


def run_out_probability(store: float, need: float, spread: float) -> float:
    """Chance that a reservoir does not last.

    1 - Phi[(R - N mu)/sd]

    store: usable volume, without what stays under the pump [m3].
    need: mean need of the whole time [m3].
    spread: standard deviation of that need, see spread_of_sum, above 0 [m3].
    Returns the chance [1].
    Raises ValueError when the spread is not above 0.
    Source: normal distribution.

    >>> round(run_out_probability(60e-3, 56e-3, 3.7e-3), 2)
    0.14
    """
    require_positive("spread", spread, "m3")
    return _normal((need - store) / spread)


def store_for_risk(need: float, spread: float, risk: float) -> float:
    """Usable reservoir that fails with a given chance only.

    R = N mu + z sd

    need: mean need of the whole time [m3].
    spread: standard deviation of that need [m3].
    risk: above 0 and below 1 [1].
    Returns the volume [m3].
    Raises ValueError outside the range.
    Source: normal distribution.

    >>> round(store_for_risk(56e-3, 4.55e-3, 0.01) * 1e3, 1)
    66.6
    """
    from scipy.special import ndtri

    require("risk", risk, 1e-12, 1.0 - 1e-12, "1")
    return need + float(-ndtri(risk)) * spread


def cap_without_nuisance(
    mean: float, deviation: float, history_days: int | None, away_days: int, trip_probability: float
) -> float:
    """Daily cap that ordinary days trip with a given chance only: the first of three bounds.

    D1 = mu + k s (1 + 1/n)^0.5, k the Student quantile of n - 1 at (1 - p)^(1/N); normal, without the root, when mean
    and deviation are certain

    mean, deviation: of one day's top-off [m3].
    history_days: n, days from which both were taken, 2 or more; None when they are certain [1].
    away_days: N, 1 or more [1].
    trip_probability: p, chance of one or more trips in those days, above 0 and below 1 [1].
    Returns the cap of one day [m3].
    Raises ValueError outside the range.
    Source: prediction limit of a normal sample, any statistics text.

    >>> round(cap_without_nuisance(4.0e-3, 0.6e-3, 30, 14, 0.01) * 1e3, 2)
    6.15
    """
    from scipy.special import ndtri, stdtrit

    require("days away", away_days, 1, math.inf, "1")
    require("chance of a trip", trip_probability, 1e-12, 1.0 - 1e-12, "1")
    level = math.exp(math.log1p(-trip_probability) / away_days)
    if history_days is None:
        return mean + float(ndtri(level)) * deviation
    require("days of history", history_days, 2, math.inf, "1")
    return mean + float(stdtrit(history_days - 1, level)) * deviation * math.sqrt(1.0 + 1.0 / history_days)


def nuisance_probability(cap: float, mean: float, deviation: float, history_days: int, away_days: int) -> float:
    """Chance that ordinary days trip a given daily cap.

    1 - F(t)^N, t = (D - mu) / [s (1 + 1/n)^0.5], F of Student with n - 1

    cap, mean, deviation: of one day; the deviation above 0 [m3].
    history_days: n, 2 or more [1].
    away_days: N, 1 or more [1].
    Returns the chance [1].
    Raises ValueError outside the range.
    Source: cap_without_nuisance turned round.

    >>> round(nuisance_probability(5.4e-3, 4.0e-3, 0.6e-3, 30, 14), 3)
    0.186
    """
    from scipy.special import stdtr

    require_positive("deviation", deviation, "m3")
    require("days of history", history_days, 2, math.inf, "1")
    above = float(stdtr(history_days - 1, (mean - cap) / (deviation * math.sqrt(1.0 + 1.0 / history_days))))
    return -math.expm1(away_days * math.log1p(-above))


def cap_by_salinity(low_need: float, volume: float, salinity: float, allowed_drop: float, days: float) -> float:
    """Daily cap that lets salinity fall no further than allowed before someone measures: the second bound.

    D2 = E_low + V d / [(S - d) T]

    low_need: low side of one day's evaporation [m3].
    volume: of the system's water [m3].
    salinity: S; any scale [S].
    allowed_drop: d, 0 or more and below S [S].
    days: T until someone measures, above 0 [1].
    Returns the cap of one day [m3].
    Raises ValueError outside the range.
    Source: balance of salt.

    >>> round(cap_by_salinity(2.8e-3, 0.300, 35.0, 2.0, 7.0) * 1e3, 2)
    5.4
    """
    require("allowed drop", allowed_drop, 0.0, salinity * (1.0 - 1e-9), "S")
    require_positive("days until someone measures", days, "1")
    return low_need + volume * allowed_drop / ((salinity - allowed_drop) * days)


def cap_by_freeboard(low_need: float, spare_volume: float, days: float) -> float:
    """Daily cap that keeps the sump from overflowing at the next power cut: the third bound.

    D3 = E_low + (V_free - V_dd) / T

    low_need: low side of one day's evaporation [m3].
    spare_volume: free volume of the sump less the drain-down volume, 0 or more [m3].
    days: T until someone looks, above 0 [1].
    Returns the cap of one day [m3].
    Raises ValueError outside the range.
    Source: balance of water.

    >>> round(cap_by_freeboard(2.8e-3, 22.8e-3, 7.0) * 1e3, 2)
    6.06
    """
    require("spare volume", spare_volume, 0.0, math.inf, "m3")
    require_positive("days until someone looks", days, "1")
    return low_need + spare_volume / days


def _normal(x: float) -> float:
    """Standard normal distribution function, exact in the lower tail too."""
    return 0.5 * math.erfc(-x / math.sqrt(2.0))
