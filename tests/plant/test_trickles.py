"""Flows too small to matter, which must neither stop a run nor be told."""

from dewpond.plant import primitives as prim
from dewpond.plant.build import Net
from dewpond.plant.compile import run_once

DAY = 86400.0


def test_a_vessel_that_stands_at_its_rim_within_rounding_is_not_stepped_towards_it_for_ever() -> None:
    """A bin full to the rim behind a membrane that lets 3e-14 m3/s by: each step once went a few milliseconds, to the
    row of its table that it stands at already."""
    net = Net()
    rim = 0.17
    net.bodies.append(0.0)
    net.stores.append((0.0, rim, 0, prim.R_DRAIN, 0, rim, -1))
    net.tables.append(((0.0, 1.0), (0.0, rim + 8e-17)))
    net.places.append((1.0, prim.R_DRAIN, 0, 1e5, 1e30, -1))
    supply = net.node(prim.FIXED, 0.0, value=1e5)
    net.edge(supply, net.node(prim.SPOUT, 1.2, ref=0), prim.FLOW, p=(3.4e-14,))
    arrays = net.arrays((998.0, 9.80665, 1e-6, 1.0, 120.0, DAY, 1e-3))
    assert 0.0 < arrays.table_v[-1] - arrays.store_start[0] < 1e-15
    for compiled in (False, True):
        state = run_once(arrays, 1, 14.0 * DAY, most_steps=1000, compiled=compiled)
        assert state.clock[prim.C_NOW] == 14.0 * DAY
