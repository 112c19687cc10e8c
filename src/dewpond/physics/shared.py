"""Factors of several tanks whose estimates err partly alike, from measurements of one of them or of their sum."""

import math
from collections.abc import Sequence

from dewpond.physics.ranges import require, require_positive
from dewpond.physics.series import PRIOR_SPREAD

COMMON = 0.5
"""Share of the variance of the estimate's logarithm that all tanks of a house have in common [1].
Source: which law holds is common to them, movement, cover and cabinet are each one's own; our prior, 0.2 to 0.8."""

_ROUNDS = 60
_CLOSE = 1e-12


def factors_of(
    count: int,
    found: Sequence[tuple[Sequence[float], float, float]],
    spread: float = PRIOR_SPREAD,
    common: float = COMMON,
) -> tuple[list[float], list[list[float]]]:
    """Factors of several parts from findings of the sum of some, with the estimate of 1 that stood before them.

    ln k ~ N(0, s_0^2 [(1 - c) I + c 1 1^T]);  ln f_i = ln sum_j w_ij k_j + N(0, s_i^2); the likeliest k, by Gauss and
    Newton

    count: parts, 1 or more [1].
    found: for each finding the weights w_ij of the parts, 0 or more, in any measure, together above 0; the factor f_i
    on their sum and the standard deviation of its logarithm, above 0 [1].
    spread: s_0, of the logarithm before any finding, above 0 [1].
    common: c, 0 to 1 [1].
    Returns the factors and the covariance of their logarithms [1].
    Raises ValueError outside these.
    Source: linear regression with normal errors, any text; for one part as `series.together`.

    >>> [round(k, 3) for k in factors_of(1, [((1.0,), 1.44, 0.25)])[0]]
    [1.2]
    >>> [round(k, 3) for k in factors_of(2, [((1.0, 0.0), 1.44, 0.25)])[0]]
    [1.2, 1.095]
    """
    require("parts", count, 1, math.inf, "1")
    require_positive("spread", spread, "1")
    require("common share", common, 0.0, 1.0, "1")
    for weights, factor, deviation in found:
        require_positive("factor", factor, "1")
        require_positive("spread", deviation, "1")
        require_positive("sum of weights", math.fsum(weights), "1")
    logs = [0.0] * count
    held: list[list[float]] = []
    for _ in range(_ROUNDS):
        before = logs
        logs = [0.0] * count
        held = [
            [spread * spread * (common + (1.0 - common if i == j else 0.0)) for j in range(count)] for i in range(count)
        ]
        for weights, factor, deviation in found:
            _learn(logs, held, before, weights, factor, deviation)
        if max(abs(a - b) for a, b in zip(logs, before, strict=True)) < _CLOSE:
            break
    return [math.exp(log) for log in logs], held


def _learn(
    logs: list[float],
    held: list[list[float]],
    about: Sequence[float],
    weights: Sequence[float],
    factor: float,
    deviation: float,
) -> None:
    """Takes one finding in, made linear about where the logarithms were in the round before."""
    sums = [weight * math.exp(log) for weight, log in zip(weights, about, strict=True)]
    whole = math.fsum(sums)
    slope = [one / whole for one in sums]
    means = math.log(whole / math.fsum(weights))
    aim = math.log(factor) - means + math.fsum(g * log for g, log in zip(slope, about, strict=True))
    off = aim - math.fsum(g * log for g, log in zip(slope, logs, strict=True))
    column = [math.fsum(h * g for h, g in zip(row, slope, strict=True)) for row in held]
    total = math.fsum(g * c for g, c in zip(slope, column, strict=True)) + deviation * deviation
    for i, c in enumerate(column):
        logs[i] += c * off / total
        held[i] = [h - c * other / total for h, other in zip(held[i], column, strict=True)]


def of_sum(
    amounts: Sequence[float], factors: Sequence[float], covariance: Sequence[Sequence[float]]
) -> tuple[float, float]:
    """The factor on a sum of parts, and the standard deviation of its logarithm.

    k = sum(a_j k_j) / sum(a_j),  s^2 = g^T C g with g_j = a_j k_j / sum(a k)

    amounts: a_j as reckoned, 0 or more, together above 0, in one unit [1].
    factors: k_j, above 0 [1].
    covariance: C, of their logarithms [1].
    Returns the factor and the standard deviation [1].
    Raises ValueError where nothing is reckoned.
    Source: propagation of errors, any text.

    >>> [round(x, 3) for x in of_sum((3.0, 1.0), (1.0, 2.0), ((0.04, 0.0), (0.0, 0.04)))]
    [1.25, 0.144]
    """
    require_positive("sum of amounts", math.fsum(amounts), "1")
    parts = [amount * factor for amount, factor in zip(amounts, factors, strict=True)]
    whole = math.fsum(parts)
    slope = [part / whole for part in parts]
    variance = math.fsum(
        a * b * c for a, row in zip(slope, covariance, strict=True) for b, c in zip(slope, row, strict=True)
    )
    return whole / math.fsum(amounts), math.sqrt(max(variance, 0.0))


def apart(one: Sequence[float], other: Sequence[float], spread: float, common: float = COMMON) -> float:
    """By how much factors on two sums of the same parts may differ, before anything is measured.

    s = s_0 [(1 - c) sum (v_j - w_j)^2]^0.5, of shares v and w

    one, other: shares of the parts in each sum, together 1 [1].
    spread: s_0, of one part's logarithm, above 0 [1].
    common: c, 0 to 1 [1].
    Returns the standard deviation of the difference of their logarithms [1].
    Raises ValueError outside the range.
    Source: variance of a difference, any text.

    >>> round(apart((1.0, 0.0), (0.0, 1.0), 0.25), 3), apart((0.4, 0.6), (0.4, 0.6), 0.25)
    (0.25, 0.0)
    """
    require_positive("spread", spread, "1")
    require("common share", common, 0.0, 1.0, "1")
    squares = math.fsum((v - w) ** 2 for v, w in zip(one, other, strict=True))
    return spread * math.sqrt((1.0 - common) * squares)
