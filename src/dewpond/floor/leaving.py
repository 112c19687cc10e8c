"""What leaves a floor by a drain or a joint while water spreads: less lies there then than was spilled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np


class Outlet(NamedTuple):
    """Where water leaves a floor: what lies there when it gets wet [m3], and what it takes at most [m3/s]; inf: all."""

    from_: float
    takes: float


def spilled(lying: Any, outlets: Sequence[Outlet], rate: float) -> Any:
    """What has been spilled by the time that so much lies on the floor.

    From the moment at which an outlet gets wet it takes what it can. Once they take as much as comes, nothing more gets
    wet: however much is spilled, no more lies there.

    lying: of any shape [m3]; rate: of the leak, above 0 [m3/s].
    Returns the same shape [m3]; inf where so much never lies there.
    """
    lying = np.asarray(lying, dtype=float)
    found = np.full(lying.shape, np.inf)
    begins, gone, net = 0.0, 0.0, rate  # what lies and what was spilled where this stretch begins, and what it gains
    for wet, takes in [*sorted(outlets), Outlet(np.inf, 0.0)]:
        stretch = (lying >= begins) & (lying <= wet) & np.isinf(found)
        found[stretch] = gone + (lying[stretch] - begins) * rate / net
        if np.isinf(wet):
            break
        gone += (wet - begins) * rate / net
        begins, net = wet, net - takes
        if net <= 0.0:
            break
    found[np.isinf(lying)] = np.inf
    return found
