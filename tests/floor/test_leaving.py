"""Outlets that take less than comes: by hand, and by many small steps."""

from __future__ import annotations

import numpy as np
import pytest

from dewpond.floor.leaving import Outlet, spilled

LITRE, A_MINUTE = 1e-3, 1e-3 / 60.0


def test_without_outlets_what_lies_there_was_spilled() -> None:
    lying = np.array([[0.0, 1.0], [5.0, np.inf]]) * LITRE
    assert np.array_equal(spilled(lying, (), 0.2 * A_MINUTE), lying)


def test_joint_that_takes_half_doubles_what_must_be_spilled() -> None:
    lying = np.array([1.0, 2.0, 3.0, 6.0]) * LITRE
    found = spilled(lying, (Outlet(2.0 * LITRE, 0.1 * A_MINUTE),), 0.2 * A_MINUTE)
    assert found / LITRE == pytest.approx([1.0, 2.0, 4.0, 10.0])


@pytest.mark.parametrize("takes", [0.2, 5.0, np.inf])
def test_outlet_that_takes_all_keeps_the_rest_dry(takes: float) -> None:
    lying = np.array([1.0, 2.0, 2.1]) * LITRE
    found = spilled(lying, (Outlet(2.0 * LITRE, takes * A_MINUTE),), 0.2 * A_MINUTE)
    assert found[:2] / LITRE == pytest.approx([1.0, 2.0])
    assert np.isinf(found[2])


def test_several_outlets_agree_with_many_small_steps() -> None:
    outlets = (
        Outlet(4.0 * LITRE, 0.15 * A_MINUTE),
        Outlet(1.0 * LITRE, 0.3 * A_MINUTE),
        Outlet(9.0 * LITRE, 0.5 * A_MINUTE),
    )
    rate, step = 0.8 * A_MINUTE, 0.05
    lies = gone = 0.0
    ways = []
    while lies < 8.9 * LITRE:
        net = rate - sum(one.takes for one in outlets if lies >= one.from_)
        lies, gone = lies + net * step, gone + rate * step
        ways.append((lies, gone))
    for lying, total in ways[200::1500]:
        assert float(spilled(lying, outlets, rate)) == pytest.approx(total, rel=2e-3)
    assert np.isinf(spilled(9.5 * LITRE, outlets, rate))
