"""Numbers that several parts of the kernel share."""

from __future__ import annotations

import math

NEVER = 1e30
FALSE, TRUE, BOTH = 1, 2, 3  # what a signal was seen to be
SETTLED = 1000.0  # long enough for springs to follow [s]
LEAST = 1e-4  # least opening of a throttle that counts as open
DWELL = 1.0  # a diaphragm needs about so long to travel [s]; our prior
SNAP = 0.01  # a level gate less open than this is pressed shut by its own lever
HOPELESS = 1e4  # an island found no solution: take a much shorter step
LAST_DROPS = 1e-5  # less than a spoonful that comes once is no water on the floor [m3]
BRIM = 0.999999  # a place that was full is so while this share of what it holds lies there
BLINK = 0.05  # when a diaphragm moves, a puddle grows stronger or loses its rim, is not told more closely [s]
STAGE = 1.0 - math.sqrt(0.5)  # of a step, that each of its two stages takes: Alexander (1977)
BACK = math.sqrt(2.0) - 1.0  # so far before its first stage a step begins, in parts of the way between its stages
