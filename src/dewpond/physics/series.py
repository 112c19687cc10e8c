"""A factor found from measurements of daily volumes: robust, with days that resemble each other, and what it risks."""

import math
from collections.abc import Sequence
from itertools import pairwise

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.statistics import spread_of_sum

PRIOR_SPREAD = 0.25
"""Standard deviation of the logarithm of evaporation over its estimate, before anything was measured [1].
Source: spread between the published laws, our own reading; 95 % lie within 0.61 and 1.63."""

DAILY_SPREAD = 0.15
"""Standard deviation of a day's top-off over its mean, where no log says it [1].
Source: common practice, no source; 0.08 to 0.3."""

LIKENESS = 0.5
"""Correlation of a day with the one before, where no log says it [1].
Source: common practice, no source; 0 to 0.7."""

LEAST_SPREAD = 0.051
"""Least standard deviation of the logarithm of a factor before a whole year was logged: 10 % at 95 % [1].
Source: our own rule; a season says little of the other one."""

NEXT_YEAR = 0.031
"""Standard deviation of the logarithm of a coming year's evaporation over that of one that was logged: 6 % at 95 % [1].
Source: weather and room differ from year to year; our prior, 0.02 to 0.05."""

TRIM = 0.1
"""Share of the days that is left out at each end [1]. Source: 10 % trimmed mean, our own choice."""

AT_95 = 1.96
"""Standard deviations that 95 % lie within [1]. Source: normal distribution."""

_NODES = 32


def trimmed_mean(values: Sequence[float], share: float = TRIM) -> float:
    """Mean without the lowest and the highest: one day of cleaning does not spoil it.

    mean of what is left when a share is taken off each end, rounded down

    values: one or more, in one unit [1].
    share: 0 or more and below a half [1].
    Returns the mean, in their unit [1].
    Raises ValueError without values or outside the range.
    Source: any text on robust statistics.

    >>> trimmed_mean([1.0, 4.0, 5.0, 6.0, 90.0] * 2, 0.2)
    5.0
    """
    require("number of values", len(values), 1, math.inf, "1")
    require("share", share, 0.0, 0.499, "1")
    off = int(share * len(values))
    kept = sorted(values)[off : len(values) - off]
    return math.fsum(kept) / len(kept)


def robust_deviation(values: Sequence[float]) -> float:
    """Standard deviation that single days do not spoil.

    s = 1.4826 median |x - median x|

    values: two or more, in one unit [1].
    Returns the deviation, in their unit [1].
    Raises ValueError with fewer than two.
    Source: Hampel 1974 (from memory); the factor is that of the normal distribution.

    >>> round(robust_deviation([1.0, 2.0, 3.0, 4.0, 100.0]), 3)
    1.483
    """
    require("number of values", len(values), 2, math.inf, "1")
    middle = _median(values)
    return 1.4826 * _median([abs(value - middle) for value in values])


def likeness_of(values: Sequence[float | None]) -> float:
    """How much a day resembles the one before: correlation at a lag of one day, of days without a hole between.

    f = sum (x_i - m)(x_i+1 - m) / (n_pairs s^2), held between 0 and 0.9

    values: day by day, in one unit; None: a day without one [1].
    Returns the correlation; 0.5 where fewer than ten pairs say it [1].
    Source: any time-series text; the default is common practice, no source.

    >>> round(likeness_of([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 4.0, 3.0, 2.0, 1.0, 0.0, 1.0, 2.0]), 2)
    0.78
    """
    known = [value for value in values if value is not None]
    pairs = [(a, b) for a, b in pairwise(values) if a is not None and b is not None]
    if len(pairs) < 10:
        return LIKENESS
    mean = math.fsum(known) / len(known)
    spread = math.fsum((value - mean) ** 2 for value in known) / len(known)
    if spread <= 0.0:
        return 0.0
    product = math.fsum((a - mean) * (b - mean) for a, b in pairs) / len(pairs)
    return min(max(product / spread, 0.0), 0.9)


def end_error(dose: float) -> float:
    """Error of a sum of doses by a switch with two marks, from where it happened to stand at both ends.

    s = V_b / 6^0.5, once for the whole sum

    dose: V_b, of one run between the two marks, 0 or more [m3].
    Returns the standard deviation [m3].
    Raises ValueError outside the range.
    Source: difference of two even distributions; own derivation.

    >>> round(end_error(0.6e-3) * 1e3, 3)
    0.245
    """
    require("dose", dose, 0.0, math.inf, "m3")
    return dose / math.sqrt(6.0)


def error_of_mean(days: int, deviation: float, likeness: float) -> float:
    """Standard error of the mean of days that resemble each other.

    se = (s / n^0.5) [(1 + f)/(1 - f)]^0.5

    days: n, 1 or more [1].
    deviation: s, of one day, in any unit [1].
    likeness: f, from day to day, 0 or more and below 1 [1].
    Returns the error, in the unit of the deviation [1].
    Raises ValueError outside the range.
    Source: autoregressive series of the first order, any time-series text.

    >>> round(error_of_mean(30, 0.6, 0.5), 3)
    0.19
    """
    require("days", days, 1, math.inf, "1")
    require("likeness of days", likeness, 0.0, 0.999, "1")
    return deviation / math.sqrt(days) * math.sqrt((1.0 + likeness) / (1.0 - likeness))


def days_needed(spread: float, likeness: float, error: float) -> float:
    """Days of log until a mean is known so well, at 95 %.

    n = (1.96 CV / e)^2 (1 + f)/(1 - f)

    spread: CV, of one day over its mean, above 0 [1].
    likeness: f, 0 or more and below 1 [1].
    error: e, of the mean, relative, above 0 [1].
    Returns the days [1].
    Raises ValueError outside the range.
    Source: error_of_mean turned round.

    >>> round(days_needed(0.15, 0.5, 0.10)), round(days_needed(0.15, 0.5, 0.05))
    (26, 104)
    """
    require_positive("spread", spread, "1")
    require_positive("error", error, "1")
    require("likeness of days", likeness, 0.0, 0.999, "1")
    return (AT_95 * spread / error) ** 2 * (1.0 + likeness) / (1.0 - likeness)


def together(factors: Sequence[tuple[float, float]], spread: float = PRIOR_SPREAD) -> tuple[float, float]:
    """A factor from several findings, each by how sure it is, with the estimate of 1 that stood before them.

    ln k = sum(ln k_i / s_i^2) / (1/s_0^2 + sum 1/s_i^2), spread 1/(1/s_0^2 + sum 1/s_i^2)^0.5

    factors: k_i above 0 and the standard deviation of its logarithm, above 0 [1].
    spread: s_0, of the logarithm before any finding, above 0 [1].
    Returns the factor and the standard deviation of its logarithm [1].
    Raises ValueError when a figure is not above 0.
    Source: product of normal densities, any text.

    >>> [round(x, 3) for x in together([(1.44, 0.25)])], together([])
    ([1.2, 0.177], (1.0, 0.25))
    """
    require_positive("spread", spread, "1")
    weight, sum_ = 1.0 / spread**2, 0.0
    for factor, deviation in factors:
        require_positive("factor", factor, "1")
        require_positive("spread", deviation, "1")
        weight += 1.0 / deviation**2
        sum_ += math.log(factor) / deviation**2
    if not factors:
        return 1.0, spread
    return math.exp(sum_ / weight), math.sqrt(1.0 / weight)


def runs_dry(store: float, mean: float, days: float, daily: float, likeness: float, spread: float) -> float:
    """Chance that a reservoir does not last so many days, where the mean itself is known by a factor only.

    integral over x of phi(x) Phi[(N mu e^(s x) - R) / sd e^(s x)], sd of spread_of_sum

    store: R, usable [m3].
    mean: mu, middle need of a day, above 0 [m3].
    days: N, above 0; parts of a day in proportion [1].
    daily: standard deviation of a day over its mean [1].
    likeness: from day to day, 0 or more and below 1 [1].
    spread: s, standard deviation of the logarithm of the mean [1].
    Returns the chance [1].
    Raises ValueError outside the range.
    Source: autoregressive series of the first order; log-normal mean, our own choice; for a small spread as with a
    normal one.

    >>> round(runs_dry(60e-3, 4e-3, 14, 0.15, 0.5, 0.0), 2), round(runs_dry(60e-3, 4e-3, 14, 0.15, 0.5, 0.0474), 2)
    (0.14, 0.19)
    """
    require_positive("days", days, "1")
    require_positive("mean", mean, "m3")
    weather = spread_of_sum(max(days, 1.0), daily * mean, likeness) * min(days, 1.0)
    if spread <= 0.0:
        return _beyond(store, days * mean, weather)
    total = 0.0
    weights = 0.0
    for i in range(_NODES + 1):  # trapezoids over a normal density: as good as exact, and without a library
        x = -5.0 + 10.0 * i / _NODES
        weight = math.exp(-0.5 * x * x)
        factor = math.exp(spread * x)
        total += weight * _beyond(store, days * mean * factor, weather * factor)
        weights += weight
    return total / weights


def lasts(store: float, mean: float, risk: float, daily: float, likeness: float, spread: float) -> float:
    """Days that a reservoir lasts, but for a given chance.

    the N at which runs_dry is the risk

    store: usable, 0 or more [m3].
    mean: middle need of a day, above 0 [m3].
    risk: above 0 and below a half [1].
    daily, likeness, spread: as for runs_dry [1].
    Returns the days, at most ten years [1].
    Raises ValueError outside the range.
    Source: runs_dry, halved again and again.

    >>> round(lasts(66.6e-3, 4e-3, 0.01, 0.15, 0.5, 0.0474), 1)
    13.9
    """
    require("risk", risk, 1e-9, 0.5, "1")
    require("store", store, 0.0, math.inf, "m3")
    low, high = 0.0, min(2.0 * store / mean + 1.0, 3650.0)
    for _ in range(24):
        middle = 0.5 * (low + high)
        if runs_dry(store, mean, middle, daily, likeness, spread) > risk:
            high = middle
        else:
            low = middle
    return low


def _median(values: Sequence[float]) -> float:
    ordered = sorted(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else 0.5 * (ordered[half - 1] + ordered[half])


def _beyond(store: float, need: float, spread: float) -> float:
    if spread <= 0.0:
        return 1.0 if need > store else 0.0
    return 0.5 * math.erfc((store - need) / spread / math.sqrt(2.0))
